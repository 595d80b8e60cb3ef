//! What can no longer be kept, in words for people at the bench.

use super::{is_baking, step_named, steps_in_words, whose};
use crate::course::{Course, Lasts};
use crate::output::timetable::whom_in_words;
use crate::reckon::plan::catch_up::{CaughtUp, Loosened};
use crate::reckon::plan::check::Broken;
use crate::units::Minutes;

/// What is broken under the heading that fits it.
pub(super) fn lines(course: &Course, after: &CaughtUp) -> Vec<String> {
    let (ahead, rest): (Vec<&Broken>, Vec<&Broken>) =
        after.broken.iter().partition(|one| one.rule == "made-ahead");
    let (own, rest): (Vec<&Broken>, Vec<&Broken>) = rest.into_iter().partition(|one| one.rule == "own-step");
    let stands = rest.iter().any(|one| one.rule == "stands");
    let mut lines = Vec::new();
    if !rest.is_empty() {
        let why = match after.loosened {
            Loosened::Nothing => "What the slip itself has broken:",
            Loosened::Stands | Loosened::Places if stands => "Some dough stands longer than it should:",
            Loosened::Waits | Loosened::Stands | Loosened::Places => "Not every wait can be kept as written:",
        };
        lines.push(why.to_owned());
        lines.extend(together(course, after, &rest));
    }
    if !own.is_empty() {
        lines.push("The class's own steps, at another time than written:".to_owned());
        lines.extend(together(course, after, &own));
    }
    if !ahead.is_empty() {
        lines.push("Staff make this ahead, and the class is still at work then, as it runs over:".to_owned());
        lines.extend(together(course, after, &ahead));
    }
    lines
}

/// By how much a load is to stay in the oven beyond the longest time of its step.
fn too_long_in(course: &Course, after: &CaughtUp, one: &Broken) -> Option<Minutes> {
    let [id] = one.tasks.as_slice() else { return None };
    let task = after.plan.task(id).filter(|_| one.rule == "takes" && is_baking(course, id))?;
    let Lasts::Takes { takes, each } = &step_named(course, id)?.1.lasts else { return None };
    let pieces = task.members.iter().map(|(_, n)| n).sum();
    let longest = takes.value.longest(each.as_ref().map(|e| e.value), pieces);
    let more = task.start.duration_until(&task.end).as_mins() - longest.get();
    (more > 0).then_some(Minutes(more))
}

/// The sentence for one of them.
fn sentence(course: &Course, after: &CaughtUp, one: &Broken) -> String {
    if let Some(more) = too_long_in(course, after, one) {
        return format!("stays in the oven {more} longer than written: take it out if anybody can");
    }
    if let ("eye", [_, other]) = (one.rule, one.tasks.as_slice()) {
        let other = steps_in_words(after, std::slice::from_ref(other));
        return format!("wants the teacher's eye, and the teacher is at work then on {other}");
    }
    let task = one.tasks.first().and_then(|id| after.plan.task(id)).filter(|_| one.rule == "made-ahead");
    task.map_or_else(
        || one.message.clone(),
        |task| format!("{} to {}", task.start.strftime("%a %H:%M"), task.end.strftime("%H:%M")),
    )
}

/// What is broken, the groups of one step together.
fn together(course: &Course, after: &CaughtUp, broken: &[&Broken]) -> Vec<String> {
    let mut found: Vec<(String, Vec<u32>, Vec<String>, String)> = Vec::new();
    for one in broken {
        let message = sentence(course, after, one);
        let parts = one.tasks.iter().map(|id| id.split_once('@').unwrap_or((id, "")));
        let (steps, names): (Vec<&str>, Vec<&str>) = parts.unzip();
        // What comes after what is last, or before what is first, is one thing of which the sentence names the other.
        let alone = matches!(one.rule, "first" | "eye") || one.message.ends_with("which comes last of all");
        let steps =
            if alone { steps.first().copied().unwrap_or_default().to_owned() } else { steps.join(", then ") };
        let of = one.tasks.first().and_then(|id| after.plan.task(id)).map(whose);
        let (stations, groups) = of.unwrap_or_else(|| {
            (Vec::new(), names.first().map(|g| g.replace('-', " ")).into_iter().collect())
        });
        match found.iter_mut().find(|(what, .., known)| *what == steps && *known == message) {
            Some((_, all, names, _)) => {
                all.extend(stations);
                names.extend(groups);
            }
            None => found.push((steps, stations, groups, message)),
        }
    }
    let line = |(steps, stations, groups, message): (String, Vec<u32>, Vec<String>, String)| {
        if steps.is_empty() {
            return format!("  {message}");
        }
        format!("  {steps} ({}): {message}", whom_in_words(&stations, &groups))
    };
    found.into_iter().map(line).collect()
}
