//! How the solver looks for plans, and when it stops.

use std::cell::Cell;
use std::collections::BTreeMap;
use std::rc::Rc;

use pumpkin_core::branching::branchers::dynamic_brancher::DynamicBrancher;
use pumpkin_core::branching::{Brancher, BrancherEvent, SelectionContext};
use pumpkin_core::predicate;
use pumpkin_core::predicates::{Predicate, PredicateType};
use pumpkin_core::results::SolutionReference;
use pumpkin_core::termination::TerminationCondition;
use pumpkin_core::variables::{DomainId, Literal};

use super::model::Model;
use super::moment::Moment;
use crate::reckon::plan::problem::Problem;
use crate::reckon::plan::schedule::Schedule;

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

/// A brancher that notes whether a decision stands; and that decides as a plan does which is known for another problem much like this
/// one, until there is a plan of its own.
#[derive(Debug)]
pub(super) struct Noting {
    inner: DynamicBrancher,
    decided: Rc<Cell<bool>>,
    /// What that plan says, by the number of the variable.
    known: BTreeMap<u32, i32>,
}

impl Noting {
    pub(super) fn new(
        inner: DynamicBrancher,
        steps: &Steps,
        model: &Model,
        guide: Option<&Schedule>,
    ) -> Noting {
        let mut known = BTreeMap::new();
        if let Some(guide) = guide {
            for (moments, slots) in [(&model.start, &guide.start), (&model.end, &guide.end)] {
                let all = moments.iter().zip(slots);
                known.extend(all.map(|(moment, slot)| (moment.variable.id(), slot - moment.plus)));
            }
        }
        Noting { inner, decided: Rc::clone(&steps.decided), known }
    }

    fn is_against(&self, decision: Predicate) -> bool {
        self.known.get(&decision.get_domain().id()).is_some_and(|value| {
            let right = decision.get_right_hand_side();
            match decision.get_predicate_type() {
                PredicateType::LowerBound => *value < right,
                PredicateType::UpperBound => *value > right,
                PredicateType::NotEqual => *value == right,
                PredicateType::Equal => *value != right,
            }
        })
    }
}

impl Brancher for Noting {
    fn next_decision(&mut self, context: &mut SelectionContext) -> Option<Predicate> {
        let decision = self.inner.next_decision(context);
        let decision = decision.map(|it| if self.is_against(it) { !it } else { it });
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
        self.known.clear();
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
        for event in [BrancherEvent::Backtrack, BrancherEvent::Solution] {
            if !events.contains(&event) {
                events.push(event);
            }
        }
        events
    }
}

/// Builds a plan forwards: of the tasks that are not placed yet the one that can start first, in
/// its first way, as early and as short as can be. Then everything else, as small as can be.
#[derive(Clone, Debug)]
pub(super) struct Forwards {
    /// Tasks in the order of their rank when they can start at the same time.
    tasks: Vec<Open>,
    /// So many numbers of the solver, from the first on, are fixed since the last step back.
    fixed: usize,
}

impl Forwards {
    pub(super) fn new(problem: &Problem, model: &Model, guide: Option<&Schedule>) -> Forwards {
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
        for (task, way) in guide.iter().flat_map(|guide| guide.way.iter().enumerate()) {
            if let Some(first) = model.ways[task].get(*way).copied() {
                ways[task].retain(|literal| *literal != first);
                ways[task].insert(0, first);
            }
        }
        let known =
            |slots: &[i32], task: usize, moment: Moment| slots.get(task).map(|slot| slot - moment.plus);
        let tasks = order
            .into_iter()
            .map(|task| {
                let (start, end) = (model.start[task], model.end[task]);
                let at = guide.and_then(|guide| known(&guide.start, task, start));
                let until = guide.and_then(|guide| known(&guide.end, task, end));
                Open { moments: [(start, at), (end, until)], ways: std::mem::take(&mut ways[task]) }
            })
            .collect();
        Forwards { tasks, fixed: 0 }
    }
}

/// What may be open about a task: its moments, each with what a plan says of its variable that is known already, and its ways.
#[derive(Clone, Debug)]
struct Open {
    moments: [(Moment, Option<i32>); 2],
    ways: Vec<Literal>,
}

impl Open {
    /// When it starts at the earliest, and at the latest, as near to the plan that is known as can be.
    fn earliest(&self, context: &SelectionContext) -> (i32, i32) {
        let (start, known) = self.moments[0];
        let (least, most) = (context.lower_bound(start.variable), context.upper_bound(start.variable));
        (known.unwrap_or(least).clamp(least, most) + start.plus, most + start.plus)
    }

    /// What is still open about it, if anything. When it is done comes first where a plan is known, since that leaves few ways.
    fn decision(&self, context: &SelectionContext) -> Option<Predicate> {
        let undecided = |literal: &&Literal| !context.is_predicate_assigned(literal.get_true_predicate());
        let way = || self.ways.iter().find(undecided).map(|way| way.get_true_predicate());
        let moment =
            || self.moments.iter().find_map(|(moment, known)| placed(context, moment.variable, *known));
        if self.moments[0].1.is_some() { moment().or_else(way) } else { way().or_else(moment) }
    }
}

/// As early as can be, or as a plan has it that is known.
fn placed(context: &SelectionContext, variable: DomainId, known: Option<i32>) -> Option<Predicate> {
    if context.is_integer_fixed(variable) {
        return None;
    }
    let (least, most) = (context.lower_bound(variable), context.upper_bound(variable));
    let value = known.filter(|value| (least..=most).contains(value)).unwrap_or(least);
    Some(if value < most { predicate![variable <= value] } else { predicate![variable >= value] })
}

impl Brancher for Forwards {
    fn next_decision(&mut self, context: &mut SelectionContext) -> Option<Predicate> {
        let mut first: Option<((i32, i32), Predicate)> = None;
        for task in &self.tasks {
            let earliest = task.earliest(context);
            if first.is_none_or(|(slot, _)| earliest < slot)
                && let Some(decision) = task.decision(context)
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
