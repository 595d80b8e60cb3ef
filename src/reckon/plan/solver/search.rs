//! How the solver looks for plans, and when it stops.

use std::cell::Cell;
use std::rc::Rc;

use pumpkin_core::branching::branchers::dynamic_brancher::DynamicBrancher;
use pumpkin_core::branching::{Brancher, BrancherEvent, SelectionContext};
use pumpkin_core::predicate;
use pumpkin_core::predicates::Predicate;
use pumpkin_core::results::SolutionReference;
use pumpkin_core::termination::TerminationCondition;
use pumpkin_core::variables::{DomainId, Literal};

use super::model::Model;
use super::moment::Moment;
use crate::reckon::plan::problem::Problem;

/// Counts the solver's steps (decisions and conflicts) and stops it at a limit, so that the same
/// problem gets the same work on every machine.
#[derive(Clone, Debug, Default)]
pub(super) struct Steps {
    pub(super) spent: u64,
    pub(super) limit: u64,
    /// A decision stands. The solver can't be asked again when it was stopped before any decision
    /// (pumpkin-core 0.5.0 then stays in its state "timeout"), so it is stopped after the next one.
    pub(super) decided: Rc<Cell<bool>>,
}

impl TerminationCondition for Steps {
    fn should_stop(&mut self) -> bool {
        if self.spent >= self.limit && self.decided.get() {
            return true;
        }
        self.spent += 1;
        false
    }
}

/// A brancher that notes whether a decision stands.
#[derive(Debug)]
pub(super) struct Noting {
    pub(super) inner: DynamicBrancher,
    pub(super) decided: Rc<Cell<bool>>,
}

impl Brancher for Noting {
    fn next_decision(&mut self, context: &mut SelectionContext) -> Option<Predicate> {
        let decision = self.inner.next_decision(context);
        self.decided.set(decision.is_some());
        decision
    }

    fn on_backtrack(&mut self) {
        self.decided.set(false);
        self.inner.on_backtrack();
    }

    fn on_conflict(&mut self) {
        self.inner.on_conflict();
    }

    fn on_solution(&mut self, solution: SolutionReference) {
        self.inner.on_solution(solution);
    }

    fn on_unassign_integer(&mut self, variable: DomainId, value: i32) {
        self.inner.on_unassign_integer(variable, value);
    }

    fn on_appearance_in_conflict_predicate(&mut self, predicate: Predicate) {
        self.inner.on_appearance_in_conflict_predicate(predicate);
    }

    fn on_restart(&mut self) {
        self.inner.on_restart();
    }

    fn synchronise(&mut self, context: &mut SelectionContext) {
        self.inner.synchronise(context);
    }

    fn is_restart_pointless(&mut self) -> bool {
        self.inner.is_restart_pointless()
    }

    fn subscribe_to_events(&self) -> Vec<BrancherEvent> {
        let mut events = self.inner.subscribe_to_events();
        if !events.contains(&BrancherEvent::Backtrack) {
            events.push(BrancherEvent::Backtrack);
        }
        events
    }
}

/// Builds a plan forwards: of the tasks that are not placed yet the one that can start first, in
/// its first way, as early and as short as can be. Then everything else, as small as can be.
#[derive(Clone, Debug)]
pub(super) struct Forwards {
    /// Tasks in the order of their rank when they can start at the same time.
    tasks: Vec<(Moment, Moment, Vec<Literal>)>,
    /// So many numbers of the solver, from the first on, are fixed since the last step back.
    fixed: usize,
}

impl Forwards {
    pub(super) fn new(problem: &Problem, model: &Model) -> Forwards {
        let mut rank = vec![usize::MAX; problem.tasks.len()];
        for (place, task) in problem.hints.order.iter().enumerate() {
            if let Some(rank) = rank.get_mut(task.0) {
                *rank = place.min(*rank);
            }
        }
        let mut order: Vec<usize> = (0..model.start.len()).collect();
        order.sort_by_key(|task| rank[*task]);
        let mut ways = model.ways.clone();
        for choice in problem.hints.ways.iter().rev() {
            let own = ways.get_mut(choice.task.0);
            if let (Some(own), Some(first)) = (own, model.chosen(*choice)) {
                own.retain(|literal| *literal != first);
                own.insert(0, first);
            }
        }
        let tasks = order
            .into_iter()
            .map(|task| (model.start[task], model.end[task], std::mem::take(&mut ways[task])))
            .collect();
        Forwards { tasks, fixed: 0 }
    }
}

/// What is still open about a task, if anything.
fn open(
    context: &SelectionContext,
    (start, end, ways): &(Moment, Moment, Vec<Literal>),
) -> Option<Predicate> {
    let undecided = |literal: &&Literal| !context.is_predicate_assigned(literal.get_true_predicate());
    if let Some(way) = ways.iter().find(undecided) {
        return Some(way.get_true_predicate());
    }
    for moment in [start, end] {
        if !context.is_integer_fixed(moment.variable) {
            let (variable, least) = (moment.variable, context.lower_bound(moment.variable));
            return Some(predicate![variable <= least]);
        }
    }
    None
}

impl Brancher for Forwards {
    fn next_decision(&mut self, context: &mut SelectionContext) -> Option<Predicate> {
        let mut first: Option<((i32, i32), Predicate)> = None;
        for task in &self.tasks {
            let earliest = context.lower_bound(task.0.variable) + task.0.plus;
            let latest = context.upper_bound(task.0.variable) + task.0.plus;
            let earliest = (earliest, latest);
            if first.is_none_or(|(slot, _)| earliest < slot)
                && let Some(decision) = open(context, task)
            {
                first = Some((earliest, decision));
            }
        }
        if let Some((_, decision)) = first {
            return Some(decision);
        }
        let mut domains = context.get_domains().skip(self.fixed);
        let open = domains.find(|domain| {
            let open = !context.is_integer_fixed(*domain);
            self.fixed += usize::from(!open);
            open
        })?;
        let least = context.lower_bound(open);
        Some(predicate![open <= least])
    }

    fn on_backtrack(&mut self) {
        self.fixed = 0;
    }

    fn subscribe_to_events(&self) -> Vec<BrancherEvent> {
        vec![BrancherEvent::Backtrack]
    }
}
