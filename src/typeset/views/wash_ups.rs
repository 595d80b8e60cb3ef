//! What is washed before a task, as something that somebody avoids was there before it: said where the work is done.

use super::common::WashUp;
use crate::course::Course;
use crate::reckon::list_words::{named, uncovered};
use crate::reckon::machine_order::{Turn, by_clean_hands, laid_clean, turns};
use crate::reckon::plan::timetable::Plan;
use crate::reckon::washed::{WashedUp, washed_between};
use crate::reckon::work::Class;
use std::collections::BTreeMap;

/// By the tasks' ids.
pub(super) fn wash_ups(course: &Course, class: &Class, plan: &Plan) -> BTreeMap<String, WashUp> {
    let (washed, first): (Vec<Turn>, Vec<Turn>) =
        turns(course, class, plan).into_iter().partition(|t| t.wash_up);
    // What is kept clean and goes first, where no machine keeps it apart, is made with clean tools: nothing was there that is washed off.
    let first = first.into_iter().filter(|t| !t.beside && matches!(t.machine.as_str(), "hob" | "bench"));
    let first = first.map(|turn| (turn.first, "first", turn.free_from));
    let on_machines = washed.into_iter().map(|turn| {
        let how = match washed_between(course, plan, &turn) {
            WashedUp::Trays => "laid",
            WashedUp::Oven => "oven",
            WashedUp::Mixer => "mixer",
            WashedUp::Pan => "before",
            WashedUp::Beside => "beside",
            WashedUp::Pot => "pot",
            WashedUp::HandToHand => "tool",
        };
        (turn.then, how, turn.free_from)
    });
    // Trays and tins are washed before anything is laid on them.
    let laid = laid_clean(course, class, plan).into_iter().map(|(task, free_from)| (task, "laid", free_from));
    let mut all: BTreeMap<String, WashUp> = BTreeMap::new();
    let hands =
        by_clean_hands(course, class, plan).into_iter().map(|(task, free_from)| (task, "hands", free_from));
    for (task, how, free_from) in on_machines.chain(laid).chain(first).chain(hands) {
        let known = all.entry(task).or_insert_with(|| WashUp { how: how.to_owned(), free_from: Vec::new() });
        let words = free_from.iter().map(|a| named(&course.settings.allergen_list.value, a));
        known.free_from = uncovered(known.free_from.drain(..).chain(words).collect());
    }
    all
}
