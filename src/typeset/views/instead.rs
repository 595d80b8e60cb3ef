//! What a variant has in place of what, in the fewest words that are true.

use super::common::Phrase;
use super::desk::Desk;
use super::wording::item_name;
use crate::course::{
    Basis, Chain, Course, Formula, Hands, Ingredient, ItemKind, Lesson, Line, Part, PartId, Per, StationNo,
    Step, VariantId,
};
use crate::reckon::formula::with_variant;
use crate::reckon::plan::timetable::PlannedTask;
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
    /// The part's name; empty at a step of which it is true as a whole.
    pub part: String,
    /// What stands in place of what there: sentences of the catalogue's `[station]`.
    pub swaps: Vec<Phrase>,
}

/// The parts that a variant writes otherwise, each with what stands in place of what in it: nothing where only the amounts differ.
fn changed<'f>(
    course: &Course,
    formula: &'f Formula,
    made: &'f Formula,
    variant: &VariantId,
) -> Vec<(&'f Part, Vec<Swap<'f>>)> {
    let touched = formula.variant(variant).map_or(&[][..], |v| v.lines.as_slice());
    let mut found = Vec::new();
    for part in &formula.parts {
        let (true, Some(other)) =
            (touched.iter().any(|(p, _)| p.value == part.id.value), made.part(&part.id.value))
        else {
            continue;
        };
        let all = pairs(course, &beyond(&part.of, &other.of), &beyond(&other.of, &part.of));
        found.push((part, all.into_iter().map(|(new, old)| Swap { new, old }).collect()));
    }
    found
}

/// Some in place of others, as a sentence of the catalogue.
fn phrase(desk: &Desk, formula: &Formula, swap: &Swap) -> Phrase {
    let words = |all: &[&Ingredient]| {
        let one = |i: &&Ingredient| match i {
            Ingredient::Item(item) => item_name(desk.course, item),
            Ingredient::Part(part) => desk.part_name(&formula.id.value, part),
        };
        all.iter().map(one).collect::<Vec<_>>().join(", ")
    };
    let (new, old) = (words(&swap.new), words(&swap.old));
    match (swap.new.is_empty(), swap.old.is_empty()) {
        (_, true) => Phrase::new("station.with", [("new", new)]),
        (true, _) => Phrase::new("station.without", [("old", old)]),
        _ => Phrase::new("station.swap", [("new", new), ("old", old)]),
    }
}

/// What stands in place of what, each once, and the parts that a variant makes of the same in other amounts.
pub fn swaps(desk: &Desk, formula: &Formula, variant: &VariantId) -> Option<Swaps> {
    let made = with_variant(formula, variant)?;
    formula.variant(variant)?;
    let (mut found, mut parts): (Vec<(String, Vec<Swap>)>, Vec<String>) = (Vec::new(), Vec::new());
    for (part, all) in changed(desk.course, formula, &made, variant) {
        let name = desk.mid_sentence(&desk.part_name(&formula.id.value, &part.id.value));
        if all.is_empty() {
            parts.push(name);
        } else {
            found.push((name, all));
        }
    }
    // True of the whole piece: what is out is out of every part, and no part says it otherwise.
    let still = |i: &&Ingredient| made.parts.iter().flat_map(|p| &p.of).any(|l| l.what.value == **i);
    let everywhere = |swap: &Swap| {
        let mut others = found.iter().flat_map(|(_, all)| all).filter(|o| swap.touches(o));
        !swap.old.iter().any(still) && others.all(|o| o == swap)
    };
    let mut in_all: Vec<&Swap> = Vec::new();
    let mut by_part = Vec::new();
    let say = |swap: &Swap| phrase(desk, formula, swap);
    for (name, all) in &found {
        let (whole, own): (Vec<&Swap>, Vec<&Swap>) = all.iter().partition(|s| everywhere(s));
        for swap in whole {
            if !in_all.contains(&swap) {
                in_all.push(swap);
            }
        }
        if !own.is_empty() {
            by_part.push(InPart { part: name.clone(), swaps: own.into_iter().map(say).collect() });
        }
    }
    Some(Swaps { swaps: in_all.into_iter().map(say).collect(), by_part, parts })
}

// At a step ----------------------------------------------------------------------------------------------------------------

impl Desk<'_> {
    /// What the variant of a station has in place of what, where its own hands take it up in a task.
    pub fn here_in(&self, task: &PlannedTask, reader: Option<StationNo>) -> Vec<InPart> {
        let works = task.hands == Hands::Students && !task.demo && !task.cold_wait;
        let lesson = task.lesson.as_ref().and_then(|l| self.course.lesson(l));
        match (reader, lesson, self.step(task)) {
            (Some(no), Some(lesson), Some(step)) if works => {
                here(self, lesson, self.variant_of(no, &lesson.id.value), step)
            }
            _ => Vec::new(),
        }
    }
}

/// What is taken away, or stands in place of something, in the parts that a step takes up: its words are the plain formula's, and may
/// name what the reader must not have. A part's name stands with it only where another part of the step still has what is out of it.
pub fn here(desk: &Desk, lesson: &Lesson, variant: Option<&VariantId>, step: &Step) -> Vec<InPart> {
    let formula = desk.course.formula(&lesson.formula.value);
    let (Some(formula), Some(variant)) = (formula, variant) else { return Vec::new() };
    let Some(made) = with_variant(formula, variant) else { return Vec::new() };
    let mut of_all = InPart::default();
    let mut found = Vec::new();
    for (part, all) in changed(desk.course, formula, &made, variant) {
        if !takes_up(desk, lesson, formula, part, step) {
            continue;
        }
        let out: Vec<Swap> = all.into_iter().filter(|s| !s.old.is_empty()).collect();
        let others = || {
            let other =
                |p: &&Part| p.id.value != part.id.value && has_in_hand(desk, formula, step, &p.id.value);
            made.parts.iter().filter(other).flat_map(|p| &p.of)
        };
        let still = out.iter().flat_map(|s| &s.old).any(|old| others().any(|l| l.what.value == **old));
        let swaps = out.iter().map(|s| phrase(desk, formula, s));
        if still {
            let name = desk.mid_sentence(&desk.part_name(&formula.id.value, &part.id.value));
            found.push(InPart { part: name, swaps: swaps.collect() });
        } else {
            for swap in swaps {
                if !of_all.swaps.contains(&swap) {
                    of_all.swaps.push(swap);
                }
            }
        }
    }
    if !of_all.swaps.is_empty() {
        found.insert(0, of_all);
    }
    found
}

fn names(step: &Step, part: &PartId) -> bool {
    step.on.iter().any(|c| matches!(&c.value, Chain::Part(p) if p == part))
}

/// A part that a step names, or one inside it.
fn has_in_hand(desk: &Desk, formula: &Formula, step: &Step, part: &PartId) -> bool {
    let inside = |p: &PartId| p == part || desk.recipes.lies_inside(&formula.id.value, part, p);
    step.on.iter().any(|c| matches!(&c.value, Chain::Part(p) if inside(p)))
}

/// Whether a step makes a part or puts it to others. A dough that was made in a bowl holds what it holds, whatever is done with the
/// pieces of it.
fn takes_up(desk: &Desk, lesson: &Lesson, formula: &Formula, part: &Part, step: &Step) -> bool {
    let taught: Vec<&Step> = lesson.steps.iter().filter(|s| !s.demo).collect();
    let is_named = |p: &PartId| taught.iter().any(|s| names(s, p));
    // What no step names is made with the part that it lies in.
    let inside = |p: &&Part| {
        is_named(&p.id.value) && desk.recipes.lies_inside(&formula.id.value, &part.id.value, &p.id.value)
    };
    let own = is_named(&part.id.value).then_some(part);
    let Some(made) = own.or_else(|| formula.parts.iter().find(inside)) else {
        return goes_with(formula, part, &taught).is_some_and(|s| s.id.value == step.id.value);
    };
    let all: Vec<&Step> = taught.iter().copied().filter(|s| names(s, &made.id.value)).collect();
    if !all.iter().any(|s| s.id.value == step.id.value) {
        return false;
    }
    let first = all.first().is_some_and(|s| s.id.value == step.id.value);
    let in_bowl = all.iter().any(|s| s.per.value == Per::Batch);
    let is_dough = made.basis.value == Basis::Flour;
    first || !is_dough || step.on.len() == 1 && (!in_bowl || step.per.value == Per::Batch)
}

/// The step that a part goes with which none names, nor any that it lies in: the first of a station on what stands before it in the
/// piece, or else the last.
fn goes_with<'l>(formula: &Formula, part: &Part, taught: &[&'l Step]) -> Option<&'l Step> {
    let parts: Vec<&PartId> = formula.piece.amounts.iter().map(|(p, _)| &p.value).collect();
    let place = parts.iter().position(|p| **p == part.id.value)?;
    let by_hand = || taught.iter().copied().filter(|s| s.hands.value == Hands::Students);
    let on = |p: &&PartId| by_hand().find(|s| s.per.value == Per::Station && names(s, p));
    parts[..place].iter().rev().find_map(on).or_else(|| by_hand().next_back())
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
