//! Hours and breaks of single people of the staff: while one is away, their hands are.

use super::super::grid::{joined, without};
use super::super::jobs::Doer;
use super::super::presence::{Staffer, staff};
use super::super::problem::{Hold, Point, Reason, ResourceId, TaskId, Way};
use super::Builder;

/// A time in which one of the staff has no work.
struct Absence {
    from: i32,
    to: i32,
    /// It begins after the session with this place, as much later as that runs over.
    after: Option<usize>,
    /// It is a break.
    pause: bool,
}

/// What the task is called that stands for the absence of one of the staff: whoever moves hands about finds it by this.
#[must_use]
pub fn away_name(who: &str) -> String {
    format!("{who} is away")
}

impl Builder<'_> {
    /// Holds the hands of whoever is away: the resources of the teacher, of all helpers, and of all staff, each with the parts that one
    /// person has in it.
    pub(super) fn add_away(
        &mut self,
        teacher: (ResourceId, i32),
        helper: (ResourceId, i32),
        all: Option<(ResourceId, i32)>,
    ) {
        for (n, one) in staff(self.jobs.course).iter().enumerate() {
            if one.is_there_as_all() {
                continue;
            }
            let own = if n == 0 { teacher } else { helper };
            for absence in self.absences(one) {
                let task = self.away(&one.who, &absence);
                let (from, to) = Self::whole(task.0);
                let reason = self.why_away(one, &absence);
                for (resource, amount) in std::iter::once(own).chain(all) {
                    let only_if = Vec::new();
                    self.problem.holds.push(Hold { resource, amount, from, to, only_if, reason });
                }
            }
        }
    }

    /// What a conflict calls an absence.
    fn why_away(&mut self, one: &Staffer, absence: &Absence) -> Reason {
        let name = &one.name;
        let clock = |slot: i32| self.calendar.grid.at(slot).strftime("%a %H:%M").to_string();
        let text = if absence.pause {
            format!("the break of {name} from {} to {}", clock(absence.from), clock(absence.to))
        } else {
            format!("the hours of {name}")
        };
        self.reason(&text)
    }

    fn absences(&self, one: &Staffer) -> Vec<Absence> {
        let horizon = self.calendar.horizon;
        let grid = &self.calendar.grid;
        let hours = self.hours_of(one);
        let breaks = one.breaks.iter().map(|(from, to)| (grid.slot_until(from), grid.slot_from(to)));
        let mut breaks = joined(breaks.collect());
        let mut all: Vec<Absence> = Vec::new();
        if one.hours.is_some() {
            // A break lies within their hours in whole slots, too: hands are taken once.
            let meet = |b: &(i32, i32), h: &(i32, i32, Option<usize>)| (b.0.max(h.0), b.1.min(h.1));
            breaks = breaks.iter().flat_map(|b| hours.iter().map(move |h| meet(b, h))).collect();
            let mut left = (0, None);
            for (from, to, after) in hours {
                all.push(Absence { from: left.0, to: from, after: left.1, pause: false });
                left = (to, after);
            }
            all.push(Absence { from: left.0, to: horizon, after: left.1, pause: false });
        }
        all.extend(breaks.into_iter().map(|(from, to)| Absence { from, to, after: None, pause: true }));
        let clipped = all.into_iter().map(|a| Absence { from: a.from.max(0), to: a.to.min(horizon), ..a });
        clipped.filter(|a| a.from < a.to).collect()
    }

    /// Somebody's own hours in slots, each with the last session that ends in it.
    fn hours_of(&self, one: &Staffer) -> Vec<(i32, i32, Option<usize>)> {
        let grid = &self.calendar.grid;
        let hours = one.hours.iter().flatten();
        hours
            .map(|(from, to)| {
                let ends = |n: &usize| {
                    let session = &self.jobs.course.sessions[*n];
                    *from <= session.to.value && session.to.value <= *to
                };
                let last = (0..self.jobs.course.sessions.len()).filter(ends);
                let last = last.max_by_key(|n| self.written.sessions.get(*n).map(|s| s.0));
                (grid.slot_from(from), grid.slot_until(to), last.filter(|_| self.ask.over.is_some()))
            })
            .filter(|(from, to, _)| from < to)
            .collect()
    }

    /// A task that stands for somebody's absence. Who is there at the end of a session stays as long as it runs over.
    fn away(&mut self, who: &str, absence: &Absence) -> TaskId {
        let Absence { from, to, after, .. } = *absence;
        let least = if after.is_some() { 0 } else { to - from };
        let way = Way::ranged("", least, to - from).within(&[(from, to)], Reason::Always);
        let task = self.problem.task(&away_name(who), vec![way]);
        self.ways.push(Vec::new());
        self.fix(Point::end(task), to);
        match after.and_then(|session| Some((session, *self.late.get(session)?))) {
            Some((session, late)) => {
                let end = self.written.sessions.get(session).map_or(from, |s| s.1);
                self.problem.after(Point::start(task), Point::end(late), end - from);
            }
            None => self.fix(Point::start(task), from),
        }
        task
    }

    /// The windows in which whoever does something is there throughout: somebody of those who may do it.
    pub(super) fn while_there(&self, doer: Option<Doer>, windows: Vec<(i32, i32)>) -> Vec<(i32, i32)> {
        let Some(doer) = doer.filter(|_| !self.jobs.course.presence.is_empty()) else { return windows };
        let may = |n: usize| match doer {
            Doer::Teacher => n == 0,
            Doer::Helper => n > 0,
            _ => true,
        };
        let staff = staff(self.jobs.course);
        let mut spans: Vec<(i32, i32)> = Vec::new();
        let able: Vec<&Staffer> =
            staff.iter().enumerate().filter(|(n, _)| may(*n)).map(|(_, one)| one).collect();
        if able.len() < 2 {
            // Of one person the hands say all, and a conflict can name the hours.
            return windows;
        }
        for one in able {
            // By how much hours run over, the hands say.
            let away = self.absences(one).into_iter().filter(|a| a.after.is_none());
            let away: Vec<(i32, i32)> = away.map(|a| (a.from, a.to)).collect();
            spans.extend(without(&[(0, self.calendar.horizon)], &away));
        }
        let meet = |w: &(i32, i32), s: &(i32, i32)| (w.0.max(s.0), w.1.min(s.1));
        let mut found: Vec<(i32, i32)> = windows
            .iter()
            .flat_map(|w| spans.iter().map(move |s| meet(w, s)))
            .filter(|(a, b)| a < b)
            .collect();
        found.sort_unstable_by_key(|(from, to)| (*from, -to));
        let mut distinct: Vec<(i32, i32)> = Vec::new();
        for window in found {
            if distinct.last().is_none_or(|last| window.1 > last.1) {
                distinct.push(window);
            }
        }
        if distinct.is_empty() {
            // No window at all would be any time.
            distinct.push((0, 0));
        }
        distinct
    }
}
