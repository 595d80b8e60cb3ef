//! A plan that was found before, for a course of which something has changed since: does it still belong to it?
//!
//! A changed amount changes what is weighed for each batch, and seldom when anybody does anything. So the times of the former plan
//! are kept where it holds for the course as it is now; what goes into each batch and load is taken from the course as it is now.

use super::check::check;
use super::timetable::{Plan, PlannedTask};
use crate::course::Course;
use crate::reckon::work::{Batch, Choice, Class, Load, Options, Portion, Vessel, Whom};
use std::collections::BTreeMap;

/// The former plan with the amounts of the course as it is now; `None` where it does not hold any more.
#[must_use]
pub fn still_holds(
    former: &Plan,
    course: &Course,
    class: &Class,
    portions: &[Portion],
    options: &Options,
) -> Option<Plan> {
    if !former.tasks.iter().all(|task| is_known(task, course)) {
        return None;
    }
    let choice = chosen_again(&former.choice, options)?;
    let plan = Plan { choice, ..former.clone() };
    check(course, class, portions, &plan).is_empty().then_some(plan)
}

/// Whether the course still has the step that a task is.
fn is_known(task: &PlannedTask, course: &Course) -> bool {
    match &task.lesson {
        Some(lesson) => course.lesson(lesson).is_some_and(|lesson| lesson.step(&task.step).is_some()),
        None => course.own_steps.iter().any(|own| own.id.value == task.step),
    }
}

/// The same split into batches and loads among those that there are now.
fn chosen_again(former: &Choice, options: &Options) -> Option<Choice> {
    if !former.batches.keys().eq(options.splits.keys()) || !former.loads.keys().eq(options.bakes.keys()) {
        return None;
    }
    let mut batches = BTreeMap::new();
    for (key, was) in &former.batches {
        let split = options.splits.get(key)?.iter().find(|split| {
            split.batches.len() == was.len()
                && split.batches.iter().zip(was).all(|(now, was)| same_batch(now, was))
        })?;
        let again = split.batches.iter().zip(was);
        let again = again.map(|(now, was)| Batch { vessel: was.vessel.clone(), ..now.clone() });
        batches.insert(key.clone(), again.collect());
    }
    let mut loads = BTreeMap::new();
    for (key, was) in &former.loads {
        let bake = options.bakes.get(key)?.iter().find(|bake| {
            bake.loads.len() == was.len() && bake.loads.iter().zip(was).all(|(now, was)| same_load(now, was))
        })?;
        let again = bake.loads.iter().zip(was);
        let again = again.map(|(now, was)| Load { fits: was.fits.clone(), ..now.clone() });
        loads.insert(key.clone(), again.collect());
    }
    Some(Choice { batches, loads, made_ahead: former.made_ahead.clone() })
}

/// For the same people, in a vessel that it may still be made in.
fn same_batch(now: &Batch, was: &Batch) -> bool {
    let people =
        |batch: &Batch| -> Vec<Whom> { batch.members.iter().map(|(whom, _)| whom.clone()).collect() };
    let vessel = match (&now.vessel, &was.vessel) {
        (Vessel::Mixers(now), Vessel::Mixers(was)) => was.iter().all(|mixer| now.contains(mixer)),
        (now, was) => now == was,
    };
    vessel && (now.no, &now.variant) == (was.no, &was.variant) && people(now) == people(was)
}

/// With the same pieces, in an oven that it still fits into.
fn same_load(now: &Load, was: &Load) -> bool {
    (now.no, &now.members, now.written) == (was.no, &was.members, was.written)
        && was.fits.iter().all(|oven| now.fits.contains(oven))
}
