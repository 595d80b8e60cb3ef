//! What a plan keeps busy, and until when: what tins, trays, tubs and tools are counted by when they are used in turn.

use super::plan::timetable::{Plan, PlannedTask, Used};
use super::pull_list::{is_read, is_thermometer};
use super::tins::Busy;
use super::work::Whom;
use crate::course::{Course, EquipId, Lesson, StepId};
use crate::units::Minutes;
use std::collections::BTreeMap;

/// For each thing of the kitchen the spans in which the plan needs it, with the cooling, washing and greasing before it serves
/// again. In minutes of one clock, so that a night when clocks change counts as long as it is.
pub fn busy(course: &Course, plan: &Plan) -> BTreeMap<EquipId, Vec<Busy>> {
    let mut all: BTreeMap<EquipId, Vec<Busy>> = BTreeMap::new();
    for task in &plan.tasks {
        for used in &task.uses {
            let item = EquipId::new(used.resource.clone());
            let wash = between(course, &item).get();
            let from = minutes(&task.start);
            let spans = all.entry(item).or_default();
            spans.extend(freed(course, plan, task, used).into_iter().map(|(count, to)| Busy {
                from,
                to: to + wash,
                count,
            }));
        }
    }
    readings(course, plan, &mut all);
    all
}

/// What is read as it ends wants a thermometer of its own in that minute, as far as there are several: two loads that come out together
/// are read side by side. With fewer they are read one after the other, which is no shortage.
fn readings(course: &Course, plan: &Plan, all: &mut BTreeMap<EquipId, Vec<Busy>>) {
    let Some(tool) = course.kitchen.tools.iter().find(|t| is_thermometer(t)) else { return };
    let there = tool.count.value + tool.loan.as_ref().map_or(0, |l| l.count.value);
    let mut at: BTreeMap<i64, u32> = BTreeMap::new();
    for task in plan.tasks.iter().filter(|t| !t.cold_wait) {
        let lesson = task.lesson.as_ref().and_then(|l| course.lesson(l));
        // Who has one in hand for the whole step reads with that.
        let in_hand = task.uses.iter().any(|u| u.resource == tool.id.value.as_str());
        if !in_hand && lesson.and_then(|l| l.step(&task.step)).is_some_and(is_read) {
            *at.entry(minutes(&task.end)).or_default() += 1;
        }
    }
    let spans = at.into_iter().map(|(from, n)| Busy { from, to: from + 1, count: n.min(there) });
    all.entry(tool.id.value.clone()).or_default().extend(spans.filter(|b| b.count > 0));
}

fn minutes(at: &jiff::ZonedDateTime) -> i64 {
    at.timestamp().as_second().div_euclid(60)
}

/// When what a task took is free again, by count: a station's tins may leave the oven in several loads, and what is shown and goes no
/// further keeps its tub until the demonstration that takes it up is over.
fn freed(course: &Course, plan: &Plan, task: &PlannedTask, used: &Used) -> Vec<(u32, i64)> {
    let all = vec![(used.amount, minutes(&used.until))];
    let lesson = task.lesson.as_ref().and_then(|l| course.lesson(l));
    let Some((lesson, until)) = lesson.and_then(|l| Some((l, freed_by(course, l, task, used)?))) else {
        return all;
    };
    let of_lesson = || plan.tasks.iter().filter(|t| t.lesson == task.lesson && !t.cold_wait);
    let shared = |last: &PlannedTask| -> Option<u32> {
        let of = |(whom, n): &(Whom, u32)| {
            last.members.iter().find(|(w, _)| w == whom).map(|(_, there)| *n.min(there))
        };
        let both: Vec<u32> = task.members.iter().filter_map(of).collect();
        (!both.is_empty()).then(|| both.iter().sum())
    };
    let last: Vec<(u32, i64)> = of_lesson()
        .filter(|t| t.step == *until)
        .filter_map(|t| shared(t).map(|pieces| (pieces, minutes(&t.end))))
        .collect();
    if last.is_empty() {
        let shown = |t: &&PlannedTask| {
            lesson.step(&t.step).is_some_and(|s| s.demo)
                && task.members.iter().any(|(w, _)| matches!(w, Whom::Stage { demo, .. } if *demo == t.step))
        };
        let over = of_lesson().filter(shown).map(|t| minutes(&t.end)).max();
        return over.map_or(all, |over| vec![(used.amount, over.max(minutes(&used.until)))]);
    }
    let pieces: u32 = task.members.iter().map(|(_, n)| n).sum();
    if used.amount == pieces && last.iter().map(|(n, _)| n).sum::<u32>() == pieces {
        return last;
    }
    // Not one for each piece: all of them are busy until the last is done.
    vec![(used.amount, last.iter().map(|(_, to)| *to).max().unwrap_or(0))]
}

/// The step that frees what a task took, where the lesson names one.
fn freed_by<'a>(course: &Course, lesson: &'a Lesson, task: &PlannedTask, used: &Used) -> Option<&'a StepId> {
    let piece = course.formula(&lesson.formula.value).map(|f| &f.piece);
    let is = |id: &EquipId| id.as_str() == used.resource;
    let names = |what: &EquipId| match what.as_str() {
        "tin" => piece.and_then(|p| p.tin.as_ref()).is_some_and(|t| is(&t.value)),
        "tray" => piece.and_then(|p| p.tray.as_ref()).is_some_and(|t| is(&t.value)),
        "tub" => course.kitchen.tubs.iter().any(|t| is(&t.id.value)),
        _ => is(what),
    };
    let step = lesson.step(&task.step)?;
    step.uses.iter().find(|u| names(&u.what.value)).and_then(|u| u.until.as_ref()).map(|u| &u.value)
}

fn between(course: &Course, item: &EquipId) -> Minutes {
    let kitchen = &course.kitchen;
    let tins = kitchen.tins.iter().map(|t| (&t.id.value, t.between.value));
    let trays = kitchen.trays.iter().map(|t| (&t.id.value, t.between.value));
    tins.chain(trays).find(|(id, _)| *id == item).map_or(Minutes::ZERO, |(_, between)| between)
}
