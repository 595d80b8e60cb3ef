//! Steps that can never be done in the hours as written, however much of everything there is.
//!
//! Each lesson is looked at alone, with all hands, things and ovens free: only orders, waits, lengths and windows are left of its
//! problem. What is impossible there is impossible in the class. Of such a lesson as few steps are named as can't be together, and
//! of these the one whose written figure, set aside alone, lets them be.

use super::chains::policy;
use super::choose::combinations;
use super::grid::Calendar;
use super::jobs::{Group, Jobs, Picked};
use super::problem::Hints;
use super::schedule::Budget;
use super::solver;
use super::tasks::{self, Ask};
use crate::course::{Ahead, Chain, Course, Hands, Lasts, Lesson, PartId, Per, Step, Takes, Where};
use crate::finding::Finding;
use crate::reckon::work::{Class, Options, Portion};
use crate::units::Minutes;
use std::collections::BTreeSet;

/// So many splits of one lesson into batches and loads are looked through; of a lesson with more nothing is said that hangs on them.
const SPLITS: usize = 64;

/// Solver steps for one lesson with everything free: it is mostly refused before any.
const STEPS: u64 = 20_000;

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

/// Steps of a lesson that can't be together.
struct Cause {
    /// Their places in the lesson.
    steps: BTreeSet<usize>,
    /// Which of them, and which figure of it, set aside alone lets the others be.
    figure: Option<(usize, Figure)>,
    /// What the figure may be for the lesson alone.
    enough: Option<Minutes>,
}

/// One lesson, as if it were the whole class.
struct Alone<'a> {
    course: Course,
    class: &'a Class,
    portions: &'a [Portion],
    calendar: &'a Calendar,
    options: Options,
    /// The preferred split.
    first: Picked,
}

/// The steps that can never be done in the hours as written, each lesson for itself.
#[must_use]
pub fn never(course: &Course, class: &Class, portions: &[Portion], options: &Options) -> Vec<Finding> {
    let Some(calendar) = Calendar::of(course) else { return Vec::new() };
    let mut found = Vec::new();
    for lesson in &course.lessons {
        let alone = Alone::of(course, lesson, class, portions, options, &calendar);
        for cause in alone.causes() {
            found.push(told(lesson, &cause, &calendar));
        }
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
        Alone { course: alone, class, portions, calendar, options: own, first }
    }

    fn every_step(&self) -> BTreeSet<usize> {
        self.course.lessons.first().map_or_else(BTreeSet::new, |lesson| (0..lesson.steps.len()).collect())
    }

    /// Whether it is shown that these steps can't be, in this split. The teacher's stages and the spare are left out: which of their
    /// steps there are hangs on the loads.
    fn cannot(&self, course: &Course, steps: &BTreeSet<usize>, picked: &Picked) -> bool {
        let mut jobs = Jobs::of(course, self.class, self.portions, picked);
        jobs.keep_only(|job| {
            !matches!(job.group, Group::Stage(..) | Group::Spare)
                && job.step().is_some_and(|(_, step)| steps.contains(&step))
        });
        if jobs.jobs.is_empty() {
            return false;
        }
        let mut problem = tasks::model(&jobs, self.calendar, Ask::default()).problem;
        // Everything is free, and nothing but whether it can be is asked.
        problem.holds.clear();
        problem.aparts.clear();
        problem.symmetries.clear();
        problem.numberings.clear();
        problem.alike.clear();
        problem.objective.clear();
        problem.hints = Hints::default();
        solver::solve(&problem, &Budget { per_term: STEPS, conflict: 0 }).impossible
    }

    /// The same in every split that these steps have; those of other steps are nothing to them.
    fn cannot_in_any(&self, course: &Course, steps: &BTreeSet<usize>) -> bool {
        let Some(lesson) = course.lessons.first() else { return false };
        let own: Vec<&Step> = steps.iter().filter_map(|step| lesson.steps.get(*step)).collect();
        let works_on = |part: &PartId| {
            let on = |step: &&&Step| step.on.iter().any(|chain| chain.value == Chain::Part(part.clone()));
            own.iter().any(|step| on(&step) || step.per.value == Per::Batch && step.on.len() != 1)
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
        splits.len() == all && splits.iter().all(|picked| self.cannot(course, steps, picked))
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
    fn core(&self, course: &Course) -> Option<BTreeSet<usize>> {
        let mut core = self.every_step();
        if !self.cannot(course, &core, &self.first) {
            return None;
        }
        let lesson = course.lessons.first()?;
        // The short ones are left out first, so that a long one is what stays.
        let mut order: Vec<usize> = core.iter().copied().collect();
        order.sort_by_key(|step| (least(&lesson.steps[*step]), *step));
        for step in order {
            let mut fewer = core.clone();
            fewer.remove(&step);
            if self.cannot(course, &fewer, &self.first) {
                core = fewer;
            }
        }
        self.cannot_in_any(course, &core).then_some(core)
    }

    /// The figure that lets the steps be when it alone is set aside, of the longest step that has one.
    fn figure(&self, course: &Course, steps: &BTreeSet<usize>) -> Option<(usize, Figure)> {
        let lesson = course.lessons.first()?;
        let mut order: Vec<usize> = steps.iter().copied().collect();
        order.sort_by_key(|step| (std::cmp::Reverse(least(&lesson.steps[*step])), std::cmp::Reverse(*step)));
        let all = FIGURES.iter().flat_map(|figure| order.iter().map(|step| (*step, *figure)));
        all.into_iter().find(|(step, figure)| {
            let mut without = course.clone();
            set_aside(&mut without, *step, *figure, None) && !self.cannot(&without, steps, &self.first)
        })
    }

    /// The nearest length to what is written with which the lesson can be; on the plan's own grid.
    fn enough(&self, course: &Course, step: usize, figure: Figure) -> Option<Minutes> {
        let written = self.course.lessons.first()?.steps.get(step)?;
        let steps = self.every_step();
        let grid = &self.calendar.grid;
        let can = |slots: i32| {
            let mut with = course.clone();
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

/// The finding, at the figure that is in the way.
fn told(lesson: &Lesson, cause: &Cause, calendar: &Calendar) -> Finding {
    let id = &lesson.id.value;
    let at = cause.figure.and_then(|(step, figure)| Some((lesson.steps.get(step)?, figure)));
    let others: Vec<String> = cause
        .steps
        .iter()
        .filter_map(|step| lesson.steps.get(*step))
        .filter(|step| at.is_none_or(|(own, _)| own.id.value != step.id.value))
        .map(|step| words(lesson, step))
        .collect();
    let with = match others.split_last() {
        None => longest(lesson, at.map(|(step, _)| step), calendar),
        Some((only, [])) => format!("with {only} it fits nowhere into the hours as written"),
        Some((last, more)) => {
            format!("with {} and {last} it fits nowhere into the hours as written", more.join(", "))
        }
    };
    const FREE: &str = "even for one station alone with everything in the kitchen free";
    let Some((step, figure)) = at else {
        let place = cause.steps.iter().next_back().and_then(|step| lesson.steps.get(*step)?.id.place);
        let message = format!(
            "{} of `{id}` fit nowhere into the hours as written, one after another, {FREE}",
            others.join(", ")
        );
        return Finding::error("never-fits", place.or(lesson.id.place), message).way_out(OTHER_HOURS);
    };
    let name = format!("`{id}.{}`", step.id.value);
    let enough = |side: &str| match cause.enough {
        Some(enough) => format!("with {side} {enough} its steps would have room, with everything free; "),
        None => String::new(),
    };
    let (place, says, way_out) = match figure {
        Figure::Session => {
            let session = step.session.as_ref();
            let of = session.map_or_else(String::new, |s| s.value.to_string());
            let way_out = "write another session for it, or none, or another one for the step beside it";
            (session.and_then(|s| s.place), format!("is for session `{of}`"), way_out.to_owned())
        }
        Figure::Carry => {
            let carry = step.carry.as_ref();
            let most = carry.and_then(|c| c.value.most).unwrap_or(Minutes::ZERO);
            let says = format!("comes at most {most} after the step before it");
            (carry.and_then(|c| c.place), says, format!("let it wait longer; or {OTHER_HOURS}"))
        }
        Figure::Longest => {
            let (place, most) = match &step.lasts {
                Lasts::Stands(stands) => (stands.place, stands.value.most.unwrap_or(Minutes::ZERO)),
                Lasts::Takes { takes, .. } => (takes.place, takes.value.most),
            };
            let way_out = format!(
                "{}let it stand that long (in the cold, if the dough asks for it), make less ahead, or {OTHER_HOURS}",
                enough("a longest of")
            );
            (place, format!("stands at most {most}"), way_out)
        }
        Figure::Shortest => {
            let cold = matches!(step.place.value, Where::Cold | Where::Freezer);
            let (place, says, more) = match &step.lasts {
                Lasts::Stands(stands) if cold || step.wait_cold.is_some() => {
                    (stands.place, format!("stands at least {}", stands.value.least), "")
                }
                Lasts::Stands(stands) => {
                    let says = format!("stands at least {}, and can't wait in the cold", stands.value.least);
                    (stands.place, says, "let it wait in the cold (`wait-cold`), ")
                }
                Lasts::Takes { takes, .. } => (takes.place, format!("takes {}", takes.value.usual), ""),
            };
            (place, says, format!("look at the unit; {}{more}{OTHER_HOURS}", enough("at most")))
        }
    };
    let message = format!("{name} {says}: {with}, {FREE}");
    Finding::error("never-fits", place.or(step.id.place), message).way_out(way_out)
}

const OTHER_HOURS: &str = "make the sessions or the staff's hours longer, or take another day";

/// What keeps one of the other steps where it is.
fn words(lesson: &Lesson, step: &Step) -> String {
    let id = &step.id.value;
    let session = step.session.as_ref().map(|s| format!("session `{}`", s.value));
    let hot = matches!(step.place.value, Where::Oven | Where::Hob | Where::Mixer | Where::Warm);
    let when = match (policy(lesson, step), step.hands.value) {
        (Ahead::Always, _) => Some("made ahead".to_owned()),
        (ahead, Hands::Students) => {
            let inside = session.unwrap_or_else(|| "in a session".to_owned());
            let or = if ahead == Ahead::IfNeeded { ", or made ahead" } else { "" };
            Some(format!("students, {inside}{or}"))
        }
        (_, Hands::Teacher | Hands::Helper | Hands::Staff) => {
            Some(session.unwrap_or_else(|| "in the staff's hours".to_owned()))
        }
        (_, Hands::Nobody) if hot => Some("in the staff's hours".to_owned()),
        (_, Hands::Nobody) => None,
    };
    let long = match &step.lasts {
        Lasts::Takes { takes, .. } => takes.value.usual.to_string(),
        Lasts::Stands(stands) => match stands.value.most {
            Some(most) => format!("{} to {most}", stands.value.least),
            None => format!("at least {}", stands.value.least),
        },
    };
    match when {
        Some(when) => format!("`{id}` ({long}, {when})"),
        None => format!("`{id}` ({long})"),
    }
}

/// Where a step alone is too long: how long there is for it.
fn longest(lesson: &Lesson, step: Option<&Step>, calendar: &Calendar) -> String {
    let span = |spans: &[(i32, i32)]| {
        calendar.grid.minutes(spans.iter().map(|span| span.1 - span.0).max().unwrap_or(0))
    };
    match step {
        Some(step) if step.hands.value == Hands::Students && policy(lesson, step) == Ahead::Never => {
            format!("no session is longer than {}", span(&calendar.sessions))
        }
        _ => {
            format!("somebody is in the kitchen for {} at a stretch and no longer", span(&calendar.attended))
        }
    }
}
