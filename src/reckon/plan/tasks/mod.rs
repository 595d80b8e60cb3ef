//! Jobs to a scheduling problem: every station, bowl, tin, oven position, shelf and pair of hands.
//!
//! Each job is a task of the same number; a few tasks more stand for what is no job: slot 0, the time after a
//! session's end when students are gone, the time when staff are off, and the time an oven is on.
//!
//! What two hands may do at once, and other decisions of the model:
//!
//! - A station has as many hands' worth of students as it has students. `students` takes all of them, `one student`
//!   one; so one of a pair can stand at the mixer while the other weighs or brushes.
//! - A batch takes the hands of every station that is in it. A batch for nobody's station is staff's.
//! - The teacher, the helpers and "staff" share one count: `teacher` and `helper` take that person, `staff` whoever
//!   is free. A demo takes whoever of them shows, and every student.
//! - `eye`: the teacher can watch several stations at once, but not while showing or working.
//! - `ends` take hands for the first and the last slots of the step, within its time.
//! - A stand follows the work before it at once, unless a carry says otherwise or several groups meet in it; and it
//!   goes on until the next step takes it up (plus that step's carry). With several takers each has its own time,
//!   and the place is held until the last.
//! - A wait that is neither written nor cold never outlasts the staff's longest day, so that no dough lies open
//!   overnight.
//! - Heat needs someone in the building: ovens, burners, mixers and warm places are used in attended hours. The
//!   cold and the cooling rack may run through the night; so may a stand at room temperature that fits in no day.
//! - Pieces are done before the last session is: nobody takes home what is not cool.
//! - A baked piece with a part that is to be kept cold is ready before its students leave, or in their next session.
//! - Work made ahead is done in staff hours outside the sessions.
//! - Who of the staff has hours or breaks of their own has no work outside of the ones and in the others. Work for "staff" lies in the time of
//!   one person who may do it: it is not handed on half done.

mod aims;
mod allergens;
mod away;
mod bounds;
mod day;
mod equipment;
mod hands;
mod order;
mod ovens;
pub mod stocks;

pub use aims::OVERRUN;
pub use away::away_name;
pub use bounds::Bounds;
pub use hands::{HELPER, PRESENT, STAFF, STATION_HANDS, TEACHER};
pub use ovens::change_over;
mod symmetry;
mod ways;

use super::containers::Counted;
use super::grid::{Calendar, Grid};
use super::jobs::{Job, Jobs, What};
use super::problem::{Choice, Hold, Point, Problem, Reason, ResourceId, TaskId};
use crate::course::{EquipId, Step, Where};
use crate::units::Minutes;
use std::collections::{BTreeMap, BTreeSet};

pub(super) use day::session_name;
pub use ways::JobWay;

/// What is asked of the problem.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Ask {
    /// Sessions may run over by so many slots, as little as possible; `None`: not at all.
    pub over: Option<i32>,
    /// What is made ahead keeps clear of a session that runs over into the hours for it, as of one that does not.
    pub ahead_apart: bool,
    /// Sessions end when they end, but as a reason that a conflict can name.
    pub name_ends: bool,
    /// Students are in the class when it is all theirs, and gone when it is over, also where their hands are set aside: a reason that a
    /// conflict names is about their work alone.
    pub keep_students: bool,
    /// Everything that may be made ahead may be, whatever its policy (a lever, never a plan of its own).
    pub everything_ahead: bool,
    /// Ovens of a kind are not alike: one of them may have failed, and each load may go into any of them.
    pub ovens_differ: bool,
    /// What can never run out is counted all the same: what it is for is counted together with other lessons.
    pub every_hold: bool,
}

impl Ask {
    /// What fits with each session and the staff's hours after it going on so much longer, and in the hours as written for `None`.
    #[must_use]
    pub fn longer(grid: &Grid, by: Option<Minutes>) -> Ask {
        Ask { over: by.map(|by| grid.up(by)), ahead_apart: true, ..Ask::default() }
    }
}

/// A term of the objective as the teacher reads it: the solver's number times `minutes` plus `plus`.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Reading {
    /// What is made small.
    pub term: &'static str,
    /// Added to the solver's number.
    pub plus: i64,
    /// What one of the solver's numbers is worth.
    pub times: i64,
}

/// The problem of a class, and what its numbers mean.
#[derive(Clone, Debug)]
pub struct Model {
    /// The problem; task `n` is job `n` for as many jobs as there are.
    pub problem: Problem,
    /// What each way of each job means.
    pub ways: Vec<Vec<JobWay>>,
    /// The calendar that the slots are of.
    pub calendar: Calendar,
    /// The terms of the objective.
    pub readings: Vec<Reading>,
    /// For each session, the task "students are gone".
    pub gone: Vec<TaskId>,
    /// Where there are several cupboards of a sort: which job stands in one of them, the task whose way says in which, and
    /// the cupboards by way, each with the number of things that stand there.
    pub stands_in: Vec<StandsIn>,
}

/// A job that stands in one of several cupboards.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct StandsIn {
    /// The job.
    pub job: usize,
    /// Its way is the place of the cupboard in `cupboards`.
    pub task: TaskId,
    /// The cupboards.
    pub cupboards: Vec<EquipId>,
    /// How many tins, trays or tubs.
    pub things: u32,
}

/// Builds the problem of a class.
#[must_use]
pub fn model(jobs: &Jobs<'_>, calendar: &Calendar, ask: Ask) -> Model {
    let longer = ask.over.map(|slots| calendar.longer(slots));
    let calendars = (longer.as_ref().unwrap_or(calendar), calendar);
    // A first look shows which ways can't be; without them there is far less to put in order.
    let (first, dead) = build(jobs, calendars, ask, BTreeSet::new());
    if dead.is_empty() { first } else { build(jobs, calendars, ask, dead).0 }
}

/// Ways that can't be, by job.
type Dead = BTreeSet<(usize, JobWay)>;

fn build(
    jobs: &Jobs<'_>,
    (calendar, written): (&Calendar, &Calendar),
    ask: Ask,
    dead: Dead,
) -> (Model, Dead) {
    let mut builder = Builder {
        jobs,
        calendar,
        written,
        ask,
        problem: Problem::new(calendar.horizon),
        ways: Vec::new(),
        reasons: BTreeMap::new(),
        zero: TaskId(0),
        gone: Vec::new(),
        late: Vec::new(),
        stands_in: Vec::new(),
        off: Vec::new(),
        counted: BTreeMap::new(),
        turns: Vec::new(),
        readings: Vec::new(),
        beside: Vec::new(),
        station_resources: Vec::new(),
        present: None,
        dead,
    };
    builder.add_ways();
    builder.add_day();
    builder.keep_ahead_apart();
    builder.add_order();
    builder.add_hands();
    builder.add_equipment();
    builder.add_ovens();
    builder.add_allergens();
    // What follows from a reason must not outlive it where reasons are set aside.
    let impossible = if ask.name_ends { Dead::new() } else { builder.say_days() };
    builder.add_symmetry();
    builder.add_aims();
    builder.count_alike();
    let model = Model {
        problem: builder.problem,
        ways: builder.ways,
        calendar: calendar.clone(),
        readings: builder.readings,
        gone: builder.gone,
        stands_in: builder.stands_in,
    };
    (model, impossible)
}

/// A job's hold of something that is counted.
struct Taken<'a> {
    what: Counted,
    /// The job.
    number: usize,
    /// The step that frees it, where it is not the job's own.
    freed_by: Option<&'a Step>,
    count: u32,
    until: Point,
}

struct Builder<'a> {
    jobs: &'a Jobs<'a>,
    calendar: &'a Calendar,
    /// The calendar as the teacher wrote it, where sessions may run over.
    written: &'a Calendar,
    ask: Ask,
    problem: Problem,
    ways: Vec<Vec<JobWay>>,
    reasons: BTreeMap<String, Reason>,
    /// A task of no length in slot 0: lags from it are clock times.
    zero: TaskId,
    gone: Vec<TaskId>,
    /// For each session the time by which it and the staff's hours after it are too long; only where they may be.
    late: Vec<TaskId>,
    stands_in: Vec<StandsIn>,
    off: Vec<TaskId>,
    counted: BTreeMap<Counted, ResourceId>,
    /// What goes from hand to hand.
    turns: Vec<Taken<'a>>,
    readings: Vec<Reading>,
    /// Tasks beside a job's own, that go with it when stations change places.
    beside: Vec<(usize, TaskId)>,
    /// The students' hands, station by station.
    station_resources: Vec<ResourceId>,
    /// Someone is in the building.
    present: Option<ResourceId>,
    /// Ways that a first look has shown to be impossible.
    dead: Dead,
}

impl<'a> Builder<'a> {
    fn job(&self, number: usize) -> &'a Job {
        &self.jobs.jobs[number]
    }
    fn numbers(&self) -> std::ops::Range<usize> {
        0..self.jobs.jobs.len()
    }
    /// The one reason with this text.
    fn reason(&mut self, text: &str) -> Reason {
        if let Some(known) = self.reasons.get(text) {
            return *known;
        }
        let reason = self.problem.reason(text);
        self.reasons.insert(text.to_owned(), reason);
        reason
    }
    /// Under which choices a job is done in a way of some sort: one empty list when it always is, none when never.
    fn when(&self, job: usize, is: impl Fn(&JobWay) -> bool) -> Vec<Vec<Choice>> {
        let ways = &self.ways[job];
        if ways.iter().all(&is) {
            return vec![Vec::new()];
        }
        let chosen = ways.iter().enumerate().filter(|(_, way)| is(way));
        chosen.map(|(way, _)| vec![Choice { task: TaskId(job), way }]).collect()
    }
    /// Under which choices two jobs are both done in a way of some sort, and can meet: not in different attended spans.
    fn both_when(&self, a: usize, b: usize, is: impl Fn(&JobWay) -> bool) -> Vec<Vec<Choice>> {
        if self.ways[a].iter().chain(&self.ways[b]).all(&is) && self.ways[a].iter().all(|w| w.span.is_none())
        {
            return vec![Vec::new()];
        }
        let ways = |job: usize| self.ways[job].iter().enumerate().filter(|(_, w)| is(w)).collect::<Vec<_>>();
        let mut found = Vec::new();
        for (way, one) in ways(a) {
            for (other_way, other) in ways(b) {
                if one.span == other.span {
                    found.push(vec![
                        Choice { task: TaskId(a), way },
                        Choice { task: TaskId(b), way: other_way },
                    ]);
                }
            }
        }
        found
    }
    /// A resource is busy from one moment to another, under any of these choices.
    fn hold(&mut self, resource: ResourceId, amount: i32, span: (Point, Point), when: &[Vec<Choice>]) {
        for only_if in when {
            self.problem.holds.push(Hold {
                resource,
                amount,
                from: span.0,
                to: span.1,
                only_if: only_if.clone(),
                reason: Reason::Always,
            });
        }
    }
    fn whole(job: usize) -> (Point, Point) {
        (Point::start(TaskId(job)), Point::end(TaskId(job)))
    }
    /// Where a job happens; the wait in the cold happens there.
    fn place(&self, job: &Job) -> Option<Where> {
        match job.what {
            What::ColdBefore(..) => Some(Where::Cold),
            What::Step(..) => self.jobs.step_of(job).map(|(_, step)| step.place.value),
            What::Own(..) => None,
        }
    }
    /// Fixes a moment to a slot.
    fn fix(&mut self, point: Point, slot: i32) {
        let zero = Point::start(self.zero);
        self.problem.lag(zero, point, slot, Some(slot), Reason::Always);
    }
    /// Drops the resources that can never run out, with what holds them: they would only cost time.
    fn drop_if_plenty(&mut self, resource: ResourceId) {
        if self.ask.every_hold {
            return;
        }
        let capacity = i64::from(self.problem.resources[resource.0].capacity);
        // A job holds at most the largest of its alternatives, but a sum over all is a safe bound.
        let mut most: BTreeMap<(usize, usize, usize), i64> = BTreeMap::new();
        for hold in self.problem.holds.iter().filter(|h| h.resource == resource) {
            let way = hold.only_if.first().map_or(usize::MAX, |c| c.way);
            let key = (hold.from.task.0, hold.to.task.0, way);
            *most.entry(key).or_default() += i64::from(hold.amount);
        }
        let mut by_pair: BTreeMap<(usize, usize), (i64, i64)> = BTreeMap::new();
        for ((from, to, way), amount) in most {
            let known = by_pair.entry((from, to)).or_default();
            if way == usize::MAX {
                known.0 += amount;
            } else {
                known.1 = known.1.max(amount);
            }
        }
        let total: i64 = by_pair.values().map(|(always, at_most)| always + at_most).sum();
        if total <= capacity {
            self.problem.holds.retain(|h| h.resource != resource);
        }
    }
}
