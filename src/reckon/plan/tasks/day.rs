//! The class's own time: what comes first and last in a session, when students are gone and staff are off.

use super::super::jobs::What;
use super::super::problem::{Apart, Choice, Point, Reason, TaskId, Way};
use super::Builder;
use crate::course::When;

impl Builder<'_> {
    /// Own steps at the ends of each session, and the times of absence.
    pub(super) fn add_day(&mut self) {
        for session in 0..self.calendar.sessions.len() {
            self.add_session(session);
        }
        self.add_off_time();
    }

    fn own(&self, session: usize, is: impl Fn(&When) -> bool) -> Vec<usize> {
        let wanted = |number: &usize| match self.job(*number).what {
            What::Own(own, of) => {
                of == session && self.jobs.course.own_steps.get(own).is_some_and(|o| is(&o.when.value))
            }
            _ => false,
        };
        self.numbers().filter(wanted).collect()
    }

    fn add_session(&mut self, session: usize) {
        let (from, to) = self.calendar.sessions[session];
        let first = self.own(session, |w| matches!(w, When::First));
        let last = self.own(session, |w| matches!(w, When::Last));
        for own in [&first, &last] {
            for pair in own.windows(2) {
                let (a, b) = (Point::end(TaskId(pair[0])), Point::start(TaskId(pair[1])));
                self.problem.lag(a, b, 0, Some(0), Reason::Always);
            }
        }
        if let Some(opening) = first.first() {
            self.fix(Point::start(TaskId(*opening)), from);
        }
        let way = Way::ranged("", 0, to - from).within(&[(from, to)], Reason::Always);
        let gone = self.problem.task(&format!("gone after session {}", session + 1), vec![way]);
        self.ways.push(Vec::new());
        self.fix(Point::end(gone), to);
        if let Some(closing) = last.last() {
            let end = Point::end(TaskId(*closing));
            self.problem.lag(end, Point::start(gone), 0, Some(0), Reason::Always);
        }
        for number in self.numbers() {
            if matches!(self.job(number).what, What::Own(_, of) if of == session) {
                self.problem.after(Point::end(TaskId(number)), Point::start(gone), 0);
            }
        }
        self.limit_end(session, gone);
        self.gone.push(gone);
        if self.ask.over.is_some() {
            self.add_late(session, gone);
        }
    }

    /// By how much a session runs over. The staff's hours after it do so too, and no more: off time begins by then.
    fn add_late(&mut self, session: usize, gone: TaskId) {
        let end = self.written.sessions.get(session).map_or(0, |s| s.1);
        let most = self.calendar.sessions[session].1 - end;
        let late = self.problem.task("too long", vec![Way::ranged("", 0, most.max(0))]);
        self.ways.push(Vec::new());
        self.fix(Point::start(late), end);
        self.problem.after(Point::start(gone), Point::end(late), 0);
        self.late.push(late);
    }

    /// After the written hours staff stay only as long as the last session in them runs over.
    fn leave_in_time(&mut self, span: usize, off: TaskId) {
        let (Some(long), false) = (self.calendar.attended.get(span).copied(), self.late.is_empty()) else {
            return;
        };
        let inside = |s: &&(i32, i32)| long.0 <= s.0 && s.1 <= long.1;
        let zero = Point::start(self.zero);
        let written = self.written.attended.iter().filter(inside).map(|s| s.1).max().unwrap_or(long.1);
        let sessions = self.written.sessions.iter().enumerate().filter(|(_, s)| inside(s));
        match sessions.max_by_key(|(_, s)| s.0) {
            Some((last, session)) => {
                let late = Point::end(self.late[last]);
                let after = written - session.1;
                self.problem.after(Point::start(off), late, -after);
            }
            None => self.problem.after(Point::start(off), zero, -written),
        }
    }

    /// Nothing is made ahead between a session's start and the moment at which its students are gone, however late that is.
    pub(super) fn keep_ahead_apart(&mut self) {
        if !self.ask.ahead_apart || self.ask.over.is_none() {
            return;
        }
        let zero = Point::start(self.zero);
        for number in self.numbers() {
            let task = TaskId(number);
            for only_if in self.when(number, |way| way.ahead) {
                let way = only_if.first().map_or(0, |choice: &Choice| choice.way);
                for session in 0..self.gone.len() {
                    let (from, to) = self.calendar.sessions[session];
                    let meets = |window: &(i32, i32)| window.0 < to && from < window.1;
                    if !self.problem.tasks[number].ways[way].windows.iter().any(meets) {
                        continue;
                    }
                    self.problem.aparts.push(Apart {
                        a: (Point::start(task), Point::end(task)),
                        b: (zero.later(from), Point::start(self.gone[session])),
                        gap_ab: Some(0),
                        gap_ba: Some(0),
                        only_if: only_if.clone(),
                        reason: Reason::Always,
                    });
                }
            }
        }
    }

    /// The session's written end, where the calendar was made longer than that.
    fn limit_end(&mut self, session: usize, gone: TaskId) {
        if !self.ask.name_ends {
            return;
        }
        let Some(written) = self.jobs.course.sessions.get(session) else { return };
        let end = self.calendar.grid.slot_until(&written.to.value);
        let name = session_name(written);
        let text = format!("{name} ends at {}", written.to.value.strftime("%H:%M"));
        let reason = self.reason(&text);
        let zero = Point::start(self.zero);
        let latest = super::super::problem::Lag {
            from: Point::start(gone),
            to: zero,
            least: -end,
            most: None,
            only_if: Vec::new(),
            reason,
        };
        self.problem.lags.push(latest);
    }

    /// Before, between and after the attended spans staff are off; the longer the better.
    fn add_off_time(&mut self) {
        let spans = &self.calendar.attended;
        let mut edges: Vec<((i32, i32), (i32, i32))> = Vec::new();
        if let (Some(first), Some(last)) = (spans.first(), spans.last()) {
            edges.push(((0, 0), *first));
            edges.extend(spans.windows(2).map(|pair| (pair[0], pair[1])));
            edges.push((*last, (self.calendar.horizon, self.calendar.horizon)));
        }
        for (before, after) in edges {
            let least = (after.0 - before.1).max(0);
            let way =
                Way::ranged("", least, after.1 - before.0).within(&[(before.0, after.1)], Reason::Always);
            let off = self.problem.task("staff are off", vec![way]);
            self.ways.push(Vec::new());
            let zero = Point::start(self.zero);
            self.problem.lag(zero, Point::start(off), before.0, Some(before.1), Reason::Always);
            self.problem.lag(zero, Point::end(off), after.0, Some(after.1), Reason::Always);
            self.off.push(off);
        }
        for span in 0..self.calendar.attended.len() {
            self.leave_in_time(span, self.off[span + 1]);
        }
    }
}

/// What people call a session: its name, or the day of the week.
pub(in crate::reckon::plan) fn session_name(session: &crate::course::Session) -> String {
    session.name.as_ref().map_or_else(|| session.from.value.strftime("%A").to_string(), |n| n.value.clone())
}
