//! The least orders of suppliers that are bought from: reached by moving lines, or by packs beyond the need.
//!
//! Every way to cover a line without a needless pack is listed, as far as it may still be part of the best; then lines are joined
//! one by one, keeping for each set of sums spent at the suppliers only the cheapest (dynamic programming over money spent).

use super::super::packs::Cover;
use super::choice::{Line, Problem, Way, Worth};
use std::collections::BTreeMap;

/// Limits that an order of a class never reaches; beyond them the answer is good, but not proven.
const MOST_WAYS: usize = 200_000;
const MOST_STATES: usize = 100_000;
const MOST_TABLE: i128 = 1_000_000;

/// What was spent at each supplier with a least order, up to that.
type Spent = Vec<i128>;

/// One way to cover a line.
struct LineWay {
    spent: Spent,
    cost: i128,
    over: i128,
    counts: Vec<u32>,
}

/// The least that was paid for some sums spent, and how: the way of the last line and where it came from.
#[derive(Clone, Copy)]
struct State {
    cost: i128,
    over: i128,
    step: usize,
}

/// The best way for lines whose cheapest covers are `base`, and whether that is proven. `bound` is what those and the fees come
/// to; a way that is no better than `best` need not be found.
pub(super) fn reach(
    problem: &Problem,
    closed: &[bool],
    base: &[Option<&Cover>],
    bound: Worth,
    best: Option<Worth>,
) -> (Option<Way>, bool) {
    let asking: Vec<usize> = (0..closed.len()).filter(|s| !closed[*s] && problem.least[*s] > 0).collect();
    let mut reach = Reach { problem, closed, asking, proven: true };
    let counts: Vec<Vec<u32>> = base
        .iter()
        .zip(&problem.lines)
        .map(|(cover, line)| cover.map_or_else(|| vec![0; line.packs.len()], |c| c.counts.clone()))
        .collect();
    let goods = reach.goods(&counts);
    if reach.short(&goods).all(|s| s == 0) {
        let beyond = problem.lines.iter().map(|l| vec![0; l.packs.len()]).collect();
        return (Some(Way { worth: bound, counts, beyond }), true);
    }
    // The cheapest covers, topped up, are a way: nothing dearer need be looked at.
    let plain = reach.topped(&goods, &reach.tables(&goods));
    let plain = (plain.unmet == 0).then_some(plain.cost);
    let known = best.filter(|b| b.unmet == 0).map(|b| b.cost - bound.cost);
    let slack = match (plain, known) {
        (Some(a), Some(b)) => Some(a.min(b)),
        (a, b) => a.or(b),
    };
    let way = reach.join(base, bound, slack);
    (way, reach.proven)
}

struct Reach<'a> {
    problem: &'a Problem,
    closed: &'a [bool],
    /// The suppliers with a least order.
    asking: Vec<usize>,
    proven: bool,
}

/// For each sum that is missing, the cheapest packs beyond the need that cost at least as much: cost, weight, line and pack of the last.
type Table = Vec<(i128, i128, (usize, usize))>;

impl Reach<'_> {
    fn goods(&self, counts: &[Vec<u32>]) -> Spent {
        let mut goods = vec![0; self.asking.len()];
        for (line, counts) in self.problem.lines.iter().zip(counts) {
            for (spent, more) in goods.iter_mut().zip(self.spent(line, counts)) {
                *spent += more;
            }
        }
        self.capped(goods)
    }

    fn spent(&self, line: &Line, counts: &[u32]) -> Spent {
        let at = |source: usize| {
            let own = line.packs.iter().zip(counts).filter(|(p, _)| p.source == source);
            own.map(|(p, n)| i128::from(p.price) * i128::from(*n)).sum()
        };
        self.asking.iter().map(|s| at(*s)).collect()
    }

    fn capped(&self, spent: Spent) -> Spent {
        spent.into_iter().zip(&self.asking).map(|(n, s)| n.min(self.problem.least[*s])).collect()
    }

    /// What is missing at each supplier.
    fn short(&self, spent: &Spent) -> impl Iterator<Item = i128> {
        spent.iter().zip(&self.asking).map(|(n, s)| (self.problem.least[*s] - n).max(0))
    }

    /// For each supplier a table up to what is missing there.
    fn tables(&self, spent: &Spent) -> Vec<Option<Table>> {
        let short: Vec<i128> = self.short(spent).collect();
        self.asking.iter().zip(short).map(|(source, short)| self.table(*source, short)).collect()
    }

    /// `None` when there is nothing to top up with, or too much money to look at.
    fn table(&self, source: usize, short: i128) -> Option<Table> {
        // Of packs at one price the lightest leaves least over.
        let mut packs: BTreeMap<i128, (i128, (usize, usize))> = BTreeMap::new();
        for (l, line) in self.problem.lines.iter().enumerate().filter(|(_, l)| l.need > 0) {
            for (p, pack) in line.packs.iter().enumerate() {
                if pack.source == source && pack.lasts && pack.size > 0 && pack.price > 0 {
                    let lightest = packs.entry(pack.price.into()).or_insert((pack.size.into(), (l, p)));
                    *lightest = (*lightest).min((pack.size.into(), (l, p)));
                }
            }
        }
        if packs.is_empty() || short > MOST_TABLE {
            return None;
        }
        let mut table: Table = vec![(0, 0, (0, 0))];
        for missing in 1..=short {
            let before = |price: i128| {
                let left = usize::try_from((missing - price).max(0)).unwrap_or(0);
                (table[left].0, table[left].1)
            };
            let found = packs
                .iter()
                .map(|(price, (size, at))| (price + before(*price).0, size + before(*price).1, *at))
                .min()?;
            table.push(found);
        }
        Some(table)
    }

    /// What topping up costs, where it is worth it, and at how many suppliers it is not.
    fn topped(&self, spent: &Spent, tables: &[Option<Table>]) -> Worth {
        let mut worth = Worth { unmet: 0, cost: 0, over: 0 };
        for ((short, spent), table) in self.short(spent).zip(spent).zip(tables) {
            let entry = table.as_ref().and_then(|t| t.get(usize::try_from(short).ok()?));
            match entry {
                _ if short == 0 => {}
                Some((cost, over, _)) if cost <= spent => {
                    worth.cost += cost;
                    worth.over += over;
                }
                _ => worth.unmet += 1,
            }
        }
        worth
    }

    /// Joins the lines; `slack` is how much dearer than the cheapest covers a way may be.
    fn join(&mut self, base: &[Option<&Cover>], bound: Worth, slack: Option<i128>) -> Option<Way> {
        let mut ways: Vec<Vec<LineWay>> = Vec::new();
        let mut budget = MOST_WAYS;
        for (line, cover) in self.problem.lines.iter().zip(base) {
            ways.push(self.ways(line, *cover, slack, &mut budget));
        }
        let least = |ways: &[LineWay]| ways.iter().map(|w| w.cost).min().unwrap_or(0);
        let mut to_come: i128 = ways.iter().map(|w| least(w)).sum();
        let most = slack.map(|slack| to_come + slack);
        // (the step before, the way of this line)
        let mut steps: Vec<(usize, usize)> = vec![(0, 0)];
        let mut states: BTreeMap<Spent, State> =
            BTreeMap::from([(vec![0; self.asking.len()], State { cost: 0, over: 0, step: 0 })]);
        for line in &ways {
            to_come -= least(line);
            let mut next: BTreeMap<Spent, State> = BTreeMap::new();
            for (spent, state) in &states {
                for (w, way) in line.iter().enumerate() {
                    let (cost, over) = (state.cost + way.cost, state.over + way.over);
                    if most.is_some_and(|most| cost + to_come > most) {
                        continue;
                    }
                    let sum = self.capped(spent.iter().zip(&way.spent).map(|(a, b)| a + b).collect());
                    let known = next.get(&sum);
                    if known.is_none_or(|k| (cost, over) < (k.cost, k.over)) {
                        steps.push((state.step, w));
                        next.insert(sum, State { cost, over, step: steps.len() - 1 });
                    }
                }
            }
            if next.len() > MOST_STATES {
                self.proven = false;
                let mut cheapest: Vec<_> = next.into_iter().collect();
                cheapest.sort_by_key(|(_, s)| (s.cost, s.over, s.step));
                cheapest.truncate(MOST_STATES);
                next = cheapest.into_iter().collect();
            }
            states = next;
        }
        let poorest: Spent = (0..self.asking.len())
            .map(|at| states.keys().map(|spent| spent[at]).min().unwrap_or(0))
            .collect();
        let tables = self.tables(&poorest);
        let fees = bound.cost - base.iter().flatten().map(|c| i128::from(c.cost)).sum::<i128>();
        let (worth, spent, state) = states
            .iter()
            .map(|(spent, state)| {
                let topped = self.topped(spent, &tables);
                let worth = Worth {
                    unmet: topped.unmet,
                    cost: state.cost + topped.cost + fees,
                    over: state.over + topped.over,
                };
                (worth, spent, state)
            })
            .min_by_key(|(worth, _, state)| (*worth, state.step))?;
        let mut counts = Vec::new();
        let mut step = state.step;
        for line in ways.iter().rev() {
            let (before, way) = steps[step];
            counts.push(line[way].counts.clone());
            step = before;
        }
        counts.reverse();
        let beyond = self.beyond(spent, &tables);
        for (counts, beyond) in counts.iter_mut().zip(&beyond) {
            for (count, beyond) in counts.iter_mut().zip(beyond) {
                *count += beyond;
            }
        }
        Some(Way { worth, counts, beyond })
    }

    /// The packs that top up.
    fn beyond(&self, spent: &Spent, tables: &[Option<Table>]) -> Vec<Vec<u32>> {
        let mut beyond: Vec<Vec<u32>> = self.problem.lines.iter().map(|l| vec![0; l.packs.len()]).collect();
        for ((short, spent), table) in self.short(spent).zip(spent).zip(tables) {
            let Some(table) = table else { continue };
            let mut left = usize::try_from(short).unwrap_or(0);
            if table.get(left).is_none_or(|t| t.0 > *spent) {
                continue;
            }
            while left > 0 {
                let (line, pack) = table[left].2;
                beyond[line][pack] += 1;
                let price = usize::try_from(self.problem.lines[line].packs[pack].price).unwrap_or(left);
                left = left.saturating_sub(price.max(1));
            }
        }
        beyond
    }

    /// Every way to cover a line in which no pack is needless, that may still be part of the best.
    fn ways(
        &mut self,
        line: &Line,
        base: Option<&Cover>,
        slack: Option<i128>,
        budget: &mut usize,
    ) -> Vec<LineWay> {
        let Some(base) = base else {
            let counts = vec![0; line.packs.len()];
            return vec![LineWay { spent: vec![0; self.asking.len()], cost: 0, over: 0, counts }];
        };
        let way = |counts: Vec<u32>, cost: i128, over: i128| LineWay {
            spent: self.capped(self.spent(line, &counts)),
            cost,
            over,
            counts,
        };
        let cheapest = way(base.counts.clone(), base.cost.into(), base.over.into());
        let asked = |p: &super::choice::Pack| self.asking.contains(&p.source);
        if line.need <= 0 || !line.packs.iter().any(asked) {
            return vec![cheapest];
        }
        let mut order: Vec<usize> = (0..line.packs.len())
            .filter(|p| line.packs[*p].size > 0 && !self.closed[line.packs[*p].source])
            .collect();
        // The largest first: the pack that covers the rest is then the smallest, and none can be left away.
        order.sort_by_key(|p| (-line.packs[*p].size, *p));
        let mut list = Listing {
            line,
            order: &order,
            most: slack.map(|slack| i128::from(base.cost) + slack),
            counts: vec![0; line.packs.len()],
            found: Vec::new(),
            budget,
        };
        list.go(0, line.need.into(), 0);
        let exhausted = *list.budget == 0;
        let mut by_spent: BTreeMap<Spent, LineWay> = BTreeMap::new();
        let found = std::mem::take(&mut list.found);
        for candidate in std::iter::once(cheapest).chain(found.into_iter().map(|(n, c, o)| way(n, c, o))) {
            let known = by_spent.get(&candidate.spent);
            if known.is_none_or(|k| (candidate.cost, candidate.over) < (k.cost, k.over)) {
                by_spent.insert(candidate.spent.clone(), candidate);
            }
        }
        if exhausted {
            self.proven = false;
        }
        // One that spends no more anywhere and costs no less is never needed.
        let all: Vec<LineWay> = by_spent.into_values().collect();
        let needed: Vec<bool> = all
            .iter()
            .map(|a| {
                !all.iter().any(|b| {
                    a.spent != b.spent
                        && (b.cost, b.over) <= (a.cost, a.over)
                        && b.spent.iter().zip(&a.spent).all(|(b, a)| b >= a)
                })
            })
            .collect();
        all.into_iter().zip(needed).filter(|(_, needed)| *needed).map(|(way, _)| way).collect()
    }
}

/// The ways to cover one line.
struct Listing<'a> {
    line: &'a Line,
    order: &'a [usize],
    most: Option<i128>,
    counts: Vec<u32>,
    found: Vec<(Vec<u32>, i128, i128)>,
    budget: &'a mut usize,
}

impl Listing<'_> {
    fn go(&mut self, at: usize, left: i128, cost: i128) {
        let Some(p) = self.order.get(at).copied() else { return };
        if self.too_dear(at, left, cost) || *self.budget == 0 {
            return;
        }
        *self.budget -= 1;
        let pack = self.line.packs[p];
        let (size, price) = (i128::from(pack.size), i128::from(pack.price));
        let enough = (left + size - 1) / size;
        for count in 0..=enough {
            let spent = cost + price * count;
            if self.most.is_some_and(|most| spent > most) {
                break;
            }
            self.counts[p] = u32::try_from(count).unwrap_or(u32::MAX);
            if count == enough {
                self.found.push((self.counts.clone(), spent, count * size - left));
            } else {
                self.go(at + 1, left - count * size, spent);
            }
        }
        self.counts[p] = 0;
    }

    /// Whether what is left cannot be had within `most` from the packs that are still to come.
    fn too_dear(&self, at: usize, left: i128, cost: i128) -> bool {
        let Some(most) = self.most else { return false };
        self.order[at..].iter().all(|p| {
            let pack = self.line.packs[*p];
            (most - cost) * i128::from(pack.size) < left * i128::from(pack.price)
        })
    }
}
