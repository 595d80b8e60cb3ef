//! Every formula of the course with each of its variants, resolved once: exact shares, and which parts a variant touches.

use super::formula::{Proportions, with_variant};
use crate::course::{Course, Formula, FormulaId, Ingredient, PartId, VariantId};
use crate::finding::Finding;
use std::collections::BTreeMap;

/// A formula as one variant makes it.
#[derive(Clone, PartialEq, Debug)]
pub struct Recipe {
    /// The formula with the variant's lines in place.
    pub formula: Formula,
    /// Its exact shares.
    pub shares: Proportions,
}

/// All formulas of a course with all their variants.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Recipes {
    made: BTreeMap<(FormulaId, Option<VariantId>), Recipe>,
}

impl Recipes {
    /// Resolves every formula and variant. Those that do not resolve are left out and their findings returned, each once.
    pub fn of(course: &Course) -> (Recipes, Vec<Finding>) {
        let mut recipes = Recipes::default();
        let mut findings: Vec<Finding> = Vec::new();
        for formula in &course.formulas {
            let variants = formula.variants.iter().map(|v| Some(v.id.value.clone()));
            for variant in std::iter::once(None).chain(variants) {
                let made = match &variant {
                    None => Some(formula.clone()),
                    Some(v) => with_variant(formula, v),
                };
                let Some(made) = made else { continue };
                match Proportions::of(&made, &course.pantry) {
                    Ok(shares) => {
                        recipes
                            .made
                            .insert((formula.id.value.clone(), variant), Recipe { formula: made, shares });
                    }
                    // A slip in a line that no variant replaces would be told once for each of them.
                    Err(new) => {
                        findings.extend(new.into_iter().filter(|f| !findings.contains(f)).collect::<Vec<_>>())
                    }
                }
            }
        }
        (recipes, findings)
    }

    /// A formula as a variant makes it; `None` when there is no such variant, or when it did not resolve.
    pub fn get(&self, formula: &FormulaId, variant: Option<&VariantId>) -> Option<&Recipe> {
        self.made.get(&(formula.clone(), variant.cloned()))
    }

    /// The variant as far as it concerns one part: the first of plain and the variants in file order that makes this part,
    /// and all parts inside it, in the same way. Stations whose variants agree on a part may share a batch of it.
    pub fn variant_of_part(
        &self,
        formula: &FormulaId,
        variant: Option<&VariantId>,
        part: &PartId,
    ) -> Option<VariantId> {
        let variant = variant?;
        let Some(own) = self.get(formula, Some(variant)) else { return Some(variant.clone()) };
        let plain = self.get(formula, None)?;
        if same_part(own, plain, part) {
            return None;
        }
        plain
            .formula
            .variants
            .iter()
            .map(|v| &v.id.value)
            .find(|v| self.get(formula, Some(v)).is_some_and(|other| same_part(own, other, part)))
            .or(Some(variant))
            .cloned()
    }

    /// Whether `inner` lies inside `part`, at any depth.
    pub fn lies_inside(&self, formula: &FormulaId, inner: &PartId, part: &PartId) -> bool {
        let Some(recipe) = self.get(formula, None) else { return false };
        let mut order = Vec::new();
        recipe.shares.innermost_first(part, &mut order);
        inner != part && order.contains(inner)
    }
}

/// Whether two recipes make a part, and all parts inside it, in the same way.
fn same_part(a: &Recipe, b: &Recipe, part: &PartId) -> bool {
    let (Some(in_a), Some(in_b)) = (a.shares.part(part), b.shares.part(part)) else { return false };
    in_a == in_b
        && in_a.lines.iter().all(|line| match &line.what {
            Ingredient::Part(inner) => same_part(a, b, inner),
            Ingredient::Item(_) => true,
        })
}
