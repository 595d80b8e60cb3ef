//! On each mixer and oven, and where staff work for the class at the hob or bench, what goes first: read off the plan, for the
//! allergen sheet and for whoever checks it.

use super::plan::allergen_order::{self, Carried, Contents};
use super::plan::jobs::Group;
use super::plan::timetable::{Plan, PlannedTask};
use crate::course::{AllergenId, Course, EquipId, Where};
use crate::reckon::work::Class;
use jiff::ZonedDateTime;
use std::collections::{BTreeMap, BTreeSet};

/// Two uses of one machine, one after the other, of which one is free of something that someone avoids and the other is not.
#[derive(Clone, PartialEq, Debug)]
pub struct Turn {
    /// When the first begins.
    pub at: ZonedDateTime,
    /// The machine: `small-mixer-1`, `oven-2`; or `hob`, `bench`, where staff make something for the class.
    pub machine: String,
    /// The task that goes first.
    pub first: String,
    /// The task that comes after it.
    pub then: String,
    /// What is kept out of one of them: of `then` where `wash_up`, else of `first`.
    pub free_from: BTreeSet<AllergenId>,
    /// What holds it went first, or is still at work beside it: the machine, or pan, bench and spoons, are washed with detergent in between (rows `alg-order`, `alg-clean`).
    pub wash_up: bool,
    /// The two are at work at the same time, beside each other.
    pub beside: bool,
}

/// All turns of a plan that matter to someone, by the clock.
#[must_use]
pub fn turns(course: &Course, class: &Class, plan: &Plan) -> Vec<Turn> {
    let contents = Contents::of(course, class);
    let mut runs: BTreeMap<String, Vec<(&PlannedTask, Carried)>> = BTreeMap::new();
    for task in &plan.tasks {
        let Some(held) = held(course, plan, &contents, task) else { continue };
        if let Some(place) = staffs_place(course, task) {
            runs.entry(place.to_owned()).or_default().push((task, held.clone()));
        }
        for used in task.uses.iter().filter(|u| is_machine(course, &u.resource)) {
            runs.entry(used.resource.clone()).or_default().push((task, held.clone()));
        }
    }
    let mut found = Vec::new();
    for (machine, mut tasks) in runs {
        tasks.sort_by(|a, b| (&a.0.start, &a.0.id).cmp(&(&b.0.start, &b.0.id)));
        // Pans and bench space are several: what soils one of them need not be the task just before.
        let several = matches!(machine.as_str(), "hob" | "bench");
        for (n, (b, in_b)) in tasks.iter().enumerate() {
            let Some(((a, in_a), before)) = tasks[..n].split_last() else { continue };
            let soiling =
                before.iter().rev().filter(|_| several).find(|(_, held)| !held.soils(in_b).is_empty());
            let (a, in_a) = match soiling {
                Some((other, held)) if in_a.soils(in_b).is_empty() => (other, held),
                _ => (a, in_a),
            };
            let turn = |free_from: BTreeSet<AllergenId>, wash_up| Turn {
                at: a.start.clone(),
                machine: machine.clone(),
                first: a.id.clone(),
                then: b.id.clone(),
                free_from,
                wash_up,
                beside: several && a.end > b.start,
            };
            let (left, new) = (in_a.soils(in_b), in_b.soils(in_a));
            if !left.is_empty() {
                found.push(turn(left, true));
            } else if !new.is_empty() {
                found.push(turn(new, false));
            }
        }
    }
    found.sort_by(|a, b| (&a.at, &a.machine).cmp(&(&b.at, &b.machine)));
    found
}

fn is_machine(course: &Course, resource: &str) -> bool {
    is_oven(course, resource) || is_one_of(course.kitchen.mixers.iter().map(|m| &m.id.value), resource)
}

/// Whether a machine by its number is an oven.
#[must_use]
pub fn is_oven(course: &Course, machine: &str) -> bool {
    is_one_of(course.kitchen.ovens.iter().map(|o| &o.id.value), machine)
}

/// `oven-2` is the second of the kind `oven`.
fn is_one_of<'a>(mut kinds: impl Iterator<Item = &'a EquipId>, machine: &str) -> bool {
    kinds.any(|id| {
        let number = machine.strip_prefix(id.as_str()).and_then(|rest| rest.strip_prefix('-'));
        number.is_some_and(|n| n.parse::<u32>().is_ok())
    })
}

/// Where staff make something for the whole class, which no machine keeps apart.
fn staffs_place(course: &Course, task: &PlannedTask) -> Option<&'static str> {
    let step = course.lesson(task.lesson.as_ref()?)?.step(&task.step)?;
    allergen_order::staffs_place(&task.group, step)
        .map(|place| if place == Where::Hob { "hob" } else { "bench" })
}

/// The avoided things in what a task mixes, bakes or makes for the class; `None` for one that does none of it.
#[must_use]
pub fn held(course: &Course, plan: &Plan, contents: &Contents<'_>, task: &PlannedTask) -> Option<Carried> {
    let lesson = course.lesson(task.lesson.as_ref()?)?;
    let step = lesson.step(&task.step)?;
    match &task.group {
        Group::Batch(no) => {
            let batches = plan.choice.batches_of(&lesson.id.value, step);
            batches.iter().find(|b| b.no == *no).map(|b| contents.of_batch(b))
        }
        Group::Load(no) => {
            let loads = plan.choice.loads.get(&(lesson.id.value.clone(), task.step.clone()))?;
            loads.iter().find(|l| l.no == *no).map(|l| contents.of_load(l))
        }
        Group::Class(variant) if !task.demo && !task.cold_wait => {
            Some(contents.of_step(lesson, step, variant.as_ref(), &task.members))
        }
        _ => None,
    }
}
