//! The same problem with each group given its own of what several groups share: groups alike then stand for each other.
//!
//! Three stations to a bowl and two to an oven tie the whole class together, so that hardly two stations can change places, and a search
//! goes through each choice of those that come first. Here each group has a copy of the bowl, and what only the shared ones took of
//! things that all use is left out. Every plan of the whole problem is one of this (with all copies at once), so that what is less than
//! can be here is less than can be at all. And groups that are alike are put in the order in which one of their tasks starts.

use std::collections::{BTreeMap, BTreeSet};

use super::renamed::{Renamed, named_in_apart, named_in_hold, named_in_lag, named_in_link};
use crate::reckon::plan::problem::{
    Choice, Hints, Link, Point, Problem, Quantity, Reason, ResourceId, Task, TaskId, Term, Whose,
};

/// Fewer groups are looked through soon enough as they are.
const LEAST_GROUPS: usize = 4;

/// The problem in which nothing is shared, and what is known to be the most that the aims before the last one may be.
pub(super) struct Parted {
    pub(super) problem: Problem,
    pub(super) most: Vec<i32>,
}

/// Nothing is shared; the aims are those that are given with the most that each may be, and then `part`. Groups are put in order as
/// `by` says. `None`: it is not known whose tasks are, or there are few groups, or none are alike.
pub(super) fn parted(
    problem: &Problem,
    settled: &[(&Term, i32)],
    part: &Term,
    by: &OrderBy,
) -> Option<Parted> {
    if problem.whose.len() != problem.tasks.len() {
        return None;
    }
    let cells = Cells::of(problem);
    if cells.members.len() < LEAST_GROUPS {
        return None;
    }
    let mut out = cells.problem(problem);
    let mut most = Vec::new();
    for (term, limit) in settled {
        if let Some(left) = cells.at_most(term, *limit, &mut out) {
            out.objective.push(left);
            most.push(*limit);
        }
    }
    out.objective.push(cells.renamed_term(part)?);
    out.symmetries = cells.symmetries(&out, by);
    (!out.symmetries.is_empty()).then_some(Parted { problem: out, most })
}

/// By which of their tasks groups alike are put in order.
pub(super) struct OrderBy<'a> {
    /// The slot in which each task can start at the earliest.
    pub(super) earliest: &'a [i32],
    /// It is one that can start before this slot, as late as can be.
    pub(super) until: i32,
}

/// A cell: groups that are joined, with copies of what they share with others.
pub(super) struct Cells<'a> {
    whose: &'a [Whose],
    /// The cell of each task that is one group's or joins some.
    cell_of: BTreeMap<TaskId, usize>,
    /// The cells in which each shared task has a copy.
    copied_in: BTreeMap<TaskId, BTreeSet<usize>>,
    /// Of each cell the tasks as they are in the whole problem, the shared ones last.
    pub(super) members: Vec<Vec<TaskId>>,
    /// Their numbers where nothing is shared; without a cell those of all.
    number: BTreeMap<(Option<usize>, TaskId), TaskId>,
    /// What is held by the tasks of one cell only, whoever else shares it.
    pub(super) own: BTreeMap<ResourceId, usize>,
}

/// Puts together what belongs together.
struct Together(Vec<usize>);

impl Together {
    fn root(&mut self, mut one: usize) -> usize {
        while self.0[one] != one {
            self.0[one] = self.0[self.0[one]];
            one = self.0[one];
        }
        one
    }

    fn join(&mut self, one: usize, other: usize) {
        let (one, other) = (self.root(one), self.root(other));
        self.0[one.max(other)] = one.min(other);
    }
}

impl<'a> Cells<'a> {
    fn of(problem: &'a Problem) -> Cells<'a> {
        let whose = problem.whose.as_slice();
        let tied: Vec<Vec<TaskId>> =
            problem.lags.iter().map(named_in_lag).chain(problem.links.iter().map(named_in_link)).collect();
        let mut together = Together((0..whose.len()).collect());
        let mut first: BTreeMap<usize, usize> = BTreeMap::new();
        for (task, whose) in whose.iter().enumerate() {
            if let Whose::Group(group) = whose {
                together.join(*first.entry(*group).or_insert(task), task);
            }
        }
        let is = |task: &TaskId, sort: &[Whose]| sort.contains(&whose[task.0]);
        let in_cell = |task: &TaskId| matches!(whose[task.0], Whose::Group(_) | Whose::Joining);
        for tasks in &tied {
            let shared: Vec<&TaskId> = tasks.iter().filter(|task| is(task, &[Whose::Shared])).collect();
            let joined: Vec<&TaskId> = tasks.iter().filter(|task| in_cell(task)).collect();
            let joins = joined.iter().any(|task| is(task, &[Whose::Joining]));
            for all in [Some(shared), joins.then_some(joined)].into_iter().flatten() {
                all.windows(2).for_each(|pair| together.join(pair[0].0, pair[1].0));
            }
        }
        let mut places: BTreeMap<usize, usize> = BTreeMap::new();
        let mut cells = Cells {
            whose,
            cell_of: BTreeMap::new(),
            copied_in: BTreeMap::new(),
            members: Vec::new(),
            number: BTreeMap::new(),
            own: BTreeMap::new(),
        };
        let tasks = || (0..whose.len()).map(TaskId);
        for task in tasks().filter(in_cell) {
            let next = places.len();
            let cell = *places.entry(together.root(task.0)).or_insert(next);
            cells.cell_of.insert(task, cell);
        }
        // Where one of some shared tasks is used, all that hang together with it are.
        let mut used: BTreeMap<usize, BTreeSet<usize>> = BTreeMap::new();
        for tasks in &tied {
            for shared in tasks.iter().filter(|task| is(task, &[Whose::Shared])) {
                let by = tasks.iter().filter_map(|task| cells.cell_of.get(task));
                used.entry(together.root(shared.0)).or_default().extend(by);
            }
        }
        for task in tasks().filter(|task| is(task, &[Whose::Shared])) {
            let by = used.get(&together.root(task.0)).cloned().unwrap_or_default();
            cells.copied_in.insert(task, by);
        }
        cells.members = vec![Vec::new(); places.len()];
        for (task, cell) in &cells.cell_of {
            cells.members[*cell].push(*task);
        }
        for (task, by) in &cells.copied_in {
            by.iter().for_each(|cell| cells.members[*cell].push(*task));
        }
        let of_all = tasks().filter(|task| is(task, &[Whose::All])).map(|task| (None, task));
        let members = cells.members.iter().enumerate();
        let of_cells = members.flat_map(|(cell, tasks)| tasks.iter().map(move |task| (Some(cell), *task)));
        cells.number = of_all.chain(of_cells).zip((0..).map(TaskId)).collect();
        cells.own = cells.own_resources(problem);
        cells
    }

    /// What is held by the tasks of one cell, and else by shared ones and those of all.
    fn own_resources(&self, problem: &Problem) -> BTreeMap<ResourceId, usize> {
        let mut by: BTreeMap<ResourceId, BTreeSet<usize>> = BTreeMap::new();
        for hold in &problem.holds {
            let cells = named_in_hold(hold).into_iter().filter_map(|task| self.cell_of.get(&task));
            by.entry(hold.resource).or_default().extend(cells);
        }
        let alone = |(id, cells): (ResourceId, BTreeSet<usize>)| {
            cells.first().copied().filter(|_| cells.len() == 1).map(|cell| (id, cell))
        };
        by.into_iter().filter_map(alone).collect()
    }

    /// The cells in which something stands that names these tasks; `None` alone: it is about tasks of all. None at all: it ties cells
    /// together, and is left out.
    fn places(&self, named: &[TaskId]) -> Vec<Option<usize>> {
        let mut left: Option<BTreeSet<usize>> = None;
        for task in named {
            let cells = match self.whose[task.0] {
                Whose::All => continue,
                Whose::Shared => self.copied_in.get(task).cloned().unwrap_or_default(),
                Whose::Group(_) | Whose::Joining => self.cell_of.get(task).copied().into_iter().collect(),
            };
            left = Some(match left {
                None => cells,
                Some(left) => left.intersection(&cells).copied().collect(),
            });
        }
        left.map_or_else(|| vec![None], |cells| cells.into_iter().map(Some).collect())
    }

    /// A task of a cell or of all by its number where nothing is shared.
    pub(super) fn task(&self, cell: Option<usize>, task: TaskId) -> TaskId {
        let whole = self.number.get(&(None, task));
        // What names tasks is only ever put where all of them are.
        whole.or_else(|| self.number.get(&(cell, task))).copied().unwrap_or(task)
    }

    fn copies<C: Renamed>(&self, all: &[C], named: impl Fn(&C) -> Vec<TaskId>) -> Vec<C> {
        let copies = |one: &C| {
            let places = self.places(&named(one));
            places.into_iter().map(|cell| one.renamed(&|task| self.task(cell, task))).collect::<Vec<C>>()
        };
        all.iter().flat_map(copies).collect()
    }

    /// The problem but for its aims and orders.
    fn problem(&self, whole: &Problem) -> Problem {
        let mut tasks: Vec<(TaskId, Task)> =
            self.number.iter().map(|((_, old), new)| (*new, whole.tasks[old.0].clone())).collect();
        tasks.sort_by_key(|(new, _)| *new);
        let mut holds = Vec::new();
        for hold in &whole.holds {
            let named = named_in_hold(hold);
            let shared = named.iter().any(|task| self.whose[task.0] == Whose::Shared);
            for cell in self.places(&named) {
                // A copy takes what is its cell's alone: of other things it would take too much.
                if !shared || cell.is_some_and(|cell| self.own.get(&hold.resource) == Some(&cell)) {
                    holds.push(hold.renamed(&|task| self.task(cell, task)));
                }
            }
        }
        Problem {
            horizon: whole.horizon,
            tasks: tasks.into_iter().map(|(_, task)| task).collect(),
            lags: self.copies(&whole.lags, named_in_lag),
            holds,
            resources: whole.resources.clone(),
            aparts: self.copies(&whole.aparts, named_in_apart),
            links: self.copies(&whole.links, named_in_link),
            symmetries: Vec::new(),
            numberings: Vec::new(),
            alike: whole.alike.clone(),
            whose: Vec::new(),
            objective: Vec::new(),
            reasons: whole.reasons.clone(),
            hints: Hints::default(),
        }
    }

    /// What is left of an aim that is at most so much: what shared tasks add to it is left out where it is nought or more; where the aim
    /// is nought, that it is nought is said of each copy. `None`: nothing is left.
    fn at_most(&self, term: &Term, limit: i32, out: &mut Problem) -> Option<Term> {
        if term.sum.iter().any(|(factor, it)| *factor < 0 || matches!(it, Quantity::Span { .. })) {
            return None;
        }
        let mut sum = Vec::new();
        for (factor, quantity) in &term.sum {
            match (self.renamed_quantity(quantity), quantity) {
                (Some(kept), _) => sum.push((*factor, kept)),
                (None, Quantity::Chosen(choice)) if limit == 0 && *factor > 0 => {
                    for cell in self.places(&[choice.task]) {
                        let all = vec![Choice { task: self.task(cell, choice.task), ..*choice }];
                        out.links.push(Link::Forbids { all, reason: Reason::Always });
                    }
                }
                (None, Quantity::Latest(_) | Quantity::Earliest(_)) => return None,
                (None, _) => {}
            }
        }
        (!sum.is_empty()).then(|| Term { name: term.name.clone(), sum })
    }

    fn renamed_term(&self, term: &Term) -> Option<Term> {
        let renamed =
            |(factor, quantity): &(i32, Quantity)| Some((*factor, self.renamed_quantity(quantity)?));
        let sum = term.sum.iter().map(renamed).collect::<Option<Vec<_>>>()?;
        Some(Term { name: term.name.clone(), sum })
    }

    /// `None`: it is about shared tasks.
    fn renamed_quantity(&self, quantity: &Quantity) -> Option<Quantity> {
        let task = |task: &TaskId| {
            let known = self.whose[task.0] != Whose::Shared;
            known.then(|| self.task(self.cell_of.get(task).copied(), *task))
        };
        let point = |at: &Point| task(&at.task).map(|task| Point { task, ..*at });
        let points = |all: &[Point]| all.iter().map(point).collect::<Option<Vec<Point>>>();
        let choice = |it: &Choice| task(&it.task).map(|task| Choice { task, ..*it });
        Some(match quantity {
            Quantity::Start(it) => Quantity::Start(task(it)?),
            Quantity::End(it) => Quantity::End(task(it)?),
            Quantity::Duration(it) => Quantity::Duration(task(it)?),
            Quantity::Chosen(it) => Quantity::Chosen(choice(it)?),
            Quantity::Latest(all) => Quantity::Latest(points(all)?),
            Quantity::Earliest(all) => Quantity::Earliest(points(all)?),
            Quantity::Excess { point: at, above } => Quantity::Excess { point: point(at)?, above: *above },
            Quantity::Moved { point: at, from } => Quantity::Moved { point: point(at)?, from: *from },
            Quantity::Span { from, to, only_if } => Quantity::Span {
                from: point(from)?,
                to: point(to)?,
                only_if: only_if.iter().map(choice).collect::<Option<Vec<Choice>>>()?,
            },
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reckon::plan::problem::{Hold, Way};
    use crate::reckon::plan::schedule::Budget;
    use crate::reckon::plan::solver::solve;

    /// Stations that each shape one thing of each of some sorts: three stations share the bowl that it comes from and two the load that it
    /// is baked in, in one of three ovens. Bowls are mixed one at a time. The last of the loads is to be through soon.
    fn bench(stations: usize, shapes: &[i32], slow: Option<usize>) -> Problem {
        let mut problem = Problem::new(200);
        let ovens: Vec<ResourceId> =
            (0..3).map(|n| problem.resource(&format!("oven {n}"), 1, Reason::Always)).collect();
        let mixer = problem.resource("mixer", 1, Reason::Always);
        let mut whose = Vec::new();
        let mut ends = Vec::new();
        let hands: Vec<ResourceId> =
            (0..stations).map(|n| problem.resource(&format!("hands {n}"), 1, Reason::Always)).collect();
        for long in shapes {
            let bowls: Vec<TaskId> =
                (0..stations.div_ceil(3)).map(|_| problem.task("bowl", vec![Way::fixed("", 1)])).collect();
            whose.extend(bowls.iter().map(|_| Whose::Shared));
            bowls.iter().for_each(|bowl| problem.uses(*bowl, mixer, 1));
            let shaped: Vec<TaskId> = (0..stations)
                .map(|n| {
                    let longer = i32::from(slow == Some(n));
                    let task = problem.task("shape", vec![Way::fixed("", *long + longer)]);
                    problem.uses(task, hands[n], 1);
                    problem.uses(bowls[n / 3], hands[n], 1);
                    problem.after(Point::end(bowls[n / 3]), Point::start(task), 0);
                    task
                })
                .collect();
            whose.extend((0..stations).map(Whose::Group));
            for pair in shaped.chunks(2) {
                let load = problem.task("load", ovens.iter().map(|_| Way::fixed("", 3)).collect());
                whose.push(Whose::Joining);
                for (way, oven) in ovens.iter().enumerate() {
                    problem.holds.push(Hold {
                        resource: *oven,
                        amount: 1,
                        from: Point::start(load),
                        to: Point::end(load),
                        only_if: vec![Choice { task: load, way }],
                        reason: Reason::Always,
                    });
                }
                pair.iter().for_each(|one| problem.after(Point::end(*one), Point::start(load), 0));
                ends.push(Point::end(load));
            }
        }
        problem.alike = vec![ovens];
        problem.whose = whose;
        problem.objective = vec![Term { name: "through".to_owned(), sum: vec![(1, Quantity::Latest(ends))] }];
        problem
    }

    fn by(problem: &Problem) -> Vec<i32> {
        vec![0; problem.tasks.len()]
    }

    fn apart(problem: &Problem) -> Parted {
        let earliest = by(problem);
        let by = OrderBy { earliest: &earliest, until: i32::MAX };
        parted(problem, &[], &problem.objective[0], &by).expect("there are pairs alike")
    }

    fn least(problem: &Problem) -> (i32, bool) {
        let outcome = solve(problem, &Budget::default());
        (outcome.terms[0].value, outcome.terms[0].proven)
    }

    #[test]
    fn what_is_less_than_can_be_apart_is_less_than_can_be() {
        for (stations, shapes) in [(8, vec![2]), (8, vec![1, 3]), (10, vec![2, 2]), (9, vec![4, 1])] {
            for slow in [None, Some(0), Some(3)] {
                let problem = bench(stations, &shapes, slow);
                let (whole, proven) = least(&problem);
                let (alone, proven_alone) = least(&apart(&problem).problem);
                assert!(proven && proven_alone, "{stations} {shapes:?} {slow:?}");
                assert!(alone <= whole, "{stations} {shapes:?} {slow:?}: {alone} {whole}");
            }
        }
    }

    #[test]
    fn pairs_that_share_the_same_bowls_are_alike_and_one_that_is_slower_is_not() {
        let alike = |slow| {
            let parted = apart(&bench(12, &[2], slow));
            let mut sizes: Vec<usize> = parted.problem.symmetries.iter().map(|it| it.members.len()).collect();
            sizes.sort_unstable();
            sizes
        };
        // Of six pairs two have their own bowl's other stations on the one side, two on the other, and two stand between bowls.
        assert_eq!(alike(None), [2, 4]);
        assert_eq!(alike(Some(0)), [2, 3]);
    }

    #[test]
    fn what_is_shared_is_there_for_each_and_takes_only_what_is_its_own() {
        let problem = bench(12, &[2], None);
        let parted = apart(&problem).problem;
        // Four bowls, two of which each pair between two bowls has.
        assert_eq!(parted.tasks.len(), problem.tasks.len() + 4);
        let mixer = ResourceId(3);
        assert!(parted.holds.iter().all(|hold| hold.resource != mixer));
        assert_eq!(problem.holds.iter().filter(|hold| hold.resource == mixer).count(), 4);
    }

    #[test]
    fn an_aim_that_is_nought_is_nought_for_each_copy() {
        let mut problem = bench(12, &[2], None);
        problem.tasks[0].ways.push(Way::fixed("ahead", 0));
        let ahead = Choice { task: TaskId(0), way: 1 };
        let term = Term { name: "ahead".to_owned(), sum: vec![(1, Quantity::Chosen(ahead))] };
        let earliest = by(&problem);
        let by = OrderBy { earliest: &earliest, until: i32::MAX };
        let forbidden = |limit| {
            let parted = parted(&problem, &[(&term, limit)], &problem.objective[0], &by).expect("pairs");
            parted.problem.links.iter().filter(|link| matches!(link, Link::Forbids { .. })).count()
        };
        // The first bowl is the first pair's and half of the second's.
        assert_eq!((forbidden(0), forbidden(1)), (2, 0));
    }

    #[test]
    fn where_it_is_not_known_whose_tasks_are_nothing_is_parted() {
        let problem = Problem { whose: Vec::new(), ..bench(12, &[2], None) };
        let earliest = by(&problem);
        let by = OrderBy { earliest: &earliest, until: i32::MAX };
        assert!(parted(&problem, &[], &problem.objective[0], &by).is_none());
    }
}
