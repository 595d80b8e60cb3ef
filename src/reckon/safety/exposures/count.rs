//! Adds up stays: how warm a food is, as far as that is known, and what of its time counts.

use super::COOLING;
use crate::course::{Course, StepId, Where};
use crate::reckon::safety::judge::{Phase, TimeOut};
use crate::reckon::safety::rule_sets::{RuleSet, WARM};
use crate::reckon::safety::trace::{Stay, between, temperature};
use crate::units::{Celsius, Minutes};
use jiff::ZonedDateTime;

/// A warm place of which nobody wrote how warm it is, and food that was warmed on the fire: a little above the line between the two
/// sums of dough, and above the ceiling of the six hours.
const UNREAD_WARM: Celsius = Celsius::from_thousandths(21_101);

/// How warm a food is, as far as it is known.
#[derive(Clone, Copy, PartialEq, Eq)]
enum State {
    /// Below the limit.
    Cold,
    /// As warm as a place that it was in.
    Warm(Celsius),
    /// Warmed on the fire and not cooked: at least so warm, and it takes all of a cooling to be cold.
    Warmed(Celsius),
    /// Cooked or baked, and never cold since.
    Hot,
}

/// Adds up stays.
pub(super) struct Count<'a> {
    course: &'a Course,
    set: &'static RuleSet,
    /// From how hot at its centre it is cooked.
    cooked_from: Celsius,
    state: State,
    pub(super) out: TimeOut,
    /// The period out of the cold that is running.
    running: Minutes,
    running_at: Option<StepId>,
    pub(super) longest_at: Option<StepId>,
    pub(super) first_out: Option<ZonedDateTime>,
    /// Since it was cooked: what is not counted if it then cools in time.
    pending: Vec<Stay>,
    /// It stood in a warm place without a written temperature.
    pub(super) unread_warm: bool,
    /// The stay in the cold that is counted longest because nobody reads it there.
    pub(super) unread: Option<(Minutes, StepId)>,
}

impl<'a> Count<'a> {
    pub(super) fn new(
        course: &'a Course,
        set: &'static RuleSet,
        phase: Phase,
        kept_cold: bool,
        cooked_from: Celsius,
    ) -> Count<'a> {
        let hot = phase != Phase::Raw;
        let cold = !hot && kept_cold;
        Count {
            course,
            set,
            cooked_from,
            state: match (hot, cold) {
                (true, _) => State::Hot,
                (false, true) => State::Cold,
                (false, false) => State::Warm(course.kitchen.room.value),
            },
            out: TimeOut {
                phase,
                minutes: Minutes::ZERO,
                cooling: Minutes::ZERO,
                worked_on: Minutes::ZERO,
                longest: Minutes::ZERO,
                from_hot: Minutes::ZERO,
                periods: 0,
                began_held: hot || cold,
                began_cold: cold,
                warmest: None,
                back_at: None,
                cool_band: Minutes::ZERO,
                warm_band: Minutes::ZERO,
            },
            running: Minutes::ZERO,
            running_at: None,
            longest_at: None,
            first_out: None,
            pending: Vec::new(),
            unread_warm: false,
            unread: None,
        }
    }

    fn note_unread(&mut self, stay: &Stay, minutes: Minutes) {
        if minutes > Minutes::ZERO && self.unread.as_ref().is_none_or(|(most, _)| minutes > *most) {
            self.unread = Some((minutes, stay.step.clone()));
        }
    }

    /// Adds one stay; `false` when its place has no temperature.
    pub(super) fn stay(&mut self, stay: &Stay) -> bool {
        match stay.place {
            // What is cooked or baked is outside the holding limits.
            Where::Hob | Where::Oven if stay.cooks(self.cooked_from) => {
                // What stood since it was cooked before did not cool, and a second cooking takes back no minute of it.
                self.settle();
                self.state = State::Hot;
                true
            }
            Where::Hob => {
                self.warmed(stay);
                true
            }
            Where::Cold | Where::Freezer => match temperature(&self.course.kitchen, stay.place) {
                Some(at) => {
                    self.in_the_cold(stay, at);
                    true
                }
                None => false,
            },
            _ => {
                // A cooled food is done with its cooling; one that was baked is served.
                if self.state == State::Hot && self.out.phase == Phase::Cooked {
                    self.pending.push(stay.clone());
                } else {
                    // Out again before it is known to be cold.
                    self.settle();
                    self.outside(stay);
                }
                true
            }
        }
    }

    /// On the fire, and not known to be cooked there: out of the cold, and warm after it.
    fn warmed(&mut self, stay: &Stay) {
        let room = self.course.kitchen.room.value;
        let before = match self.state {
            // What was cooked a moment ago, and is kept hot.
            State::Hot if self.pending.is_empty() => return,
            State::Hot => {
                self.pending.push(stay.clone());
                return;
            }
            State::Warm(at) | State::Warmed(at) => at.max(room),
            State::Cold => room,
        };
        // How hot it gets nobody knows; it is no longer as cool as a cool room.
        let before = before.max(UNREAD_WARM);
        let at = stay.core.map_or(before, |core| core.max(before));
        if self.set.is_out(at) {
            self.add(stay, stay.minutes(), at);
        }
        self.state = State::Warmed(before);
    }

    fn in_the_cold(&mut self, stay: &Stay, place: Celsius) {
        let spent = stay.minutes();
        if self.set.cold_max.is_some_and(|max| place > max) {
            self.settle();
            self.add(stay, spent, place);
            self.state = State::Warm(place);
            return;
        }
        match self.state {
            State::Cold => {}
            State::Hot => {
                self.note_back();
                if self.is_read_cold(stay) || self.is_cold_after(stay) {
                    self.cooled();
                } else {
                    self.pending.push(stay.clone());
                }
            }
            State::Warm(from) => {
                self.stop();
                let max = self.set.cold_max.unwrap_or(COOLING.1);
                let above = above(from, place, max);
                let warm = spent.min(above);
                if !self.is_read_in_time(stay) {
                    self.out.minutes = self.out.minutes + warm;
                    self.out.cooling = self.out.cooling + warm;
                    self.note_unread(stay, warm);
                }
                let to_cool_band = self::above(from, place, WARM).min(spent);
                let to_cold = self::above(from, place, Celsius::whole(10)).min(spent);
                self.out.warm_band = self.out.warm_band + to_cool_band;
                self.out.cool_band = self.out.cool_band + (to_cold - to_cool_band);
                if spent >= above || self.is_read_cold(stay) {
                    self.state = State::Cold;
                } else {
                    self.state = State::Warm(cooled_to(from, place, spent));
                }
            }
            State::Warmed(_) => {
                self.stop();
                let warm = spent.min(COOLING.0);
                if !self.is_read_in_time(stay) {
                    self.out.minutes = self.out.minutes + warm;
                    self.out.cooling = self.out.cooling + warm;
                    self.note_unread(stay, warm);
                }
                self.out.warm_band = self.out.warm_band + warm;
                if spent >= COOLING.0 || self.is_read_cold(stay) {
                    self.state = State::Cold;
                }
            }
        }
    }

    /// Whether a reading at the end of a stay shows that it is cold then: its own figure is no higher than the limit.
    fn is_read_cold(&self, stay: &Stay) -> bool {
        stay.read.is_some_and(|at| at <= self.set.cold_max.unwrap_or(COOLING.1))
    }

    /// The same within the time that a cooling may take: it has then cooled as it should, and no minute of that is time out of the cold.
    fn is_read_in_time(&self, stay: &Stay) -> bool {
        self.is_read_cold(stay) && stay.minutes() <= COOLING.0
    }

    /// Whether cooked food is cold at the end of a stay in the cold: as long after the fire as its cooling may take; where it was
    /// taken out again on the way, only after as long in the cold without a break.
    fn is_cold_after(&self, stay: &Stay) -> bool {
        let broken = self.pending.iter().rposition(|s| !s.is_cold());
        let taken_out = broken.is_some_and(|n| self.pending[..n].iter().any(Stay::is_cold));
        if taken_out {
            let since = broken.and_then(|n| self.pending.get(n + 1)).unwrap_or(stay);
            return between(&since.from, &stay.to) >= COOLING.0;
        }
        let since = self.pending.first().unwrap_or(stay);
        let needed = self.set.cooling.in_all().unwrap_or(COOLING.0).max(COOLING.0);
        between(&since.from, &stay.to) >= needed
    }

    /// It is cold now. The clocks of the rule set look after what ran until it first went into the cold; without one, the counter
    /// counts. What it then stood out of the cold again is no cooling, and counts.
    fn cooled(&mut self) {
        if self.set.cooling.first().is_none() {
            self.settle();
        } else {
            let all = std::mem::take(&mut self.pending);
            for stay in all.iter().skip_while(|s| !s.is_cold()) {
                if stay.is_cold() {
                    self.stop();
                } else {
                    self.outside(stay);
                }
            }
        }
        self.stop();
        self.state = State::Cold;
    }

    /// It goes into the cold: the sum so far is kept.
    fn note_back(&mut self) {
        if self.running > Minutes::ZERO {
            let so_far = self.out.minutes;
            self.out.back_at = Some(self.out.back_at.map_or(so_far, |b| b.max(so_far)));
        }
    }

    /// The period out of the cold ends, and the sum at which it ends is kept.
    fn stop(&mut self) {
        self.note_back();
        self.running = Minutes::ZERO;
        self.running_at = None;
    }

    /// What waited to be shown as cooled was not.
    fn settle(&mut self) {
        for stay in std::mem::take(&mut self.pending) {
            if stay.is_cold() {
                self.still_cooling(&stay);
            } else {
                self.outside(&stay);
            }
        }
    }

    /// Cooked food in the cold that was taken out before it is known to be cold: above the limit, and not counted into a stretch
    /// out of the cold, which goes on after it. Nobody keeps it for service there, and no law that gives a longest stretch counts its
    /// cooling.
    fn still_cooling(&mut self, stay: &Stay) {
        self.note_back();
        let minutes = stay.minutes();
        self.note_unread(stay, minutes);
        self.out.minutes = self.out.minutes + minutes;
        self.out.cooling = self.out.cooling + minutes;
        self.out.warm_band = self.out.warm_band + minutes;
        let room = self.course.kitchen.room.value;
        self.out.warmest = Some(self.out.warmest.map_or(room, |w| w.max(room)));
    }

    fn outside(&mut self, stay: &Stay) {
        let room = self.course.kitchen.room.value;
        let place = match (temperature(&self.course.kitchen, stay.place), stay.place) {
            (Some(at), _) => at,
            (None, Where::Warm) => {
                self.unread_warm = true;
                room.max(UNREAD_WARM)
            }
            (None, _) => room,
        };
        let own = match self.state {
            State::Warm(at) | State::Warmed(at) => at,
            State::Cold | State::Hot => place,
        };
        let at = own.max(place).max(stay.aim.unwrap_or(place));
        match self.state {
            State::Hot => {}
            State::Warmed(_) => self.state = State::Warmed(at),
            State::Cold | State::Warm(_) => self.state = State::Warm(at),
        }
        if self.set.is_out(at) {
            self.add(stay, stay.minutes(), at);
        }
    }

    fn add(&mut self, stay: &Stay, minutes: Minutes, at: Celsius) {
        if minutes <= Minutes::ZERO {
            return;
        }
        if self.first_out.is_none() {
            self.first_out = Some(stay.from.clone());
        }
        if self.running == Minutes::ZERO {
            self.out.periods += 1;
            self.running_at = Some(stay.step.clone());
        }
        self.running = self.running + minutes;
        if self.running > self.out.longest {
            self.out.longest = self.running;
            self.longest_at = self.running_at.clone();
        }
        self.out.minutes = self.out.minutes + minutes;
        if self.out.phase == Phase::Baked && self.state == State::Hot {
            self.out.from_hot = self.out.from_hot + minutes;
        }
        if stay.worked_on {
            self.out.worked_on = self.out.worked_on + minutes;
        }
        self.out.warmest = Some(self.out.warmest.map_or(at, |w| w.max(at)));
        if at > WARM {
            self.out.warm_band = self.out.warm_band + minutes;
        } else {
            self.out.cool_band = self.out.cool_band + minutes;
        }
    }

    pub(super) fn finish(&mut self) {
        self.settle();
    }
}

/// Minutes in the cold until a food that went in at `from` is at `limit`, by a straight line that ends at the time and
/// temperature of [`COOLING`]; nought when it is not above it.
pub(super) fn above(from: Celsius, place: Celsius, limit: Celsius) -> Minutes {
    let end = COOLING.1.max(place);
    let (fall, needed) = ((from - end).thousandths(), (from - limit.max(end)).thousandths());
    if fall <= 0 || needed <= 0 {
        return Minutes::ZERO;
    }
    Minutes((COOLING.0.get() * needed + fall - 1) / fall)
}

/// How warm it still is after so long, by the same straight line.
pub(super) fn cooled_to(from: Celsius, place: Celsius, spent: Minutes) -> Celsius {
    let end = COOLING.1.max(place);
    from - (from - end).ratio(spent.get().min(COOLING.0.get()), COOLING.0.get())
}
