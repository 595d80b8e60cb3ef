//! A stand-in in the place of an ingredient, and what that changes: weight, cost, allergens, hydration.

use super::composition::figures;
use super::order::Order;
use super::recipes::Recipes;
use super::weigh::Total;
use crate::course::{
    AllergenId, Allergens, At, Basis, Course, FormulaId, Ingredient, Item, ItemId, Line, PartId, Share,
};
use crate::finding::Finding;
use crate::units::{Grams, Money, Percent};
use rust_decimal::Decimal;

/// Puts a stand-in into every line of every formula and variant that names the ingredient, by the ratio that the pantry states. The lines
/// of a part whose basis is the whole of it are 100 % again afterwards.
///
/// # Errors
/// The finding: the ingredient names no such stand-in.
pub fn replace(course: &mut Course, item: &At<ItemId>, other: &At<ItemId>) -> Result<(), Box<Finding>> {
    let pantry = &course.pantry;
    let stated = pantry.item(&item.value).map(|i| &i.stand_ins);
    let ratio = stated.and_then(|s| s.iter().find(|(to, _)| to.value == other.value)).map(|(_, r)| r.value);
    let Some(ratio) = ratio.filter(|_| pantry.item(&other.value).is_some()) else {
        let names: Vec<&str> = stated.into_iter().flatten().map(|(to, _)| to.value.as_str()).collect();
        let way_out = if names.is_empty() {
            format!("write it into `pantry.toml`: `stand-ins = {{ {} = \"100 %\" }}`", other.value)
        } else {
            format!("it names {}", names.join(", "))
        };
        return Err(Box::new(
            Finding::error(
                "no-such-stand-in",
                item.place,
                format!("`{}` names no stand-in `{}`", item.value, other.value),
            )
            .way_out(way_out),
        ));
    };
    for formula in &mut course.formulas {
        for part in &mut formula.parts {
            let lines = std::mem::take(&mut part.of);
            for line in lines {
                add(&mut part.of, swapped(line, &item.value, &other.value, ratio));
            }
        }
        for (_, line) in formula.variants.iter_mut().flat_map(|v| &mut v.lines) {
            *line = swapped(line.clone(), &item.value, &other.value, ratio);
        }
        for part in formula.parts.iter_mut().filter(|p| p.basis.value == Basis::Whole) {
            let Some(factor) = to_hundred(&part.of) else { continue };
            let own = formula.variants.iter_mut().flat_map(|v| &mut v.lines);
            let own = own.filter(|(of, _)| of.value == part.id.value).map(|(_, line)| line);
            for line in part.of.iter_mut().chain(own) {
                if let Share::Percent(p) = &mut line.share.value {
                    *p = Percent::new((p.number() * factor).round_dp(FINEST));
                }
            }
        }
    }
    Ok(())
}

/// Decimal places of a share that was reckoned.
const FINEST: u32 = 9;

/// By what the lines of a part must be multiplied so that they are the whole of it again; `None` when they are.
fn to_hundred(lines: &[Line]) -> Option<Decimal> {
    let sum: Decimal = lines
        .iter()
        .map(|l| if let Share::Percent(p) = l.share.value { p.number() } else { Decimal::ZERO })
        .sum();
    Decimal::ONE_HUNDRED.checked_div(sum).filter(|factor| *factor != Decimal::ONE)
}

fn swapped(mut line: Line, item: &ItemId, other: &ItemId, ratio: Percent) -> Line {
    if line.what.value == Ingredient::Item(item.clone()) {
        line.what.value = Ingredient::Item(other.clone());
        line.share.value = match line.share.value {
            Share::Percent(p) => Share::Percent(Percent::new(p.number() * ratio.factor())),
            Share::Grams(g) => Share::Grams(ratio.of(g)),
            Share::Flour(p) => Share::Flour(p),
        };
    }
    line
}

/// Adds a line; two of one ingredient become one.
fn add(lines: &mut Vec<Line>, line: Line) {
    let same = lines.iter_mut().find(|l| l.what.value == line.what.value);
    match (same.map(|l| &mut l.share.value), line.share.value) {
        (Some(Share::Percent(known)), Share::Percent(more)) => *known = *known + more,
        (Some(Share::Grams(known)), Share::Grams(more)) => *known += more,
        _ => lines.push(line),
    }
}

/// A course as far as a stand-in changes it.
#[derive(Clone, Copy, Debug)]
pub struct Side<'a> {
    /// The course.
    pub course: &'a Course,
    /// What is weighed.
    pub totals: &'a [Total],
    /// What is bought.
    pub order: &'a Order,
}

/// A part whose water changes: true hydration before and after; `None` where a composition is not known.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Water {
    /// The formula.
    pub formula: FormulaId,
    /// The part.
    pub part: PartId,
    /// Before.
    pub was: Option<Percent>,
    /// After.
    pub now: Option<Percent>,
}

/// What a stand-in changes.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Effect {
    /// What was weighed of the ingredient.
    pub was: Grams,
    /// What is weighed more of the stand-in.
    pub now: Grams,
    /// The whole order before and after.
    pub cost: (Money, Money),
    /// Whether that is all of it: if not, something cannot be had, and its price is in no sum.
    pub complete: (bool, bool),
    /// What comes into the class: allergens that the stand-in has or may have and the ingredient had not.
    pub gained: Vec<AllergenId>,
    /// What the ingredient had and the stand-in has not; empty while nobody has read the stand-in's pack.
    pub lost: Vec<AllergenId>,
    /// Nobody has read the stand-in's pack: it may hold anything.
    pub unknown: bool,
    /// Parts whose water changes, or can no longer be told.
    pub water: Vec<Water>,
}

/// What changes from one side to the other.
pub fn effect(before: Side<'_>, after: Side<'_>, item: &ItemId, other: &ItemId) -> Effect {
    let weighed = |side: Side<'_>, id: &ItemId| {
        side.totals.iter().find(|t| t.item == *id).map_or(Grams::ZERO, |t| t.grams)
    };
    let read = |id: &ItemId| before.course.pantry.item(id).and_then(known);
    let (old, new) = (read(item), read(other));
    let without = |a: &Option<Vec<AllergenId>>, b: &Option<Vec<AllergenId>>| -> Vec<AllergenId> {
        let there = b.clone().unwrap_or_default();
        a.iter().flatten().filter(|x| !there.contains(x)).cloned().collect()
    };
    Effect {
        was: weighed(before, item) - weighed(after, item),
        now: weighed(after, other) - weighed(before, other),
        cost: (before.order.total, after.order.total),
        complete: (before.order.is_complete(), after.order.is_complete()),
        gained: without(&new, &old),
        lost: if new.is_some() { without(&old, &new) } else { Vec::new() },
        unknown: new.is_none(),
        water: water(before.course, after.course, item),
    }
}

/// Everything that an ingredient has or may have; `None` while nobody has read its pack.
fn known(item: &Item) -> Option<Vec<AllergenId>> {
    match &item.allergens {
        Allergens::Unknown => None,
        Allergens::Stated { contains, may_contain, .. } => {
            Some(contains.iter().chain(may_contain).map(|a| a.value.clone()).collect())
        }
    }
}

fn water(before: &Course, after: &Course, item: &ItemId) -> Vec<Water> {
    let (old, new) = (Recipes::of(before).0, Recipes::of(after).0);
    let figure = |course: &Course, recipes: &Recipes, formula: &FormulaId, part: &PartId| {
        let overall = recipes.get(formula, None)?.shares.overall(part)?;
        figures(&overall, &course.pantry).hydration.water_content.known()
    };
    let holds =
        |part: &crate::course::Part| part.of.iter().any(|l| l.what.value == Ingredient::Item(item.clone()));
    let parts = before.formulas.iter().flat_map(|f| f.parts.iter().map(move |p| (&f.id.value, p)));
    // Where it cannot be told on either side, it is still said that it cannot.
    let parts = parts.map(|(formula, part)| (formula, &part.id.value, holds(part)));
    parts
        .map(|(formula, part, holds)| {
            (
                holds,
                Water {
                    formula: formula.clone(),
                    part: part.clone(),
                    was: figure(before, &old, formula, part),
                    now: figure(after, &new, formula, part),
                },
            )
        })
        .filter(|(holds, w)| w.was != w.now || *holds && w.was.is_none())
        .map(|(_, water)| water)
        .collect()
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::reckon::order::{days, order};
    use crate::reckon::sample::{at, course, g, pc};

    fn share_of(course: &Course, item: &str) -> Vec<Share> {
        let lines = course.formulas.iter().flat_map(|f| &f.parts).flat_map(|p| &p.of);
        lines.filter(|l| l.what.value == Ingredient::Item(item.into())).map(|l| l.share.value).collect()
    }

    #[test]
    fn a_stand_in_takes_every_line_by_its_ratio() {
        let mut c = course();
        let wet = c.pantry.items.iter_mut().find(|i| i.id.value.as_str() == "milk").unwrap();
        wet.composition.water = Some(pc("88"));
        let before = c.clone();
        let butter = c.pantry.items.iter_mut().find(|i| i.id.value.as_str() == "butter").unwrap();
        butter.stand_ins = vec![(at("milk".into()), at(pc("200")))];
        let sum = |shares: Vec<Share>| -> Percent {
            shares.iter().map(|s| if let Share::Percent(p) = s { *p } else { Percent::ZERO }).sum()
        };
        let (milk, fat) = (sum(share_of(&c, "milk")), sum(share_of(&c, "butter")));
        assert!(fat > Percent::ZERO);
        replace(&mut c, &at("butter".into()), &at("milk".into())).unwrap();
        assert_eq!(share_of(&c, "butter"), []);
        assert_eq!(sum(share_of(&c, "milk")), milk + fat + fat);
        let total = |item: &str, grams: &str| Total {
            item: item.into(),
            grams: g(grams),
            exact: g(grams),
            whole: None,
            with_breakage: None,
        };
        let (old, new) = ([total("butter", "100"), total("milk", "50")], [total("milk", "250")]);
        let days = days(&c).unwrap();
        let orders = [&old[..], &new[..]].map(|totals| order(&before, totals, 12, &days, None).0);
        let effect = effect(
            Side { course: &before, totals: &old, order: &orders[0] },
            Side { course: &c, totals: &new, order: &orders[1] },
            &"butter".into(),
            &"milk".into(),
        );
        assert_eq!((effect.was, effect.now), (g("100"), g("200")));
        assert!(!effect.water.is_empty());
    }

    #[test]
    fn what_is_not_stated_is_not_taken_and_what_is_not_read_is_unknown() {
        let mut c = course();
        let refused = replace(&mut c, &at("butter".into()), &at("sugar".into())).unwrap_err();
        assert_eq!(refused.code.0, "no-such-stand-in");
        let sugar = c.pantry.items.iter_mut().find(|i| i.id.value.as_str() == "sugar").unwrap();
        sugar.allergens = Allergens::Unknown;
        let (order, _) = order(&c, &[], 12, &days(&c).unwrap(), None);
        let side = Side { course: &c, totals: &[], order: &order };
        let effect = effect(side, side, &"butter".into(), &"sugar".into());
        assert!(effect.unknown && effect.lost.is_empty());
    }
}
