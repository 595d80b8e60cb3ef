//! What has failed is taken away, and who does what on which machine stays as printed wherever it can.

use super::super::jobs::Jobs;
use super::super::presence::{self, Staffer};
use super::super::problem::{Choice, Link, Reason, Side, TaskId};
use super::super::replay::Replay;
use super::super::tasks::Model;
use super::super::timetable::{Plan, PlannedTask};
use super::past::{Past, Standing};
use super::{Absent, Now};
use crate::course::{Course, Hands, Loan};
use crate::units::Minutes;
use jiff::{SignedDuration, ZonedDateTime};

/// `oven-2` as its kind and number; `None` when it does not end in a number.
fn unit_of(name: &str) -> Option<(&str, u32)> {
    let (kind, number) = name.rsplit_once('-')?;
    Some((kind, number.parse().ok().filter(|n| *n > 0)?))
}

/// Whether a task uses something that has failed.
pub(super) fn is_in(task: Option<&PlannedTask>, without: &[String]) -> bool {
    task.is_some_and(|t| {
        t.uses.iter().any(|u| unit_of(&u.resource).is_some() && without.contains(&u.resource))
    })
}

/// The course with one of each kind fewer of what has failed. Ovens stay: they are told apart by their numbers.
pub(super) fn kitchen_without(course: &Course, without: &[String]) -> Course {
    let mut fewer = course.clone();
    let kitchen = &mut fewer.kitchen;
    for name in without {
        for mixer in &mut kitchen.mixers {
            let id = mixer.id.value.as_str();
            if id == name || unit_of(name).is_some_and(|(kind, _)| kind == id) {
                one_fewer(&mut mixer.count.value, mixer.loan.as_mut());
            }
        }
        let counted = kitchen.tins.iter_mut().map(|t| (&t.id, &mut t.count, t.loan.as_mut()));
        let counted = counted.chain(kitchen.trays.iter_mut().map(|t| (&t.id, &mut t.count, t.loan.as_mut())));
        let counted = counted.chain(kitchen.tubs.iter_mut().map(|t| (&t.id, &mut t.count, None)));
        let shelves = kitchen.cold.iter_mut().chain(&mut kitchen.freezers).chain(&mut kitchen.warm);
        let shelves = shelves.chain(&mut kitchen.racks).map(|s| (&s.id, &mut s.count, None));
        for (id, count, loan) in counted.chain(shelves) {
            if id.value.as_str() == name {
                one_fewer(&mut count.value, loan);
            }
        }
        for hob in kitchen.hobs.iter_mut().filter(|h| h.id.value.as_str() == name) {
            hob.burners.value = 0;
        }
    }
    fewer
}

/// One of the kitchen's own has failed; where none of those is left, a borrowed one.
pub(super) fn one_fewer(own: &mut u32, loan: Option<&mut Loan>) {
    match loan {
        Some(loan) if *own == 0 => loan.count.value = loan.count.value.saturating_sub(1),
        _ => *own = own.saturating_sub(1),
    }
}

/// There was as much as printed until now; from now on there is less.
pub(super) fn lower(printed: &Replay, model: &mut Model, past: &Past) {
    let before = &printed.model.problem.resources;
    let problem = &mut model.problem;
    if before.len() != problem.resources.len() {
        return;
    }
    for (number, old) in before.iter().enumerate() {
        let new = problem.resources[number].capacity;
        if new >= old.capacity {
            continue;
        }
        problem.resources[number].capacity = old.capacity;
        problem.resources[number].calendar.push((past.slot, problem.horizon, new));
        if new == 0 {
            // What stands in the only one is moved by hand: where to, the plan does not know.
            let began = |task: usize| past.standing.get(task).is_some_and(|s| *s != Standing::Open);
            problem.holds.retain(|h| h.resource.0 != number || !began(h.from.task.0));
        }
    }
}

/// What stands, has not begun and has nothing left that takes it up stands as long as printed: with no next step a course says only how
/// long at least, and it would be changed for nothing.
pub(super) fn as_long_as_printed(
    jobs: &Jobs<'_>,
    printed: &Jobs<'_>,
    replay: &Replay,
    model: &mut Model,
    past: &Past,
) {
    let was_taken_up = |id: &String| {
        let place = printed.jobs.iter().position(|job| job.id == *id);
        place.is_some_and(|place| printed.takers(place).next().is_some())
    };
    for (number, job) in jobs.jobs.iter().enumerate() {
        let open = past.standing[number] == Standing::Open;
        if open && jobs.stands(job) && jobs.takers(number).next().is_none() && was_taken_up(&job.id) {
            let (start, end, way) = replay.at[number];
            let way = &mut model.problem.tasks[number].ways[way];
            (way.least, way.most) = (end - start, end - start);
        }
    }
}

/// The ovens among what has failed, by kind and number in it.
pub(super) fn ovens<'a>(
    course: &'a Course,
    without: &'a [String],
) -> impl Iterator<Item = (usize, u32)> + 'a {
    let ovens = &course.kitchen.ovens;
    without.iter().filter_map(|name| unit_of(name)).filter_map(|(kind, number)| {
        let kind = ovens.iter().position(|o| o.id.value.as_str() == kind)?;
        Some((kind, number - 1))
    })
}

/// Forbids the ovens that have failed to all that has not begun.
pub(super) fn fail(course: &Course, replay: &Replay, model: &mut Model, past: &Past, without: &[String]) {
    for oven in ovens(course, without) {
        for (job, ways) in model.ways.iter().enumerate().take(replay.at.len()) {
            for (way, _) in ways.iter().enumerate().filter(|(_, w)| w.oven == Some(oven)) {
                if past.standing[job] == Standing::Open {
                    let all = vec![Choice { task: TaskId(job), way }];
                    model.problem.links.push(Link::Forbids { all, reason: Reason::Always });
                }
            }
        }
    }
}

/// Puts the printed names back: who of the staff, and which of several mixers, as far as they are free then.
pub(super) fn who_and_which(course: &Course, was: &Plan, new: &mut Plan, now: &Now) {
    mixers(course, was, new, now);
    staff(course, was, new, now);
}

fn mixers(course: &Course, was: &Plan, new: &mut Plan, now: &Now) {
    for mixer in &course.kitchen.mixers {
        let kind = mixer.id.value.as_str();
        let count = mixer.count.value + mixer.loan.as_ref().map_or(0, |l| l.count.value);
        let between = SignedDuration::from_mins(mixer.between.value.get());
        // By unit, when it is free again.
        let mut free: Vec<Option<ZonedDateTime>> = vec![None; count as usize];
        let mut taken: Vec<(usize, String)> = Vec::new();
        for (place, task) in new.tasks.iter().enumerate() {
            let Some(used) = task.uses.iter().find(|u| unit_of(&u.resource).is_some_and(|(k, _)| k == kind))
            else {
                continue;
            };
            let printed = was.task(&task.id).and_then(|t| {
                t.uses.iter().find_map(|u| {
                    unit_of(&u.resource).filter(|(k, _)| *k == kind).map(|(_, n)| n as usize - 1)
                })
            });
            let over = task.start < now.time;
            let works = |unit: usize| over || !now.without.contains(&format!("{kind}-{}", unit + 1));
            let idle = |unit: usize| free[unit].as_ref().is_none_or(|at| *at <= task.start);
            // A bowl that goes on with the same batch is its own.
            let same = taken.iter().rev().find(|(before, _)| {
                let other = &new.tasks[*before];
                other.group == task.group && other.lesson == task.lesson && other.end == task.start
            });
            let unit = same
                .and_then(|(_, name)| unit_of(name).map(|(_, n)| n as usize - 1))
                .or(printed.filter(|u| *u < free.len() && works(*u) && idle(*u)))
                .or_else(|| (0..free.len()).find(|u| works(*u) && idle(*u)));
            if let Some(unit) = unit {
                free[unit] = Some(used.until.saturating_add(between));
                taken.push((place, format!("{kind}-{}", unit + 1)));
            }
        }
        for (place, name) in taken {
            for used in &mut new.tasks[place].uses {
                if unit_of(&used.resource).is_some_and(|(k, _)| k == kind) {
                    used.resource.clone_from(&name);
                }
            }
        }
    }
}

/// A piece of a task's work for one of the staff.
pub(in crate::reckon::plan) struct Work {
    /// When it begins.
    pub from: ZonedDateTime,
    /// When it is over.
    pub to: ZonedDateTime,
    /// At which end of the task it is; `None` for all of it.
    pub side: Option<Side>,
    /// How long the hands at an end are needed; `None` for all of it.
    pub long: Option<Minutes>,
}

/// The pieces of work of a task, one for each name in its `by` and in that order: the whole of it, or its two ends.
pub(in crate::reckon::plan) fn works_of(course: &Course, task: &PlannedTask) -> Vec<Work> {
    let step = task.lesson.as_ref().and_then(|l| course.lesson(l)?.step(&task.step));
    let ends = step.and_then(|s| s.ends.as_ref()).filter(|_| task.hands == Hands::Nobody);
    let (start, end) = (task.start.clone(), task.end.clone());
    let Some(ends) = ends else {
        let from = task.taken_over.clone().unwrap_or(start);
        return vec![Work { from, to: end, side: None, long: None }];
    };
    let long = Some(ends.takes.value);
    let lasts = SignedDuration::from_mins(ends.takes.value.get());
    let (in_by, out_from) = (start.saturating_add(lasts), end.saturating_sub(lasts));
    vec![
        Work { from: start, to: in_by, side: Some(Side::Start), long },
        Work { from: out_from, to: end, side: Some(Side::End), long },
    ]
}

/// A stretch of work for one of the staff: of which task, which of its pieces of work, and when.
struct Stretch {
    task: usize,
    piece: usize,
    from: ZonedDateTime,
    to: ZonedDateTime,
    /// Who may do it, the one printed first.
    people: Vec<String>,
}

fn staff(course: &Course, was: &Plan, new: &mut Plan, now: &Now) {
    let gone = |name: &String| {
        now.absent.iter().any(|a| matches!(a, Absent::Helper(n) if *name == format!("helper-{n}")))
    };
    let helpers: Vec<String> = (1..=course.settings.helpers.len()).map(|n| format!("helper-{n}")).collect();
    let known: Vec<Staffer> =
        presence::staff(course).into_iter().map(|one| one.staying(&new.sessions)).collect();
    let mut busy: Vec<(String, ZonedDateTime, ZonedDateTime)> = Vec::new();
    let mut open: Vec<Stretch> = Vec::new();
    for (place, task) in new.tasks.iter().enumerate() {
        let step = task.lesson.as_ref().and_then(|l| course.lesson(l)?.step(&task.step));
        if task.wants_eye(step) {
            busy.push(("teacher".to_owned(), task.start.clone(), task.end.clone()));
        }
        let printed = was.task(&task.id).map_or(&[][..], |t| t.by.as_slice());
        for (piece, (work, who)) in works_of(course, task).into_iter().zip(&task.by).enumerate() {
            let (from, to) = (work.from, work.to);
            let printed = printed.get(piece);
            let only_teacher = task.hands == Hands::Teacher;
            if from < now.time || only_teacher {
                let who = printed.filter(|_| from < now.time).unwrap_or(who);
                busy.push((who.clone(), from.clone(), to.clone()));
                open.push(Stretch { task: place, piece, from, to, people: vec![who.clone()] });
                continue;
            }
            let only_helper = task.hands == Hands::Helper && helpers.iter().any(|h| !gone(h));
            let teacher = (!only_helper).then(|| "teacher".to_owned());
            let mut people: Vec<String> =
                printed.cloned().into_iter().chain(helpers.iter().cloned()).chain(teacher).collect();
            let mut seen: Vec<String> = Vec::new();
            people.retain(|p| {
                !gone(p) && !seen.contains(p) && {
                    seen.push(p.clone());
                    true
                }
            });
            let there = |who: &String| {
                known.iter().find(|one| one.who == *who).is_none_or(|one| one.can_take(&from, &to))
            };
            if people.iter().any(there) {
                people.retain(there);
            }
            open.push(Stretch { task: place, piece, from, to, people });
        }
    }
    open.sort_by(|a, b| {
        (a.people.len() > 1, &a.from, &a.to, a.task, a.piece).cmp(&(
            b.people.len() > 1,
            &b.from,
            &b.to,
            b.task,
            b.piece,
        ))
    });
    let settled = open.iter().take_while(|s| s.people.len() == 1).count();
    let mut who: Vec<String> = open.iter().take(settled).map(|s| s.people[0].clone()).collect();
    let mut tries = 100_000;
    if place_all(&open[settled..], &mut busy, &mut who, &mut tries) {
        for (stretch, name) in open.iter().zip(who) {
            if let Some(by) = new.tasks[stretch.task].by.get_mut(stretch.piece) {
                *by = name;
            }
        }
    }
}

/// Goes through the stretches by start, and back when nobody is free.
fn place_all(
    open: &[Stretch],
    busy: &mut Vec<(String, ZonedDateTime, ZonedDateTime)>,
    who: &mut Vec<String>,
    tries: &mut u32,
) -> bool {
    let Some((first, rest)) = open.split_first() else { return true };
    for name in &first.people {
        let free = busy.iter().all(|(b, from, to)| b != name || *to <= first.from || *from >= first.to);
        if !free {
            continue;
        }
        if *tries == 0 {
            return false;
        }
        *tries -= 1;
        busy.push((name.clone(), first.from.clone(), first.to.clone()));
        who.push(name.clone());
        if place_all(rest, busy, who, tries) {
            return true;
        }
        busy.pop();
        who.pop();
    }
    false
}
