//! One propagator for many distances "this moment comes at least so long after that one", some of them under a condition.
//!
//! Most of a class is made of such distances: a thousand and more of them for each lesson, two for each pair of tasks that want the same
//! hands. One propagator that looks only at those whose moments have moved is several times as fast as one for each.

use std::collections::BTreeMap;

use pumpkin_core::declare_inference_label;
use pumpkin_core::predicate;
use pumpkin_core::predicates::Predicate;
use pumpkin_core::proof::{ConstraintTag, InferenceCode};
use pumpkin_core::propagation::{
    DomainEvents, EnqueueDecision, EventsToRegister, ExplanationContext, LazyExplanation, LocalId,
    NotificationContext, OpaqueDomainEvent, Priority, PropagationContext, Propagator, PropagatorConstructor,
    PropagatorConstructorContext, PropagatorSpec, ReadDomains, RuntimeCheckers,
};
use pumpkin_core::state::PropagationStatusCP;
use pumpkin_core::variables::DomainId;

declare_inference_label!(Distance);

/// `to - from >= least`, when the condition holds.
#[derive(Clone, Copy, Debug)]
pub(super) struct Between {
    pub(super) from: DomainId,
    pub(super) to: DomainId,
    pub(super) least: i32,
    pub(super) when: Option<Predicate>,
}

/// Posts [`Distances`].
pub(super) struct DistancesOf {
    pub(super) all: Vec<Between>,
    pub(super) tag: ConstraintTag,
}

impl PropagatorConstructor for DistancesOf {
    type PropagatorImpl = Distances;

    fn create(self, _: PropagatorConstructorContext) -> PropagatorSpec<Distances> {
        let mut registration = EventsToRegister::empty();
        let mut watched: Vec<Vec<usize>> = Vec::new();
        let mut known: BTreeMap<(u32, Change), usize> = BTreeMap::new();
        let mut changes: Vec<Change> = Vec::new();
        for (place, one) in self.all.iter().enumerate() {
            let condition = one.when.map(|when| (when.get_domain(), Change::Condition));
            for (domain, change) in
                [(one.from, Change::Earliest), (one.to, Change::Latest)].into_iter().chain(condition)
            {
                let number = *known.entry((domain.id(), change)).or_insert_with(|| {
                    let events = match change {
                        Change::Earliest => DomainEvents::LOWER_BOUND,
                        Change::Latest => DomainEvents::UPPER_BOUND,
                        Change::Condition => DomainEvents::BOUNDS,
                    };
                    let number = watched.len();
                    registration.add(
                        &domain,
                        events,
                        LocalId::from(u32::try_from(number).unwrap_or(u32::MAX)),
                    );
                    watched.push(Vec::new());
                    changes.push(change);
                    number
                });
                watched[number].push(place);
            }
        }
        PropagatorSpec {
            registration,
            checkers: RuntimeCheckers::empty(),
            propagator: Distances {
                all: self.all,
                changes,
                changed: Vec::new(),
                noted: vec![false; watched.len()],
                watched,
                fresh: true,
                reason: Vec::new(),
                code: InferenceCode::new(self.tag, Distance),
            },
        }
    }
}

/// What about a variable has changed.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
enum Change {
    Earliest,
    Latest,
    Condition,
}

/// See the module.
#[derive(Clone, Debug)]
pub(super) struct Distances {
    all: Vec<Between>,
    /// What may change, by the number under which it is told.
    changes: Vec<Change>,
    /// The distances that it concerns.
    watched: Vec<Vec<usize>>,
    /// What has changed and was not looked at yet.
    changed: Vec<usize>,
    noted: Vec<bool>,
    /// Nothing was looked at yet.
    fresh: bool,
    reason: Vec<Predicate>,
    code: InferenceCode,
}

/// Why something follows, packed into one number: which distance, what of it, and the slot from which all else is known again.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Why {
    /// `to` is so late because `from` is.
    Later = 0,
    /// `from` is so early because `to` is.
    Earlier = 1,
    /// The condition can't hold: `from` is not before this slot, and `to` before what it would have to be.
    TooFar = 2,
}

impl Why {
    fn pack(self, place: usize, slot: i32) -> u64 {
        // The slot's own 32 bits, two for the kind, the rest for the place.
        (place as u64) << 34 | (self as u64) << 32 | u64::from(slot.cast_unsigned())
    }
}

impl Distances {
    /// What follows for `to`, and for the condition, from how late `from` is at least.
    fn forwards(&self, context: &mut PropagationContext, place: usize) -> PropagationStatusCP {
        let one = self.all[place];
        let from = context.lower_bound(&one.from);
        let need = from + one.least;
        if need <= context.lower_bound(&one.to) {
            return Ok(());
        }
        match one.when.map(|when| (when, context.evaluate_predicate(when))) {
            None | Some((_, Some(true))) => {
                let to = one.to;
                context.post(predicate![to >= need], Why::Later.pack(place, need))?;
            }
            Some((when, None)) if need > context.upper_bound(&one.to) => {
                context.post(!when, Why::TooFar.pack(place, from))?;
            }
            _ => {}
        }
        Ok(())
    }

    /// What follows for `from`, and for the condition, from how early `to` is at most.
    fn backwards(&self, context: &mut PropagationContext, place: usize) -> PropagationStatusCP {
        let one = self.all[place];
        let most = context.upper_bound(&one.to) - one.least;
        if most >= context.upper_bound(&one.from) {
            return Ok(());
        }
        match one.when.map(|when| (when, context.evaluate_predicate(when))) {
            None | Some((_, Some(true))) => {
                let from = one.from;
                context.post(predicate![from <= most], Why::Earlier.pack(place, most))?;
            }
            Some((when, None)) if context.lower_bound(&one.from) > most => {
                context.post(!when, Why::TooFar.pack(place, most + 1))?;
            }
            _ => {}
        }
        Ok(())
    }
}

impl Propagator for Distances {
    fn name(&self) -> &str {
        "Distances"
    }

    fn priority(&self) -> Priority {
        Priority::High
    }

    fn notify(&mut self, _: NotificationContext, local: LocalId, _: OpaqueDomainEvent) -> EnqueueDecision {
        let number = local.unpack() as usize;
        if !self.noted[number] {
            self.noted[number] = true;
            self.changed.push(number);
        }
        EnqueueDecision::Enqueue
    }

    fn synchronise(&mut self, _: NotificationContext<'_>) {
        for number in self.changed.drain(..) {
            self.noted[number] = false;
        }
    }

    fn propagate(&mut self, mut context: PropagationContext) -> PropagationStatusCP {
        if self.fresh {
            self.propagate_from_scratch(context.reborrow())?;
            self.fresh = false;
        }
        while let Some(number) = self.changed.pop() {
            self.noted[number] = false;
            let change = self.changes[number];
            for place in &self.watched[number] {
                if change != Change::Latest {
                    self.forwards(&mut context, *place)?;
                }
                if change != Change::Earliest {
                    self.backwards(&mut context, *place)?;
                }
            }
        }
        Ok(())
    }

    fn propagate_from_scratch(&self, mut context: PropagationContext) -> PropagationStatusCP {
        for place in 0..self.all.len() {
            self.forwards(&mut context, place)?;
            self.backwards(&mut context, place)?;
        }
        Ok(())
    }

    fn lazy_explanation(&mut self, code: u64, _: ExplanationContext) -> LazyExplanation<'_> {
        let one = self.all[(code >> 34) as usize];
        let slot = (code as u32).cast_signed();
        let (from, to) = (one.from, one.to);
        self.reason.clear();
        match code >> 32 & 3 {
            0 => {
                let since = slot - one.least;
                self.reason.push(predicate![from >= since]);
                self.reason.extend(one.when);
            }
            1 => {
                let until = slot + one.least;
                self.reason.push(predicate![to <= until]);
                self.reason.extend(one.when);
            }
            _ => {
                let short = slot + one.least - 1;
                self.reason.push(predicate![from >= slot]);
                self.reason.push(predicate![to <= short]);
            }
        }
        LazyExplanation { predicates: &self.reason, inference_code: self.code.clone() }
    }
}
