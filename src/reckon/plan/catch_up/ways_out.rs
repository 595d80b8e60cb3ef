//! A day that runs over: what of the class's own could be left out, so that it runs over less. Each is tried by planning again.

use super::{CaughtUp, Now, catch_up, overstayed};
use crate::course::{Course, OwnStep, Session, When};
use crate::reckon::plan::choose::Effort;
use crate::reckon::plan::timetable::Plan;
use crate::reckon::work::{Class, Portion};
use crate::units::Minutes;

/// A talk or the like that is left out.
#[derive(Clone, PartialEq, Debug)]
pub struct WayOut {
    /// Its task.
    pub id: String,
    /// How much it runs over in all then.
    pub overrun: Minutes,
    /// The plan without it: whoever offers it looks at the food in it first.
    pub plan: Plan,
}

/// What could be left out of a day that runs over, by the clock. No break, nothing with a caution, and nothing with which a session begins or
/// ends: those are not ours to give away. Each makes it less late, and costs no dough anything.
#[must_use]
pub fn ways_out(
    course: &Course,
    class: &Class,
    portions: &[Portion],
    plan: &Plan,
    (now, after): (&Now, &CaughtUp),
    effort: Effort,
) -> Vec<WayOut> {
    let over = |session: &Session| {
        let planned = after.plan.sessions.iter().find(|s| s.id == session.id.value);
        planned.is_some_and(|s| s.finish > s.end)
    };
    let mut found: Vec<WayOut> = Vec::new();
    for session in course.sessions.iter().filter(|s| over(s)) {
        for own in course.own_steps.iter().filter(|own| may_go(own)) {
            let id = format!("class.{}@{}", own.id.value, session.id.value);
            let to_come = |plan: &Plan| plan.task(&id).is_some_and(|task| task.start >= now.time);
            if !to_come(plan) || !to_come(&after.plan) {
                continue;
            }
            let less = without(course, own, session);
            let mut shorter = plan.clone();
            shorter.tasks.retain(|task| task.id != id);
            let mut now = now.clone();
            now.late.retain(|(late, _)| *late != id);
            let Some(then) = catch_up(&less, class, portions, &shorter, &now, effort) else { continue };
            let costs_nothing = overstayed(&then) <= overstayed(after)
                && then.broken.iter().all(|new| {
                    after.broken.iter().any(|old| (old.rule, &old.tasks) == (new.rule, &new.tasks))
                })
                && then.left_out.all().len() <= after.left_out.all().len();
            if costs_nothing && then.plan.overrun < after.plan.overrun {
                found.push(WayOut { id, overrun: then.plan.overrun, plan: then.plan });
            }
        }
    }
    found.sort_by_key(|way| after.plan.task(&way.id).map(|task| task.start.timestamp()));
    found
}

fn may_go(own: &OwnStep) -> bool {
    let between = matches!(own.when.value, When::Between(..) | When::Any);
    between && !own.pause && own.caution.is_empty()
}

/// The course without a step of the class's own in one session.
fn without(course: &Course, own: &OwnStep, session: &Session) -> Course {
    let mut less = course.clone();
    let others = course.sessions.iter().filter(|other| other.id.value != session.id.value);
    let there = |id: &crate::course::SessionId| {
        own.sessions.is_empty() || own.sessions.iter().any(|s| s.value == *id)
    };
    let others: Vec<_> =
        others.filter(|other| there(&other.id.value)).map(|other| other.id.clone()).collect();
    if others.is_empty() {
        less.own_steps.retain(|step| step.id.value != own.id.value);
    } else {
        let same = less.own_steps.iter_mut().filter(|step| step.id.value == own.id.value);
        same.for_each(|step| step.sessions.clone_from(&others));
    }
    less
}
