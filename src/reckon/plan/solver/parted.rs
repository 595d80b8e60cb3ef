//! The same problem without what several groups share: groups alike then stand for each other.
//!
//! Three stations to a bowl and two to an oven tie the whole class together, so that hardly two stations can change places, and a search
//! goes through each choice of those that come first. Here the bowls are left out, and of what hangs on them only the slots between which
//! each task can be at all. Every plan of the whole problem is one of this, so that what is less than can be here is less than can be at
//! all. Groups that are alike are put in the order in which one of their tasks starts, each with the widest slots that one of them has.

use std::collections::{BTreeMap, BTreeSet};

use super::model::Model;
use super::moment::Moment;
use super::renamed::{Renamed, named_in_apart, named_in_hold, named_in_lag, named_in_link};
use crate::reckon::plan::problem::{
    Choice, Hints, Lag, Point, Problem, Quantity, Reason, ResourceId, Symmetry, Task, TaskId, Term, Way,
    Whose,
};

/// Fewer groups are looked through soon enough as they are.
const LEAST_GROUPS: usize = 4;

/// The problem in which nothing is shared, and what is known to be the most that the aims before the last one may be.
pub(super) struct Parted {
    pub(super) problem: Problem,
    pub(super) most: Vec<i32>,
}

/// Nothing is shared; the aims are those that are given with the most that each may be, and then `asked`. Groups are put in order as
/// `by` says. `None`: it is not known whose tasks are, or there are few groups, or none are alike.
pub(super) fn parted(
    problem: &Problem,
    settled: &[(&Term, i32)],
    asked: &Term,
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
        if let Some(left) = cells.left_of(term) {
            out.objective.push(left);
            most.push(*limit);
        }
    }
    out.objective.push(cells.left_of(asked)?);
    out.symmetries = cells.symmetries(&out, by);
    if out.symmetries.is_empty() {
        return None;
    }
    cells.keep_slots(&mut out, by.slots);
    Some(Parted { problem: out, most })
}

/// The slots between which a task can start and end.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Slots {
    pub(super) start: (i32, i32),
    pub(super) end: (i32, i32),
}

impl Slots {
    /// Those of each task, as far as is known by now.
    pub(super) fn of(model: &Model) -> Vec<Slots> {
        let range = |moment: &Moment| {
            let (least, most) =
                (model.solver.lower_bound(&moment.variable), model.solver.upper_bound(&moment.variable));
            (least + moment.plus, most + moment.plus)
        };
        model
            .start
            .iter()
            .zip(&model.end)
            .map(|(start, end)| Slots { start: range(start), end: range(end) })
            .collect()
    }

    /// The widest of both.
    fn or(self, other: Slots) -> Slots {
        let wider = |a: (i32, i32), b: (i32, i32)| (a.0.min(b.0), a.1.max(b.1));
        Slots { start: wider(self.start, other.start), end: wider(self.end, other.end) }
    }
}

/// By which of their tasks groups alike are put in order.
pub(super) struct OrderBy<'a> {
    /// When each task can be.
    pub(super) slots: &'a [Slots],
    /// It is one that can start before this slot, as late as can be.
    pub(super) until: i32,
}

/// A cell: groups that are joined by what they do together.
pub(super) struct Cells<'a> {
    whose: &'a [Whose],
    /// The cell of each task that is one group's or joins some.
    cell_of: BTreeMap<TaskId, usize>,
    /// Of each cell the tasks as they are in the whole problem.
    pub(super) members: Vec<Vec<TaskId>>,
    /// The numbers of tasks where nothing is shared: those of all first, then cell by cell.
    number: BTreeMap<TaskId, TaskId>,
    /// What is held by the tasks of one cell only.
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
        let tied = problem.lags.iter().map(named_in_lag).chain(problem.links.iter().map(named_in_link));
        let mut together = Together((0..whose.len()).collect());
        let mut first: BTreeMap<usize, usize> = BTreeMap::new();
        for (task, whose) in whose.iter().enumerate() {
            if let Whose::Group(group) = whose {
                together.join(*first.entry(*group).or_insert(task), task);
            }
        }
        let in_cell = |task: &TaskId| matches!(whose[task.0], Whose::Group(_) | Whose::Joining);
        for tasks in tied {
            let joined: Vec<TaskId> = tasks.into_iter().filter(in_cell).collect();
            if joined.iter().any(|task| whose[task.0] == Whose::Joining) {
                joined.windows(2).for_each(|pair| together.join(pair[0].0, pair[1].0));
            }
        }
        let mut places: BTreeMap<usize, usize> = BTreeMap::new();
        let mut cell_of = BTreeMap::new();
        let mut members: Vec<Vec<TaskId>> = Vec::new();
        for task in (0..whose.len()).map(TaskId).filter(in_cell) {
            let cell = *places.entry(together.root(task.0)).or_insert(members.len());
            if cell == members.len() {
                members.push(Vec::new());
            }
            members[cell].push(task);
            cell_of.insert(task, cell);
        }
        let of_all = (0..whose.len()).map(TaskId).filter(|task| whose[task.0] == Whose::All);
        let number = of_all.chain(members.iter().flatten().copied()).zip((0..).map(TaskId)).collect();
        let mut cells = Cells { whose, cell_of, members, number, own: BTreeMap::new() };
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

    /// Whether what names these tasks is kept: it names nothing shared, and ties no two cells together.
    fn keeps(&self, named: &[TaskId]) -> bool {
        let cells: BTreeSet<usize> =
            named.iter().filter_map(|task| self.cell_of.get(task)).copied().collect();
        cells.len() < 2 && named.iter().all(|task| self.whose[task.0] != Whose::Shared)
    }

    /// A task by its number where nothing is shared.
    pub(super) fn task(&self, task: TaskId) -> TaskId {
        // What names a task that has none is never put.
        self.number.get(&task).copied().unwrap_or(task)
    }

    fn kept<C: Renamed>(&self, all: &[C], named: impl Fn(&C) -> Vec<TaskId>) -> Vec<C> {
        let kept = all.iter().filter(|one| self.keeps(&named(one)));
        kept.map(|one| one.renamed(&|task| self.task(task))).collect()
    }

    /// The problem but for its aims and orders.
    fn problem(&self, whole: &Problem) -> Problem {
        let mut tasks: Vec<(TaskId, Task)> =
            self.number.iter().map(|(old, new)| (*new, whole.tasks[old.0].clone())).collect();
        tasks.sort_by_key(|(new, _)| *new);
        Problem {
            horizon: whole.horizon,
            tasks: tasks.into_iter().map(|(_, task)| task).collect(),
            lags: self.kept(&whole.lags, named_in_lag),
            holds: self.kept(&whole.holds, named_in_hold),
            resources: whole.resources.clone(),
            aparts: self.kept(&whole.aparts, named_in_apart),
            links: self.kept(&whole.links, named_in_link),
            symmetries: Vec::new(),
            numberings: Vec::new(),
            alike: whole.alike.clone(),
            whose: Vec::new(),
            objective: Vec::new(),
            reasons: whole.reasons.clone(),
            hints: Hints::default(),
        }
    }

    /// Each task is between the slots between which it can be in the whole problem; of cells alike, in the widest.
    fn keep_slots(&self, out: &mut Problem, known: &[Slots]) {
        let mut slots = vec![Slots::default(); out.tasks.len()];
        for (old, new) in &self.number {
            slots[new.0] = known[old.0];
        }
        for Symmetry { members, .. } in &out.symmetries {
            let mut widest: Vec<Slots> = members[0].iter().map(|task| slots[task.0]).collect();
            for member in members {
                for (widest, task) in widest.iter_mut().zip(member) {
                    *widest = widest.or(slots[task.0]);
                }
            }
            for member in members {
                member.iter().zip(&widest).for_each(|(task, widest)| slots[task.0] = *widest);
            }
        }
        let nought = out.task("", vec![Way::fixed("", 0).within(&[(0, 0)], Reason::Always)]);
        for (task, slots) in (0..).map(TaskId).zip(slots) {
            for (to, (least, most)) in [(Point::start(task), slots.start), (Point::end(task), slots.end)] {
                let (from, reason) = (Point::start(nought), Reason::Always);
                out.lags.push(Lag { from, to, least, most: Some(most), only_if: Vec::new(), reason });
            }
        }
    }

    /// What is left of a term: never more than all of it. What shared tasks add to it is left out, where that is nought or more.
    /// `None`: nothing is left, or what is left could be more.
    fn left_of(&self, term: &Term) -> Option<Term> {
        let mut sum = Vec::new();
        for (factor, quantity) in &term.sum {
            match self.renamed_quantity(quantity) {
                Some(kept) => sum.push((*factor, kept)),
                None if *factor < 0 || matches!(quantity, Quantity::Span { .. }) => return None,
                None => {}
            }
        }
        (!sum.is_empty()).then(|| Term { name: term.name.clone(), sum })
    }

    /// `None`: it is about shared tasks.
    fn renamed_quantity(&self, quantity: &Quantity) -> Option<Quantity> {
        let task = |task: &TaskId| {
            let known = self.whose[task.0] != Whose::Shared;
            known.then(|| self.task(*task))
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
    use super::super::loose::Things;
    use super::super::model::Reasons;
    use super::super::post::{Orders, model_of};
    use super::*;
    use crate::reckon::plan::problem::{Hold, Side};
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

    /// As far as is known without a search.
    fn slots(problem: &Problem) -> Vec<Slots> {
        Slots::of(&model_of(problem, Reasons::Hold, Orders::Any, Things::Counted))
    }

    fn apart(problem: &Problem) -> Parted {
        let by = OrderBy { slots: &slots(problem), until: i32::MAX };
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
    fn pairs_are_alike_whatever_bowls_they_share_and_one_that_is_slower_is_not() {
        let alike = |slow| {
            let parted = apart(&bench(12, &[2], slow));
            parted.problem.symmetries.iter().map(|it| it.members.len()).collect::<Vec<usize>>()
        };
        assert_eq!(alike(None), [6]);
        assert_eq!(alike(Some(0)), [5]);
    }

    #[test]
    fn what_is_shared_is_left_out_and_what_hangs_on_it_is_no_earlier_than_it_can_be() {
        let problem = bench(12, &[2], None);
        let parted = apart(&problem).problem;
        // Four bowls; and the moment that slots are counted from.
        assert_eq!(parted.tasks.len(), problem.tasks.len() - 4 + 1);
        let nought = TaskId(parted.tasks.len() - 1);
        let shapes = (0..).map(TaskId).zip(&parted.tasks).filter(|(_, task)| task.name == "shape");
        for (shape, _) in shapes {
            let start = parted
                .lags
                .iter()
                .find(|lag| (lag.from, lag.to) == (Point::start(nought), Point::start(shape)));
            // A bowl takes a slot.
            assert_eq!(start.map(|lag| lag.least), Some(1));
        }
    }

    #[test]
    fn groups_alike_have_the_widest_slots_that_one_of_them_has() {
        let problem = bench(12, &[2], None);
        let loads: Vec<TaskId> = (0..)
            .map(TaskId)
            .zip(&problem.tasks)
            .filter(|(_, it)| it.name == "load")
            .map(|(task, _)| task)
            .collect();
        let known = |narrow: (i32, i32)| {
            let mut slots = slots(&problem);
            slots[loads[2].0].start = narrow;
            let by = OrderBy { slots: &slots, until: i32::MAX };
            let parted =
                parted(&problem, &[], &problem.objective[0], &by).expect("there are pairs alike").problem;
            let nought = TaskId(parted.tasks.len() - 1);
            let starts = parted
                .lags
                .iter()
                .filter(|lag| lag.from == Point::start(nought) && lag.to.side == Side::Start);
            let of_loads = starts.filter(|lag| parted.tasks[lag.to.task.0].name == "load");
            of_loads.map(|lag| (lag.least, lag.most)).collect::<std::collections::BTreeSet<_>>()
        };
        // One that is known to be later leaves the others as early as they are; one that can be earlier lets all be.
        assert_eq!(known((50, 60)), known((4, 60)));
        assert_eq!(known((0, 190)).into_iter().map(|slots| slots.0).collect::<Vec<_>>(), [0]);
    }

    #[test]
    fn of_an_aim_no_more_is_left_than_all_of_it() {
        let mut problem = bench(12, &[2], None);
        let (bowl, shape) = (TaskId(0), TaskId(4));
        let is = |sum| Term { name: String::new(), sum };
        let left =
            |problem: &Problem, term: &Term| Cells::of(problem).left_of(term).map(|left| left.sum.len());
        let both = is(vec![(1, Quantity::Start(bowl)), (2, Quantity::Start(shape))]);
        assert_eq!(left(&problem, &both), Some(1));
        // What takes something off is not left out.
        let less = is(vec![(-1, Quantity::Start(bowl)), (2, Quantity::Start(shape))]);
        assert_eq!(left(&problem, &less), None);
        assert_eq!(left(&problem, &is(vec![(1, Quantity::Start(bowl))])), None);
        problem.whose[bowl.0] = Whose::All;
        assert_eq!(left(&problem, &less), Some(2));
    }

    #[test]
    fn where_it_is_not_known_whose_tasks_are_nothing_is_parted() {
        let problem = Problem { whose: Vec::new(), ..bench(12, &[2], None) };
        let by = OrderBy { slots: &slots(&problem), until: i32::MAX };
        assert!(parted(&problem, &[], &problem.objective[0], &by).is_none());
    }
}
