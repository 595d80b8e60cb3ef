//! Where the trade's sources disagree: which of them a course follows. Whoever prints a figure that rests on one names it.

use super::At;
use crate::finding::Located;
use crate::units::Percent;
use rust_decimal::Decimal;

/// Which published ratio of fresh to dry yeast to use. Sources differ from 0.33 to 0.5.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum YeastConversion {
    /// Fresh to active dry 0.40, fresh to instant 0.33: J. Hamelman, Bread, Wiley 2004 (`y-conv-hamelman`).
    #[default]
    Hamelman,
    /// 3/8 for both dry kinds: US list of yeast equivalents (`y-conv-38`).
    ThreeEighths,
    /// 1/3 for both dry kinds: German household pages (`y-conv-third`).
    OneThird,
    /// 1/2 for both dry kinds: chemical trade page (`y-conv-half`).
    OneHalf,
}

/// How much faster yeast works when it is warmer: two published rules.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum RisePace {
    /// Twice as fast for each 17 F degrees (9.44 K): an oven maker's baking article (`y-17f`).
    #[default]
    DoublesEach17F,
    /// 10 % faster for each kelvin: bake magazine, The science of fermentation (`y-10pct`).
    TenPercentAKelvin,
}

/// What is counted as water in a hydration (rows `bp-hydration-*`): one brioche is 0, 70 or 56 % by them.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum HydrationCount {
    /// The water in everything, less the steam of scalds (`bp-hydration-water`).
    #[default]
    AllWater,
    /// Water, milk and egg at their full weight (`bp-hydration-liquids`).
    Liquids,
    /// Water alone (`bp-hydration-naive`).
    WaterOnly,
}

/// The sugar in per cent of the flour above which a yeast bred for sweet dough is advised, where the course says nothing: print
/// speaks of 5 (`y-sugar-slow-5`), 7 (`y-sugar-7`) and 10 (`y-sugar-slow`).
pub const SWEET_YEAST_ABOVE: Percent = Percent::new(Decimal::TEN);

/// What a course chooses where sources disagree.
#[derive(Clone, PartialEq, Debug)]
pub struct Conventions {
    /// Fresh to dry yeast.
    pub yeast: At<YeastConversion>,
    /// Above this much sugar, per cent of the flour, a yeast for sweet dough is advised.
    pub sweet_yeast_above: At<Percent>,
    /// The pace of a rise by temperature.
    pub rise: At<RisePace>,
    /// What counts as water.
    pub hydration: At<HydrationCount>,
}

impl Default for Conventions {
    fn default() -> Self {
        Conventions {
            yeast: Located::assumed(YeastConversion::default()),
            sweet_yeast_above: Located::assumed(SWEET_YEAST_ABOVE),
            rise: Located::assumed(RisePace::default()),
            hydration: Located::assumed(HydrationCount::default()),
        }
    }
}
