//! The same problem with things alike counted only: how many of them are in use, and not which.
//!
//! It leaves out what hangs on which oven a load is in, such as how long that one needs from one temperature to the next, but for what can
//! be counted of that ([`super::pauses`]). So it is far smaller, every plan of the whole problem is one of it, and what is less than can be
//! there is less than can be at all.

use std::collections::{BTreeMap, BTreeSet};

use super::pauses::count_pauses;
use crate::reckon::plan::problem::{
    Apart, Choice, Hints, Hold, Lag, Link, Point, Problem, Quantity, ResourceId, TaskId, Term, Way,
};

/// How things alike are looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Things {
    /// Each of them, and all together.
    Each,
    /// All together only.
    Counted,
}

impl Things {
    /// Of what there is no limit for each alone.
    pub(super) fn only_counted(self, problem: &Problem) -> BTreeSet<ResourceId> {
        problem.alike.iter().filter(|_| self == Things::Counted).flatten().copied().collect()
    }
}

/// The problem in which it is left open which of some things alike is used.
pub(super) struct Loose {
    pub(super) problem: Problem,
    pub(super) merged: Merged,
}

/// It is left open which of some things alike is used; `None`: there are none, or which of them is used is an aim.
pub(super) fn loose(problem: &Problem) -> Option<Loose> {
    let first: BTreeMap<ResourceId, ResourceId> =
        problem.alike.iter().flat_map(|alike| alike.iter().map(|id| (*id, alike[0]))).collect();
    let merged = Merged::of(problem, &first);
    if merged.ways.iter().zip(&problem.tasks).all(|(ways, task)| ways.len() == task.ways.len()) {
        return None;
    }
    let mut left = Problem {
        horizon: problem.horizon,
        tasks: problem.tasks.clone(),
        lags: merged.all_of(&problem.lags),
        holds: Vec::new(),
        resources: problem.resources.clone(),
        aparts: merged.all_of(&problem.aparts),
        links: Vec::new(),
        symmetries: problem.symmetries.clone(),
        numberings: Vec::new(),
        alike: problem.alike.clone(),
        whose: problem.whose.clone(),
        objective: problem.objective.iter().map(|term| merged.term(term)).collect::<Option<Vec<Term>>>()?,
        reasons: problem.reasons.clone(),
        hints: Hints { warm: None, tidy: None, ..problem.hints.clone() },
    };
    for (task, ways) in left.tasks.iter_mut().zip(&merged.ways) {
        task.ways = ways.iter().map(|ways| task.ways[ways[0]].clone()).collect();
    }
    let holds: Vec<Hold> = problem
        .holds
        .iter()
        .map(|hold| {
            let resource = first.get(&hold.resource).copied().unwrap_or(hold.resource);
            Hold { resource, ..hold.clone() }
        })
        .collect();
    left.holds = merged.all_of(&holds);
    left.links = merged.all_of(&problem.links);
    count_pauses(problem, &mut left);
    left.hints.ways = problem.hints.ways.iter().map(|choice| merged.choice(*choice)).collect();
    Some(Loose { problem: left, merged })
}

/// For each task, the ways that are one, and for each of its ways which of these it is in.
pub(super) struct Merged {
    pub(super) ways: Vec<Vec<Vec<usize>>>,
    place: Vec<Vec<usize>>,
}

/// What ways that are one have in common: all of the way but its name, and what it holds of which things alike.
type Likeness<'a> = (&'a Way, BTreeSet<(ResourceId, Point, Point, i32)>, usize);

impl Merged {
    fn of(problem: &Problem, first: &BTreeMap<ResourceId, ResourceId>) -> Merged {
        let mut held: BTreeMap<Choice, BTreeSet<(ResourceId, Point, Point, i32)>> = BTreeMap::new();
        for hold in &problem.holds {
            if let (Some(first), [only]) = (first.get(&hold.resource), hold.only_if.as_slice()) {
                held.entry(*only).or_default().insert((*first, hold.from, hold.to, hold.amount));
            }
        }
        let mut merged = Merged { ways: Vec::new(), place: Vec::new() };
        for (task, known) in problem.tasks.iter().enumerate() {
            let mut ways: Vec<(Likeness, Vec<usize>)> = Vec::new();
            for (way, one) in known.ways.iter().enumerate() {
                let held = held.get(&Choice { task: TaskId(task), way }).cloned().unwrap_or_default();
                // What is in none of them stays alone.
                let alone = if held.is_empty() { way + 1 } else { 0 };
                let same = |(other, ..): &&mut (Likeness, Vec<usize>)| {
                    let (a, b) = (one, other.0);
                    let way =
                        (a.least, a.most, &a.windows, a.reason) == (b.least, b.most, &b.windows, b.reason);
                    way && (&held, alone) == (&other.1, other.2)
                };
                match ways.iter_mut().find(same) {
                    Some((_, ways)) => ways.push(way),
                    None => ways.push(((one, held, alone), vec![way])),
                }
            }
            let ways: Vec<Vec<usize>> = ways.into_iter().map(|(_, ways)| ways).collect();
            let place = |way: usize| ways.iter().position(|ways| ways.contains(&way)).unwrap_or(0);
            merged.place.push((0..known.ways.len()).map(place).collect());
            merged.ways.push(ways);
        }
        merged
    }

    fn choice(&self, choice: Choice) -> Choice {
        Choice { way: self.place[choice.task.0][choice.way], ..choice }
    }

    /// What holds whichever of the ways that are one is chosen; what holds for some of them only is left out.
    fn all_of<C: Conditional>(&self, all: &[C]) -> Vec<C> {
        let mut known: BTreeMap<C::Key, (usize, BTreeSet<Vec<Choice>>)> = BTreeMap::new();
        for (place, one) in all.iter().enumerate() {
            let choices = one.choices();
            let key = one.key(choices.iter().map(|choice| self.choice(*choice)).collect());
            known.entry(key).or_insert((place, BTreeSet::new())).1.insert(choices);
        }
        let mut kept: Vec<(usize, C)> = Vec::new();
        for (place, given) in known.into_values() {
            let one = &all[place];
            let size = |choice: &Choice| self.ways[choice.task.0][self.choice(*choice).way].len();
            if given.len() == one.choices().iter().map(size).product::<usize>() {
                // What holds for a task's only way always does.
                let open = |choice: &Choice| self.ways[choice.task.0].len() > 1;
                let choices = one.choices().into_iter().filter(open).map(|choice| self.choice(choice));
                kept.push((place, one.only_if(choices.collect(), |choice| self.choice(choice))));
            }
        }
        kept.sort_by_key(|(place, _)| *place);
        kept.into_iter().map(|(_, one)| one).collect()
    }

    /// A term, where it counts ways that are one alike.
    fn term(&self, term: &Term) -> Option<Term> {
        let mut sum: Vec<(i32, Quantity)> = Vec::new();
        let mut ways: BTreeMap<Choice, (usize, BTreeMap<usize, i32>)> = BTreeMap::new();
        for (factor, quantity) in &term.sum {
            match quantity {
                Quantity::Chosen(choice) => {
                    let place = sum.len();
                    let entry = ways.entry(self.choice(*choice)).or_insert_with(|| (place, BTreeMap::new()));
                    *entry.1.entry(choice.way).or_default() += factor;
                    if entry.0 == place {
                        sum.push((0, Quantity::Chosen(self.choice(*choice))));
                    }
                }
                Quantity::Span { only_if, .. } if only_if.iter().any(|it| self.several(*it)) => return None,
                Quantity::Span { from, to, only_if } => {
                    let only_if = only_if.iter().map(|choice| self.choice(*choice)).collect();
                    sum.push((*factor, Quantity::Span { from: *from, to: *to, only_if }));
                }
                other => sum.push((*factor, other.clone())),
            }
        }
        for (choice, (place, factors)) in ways {
            let factor = factors.values().next().copied().unwrap_or(0);
            let all = factors.len() == self.ways[choice.task.0][choice.way].len();
            if !all || factors.values().any(|other| *other != factor) {
                return None;
            }
            sum[place].0 = factor;
        }
        Some(Term { name: term.name.clone(), sum })
    }

    /// Whether a way is one of several that are one.
    pub(super) fn several(&self, choice: Choice) -> bool {
        self.ways[choice.task.0][self.choice(choice).way].len() > 1
    }
}

/// What hangs on choices.
trait Conditional: Clone {
    /// What is the same about two of them but for the choices.
    type Key: Ord;

    fn choices(&self) -> Vec<Choice>;

    fn key(&self, choices: Vec<Choice>) -> Self::Key;

    fn only_if(&self, choices: Vec<Choice>, other: impl Fn(Choice) -> Choice) -> Self;
}

impl Conditional for Lag {
    type Key = (Point, Point, i32, Option<i32>, Vec<Choice>);

    fn choices(&self) -> Vec<Choice> {
        self.only_if.clone()
    }

    fn key(&self, choices: Vec<Choice>) -> Self::Key {
        (self.from, self.to, self.least, self.most, choices)
    }

    fn only_if(&self, only_if: Vec<Choice>, _: impl Fn(Choice) -> Choice) -> Lag {
        Lag { only_if, ..self.clone() }
    }
}

impl Conditional for Hold {
    type Key = (ResourceId, i32, Point, Point, Vec<Choice>);

    fn choices(&self) -> Vec<Choice> {
        self.only_if.clone()
    }

    fn key(&self, choices: Vec<Choice>) -> Self::Key {
        (self.resource, self.amount, self.from, self.to, choices)
    }

    fn only_if(&self, only_if: Vec<Choice>, _: impl Fn(Choice) -> Choice) -> Hold {
        Hold { only_if, ..self.clone() }
    }
}

impl Conditional for Apart {
    type Key = ([Point; 4], [Option<i32>; 2], Vec<Choice>);

    fn choices(&self) -> Vec<Choice> {
        self.only_if.clone()
    }

    fn key(&self, choices: Vec<Choice>) -> Self::Key {
        ([self.a.0, self.a.1, self.b.0, self.b.1], [self.gap_ab, self.gap_ba], choices)
    }

    fn only_if(&self, only_if: Vec<Choice>, _: impl Fn(Choice) -> Choice) -> Apart {
        Apart { only_if, ..self.clone() }
    }
}

impl Conditional for Link {
    type Key = (Option<Choice>, Vec<Choice>);

    fn choices(&self) -> Vec<Choice> {
        match self {
            Link::Implies { all, .. } | Link::Forbids { all, .. } => all.clone(),
        }
    }

    fn key(&self, choices: Vec<Choice>) -> Self::Key {
        match self {
            Link::Implies { then, .. } => (Some(*then), choices),
            Link::Forbids { .. } => (None, choices),
        }
    }

    fn only_if(&self, all: Vec<Choice>, other: impl Fn(Choice) -> Choice) -> Link {
        match self {
            Link::Implies { then, reason, .. } => Link::Implies { all, then: other(*then), reason: *reason },
            Link::Forbids { reason, .. } => Link::Forbids { all, reason: *reason },
        }
    }
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use crate::reckon::plan::problem::Reason;
    use crate::reckon::plan::schedule::Budget;
    use crate::reckon::plan::solver::solve;
    use crate::reckon::plan::verify::verify;

    /// Loads of two slots that want one of three ovens, hot or less so, with a slot between the two; they are to be through soon.
    pub(in super::super) fn loads(hot: usize, mild: usize) -> Problem {
        let mut problem = Problem::new(40);
        let ovens: Vec<ResourceId> =
            (0..3).map(|n| problem.resource(&format!("oven {n}"), 1, Reason::Always)).collect();
        let tasks: Vec<TaskId> = (0..hot + mild)
            .map(|n| {
                problem.task(&format!("load {n}"), ovens.iter().map(|_| Way::fixed("in it", 2)).collect())
            })
            .collect();
        for task in &tasks {
            for (way, oven) in ovens.iter().enumerate() {
                problem.holds.push(Hold {
                    resource: *oven,
                    amount: 1,
                    from: Point::start(*task),
                    to: Point::end(*task),
                    only_if: vec![Choice { task: *task, way }],
                    reason: Reason::Always,
                });
            }
        }
        for a in &tasks[..hot] {
            for b in &tasks[hot..] {
                for way in 0..ovens.len() {
                    problem.aparts.push(Apart {
                        a: (Point::start(*a), Point::end(*a)),
                        b: (Point::start(*b), Point::end(*b)),
                        gap_ab: Some(1),
                        gap_ba: Some(1),
                        only_if: vec![Choice { task: *a, way }, Choice { task: *b, way }],
                        reason: Reason::Always,
                    });
                }
            }
        }
        problem.alike = vec![ovens];
        let ends = tasks.iter().map(|task| Point::end(*task)).collect();
        problem.objective = vec![Term { name: "through".to_owned(), sum: vec![(1, Quantity::Latest(ends))] }];
        problem
    }

    #[test]
    fn what_hangs_on_which_oven_it_is_is_left_open() {
        let problem = loads(3, 3);
        let left = loose(&problem).expect("there are three ovens").problem;
        assert!(left.tasks.iter().all(|task| task.ways.len() == 1));
        assert!(left.aparts.is_empty());
        assert!(left.holds.iter().all(|hold| hold.only_if.is_empty()));
        let counted = left.holds.iter().filter(|hold| hold.resource == left.alike[0][0]);
        assert_eq!(counted.count(), 6);
    }

    #[test]
    fn a_plan_is_one_of_the_whole_problem_and_proven_there() {
        // Counted only, six loads are through after two rounds of two slots; but one oven at least changes its heat.
        for (hot, mild, least) in [(3, 3, 5), (6, 0, 4), (4, 2, 4), (5, 1, 5), (2, 1, 2)] {
            let problem = loads(hot, mild);
            let outcome = solve(&problem, &Budget::default());
            let schedule = outcome.schedule.expect("there is room");
            assert!(verify(&problem, &schedule).is_empty());
            assert_eq!((outcome.terms[0].value, outcome.terms[0].proven), (least, true), "{hot} {mild}");
        }
    }

    #[test]
    fn an_aim_that_names_one_of_them_keeps_the_problem_as_it_is() {
        let mut problem = loads(2, 2);
        let choice = Choice { task: TaskId(0), way: 1 };
        problem.objective[0].sum.push((1, Quantity::Chosen(choice)));
        assert!(loose(&problem).is_none());
        // What counts all of them alike counts the one way that is left.
        let others = [0, 2].map(|way| (1, Quantity::Chosen(Choice { task: TaskId(0), way })));
        problem.objective[0].sum.extend(others);
        let left = loose(&problem).expect("all are counted").problem;
        assert_eq!(left.objective[0].sum[1..], [(1, Quantity::Chosen(Choice { task: TaskId(0), way: 0 }))]);
    }
}
