//! From who comes to how much of each part: for each station, for each stage of a demonstration, and for the spare.

use super::formula::piece_needs;
use super::recipes::Recipes;
use super::work::{Class, Portion, Whom};
use crate::course::{Chain, Course, ForEach, Hands, Lesson, PartId, Per, Step, StepId, VariantId};
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

/// Whether a step works on a part: itself, or inside another.
pub fn works_on(recipes: &Recipes, lesson: &Lesson, step: &Step, part: &PartId) -> bool {
    step.on.iter().any(|c| match &c.value {
        Chain::Part(p) => p == part || recipes.lies_inside(&lesson.formula.value, part, p),
        Chain::Piece => false,
    })
}

/// The step in which hands begin a part: who does it puts it on the scale. `None` for a part that no step names.
pub fn begun_by<'a>(recipes: &Recipes, lesson: &'a Lesson, part: &PartId) -> Option<&'a Step> {
    let by_hands = |s: &&Step| !s.demo && s.hands.value != Hands::Nobody;
    lesson.steps.iter().filter(by_hands).find(|s| works_on(recipes, lesson, s, part))
}

/// Whether each station makes a part by itself in a step of its own, though what takes it up may be mixed for several.
pub fn each_makes_its_own(recipes: &Recipes, lesson: &Lesson, part: &PartId) -> bool {
    begun_by(recipes, lesson, part)
        .is_some_and(|s| s.per.value == Per::Station && main_parts(recipes, lesson, s) == [part])
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

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::reckon::class::seat;
    use crate::reckon::sample::{at, course, g, roll};
    use crate::units::Grams;
    use proptest::prelude::*;

    fn stage() -> Whom {
        Whom::Stage { demo: "show".into(), up_to: "chill".into() }
    }

    #[test]
    fn a_station_takes_what_its_pieces_take_and_weighs_the_loss_on_top() {
        let c = course();
        let all = portions(&c, &seat(&c, None).0);
        let dough = all
            .iter()
            .find(|p| p.part.as_str() == "dough" && p.whom == Whom::Station(crate::course::StationNo(1)))
            .unwrap();
        // Two crowns of 485 g; 3 % is lost on the hook: 970 / 0.97 = 1000.
        assert_eq!((dough.pieces, dough.used, dough.weighed), (2, g("970"), g("1000")));
    }

    #[test]
    fn a_stage_takes_only_what_is_in_it_by_then() {
        let mut c = course();
        let class = seat(&c, None).0;
        let of_stage = |c: &Course, up_to: &str| -> Vec<String> {
            portions(c, &class)
                .iter()
                .filter(|p| p.lesson.as_str() == "crown")
                .filter(|p| matches!(&p.whom, Whom::Stage { up_to: u, .. } if u.as_str() == up_to))
                .map(|p| p.part.to_string())
                .collect()
        };
        assert_eq!(of_stage(&c, "chill"), ["dough"]);
        let show = c.lessons[0].steps.iter_mut().find(|s| s.demo).unwrap();
        show.stages = vec![at("proof".into()), at("brush".into()), at("cook".into())];
        assert_eq!(of_stage(&c, "proof"), ["dough", "filling"]);
        assert_eq!(of_stage(&c, "brush"), ["dough", "filling", "wash"]);
        assert_eq!(of_stage(&c, "cook"), ["filling"]);
    }

    #[test]
    fn a_bun_that_nothing_joins_is_its_dough() {
        let mut c = course();
        let mut show = c.lessons[0].steps.iter().find(|s| s.demo).unwrap().clone();
        show.stages = vec![at("bake".into())];
        c.lessons[1].steps.push(show);
        let all = portions(&c, &seat(&c, None).0);
        let stages =
            all.iter().filter(|p| p.lesson.as_str() == "buns" && matches!(p.whom, Whom::Stage { .. }));
        assert_eq!(stages.map(|p| p.part.as_str()).collect::<Vec<_>>(), ["dough"]);
    }

    #[test]
    fn pieces_for_the_class_are_shared_out() {
        let mut c = course();
        c.lessons[1].makes.for_each = at(ForEach::Class);
        c.lessons[1].makes.pieces = at(8);
        let all = pieces_of(&c.lessons[1], &seat(&c, None).0);
        assert_eq!(all.iter().map(|(_, n)| *n).collect::<Vec<_>>(), [2, 2, 1, 1, 1, 1]);
        assert_eq!(pieces_of(&c.lessons[0], &seat(&c, None).0)[6], (stage(), 1));
    }

    proptest! {
        /// Pieces = students + demonstration + spare; every part agrees on them.
        #[test]
        fn pieces_add_up(n in 1usize..30, each in 1u32..5, spare in 0u32..4, who in 0usize..3) {
            let mut c = course();
            c.roll = roll(n);
            let makes = &mut c.lessons[0].makes;
            makes.pieces = at(each);
            makes.spare = at(spare);
            makes.for_each = at([ForEach::Student, ForEach::Station, ForEach::Class][who]);
            let class = seat(&c, None).0;
            let all = pieces_of(&c.lessons[0], &class);
            let students = match who { 0 => n as u32 * each, 1 => class.stations.len() as u32 * each, _ => each };
            prop_assert_eq!(all.iter().map(|(_, p)| p).sum::<u32>(), students + 1 + spare);
            let portions = portions(&c, &class);
            for part in ["dough", "filling"] {
                let used: Grams = portions.iter().filter(|p| p.lesson.as_str() == "crown" && p.part.as_str() == part).map(|p| p.used).sum();
                let one = if part == "dough" { g("485") } else { g("150") };
                // The stage is brought to the chilled dough only.
                let pieces = students + spare + u32::from(part == "dough");
                prop_assert_eq!(used, one.times(i64::from(pieces)));
            }
        }
    }
}
