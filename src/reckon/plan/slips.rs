//! What a slip does to a plan: its moments, what keeps them apart, and what must not wait any longer. Plain numbers, so that
//! something without a solver, a page at the wall say, can shift the rest of a day by itself.
//!
//! The same network as the chance of ending on time: nothing starts before its printed time, what is late pushes what waits for
//! it on its chain and on every resource, what stands goes on standing.

use super::chance::{Length, Network, over};
use super::jobs::{Group, Job, Jobs, What};
use super::replay::{Replay, picked_of};
use super::timetable::Plan;
use crate::course::{Course, LessonId, SessionId, StepId};
use crate::reckon::work::{Class, Portion, Whom};
use crate::units::Minutes;
use jiff::ZonedDateTime;

/// A moment, by its place in [`Slips::planned`]. Task `n` starts at moment `2 n` and ends at `2 n + 1`.
pub type Moment = usize;

/// A plan as moments and what keeps them apart.
#[derive(Clone, PartialEq, Debug)]
pub struct Slips {
    /// Minute 0.
    pub zero: ZonedDateTime,
    /// The planned minute of each moment; the last ones are when the students of each session are gone.
    pub planned: Vec<Minutes>,
    /// The tasks. Waits in the cold that the plan does not use are among them, with no length.
    pub tasks: Vec<SlipTask>,
    /// The second moment comes at least so long after the first.
    pub arrows: Vec<(Moment, Moment, Minutes)>,
    /// What takes up what: the second task works on what the first has made.
    pub takes: Vec<(usize, usize)>,
    /// What must not become longer.
    pub limits: Vec<Limit>,
    /// When the students of each session are gone.
    pub gone: Vec<(SessionId, Moment)>,
    /// Steps of the course that the plan leaves out, as what they need is out of order.
    pub left_out: Vec<LeftOut>,
}

/// A step that a plan leaves out.
#[derive(Clone, PartialEq, Debug)]
pub struct LeftOut {
    /// The id that it had.
    pub id: String,
    /// Its lesson.
    pub lesson: LessonId,
    /// The step.
    pub step: StepId,
    /// For whom at once.
    pub group: Group,
    /// Whose pieces.
    pub members: Vec<Whom>,
}

/// A task among the moments.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct SlipTask {
    /// The plan's id.
    pub id: String,
    /// Its planned length where it is work; the least one where it stands.
    pub length: Minutes,
    /// It stands: it goes on until it is taken up.
    pub stands: bool,
}

/// The second moment comes at most so long after the first.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Limit {
    /// From.
    pub from: Moment,
    /// To.
    pub to: Moment,
    /// At most.
    pub most: Minutes,
    /// The task, by its place in [`Slips::tasks`], that stands too long or waits too long before it starts.
    pub task: usize,
}

impl Limit {
    /// The task itself stands too long; else it is the wait before it.
    #[must_use]
    pub fn is_of_standing(&self) -> bool {
        (self.from, self.to) == (2 * self.task, 2 * self.task + 1)
    }
}

/// The moments of a plan; `None` when it is not a plan of this course and class.
#[must_use]
pub fn slips(course: &Course, class: &Class, portions: &[Portion], plan: &Plan) -> Option<Slips> {
    let picked = picked_of(plan);
    let mut jobs = Jobs::of(course, class, portions, &picked);
    let left_out = left_out(&jobs, plan);
    jobs.keep_only(|job| matches!(job.what, What::ColdBefore(..)) || plan.task(&job.id).is_some());
    let replay = Replay::of(&jobs, course, plan, over(plan))?;
    let network = Network::of(&jobs, &replay);
    let whole = |minutes: f64| Minutes(minutes.round() as i64);
    let tasks = jobs.jobs.iter().zip(&network.jobs).map(|(job, (start, end, length))| match length {
        Length::Drawn(_) => {
            let long = network.planned[*end] - network.planned[*start];
            SlipTask { id: job.id.clone(), length: whole(long), stands: false }
        }
        Length::AtLeast(least) => SlipTask { id: job.id.clone(), length: whole(*least), stands: true },
    });
    let limits = network.limits.iter().map(|(from, to, most, task)| Limit {
        from: *from,
        to: *to,
        most: whole(*most),
        task: *task,
    });
    let mut arrows: Vec<(Moment, Moment, Minutes)> =
        network.arrows.iter().map(|(from, to, least)| (*from, *to, whole(*least))).collect();
    // Of several between the same two moments the longest holds.
    arrows.sort_unstable_by_key(|(from, to, least)| (*from, *to, std::cmp::Reverse(*least)));
    arrows.dedup_by_key(|(from, to, _)| (*from, *to));
    let before =
        |(number, job): (usize, &Job)| job.before.iter().map(move |b| (*b, number)).collect::<Vec<_>>();
    let takes = jobs.jobs.iter().enumerate().flat_map(before).collect();
    let sessions = course.sessions.iter().map(|s| s.id.value.clone());
    Some(Slips {
        zero: replay.model.calendar.grid.at(0),
        planned: network.planned.iter().map(|m| whole(*m)).collect(),
        tasks: tasks.collect(),
        arrows,
        takes,
        limits: limits.filter(|l| l.most < UNLIMITED).collect(),
        gone: sessions.zip(network.gone.iter().copied()).collect(),
        left_out,
    })
}

/// What of the lessons' steps a plan does not have: on the day it was planned again without what they need.
fn left_out(jobs: &Jobs<'_>, plan: &Plan) -> Vec<LeftOut> {
    let missing = jobs.jobs.iter().filter(|j| matches!(j.what, What::Step(..)) && plan.task(&j.id).is_none());
    let view = |job: &Job| {
        let (lesson, step) = jobs.step_of(job)?;
        Some(LeftOut {
            id: job.id.clone(),
            lesson: lesson.id.value.clone(),
            step: step.id.value.clone(),
            group: job.group.clone(),
            members: job.members.iter().map(|(whom, _)| whom.clone()).collect(),
        })
    };
    missing.filter_map(view).collect()
}

/// Longer than any class: such a limit is none.
const UNLIMITED: Minutes = Minutes(14 * 24 * 60);
