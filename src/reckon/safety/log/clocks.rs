//! When the clock of what is out of the cold, off the fire or out of the oven begins, group by group, and with what.

use super::super::exposures::{Exposure, makers};
use super::super::judge::Phase;
use super::super::trace::{Stay, until_taken_up};
use super::Edge;
use crate::course::{Course, Lesson, Where};
use crate::reckon::plan::timetable::Plan;
use crate::reckon::work::Whom;
use jiff::ZonedDateTime;
use std::collections::BTreeMap;

/// When a part leaves a cold place before the bake, or the oven, group by group: each takes its share at its own time, and its clock runs
/// from then. With what brings it out: whoever takes it up, or the end of its stand or bake.
pub(super) fn outs(course: &Course, plan: &Plan, exposure: &Exposure) -> Vec<(ZonedDateTime, Vec<Edge>)> {
    let lesson = course.lesson(&exposure.lesson);
    let Some((lesson, formula)) = lesson.and_then(|l| Some((l, course.formula(&l.formula.value)?))) else {
        return Vec::new();
    };
    let mut found: BTreeMap<ZonedDateTime, Vec<Edge>> = BTreeMap::new();
    for whom in makers(Some(plan), lesson) {
        let stays = until_taken_up(plan, lesson, formula, &exposure.part, &whom);
        if exposure.phase == Phase::Baked {
            if let Some((from, edge)) = out_of_the_oven(plan, lesson, &whom, &stays) {
                found.entry(from).or_default().extend(edge);
            }
            continue;
        }
        let cooked = stays.iter().any(|s| s.place == Where::Hob);
        // What was cooked before it stood in the cold is no longer raw when it leaves it.
        if cooked != (exposure.phase == Phase::Cooked) {
            continue;
        }
        let unbaked = stays.iter().take_while(|s| s.place != Where::Oven).collect::<Vec<_>>();
        for pair in unbaked.windows(2).filter(|pair| pair[0].is_cold() && !pair[1].is_cold()) {
            let edges = found.entry(pair[1].from.clone()).or_default();
            edges.extend(brought_by(plan, lesson, &whom, Some(pair[0]), pair[1]));
        }
    }
    found.into_iter().collect()
}

/// When one group's load is out of the oven, unless it goes from there into the cold.
fn out_of_the_oven(
    plan: &Plan,
    lesson: &Lesson,
    whom: &Whom,
    stays: &[Stay],
) -> Option<(ZonedDateTime, Option<Edge>)> {
    let last = stays.iter().rposition(|s| s.place == Where::Oven)?;
    let baked = stays.get(last)?;
    let next = match stays.get(last + 1) {
        Some(next) => next.clone(),
        None => Stay::wait(baked.step.clone(), baked.to.clone(), baked.to.clone()),
    };
    let out = (next.from.clone(), brought_by(plan, lesson, whom, Some(baked), &next));
    (!next.is_cold()).then_some(out)
}

/// What brings food from one stay into the next, for one group: the next step begins with it, or, where it comes from the fire or
/// only waits after it, the last one ends.
fn brought_by(plan: &Plan, lesson: &Lesson, whom: &Whom, was: Option<&Stay>, is: &Stay) -> Option<Edge> {
    let from_fire = was.is_some_and(|s| matches!(s.place, Where::Hob | Where::Oven));
    let ends = was.filter(|_| is.waits || from_fire);
    let stay = ends.unwrap_or(is);
    let task = plan.tasks.iter().find(|t| {
        t.lesson.as_ref() == Some(&lesson.id.value)
            && t.step == stay.step
            && t.start == stay.from
            && t.members.iter().any(|(who, _)| who == whom)
    })?;
    let at = if ends.is_some() { &task.end } else { &task.start };
    Some(Edge { task: task.id.clone(), ends: ends.is_some(), at: at.clone() })
}

/// Whether what brings food out is that its cooking ends.
pub(super) fn from_the_fire(course: &Course, plan: &Plan, edge: &Edge) -> bool {
    let task = plan.task(&edge.task).filter(|t| edge.ends && !t.cold_wait);
    let step = task.and_then(|t| course.lesson(t.lesson.as_ref()?)?.step(&t.step));
    step.is_some_and(|s| s.place.value == Where::Hob)
}

/// What has a part out for the first time, at the minute at which the one that has it worst has it out: every group's own, as long
/// as it is the same that happens.
pub(super) fn first_out_by(course: &Course, plan: &Plan, exposure: &Exposure) -> Vec<Edge> {
    let lesson = course.lesson(&exposure.lesson);
    let Some((lesson, formula)) = lesson.and_then(|l| Some((l, course.formula(&l.formula.value)?))) else {
        return Vec::new();
    };
    let Some(at) = &exposure.first_out else { return Vec::new() };
    let step_of = |edge: &Edge| (plan.task(&edge.task).map(|t| t.step.clone()), edge.ends);
    let of = |whom: &Whom| -> Option<Edge> {
        let stays = until_taken_up(plan, lesson, formula, &exposure.part, whom);
        let is = stays.iter().position(|s| s.from == *at && !s.is_cold());
        if let Some(n) = is {
            return brought_by(plan, lesson, whom, n.checked_sub(1).and_then(|n| stays.get(n)), &stays[n]);
        }
        // It goes nowhere from there: it waits after its last step.
        let last = stays.iter().rfind(|s| s.to == *at)?;
        let wait = Stay::wait(last.step.clone(), at.clone(), at.clone());
        brought_by(plan, lesson, whom, Some(last), &wait)
    };
    let Some(worst) = of(&exposure.whom) else { return Vec::new() };
    let others = makers(Some(plan), lesson);
    let alike = others.iter().filter_map(of).filter(|e| step_of(e) == step_of(&worst));
    let mut all: Vec<Edge> = alike.collect();
    all.push(worst);
    all
}
