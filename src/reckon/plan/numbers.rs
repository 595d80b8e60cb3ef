//! The numbers of batches and loads, by the clock.
//!
//! Splits come in the order of the stations, and a plan mixes and bakes them in another. A person reads them by the clock, so a plan is
//! numbered anew as soon as it is found and before anybody sees it. After that its numbers stay, in a plan for the rest of the day too:
//! they are on paper by then.

use super::jobs::{Group, Jobs};
use super::replay::picked_of;
use super::timetable::{Plan, PlannedTask};
use crate::course::{Course, LessonId, PartId, StepId};
use crate::reckon::work::{Batch, Class, Load, Portion};
use std::collections::BTreeMap;

/// Numbers by former numbers, for each split.
type Numbers<Of> = BTreeMap<(LessonId, Of), BTreeMap<u32, u32>>;

/// The plan with its batches and loads numbered by when they are begun: those of each part, and those of each bake.
#[must_use]
pub fn by_the_clock(course: &Course, class: &Class, portions: &[Portion], plan: Plan) -> Plan {
    let batches = numbers_of_batches(course, &plan);
    let loads = numbers_of_loads(&plan);
    let tasks = plan.tasks.iter().map(|task| {
        let group = numbered(course, &plan, task, &batches, &loads).unwrap_or_else(|| task.group.clone());
        let id = match task.id.rsplit_once('@') {
            Some((step, _)) if group != task.group => format!("{step}@{group}"),
            _ => task.id.clone(),
        };
        PlannedTask { id, group, ..task.clone() }
    });
    let mut new = Plan { tasks: tasks.collect(), ..plan.clone() };
    for (key, all) in &mut new.choice.batches {
        all.iter_mut().for_each(|batch| batch.no = new_of(&batches, key, batch.no));
        all.sort_by_key(|batch| batch.no);
    }
    for (key, all) in &mut new.choice.loads {
        all.iter_mut().for_each(|load| load.no = new_of(&loads, key, load.no));
        all.sort_by_key(|load| load.no);
    }
    // What begins at one moment stands in the order of the jobs, and these follow the numbers.
    let picked = picked_of(&new);
    let jobs = Jobs::of(course, class, portions, &picked).jobs;
    let places: BTreeMap<&str, usize> =
        jobs.iter().enumerate().map(|(n, job)| (job.id.as_str(), n)).collect();
    new.tasks.sort_by_key(|t| (t.start.timestamp(), places.get(t.id.as_str()).copied()));
    new.made_ahead = new.tasks.iter().filter(|t| t.made_ahead).map(|t| t.id.clone()).collect();
    new
}

fn new_of<Of: Ord + Clone>(numbers: &Numbers<Of>, key: &(LessonId, Of), no: u32) -> u32 {
    numbers.get(key).and_then(|all| all.get(&no)).copied().unwrap_or(no)
}

/// The group of a task with its new number; `None` for one without a number.
fn numbered(
    course: &Course,
    plan: &Plan,
    task: &PlannedTask,
    batches: &Numbers<PartId>,
    loads: &Numbers<StepId>,
) -> Option<Group> {
    let lesson = course.lesson(task.lesson.as_ref()?)?;
    let step = lesson.step(&task.step)?;
    match task.group {
        Group::Batch(no) => {
            let part = plan.choice.batches_of(&lesson.id.value, step).first()?.part.clone();
            Some(Group::Batch(new_of(batches, &(lesson.id.value.clone(), part), no)))
        }
        Group::Load(no) => {
            let number = lesson.steps.iter().position(|s| s.id == step.id)?;
            let picked = picked_of(plan);
            let bake = super::groups::bake_of(lesson, number, &picked)?.loads.first()?.step.clone();
            Some(Group::Load(new_of(loads, &(lesson.id.value.clone(), bake), no)))
        }
        _ => None,
    }
}

fn numbers_of_batches(course: &Course, plan: &Plan) -> Numbers<PartId> {
    let is_of = |task: &PlannedTask, batch: &Batch| {
        let lesson = task.lesson.as_ref().filter(|id| **id == batch.lesson).and_then(|id| course.lesson(id));
        let step = lesson.and_then(|lesson| lesson.step(&task.step));
        let on = step.and_then(|step| plan.choice.batches_of(&batch.lesson, step).first());
        on.is_some_and(|first| first.part == batch.part)
            && match &task.group {
                Group::Batch(no) => *no == batch.no,
                // What is made once for the class is a batch for each variant that changes it.
                Group::Class(variant) => *variant == batch.variant,
                _ => false,
            }
    };
    let begun = |batch: &Batch| {
        let first = plan.tasks.iter().find(|t| !t.cold_wait && is_of(t, batch));
        first.map_or(i64::MAX, |task| task.start.timestamp().as_second())
    };
    let of = |all: &Vec<Batch>| in_turn(all.iter().map(|batch| (begun(batch), batch.no)).collect());
    plan.choice.batches.iter().map(|(key, all)| (key.clone(), of(all))).collect()
}

/// A lesson may bake twice: where the same go in together again, they keep the number of the first time.
fn numbers_of_loads(plan: &Plan) -> Numbers<StepId> {
    let task = |load: &Load| {
        plan.tasks.iter().find(|t| {
            !t.cold_wait
                && (t.lesson.as_ref(), &t.step) == (Some(&load.lesson), &load.step)
                && t.group == Group::Load(load.no)
        })
    };
    let begun = |load: &Load| task(load).map_or(i64::MAX, |t| t.start.timestamp().as_second());
    // Two that go in at one moment stand by their ovens, as the sheets have them.
    let oven = |load: &Load| task(load).and_then(|t| t.uses.first()).map(|used| used.resource.clone());
    let of = |all: &Vec<Load>| in_turn(all.iter().map(|l| ((begun(l), oven(l)), l.no)).collect());
    let same = |one: &[Load], other: &[Load]| {
        one.len() == other.len()
            && one.iter().zip(other).all(|(a, b)| (a.no, &a.members) == (b.no, &b.members))
    };
    let mut bakes: Vec<_> = plan.choice.loads.iter().collect();
    bakes.sort_by_key(|(key, all)| (key.0.clone(), all.iter().map(begun).min()));
    let mut found: Numbers<StepId> = BTreeMap::new();
    for (at, (key, all)) in bakes.iter().enumerate() {
        let before = bakes[..at].iter().find(|(other, loads)| other.0 == key.0 && same(loads, all));
        let numbers = before.and_then(|(other, _)| found.get(*other).cloned()).unwrap_or_else(|| of(all));
        found.insert((*key).clone(), numbers);
    }
    found
}

/// Numbers from 1 by when each begins; where two begin together they stay in the order that they have.
fn in_turn<Begun: Ord>(mut all: Vec<(Begun, u32)>) -> BTreeMap<u32, u32> {
    all.sort();
    all.iter().zip(1..).map(|((_, no), new)| (*no, new)).collect()
}
