//! What is left out, what it would have cost not to, and what becomes of what is not baked.

use super::{is_baking, step_named, steps_in_words};
use crate::course::{At, Course, Lesson, StepId, Where};
use crate::output::text::{clean, counted};
use crate::reckon::plan::catch_up::{CaughtUp, Costs, Now};
use crate::reckon::plan::timetable::PlannedTask;
use crate::reckon::work::Whom;
use crate::units::Minutes;

/// What it would have cost to do what was not done.
fn costs_in_words(costs: &Costs) -> String {
    let mut words = Vec::new();
    if costs.over > Minutes::ZERO {
        words.push(format!("it would run over by {} more", costs.over));
    }
    if costs.food {
        words.push("food would stand longer than is safe".to_owned());
    }
    if costs.others {
        words.push("other doughs or pieces would wait longer than written".to_owned());
    }
    format!("With all of it done, as far as was found, {}.", words.join(", and "))
}

/// What cannot be done any more without what has failed; and what can be done instead, where it is baking.
pub(super) fn left_out(course: &Course, now: &Now, after: &CaughtUp) -> Vec<String> {
    let left_out = &after.left_out;
    let mut lines = Vec::new();
    if !left_out.given_up.is_empty() {
        lines.push(format!(
            "Left out before, and not planned again: {}. Its session is over and it has stood as long as it may, or nothing has room for it.",
            steps_in_words(after, &left_out.given_up)
        ));
    }
    if !left_out.undone.is_empty() {
        lines.push(format!(
            "Not done, and left out with what takes it up: {}. There is no room for it as written that costs nothing else.",
            steps_in_words(after, &left_out.undone)
        ));
        lines.extend(left_out.costs.as_ref().map(costs_in_words));
        if !left_out.lies.is_empty() {
            lines.push(format!(
                "Made for it already: {}. Into the cold with it now, covered. No plan takes it up, and nothing here counts how long it is out of the cold any more: decide what becomes of it, or throw it away.",
                steps_in_words(after, &left_out.lies)
            ));
        }
    }
    if left_out.cannot.is_empty() {
        return lines;
    }
    let things = clean(&now.without.join(", "));
    let what = steps_in_words(after, &left_out.cannot);
    lines.push(if left_out.cannot.iter().all(|id| is_baking(course, id)) {
        format!("Without {things} nothing is left to bake this in: {what}.")
    } else {
        format!("Without {things} this cannot be done any more: {what}.")
    });
    if !left_out.begun.is_empty() {
        let begun = steps_in_words(after, &left_out.begun);
        let was = if left_out.begun.len() == 1 { "was" } else { "were" };
        lines.push(format!(
            "In it {was} {begun}: go by the core. What is short of its core temperature is not done."
        ));
    }
    if !left_out.after.is_empty() {
        let falls_away = steps_in_words(after, &left_out.after);
        lines.push(format!("What comes after it falls away too: {falls_away}."));
    }
    lines.push(if after.plan.fits && after.broken.is_empty() {
        "Everything else can still be done, and is planned.".to_owned()
    } else {
        "Everything else is planned; what of it does not hold is said below.".to_owned()
    });
    if left_out.baking {
        lines.extend(unbaked(course, now, after));
        lines.push(
            "Where an oven is found, plan again without --without: what was left out is tried again. From the printed plan, say with \
             --late how much later it is."
                .to_owned(),
        );
    }
    lines
}

/// Of each lesson that is not baked: what may go home unbaked. Only the lesson says that it may, and only for what is not past the step that
/// it names; food that is to be kept cold, or holds raw egg, is asked about all the same.
fn unbaked(course: &Course, now: &Now, after: &CaughtUp) -> Vec<String> {
    let mut lessons: Vec<&Lesson> = Vec::new();
    for (lesson, _) in after.left_out.cannot.iter().filter_map(|id| step_named(course, id)) {
        if !lessons.iter().any(|known| known.id.value == lesson.id.value) {
            lessons.push(lesson);
        }
    }
    let of = |lesson: &Lesson| {
        let id = &lesson.id.value;
        let ask = format!("ask the teacher whether {id} may leave unbaked");
        let Some(home) = &lesson.bake_at_home else {
            return format!("Nothing is written of {id} for an oven at home: {ask}.");
        };
        if let Some(what) = held_back(course, lesson) {
            return format!("There is {what} in {id}: {ask}, whatever is written for an oven at home.");
        }
        let up_to = &home.up_to.value;
        let (ready, past) = unbaked_pieces(now, after, lesson, up_to);
        if ready == 0 {
            return format!("No piece of {id} is to be had as it is after `{up_to}`: {ask}.");
        }
        let pieces = counted(ready as usize, "piece", "pieces");
        let rest = if past > 0 {
            format!(" Of the other {past}, which are past that step, {ask}.")
        } else {
            String::new()
        };
        format!(
            "{pieces} of {id} can go home unbaked after `{up_to}`, cold all the way, to be baked there by the recipe for home within {}.{rest}",
            home.keeps.value
        )
    };
    lessons.into_iter().map(of).collect()
}

/// What in a lesson's food is not to leave the kitchen unbaked unasked.
fn held_back(course: &Course, lesson: &Lesson) -> Option<&'static str> {
    let parts = course.formula(&lesson.formula.value).map_or(&[][..], |formula| &formula.parts);
    let says = |flag: &Option<At<bool>>| flag.as_ref().is_some_and(|f| f.value);
    let egg = lesson.steps.iter().any(|s| s.caution.iter().any(|c| c.value == "raw-egg"));
    if egg || parts.iter().any(|p| says(&p.holds_raw_egg)) {
        return Some("raw egg");
    }
    parts.iter().any(|p| says(&p.needs_cold)).then_some("a part that is to be kept cold")
}

/// How many pieces that are not baked are, or will be, as they are after a step; and how many are past it already.
fn unbaked_pieces(now: &Now, after: &CaughtUp, lesson: &Lesson, up_to: &StepId) -> (u32, u32) {
    let place = |step: &StepId| lesson.steps.iter().position(|s| s.id.value == *step);
    let own: Vec<&PlannedTask> =
        after.plan.tasks.iter().filter(|t| t.lesson.as_ref() == Some(&lesson.id.value) && !t.demo).collect();
    let (mut ready, mut past) = (0, 0);
    for made in own.iter().filter(|t| t.step == *up_to && !t.cold_wait) {
        for (whom, pieces) in made.members.iter().filter(|(w, _)| !matches!(w, Whom::Stage { .. })) {
            let later = || {
                own.iter().filter(|t| {
                    place(&t.step) > place(up_to) && t.members.iter().any(|(other, _)| other == whom)
                })
            };
            let baked = |t: &&&PlannedTask| {
                lesson.step(&t.step).is_some_and(|s| s.place.value == Where::Oven) && !t.cold_wait
            };
            if later().any(|t| baked(&t)) {
                continue;
            }
            if later().any(|t| t.start <= now.time) {
                past += pieces;
            } else {
                ready += pieces;
            }
        }
    }
    (ready, past)
}
