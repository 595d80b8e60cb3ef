//! A check for one resource: whether what must fit between two moments is more than there is.
//!
//! The time table sees only what is certainly there at one moment; twelve loads that must all go
//! through one oven in an hour show here, and at once. Of several ovens alike it counts how many loads go in one after another:
//! nine loads in eight ovens take two rounds, though there is room for more than nine by the sum of their minutes.

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
        let mut changed = Changed::of(self.stays.len());
        let mut conditions: BTreeMap<u32, (DomainId, Vec<usize>)> = BTreeMap::new();
        for (place, (stay, _)) in self.stays.iter().enumerate() {
            registration.add(&stay.from.variable, DomainEvents::LOWER_BOUND, changed.number(vec![place]));
            registration.add(&stay.to.variable, DomainEvents::UPPER_BOUND, changed.number(vec![place]));
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
        let places = 0..self.stays.len();
        PropagatorSpec {
            registration,
            checkers: RuntimeCheckers::empty(),
            propagator: Energy {
                changed,
                to_look_at: Vec::new(),
                rank: Vec::new(),
                seen: false,
                spans: vec![(0, 0); self.stays.len()],
                there: vec![false; self.stays.len()],
                by_from: places.clone().collect(),
                by_end: places.collect(),
                fullest: Fullest::of(self.stays.len()),
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
    changed: Changed,
    to_look_at: Vec<usize>,
    /// There was room for everything when it was last looked at, and so there still is but for what has changed since.
    seen: bool,
    /// For each stay, from when it can be there and until when.
    spans: Vec<(i32, i32)>,
    /// Whether it takes place.
    there: Vec<bool>,
    /// The stays in order: that which can begin last is the first; that which has to be over first is.
    by_from: Vec<usize>,
    by_end: Vec<usize>,
    /// For each stay, its place in `by_from`.
    rank: Vec<usize>,
    fullest: Fullest,
}

/// How full it is at the fullest, of what has to be over by some moment: what has to be done from some moment on, together with what could
/// have been done until then. It grows with each stay, in as many steps as there are halves of halves of them.
#[derive(Clone, Debug)]
struct Fullest {
    leaves: usize,
    /// For each node, the work below it, and the most of all moments.
    nodes: Vec<(i64, i64)>,
}

const NOTHING: (i64, i64) = (0, i64::MIN / 4);

impl Fullest {
    fn of(stays: usize) -> Fullest {
        let leaves = stays.next_power_of_two();
        Fullest { leaves, nodes: vec![NOTHING; 2 * leaves] }
    }

    fn clear(&mut self) {
        self.nodes.fill(NOTHING);
    }

    /// Puts a stay in its place, the last to begin first, without looking at what follows.
    fn put(&mut self, place: usize, work: i64, until: i64) {
        self.nodes[self.leaves + place] = (work, until + work);
    }

    fn join(&mut self, node: usize) {
        let (one, other) = (self.nodes[2 * node], self.nodes[2 * node + 1]);
        self.nodes[node] = (one.0 + other.0, one.1.max(one.0 + other.1));
    }

    fn join_all(&mut self) {
        for node in (1..self.leaves).rev() {
            self.join(node);
        }
    }

    fn add(&mut self, place: usize, work: i64, until: i64) {
        self.put(place, work, until);
        let mut node = (self.leaves + place) / 2;
        while node > 0 {
            self.join(node);
            node /= 2;
        }
    }

    fn most(&self) -> i64 {
        self.nodes[1].1
    }
}

/// Puts what is nearly in order in order.
fn put_in_order<K: Ord>(places: &mut [usize], key: impl Fn(usize) -> K) {
    for next in 1..places.len() {
        let place = places[next];
        let own = key(place);
        let mut to = next;
        while to > 0 && key(places[to - 1]) > own {
            places[to] = places[to - 1];
            to -= 1;
        }
        places[to] = place;
    }
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

    fn work(&self, place: usize) -> i64 {
        let (stay, least) = &self.stays[place];
        i64::from(stay.amount) * i64::from(*least)
    }

    /// Looks at what has changed. What has to be over before the moment that it gives is as it was when there was room.
    fn look(&mut self, context: &impl ReadDomains) -> i32 {
        let mut changed = std::mem::take(&mut self.to_look_at);
        let all = self.changed.take(&mut changed);
        let mut read = |place: usize| {
            let stay = &self.stays[place].0;
            self.spans[place] = (stay.from.earliest(context), stay.to.latest(context));
            self.there[place] = takes_place(context, &stay.when);
        };
        if all {
            (0..self.stays.len()).for_each(&mut read);
        } else {
            changed.iter().copied().for_each(&mut read);
        }
        let spans = &self.spans;
        let by_from = |place: usize| (-spans[place].0, place);
        let by_end = |place: usize| (spans[place].1, place);
        if all {
            self.by_from.sort_unstable_by_key(|place| by_from(*place));
            self.by_end.sort_unstable_by_key(|place| by_end(*place));
        } else {
            put_in_order(&mut self.by_from, by_from);
            put_in_order(&mut self.by_end, by_end);
        }
        let there = changed.iter().filter(|place| self.there[**place]);
        let since = there.map(|place| spans[*place].1).min().unwrap_or(i32::MAX);
        self.to_look_at = changed;
        if self.seen { since } else { i32::MIN }
    }

    /// Whether what has to be over by some moment is too much from some other moment on.
    fn check(&mut self, since: i32) -> PropagationStatusCP {
        let capacity = i64::from(self.capacity);
        let missing_ever: i64 =
            self.missing.iter().map(|(from, to, amount)| i64::from(to - from) * i64::from(*amount)).sum();
        self.rank.resize(self.stays.len(), 0);
        for (n, place) in self.by_from.iter().enumerate() {
            self.rank[*place] = n;
        }
        self.fullest.clear();
        let (mut work_by, mut stays_by) = (0, 0);
        let mut joined = false;
        for n in 0..self.by_end.len() {
            let place = self.by_end[n];
            if !self.there[place] {
                continue;
            }
            let (from, end) = self.spans[place];
            let work = self.work(place);
            work_by += work;
            stays_by += 1;
            if end < since {
                self.fullest.put(self.rank[place], work, capacity * i64::from(from));
                continue;
            }
            if !joined {
                joined = true;
                self.fullest.join_all();
            }
            self.fullest.add(self.rank[place], work, capacity * i64::from(from));
            let mut after = self.by_end[n + 1..].iter().filter(|next| self.there[**next]);
            if after.next().is_some_and(|next| self.spans[*next].1 == end) {
                continue;
            }
            let enough = self.fullest.most() + missing_ever <= capacity * i64::from(end);
            if !enough || !self.units.is_empty() {
                self.check_until(end, (work_by, stays_by), missing_ever)?;
            }
        }
        Ok(())
    }

    /// What has to be over by this moment: the work of it, and how many stays that is.
    fn check_until(
        &self,
        end: i32,
        (work_by, stays_by): (i64, usize),
        missing_ever: i64,
    ) -> PropagationStatusCP {
        let all = || self.by_from.iter().copied().filter(|place| self.there[*place]);
        let amount_most = all().map(|place| self.stays[place].0.amount).max().unwrap_or(0);
        let long_most = all().map(|place| self.stays[place].1).max().unwrap_or(0);
        let mut total = 0;
        let (mut stays, mut amount, mut long) = (0, i32::MAX, i32::MAX);
        for (count, place) in all().enumerate() {
            let (from, to) = self.spans[place];
            let there = i64::from(self.capacity) * i64::from(end - from);
            // From here back to the first there is room for all that has to be over by then.
            if there >= work_by + missing_ever
                && stays_by <= self.most_stays(end - from, amount_most, long_most)
            {
                break;
            }
            if to > end {
                continue;
            }
            total += self.work(place);
            stays += 1;
            amount = amount.min(self.stays[place].0.amount);
            long = long.min(self.stays[place].1);
            let too_many = stays > self.most_stays(end - from, amount, long);
            if too_many || total > there || total + self.missing_between(from, end) > there {
                let inside: Vec<usize> =
                    all().take(count + 1).filter(|place| self.spans[*place].1 <= end).collect();
                return self.conflict(&inside, from, end);
            }
        }
        Ok(())
    }
}

impl Propagator for Energy {
    fn name(&self) -> &str {
        "Energy"
    }

    fn priority(&self) -> Priority {
        Priority::VeryLow
    }

    fn notify(&mut self, _: NotificationContext, number: LocalId, _: OpaqueDomainEvent) -> EnqueueDecision {
        self.changed.note(number);
        EnqueueDecision::Enqueue
    }

    fn synchronise(&mut self, _: NotificationContext<'_>) {
        self.changed.go_back();
    }

    fn propagate(&mut self, context: PropagationContext) -> PropagationStatusCP {
        let seen = takes_place(&context, &self.when);
        if seen {
            let since = self.look(&context);
            self.seen = false;
            self.check(since)?;
        }
        self.seen = seen;
        Ok(())
    }

    fn propagate_from_scratch(&self, context: PropagationContext) -> PropagationStatusCP {
        let mut fresh = self.clone();
        fresh.seen = false;
        fresh.changed.go_back();
        fresh.propagate(context)
    }
}
