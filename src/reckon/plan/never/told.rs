//! What can never be, in words.

use super::super::chains::policy;
use super::super::grid::Calendar;
use super::{Cause, Figure, Item};
use crate::course::{Ahead, Course, Hands, Lasts, Lesson, OwnStep, Step, Where};
use crate::finding::Finding;
use crate::units::Minutes;

/// The finding, at the figure that is in the way.
pub(super) fn told(course: &Course, lesson: &Lesson, cause: &Cause, calendar: &Calendar) -> Finding {
    let id = &lesson.id.value;
    let at = cause.figure.and_then(|(step, figure)| Some((lesson.steps.get(step)?, figure)));
    let words = |item: &Item| match item {
        Item::Step(step) => {
            let step = lesson.steps.get(*step)?;
            at.is_none_or(|(own, _)| own.id.value != step.id.value).then(|| words(lesson, step))
        }
        Item::Own(own) => Some(words_of_own(course.own_steps.get(*own)?)),
    };
    let others: Vec<String> = cause.steps.iter().filter_map(words).collect();
    let with = match others.split_last() {
        None => longest(lesson, at.map(|(step, _)| step), calendar),
        Some((only, [])) => format!("with {only} it fits nowhere into the hours as written"),
        Some((last, more)) => {
            format!("with {} and {last} it fits nowhere into the hours as written", more.join(", "))
        }
    };
    let free = if cause.steps.iter().any(|item| item.step().is_none()) {
        "even with this lesson alone and everything in the kitchen free"
    } else {
        "even for one station alone with everything in the kitchen free"
    };
    let Some((step, figure)) = at else {
        let last = cause.steps.iter().filter_map(|item| item.step()).next_back();
        let place = last.and_then(|step| lesson.steps.get(step)?.id.place);
        let message = format!(
            "{} of `{id}` fit nowhere into the hours as written, one after another, {free}",
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
    let message = format!("{name} {says}: {with}, {free}");
    Finding::error("never-fits", place.or(step.id.place), message).way_out(way_out)
}

/// The finding where the class's own steps are too long without any lesson.
pub(super) fn told_of_class(course: &Course, cause: &Cause, calendar: &Calendar) -> Finding {
    let own = cause.steps.iter().filter_map(|item| match item {
        Item::Own(own) => course.own_steps.get(*own),
        Item::Step(_) => None,
    });
    let own: Vec<&OwnStep> = own.collect();
    let longest = own.iter().max_by_key(|own| own.takes.value.usual);
    let names: Vec<String> = own.iter().map(|own| words_of_own(own)).collect();
    let long = calendar.sessions.iter().map(|span| span.1 - span.0).max().unwrap_or(0);
    let message = format!(
        "{}: that fits into no session as written, with no lesson beside it; the longest lasts {}",
        names.join(", "),
        calendar.grid.minutes(long)
    );
    let way_out = format!("look at the unit; or {OTHER_HOURS}");
    Finding::error("never-fits", longest.and_then(|own| own.takes.place), message).way_out(way_out)
}

const OTHER_HOURS: &str = "make the sessions or the staff's hours longer, or take another day";

/// What keeps one of the other steps where it is.
fn words(lesson: &Lesson, step: &Step) -> String {
    let id = &step.id.value;
    let session = step.session.as_ref().map(|s| format!("session `{}`", s.value));
    let hot = matches!(step.place.value, Where::Oven | Where::Hob | Where::Mixer | Where::Warm);
    let when = match (policy(lesson, step), step.hands.value) {
        _ if step.demo => Some(session.unwrap_or_else(|| "in a session".to_owned())),
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

/// One of the class's own.
fn words_of_own(own: &OwnStep) -> String {
    format!("the class's `{}` ({})", own.id.value, own.takes.value.usual)
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
        Some(step) if step.hands.value != Hands::Nobody && policy(lesson, step) == Ahead::Always => {
            let before = calendar.quiet.iter().filter(|q| calendar.sessions.iter().any(|s| q.1 <= s.0));
            let long = span(&before.copied().collect::<Vec<_>>());
            format!(
                "it is made ahead, and before a session somebody is there for {long} at a stretch and no longer"
            )
        }
        _ => {
            format!("somebody is in the kitchen for {} at a stretch and no longer", span(&calendar.attended))
        }
    }
}
