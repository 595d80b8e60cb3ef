//! Lean, enriched or rich, by published thresholds; and the published ranges that salt, yeast, sugar and fat lie in.
//!
//! | row | kind | says |
//! | --- | --- | --- |
//! | `rng-enriched-threshold` | published, official | enriched: more than 10 parts fat and sugar to 90 of flour (Deutsches Lebensmittelbuch, Leitsätze für Feine Backwaren, I.1) |
//! | `rng-rich-threshold` | published, textbook | rich: fat over 20 % of the flour (P. Reinhart, The Bread Baker's Apprentice, 2001) |
use super::composition::{Figure, Figures};
use super::yeast::{Conversion, YeastKind, convert_percent};
use crate::course::DoughClass;
use crate::finding::Level;
use crate::units::Percent;
use rust_decimal::Decimal;

/// More than this of fat and sugar, per cent of the flour, and a dough is enriched: 10 to 90 (`rng-enriched-threshold`).
/// Kept as the source states it, in parts: fat + sugar over 10 to 90 parts of flour.
fn is_enriched(fat_and_sugar: Percent) -> bool {
    fat_and_sugar.number() * Decimal::from(90) > Decimal::from(1000)
}

/// Over this much fat a dough is rich (`rng-rich-threshold`).
const RICH_FAT_OVER: Percent = Percent::new(Decimal::from_parts(20, 0, 0, false, 0));

/// A dough's class with what decided it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Classified {
    /// The class. Where composition is missing, the richest that it can be: a mixer is then never overloaded by it.
    pub class: DoughClass,
    /// Every ingredient that matters is known, or what is missing cannot change the class.
    pub certain: bool,
    /// Fat, per cent of the flour.
    pub fat: Figure,
    /// Sugars, per cent of the flour.
    pub sugar: Figure,
    /// The row whose threshold decided.
    pub row: &'static str,
}

/// The class of a dough from its figures.
pub fn classify(figures: &Figures) -> Classified {
    let class = |fat: Percent, sugar: Percent| {
        if fat > RICH_FAT_OVER {
            (DoughClass::Rich, "rng-rich-threshold")
        } else if is_enriched(fat + sugar) {
            (DoughClass::Enriched, "rng-enriched-threshold")
        } else {
            (DoughClass::Lean, "rng-enriched-threshold")
        }
    };
    let (fat, sugar) = (&figures.fat, &figures.sugar);
    let (least, _) = class(fat.at_least, sugar.at_least);
    let (most, row) = class(fat.at_most, sugar.at_most);
    Classified { class: most, certain: least == most, fat: fat.clone(), sugar: sugar.clone(), row }
}

/// Which figure a range is about.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Ranged {
    /// Salt as an ingredient.
    Salt,
    /// Yeast, as instant yeast.
    Yeast,
    /// Sugar as an ingredient.
    Sugar,
    /// Butter, oil and the like as an ingredient.
    Fat,
}

impl Ranged {
    /// The word for it.
    pub const fn word(self) -> &'static str {
        match self {
            Ranged::Salt => "salt",
            Ranged::Yeast => "yeast (as instant)",
            Ranged::Sugar => "sugar",
            Ranged::Fat => "fat",
        }
    }
}

/// A range that is in print or in use, with where its ends come from.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Range {
    /// What it is about, per cent of the flour.
    pub of: Ranged,
    /// Its lower end.
    pub low: Decimal,
    /// Its upper end.
    pub high: Decimal,
    /// Warning for a published range, note for one from memory or common practice.
    pub level: Level,
    /// Rows and sources of its ends.
    pub source: &'static str,
}

const fn hundredths(n: u32) -> Decimal {
    Decimal::from_parts(n, 0, 0, false, 2)
}

/// The ranges that are looked at, the published ones first. The ends of a published range are the lowest and the
/// highest figure among the published enriched formulas, not a rule of their own.
pub const RANGES: [Range; 6] = [
    Range {
        of: Ranged::Salt,
        low: hundredths(100),
        high: hundredths(250),
        level: Level::Warning,
        source: "rng-stollen-nz (supplier's stollen, 1 %) to mix-recipes (raised doughnut of a mixer manual, 2.5 %)",
    },
    Range {
        of: Ranged::Yeast,
        low: hundredths(79),
        high: hundredths(413),
        level: Level::Warning,
        source: "rng-softroll (M. Kalanty, Sizzle 2010: fresh 2.4 %) to rng-sweetdough-mil (US TM 10-412, D-036: active dry 5 %)",
    },
    Range {
        of: Ranged::Sugar,
        low: hundredths(0),
        high: hundredths(5000),
        level: Level::Warning,
        source: "y-sugar-osmo-range (encyclopedia chapter on baker's yeast: osmotolerant strains serve up to 50 %)",
    },
    Range {
        of: Ranged::Fat,
        low: hundredths(0),
        high: hundredths(8790),
        level: Level::Warning,
        source: "rng-brioche-rich (P. Reinhart, The Bread Baker's Apprentice, 2001: 87.9 %)",
    },
    Range {
        of: Ranged::Yeast,
        low: hundredths(80),
        high: hundredths(250),
        level: Level::Note,
        source: "rng-challah, rng-cinnamon-roll, rng-brioche-lean-medium-rich (textbooks, from memory)",
    },
    Range {
        of: Ranged::Sugar,
        low: hundredths(0),
        high: hundredths(2800),
        level: Level::Note,
        source: "rng-concha (trade practice)",
    },
];

/// A figure outside a range.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct OutOfRange {
    /// The range.
    pub range: Range,
    /// The dough's figure.
    pub value: Percent,
}

/// All yeast of a dough as instant yeast, by the course's ratio.
pub fn as_instant(figures: &Figures, by: Conversion) -> Percent {
    let kinds = [YeastKind::Fresh, YeastKind::ActiveDry, YeastKind::Instant];
    kinds
        .iter()
        .zip(figures.nominal.yeast)
        .map(|(kind, percent)| convert_percent(percent, *kind, YeastKind::Instant, by))
        .sum()
}

/// The ranges that a yeast dough is outside of. A note about a figure is left out where a warning is given.
pub fn out_of_range(figures: &Figures, by: Conversion) -> Vec<OutOfRange> {
    let mut found: Vec<OutOfRange> = Vec::new();
    for range in RANGES {
        let value = match range.of {
            Ranged::Salt => figures.nominal.salt,
            Ranged::Yeast => as_instant(figures, by),
            Ranged::Sugar => figures.nominal.sugar,
            Ranged::Fat => figures.nominal.fat,
        };
        let outside = value.number() < range.low || value.number() > range.high;
        if outside && !found.iter().any(|f| f.range.of == range.of) {
            found.push(OutOfRange { range, value });
        }
    }
    found
}

/// Published sugar levels, per cent of the flour, from which a yeast bred for sweet dough is spoken of, with their rows.
pub const OSMOTOLERANT_LEVELS: [(u32, &str, &str); 3] = [
    (5, "y-sugar-slow-5", "ordinary yeast begins to slow"),
    (7, "y-sugar-7", "a maker advises another yeast"),
    (10, "y-sugar-slow", "the slowing is marked"),
];

/// Whether to advise osmotolerant yeast: over the level that the course chose.
pub fn wants_osmotolerant(figures: &Figures, above: Percent) -> bool {
    figures.nominal.sugar > above
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reckon::composition::{Hydration, Nominal};
    use crate::reckon::formula::build::pc;

    fn figure(least: &str, most: &str) -> Figure {
        let missing = if least == most { vec![] } else { vec!["x".into()] };
        Figure { at_least: pc(least), at_most: pc(most), missing }
    }

    fn dough(fat: (&str, &str), sugar: &str, nominal: Nominal) -> Figures {
        let none = figure("0", "0");
        Figures {
            by_flour: true,
            nominal,
            hydration: Hydration {
                water_only: Percent::ZERO,
                liquids: Percent::ZERO,
                water_content: none.clone(),
                steam: Percent::ZERO,
            },
            fat: figure(fat.0, fat.1),
            sugar: figure(sugar, sugar),
            salt: none.clone(),
            egg_solids: none.clone(),
            milk_solids: none,
        }
    }

    #[test]
    fn thresholds_are_exclusive_as_printed() {
        let class = |fat: &str, sugar: &str| classify(&dough((fat, fat), sugar, Nominal::default())).class;
        assert_eq!(class("5", "6.11"), DoughClass::Lean);
        assert_eq!(class("5", "6.12"), DoughClass::Enriched);
        assert_eq!(class("20", "10"), DoughClass::Enriched);
        assert_eq!(class("20.1", "0"), DoughClass::Rich);
    }

    #[test]
    fn a_dough_of_unknown_composition_is_taken_as_the_richest_it_can_be() {
        let c = classify(&dough(("5", "30"), "2", Nominal::default()));
        assert_eq!((c.class, c.certain), (DoughClass::Rich, false));
        let c = classify(&dough(("21", "30"), "2", Nominal::default()));
        assert_eq!((c.class, c.certain), (DoughClass::Rich, true));
    }

    #[test]
    fn published_ranges_warn_and_remembered_ones_only_note() {
        let nominal = Nominal {
            salt: pc("3"),
            sugar: pc("30"),
            fat: pc("20"),
            yeast: [pc("0"), pc("0"), pc("3")],
            ..Nominal::default()
        };
        let found = out_of_range(&dough(("20", "20"), "30", nominal), Conversion::default());
        let seen: Vec<_> = found.iter().map(|f| (f.range.of, f.range.level)).collect();
        assert_eq!(
            seen,
            [(Ranged::Salt, Level::Warning), (Ranged::Yeast, Level::Note), (Ranged::Sugar, Level::Note)]
        );
    }
}
