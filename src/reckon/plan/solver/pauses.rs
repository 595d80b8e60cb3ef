//! What things alike need between two uses, where they are counted only.
//!
//! An oven that bakes at one heat in one slot bakes nothing at another heat in the next one, whichever oven it is. So ovens in use for one
//! heat, and those in use for all other heats so many slots later as the change takes, are never more than there are altogether.

use std::collections::{BTreeMap, BTreeSet};

use crate::reckon::plan::problem::{Apart, Choice, Hold, Point, Problem, Resource, ResourceId, TaskId};

/// With more sorts of uses than these nothing is counted: each costs as much as the things themselves.
const MOST_SORTS: usize = 6;

/// Adds to a problem in which things alike are counted what the whole one says of two uses of the same thing. There the first of some
/// things alike stands for all.
pub(super) fn count_pauses(whole: &Problem, counted: &mut Problem) {
    for alike in counted.alike.clone() {
        let Some(first) = alike.first() else { continue };
        let pauses = Pauses::of(whole, &alike);
        let sorts = pauses.sorts();
        // What is in use otherwise than by its own choice is of no sort, and no pause before it is known.
        let of_a_sort = |hold: &Hold| sorts.iter().any(|sort| sort.contains(&hold.from.task));
        if sorts.len() > MOST_SORTS || !counted.holds.iter().filter(|it| it.resource == *first).all(of_a_sort)
        {
            continue;
        }
        let held: Vec<Hold> = counted.holds.iter().filter(|hold| hold.resource == *first).cloned().collect();
        let capacity = alike.iter().map(|id| whole.resources[id.0].capacity).fold(0, i32::saturating_add);
        let Resource { name, reason, .. } = &whole.resources[first.0];
        for sort in &sorts {
            let others: BTreeSet<TaskId> =
                sorts.iter().flatten().filter(|task| !sort.contains(task)).copied().collect();
            // The sort before the others, and after them.
            for later in [pauses.least(sort, &others), -pauses.least(&others, sort)] {
                // What may never come first needs no pause that could be counted.
                if later == 0 || later.abs() >= FAR {
                    continue;
                }
                let resource = ResourceId(counted.resources.len());
                let (name, reason) = (name.clone(), *reason);
                counted.resources.push(Resource { name, capacity, calendar: Vec::new(), reason });
                counted.holds.extend(held.iter().map(|hold| {
                    let plus = if sort.contains(&hold.from.task) { later } else { 0 };
                    Hold { resource, from: hold.from.later(plus), to: hold.to.later(plus), ..hold.clone() }
                }));
            }
        }
    }
}

/// How many slots there are at least between two tasks that use the same of some things alike, the first one first.
struct Pauses {
    tasks: Vec<TaskId>,
    between: BTreeMap<(TaskId, TaskId), i32>,
}

impl Pauses {
    fn of(whole: &Problem, alike: &[ResourceId]) -> Pauses {
        let mut used: BTreeMap<Choice, ResourceId> = BTreeMap::new();
        let mut spans: BTreeMap<TaskId, (Point, Point)> = BTreeMap::new();
        for hold in whole.holds.iter().filter(|hold| alike.contains(&hold.resource)) {
            let task = hold.from.task;
            let ways: Vec<Choice> = match hold.only_if.as_slice() {
                // In each of its ways, where it has no other thing.
                [] => (0..whole.tasks[task.0].ways.len()).map(|way| Choice { task, way }).collect(),
                [only] => vec![*only],
                _ => continue,
            };
            used.extend(ways.into_iter().map(|choice| (choice, hold.resource)));
            spans.insert(task, (hold.from, hold.to));
        }
        let mut known: BTreeMap<(Choice, Choice), i32> = BTreeMap::new();
        let mut note = |first: Choice, then: Choice, gap: Option<i32>| {
            // One that can't be first never is.
            let known = known.entry((first, then)).or_insert(0);
            *known = gap.unwrap_or(i32::MAX).max(*known);
        };
        let is_of_spans =
            |apart: &Apart| [apart.a, apart.b].iter().all(|span| spans.get(&span.0.task) == Some(span));
        for apart in whole.aparts.iter().filter(|apart| is_of_spans(apart)) {
            let [one, other] = apart.only_if.as_slice() else { continue };
            if used.contains_key(one) && used.get(one) == used.get(other) {
                let (a, b) = if one.task == apart.a.0.task { (*one, *other) } else { (*other, *one) };
                note(a, b, apart.gap_ab);
                note(b, a, apart.gap_ba);
            }
        }
        let mut ways: BTreeMap<TaskId, Vec<(Choice, ResourceId)>> = BTreeMap::new();
        for (choice, thing) in &used {
            ways.entry(choice.task).or_default().push((*choice, *thing));
        }
        let mut between = BTreeMap::new();
        for (a, of_a) in &ways {
            for (b, of_b) in ways.iter().filter(|(b, _)| *b != a) {
                let pairs = of_a.iter().flat_map(|first| of_b.iter().map(move |then| (first, then)));
                let gaps = pairs
                    .filter(|((_, thing), (_, other))| thing == other)
                    .filter(|((first, _), (then, _))| can_be_near(whole, *first, *then))
                    .map(|((first, _), (then, _))| known.get(&(*first, *then)).copied().unwrap_or(0));
                between.insert((*a, *b), gaps.min().unwrap_or(0));
            }
        }
        Pauses { tasks: ways.into_keys().collect(), between }
    }

    fn between(&self, first: TaskId, then: TaskId) -> i32 {
        self.between.get(&(first, then)).copied().unwrap_or(0)
    }

    /// What there is between any of the ones and any of the others at least.
    fn least(&self, first: &BTreeSet<TaskId>, then: &BTreeSet<TaskId>) -> i32 {
        let all = first.iter().flat_map(|one| then.iter().map(|other| self.between(*one, *other)));
        all.min().unwrap_or(0)
    }

    /// Tasks of which the same is known beside every other task: an oven needs nothing between two of them.
    fn sorts(&self) -> Vec<BTreeSet<TaskId>> {
        let mut sorts: BTreeMap<Vec<(i32, i32)>, BTreeSet<TaskId>> = BTreeMap::new();
        for task in &self.tasks {
            let beside =
                self.tasks.iter().map(|it| (self.between(*task, *it), self.between(*it, *task))).collect();
            sorts.entry(beside).or_default().insert(*task);
        }
        sorts.into_values().collect()
    }
}

/// Whether two tasks can be at about the same time, done in these ways.
fn can_be_near(whole: &Problem, one: Choice, other: Choice) -> bool {
    let windows = |it: Choice| whole.tasks[it.task.0].ways[it.way].windows.as_slice();
    let near = |a: &(i32, i32), b: &(i32, i32)| a.0 < b.1 + FAR && b.0 < a.1 + FAR;
    let (one, other) = (windows(one), windows(other));
    one.is_empty() || other.is_empty() || one.iter().any(|a| other.iter().any(|b| near(a, b)))
}

/// No thing needs so many slots between two uses.
const FAR: i32 = 100;

#[cfg(test)]
mod tests {
    use super::super::loose::loose;
    use super::super::loose::tests::loads;
    use super::*;
    use crate::reckon::plan::schedule::Budget;
    use crate::reckon::plan::solver::solve;

    /// With hot and mild loads there is one count more for each of the two, before and after the other.
    #[test]
    fn a_change_of_heat_is_counted_and_none_is_where_there_is_none() {
        let count = |hot, mild| {
            let problem = loads(hot, mild);
            let left = loose(&problem).expect("there are three ovens").problem;
            left.resources.len() - problem.resources.len()
        };
        assert_eq!([count(3, 3), count(6, 0), count(0, 2), count(2, 1)], [4, 0, 0, 4]);
    }

    /// Three ovens, loads of two slots: three hot ones and three mild ones are through after four slots if no oven changes its heat, and
    /// that needs one to.
    #[test]
    fn what_is_counted_can_be_the_whole_truth() {
        for (hot, mild) in [(3, 3), (4, 2), (5, 1), (6, 0), (2, 1)] {
            let problem = loads(hot, mild);
            let whole = solve(&problem, &Budget::default()).terms[0].value;
            let left = loose(&problem).expect("there are three ovens").problem;
            let left = Problem { alike: Vec::new(), ..left };
            let mut counted = left.clone();
            // Solved as it is, the first oven stands for three.
            counted.resources[0].capacity = 3;
            let found = solve(&counted, &Budget::default()).terms[0].value;
            assert!(found <= whole, "{hot} {mild}: {found} {whole}");
            assert_eq!(found, whole, "{hot} {mild}");
        }
    }

    #[test]
    fn a_pause_that_not_every_thing_needs_is_none() {
        let mut problem = loads(3, 3);
        problem.aparts.retain(|apart| apart.only_if.iter().all(|choice| choice.way != 1));
        let left = loose(&problem).expect("there are three ovens").problem;
        assert_eq!(left.resources.len(), problem.resources.len());
    }

    /// A hot load that only the first oven takes is a hot load like the others.
    #[test]
    fn what_has_one_thing_only_is_of_its_sort_too() {
        let mut problem = loads(3, 3);
        let pinned = TaskId(0);
        problem.tasks[0].ways.truncate(1);
        let of_others = |task: TaskId, way: usize| task == pinned && way > 0;
        problem.holds.retain(|hold| !hold.only_if.iter().any(|it| of_others(it.task, it.way)));
        problem.aparts.retain(|apart| !apart.only_if.iter().any(|it| of_others(it.task, it.way)));
        for hold in problem.holds.iter_mut().filter(|hold| hold.from.task == pinned) {
            hold.only_if.clear();
        }
        let sorts = Pauses::of(&problem, &problem.alike[0]).sorts();
        let hot: BTreeSet<TaskId> = (0..3).map(TaskId).collect();
        assert_eq!((sorts.len(), sorts.contains(&hot)), (2, true), "{sorts:?}");
        let left = loose(&problem).expect("there are three ovens").problem;
        assert_eq!(left.resources.len() - problem.resources.len(), 4);
        let alone = Problem { alike: Vec::new(), ..problem.clone() };
        let [one, other] = [&problem, &alone].map(|it| solve(it, &Budget::default()).terms[0].value);
        assert_eq!(one, other);
    }

    #[test]
    fn more_than_the_change_takes_is_not_asked_for() {
        let mut problem = loads(3, 3);
        problem.aparts.iter_mut().for_each(|apart| (apart.gap_ab, apart.gap_ba) = (Some(3), None));
        let left = loose(&problem).expect("there are three ovens").problem;
        let new = &left.holds[problem.holds.len() / 3..];
        let moved: BTreeSet<i32> = new.iter().map(|hold| hold.from.plus).collect();
        // Hot ones are first by three slots; mild ones never are, and that is no pause.
        assert!(moved.contains(&3) && moved.iter().all(|plus| plus.abs() <= 3), "{moved:?}");
    }

    /// Loads of several heats and lengths in three ovens, with pauses that hang on which heat is first: what is counted never asks for more
    /// than each oven looked at alone.
    #[test]
    fn with_pauses_counted_the_least_is_the_same() {
        let mut state = 1_u64;
        let mut draw = |below: i32| {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            i32::try_from((state >> 33) % below.unsigned_abs() as u64).unwrap_or(0)
        };
        let mut counted = 0;
        for round in 0..60 {
            let mut problem = loads(3, 4);
            let gaps: Vec<i32> = (0..9).map(|_| draw(4)).collect();
            let heats: Vec<usize> = (0..7).map(|_| draw(3).unsigned_abs() as usize).collect();
            problem.aparts.clear();
            for (a, heat) in heats.iter().enumerate() {
                let long = 1 + draw(3);
                for way in &mut problem.tasks[a].ways {
                    (way.least, way.most) = (long, long);
                    way.windows = vec![(a as i32 % 3, 40)];
                }
                for (b, other) in heats.iter().enumerate().skip(a + 1).filter(|(_, other)| *other != heat) {
                    problem.aparts.extend((0..3).map(|way| Apart {
                        a: (Point::start(TaskId(a)), Point::end(TaskId(a))),
                        b: (Point::start(TaskId(b)), Point::end(TaskId(b))),
                        gap_ab: Some(gaps[heat * 3 + other]),
                        gap_ba: Some(gaps[other * 3 + heat]),
                        only_if: vec![Choice { task: TaskId(a), way }, Choice { task: TaskId(b), way }],
                        reason: Default::default(),
                    }));
                }
            }
            let alone = Problem { alike: Vec::new(), ..problem.clone() };
            let [one, other] = [&problem, &alone].map(|it| solve(it, &Budget::default()).terms);
            assert!(one[0].proven && other[0].proven, "{round}");
            assert_eq!(one[0].value, other[0].value, "{round}");
            let left = loose(&problem).expect("there are three ovens").problem;
            counted += left.resources.len() - problem.resources.len();
        }
        assert!(counted > 60, "{counted}");
    }
}
