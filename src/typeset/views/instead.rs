//! What a variant has in place of what, in the fewest words that are true.

use super::common::Phrase;
use super::desk::Desk;
use super::wording::item_name;
use crate::course::{Formula, Ingredient, Line, VariantId};
use crate::reckon::formula::with_variant;

/// Some ingredients in place of others.
#[derive(PartialEq)]
struct Swap<'f> {
    new: Vec<&'f Ingredient>,
    old: Vec<&'f Ingredient>,
    /// The part, where what is out of it is still in another.
    only_in: Option<String>,
}

/// What stands in place of what, and the parts that a variant makes of the same in other amounts.
pub fn swaps(desk: &Desk, formula: &Formula, variant: &VariantId) -> Option<(Vec<Phrase>, Vec<String>)> {
    let made = with_variant(formula, variant)?;
    let (mut swaps, mut amounts): (Vec<Swap>, Vec<String>) = (Vec::new(), Vec::new());
    for part in &formula.parts {
        let touched = &formula.variant(variant)?.lines;
        let (true, Some(other)) =
            (touched.iter().any(|(p, _)| p.value == part.id.value), made.part(&part.id.value))
        else {
            continue;
        };
        let name = desk.part_name(&formula.id.value, &part.id.value).to_lowercase();
        let found = pairs(&beyond(&part.of, &other.of), &beyond(&other.of, &part.of));
        if found.is_empty() {
            amounts.push(name);
            continue;
        }
        for (new, old) in found {
            let still = |i: &&Ingredient| made.parts.iter().flat_map(|p| &p.of).any(|l| l.what.value == **i);
            let only_in = old.iter().any(still).then(|| name.clone());
            let swap = Swap { new, old, only_in };
            if !swaps.contains(&swap) {
                swaps.push(swap);
            }
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
        match (swap.new.is_empty(), swap.old.is_empty(), swap.only_in.clone()) {
            (_, true, _) => Phrase::new("station.with", [("new", new)]),
            (true, _, None) => Phrase::new("station.without", [("old", old)]),
            (true, _, Some(part)) => Phrase::new("station.without-in", [("old", old), ("part", part)]),
            (_, _, None) => Phrase::new("station.swap", [("new", new), ("old", old)]),
            (_, _, Some(part)) => {
                Phrase::new("station.swap-in", [("new", new), ("old", old), ("part", part)])
            }
        }
    };
    Some((swaps.iter().map(phrase).collect(), amounts))
}

/// The lines whose ingredient the other list does not have.
fn beyond<'f>(lines: &'f [Line], other: &[Line]) -> Vec<&'f Line> {
    lines.iter().filter(|l| !other.iter().any(|o| o.what.value == l.what.value)).collect()
}

/// What is in for what: one for one where only one is out, or where one of the same share is in; the rest together.
fn pairs<'f>(old: &[&'f Line], new: &[&'f Line]) -> Vec<(Vec<&'f Ingredient>, Vec<&'f Ingredient>)> {
    let what = |l: &&'f Line| &l.what.value;
    if old.is_empty() && new.is_empty() {
        return Vec::new();
    }
    let alike = |all: &[&'f Line], one: &Line| -> Vec<&'f Line> {
        all.iter().copied().filter(|l| l.share.value == one.share.value).collect()
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
