//! The plan as everything else reads it: clock times, people, things. No slots and no solver.

use super::containers;
use super::grid::Grid;
use super::jobs::{Doer, Group, Job, Jobs, Shows, What};
use super::schedule::Schedule;
use super::tasks::{JobWay, Model};
use crate::course::{Ahead, EquipId, Hands, LessonId, PartId, SessionId, StationNo, Step, StepId, Where};
use crate::reckon::recipes::Recipes;
use crate::reckon::scale::begun_by;
use crate::reckon::work::{Choice, Load, Vessel, Whom};
use crate::units::Minutes;
use jiff::ZonedDateTime;
use std::collections::BTreeMap;

/// Something that a task keeps busy.
#[derive(Clone, PartialEq, Debug)]
pub struct Used {
    /// The kitchen's id, and the number of one of several alike: `oven-2`, `small-mixer-1`, `round-20`.
    pub resource: String,
    /// How many.
    pub amount: u32,
    /// When it is free of this task's dough again, without the wash between.
    pub until: ZonedDateTime,
}

/// One task with its place in time.
#[derive(Clone, PartialEq, Debug)]
pub struct PlannedTask {
    /// `lesson.step@group`; the class's own steps are `class.step@session`.
    pub id: String,
    /// The lesson; `None` for the class's own.
    pub lesson: Option<LessonId>,
    /// The step.
    pub step: StepId,
    /// It is the wait in the cold before the step.
    pub cold_wait: bool,
    /// For whom at once.
    pub group: Group,
    /// Whose pieces, and how many.
    pub members: Vec<(Whom, u32)>,
    /// When it starts.
    pub start: ZonedDateTime,
    /// When it ends.
    pub end: ZonedDateTime,
    /// Whose hands; for what is made ahead, staff's.
    pub hands: Hands,
    /// One student of each station suffices.
    pub one_student: bool,
    /// Everyone watches.
    pub demo: bool,
    /// Which of the staff: `teacher`, `helper-1`, ...; for hands at the ends of a step, who at the start and who at
    /// the end.
    pub by: Vec<String>,
    /// The stations whose students work or watch.
    pub stations: Vec<StationNo>,
    /// What it keeps busy.
    pub uses: Vec<Used>,
    /// Staff do it before the session.
    pub made_ahead: bool,
    /// It mixes by hand a batch for which there is no machine.
    pub by_hand: bool,
    /// It goes by way of the cold.
    pub from_cold: bool,
    /// Its students have left while it ran, and since then it is staff's.
    pub taken_over: Option<ZonedDateTime>,
}

/// A session with its finish.
#[derive(Clone, PartialEq, Debug)]
pub struct PlannedSession {
    /// Its id.
    pub id: SessionId,
    /// Its written start.
    pub start: ZonedDateTime,
    /// Its written end.
    pub end: ZonedDateTime,
    /// When the last student's step is done.
    pub finish: ZonedDateTime,
}

/// One term of the objective.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct TermValue {
    /// What is made small.
    pub term: String,
    /// Its value.
    pub value: i64,
    /// No plan has less, with the terms before as they are.
    pub bound: i64,
    /// The value is the least possible in the splits into batches and loads that were tried.
    pub proven: bool,
}

/// A class plan.
#[derive(Clone, PartialEq, Debug)]
pub struct Plan {
    /// Everything fits in its time.
    pub fits: bool,
    /// How much too long the sessions, or the staff's hours after them, are in all.
    pub overrun: Minutes,
    /// Every term is proven to be the least possible in the splits that were tried.
    pub proven_optimal: bool,
    /// How many of the possible splits into batches and loads were tried, and how many there are.
    pub tried: (usize, usize),
    /// The terms of the objective, in their order.
    pub objective: Vec<TermValue>,
    /// Ids of the tasks that staff do before the session.
    pub made_ahead: Vec<String>,
    /// The tasks by start.
    pub tasks: Vec<PlannedTask>,
    /// The sessions.
    pub sessions: Vec<PlannedSession>,
    /// The batches, loads, bowls and ovens that it is a plan for.
    pub choice: Choice,
    /// What the search cost, in the solver's steps.
    pub steps: u64,
}

impl PlannedTask {
    /// Whether the teacher looks on while students do it: then the teacher is not free. `step` is its step in the lesson.
    #[must_use]
    pub fn wants_eye(&self, step: Option<&Step>) -> bool {
        step.is_some_and(|s| s.eye) && !self.made_ahead && !self.cold_wait && !self.stations.is_empty()
    }

    /// The stations whose pieces it is on, whoever's hands it takes.
    #[must_use]
    pub fn for_stations(&self) -> Vec<StationNo> {
        let station = |(whom, _): &(Whom, u32)| match whom {
            Whom::Station(no) => Some(*no),
            Whom::Stage { .. } | Whom::Spare => None,
        };
        let mut all: Vec<StationNo> = self.members.iter().filter_map(station).collect();
        all.sort_unstable();
        all.dedup();
        all
    }
}

impl Plan {
    /// By how much the sessions end after their written ends, together: of the overrun what students notice.
    #[must_use]
    pub fn sessions_over(&self) -> Minutes {
        let over = |s: &PlannedSession| s.end.duration_until(&s.finish).as_mins().max(0);
        Minutes(self.sessions.iter().map(over).sum())
    }
    /// By how much the staff's hours after the sessions run over beyond that.
    #[must_use]
    pub fn staff_over(&self) -> Minutes {
        Minutes((self.overrun.get() - self.sessions_over().get()).max(0))
    }
    /// How much too long it is, and what that is made of where it is not the sessions alone.
    #[must_use]
    pub fn too_long(&self) -> String {
        let (sessions, staff) = (self.sessions_over(), self.staff_over());
        match (sessions.get(), staff.get()) {
            (_, 0) => format!("{} too long", self.overrun),
            (0, _) => format!("{} too long for the staff's hours", self.overrun),
            _ => {
                format!("{} too long (the sessions {sessions}, the staff's hours {staff} more)", self.overrun)
            }
        }
    }
    /// The load that a task bakes.
    #[must_use]
    pub fn load_of(&self, task: &PlannedTask) -> Option<&Load> {
        let (Group::Load(no), Some(lesson)) = (&task.group, &task.lesson) else { return None };
        let own = self.choice.loads.get(&(lesson.clone(), task.step.clone()));
        own.and_then(|loads| loads.iter().find(|l| l.no == *no)).or_else(|| {
            let of_lesson = self.choice.loads.iter().filter(|((l, _), _)| l == lesson);
            of_lesson.flat_map(|(_, loads)| loads).find(|l| l.no == *no)
        })
    }
    /// The task with this id.
    #[must_use]
    pub fn task(&self, id: &str) -> Option<&PlannedTask> {
        self.tasks.iter().find(|t| t.id == id)
    }
}

/// Reads a plan's tasks off a schedule.
pub(super) fn tasks_of(jobs: &Jobs<'_>, model: &Model, schedule: &Schedule) -> Vec<PlannedTask> {
    let reader = Reader { jobs, model, schedule };
    let mut tasks: Vec<(i32, usize, PlannedTask)> = Vec::new();
    for number in 0..jobs.jobs.len() {
        if let Some(task) = reader.task(number) {
            tasks.push((schedule.start[number], number, task));
        }
    }
    let mixers = reader.mixer_numbers();
    for (_, number, task) in &mut tasks {
        for (_, used) in mixers.iter().filter(|(n, _)| n == number) {
            task.uses.insert(0, used.clone());
        }
    }
    super::staff::assign(jobs, model, schedule, &mut tasks);
    tasks.sort_by_key(|t| (t.0, t.1));
    tasks.into_iter().map(|(_, _, task)| task).collect()
}

struct Reader<'a> {
    jobs: &'a Jobs<'a>,
    model: &'a Model,
    schedule: &'a Schedule,
}

impl Reader<'_> {
    fn grid(&self) -> &Grid {
        &self.model.calendar.grid
    }
    fn way(&self, number: usize) -> JobWay {
        self.model.ways[number].get(self.schedule.way[number]).copied().unwrap_or_default()
    }

    /// When a job ends: what several take up, when the last has taken it.
    fn end(&self, number: usize) -> i32 {
        let planned = self.schedule.end[number];
        let takers: Vec<usize> = self.jobs.takers(number).collect();
        if takers.len() < 2 || !self.jobs.stands(&self.jobs.jobs[number]) {
            return planned;
        }
        let last = takers.iter().map(|t| self.schedule.start[*t]).max().unwrap_or(planned);
        let least = self.model.problem.tasks[number].ways[self.schedule.way[number]].least;
        planned.min(last).max(self.schedule.start[number] + least)
    }

    fn task(&self, number: usize) -> Option<PlannedTask> {
        let job = &self.jobs.jobs[number];
        let way = self.way(number);
        let cold_wait = matches!(job.what, What::ColdBefore(..));
        if cold_wait && !way.cold {
            return None;
        }
        let (lesson, step) = match (self.jobs.step_of(job), self.jobs.own_of(job)) {
            (Some((lesson, step)), _) => (Some(lesson.id.value.clone()), step.id.value.clone()),
            (None, Some((own, _))) => (None, own.id.value.clone()),
            (None, None) => return None,
        };
        let in_class = !way.ahead;
        let hands = match job.doer {
            _ if way.ahead && job.doer != Doer::Nobody => Hands::Staff,
            Doer::Students | Doer::OneStudent => Hands::Students,
            Doer::Teacher | Doer::Demo(Shows::Teacher) => Hands::Teacher,
            Doer::Helper | Doer::Demo(Shows::Helper) => Hands::Helper,
            Doer::Staff | Doer::Demo(Shows::Staff) => Hands::Staff,
            Doer::Nobody => Hands::Nobody,
        };
        let busy = in_class && matches!(job.doer, Doer::Students | Doer::OneStudent | Doer::Demo(_));
        Some(PlannedTask {
            id: job.id.clone(),
            lesson,
            step,
            cold_wait,
            group: job.group.clone(),
            members: job.members.clone(),
            start: self.grid().at(self.schedule.start[number]),
            end: self.grid().at(self.end(number)),
            hands,
            one_student: in_class && job.doer == Doer::OneStudent,
            demo: job.doer.is_demo(),
            by: Vec::new(),
            stations: if busy { job.stations.clone() } else { Vec::new() },
            uses: self.uses(number, way),
            made_ahead: way.ahead && job.doer != Doer::Nobody,
            by_hand: self.by_hand(job),
            from_cold: way.cold,
            taken_over: None,
        })
    }

    /// Whether a job mixes by hand what others mix in a machine.
    fn by_hand(&self, job: &Job) -> bool {
        let mixes = |step: &Step| matches!(job.what, What::Step(..)) && step.place.value == Where::Mixer;
        self.jobs.step_of(job).is_some_and(|(_, step)| mixes(step))
            && self.jobs.vessel_of(job) == Some(&Vessel::ByHand)
    }

    fn uses(&self, number: usize, way: JobWay) -> Vec<Used> {
        let job = &self.jobs.jobs[number];
        let kitchen = &self.jobs.course.kitchen;
        let mut uses = Vec::new();
        let own_end = self.grid().at(self.end(number));
        if let Some((kind, unit)) = way.oven
            && let Some(oven) = kitchen.ovens.get(kind)
        {
            let racks = self.jobs.fits_of(job).iter().find(|(id, _)| *id == oven.id.value);
            let resource = format!("{}-{}", oven.id.value, unit + 1);
            uses.push(Used { resource, amount: racks.map_or(1, |(_, n)| *n), until: own_end.clone() });
        }
        for stands in self.model.stands_in.iter().filter(|s| s.job == number) {
            if let Some(cupboard) = stands.cupboards.get(self.schedule.way[stands.task.0]) {
                let resource = cupboard.to_string();
                uses.push(Used { resource, amount: stands.things, until: own_end.clone() });
            }
        }
        if matches!(job.what, What::Step(..)) {
            for need in containers::needs(self.jobs, job) {
                let until = need.until.as_ref().and_then(|u| self.last_end(number, u));
                let until = until.unwrap_or_else(|| own_end.clone());
                uses.push(Used { resource: need.what.id().to_string(), amount: need.count, until });
            }
        }
        uses
    }

    /// When the last of a job's pieces are through a step.
    fn last_end(&self, number: usize, until: &StepId) -> Option<ZonedDateTime> {
        let job = &self.jobs.jobs[number];
        let (lesson, _) = job.step()?;
        let same = |other: &&usize| {
            let other = &self.jobs.jobs[**other];
            matches!(other.what, What::Step(l, _) if l == lesson)
                && self.jobs.step_of(other).is_some_and(|(_, s)| s.id.value == *until)
                && other.shares_with(job)
        };
        let all: Vec<usize> = (0..self.jobs.jobs.len()).collect();
        let last = all.iter().filter(same).map(|n| self.end(*n)).max();
        // A stage that is not brought that far keeps its tub or tray until it was shown.
        let shown = || self.jobs.shown_by(number).map(|demo| self.end(demo));
        Some(self.grid().at(last.or_else(shown)?))
    }

    /// Which of several mixers alike: each job gets the lowest number that is free.
    fn mixer_numbers(&self) -> Vec<(usize, Used)> {
        let mut found = Vec::new();
        for (kind, mixer) in self.jobs.course.kitchen.mixers.iter().enumerate() {
            let between = self.grid().up(mixer.between.value);
            let mut runs: Vec<(i32, usize)> = (0..self.jobs.jobs.len())
                .filter(|n| self.way(*n).mixer == Some(kind))
                .map(|n| (self.schedule.start[n], n))
                .collect();
            runs.sort_unstable();
            let mut free_from: Vec<i32> = Vec::new();
            for (start, number) in runs {
                let run = bowl_run(self.jobs, number);
                let end = run.iter().map(|n| self.schedule.end[*n]).max().unwrap_or(start);
                let unit = free_from.iter().position(|free| *free <= start).unwrap_or_else(|| {
                    free_from.push(0);
                    free_from.len() - 1
                });
                free_from[unit] = end + between;
                let resource = format!("{}-{}", mixer.id.value, unit + 1);
                for in_bowl in run {
                    let until = self.grid().at(end);
                    found.push((in_bowl, Used { resource: resource.clone(), amount: 1, until }));
                }
            }
        }
        found
    }
}

/// The jobs that a batch spends in its bowl, from this one on.
fn bowl_run(jobs: &Jobs<'_>, number: usize) -> Vec<usize> {
    let first = &jobs.jobs[number];
    let same = |n: &usize| {
        let job = &jobs.jobs[*n];
        *n == number
            || (matches!(first.group, Group::Batch(_))
                && job.group == first.group
                && job.step().map(|s| s.0) == first.step().map(|s| s.0)
                && jobs.step_of(job).is_some_and(|(_, s)| s.place.value == crate::course::Where::Mixer)
                && jobs.batch_of(job).map(|b| &b.part) == jobs.batch_of(first).map(|b| &b.part))
    };
    (0..jobs.jobs.len()).filter(same).collect()
}

/// The batches and loads with the bowl and the oven that the schedule chose, and what is made ahead.
pub(super) fn choice_of(jobs: &Jobs<'_>, model: &Model, schedule: &Schedule) -> Choice {
    let reader = Reader { jobs, model, schedule };
    let mut choice = Choice::default();
    let kitchen = &jobs.course.kitchen;
    let chosen =
        |is: &dyn Fn(&Job) -> bool| (0..jobs.jobs.len()).filter(|n| is(&jobs.jobs[*n])).collect::<Vec<_>>();
    for (key, split) in &jobs.picked.splits {
        let mut batches = split.batches.clone();
        for batch in &mut batches {
            let own = chosen(&|job| {
                jobs.batch_of(job).is_some_and(|b| b.lesson == key.0 && b.part == key.1 && b.no == batch.no)
            });
            let kind = own.iter().find_map(|n| reader.way(*n).mixer).and_then(|k| kitchen.mixers.get(k));
            if let (Vessel::Mixers(_), Some(mixer)) = (&batch.vessel, kind) {
                batch.vessel = Vessel::Mixers(vec![mixer.id.value.clone()]);
            }
        }
        choice.batches.insert(key.clone(), batches);
    }
    for (key, bake) in &jobs.picked.bakes {
        let mut loads = bake.loads.clone();
        for load in &mut loads {
            let own = chosen(&|job| {
                jobs.step_of(job).is_some_and(|(l, s)| l.id.value == key.0 && s.id.value == key.1)
                    && job.group == Group::Load(load.no)
            });
            let kind = own.iter().find_map(|n| reader.way(*n).oven).and_then(|(k, _)| kitchen.ovens.get(k));
            if let Some(oven) = kind {
                load.fits.retain(|(id, _): &(EquipId, u32)| *id == oven.id.value);
            }
        }
        choice.loads.insert(key.clone(), loads);
    }
    choice.made_ahead = begun_ahead(&reader);
    choice
}

/// Whose part staff begin ahead: one batch of a dough may be, and the next one not.
fn begun_ahead(reader: &Reader<'_>) -> BTreeMap<(LessonId, PartId, Whom), Ahead> {
    let course = reader.jobs.course;
    let (recipes, _) = Recipes::of(course);
    let mut found = BTreeMap::new();
    for (number, job) in reader.jobs.jobs.iter().enumerate() {
        let Some((lesson, step)) = reader.jobs.step_of(job) else { continue };
        let works = matches!(job.what, What::Step(..)) && job.doer != Doer::Nobody;
        let Some(formula) = course.formula(&lesson.formula.value) else { continue };
        if !works || !reader.way(number).ahead {
            continue;
        }
        let begins = |part: &&PartId| begun_by(&recipes, lesson, part).is_some_and(|s| s.id == step.id);
        for part in formula.parts.iter().map(|p| &p.id.value).filter(begins) {
            let key = |whom: &Whom| (lesson.id.value.clone(), part.clone(), whom.clone());
            found.extend(job.members.iter().map(|(whom, _)| (key(whom), Ahead::Always)));
        }
    }
    found
}
