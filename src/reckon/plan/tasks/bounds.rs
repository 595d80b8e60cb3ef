//! What follows about the days of the jobs before any search: many a job can only lie in one session or on one day.
//!
//! Saying it outright ("before the students are gone on Saturday") is much stronger for the solver than the resource that
//! it follows from.

use super::super::problem::{Hold, Lag, Point, Problem, Reason, Side, TaskId, Way};
use super::{Builder, Dead};

/// The earliest start and the latest end of each task, as far as lags and windows that always hold show.
#[derive(Debug)]
pub struct Bounds {
    start: Vec<(i32, i32)>,
    end: Vec<(i32, i32)>,
}

impl Bounds {
    /// Those of a problem.
    #[must_use]
    pub fn of(problem: &Problem) -> Bounds {
        let horizon = problem.horizon;
        let all = (0, horizon);
        let mut bounds =
            Bounds { start: vec![all; problem.tasks.len()], end: vec![all; problem.tasks.len()] };
        // Each round can only tighten; a problem without a solution may go on for ever, so the rounds are counted.
        for _ in 0..200 {
            let tasks = bounds.tasks(problem);
            let lags = problem.lags.iter().filter(|lag| bounds.lag(lag)).count();
            if !tasks && lags == 0 {
                break;
            }
        }
        bounds
    }

    /// The earliest and the latest of a moment.
    #[must_use]
    pub fn get(&self, point: Point) -> (i32, i32) {
        let (least, most) = match point.side {
            Side::Start => self.start[point.task.0],
            Side::End => self.end[point.task.0],
        };
        (least + point.plus, most + point.plus)
    }

    fn tighten(&mut self, point: Point, least: i32, most: i32) -> bool {
        let known = match point.side {
            Side::Start => &mut self.start[point.task.0],
            Side::End => &mut self.end[point.task.0],
        };
        let new = (known.0.max(least - point.plus), known.1.min(most - point.plus));
        let changed = new != *known;
        *known = new;
        changed
    }

    fn lag(&mut self, lag: &Lag) -> bool {
        if !lag.only_if.is_empty() {
            return false;
        }
        let (from, to) = (self.get(lag.from), self.get(lag.to));
        let later = self.tighten(lag.to, from.0 + lag.least, lag.most.map_or(i32::MAX / 2, |m| from.1 + m));
        let earlier = self.tighten(lag.from, lag.most.map_or(i32::MIN / 2, |m| to.0 - m), to.1 - lag.least);
        later || earlier
    }

    fn tasks(&mut self, problem: &Problem) -> bool {
        let mut changed = false;
        for (number, task) in problem.tasks.iter().enumerate() {
            let (start, end) = (Point::start(TaskId(number)), Point::end(TaskId(number)));
            // The spans in which a way can still lie.
            let mut start_range: Option<(i32, i32)> = None;
            let mut end_range: Option<(i32, i32)> = None;
            let join = |range: &mut Option<(i32, i32)>, new: (i32, i32)| {
                *range = Some(range.map_or(new, |r| (r.0.min(new.0), r.1.max(new.1))));
            };
            for way in &task.ways {
                let everywhere = [(0, problem.horizon)];
                let windows = if way.windows.is_empty() { &everywhere[..] } else { &way.windows };
                for (from, to) in windows {
                    let starts = (
                        self.start[number].0.max(*from).max(self.end[number].0 - way.most),
                        self.start[number].1.min(to - way.least).min(self.end[number].1 - way.least),
                    );
                    let ends = (
                        self.end[number].0.max(starts.0 + way.least),
                        self.end[number].1.min(*to).min(starts.1.saturating_add(way.most)),
                    );
                    if starts.0 <= starts.1 && ends.0 <= ends.1 {
                        join(&mut start_range, starts);
                        join(&mut end_range, ends);
                    }
                }
            }
            if let (Some(starts), Some(ends)) = (start_range, end_range) {
                changed |= self.tighten(start, starts.0, starts.1);
                changed |= self.tighten(end, ends.0, ends.1);
            }
        }
        changed
    }
}

impl Builder<'_> {
    /// Says outright in which session or day a job lies, where that is certain; and which ways can't be.
    pub(super) fn say_days(&mut self) -> Dead {
        let bounds = Bounds::of(&self.problem);
        let dead = self.dead_ways(&bounds);
        for number in self.numbers() {
            let (start, end) = (bounds.start[number], bounds.end[number]);
            let (from, to) = Self::whole(number);
            let students = self.problem.holds.iter().any(|hold| {
                hold.from == from
                    && hold.to == to
                    && self.station_resources.contains(&hold.resource)
                    && hold.only_if.is_empty()
            });
            if students {
                let inside = |span: &(i32, i32)| span.0 <= start.0 && end.1 <= span.1;
                if let Some(session) = self.calendar.sessions.iter().position(inside) {
                    let gone = self.gone[session];
                    self.problem.lag(to, Point::start(gone), 0, None, Reason::Always);
                }
            }
        }
        self.say_days_of_staff(&bounds);
        dead
    }

    /// Says outright between which two times of absence somebody is in the building for a job, where that is certain: the count of those
    /// who are there then has nothing to add, and a long list of them costs time at every step of the search.
    fn say_days_of_staff(&mut self, bounds: &Bounds) {
        let (present, off) = (self.present, self.off.clone());
        let attended = &self.calendar.attended;
        let mut said: Vec<(Point, Point, usize)> = Vec::new();
        self.problem.holds.retain(|hold| {
            if present != Some(hold.resource) || !hold.only_if.is_empty() || off.contains(&hold.from.task) {
                return true;
            }
            let (first, last) = (bounds.get(hold.from).0, bounds.get(hold.to).1);
            let day = attended.iter().position(|span| span.0 <= first && last <= span.1 + 1);
            said.extend(day.map(|day| (hold.from, hold.to, day)));
            day.is_none()
        });
        for (from, to, day) in said {
            self.problem.lag(Point::end(off[day]), from, 0, None, Reason::Always);
            self.problem.lag(to, Point::start(off[day + 1]), 0, None, Reason::Always);
        }
        let left = |hold: &Hold| Some(hold.resource) == present && !off.contains(&hold.from.task);
        if !self.problem.holds.iter().any(left) {
            self.problem.holds.retain(|hold| Some(hold.resource) != present);
        }
    }

    /// Ways without a window that they can still lie in. A job that would be left without any keeps them all: then
    /// nothing fits, and the solver is to say why.
    fn dead_ways(&self, bounds: &Bounds) -> Dead {
        let mut dead = Dead::new();
        for number in self.numbers() {
            let (start, end) = (bounds.start[number], bounds.end[number]);
            let alive = |way: &Way| {
                let fits = |from: i32, to: i32| {
                    let earliest = start.0.max(from).max(end.0 - way.most);
                    earliest <= start.1 && earliest + way.least <= end.1.min(to)
                };
                way.windows.is_empty() && fits(0, self.problem.horizon)
                    || way.windows.iter().any(|w| fits(w.0, w.1))
            };
            let ways = &self.problem.tasks[number].ways;
            if ways.iter().any(alive) {
                let gone = ways.iter().zip(&self.ways[number]).filter(|(way, _)| !alive(way));
                dead.extend(gone.map(|(_, meaning)| (number, *meaning)));
            }
        }
        dead
    }
}
