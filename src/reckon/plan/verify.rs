//! Checks any schedule against its problem: plain, slow, and written without the solver.
//!
//! The solver is never trusted: every plan passes here before anyone sees it, and so do plans that
//! people changed by hand.

use super::problem::{Apart, Link, Point, Problem, Quantity, ResourceId, TaskId, Term};
use super::schedule::Schedule;

/// Which kind of constraint is broken.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Rule {
    /// The schedule has not one start, end and way for each task.
    /// Numbers: tasks; starts; ends; ways.
    Shape,
    /// The task is done in a way that it does not have. Numbers: the way; how many there are.
    Way,
    /// The task lies outside the horizon. Numbers: start; end; horizon.
    Horizon,
    /// The task is too short or too long. Numbers: duration; least; most.
    Duration,
    /// The task lies in none of its windows. Numbers: start; end.
    Window,
    /// A lag is too short. Numbers: its place in the problem; from; to; least.
    LagTooShort,
    /// A lag is too long. Numbers: its place in the problem; from; to; most.
    LagTooLong,
    /// A hold ends before it begins. Numbers: its place in the problem; from; to.
    Hold,
    /// A resource is overcommitted. Numbers: its place in the problem; slot; wanted; there.
    Capacity,
    /// Two spans overlap, or have not enough time between them.
    /// Numbers: its place in the problem; first span from, to; second span from, to.
    Apart,
    /// Ways are chosen that do not go together. Numbers: its place in the problem.
    Link,
}

/// One broken constraint.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Breach {
    /// The kind of constraint.
    pub what: Rule,
    /// The tasks involved.
    pub tasks: Vec<TaskId>,
    /// The numbers involved, as [`Rule`] says for each kind.
    pub numbers: Vec<i32>,
}

/// Everything that a schedule breaks; empty when it is sound.
#[must_use]
pub fn verify(problem: &Problem, schedule: &Schedule) -> Vec<Breach> {
    let mut breaches = shape(problem, schedule);
    if !breaches.is_empty() {
        // Nothing else can be looked up safely.
        return breaches;
    }
    tasks(problem, schedule, &mut breaches);
    lags(problem, schedule, &mut breaches);
    holds(problem, schedule, &mut breaches);
    for resource in 0..problem.resources.len() {
        capacity(problem, schedule, ResourceId(resource), &mut breaches);
    }
    for (place, apart) in problem.aparts.iter().enumerate() {
        if schedule.chose_all(&apart.only_if) && !kept_apart(apart, schedule) {
            let spans = [apart.a.0, apart.a.1, apart.b.0, apart.b.1];
            let mut numbers = vec![number(place)];
            numbers.extend(spans.map(|point| schedule.at(point)));
            let tasks = spans.map(|point| point.task).to_vec();
            breaches.push(Breach { what: Rule::Apart, tasks, numbers });
        }
    }
    links(problem, schedule, &mut breaches);
    breaches
}

fn number(place: usize) -> i32 {
    i32::try_from(place).unwrap_or(i32::MAX)
}

fn shape(problem: &Problem, schedule: &Schedule) -> Vec<Breach> {
    let lengths = [problem.tasks.len(), schedule.start.len(), schedule.end.len(), schedule.way.len()];
    if lengths.iter().any(|length| *length != problem.tasks.len()) {
        let numbers = lengths.map(number).to_vec();
        return vec![Breach { what: Rule::Shape, tasks: Vec::new(), numbers }];
    }
    let mut breaches = Vec::new();
    for (task, (way, known)) in schedule.way.iter().zip(&problem.tasks).enumerate() {
        if *way >= known.ways.len() {
            let numbers = vec![number(*way), number(known.ways.len())];
            breaches.push(Breach { what: Rule::Way, tasks: vec![TaskId(task)], numbers });
        }
    }
    breaches
}

fn tasks(problem: &Problem, schedule: &Schedule, breaches: &mut Vec<Breach>) {
    for (task, known) in problem.tasks.iter().enumerate() {
        let way = &known.ways[schedule.way[task]];
        let (start, end) = (schedule.start[task], schedule.end[task]);
        let mut broken = |what, numbers| {
            breaches.push(Breach { what, tasks: vec![TaskId(task)], numbers });
        };
        if start < 0 || end > problem.horizon {
            broken(Rule::Horizon, vec![start, end, problem.horizon]);
        }
        if end - start < way.least || end - start > way.most {
            broken(Rule::Duration, vec![end - start, way.least, way.most]);
        }
        let inside = way.windows.iter().any(|(from, to)| *from <= start && end <= *to);
        if !way.windows.is_empty() && !inside {
            broken(Rule::Window, vec![start, end]);
        }
    }
}

fn lags(problem: &Problem, schedule: &Schedule, breaches: &mut Vec<Breach>) {
    for (place, lag) in problem.lags.iter().enumerate() {
        if !schedule.chose_all(&lag.only_if) {
            continue;
        }
        let (from, to) = (schedule.at(lag.from), schedule.at(lag.to));
        let tasks = vec![lag.from.task, lag.to.task];
        if to - from < lag.least {
            let numbers = vec![number(place), from, to, lag.least];
            breaches.push(Breach { what: Rule::LagTooShort, tasks: tasks.clone(), numbers });
        }
        if let Some(most) = lag.most.filter(|most| to - from > *most) {
            let numbers = vec![number(place), from, to, most];
            breaches.push(Breach { what: Rule::LagTooLong, tasks, numbers });
        }
    }
}

fn holds(problem: &Problem, schedule: &Schedule, breaches: &mut Vec<Breach>) {
    for (place, hold) in problem.holds.iter().enumerate() {
        let (from, to) = (schedule.at(hold.from), schedule.at(hold.to));
        if schedule.chose_all(&hold.only_if) && to < from {
            let numbers = vec![number(place), from, to];
            let tasks = vec![hold.from.task, hold.to.task];
            breaches.push(Breach { what: Rule::Hold, tasks, numbers });
        }
    }
}

/// Counts slot by slot; reports the first slot of each run of overcommitted ones.
fn capacity(problem: &Problem, schedule: &Schedule, resource: ResourceId, breaches: &mut Vec<Breach>) {
    let known = &problem.resources[resource.0];
    let held: Vec<_> = problem
        .holds
        .iter()
        .filter(|hold| hold.resource == resource && schedule.chose_all(&hold.only_if))
        .map(|hold| (schedule.at(hold.from), schedule.at(hold.to), hold))
        .collect();
    let first = held.iter().map(|(from, _, _)| *from).min().unwrap_or(0);
    let last = held.iter().map(|(_, to, _)| *to).max().unwrap_or(0);
    let mut over_before = false;
    for slot in first..last {
        let there = known
            .calendar
            .iter()
            .filter(|(from, to, _)| *from <= slot && slot < *to)
            .map(|(_, _, capacity)| *capacity)
            .fold(known.capacity, i32::min);
        let here = || held.iter().filter(|(from, to, _)| *from <= slot && slot < *to);
        let wanted: i32 = here().map(|(_, _, hold)| hold.amount).sum();
        let over = wanted > there;
        if over && !over_before {
            let tasks = here().map(|(_, _, hold)| hold.from.task).collect();
            let numbers = vec![number(resource.0), slot, wanted, there];
            breaches.push(Breach { what: Rule::Capacity, tasks, numbers });
        }
        over_before = over;
    }
}

fn kept_apart(apart: &Apart, schedule: &Schedule) -> bool {
    let follows = |after: Point, before: Point, gap: Option<i32>| {
        gap.is_some_and(|gap| schedule.at(after) >= schedule.at(before) + gap)
    };
    follows(apart.b.0, apart.a.1, apart.gap_ab) || follows(apart.a.0, apart.b.1, apart.gap_ba)
}

fn links(problem: &Problem, schedule: &Schedule, breaches: &mut Vec<Breach>) {
    for (place, link) in problem.links.iter().enumerate() {
        let (all, kept) = match link {
            Link::Implies { all, then, .. } => (all, !schedule.chose_all(all) || schedule.chose(*then)),
            Link::Forbids { all, .. } => (all, !schedule.chose_all(all)),
        };
        if !kept {
            let tasks = all.iter().map(|choice| choice.task).collect();
            breaches.push(Breach { what: Rule::Link, tasks, numbers: vec![number(place)] });
        }
    }
}

/// What a term of the objective is worth in a schedule.
#[must_use]
pub fn term_value(term: &Term, schedule: &Schedule) -> i32 {
    let sum: i64 = term
        .sum
        .iter()
        .map(|(factor, quantity)| i64::from(*factor) * i64::from(quantity_value(quantity, schedule)))
        .sum();
    sum.clamp(i64::from(i32::MIN), i64::from(i32::MAX)) as i32
}

/// What a quantity is in a schedule; the latest or earliest of nothing is 0.
#[must_use]
pub fn quantity_value(quantity: &Quantity, schedule: &Schedule) -> i32 {
    let all = |points: &[Point]| -> Vec<i32> { points.iter().map(|point| schedule.at(*point)).collect() };
    match quantity {
        Quantity::Start(task) => schedule.start[task.0],
        Quantity::End(task) => schedule.end[task.0],
        Quantity::Duration(task) => schedule.duration(*task),
        Quantity::Chosen(choice) => i32::from(schedule.chose(*choice)),
        Quantity::Latest(points) => all(points).into_iter().max().unwrap_or(0),
        Quantity::Earliest(points) => all(points).into_iter().min().unwrap_or(0),
        Quantity::Excess { point, above } => (schedule.at(*point) - above).max(0),
        Quantity::Moved { point, from } => (schedule.at(*point) - from).abs(),
        Quantity::Span { from, to, only_if } => {
            if schedule.chose_all(only_if) {
                schedule.at(*to) - schedule.at(*from)
            } else {
                0
            }
        }
    }
}
