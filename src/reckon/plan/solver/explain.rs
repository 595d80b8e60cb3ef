//! Which named reasons can't hold together.

use std::collections::BTreeSet;

use pumpkin_core::predicates::Predicate;

use super::loose::Things;
use super::model::Reasons;
use super::post::{Orders, model_of};
use super::{Answer, Engine};
use crate::reckon::plan::problem::{Link, Point, Problem, Reason, ReasonId, TaskId};

/// Named reasons that can't hold together.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Conflict {
    /// The reasons, in the order of the problem; empty when there is no conflict, when none was
    /// found, or when it needs no named reason.
    pub reasons: Vec<ReasonId>,
    /// For each of them a plan was found that keeps all the others.
    pub minimal: bool,
    /// Solver steps spent.
    pub steps: u64,
}

/// Finds reasons that can't hold together, and sets aside one after the other to see which are
/// needed, for so many solver steps.
#[must_use]
pub fn explain(problem: &Problem, steps: u64) -> Conflict {
    let mut asking = Asking::new(problem, if alike(problem) { Orders::OneStep } else { Orders::Any });
    let all: BTreeSet<usize> = (0..problem.reasons.len()).collect();
    let Some(needed) = asking.core(&all, steps) else {
        return Conflict { steps: asking.engine.steps.spent, ..Conflict::default() };
    };
    let mut needed = needed;
    let mut minimal = true;
    let share = steps / (needed.len() as u64 + 1);
    for candidate in needed.clone() {
        if !needed.contains(&candidate) {
            continue;
        }
        let others = needed.iter().copied().filter(|place| *place != candidate).collect();
        match asking.ask(&others, share) {
            Answer::Impossible(core) => needed = asking.named(&core),
            Answer::Found(_) => {}
            Answer::Unknown => minimal = false,
        }
    }
    let steps = asking.engine.steps.spent;
    Conflict { reasons: needed.into_iter().map(ReasonId).collect(), minimal, steps }
}

/// Reasons that make a problem possible when all of them are set aside.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Relief {
    /// The reasons, in the order of the problem; `None` when none were found.
    pub reasons: Option<Vec<ReasonId>>,
    /// It was shown that there are none: nothing fits even without all that may be set aside.
    pub hopeless: bool,
    /// For each of them it was shown that the problem stays impossible while it alone is kept.
    pub minimal: bool,
    /// Solver steps spent.
    pub steps: u64,
}

/// Finds reasons that have to be set aside, all together, so that the rest fits; those that are `kept` never are. Each question may cost
/// so many solver steps.
///
/// A conflict is not enough for that: what has two causes fits no better without one of them.
#[must_use]
pub fn relief(problem: &Problem, kept: &[ReasonId], steps: u64) -> Relief {
    let mut asking = Asking::new(problem, if alike(problem) { Orders::OneStep } else { Orders::Any });
    let kept: BTreeSet<usize> = kept.iter().map(|reason| reason.0).collect();
    let mut holding: BTreeSet<usize> = (0..problem.reasons.len()).collect();
    let mut aside: Vec<usize> = Vec::new();
    // Conflict after conflict is set aside, until something fits.
    loop {
        match asking.ask(&holding, steps) {
            Answer::Found(_) => break,
            Answer::Impossible(core) => {
                let named: Vec<usize> = asking.named(&core).difference(&kept).copied().collect();
                if named.is_empty() {
                    let steps = asking.engine.steps.spent;
                    return Relief { hopeless: true, steps, ..Relief::default() };
                }
                holding.retain(|place| !named.contains(place));
                aside.extend(named);
            }
            Answer::Unknown => return Relief { steps: asking.engine.steps.spent, ..Relief::default() },
        }
    }
    // Of those, each that can be is put back.
    aside.sort_unstable();
    let mut minimal = true;
    let mut needed = Vec::new();
    for place in aside {
        holding.insert(place);
        let answer = asking.ask(&holding, steps);
        if !matches!(answer, Answer::Found(_)) {
            minimal &= matches!(answer, Answer::Impossible(_));
            holding.remove(&place);
            needed.push(ReasonId(place));
        }
    }
    Relief { reasons: Some(needed), hopeless: false, minimal, steps: asking.engine.steps.spent }
}

/// A solver that can be asked about any set of reasons.
struct Asking {
    engine: Engine,
    assumed: Vec<Predicate>,
}

impl Asking {
    fn new(problem: &Problem, orders: Orders) -> Asking {
        let model = model_of(problem, Reasons::Asked, orders, Things::Each);
        let assumed = model.assumed.iter().map(|literal| literal.get_true_predicate()).collect();
        let engine = Engine { names_cores: true, ..Engine::new(problem, model, None, None) };
        Asking { engine, assumed }
    }

    fn ask(&mut self, reasons: &BTreeSet<usize>, steps: u64) -> Answer {
        let assumptions: Vec<Predicate> = reasons.iter().map(|place| self.assumed[*place]).collect();
        self.engine.ask(&assumptions, steps)
    }

    /// Which of these reasons can't hold together, if that was shown.
    fn core(&mut self, reasons: &BTreeSet<usize>, steps: u64) -> Option<BTreeSet<usize>> {
        match self.ask(reasons, steps) {
            Answer::Impossible(core) => Some(self.named(&core)),
            Answer::Found(_) | Answer::Unknown => None,
        }
    }

    fn named(&self, core: &[Predicate]) -> BTreeSet<usize> {
        let place = |predicate: &Predicate| {
            self.assumed.iter().position(|it| it.get_domain() == predicate.get_domain())
        };
        core.iter().filter_map(place).collect()
    }
}

/// Whether every named reason touches the members of each symmetry equally often. Only then do
/// they stay interchangeable whichever reasons are set aside.
fn alike(problem: &Problem) -> bool {
    let touched = touched(problem);
    problem.symmetries.iter().all(|symmetry| {
        let mut counts: Vec<Vec<usize>> = vec![vec![0; symmetry.members.len()]; problem.reasons.len()];
        for (reason, tasks) in &touched {
            for (member, own) in symmetry.members.iter().enumerate() {
                if own.iter().any(|task| tasks.contains(task))
                    && let Some(counts) = counts.get_mut(reason.0)
                {
                    counts[member] += 1;
                }
            }
        }
        counts.iter().all(|counts| counts.windows(2).all(|pair| pair[0] == pair[1]))
    })
}

/// Each constraint with a named reason, and the tasks that it touches.
fn touched(problem: &Problem) -> Vec<(ReasonId, BTreeSet<TaskId>)> {
    let mut touched = Vec::new();
    let mut note = |reason: Reason, tasks: BTreeSet<TaskId>| {
        if let Reason::Named(reason) = reason {
            touched.push((reason, tasks));
        }
    };
    let of = |points: &[Point]| points.iter().map(|point| point.task).collect();
    for (place, task) in problem.tasks.iter().enumerate() {
        for way in task.ways.iter().filter(|way| !way.windows.is_empty()) {
            note(way.reason, BTreeSet::from([TaskId(place)]));
        }
    }
    for lag in &problem.lags {
        note(lag.reason, of(&[lag.from, lag.to]));
    }
    for hold in &problem.holds {
        note(hold.reason, of(&[hold.from, hold.to]));
    }
    for apart in &problem.aparts {
        note(apart.reason, of(&[apart.a.0, apart.a.1, apart.b.0, apart.b.1]));
    }
    for link in &problem.links {
        match link {
            Link::Implies { all, then, reason } => {
                note(*reason, all.iter().chain([then]).map(|choice| choice.task).collect());
            }
            Link::Forbids { all, reason } => {
                note(*reason, all.iter().map(|choice| choice.task).collect());
            }
        }
    }
    touched
}
