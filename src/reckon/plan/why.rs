//! What holds a task where it is: the chain of tasks, equipment and people before it.

use super::jobs::Jobs;
use super::problem::{Lag, Point, Reason, Side, TaskId};
use super::replay::{Replay, picked_of};
use super::timetable::Plan;
use crate::course::Course;
use crate::reckon::work::{Class, Portion};

/// One link of the chain: a task that could not start earlier, and why.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Held {
    /// The task.
    pub task: String,
    /// What it had to wait for: another task; `None` when it is the clock, or nothing at all.
    pub by: Option<String>,
    /// Why, in the teacher's words.
    pub because: String,
}

/// The chain that holds a task, back to the clock; empty when there is no such task or the plan is not one of this course.
#[must_use]
pub fn chain(course: &Course, class: &Class, portions: &[Portion], plan: &Plan, task: &str) -> Vec<Held> {
    let picked = picked_of(plan);
    let jobs = Jobs::of(course, class, portions, &picked);
    let over = i32::try_from(plan.overrun.get()).unwrap_or(i32::MAX / 4);
    let Some(replay) = Replay::of(&jobs, course, plan, over.max(1)) else { return Vec::new() };
    let Some(mut number) = jobs.jobs.iter().position(|j| j.id == task) else { return Vec::new() };
    let mut found = Vec::new();
    let mut seen = vec![false; jobs.jobs.len()];
    while !std::mem::replace(&mut seen[number], true) {
        let (by, because) = hold(&jobs, &replay, number);
        let by_id = by.map(|n| jobs.jobs[n].id.clone());
        found.push(Held { task: jobs.jobs[number].id.clone(), by: by_id, because });
        match by {
            Some(next) => number = next,
            None => break,
        }
    }
    found
}

/// What the start of one job waits for.
fn hold(jobs: &Jobs<'_>, replay: &Replay, number: usize) -> (Option<usize>, String) {
    let start = replay.at[number].0;
    let to = |point: Point| point.task == TaskId(number) && point.side == Side::Start;
    let job = &jobs.jobs[number];
    // A step before it on its chain, with nothing between.
    for lag in
        replay.lags().filter(|l| to(l.to) && l.from.task.0 < jobs.jobs.len() && l.from.task.0 != number)
    {
        let tight = replay.slot(lag.from).is_some_and(|from| from + lag.least == start + lag.to.plus);
        let before = lag.from.task.0;
        // What stands until it is taken up holds it only by the shortest time that it must stand.
        let waits = lag.from.side == Side::End && replay.stretches(lag.from.task);
        let at_least = replay.at[before].0 + least(replay, before) == replay.at[before].1;
        if tight && (!waits || at_least) {
            let because = match jobs.stands(&jobs.jobs[before]) {
                true => "which has stood no longer than it must",
                false if job.before.contains(&before) => "which comes before it",
                false => "which comes first",
            };
            return (Some(before), because.to_owned());
        }
    }
    // Hands or things that another task had until then.
    for arrow in replay.handed_on().iter().filter(|a| to(a.to) && a.from.task.0 < jobs.jobs.len()) {
        let tight = replay.slot(arrow.from).is_some_and(|from| from + arrow.least == start + arrow.to.plus);
        if tight && arrow.from.task.0 != number {
            let because = replay.words(arrow.reason).unwrap_or("hands or things that it needs");
            return (Some(arrow.from.task.0), because.to_owned());
        }
    }
    // The clock.
    let zero = TaskId(jobs.jobs.len());
    let opens =
        |lag: &&Lag| lag.from.task == zero && to(lag.to) && lag.least == start && lag.most == Some(start);
    if replay.model.problem.lags.iter().any(|lag| opens(&lag)) {
        return (None, "the session opens with it".to_owned());
    }
    let way = &replay.model.problem.tasks[number].ways[replay.at[number].2];
    if way.windows.iter().any(|w| w.0 == start) {
        let words = match way.reason {
            Reason::Always => "its time in the session",
            reason => replay.words(reason).unwrap_or("the clock"),
        };
        return (None, words.to_owned());
    }
    (None, "nothing: the plan has it here so that what comes after it fits".to_owned())
}

fn least(replay: &Replay, number: usize) -> i32 {
    replay.model.problem.tasks[number].ways[replay.at[number].2].least
}
