//! Cutting a row of stations into consecutive groups, for bowls and for oven loads: every way that could be best.

use std::ops::Range;

/// What a group costs; compared from the left: it does not fit anywhere, it is too small for every hook, how uneven it is.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug, Default)]
pub struct Cost {
    /// Groups that nothing carries.
    pub over: u32,
    /// Groups that no hook catches.
    pub under: u32,
    /// Sum of squares of the groups' sizes: least when they are even.
    pub uneven: i128,
}

impl Cost {
    fn plus(self, o: Cost) -> Cost {
        Cost {
            over: self.over + o.over,
            under: self.under + o.under,
            uneven: self.uneven.saturating_add(o.uneven),
        }
    }
}

/// Up to this many members every cut is looked at; beyond it only the most even one for each number of groups.
const LOOK_AT_ALL: usize = 11;

/// How many more groups than the fewest possible are considered in a long row.
const MORE_GROUPS: usize = 12;

/// The ways to cut `n` members into consecutive groups. `cost` is `None` for a group that must not be.
///
/// Short rows give every allowed cut; long ones the cheapest for each number of groups, the fewest groups first.
pub fn cuts(n: usize, cost: &dyn Fn(Range<usize>) -> Option<Cost>) -> Vec<(Cost, Vec<Range<usize>>)> {
    match n {
        0 => Vec::new(),
        1..=LOOK_AT_ALL => every_cut(n, cost),
        _ => cheapest_cuts(n, cost),
    }
}

fn every_cut(n: usize, cost: &dyn Fn(Range<usize>) -> Option<Cost>) -> Vec<(Cost, Vec<Range<usize>>)> {
    let mut all = Vec::new();
    // A set bit after member i is a cut there.
    'cut: for bits in 0u32..1 << (n - 1) {
        let mut groups = Vec::new();
        let mut sum = Cost::default();
        let mut from = 0;
        for i in 0..n {
            if i + 1 == n || bits & (1 << i) != 0 {
                let Some(c) = cost(from..i + 1) else { continue 'cut };
                sum = sum.plus(c);
                groups.push(from..i + 1);
                from = i + 1;
            }
        }
        all.push((sum, groups));
    }
    all
}

fn cheapest_cuts(n: usize, cost: &dyn Fn(Range<usize>) -> Option<Cost>) -> Vec<(Cost, Vec<Range<usize>>)> {
    // best[i] after k groups: the cheapest way to cut the first i members, and where its last group starts.
    let mut layers: Vec<Vec<Option<(Cost, usize)>>> = Vec::new();
    let mut before: Vec<Option<Cost>> = vec![None; n + 1];
    before[0] = Some(Cost::default());
    let mut found = Vec::new();
    for _ in 0..n {
        let mut layer: Vec<Option<(Cost, usize)>> = vec![None; n + 1];
        for (to, best_here) in layer.iter_mut().enumerate().skip(1) {
            for from in (0..to).rev() {
                let Some(so_far) = before[from] else { continue };
                let Some(c) = cost(from..to) else { continue };
                let sum = so_far.plus(c);
                if best_here.is_none_or(|(best, _)| sum < best) {
                    *best_here = Some((sum, from));
                }
            }
        }
        before = layer.iter().map(|l| l.map(|(c, _)| c)).collect();
        let whole = layer[n];
        layers.push(layer);
        if let Some((sum, _)) = whole {
            let mut groups = Vec::new();
            let mut to = n;
            for layer in layers.iter().rev() {
                let Some((_, from)) = layer[to] else { break };
                groups.push(from..to);
                to = from;
            }
            groups.reverse();
            found.push((sum, groups));
            if found.len() > MORE_GROUPS {
                break;
            }
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        /// The long way agrees with looking at every cut, for each number of groups.
        #[test]
        fn cheapest_cuts_are_the_cheapest(weights in proptest::collection::vec(1i64..100, 1..10), limit in 80i64..300) {
            let cost = |r: Range<usize>| {
                let sum: i64 = weights[r].iter().sum();
                (sum <= limit || sum < 100).then_some(Cost { over: 0, under: u32::from(sum < 40), uneven: i128::from(sum * sum) })
            };
            let n = weights.len();
            let all = every_cut(n, &cost);
            for (sum, groups) in cheapest_cuts(n, &cost) {
                let least = all.iter().filter(|(_, g)| g.len() == groups.len()).map(|(c, _)| *c).min();
                prop_assert_eq!(least, Some(sum));
                prop_assert_eq!(groups.iter().flat_map(Clone::clone).collect::<Vec<_>>(), (0..n).collect::<Vec<_>>());
            }
        }
    }
}
