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
        let again = options.splits.get(key)?.iter().find_map(|s| paired(&s.batches, was, same_batch))?;
        let again =
            again.into_iter().map(|(now, was)| Batch { no: was.no, vessel: was.vessel.clone(), ..now });
        batches.insert(key.clone(), again.collect());
    }
    let mut loads = BTreeMap::new();
    for (key, was) in &former.loads {
        let again = options.bakes.get(key)?.iter().find_map(|b| paired(&b.loads, was, same_load))?;
        let again = again.into_iter().map(|(now, was)| Load { no: was.no, fits: was.fits.clone(), ..now });
        loads.insert(key.clone(), again.collect());
    }
    Some(Choice { batches, loads, made_ahead: former.made_ahead.clone() })
}

/// Each of what was with the one of now that is the same; `None` where one has none, or there are others. Their numbers say nothing: the
/// plan has numbered its own by the clock.
fn paired<'w, T: Clone>(now: &[T], was: &'w [T], same: fn(&T, &T) -> bool) -> Option<Vec<(T, &'w T)>> {
    let mut left = now.to_vec();
    let pairs = was.iter().map(|was| {
        let at = left.iter().position(|now| same(now, was))?;
        Some((left.remove(at), was))
    });
    let pairs = pairs.collect::<Option<Vec<_>>>()?;
    left.is_empty().then_some(pairs)
}

/// For the same people, in a vessel that it may still be made in.
fn same_batch(now: &Batch, was: &Batch) -> bool {
    let people =
        |batch: &Batch| -> Vec<Whom> { batch.members.iter().map(|(whom, _)| whom.clone()).collect() };
    let vessel = match (&now.vessel, &was.vessel) {
        (Vessel::Mixers(now), Vessel::Mixers(was)) => was.iter().all(|mixer| now.contains(mixer)),
        (now, was) => now == was,
    };
    vessel && now.variant == was.variant && people(now) == people(was)
}

/// With the same pieces, in an oven that it still fits into.
fn same_load(now: &Load, was: &Load) -> bool {
    (&now.members, now.written) == (&was.members, was.written)
        && was.fits.iter().all(|oven| now.fits.contains(oven))
}
