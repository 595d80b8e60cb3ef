//! The propagator for one resource: what is busy when.
//!
//! Time-table reasoning with explanations for one point of time (Schutt, Feydy, Stuckey and
//! Wallace, "Explaining the cumulative propagator", Constraints 16, 2011), for spans whose two ends
//! are free moments and that may not take place at all.

use pumpkin_core::declare_inference_label;
use pumpkin_core::predicates::{Predicate, PropositionalConjunction};
use pumpkin_core::proof::{ConstraintTag, InferenceCode};
use pumpkin_core::propagation::{
    DomainEvents, EventsToRegister, LocalId, Priority, PropagationContext, Propagator, PropagatorConstructor,
    PropagatorConstructorContext, PropagatorSpec, ReadDomains, RuntimeCheckers,
};
use pumpkin_core::state::{Conflict, PropagationStatusCP, PropagatorConflict};

use super::moment::Moment;

declare_inference_label!(BusyTimes);

/// A span of time in which some of the resource is taken.
#[derive(Clone, Debug)]
pub(super) struct Stay {
    pub(super) from: Moment,
    pub(super) to: Moment,
    pub(super) amount: i32,
    /// It takes place when all of these hold.
    pub(super) when: Vec<Predicate>,
}

/// Posts a [`TimeTable`].
pub(super) struct TimeTableOf {
    pub(super) stays: Vec<Stay>,
    pub(super) capacity: i32,
    /// Spans in which some of the resource is missing, and how much; they don't overlap.
    pub(super) missing: Vec<(i32, i32, i32)>,
    /// The limit counts when all of these hold.
    pub(super) when: Vec<Predicate>,
    pub(super) tag: ConstraintTag,
}

impl PropagatorConstructor for TimeTableOf {
    type PropagatorImpl = TimeTable;

    fn create(self, _: PropagatorConstructorContext) -> PropagatorSpec<TimeTable> {
        let mut registration = EventsToRegister::empty();
        let mut next = LocalId::from(0);
        let mut register = |variable: &_, events| {
            registration.add(variable, events, next);
            next = next.successor();
        };
        for stay in &self.stays {
            register(&stay.from.variable, DomainEvents::UPPER_BOUND);
            register(&stay.to.variable, DomainEvents::LOWER_BOUND);
        }
        let conditions = self.stays.iter().flat_map(|stay| &stay.when).chain(&self.when);
        let mut domains: Vec<_> = conditions.map(|it| it.get_domain()).collect();
        domains.sort_unstable_by_key(|domain| domain.id());
        domains.dedup();
        for domain in domains {
            register(&domain, DomainEvents::BOUNDS);
        }
        PropagatorSpec {
            registration,
            checkers: RuntimeCheckers::empty(),
            propagator: TimeTable {
                stays: self.stays,
                capacity: self.capacity,
                missing: self.missing,
                when: self.when,
                code: InferenceCode::new(self.tag, BusyTimes),
            },
        }
    }
}

/// See the module.
#[derive(Clone, Debug)]
pub(super) struct TimeTable {
    stays: Vec<Stay>,
    capacity: i32,
    missing: Vec<(i32, i32, i32)>,
    when: Vec<Predicate>,
    code: InferenceCode,
}

/// A stretch of time in which the same stays are certainly there.
#[derive(Clone, Copy, Debug)]
struct Stretch {
    from: i32,
    to: i32,
    height: i32,
}

/// Whether a stay takes place.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Takes {
    Place,
    No,
    /// It hangs on this one condition.
    Hangs(Predicate),
    Open,
}

fn takes(context: &impl ReadDomains, when: &[Predicate]) -> Takes {
    let mut open = None;
    for condition in when {
        match context.evaluate_predicate(*condition) {
            Some(true) => {}
            Some(false) => return Takes::No,
            None if open.is_none() => open = Some(*condition),
            None => return Takes::Open,
        }
    }
    open.map_or(Takes::Place, Takes::Hangs)
}

/// Whether all of these hold.
pub(super) fn takes_place(context: &impl ReadDomains, when: &[Predicate]) -> bool {
    when.iter().all(|condition| context.evaluate_predicate(*condition) == Some(true))
}

/// What is known for certain at the time of one propagation.
struct Certain {
    /// For each stay, the span in which it is certainly there.
    parts: Vec<Option<(i32, i32)>>,
    profile: Vec<Stretch>,
}

impl TimeTable {
    fn certain(&self, context: &impl ReadDomains) -> Certain {
        let part = |stay: &Stay| {
            let (from, to) = (stay.from.latest(context), stay.to.earliest(context));
            (from < to && takes(context, &stay.when) == Takes::Place).then_some((from, to))
        };
        let parts: Vec<Option<(i32, i32)>> = self.stays.iter().map(part).collect();
        let mut events: Vec<(i32, i32)> = Vec::new();
        for (part, stay) in parts.iter().zip(&self.stays) {
            if let Some((from, to)) = part {
                events.extend([(*from, stay.amount), (*to, -stay.amount)]);
            }
        }
        for (from, to, amount) in &self.missing {
            events.extend([(*from, *amount), (*to, -amount)]);
        }
        events.sort_unstable();
        let mut profile = Vec::new();
        let (mut height, mut since) = (0, 0);
        for (at, change) in events {
            if height > 0 && at > since {
                profile.push(Stretch { from: since, to: at, height });
            }
            since = at;
            height += change;
        }
        Certain { parts, profile }
    }

    /// Why more than `above` is taken in slot `at` without the stay `but`.
    fn reason(
        &self,
        certain: &Certain,
        at: i32,
        above: i32,
        but: Option<usize>,
        more: impl IntoIterator<Item = Predicate>,
    ) -> PropositionalConjunction {
        let mut reason: Vec<Predicate> = self.when.clone();
        let missing = self.missing.iter().filter(|(from, to, _)| *from <= at && at < *to);
        let mut taken: i32 = missing.map(|(_, _, amount)| *amount).sum();
        for (place, part) in certain.parts.iter().enumerate() {
            if taken > above {
                break;
            }
            let there = part.is_some_and(|(from, to)| from <= at && at < to);
            if there && Some(place) != but {
                let stay = &self.stays[place];
                reason.push(stay.from.at_most(at));
                reason.push(stay.to.at_least(at + 1));
                reason.extend(&stay.when);
                taken += stay.amount;
            }
        }
        reason.extend(more);
        PropositionalConjunction::from(reason)
    }

    fn filter(
        &self,
        context: &mut PropagationContext,
        certain: &Certain,
        place: usize,
        stretches: &[Stretch],
    ) -> PropagationStatusCP {
        let stay = &self.stays[place];
        let there = takes(context, &stay.when);
        if matches!(there, Takes::No | Takes::Open) {
            return Ok(());
        }
        let room = self.capacity - stay.amount;
        let full = |stretch: &&Stretch| {
            let counted =
                certain.parts[place].is_some_and(|(from, to)| from <= stretch.from && stretch.from < to);
            stretch.height > room && !counted
        };
        if let Takes::Hangs(condition) = there {
            let (from, to) = (stay.from.latest(context), stay.to.earliest(context));
            for stretch in stretches.iter().filter(full) {
                let at = from.max(stretch.from);
                if at < to.min(stretch.to) {
                    let others = stay.when.iter().copied().filter(|it| *it != condition);
                    let bounds = [stay.from.at_most(at), stay.to.at_least(at + 1)];
                    let more = others.chain(bounds);
                    let reason = self.reason(certain, at, room, Some(place), more);
                    context.post(!condition, (reason, &self.code))?;
                    break;
                }
            }
            return Ok(());
        }
        if stay.from.earliest(context) == stay.from.latest(context)
            && stay.to.earliest(context) == stay.to.latest(context)
        {
            // Either it is counted, or it has no length.
            return Ok(());
        }
        for stretch in stretches.iter().filter(full) {
            let end = stay.to.earliest(context);
            let at = end.min(stretch.to) - 1;
            if at >= stretch.from && stay.from.earliest(context) <= at {
                // It is still there after `at`, so it has to begin after it.
                let more = stay.when.iter().copied().chain([stay.to.at_least(at + 1)]);
                let reason = self.reason(certain, at, room, Some(place), more);
                context.post(stay.from.at_least(at + 1), (reason, &self.code))?;
            }
        }
        for stretch in stretches.iter().rev().filter(full) {
            let at = stay.from.latest(context).max(stretch.from);
            if at < stretch.to && stay.to.latest(context) > at {
                // It has begun by `at`, so it has to be over by then.
                let more = stay.when.iter().copied().chain([stay.from.at_most(at)]);
                let reason = self.reason(certain, at, room, Some(place), more);
                context.post(stay.to.at_most(at), (reason, &self.code))?;
            }
        }
        Ok(())
    }
}

impl Propagator for TimeTable {
    fn name(&self) -> &str {
        "TimeTable"
    }

    fn priority(&self) -> Priority {
        Priority::Low
    }

    fn propagate_from_scratch(&self, mut context: PropagationContext) -> PropagationStatusCP {
        if takes(&context, &self.when) != Takes::Place {
            return Ok(());
        }
        let certain = self.certain(&context);
        if let Some(over) = certain.profile.iter().find(|it| it.height > self.capacity) {
            let at = over.from + (over.to - over.from) / 2;
            return Err(Conflict::Propagator(PropagatorConflict {
                conjunction: self.reason(&certain, at, self.capacity, None, []),
                inference_code: self.code.clone(),
            }));
        }
        let largest = self.stays.iter().map(|stay| stay.amount).max().unwrap_or(0);
        let tight: Vec<Stretch> = certain
            .profile
            .iter()
            .copied()
            .filter(|stretch| stretch.height > self.capacity - largest)
            .collect();
        if !tight.is_empty() {
            for place in 0..self.stays.len() {
                self.filter(&mut context, &certain, place, &tight)?;
            }
        }
        Ok(())
    }
}
