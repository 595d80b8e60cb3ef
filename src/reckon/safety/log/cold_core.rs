//! What was cooked and must be cold at its centre: when that is read where the rule set has no clock for it, and what is done where it is
//! too warm. A reading that comes after hours cannot tell when it passed, and what is out then is thrown away.

use super::super::cooling::Cooling;
use super::super::rule_sets::{Passes, RuleSet};
use super::super::trace::between;
use super::super::{Safety, rules::row};
use super::{IfOut, Limit, LogRow, Since, What, staff_are_in};
use crate::course::{Chain, Course, Lasts, LessonId, PartId, Where};
use crate::reckon::plan::timetable::{Plan, PlannedTask};
use crate::units::{Celsius, Minutes};
use jiff::ZonedDateTime;

/// From the fire to 5 degC in all: rows `us-cool-total` (FDA Food Code 2022, 3-501.14(A)(2)) and `au-cool` (Standard 3.2.2, clause 7(3):
/// 2 h, then 4 h) say the same. Lent to a rule set that has no clock, for the time of a reading and what is done then; no verdict rests on it.
const IN_ALL: (Minutes, &str) = (Minutes(360), "us-cool-total");

/// Sooner than this after the fire no published clock asks for anything (rows `us-cool-stage1`, `au-cool`: 2 h): a reading before all
/// leave would only find it warm.
const NOT_SOONER: Minutes = Minutes(120);

/// The readings of a cooled part before the step's end, where the rule set has no clock: when the lesson would first let it be used, which
/// counts on its being cold, and by [`IN_ALL`] at the latest. Nobody there then: before all leave, and first thing on return.
pub(super) fn readings(course: &Course, plan: &Plan, set: &RuleSet, cooling: &Cooling) -> Vec<LogRow> {
    if set.cooling.first().is_some() {
        return Vec::new();
    }
    let Some((most, cold_from, by)) = cold_stand(course, plan, cooling) else { return Vec::new() };
    let Some(latest) = later(&cooling.cooked, IN_ALL.0) else { return Vec::new() };
    let (at, lent) = if cold_from <= latest { (cold_from, None) } else { (latest, Some(IN_ALL.1)) };
    if at >= by {
        return Vec::new();
    }
    let line = |at: ZonedDateTime, unread: bool, unattended: bool| {
        let since = between(&cooling.cooked, &at);
        LogRow {
            what: What::Part(
                cooling.lesson.clone(),
                cooling.part.clone(),
                cooling.variant.clone(),
                cooling.step.clone(),
                cooling.group.clone(),
            ),
            limit: Limit::AtMost(most),
            within: Some((since, Passes::UpTo)),
            hold: None,
            if_out: if unread || since >= IN_ALL.0 { IfOut::ThrowAway } else { IfOut::ReheatOnceOrThrowAway },
            row: lent.and_then(row).map(|r| r.id),
            unattended,
            unread,
            since: Since::Cold,
            hangs_on: Vec::new(),
            at,
        }
    };
    if staff_are_in(course, &at) {
        return vec![line(at, false, false)];
    }
    let spans = || {
        let staff = |s: &crate::course::Session| s.staff.iter().map(|t| t.value.clone()).collect::<Vec<_>>();
        course
            .sessions
            .iter()
            .flat_map(move |s| staff(s).into_iter().chain([(s.from.value.clone(), s.to.value.clone())]))
    };
    let leaving = spans().map(|s| s.1).filter(|end| *end < at).max();
    let leaving = leaving.filter(|end| between(&cooling.cooked, end) >= NOT_SOONER);
    let back = spans().map(|s| s.0).filter(|start| *start > at).min().filter(|start| *start < by);
    let seen: Vec<LogRow> = leaving
        .map(|at| line(at, false, false))
        .into_iter()
        .chain(back.map(|at| line(at, true, false)))
        .collect();
    if seen.is_empty() { vec![line(at, false, true)] } else { seen }
}

/// What is done with a part that is too warm at the end of a cold step, and whether nobody can know by then when it passed.
pub(super) fn if_too_warm(
    course: &Course,
    plan: &Plan,
    safety: &Safety,
    (lesson, part): (&LessonId, &PartId),
    task: &PlannedTask,
) -> (IfOut, bool) {
    let of_part = |c: &&Cooling| c.lesson == *lesson && c.part == *part && c.cooked <= task.end;
    let own: Vec<&Cooling> = safety.coolings.iter().filter(of_part).collect();
    let alike: Vec<&Cooling> = own.iter().copied().filter(|c| c.group == task.group).collect();
    let pans = if alike.is_empty() { own } else { alike };
    // The pan that has been off the fire for longest decides.
    let (Some(since), Some(set)) = (pans.iter().map(|c| between(&c.cooked, &task.end)).max(), safety.set)
    else {
        return (IfOut::MoveFood, false);
    };
    let earlier = || pans.iter().any(|c| readings(course, plan, set, c).iter().any(|r| r.at < task.end));
    let timed = set.cooling.in_all();
    let late = since >= timed.unwrap_or(IN_ALL.0);
    let again = timed.is_none() && earlier();
    let if_out = if late || again { IfOut::ThrowAway } else { IfOut::ReheatOnceOrThrowAway };
    (if_out, late && timed.is_none() && !again)
}

/// The stand in the cold that a pan goes to and whose end reads its core: the most that is asked for, when it would first let go of it, and
/// its end. Of a pan that several take from, each at their time, it is the whole stand.
fn cold_stand(
    course: &Course,
    plan: &Plan,
    cooling: &Cooling,
) -> Option<(Celsius, ZonedDateTime, ZonedDateTime)> {
    let lesson = course.lesson(&cooling.lesson)?;
    let of_lesson = |t: &&PlannedTask| t.lesson.as_ref() == Some(&cooling.lesson) && !t.cold_wait;
    let pan = plan
        .tasks
        .iter()
        .filter(of_lesson)
        .find(|t| t.step == cooling.step && t.group == cooling.group && t.end == cooling.cooked)?;
    let whose =
        |t: &&PlannedTask| t.members.iter().any(|(whom, _)| pan.members.iter().any(|(w, _)| w == whom));
    let after = plan.tasks.iter().filter(of_lesson).filter(whose).filter(|t| t.start >= cooling.cooked);
    let stands = after.filter_map(|task| {
        let step = lesson.step(&task.step)?;
        let cold = matches!(step.place.value, Where::Cold | Where::Freezer);
        let has_it = step.on.iter().any(|c| c.value == Chain::Part(cooling.part.clone()));
        let most = step.core.as_ref().and_then(|c| c.value.most).filter(|_| cold && has_it)?;
        match &step.lasts {
            Lasts::Stands(stands) => Some((most, later(&task.start, stands.value.least)?, task.end.clone())),
            Lasts::Takes { .. } => None,
        }
    });
    stands.min_by(|a, b| a.1.cmp(&b.1))
}

fn later(at: &ZonedDateTime, by: Minutes) -> Option<ZonedDateTime> {
    at.checked_add(jiff::SignedDuration::from_mins(by.get())).ok()
}
