//! Demonstrations that are held on another day than the work that they show, or hours before it.

use super::plan::timetable::{Plan, PlannedTask};
use crate::course::{Course, Lesson, Step};
use crate::finding::Finding;
use crate::units::Minutes;
use jiff::ZonedDateTime;
use std::collections::BTreeMap;

/// So long may lie between a demonstration and the work that it shows before it is told. Our own figure: an hour is a lesson at school, and
/// nothing is in print about braids.
pub const LONG_BEFORE: Minutes = Minutes(60);

/// Work that waits for a demonstration and begins long after it.
#[derive(Clone, PartialEq, Debug)]
struct Late<'p> {
    shown: &'p ZonedDateTime,
    begins: &'p ZonedDateTime,
    whom: Vec<u32>,
}

impl Late<'_> {
    fn gap(&self) -> Minutes {
        Minutes(self.shown.duration_until(self.begins).as_mins())
    }
}

/// What is told of the demonstrations of a plan: the work that waits for one, and begins on a later day or long after it. It decides
/// nothing: a teacher may want it so.
#[must_use]
pub fn shown_long_before(course: &Course, plan: &Plan) -> Vec<Finding> {
    let mut found = Vec::new();
    for lesson in &course.lessons {
        for demo in lesson.steps.iter().filter(|step| step.demo) {
            let Some(shown) = tasks(plan, lesson, demo).map(|t| &t.end).max() else { continue };
            for step in lesson.steps.iter().filter(|step| !step.demo && waits_for(step, demo)) {
                let all = late(plan, lesson, step, shown);
                let (other_day, same_day): (Vec<_>, Vec<_>) =
                    all.into_iter().partition(|late| late.begins.date() > shown.date());
                let message = |all: &[Late<'_>], day: &str, clock: &str| -> Option<String> {
                    let (at, words) = (shown.strftime("%H:%M"), in_words(all, clock)?);
                    Some(format!(
                        "`{}` of `{}` is shown {day}until {at}, and `{}`, which waits for it, begins {words}",
                        demo.id, lesson.id, step.id
                    ))
                };
                let day = shown.strftime("on %A %-d %B ").to_string();
                found.extend(message(&other_day, &day, "%a %-d %b %H:%M").map(|message| {
                    let finding = Finding::warning("shown-on-another-day", demo.id.place, message);
                    about(finding, lesson, demo, step).way_out(format!(
                        "set the same `session` for both in the lesson, or show it once more before `{}`",
                        step.id
                    ))
                }));
                found.extend(message(&same_day, "", "%a %H:%M").map(|message| {
                    let message = format!("{message}; from {LONG_BEFORE} on it is told");
                    let finding = Finding::warning("shown-long-before", demo.id.place, message);
                    about(finding, lesson, demo, step).way_out(format!(
                        "show it again there, or bring the work nearer: more mixers or pairs of hands before `{}`, or a `session` of its own for the demonstration",
                        step.id
                    ))
                }));
            }
        }
    }
    found
}

fn about(finding: Finding, lesson: &Lesson, demo: &Step, step: &Step) -> Finding {
    finding.also(step.id.place, "what is shown").about(format!("{}.{}", lesson.id, demo.id))
}

/// Those who begin long after a demonstration, the first of them first; those who begin together are one.
fn late<'p>(plan: &'p Plan, lesson: &'p Lesson, step: &'p Step, shown: &'p ZonedDateTime) -> Vec<Late<'p>> {
    let mut by_start: BTreeMap<i64, Late<'p>> = BTreeMap::new();
    for task in tasks(plan, lesson, step) {
        let late = Late { shown, begins: &task.start, whom: Vec::new() };
        if late.gap() >= LONG_BEFORE || task.start.date() > shown.date() {
            let key = task.start.timestamp().as_second();
            by_start.entry(key).or_insert(late).whom.extend(task.for_stations().iter().map(|no| no.0));
        }
    }
    by_start.into_values().collect()
}

/// `90 min later at station 6 (Saturday 15:05)`.
fn in_words(all: &[Late<'_>], moment: &str) -> Option<String> {
    let one = |late: &Late<'_>| {
        let mut whom = late.whom.clone();
        whom.sort_unstable();
        whom.dedup();
        let numbers = whom.iter().map(ToString::to_string).collect::<Vec<_>>();
        let at = match numbers.as_slice() {
            [] => String::new(),
            [one] => format!(" at station {one}"),
            [first @ .., last] => format!(" at stations {} and {last}", first.join(", ")),
        };
        format!("{} later{at} ({})", late.gap(), late.begins.strftime(moment))
    };
    let words: Vec<String> = all.iter().map(one).collect();
    (!words.is_empty()).then(|| words.join(", "))
}

fn waits_for(step: &Step, demo: &Step) -> bool {
    step.after.iter().any(|id| id.value == demo.id.value)
}

/// What is done in a step in class, for whomever of it.
fn tasks<'a>(plan: &'a Plan, lesson: &'a Lesson, step: &'a Step) -> impl Iterator<Item = &'a PlannedTask> {
    plan.tasks.iter().filter(move |task| {
        task.lesson.as_ref() == Some(&lesson.id.value)
            && task.step == step.id.value
            && !task.cold_wait
            && !task.made_ahead
    })
}
