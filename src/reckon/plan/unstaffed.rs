//! Work that nobody of the staff is free for in a plan, and why each of those who might do it is not.
//!
//! That there are hands enough at each moment does not say that each piece of work has its pair from its start to its end, where some of the
//! staff have breaks or hours of their own. What then cannot be moved is no error of the plan: somebody is short, and it is said who and when.

use super::catch_up::works_of;
use super::choose::plan_of;
use super::jobs::Jobs;
use super::presence::{Why, staff_by};
use super::schedule::Budget;
use super::solver;
use super::staff::{NOBODY, to_be_apart};
use super::tasks::Model;
use super::timetable::{Plan, PlannedTask};
use crate::course::{Course, Hands};
use jiff::ZonedDateTime;

/// So often what nobody is free for is moved apart.
const APART: usize = 12;

/// The same with what nobody is free for moved apart from what is done meanwhile; `None`: each piece of work has somebody, or nothing was found.
/// Other pieces could be apart instead, so of what was kept apart nothing counts as proven.
pub(super) fn with_somebody(
    jobs: &Jobs<'_>,
    model: &mut Model,
    plan: &Plan,
    budget: &Budget,
) -> Option<Plan> {
    let (mut found, mut steps): (Option<Plan>, u64) = (None, 0);
    for _ in 0..APART {
        let apart = to_be_apart(jobs, model, found.as_ref().unwrap_or(plan));
        if apart.is_empty() {
            break;
        }
        model.problem.aparts.extend(apart);
        let outcome = solver::solve(&model.problem, budget);
        steps += outcome.steps;
        found = Some(plan_of(jobs, model, &outcome, plan.tried)?);
    }
    found.map(|mut found| {
        for (place, (term, was)) in found.objective.iter_mut().zip(&plan.objective).enumerate() {
            let first = place == 0;
            term.bound = if first { was.bound.min(term.value) } else { 0 };
            term.proven = first && was.proven && was.value == term.value;
        }
        Plan { proven_optimal: false, steps, ..found }
    })
}

/// A piece of work without anybody.
#[derive(Clone, PartialEq, Debug)]
pub struct Unstaffed {
    /// The task.
    pub task: String,
    /// When the work begins.
    pub from: ZonedDateTime,
    /// When it is over.
    pub to: ZonedDateTime,
    /// Those of the staff who might do it, each with why they cannot.
    pub not_free: Vec<NotFree>,
}

/// Somebody who is not free for all of a piece of work.
#[derive(Clone, PartialEq, Debug)]
pub struct NotFree {
    /// Their name.
    pub name: String,
    /// Why, by the clock.
    pub why: Vec<(ZonedDateTime, Taken)>,
}

/// What takes somebody's time.
#[derive(Clone, PartialEq, Debug)]
pub enum Taken {
    /// A break, until then.
    Break(ZonedDateTime),
    /// They are not there until then.
    NotThere(ZonedDateTime),
    /// A task, until then.
    Work(String, ZonedDateTime),
    /// A task that they look at while students work, until then.
    Eye(String, ZonedDateTime),
}

/// What nobody is free for in a plan, by its tasks.
#[must_use]
pub fn unstaffed(course: &Course, plan: &Plan) -> Vec<Unstaffed> {
    let mut found = Vec::new();
    for task in &plan.tasks {
        for (work, by) in works_of(course, task).into_iter().zip(&task.by) {
            if by == NOBODY {
                let not_free = not_free(course, plan, wanted(course, task), (&work.from, &work.to));
                found.push(Unstaffed { task: task.id.clone(), from: work.from, to: work.to, not_free });
            }
        }
    }
    found
}

/// Whose hands a task wants of the staff: its own, or those at its ends.
fn wanted(course: &Course, task: &PlannedTask) -> Hands {
    let step = task.lesson.as_ref().and_then(|l| course.lesson(l)?.step(&task.step));
    match step.and_then(|s| s.ends.as_ref()).filter(|_| task.hands == Hands::Nobody) {
        Some(ends) => ends.hands.value,
        None => task.hands,
    }
}

fn not_free(
    course: &Course,
    plan: &Plan,
    wanted: Hands,
    (from, to): (&ZonedDateTime, &ZonedDateTime),
) -> Vec<NotFree> {
    let may = |who: &str| match wanted {
        Hands::Teacher => who == "teacher",
        Hands::Helper => who != "teacher",
        Hands::Staff | Hands::Students | Hands::Nobody => true,
    };
    let able = staff_by(course, plan).into_iter().filter(|one| may(&one.who));
    able.map(|one| {
        let mut why: Vec<(ZonedDateTime, Taken)> = Vec::new();
        let overlaps = |a: &ZonedDateTime, b: &ZonedDateTime| a < to && from < b;
        let breaks = one.breaks.iter().filter(|b| overlaps(&b.0, &b.1));
        why.extend(breaks.map(|b| (b.0.clone(), Taken::Break(b.1.clone()))));
        for gap in one.gaps(Clone::clone, (from.clone(), to.clone())) {
            if !matches!(gap.why, Why::Break) {
                why.push((gap.from, Taken::NotThere(gap.to)));
            }
        }
        for task in &plan.tasks {
            let own = works_of(course, task).into_iter().zip(&task.by).filter(|(_, by)| **by == one.who);
            let own = own.map(|(work, _)| work).filter(|work| overlaps(&work.from, &work.to));
            why.extend(own.map(|work| (work.from, Taken::Work(task.id.clone(), work.to))));
            let step = task.lesson.as_ref().and_then(|l| course.lesson(l)?.step(&task.step));
            if one.who == "teacher" && task.wants_eye(step) && overlaps(&task.start, &task.end) {
                why.push((task.start.clone(), Taken::Eye(task.id.clone(), task.end.clone())));
            }
        }
        why.sort_by(|a, b| a.0.cmp(&b.0));
        NotFree { name: one.name, why }
    })
    .collect()
}

impl Unstaffed {
    /// The piece of work and why nobody does it, in a sentence without its stop.
    #[must_use]
    pub fn text(&self) -> String {
        let of: Vec<String> = self.not_free.iter().map(NotFree::text).collect();
        let of = if of.is_empty() { "nobody may do it".to_owned() } else { of.join("; ") };
        let time = clock(&self.to);
        format!(
            "nobody of the staff is free for {} from {} to {time}: {of}",
            self.task,
            self.from.strftime("%a %H:%M")
        )
    }

    /// Those who have a break or hours of their own then.
    pub fn away(&self) -> impl Iterator<Item = &str> {
        let is_away = |one: &&NotFree| {
            one.why.iter().any(|(_, taken)| matches!(taken, Taken::Break(_) | Taken::NotThere(_)))
        };
        self.not_free.iter().filter(is_away).map(|one| one.name.as_str())
    }
}

impl NotFree {
    /// "Mara Holt has a break from 14:00 to 14:20 and does class.z@sat from 13:45 to 14:00".
    #[must_use]
    pub fn text(&self) -> String {
        let one = |(from, taken): &(ZonedDateTime, Taken)| {
            let span = |to: &ZonedDateTime| format!("from {} to {}", clock(from), clock(to));
            match taken {
                Taken::Break(to) => format!("has a break {}", span(to)),
                Taken::NotThere(to) => format!("is not there {}", span(to)),
                Taken::Work(task, to) => format!("does {task} {}", span(to)),
                Taken::Eye(task, to) => format!("looks at {task} {}", span(to)),
            }
        };
        let why: Vec<String> = self.why.iter().map(one).collect();
        format!("{} {}", self.name, why.join(" and "))
    }
}

fn clock(at: &ZonedDateTime) -> String {
    at.strftime("%H:%M").to_string()
}
