//! Does a plan hold? Checked from the course and the plan's clock times alone.
//!
//! Written apart from the problem that the solver was given: nothing here knows of slots, ways or holds. It goes
//! through what the teacher wrote and looks whether each line is kept at each minute. Every plan passes here before
//! anyone sees it.

mod ahead;
mod allergens;
mod by_turns;
mod heating;
mod held;
mod known;
mod left;
mod order;
mod own_steps;
mod people;
mod shelves;
mod sizes;
mod things;
mod whose;
mod written;

pub use heating::not_hot_yet;
pub use left::more_than_left;

use super::timetable::{Plan, PlannedTask};
use crate::course::{Course, Lesson, Loan, Step, StepId, Where};
use crate::reckon::work::{Class, Portion, Whom};
use jiff::ZonedDateTime;
use std::collections::BTreeSet;
use std::rc::Rc;
use written::Written;

/// Something that a plan breaks.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Broken {
    /// Which rule: `order`, `carry`, `stands`, `takes`, `hands`, `session`, `staff-hours`, `mixer`, `oven`, ...
    pub rule: &'static str,
    /// The tasks.
    pub tasks: Vec<String>,
    /// What is wrong, with its numbers.
    pub message: String,
}

/// The rules that a plan can break.
pub const RULES: [&str; 29] = [
    "after",
    "allergen",
    "carry",
    "circuit",
    "cold-wait",
    "complete",
    "counted",
    "eye",
    "first",
    "goes-home",
    "group",
    "hands",
    "load",
    "made-ahead",
    "mixer",
    "order",
    "oven",
    "overrun",
    "own-step",
    "place",
    "session",
    "share",
    "shelf",
    "staff-hours",
    "stands",
    "takes",
    "unattended",
    "unknown",
    "variant",
];

/// What is said of work that no one of the staff is put to.
const NOBODY_FREE: &str = "nobody of the staff is free for it";

impl Broken {
    /// Whether it says no more than that nobody of the staff is free for something.
    #[must_use]
    pub fn wants_somebody(&self) -> bool {
        self.rule == "hands" && self.message == NOBODY_FREE
    }
}

/// Everything that a plan breaks; empty when it holds.
#[must_use]
pub fn check(course: &Course, class: &Class, portions: &[Portion], plan: &Plan) -> Vec<Broken> {
    check_without(course, class, portions, plan, &BTreeSet::new())
}

/// The same for a plan that has left out some tasks, which is said elsewhere: that fewer pieces go through the steps of these is nothing
/// broken.
#[must_use]
pub fn check_without(
    course: &Course,
    class: &Class,
    portions: &[Portion],
    plan: &Plan,
    left_out: &BTreeSet<String>,
) -> Vec<Broken> {
    let left_out = left_out.iter().map(|id| id.split_once('@').map_or(id.as_str(), |(step, _)| step));
    let left_out = left_out.map(ToOwned::to_owned).collect();
    let mut checker = Checker::of(course, (class, portions), plan, left_out);
    checker.known();
    checker.completeness();
    checker.order();
    checker.own_steps();
    checker.ahead();
    checker.people();
    checker.whose();
    checker.things();
    checker.overrun();
    let mut broken = checker.broken;
    broken.sort();
    broken.dedup();
    broken
}

struct Checker<'a> {
    course: &'a Course,
    class: &'a Class,
    portions: &'a [Portion],
    plan: &'a Plan,
    /// The lessons as they are written, in the course's order.
    lessons: Rc<Vec<Written<'a>>>,
    /// Steps, as `lesson.step`, of which some or all is left out.
    left_out: BTreeSet<String>,
    broken: Vec<Broken>,
}

/// Whole minutes of a moment, for comparing.
fn minute(moment: &ZonedDateTime) -> i64 {
    moment.timestamp().as_second().div_euclid(60)
}

/// A task's time in minutes.
fn time(task: &PlannedTask) -> (i64, i64) {
    (minute(&task.start), minute(&task.end))
}

impl<'a> Checker<'a> {
    fn of(
        course: &'a Course,
        (class, portions): (&'a Class, &'a [Portion]),
        plan: &'a Plan,
        left_out: BTreeSet<String>,
    ) -> Checker<'a> {
        let formula = |lesson: &'a Lesson| course.formula(&lesson.formula.value);
        let lessons = course.lessons.iter().map(|lesson| Written::of(lesson, formula(lesson)));
        let lessons = Rc::new(lessons.collect());
        Checker { course, class, portions, plan, lessons, left_out, broken: Vec::new() }
    }
    /// A lesson of the course as it is written.
    fn written(&self, lesson: &Lesson) -> &Written<'a> {
        let place = self.course.lessons.iter().position(|own| own.id.value == lesson.id.value);
        &self.lessons[place.unwrap_or(0)]
    }
    fn no(&mut self, rule: &'static str, tasks: &[&PlannedTask], message: String) {
        debug_assert!(RULES.contains(&rule), "{rule} is in the list of rules");
        self.broken.push(Broken { rule, tasks: tasks.iter().map(|t| t.id.clone()).collect(), message });
    }
    fn step(&self, task: &PlannedTask) -> Option<(&'a Lesson, &'a Step)> {
        let lesson = self.course.lesson(task.lesson.as_ref()?)?;
        Some((lesson, lesson.step(&task.step)?))
    }
    /// The tasks of a step, the waits in the cold before it left out.
    fn tasks_of(&self, lesson: &Lesson, step: &Step) -> Vec<&'a PlannedTask> {
        let of = |t: &&PlannedTask| {
            t.lesson.as_ref() == Some(&lesson.id.value) && t.step == step.id.value && !t.cold_wait
        };
        self.plan.tasks.iter().filter(of).collect()
    }
    /// Spans in which staff may be in the kitchen as it is written: their hours and the sessions.
    fn written_hours(&self) -> Vec<(i64, i64)> {
        let mut spans: Vec<(i64, i64)> = Vec::new();
        for session in &self.course.sessions {
            spans.push((minute(&session.from.value), minute(&session.to.value)));
            let hours = session.staff.iter().map(|s| (minute(&s.value.0), minute(&s.value.1)));
            match self.somebodys_hours() {
                // Where hours of single people are written, staff are there as long as one of them is.
                Some(there) => spans.extend(hours.flat_map(|hours| {
                    let meet = |one: &(i64, i64)| (one.0.max(hours.0), one.1.min(hours.1));
                    there.iter().map(meet).filter(|(from, to)| from < to).collect::<Vec<_>>()
                })),
                None => spans.extend(hours),
            }
        }
        joined(spans)
    }
    /// When at least one of the staff is there; `None` where somebody is there whenever staff are.
    fn somebodys_hours(&self) -> Option<Vec<(i64, i64)>> {
        let settings = &self.course.settings;
        let mut all = Vec::new();
        for name in std::iter::once(&settings.teacher).chain(&settings.helpers) {
            let rows = self.course.presence.iter().filter(|row| row.who.value == name.value);
            let own: Vec<(i64, i64)> =
                rows.flat_map(|row| &row.there).map(|s| (minute(&s.value.0), minute(&s.value.1))).collect();
            if own.is_empty() {
                return None;
            }
            all.extend(own);
        }
        Some(joined(all))
    }
    /// The same, as long as a late plan makes them: hours go on for as long as the last session in them is late.
    fn attended(&self) -> Vec<(i64, i64)> {
        let longer = self.written_hours().into_iter().map(|(from, to)| {
            let last = self.last_in((from, to));
            (from, to + last.map_or(0, |session| self.late(session)))
        });
        joined(longer.chain(self.with_staff()).collect())
    }
    /// The last session in some hours.
    fn last_in(&self, hours: (i64, i64)) -> Option<usize> {
        let inside = |n: &usize| {
            let session = &self.course.sessions[*n];
            hours.0 <= minute(&session.from.value) && minute(&session.to.value) <= hours.1
        };
        let all = (0..self.course.sessions.len()).filter(inside);
        all.max_by_key(|n| minute(&self.course.sessions[*n].from.value))
    }
    /// How late a session is in this plan, or its staff after it: not at all when the plan says that it fits.
    fn late(&self, session: usize) -> i64 {
        let Some(planned) = self.plan.sessions.get(session).filter(|_| !self.plan.fits) else { return 0 };
        let over = (minute(&planned.finish) - minute(&planned.end)).max(0);
        let hours = self.written_hours();
        let own = hours.iter().copied().find(|span| self.last_in(*span) == Some(session));
        let Some(own) = own else { return over };
        let next = hours.iter().map(|span| span.0).filter(|from| *from > own.0).min().unwrap_or(i64::MAX);
        let attended = |t: &&PlannedTask| {
            !t.by.is_empty() || self.step(t).is_some_and(|(_, s)| is_hot(s.place.value) && !t.cold_wait)
        };
        // What stands alone is put there by somebody.
        let until = |t: &PlannedTask| {
            let (from, to) = time(t);
            if attended(&t) { Some(to) } else { self.step(t).map(|_| from) }
        };
        let here = self.plan.tasks.iter().filter(|t| own.0 <= time(t).0 && time(t).0 < next);
        let staff = here.filter_map(until).map(|until| until - own.1).max().unwrap_or(0);
        over.max(staff)
    }
    /// A plan is no later than it says.
    fn overrun(&mut self) {
        let late: i64 = (0..self.plan.sessions.len()).map(|session| self.late(session)).sum();
        if late > self.plan.overrun.get() {
            let message = format!("{late} min too long, {} min said", self.plan.overrun.get());
            self.no("overrun", &[], message);
        }
    }
    /// The sessions, each until its written end or, in a plan that is late, until its students are gone. (Staff may be late where they are not.)
    fn sessions(&self) -> Vec<(i64, i64)> {
        let gone = |session: usize, end: i64| {
            let planned = self.plan.sessions.get(session).filter(|_| !self.plan.fits);
            planned.map_or(end, |planned| end.max(minute(&planned.finish)))
        };
        let sessions = self.course.sessions.iter().enumerate();
        sessions.map(|(n, s)| (minute(&s.from.value), gone(n, minute(&s.to.value)))).collect()
    }
    /// The same, each with the time in which its staff go on.
    fn with_staff(&self) -> Vec<(i64, i64)> {
        let sessions = self.course.sessions.iter().enumerate();
        sessions.map(|(n, s)| (minute(&s.from.value), minute(&s.to.value) + self.late(n))).collect()
    }

    /// Every piece goes through every step that it should, once.
    fn completeness(&mut self) {
        for lesson in &self.course.lessons {
            let mut pieces: std::collections::BTreeMap<&Whom, u32> = Default::default();
            for portion in self.portions.iter().filter(|p| p.lesson == lesson.id.value) {
                let known = pieces.entry(&portion.whom).or_default();
                *known = portion.pieces.max(*known);
            }
            for step in &lesson.steps {
                let tasks = self.tasks_of(lesson, step);
                let name = format!("{}.{}", lesson.id.value, step.id.value);
                let left_out = self.left_out.contains(&name);
                if step.demo {
                    if tasks.len() != 1 && !(left_out && tasks.is_empty()) {
                        self.no("complete", &tasks, format!("{name} is shown {} times", tasks.len()));
                    }
                    continue;
                }
                for (whom, count) in &pieces {
                    let planned: u32 = tasks
                        .iter()
                        .flat_map(|t| &t.members)
                        .filter(|(w, _)| w == *whom)
                        .map(|(_, n)| n)
                        .sum();
                    // What is shown up to a step has gone through all that comes before it; what comes later may be baked, too.
                    let stage = match whom {
                        Whom::Stage { up_to, .. } => !self.made_for(lesson, up_to, step),
                        Whom::Station(_) | Whom::Spare => false,
                    };
                    let fewer = left_out && planned < *count;
                    if planned != *count && !(stage && planned == 0) && !fewer {
                        let whom = in_words(whom);
                        let message = format!("{planned} of {count} pieces go through {name} for {whom}");
                        self.no("complete", &tasks, message);
                    }
                }
            }
        }
        for own in &self.course.own_steps {
            for session in &self.course.sessions {
                let wanted =
                    own.sessions.is_empty() || own.sessions.iter().any(|s| s.value == session.id.value);
                let id = format!("class.{}@{}", own.id.value, session.id.value);
                let found = self.plan.tasks.iter().filter(|t| t.id == id).count();
                if found != usize::from(wanted) {
                    self.no("complete", &[], format!("{id} is planned {found} times"));
                }
            }
        }
    }
}

impl Checker<'_> {
    /// Whether what is brought up to a step goes through another one on its way.
    fn made_for(&self, lesson: &Lesson, up_to: &StepId, step: &Step) -> bool {
        let written = self.written(lesson);
        let (to, own) = (written.place(up_to), written.place(&step.id.value));
        to.zip(own).is_some_and(|(to, own)| written.made_from(to).contains(&own))
    }
}

/// For whom, as a teacher says it.
fn in_words(whom: &Whom) -> String {
    match whom {
        Whom::Station(no) => format!("station {no}"),
        Whom::Stage { demo, up_to } => format!("the stage of `{demo}`, made up to `{up_to}`"),
        Whom::Spare => "the spare piece".to_owned(),
    }
}

/// Spans joined where they touch.
fn joined(mut spans: Vec<(i64, i64)>) -> Vec<(i64, i64)> {
    spans.sort_unstable();
    let mut joined: Vec<(i64, i64)> = Vec::new();
    for (from, to) in spans {
        match joined.last_mut() {
            Some(last) if from <= last.1 => last.1 = last.1.max(to),
            _ => joined.push((from, to)),
        }
    }
    joined
}

/// How many of something there are, borrowed ones included.
fn there(own: u32, loan: Option<&Loan>) -> i64 {
    i64::from(own) + loan.map_or(0, |loan| i64::from(loan.count.value))
}

/// Needs heat or power, and so someone in the building.
fn is_hot(place: Where) -> bool {
    matches!(place, Where::Oven | Where::Hob | Where::Mixer | Where::Warm)
}

/// Looks for a minute at which more of something is taken than there is. Spans are `(from, to, amount, task)`.
fn too_much(spans: &[(i64, i64, i64, usize)], there: i64) -> Option<(i64, i64, Vec<usize>)> {
    let mut starts: Vec<i64> = spans.iter().map(|s| s.0).collect();
    starts.sort_unstable();
    starts.dedup();
    starts.into_iter().find_map(|at| {
        let taken: Vec<_> = spans.iter().filter(|s| s.0 <= at && at < s.1 && s.2 > 0).collect();
        let sum: i64 = taken.iter().map(|s| s.2).sum();
        (sum > there).then(|| (at, sum, taken.iter().map(|s| s.3).collect()))
    })
}
