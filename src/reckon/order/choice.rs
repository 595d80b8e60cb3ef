//! Which packs from which suppliers, all lines together: the cheapest way, exactly solved.
//!
//! A line alone is solved in `packs.rs`. What ties lines together is a supplier's delivery fee, paid once, and its least order.
//! So the search decides supplier by supplier whether anything is bought there: what is left then falls into single lines, but for
//! least orders, which `minimum.rs` reaches. A branch whose lines and fees alone cost more than the best way so far is left.
//!
//! What a supplier's least order asks beyond the need is reckoned in packs that keep, and never for more than what is needed from
//! there costs: nobody buys thirty euros of sugar to get a bag of nuts. So suppliers are chosen by what they really cost. But only what
//! is needed is bought: what would fill an order up stands beside it, for the teacher to take or to leave.

use super::super::packs::{Cover, cover, whole_units};
use super::minimum;
use crate::units::{Grams, Money};

/// A supplier.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Source {
    /// Paid once if anything is bought there.
    pub fee: Money,
    /// The goods of an order cost at least so much.
    pub least: Money,
}

/// A pack that can be bought, any number of times.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Offered {
    /// From which supplier, by its position.
    pub source: usize,
    /// What is in it, as it is used.
    pub size: Grams,
    /// What it costs.
    pub price: Money,
    /// It keeps, so that more of it than needed is no waste.
    pub lasts: bool,
}

/// What a line wants.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Wanted {
    /// At least so much.
    pub need: Grams,
    /// Its packs.
    pub offers: Vec<Offered>,
}

/// What to buy.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Choice {
    /// For each line, how many of each of its packs, least orders left aside. All nought where a need cannot be covered.
    pub counts: Vec<Vec<u32>>,
    /// The same with what reaches the least orders, where that is worth it: packs beyond the need, and other packs.
    pub full: Vec<Vec<u32>>,
    /// It is proven that no way costs less than `full`. False only where a limit of the search was reached.
    pub proven: bool,
}

/// How good a way is: fewest suppliers below their least order, then cost, then what is left over.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(super) struct Worth {
    pub unmet: usize,
    pub cost: i128,
    pub over: i128,
}

/// A whole way.
#[derive(Clone, Debug)]
pub(super) struct Way {
    pub worth: Worth,
    pub counts: Vec<Vec<u32>>,
    pub beyond: Vec<Vec<u32>>,
}

/// The smallest unit of money is 1 in here, that of mass a milligram.
pub(super) struct Problem {
    pub fees: Vec<i128>,
    pub least: Vec<i128>,
    pub lines: Vec<Line>,
}

pub(super) struct Line {
    pub need: i64,
    pub packs: Vec<Pack>,
}

#[derive(Clone, Copy)]
pub(super) struct Pack {
    pub source: usize,
    pub size: i64,
    pub price: i64,
    pub lasts: bool,
}

/// Nobody has so many suppliers that this is ever reached.
const MOST_NODES: usize = 100_000;

/// Buys everything that is wanted at the least cost; of equal ways the one with least left over.
pub fn choose(sources: &[Source], wanted: &[Wanted]) -> Choice {
    let problem = Problem::of(sources, wanted);
    let nothing: Vec<Vec<u32>> = wanted.iter().map(|w| vec![0; w.offers.len()]).collect();
    let mut search = Search { problem: &problem, covers: Vec::new(), best: None, nodes: 0, proven: true };
    let gated: Vec<usize> =
        (0..sources.len()).filter(|s| problem.fees[*s] > 0 || problem.least[*s] > 0).collect();
    let mut closed = vec![false; sources.len()];
    let base = (0..problem.lines.len()).map(|line| search.solve(line, &closed)).collect::<Vec<_>>();
    search.decide(&gated, &mut closed, base);
    match search.best {
        Some(way) => Choice { counts: problem.needed(&way), full: way.counts, proven: search.proven },
        None => Choice { counts: nothing.clone(), full: nothing, proven: search.proven },
    }
}

impl Problem {
    /// What of a way is bought where no least order asks for more: each line at its least cost, from the suppliers that it was given to.
    fn needed(&self, way: &Way) -> Vec<Vec<u32>> {
        let lines = self.lines.iter().zip(way.counts.iter().zip(&way.beyond));
        lines
            .map(|(line, (counts, beyond))| {
                let counts: Vec<u32> =
                    counts.iter().zip(beyond).map(|(all, b)| all.saturating_sub(*b)).collect();
                let of =
                    |source: usize| line.packs.iter().zip(&counts).any(|(p, n)| *n > 0 && p.source == source);
                let packs: Vec<(i64, i64)> =
                    line.packs.iter().map(|p| (if of(p.source) { p.size } else { 0 }, p.price)).collect();
                let cost: i64 = packs.iter().zip(&counts).map(|((_, price), n)| price * i64::from(*n)).sum();
                cover(line.need, &packs)
                    .filter(|least| least.cost < cost)
                    .map_or(counts, |least| least.counts)
            })
            .collect()
    }

    fn of(sources: &[Source], wanted: &[Wanted]) -> Problem {
        let money = sources
            .iter()
            .flat_map(|s| [s.fee, s.least])
            .chain(wanted.iter().flat_map(|w| w.offers.iter().map(|o| o.price)));
        let scale = money.map(|m| m.amount().scale()).max().unwrap_or(0);
        let pack = |o: &Offered| Pack {
            source: o.source,
            size: o.size.mg(),
            price: whole_units(o.price, scale),
            lasts: o.lasts,
        };
        Problem {
            fees: sources.iter().map(|s| whole_units(s.fee, scale).into()).collect(),
            least: sources.iter().map(|s| whole_units(s.least, scale).into()).collect(),
            lines: wanted
                .iter()
                .map(|w| Line { need: w.need.mg(), packs: w.offers.iter().map(pack).collect() })
                .collect(),
        }
    }
}

struct Search<'a> {
    problem: &'a Problem,
    /// Every cover of a line that was found; elsewhere named by its position.
    covers: Vec<Cover>,
    best: Option<Way>,
    nodes: usize,
    proven: bool,
}

impl Search<'_> {
    /// The cheapest cover of a line alone with some suppliers closed.
    fn solve(&mut self, line: usize, closed: &[bool]) -> Option<usize> {
        let line = &self.problem.lines[line];
        // A pack of nothing is never bought.
        let packs: Vec<(i64, i64)> =
            line.packs.iter().map(|p| (if closed[p.source] { 0 } else { p.size }, p.price)).collect();
        self.covers.push(cover(line.need, &packs)?);
        Some(self.covers.len() - 1)
    }

    /// Decides for the suppliers in `open` whether anything is bought there; the others are decided. `base` covers each line
    /// at its least; a line without one cannot be had anywhere.
    fn decide(&mut self, open: &[usize], closed: &mut [bool], base: Vec<Option<usize>>) {
        self.nodes += 1;
        if self.nodes > MOST_NODES {
            self.proven = false;
            return;
        }
        let fees: i128 = (0..closed.len())
            .filter(|s| !closed[*s] && !open.contains(s))
            .map(|s| self.problem.fees[s])
            .sum();
        let covers = || base.iter().flatten().map(|c| &self.covers[*c]);
        let bound = Worth {
            unmet: 0,
            cost: fees + covers().map(|c| i128::from(c.cost)).sum::<i128>(),
            over: covers().map(|c| i128::from(c.over)).sum(),
        };
        if self.best.as_ref().is_some_and(|best| bound >= best.worth) {
            return;
        }
        let Some((first, rest)) = open.split_first() else {
            let covers: Vec<Option<&Cover>> = base.iter().map(|c| c.map(|c| &self.covers[c])).collect();
            let best = self.best.as_ref().map(|b| b.worth);
            let (way, proven) = minimum::reach(self.problem, closed, &covers, bound, best);
            self.proven &= proven;
            if let Some(way) = way.filter(|w| best.is_none_or(|b| w.worth < b)) {
                self.best = Some(way);
            }
            return;
        };
        let uses: Vec<usize> = (0..base.len())
            .filter(|line| {
                let packs = &self.problem.lines[*line].packs;
                base[*line].is_some_and(|c| {
                    self.covers[c].counts.iter().zip(packs).any(|(n, p)| *n > 0 && p.source == *first)
                })
            })
            .collect();
        // What the lines by themselves prefer is tried first.
        if !uses.is_empty() {
            self.decide(rest, closed, base.clone());
        }
        closed[*first] = true;
        let mut without = base.clone();
        let possible = uses.iter().all(|line| {
            without[*line] = self.solve(*line, closed);
            without[*line].is_some()
        });
        if possible {
            self.decide(rest, closed, without);
        }
        closed[*first] = false;
        if uses.is_empty() {
            self.decide(rest, closed, base);
        }
    }
}
