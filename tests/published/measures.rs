//! Units and cups: `measures.toml`, tables `unit` and `portion`.
use super::build::{g, item, near_d, near_g};
use benchroll::course::{ItemKind, Measures};
use benchroll::reckon::measures::*;
use rust_decimal::Decimal;

fn us(vessel: Vessel) -> Decimal {
    millilitres(Measures::Us, vessel)
}

/// `u-us-cup`, `u-us-gal`: NIST Handbook 44, Appendix C: the US gallon is 231 cubic inches, the cup a sixteenth of it.
#[test]
fn u_us_cup() {
    near_d(us(Vessel::Cup), 236.588_236_5, 1e-8);
    near_d(us(Vessel::Cup) * Decimal::from(16), 231.0 * 2.54f64.powi(3), 1e-6);
}

/// `u-us-tbsp`: a sixteenth of the cup (the tool's exact to a hundred-millionth of a millilitre).
#[test]
fn u_us_tbsp() {
    near_d(us(Vessel::Tablespoon), 14.786_764_781_25, 1e-8);
}

/// `u-us-tsp`: a third of the tablespoon.
#[test]
fn u_us_tsp() {
    near_d(us(Vessel::Teaspoon), 4.928_921_593_75, 1e-8);
}

/// `u-us-ladder`: NIST SP 430: 3 teaspoons, 16 tablespoons; `u-us-floz`, `u-us-pt`, `u-us-qt` follow.
#[test]
fn u_us_ladder() {
    near_d(us(Vessel::Teaspoon) * Decimal::from(3), 14.786_764_781, 1e-7);
    near_d(us(Vessel::Tablespoon) * Decimal::from(16), 236.588_236_5, 1e-6);
    near_d(us(Vessel::Tablespoon) * Decimal::from(2), 29.573_529_562_5, 1e-7);
    near_d(us(Vessel::Cup) * Decimal::from(2), 473.176_473, 1e-7);
    near_d(us(Vessel::Cup) * Decimal::from(4), 946.352_946, 1e-7);
}

/// `u-sp430-cup`, `u-sp430-tbsp`, `u-sp430-tsp`: NIST Metric Household page: 237, 15 and 4.9 ml, rounded.
#[test]
fn u_sp430() {
    near_d(us(Vessel::Cup), 237.0, 0.5);
    near_d(us(Vessel::Tablespoon), 15.0, 0.5);
    near_d(us(Vessel::Teaspoon), 4.9, 0.05);
}

/// `u-metric-cup`: New South Wales government recipe conversion chart: 250 ml; `u-intl-tbsp` 15 ml.
#[test]
fn u_metric_cup() {
    assert_eq!(millilitres(Measures::Metric, Vessel::Cup), Decimal::from(250));
    assert_eq!(millilitres(Measures::Metric, Vessel::Tablespoon), Decimal::from(15));
}

/// `u-au-tbsp`, `u-au-tsp`: the same chart: 20 and 5 ml.
#[test]
fn u_au_spoons() {
    assert_eq!(millilitres(Measures::Australian, Vessel::Tablespoon), Decimal::from(20));
    assert_eq!(millilitres(Measures::Australian, Vessel::Teaspoon), Decimal::from(5));
    assert_eq!(millilitres(Measures::Australian, Vessel::Cup), Decimal::from(250));
}

/// `bu-tbsp-au`: butter in an Australian tablespoon at the USDA density: 19.2 g.
#[test]
fn bu_tbsp_au() {
    let d = density(&item("butter", ItemKind::Fat)).unwrap().grams_per_ml;
    near_g(holds(&[(Count(24), Vessel::Tablespoon)], d, Measures::Australian).unwrap(), 19.2, 0.05);
}

/// `bu-au-cup`: 227 g to the US cup is 240 g to the metric one; the printed 250 g is not matched.
#[test]
fn bu_au_cup() {
    let d = density(&item("butter", ItemKind::Fat)).unwrap().grams_per_ml;
    near_g(holds(&[(Count(24), Vessel::Cup)], d, Measures::Metric).unwrap(), 240.0, 0.2);
}

/// `p-sugar-granulated-mw-au-metric-cup` is an outlier: 250 ml of sugar measures 211 g, and the printed 250 g is not adopted.
#[test]
fn sugar_in_a_metric_cup() {
    let d = density(&item("sugar", ItemKind::Sugar)).unwrap().grams_per_ml;
    near_g(holds(&[(Count(24), Vessel::Cup)], d, Measures::Metric).unwrap(), 211.0, 0.5);
}

/// `p-salt-table-sr28-tbsp`: USDA SR28, NDB 02047: a tablespoon of salt is 18 g, as three of the tool's teaspoons.
#[test]
fn salt_by_the_spoon() {
    let salt = item("salt", ItemKind::Salt);
    assert_eq!(home_measure(&salt, g("18"), Measures::Us).unwrap().to_string(), "1 tbsp");
    assert_eq!(home_measure(&salt, g("9"), Measures::Us).unwrap().to_string(), "1 1/2 tsp");
}

/// `p-oil-canola-sr28-tbsp`: USDA SR28: 14 g, against 13.6 from the cup of the same file: within the tool's bound, not equal.
#[test]
fn oil_by_the_spoon() {
    let oil = density(&item("rapeseed-oil", ItemKind::Fat)).unwrap().grams_per_ml;
    near_g(holds(&[(Count(24), Vessel::Tablespoon)], oil, Measures::Us).unwrap(), 14.0, 14.0 * 0.045);
}
