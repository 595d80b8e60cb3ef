//! Finds schedules, proves how good they are, and says what conflicts.
//!
//! This folder is the only place that names the constraint solver (lazy clause generation; the
//! `pumpkin` crates). What leaves it is plain data again.

mod changed;
mod descend;
mod distances;
mod energy;
mod explain;
mod likeness;
mod loose;
mod model;
mod moment;
mod objective;
mod parted;
mod paths;
mod pauses;
mod post;
mod renamed;
mod search;
mod tell_out;
mod time_table;

use pumpkin_conflict_resolvers::resolvers::{AnalysisMode, ResolutionResolver};
use pumpkin_core::branching::Brancher;
use pumpkin_core::branching::branchers::autonomous_search::AutonomousSearch;
use pumpkin_core::branching::branchers::dynamic_brancher::DynamicBrancher;
use pumpkin_core::branching::branchers::warm_start::WarmStart;
use pumpkin_core::predicates::Predicate;
use pumpkin_core::results::{ProblemSolution, SatisfactionResultUnderAssumptions};
use pumpkin_core::variables::{DomainId, Literal};

use descend::{Guide, lexicographic};
pub use explain::{Conflict, Relief, explain, relief};
use loose::{Things, loose};
use model::Model;
use search::{Forwards, Noting, Steps};

use super::problem::Problem;
use super::schedule::{Budget, Outcome, Schedule};

/// Finds the best schedule: each term of the objective as small as the terms before it leave room
/// for.
///
/// The result depends on the problem and the budget alone.
#[must_use]
pub fn solve(problem: &Problem, budget: &Budget) -> Outcome {
    let mut outcome = best(problem, budget.per_term);
    if outcome.schedule.is_none() && budget.conflict > 0 {
        let conflict = explain(problem, budget.conflict);
        outcome.conflict = conflict.reasons;
        outcome.conflict_is_minimal = conflict.minimal;
        outcome.steps += conflict.steps;
    }
    outcome
}

/// Large classes are looked at with things alike counted only, and then as they are: what is the least is far easier to show there, and
/// the plan is known but for who is in which oven.
fn best(problem: &Problem, steps: u64) -> Outcome {
    let fresh = problem.hints.warm.is_none();
    let Some(loose) = fresh.then(|| loose(problem)).flatten() else {
        return lexicographic(problem, steps, Things::Each, None).0;
    };
    let (counted, parts) = lexicographic(&loose.problem, steps, Things::Counted, None);
    if counted.impossible || counted.no_better {
        return counted;
    }
    let told_out = counted.schedule.as_ref().map(|it| loose.told_out(problem, it));
    let guide = told_out.as_ref().map(|it| Guide { schedule: it, terms: &counted.terms, parts: &parts });
    let (outcome, _) = lexicographic(problem, steps, Things::Each, guide.as_ref());
    Outcome { steps: counted.steps + outcome.steps, ..outcome }
}

/// The solver with a model, and what is carried from one question to the next.
struct Engine {
    model: Model,
    brancher: Noting,
    resolver: ResolutionResolver,
    steps: Steps,
    /// What the last plan cost that was found.
    last_plan: u64,
    /// Whether it is to be said which assumptions can't hold together; none of them may then be the opposite of another.
    names_cores: bool,
}

/// What a question brought.
enum Answer {
    Found(Schedule),
    Impossible(Vec<Predicate>),
    Unknown,
}

impl Engine {
    fn new(problem: &Problem, model: Model, warm: Option<&Schedule>, guide: Option<&Schedule>) -> Engine {
        let steps = Steps::default();
        let forwards = Forwards::new(problem, &model, guide);
        let mut branchers: Vec<Box<dyn Brancher>> = Vec::new();
        if let Some(warm) = warm {
            branchers.push(Box::new(follow(&model, warm)));
        }
        branchers.push(Box::new(AutonomousSearch::new(forwards)));
        let brancher = Noting::new(DynamicBrancher::new(branchers), &steps, &model, guide);
        Engine {
            model,
            brancher,
            resolver: ResolutionResolver::new(AnalysisMode::OneUIP, true, true),
            steps,
            last_plan: 0,
            names_cores: false,
        }
    }

    /// Steps enough for a plan that is not hard to find: the decisions of the last one, and some room.
    fn plan_costs(&self) -> u64 {
        self.last_plan + self.last_plan / 4
    }

    /// Looks for a schedule in which the assumptions hold, for so many steps.
    fn ask(&mut self, assumptions: &[Predicate], steps: u64) -> Answer {
        if !self.model.possible() {
            return Answer::Impossible(Vec::new());
        }
        if steps == 0 {
            return Answer::Unknown;
        }
        let before = self.steps.spent;
        self.steps.limit = before + steps;
        self.steps.decided.set(false);
        let Model { solver, start, end, ways, .. } = &mut self.model;
        let result = solver.satisfy_under_assumptions(
            &mut self.brancher,
            &mut self.steps,
            &mut self.resolver,
            assumptions,
        );
        match result {
            SatisfactionResultUnderAssumptions::Satisfiable(found) => {
                self.last_plan = self.steps.spent - before;
                let solution = found.solution();
                let slot =
                    |moment: &moment::Moment| solution.get_integer_value(moment.variable) + moment.plus;
                let chosen = |literals: &Vec<Literal>| {
                    let is = |literal: &Literal| solution.get_literal_value(*literal);
                    literals.iter().position(is).unwrap_or(0)
                };
                Answer::Found(Schedule {
                    start: start.iter().map(slot).collect(),
                    end: end.iter().map(slot).collect(),
                    way: ways.iter().map(chosen).collect(),
                })
            }
            SatisfactionResultUnderAssumptions::UnsatisfiableUnderAssumptions(mut core) => {
                let named = if self.names_cores { core.extract_core().into_vec() } else { Vec::new() };
                Answer::Impossible(named)
            }
            SatisfactionResultUnderAssumptions::Unsatisfiable(_) => Answer::Impossible(Vec::new()),
            SatisfactionResultUnderAssumptions::Unknown(_) => Answer::Unknown,
        }
    }
}

/// Follows a schedule as far as it fits.
fn follow(model: &Model, warm: &Schedule) -> WarmStart<DomainId> {
    let mut variables = Vec::new();
    let mut values = Vec::new();
    for (task, ways) in model.ways.iter().enumerate() {
        for (place, literal) in ways.iter().enumerate() {
            let predicate = literal.get_true_predicate();
            let holds = warm.way.get(task) == Some(&place);
            variables.push(predicate.get_domain());
            values.push(i32::from(holds == predicate.is_lower_bound_predicate()));
        }
    }
    for (moments, slots) in [(&model.start, &warm.start), (&model.end, &warm.end)] {
        for (moment, slot) in moments.iter().zip(slots) {
            variables.push(moment.variable);
            values.push(slot - moment.plus);
        }
    }
    WarmStart::new(&variables, &values)
}
