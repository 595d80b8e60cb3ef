//! How fast packs and suppliers are chosen: `cargo bench --bench orders --profile dev`.
#![allow(clippy::unwrap_used, clippy::print_stdout, missing_docs)]

use benchroll::reckon::order::choice::{Offered, Source, Wanted, choose};
use benchroll::units::{Grams, Money};
use rust_decimal::Decimal;
use std::time::Instant;

/// The same numbers each time: a linear congruential generator, with Knuth's constants of MMIX.
struct Dice(u64);

impl Dice {
    fn up_to(&mut self, most: i64) -> i64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as i64 % most + 1
    }
}

fn money(cents: i64) -> Money {
    Money::new(Decimal::new(cents, 2))
}

/// Lines of up to 40 kg, each in `packs` sizes of up to 25 kg from four suppliers, larger packs cheaper by the gram.
fn lines(count: usize, packs: usize, dice: &mut Dice) -> Vec<Wanted> {
    (0..count)
        .map(|_| {
            let by_kilogram = 80 + dice.up_to(1500);
            let offers = (0..packs).map(|_| {
                let size = [50, 100, 250, 500, 1000, 1500, 2000, 2500, 5000, 10_000, 16_000, 25_000]
                    [dice.up_to(12) as usize - 1];
                let fair = (by_kilogram * size / 1000).max(20);
                let dearer = 100 + 2500 / (size / 50 + 20) + dice.up_to(30);
                Offered {
                    source: dice.up_to(4) as usize - 1,
                    size: Grams::whole(size),
                    price: money(fair * dearer / 100),
                    lasts: dice.up_to(3) > 1,
                }
            });
            Wanted { offers: offers.collect(), need: Grams::from_mg(dice.up_to(40_000_000)) }
        })
        .collect()
}

fn main() {
    let mut dice = Dice(7);
    let cases = [
        ("a class: 15 lines of 3 packs", 15, 3, [(650, 4000), (400, 0), (900, 6000), (0, 0)]),
        ("10,000 lines of 12 packs", 10_000, 12, [(650, 4000), (400, 0), (900, 6000), (0, 0)]),
        ("300 lines, a least order out of reach", 300, 12, [(650, 600_000), (400, 0), (900, 6000), (0, 0)]),
    ];
    for (what, count, packs, suppliers) in cases {
        let wanted = lines(count, packs, &mut dice);
        let sources = suppliers.map(|(fee, least)| Source { fee: money(fee), least: money(least) });
        let start = Instant::now();
        let choice = choose(&sources, &wanted);
        let seconds = start.elapsed().as_secs_f64();
        let cost: Decimal = wanted
            .iter()
            .zip(&choice.full)
            .flat_map(|(w, c)| w.offers.iter().zip(c))
            .map(|(o, n)| o.price.times(i64::from(*n)).amount())
            .sum();
        println!("{what:<40} {seconds:>8.3} s  goods for {cost}, proven: {}", choice.proven);
    }
}
