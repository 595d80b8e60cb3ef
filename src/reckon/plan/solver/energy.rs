//! A check for one resource: whether what must fit between two moments is more than there is.
//!
//! The time table sees only what is certainly there at one moment; twelve loads that must all go
//! through one oven in an hour show here, and at once. Of several ovens alike it counts how many loads go in one after another:
//! nine loads in eight ovens take two rounds, though there is room for more than nine by the sum of their minutes.

use pumpkin_core::declare_inference_label;
use pumpkin_core::predicates::{Predicate, PropositionalConjunction};
use pumpkin_core::proof::{ConstraintTag, InferenceCode};
use pumpkin_core::propagation::{
    DomainEvents, EventsToRegister, LocalId, Priority, PropagationContext, Propagator, PropagatorConstructor,
    PropagatorConstructorContext, PropagatorSpec, RuntimeCheckers,
};
use pumpkin_core::state::{Conflict, PropagationStatusCP, PropagatorConflict};

use super::time_table::{Stay, takes_place};

declare_inference_label!(TooMuchWork);

/// Posts an [`Energy`] check.
pub(super) struct EnergyOf {
    /// What takes some of the resource, and how many slots at least each stays.
    pub(super) stays: Vec<(Stay, i32)>,
    pub(super) capacity: i32,
    /// The capacity by units, where a stay is in one of several alike: what is in one of them has to follow there. Empty: there is one.
    pub(super) units: Vec<i32>,
    /// Spans in which some of the resource is missing, and how much; they don't overlap.
    pub(super) missing: Vec<(i32, i32, i32)>,
    /// The limit counts when all of these hold.
    pub(super) when: Vec<Predicate>,
    pub(super) tag: ConstraintTag,
}

impl PropagatorConstructor for EnergyOf {
    type PropagatorImpl = Energy;

    fn create(self, _: PropagatorConstructorContext) -> PropagatorSpec<Energy> {
        let mut registration = EventsToRegister::empty();
        let mut next = LocalId::from(0);
        let mut register = |variable: &_, events| {
            registration.add(variable, events, next);
            next = next.successor();
        };
        for (stay, _) in &self.stays {
            register(&stay.from.variable, DomainEvents::LOWER_BOUND);
            register(&stay.to.variable, DomainEvents::UPPER_BOUND);
        }
        let conditions = self.stays.iter().flat_map(|(stay, _)| &stay.when).chain(&self.when);
        let mut domains: Vec<_> = conditions.map(|it| it.get_domain()).collect();
        domains.sort_unstable_by_key(|domain| domain.id());
        domains.dedup();
        for domain in domains {
            register(&domain, DomainEvents::BOUNDS);
        }
        PropagatorSpec {
            registration,
            checkers: RuntimeCheckers::empty(),
            propagator: Energy {
                stays: self.stays,
                capacity: self.capacity,
                units: self.units,
                missing: self.missing,
                when: self.when,
                code: InferenceCode::new(self.tag, TooMuchWork),
            },
        }
    }
}

/// See the module.
#[derive(Clone, Debug)]
pub(super) struct Energy {
    stays: Vec<(Stay, i32)>,
    capacity: i32,
    units: Vec<i32>,
    missing: Vec<(i32, i32, i32)>,
    when: Vec<Predicate>,
    code: InferenceCode,
}

impl Energy {
    /// Slots times amount that are missing between two moments.
    fn missing_between(&self, from: i32, to: i32) -> i64 {
        self.missing
            .iter()
            .map(|(a, b, amount)| i64::from((to.min(*b) - from.max(*a)).max(0)) * i64::from(*amount))
            .sum()
    }

    /// How many stays of so many slots and so much go into the units between two moments, at most: one after another in each.
    fn most_stays(&self, slots: i32, amount: i32, long: i32) -> usize {
        if self.units.is_empty() {
            return usize::MAX;
        }
        let beside: i32 = self.units.iter().map(|unit| unit / amount.max(1)).sum();
        usize::try_from(beside.saturating_mul(slots / long.max(1))).unwrap_or(usize::MAX)
    }

    fn conflict(&self, inside: &[usize], from: i32, to: i32) -> PropagationStatusCP {
        let mut reason = self.when.clone();
        for place in inside {
            let stay = &self.stays[*place].0;
            reason.push(stay.from.at_least(from));
            reason.push(stay.to.at_most(to));
            reason.extend(&stay.when);
        }
        Err(Conflict::Propagator(PropagatorConflict {
            conjunction: PropositionalConjunction::from(reason),
            inference_code: self.code.clone(),
        }))
    }
}

impl Propagator for Energy {
    fn name(&self) -> &str {
        "Energy"
    }

    fn priority(&self) -> Priority {
        Priority::VeryLow
    }

    fn propagate_from_scratch(&self, context: PropagationContext) -> PropagationStatusCP {
        if !takes_place(&context, &self.when) {
            return Ok(());
        }
        let mut work: Vec<(i32, i32, i64, usize)> = Vec::new();
        for (place, (stay, least)) in self.stays.iter().enumerate() {
            if takes_place(&context, &stay.when) {
                let energy = i64::from(stay.amount) * i64::from(*least);
                work.push((stay.from.earliest(&context), stay.to.latest(&context), energy, place));
            }
        }
        work.sort_unstable_by_key(|(from, _, _, place)| (-from, *place));
        let amounts = work.iter().map(|(_, _, _, place)| self.stays[*place].0.amount);
        let longs = work.iter().map(|(_, _, _, place)| self.stays[*place].1);
        let (amount_most, long_most) = (amounts.max().unwrap_or(0), longs.max().unwrap_or(0));
        let missing_ever: i64 =
            self.missing.iter().map(|(from, to, amount)| i64::from(to - from) * i64::from(*amount)).sum();
        // What has to be over by each end, and how many stays that is.
        let mut ends: Vec<(i32, i64, usize)> =
            work.iter().map(|(_, to, energy, _)| (*to, *energy, 1)).collect();
        ends.sort_unstable();
        let (mut energy_by, mut stays_by) = (0, 0);
        for (_, energy, stays) in &mut ends {
            energy_by += *energy;
            stays_by += *stays;
            (*energy, *stays) = (energy_by, stays_by);
        }
        for (n, (end, energy_by, stays_by)) in ends.iter().enumerate() {
            if ends.get(n + 1).is_some_and(|next| next.0 == *end) {
                continue;
            }
            let mut total = 0;
            let (mut stays, mut amount, mut long) = (0, i32::MAX, i32::MAX);
            for (count, (from, to, energy, place)) in work.iter().enumerate() {
                let there = i64::from(self.capacity) * i64::from(end - from);
                // From here back to the first there is room for all that has to be over by then.
                if there >= energy_by + missing_ever
                    && *stays_by <= self.most_stays(end - from, amount_most, long_most)
                {
                    break;
                }
                if to > end {
                    continue;
                }
                total += energy;
                stays += 1;
                amount = amount.min(self.stays[*place].0.amount);
                long = long.min(self.stays[*place].1);
                let too_many = stays > self.most_stays(end - from, amount, long);
                if too_many || total > there || total + self.missing_between(*from, *end) > there {
                    let inside: Vec<usize> = work[..=count]
                        .iter()
                        .filter(|(_, to, _, _)| to <= end)
                        .map(|(_, _, _, place)| *place)
                        .collect();
                    return self.conflict(&inside, *from, *end);
                }
            }
        }
        Ok(())
    }
}
