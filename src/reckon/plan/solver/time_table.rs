//! The propagator for one resource: what is busy when.
//!
//! Time-table reasoning with explanations for one point of time (Schutt, Feydy, Stuckey and
//! Wallace, "Explaining the cumulative propagator", Constraints 16, 2011), for spans whose two ends
//! are free moments and that may not take place at all.

use std::collections::BTreeMap;

use pumpkin_core::declare_inference_label;
use pumpkin_core::predicates::{Predicate, PropositionalConjunction};
use pumpkin_core::proof::{ConstraintTag, InferenceCode};
use pumpkin_core::propagation::{
    DomainEvents, EnqueueDecision, EventsToRegister, LocalId, NotificationContext, OpaqueDomainEvent,
    Priority, PropagationContext, Propagator, PropagatorConstructor, PropagatorConstructorContext,
    PropagatorSpec, ReadDomains, RuntimeCheckers,
};
use pumpkin_core::state::{Conflict, PropagationStatusCP, PropagatorConflict};
use pumpkin_core::variables::DomainId;

use super::changed::Changed;
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
        let mut changed = Changed::of(self.stays.len());
        let mut conditions: BTreeMap<u32, (DomainId, Vec<usize>)> = BTreeMap::new();
        for (place, stay) in self.stays.iter().enumerate() {
            registration.add(&stay.from.variable, DomainEvents::UPPER_BOUND, changed.number(vec![place]));
            registration.add(&stay.to.variable, DomainEvents::LOWER_BOUND, changed.number(vec![place]));
            for condition in &stay.when {
                let domain = condition.get_domain();
                conditions.entry(domain.id()).or_insert((domain, Vec::new())).1.push(place);
            }
        }
        for condition in &self.when {
            let domain = condition.get_domain();
            conditions.entry(domain.id()).or_insert((domain, Vec::new()));
        }
        for (domain, places) in conditions.into_values() {
            registration.add(&domain, DomainEvents::BOUNDS, changed.number(places));
        }
        PropagatorSpec {
            registration,
            checkers: RuntimeCheckers::empty(),
            propagator: TimeTable {
                changed,
                to_look_at: Vec::new(),
                done: false,
                certain: Certain { parts: vec![None; self.stays.len()], ..Certain::default() },
                largest: self.stays.iter().map(|stay| stay.amount).max().unwrap_or(0),
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
    /// The largest amount.
    largest: i32,
    changed: Changed,
    to_look_at: Vec<usize>,
    /// All that follows from what is certain was drawn.
    done: bool,
    certain: Certain,
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

/// What is known for certain.
#[derive(Clone, Debug, Default)]
struct Certain {
    /// For each stay, the span in which it is certainly there.
    parts: Vec<Option<(i32, i32)>>,
    /// When how much more is taken, or less, in order.
    events: Vec<(i32, i32)>,
    /// The stretches in which there is not room for the largest stay beside.
    tight: Vec<Stretch>,
}

impl Certain {
    fn add(&mut self, event: (i32, i32)) {
        let place = self.events.partition_point(|other| *other < event);
        self.events.insert(place, event);
    }

    fn remove(&mut self, event: (i32, i32)) {
        let place = self.events.partition_point(|other| *other < event);
        self.events.remove(place);
    }

    fn see_tight(&mut self, above: i32) {
        self.tight.clear();
        let (mut height, mut since) = (0, 0);
        for (at, change) in &self.events {
            if height > 0 && height > above && *at > since {
                self.tight.push(Stretch { from: since, to: *at, height });
            }
            since = *at;
            height += change;
        }
    }
}

impl TimeTable {
    fn part(&self, context: &impl ReadDomains, place: usize) -> Option<(i32, i32)> {
        let stay = &self.stays[place];
        let (from, to) = (stay.from.latest(context), stay.to.earliest(context));
        (from < to && takes(context, &stay.when) == Takes::Place).then_some((from, to))
    }

    /// Looks at what has changed; whether what is certain has, too.
    fn look(&mut self, context: &impl ReadDomains, changed: &mut Vec<usize>) -> bool {
        let above = self.capacity - self.largest;
        if self.changed.take(changed) {
            self.certain.events.clear();
            for place in 0..self.stays.len() {
                let part = self.part(context, place);
                self.certain.parts[place] = part;
                let amount = self.stays[place].amount;
                let events = part.into_iter().flat_map(|(from, to)| [(from, amount), (to, -amount)]);
                self.certain.events.extend(events);
            }
            let missing = self.missing.iter();
            self.certain.events.extend(missing.flat_map(|(from, to, less)| [(*from, *less), (*to, -less)]));
            self.certain.events.sort_unstable();
            self.certain.see_tight(above);
            return true;
        }
        let mut other = false;
        for place in changed.iter().copied() {
            let part = self.part(context, place);
            let before = std::mem::replace(&mut self.certain.parts[place], part);
            if part != before {
                other = true;
                let amount = self.stays[place].amount;
                before.into_iter().for_each(|(from, to)| {
                    self.certain.remove((from, amount));
                    self.certain.remove((to, -amount));
                });
                part.into_iter().for_each(|(from, to)| {
                    self.certain.add((from, amount));
                    self.certain.add((to, -amount));
                });
            }
        }
        if other {
            self.certain.see_tight(above);
        }
        other
    }

    /// Why more than `above` is taken in slot `at` without the stay `but`.
    fn reason(
        &self,
        at: i32,
        above: i32,
        but: Option<usize>,
        more: impl IntoIterator<Item = Predicate>,
    ) -> PropositionalConjunction {
        let mut reason: Vec<Predicate> = self.when.clone();
        let missing = self.missing.iter().filter(|(from, to, _)| *from <= at && at < *to);
        let mut taken: i32 = missing.map(|(_, _, amount)| *amount).sum();
        for (place, part) in self.certain.parts.iter().enumerate() {
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

    fn filter(&self, context: &mut PropagationContext, place: usize) -> PropagationStatusCP {
        let stay = &self.stays[place];
        // Only what it may come upon matters.
        let (earliest, latest) = (stay.from.earliest(context), stay.to.latest(context));
        let tight = &self.certain.tight;
        let first = tight.partition_point(|stretch| stretch.to <= earliest);
        let after = first + tight[first..].partition_point(|stretch| stretch.from < latest);
        let stretches = &tight[first..after];
        if stretches.is_empty() {
            return Ok(());
        }
        let there = takes(context, &stay.when);
        if matches!(there, Takes::No | Takes::Open) {
            return Ok(());
        }
        let room = self.capacity - stay.amount;
        let full = |stretch: &&Stretch| {
            let counted =
                self.certain.parts[place].is_some_and(|(from, to)| from <= stretch.from && stretch.from < to);
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
                    let reason = self.reason(at, room, Some(place), more);
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
                let reason = self.reason(at, room, Some(place), more);
                context.post(stay.from.at_least(at + 1), (reason, &self.code))?;
            }
        }
        for stretch in stretches.iter().rev().filter(full) {
            let at = stay.from.latest(context).max(stretch.from);
            if at < stretch.to && stay.to.latest(context) > at {
                // It has begun by `at`, so it has to be over by then.
                let more = stay.when.iter().copied().chain([stay.from.at_most(at)]);
                let reason = self.reason(at, room, Some(place), more);
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

    fn notify(&mut self, _: NotificationContext, number: LocalId, _: OpaqueDomainEvent) -> EnqueueDecision {
        self.changed.note(number);
        EnqueueDecision::Enqueue
    }

    fn synchronise(&mut self, _: NotificationContext<'_>) {
        self.changed.go_back();
    }

    fn propagate(&mut self, mut context: PropagationContext) -> PropagationStatusCP {
        let done = std::mem::replace(&mut self.done, false);
        if takes(&context, &self.when) != Takes::Place {
            return Ok(());
        }
        let mut changed = std::mem::take(&mut self.to_look_at);
        let other = self.look(&context, &mut changed);
        if let Some(over) = self.certain.tight.iter().find(|it| it.height > self.capacity) {
            let at = over.from + (over.to - over.from) / 2;
            return Err(Conflict::Propagator(PropagatorConflict {
                conjunction: self.reason(at, self.capacity, None, []),
                inference_code: self.code.clone(),
            }));
        }
        if self.certain.tight.is_empty() {
            // There is room for each.
        } else if other || !done {
            for place in 0..self.stays.len() {
                self.filter(&mut context, place)?;
            }
        } else {
            changed.sort_unstable();
            for place in &changed {
                self.filter(&mut context, *place)?;
            }
        }
        self.to_look_at = changed;
        self.done = true;
        Ok(())
    }

    fn propagate_from_scratch(&self, context: PropagationContext) -> PropagationStatusCP {
        let mut fresh = self.clone();
        fresh.changed.go_back();
        fresh.propagate(context)
    }
}
