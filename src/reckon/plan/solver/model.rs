//! The problem in the solver's terms: variables, conditions, and the few kinds of constraint that
//! everything else is put together from.

use std::collections::BTreeMap;

use pumpkin_constraints as constraints;
use pumpkin_core::Solver;
use pumpkin_core::options::{LearningOptions, RestartOptions, SolverOptions};
use pumpkin_core::predicates::Predicate;
use pumpkin_core::proof::ConstraintTag;
use pumpkin_core::variables::{AffineView, DomainId, Literal};

use super::distances::{Between, DistancesOf};
use super::moment::Moment;
use super::paths::Paths;
use crate::reckon::plan::problem::{Choice, Point, Problem, Reason, ReasonId, Side};

/// When a constraint is in force.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum When {
    Always,
    Never,
    If(Literal),
}

impl When {
    /// The conditions as a list of predicates that must all hold; empty is always.
    pub(super) fn predicates(self) -> Vec<Predicate> {
        match self {
            When::If(literal) => vec![literal.get_true_predicate()],
            When::Always | When::Never => Vec::new(),
        }
    }
}

/// What the named reasons are for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Reasons {
    /// They always hold.
    Hold,
    /// Each can be set aside, so that one can ask which of them conflict.
    Asked,
}

/// The problem in the solver's terms.
pub(super) struct Model {
    pub(super) solver: Solver,
    tag: ConstraintTag,
    pub(super) start: Vec<Moment>,
    pub(super) end: Vec<Moment>,
    pub(super) ways: Vec<Vec<Literal>>,
    /// For each named reason, what assumes that it holds; empty when reasons always hold.
    pub(super) assumed: Vec<Literal>,
    pub(super) paths: Paths,
    /// False as soon as the problem is seen to have no solution.
    possible: bool,
    /// Distances that are not in the solver yet.
    waiting: Vec<Between>,
    all_of: BTreeMap<Vec<(u32, bool)>, Literal>,
}

impl Model {
    /// The tasks, without any constraint between them.
    pub(super) fn new(problem: &Problem, reasons: Reasons) -> Model {
        let mut solver = Solver::with_options(SolverOptions {
            restart_options: RestartOptions {
                min_num_conflicts_before_first_restart: 200,
                ..RestartOptions::default()
            },
            learning_options: LearningOptions::default(),
            memory_preallocated: 1,
            ..SolverOptions::default()
        });
        let tag = solver.new_constraint_tag();
        let mut model = Model {
            solver,
            tag,
            start: Vec::new(),
            end: Vec::new(),
            ways: Vec::new(),
            assumed: Vec::new(),
            paths: Paths::default(),
            possible: true,
            waiting: Vec::new(),
            all_of: BTreeMap::new(),
        };
        if reasons == Reasons::Asked {
            model.assumed = problem.reasons.iter().map(|_| model.literal()).collect();
        }
        for task in &problem.tasks {
            let least = task.ways.iter().map(|way| way.least).min();
            let most = task.ways.iter().map(|way| way.most).max();
            let (Some(least), Some(most)) = (least, most) else {
                model.possible = false;
                continue;
            };
            let start = model.moment(0, problem.horizon - least);
            let end = if least == most { start.later(least) } else { model.moment(least, problem.horizon) };
            model.start.push(start);
            model.end.push(end);
            let ways = model.one_of(task.ways.len());
            model.ways.push(ways);
        }
        model
    }

    /// Whether there may still be a solution.
    pub(super) fn possible(&self) -> bool {
        self.possible && !self.solver.is_inconsistent()
    }

    /// From now on there is no solution.
    pub(super) fn give_up(&mut self) {
        self.possible = false;
    }

    /// Draws what follows at once; false when that shows that there is no solution.
    pub(super) fn settle(&mut self) -> bool {
        if self.possible() {
            if !self.waiting.is_empty() {
                let all = std::mem::take(&mut self.waiting);
                let _ = self.solver.add_propagator(DistancesOf { all, tag: self.tag });
            }
            self.possible = self.solver.propagate_to_fixpoint()
                != pumpkin_core::results::CSPSolverExecutionFlag::Infeasible;
        }
        self.possible()
    }

    /// A new whole number from `least` to `most`.
    pub(super) fn integer(&mut self, least: i32, most: i32) -> DomainId {
        if least > most {
            self.possible = false;
        }
        if self.possible() {
            self.solver.new_bounded_integer(least, most)
        } else {
            // Nothing will be asked of it any more.
            Predicate::trivially_true().get_domain()
        }
    }

    /// A new moment from `least` to `most`.
    pub(super) fn moment(&mut self, least: i32, most: i32) -> Moment {
        let variable = self.integer(least, most);
        let node = self.paths.grow();
        Moment { node, variable, plus: 0 }
    }

    /// A new condition that the solver decides.
    pub(super) fn literal(&mut self) -> Literal {
        Literal::new(self.integer(0, 1))
    }

    fn one_of(&mut self, count: usize) -> Vec<Literal> {
        match count {
            1 => vec![self.solver.get_true_literal()],
            2 => {
                let first = self.literal();
                vec![first, !first]
            }
            _ => {
                let all: Vec<Literal> = (0..count).map(|_| self.literal()).collect();
                self.clause(all.iter().map(|literal| literal.get_true_predicate()).collect());
                for (place, one) in all.iter().enumerate() {
                    for other in &all[place + 1..] {
                        self.clause(vec![one.get_false_predicate(), other.get_false_predicate()]);
                    }
                }
                all
            }
        }
    }

    /// The moment of a point.
    pub(super) fn at(&self, point: Point) -> Moment {
        let side = match point.side {
            Side::Start => &self.start,
            Side::End => &self.end,
        };
        side[point.task.0].later(point.plus)
    }

    /// Whether a way is chosen.
    pub(super) fn chosen(&self, choice: Choice) -> Option<Literal> {
        self.ways[choice.task.0].get(choice.way).copied()
    }

    /// When something holds that depends on ways, for a reason.
    pub(super) fn when(&mut self, only_if: &[Choice], reason: Reason) -> When {
        let mut all = Vec::new();
        for choice in only_if {
            match self.chosen(*choice) {
                Some(literal) => all.push(literal),
                None => return When::Never,
            }
        }
        if let Reason::Named(ReasonId(reason)) = reason {
            all.extend(self.assumed.get(reason));
        }
        self.all_of(&all)
    }

    /// What must all be true for something to hold that depends on ways, for a reason; `None`: it never does.
    pub(super) fn conditions(&self, only_if: &[Choice], reason: Reason) -> Option<Vec<Predicate>> {
        let mut all = only_if.iter().map(|choice| self.chosen(*choice)).collect::<Option<Vec<Literal>>>()?;
        if let Reason::Named(ReasonId(reason)) = reason {
            all.extend(self.assumed.get(reason));
        }
        let always = self.solver.get_true_literal();
        if all.contains(&!always) {
            return None;
        }
        all.retain(|literal| *literal != always);
        Some(all.iter().map(|literal| literal.get_true_predicate()).collect())
    }

    /// When all of these hold.
    pub(super) fn all_of(&mut self, all: &[Literal]) -> When {
        let always = self.solver.get_true_literal();
        let name = |literal: &Literal| {
            let held = literal.get_true_predicate();
            (held.get_domain().id(), held.is_lower_bound_predicate())
        };
        let mut named: BTreeMap<(u32, bool), Literal> = BTreeMap::new();
        for literal in all {
            if *literal == !always || named.contains_key(&name(&!*literal)) {
                return When::Never;
            }
            if *literal != always {
                named.insert(name(literal), *literal);
            }
        }
        let literals: Vec<Literal> = named.values().copied().collect();
        match literals.as_slice() {
            [] => When::Always,
            [one] => When::If(*one),
            several => {
                let key: Vec<(u32, bool)> = named.keys().copied().collect();
                if let Some(known) = self.all_of.get(&key) {
                    return When::If(*known);
                }
                let whole = self.literal();
                let mut back = vec![whole.get_true_predicate()];
                for part in several {
                    self.clause(vec![whole.get_false_predicate(), part.get_true_predicate()]);
                    back.push(part.get_false_predicate());
                }
                self.clause(back);
                self.all_of.insert(key, whole);
                When::If(whole)
            }
        }
    }

    /// When both hold.
    pub(super) fn both(&mut self, one: When, other: When) -> When {
        match (one, other) {
            (When::Never, _) | (_, When::Never) => When::Never,
            (When::Always, when) | (when, When::Always) => when,
            (When::If(one), When::If(other)) => self.all_of(&[one, other]),
        }
    }

    /// At least one of these holds.
    pub(super) fn clause(&mut self, any: Vec<Predicate>) {
        if any.is_empty() {
            self.possible = false;
        }
        if self.possible() {
            self.solver.add_clause(any, self.tag);
        }
    }

    /// At least one of these holds, when the condition does.
    pub(super) fn clause_when(&mut self, when: When, mut any: Vec<Predicate>) {
        match when {
            When::Never => return,
            When::Always => {}
            When::If(literal) => any.push(literal.get_false_predicate()),
        }
        self.clause(any);
    }

    /// `to - from >= least`, when the condition holds; from the next [`Model::settle`] on.
    pub(super) fn apart(&mut self, from: Moment, to: Moment, least: i32, when: When) {
        if when == When::Never {
            return;
        }
        let need = least + from.plus - to.plus;
        if from.variable == to.variable {
            if need > 0 {
                self.clause_when(when, Vec::new());
            }
            return;
        }
        if when == When::Always {
            self.paths.add(from.node, to.node, need);
        }
        let when = when.predicates().first().copied();
        self.waiting.push(Between { from: from.variable, to: to.variable, least: need, when });
    }

    /// The sum is at most `most`, when the condition holds.
    pub(super) fn sum_at_most(&mut self, terms: Vec<AffineView<DomainId>>, most: i32, when: When) {
        if !self.possible() || when == When::Never {
            return;
        }
        let poster = self.solver.add_constraint(constraints::less_than_or_equals(terms, most, self.tag));
        match when {
            When::If(literal) => poster.implied_by(literal),
            When::Always | When::Never => poster.post(),
        }
    }

    /// `latest` is the latest of these, exactly.
    pub(super) fn exactly_latest(&mut self, all: Vec<AffineView<DomainId>>, latest: AffineView<DomainId>) {
        if self.possible() {
            self.solver.add_constraint(constraints::maximum(all, latest, self.tag)).post();
        }
    }

    /// The tag under which all of our constraints go: we keep no proofs.
    pub(super) fn tag(&self) -> ConstraintTag {
        self.tag
    }
}
