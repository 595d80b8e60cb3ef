//! From exact amounts to what a scale can show.

use super::{Group, Who};
use crate::course::{Course, ItemId, LessonId, PartId};
use crate::reckon::rounding::{ScaleSteps, round_column};
use crate::units::Grams;
use std::collections::BTreeMap;

/// Where a cell stands: group, list, ingredient.
type Cell = (usize, usize, usize);

/// Rounds every ingredient of every part as one column over all who weigh it, so that equal needs stay equal and the column
/// still adds up. The spare, or else a stage that is weighed by itself, takes the crumbs.
pub fn round(course: &Course, groups: &mut [Group]) {
    let steps = ScaleSteps::of(&course.settings);
    let mut columns: BTreeMap<(LessonId, PartId, ItemId), Vec<Cell>> = BTreeMap::new();
    for (g, group) in groups.iter().enumerate() {
        for (l, list) in group.lists.iter().enumerate() {
            for (i, weight) in list.ingredients.iter().enumerate() {
                columns
                    .entry((list.lesson.clone(), list.part.clone(), weight.item.clone()))
                    .or_default()
                    .push((g, l, i));
            }
        }
    }
    for ((_, _, item), cells) in columns {
        let exact: Vec<Grams> =
            cells.iter().map(|(g, l, i)| groups[*g].lists[*l].ingredients[*i].exact).collect();
        let taker = cells
            .iter()
            .position(|(g, ..)| matches!(groups[*g].who, Who::Spare(_)))
            .or_else(|| cells.iter().position(|(g, ..)| matches!(groups[*g].who, Who::Stage { .. })));
        let step = steps.column_step(course.pantry.item(&item), &exact);
        let rounded = round_column(&exact, step, taker);
        for ((g, l, i), grams) in cells.into_iter().zip(rounded.cells) {
            groups[g].lists[l].ingredients[i].grams = grams;
        }
    }
    for list in groups.iter_mut().flat_map(|g| &mut g.lists) {
        for fetch in &mut list.fetches {
            fetch.grams = steps.handed(fetch.grams);
        }
        list.used = steps.handed(list.used);
        list.total = if list.ingredients.is_empty() && list.fetches.is_empty() {
            list.used
        } else {
            list.ingredients.iter().map(|w| w.grams).sum::<Grams>()
                + list.fetches.iter().map(|f| f.grams).sum::<Grams>()
        };
    }
}
