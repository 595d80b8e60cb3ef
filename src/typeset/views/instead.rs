//! What a variant has in place of what, in the fewest words that are true.

use super::common::Phrase;
use super::desk::Desk;
use super::wording::item_name;
use crate::course::{Course, Formula, Ingredient, ItemKind, Line, VariantId};
use crate::reckon::formula::with_variant;
use serde::Serialize;

/// Some ingredients in place of others.
#[derive(Clone, PartialEq)]
struct Swap<'f> {
    new: Vec<&'f Ingredient>,
    old: Vec<&'f Ingredient>,
}

impl Swap<'_> {
    /// Whether two speak of the same ingredient.
    fn touches(&self, other: &Swap) -> bool {
        let shared = |a: &[&Ingredient], b: &[&Ingredient]| a.iter().any(|i| b.contains(i));
        shared(&self.new, &other.new) || shared(&self.old, &other.old)
    }
}

/// What a variant has in place of what.
pub struct Swaps {
    /// What is so in every part that has it.
    pub swaps: Vec<Phrase>,
    /// What differs from part to part.
    pub by_part: Vec<InPart>,
    /// The parts that are made of the same in other amounts.
    pub parts: Vec<String>,
}

/// What is other in one part.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct InPart {
    /// The part's name.
    pub part: String,
    /// What stands in place of what there: sentences of the catalogue's `[station]`.
    pub swaps: Vec<Phrase>,
}

/// What stands in place of what, each once, and the parts that a variant makes of the same in other amounts.
pub fn swaps(desk: &Desk, formula: &Formula, variant: &VariantId) -> Option<Swaps> {
    let made = with_variant(formula, variant)?;
    let touched = &formula.variant(variant)?.lines;
    let (mut found, mut parts): (Vec<(String, Vec<Swap>)>, Vec<String>) = (Vec::new(), Vec::new());
    for part in &formula.parts {
        let (true, Some(other)) =
            (touched.iter().any(|(p, _)| p.value == part.id.value), made.part(&part.id.value))
        else {
            continue;
        };
        let name = desk.mid_sentence(&desk.part_name(&formula.id.value, &part.id.value));
        let all = pairs(desk.course, &beyond(&part.of, &other.of), &beyond(&other.of, &part.of));
        if all.is_empty() {
            parts.push(name);
        } else {
            let all = all.into_iter().map(|(new, old)| Swap { new, old }).collect();
            found.push((name, all));
        }
    }
    let words = |all: &[&Ingredient]| {
        let one = |i: &&Ingredient| match i {
            Ingredient::Item(item) => item_name(desk.course, item),
            Ingredient::Part(part) => desk.part_name(&formula.id.value, part),
        };
        all.iter().map(one).collect::<Vec<_>>().join(", ")
    };
    let phrase = |swap: &Swap| {
        let (new, old) = (words(&swap.new), words(&swap.old));
        match (swap.new.is_empty(), swap.old.is_empty()) {
            (_, true) => Phrase::new("station.with", [("new", new)]),
            (true, _) => Phrase::new("station.without", [("old", old)]),
            _ => Phrase::new("station.swap", [("new", new), ("old", old)]),
        }
    };
    // True of the whole piece: what is out is out of every part, and no part says it otherwise.
    let still = |i: &&Ingredient| made.parts.iter().flat_map(|p| &p.of).any(|l| l.what.value == **i);
    let everywhere = |swap: &Swap| {
        let mut others = found.iter().flat_map(|(_, all)| all).filter(|o| swap.touches(o));
        !swap.old.iter().any(still) && others.all(|o| o == swap)
    };
    let mut in_all: Vec<&Swap> = Vec::new();
    let mut by_part = Vec::new();
    for (name, all) in &found {
        let (whole, own): (Vec<&Swap>, Vec<&Swap>) = all.iter().partition(|s| everywhere(s));
        for swap in whole {
            if !in_all.contains(&swap) {
                in_all.push(swap);
            }
        }
        if !own.is_empty() {
            by_part.push(InPart { part: name.clone(), swaps: own.into_iter().map(phrase).collect() });
        }
    }
    Some(Swaps { swaps: in_all.into_iter().map(phrase).collect(), by_part, parts })
}

/// The lines whose ingredient the other list does not have.
fn beyond<'f>(lines: &'f [Line], other: &[Line]) -> Vec<&'f Line> {
    lines.iter().filter(|l| !other.iter().any(|o| o.what.value == l.what.value)).collect()
}

/// Kinds that stand in for each other.
fn sort(kind: ItemKind) -> ItemKind {
    match kind {
        ItemKind::Drink => ItemKind::Milk,
        ItemKind::Yolk | ItemKind::White => ItemKind::Egg,
        kind => kind,
    }
}

/// What is in for what: one for one where only one is out, or where one of the same kind and share is in; the rest together. Margarine
/// that happens to be as much as the eggs is there for the butter.
fn pairs<'f>(
    course: &Course,
    old: &[&'f Line],
    new: &[&'f Line],
) -> Vec<(Vec<&'f Ingredient>, Vec<&'f Ingredient>)> {
    let what = |l: &&'f Line| &l.what.value;
    if old.is_empty() && new.is_empty() {
        return Vec::new();
    }
    let alike = |all: &[&'f Line], one: &Line| -> Vec<&'f Line> {
        let kind = |l: &Line| match &l.what.value {
            Ingredient::Item(item) => course.pantry.item(item).map(|i| sort(i.kind.value)),
            Ingredient::Part(_) => None,
        };
        let is = |l: &&'f Line| l.share.value == one.share.value && kind(l) == kind(one);
        all.iter().copied().filter(is).collect()
    };
    let mut found = Vec::new();
    let (mut rest_old, mut rest_new) = (Vec::new(), new.to_vec());
    for line in old {
        match alike(new, line).as_slice() {
            [one] if alike(old, line).len() == 1 => {
                rest_new.retain(|l| l.what.value != one.what.value);
                found.push((vec![what(one)], vec![what(line)]));
            }
            _ => rest_old.push(what(line)),
        }
    }
    if !rest_old.is_empty() || !rest_new.is_empty() {
        found.push((rest_new.iter().map(what).collect(), rest_old));
    }
    found
}
