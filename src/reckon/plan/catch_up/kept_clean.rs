//! What is washed and kept apart in the new plan for somebody who avoids something, and was not by the printed one: no sheet says it.

use super::super::timetable::Plan;
use crate::course::{AllergenId, Course};
use crate::reckon::machine_order::{is_oven, laid_clean, turns};
use crate::reckon::ovens::{Apart, racked};
use crate::reckon::work::Class;
use jiff::ZonedDateTime;
use std::collections::{BTreeMap, BTreeSet};

/// What is washed before a task.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Washed {
    /// Trays or tins, before anything is laid on them.
    Trays,
    /// Trays or tins, and the oven's racks of drips.
    Oven,
    /// Bowl, hook and tools of a mixer.
    Mixer,
    /// Pan, spoons and bench, where staff make something for the class.
    Pan,
    /// The same where the other is at work beside it.
    Beside,
    /// A pot in which stations cook by turns.
    Pot,
}

/// A task that is kept clean of something otherwise than printed.
#[derive(Clone, PartialEq, Debug)]
pub struct KeptClean {
    /// The task.
    pub task: String,
    /// What is washed before; none where only its place on the racks is another.
    pub washed: BTreeSet<Washed>,
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
fn washed(course: &Course, class: &Class, plan: &Plan) -> BTreeMap<(String, Washed), BTreeSet<AllergenId>> {
    let mut all: BTreeMap<(String, Washed), BTreeSet<AllergenId>> = BTreeMap::new();
    for turn in turns(course, class, plan).into_iter().filter(|turn| turn.wash_up) {
        let how = match () {
            () if turn.beside => Washed::Beside,
            () if is_oven(course, &turn.machine) => Washed::Oven,
            () if matches!(turn.machine.as_str(), "hob" | "bench") => Washed::Pan,
            () if course.kitchen.tools.iter().any(|t| t.id.value.as_str() == turn.machine) => Washed::Pot,
            () => Washed::Mixer,
        };
        all.entry((turn.then, how)).or_default().extend(turn.free_from);
    }
    for (task, of) in laid_clean(course, class, plan) {
        all.entry((task, Washed::Trays)).or_default().extend(of);
    }
    all
}
