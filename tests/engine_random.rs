//! Small invented problems with every kind of constraint in them, solved by trying everything.

use benchroll::reckon::plan::problem::{
    Apart, Choice, Hold, Lag, Link, Point, Problem, Quantity, Reason, Side, TaskId, Term, Way,
};
use benchroll::reckon::plan::schedule::{Budget, Schedule};
use benchroll::reckon::plan::solver::{explain, solve};
use benchroll::reckon::plan::verify::{term_value, verify};

/// A plain generator of numbers (Marsaglia's xorshift), so that a case is its seed.
pub struct Dice(u64);

impl Dice {
    pub fn new(seed: u64) -> Dice {
        Dice(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1)
    }

    /// From `low` to `high`, both included.
    pub fn roll(&mut self, low: i32, high: i32) -> i32 {
        for shift in [13, -7, 17] {
            self.0 ^= if shift > 0 { self.0 << shift } else { self.0 >> -shift };
        }
        let span = u64::try_from(high - low + 1).unwrap();
        low + i32::try_from((self.0 >> 11) % span).unwrap()
    }

    fn one_in(&mut self, count: i32) -> bool {
        self.roll(1, count) == 1
    }

    fn task(&mut self, problem: &Problem) -> TaskId {
        TaskId(usize::try_from(self.roll(0, problem.tasks.len() as i32 - 1)).unwrap())
    }

    fn point(&mut self, problem: &Problem) -> Point {
        let side = if self.one_in(2) { Side::Start } else { Side::End };
        let plus = if self.one_in(4) { self.roll(-1, 1) } else { 0 };
        Point { task: self.task(problem), side, plus }
    }

    fn choices(&mut self, problem: &Problem) -> Vec<Choice> {
        let count = [0, 0, 0, 1, 1, 2][usize::try_from(self.roll(0, 5)).unwrap()];
        (0..count)
            .map(|_| {
                let task = self.task(problem);
                let ways = problem.tasks[task.0].ways.len() as i32;
                Choice { task, way: usize::try_from(self.roll(0, ways - 1)).unwrap() }
            })
            .collect()
    }

    fn windows(&mut self, horizon: i32) -> Vec<(i32, i32)> {
        let count = [0, 0, 1, 2][usize::try_from(self.roll(0, 3)).unwrap()];
        (0..count)
            .map(|_| {
                let from = self.roll(0, horizon - 2);
                (from, self.roll(from + 1, horizon))
            })
            .collect()
    }

    fn quantity(&mut self, problem: &Problem) -> Quantity {
        let (task, point) = (self.task(problem), self.point(problem));
        match self.roll(0, 8) {
            0 => Quantity::Start(task),
            1 => Quantity::End(task),
            2 => Quantity::Duration(task),
            3 => Quantity::Chosen(Choice { task, way: 0 }),
            4 => Quantity::Latest(vec![point, self.point(problem), self.point(problem)]),
            5 => Quantity::Earliest(vec![point, self.point(problem), self.point(problem)]),
            6 => Quantity::Excess { point, above: self.roll(0, problem.horizon) },
            7 => Quantity::Moved { point, from: self.roll(0, problem.horizon) },
            _ => {
                let (to, only_if) = (self.point(problem), self.choices(problem));
                Quantity::Span { from: point, to, only_if }
            }
        }
    }
}

/// A problem with so many tasks, a few of everything else, and a few named reasons.
pub fn random_problem(seed: u64, tasks: i32, horizon: i32) -> Problem {
    let mut dice = Dice::new(seed);
    let mut problem = Problem::new(horizon);
    let reasons: Vec<Reason> = (0..4).map(|reason| problem.reason(&reason.to_string())).collect();
    let pick = |dice: &mut Dice| {
        reasons.get(usize::try_from(dice.roll(0, 6)).unwrap()).copied().unwrap_or(Reason::Always)
    };
    for task in 0..tasks {
        let ways = (0..[1, 1, 2, 2, 3][usize::try_from(dice.roll(0, 4)).unwrap()])
            .map(|_| {
                let least = dice.roll(0, 2);
                let most = least + if dice.one_in(3) { dice.roll(1, 2) } else { 0 };
                let windows = dice.windows(horizon);
                Way::ranged("", least, most).within(&windows, pick(&mut dice))
            })
            .collect();
        problem.task(&task.to_string(), ways);
    }
    for _ in 0..dice.roll(1, tasks) {
        let (from, to) = (dice.point(&problem), dice.point(&problem));
        let least = dice.roll(-2, 2);
        let most = dice.one_in(2).then(|| least + dice.roll(0, 3));
        let (only_if, reason) = (dice.choices(&problem), pick(&mut dice));
        problem.lags.push(Lag { from, to, least, most, only_if, reason });
    }
    for resource in 0..dice.roll(1, 2) {
        let capacity = dice.roll(0, 2).max(dice.roll(0, 2));
        let reason = pick(&mut dice);
        let resource = problem.resource(&resource.to_string(), capacity, reason);
        if dice.one_in(3) {
            let from = dice.roll(0, horizon - 1);
            let to = dice.roll(from + 1, horizon);
            let there = dice.roll(0, capacity);
            problem.resources[resource.0].calendar.push((from, to, there));
        }
        for task in 0..tasks {
            let mine = TaskId(usize::try_from(task).unwrap());
            let (mut from, mut to) = (Point::start(mine), Point::end(mine));
            if dice.one_in(5) {
                (from, to) = (dice.point(&problem), dice.point(&problem));
            }
            let (amount, only_if) = (dice.roll(0, 2).min(1 + dice.roll(0, 1)), dice.choices(&problem));
            let reason = pick(&mut dice);
            if !dice.one_in(3) {
                problem.holds.push(Hold { resource, amount, from, to, only_if, reason });
            }
        }
    }
    if dice.one_in(2) {
        let (one, other) = (dice.task(&problem), dice.task(&problem));
        let gap = |dice: &mut Dice| (!dice.one_in(3)).then(|| dice.roll(0, 2));
        let (gap_ab, gap_ba) = (gap(&mut dice), gap(&mut dice));
        let (only_if, reason) = (dice.choices(&problem), pick(&mut dice));
        if one != other {
            let a = (Point::start(one), Point::end(one));
            let b = (Point::start(other), Point::end(other));
            problem.aparts.push(Apart { a, b, gap_ab, gap_ba, only_if, reason });
        }
    }
    if dice.one_in(2) {
        let (all, reason) = (dice.choices(&problem), pick(&mut dice));
        let then = dice.task(&problem);
        if all.is_empty() || dice.one_in(2) {
            problem.links.push(Link::Implies { all, then: Choice { task: then, way: 0 }, reason });
        } else {
            problem.links.push(Link::Forbids { all, reason });
        }
    }
    for term in 0..dice.roll(1, 2) {
        let sum = (0..dice.roll(1, 5))
            .map(|_| {
                let quantity = dice.quantity(&problem);
                (dice.roll(-2, 3), quantity)
            })
            .collect();
        problem.objective.push(Term { name: term.to_string(), sum });
    }
    problem
}

/// The least values of the objective, by trying every schedule.
pub fn best_by_trying(problem: &Problem) -> Option<Vec<i32>> {
    let tasks = problem.tasks.len();
    let mut options: Vec<Vec<(usize, i32, i32)>> = Vec::new();
    for task in &problem.tasks {
        let mut own = Vec::new();
        for (place, way) in task.ways.iter().enumerate() {
            for start in 0..=problem.horizon {
                for end in start + way.least..=(start + way.most).min(problem.horizon) {
                    let inside = |w: &(i32, i32)| w.0 <= start && end <= w.1;
                    if way.windows.is_empty() || way.windows.iter().any(inside) {
                        own.push((place, start, end));
                    }
                }
            }
        }
        options.push(own);
    }
    if options.iter().any(Vec::is_empty) {
        return None;
    }
    let mut best: Option<Vec<i32>> = None;
    let mut at = vec![0; tasks];
    loop {
        let chosen: Vec<(usize, i32, i32)> = (0..tasks).map(|task| options[task][at[task]]).collect();
        let schedule = Schedule {
            way: chosen.iter().map(|it| it.0).collect(),
            start: chosen.iter().map(|it| it.1).collect(),
            end: chosen.iter().map(|it| it.2).collect(),
        };
        let values: Vec<i32> = problem.objective.iter().map(|term| term_value(term, &schedule)).collect();
        if best.as_ref().is_none_or(|best| values < *best) && verify(problem, &schedule).is_empty() {
            best = Some(values);
        }
        let Some(next) = (0..tasks).find(|task| at[*task] + 1 < options[*task].len()) else {
            return best;
        };
        at[next] += 1;
        at[..next].fill(0);
    }
}

const BUDGET: Budget = Budget { per_term: 20_000, conflict: 20_000 };

#[test]
fn the_optimum_is_what_trying_everything_finds() {
    let mut possible = 0;
    for seed in 1..=400 {
        let problem = random_problem(seed, 3, 6);
        let outcome = solve(&problem, &BUDGET);
        let best = best_by_trying(&problem);
        let found = outcome.schedule.as_ref().map(|schedule| {
            assert_eq!(verify(&problem, schedule), vec![], "seed {seed}");
            problem.objective.iter().map(|term| term_value(term, schedule)).collect::<Vec<i32>>()
        });
        assert_eq!(found, best, "seed {seed}");
        assert_eq!(outcome.impossible, best.is_none(), "seed {seed}");
        for (term, value) in outcome.terms.iter().zip(best.iter().flatten()) {
            assert!(term.proven && term.bound == *value, "seed {seed}: {term:?}");
        }
        possible += i32::from(best.is_some());
    }
    // The cases are worth something: many of each sort.
    assert!((100..350).contains(&possible), "{possible}");
}

#[test]
fn a_conflict_goes_away_with_any_one_of_its_reasons() {
    let mut named = 0;
    for seed in 1..=400 {
        let problem = random_problem(seed, 3, 6);
        if best_by_trying(&problem).is_some() {
            continue;
        }
        let conflict = explain(&problem, 20_000);
        assert!(conflict.minimal, "seed {seed}");
        let holds = |left_out: Option<usize>| {
            let kept = problem.keeping(|reason| match reason {
                Reason::Always => true,
                Reason::Named(reason) => {
                    let place = conflict.reasons.iter().position(|it| *it == reason);
                    place.is_some() && place != left_out
                }
            });
            best_by_trying(&kept).is_some()
        };
        assert!(!holds(None), "seed {seed}: {:?} do hold together", conflict.reasons);
        for place in 0..conflict.reasons.len() {
            assert!(holds(Some(place)), "seed {seed}: {:?} is not minimal", conflict.reasons);
        }
        named += usize::from(conflict.reasons.len() > 1);
    }
    assert!(named > 10, "{named}");
}

#[test]
fn the_same_problem_gets_the_same_plan() {
    for seed in 401..=430 {
        let problem = random_problem(seed, 9, 20);
        assert_eq!(solve(&problem, &BUDGET), solve(&problem, &BUDGET), "seed {seed}");
    }
}
