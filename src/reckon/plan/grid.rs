//! Clock times and slots: the plan reckons in whole slots of elapsed time, people read civil times.
//!
//! Slots count elapsed minutes, so a night in which the clocks change is an hour shorter or longer
//! without anyone having to think of it.

use super::presence::{both, somebody};
use crate::course::{Course, Takes};
use crate::units::Minutes;
use jiff::{ZonedDateTime as Zoned, tz::TimeZone};

/// Where slot 0 lies and how long a slot is.
#[derive(Clone, PartialEq, Debug)]
pub struct Grid {
    start: Zoned,
    step: i64,
}

impl Grid {
    /// Slots of `step` from `start` on.
    #[must_use]
    pub fn new(start: Zoned, step: Minutes) -> Grid {
        Grid { start, step: step.get().max(1) }
    }
    /// Minutes in a slot.
    #[must_use]
    pub fn step(&self) -> Minutes {
        Minutes(self.step)
    }
    /// The civil moment of a slot.
    #[must_use]
    pub fn at(&self, slot: i32) -> Zoned {
        let seconds = i64::from(slot) * self.step * 60;
        self.start.saturating_add(jiff::SignedDuration::from_secs(seconds))
    }
    fn minutes_to(&self, moment: &Zoned) -> i64 {
        moment.timestamp().duration_since(self.start.timestamp()).as_secs().div_euclid(60)
    }
    /// The first slot that does not start before the moment.
    #[must_use]
    pub fn slot_from(&self, moment: &Zoned) -> i32 {
        clamp(-(-self.minutes_to(moment)).div_euclid(self.step))
    }
    /// The last slot that does not start after the moment.
    #[must_use]
    pub fn slot_until(&self, moment: &Zoned) -> i32 {
        clamp(self.minutes_to(moment).div_euclid(self.step))
    }
    /// A shortest time in slots: rounded up.
    #[must_use]
    pub fn up(&self, time: Minutes) -> i32 {
        clamp(-(-time.get()).div_euclid(self.step))
    }
    /// A longest time in slots: rounded down.
    #[must_use]
    pub fn down(&self, time: Minutes) -> i32 {
        clamp(time.get().div_euclid(self.step))
    }
    /// So many slots in minutes.
    #[must_use]
    pub fn minutes(&self, slots: i32) -> Minutes {
        Minutes(i64::from(slots) * self.step)
    }
}

fn clamp(n: i64) -> i32 {
    // A year of minutes fits many times; nothing in a class is longer.
    n.clamp(-100_000_000, 100_000_000) as i32
}

/// The usual time of work on `pieces` pieces.
#[must_use]
pub fn usual(takes: Takes, each: Option<Takes>, pieces: u32) -> Minutes {
    let more = i64::from(pieces.saturating_sub(1));
    takes.usual + each.map_or(Minutes::ZERO, |each| each.usual.times(more))
}

/// The calendar of the course in slots.
#[derive(Clone, PartialEq, Debug)]
pub struct Calendar {
    /// Where the slots lie.
    pub grid: Grid,
    /// The sessions, in the course's order.
    pub sessions: Vec<(i32, i32)>,
    /// Spans in which staff are in the kitchen, sessions included, joined and in order.
    pub attended: Vec<(i32, i32)>,
    /// `attended` without the sessions: when staff make things ahead.
    pub quiet: Vec<(i32, i32)>,
    /// The last slot.
    pub horizon: i32,
}

impl Calendar {
    /// Reads the calendar off a course; `None` when it has no session.
    #[must_use]
    pub fn of(course: &Course) -> Option<Calendar> {
        let step = course.settings.grid.value;
        let sessions: Vec<(Zoned, Zoned)> =
            course.sessions.iter().map(|s| (s.from.value.clone(), s.to.value.clone())).collect();
        let staff = course.sessions.iter().flat_map(|s| s.staff.iter().map(|span| span.value.clone()));
        let staff: Vec<(Zoned, Zoned)> = match somebody(course) {
            Some(there) => both(&staff.collect::<Vec<_>>(), &there),
            None => staff.collect(),
        };
        let all: Vec<(Zoned, Zoned)> = sessions.iter().cloned().chain(staff).collect();
        let first = all.iter().map(|(from, _)| from).min_by_key(|z| z.timestamp())?;
        let grid = Grid::new(on_the_grid(first, step), step);
        let slots = |(from, to): &(Zoned, Zoned)| (grid.slot_from(from), grid.slot_until(to));
        let sessions: Vec<(i32, i32)> = sessions.iter().map(slots).collect();
        let attended = joined(all.iter().map(slots).collect());
        let quiet = without(&attended, &sessions);
        let horizon = attended.iter().map(|span| span.1).max().unwrap_or(0);
        Some(Calendar { grid, sessions, attended, quiet, horizon })
    }
    /// The same calendar with every session, and the staff's hours around it, going on for `slots` more, as far
    /// as the next session allows.
    #[must_use]
    pub fn longer(&self, slots: i32) -> Calendar {
        // Never into the next session, nor into the staff's next hours: those stay hours of their own.
        let until = |from: i32, to: i32| {
            let session = self.sessions.iter().map(|s| s.0).filter(|start| *start > from);
            let hours = self.attended.iter().map(|span| span.0 - 1).filter(|start| *start > from);
            session.chain(hours).min().map_or(to + slots, |next| (to + slots).min(next.max(to)))
        };
        let sessions: Vec<(i32, i32)> = self.sessions.iter().map(|s| (s.0, until(s.0, s.1))).collect();
        let spans = self.attended.iter().map(|span| {
            let last = self.sessions.iter().filter(|s| s.0 >= span.0 && s.1 <= span.1).map(|s| s.0).max();
            (span.0, last.map_or(span.1, |from| until(from, span.1)))
        });
        let attended = joined(spans.chain(sessions.iter().copied()).collect());
        // Making ahead keeps to the hours as written: only a session that runs late keeps its staff longer.
        let quiet = self.quiet.clone();
        let horizon = attended.iter().map(|span| span.1).max().unwrap_or(self.horizon);
        Calendar { grid: self.grid.clone(), sessions, attended, quiet, horizon }
    }
    /// The longest attended span: what is not in the cold never waits longer.
    #[must_use]
    pub fn longest_span(&self) -> i32 {
        self.attended.iter().map(|span| span.1 - span.0).max().unwrap_or(0)
    }
}

/// The latest multiple of `step` since midnight that is not after the moment.
fn on_the_grid(moment: &Zoned, step: Minutes) -> Zoned {
    let past = i64::from(moment.minute()) % step.get().clamp(1, 60);
    let back = jiff::SignedDuration::from_secs(past * 60 + i64::from(moment.second()));
    moment.saturating_sub(back)
}

/// Spans joined where they touch, in order; empty ones left out.
#[must_use]
pub fn joined(mut spans: Vec<(i32, i32)>) -> Vec<(i32, i32)> {
    spans.retain(|(from, to)| from < to);
    spans.sort_unstable();
    let mut out: Vec<(i32, i32)> = Vec::new();
    for (from, to) in spans {
        match out.last_mut() {
            Some(last) if from <= last.1 => last.1 = last.1.max(to),
            _ => out.push((from, to)),
        }
    }
    out
}

/// Spans with others cut out of them.
#[must_use]
pub fn without(spans: &[(i32, i32)], cut: &[(i32, i32)]) -> Vec<(i32, i32)> {
    let mut left = spans.to_vec();
    for (from, to) in cut {
        left = left
            .into_iter()
            .flat_map(|(a, b)| [(a, b.min(*from)), (a.max(*to), b)])
            .filter(|(a, b)| a < b)
            .collect();
    }
    joined(left)
}

/// The course's time zone, UTC when its name is not known (reading has told so already).
#[must_use]
pub fn time_zone(course: &Course) -> TimeZone {
    TimeZone::get(&course.settings.time_zone.value).unwrap_or(TimeZone::UTC)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(text: &str) -> Zoned {
        text.parse().unwrap()
    }

    #[test]
    fn a_night_with_a_clock_change_has_its_true_length() {
        // Clocks go forward in Dublin on 28 March 2027 at 01:00 (IANA tz database, Europe/Dublin).
        let grid = Grid::new(at("2027-03-27T18:00[Europe/Dublin]"), Minutes(5));
        let morning = at("2027-03-28T06:00[Europe/Dublin]");
        assert_eq!(grid.slot_from(&morning), 11 * 12);
        assert_eq!(grid.at(11 * 12), morning);
    }

    #[test]
    fn times_are_rounded_to_the_side_that_holds() {
        let grid = Grid::new(at("2027-03-06T10:00[Europe/Dublin]"), Minutes(5));
        assert_eq!((grid.up(Minutes(7)), grid.down(Minutes(7))), (2, 1));
        assert_eq!((grid.up(Minutes(10)), grid.down(Minutes(10))), (2, 2));
        let odd = at("2027-03-06T10:07[Europe/Dublin]");
        assert_eq!((grid.slot_from(&odd), grid.slot_until(&odd)), (2, 1));
    }

    #[test]
    fn spans_are_joined_and_cut() {
        assert_eq!(joined(vec![(5, 9), (0, 3), (3, 4)]), vec![(0, 4), (5, 9)]);
        assert_eq!(without(&[(0, 10)], &[(3, 5)]), vec![(0, 3), (5, 10)]);
    }
}
