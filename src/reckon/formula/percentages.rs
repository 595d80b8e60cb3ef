//! Baker's percentages from weights, and weights from percentages, as a textbook does them on one list.
use crate::units::{Grams, Percent};
use rust_decimal::Decimal;

/// Baker's percentages from weights: each weight by all the flour (row `bp-def`). `flour` marks the flours.
/// `None` when there is no flour.
pub fn percentages_of(weights: &[(Grams, bool)]) -> Option<Vec<Percent>> {
    let flour: Grams = weights.iter().filter(|(_, flour)| *flour).map(|(g, _)| *g).sum();
    weights
        .iter()
        .map(|(g, _)| g.to_decimal().checked_div(flour.to_decimal()).map(Percent::from_factor))
        .collect()
}

/// The total formula percentage: all percentages together, flour included (row `bp-sum`).
pub fn total_percentage(percentages: &[Percent]) -> Percent {
    percentages.iter().copied().sum()
}

/// Grams for one per cent: wanted dough by the total percentage (row `bp-convert`). `None` for a total of nought.
pub fn conversion_factor(wanted: Grams, total: Percent) -> Option<Decimal> {
    wanted.to_decimal().checked_div(total.number())
}

/// Flour for a wanted weight of dough (row `bp-convert`). `None` for a total of nought.
pub fn flour_for(wanted: Grams, total: Percent) -> Option<Grams> {
    Grams::from_decimal(conversion_factor(wanted, total)?.checked_mul(Decimal::ONE_HUNDRED)?)
}

/// Shares of the whole dough from baker's percentages (row `bp-true-percent`), as quantity cards print them.
/// `None` for a total of nought.
pub fn true_percentages(percentages: &[Percent]) -> Option<Vec<Percent>> {
    let total = total_percentage(percentages).number();
    percentages.iter().map(|p| p.number().checked_div(total).map(Percent::from_factor)).collect()
}
