//! The wanted dough temperature: how warm the liquid must be, and what to do when it can't be.
//!
//! The trade's sum: each of flour, room and liquid (and a preferment) counts alike, and friction is what the mixer adds to that
//! sum. Three terms: `liquid = 3 x wanted - flour - room - friction` (row `ddt-3`, San Francisco Baking Institute 2009); with a
//! preferment four: `4 x wanted - ...` (row `ddt-4`, Cook's Illustrated). A friction factor belongs to the sum that it was
//! measured with; it is about three times the plain rise of temperature (row `ddt-ff-stand`).
pub mod batches;

use super::formula::PartAmounts;
use super::yeast::{Pace, time_at};
use crate::course::{DoughClass, Ingredient, Item, ItemKind, Kitchen, Mixer, Pantry};
use crate::units::{Celsius, Grams, Kelvins, Minutes};

/// What the sum is made of.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Conditions {
    /// The wanted temperature of the dough after mixing.
    pub wanted: Celsius,
    /// The flour's.
    pub flour: Celsius,
    /// The room's.
    pub room: Celsius,
    /// The preferment's or scald's as it goes in, if there is one: then the sum has four terms.
    pub preferment: Option<Celsius>,
    /// What this mixer adds to the sum.
    pub friction: Kelvins,
    /// What a bowl still warm from the batch before adds to the sum: see [`warm_bowl`].
    pub bowl: Kelvins,
}

impl Conditions {
    /// How many terms the sum has: 3, or 4 with a preferment.
    pub const fn terms(&self) -> i64 {
        if self.preferment.is_some() { 4 } else { 3 }
    }

    /// The wanted temperature times the terms: the base that bakers keep on a card.
    pub const fn base(&self) -> Celsius {
        self.wanted.times(self.terms())
    }

    /// How warm the liquid must be.
    pub fn liquid(&self) -> Celsius {
        let preferment = self.preferment.unwrap_or(Celsius::ZERO);
        let others = self.flour + self.room + preferment;
        Celsius::from_thousandths(
            (self.base() - others).thousandths() - self.friction.thousandths() - self.bowl.thousandths(),
        )
    }

    /// How warm the flour must be when the liquid is at `liquid`.
    pub fn flour_with(&self, liquid: Celsius) -> Celsius {
        self.liquid() + self.flour - liquid
    }

    /// The dough that comes out when the liquid is at `liquid`.
    pub fn dough_with(&self, liquid: Celsius) -> Celsius {
        let missed = liquid.above(self.liquid());
        self.wanted.raised(missed.ratio(1, self.terms()))
    }
}

/// The mixer's friction in the three-term sum, from one measured mix: `3 x dough - room - flour - liquid` (row `ddt-ff`, US Navy
/// NAVEDTRA 14163). Valid for this mixer, this weight of dough, these times.
pub fn friction_from(dough: Celsius, room: Celsius, flour: Celsius, liquid: Celsius) -> Kelvins {
    Kelvins::from_thousandths((dough.times(3) - room - flour - liquid).thousandths())
}

/// How much of the difference a metal bowl hands to the next dough: a tenth. Our own estimate (a 2 kg steel bowl at 0.5 kJ/kg K
/// against 3 kg of dough at about 3 kJ/kg K); a thermometer in the first dough of the day beats it.
const BOWL_SHARE: (i64, i64) = (1, 10);

/// What a bowl warm from the batch before adds to the sum of `terms` terms. The bowl has the temperature of the dough that
/// left it; `None`: first batch, the bowl has the room's temperature and adds nothing.
pub fn warm_bowl(dough_before: Option<Celsius>, room: Celsius, terms: i64) -> Kelvins {
    dough_before.map_or(Kelvins::ZERO, |d| d.above(room).times(terms).ratio(BOWL_SHARE.0, BOWL_SHARE.1))
}

/// Ice in place of a part of the water, so that the water is `wanted` when it has melted: `W x (tap - wanted) / (tap + 80)`
/// (row `ddt-ice-c`: heat balance with 334.6 kJ/kg and 4.186 kJ/kg K, ice at 0 °C). Nought when the tap is cold enough;
/// `None` when not even ice alone would do.
pub fn ice_for(water: Grams, tap: Celsius, wanted: Celsius) -> Option<Grams> {
    if tap <= wanted {
        return Some(Grams::ZERO);
    }
    // 334.6 / 4.186 K, in thousandths.
    let latent = 79_933;
    let ice = water.ratio(tap.above(wanted).thousandths(), tap.thousandths() + latent);
    (ice <= water).then_some(ice)
}

/// One liquid of the dough.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Liquid {
    /// How much.
    pub grams: Grams,
    /// How cold it is kept, or can be had.
    pub kept_at: Celsius,
    /// Water: part of it can be ice, and it runs from the tap. Milk and egg can't be diluted.
    pub water: bool,
    /// It may be warmed: milk and water, not egg.
    pub warms: bool,
}

/// What to do for the wanted temperature.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Advice {
    /// Bring the liquid that can be warmed (or runs from the tap) to this; the others as they are kept.
    LiquidAt(Celsius),
    /// Replace so much of the water by ice; the rest from the tap.
    Ice {
        /// Ice.
        ice: Grams,
        /// Tap water beside it.
        water: Grams,
    },
    /// No ice in milk and egg: all liquid as cold as it is kept, and the flour chilled to this.
    ChillFlour(Celsius),
    /// Not even that is enough: all liquid and the flour as cold as the fridge; the dough comes out so warm.
    TooWarm(Celsius),
    /// The liquid that can be warmed at the warmest that yeast bears; the dough still comes out so cold.
    TooCold {
        /// The liquid, no warmer.
        liquid: Celsius,
        /// The dough.
        dough: Celsius,
    },
    /// Only egg, which is never warmed: all as kept, and the dough comes out so warm by the sum.
    AsKept(Celsius),
    /// There is no liquid whose temperature could be chosen.
    NoLiquid,
}

/// The warmest that a liquid is used: over 45 °C yeast suffers (dry yeast in water 41 to 46; row `y-table`, The Inquisitive Cook
/// 1998).
const WARMEST: Celsius = Celsius::whole(45);
/// With compressed yeast, by the same row.
const WARMEST_FRESH: Celsius = Celsius::whole(35);

/// What the kitchen has to bring a liquid to its temperature with.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Reach {
    /// The tap's temperature.
    pub tap: Celsius,
    /// That of the flour when it has been chilled.
    pub fridge: Celsius,
    /// No liquid is used warmer.
    pub warmest: Celsius,
}

/// What to do with these liquids.
///
/// The liquids that can't be brought to a temperature (egg) keep theirs; the others make up for them by weight. Fat is in no term of
/// the sum: butter goes in as the recipe says, cold into a brioche.
pub fn advise(conditions: &Conditions, liquids: &[Liquid], reach: Reach) -> Advice {
    let Reach { tap, fridge, warmest } = reach;
    let fixed = |l: &&Liquid| !l.warms && !l.water;
    let heat = |of: &mut dyn Iterator<Item = &Liquid>| -> (i128, i64) {
        of.fold((0, 0), |(h, m), l| {
            (h + i128::from(l.grams.mg()) * i128::from(l.kept_at.thousandths()), m + l.grams.mg())
        })
    };
    let (fixed_heat, fixed_mass) = heat(&mut liquids.iter().filter(fixed));
    let free: Vec<&Liquid> = liquids.iter().filter(|l| !fixed(l)).collect();
    let free_mass: i64 = free.iter().map(|l| l.grams.mg()).sum();
    let all = fixed_mass + free_mass;
    if all <= 0 {
        return Advice::NoLiquid;
    }
    // The mean temperature of all liquid when the free ones are at `t`.
    let mean = |t: i128| {
        Celsius::from_thousandths(((fixed_heat + i128::from(free_mass) * t) / i128::from(all)) as i64)
    };
    let wanted = i128::from(conditions.liquid().thousandths());
    // The free ones as cold as they are kept, with the water at `water`.
    let cold_with = |water: Celsius| -> i128 {
        let (h, m) = heat(&mut free.iter().copied().filter(|l| !l.water));
        if free_mass == 0 {
            0
        } else {
            (h + i128::from(free_mass - m) * i128::from(water.thousandths())) / i128::from(free_mass)
        }
    };
    let coldest = cold_with(tap);
    let needed = if free_mass == 0 {
        coldest
    } else {
        (wanted * i128::from(all) - fixed_heat) / i128::from(free_mass)
    };
    if free_mass > 0 && needed > i128::from(warmest.thousandths()) {
        let dough = conditions.dough_with(mean(i128::from(warmest.thousandths())));
        let degree = Celsius::whole(1);
        // To the degree that is printed it is the dough that is wanted.
        return match dough.to_nearest(degree) == conditions.wanted.to_nearest(degree) {
            true => Advice::LiquidAt(warmest),
            false => Advice::TooCold { liquid: warmest, dough },
        };
    }
    if free_mass > 0 && needed >= coldest {
        return Advice::LiquidAt(Celsius::from_thousandths(needed as i64));
    }
    // Too warm as kept: ice if there is water, or else colder flour.
    let water: Grams = liquids.iter().filter(|l| l.water).map(|l| l.grams).sum();
    if water > Grams::ZERO {
        let (other_heat, other_mass) = heat(&mut free.iter().copied().filter(|l| !l.water));
        let for_water = (needed * i128::from(other_mass + water.mg()) - other_heat) / i128::from(water.mg());
        if let Some(ice) = ice_for(water, tap, Celsius::from_thousandths(for_water as i64)) {
            return Advice::Ice { ice, water: water - ice };
        }
    }
    // More ice than there is water can't be: then the water comes from the fridge like everything else.
    let coldest = mean(cold_with(tap.min(fridge)));
    let flour = conditions.flour_with(coldest);
    if flour >= conditions.flour && free_mass == 0 {
        // Only fixed liquids, and they are colder than need be: nothing else is warmed for them.
        return Advice::AsKept(conditions.dough_with(coldest));
    }
    if flour >= fridge {
        Advice::ChillFlour(flour)
    } else {
        let chilled = Conditions { flour: fridge, ..*conditions };
        Advice::TooWarm(chilled.dough_with(coldest))
    }
}

/// A home stand mixer's friction in the three-term sum where the kitchen states none: 20 to 24 F degrees in print (row
/// `ddt-ff-stand`), here their middle, 12.2 K; and 17 K for the long mix of a rich dough (row `ddt-ff-table`, common practice 14
/// to 20). By hand 5 to 8 F degrees (row `ddt-ff-hand`): 3.6 K.
pub const fn usual_friction(class: DoughClass, by_hand: bool) -> Kelvins {
    Kelvins::from_thousandths(match (by_hand, class) {
        (true, _) => 3_600,
        (false, DoughClass::Rich) => 17_000,
        (false, _) => 12_200,
    })
}

/// Tap water where the kitchen states no `tap-water`: 15 °C. Our own assumption, said wherever it matters.
pub const TAP: Celsius = Celsius::whole(15);

/// What to do for one batch in one mixer, with what it rests on.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct BatchTemperature {
    /// The sum.
    pub conditions: Conditions,
    /// All liquid goes in so warm, if it could be chosen freely.
    pub liquid: Celsius,
    /// The liquids that there are.
    pub liquids: Vec<Liquid>,
    /// What to do.
    pub advice: Advice,
    /// The kitchen states this mixer's friction; if not, it is the usual one and should be measured.
    pub friction_known: bool,
    /// The water from the tap.
    pub tap: Celsius,
    /// The kitchen states it; if not, it is [`TAP`] and should be measured.
    pub tap_known: bool,
}

impl BatchTemperature {
    /// How much ice there is rests on how cold the tap runs, and nobody measured that.
    pub const fn tap_assumed(&self) -> bool {
        matches!(self.advice, Advice::Ice { .. }) && !self.tap_known
    }

    /// How warm the dough leaves the bowl by the sum, where that is not what is wanted.
    pub fn misses(&self) -> Option<Celsius> {
        match self.advice {
            Advice::TooWarm(dough) | Advice::TooCold { dough, .. } | Advice::AsKept(dough) => Some(dough),
            Advice::LiquidAt(_) | Advice::Ice { .. } | Advice::ChillFlour(_) | Advice::NoLiquid => None,
        }
    }

    /// By how many per cent a dough that comes out colder than wanted rises longer, in tens; `None`: it is not a degree colder, or so cold
    /// that no rule for it is in print (below 10 °C).
    pub fn rises_longer(&self, pace: Pace) -> Option<i64> {
        let dough = self.misses()?;
        if self.conditions.wanted.above(dough) < Kelvins::whole(1) {
            return None;
        }
        let hundred = time_at(Minutes(100), self.conditions.wanted, dough, pace);
        hundred.within_rules.then(|| (hundred.about.get() - 100 + 5) / 10 * 10).filter(|more| *more > 0)
    }
}

/// What is mixed.
#[derive(Clone, Copy, Debug)]
pub struct Mix<'a> {
    /// The dough's wanted temperature.
    pub wanted: Celsius,
    /// What goes into it.
    pub dough: &'a PartAmounts,
    /// Its class.
    pub class: DoughClass,
    /// In which mixer; `None`: by hand.
    pub mixer: Option<&'a Mixer>,
    /// The temperature of the dough that left the bowl just before.
    pub before: Option<Celsius>,
    /// How warm the preferment or scald comes: as what it stood in before.
    pub part: Celsius,
}

/// How cold the kitchen's fridge is: 4 °C where nobody wrote it.
pub fn fridge_of(kitchen: &Kitchen) -> Celsius {
    kitchen.cold.iter().find_map(|c| c.temperature.as_ref()).map_or(Celsius::whole(4), |t| t.value)
}

/// The dough temperature of one batch. Flour is taken at the room's temperature, what the pantry keeps in the cold at the fridge's.
/// Friction in the kitchen file belongs to the three-term sum.
pub fn for_batch(mix: Mix<'_>, pantry: &Pantry, kitchen: &Kitchen) -> BatchTemperature {
    let Mix { wanted, dough, class, mixer, before, part } = mix;
    let room = kitchen.room.value;
    let tap = kitchen.tap_water.as_ref().map_or(TAP, |t| t.value);
    let fridge = fridge_of(kitchen);
    let item = |what: &Ingredient| match what {
        Ingredient::Item(id) => pantry.item(id),
        Ingredient::Part(_) => None,
    };
    let liquids: Vec<Liquid> = dough
        .lines
        .iter()
        .filter_map(|(what, grams)| liquid_of(item(what)?, *grams, tap, room, fridge))
        .collect();
    let has_part = dough.lines.iter().any(|(what, _)| matches!(what, Ingredient::Part(_)));
    let stated = mixer.and_then(|m| m.friction.as_ref());
    let mut conditions = Conditions {
        wanted,
        flour: room,
        room,
        preferment: has_part.then_some(part),
        friction: stated.map_or_else(|| usual_friction(class, mixer.is_none()), |f| f.value),
        bowl: Kelvins::ZERO,
    };
    // A friction factor belongs to its sum: three terms to four.
    conditions.friction = conditions.friction.ratio(conditions.terms(), 3);
    conditions.bowl = warm_bowl(before, room, conditions.terms());
    let fresh =
        dough.lines.iter().any(|(what, _)| item(what).is_some_and(|i| i.kind.value == ItemKind::FreshYeast));
    let warmest = if fresh { WARMEST_FRESH } else { WARMEST };
    BatchTemperature {
        liquid: conditions.liquid(),
        advice: advise(&conditions, &liquids, Reach { tap, fridge, warmest }),
        conditions,
        liquids,
        friction_known: stated.is_some(),
        tap,
        tap_known: kitchen.tap_water.is_some(),
    }
}

/// A liquid by its kind; `None`: it is none.
fn liquid_of(item: &Item, grams: Grams, tap: Celsius, room: Celsius, fridge: Celsius) -> Option<Liquid> {
    let kept_at = if item.cold { fridge } else { room };
    let liquid = |kept_at, water, warms| Some(Liquid { grams, kept_at, water, warms });
    match item.kind.value {
        ItemKind::Water => liquid(tap, true, true),
        // It can stand in the fridge beforehand, wherever it is kept.
        ItemKind::Milk | ItemKind::Drink => liquid(kept_at.min(fridge), false, true),
        ItemKind::Egg | ItemKind::Yolk | ItemKind::White => liquid(kept_at, false, false),
        _ => None,
    }
}

/// Dough temperatures that make sense: a lean retarded dough at 15 °C to a panettone at 32 °C lie well inside.
pub fn is_absurd(wanted: Celsius) -> bool {
    !(Celsius::whole(10)..=Celsius::whole(40)).contains(&wanted)
}

#[cfg(test)]
mod tests;
