//! Common practice: single figures that home recipes go by, one to a test and never put together.
use super::build::{g, item, near_d, near_g};
use benchroll::course::{ItemKind, Measures};
use benchroll::reckon::measures::*;
use benchroll::reckon::yeast::{YeastKind, packet};

fn cup_of(id: &str, kind: ItemKind, count: Count, vessel: Vessel) -> benchroll::units::Grams {
    holds(&[(count, vessel)], density(&item(id, kind)).unwrap().grams_per_ml, Measures::Us).unwrap()
}

/// Common practice: 4 1/2 US cups of all-purpose flour weigh 540 g. The tool's cup is spooned, 120.49 g (`p-flour-all-purpose-cakebible-cup-spooned`),
/// which is 0.4 % more.
#[test]
fn flour_by_the_cup() {
    near_g(cup_of("plain-flour", ItemKind::Flour, Count(4 * 24 + 12), Vessel::Cup), 540.0, 540.0 * 0.005);
    let back = home_measure(&item("plain-flour", ItemKind::Flour), g("540"), Measures::Us).unwrap();
    assert_eq!(back.to_string(), "4 1/2 cups");
}

/// Common practice: half a US cup of sugar weighs 100 g.
#[test]
fn sugar_by_the_cup() {
    near_g(cup_of("sugar", ItemKind::Sugar, Count(12), Vessel::Cup), 100.0, 0.001);
    let back = home_measure(&item("sugar", ItemKind::Sugar), g("100"), Measures::Us).unwrap();
    assert_eq!(back.to_string(), "1/2 cup");
}

/// Common practice: a packet of instant yeast is 2 1/4 teaspoons.
#[test]
fn yeast_by_the_packet() {
    let yeast = item("instant-yeast", ItemKind::InstantYeast);
    let m = home_measure(&yeast, packet(YeastKind::Instant), Measures::Us).unwrap();
    assert_eq!(m.to_string(), "2 1/4 tsp");
    near_d(m.error.number(), 0.0, 1.5);
}

/// Common practice: a syrup of equal volumes is not one of equal masses: 200 g of sugar to 237 g of water, 45.8 Brix (`syrup-volume`, from
/// memory; `s-11-volume-calc` 45.9).
#[test]
fn syrup_by_volume() {
    use benchroll::reckon::formula::true_percentages;
    use benchroll::units::Percent;
    let sugar = cup_of("sugar", ItemKind::Sugar, Count(24), Vessel::Cup);
    let water = cup_of("water", ItemKind::Water, Count(24), Vessel::Cup);
    let shares =
        true_percentages(&[Percent::new(sugar.to_decimal()), Percent::new(water.to_decimal())]).unwrap();
    near_d(shares[0].number(), 45.8, 0.1);
}
