//! Salt, yeast, sugar and fat against the ranges of [`dough_class`](crate::reckon::dough_class).

use super::shown;
use crate::course::{Conventions, Formula, Ingredient, ItemId, ItemKind, Pantry, Part};
use crate::finding::{Finding, Level, Place};
use crate::reckon::composition::Figures;
use crate::reckon::dough_class::{OSMOTOLERANT_LEVELS, Ranged, out_of_range, wants_osmotolerant};
use crate::reckon::formula::Overall;
use crate::units::Percent;
use rust_decimal::Decimal;

/// Where the lines of a dough stand, those of the parts inside it included.
pub(super) struct Lines<'a> {
    pub(super) formula: &'a Formula,
    pub(super) all: &'a Overall,
    pub(super) pantry: &'a Pantry,
    /// Every ingredient is known. One that is not can only bring more of anything.
    pub(super) complete: bool,
}

impl Lines<'_> {
    /// The share of the line that brings most of what a range is about: there a slip is looked for.
    fn of(&self, what: Ranged) -> Option<Place> {
        let kinds: &[ItemKind] = match what {
            Ranged::Salt => &[ItemKind::Salt],
            Ranged::Yeast => &[ItemKind::FreshYeast, ItemKind::DryYeast, ItemKind::InstantYeast],
            Ranged::Sugar => &[ItemKind::Sugar],
            Ranged::Fat => &[ItemKind::Fat],
        };
        let is = |item: &ItemId| self.pantry.item(item).is_some_and(|i| kinds.contains(&i.kind.value));
        let lines = self.all.lines.iter().filter(|l| is(&l.item));
        let (item, part, _) = lines
            .flat_map(|l| l.from.iter().map(move |(part, share)| (&l.item, part, *share)))
            .max_by_key(|(.., share)| *share)?;
        let lines = &self.formula.part(part)?.of;
        lines.iter().find(|l| l.what.value == Ingredient::Item(item.clone()))?.share.place
    }
}

/// So many times over the end of a published range, or under it, a figure is far off: no dough is meant so.
const FAR_OFF: Decimal = Decimal::from_parts(3, 0, 0, false, 0);

/// What a yeast dough has outside the ranges that are in print or in use, each at the line that brings most of it.
pub(super) fn ranges(
    chosen: &Conventions,
    lines: &Lines<'_>,
    part: &Part,
    figures: &Figures,
) -> Vec<Finding> {
    let mut found = Vec::new();
    let yeast: Percent = figures.nominal.yeast.iter().copied().sum();
    // Ranges are those of yeast doughs.
    if yeast == Percent::ZERO {
        return found;
    }
    for out in out_of_range(figures, chosen.yeast.value) {
        let place = lines.of(out.range.of).or(part.id.place);
        let value = out.value.number();
        if value < out.range.low && !lines.complete {
            continue;
        }
        let far_off = value >= out.range.high * FAR_OFF || value * FAR_OFF <= out.range.low;
        let message = format!(
            "{} is {} of the flour in `{}`; {} goes from {} % to {} %",
            out.range.of.word(),
            shown(out.value),
            part.id,
            if out.range.level == Level::Warning { "print" } else { "common practice" },
            out.range.low.normalize(),
            out.range.high.normalize()
        );
        let finding = match out.range.level {
            Level::Note => Finding::note("outside-usual-range", place, message),
            _ => Finding::warning("outside-published-range", place, message).far_off(far_off),
        };
        found.push(finding.way_out(format!("look for a slip; the range is that of {}", out.range.source)));
    }
    let above = chosen.sweet_yeast_above.value;
    if wants_osmotolerant(figures, above) {
        let levels: Vec<String> =
            OSMOTOLERANT_LEVELS.iter().map(|(n, row, says)| format!("from {n} % {says} ({row})")).collect();
        found.push(
            Finding::note(
                "osmotolerant-yeast",
                part.id.place,
                format!("sugar is {} of the flour in `{}`, over the {above} of this course", shown(figures.nominal.sugar), part.id),
            )
            .also(chosen.sweet_yeast_above.place, "the level is chosen here")
            .way_out(format!(
                "use a yeast made for sweet dough, or allow for a longer rise; in print {}; `sweet-yeast-above` under `[conventions]` chooses",
                levels.join(", ")
            )),
        );
    }
    found
}
