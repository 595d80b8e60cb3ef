//! A plan put back into the scheduling problem that it solves, and the order in which it uses each resource.
//!
//! What a plan fixes beyond the course is who comes first at each mixer, tin, oven and pair of hands. With that order as
//! arrows between moments the plan can be played again with other durations, and asked what holds a task where it is.

use super::grid::Calendar;
use super::jobs::{Job, Jobs, Picked, What};
use super::problem::{Lag, Point, Problem, Reason, ReasonId, Side, TaskId};
use super::tasks::{self, Ask, JobWay, Model};
use super::timetable::{Plan, PlannedTask};
use crate::course::Course;
use jiff::ZonedDateTime;

/// The splits that a plan was made for.
#[must_use]
pub fn picked_of(plan: &Plan) -> Picked {
    use crate::reckon::work::{Bake, Split};
    let batches = plan.choice.batches.iter();
    let loads = plan.choice.loads.iter();
    Picked {
        splits: batches.map(|(key, b)| (key.clone(), Split { batches: b.clone() })).collect(),
        bakes: loads.map(|(key, l)| (key.clone(), Bake { loads: l.clone() })).collect(),
    }
}

/// Whether a plan has left out a job. A wait in the cold that it has not is none that it has left out.
#[must_use]
pub(super) fn is_left_out(plan: &Plan, job: &Job) -> bool {
    !matches!(job.what, What::ColdBefore(..)) && plan.task(&job.id).is_none()
}

/// When all is over that a job follows, or `since`: whichever is later.
fn ready(job: &Job, at: &[(i32, i32, usize)], since: i32) -> i32 {
    let before = job.before.iter().chain(&job.after).filter_map(|other| at.get(*other));
    before.map(|other| other.1).fold(since, i32::max)
}

/// A plan in the terms of its problem.
#[derive(Clone)]
pub struct Replay {
    /// The problem, in which sessions may run over.
    pub model: Model,
    /// For each job: its start, its end and its way in the plan. Later tasks have none.
    pub at: Vec<(i32, i32, usize)>,
    /// For each session, the slot at which students are gone.
    pub gone: Vec<i32>,
}

impl Replay {
    /// Puts a plan back into its problem; `None` when it is not a plan of these jobs.
    #[must_use]
    pub fn of(jobs: &Jobs<'_>, course: &Course, plan: &Plan, over: i32) -> Option<Replay> {
        Replay::with(jobs, course, plan, Ask { over: Some(over), name_ends: true, ..Ask::default() }, None)
    }

    /// The same for a problem of which something else is asked. What the plan has left out lies as early as it could be done from `since`
    /// on; without that, such a plan is none of these jobs.
    pub(super) fn with(
        jobs: &Jobs<'_>,
        course: &Course,
        plan: &Plan,
        ask: Ask,
        since: Option<&ZonedDateTime>,
    ) -> Option<Replay> {
        let calendar = Calendar::of(course)?;
        // Who comes first in which of the ovens that are alike is the plan's: its loads have the numbers of the clock, and some may be left out.
        let model = tasks::model(jobs, &calendar, Ask { ovens_differ: true, ..ask });
        let grid = &calendar.grid;
        let since = since.map(|moment| grid.slot_from(moment));
        let mut at: Vec<(i32, i32, usize)> = Vec::new();
        for (number, job) in jobs.jobs.iter().enumerate() {
            let cold = matches!(job.what, What::ColdBefore(..));
            let place = match plan.task(&job.id) {
                Some(task) => {
                    let way = model.ways[number].iter().position(|w| same_way(jobs, w, task, &calendar))?;
                    (grid.slot_from(&task.start), grid.slot_from(&task.end), way)
                }
                // The straight way has no wait: it is where its step starts.
                None if cold => {
                    let taker = jobs.takers(number).next()?;
                    let start = match plan.task(&jobs.jobs[taker].id) {
                        Some(task) => grid.slot_from(&task.start),
                        None => ready(job, &at, since?),
                    };
                    (start, start, model.ways[number].iter().position(|w| !w.cold)?)
                }
                None => {
                    let start = ready(job, &at, since?);
                    let way = model.ways[number].iter().position(|w| !w.cold)?;
                    (start, start + model.problem.tasks[number].ways.get(way)?.least, way)
                }
            };
            at.push(place);
        }
        let gone = plan.sessions.iter().map(|s| grid.slot_from(&s.finish)).collect();
        Some(Replay { model, at, gone })
    }

    /// The slot of a moment of a job, or of "students are gone"; `None` for other tasks.
    #[must_use]
    pub fn slot(&self, point: Point) -> Option<i32> {
        if let Some(session) = self.model.gone.iter().position(|g| *g == point.task) {
            return (point.side == Side::Start).then(|| self.gone[session] + point.plus);
        }
        let (start, end, _) = self.at.get(point.task.0)?;
        Some(point.plus + if point.side == Side::Start { *start } else { *end })
    }

    /// Whether the plan does everything in these ways.
    pub(super) fn chosen(&self, only_if: &[super::problem::Choice]) -> bool {
        only_if.iter().all(|c| self.at.get(c.task.0).is_some_and(|(_, _, way)| *way == c.way))
    }

    /// Whether a job's length is the plan's to choose.
    #[must_use]
    pub fn stretches(&self, task: TaskId) -> bool {
        let Some((_, _, way)) = self.at.get(task.0) else { return false };
        let way = &self.model.problem.tasks[task.0].ways[*way];
        way.most > way.least
    }

    /// The lags in force between moments that the plan places.
    pub fn lags(&self) -> impl Iterator<Item = &Lag> {
        let known = |lag: &&Lag| self.slot(lag.from).is_some() && self.slot(lag.to).is_some();
        self.model.problem.lags.iter().filter(known).filter(|lag| self.chosen(&lag.only_if))
    }

    /// Who comes before whom on each resource: what is handed on goes from the one that had it to the one that takes it.
    #[must_use]
    pub fn handed_on(&self) -> Vec<Arrow> {
        let problem = &self.model.problem;
        let mut arrows = Vec::new();
        for (number, resource) in problem.resources.iter().enumerate() {
            let mut stays: Vec<(i32, i32, i32, Point, Point)> = problem
                .holds
                .iter()
                .filter(|h| h.resource.0 == number && h.amount > 0 && self.chosen(&h.only_if))
                .filter_map(|h| Some((self.slot(h.from)?, self.slot(h.to)?, h.amount, h.from, h.to)))
                .filter(|(from, to, ..)| from < to)
                .collect();
            stays.sort_unstable_by_key(|s| (s.0, s.1, s.3.task, s.4.task));
            // What is free, and who freed it when; nobody at first.
            let mut free: Vec<(i32, i32, Option<Point>)> = vec![(i32::MIN, resource.capacity, None)];
            for (from, to, amount, start, end) in stays {
                let mut wanted = amount;
                // What was freed last is taken first, so that each has one giver where that is possible.
                free.sort_unstable_by_key(|f| (std::cmp::Reverse(f.0), f.2.map(|p| p.task)));
                for (since, there, giver) in &mut free {
                    if *since > from || wanted == 0 || *there == 0 {
                        continue;
                    }
                    let taken = wanted.min(*there);
                    *there -= taken;
                    wanted -= taken;
                    if let Some(giver) = giver {
                        arrows.push(Arrow { from: *giver, to: start, least: 0, reason: resource.reason });
                    }
                }
                free.retain(|f| f.1 > 0);
                free.push((to, amount, Some(end)));
            }
        }
        arrows.extend(self.apart(problem));
        arrows
    }

    /// Who has to wait for whom: two that together want more of something than there is, and what needs a set-up between.
    /// Unlike [`Self::handed_on`] it names no giver where there is enough for both.
    #[must_use]
    pub fn must_follow(&self) -> Vec<Arrow> {
        let problem = &self.model.problem;
        let mut arrows = Vec::new();
        for (number, resource) in problem.resources.iter().enumerate() {
            let holds = problem.holds.iter().filter(|h| h.resource.0 == number && h.amount > 0);
            let stays: Vec<(i32, i32, &super::problem::Hold)> = holds
                .filter(|h| self.chosen(&h.only_if))
                .filter_map(|h| Some((self.slot(h.from)?, self.slot(h.to)?, h)))
                .filter(|(from, to, _)| from < to)
                .collect();
            for (place, a) in stays.iter().enumerate() {
                for b in &stays[place + 1..] {
                    if a.2.amount + b.2.amount <= resource.capacity {
                        continue;
                    }
                    let (first, second) = if a.0 <= b.0 { (a, b) } else { (b, a) };
                    if first.1 <= second.0 {
                        let (from, to) = (first.2.to, second.2.from);
                        arrows.push(Arrow { from, to, least: 0, reason: resource.reason });
                    }
                }
            }
        }
        arrows.extend(self.apart(problem));
        arrows
    }

    fn apart(&self, problem: &Problem) -> Vec<Arrow> {
        let in_force = problem.aparts.iter().filter(|a| self.chosen(&a.only_if));
        in_force
            .filter_map(|apart| {
                let (a0, a1) = (self.slot(apart.a.0)?, self.slot(apart.a.1)?);
                let (b0, b1) = (self.slot(apart.b.0)?, self.slot(apart.b.1)?);
                let first = apart.gap_ab.filter(|gap| b0 >= a1 + gap && b0 >= a0);
                let second = apart.gap_ba.filter(|gap| a0 >= b1 + gap);
                match (first, second) {
                    (Some(least), _) => {
                        Some(Arrow { from: apart.a.1, to: apart.b.0, least, reason: apart.reason })
                    }
                    (None, Some(least)) => {
                        Some(Arrow { from: apart.b.1, to: apart.a.0, least, reason: apart.reason })
                    }
                    (None, None) => None,
                }
            })
            .collect()
    }

    /// A reason in the teacher's words.
    #[must_use]
    pub fn words(&self, reason: Reason) -> Option<&str> {
        match reason {
            Reason::Always => None,
            Reason::Named(ReasonId(n)) => self.model.problem.reasons.get(n).map(String::as_str),
        }
    }
}

/// One moment comes so many slots after another, because something is handed on.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Arrow {
    /// The earlier moment.
    pub from: Point,
    /// The later moment.
    pub to: Point,
    /// Slots between.
    pub least: i32,
    /// What is handed on.
    pub reason: Reason,
}

/// Whether a task was planned in this way.
fn same_way(jobs: &Jobs<'_>, way: &JobWay, task: &PlannedTask, calendar: &Calendar) -> bool {
    let kitchen = &jobs.course.kitchen;
    let unit = |id: &str, n: u32| task.uses.iter().any(|u| u.resource == format!("{id}-{}", n + 1));
    let of_kind =
        |id: &str| task.uses.iter().any(|u| u.resource.rsplit_once('-').is_some_and(|(kind, _)| kind == id));
    let mixer = way.mixer.is_none_or(|k| kitchen.mixers.get(k).is_some_and(|m| of_kind(m.id.value.as_str())));
    let oven =
        way.oven.is_none_or(|(k, n)| kitchen.ovens.get(k).is_some_and(|o| unit(o.id.value.as_str(), n)));
    let span = way.span.is_none_or(|s| {
        let start = calendar.grid.slot_from(&task.start);
        calendar.attended.iter().position(|a| a.0 <= start && start < a.1 + 1) == Some(s)
    });
    let ahead = way.ahead == task.made_ahead;
    ahead && mixer && oven && span && way.cold == task.from_cold
}
