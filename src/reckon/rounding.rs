//! Rounding to what a scale can show, over a table of who weighs by what is weighed, so that the totals stay exact.
//!
//! Equal needs are rounded equally: two stations that make the same never weigh different amounts. What the rounding
//! adds or takes away over a whole column (the crumbs) is put into one named row, the spare or the demonstration, so
//! that the column still adds up to the formula's total as a scale can show it. Where the crumbs would bend that row's
//! ratios by more than [`CRUMB_LIMIT`], or no row is named, the total follows the rounded cells instead, and the
//! difference is kept beside it. Either way the cells of a column add up to its total, to the milligram.
use crate::course::{Item, ItemKind, Settings};
use crate::units::{Grams, Percent};
use rust_decimal::Decimal;

/// The most that the row which takes the crumbs may be bent by them: 2 %. Our own choice, small beside the half step
/// by which salt and yeast are rounded on a fine scale.
pub const CRUMB_LIMIT: Percent = Percent::new(Decimal::from_parts(2, 0, 0, false, 0));

/// The steps of the scales in the room.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct ScaleSteps {
    /// What the class's scales can show: 1 g usually.
    pub class: Grams,
    /// What the fine scale can show: 0.1 g usually.
    pub fine: Grams,
    /// Below this a thing is weighed on the fine scale.
    pub fine_below: Grams,
}

impl ScaleSteps {
    /// The steps that the course states.
    pub fn of(settings: &Settings) -> Self {
        ScaleSteps {
            class: settings.scale_step.value,
            fine: settings.fine_step.value,
            fine_below: settings.fine_below.value,
        }
    }

    /// The step for one amount of an ingredient: the ingredient's own, or else by weight.
    pub fn step(&self, item: Option<&Item>, exact: Grams) -> Grams {
        match item.and_then(|i| i.weigh.as_ref()) {
            Some(own) => own.value,
            None if exact < self.fine_below => self.fine,
            None => self.class,
        }
    }

    /// What somebody gets of something ready, as a scale shows it: the one rounding of shares, on whichever page. Nothing that is needed is
    /// rounded away.
    pub fn handed(&self, exact: Grams) -> Grams {
        let step = self.step(None, exact);
        // What is reckoned back from what was weighed is a milligram off, which must not turn a half.
        let near = exact.to_nearest(Grams::from_mg(10)).to_nearest(step);
        if near == Grams::ZERO && exact > Grams::ZERO { step } else { near }
    }

    /// One step for a whole column, so that its cells and its total are all multiples of it: the step of its smallest
    /// cell that is not nought. Salt and yeast count as their class says even when a large batch weighs more.
    pub fn column_step(&self, item: Option<&Item>, cells: &[Grams]) -> Grams {
        cells.iter().filter(|g| **g > Grams::ZERO).map(|g| self.step(item, *g)).min().unwrap_or(self.class)
    }
}

/// Whether an ingredient is one of which a gram matters: salt and yeast.
pub fn is_sensitive(kind: ItemKind) -> bool {
    matches!(kind, ItemKind::Salt | ItemKind::FreshYeast | ItemKind::DryYeast | ItemKind::InstantYeast)
}

/// One column of the table, rounded.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct RoundedColumn {
    /// The step used.
    pub step: Grams,
    /// The cells in the order of the rows, multiples of `step`.
    pub cells: Vec<Grams>,
    /// The exact total of the column.
    pub exact_total: Grams,
    /// The cells together.
    pub total: Grams,
    /// What the taker got beyond its own rounded amount; nought when there is no taker or it was left alone.
    pub crumbs: Grams,
    /// Which row took them.
    pub taken_by: Option<usize>,
}

impl RoundedColumn {
    /// What rounding changed in the total: at most half a step when a row took the crumbs.
    pub fn moved(&self) -> Grams {
        self.total - self.exact_total
    }
}

/// Rounds one column of exact amounts to `step`. `taker` is the row that takes the crumbs.
///
/// A cell that is not nought never becomes nought: it is one step then, so that no ingredient disappears.
pub fn round_column(exact: &[Grams], step: Grams, taker: Option<usize>) -> RoundedColumn {
    let round = |g: Grams| {
        let r = g.to_nearest(step);
        if r == Grams::ZERO && g > Grams::ZERO { step } else { r }
    };
    let exact_total: Grams = exact.iter().sum();
    let mut cells: Vec<Grams> = exact.iter().map(|g| round(*g)).collect();
    let sum: Grams = cells.iter().sum();
    let crumbs = exact_total.to_nearest(step) - sum;
    let mut column =
        RoundedColumn { step, exact_total, total: sum, crumbs: Grams::ZERO, taken_by: None, cells: vec![] };
    if let Some(row) = taker.filter(|_| crumbs != Grams::ZERO)
        && let (Some(cell), Some(own)) = (cells.get_mut(row), exact.get(row))
    {
        let bent = *cell + crumbs;
        // Measured against the row's own exact need; one step is always allowed, a scale shows no less.
        let limit = CRUMB_LIMIT.of(*own).at_least(step);
        if bent > Grams::ZERO && Grams::from_mg((bent - *own).mg().abs()) <= limit {
            *cell = bent;
            column.total = sum + crumbs;
            column.crumbs = crumbs;
            column.taken_by = Some(row);
        }
    }
    column.cells = cells;
    column
}

/// How far a rounded amount is from the exact one, in per cent of it; nought for an exact amount of nought.
pub fn bent_by(exact: Grams, rounded: Grams) -> Percent {
    Decimal::from((rounded - exact).mg())
        .checked_div(Decimal::from(exact.mg()))
        .map_or(Percent::ZERO, Percent::from_factor)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn g(text: &str) -> Grams {
        Grams::from_decimal(text.parse().unwrap()).unwrap()
    }

    #[test]
    fn the_spare_takes_the_crumbs_and_the_total_is_the_formulas() {
        // Three stations and a spare, each 133.4 g: four times 133 is 532, the formula's total 533.6 shows as 534.
        let c = round_column(&[g("133.4"), g("133.4"), g("133.4"), g("133.4")], g("1"), Some(3));
        assert_eq!(c.cells, [g("133"), g("133"), g("133"), g("135")]);
        assert_eq!((c.total, c.crumbs, c.taken_by), (g("534"), g("2"), Some(3)));
        assert_eq!(c.moved(), g("0.4"));
    }

    #[test]
    fn crumbs_that_would_bend_the_taker_too_far_move_the_total_instead() {
        // 24 stations of 6.74 g yeast on a 0.1 g scale: 0.96 g would be 14 % of the demonstration's.
        let c = round_column(&[g("6.74"); 25], g("0.1"), Some(24));
        assert!(c.cells.iter().all(|x| *x == g("6.7")));
        assert_eq!((c.total, c.taken_by), (g("167.5"), None));
        assert_eq!(c.moved(), g("-1"));
    }

    #[test]
    fn nothing_that_is_needed_is_rounded_away() {
        let c = round_column(&[g("0.2"), g("0")], g("1"), None);
        assert_eq!(c.cells, [g("1"), g("0")]);
    }

    #[test]
    fn small_things_go_to_the_fine_scale() {
        let steps = ScaleSteps { class: g("1"), fine: g("0.1"), fine_below: g("20") };
        assert_eq!(steps.step(None, g("19.9")), g("0.1"));
        assert_eq!(steps.step(None, g("20")), g("1"));
        assert_eq!(steps.column_step(None, &[g("0"), g("30"), g("12")]), g("0.1"));
    }

    proptest! {
        #[test]
        fn cells_always_add_up_and_equal_needs_stay_equal(
            cells in proptest::collection::vec(0i64..2_000_000, 1..30),
            step in prop_oneof![Just(100i64), Just(1000), Just(500), Just(5000)],
            taker in proptest::option::of(0usize..30),
        ) {
            let exact: Vec<Grams> = cells.iter().map(|c| Grams::from_mg(*c)).collect();
            let step = Grams::from_mg(step);
            let c = round_column(&exact, step, taker);
            prop_assert_eq!(c.cells.iter().sum::<Grams>(), c.total);
            prop_assert!(c.cells.iter().all(|x| x.mg() % step.mg() == 0));
            for (i, a) in exact.iter().enumerate() {
                prop_assert!(*a == Grams::ZERO || c.cells[i] > Grams::ZERO);
                for (j, b) in exact.iter().enumerate() {
                    if a == b && c.taken_by != Some(i) && c.taken_by != Some(j) {
                        prop_assert_eq!(c.cells[i], c.cells[j]);
                    }
                }
            }
            if c.taken_by.is_some() {
                prop_assert!(c.moved().mg().abs() * 2 <= step.mg());
            }
        }
    }
}
