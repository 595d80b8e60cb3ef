//! What lies before now is fixed in the model: where it was, and what it took.

use super::super::jobs::Jobs;
use super::super::problem::{Choice, Link, Point, Reason, ResourceId, Side, TaskId};
use super::super::replay::Replay;
use super::super::tasks::{HELPER, Model, STAFF, TEACHER, is_away};
use super::loose;
use super::past::{Past, Standing};

/// Past and running tasks stay where they are; nothing else starts before now. Gives back the longest waits that are
/// overstayed already: a moment that is yet to come, and the slot by which it should have been.
pub(super) fn fix_the_past(
    jobs: &Jobs<'_>,
    replay: &Replay,
    model: &mut Model,
    past: &Past,
) -> Vec<(Point, i32)> {
    let slot = past.slot;
    let own = |point: Point| loose::is_own(jobs, point);
    let jobs = replay.at.len();
    let zero = TaskId(jobs);
    let known = |point: Point| if point.task == zero { Some(point.plus) } else { past.fixed(point) };
    // What lies in the past can no longer be kept or broken.
    model.problem.lags.retain(|lag| known(lag.from).is_none() || known(lag.to).is_none());
    let mut waits = Vec::new();
    let gone = model.gone.clone();
    for lag in &mut model.problem.lags {
        // Who has closed a session already is gone when the rest is done, and not when they thought.
        if gone.contains(&lag.to.task)
            && past.standing.get(lag.from.task.0).is_some_and(|s| *s != Standing::Open)
        {
            lag.most = None;
            if known(lag.from).is_some() {
                continue;
            }
        }
        let Some(from) = known(lag.from) else {
            // What has happened cannot wait for what is yet to come.
            if known(lag.to).is_some() && lag.from.task.0 < jobs {
                (lag.least, lag.most) = (-model.problem.horizon, None);
            }
            continue;
        };
        let late = past.late.get(lag.to.task.0).copied().unwrap_or(0);
        let open = lag.to.task.0 < jobs && lag.to.side == Side::Start;
        let earliest = slot
            .max(past.start.get(lag.to.task.0).map_or(slot, |start| if late > 0 { *start } else { slot }));
        if let Some(most) = lag.most.filter(|most| open && from + most - lag.to.plus < earliest) {
            if lag.from.task != zero && !(own(lag.from) && own(lag.to)) {
                waits.push((lag.to, from + most));
            }
            lag.most = None;
        }
    }
    let problem = &mut model.problem;
    for number in 0..jobs {
        let task = TaskId(number);
        let (start, end, way) = (past.start[number], past.end[number], replay.at[number].2);
        if past.standing[number] == Standing::Open {
            let least = if past.late[number] > 0 { start.max(slot) } else { slot };
            problem.after(Point::start(zero), Point::start(task), least);
            continue;
        }
        let stretches = replay.stretches(task);
        let only = &mut problem.tasks[number].ways[way];
        only.windows.clear();
        if past.standing[number] == Standing::Runs && stretches {
            let stood = slot - start;
            if past.ripe[number] {
                only.least = only.least.min(stood);
            }
            only.most = only.most.max(stood);
        } else {
            (only.least, only.most) = (end - start, end - start);
        }
        for place in (0..problem.tasks[number].ways.len()).filter(|p| *p != way) {
            let all = vec![Choice { task, way: place }];
            problem.links.push(Link::Forbids { all, reason: Reason::Always });
        }
        problem.lag(Point::start(zero), Point::start(task), start, Some(start), Reason::Always);
        if past.standing[number] == Standing::Runs && stretches {
            // Taken up a carry ago, it may have ended before now.
            problem.after(Point::start(zero), Point::end(task), slot.min(end));
        }
    }
    waits
}

/// Whoever of the staff has something in hand goes on with it into a break, or past their hours.
pub(super) fn finish_first(replay: &Replay, model: &mut Model, past: &Past) {
    let zero = Point::start(TaskId(replay.at.len()));
    let problem = &mut model.problem;
    let staffs = |resource: ResourceId| {
        let name = problem.resources[resource.0].name.as_str();
        [TEACHER, HELPER, STAFF].contains(&name)
    };
    let runs = |task: TaskId| past.standing.get(task.0) == Some(&Standing::Runs);
    let in_hand = problem.holds.iter().filter(|hold| runs(hold.from.task) && staffs(hold.resource));
    let Some(until) = in_hand.map(|hold| past.end[hold.from.task.0]).max() else { return };
    let away: Vec<Option<(i32, i32)>> = problem
        .tasks
        .iter()
        .map(|task| task.ways.first()?.windows.first().copied().filter(|_| is_away(&task.name)))
        .collect();
    problem.holds.retain_mut(|hold| match away[hold.from.task.0] {
        Some((_, to)) if to <= until => false,
        Some((from, _)) if from < until => {
            hold.from = zero.later(until);
            true
        }
        _ => true,
    });
}

/// What was taken until now was taken, whether there was enough of it or not: from now on it counts.
pub(super) fn forget(replay: &Replay, model: &mut Model, past: &Past) {
    let now = Point::start(TaskId(replay.at.len())).later(past.slot);
    let over = |point: Point| past.fixed(point).is_some_and(|slot| slot <= past.slot);
    let problem = &mut model.problem;
    problem.holds.retain(|hold| !over(hold.from) || !over(hold.to));
    problem.aparts.retain(|apart| {
        let moments = [apart.a.0, apart.a.1, apart.b.0, apart.b.1];
        moments.into_iter().any(|point| past.fixed(point).is_none())
    });
    for hold in problem.holds.iter_mut().filter(|hold| over(hold.from)) {
        // What stands may have been taken up before now; then it is held as long as it was.
        let goes_on = match past.standing.get(hold.to.task.0) {
            _ if past.fixed(hold.to).is_some() => true,
            Some(Standing::Open) => hold.to.plus >= 0,
            Some(Standing::Runs) => {
                hold.to.side == Side::End && hold.to.plus >= 0 && !replay.stretches(hold.to.task)
            }
            _ => false,
        };
        if goes_on {
            hold.from = now;
        }
    }
}
