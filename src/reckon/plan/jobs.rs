//! What has to be done, by whom and in which order: one job for each step and each class, station,
//! batch or load that it is done for.
//!
//! Decisions that everything else in this folder rests on:
//!
//! - **Levels that meet.** A job follows the jobs of the step before it that hold its own dough: two
//!   jobs belong together when they share a member ([`Whom`]). So a station waits for its own batch,
//!   a load for all the pieces in it, and a carry holds for each of them.
//! - **A pan for each variant.** A step `per = "class"` on a part that a variant changes is one job for
//!   each such variant (`cook@class-nut-free`): two fillings are never cooked in one pan.
//! - **Stages.** The teacher's stage is a member of batches and class jobs; what a station does for
//!   its own piece, staff do for the stage, up to the stage's step; the demo takes it up. When a load
//!   holds it, it goes on after the demo through whatever needs no hands, and is baked.
//! - **The spare** goes through all steps; staff do what a station would.
//! - **Waiting in the cold** is a job of its own before the step that allows it, of no length on the
//!   straight way.

use super::chains::Order;
use super::groups::{Members, bake_of, groups, job_of, split_of};
use super::machine_room::MachineRoom;
use crate::course::{
    Ahead, Chain, Course, EquipId, Formula, Hands, Lasts, Lesson, LessonId, OwnStep, PartId, Session,
    StationNo, Step, StepId, VariantId,
};
use crate::reckon::work::{Bake, Batch, Class, Load, Portion, Split, Vessel, Whom};
use crate::units::Grams;
use std::collections::BTreeMap;
use std::fmt;

/// One way to split everything: a combination of the kitchen's options.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Picked {
    /// By lesson and part.
    pub splits: BTreeMap<(LessonId, crate::course::PartId), Split>,
    /// By lesson and baking step.
    pub bakes: BTreeMap<(LessonId, StepId), Bake>,
}

/// What a job is: a step of a lesson, the wait in the cold before one, or one of the class's own steps.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum What {
    /// A step, by the places of its lesson and itself.
    Step(usize, usize),
    /// The wait in the cold before a step.
    ColdBefore(usize, usize),
    /// A step of the class's own, by its place and that of the session.
    Own(usize, usize),
}

/// For whom a job is done at once.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Group {
    /// The whole class, or those of it who follow a variant that changes the part.
    Class(Option<VariantId>),
    /// A station.
    Station(StationNo),
    /// A batch.
    Batch(u32),
    /// An oven load.
    Load(u32),
    /// The teacher's stage for a demo, up to a step.
    Stage(StepId, StepId),
    /// The spare pieces.
    Spare,
    /// A session, for the class's own steps.
    Session(crate::course::SessionId),
}

impl fmt::Display for Group {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Group::Class(None) => write!(f, "class"),
            Group::Class(Some(variant)) => write!(f, "class-{variant}"),
            Group::Station(no) => write!(f, "station-{no}"),
            Group::Batch(no) => write!(f, "batch-{no}"),
            Group::Load(no) => write!(f, "load-{no}"),
            Group::Stage(demo, up_to) => write!(f, "stage-{demo}-{up_to}"),
            Group::Spare => write!(f, "spare"),
            Group::Session(id) => write!(f, "{id}"),
        }
    }
}

/// Whose hands a job takes when it is not made ahead.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Doer {
    /// All hands of the job's stations.
    Students,
    /// One student of each of the job's stations.
    OneStudent,
    /// The teacher.
    Teacher,
    /// A helper.
    Helper,
    /// Teacher or helper.
    Staff,
    /// Someone of the staff shows, and every student watches.
    Demo(Shows),
    /// Nobody.
    Nobody,
}

/// Who holds a demonstration.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Shows {
    /// The teacher.
    Teacher,
    /// A helper.
    Helper,
    /// Teacher or helper.
    Staff,
}

impl Doer {
    /// A demonstration with the hands that are written for it; the teacher's where they are nobody's of the staff.
    #[must_use]
    pub fn demo(hands: Hands) -> Doer {
        Doer::Demo(match hands {
            Hands::Helper => Shows::Helper,
            Hands::Staff => Shows::Staff,
            Hands::Teacher | Hands::Students | Hands::Nobody => Shows::Teacher,
        })
    }

    /// Whether it is a demonstration.
    #[must_use]
    pub fn is_demo(self) -> bool {
        matches!(self, Doer::Demo(_))
    }

    /// Whose hands of the staff it takes: [`Doer::Teacher`], [`Doer::Helper`] or [`Doer::Staff`]; `None` for nobody's.
    #[must_use]
    pub fn of_staff(self) -> Option<Doer> {
        match self {
            Doer::Teacher | Doer::Demo(Shows::Teacher) => Some(Doer::Teacher),
            Doer::Helper | Doer::Demo(Shows::Helper) => Some(Doer::Helper),
            Doer::Staff | Doer::Demo(Shows::Staff) => Some(Doer::Staff),
            Doer::Students | Doer::OneStudent | Doer::Nobody => None,
        }
    }
}

/// One job.
#[derive(Clone, PartialEq, Debug)]
pub struct Job {
    /// Its id: `lesson.step@group`.
    pub id: String,
    /// What it is.
    pub what: What,
    /// For whom at once.
    pub group: Group,
    /// Whose pieces, and how many.
    pub members: Vec<(Whom, u32)>,
    /// The stations whose students it may need.
    pub stations: Vec<StationNo>,
    /// Whose hands.
    pub doer: Doer,
    /// Whether staff make it before the session.
    pub ahead: Ahead,
    /// The jobs that it takes its dough, filling or pieces from.
    pub before: Vec<usize>,
    /// Other jobs that come first.
    pub after: Vec<usize>,
}

impl Job {
    /// How many pieces it works on.
    #[must_use]
    pub fn pieces(&self) -> u32 {
        self.members.iter().map(|(_, n)| n).sum()
    }
    /// The pieces of one of its members.
    #[must_use]
    pub fn pieces_of(&self, whom: &Whom) -> u32 {
        self.members.iter().filter(|(w, _)| w == whom).map(|(_, n)| n).sum()
    }
    /// Whether the two share a member.
    #[must_use]
    pub fn shares_with(&self, other: &Job) -> bool {
        self.members.iter().any(|(whom, _)| other.members.iter().any(|(w, _)| w == whom))
    }
    /// The lesson's and the step's place; `None` for the class's own.
    #[must_use]
    pub fn step(&self) -> Option<(usize, usize)> {
        match self.what {
            What::Step(lesson, step) | What::ColdBefore(lesson, step) => Some((lesson, step)),
            What::Own(..) => None,
        }
    }
}

/// All jobs of a class.
#[derive(Clone, PartialEq, Debug)]
pub struct Jobs<'a> {
    /// The course.
    pub course: &'a Course,
    /// The class.
    pub class: &'a Class,
    /// The split into batches and loads.
    pub picked: &'a Picked,
    /// How much of each part for whom.
    pub portions: &'a [Portion],
    /// The jobs; a job's place is its number.
    pub jobs: Vec<Job>,
    /// Into which machines that goes which is neither a batch nor a load.
    pub room: MachineRoom,
}

impl<'a> Jobs<'a> {
    /// Lists the jobs of a class that is split as picked.
    #[must_use]
    pub fn of(course: &'a Course, class: &'a Class, portions: &'a [Portion], picked: &'a Picked) -> Jobs<'a> {
        let room = MachineRoom::default();
        let mut all = Jobs { course, class, picked, portions, jobs: Vec::new(), room };
        for (place, lesson) in course.lessons.iter().enumerate() {
            if let Some(formula) = course.formula(&lesson.formula.value) {
                let whom = Members::of(lesson, class, portions, picked);
                all.add_lesson(place, lesson, formula, &whom);
            }
        }
        for (place, session) in course.sessions.iter().enumerate() {
            all.add_own_steps(place, session);
        }
        if course.settings.helpers.is_empty() {
            // Where nobody helps, the teacher shows.
            let shows = all.jobs.iter_mut().filter(|job| job.doer == Doer::Demo(Shows::Helper));
            shows.for_each(|job| job.doer = Doer::Demo(Shows::Teacher));
        }
        all.room = MachineRoom::of(&all);
        all
    }

    /// The step of a job.
    #[must_use]
    pub fn step_of(&self, job: &Job) -> Option<(&'a Lesson, &'a Step)> {
        let (lesson, step) = job.step()?;
        let lesson = self.course.lessons.get(lesson)?;
        Some((lesson, lesson.steps.get(step)?))
    }
    /// The class's own step of a job, and its session.
    #[must_use]
    pub fn own_of(&self, job: &Job) -> Option<(&'a OwnStep, &'a Session)> {
        match job.what {
            What::Own(own, session) => {
                Some((self.course.own_steps.get(own)?, self.course.sessions.get(session)?))
            }
            What::Step(..) | What::ColdBefore(..) => None,
        }
    }
    /// The batch of a job.
    #[must_use]
    pub fn batch_of(&self, job: &Job) -> Option<&'a Batch> {
        let Group::Batch(no) = job.group else { return None };
        let (lesson, step) = self.step_of(job)?;
        split_of(lesson, step, self.picked)?.batches.iter().find(|b| b.no == no)
    }
    /// In what a job is mixed: its batch's, or what takes as much as the class or a station has; `None` where it is not mixed.
    #[must_use]
    pub fn vessel_of(&self, job: &Job) -> Option<&Vessel> {
        self.batch_of(job).map(|batch| &batch.vessel).or_else(|| self.room.vessels.get(&job.id))
    }
    /// The kinds of oven that a job fits into, and the racks it takes in each: its load's, or those that take as much as the class or a
    /// station has.
    #[must_use]
    pub fn fits_of(&self, job: &Job) -> &[(EquipId, u32)] {
        let own = || self.room.racks.get(&job.id).map_or(&[] as &[_], Vec::as_slice);
        self.load_of(job).map_or_else(own, |load| load.fits.as_slice())
    }
    /// Whether no machine takes a job: it is never done.
    #[must_use]
    pub fn is_too_large(&self, job: &Job) -> bool {
        let no_bowl = |vessel: &Vessel| matches!(vessel, Vessel::Mixers(kinds) if kinds.is_empty());
        self.room.vessels.get(&job.id).is_some_and(no_bowl)
            || self.room.racks.get(&job.id).is_some_and(Vec::is_empty)
    }
    /// How much a job works on of the parts on its chains: its batch, or what is weighed for its members.
    #[must_use]
    pub fn grams_of(&self, job: &Job) -> Grams {
        if let Some(batch) = self.batch_of(job) {
            return batch.grams;
        }
        let Some((lesson, step)) = self.step_of(job) else { return Grams::ZERO };
        let on_chain = |part: &PartId| step.on.iter().any(|c| c.value == Chain::Part(part.clone()));
        let own = self.portions.iter().filter(|p| p.lesson == lesson.id.value && on_chain(&p.part));
        own.filter(|p| job.members.iter().any(|(whom, _)| *whom == p.whom)).map(|p| p.weighed).sum()
    }
    /// The load of a job.
    #[must_use]
    pub fn load_of(&self, job: &Job) -> Option<&'a Load> {
        let Group::Load(no) = job.group else { return None };
        let (lesson, _) = self.step_of(job)?;
        let (_, step) = job.step()?;
        bake_of(lesson, step, self.picked)?.loads.iter().find(|l| l.no == no)
    }
    /// Whether the job stands (and the plan chooses how long).
    #[must_use]
    pub fn stands(&self, job: &Job) -> bool {
        matches!(job.what, What::ColdBefore(..))
            || self.step_of(job).is_some_and(|(_, step)| matches!(step.lasts, Lasts::Stands(_)))
    }
    /// Whether a job is on somebody's pieces that hold a part which is to be kept cold.
    #[must_use]
    pub fn goes_home_cold(&self, job: &Job) -> bool {
        let Some((lesson, step)) = self.step_of(job) else { return false };
        let Some(formula) = self.course.formula(&lesson.formula.value) else { return false };
        let kept_cold = formula.parts.iter().any(|p| p.needs_cold.as_ref().is_some_and(|n| n.value));
        let on_piece = step.on.iter().any(|c| c.value == Chain::Piece);
        let somebodys = job.members.iter().any(|(whom, _)| !matches!(whom, Whom::Stage { .. }));
        kept_cold && on_piece && somebodys
    }
    /// The jobs that take up what this one leaves.
    pub fn takers(&self, job: usize) -> impl Iterator<Item = usize> + '_ {
        self.jobs.iter().enumerate().filter(move |(_, j)| j.before.contains(&job)).map(|(n, _)| n)
    }

    /// The demonstration that takes up what a job makes for the teacher's stage, at once or after other jobs.
    #[must_use]
    pub fn shown_by(&self, number: usize) -> Option<usize> {
        let job = &self.jobs[number];
        let mut seen = vec![number];
        let mut open = vec![number];
        while let Some(next) = open.pop() {
            for taker in self.takers(next) {
                let demo = self.step_of(&self.jobs[taker]).is_some_and(|(_, s)| s.demo);
                if demo && self.jobs[taker].shares_with(job) {
                    return Some(taker);
                }
                if !seen.contains(&taker) {
                    seen.push(taker);
                    open.push(taker);
                }
            }
        }
        None
    }

    /// Keeps those jobs that are wanted, and of the waits in the cold those before one that is.
    pub(super) fn keep_only(&mut self, wanted: impl Fn(&Job) -> bool) {
        let mut kept: Vec<bool> = self.jobs.iter().map(wanted).collect();
        for number in 0..kept.len() {
            let waits = matches!(self.jobs[number].what, What::ColdBefore(..));
            kept[number] &= !waits || self.takers(number).any(|taker| kept[taker]);
        }
        if kept.iter().all(|kept| *kept) {
            return;
        }
        let mut next = 0;
        let new: Vec<Option<usize>> = kept
            .iter()
            .map(|kept| {
                next += usize::from(*kept);
                kept.then(|| next - 1)
            })
            .collect();
        let mut kept = kept.into_iter();
        self.jobs.retain(|_| kept.next() == Some(true));
        for job in &mut self.jobs {
            job.before = job.before.iter().filter_map(|b| new[*b]).collect();
            job.after = job.after.iter().filter_map(|a| new[*a]).collect();
        }
    }

    fn add_lesson(&mut self, place: usize, lesson: &'a Lesson, formula: &Formula, whom: &Members) {
        let order = Order::of(lesson, Some(formula));
        let first = self.jobs.len();
        let mut of_step: Vec<Vec<usize>> = Vec::new();
        for (number, step) in lesson.steps.iter().enumerate() {
            let mut here = Vec::new();
            for (group, members) in groups(self, lesson, number, formula, whom, &order) {
                let mut job = job_of(self.class, lesson, step, (place, number), group, members);
                self.link(&mut job, lesson, number, &order, &of_step);
                let waits = step.wait_cold.is_some() && !matches!(job.group, Group::Stage(..));
                if waits {
                    let mut wait = job.clone();
                    wait.what = What::ColdBefore(place, number);
                    wait.id = format!("{}.{}-cold@{}", lesson.id.value, step.id.value, wait.group);
                    wait.doer = Doer::Nobody;
                    self.jobs.push(wait);
                    job.before = vec![self.jobs.len() - 1];
                    job.after.clear();
                }
                self.jobs.push(job);
                here.push(self.jobs.len() - 1);
            }
            of_step.push(here);
        }
        self.link_stages(lesson, first, &of_step, &order);
    }

    /// What a job of a step comes after, among the jobs of the steps above it.
    fn link(&self, job: &mut Job, lesson: &Lesson, number: usize, order: &Order, of_step: &[Vec<usize>]) {
        let step = &lesson.steps[number];
        let earlier = |step: &usize| of_step.get(*step).into_iter().flatten().copied();
        if step.demo {
            // Its stages are what it takes up; they are linked when all are known.
        } else {
            for before in &order.before[number] {
                let found: Vec<usize> = earlier(before).filter(|b| self.jobs[*b].shares_with(job)).collect();
                job.before.extend(found);
            }
        }
        let mut found: Vec<usize> = Vec::new();
        let belongs = |other: &Job| {
            let mut plain = job.members.iter().filter(|(w, _)| !matches!(w, Whom::Stage { .. }));
            plain.any(|(whom, _)| other.members.iter().any(|(w, _)| w == whom))
        };
        for after in &order.after[number] {
            found.extend(earlier(after).filter(|a| belongs(&self.jobs[*a])));
        }
        job.after = found;
    }

    /// Each stage stands until its demo takes it up, and goes on after it if it is baked.
    fn link_stages(&mut self, lesson: &Lesson, first: usize, of_step: &[Vec<usize>], order: &Order) {
        for (number, step) in lesson.steps.iter().enumerate().filter(|(_, s)| s.demo) {
            let Some(demo) = of_step[number].first().copied() else { continue };
            for up_to in &step.stages {
                let stage = Whom::Stage { demo: step.id.value.clone(), up_to: up_to.value.clone() };
                let Some(last) = lesson.steps.iter().position(|s| s.id.value == up_to.value) else {
                    continue;
                };
                let ends: Vec<usize> = of_step[last]
                    .iter()
                    .copied()
                    .filter(|j| self.jobs[*j].members.iter().any(|(w, _)| *w == stage))
                    .collect();
                let made_from = order.made_from(last);
                for job in first..self.jobs.len() {
                    let later = self.jobs[job].step().is_some_and(|(_, s)| !made_from.contains(&s));
                    let holds = self.jobs[job].members.iter().any(|(w, _)| *w == stage);
                    if job != demo && later && holds {
                        self.jobs[job].before.retain(|b| !ends.contains(b));
                        self.jobs[job].after.push(demo);
                    }
                }
                self.jobs[demo].before.extend(ends);
            }
        }
    }

    fn add_own_steps(&mut self, place: usize, session: &Session) {
        let course = self.course;
        for (number, own) in course.own_steps.iter().enumerate() {
            if !own.sessions.is_empty() && !own.sessions.iter().any(|s| s.value == session.id.value) {
                continue;
            }
            let doer = match own.hands.value {
                hands if own.demo => Doer::demo(hands),
                _ if own.pause => Doer::Students,
                Hands::Students => Doer::Students,
                Hands::Teacher => Doer::Teacher,
                Hands::Helper => Doer::Helper,
                Hands::Staff => Doer::Staff,
                Hands::Nobody => Doer::Nobody,
            };
            let is_of = |job: &Job, (lesson, step): &(LessonId, StepId)| {
                let known = self.step_of(job).map(|(l, s)| (&l.id.value, &s.id.value));
                matches!(job.what, What::Step(..)) && known == Some((lesson, step))
            };
            let comes_first = |job: &Job| own.after.iter().any(|a| is_of(job, &a.value));
            let after = (0..self.jobs.len()).filter(|n| comes_first(&self.jobs[*n])).collect();
            self.jobs.push(Job {
                id: format!("class.{}@{}", own.id.value, session.id.value),
                what: What::Own(number, place),
                group: Group::Session(session.id.value.clone()),
                members: Vec::new(),
                stations: self.class.stations.iter().map(|s| s.no).collect(),
                doer,
                ahead: Ahead::Never,
                before: Vec::new(),
                after,
            });
        }
    }
}
