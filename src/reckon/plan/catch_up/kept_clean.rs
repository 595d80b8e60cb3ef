//! What is washed and kept apart in the new plan for somebody who avoids something, and was not by the printed one: no sheet says it.

use super::super::timetable::Plan;
use crate::course::{AllergenId, Course};
use crate::reckon::machine_order::{laid_clean, turns};
use crate::reckon::ovens::{Apart, racked};
use crate::reckon::washed::{WashedUp, washed_between};
use crate::reckon::work::Class;
use jiff::ZonedDateTime;
use std::collections::{BTreeMap, BTreeSet};

/// A task that is kept clean of something otherwise than printed.
#[derive(Clone, PartialEq, Debug)]
pub struct KeptClean {
    /// The task.
    pub task: String,
    /// What is washed before; none where only its place on the racks is another.
    pub washed: BTreeSet<WashedUp>,
    /// What it is kept clean of.
    pub of: BTreeSet<AllergenId>,
    /// What stands where on the oven's racks.
    pub apart: Apart,
}

/// All of it that is yet to come, by the clock.
#[must_use]
pub fn kept_clean(
    course: &Course,
    class: &Class,
    (printed, new): (&Plan, &Plan),
    now: &ZonedDateTime,
) -> Vec<KeptClean> {
    let (was, is) = (washed(course, class, printed), washed(course, class, new));
    let mut found: Vec<(&ZonedDateTime, KeptClean)> = Vec::new();
    for task in new.tasks.iter().filter(|task| task.start >= *now) {
        let racks = |plan: &Plan| {
            let own = plan.task(&task.id)?;
            racked(course, class, plan, own).map(|racked| racked.apart)
        };
        let apart = racks(new).filter(|apart| racks(printed).as_ref() != Some(apart)).unwrap_or_default();
        let mut kept =
            KeptClean { task: task.id.clone(), washed: BTreeSet::new(), of: BTreeSet::new(), apart };
        for (key, of) in is.iter().filter(|((id, _), _)| *id == task.id) {
            if was.get(key).is_some_and(|known| of.is_subset(known)) {
                continue;
            }
            let (_, how) = key;
            kept.washed.insert(*how);
            kept.of.extend(of.iter().cloned());
        }
        if !kept.washed.is_empty() || kept.apart != Apart::default() {
            found.push((&task.start, kept));
        }
    }
    found.sort_by(|a, b| (a.0.timestamp(), &a.1.task).cmp(&(b.0.timestamp(), &b.1.task)));
    found.into_iter().map(|(_, kept)| kept).collect()
}

/// By task and by what is washed.
fn washed(course: &Course, class: &Class, plan: &Plan) -> BTreeMap<(String, WashedUp), BTreeSet<AllergenId>> {
    let mut all: BTreeMap<(String, WashedUp), BTreeSet<AllergenId>> = BTreeMap::new();
    for turn in turns(course, class, plan).into_iter().filter(|turn| turn.wash_up) {
        let how = washed_between(course, plan, &turn);
        all.entry((turn.then, how)).or_default().extend(turn.free_from);
    }
    for (task, of) in laid_clean(course, class, plan) {
        all.entry((task, WashedUp::Trays)).or_default().extend(of);
    }
    all
}
