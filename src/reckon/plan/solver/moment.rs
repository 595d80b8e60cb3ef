//! A moment in the solver's terms: one of its variables, and some slots later.

use pumpkin_core::predicate;
use pumpkin_core::predicates::Predicate;
use pumpkin_core::propagation::ReadDomains;
use pumpkin_core::variables::{AffineView, DomainId, TransformableVariable};

/// A variable, numbered in the order of creation, and a distance from it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Moment {
    /// Its number among the moments that are variables.
    pub(super) node: usize,
    pub(super) variable: DomainId,
    pub(super) plus: i32,
}

impl Moment {
    pub(super) fn later(self, slots: i32) -> Moment {
        Moment { plus: self.plus + slots, ..self }
    }

    pub(super) fn view(self) -> AffineView<DomainId> {
        self.variable.scaled(1).offset(self.plus)
    }

    pub(super) fn at_least(self, slot: i32) -> Predicate {
        let (variable, bound) = (self.variable, slot - self.plus);
        predicate![variable >= bound]
    }

    pub(super) fn at_most(self, slot: i32) -> Predicate {
        let (variable, bound) = (self.variable, slot - self.plus);
        predicate![variable <= bound]
    }

    pub(super) fn earliest(self, domains: &impl ReadDomains) -> i32 {
        domains.lower_bound(&self.variable) + self.plus
    }

    pub(super) fn latest(self, domains: &impl ReadDomains) -> i32 {
        domains.upper_bound(&self.variable) + self.plus
    }
}
