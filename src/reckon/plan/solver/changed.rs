//! Which of the things that a propagator looks at have changed since it last did: the others it knows still.

use pumpkin_core::propagation::LocalId;

/// The changes that a propagator was told and has not looked at yet.
#[derive(Clone, Debug, Default)]
pub(super) struct Changed {
    /// By the number under which a change is told, the things that it concerns.
    concerns: Vec<Vec<usize>>,
    noted: Vec<bool>,
    waiting: Vec<usize>,
    /// The solver went back: everything may be another.
    went_back: bool,
}

impl Changed {
    /// Nothing of so many things was looked at yet.
    pub(super) fn of(things: usize) -> Changed {
        Changed { noted: vec![false; things], went_back: true, ..Changed::default() }
    }

    /// The number under which a change of these things is told.
    pub(super) fn number(&mut self, things: Vec<usize>) -> LocalId {
        self.concerns.push(things);
        LocalId::from(u32::try_from(self.concerns.len() - 1).unwrap_or(u32::MAX))
    }

    pub(super) fn note(&mut self, number: LocalId) {
        for thing in self.concerns.get(number.unpack() as usize).into_iter().flatten() {
            if !self.noted[*thing] {
                self.noted[*thing] = true;
                self.waiting.push(*thing);
            }
        }
    }

    /// The solver went back. What was told before and not looked at is as it was.
    pub(super) fn go_back(&mut self) {
        self.went_back = true;
        for thing in self.waiting.drain(..) {
            self.noted[thing] = false;
        }
    }

    /// Whether the solver went back since this was last asked, and what has changed since then.
    pub(super) fn take(&mut self, changed: &mut Vec<usize>) -> bool {
        changed.clear();
        for thing in &self.waiting {
            self.noted[*thing] = false;
        }
        std::mem::swap(changed, &mut self.waiting);
        std::mem::take(&mut self.went_back)
    }
}

#[cfg(test)]
mod tests {
    use pumpkin_core::predicate;
    use pumpkin_core::predicates::Predicate;
    use pumpkin_core::propagation::{
        EnqueueDecision, NotificationContext, OpaqueDomainEvent, PropagationContext, Propagator,
        PropagatorConstructor, PropagatorConstructorContext, PropagatorSpec,
    };
    use pumpkin_core::state::{PropagationStatusCP, State};
    use pumpkin_core::variables::DomainId;

    use super::*;
    use crate::reckon::plan::solver::energy::EnergyOf;
    use crate::reckon::plan::solver::moment::Moment;
    use crate::reckon::plan::solver::time_table::{Stay, TimeTableOf};

    /// A propagator that never relies on what it knew.
    #[derive(Clone, Debug)]
    struct Afresh<P>(P);

    struct AfreshOf<C>(C);

    impl<C: PropagatorConstructor> PropagatorConstructor for AfreshOf<C>
    where
        C::PropagatorImpl: Clone,
    {
        type PropagatorImpl = Afresh<C::PropagatorImpl>;

        fn create(self, context: PropagatorConstructorContext) -> PropagatorSpec<Self::PropagatorImpl> {
            let PropagatorSpec { registration, checkers, propagator } = self.0.create(context);
            PropagatorSpec { registration, checkers, propagator: Afresh(propagator) }
        }
    }

    impl<P: Propagator + Clone> Propagator for Afresh<P> {
        fn name(&self) -> &str {
            self.0.name()
        }

        fn notify(&mut self, _: NotificationContext, _: LocalId, _: OpaqueDomainEvent) -> EnqueueDecision {
            EnqueueDecision::Enqueue
        }

        fn propagate(&mut self, context: PropagationContext) -> PropagationStatusCP {
            self.0.propagate_from_scratch(context)
        }

        fn propagate_from_scratch(&self, context: PropagationContext) -> PropagationStatusCP {
            self.0.propagate_from_scratch(context)
        }
    }

    /// Numbers that are the same in every run.
    struct Draw(u64);

    impl Draw {
        /// From `least` to `most`.
        fn of(&mut self, least: i32, most: i32) -> i32 {
            self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            let range = u64::from((most - least + 1).unsigned_abs());
            least + i32::try_from((self.0 >> 33) % range).expect("it is small")
        }
    }

    #[derive(Clone, Copy, Debug)]
    enum Which {
        TimeTable,
        Energy,
        EnergyOfSeveral,
    }

    /// A few stays with one of the checks; the same for the same seed. Gives what can be decided, too.
    fn stays(which: Which, seed: u64, afresh: bool) -> (State, Vec<DomainId>) {
        let mut draw = Draw(seed);
        let mut state = State::default();
        let tag = state.new_constraint_tag();
        let mut open = Vec::new();
        let mut stays = Vec::new();
        let all_on = state.new_literal(None).get_true_predicate();
        for _ in 0..draw.of(5, 8) {
            let mut moment = |least, most| Moment {
                node: 0,
                variable: state.new_interval_variable(least, most, None),
                plus: draw.of(0, 2),
            };
            let (from, to) = (moment(0, 12), moment(1, 15));
            open.extend([from.variable, to.variable]);
            let mut when = Vec::new();
            for _ in 0..draw.of(0, 2) / 2 {
                let condition = state.new_literal(None).get_true_predicate();
                open.push(condition.get_domain());
                when.push(condition);
            }
            stays.push((Stay { from, to, amount: draw.of(1, 3), when }, draw.of(1, 5)));
        }
        let limited = draw.of(0, 3) == 0;
        if limited {
            open.push(all_on.get_domain());
        }
        let when: Vec<Predicate> = limited.then_some(all_on).into_iter().collect();
        let missing = if draw.of(0, 1) == 0 { vec![(3, 5, 1), (8, 9, 2)] } else { Vec::new() };
        let capacity = draw.of(3, 4);
        match which {
            Which::TimeTable => {
                let stays = stays.into_iter().map(|(stay, _)| stay).collect();
                post(&mut state, TimeTableOf { stays, capacity, missing, when, tag }, afresh);
            }
            Which::Energy => {
                post(&mut state, EnergyOf { stays, capacity, units: Vec::new(), missing, when, tag }, afresh);
            }
            Which::EnergyOfSeveral => {
                let units = vec![3; 2];
                post(
                    &mut state,
                    EnergyOf { stays, capacity: 6, units, missing: Vec::new(), when, tag },
                    afresh,
                );
            }
        }
        (state, open)
    }

    fn post<C>(state: &mut State, constructor: C, afresh: bool)
    where
        C: PropagatorConstructor,
        C::PropagatorImpl: Clone,
    {
        if afresh {
            state.add_propagator(AfreshOf(constructor));
        } else {
            state.add_propagator(constructor);
        }
    }

    /// Decides and goes back at random: what follows is the same whether what was known is kept or not. Gives how often something was
    /// too much, and how often something followed.
    fn walk(which: Which, seed: u64) -> (usize, usize) {
        let mut both = [stays(which, seed, false), stays(which, seed, true)];
        let mut draw = Draw(seed ^ 0x5eed);
        let (mut refused, mut followed) = (0, 0);
        let possible = both.each_mut().map(|(state, _)| state.propagate_to_fixed_point().is_ok());
        assert_eq!(possible[0], possible[1], "{which:?}, seed {seed}");
        if !possible[0] {
            return (1, 0);
        }
        for step in 0..120 {
            let open = both[0].1.clone();
            let bounds = |state: &State| -> Vec<(i32, i32)> {
                open.iter().map(|it| (state.lower_bound(*it), state.upper_bound(*it))).collect()
            };
            let variable =
                open[usize::try_from(draw.of(0, 1_000)).expect("none is less than 0") % open.len()];
            let (least, most) = (both[0].0.lower_bound(variable), both[0].0.upper_bound(variable));
            let value = draw.of(least, most);
            let decision = if draw.of(0, 1) == 0 {
                predicate![variable >= value]
            } else {
                predicate![variable <= value]
            };
            let mut before = Vec::new();
            let results = both.each_mut().map(|(state, _)| {
                state.new_checkpoint();
                state.post(decision).expect("the value is one of those left");
                before = bounds(state);
                state.propagate_to_fixed_point().is_ok()
            });
            assert_eq!(results[0], results[1], "{which:?}, seed {seed}, step {step}: {decision:?}");
            let level = both[0].0.get_checkpoint();
            if results[0] {
                assert_eq!(bounds(&both[0].0), bounds(&both[1].0), "{which:?}, seed {seed}, step {step}");
                followed += usize::from(before != bounds(&both[0].0));
            } else {
                refused += 1;
            }
            if !results[0] || draw.of(0, 4) == 0 {
                let most = i32::try_from(level - 1).expect("few decisions stand");
                let back = usize::try_from(draw.of(0, most))
                    .expect("none is less than 0")
                    .max(level.saturating_sub(4));
                let back = back.min(level - 1);
                for (state, _) in &mut both {
                    state.restore_to(back);
                }
            }
        }
        (refused, followed)
    }

    #[test]
    fn what_follows_is_the_same_whether_what_was_known_is_kept_or_not() {
        for which in [Which::TimeTable, Which::Energy, Which::EnergyOfSeveral] {
            let (mut refused, mut followed) = (0, 0);
            for seed in 0..300 {
                let (one, other) = walk(which, seed);
                refused += one;
                followed += other;
            }
            assert!(refused > 0, "{which:?} refused nothing");
            // Only the time table draws conclusions about when something is.
            assert_eq!(followed > 100, matches!(which, Which::TimeTable), "{which:?}: {followed} followed");
        }
    }
}
