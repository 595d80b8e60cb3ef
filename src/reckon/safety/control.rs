//! Which parts need time and temperature control, and why.
//!
//! What the teacher wrote decides. Where nothing is written, a part with egg, milk or something from the cold in it is
//! taken to need it (row `us-tcs-def`; for raw dough `grow-dough-tcs`), unless its measured pH and water activity say
//! otherwise by the tables of that definition.

use crate::course::{
    AllergenId, Allergens, Basis, Formula, Ingredient, Item, ItemKind, Keep, Pantry, Part, PartId, Share,
};
use crate::reckon::formula::piece_needs;
use rust_decimal::Decimal;
use std::collections::BTreeSet;

/// Whether a part needs control.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Need {
    /// It does: the teacher says so.
    Stated,
    /// It does, by what is in it.
    ByDefinition,
    /// It does not: the teacher says so.
    StatedNot,
    /// It does not: nothing from an animal or from the cold is in it.
    Nothing,
    /// It does not, by its pH and water activity.
    Measured,
}

impl Need {
    /// Whether its time out of the cold is counted.
    #[must_use]
    pub const fn counts(self) -> bool {
        matches!(self, Need::Stated | Need::ByDefinition)
    }
}

/// Whether a part needs control; a variant's lines are already in the formula.
#[must_use]
pub fn need(formula: &Formula, part: &Part, pantry: &Pantry) -> Need {
    if let Some(stated) = &part.needs_cold {
        return if stated.value { Need::Stated } else { Need::StatedNot };
    }
    let kept_cold = part.keep.as_ref().is_some_and(|k| k.value == Keep::Cold);
    if !kept_cold && !holds(formula, &part.id.value, pantry, &is_perishable) {
        return Need::Nothing;
    }
    if let (Some(ph), Some(aw)) = (&part.ph, &part.water_activity)
        && is_stable(ph.value, aw.value)
    {
        return Need::Measured;
    }
    Need::ByDefinition
}

/// Whether a part counts as needing control for no other reason than that it is kept cold: nothing in it spoils, as in a block of butter.
#[must_use]
pub fn only_kept_cold(formula: &Formula, part: &Part, pantry: &Pantry) -> bool {
    need(formula, part, pantry) == Need::ByDefinition
        && !holds(formula, &part.id.value, pantry, &is_perishable)
}

/// Whether raw egg goes into a part or into a part inside it.
#[must_use]
pub fn holds_raw_egg(formula: &Formula, part: &Part, pantry: &Pantry) -> bool {
    match &part.holds_raw_egg {
        Some(stated) => stated.value,
        None => holds(formula, &part.id.value, pantry, &is_egg),
    }
}

/// Whether raw egg goes into a part, or may: what nobody has read is not free of it.
#[must_use]
pub fn may_hold_raw_egg(formula: &Formula, part: &Part, pantry: &Pantry) -> bool {
    match &part.holds_raw_egg {
        Some(stated) => stated.value,
        None => holds(formula, &part.id.value, pantry, &may_be_egg),
    }
}

/// A part whose 100 % is flour: dough, preferment, scald; a cream or a crumble may be written so too.
#[must_use]
pub fn is_of_flour(part: &Part) -> bool {
    part.basis.value == Basis::Flour
}

/// Dough: what the piece is shaped from, and what of flour goes into it. Of several parts of flour in a piece that is the heaviest,
/// and every one with yeast in it. What the teacher says needs the cold is no dough, whatever its percentages are of.
#[must_use]
pub fn is_dough(formula: &Formula, part: &Part, pantry: &Pantry) -> bool {
    let stated = part.needs_cold.as_ref().is_some_and(|n| n.value);
    is_of_flour(part) && !stated && doughs(formula, pantry).contains(&part.id.value)
}

fn doughs(formula: &Formula, pantry: &Pantry) -> BTreeSet<PartId> {
    let needs = piece_needs(formula, 1);
    let of_flour = || needs.iter().filter(|(id, _)| formula.part(id).is_some_and(is_of_flour));
    // The first of equals.
    let heaviest = of_flour().rev().max_by_key(|(_, grams)| *grams).map(|(id, _)| id.clone());
    let raised = of_flour().map(|(id, _)| id).filter(|id| is_raised(formula, id, pantry)).cloned();
    let mut open: Vec<PartId> = heaviest.into_iter().chain(raised).collect();
    let mut found = BTreeSet::new();
    while let Some(id) = open.pop() {
        if !found.insert(id.clone()) {
            continue;
        }
        let lines = formula.part(&id).into_iter().flat_map(|p| &p.of);
        open.extend(lines.filter_map(|l| match &l.what.value {
            Ingredient::Part(inner) => Some(inner.clone()),
            Ingredient::Item(_) => None,
        }));
    }
    found
}

/// Whether yeast goes into a part, or into one inside it.
#[must_use]
pub fn is_raised(formula: &Formula, part: &PartId, pantry: &Pantry) -> bool {
    holds(formula, part, pantry, &is_yeast)
}

fn is_yeast(item: &Item) -> bool {
    matches!(item.kind.value, ItemKind::FreshYeast | ItemKind::DryYeast | ItemKind::InstantYeast)
}

fn is_egg(item: &Item) -> bool {
    matches!(item.kind.value, ItemKind::Egg | ItemKind::Yolk | ItemKind::White)
}

/// Egg, or something whose pack says that it holds or may hold egg, or something of no certain kind whose pack nobody has read.
fn may_be_egg(item: &Item) -> bool {
    let egg = AllergenId::from("egg");
    is_egg(item)
        || match &item.allergens {
            Allergens::Stated { contains, may_contain, .. } => {
                contains.iter().chain(may_contain).any(|a| a.value == egg)
            }
            Allergens::Unknown => item.kind.value == ItemKind::Other,
        }
}

fn is_perishable(item: &Item) -> bool {
    // Butter and yeast keep cold, and do not make a part perishable by themselves.
    let kind = item.kind.value;
    is_egg(item)
        || matches!(kind, ItemKind::Milk | ItemKind::Drink)
        || (item.cold && !matches!(kind, ItemKind::Fat | ItemKind::FreshYeast))
}

fn holds(formula: &Formula, part: &PartId, pantry: &Pantry, is: &dyn Fn(&Item) -> bool) -> bool {
    fn walk(
        formula: &Formula,
        part: &PartId,
        pantry: &Pantry,
        is: &dyn Fn(&Item) -> bool,
        seen: &mut BTreeSet<PartId>,
    ) -> bool {
        if !seen.insert(part.clone()) {
            return false;
        }
        let Some(part) = formula.part(part) else { return false };
        let used = part.of.iter().filter(|l| match l.share.value {
            Share::Percent(p) | Share::Flour(p) => !p.number().is_zero(),
            Share::Grams(g) => g.mg() != 0,
        });
        let mut found = false;
        for line in used {
            found |= match &line.what.value {
                Ingredient::Item(id) => pantry.item(id).is_some_and(is),
                Ingredient::Part(inner) => walk(formula, inner, pantry, is, seen),
            };
        }
        found
    }
    walk(formula, part, pantry, is, &mut BTreeSet::new())
}

/// Whether a food that is not packaged is stable by its pH and water activity: Table B of FDA Food Code 2022,
/// 1-201.10(B), row `us-tcs-def`. What the table leaves to a product assessment is not stable here.
#[must_use]
pub fn is_stable(ph: Decimal, water_activity: Decimal) -> bool {
    let d = |hundredths: i64| Decimal::new(hundredths, 2);
    // The columns: < 4.2, 4.2 to 4.6, > 4.6 to 5.0, > 5.0.
    let column = match ph {
        ph if ph < d(420) => 0,
        ph if ph <= d(460) => 1,
        ph if ph <= d(500) => 2,
        _ => 3,
    };
    // How many of the columns are stable in each row: < 0.88, 0.88 to 0.90, > 0.90 to 0.92, > 0.92.
    let stable = match water_activity {
        aw if aw < d(88) => 4,
        aw if aw <= d(90) => 3,
        aw if aw <= d(92) => 2,
        _ => 1,
    };
    column < stable
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::finding::Located;
    use crate::reckon::sample::{crown, pantry};

    #[test]
    fn what_holds_milk_or_egg_needs_control_until_it_is_measured_or_stated() {
        let (mut formula, pantry) = (crown(), pantry());
        let of = |f: &Formula, id: &str| need(f, f.part(&id.into()).unwrap(), &pantry);
        assert_eq!(of(&formula, "filling"), Need::ByDefinition);
        assert!(holds_raw_egg(&formula, formula.part(&"dough".into()).unwrap(), &pantry));
        assert!(!holds_raw_egg(&formula, formula.part(&"filling".into()).unwrap(), &pantry));
        let filling = formula.parts.iter_mut().find(|p| p.id.value.as_str() == "filling").unwrap();
        filling.ph = Some(Located::assumed("5.5".parse().unwrap()));
        filling.water_activity = Some(Located::assumed("0.86".parse().unwrap()));
        assert_eq!(of(&formula, "filling"), Need::Measured);
        let filling = formula.parts.iter_mut().find(|p| p.id.value.as_str() == "filling").unwrap();
        filling.needs_cold = Some(Located::assumed(true));
        assert_eq!(of(&formula, "filling"), Need::Stated);
    }

    #[test]
    fn butter_is_only_kept_cold_and_cream_is_not() {
        let (mut formula, pantry) = (crown(), pantry());
        let only = |f: &Formula| only_kept_cold(f, f.part(&"filling".into()).unwrap(), &pantry);
        // Milk is in it.
        assert!(!only(&formula));
        let filling = formula.parts.iter_mut().find(|p| p.id.value.as_str() == "filling").unwrap();
        filling.of.retain(|l| matches!(&l.what.value, Ingredient::Item(i) if i.as_str() == "butter"));
        filling.keep = Some(Located::assumed(Keep::Cold));
        assert!(only(&formula));
        let filling = formula.parts.iter_mut().find(|p| p.id.value.as_str() == "filling").unwrap();
        filling.needs_cold = Some(Located::assumed(false));
        assert!(!only(&formula), "it is not counted then");
    }

    #[test]
    fn dough_is_what_the_piece_is_shaped_from_and_what_goes_into_it() {
        let (mut formula, pantry) = (crown(), pantry());
        let doughs = |f: &Formula| -> Vec<String> {
            f.parts.iter().filter(|p| is_dough(f, p, &pantry)).map(|p| p.id.value.to_string()).collect()
        };
        assert_eq!(doughs(&formula), ["scald", "dough"]);
        // A cream that is written by its flour is no dough.
        let filling = formula.parts.iter_mut().find(|p| p.id.value.as_str() == "filling").unwrap();
        filling.basis.value = Basis::Flour;
        assert_eq!(doughs(&formula), ["scald", "dough"]);
        // A second dough has yeast in it.
        let mut dark = formula.part(&"dough".into()).unwrap().clone();
        dark.id.value = "dark".into();
        dark.of.retain(|l| !matches!(l.what.value, Ingredient::Part(_)));
        formula.parts.push(dark);
        let share = formula.piece.amounts[1].1.clone();
        formula.piece.amounts.push((Located::assumed("dark".into()), share));
        assert_eq!(doughs(&formula), ["scald", "dough", "dark"]);
        // What the teacher says outranks its percentages.
        let dough = formula.parts.iter_mut().find(|p| p.id.value.as_str() == "dough").unwrap();
        dough.needs_cold = Some(Located::assumed(true));
        assert_eq!(doughs(&formula), ["scald", "dark"]);
    }

    /// Table B of FDA Food Code 2022, 1-201.10(B): each cell at its edges; "PA" is not stable.
    #[test]
    fn the_table_of_ph_and_water_activity_is_kept_cell_by_cell() {
        let rows = [
            ("0.87", [true, true, true, true]),
            ("0.88", [true, true, true, false]),
            ("0.90", [true, true, true, false]),
            ("0.91", [true, true, false, false]),
            ("0.92", [true, true, false, false]),
            ("0.93", [true, false, false, false]),
        ];
        for (aw, cells) in rows {
            for (ph, stable) in ["4.19", "4.2", "5.0", "5.01"].iter().zip(cells) {
                assert_eq!(is_stable(ph.parse().unwrap(), aw.parse().unwrap()), stable, "pH {ph}, aw {aw}");
            }
            assert_eq!(is_stable("4.6".parse().unwrap(), aw.parse().unwrap()), cells[1]);
        }
    }
}
