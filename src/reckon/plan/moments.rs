//! A moment of a plan: what everybody does, what they do next, and what waits between two steps without being anybody's task.

use super::catch_up::{Work, works_of};
use super::jobs::{Job, Jobs};
use super::presence::{Away, staff_by};
use super::problem::Side;
use super::replay::picked_of;
use super::timetable::{Plan, PlannedTask};
use crate::course::{Course, Step};
use crate::reckon::work::{Class, Portion};
use jiff::ZonedDateTime;

/// One of the staff, or a station.
#[derive(Clone, PartialEq, Debug)]
pub struct Person<'p> {
    /// `teacher`, `helper-1`, `station-3`.
    pub who: String,
    /// What is done; nothing: idle hands.
    pub now: Vec<&'p PlannedTask>,
    /// Why nothing is: a break, or hours of their own.
    pub away: Option<Away>,
    /// What is next in hand, and from when; `None` when nothing is any more.
    pub next: Option<(&'p PlannedTask, ZonedDateTime)>,
}

/// What one task has left and the next has not taken up yet.
#[derive(Clone, PartialEq, Debug)]
pub struct Waits<'p> {
    /// The task that left it.
    pub after: &'p PlannedTask,
    /// The task that takes it up.
    pub next: &'p PlannedTask,
}

/// A moment.
#[derive(Clone, PartialEq, Debug)]
pub struct Moment<'p> {
    /// The teacher, the helpers, the stations.
    pub people: Vec<Person<'p>>,
    /// What waits, by the clock of what takes it up.
    pub waits: Vec<Waits<'p>>,
}

/// What is so at a moment of a plan.
#[must_use]
pub fn moment<'p>(
    course: &Course,
    class: &Class,
    portions: &[Portion],
    plan: &'p Plan,
    at: &ZonedDateTime,
) -> Moment<'p> {
    let mut people: Vec<Person<'p>> = staff_by(course, plan)
        .into_iter()
        .map(|one| {
            let who = one.who.clone();
            let own = plan
                .tasks
                .iter()
                .filter(|t| t.by.contains(&who) || who == "teacher" && t.wants_eye(step_of(course, t)));
            let busy = own.flat_map(|task| hours(course, task, &who).into_iter().map(move |h| (task, h)));
            let person = person(who.clone(), busy.collect(), at);
            // Who goes on with something in a late plan is there for it.
            let away = one.away(at).filter(|_| person.now.is_empty());
            Person { away, ..person }
        })
        .collect();
    people.extend(class.stations.iter().map(|station| {
        let own = plan.tasks.iter().filter(|t| t.stations.contains(&station.no));
        let busy = own.map(|task| (task, (task.start.clone(), task.end.clone()))).collect();
        person(format!("station-{}", station.no), busy, at)
    }));
    Moment { people, waits: waits(course, class, portions, plan, at) }
}

type Hours = (ZonedDateTime, ZonedDateTime);

fn person<'p>(who: String, busy: Vec<(&'p PlannedTask, Hours)>, at: &ZonedDateTime) -> Person<'p> {
    let now = busy.iter().filter(|(_, (from, to))| from <= at && at < to).map(|(task, _)| *task).collect();
    let later = busy.iter().filter(|(_, (from, _))| from > at);
    let next = later
        .min_by_key(|(task, (from, _))| (from.timestamp(), task.id.clone()))
        .map(|(task, (from, _))| (*task, from.clone()));
    Person { who, now, away: None, next }
}

/// The step of a lesson that a task is.
fn step_of<'c>(course: &'c Course, task: &PlannedTask) -> Option<&'c Step> {
    task.lesson.as_ref().and_then(|lesson| course.lesson(lesson)?.step(&task.step))
}

/// When somebody has a task in hand: of one that only wants hands at its ends, then.
fn hours(course: &Course, task: &PlannedTask, who: &str) -> Vec<Hours> {
    let own = |work: &Work| match work.side {
        None => true,
        Some(Side::Start) => task.by.first().is_some_and(|by| by == who),
        Some(Side::End) => task.by.last().is_some_and(|by| by == who),
    };
    works_of(course, task).into_iter().filter(own).map(|work| (work.from, work.to)).collect()
}

/// What lies between two tasks of a chain at a moment. What waits for a demonstration, or in a wait that takes no time, is passed over.
fn waits<'p>(
    course: &Course,
    class: &Class,
    portions: &[Portion],
    plan: &'p Plan,
    at: &ZonedDateTime,
) -> Vec<Waits<'p>> {
    let picked = picked_of(plan);
    let jobs = Jobs::of(course, class, portions, &picked);
    let planned = |job: &Job| plan.task(&job.id);
    let mut found = Vec::new();
    for job in &jobs.jobs {
        let Some(next) = planned(job).filter(|next| next.start > *at) else { continue };
        let mut open = job.before.clone();
        while let Some(number) = open.pop() {
            let Some(before) = jobs.jobs.get(number) else { continue };
            match planned(before) {
                Some(after) if after.end <= *at => found.push(Waits { after, next }),
                Some(_) => {}
                None => open.extend(before.before.iter().copied()),
            }
        }
    }
    found.sort_by_key(|w| (w.next.start.timestamp(), w.next.id.clone(), w.after.id.clone()));
    found
}
