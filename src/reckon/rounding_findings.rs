//! What rounding to a scale's step does to the things of which a gram matters: told where it bends them too far, and where it
//! rests on a scale that nobody has written down.

use super::measures::SENSITIVE_WITHIN;
use super::rounding::{ScaleSteps, bent_by, is_sensitive};
use super::weigh::{List, WeighOut, Weight};
use crate::course::{Course, Item, ItemId, ItemKind, LessonId, PartId};
use crate::finding::Finding;
use crate::units::{Grams, Percent};
use rust_decimal::Decimal;
use std::collections::BTreeMap;

/// Spices and flavourings may be bent by more than salt and yeast: 10 %, our own choice; less is not tasted.
pub const SPICE_WITHIN: Percent = Percent::new(Decimal::TEN);

/// One ingredient of one part, where the scale bends it most.
struct Worst<'a> {
    weight: &'a Weight,
    bent: Percent,
    lists: usize,
}

/// Warnings, one for each ingredient of each part that is bent too far, and one where the fine scale is only assumed.
#[must_use]
pub fn rounding_findings(course: &Course, weighed: &WeighOut) -> Vec<Finding> {
    let lists = || weighed.groups().flat_map(|g| &g.lists);
    let mut worst: BTreeMap<(&LessonId, &PartId, &ItemId), Worst<'_>> = BTreeMap::new();
    for (list, weight) in lists().flat_map(|list: &List| list.ingredients.iter().map(move |w| (list, w))) {
        let bent = bent_by(weight.exact, weight.grams);
        let too_far = course.pantry.item(&weight.item).and_then(limit).is_some_and(|most| size(bent) > most);
        if !too_far {
            continue;
        }
        let key = (&list.lesson, &list.part, &weight.item);
        let there = worst.entry(key).or_insert(Worst { weight, bent, lists: 0 });
        there.lists += 1;
        if size(bent) > size(there.bent) {
            (there.weight, there.bent) = (weight, bent);
        }
    }
    let mut findings: Vec<Finding> =
        worst.into_iter().map(|(key, worst)| bends(course, key, &worst)).collect();
    findings.extend(assumed(course, lists().flat_map(|l| &l.ingredients)));
    findings
}

fn size(bent: Percent) -> Percent {
    Percent::new(bent.number().abs())
}

/// How far an ingredient may be bent; `None` where a gram does not matter.
fn limit(item: &Item) -> Option<Percent> {
    match item.kind.value {
        kind if is_sensitive(kind) => Some(SENSITIVE_WITHIN),
        ItemKind::Other => Some(SPICE_WITHIN),
        _ => None,
    }
}

fn bends(course: &Course, (lesson, part, item): (&LessonId, &PartId, &ItemId), worst: &Worst<'_>) -> Finding {
    let shown = |g: Grams| g.to_decimal().round_dp(2).normalize();
    let how_often = if worst.lists == 1 { String::new() } else { format!(", and {} more", worst.lists - 1) };
    let message = format!(
        "`{item}` in `{part}` of `{lesson}` is {} g by the formula and {} g on the scale, {} % {}{how_often}",
        shown(worst.weight.exact),
        shown(worst.weight.grams),
        size(worst.bent).number().round_dp(0).normalize(),
        if worst.bent > Percent::ZERO { "more" } else { "less" },
    );
    let own = course.pantry.item(item).and_then(|i| i.weigh.as_ref()).and_then(|w| w.place);
    Finding::warning("rounding-bends", own.or(course.settings.fine_step.place), message)
        .about(format!("{lesson}.{part}.{item}"))
        .way_out("weigh it on a finer scale and write its step as `fine-step`, or mix a larger batch and divide it")
}

/// Amounts that only a fine scale shows, where none is written.
fn assumed<'a>(course: &Course, weights: impl Iterator<Item = &'a Weight>) -> Option<Finding> {
    let settings = &course.settings;
    let steps = ScaleSteps::of(settings);
    if settings.fine_step.place.is_some() || steps.fine >= steps.class {
        return None;
    }
    let own = |w: &Weight| course.pantry.item(&w.item).is_some_and(|i| i.weigh.is_some());
    let on_fine = weights.filter(|w| !own(w) && w.exact < steps.fine_below && w.exact > Grams::ZERO);
    let smallest = on_fine.min_by_key(|w| w.grams)?;
    let message = format!(
        "amounts such as {} g of `{}` need a scale that shows {} g, and no `fine-step` is written",
        smallest.grams.to_decimal().normalize(),
        smallest.item,
        steps.fine.to_decimal().normalize(),
    );
    Some(Finding::warning("fine-step-assumed", None, message).in_file("course.toml").way_out(
        "write under `[scales]` what your finest scale shows: `fine-step = \"0.1 g\"`, or `\"1 g\"` if there is none",
    ))
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::finding::{Place, SourceId};
    use crate::reckon::class::seat;
    use crate::reckon::options::{options, preferred};
    use crate::reckon::sample::{at, course};
    use crate::reckon::scale::portions;
    use crate::reckon::weigh::weigh;

    fn told(change: impl Fn(&mut Course)) -> Vec<&'static str> {
        let mut course = course();
        change(&mut course);
        let (class, _) = seat(&course, None);
        let portions = portions(&course, &class);
        let (options, _) = options(&course, &class, &portions);
        let weighed = weigh(&course, &class, &portions, &preferred(&course, &options, &portions));
        rounding_findings(&course, &weighed).iter().map(|f| f.code.0).collect()
    }

    #[test]
    fn a_coarse_scale_bends_salt_and_yeast() {
        let coarse = told(|c| {
            c.settings.fine_step.place = Some(Place { source: SourceId(0), start: 0, end: 0 });
            c.settings.fine_step.value = Grams::whole(5);
            c.settings.scale_step.value = Grams::whole(5);
        });
        assert!(coarse.contains(&"rounding-bends") && !coarse.contains(&"fine-step-assumed"), "{coarse:?}");
    }

    #[test]
    fn a_scale_that_nobody_wrote_down_is_told_once() {
        let assumed = told(|c| c.settings.fine_step = at(Grams::from_mg(100)));
        assert_eq!(assumed.iter().filter(|code| **code == "fine-step-assumed").count(), 1);
    }
}
