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
    let mut all: BTreeMap<String, WashUp> = BTreeMap::new();
    for turn in turns(course, class, plan).into_iter().filter(|t| t.wash_up) {
        let how = match () {
            () if turn.beside => "beside",
            () if is_oven(course, &turn.machine) => "oven",
            () if matches!(turn.machine.as_str(), "hob" | "bench") => "before",
            () if course.kitchen.tools.iter().any(|t| t.id.value.as_str() == turn.machine) => "pot",
            () => "mixer",
        };
        let known =
            all.entry(turn.then).or_insert_with(|| WashUp { how: how.to_owned(), free_from: Vec::new() });
        let words = turn.free_from.iter().map(|a| named(&course.settings.allergen_list.value, a));
        known.free_from = uncovered(known.free_from.drain(..).chain(words).collect());
    }
    // Trays and tins are washed before anything is laid on them.
    for (task, free_from) in laid_clean(course, class, plan) {
        let words = free_from.iter().map(|a| named(&course.settings.allergen_list.value, a));
        let known =
            all.entry(task).or_insert_with(|| WashUp { how: "laid".to_owned(), free_from: Vec::new() });
        known.free_from = uncovered(known.free_from.drain(..).chain(words).collect());
    }
    all
}
