//! The plan of a class: tries the feasible splits into batches and loads, the preferred one first, and keeps the best.

use super::check::{Broken, check};
use super::grid::Calendar;
use super::jobs::{Jobs, Picked};
use super::schedule::{Budget, Outcome};
use super::solver;
use super::tasks::{self, Ask, Model};
use super::timetable::{Plan, PlannedSession, TermValue, choice_of, tasks_of};
use super::verify::verify;
use crate::course::Course;
use crate::reckon::work::{Class, Options, Portion};
use crate::units::Minutes;

/// How much work a plan may cost.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Effort {
    /// Solver steps for a first plan and for each term of the objective.
    pub per_term: u64,
    /// Combinations of splits that are tried.
    pub combinations: usize,
    /// How far a session may run over in the least-late plan.
    pub over: Minutes,
}

impl Default for Effort {
    fn default() -> Effort {
        Effort { per_term: 40_000, combinations: 4, over: Minutes::hours(4) }
    }
}

/// What came of planning a class.
#[derive(Clone, PartialEq, Debug)]
pub struct Planned {
    /// The best plan: one that fits, or else the least late; `None` when not even that was found.
    pub plan: Option<Plan>,
    /// It is proven that nothing fits in the written times (as far as all combinations were tried).
    pub impossible: bool,
    /// What the checker refused in a plan that was found: an error of this program, never of the course.
    pub refused: Vec<Broken>,
}

/// Plans a class.
///
/// # Errors
/// None: a class that does not fit gets its least-late plan.
#[must_use]
pub fn plan(
    course: &Course,
    class: &Class,
    portions: &[Portion],
    options: &Options,
    effort: Effort,
) -> Planned {
    let Some(calendar) = Calendar::of(course) else {
        return Planned { plan: None, impossible: true, refused: Vec::new() };
    };
    let (combinations, all) = combinations(options, effort.combinations);
    let mut best: Option<Plan> = None;
    let mut impossible = all == combinations.len();
    let mut refused = Vec::new();
    let mut checked = |found: Option<Plan>| {
        let found = found?;
        let broken = check(course, class, portions, &found);
        let sound = broken.is_empty();
        refused.extend(broken);
        sound.then_some(found)
    };
    for picked in &combinations {
        let jobs = Jobs::of(course, class, portions, picked);
        let (found, proven) =
            one(&jobs, &calendar, Ask::default(), effort.per_term, (combinations.len(), all));
        impossible &= proven;
        best = better(best, checked(found));
    }
    if best.is_none() {
        let over = calendar.grid.up(effort.over);
        for picked in &combinations {
            let jobs = Jobs::of(course, class, portions, picked);
            let ask = Ask { over: Some(over), ..Ask::default() };
            let (found, _) = one(&jobs, &calendar, ask, effort.per_term, (combinations.len(), all));
            best = better(best, checked(found));
        }
    } else {
        impossible = false;
    }
    Planned { plan: best, impossible, refused }
}

/// The better of two plans: the smaller first term that differs.
fn better(one: Option<Plan>, other: Option<Plan>) -> Option<Plan> {
    let values = |plan: &Plan| plan.objective.iter().map(|t| t.value).collect::<Vec<_>>();
    match (one, other) {
        (Some(one), Some(other)) => {
            let optimal = one.proven_optimal && other.proven_optimal;
            let steps = one.steps + other.steps;
            let kept = if values(&other) < values(&one) { other } else { one };
            Some(Plan { proven_optimal: optimal, steps, ..kept })
        }
        (one, other) => one.or(other),
    }
}

/// Solves one combination; also whether it is proven that it can't fit.
fn one(
    jobs: &Jobs<'_>,
    calendar: &Calendar,
    ask: Ask,
    per_term: u64,
    tried: (usize, usize),
) -> (Option<Plan>, bool) {
    let model = tasks::model(jobs, calendar, ask);
    let outcome = solver::solve(&model.problem, &Budget { per_term, conflict: 0 });
    let impossible = outcome.impossible;
    (plan_of(jobs, &model, &outcome, tried), impossible)
}

/// Reads the plan off what the solver found; `None` without a schedule, or with one that the checker refuses.
pub(super) fn plan_of(
    jobs: &Jobs<'_>,
    model: &Model,
    outcome: &Outcome,
    tried: (usize, usize),
) -> Option<Plan> {
    let schedule = outcome.schedule.as_ref()?;
    if !verify(&model.problem, schedule).is_empty() {
        return None;
    }
    let objective: Vec<TermValue> = outcome
        .terms
        .iter()
        .zip(&model.readings)
        .map(|(term, reading)| {
            let read = |n: i32| (i64::from(n) + reading.plus) * reading.times;
            let (value, bound) = (read(term.value), read(term.bound));
            TermValue { term: reading.term.to_owned(), value, bound, proven: term.proven }
        })
        .collect();
    let overrun = objective.iter().find(|t| t.term == "overrun-minutes").map_or(0, |t| t.value);
    let proven_optimal = objective.iter().all(|t| t.proven);
    let tasks = tasks_of(jobs, model, schedule);
    let sessions = jobs
        .course
        .sessions
        .iter()
        .zip(&model.gone)
        .map(|(session, gone)| PlannedSession {
            id: session.id.value.clone(),
            start: session.from.value.clone(),
            end: session.to.value.clone(),
            finish: model.calendar.grid.at(schedule.start[gone.0]),
        })
        .collect();
    Some(Plan {
        fits: overrun == 0,
        overrun: Minutes(overrun),
        proven_optimal,
        tried,
        objective,
        made_ahead: tasks.iter().filter(|t| t.made_ahead).map(|t| t.id.clone()).collect(),
        tasks,
        sessions,
        choice: choice_of(jobs, model, schedule),
        steps: outcome.steps,
    })
}

/// Combinations of splits, the preferred ones first, at most so many; and how many there are in all.
pub(super) fn combinations(options: &Options, most: usize) -> (Vec<Picked>, usize) {
    let sizes: Vec<usize> =
        options.splits.values().map(Vec::len).chain(options.bakes.values().map(Vec::len)).collect();
    let all = sizes.iter().fold(1usize, |all, n| all.saturating_mul((*n).max(1)));
    let mut found: Vec<Vec<usize>> = vec![vec![0; sizes.len()]];
    let mut next = 0;
    // Breadth first from the preferred one: one place further from it with each round.
    while next < found.len() && found.len() < most.max(1) {
        for place in 0..sizes.len() {
            let mut one = found[next].clone();
            one[place] += 1;
            if one[place] < sizes[place] && !found.contains(&one) && found.len() < most.max(1) {
                found.push(one);
            }
        }
        next += 1;
    }
    let picked = |places: &Vec<usize>| {
        let mut places = places.iter().copied();
        let mut picked = Picked::default();
        for (key, splits) in &options.splits {
            let place = places.next().unwrap_or(0);
            if let Some(split) = splits.get(place) {
                picked.splits.insert(key.clone(), split.clone());
            }
        }
        for (key, bakes) in &options.bakes {
            let place = places.next().unwrap_or(0);
            if let Some(bake) = bakes.get(place) {
                picked.bakes.insert(key.clone(), bake.clone());
            }
        }
        picked
    };
    (found.iter().map(picked).collect(), all)
}
