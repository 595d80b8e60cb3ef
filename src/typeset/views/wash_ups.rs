//! What is washed before a task, as something that somebody avoids was there before it: said where the work is done.

use super::common::WashUp;
use crate::course::Course;
use crate::reckon::list_words::{named, uncovered};
use crate::reckon::machine_order::{is_oven, turns};
use crate::reckon::plan::timetable::Plan;
use crate::reckon::work::{Class, Whom};
use std::collections::BTreeMap;

/// By the tasks' ids.
pub(super) fn wash_ups(course: &Course, class: &Class, plan: &Plan) -> BTreeMap<String, WashUp> {
    let mut all: BTreeMap<String, WashUp> = BTreeMap::new();
    for turn in turns(course, class, plan).into_iter().filter(|t| t.wash_up) {
        let how = match () {
            () if turn.beside => "beside",
            () if is_oven(course, &turn.machine) => "oven",
            () if matches!(turn.machine.as_str(), "hob" | "bench") => "before",
            () if course.kitchen.tools.iter().any(|t| t.id.value.as_str() == turn.machine) => "pot",
            () => "mixer",
        };
        // Trays and tins are washed before anything is laid on them.
        let laid = if how == "oven" { laid_on(course, plan, &turn.then) } else { Vec::new() };
        let words: Vec<String> =
            turn.free_from.iter().map(|a| named(&course.settings.allergen_list.value, a)).collect();
        for (task, how) in laid.into_iter().map(|t| (t, "laid")).chain([(turn.then, how)]) {
            let known =
                all.entry(task).or_insert_with(|| WashUp { how: how.to_owned(), free_from: Vec::new() });
            known.free_from = uncovered(known.free_from.drain(..).chain(words.clone()).collect());
        }
    }
    all
}

/// The tasks in which what a load bakes is laid on its trays or into its tins.
fn laid_on(course: &Course, plan: &Plan, bake: &str) -> Vec<String> {
    let Some(bake) = plan.task(bake) else { return Vec::new() };
    let kitchen = &course.kitchen;
    let is_vessel = |id: &str| {
        let mut ids =
            kitchen.tins.iter().map(|t| &t.id.value).chain(kitchen.trays.iter().map(|t| &t.id.value));
        ids.any(|known| known.as_str() == id)
    };
    let lays = |whom: &Whom| {
        let own = plan.tasks.iter().filter(|t| {
            let theirs = t.members.iter().any(|(w, _)| w == whom);
            t.lesson == bake.lesson && t.start < bake.start && theirs
        });
        let first = own.filter(|t| t.uses.iter().any(|u| is_vessel(&u.resource)));
        first.min_by_key(|t| t.start.timestamp()).map(|t| t.id.clone())
    };
    bake.members.iter().filter_map(|(whom, _)| lays(whom)).collect()
}
