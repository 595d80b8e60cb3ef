//! What is really in a dough: water, fat, sugar, salt, egg and milk from the pantry's composition, beside the nominal
//! figures that people read off a formula.
//!
//! All figures are per cent of the total flour (of the whole, for a part without flour). What the flour itself holds is not
//! counted: a hydration of 60 % means 60 g of added water to 100 g of flour as it comes from the bag. What an inner part
//! that is cooked loses before it is used (a scald's steam) was water. A part with yeast in it is not cooked before it goes in: what a
//! sponge loses stays on its bowl, of all its ingredients alike, and changes no percentage.
use super::formula::Overall;
use crate::course::{Composition, Item, ItemId, ItemKind, Pantry};
use crate::units::Percent;

/// A figure that may rest on an ingredient whose composition nobody wrote down. Unknown is never nought.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Figure {
    /// What is known so far: the figure itself, or the least that it can be.
    pub at_least: Percent,
    /// The most that it can be: what is missing might be nothing else.
    pub at_most: Percent,
    /// Ingredients whose composition is missing, in the order of the formula.
    pub missing: Vec<ItemId>,
}

impl Figure {
    /// The figure, if every ingredient's composition is known.
    pub fn known(&self) -> Option<Percent> {
        self.missing.is_empty().then_some(self.at_least)
    }
}

/// Hydration by each of the three conventions in use; whoever shows one names it (rows `bp-hydration-*`).
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Hydration {
    /// Only water counts: row `bp-hydration-naive`.
    pub water_only: Percent,
    /// Water, milk and egg at their full weight: row `bp-hydration-liquids`.
    pub liquids: Percent,
    /// The water in everything, less the steam of inner parts: row `bp-hydration-water`. This one is used.
    pub water_content: Figure,
    /// What inner parts without yeast lose before they are used; taken out of `water_content` already.
    pub steam: Percent,
}

/// Nominal figures: ingredients by their kind, at full weight.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Nominal {
    /// Butter, oil, lard.
    pub fat: Percent,
    /// Sugar, honey, syrup.
    pub sugar: Percent,
    /// Salt.
    pub salt: Percent,
    /// Whole egg, yolk and white.
    pub egg: Percent,
    /// Milk and cream, and milk powder.
    pub milk: Percent,
    /// Yeast of the kinds fresh, active dry, instant.
    pub yeast: [Percent; 3],
}

/// A part's figures, nominal and true.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Figures {
    /// `true`: per cent of the total flour; `false`: of the whole part.
    pub by_flour: bool,
    /// By kind.
    pub nominal: Nominal,
    /// Hydration by three conventions.
    pub hydration: Hydration,
    /// True fat.
    pub fat: Figure,
    /// True sugars, those of milk included.
    pub sugar: Figure,
    /// True salt, that of butter included.
    pub salt: Figure,
    /// Dry matter of egg.
    pub egg_solids: Figure,
    /// Dry matter of milk, its fat included.
    pub milk_solids: Figure,
}

/// The figures of a part from its overall formula.
pub fn figures(overall: &Overall, pantry: &Pantry) -> Figures {
    let kind = |wanted: &[ItemKind]| -> Percent {
        overall
            .lines
            .iter()
            .filter(|l| pantry.item(&l.item).is_some_and(|i| wanted.contains(&i.kind.value)))
            .map(|l| l.percent)
            .sum()
    };
    let egg = [ItemKind::Egg, ItemKind::Yolk, ItemKind::White];
    let true_figure = |of: &dyn Fn(&Item) -> Option<Percent>| figure(overall, pantry, of);
    let mut water = true_figure(&|i| match i.kind.value {
        ItemKind::Water => Some(i.composition.water.unwrap_or(Percent::HUNDRED)),
        _ => i.composition.water,
    });
    let yeast = [ItemKind::FreshYeast, ItemKind::DryYeast, ItemKind::InstantYeast];
    let lives = |id: &ItemId| pantry.item(id).is_some_and(|i| yeast.contains(&i.kind.value));
    let steam: Percent =
        overall.losses.iter().filter(|l| !l.items.iter().any(lives)).map(|l| l.percent).sum();
    water.at_least = water.at_least - steam;
    water.at_most = water.at_most - steam;
    Figures {
        by_flour: overall.by_flour,
        nominal: Nominal {
            fat: kind(&[ItemKind::Fat]),
            sugar: kind(&[ItemKind::Sugar]),
            salt: kind(&[ItemKind::Salt]),
            egg: kind(&egg),
            milk: kind(&[ItemKind::Milk, ItemKind::MilkPowder]),
            yeast: [
                kind(&[ItemKind::FreshYeast]),
                kind(&[ItemKind::DryYeast]),
                kind(&[ItemKind::InstantYeast]),
            ],
        },
        hydration: Hydration {
            water_only: kind(&[ItemKind::Water]),
            liquids: kind(&[
                ItemKind::Water,
                ItemKind::Drink,
                ItemKind::Milk,
                ItemKind::Egg,
                ItemKind::Yolk,
                ItemKind::White,
            ]),
            water_content: water,
            steam,
        },
        fat: true_figure(&|i| own(i, i.composition.fat)),
        sugar: true_figure(&|i| own(i, i.composition.sugars)),
        salt: true_figure(&|i| match (i.kind.value, i.composition.salt) {
            // Salt is salt: what is not the water in it.
            (ItemKind::Salt, None) => Some(Percent::HUNDRED - i.composition.water.unwrap_or(Percent::ZERO)),
            (_, written) => own(i, written),
        }),
        egg_solids: true_figure(&|i| {
            if egg.contains(&i.kind.value) { solids(&i.composition) } else { Some(Percent::ZERO) }
        }),
        milk_solids: true_figure(&|i| match (i.kind.value, i.composition.milk_solids) {
            (_, Some(written)) => Some(written),
            (ItemKind::Milk | ItemKind::MilkPowder, None) => solids(&i.composition),
            _ => own(i, None),
        }),
    }
}

/// Water is water whether or not anyone wrote down what is in it.
fn own(item: &Item, written: Option<Percent>) -> Option<Percent> {
    match item.kind.value {
        ItemKind::Water => Some(written.unwrap_or(Percent::ZERO)),
        _ => written,
    }
}

fn solids(composition: &Composition) -> Option<Percent> {
    composition.water.map(|w| Percent::HUNDRED - w)
}

/// One true figure: each ingredient but flour by its share of what is asked for.
fn figure(overall: &Overall, pantry: &Pantry, of: &dyn Fn(&Item) -> Option<Percent>) -> Figure {
    let mut sum = Figure { at_least: Percent::ZERO, at_most: Percent::ZERO, missing: Vec::new() };
    for line in &overall.lines {
        let item = pantry.item(&line.item);
        if item.is_some_and(|i| i.kind.value == ItemKind::Flour) {
            continue;
        }
        match item.and_then(of) {
            Some(share) => {
                let part = Percent::new(line.percent.number() * share.factor());
                sum.at_least = sum.at_least + part;
                sum.at_most = sum.at_most + part;
            }
            None => {
                sum.at_most = sum.at_most + line.percent;
                sum.missing.push(line.item.clone());
            }
        }
    }
    sum
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::reckon::formula::Proportions;
    use crate::reckon::formula::build::{pantry, pc, scalded_dough};

    fn with_water() -> Pantry {
        let mut p = pantry();
        for (id, water) in [("milk", "87.7"), ("eggs", "76"), ("sugar", "0"), ("salt", "0"), ("butter", "16")]
        {
            p.items.iter_mut().find(|i| i.id.as_str() == id).unwrap().composition.water = Some(pc(water));
        }
        p
    }

    #[test]
    fn water_is_counted_in_everything_but_flour_and_less_the_steam() {
        let pantry = with_water();
        let all = Proportions::of(&scalded_dough(), &pantry).unwrap().overall(&"dough".into()).unwrap();
        let f = figures(&all, &pantry);
        // 30 % milk at 87.7, 20 % egg at 76, 20 % butter at 16, less 2 % steam: 26.31 + 15.2 + 3.2 - 2.
        assert_eq!(f.hydration.water_content.known(), Some(pc("42.71")));
        assert_eq!((f.hydration.water_only, f.hydration.liquids), (pc("0"), pc("50")));
        assert_eq!(f.milk_solids.missing.first().map(ItemId::as_str), Some("eggs"));
        assert_eq!(f.egg_solids.known(), Some(pc("4.8")));
    }

    #[test]
    fn what_stays_of_a_sponge_on_its_bowl_is_no_water() {
        use crate::course::Basis;
        use crate::reckon::formula::build::{formula, part};
        let mut pantry = with_water();
        pantry.items.iter_mut().find(|i| i.id.as_str() == "fresh-yeast").unwrap().composition.water =
            Some(pc("70"));
        let sponge = [("strong-flour", "100"), ("milk", "80"), ("fresh-yeast", "5")];
        let dough = [("@sponge", "f25"), ("strong-flour", "75"), ("milk", "30")];
        let hydration = |loses: &str, sponge: &[(&str, &str)]| {
            let f = formula(vec![
                part("sponge", Basis::Flour, loses, sponge),
                part("dough", Basis::Flour, "3", &dough),
            ]);
            let all = Proportions::of(&f, &pantry).unwrap().overall(&"dough".into()).unwrap();
            figures(&all, &pantry).hydration
        };
        // A quarter of the sponge's milk and yeast beside 30 % milk: 50 % milk at 87.7, 1.25 % yeast at 70.
        let expected = pc("43.85") + pc("0.875");
        for loses in ["0", "3"] {
            let h = hydration(loses, &sponge);
            let water = h.water_content.known().map(|w| w.number().round_dp(6).normalize());
            assert_eq!((water, h.steam), (Some(expected.number().normalize()), Percent::ZERO), "{loses}");
        }
        // Without yeast it may be cooked, and what is lost was steam.
        let scald = hydration("3", &sponge[..2]);
        // 3 % of 25 flour and 20 milk.
        assert_eq!(scald.steam.number().round_dp(6), pc("1.35").number());
    }

    /// 2 % of salt cannot be less than 2 % of salt because its packet's table was not copied.
    #[test]
    fn salt_is_salt_whether_or_not_its_composition_is_written() {
        let mut pantry = with_water();
        let salt = pantry.items.iter_mut().find(|i| i.id.as_str() == "salt").unwrap();
        (salt.composition.salt, salt.composition.water) = (None, Some(pc("1")));
        let all = Proportions::of(&scalded_dough(), &pantry).unwrap().overall(&"dough".into()).unwrap();
        let f = figures(&all, &pantry);
        assert_eq!((f.nominal.salt, f.salt.at_least), (pc("2"), pc("1.98")));
        assert!(f.salt.missing.iter().all(|id| id.as_str() != "salt"));
    }

    #[test]
    fn unknown_is_unknown_and_never_nought() {
        let pantry = with_water();
        let all = Proportions::of(&scalded_dough(), &pantry).unwrap().overall(&"dough".into()).unwrap();
        let f = figures(&all, &pantry);
        assert_eq!(f.fat.known(), None);
        assert_eq!(f.fat.at_least, Percent::ZERO);
        // Milk 30, eggs 20, sugar 10, salt 2, butter 20 might all be fat.
        assert_eq!(f.fat.at_most, pc("82"));
    }
}
