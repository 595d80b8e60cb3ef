//! Is an oven hot when a load goes into it, from a moment of the day on? Looked up in the printed plan's loads and in those of the new one.

use super::super::timetable::{Plan, PlannedTask};
use super::{Broken, minute, time};
use crate::course::{Course, Oven, Where};
use crate::units::Celsius;
use jiff::ZonedDateTime;

/// The loads of a plan that goes on from `now` for which an oven cannot be hot: one that is printed to be on then is at the heat of its last
/// load, or on its way to that of its next one; any other is as warm as the room.
#[must_use]
pub fn not_hot_yet(course: &Course, printed: &Plan, new: &Plan, now: &ZonedDateTime) -> Vec<Broken> {
    let at = minute(now);
    let mut found = Vec::new();
    for oven in &course.kitchen.ovens {
        for (place, task) in new.tasks.iter().enumerate() {
            let Some((unit, heat)) = baked_in(course, new, oven, task).filter(|_| time(task).0 >= at) else {
                continue;
            };
            let (start, _) = time(task);
            let others = || {
                new.tasks.iter().enumerate().filter(|(n, other)| {
                    *n != place && baked_in(course, new, oven, other).is_some_and(|(name, _)| name == unit)
                })
            };
            // After one that is in the oven from now on it is a change of heat, which every plan is checked for.
            if others().any(|(_, other)| at < time(other).1 && time(other).0 < start && same_day(other, task))
            {
                continue;
            }
            let ready = at + after(course, printed, new, oven, (unit, heat), task, at);
            if start < ready {
                let more = ready - start;
                let message = format!("{unit} is not hot then: it needs {more} min more");
                found.push(Broken { rule: "oven", tasks: vec![task.id.clone()], message });
            }
        }
    }
    found
}

/// Whole minutes until an oven can be at a heat.
fn after(
    course: &Course,
    printed: &Plan,
    new: &Plan,
    oven: &Oven,
    (unit, heat): (&str, Celsius),
    task: &PlannedTask,
    at: i64,
) -> i64 {
    let room = course.kitchen.room.value;
    let needs = |from: Celsius, to: Celsius| -> i64 {
        let rate = if to >= from { oven.heats.value } else { oven.cools.value }.to_f64();
        let degrees = (to.to_f64() - from.to_f64()).abs();
        if rate > 0.0 { (degrees / rate).floor() as i64 } else { 60 }
    };
    let grid = course.settings.grid.value.get().max(1);
    let mut loads: Vec<(&PlannedTask, Celsius)> = printed
        .tasks
        .iter()
        .filter(|other| same_day(other, task))
        .filter_map(|other| Some((other, baked_in(course, printed, oven, other)?)))
        .filter(|(_, (name, _))| *name == unit)
        .map(|(other, (_, heat))| (other, heat))
        .collect();
    loads.sort_by_key(|(other, _)| time(other).0);
    let is_out = |other: &PlannedTask| new.task(&other.id).is_some_and(|now| time(now).1 <= at);
    let last = loads.iter().rfind(|(other, _)| is_out(other) && time(other).0 < at);
    let next = loads.iter().find(|(other, _)| !is_out(other));
    match (last, next) {
        // Between two loads of a day it stays on.
        (was, Some((next, dial))) => {
            let from = was.map_or(room, |(_, heat)| *heat);
            let turned = time(next).0 - needs(from, *dial) - grid;
            let on = was.is_some() || turned <= at;
            match () {
                () if !on => needs(room, heat),
                () if was.is_some() && from == heat && (*dial == heat || turned > at) => 0,
                () if turned <= at && *dial == heat => (time(next).0 - at).max(0),
                () => needs(from, heat).min(needs(*dial, heat)),
            }
        }
        _ => needs(room, heat),
    }
}

fn same_day(one: &PlannedTask, other: &PlannedTask) -> bool {
    one.start.date() == other.start.date()
}

/// Which oven of a kind a task is baked in, and at what its dial is.
fn baked_in<'p>(
    course: &Course,
    plan: &'p Plan,
    oven: &Oven,
    task: &'p PlannedTask,
) -> Option<(&'p str, Celsius)> {
    let step = course.lesson(task.lesson.as_ref()?)?.step(&task.step)?;
    if task.cold_wait || step.place.value != Where::Oven {
        return None;
    }
    let used = task.uses.iter().find(|used| {
        let number = used.resource.strip_prefix(oven.id.value.as_str()).and_then(|r| r.strip_prefix('-'));
        number.is_some_and(|number| number.parse::<u32>().is_ok())
    })?;
    let alone = || step.heat.as_ref().map(|heat| heat.value);
    let heat = plan.load_of(task).map(|load| load.heat_in(&oven.id.value)).or_else(alone)?;
    Some((used.resource.as_str(), heat))
}
