//! What is washed before a task, as something that somebody avoids was there before it: said where the work is done.

use super::common::WashUp;
use crate::course::Course;
use crate::reckon::list_words::{named, uncovered};
use crate::reckon::machine_order::{is_oven, laid_clean, turns};
use crate::reckon::plan::timetable::Plan;
use crate::reckon::work::Class;
use std::collections::BTreeMap;

/// By the tasks' ids.
pub(super) fn wash_ups(course: &Course, class: &Class, plan: &Plan) -> BTreeMap<String, WashUp> {
    let turns = turns(course, class, plan).into_iter().filter(|t| t.wash_up);
    let on_machines = turns.map(|turn| {
        let how = match () {
            () if turn.beside => "beside",
            () if is_oven(course, &turn.machine) => "oven",
            () if matches!(turn.machine.as_str(), "hob" | "bench") => "before",
            () if course.kitchen.tools.iter().any(|t| t.id.value.as_str() == turn.machine) => "pot",
            () => "mixer",
        };
        (turn.then, how, turn.free_from)
    });
    // Trays and tins are washed before anything is laid on them.
    let laid = laid_clean(course, class, plan).into_iter().map(|(task, free_from)| (task, "laid", free_from));
    let mut all: BTreeMap<String, WashUp> = BTreeMap::new();
    for (task, how, free_from) in on_machines.chain(laid) {
        let known = all.entry(task).or_insert_with(|| WashUp { how: how.to_owned(), free_from: Vec::new() });
        let words = free_from.iter().map(|a| named(&course.settings.allergen_list.value, a));
        known.free_from = uncovered(known.free_from.drain(..).chain(words).collect());
    }
    all
}
