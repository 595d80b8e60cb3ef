//! What a plain first-come list makes of the demo class: it goes through the clock, and at each slot starts, in the order
//! in which the files name them, whatever is ready and finds hands and room. It never looks ahead and never goes back.
//!
//! It obeys the same checker of schedules as the solver. With one lesson, hands to spare and no limit to any carry it
//! succeeds; on the demo class as it stands it does not.

use super::{demo, model};
use benchroll::reckon::plan::problem::{Choice, Hold, Lag, Point, Problem, Side, TaskId};
use benchroll::reckon::plan::schedule::Schedule;
use benchroll::reckon::plan::tasks::Model;
use benchroll::reckon::plan::verify::verify;

struct List<'a> {
    problem: &'a Problem,
    start: Vec<Option<i32>>,
    end: Vec<Option<i32>>,
    way: Vec<usize>,
}

impl List<'_> {
    fn at(&self, point: Point) -> Option<i32> {
        let side = match point.side {
            Side::Start => self.start[point.task.0],
            Side::End => self.end[point.task.0],
        };
        side.map(|slot| slot + point.plus)
    }
    fn chosen(&self, only_if: &[Choice]) -> bool {
        only_if.iter().all(|c| self.way[c.task.0] == c.way)
    }
    fn open(&self, task: usize) -> bool {
        self.start[task].is_some() && self.end[task].is_none()
    }

    /// Whether a task may start now: everything before it is over (what stands may be taken up), inside its windows, and
    /// with room on every resource.
    fn can_start(&self, task: usize, now: i32) -> bool {
        let way = &self.problem.tasks[task].ways[self.way[task]];
        let inside =
            way.windows.is_empty() || way.windows.iter().any(|w| w.0 <= now && now + way.least <= w.1);
        inside && self.problem.lags.iter().all(|lag| self.lag_allows(lag, task, now)) && self.room(task, now)
    }

    fn lag_allows(&self, lag: &Lag, task: usize, now: i32) -> bool {
        let first = lag.to.task.0 == task && lag.to.side == Side::Start && lag.from.task.0 != task;
        if !first || !self.chosen(&lag.only_if) {
            return true;
        }
        let before = lag.from.task.0;
        let from = match self.at(lag.from) {
            Some(slot) => slot,
            // What stands can end now, if it stood long enough.
            None if self.open(before) => {
                let least = self.problem.tasks[before].ways[self.way[before]].least;
                let stood = self.start[before].unwrap() + least;
                if stood > now { return false } else { now }
            }
            None => return false,
        };
        from + lag.least <= now + lag.to.plus
    }

    /// When a hold begins and ends if this task starts now; an end that is not known yet is never.
    fn span(&self, hold: &Hold, task: usize, now: i32) -> Option<(i32, i32)> {
        let way = &self.problem.tasks[task].ways[self.way[task]];
        let slot = |point: Point| match (point.task.0 == task, point.side) {
            (true, Side::Start) => Some(now + point.plus),
            (true, Side::End) => Some(now + way.least + point.plus),
            (false, _) => self.at(point),
        };
        Some((slot(hold.from)?, slot(hold.to).unwrap_or(self.problem.horizon)))
    }

    fn room(&self, task: usize, now: i32) -> bool {
        let mine: Vec<&Hold> =
            self.problem.holds.iter().filter(|h| h.from.task.0 == task && self.chosen(&h.only_if)).collect();
        mine.iter().all(|hold| {
            let Some((from, to)) = self.span(hold, task, now) else { return false };
            let others =
                self.problem.holds.iter().filter(|h| h.resource == hold.resource && self.chosen(&h.only_if));
            let spans: Vec<(i32, i32, i32)> = others
                .filter_map(|h| {
                    if h.from.task.0 == task {
                        return self.span(h, task, now).map(|(a, b)| (a, b, h.amount));
                    }
                    let from = self.at(h.from)?;
                    Some((from, self.at(h.to).unwrap_or(self.problem.horizon), h.amount))
                })
                .collect();
            (from..to.min(from + 600)).all(|slot| {
                let taken: i32 = spans.iter().filter(|s| s.0 <= slot && slot < s.1).map(|s| s.2).sum();
                taken <= self.problem.resources[hold.resource.0].capacity
            })
        }) && self.apart(task, now)
    }

    fn apart(&self, task: usize, now: i32) -> bool {
        let way = &self.problem.tasks[task].ways[self.way[task]];
        self.problem.aparts.iter().filter(|a| self.chosen(&a.only_if)).all(|apart| {
            let slot = |point: Point| match (point.task.0 == task, point.side) {
                (true, Side::Start) => Some(now + point.plus),
                (true, Side::End) => Some(now + way.least + point.plus),
                (false, _) => self.at(point),
            };
            let concerned = apart.a.0.task.0 == task || apart.b.0.task.0 == task;
            let ends = (slot(apart.a.0), slot(apart.a.1), slot(apart.b.0), slot(apart.b.1));
            let (Some(a0), Some(a1), Some(b0), Some(b1)) = ends else { return true };
            !concerned
                || apart.gap_ab.is_some_and(|gap| b0 >= a1 + gap)
                || apart.gap_ba.is_some_and(|gap| a0 >= b1 + gap)
        })
    }

    /// Starts a task, and ends what it takes up.
    fn start(&mut self, task: usize, now: i32) {
        let way = &self.problem.tasks[task].ways[self.way[task]];
        self.start[task] = Some(now);
        let waits = way.most > way.least;
        if !waits {
            self.end[task] = Some(now + way.least);
        }
        let before: Vec<usize> = self
            .problem
            .lags
            .iter()
            .filter(|l| l.to == Point::start(TaskId(task)))
            .map(|l| l.from.task.0)
            .collect();
        for stand in before.into_iter().filter(|b| self.open(*b)).collect::<Vec<_>>() {
            // It ends with its last taker.
            let takers =
                |l: &&Lag| l.from.task.0 == stand && l.to.side == Side::Start && l.to.task.0 != stand;
            if self.problem.lags.iter().filter(takers).all(|l| self.start[l.to.task.0].is_some()) {
                self.end[stand] = Some(now);
            }
        }
    }
}

/// Goes through the clock once. What is not a job (students gone, staff off) is put where it is in nobody's way.
fn first_come(model: &Model) -> Option<Schedule> {
    let problem = &model.problem;
    let jobs = model.ways.iter().take_while(|w| !w.is_empty()).count();
    let all = problem.tasks.len();
    let mut list = List { problem, start: vec![None; all], end: vec![None; all], way: vec![0; all] };
    for task in jobs..all {
        let way = &problem.tasks[task].ways[0];
        let window = way.windows.first().copied().unwrap_or((0, problem.horizon));
        let gone = model.gone.contains(&TaskId(task));
        let (start, end) = match (gone, problem.tasks[task].name.as_str()) {
            (true, _) => (window.1, window.1),
            (_, "staff are off") => {
                let latest =
                    problem.lags.iter().find(|l| l.to == Point::start(TaskId(task)) && l.most.is_some());
                let start = latest.and_then(|l| l.most).unwrap_or(window.0);
                (start, start + way.least)
            }
            _ => (window.0, window.0),
        };
        list.start[task] = Some(start);
        list.end[task] = Some(end);
        let on = problem.tasks[task].ways.iter().position(|w| w.name == "on");
        if let Some(on) = on {
            list.way[task] = on;
            list.end[task] = Some(window.1);
        }
    }
    // What comes last in a session comes right before its end.
    for gone in &model.gone {
        let mut next = Point::start(*gone);
        while let Some(lag) =
            problem.lags.iter().find(|l| l.to == next && l.most == Some(0) && l.from.side == Side::End)
        {
            let task = lag.from.task.0;
            let end = list.at(next)?;
            list.end[task] = Some(end);
            list.start[task] = Some(end - problem.tasks[task].ways[0].least);
            next = Point::start(TaskId(task));
        }
    }
    // What comes first comes right at its start.
    for task in 0..jobs {
        let fixed =
            |l: &&Lag| l.to == Point::start(TaskId(task)) && l.most == Some(l.least) && l.from.task.0 >= jobs;
        if let Some(lag) = problem.lags.iter().find(fixed) {
            let mut place = Some((task, lag.least));
            while let Some((task, start)) = place {
                let end = start + problem.tasks[task].ways[0].least;
                list.start[task] = Some(start);
                list.end[task] = Some(end);
                let next =
                    problem.lags.iter().find(|l| l.from == Point::end(TaskId(task)) && l.most == Some(0));
                place = next.filter(|l| l.to.task.0 < jobs).map(|l| (l.to.task.0, end));
            }
        }
    }
    for now in 0..=problem.horizon {
        for task in 0..jobs {
            if list.start[task].is_some() {
                continue;
            }
            for way in 0..problem.tasks[task].ways.len() {
                list.way[task] = way;
                if list.can_start(task, now) {
                    list.start(task, now);
                    break;
                }
            }
        }
        for task in 0..jobs {
            // What nobody takes up ends when it may.
            let way = &problem.tasks[task].ways[list.way[task]];
            let taken = problem
                .lags
                .iter()
                .any(|l| l.from.task.0 == task && l.to.task.0 != task && l.to.task.0 < jobs);
            if list.open(task) && !taken {
                list.end[task] = list.start[task].map(|s| s + way.least);
            }
        }
    }
    Some(Schedule {
        start: list.start.into_iter().collect::<Option<_>>()?,
        end: list.end.into_iter().collect::<Option<_>>()?,
        way: list.way,
    })
}

fn fits(model: &Model) -> bool {
    first_come(model).is_some_and(|schedule| verify(&model.problem, &schedule).is_empty())
}

#[test]
fn a_first_come_list_does_not_fit_the_demo() {
    assert!(!fits(&model(&demo())));
}

#[test]
fn a_first_come_list_fits_where_there_is_room() {
    let mut course = demo();
    course.lessons.retain(|l| l.id.value.as_str() == "four-braid");
    course.settings.helpers.push(course.settings.helpers[0].clone());
    for circuit in &mut course.kitchen.circuits {
        circuit.carries.value = circuit.carries.value.times(4);
    }
    for step in course.lessons.iter_mut().flat_map(|l| &mut l.steps) {
        if let Some(carry) = &mut step.carry {
            carry.value.most = None;
        }
    }
    let model = model(&course);
    let schedule = first_come(&model);
    let breaches = schedule.as_ref().map(|s| verify(&model.problem, s));
    assert_eq!(breaches, Some(Vec::new()));
}
