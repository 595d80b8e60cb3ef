//! Who of the staff does what: names put to the hands that the plan has counted.

use super::grid::Grid;
use super::jobs::{Doer, Jobs};
use super::schedule::Schedule;
use super::tasks::{Model, away_name};
use super::timetable::PlannedTask;
use crate::course::Hands;
use crate::units::Minutes;

/// A stretch of work for one of the staff.
struct Stretch {
    task: usize,
    from: i64,
    to: i64,
    doer: Doer,
}

/// Puts a person to each task that staff do: the teacher where only the teacher will do, otherwise whoever is free,
/// helpers first, so that the teacher stays free to look.
pub(super) fn assign(
    jobs: &Jobs<'_>,
    model: &Model,
    schedule: &Schedule,
    tasks: &mut [(i32, usize, PlannedTask)],
) {
    let grid = &model.calendar.grid;
    let helpers = jobs.course.settings.helpers.len();
    let mut busy: Vec<Vec<(i64, i64)>> = vec![Vec::new(); helpers + 1];
    for (person, busy) in busy.iter_mut().enumerate() {
        let away = away_name(&name_of(person));
        let tasks = model.problem.tasks.iter().enumerate().filter(|(_, task)| task.name == away);
        let minute = |slot: i32| grid.at(slot).timestamp().as_second() / 60;
        busy.extend(tasks.map(|(n, _)| (minute(schedule.start[n]), minute(schedule.end[n]))));
    }
    let mut stretches: Vec<Stretch> = Vec::new();
    for (place, (_, number, task)) in tasks.iter().enumerate() {
        let job = &jobs.jobs[*number];
        let (from, to) = (minutes(task, true), minutes(task, false));
        let doer = if task.made_ahead { Doer::Staff } else { job.doer };
        if let Some(doer) = doer.of_staff() {
            stretches.push(Stretch { task: place, from, to, doer });
        }
        let Some((_, step)) = jobs.step_of(job).filter(|_| !task.cold_wait) else { continue };
        if task.wants_eye(Some(step)) {
            busy[0].push((from, to));
        }
        if let Some(ends) = &step.ends {
            let long = rounded(grid, ends.takes.value);
            let doer = match ends.hands.value {
                Hands::Teacher => Doer::Teacher,
                Hands::Helper => Doer::Helper,
                Hands::Staff => Doer::Staff,
                Hands::Students | Hands::Nobody => continue,
            };
            stretches.push(Stretch { task: place, from, to: from + long, doer });
            stretches.push(Stretch { task: place, from: to - long, to, doer });
        }
    }
    let fixed = |doer: Doer| doer == Doer::Teacher;
    for stretch in stretches.iter().filter(|s| fixed(s.doer)) {
        busy[0].push((stretch.from, stretch.to));
    }
    let mut order: Vec<usize> = (0..stretches.len()).filter(|n| !fixed(stretches[*n].doer)).collect();
    order.sort_by_key(|n| (stretches[*n].from, stretches[*n].to, *n));
    let mut who: Vec<Option<usize>> = stretches.iter().map(|s| fixed(s.doer).then_some(0)).collect();
    let mut tries = 100_000;
    place_all(&stretches, &order, &mut busy, &mut who, &mut tries);
    for (stretch, person) in stretches.iter().zip(who) {
        // Where nobody was free, the checker says so.
        let name = person.map_or_else(|| "nobody".to_owned(), name_of);
        tasks[stretch.task].2.by.push(name);
    }
}

/// The teacher is the first of the staff.
fn name_of(person: usize) -> String {
    if person == 0 { "teacher".to_owned() } else { format!("helper-{person}") }
}

fn minutes(task: &PlannedTask, start: bool) -> i64 {
    let moment = if start { &task.start } else { &task.end };
    moment.timestamp().as_second() / 60
}

fn rounded(grid: &Grid, time: Minutes) -> i64 {
    grid.minutes(grid.up(time)).get()
}

/// Goes through the stretches by start, and back when nobody is free.
fn place_all(
    stretches: &[Stretch],
    order: &[usize],
    busy: &mut Vec<Vec<(i64, i64)>>,
    who: &mut Vec<Option<usize>>,
    tries: &mut u32,
) -> bool {
    let Some((first, rest)) = order.split_first() else { return true };
    let stretch = &stretches[*first];
    let helpers = 1..busy.len();
    let people: Vec<usize> = match stretch.doer {
        Doer::Helper => helpers.collect(),
        _ => helpers.chain([0]).collect(),
    };
    for person in people {
        let free = busy[person].iter().all(|(from, to)| *to <= stretch.from || *from >= stretch.to);
        if !free {
            continue;
        }
        if *tries == 0 {
            return false;
        }
        *tries -= 1;
        busy[person].push((stretch.from, stretch.to));
        who[*first] = Some(person);
        if place_all(stretches, rest, busy, who, tries) {
            return true;
        }
        busy[person].pop();
        who[*first] = None;
    }
    false
}
