//! What somebody says was not done, though the plan has it earlier: it is taken out of the plan, with what would have begun on it,
//! and tried again as what an earlier plan has left out.

use super::super::jobs::{Job, Jobs, What};
use super::super::replay::picked_of;
use super::super::timetable::Plan;
use super::Now;
use crate::course::Course;
use crate::reckon::work::{Class, Portion, Whom};
use jiff::ZonedDateTime;

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
    let of = |whom: &Whom| lost().any(|before| jobs.jobs[*before].members.iter().any(|(other, _)| other == whom));
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
