//! What may be let go when nothing else is left: waits, breaks' times, loads that wait for hands, how long a dough may stand, and at last that
//! it is put at once where it stands.

use super::super::jobs::{Jobs, What};
use super::super::problem::{Lag, Point, Reason, Side, TaskId, Way};
use super::super::replay::Replay;
use super::super::tasks::Model;
use super::Loosened;
use super::past::{Past, Standing};
use crate::course::Lasts;
use crate::units::Minutes;

/// So much longer than its step's longest time a load may be planned to stay in the oven, until somebody is free to take it out. Nobody has
/// published such a figure: it is the program's own, no more than one pair of hands needs for another oven first.
const OVER_WRITTEN: Minutes = Minutes(10);

/// Lets go of longest waits and breaks' times, and then of how long a dough may stand. Gives back a task for each wait, as
/// long as the wait is overstayed, and for each break, as long as it is off its time.
pub(super) fn loosen(
    jobs: &Jobs<'_>,
    replay: &Replay,
    model: &mut Model,
    past: &Past,
    loosened: Loosened,
) -> (Vec<TaskId>, Vec<TaskId>) {
    if loosened == Loosened::Nothing {
        return (Vec::new(), Vec::new());
    }
    let all = jobs.jobs.len();
    let horizon = model.problem.horizon;
    let is_stand = |n: usize| n < all && jobs.stands(&jobs.jobs[n]);
    let (mut waits, mut breaks): (Vec<Lag>, Vec<Lag>) = (Vec::new(), Vec::new());
    for lag in model.problem.lags.iter_mut().filter(|l| l.from.task.0 < all && l.to.task.0 < all) {
        // What stands still stands until it is taken up.
        let taken_up = lag.from.side == Side::End && is_stand(lag.from.task.0) && lag.most == Some(0);
        let put_there = is_stand(lag.to.task.0) && lag.most == Some(0) && loosened < Loosened::Places;
        if !taken_up && !put_there && lag.most.is_some() {
            // When the class tidies up after its tasting, nothing has stood too long.
            if !(is_own(jobs, lag.from) && is_own(jobs, lag.to)) {
                waits.push(lag.clone());
            }
            lag.most = None;
        }
    }
    for (number, job) in jobs.jobs.iter().enumerate().filter(|(n, _)| past.standing[*n] == Standing::Open) {
        if let What::Own(_, session) = job.what
            && let Some(span) = model.calendar.sessions.get(session)
        {
            let (task, clock) = (TaskId(number), Point::start(TaskId(all)));
            for way in model.problem.tasks[number].ways.iter_mut().filter(|w| !w.windows.is_empty()) {
                // A break that comes at another time than it should spoils no dough, and is not moved for nothing.
                if let [(early, late)] = way.windows[..]
                    && (early, late) != *span
                {
                    let apart = |from, to| {
                        let (only_if, reason) = (Vec::new(), Reason::Always);
                        Lag { from, to, least: 0, most: Some(0), only_if, reason }
                    };
                    breaks.push(apart(clock.later(late), Point::end(task)));
                    breaks.push(apart(Point::start(task), clock.later(early)));
                }
                way.windows = vec![*span];
            }
        }
    }
    waits.extend(loads_wait(jobs, replay, model, past));
    if loosened >= Loosened::Stands {
        for number in (0..all).filter(|n| is_stand(*n) && past.standing[*n] != Standing::Over) {
            let task = TaskId(number);
            let mut most = None;
            for way in model.problem.tasks[number].ways.iter_mut().filter(|w| w.most > w.least) {
                most = most.max(Some(way.most));
                way.most = horizon;
            }
            if let Some(most) = most {
                let (from, to) = (Point::start(task), Point::end(task));
                let (only_if, reason) = (Vec::new(), Reason::Always);
                waits.push(Lag { from, to, least: 0, most: Some(most), only_if, reason });
            }
        }
        for lag in
            model.problem.lags.iter_mut().filter(|l| is_stand(l.from.task.0) && l.from.side == Side::Start)
        {
            if lag.most.is_some() {
                waits.push(lag.clone());
                lag.most = None;
            }
        }
    }
    let mut tasks = |lags: Vec<Lag>| -> Vec<TaskId> {
        let told = lags.into_iter().filter(|lag| lag.only_if.is_empty());
        told.filter_map(|lag| overstay(model, past, &lag)).collect()
    };
    let overstays = tasks(waits);
    (overstays, tasks(breaks))
}

/// A step of the class itself: its welcome, its break, its clean-down.
pub(super) fn is_own(jobs: &Jobs<'_>, point: Point) -> bool {
    jobs.jobs.get(point.task.0).is_some_and(|job| matches!(job.what, What::Own(..)))
}

/// What is in the oven comes out when there are hands for it. Gives back the time that it should have taken, as a wait.
fn loads_wait(jobs: &Jobs<'_>, replay: &Replay, model: &mut Model, past: &Past) -> Vec<Lag> {
    let mut waits = Vec::new();
    for (number, job) in jobs.jobs.iter().enumerate() {
        let step = jobs.step_of(job).map(|(_, step)| step).filter(|step| step.ends.is_some());
        let Some(Lasts::Takes { takes, each }) = step.map(|step| &step.lasts) else { continue };
        let task = TaskId(number);
        if past.standing[number] != Standing::Runs || replay.stretches(task) {
            continue;
        }
        let way = &mut model.problem.tasks[number].ways[replay.at[number].2];
        let (from, to, most) = (Point::start(task), Point::end(task), Some(way.most));
        let longest = takes.value.longest(each.as_ref().map(|e| e.value), job.pieces());
        let grid = &model.calendar.grid;
        way.most = way.most.max(grid.down(longest)) + grid.down(OVER_WRITTEN);
        waits.push(Lag { from, to, least: 0, most, only_if: Vec::new(), reason: Reason::Always });
    }
    waits
}

/// A task that lasts from the moment at which a wait should have ended to the one at which it does; none where that moment lies
/// beyond everything that is planned.
fn overstay(model: &mut Model, past: &Past, wait: &Lag) -> Option<TaskId> {
    let problem = &mut model.problem;
    let most = wait.most.unwrap_or(0);
    let earliest = past.fixed(wait.from).unwrap_or(wait.from.plus);
    if earliest.saturating_add(most) >= problem.horizon {
        return None;
    }
    let task = problem.task("overstayed", vec![Way::ranged("", 0, 2 * problem.horizon)]);
    // It may begin earlier, and then lasts longer: so that a wait that could end after everything needs no moment there.
    problem.lag(wait.from, Point::start(task), -problem.horizon, Some(most), Reason::Always);
    problem.after(wait.to, Point::end(task), 0);
    model.ways.push(Vec::new());
    Some(task)
}
