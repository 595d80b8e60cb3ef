//! Which packs cover a need at the least cost: exactly solved, by branch and bound.

use crate::units::{Grams, Money};
use rust_decimal::Decimal;

/// One size of pack that can be bought, any number of times.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Offer {
    /// What is in it, as it is used: an egg out of its shell.
    pub size: Grams,
    /// What it costs.
    pub price: Money,
}

/// How many of each offer to buy so that they hold at least `need` at the least cost, and of those ways the one with least left over.
/// Counts are in the order of `offers`. `None` when nothing is offered. Offers of nothing are never bought.
///
/// Equal offers go to the one named first, so that the same input always gives the same answer.
pub fn cheapest(need: Grams, offers: &[Offer]) -> Option<Vec<u32>> {
    if need <= Grams::ZERO {
        return Some(vec![0; offers.len()]);
    }
    let scale = offers.iter().map(|o| o.price.amount().scale()).max().unwrap_or(0);
    let mut kinds: Vec<Kind> = offers
        .iter()
        .enumerate()
        .filter(|(_, o)| o.size > Grams::ZERO)
        .map(|(at, o)| Kind { at, size: i128::from(o.size.mg()), price: units(o.price.amount(), scale) })
        .collect();
    // One that holds no more and costs more than another is never needed. At the same price the smaller one may be: it
    // leaves less over.
    let all = kinds.clone();
    kinds.retain(|k| {
        !all.iter().any(|o| {
            (o.size >= k.size && o.price < k.price) || (o.size == k.size && o.price == k.price && o.at < k.at)
        })
    });
    // The best value first; what is left can then not be had for less than the next one's value.
    kinds.sort_by(|a, b| {
        (a.price * b.size).cmp(&(b.price * a.size)).then(b.size.cmp(&a.size)).then(a.at.cmp(&b.at))
    });
    let common = kinds.iter().map(|k| k.size).reduce(gcd)?;
    let need = i128::from(need.mg());
    let mut search = Search {
        kinds: &kinds,
        // All packs together hold a multiple of this, so no less than this is left over.
        least_over: (need + common - 1) / common * common - need,
        common,
        counts: vec![0; kinds.len()],
        best: None,
    };
    search.go(0, need, 0);
    let (_, _, counts) = search.best?;
    let mut by_offer = vec![0; offers.len()];
    for (kind, count) in kinds.iter().zip(counts) {
        by_offer[kind.at] = u32::try_from(count).ok()?;
    }
    Some(by_offer)
}

/// A price in its smallest written digits.
fn units(price: Decimal, scale: u32) -> i128 {
    let mut p = price;
    p.rescale(scale);
    p.mantissa().max(0)
}

fn gcd(a: i128, b: i128) -> i128 {
    if b == 0 { a } else { gcd(b, a % b) }
}

#[derive(Clone, Copy)]
struct Kind {
    at: usize,
    size: i128,
    price: i128,
}

struct Search<'a> {
    kinds: &'a [Kind],
    least_over: i128,
    common: i128,
    counts: Vec<i128>,
    /// Cost, left over, counts.
    best: Option<(i128, i128, Vec<i128>)>,
}

impl Search<'_> {
    /// Decides how many of the kinds from `kind` on cover what is `left`, at `cost` so far.
    fn go(&mut self, kind: usize, left: i128, cost: i128) {
        if left <= 0 {
            let found = (cost, -left);
            if self.best.as_ref().is_none_or(|(c, o, _)| found < (*c, *o)) {
                self.best = Some((cost, -left, self.counts.clone()));
            }
            return;
        }
        let Some(k) = self.kinds.get(kind).copied() else { return };
        let most = (left + k.size - 1) / k.size;
        for count in (0..=most).rev() {
            let rest = left - count * k.size;
            let spent = cost + count * k.price;
            if rest > 0 && self.cannot_win(kind + 1, rest, spent) {
                // Fewer of the better value leave more to the worse: it only gets dearer.
                break;
            }
            self.counts[kind] = count;
            self.go(kind + 1, rest, spent);
        }
        self.counts[kind] = 0;
    }

    /// Whether no way to cover `rest` with the kinds from `kind` on can beat the best so far.
    fn cannot_win(&self, kind: usize, rest: i128, spent: i128) -> bool {
        let Some(k) = self.kinds.get(kind) else { return true };
        let Some((best, over, _)) = &self.best else { return false };
        let rest = (rest + self.common - 1) / self.common * self.common;
        // spent + rest x price / size, compared without dividing.
        let bound = spent * k.size + rest * k.price;
        bound > best * k.size || (bound == best * k.size && *over <= self.least_over)
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn offers(list: &[(i64, i64)]) -> Vec<Offer> {
        list.iter()
            .map(|(g, cents)| Offer { size: Grams::whole(*g), price: Money::new(Decimal::new(*cents, 2)) })
            .collect()
    }

    #[test]
    fn the_cheapest_way_is_not_the_one_with_least_left_over() {
        // 5.2 kg: one sack of 16 kg for 19.80 costs more than four bags of 1.5 kg for 10.60.
        assert_eq!(cheapest(Grams::whole(5200), &offers(&[(16_000, 1980), (1500, 265)])).unwrap(), [0, 4]);
        // 12 kg: eight bags for 21.20 against the sack for 19.80, though 4 kg are left.
        assert_eq!(cheapest(Grams::whole(12_000), &offers(&[(16_000, 1980), (1500, 265)])).unwrap(), [1, 0]);
        // Rounding up line by line would take two of 1 kg; 1 kg and 250 g are enough.
        assert_eq!(cheapest(Grams::whole(1200), &offers(&[(1000, 500), (250, 140)])).unwrap(), [1, 1]);
        assert_eq!(cheapest(Grams::ZERO, &offers(&[(1000, 500)])).unwrap(), [0]);
        assert_eq!(cheapest(Grams::whole(1), &[]), None);
        assert_eq!(cheapest(Grams::whole(1), &offers(&[(0, 5)])), None);
    }

    #[test]
    fn of_equal_cost_the_least_is_left_over_and_the_first_named_wins() {
        assert_eq!(cheapest(Grams::whole(700), &offers(&[(1000, 100), (800, 100)])).unwrap(), [0, 1]);
        assert_eq!(
            cheapest(Grams::whole(600), &offers(&[(500, 100), (300, 60), (600, 120)])).unwrap(),
            [0, 0, 1]
        );
        assert_eq!(cheapest(Grams::whole(600), &offers(&[(600, 120), (600, 120)])).unwrap(), [1, 0]);
        // The smaller of two packs at one price: it was once dropped.
        assert_eq!(cheapest(Grams::whole(1), &offers(&[(1, 91), (2, 91)])).unwrap(), [1, 0]);
    }

    /// Cost and left over of the best way, by a table over all amounts.
    fn by_table(need: usize, offers: &[(i64, i64)]) -> (i64, i64) {
        let most = offers.iter().map(|o| o.0).max().unwrap() as usize;
        let mut cost = vec![i64::MAX; need + most + 1];
        cost[0] = 0;
        for amount in 0..cost.len() {
            if cost[amount] == i64::MAX || amount >= need {
                continue;
            }
            for (size, price) in offers {
                let to = amount + *size as usize;
                cost[to] = cost[to].min(cost[amount] + price);
            }
        }
        (need..cost.len())
            .filter(|a| cost[*a] < i64::MAX)
            .map(|a| (cost[a], (a - need) as i64))
            .min()
            .unwrap()
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(2000))]
        /// Twelve sizes, any prices: cost and left over agree with a table that tries every amount.
        #[test]
        fn agrees_with_trying_everything(need in 1usize..1500, list in proptest::collection::vec((1i64..200, 0i64..500), 1..13)) {
            let counts = cheapest(Grams::whole(need as i64), &offers(&list)).unwrap();
            let held: i64 = counts.iter().zip(&list).map(|(c, o)| i64::from(*c) * o.0).sum();
            let cost: i64 = counts.iter().zip(&list).map(|(c, o)| i64::from(*c) * o.1).sum();
            prop_assert!(held >= need as i64);
            // A pack for nothing is as good as any other: only the cost is then settled.
            let (least, over) = by_table(need, &list);
            prop_assert_eq!(cost, least);
            if list.iter().all(|o| o.1 > 0) {
                prop_assert_eq!(held - need as i64, over);
            }
        }
    }
}
