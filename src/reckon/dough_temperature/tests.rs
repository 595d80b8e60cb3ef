use super::*;
use crate::reckon::formula::build::g;

const fn c(n: i64) -> Celsius {
    Celsius::whole(n)
}

fn room_of(temperature: i64, friction: i64) -> Conditions {
    Conditions {
        wanted: c(25),
        flour: c(temperature),
        room: c(temperature),
        preferment: None,
        friction: Kelvins::whole(friction),
        bowl: Kelvins::ZERO,
    }
}

fn reach(tap: i64) -> Reach {
    Reach { tap: c(tap), fridge: c(4), warmest: WARMEST }
}

fn liquid(grams: &str, kept: i64, water: bool, warms: bool) -> Liquid {
    Liquid { grams: g(grams), kept_at: c(kept), water, warms }
}

/// A carton of oat drink is warmed and chilled like milk, wherever it is kept; what is unwritten is no liquid.
#[test]
fn a_plant_drink_is_a_liquid_to_warm() {
    let liquid = |kind| {
        let item = crate::reckon::sample::item("oat-drink", kind);
        liquid_of(&item, g("100"), c(12), c(21), c(4)).map(|l| (l.kept_at, l.water, l.warms))
    };
    assert_eq!(liquid(ItemKind::Drink), Some((c(4), false, true)));
    assert_eq!(liquid(ItemKind::Drink), liquid(ItemKind::Milk));
    assert_eq!(liquid(ItemKind::Other), None);
}

#[test]
fn milk_makes_up_for_cold_eggs() {
    // 75 - 21 - 21 - 12 = 21 for all liquid; 200 g of egg at 4 leave 300 g of milk to be at 32 1/3.
    let a =
        advise(&room_of(21, 12), &[liquid("200", 4, false, false), liquid("300", 4, false, true)], reach(12));
    assert_eq!(a, Advice::LiquidAt(Celsius::from_thousandths(32_333)));
}

/// A drink that is kept in the room is brought to what is wanted, which may be colder; and what comes out at the printed degree is
/// no exception to tell of.
#[test]
fn a_drink_goes_into_the_fridge_first_and_a_degree_is_a_degree() {
    let drink = |grams| Liquid { grams, kept_at: c(4), water: false, warms: true };
    let mut sum = room_of(25, 16);
    sum.wanted = c(25);
    // 75 - 25 - 25 - 16 = 9.
    assert_eq!(advise(&sum, &[drink(g("1000"))], reach(15)), Advice::LiquidAt(c(9)));
    // 75 - 11 - 11 - 7 = 46, one more than yeast bears: a third of a degree in the dough.
    let cold = Conditions { friction: Kelvins::whole(7), ..room_of(11, 7) };
    let cold = Conditions { wanted: c(25), ..cold };
    assert_eq!(advise(&cold, &[drink(g("1000"))], reach(12)), Advice::LiquidAt(c(45)));
}

#[test]
fn water_takes_ice_and_milk_does_not() {
    // 75 - 28 - 28 - 12 = 7.
    let hot = room_of(28, 12);
    let a = advise(&hot, &[liquid("1000", 18, true, true)], reach(18));
    // 1000 x 11 / 97.933
    assert_eq!(a, Advice::Ice { ice: g("112.322"), water: g("887.678") });
    let a = advise(&room_of(28, 18), &[liquid("1000", 4, false, true)], reach(18));
    // 75 - 28 - 28 - 18 = 1, milk at 4: the flour must be 3 colder.
    assert_eq!(a, Advice::ChillFlour(c(25)));
    let a = advise(&room_of(32, 40), &[liquid("1000", 4, false, true)], reach(18));
    // 75 - 4 - 32 - 40 = -1, milk at 4: 5 too much, shared by three.
    assert_eq!(a, Advice::TooWarm(Celsius::from_thousandths(26_667)));
}

#[test]
fn a_cold_room_has_its_limit_too() {
    let a = advise(&room_of(5, 2), &[liquid("500", 12, true, true)], reach(12));
    // Wants 63; at 45 the dough lacks 18 in three.
    assert_eq!(a, Advice::TooCold { liquid: c(45), dough: c(19) });
    assert_eq!(advise(&room_of(20, 10), &[], reach(12)), Advice::NoLiquid);
}

/// A brioche with an overnight sponge and no milk: 4 x 24 - 20 - 20 - 4 - 44/3 is 37 1/3 for the eggs; they stay at 4, so that the sum
/// is 33 1/3 short, shared by four.
#[test]
fn eggs_are_never_warmed_and_a_cold_sponge_counts() {
    let brioche = Conditions {
        wanted: c(24),
        flour: c(20),
        room: c(20),
        preferment: Some(c(4)),
        friction: Kelvins::whole(11).ratio(4, 3),
        bowl: Kelvins::ZERO,
    };
    let eggs = [liquid("440", 4, false, false)];
    let advice = advise(&brioche, &eggs, reach(15));
    let Advice::AsKept(dough) = advice else { panic!("{advice:?}") };
    assert_eq!(dough.to_nearest(Celsius::from_thousandths(100)), Celsius::from_thousandths(15_700));
    let batch = |advice| BatchTemperature {
        conditions: brioche,
        liquid: brioche.liquid(),
        liquids: eggs.to_vec(),
        advice,
        friction_known: true,
        tap: TAP,
        tap_known: true,
    };
    // 8.3 K are 15 F degrees: 2 to the 15/17.
    assert_eq!(batch(advice).rises_longer(Pace::DoublesEach17F), Some(80));
    assert_eq!(batch(Advice::AsKept(c(24))).rises_longer(Pace::DoublesEach17F), None);
    assert_eq!(batch(Advice::AsKept(c(9))).rises_longer(Pace::DoublesEach17F), None);
    // A sponge that stood in the room leaves it at 20 (19 2/3).
    let warm = Conditions { preferment: Some(c(20)), ..brioche };
    assert_eq!(advise(&warm, &eggs, reach(15)), Advice::AsKept(Celsius::from_thousandths(19_667)));
}

#[test]
fn a_bowl_warm_from_the_batch_before_counts() {
    assert_eq!(warm_bowl(Some(c(26)), c(21), 3), Kelvins::from_thousandths(1_500));
    assert_eq!(warm_bowl(None, c(21), 3), Kelvins::ZERO);
    let warm = Conditions { bowl: Kelvins::from_thousandths(1_500), ..room_of(21, 12) };
    assert_eq!(warm.liquid(), Celsius::from_thousandths(19_500));
}

#[test]
fn friction_is_what_a_measured_mix_says() {
    let dough = room_of(21, 12);
    assert_eq!(friction_from(c(25), c(21), c(21), dough.liquid()), Kelvins::whole(12));
}
