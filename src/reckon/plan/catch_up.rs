//! The rest of the day, planned again from now: what is over stays, what runs runs on, and everything else moves as
//! little as possible.

use super::check::check;
use super::choose::{Effort, plan_of};
use super::jobs::Jobs;
use super::problem::{Choice, Lag, Link, Point, Quantity, Reason, TaskId, Term};
use super::replay::{Replay, picked_of};
use super::schedule::{Budget, Schedule};
use super::solver;
use super::tasks::{Model, Reading};
use super::timetable::Plan;
use crate::course::Course;
use crate::reckon::work::{Class, Portion};
use crate::units::Minutes;
use jiff::ZonedDateTime;

/// How things stand.
#[derive(Clone, PartialEq, Debug)]
pub struct Now {
    /// What time it is.
    pub time: ZonedDateTime,
    /// Tasks that are over, by id, though the plan has them later.
    pub done: Vec<String>,
    /// Tasks that run, or start, so much later than planned.
    pub late: Vec<(String, Minutes)>,
    /// What has failed: `oven-2`, `small-mixer-1`, a kind of tin for one of it.
    pub without: Vec<String>,
}

/// One change against the printed plan.
#[derive(Clone, PartialEq, Debug)]
pub struct Changed {
    /// The task.
    pub id: String,
    /// When it was to start and end.
    pub was: (ZonedDateTime, ZonedDateTime),
    /// When it does now.
    pub now: (ZonedDateTime, ZonedDateTime),
}

/// A plan from now on.
#[derive(Clone, PartialEq, Debug)]
pub struct CaughtUp {
    /// The plan: what was is as it was.
    pub plan: Plan,
    /// What is different.
    pub changes: Vec<Changed>,
    /// What the checker says about it. What happened late may break a carry for good: that is said, not hidden.
    pub broken: Vec<super::check::Broken>,
}

/// Plans the rest again; `None` when nothing was found, or when the plan is not one of this course.
#[must_use]
pub fn catch_up(
    course: &Course,
    class: &Class,
    portions: &[Portion],
    plan: &Plan,
    now: &Now,
    effort: Effort,
) -> Option<CaughtUp> {
    let picked = picked_of(plan);
    let jobs = Jobs::of(course, class, portions, &picked);
    let calendar = super::grid::Calendar::of(course)?;
    let over = calendar.grid.up(effort.over);
    let replay = Replay::of(&jobs, course, plan, over)?;
    let mut model = replay.model.clone();
    let fixed = fix_the_past(&jobs, &replay, &mut model, now);
    fail(&jobs, &replay, &mut model, now);
    aim(&jobs, &replay, &mut model, &fixed);
    let budget = Budget { per_term: effort.per_term, conflict: 0 };
    let outcome = solver::solve(&model.problem, &budget);
    let new = plan_of(&jobs, &model, &outcome, (1, 1))?;
    let changes = changes(plan, &new);
    let broken = check(course, class, portions, &new);
    Some(CaughtUp { plan: new, changes, broken })
}

/// Past and running tasks stay where they are; nothing else starts before now. Says which tasks are fixed.
fn fix_the_past(jobs: &Jobs<'_>, replay: &Replay, model: &mut Model, now: &Now) -> Vec<bool> {
    let grid = model.calendar.grid.clone();
    let slot = grid.slot_from(&now.time);
    let zero = Point::start(TaskId(jobs.jobs.len()));
    let problem = &mut model.problem;
    let mut fixed = vec![false; jobs.jobs.len()];
    for (number, job) in jobs.jobs.iter().enumerate() {
        let (start, end, way) = replay.at[number];
        let late = now.late.iter().find(|(id, _)| *id == job.id).map_or(0, |(_, by)| grid.up(*by));
        let done = now.done.contains(&job.id);
        let started = start < slot;
        let task = TaskId(number);
        if !started && !done {
            let least = if late > 0 { (start + late).max(slot) } else { slot };
            problem.after(zero, Point::start(task), least);
            continue;
        }
        fixed[number] = true;
        let stands = replay.stretches(task);
        // Only the way that it was done in is left; late work takes longer, what stands may go on.
        for (place, other) in problem.tasks[number].ways.iter_mut().enumerate() {
            if place != way {
                continue;
            }
            if !started {
                // Done before its time: over now.
                (other.least, other.most) = (0, 0);
            } else if !stands {
                other.least = end - start + late;
                other.most = other.least;
            } else if end < slot {
                other.least = other.least.min(end - start);
            }
            other.windows.clear();
        }
        for place in (0..problem.tasks[number].ways.len()).filter(|p| *p != way) {
            let all = vec![Choice { task, way: place }];
            problem.links.push(Link::Forbids { all, reason: Reason::Always });
        }
        let from = start.min(slot);
        problem.lag(zero, Point::start(task), from, Some(from), Reason::Always);
        if stands && started && end <= slot {
            problem.lag(zero, Point::end(task), end, Some(end), Reason::Always);
        } else if stands && started {
            problem.after(zero, Point::end(task), slot);
        }
    }
    // A slip may have broken a longest wait already: what can no longer hold is let go.
    let late: Vec<usize> = jobs
        .jobs
        .iter()
        .enumerate()
        .filter(|(_, j)| now.late.iter().any(|(id, _)| *id == j.id))
        .map(|(n, _)| n)
        .collect();
    for lag in &mut problem.lags {
        let touches = late.contains(&lag.from.task.0) || late.contains(&lag.to.task.0);
        let both_past = [lag.from.task.0, lag.to.task.0].iter().all(|t| fixed.get(*t) == Some(&true));
        if touches && both_past {
            lag.most = None;
            lag.least = lag.least.min(0);
        }
    }
    // The first steps of a session that is over are where they were; their clock times no longer bind.
    let own_late = late.iter().any(|n| jobs.own_of(&jobs.jobs[*n]).is_some());
    if own_late {
        for lag in problem.lags.iter_mut().filter(|l| l.from == zero && late.contains(&l.to.task.0)) {
            lag.most = None;
        }
    }
    fixed
}

/// Takes away what has failed, from now on.
fn fail(jobs: &Jobs<'_>, replay: &Replay, model: &mut Model, now: &Now) {
    let kitchen = &jobs.course.kitchen;
    let slot = model.calendar.grid.slot_from(&now.time);
    let horizon = model.problem.horizon;
    for failed in &now.without {
        let unit =
            failed.rsplit_once('-').and_then(|(id, n)| Some((id, n.parse::<u32>().ok()?.checked_sub(1)?)));
        let oven = unit.and_then(|(id, n)| {
            kitchen.ovens.iter().position(|o| o.id.value.as_str() == id).map(|kind| (kind, n))
        });
        if let Some(oven) = oven {
            for (number, ways) in model.ways.iter().enumerate().take(jobs.jobs.len()) {
                let running = replay.at[number].0 < slot;
                for (way, _) in ways.iter().enumerate().filter(|(_, w)| w.oven == Some(oven) && !running) {
                    let all = vec![Choice { task: TaskId(number), way }];
                    model.problem.links.push(Link::Forbids { all, reason: Reason::Always });
                }
            }
            continue;
        }
        let mixer = kitchen
            .mixers
            .iter()
            .find(|m| m.id.value.as_str() == failed || unit.is_some_and(|(id, _)| m.id.value.as_str() == id));
        let tin = kitchen.tins.iter().find(|t| t.id.value.as_str() == failed);
        let name = mixer
            .map(|m| m.name.as_ref().map_or_else(|| m.id.value.to_string(), |n| n.value.clone()))
            .or_else(|| {
                tin.map(|t| t.name.as_ref().map_or_else(|| t.id.value.to_string(), |n| n.value.clone()))
            });
        let Some(name) = name else { continue };
        for resource in model.problem.resources.iter_mut().filter(|r| r.name == name) {
            resource.calendar.push((slot, horizon, resource.capacity - 1));
        }
    }
}

/// Least over the end, then as little moved as possible.
fn aim(jobs: &Jobs<'_>, replay: &Replay, model: &mut Model, fixed: &[bool]) {
    let step = model.calendar.grid.step().get();
    let over = model.problem.objective.iter().find(|t| t.name == "overrun-minutes").cloned();
    let open = (0..jobs.jobs.len()).filter(|n| !fixed[*n]);
    let sum = open
        .map(|n| (1, Quantity::Moved { point: Point::start(TaskId(n)), from: replay.at[n].0 }))
        .collect::<Vec<_>>();
    model.problem.objective = over.into_iter().collect();
    model.problem.objective.push(Term { name: "moved-minutes".to_owned(), sum });
    model.readings = vec![
        Reading { term: "overrun-minutes", plus: 0, times: step },
        Reading { term: "moved-minutes", plus: 0, times: step },
    ];
    // Sessions may run over: that is what the first term is for.
    let zero = TaskId(jobs.jobs.len());
    let gone = model.gone.clone();
    let ends_early = |lag: &Lag| lag.to == Point::start(zero) && gone.contains(&lag.from.task);
    model.problem.lags.retain(|lag| !ends_early(lag));
    let all = model.problem.tasks.len();
    let at = |n: usize| replay.at.get(n).copied().unwrap_or((0, 0, 0));
    model.problem.hints.warm = Some(Schedule {
        start: (0..all).map(|n| at(n).0).collect(),
        end: (0..all).map(|n| at(n).1).collect(),
        way: (0..all).map(|n| at(n).2).collect(),
    });
    model.problem.symmetries.clear();
}

fn changes(was: &Plan, new: &Plan) -> Vec<Changed> {
    let differs = |task: &&super::timetable::PlannedTask| {
        was.task(&task.id).is_some_and(|old| old.start != task.start || old.end != task.end)
    };
    let changed = |task: &super::timetable::PlannedTask| {
        let old = was.task(&task.id)?;
        let was = (old.start.clone(), old.end.clone());
        Some(Changed { id: task.id.clone(), was, now: (task.start.clone(), task.end.clone()) })
    };
    new.tasks.iter().filter(differs).filter_map(changed).collect()
}
