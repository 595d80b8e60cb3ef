//! Energy and nutrients per 100 g, as an estimate from the pantry's composition. Unknown stays unknown.
//!
//! Factors: Regulation (EU) No 1169/2011, Annex XIV (row `lab-energy`); for the United States the general factors of 21 CFR
//! 101.9(c)(1)(i) (row `lab-energy-us`, not seen in print), in which fibre counts as carbohydrate.

use crate::course::{Composition, Item, ItemId, ItemKind, Pantry};
use crate::units::{Grams, Percent};
use rust_decimal::Decimal;
use std::collections::BTreeMap;

/// Energy in kilojoules, in thousandths.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Kilojoules(pub Decimal);
/// Energy in kilocalories.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Kilocalories(pub Decimal);

/// Which place's factors.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Factors {
    /// Annex XIV of Regulation (EU) No 1169/2011.
    Eu,
    /// 21 CFR 101.9(c)(1)(i).
    Us,
}

/// What 100 g holds, in grams; each figure is `None` when an ingredient's is not written down.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Nutrition {
    /// Energy.
    pub energy: Option<(Kilojoules, Kilocalories)>,
    /// Fat.
    pub fat: Option<Grams>,
    /// Saturated fat.
    pub saturates: Option<Grams>,
    /// Carbohydrate, fibre not included.
    pub carbohydrate: Option<Grams>,
    /// Sugars.
    pub sugars: Option<Grams>,
    /// Fibre.
    pub fibre: Option<Grams>,
    /// Protein.
    pub protein: Option<Grams>,
    /// Salt.
    pub salt: Option<Grams>,
    /// Ingredients with a figure that is missing.
    pub missing: Vec<ItemId>,
}

/// Energy of so much protein, fat, carbohydrate and fibre.
#[must_use]
pub fn energy(
    factors: Factors,
    protein: Grams,
    fat: Grams,
    carbohydrate: Grams,
    fibre: Grams,
) -> (Kilojoules, Kilocalories) {
    let sum = |per: [i64; 4]| -> Decimal {
        [protein, fat, carbohydrate, fibre]
            .iter()
            .zip(per)
            .map(|(grams, factor)| grams.to_decimal() * Decimal::from(factor))
            .sum()
    };
    match factors {
        Factors::Eu => (Kilojoules(sum([17, 37, 17, 8])), Kilocalories(sum([4, 9, 4, 2]))),
        Factors::Us => {
            let kcal = sum([4, 9, 4, 4]);
            // 1 kcal is 4.184 kJ.
            (Kilojoules(kcal * Decimal::new(4184, 3)), Kilocalories(kcal))
        }
    }
}

/// What 100 g of the finished food holds, from what went in and what it weighs. `None`: it weighs nothing.
#[must_use]
pub fn per_hundred(
    factors: Factors,
    items: &BTreeMap<ItemId, Grams>,
    finished: Grams,
    pantry: &Pantry,
) -> Option<Nutrition> {
    if finished <= Grams::ZERO {
        return None;
    }
    let mut missing: Vec<ItemId> = Vec::new();
    let mut of = |figure: fn(&Composition) -> Option<Percent>| -> Option<Grams> {
        let mut sum = Decimal::ZERO;
        let mut known = true;
        for (id, grams) in items.iter().filter(|(_, g)| g.mg() > 0) {
            match pantry.item(id).and_then(|item| written(item, figure)) {
                Some(share) => sum += grams.to_decimal() * share.factor(),
                None => {
                    known = false;
                    if !missing.contains(id) {
                        missing.push(id.clone());
                    }
                }
            }
        }
        let per = sum.checked_mul(Decimal::ONE_HUNDRED)?.checked_div(finished.to_decimal())?;
        known.then(|| Grams::from_decimal(per)).flatten()
    };
    let mut found = Nutrition {
        energy: None,
        fat: of(|c| c.fat),
        saturates: of(|c| c.saturates),
        carbohydrate: of(|c| c.carbohydrate),
        sugars: of(|c| c.sugars),
        fibre: of(|c| c.fibre),
        protein: of(|c| c.protein),
        salt: of(|c| c.salt),
        missing: Vec::new(),
    };
    found.energy = match (found.protein, found.fat, found.carbohydrate, found.fibre) {
        (Some(protein), Some(fat), Some(carbohydrate), Some(fibre)) => {
            Some(energy(factors, protein, fat, carbohydrate, fibre))
        }
        _ => None,
    };
    missing.sort();
    found.missing = missing;
    Some(found)
}

/// Water holds nothing, whether or not anyone wrote it down.
fn written(item: &Item, figure: fn(&Composition) -> Option<Percent>) -> Option<Percent> {
    figure(&item.composition).or((item.kind.value == ItemKind::Water).then_some(Percent::ZERO))
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::reckon::formula::build::{g, item, pc};

    /// Row `lab-energy`, Regulation (EU) No 1169/2011, Annex XIV: 17, 37, 17 and 8 kJ; 4, 9, 4 and 2 kcal. By hand for 10 g
    /// protein, 20 g fat, 50 g carbohydrate, 5 g fibre: 170 + 740 + 850 + 40 = 1800 kJ; 40 + 180 + 200 + 10 = 430 kcal.
    #[test]
    fn energy_by_the_factors_of_annex_xiv() {
        let (kj, kcal) = energy(Factors::Eu, g("10"), g("20"), g("50"), g("5"));
        assert_eq!((kj, kcal), (Kilojoules(1800.into()), Kilocalories(430.into())));
    }

    /// Row `lab-energy-us`, 21 CFR 101.9(c)(1)(i): 4, 9 and 4 kcal, fibre as carbohydrate: 40 + 180 + 220 = 440.
    #[test]
    fn energy_by_the_general_factors_of_the_united_states() {
        assert_eq!(energy(Factors::Us, g("10"), g("20"), g("50"), g("5")).1, Kilocalories(440.into()));
    }

    /// 100 g flour with 10 % protein and 50 g butter with 80 % fat, baked to 125 g: 8 g protein and 32 g fat in 100 g.
    #[test]
    fn what_one_ingredient_lacks_is_unknown_of_the_whole() {
        let mut flour = item("flour", ItemKind::Flour);
        flour.composition = Composition { protein: Some(pc("10")), fat: Some(pc("0")), ..Default::default() };
        let mut butter = item("butter", ItemKind::Fat);
        butter.composition = Composition {
            protein: Some(pc("0")),
            fat: Some(pc("80")),
            sugars: Some(pc("1")),
            ..Default::default()
        };
        let pantry =
            Pantry { items: vec![flour, butter], suppliers: Vec::new(), read_for: "eu14".to_owned() };
        let items = BTreeMap::from([("flour".into(), g("100")), ("butter".into(), g("50"))]);
        let found = per_hundred(Factors::Eu, &items, g("125"), &pantry).unwrap();
        assert_eq!((found.protein, found.fat), (Some(g("8")), Some(g("32"))));
        // Only the butter's sugar is known.
        assert_eq!((found.sugars, found.energy), (None, None));
        assert_eq!(per_hundred(Factors::Eu, &items, g("0"), &pantry), None);
    }
}
