//! How a home kitchen measures: grams to cups and spoons and back, sticks, packets and pieces, with the error known.
//!
//! Grams are what the formula says; a volume stands beside them and is never the other way round. Of all combinations that a
//! set of cups and spoons can measure, the simplest whose error is at most [`SIMPLE_WITHIN`] is taken, or else the closest.
use super::measures_table::{MeasureRow, row_for};
use super::rounding::is_sensitive;
use crate::course::{Item, Measures};
use crate::units::{Grams, Percent};
use rust_decimal::Decimal;
use std::fmt;

/// A simpler measure is taken when it is within this of the weight: 1 %. Our own choice; flour differs more from cup to cup.
pub const SIMPLE_WITHIN: Percent = Percent::new(Decimal::from_parts(1, 0, 0, false, 0));

/// Salt and yeast are not given by volume when that would be off by more than this.
pub const SENSITIVE_WITHIN: Percent = Percent::new(Decimal::from_parts(5, 0, 0, false, 0));

/// A measure of the set.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Vessel {
    /// A cup.
    Cup,
    /// A tablespoon.
    Tablespoon,
    /// A teaspoon.
    Teaspoon,
}

/// The volume of a measure, in hundred-millionths of a millilitre (exact for US measures, which follow from the gallon of
/// 231 cubic inches): rows `u-us-cup`, `u-us-tbsp`, `u-us-tsp`, `u-metric-cup`, `u-au-tbsp`, `u-au-tsp`.
const fn volume(set: Measures, vessel: Vessel) -> i64 {
    match (set, vessel) {
        (Measures::Us, Vessel::Cup) => 23_658_823_650,
        (Measures::Us, Vessel::Tablespoon) => 1_478_676_478,
        (Measures::Us, Vessel::Teaspoon) => 492_892_159,
        (Measures::Metric | Measures::Australian, Vessel::Cup) => 25_000_000_000,
        (Measures::Metric, Vessel::Tablespoon) => 1_500_000_000,
        (Measures::Australian, Vessel::Tablespoon) => 2_000_000_000,
        (Measures::Metric | Measures::Australian, Vessel::Teaspoon) => 500_000_000,
    }
}

/// How many millilitres one measure of a set holds.
pub fn millilitres(set: Measures, vessel: Vessel) -> Decimal {
    Decimal::new(volume(set, vessel), 8)
}

/// Whose measure it is, and who says how much it holds: rows `u-us-cup`, `u-metric-cup`, `u-au-tbsp`, `u-au-tsp`, `u-intl-tbsp`.
pub fn whose(set: Measures, vessel: Vessel) -> (&'static str, &'static str) {
    match (set, vessel) {
        (Measures::Us, _) => ("US customary", "NIST Handbook 44, Appendix C"),
        (Measures::Metric, Vessel::Tablespoon) => ("metric", "Donna Hay, conversion page"),
        (Measures::Metric, _) => ("metric", "New South Wales government recipe conversion chart"),
        (Measures::Australian, _) => ("Australian", "New South Wales government recipe conversion chart"),
    }
}

/// Grams per millilitre, and who says so.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Density {
    /// Grams per millilitre.
    pub grams_per_ml: Decimal,
    /// The row of the built-in table; `None`: the pantry states it.
    pub row: Option<&'static MeasureRow>,
}

/// An ingredient's density: the pantry's own, or else that of the built-in table. `None` is unknown.
pub fn density(item: &Item) -> Option<Density> {
    if let Some(own) = &item.density
        && own.value > Decimal::ZERO
    {
        return Some(Density { grams_per_ml: own.value, row: None });
    }
    let row = row_for(item.id.as_str())?;
    let ml =
        millilitres(Measures::Us, Vessel::Cup) * Decimal::from(row.quarter_teaspoons) / Decimal::from(192);
    Some(Density { grams_per_ml: Grams::from_mg(row.mg).to_decimal().checked_div(ml)?, row: Some(row) })
}

/// A count in twenty-fourths, so that halves, thirds, quarters and eighths are exact.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Count(pub u32);

impl Count {
    /// From whole ones.
    pub const fn whole(n: u32) -> Self {
        Count(n * 24)
    }
}

/// As people write it: `1 1/2`, `2/3`, `3`.
impl fmt::Display for Count {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (whole, rest) = (self.0 / 24, self.0 % 24);
        if rest == 0 {
            return write!(f, "{whole}");
        }
        if whole > 0 {
            write!(f, "{whole} ")?;
        }
        let common = gcd(rest, 24);
        write!(f, "{}/{}", rest / common, 24 / common)
    }
}

fn gcd(a: u32, b: u32) -> u32 {
    if b == 0 { a } else { gcd(b, a % b) }
}

/// An amount in cups and spoons, largest measure first, and what it really holds.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct ByVolume {
    /// How many of which measure; at most two.
    pub terms: Vec<(Count, Vessel)>,
    /// What these measures hold of the ingredient.
    pub holds: Grams,
    /// How far that is from the weight asked for, in per cent of it: positive is too much.
    pub error: Percent,
}

/// In words: `1 1/2 cups + 1 tbsp`.
impl fmt::Display for ByVolume {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, (count, vessel)) in self.terms.iter().enumerate() {
            let name = match vessel {
                Vessel::Cup if count.0 > 24 => "cups",
                Vessel::Cup => "cup",
                Vessel::Tablespoon => "tbsp",
                Vessel::Teaspoon => "tsp",
            };
            write!(f, "{}{count} {name}", if i > 0 { " + " } else { "" })?;
        }
        Ok(())
    }
}

/// Fractions that a set of cups measures in one go or two, in twenty-fourths: quarter, third, half, two thirds, three quarters.
const CUP_PARTS: [u32; 6] = [0, 6, 8, 12, 16, 18];
/// Fractions of a teaspoon: eighth, quarter, half, three quarters.
const TEASPOON_PARTS: [u32; 5] = [0, 3, 6, 12, 18];

/// What a weight of something with this density measures. `None` for a weight or density of nought or less.
pub fn by_volume(weight: Grams, density: Decimal, set: Measures) -> Option<ByVolume> {
    if weight <= Grams::ZERO || density <= Decimal::ZERO {
        return None;
    }
    let ml = weight.to_decimal().checked_div(density)?;
    let mut best: Option<ByVolume> = None;
    for terms in combinations(ml, set) {
        let holds = holds(&terms, density, set)?;
        let error = Percent::from_factor(
            Decimal::from((holds - weight).mg()).checked_div(Decimal::from(weight.mg()))?,
        );
        let candidate = ByVolume { terms, holds, error };
        let rank = |c: &ByVolume| {
            let off = Percent::new(c.error.number().abs());
            let near = off <= SIMPLE_WITHIN;
            // Near ones by how simple they are, then by error; the others by error alone.
            (!near, if near { fuss(&c.terms) } else { 0 }, off)
        };
        if best.as_ref().is_none_or(|b| rank(&candidate) < rank(b)) {
            best = Some(candidate);
        }
    }
    best
}

/// How much there is to do: each kind of measure, fractions other than a half a little more, and spoon after spoon.
fn fuss(terms: &[(Count, Vessel)]) -> u32 {
    let fraction = |c: Count| match c.0 % 24 {
        0 => 0,
        12 => 1,
        _ => 2,
    };
    let spoons = |c: Count, v: Vessel| if v == Vessel::Cup { 0 } else { 2 * (c.0 / 24).saturating_sub(2) };
    terms.iter().map(|(c, v)| 4 + fraction(*c) + spoons(*c, *v)).sum()
}

/// What these measures hold of something with this density; `None` when it is too large to reckon with.
pub fn holds(terms: &[(Count, Vessel)], density: Decimal, set: Measures) -> Option<Grams> {
    let ml: Decimal =
        terms.iter().map(|(c, v)| millilitres(set, *v) * Decimal::from(c.0) / Decimal::from(24)).sum();
    Grams::from_decimal(ml.checked_mul(density)?)
}

/// Everything near this volume that a set of cups and spoons can measure with at most two kinds of measure.
fn combinations(ml: Decimal, set: Measures) -> Vec<Vec<(Count, Vessel)>> {
    let mut found = Vec::new();
    let at = |vessel: Vessel, volume: Decimal| -> u32 {
        // A kitchen has no use for more than a million cups; beyond it the closest is still the largest.
        (volume / millilitres(set, vessel)).floor().min(Decimal::from(1_000_000)).try_into().unwrap_or(0)
    };
    let mut add = |terms: &[(Count, Vessel)]| {
        let terms: Vec<_> = terms.iter().copied().filter(|(c, _)| c.0 > 0).collect();
        if !terms.is_empty() && !found.contains(&terms) {
            found.push(terms);
        }
    };
    // Cups, with up to three tablespoons, or teaspoons, beside them.
    if ml >= millilitres(set, Vessel::Cup) / Decimal::from(5) {
        let whole = at(Vessel::Cup, ml);
        for n in [whole, whole.saturating_add(1)] {
            for part in CUP_PARTS {
                let cups = Count(n * 24 + part);
                add(&[(cups, Vessel::Cup)]);
                if cups.0 > 0 {
                    for spoons in [24, 36, 48, 60, 72] {
                        add(&[(cups, Vessel::Cup), (Count(spoons), Vessel::Tablespoon)]);
                    }
                    for spoons in 1..=2 {
                        add(&[(cups, Vessel::Cup), (Count::whole(spoons), Vessel::Teaspoon)]);
                    }
                }
            }
        }
    }
    // Tablespoons, with teaspoons beside them, as long as that is not a quarter of a cup and more.
    if ml >= millilitres(set, Vessel::Tablespoon) * Decimal::new(9, 1)
        && ml < millilitres(set, Vessel::Tablespoon) * Decimal::from(5)
    {
        let whole = at(Vessel::Tablespoon, ml);
        for n in [whole.saturating_sub(1), whole, whole + 1] {
            for part in [0, 12] {
                let tablespoons = Count(n * 24 + part);
                add(&[(tablespoons, Vessel::Tablespoon)]);
                if tablespoons.0 > 0 && part == 0 {
                    for teaspoons in [6, 12, 18, 24, 30, 36, 42, 48, 54, 60, 66, 72, 84] {
                        // So many teaspoons make a tablespoon more: three, or four Australian ones.
                        if Decimal::from(teaspoons) / Decimal::from(24) * millilitres(set, Vessel::Teaspoon)
                            >= millilitres(set, Vessel::Tablespoon) * Decimal::new(999, 3)
                        {
                            break;
                        }
                        add(&[(tablespoons, Vessel::Tablespoon), (Count(teaspoons), Vessel::Teaspoon)]);
                    }
                }
            }
        }
    }
    // Teaspoons alone.
    if ml < millilitres(set, Vessel::Tablespoon) * Decimal::from(2) {
        let whole = at(Vessel::Teaspoon, ml);
        for n in [whole, whole + 1] {
            for part in TEASPOON_PARTS {
                if n == 0 || part != 3 {
                    add(&[(Count(n * 24 + part), Vessel::Teaspoon)]);
                }
            }
        }
    }
    found
}

/// A stick, block or packet as the pantry states it, in eighths (a stick is marked in eighths).
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct ByPacket {
    /// What it is called: `stick`.
    pub name: String,
    /// How many.
    pub count: Count,
    /// What they hold.
    pub holds: Grams,
    /// As in [`ByVolume`].
    pub error: Percent,
}

/// The closest number of sticks, blocks or packets in eighths. `None` where the pantry states none, or for nought.
pub fn by_packet(item: &Item, weight: Grams) -> Option<ByPacket> {
    let (name, one) = item.packet.as_ref()?;
    let eighths = weight.times(8).to_nearest(one.value).mg().checked_div(one.value.mg())?;
    let count = Count(u32::try_from(eighths).ok()?.checked_mul(3)?);
    if count.0 == 0 || weight <= Grams::ZERO {
        return None;
    }
    let holds = one.value.ratio(eighths, 8);
    Some(ByPacket { name: name.value.clone(), count, holds, error: super::rounding::bent_by(weight, holds) })
}

/// Why a home recipe gives an amount in grams alone.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum ByWeightOnly {
    /// Neither the pantry nor the table says what a cup of it weighs.
    NoDensity,
    /// Salt or yeast, and spoons would be off by more than 5 %.
    TooCoarse,
    /// There is none of it.
    Nothing,
}

/// An ingredient's weight as a home kitchen measures it.
pub fn home_measure(item: &Item, weight: Grams, set: Measures) -> Result<ByVolume, ByWeightOnly> {
    if weight <= Grams::ZERO {
        return Err(ByWeightOnly::Nothing);
    }
    let density = density(item).ok_or(ByWeightOnly::NoDensity)?;
    let found = by_volume(weight, density.grams_per_ml, set).ok_or(ByWeightOnly::NoDensity)?;
    if is_sensitive(item.kind.value) && Percent::new(found.error.number().abs()) > SENSITIVE_WITHIN {
        return Err(ByWeightOnly::TooCoarse);
    }
    Ok(found)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::course::ItemKind;
    use crate::finding::Located;
    use crate::reckon::formula::build::{dec, g, item};
    use proptest::prelude::*;

    fn say(weight: &str, density: &str, set: Measures) -> String {
        by_volume(g(weight), dec(density), set).unwrap().to_string()
    }

    #[test]
    fn friendly_measures() {
        // 200 g of sugar to the cup.
        let sugar = "0.84535";
        assert_eq!(say("200", sugar, Measures::Us), "1 cup");
        assert_eq!(say("100", sugar, Measures::Us), "1/2 cup");
        assert_eq!(say("112.5", sugar, Measures::Us), "1/2 cup + 1 tbsp");
        assert_eq!(say("133.3", sugar, Measures::Us), "2/3 cup");
        assert_eq!(say("12.5", sugar, Measures::Us), "1 tbsp");
        assert_eq!(say("6.25", sugar, Measures::Us), "1 1/2 tsp");
        // Nobody counts six teaspoons and three quarters.
        assert_eq!(say("28.08", sugar, Measures::Us), "2 tbsp + 3/4 tsp");
        assert_eq!(say("23.95", sugar, Measures::Us), "1 tbsp + 2 3/4 tsp");
        assert_eq!(say("0.52", sugar, Measures::Us), "1/8 tsp");
        assert_eq!(say("500", sugar, Measures::Us), "2 1/2 cups");
        assert_eq!(say("20", "1", Measures::Australian), "1 tbsp");
        assert_eq!(say("250", "1", Measures::Metric), "1 cup");
    }

    #[test]
    fn salt_and_yeast_are_weighed_where_spoons_are_too_coarse() {
        let yeast = item("instant-yeast", ItemKind::InstantYeast);
        // 1/8 tsp is 0.39 g and 1/4 tsp 0.79 g: 0.55 g lies too far from both.
        assert_eq!(home_measure(&yeast, g("0.55"), Measures::Us), Err(ByWeightOnly::TooCoarse));
        assert_eq!(home_measure(&yeast, g("6.3"), Measures::Us).unwrap().to_string(), "2 tsp");
        let pearls = item("tapioca-pearls", ItemKind::Other);
        assert_eq!(home_measure(&pearls, g("10"), Measures::Us), Err(ByWeightOnly::NoDensity));
    }

    #[test]
    fn sticks_are_marked_in_eighths() {
        let mut butter = item("butter", ItemKind::Fat);
        assert_eq!(by_packet(&butter, g("100")), None);
        butter.packet = Some((Located::assumed("stick".into()), Located::assumed(g("113.4"))));
        let p = by_packet(&butter, g("85")).unwrap();
        assert_eq!((p.count.to_string(), p.holds), ("3/4".into(), g("85.05")));
        assert_eq!(by_packet(&butter, g("2")), None);
    }

    #[test]
    fn every_row_of_the_table_is_found_by_its_names_alone() {
        use crate::reckon::measures_table::TABLE;
        let mut names: Vec<&str> = TABLE.iter().flat_map(|r| r.names.iter().copied()).collect();
        let all = names.len();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), all);
    }

    proptest! {
        #[test]
        fn grams_to_measure_to_grams_is_within_the_stated_error(
            mg in 200i64..4_000_000,
            hundredths in 30i64..150,
            set in prop_oneof![Just(Measures::Us), Just(Measures::Metric), Just(Measures::Australian)],
        ) {
            let weight = Grams::from_mg(mg);
            let density = Decimal::new(hundredths, 2);
            let found = by_volume(weight, density, set).unwrap();
            let back = holds(&found.terms, density, set).unwrap();
            prop_assert_eq!(back, found.holds);
            let off = Decimal::from((back - weight).mg().abs()) / Decimal::from(mg) * Decimal::ONE_HUNDRED;
            prop_assert!((off - found.error.number().abs()).abs() < Decimal::new(1, 6));
            prop_assert!(found.terms.len() <= 2);
            // Bounded: a sixteenth of a teaspoon for the least amounts, 4.5 % from a tablespoon on.
            let ml = weight.to_decimal() / density;
            if ml >= millilitres(set, Vessel::Tablespoon) {
                prop_assert!(off <= Decimal::new(45, 1), "{} of {} at {}: {}", weight.to_decimal(), found, density, off);
            } else if ml >= millilitres(set, Vessel::Teaspoon) / Decimal::from(8) {
                let spoon = millilitres(set, Vessel::Teaspoon) * density * Decimal::new(126, 3);
                prop_assert!((back - weight).to_decimal().abs() <= spoon);
            }
        }
    }
}
