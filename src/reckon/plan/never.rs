//! Steps that can never be done in the hours as written, however much of everything there is.
//!
//! Each lesson is looked at alone, with all hands, things and ovens free: only orders, waits, lengths and windows are left of its
//! problem. What is impossible there is impossible in the class. A lesson that has room so is looked at with the class's own steps
//! beside it, which take the time and the hands of its students. Of what is impossible as few steps are named as can't be together,
//! and of these the one whose written figure, set aside alone, lets them be.

mod told;

use super::choose::combinations;
use super::grid::Calendar;
use super::jobs::{Group, Job, Jobs, Picked, What};
use super::problem::{Hints, Problem, Reason};
use super::schedule::Budget;
use super::solver;
use super::tasks::{self, Ask, STATION_HANDS};
use crate::course::{Chain, Course, Lasts, Lesson, OwnStep, PartId, Per, Step, Takes};
use crate::finding::Finding;
use crate::reckon::work::{Class, Options, Portion};
use crate::units::Minutes;
use std::collections::BTreeSet;
use told::{told, told_of_class};

/// So many splits of one lesson into batches and loads are looked through; of a lesson with more nothing is said that hangs on them.
const SPLITS: usize = 64;

/// Solver steps for one lesson with everything free: it is mostly refused before any.
const STEPS: u64 = 20_000;

/// So often as few steps are looked for that can't be together, each time in one split more.
const ROUNDS: usize = 6;

/// So many causes of one lesson are told at most.
const CAUSES: usize = 4;

/// A figure of a step that may be in the way.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Figure {
    /// The session that is written for it.
    Session,
    /// The longest that it stands.
    Longest,
    /// The longest wait before it.
    Carry,
    /// The shortest that it stands, or how long it usually takes.
    Shortest,
}

/// In this order they are tried: a session is a choice of the teacher's, and what a dough needs is less so.
const FIGURES: [Figure; 4] = [Figure::Session, Figure::Longest, Figure::Carry, Figure::Shortest];

/// A step that is looked at: of the lesson, or of the class's own. By its place there.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
enum Item {
    Step(usize),
    Own(usize),
}

impl Item {
    fn of(job: &Job) -> Item {
        match job.what {
            What::Step(_, step) | What::ColdBefore(_, step) => Item::Step(step),
            What::Own(own, _) => Item::Own(own),
        }
    }
    fn step(self) -> Option<usize> {
        match self {
            Item::Step(step) => Some(step),
            Item::Own(_) => None,
        }
    }
    /// How long it lasts at least, as the plan reckons.
    fn least(self, course: &Course) -> Minutes {
        let lesson = course.lessons.first();
        match self {
            Item::Step(step) => lesson.and_then(|l| l.steps.get(step)).map(least),
            Item::Own(own) => course.own_steps.get(own).map(|own| own.takes.value.usual),
        }
        .unwrap_or(Minutes::ZERO)
    }
}

/// Steps that can't be together.
struct Cause {
    steps: BTreeSet<Item>,
    /// Which of them, and which figure of it, set aside alone lets the others be.
    figure: Option<(usize, Figure)>,
    /// What the figure may be for the lesson alone.
    enough: Option<Minutes>,
}

/// In which split it is not shown that some steps can't be.
enum MayBe {
    In(Picked),
    InNone,
    /// There are too many to look.
    Unknown,
}

/// One lesson, as if it were the whole class; with the class's own steps, or without.
struct Alone<'a> {
    course: Course,
    class: &'a Class,
    portions: &'a [Portion],
    calendar: &'a Calendar,
    options: Options,
    /// The preferred split.
    first: Picked,
    /// The class's own steps, whether they are looked at or not.
    own_steps: Vec<OwnStep>,
}

/// The steps that can never be done in the hours as written, each lesson for itself.
#[must_use]
pub fn never(course: &Course, class: &Class, portions: &[Portion], options: &Options) -> Vec<Finding> {
    let Some(calendar) = Calendar::of(course) else { return Vec::new() };
    let (mut found, mut of_all) = (Vec::new(), false);
    for lesson in &course.lessons {
        let alone = Alone::of(course, lesson, class, portions, options, &calendar);
        let mut causes = alone.causes();
        if causes.is_empty() && !course.own_steps.is_empty() {
            causes = alone.with_own_steps().causes();
        }
        if let Some(of_class) = causes.iter().find(|cause| cause.steps.iter().all(|i| i.step().is_none())) {
            // That is so whatever is taught: it is told once.
            if !of_all {
                found.push(told_of_class(course, of_class, &calendar));
            }
            of_all = true;
            continue;
        }
        found.extend(causes.iter().map(|cause| told(course, lesson, cause, &calendar)));
    }
    found
}

/// Whether it is shown that some lesson can't be done in the hours as written, whatever the kitchen has.
#[must_use]
pub fn is_never(course: &Course, class: &Class, portions: &[Portion], options: &Options) -> bool {
    let Some(calendar) = Calendar::of(course) else { return false };
    course.lessons.iter().any(|lesson| {
        let alone = Alone::of(course, lesson, class, portions, options, &calendar);
        alone.core(&alone.course).is_some()
    })
}

impl<'a> Alone<'a> {
    fn of(
        course: &Course,
        lesson: &Lesson,
        class: &'a Class,
        portions: &'a [Portion],
        options: &Options,
        calendar: &'a Calendar,
    ) -> Alone<'a> {
        let mut alone = course.clone();
        alone.lessons.retain(|l| l.id.value == lesson.id.value);
        alone.own_steps.clear();
        let mut own = options.clone();
        own.splits.retain(|(of, _), _| *of == lesson.id.value);
        own.bakes.retain(|(of, _), _| *of == lesson.id.value);
        let first = combinations(&own, 1).0.into_iter().next().unwrap_or_default();
        let own_steps = course.own_steps.clone();
        Alone { course: alone, class, portions, calendar, options: own, first, own_steps }
    }

    /// The same in a class with its own steps.
    fn with_own_steps(mut self) -> Alone<'a> {
        self.course.own_steps.clone_from(&self.own_steps);
        self
    }

    fn every_step(course: &Course) -> BTreeSet<Item> {
        let steps = course.lessons.first().map_or(0, |lesson| lesson.steps.len());
        let own = course.own_steps.len();
        (0..steps).map(Item::Step).chain((0..own).map(Item::Own)).collect()
    }

    /// Whether it is shown that these steps can't be, in this split. The teacher's stages and the spare are left out: which of their
    /// steps there are hangs on the loads.
    fn cannot(&self, course: &Course, steps: &BTreeSet<Item>, picked: &Picked) -> bool {
        let mut jobs = Jobs::of(course, self.class, self.portions, picked);
        jobs.keep_only(|job| {
            !matches!(job.group, Group::Stage(..) | Group::Spare) && steps.contains(&Item::of(job))
        });
        if jobs.jobs.is_empty() {
            return false;
        }
        let mut problem = tasks::model(&jobs, self.calendar, Ask::default()).problem;
        // Everything is free, and nothing but whether it can be is asked. Beside the class's own steps students have their two hands.
        let stations = if course.own_steps.is_empty() { Vec::new() } else { stations(&problem) };
        problem.holds.retain(|hold| stations.contains(&hold.resource.0));
        problem.aparts.clear();
        problem.symmetries.clear();
        problem.numberings.clear();
        problem.alike.clear();
        problem.objective.clear();
        problem.hints = Hints::default();
        solver::solve(&problem, &Budget { per_term: STEPS, conflict: 0 }).impossible
    }

    /// Of the splits that these steps have the first in which it is not shown; those of other steps are nothing to them.
    fn may_be_in(&self, course: &Course, steps: &BTreeSet<Item>) -> MayBe {
        let Some(lesson) = course.lessons.first() else { return MayBe::Unknown };
        let own: Vec<&Step> = steps.iter().filter_map(|item| lesson.steps.get(item.step()?)).collect();
        // Into which batches a dough is split is nothing to what is done station by station.
        let works_on = |part: &PartId| {
            let on = |step: &&&Step| step.on.iter().any(|chain| chain.value == Chain::Part(part.clone()));
            own.iter().any(|step| step.per.value == Per::Batch && (on(&step) || step.on.len() != 1))
        };
        let mut options = self.options.clone();
        for ((_, part), splits) in &mut options.splits {
            if !works_on(part) {
                splits.truncate(1);
            }
        }
        for ((_, id), bakes) in &mut options.bakes {
            if !own.iter().any(|step| step.id.value == *id) {
                bakes.truncate(1);
            }
        }
        let (splits, all) = combinations(&options, SPLITS);
        if splits.len() != all {
            return MayBe::Unknown;
        }
        let can = splits.into_iter().find(|picked| !self.cannot(course, steps, picked));
        can.map_or(MayBe::InNone, MayBe::In)
    }

    /// What stands in the way of the lesson; nothing where it could be.
    fn causes(&self) -> Vec<Cause> {
        let mut course = self.course.clone();
        let mut causes: Vec<Cause> = Vec::new();
        while causes.len() < CAUSES {
            let Some(steps) = self.core(&course) else { break };
            let figure = self.figure(&course, &steps);
            causes.push(Cause { steps, figure, enough: None });
            // The next one, with this one set aside.
            let Some((step, figure)) = figure else { break };
            set_aside(&mut course, step, figure, None);
        }
        // How far each figure would have to go, with the others set aside.
        for cause in &mut causes {
            let Some((step, figure)) = cause.figure else { continue };
            cause.enough = self.enough(&course, step, figure);
        }
        causes
    }

    /// As few steps as can't be together; `None`: it is not shown that any can't.
    fn core(&self, course: &Course) -> Option<BTreeSet<Item>> {
        // What can't be in one split may be in another; then as few are looked for as can be in neither.
        let mut against = vec![self.first.clone()];
        for _ in 0..ROUNDS {
            let core = self.few(course, &against)?;
            match self.may_be_in(course, &core) {
                MayBe::InNone => return Some(core),
                MayBe::In(picked) => against.push(picked),
                MayBe::Unknown => return None,
            }
        }
        None
    }

    /// As few steps as can't be together in any of these splits.
    fn few(&self, course: &Course, splits: &[Picked]) -> Option<BTreeSet<Item>> {
        let cannot = |steps: &BTreeSet<Item>| splits.iter().all(|picked| self.cannot(course, steps, picked));
        let mut core = Self::every_step(course);
        if !cannot(&core) {
            return None;
        }
        // The short ones are left out first, so that a long one is what stays; the class's own before all.
        let mut order: Vec<Item> = core.iter().copied().collect();
        order.sort_by_key(|item| (matches!(item, Item::Step(_)), item.least(course), *item));
        for item in order {
            let mut fewer = core.clone();
            fewer.remove(&item);
            if cannot(&fewer) {
                core = fewer;
            }
        }
        Some(core)
    }

    /// The figure that lets the steps be when it alone is set aside, of the longest step that has one.
    fn figure(&self, course: &Course, steps: &BTreeSet<Item>) -> Option<(usize, Figure)> {
        let lesson = course.lessons.first()?;
        let mut order: Vec<usize> = steps.iter().filter_map(|item| item.step()).collect();
        order.sort_by_key(|step| (std::cmp::Reverse(least(&lesson.steps[*step])), std::cmp::Reverse(*step)));
        let all = FIGURES.iter().flat_map(|figure| order.iter().map(|step| (*step, *figure)));
        all.into_iter().find(|(step, figure)| {
            let mut without = course.clone();
            set_aside(&mut without, *step, *figure, None)
                && matches!(self.may_be_in(&without, steps), MayBe::In(_))
        })
    }

    /// The nearest length to what is written with which the lesson can be, with the class's own steps too; on the plan's own grid.
    fn enough(&self, course: &Course, step: usize, figure: Figure) -> Option<Minutes> {
        let written = self.course.lessons.first()?.steps.get(step)?;
        let grid = &self.calendar.grid;
        let can = |slots: i32| {
            let mut with = course.clone();
            with.own_steps.clone_from(&self.own_steps);
            let steps = Self::every_step(&with);
            set_aside(&mut with, step, figure, Some(grid.minutes(slots)));
            !self.cannot(&with, &steps, &self.first)
        };
        // `good` can be and `bad` cannot.
        let (mut good, mut bad) = match (figure, &written.lasts) {
            (Figure::Shortest, _) => (0, grid.up(least(written))),
            (Figure::Longest, Lasts::Stands(stands)) => {
                (self.calendar.horizon, grid.down(stands.value.most?))
            }
            _ => return None,
        };
        if !can(good) {
            return None;
        }
        while (good - bad).abs() > 1 {
            let middle = good.midpoint(bad);
            if can(middle) {
                good = middle;
            } else {
                bad = middle;
            }
        }
        (good > 0).then(|| grid.minutes(good))
    }
}

/// The students' hands, by their places among a problem's resources.
fn stations(problem: &Problem) -> Vec<usize> {
    let is_station = |reason: Reason| match reason {
        Reason::Named(reason) => problem.reasons.get(reason.0).is_some_and(|text| text == STATION_HANDS),
        Reason::Always => false,
    };
    let all = problem.resources.iter().enumerate();
    all.filter(|(_, resource)| is_station(resource.reason)).map(|(place, _)| place).collect()
}

/// How long a step lasts at least, as the plan reckons.
fn least(step: &Step) -> Minutes {
    match &step.lasts {
        Lasts::Takes { takes, .. } => takes.value.usual,
        Lasts::Stands(stands) => stands.value.least,
    }
}

/// Sets a figure of a step of the only lesson aside, or another in its place; false where it has none.
fn set_aside(course: &mut Course, step: usize, figure: Figure, other: Option<Minutes>) -> bool {
    let Some(step) = course.lessons.first_mut().and_then(|lesson| lesson.steps.get_mut(step)) else {
        return false;
    };
    let nothing = Minutes::ZERO;
    match (figure, &mut step.lasts) {
        (Figure::Session, _) => step.session.take().is_some(),
        (Figure::Carry, _) => step.carry.as_mut().is_some_and(|carry| carry.value.most.take().is_some()),
        (Figure::Longest, Lasts::Stands(stands)) => {
            let had = stands.value.most.is_some();
            stands.value.most = other;
            had
        }
        (Figure::Longest, Lasts::Takes { .. }) => false,
        (Figure::Shortest, Lasts::Stands(stands)) => {
            stands.value.least = other.unwrap_or(nothing);
            if let Some(wait) = &mut step.wait_cold {
                wait.then.value.least = other.unwrap_or(nothing);
            }
            true
        }
        (Figure::Shortest, Lasts::Takes { takes, each }) => {
            let short = other.unwrap_or(nothing);
            takes.value = Takes { least: short, usual: short, most: short };
            *each = None;
            true
        }
    }
}
