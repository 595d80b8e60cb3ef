//! When an oven is turned on, or to another temperature, so that it is there when its load goes in, and when it is off.

use super::plan::tasks::change_over;
use super::plan::timetable::{Plan, PlannedTask};
use super::work::Load;
use crate::course::{Course, EquipId};
use crate::units::{Celsius, Minutes};
use jiff::{SignedDuration, ZonedDateTime};
use std::collections::BTreeMap;

/// An oven's dial is turned.
#[derive(Clone, PartialEq, Debug)]
pub struct Turned {
    /// The kind of oven.
    pub kind: EquipId,
    /// Which one, as in the plan: `oven-2`.
    pub oven: String,
    /// When.
    pub at: ZonedDateTime,
    /// To what, and when it is there: as its load goes in. `None` is off.
    pub to: Option<(Celsius, ZonedDateTime)>,
    /// It was hotter before, and gets there by cooling.
    pub cools: bool,
    /// The task for which it is turned; of an oven that is turned off the last one.
    pub task: String,
}

impl Turned {
    /// What the oven does until it is there.
    #[must_use]
    pub fn verb(&self) -> &'static str {
        if self.cools { "cools" } else { "heats" }
    }
}

/// All of it by the clock. An oven is off over night, and between two loads of a day it is not.
#[must_use]
pub fn turned(course: &Course, plan: &Plan) -> Vec<Turned> {
    let step = course.settings.grid.value.get().max(1);
    let mut ovens: BTreeMap<_, Vec<(&PlannedTask, Celsius)>> = BTreeMap::new();
    for task in &plan.tasks {
        let Some(load) = load_of(course, plan, task) else { continue };
        for oven in &course.kitchen.ovens {
            let kind = oven.id.value.as_str();
            let number = |r: &str| r.strip_prefix(kind)?.strip_prefix('-')?.parse::<u32>().ok();
            if let Some(used) = task.uses.iter().find(|u| number(&u.resource).is_some()) {
                let key = (task.start.date(), used.resource.clone(), oven.id.value.clone());
                ovens.entry(key).or_default().push((task, load.heat_in(&oven.id.value)));
            }
        }
    }
    let mut all = Vec::new();
    for ((_, name, kind), mut loads) in ovens {
        let Some(oven) = course.kitchen.ovens.iter().find(|o| o.id.value == kind) else { continue };
        loads.sort_by_key(|(task, _)| task.start.timestamp());
        let mut is_at: Option<Celsius> = None;
        for (task, heat) in &loads {
            if is_at == Some(*heat) {
                continue;
            }
            let needs = change_over(oven, is_at.unwrap_or(course.kitchen.room.value), *heat);
            let at = on_the_grid(&task.start, needs, step);
            let to = Some((*heat, task.start.clone()));
            let cools = is_at.is_some_and(|was| was > *heat);
            all.push(Turned { kind: kind.clone(), oven: name.clone(), at, to, cools, task: task.id.clone() });
            is_at = Some(*heat);
        }
        if let Some((last, _)) = loads.iter().max_by_key(|(task, _)| task.end.timestamp()) {
            let (at, task) = (last.end.clone(), last.id.clone());
            all.push(Turned { kind, oven: name, at, to: None, cools: false, task });
        }
    }
    all.sort_by(|a, b| (a.at.timestamp(), &a.oven).cmp(&(b.at.timestamp(), &b.oven)));
    all
}

/// So long before a moment, and then back to a step of the plan's clock.
fn on_the_grid(moment: &ZonedDateTime, before: Minutes, step: i64) -> ZonedDateTime {
    let minutes = i64::from(moment.hour()) * 60 + i64::from(moment.minute()) - before.get();
    let early = minutes.rem_euclid(step);
    moment.checked_sub(SignedDuration::from_mins(before.get() + early)).unwrap_or_else(|_| moment.clone())
}

/// The load that a task bakes.
fn load_of<'p>(course: &Course, plan: &'p Plan, task: &PlannedTask) -> Option<&'p Load> {
    let lesson = task.lesson.as_ref()?;
    let step = course.lesson(lesson)?.step(&task.step)?;
    if task.cold_wait || step.place.value != crate::course::Where::Oven {
        return None;
    }
    plan.load_of(task)
}
