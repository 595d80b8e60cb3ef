//! Who is not there from now on: whose hands are taken away, and when.

use super::super::grid::Grid;
use super::super::jobs::{Doer, Jobs, Shows, What};
use super::super::problem::{Hold, Point, Side, TaskId};
use super::super::replay::Replay;
use super::super::tasks::{HELPER, Model, PRESENT, STAFF, TEACHER, away_name};
use super::super::timetable::Plan;
use super::Absent;
use super::keep::works_of;
use super::past::{Past, Standing};
use crate::course::{Course, StationNo};
use crate::reckon::work::Class;

/// The stations at which nobody is left.
pub(super) fn empty_stations(class: &Class, absent: &[Absent]) -> Vec<StationNo> {
    let left =
        |no: StationNo, seats: usize| seats <= absent.iter().filter(|a| **a == Absent::Student(no)).count();
    class.stations.iter().filter(|s| left(s.no, s.seats.len())).map(|s| s.no).collect()
}

pub(super) fn helpers_left(course: &Course, absent: &[Absent]) -> usize {
    let gone = absent.iter().filter(|a| matches!(a, Absent::Helper(_))).count();
    course.settings.helpers.len().saturating_sub(gone)
}

/// Gives what is yet to be done for an empty station to staff, and what a helper would do to whoever is left. Work that runs at a station
/// that is empty now is staff's for what is left of it.
pub(super) fn without_the_absent(
    jobs: &mut Jobs<'_>,
    (plan, grid): (&Plan, &Grid),
    past: &mut Past,
    empty: &[StationNo],
    no_helper: bool,
) {
    for (number, job) in jobs.jobs.iter_mut().enumerate() {
        let students = matches!(job.doer, Doer::Students | Doer::OneStudent);
        let own = matches!(job.what, What::Own(..));
        let nobody_left = !job.stations.is_empty() && job.stations.iter().all(|no| empty.contains(no));
        match past.standing[number] {
            Standing::Over => continue,
            Standing::Runs => {
                let task = plan.task(&job.id).filter(|task| !task.made_ahead);
                let Some(task) = task.filter(|_| students && !own && nobody_left) else { continue };
                // Staff who have it already may begin later than now.
                let since = task.taken_over.as_ref().map_or(past.slot, |at| grid.slot_from(at));
                let left = past.end[number] - since.max(past.slot);
                if left > 0 {
                    past.taken.insert(number, left);
                    job.stations.clear();
                    job.doer = Doer::Staff;
                }
            }
            Standing::Open => {
                job.stations.retain(|no| !empty.contains(no));
                if students && nobody_left && !own {
                    job.doer = Doer::Staff;
                }
                if no_helper {
                    job.doer = match job.doer {
                        Doer::Helper => Doer::Staff,
                        Doer::Demo(Shows::Helper) => Doer::Demo(Shows::Staff),
                        other => other,
                    };
                }
            }
        }
    }
}

/// What is left of work whose students are gone waits until somebody of the staff is free for all of it.
pub(super) fn take_over(replay: &Replay, model: &mut Model, past: &Past) {
    let problem = &mut model.problem;
    for (number, left) in &past.taken {
        let (task, way) = (TaskId(*number), replay.at[*number].2);
        problem.tasks[*number].ways[way].most = problem.horizon;
        let whole = |h: &&mut Hold| h.from == Point::start(task) && h.to == Point::end(task);
        for hold in problem.holds.iter_mut().filter(whole) {
            let name = problem.resources[hold.resource.0].name.as_str();
            if [TEACHER, STAFF, PRESENT].contains(&name) {
                hold.from = Point::end(task).later(-left);
            }
        }
    }
}

/// Takes away the hands of those who are not there.
pub(super) fn absent(jobs: &Jobs<'_>, plan: &Plan, model: &mut Model, past: &Past, absent: &[Absent]) {
    let grid = &model.calendar.grid;
    let problem = &mut model.problem;
    let horizon = problem.horizon;
    for one in absent {
        match one {
            Absent::Student(no) => {
                // Who is left does one thing at a time: each piece of work takes all hands of the station.
                let of = jobs.class.stations.iter().find(|s| s.no == *no);
                let name = of.map(|s| format!("the {} students at station {no}", s.students()));
                let Some(resource) = problem.resources.iter().position(|r| Some(&r.name) == name.as_ref())
                else {
                    continue;
                };
                let all = problem.resources[resource].capacity;
                let open = |n: usize| past.standing.get(n).is_none_or(|s| *s == Standing::Open);
                for hold in problem.holds.iter_mut().filter(|h| h.resource.0 == resource && h.amount > 0) {
                    if open(hold.from.task.0) {
                        hold.amount = all;
                    }
                }
            }
            Absent::Helper(number) => {
                // What is in hand is finished; then there is one pair of hands less.
                let name = format!("helper-{number}");
                let running = (0..past.standing.len()).filter(|n| past.standing[*n] == Standing::Runs);
                let in_hand = running.filter_map(|n| in_hand_until(jobs, plan, grid, past, n, &name));
                let from = in_hand.max().unwrap_or(past.slot).max(past.slot);
                // When they would have been away is no matter any more.
                let away = away_name(&name);
                let theirs: Vec<bool> = problem.tasks.iter().map(|task| task.name == away).collect();
                problem.holds.retain(|hold| !theirs[hold.from.task.0]);
                let parts = problem.resources.iter().find(|r| r.name == TEACHER).map_or(1, |r| r.capacity);
                for resource in &mut problem.resources {
                    let less = match resource.name.as_str() {
                        HELPER => 1,
                        STAFF => parts,
                        _ => continue,
                    };
                    let there = resource.calendar.iter().map(|c| c.2).min().unwrap_or(resource.capacity);
                    resource.calendar.push((from, horizon, (there - less).max(0)));
                }
            }
        }
    }
}

/// When someone of the staff has done what they have in hand of a running job: its work, the end of it that they are at, or the teacher's eye
/// on it.
pub(super) fn in_hand_until(
    jobs: &Jobs<'_>,
    plan: &Plan,
    grid: &Grid,
    past: &Past,
    number: usize,
    name: &str,
) -> Option<i32> {
    let job = &jobs.jobs[number];
    let task = plan.task(&job.id)?;
    let (start, end) = (past.start[number], past.end[number]);
    let watched = name == "teacher"
        && !job.stations.is_empty()
        && task.wants_eye(jobs.step_of(job).map(|(_, step)| step));
    let own = works_of(jobs.course, task).into_iter().zip(&task.by).filter(|(_, by)| *by == name);
    own.filter_map(|(work, _)| {
        let slots = work.long.map_or(end - start, |long| grid.up(long));
        match work.side {
            None => Some(end),
            Some(Side::Start) => (start < past.slot && past.slot < start + slots).then_some(start + slots),
            Some(Side::End) => (end - slots < past.slot && past.slot < end).then_some(end),
        }
    })
    .chain(watched.then_some(end))
    .max()
}
