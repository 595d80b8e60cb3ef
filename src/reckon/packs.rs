//! Which packs cover a need at the least cost: exactly solved, by branch and bound.

use crate::units::Money;

/// Packs that cover a need.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(super) struct Cover {
    /// Their price together.
    pub cost: i64,
    /// What they hold beyond the need, in the sizes' unit.
    pub over: i64,
    /// How many of each.
    pub counts: Vec<u32>,
}

/// How many of each pack to buy so that they hold at least `need` at the least cost, and of those ways the one with least left over.
/// Packs are sizes and prices, in whole units of any two sorts; counts are in their order. `None` when nothing is offered. A pack of
/// nothing is never bought.
///
/// Equal packs go to the one named first, so that the same input always gives the same answer.
pub(super) fn cover(need: i64, packs: &[(i64, i64)]) -> Option<Cover> {
    if need <= 0 {
        return Some(Cover { cost: 0, over: 0, counts: vec![0; packs.len()] });
    }
    let all = || {
        packs.iter().enumerate().filter(|(_, p)| p.0 > 0).map(|(at, p)| Kind {
            at,
            size: i128::from(p.0),
            price: i128::from(p.1.max(0)),
        })
    };
    // One that holds no more and costs more than another is never needed. At the same price the smaller one may be: it
    // leaves less over.
    let mut kinds: Vec<Kind> = all()
        .filter(|k| {
            !all().any(|o| {
                (o.size >= k.size && o.price < k.price)
                    || (o.size == k.size && o.price == k.price && o.at < k.at)
            })
        })
        .collect();
    // The best value first; what is left can then not be had for less than the next one's value.
    kinds.sort_by(|a, b| {
        (a.price * b.size).cmp(&(b.price * a.size)).then(b.size.cmp(&a.size)).then(a.at.cmp(&b.at))
    });
    let common = kinds.iter().map(|k| k.size).reduce(gcd)?;
    let need = i128::from(need);
    let mut search = Search {
        kinds: &kinds,
        // All packs together hold a multiple of this, so no less than this is left over.
        least_over: (need + common - 1) / common * common - need,
        common,
        counts: vec![0; kinds.len()],
        best: None,
    };
    search.go(0, need, 0);
    let (cost, over, counts) = search.best?;
    let mut by_pack = vec![0; packs.len()];
    for (kind, count) in kinds.iter().zip(counts) {
        by_pack[kind.at] = u32::try_from(count).ok()?;
    }
    let whole = |n: i128| i64::try_from(n).unwrap_or(i64::MAX);
    Some(Cover { cost: whole(cost), over: whole(over), counts: by_pack })
}

/// A price in units of its `scale`-th decimal place.
pub(super) fn whole_units(price: Money, scale: u32) -> i64 {
    let mut p = price.amount();
    p.rescale(scale);
    i64::try_from(p.mantissa().max(0)).unwrap_or(i64::MAX)
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

    fn counts(need: i64, packs: &[(i64, i64)]) -> Option<Vec<u32>> {
        cover(need, packs).map(|c| c.counts)
    }

    #[test]
    fn the_cheapest_way_is_not_the_one_with_least_left_over() {
        // 5.2 kg: one sack of 16 kg for 19.80 costs more than four bags of 1.5 kg for 10.60.
        assert_eq!(counts(5200, &[(16_000, 1980), (1500, 265)]).unwrap(), [0, 4]);
        // 12 kg: eight bags for 21.20 against the sack for 19.80, though 4 kg are left.
        assert_eq!(counts(12_000, &[(16_000, 1980), (1500, 265)]).unwrap(), [1, 0]);
        // Rounding up line by line would take two of 1 kg; 1 kg and 250 g are enough.
        assert_eq!(counts(1200, &[(1000, 500), (250, 140)]).unwrap(), [1, 1]);
        assert_eq!(counts(0, &[(1000, 500)]).unwrap(), [0]);
        assert_eq!(counts(1, &[]), None);
        assert_eq!(counts(1, &[(0, 5)]), None);
    }

    #[test]
    fn of_equal_cost_the_least_is_left_over_and_the_first_named_wins() {
        assert_eq!(counts(700, &[(1000, 100), (800, 100)]).unwrap(), [0, 1]);
        assert_eq!(counts(600, &[(500, 100), (300, 60), (600, 120)]).unwrap(), [0, 0, 1]);
        assert_eq!(counts(600, &[(600, 120), (600, 120)]).unwrap(), [1, 0]);
        // The smaller of two packs at one price: it was once dropped.
        assert_eq!(counts(1, &[(1, 91), (2, 91)]).unwrap(), [1, 0]);
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
            let found = cover(need as i64, &list).unwrap();
            let counts = &found.counts;
            let held: i64 = counts.iter().zip(&list).map(|(c, o)| i64::from(*c) * o.0).sum();
            let cost: i64 = counts.iter().zip(&list).map(|(c, o)| i64::from(*c) * o.1).sum();
            prop_assert!(held >= need as i64);
            prop_assert_eq!((found.cost, found.over), (cost, held - need as i64));
            // A pack for nothing is as good as any other: only the cost is then settled.
            let (least, over) = by_table(need, &list);
            prop_assert_eq!(cost, least);
            if list.iter().all(|o| o.1 > 0) {
                prop_assert_eq!(held - need as i64, over);
            }
        }
    }
}
