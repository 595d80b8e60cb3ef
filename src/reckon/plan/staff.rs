//! Who of the staff does what: names put to the hands that the plan has counted.

use super::catch_up::works_of;
use super::grid::Grid;
use super::jobs::{Doer, Jobs};
use super::problem::{Apart, Point, Reason, Side, TaskId};
use super::schedule::Schedule;
use super::tasks::{Model, away_name};
use super::timetable::{Plan, PlannedTask};
use crate::course::Hands;
use crate::units::Minutes;

/// Who does what nobody of the staff is free for.
pub(super) const NOBODY: &str = "nobody";

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
    if !place_all(&stretches, &order, &mut busy, &mut who, &mut tries) {
        // Whoever can be put to something is: nobody is left for what is in the way, and for that alone.
        for n in order {
            let stretch = &stretches[n];
            who[n] = people(stretch, busy.len()).into_iter().find(|person| is_free(&busy[*person], stretch));
            if let Some(person) = who[n] {
                busy[person].push((stretch.from, stretch.to));
            }
        }
    }
    for (stretch, person) in stretches.iter().zip(who) {
        // Where nobody was free, the checker says so.
        let name = person.map_or_else(|| NOBODY.to_owned(), name_of);
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

/// Who may do something, of so many staff: the teacher last, and not what a helper does.
fn people(stretch: &Stretch, staff: usize) -> Vec<usize> {
    let helpers = 1..staff;
    match stretch.doer {
        Doer::Helper => helpers.collect(),
        _ => helpers.chain([0]).collect(),
    }
}

fn is_free(busy: &[(i64, i64)], stretch: &Stretch) -> bool {
    busy.iter().all(|(from, to)| *to <= stretch.from || *from >= stretch.to)
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
    for person in people(stretch, busy.len()) {
        if !is_free(&busy[person], stretch) {
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

/// What is to lie apart so that somebody may be free for what nobody is: that there are hands enough at each moment does not say that each piece
/// of work has its pair from its start to its end.
pub(super) fn to_be_apart(jobs: &Jobs<'_>, model: &Model, plan: &Plan) -> Vec<Apart> {
    let mut pieces = Vec::new();
    for (number, job) in jobs.jobs.iter().enumerate() {
        let Some(task) = plan.task(&job.id) else { continue };
        let (start, end) = (Point::start(TaskId(number)), Point::end(TaskId(number)));
        for (work, who) in works_of(jobs.course, task).into_iter().zip(&task.by) {
            let slots = work.long.map(|long| model.calendar.grid.up(long));
            let span = match (work.side, slots) {
                (Some(Side::Start), Some(slots)) => (start, start.later(slots)),
                (Some(Side::End), Some(slots)) => (end.later(-slots), end),
                _ => (start, end),
            };
            pieces.push((who == NOBODY, work.from, work.to, span));
        }
    }
    let mut apart = Vec::new();
    for (place, a) in pieces.iter().enumerate() {
        let at_once = |b: &&(bool, _, _, (Point, Point))| {
            (a.0 || b.0) && a.3.0.task != b.3.0.task && a.1 < b.2 && b.1 < a.2
        };
        apart.extend(pieces[place + 1..].iter().filter(at_once).map(|b| {
            let (gap_ab, gap_ba) = (Some(0), Some(0));
            Apart { a: a.3, b: b.3, gap_ab, gap_ba, only_if: Vec::new(), reason: Reason::Always }
        }));
    }
    apart
}
