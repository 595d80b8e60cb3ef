//! What somebody says was not done, though the plan has it earlier: it is taken out of the plan, with what would have begun on it,
//! and tried again as what an earlier plan has left out.

use super::super::check::Broken;
use super::super::choose::Effort;
use super::super::jobs::{Job, Jobs, What};
use super::super::replay::picked_of;
use super::super::timetable::Plan;
use super::{CaughtUp, Costs, Day, Now, overstayed};
use crate::course::Course;
use crate::finding::Level;
use crate::reckon::safety::safety;
use crate::reckon::work::{Class, Portion, Whom};
use crate::units::Minutes;
use jiff::ZonedDateTime;
use std::collections::BTreeSet;

impl Day<'_> {
    /// A plan that makes up for what was not done at no other dough's cost: nothing else in it waits longer, and no session runs over longer,
    /// than if it had been done. What is made up for may itself wait longer than written, which the checker tells, as long as its food keeps
    /// its limits; what may be eaten raw waits for nothing.
    ///
    /// # Errors
    /// What it would cost; `None` where no plan is found at all.
    pub(super) fn made_up_for(&self, effort: Effort) -> Result<CaughtUp, Option<Costs>> {
        let whole = |found: &CaughtUp| found.plan.fits && found.broken.is_empty();
        if let Some(made_up) = self.as_written(effort).filter(whole) {
            return Ok(made_up);
        }
        let otherwise = Day { plan: self.printed, ..*self }.answer(effort).ok_or(None)?;
        let found = self.answer(effort).ok_or(None)?;
        let over = found.plan.overrun.get() - otherwise.plan.overrun.get();
        let no_worse =
            || overstayed(&found) <= overstayed(&otherwise) && found.broken.len() <= otherwise.broken.len();
        if over <= 0 && no_worse() {
            return Ok(found);
        }
        let waits = |b: &&Broken| {
            matches!(b.rule, "carry" | "stands") && b.tasks.iter().any(|id| found.made_up.contains(id))
        };
        let new = || found.broken.iter().filter(|b| !otherwise.broken.contains(b));
        let costs = Costs {
            over: Minutes(over.max(0)),
            food: new().filter(waits).any(|b| self.is_eaten_raw(b)) || self.is_over(&found, &otherwise),
            others: !new().all(|b| waits(&b)),
        };
        if costs == Costs::default() { Ok(found) } else { Err(Some(costs)) }
    }

    /// Whether it is food of which a part is written to hold raw egg when it is eaten.
    fn is_eaten_raw(&self, broken: &Broken) -> bool {
        let of = |id: &String| {
            let lesson = self.printed.task(id)?.lesson.as_ref()?;
            self.course.formula(&self.course.lesson(lesson)?.formula.value)
        };
        let raw = |formula: &crate::course::Formula| {
            formula.parts.iter().any(|p| p.holds_raw_egg.as_ref().is_some_and(|raw| raw.value))
        };
        broken.tasks.iter().filter_map(of).any(raw)
    }

    /// Whether food is out of its limits in one plan and not in the other.
    fn is_over(&self, found: &CaughtUp, otherwise: &CaughtUp) -> bool {
        let over = |plan: &Plan| -> BTreeSet<(String, Option<String>)> {
            let (_, findings) = safety(self.course, self.class, Some(plan));
            let errors = findings.into_iter().filter(|f| f.level == Level::Error);
            errors.map(|f| (f.code.0.to_string(), f.about)).collect()
        };
        !over(&found.plan).is_subset(&over(&otherwise.plan))
    }
}

/// The plan without what was not done, and without what takes that up and would have begun before now: that has not begun either,
/// unless it was said to be done.
pub(super) fn without_undone(
    course: &Course,
    class: &Class,
    portions: &[Portion],
    plan: &Plan,
    now: &Now,
) -> Plan {
    let picked = picked_of(plan);
    let jobs = Jobs::of(course, class, portions, &picked);
    let mut gone = vec![false; jobs.jobs.len()];
    // A job follows what it takes its dough from, in this list too.
    for (number, job) in jobs.jobs.iter().enumerate() {
        let begun = || match plan.task(&job.id) {
            Some(task) => task.start < now.time,
            // Without a wait in the cold, what it would have kept is where it was.
            None => matches!(job.what, What::ColdBefore(..)),
        };
        gone[number] = now.undone.contains(&job.id)
            || (has_nothing_left(&jobs, number, &gone) && begun() && !now.done.contains(&job.id));
    }
    let mut left = plan.clone();
    let is_gone = |id: &String| jobs.jobs.iter().zip(&gone).any(|(job, gone)| *gone && job.id == *id);
    left.tasks.retain(|task| !is_gone(&task.id));
    left
}

/// Whether a job falls away with what it would have taken up: each of those that it is for has lost something of it. What is for several
/// stations goes on with the others.
pub(super) fn has_nothing_left(jobs: &Jobs<'_>, number: usize, gone: &[bool]) -> bool {
    let job = &jobs.jobs[number];
    let lost = || job.before.iter().filter(|before| gone[**before]);
    let of =
        |whom: &Whom| lost().any(|before| jobs.jobs[*before].members.iter().any(|(other, _)| other == whom));
    // A demonstration is held without its stage, too.
    !job.doer.is_demo() && lost().next().is_some() && job.members.iter().all(|(whom, _)| of(whom))
}

/// Whether the only session in which a step may be done was on a former day.
pub(super) fn is_of_a_former_day(
    course: &Course,
    jobs: &Jobs<'_>,
    job: &Job,
    plan: &Plan,
    now: &ZonedDateTime,
) -> bool {
    let written = jobs.step_of(job).and_then(|(_, step)| step.session.as_ref());
    let place = match job.what {
        What::Own(_, session) => Some(session),
        _ => written.and_then(|id| course.sessions.iter().position(|s| s.id.value == id.value)),
    };
    let session = place.and_then(|place| plan.sessions.get(place));
    session.is_some_and(|s| (&s.finish).max(&s.end).date() < now.date())
}
