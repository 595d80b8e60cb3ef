#![allow(clippy::unwrap_used)]
use super::choice::*;
use crate::units::{Grams, Money};
use proptest::prelude::*;
use rust_decimal::Decimal;

fn money(cents: i64) -> Money {
    Money::new(Decimal::new(cents, 2))
}

fn source(fee: i64, least: i64) -> Source {
    Source { fee: money(fee), least: money(least) }
}

/// A line of so many grams, with packs (source, grams, cents, keeps).
fn wanted(need: i64, packs: &[(usize, i64, i64, bool)]) -> Wanted {
    let offered = |(source, size, cents, lasts): &(usize, i64, i64, bool)| Offered {
        source: *source,
        size: Grams::whole(*size),
        price: money(*cents),
        lasts: *lasts,
    };
    Wanted { need: Grams::whole(need), offers: packs.iter().map(offered).collect() }
}

/// Suppliers below their least order, cost in cents, milligrams left over.
type Worth = (usize, i64, i64);

fn cents(money: Money) -> i64 {
    let mut amount = money.amount();
    amount.rescale(2);
    i64::try_from(amount.mantissa()).unwrap()
}

fn goods(sources: &[Source], wanted: &[Wanted], counts: &[Vec<u32>]) -> Vec<i64> {
    let mut goods = vec![0; sources.len()];
    for (w, counts) in wanted.iter().zip(counts) {
        for (offer, n) in w.offers.iter().zip(counts) {
            goods[offer.source] += cents(offer.price) * i64::from(*n);
        }
    }
    goods
}

fn over(wanted: &[Wanted], counts: &[Vec<u32>]) -> i64 {
    let held = |w: &Wanted, counts: &[u32]| -> i64 {
        w.offers.iter().zip(counts).map(|(o, n)| o.size.mg() * i64::from(*n)).sum()
    };
    wanted.iter().zip(counts).map(|(w, c)| held(w, c) - w.need.mg()).sum()
}

fn worth(sources: &[Source], wanted: &[Wanted], counts: &[Vec<u32>]) -> Worth {
    let goods = goods(sources, wanted, counts);
    let used = || sources.iter().zip(&goods).filter(|(_, g)| **g > 0);
    let unmet = used().filter(|(s, g)| **g < cents(s.least)).count();
    let cost = used().map(|(s, g)| cents(s.fee) + g).sum();
    (unmet, cost, over(wanted, counts))
}

/// Every way to cover a line in which no single pack can be left away.
fn covers(w: &Wanted) -> Vec<Vec<u32>> {
    let held = |c: &[u32]| -> i64 { w.offers.iter().zip(c).map(|(o, n)| o.size.mg() * i64::from(*n)).sum() };
    let most = w.offers.iter().map(|o| (w.need.mg() + o.size.mg() - 1) / o.size.mg());
    let mut all = vec![vec![]];
    for most in most {
        all = all
            .into_iter()
            .flat_map(|c: Vec<u32>| (0..=most as u32).map(move |n| [c.as_slice(), &[n]].concat()))
            .collect();
    }
    all.retain(|c| {
        let total = held(c);
        total >= w.need.mg()
            && w.offers.iter().zip(c).all(|(o, n)| *n == 0 || total - o.size.mg() < w.need.mg())
    });
    all
}

/// For each sum up to `most`, the cheapest packs that keep and cost at least as much: cost and weight.
fn top_ups(source: usize, wanted: &[Wanted], most: i64) -> Vec<Option<(i64, i64)>> {
    let packs = || wanted.iter().flat_map(|w| &w.offers).filter(|o| o.source == source && o.lasts);
    let mut table = vec![Some((0, 0))];
    for missing in 1..=most {
        let ways = packs().filter_map(|o| {
            let (cost, weight) = table[(missing - cents(o.price)).max(0) as usize]?;
            Some((cost + cents(o.price), weight + o.size.mg()))
        });
        table.push(ways.min());
    }
    table
}

/// The best of all ways, by trying them all.
fn by_trying(sources: &[Source], wanted: &[Wanted]) -> Worth {
    let mut all: Vec<Vec<Vec<u32>>> = vec![vec![]];
    for w in wanted {
        let own = covers(w);
        all = all
            .into_iter()
            .flat_map(|c| own.iter().map(move |o| [c.as_slice(), std::slice::from_ref(o)].concat()))
            .collect();
    }
    let tops: Vec<_> =
        sources.iter().enumerate().map(|(s, source)| top_ups(s, wanted, cents(source.least))).collect();
    all.iter()
        .map(|counts| {
            let goods = goods(sources, wanted, counts);
            let (mut unmet, mut cost, mut over) = (0, 0, over(wanted, counts));
            for ((s, source), goods) in sources.iter().enumerate().zip(&goods).filter(|(_, g)| **g > 0) {
                cost += cents(source.fee) + goods;
                match tops[s][(cents(source.least) - goods).max(0) as usize] {
                    Some((more, weight)) if more <= *goods => {
                        cost += more;
                        over += weight;
                    }
                    _ => unmet += 1,
                }
            }
            (unmet, cost, over)
        })
        .min()
        .unwrap()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1500))]
    /// Fees, least orders, fresh and lasting packs: what is chosen is as good as the best of all ways, and covers every need.
    #[test]
    fn agrees_with_trying_everything(
        sources in proptest::collection::vec((0i64..8, 0i64..26), 1..4),
        lines in proptest::collection::vec((1i64..9, proptest::collection::vec((0usize..3, 1i64..7, 1i64..12, any::<bool>()), 1..4)), 1..4),
    ) {
        let sources: Vec<Source> = sources.into_iter().map(|(fee, least)| source(fee, if least < 8 { 0 } else { least })).collect();
        let lines: Vec<Wanted> = lines.iter().map(|(need, packs)| {
            let packs: Vec<_> = packs.iter().map(|(s, size, price, lasts)| (s % sources.len(), *size, *price, *lasts)).collect();
            wanted(*need, &packs)
        }).collect();
        let choice = choose(&sources, &lines);
        prop_assert!(choice.proven);
        for (w, (counts, full)) in lines.iter().zip(choice.counts.iter().zip(&choice.full)) {
            let held = |counts: &[u32]| -> i64 { w.offers.iter().zip(counts).map(|(o, n)| o.size.mg() * i64::from(*n)).sum() };
            let cost = |counts: &[u32]| -> i64 { w.offers.iter().zip(counts).map(|(o, n)| cents(o.price) * i64::from(*n)).sum() };
            prop_assert!(held(counts) >= w.need.mg() && held(full) >= w.need.mg());
            // What is bought has no pack that only fills an order up.
            prop_assert!(cost(counts) <= cost(full));
            prop_assert!(w.offers.iter().zip(counts).all(|(o, n)| *n == 0 || held(counts) - o.size.mg() < w.need.mg()));
        }
        prop_assert_eq!(worth(&sources, &lines, &choice.full), by_trying(&sources, &lines));
    }
}

#[test]
fn what_cannot_be_had_leaves_the_rest() {
    let lines = [wanted(500, &[]), wanted(500, &[(0, 400, 100, true), (0, 0, 1, true)])];
    let choice = choose(&[source(0, 0)], &lines);
    assert_eq!(choice.counts, [vec![], vec![2, 0]]);
}

#[test]
fn a_fee_is_paid_once_and_only_if_it_pays() {
    // Two lines, each 0.60 dearer at the shop than at the mill, whose delivery costs 1.00: together they pay for it.
    let line = || wanted(1000, &[(0, 1000, 200, true), (1, 1000, 260, true)]);
    let sources = [source(100, 0), source(0, 0)];
    assert_eq!(choose(&sources, &[line(), line()]).counts, [[1, 0], [1, 0]]);
    assert_eq!(choose(&sources, &[line()]).counts, [[0, 1]]);
}

#[test]
fn a_least_order_is_reached_only_where_that_is_worth_it() {
    // 4.00 of goods, delivered from 6.00 on: a second bag costs less than the shop.
    let line = |shop: i64| wanted(1000, &[(0, 1000, 400, true), (1, 1000, shop, true)]);
    let sources = [source(0, 600), source(0, 0)];
    let choice = choose(&sources, &[line(900)]);
    assert_eq!((choice.counts, choice.full), (vec![vec![1, 0]], vec![vec![2, 0]]));
    // A larger pack that only reaches it is not bought either.
    let larger = wanted(1000, &[(0, 1000, 400, true), (0, 2000, 600, true), (1, 1000, 900, true)]);
    let choice = choose(&sources, &[larger]);
    assert_eq!((choice.counts, choice.full), (vec![vec![1, 0, 0]], vec![vec![0, 1, 0]]));
    // The shop is the cheaper way out.
    assert_eq!(choose(&sources, &[line(700)]).counts, [[0, 1]]);
    // Milk is not bought to be thrown away, and nothing else is to be had: the order stays below.
    let milk = wanted(1000, &[(0, 1000, 400, false)]);
    assert_eq!(choose(&sources, &[milk]).counts, [[1]]);
    // Nobody buys more beyond the need than for it.
    let nuts = wanted(1000, &[(0, 1000, 400, true)]);
    assert_eq!(choose(&[source(0, 900)], &[nuts]).counts, [[1]]);
}

/// Suppliers (fee, least order), lines (grams, packs of supplier, grams, cents), and what an integer program of the same problem has as
/// its proven optimum: cost in cents, grams left over.
type Solved = (&'static [(i64, i64)], &'static [(i64, &'static [(usize, i64, i64)])], (i64, i64));

/// Invented cases; solved with CP-SAT of OR-Tools 9.15.6755, which proved each optimal.
const SOLVED: &[Solved] = &[
    (
        &[(386, 0), (258, 5540), (0, 0), (0, 0)],
        &[
            (4772, &[(2, 5000, 4774), (3, 16000, 11923)]),
            (2159, &[(1, 250, 37), (1, 1000, 138)]),
            (1063, &[(0, 250, 408), (1, 5000, 9656), (3, 500, 1036), (0, 1000, 2428)]),
            (4783, &[(2, 1000, 298), (0, 2500, 902)]),
        ],
        (16491, 4473),
    ),
    (
        &[(510, 0), (0, 0), (299, 5384)],
        &[
            (4879, &[(2, 500, 679), (1, 1500, 2208), (1, 5000, 6278), (0, 2500, 2229)]),
            (3321, &[(2, 1000, 651), (2, 1000, 600), (2, 500, 206), (2, 2500, 1253)]),
            (3462, &[(1, 1000, 944), (2, 1500, 1224), (2, 2000, 2541)]),
        ],
        (10662, 338),
    ),
    (
        &[(613, 0), (874, 1708), (885, 0)],
        &[
            (3234, &[(2, 10000, 10934), (1, 2000, 2422)]),
            (3795, &[(1, 2500, 999), (0, 2500, 891), (1, 500, 117), (0, 5000, 1555)]),
            (1646, &[(0, 1000, 481), (1, 250, 151), (0, 2500, 1529)]),
            (4392, &[(0, 500, 94), (1, 2000, 624), (1, 2500, 565)]),
        ],
        (8841, 1683),
    ),
    (
        &[(480, 0), (641, 5902), (0, 4653)],
        &[
            (2551, &[(1, 2000, 1948), (0, 2000, 2007), (2, 500, 490)]),
            (4964, &[(2, 16000, 10852), (2, 250, 145), (1, 1500, 879)]),
            (223, &[(0, 5000, 13176), (0, 250, 450), (1, 2000, 5126)]),
            (1030, &[(0, 5000, 4079), (2, 16000, 11943), (0, 10000, 7768)]),
            (4700, &[(0, 10000, 25355), (0, 16000, 41450), (2, 250, 381)]),
        ],
        (18088, 4532),
    ),
    (
        &[(0, 3794), (0, 0), (0, 2694), (0, 0)],
        &[
            (4340, &[(1, 500, 695), (1, 2000, 2111), (3, 2000, 2245), (1, 10000, 9301)]),
            (2069, &[(0, 250, 246), (2, 500, 359)]),
            (4096, &[(1, 2000, 1031), (0, 2500, 1900)]),
        ],
        (10062, 745),
    ),
    (
        &[(496, 2067), (0, 0), (0, 0), (206, 0), (886, 0)],
        &[
            (4122, &[(4, 10000, 5993), (3, 1500, 912), (0, 1500, 946), (3, 2500, 1900)]),
            (2422, &[(3, 10000, 11462), (0, 2000, 1878), (1, 250, 312)]),
            (4478, &[(3, 10000, 11507), (0, 2500, 3117), (0, 2500, 2658)]),
        ],
        (11152, 978),
    ),
];

#[test]
fn agrees_with_an_integer_program() {
    for (sources, lines, optimum) in SOLVED {
        let sources: Vec<Source> = sources.iter().map(|(fee, least)| source(*fee, *least)).collect();
        let lines: Vec<Wanted> = lines
            .iter()
            .map(|(need, packs)| {
                let packs: Vec<_> = packs.iter().map(|(s, size, cents)| (*s, *size, *cents, true)).collect();
                wanted(*need, &packs)
            })
            .collect();
        let choice = choose(&sources, &lines);
        let (unmet, cost, over) = worth(&sources, &lines, &choice.full);
        assert_eq!((unmet, cost, over / 1000), (0, optimum.0, optimum.1));
    }
}
