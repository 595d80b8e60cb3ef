//! When each of the staff is there, where that is written of them alone, and when they have a break.
//!
//! Who has hours on any day is there in those and in no others; who has none is there whenever staff are. In a break somebody is in the
//! building, and free of work. Whoever is there when a session ends stays for as long as it runs over.

use super::timetable::PlannedSession;
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

impl Staffer {
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
