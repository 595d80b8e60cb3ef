//! When each of the staff is there, where that is written of them alone, and when they have a break.
//!
//! Who has hours on any day is there in those and in no others; who has none is there whenever staff are. In a break somebody is in the
//! building, and free of work. Whoever is there when a session ends stays for as long as it runs over.

use super::timetable::{Plan, PlannedSession};
use crate::course::Course;
use crate::course::spans::{Span, joined};
use jiff::ZonedDateTime;

/// One of the staff.
#[derive(Clone, PartialEq, Debug)]
pub struct Staffer {
    /// `teacher`, `helper-1`, ...
    pub who: String,
    /// Their name.
    pub name: String,
    /// Their hours, in order; `None`: whenever staff are there.
    pub hours: Option<Vec<Span>>,
    /// Their breaks within these, in order.
    pub breaks: Vec<Span>,
}

/// Why somebody has no work at a moment.
#[derive(Clone, PartialEq, Debug)]
pub enum Away {
    /// A break, until then.
    Break(ZonedDateTime),
    /// Not there, until then; `None`: they do not come again.
    NotThere(Option<ZonedDateTime>),
}

/// A time in which one of the staff has no work, by the clock `T` of whoever asks, within the stretch that was asked for.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Gap<T> {
    /// Its first moment.
    pub from: T,
    /// Its end.
    pub to: T,
    /// Why.
    pub why: Why,
}

/// Why somebody has no work for a time.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Why {
    /// A break.
    Break,
    /// They are not there.
    NotThere {
        /// They were before, in the same stretch: they go when it begins.
        goes: bool,
        /// They are after it, in the same stretch: they come when it ends.
        comes: bool,
    },
}

/// What there is to tell of somebody when a gap begins or ends.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum News<T> {
    /// A break begins, and lasts until then.
    Break(T),
    /// They are not there in all of the stretch.
    NotThere,
    /// They go.
    Goes,
    /// They come.
    Comes,
}

impl<T: Clone> Gap<T> {
    /// What is told of it by the clock: at its begin, at its end, or at both.
    #[must_use]
    pub fn news(&self) -> Vec<(T, News<T>)> {
        let (from, to) = (self.from.clone(), self.to.clone());
        match self.why {
            Why::Break => vec![(from, News::Break(to))],
            Why::NotThere { goes: false, comes: false } => vec![(from, News::NotThere)],
            Why::NotThere { goes, comes } => {
                let gone = goes.then_some((from, News::Goes));
                gone.into_iter().chain(comes.then_some((to, News::Comes))).collect()
            }
        }
    }
}

impl Staffer {
    /// When they have no work in a stretch of time, in order; `clock` is how the asker reads moments.
    #[must_use]
    pub fn gaps<T: Ord + Clone>(
        &self,
        clock: impl Fn(&ZonedDateTime) -> T,
        (from, to): (T, T),
    ) -> Vec<Gap<T>> {
        let mut all: Vec<Gap<T>> = Vec::new();
        if let Some(hours) = &self.hours {
            let (mut left, mut goes) = (from.clone(), false);
            for (begins, ends) in hours.iter().map(|h| (clock(&h.0), clock(&h.1))) {
                if ends > from && begins < to {
                    all.push(Gap { from: left, to: begins, why: Why::NotThere { goes, comes: true } });
                    (left, goes) = (ends, true);
                }
            }
            all.push(Gap { from: left, to: to.clone(), why: Why::NotThere { goes, comes: false } });
        }
        all.extend(self.breaks.iter().map(|(begins, ends)| Gap {
            from: clock(begins).max(from.clone()),
            to: clock(ends).min(to.clone()),
            why: Why::Break,
        }));
        all.retain(|gap| gap.from < gap.to);
        all.sort_by(|a, b| (&a.from, &a.to).cmp(&(&b.from, &b.to)));
        all
    }

    /// Whether they have neither hours nor breaks of their own.
    #[must_use]
    pub fn is_there_as_all(&self) -> bool {
        self.hours.is_none() && self.breaks.is_empty()
    }

    /// Why they have no work at a moment; `None`: they are there.
    #[must_use]
    pub fn away(&self, at: &ZonedDateTime) -> Option<Away> {
        if let Some(hours) = &self.hours
            && !hours.iter().any(|(from, to)| from <= at && at < to)
        {
            return Some(Away::NotThere(hours.iter().map(|h| &h.0).find(|from| *from > at).cloned()));
        }
        let now = self.breaks.iter().find(|(from, to)| from <= at && at < to);
        now.map(|(_, to)| Away::Break(to.clone()))
    }

    /// The same where sessions are over when a plan says so: who is there at the end of one stays for as long as it is late.
    #[must_use]
    pub fn staying(mut self, sessions: &[PlannedSession]) -> Staffer {
        for (from, to) in self.hours.iter_mut().flatten() {
            let ends_in = sessions.iter().filter(|s| *from <= s.end && s.end <= *to);
            let last = ends_in.max_by(|a, b| a.start.cmp(&b.start));
            if let Some(late) = last.filter(|s| s.end < s.finish) {
                *to = to.saturating_add(late.end.duration_until(&late.finish));
            }
        }
        self
    }

    /// Whether they are there for all of this span, and have no break in it.
    #[must_use]
    pub fn can_take(&self, from: &ZonedDateTime, to: &ZonedDateTime) -> bool {
        let there = self.hours.as_ref().is_none_or(|all| all.iter().any(|h| h.0 <= *from && *to <= h.1));
        there && self.breaks.iter().all(|(start, end)| to <= start || end <= from)
    }
}

/// The teacher and the helpers, in this order.
#[must_use]
pub fn staff(course: &Course) -> Vec<Staffer> {
    let helpers = course.settings.helpers.iter().enumerate();
    let helpers = helpers.map(|(n, helper)| (format!("helper-{}", n + 1), helper.value.as_str()));
    std::iter::once(("teacher".to_owned(), course.settings.teacher.value.as_str()))
        .chain(helpers)
        .map(|(who, name)| staffer(course, who, name))
        .collect()
}

/// The same by a plan: who is there when a session ends is so for as long as the plan has it late.
#[must_use]
pub fn staff_by(course: &Course, plan: &Plan) -> Vec<Staffer> {
    staff(course).into_iter().map(|one| one.staying(&plan.sessions)).collect()
}

fn staffer(course: &Course, who: String, name: &str) -> Staffer {
    let rows = || course.presence.iter().filter(|row| row.who.value == name);
    let there: Vec<Span> = rows().flat_map(|row| &row.there).map(|span| span.value.clone()).collect();
    let breaks: Vec<Span> = rows().flat_map(|row| &row.breaks).map(|span| span.value.clone()).collect();
    let hours = (!there.is_empty()).then(|| joined(there));
    let breaks = joined(breaks);
    let breaks = match &hours {
        Some(hours) => both(&breaks, hours),
        None => breaks,
    };
    Staffer { who, name: name.to_owned(), hours, breaks }
}

/// When somebody of the staff is there, in a break or not; `None`: whenever staff are.
#[must_use]
pub fn somebody(course: &Course) -> Option<Vec<Span>> {
    let hours: Option<Vec<Vec<Span>>> = staff(course).into_iter().map(|one| one.hours).collect();
    hours.map(|all| joined(all.into_iter().flatten().collect()))
}

/// What lies in both.
#[must_use]
pub fn both(some: &[Span], others: &[Span]) -> Vec<Span> {
    let meet = |a: &Span, b: &Span| (a.0.clone().max(b.0.clone()), a.1.clone().min(b.1.clone()));
    joined(some.iter().flat_map(|a| others.iter().map(move |b| meet(a, b))).collect())
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn at(hour: i8, minute: i8) -> ZonedDateTime {
        let day = jiff::civil::date(2027, 3, 6);
        day.at(hour, minute, 0, 0).in_tz("Europe/Dublin").unwrap()
    }

    fn hour(moment: &ZonedDateTime) -> i64 {
        i64::from(moment.hour()) * 60 + i64::from(moment.minute())
    }

    fn one(hours: Option<Vec<Span>>, breaks: Vec<Span>) -> Staffer {
        Staffer { who: "helper-1".into(), name: "Ada".into(), hours, breaks }
    }

    fn told(one: &Staffer, from: i64, to: i64) -> Vec<(i64, News<i64>)> {
        one.gaps(hour, (from * 60, to * 60)).iter().flat_map(Gap::news).collect()
    }

    #[test]
    fn who_has_no_hours_of_their_own_has_nothing_told_but_breaks() {
        assert_eq!(told(&one(None, Vec::new()), 9, 17), []);
        let breaks = vec![(at(12, 0), at(12, 30))];
        assert_eq!(told(&one(None, breaks), 9, 17), [(720, News::Break(750))]);
    }

    #[test]
    fn coming_and_going_is_told_within_the_stretch_alone() {
        let there = one(Some(vec![(at(10, 0), at(13, 0)), (at(15, 0), at(17, 0))]), Vec::new());
        assert_eq!(
            told(&there, 9, 18),
            [(600, News::Comes), (780, News::Goes), (900, News::Comes), (1020, News::Goes)]
        );
        // Who is there from its first moment does not come in it, nor go when it is over.
        assert_eq!(told(&there, 10, 13), []);
        assert_eq!(told(&there, 15, 17), []);
        assert_eq!(told(&there, 13, 15), [(780, News::NotThere)]);
        assert_eq!(told(&there, 17, 20), [(1020, News::NotThere)]);
        // Who has gone before it begins only comes.
        assert_eq!(told(&there, 14, 16), [(900, News::Comes)]);
    }

    #[test]
    fn a_break_is_cut_to_the_stretch_and_who_stays_goes_later() {
        let there = one(Some(vec![(at(9, 0), at(16, 0))]), vec![(at(11, 50), at(12, 20))]);
        assert_eq!(told(&there, 12, 17), [(720, News::Break(740)), (960, News::Goes)]);
        let late = PlannedSession { id: "sat".into(), start: at(12, 0), end: at(16, 0), finish: at(16, 40) };
        assert_eq!(told(&there.staying(&[late]), 13, 17), [(1000, News::Goes)]);
    }
}
