//! What lies before now is fixed in the model: where it was, and what it took.

use super::super::check::Broken;
use super::super::grid::Grid;
use super::super::jobs::Jobs;
use super::super::presence::{Staffer, staff};
use super::super::problem::{Choice, Hold, Link, Point, Reason, Side, TaskId};
use super::super::replay::Replay;
use super::super::tasks::{Model, away_name};
use super::super::timetable::Plan;
use super::gone::in_hand_until;
use super::keep::{Work, works_of};
use super::past::{Past, Standing};
use super::{Loosened, loose};
use crate::course::Course;
use jiff::ZonedDateTime;

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
    stand_longer(jobs, replay, model, past);
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
            if let Some(until) = not_ready_before(replay, past, number) {
                only.least = only.least.max(until - start);
                // It can be let go like any other that stands.
                only.most = only.most.max(only.least + 1);
            }
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
            let until = not_ready_before(replay, past, number).unwrap_or(slot);
            problem.after(Point::start(zero), Point::end(task), until.min(end));
        }
    }
    waits
}

/// The slot before which what stands, and was said to need longer, is not ready; `None`: nobody said so, or it is ready now.
fn not_ready_before(replay: &Replay, past: &Past, number: usize) -> Option<i32> {
    let stands = past.standing[number] == Standing::Runs && replay.stretches(TaskId(number));
    let late = past.late[number];
    (stands && late > 0 && !past.ripe[number]).then(|| replay.at[number].1 + late)
}

/// What several take up, and what needs longer, each takes up so much later.
fn stand_longer(jobs: usize, replay: &Replay, model: &mut Model, past: &Past) {
    for lag in &mut model.problem.lags {
        let (stand, taker) = (lag.from.task.0, lag.to.task.0);
        let of_stand = stand < jobs && taker < jobs && stand != taker;
        if !of_stand || (lag.from.side, lag.to.side) != (Side::Start, Side::Start) {
            continue;
        }
        if not_ready_before(replay, past, stand).is_some() && past.standing[taker] == Standing::Open {
            let least = replay.at[taker].0 + past.late[stand] - past.start[stand];
            lag.least = lag.least.max(least);
            lag.most = lag.most.map(|most| most.max(least + 1));
        }
    }
}

/// Whoever of the staff has something in hand goes on with it into a break of their own, or past their own hours, and is away from then on.
/// Where not everything can be kept as written, they take out a load in their break, too: it cannot wait for as long as that.
pub(super) fn finish_first(
    (jobs, plan): (&Jobs<'_>, &Plan),
    replay: &Replay,
    model: &mut Model,
    past: &Past,
    loosened: Loosened,
) {
    let zero = Point::start(TaskId(replay.at.len()));
    let grid = &model.calendar.grid;
    let problem = &mut model.problem;
    let running: Vec<usize> =
        (0..past.standing.len()).filter(|n| past.standing[*n] == Standing::Runs).collect();
    for one in staff(jobs.course).iter().filter(|one| !one.is_there_as_all()) {
        let who = &one.who;
        let until =
            running.iter().filter_map(|n| in_hand_until(jobs, plan, grid, past, *n, who)).max().unwrap_or(0);
        let mut spans = vec![(past.slot, until)];
        if loosened > Loosened::Nothing {
            spans.extend(running.iter().filter_map(|n| comes_out(jobs, plan, grid, past, *n, who)));
        }
        let name = away_name(who);
        let theirs = problem.tasks.iter().enumerate().filter(|(_, task)| task.name == name);
        let theirs: Vec<usize> = theirs.map(|(number, _)| number).collect();
        for number in theirs {
            let Some((way, (from, to))) =
                problem.tasks[number].ways.first().and_then(|w| Some((w.clone(), *w.windows.first()?)))
            else {
                continue;
            };
            let in_it: Vec<(i32, i32)> =
                spans.iter().copied().filter(|(a, b)| *a < to && from < *b).collect();
            let since = in_it.iter().map(|span| span.0).min().unwrap_or(past.slot);
            let until = in_it.iter().map(|span| span.1).fold(past.slot, i32::max);
            if from >= until {
                continue;
            }
            let task = TaskId(number);
            // Who stays while a session is late goes when it is over, and not at a time of the clock.
            let stays = way.least < way.most;
            let (theirs, mut holds): (Vec<Hold>, Vec<Hold>) =
                std::mem::take(&mut problem.holds).into_iter().partition(|hold| hold.from.task == task);
            for hold in theirs {
                if !stays && from.max(past.slot) < since {
                    let (from, to) = (zero.later(from.max(past.slot)), zero.later(since));
                    holds.push(Hold { from, to, ..hold.clone() });
                }
                if to <= until {
                    continue;
                }
                let only_if = |way| if stays { vec![Choice { task, way }] } else { Vec::new() };
                if stays {
                    holds.push(Hold { only_if: only_if(0), ..hold.clone() });
                }
                holds.push(Hold { from: zero.later(until), only_if: only_if(1), ..hold });
            }
            problem.holds = holds;
            if stays {
                problem.tasks[number].ways.push(way);
            }
        }
    }
}

/// When one of the staff is to take a running load out, if that is still to come.
fn comes_out(
    jobs: &Jobs<'_>,
    plan: &Plan,
    grid: &Grid,
    past: &Past,
    number: usize,
    who: &str,
) -> Option<(i32, i32)> {
    let task = plan.task(&jobs.jobs[number].id)?;
    let mut own = works_of(jobs.course, task).into_iter().zip(&task.by).filter(|(_, by)| *by == who);
    let (work, _) = own.find(|(work, _)| work.side == Some(Side::End))?;
    let end = past.end[number];
    let from = end - grid.up(work.long?);
    (past.slot <= from).then_some((from, end))
}

/// Whether it is only said that somebody of the staff goes on into a break, or past their hours, with what they had begun before now: what
/// they are yet to do of the same task they are there for.
pub(super) fn had_begun(course: &Course, plan: &Plan, now: &ZonedDateTime, broken: &Broken) -> bool {
    let [id] = broken.tasks.as_slice() else { return false };
    let Some(task) = plan.task(id) else { return false };
    if broken.rule == "eye" {
        return task.start < *now;
    }
    let of_whom = |one: &Staffer| broken.message.starts_with(&format!("{} has a break", one.who));
    let Some(one) = staff(course).into_iter().find(of_whom) else { return false };
    let one = one.staying(&plan.sessions);
    let works = works_of(course, task).into_iter().zip(&task.by).filter(|(_, who)| **who == one.who);
    let (begun, open): (Vec<Work>, Vec<Work>) =
        works.map(|(work, _)| work).partition(|work| work.from < *now);
    !begun.is_empty() && open.iter().all(|work| one.can_take(&work.from, &work.to))
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
