//! Who needs how much of a part: one row of members for each way in which the stations' variants make it.

use crate::course::{FormulaId, Lesson, PartId, VariantId};
use crate::reckon::formula::PartAmounts;
use crate::reckon::recipes::Recipes;
use crate::reckon::work::{Portion, Whom};
use crate::units::Grams;

/// What one group needs of a part.
#[derive(Clone, PartialEq, Debug)]
pub struct Member {
    /// For whom.
    pub whom: Whom,
    /// As it is used.
    pub used: Grams,
    /// To weigh for it.
    pub weighed: Grams,
}

impl Member {
    /// Whether it is a station, not a stage or the spare.
    pub fn is_station(&self) -> bool {
        matches!(self.whom, Whom::Station(_))
    }
}

/// All who take a part that is made in the same way.
#[derive(Clone, PartialEq, Debug)]
pub struct VariantGroup {
    /// The variant as far as it concerns the part.
    pub variant: Option<VariantId>,
    /// Stations in order, then stages, then the spare.
    pub members: Vec<Member>,
}

impl VariantGroup {
    /// What these members weigh together.
    pub fn weighed(&self, members: &[usize]) -> Grams {
        members.iter().map(|m| self.members[*m].weighed).sum()
    }

    /// What to weigh for these members, and how much of it is beyond their need because less cannot be made.
    pub fn to_make(
        &self,
        recipes: &Recipes,
        formula: &FormulaId,
        part: &PartId,
        members: &[usize],
    ) -> (Grams, Grams) {
        let weighed = self.weighed(members);
        let used: Grams = members.iter().map(|m| self.members[*m].used).sum();
        let least = recipes
            .get(formula, self.variant.as_ref())
            .and_then(|r| r.shares.part(part)?.least.and_then(|_| r.shares.for_least(part, used)));
        match least {
            Some(made) if made.surplus() > Grams::ZERO => (made.weighed, made.weighed - weighed),
            _ => (weighed, Grams::ZERO),
        }
    }
}

/// The members of a part, plain first and then by variant in the order of their names. A part that lies inside another is needed
/// by whoever takes that other one.
pub fn members(recipes: &Recipes, lesson: &Lesson, portions: &[Portion], part: &PartId) -> Vec<VariantGroup> {
    let formula = &lesson.formula.value;
    let mut groups: Vec<VariantGroup> = Vec::new();
    for portion in portions.iter().filter(|p| p.lesson == lesson.id.value) {
        let Some(recipe) = recipes.get(formula, portion.variant.as_ref()) else { continue };
        let used = if portion.part == *part {
            portion.used
        } else {
            match recipe.shares.for_used(&portion.part, portion.used) {
                Some(amounts) => needed_inside(&amounts, part),
                None => Grams::ZERO,
            }
        };
        if used <= Grams::ZERO {
            continue;
        }
        let weighed = if portion.part == *part {
            portion.weighed
        } else {
            recipe.shares.for_used(part, used).map_or(used, |a| a.weighed)
        };
        let variant = recipes.variant_of_part(formula, portion.variant.as_ref(), part);
        let at = groups.iter().position(|g| g.variant == variant).unwrap_or_else(|| {
            groups.push(VariantGroup { variant, members: Vec::new() });
            groups.len() - 1
        });
        let members = &mut groups[at].members;
        match members.iter_mut().find(|m| m.whom == portion.whom) {
            Some(m) => {
                m.used += used;
                m.weighed += weighed;
            }
            None => members.push(Member { whom: portion.whom.clone(), used, weighed }),
        }
    }
    for group in &mut groups {
        group.members.sort_by(|a, b| a.whom.cmp(&b.whom));
    }
    groups.sort_by(|a, b| a.variant.cmp(&b.variant));
    groups
}

/// How much of a part goes into an amount of another, at any depth.
fn needed_inside(amounts: &PartAmounts, part: &PartId) -> Grams {
    amounts.inner.iter().map(|i| if i.part == *part { i.needed } else { needed_inside(i, part) }).sum()
}
