//! What can be said of formulas while something else is wrong: of each part that no error touches, so that all slips are told at once.

use super::temperatures::of_lesson;
use super::{Lines, main_dough, ranges, too_wet};
use crate::course::{Conventions, Draft, Formula, Ingredient, ItemId, Pantry, Part, PartId};
use crate::finding::{Finding, Level, Place};
use crate::reckon::composition::figures;
use crate::reckon::formula::Proportions;

/// What there is to say about the formulas and temperatures of a course that has errors, beside those. Nothing is said of what an
/// error touches: what stands there is stood in for.
pub fn findings_while_errors(draft: &Draft, told: &[Finding]) -> Vec<Finding> {
    let errors = told.iter().filter(|f| f.level == Level::Error);
    let errors: Vec<(&'static str, Place)> = errors.filter_map(|f| Some((f.code.0, f.place?))).collect();
    let mut found: Vec<Finding> = Vec::new();
    for formula in &draft.formulas {
        let touched = Touched { draft, formula, errors: &errors };
        for part in &formula.parts {
            let alone = only(formula, &part.id.value);
            if touched.any(&alone) {
                continue;
            }
            let complete = touched.knows_all(&alone);
            match Proportions::of(&alone, &draft.pantry) {
                // An ingredient that nobody knows may be the flour that is missing.
                Err(slips) => found.extend(slips.into_iter().filter(|_| complete)),
                Ok(_) if main_dough(formula).is_some_and(|main| main.id.value == part.id.value) => {
                    found.extend(main_alone(formula, &draft.pantry, &draft.conventions, complete));
                }
                Ok(_) => {}
            }
        }
    }
    found.extend(draft.lessons.iter().flat_map(of_lesson));
    let mut new: Vec<Finding> = Vec::new();
    for finding in found {
        let there = |place: Place| errors.iter().any(|(_, error)| *error == place);
        if !finding.place.is_some_and(there) && !new.contains(&finding) {
            new.push(finding);
        }
    }
    new
}

/// What there is to say about the main dough of a formula whose other parts may be wrong. `complete`: every ingredient is known.
pub(super) fn main_alone(
    formula: &Formula,
    pantry: &Pantry,
    conventions: &Conventions,
    complete: bool,
) -> Vec<Finding> {
    let Some(main) = main_dough(formula) else { return Vec::new() };
    let alone = only(formula, &main.id.value);
    let Some(all) = Proportions::of(&alone, pantry).ok().and_then(|s| s.overall(&main.id.value)) else {
        return Vec::new();
    };
    let figures = figures(&all, pantry);
    let lines = Lines { formula: &alone, all: &all, pantry, complete };
    too_wet(main, &figures).into_iter().chain(ranges(conventions, &lines, main, &figures)).collect()
}

/// The formula with one part and those inside it.
fn only(formula: &Formula, part: &PartId) -> Formula {
    let mut kept: Vec<PartId> = Vec::new();
    let mut open = vec![part.clone()];
    while let Some(id) = open.pop() {
        if kept.contains(&id) {
            continue;
        }
        for line in formula.part(&id).into_iter().flat_map(|p| &p.of) {
            if let Ingredient::Part(inner) = &line.what.value {
                open.push(inner.clone());
            }
        }
        kept.push(id);
    }
    let mut alone = formula.clone();
    alone.parts.retain(|p| kept.contains(&p.id.value));
    alone.piece.amounts.retain(|(p, _)| kept.contains(&p.value));
    alone.variants.clear();
    alone
}

/// Which parts of a formula the errors are about.
struct Touched<'a> {
    draft: &'a Draft,
    formula: &'a Formula,
    errors: &'a [(&'static str, Place)],
}

impl Touched<'_> {
    /// Whether an error is about one of these parts or one of their ingredients. An ingredient that the pantry does not have is
    /// none: it counts as unknown.
    fn any(&self, alone: &Formula) -> bool {
        let of_part = |part: &Part| {
            self.errors.iter().any(|(code, place)| {
                *code != "unknown-ingredient" && self.owner(*place).is_some_and(|id| *id == part.id.value)
            })
        };
        alone.parts.iter().any(|p| of_part(p) || items(p).any(|item| self.item_is_touched(item)))
    }

    /// Whether the pantry has every ingredient.
    fn knows_all(&self, alone: &Formula) -> bool {
        alone.parts.iter().flat_map(items).all(|item| self.draft.pantry.item(item).is_some())
    }

    /// The part in whose text a place lies: the last thing of the formula's own that begins before it, if that is a part.
    fn owner(&self, at: Place) -> Option<&PartId> {
        let parts = self.formula.parts.iter().map(|p| (p.id.place, Some(&p.id.value)));
        let piece = self.formula.piece.amounts.iter().filter(|(_, share)| share.place.is_some());
        let others = piece.map(|(p, _)| p.place).chain(self.formula.variants.iter().map(|v| v.id.place));
        let all = parts.chain(others.map(|place| (place, None)));
        let before = all.filter_map(|(place, part)| Some((place?, part)));
        let before = before.filter(|(place, _)| place.source == at.source && place.start <= at.start);
        before.max_by_key(|(place, _)| place.start)?.1
    }

    fn item_is_touched(&self, item: &ItemId) -> bool {
        let items = &self.draft.pantry.items;
        self.errors.iter().any(|(_, at)| {
            let before = items.iter().filter_map(|i| Some((i.id.place?, &i.id.value)));
            let before = before.filter(|(place, _)| place.source == at.source && place.start <= at.start);
            before.max_by_key(|(place, _)| place.start).is_some_and(|(_, id)| id == item)
        })
    }
}

fn items(part: &Part) -> impl Iterator<Item = &ItemId> {
    part.of.iter().filter_map(|l| match &l.what.value {
        Ingredient::Item(item) => Some(item),
        Ingredient::Part(_) => None,
    })
}
