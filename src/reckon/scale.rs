//! From who comes to how much of each part: for each station, for each stage of a demonstration, and for the spare.

use super::formula::piece_needs;
use super::recipes::Recipes;
use super::work::{Class, Portion, Whom};
use crate::course::{Chain, Course, ForEach, Lesson, PartId, Step, StepId, VariantId};
use std::collections::BTreeSet;

/// For whom a lesson makes pieces, and how many: stations in order, stages in the order of the steps, the spare last. Students +
/// demonstration + spare, and nothing beside.
pub fn pieces_of(lesson: &Lesson, class: &Class) -> Vec<(Whom, u32)> {
    let pieces = lesson.makes.pieces.value;
    let stations = class.stations.len() as u32;
    let mut all = Vec::new();
    for (at, station) in class.stations.iter().enumerate() {
        let own = match lesson.makes.for_each.value {
            ForEach::Student => pieces.saturating_mul(station.students()),
            ForEach::Station => pieces,
            // What is made for the class is shared out evenly, the first stations take what is left over.
            ForEach::Class => pieces / stations + u32::from((at as u32) < pieces % stations),
        };
        if own > 0 {
            all.push((Whom::Station(station.no), own));
        }
    }
    for step in &lesson.steps {
        for stage in &step.stages {
            all.push((Whom::Stage { demo: step.id.value.clone(), up_to: stage.value.clone() }, 1));
        }
    }
    if lesson.makes.spare.value > 0 {
        all.push((Whom::Spare, lesson.makes.spare.value));
    }
    all
}

/// The variant that a group follows: a station its own; stages and spare the one that everyone must, if any.
pub fn variant_of<'a>(class: &'a Class, lesson: &Lesson, whom: &Whom) -> Option<&'a VariantId> {
    let everyone = class.everyone.get(&lesson.id.value);
    match whom {
        Whom::Station(no) => class.stations.iter().find(|s| s.no == *no)?.variants.get(&lesson.id.value),
        Whom::Stage { .. } | Whom::Spare => everyone,
    }
}

/// The portions of every lesson: lessons in order, parts in the order of the piece, groups as in [`pieces_of`].
///
/// A stage takes only the parts that are in it by then. A formula that does not resolve has no portions; its findings say so.
pub fn portions(course: &Course, class: &Class) -> Vec<Portion> {
    let (recipes, _) = Recipes::of(course);
    let mut all = Vec::new();
    for lesson in &course.lessons {
        let formula = &lesson.formula.value;
        let groups = pieces_of(lesson, class);
        let Some(plain) = recipes.get(formula, None) else { continue };
        for (part, _) in &plain.formula.piece.amounts {
            for (whom, pieces) in &groups {
                if let Whom::Stage { up_to, .. } = whom
                    && !stage_parts(&recipes, lesson, up_to).contains(&part.value)
                {
                    continue;
                }
                let variant = variant_of(class, lesson, whom);
                let Some(recipe) = recipes.get(formula, variant) else { continue };
                let used = piece_needs(&recipe.formula, *pieces)
                    .into_iter()
                    .find(|(p, _)| *p == part.value)
                    .map_or(crate::units::Grams::ZERO, |(_, g)| g);
                let Some(amounts) = recipe.shares.for_used(&part.value, used) else { continue };
                all.push(Portion {
                    lesson: lesson.id.value.clone(),
                    formula: formula.clone(),
                    variant: variant.cloned(),
                    part: part.value.clone(),
                    whom: whom.clone(),
                    pieces: *pieces,
                    used,
                    weighed: amounts.weighed,
                });
            }
        }
    }
    all
}

/// The parts that a step works on, without those that lie inside another of them: a step on dough and scald makes dough.
pub fn main_parts<'a>(recipes: &Recipes, lesson: &Lesson, step: &'a Step) -> Vec<&'a PartId> {
    let parts: Vec<&PartId> = step
        .on
        .iter()
        .filter_map(|c| match &c.value {
            Chain::Part(p) => Some(p),
            Chain::Piece => None,
        })
        .collect();
    let inside = |p: &PartId| parts.iter().any(|other| recipes.lies_inside(&lesson.formula.value, p, other));
    parts.iter().copied().filter(|p| !inside(p)).collect()
}

/// The parts that are in the piece, or that the step works on, once this step is done.
pub fn stage_parts(recipes: &Recipes, lesson: &Lesson, up_to: &StepId) -> BTreeSet<PartId> {
    let mut joined: BTreeSet<PartId> = BTreeSet::new();
    let amounts = recipes
        .get(&lesson.formula.value, None)
        .map(|r| r.formula.piece.amounts.iter().map(|(p, _)| p.value.clone()).collect::<Vec<_>>())
        .unwrap_or_default();
    for step in &lesson.steps {
        let mains = main_parts(recipes, lesson, step);
        let on_piece = step.on.iter().any(|c| c.value == Chain::Piece);
        if on_piece && joined.is_empty() {
            // A dough that nothing joined is the piece as it is.
            joined.extend(amounts.first().cloned());
        }
        let joins = mains.len() + usize::from(on_piece) > 1;
        if joins {
            joined.extend(mains.iter().map(|p| (*p).clone()));
        }
        if step.id.value == *up_to {
            let mut here = if on_piece || joins { joined } else { mains.into_iter().cloned().collect() };
            if on_piece {
                // A part without any step of its own goes on or in unseen: better made than missing.
                let worked: BTreeSet<&PartId> =
                    lesson.steps.iter().flat_map(|s| main_parts(recipes, lesson, s)).collect();
                here.extend(amounts.iter().filter(|p| !worked.contains(p)).cloned());
            }
            return here;
        }
    }
    joined
}

/// Whether a stage is brought as far as `step` or beyond it.
pub fn stage_reaches(lesson: &Lesson, up_to: &StepId, step: &StepId) -> bool {
    let at = |id: &StepId| lesson.steps.iter().position(|s| s.id.value == *id);
    match (at(up_to), at(step)) {
        (Some(stage), Some(step)) => stage >= step,
        _ => false,
    }
}
