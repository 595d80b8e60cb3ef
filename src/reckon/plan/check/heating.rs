//! Is an oven hot when a load goes into it, from a moment of the day on? Looked up in the printed plan's loads and in those of the new one.

use super::super::jobs::Group;
use super::super::timetable::{Plan, PlannedTask};
use super::{Broken, minute, time};
use crate::course::{Course, Oven, UnitSystem, Where};
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
            let Some((unit, heat)) = baked_in(course, oven, task).filter(|_| time(task).0 >= at) else {
                continue;
            };
            let (start, _) = time(task);
            let others = || {
                new.tasks.iter().enumerate().filter(|(n, other)| {
                    *n != place && baked_in(course, oven, other).is_some_and(|(name, _)| name == unit)
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
    let needs = |from: Celsius, to: Celsius| minutes_to(oven, from, to);
    let grid = course.settings.grid.value.get().max(1);
    let mut loads: Vec<(&PlannedTask, Celsius)> = printed
        .tasks
        .iter()
        .filter(|other| same_day(other, task))
        .filter_map(|other| Some((other, baked_in(course, oven, other)?)))
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
fn baked_in<'p>(course: &Course, oven: &Oven, task: &'p PlannedTask) -> Option<(&'p str, Celsius)> {
    let lesson = course.lesson(task.lesson.as_ref()?)?;
    let step = lesson.step(&task.step)?;
    if task.cold_wait || step.place.value != Where::Oven {
        return None;
    }
    let used = task.uses.iter().find(|used| {
        let number = used.resource.strip_prefix(oven.id.value.as_str()).and_then(|r| r.strip_prefix('-'));
        number.is_some_and(|number| number.parse::<u32>().is_ok())
    })?;
    let written = step.heat.as_ref().map(|heat| heat.value)?;
    let heat = match task.group {
        Group::Load(_) => dial(oven, written, lesson.heats_for_fan, course.settings.units.value),
        _ => written,
    };
    Some((used.resource.as_str(), heat))
}

/// Whole minutes, and what is begun of one, until an oven has come from one heat to another.
pub(super) fn minutes_to(oven: &Oven, from: Celsius, to: Celsius) -> i64 {
    let rate = if to >= from { oven.heats.value } else { oven.cools.value }.thousandths();
    let degrees = (to.thousandths() - from.thousandths()).abs();
    match rate {
        1.. => degrees / rate + i64::from(degrees % rate > 0),
        // Of one that nobody wrote this of an hour is taken.
        _ => 60,
    }
}

/// A fan bakes as hot with so much less, in thousandths of a degree.
const FAN: i64 = 15_000;

/// What an oven's dial shows for a heat that is written for one with a fan, or for one without. What has to be reckoned, and what is
/// written in the other scale, goes to the nearest five degrees of the kitchen's own scale.
pub(super) fn dial(oven: &Oven, written: Celsius, for_fan: bool, units: UnitSystem) -> Celsius {
    let more = match (for_fan, oven.fan) {
        (true, false) => FAN,
        (false, true) => -FAN,
        (true, true) | (false, false) => 0,
    };
    let wanted = written.thousandths() + more;
    // Whole degrees and halves are written in Celsius.
    let in_celsius = wanted % 500 == 0;
    match units {
        _ if in_celsius && (more == 0 || units == UnitSystem::Us) => Celsius::from_thousandths(wanted),
        UnitSystem::Metric => Celsius::from_thousandths(nearest(wanted, 5_000)),
        // Nine fifths and 32 more; five degrees of that are 25 ninths of a degree.
        UnitSystem::Us => {
            let fahrenheit = nearest(wanted * 9 + 160_000, 25_000);
            let ninths = fahrenheit - 160_000;
            Celsius::from_thousandths(nearest(ninths, 9) / 9)
        }
    }
}

/// The nearest multiple; from the middle away from nought.
fn nearest(value: i64, step: i64) -> i64 {
    let half = if value < 0 { -step / 2 } else { step / 2 };
    (value + half) / step * step
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reckon::ovens::heat_in;
    use crate::reckon::plan::tasks::change_over;
    use crate::reckon::sample::kitchen;
    use crate::units::Kelvins;
    use proptest::prelude::*;

    proptest! {
        /// What the plan reckons with and what is read here are one heat, and one time of heating.
        #[test]
        fn the_model_has_the_same_heats(half in 60i64..560, fahrenheit in 100i64..500, us: bool, fan: bool, for_fan: bool, rate in 1i64..20_000) {
            let mut oven = kitchen().ovens.swap_remove(0);
            oven.fan = fan;
            oven.heats.value = Kelvins::from_thousandths(rate);
            let units = if us { UnitSystem::Us } else { UnitSystem::Metric };
            let other = Celsius::from_fahrenheit(fahrenheit.into()).unwrap_or_default();
            for written in [Celsius::from_thousandths(half * 500), other] {
                prop_assert_eq!(dial(&oven, written, for_fan, units), heat_in(&oven, written, for_fan, units));
                let room = Celsius::whole(21);
                prop_assert_eq!(minutes_to(&oven, room, written), change_over(&oven, room, written).get());
                prop_assert_eq!(minutes_to(&oven, written, room), change_over(&oven, written, room).get());
            }
        }
    }
}
