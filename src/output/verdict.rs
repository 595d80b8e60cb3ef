//! What a plan comes to, in words: whether it fits, when each session ends, what of it is proven.

use super::text::clean;
use crate::course::Course;
use crate::reckon::plan::choose::Planned;
use crate::reckon::plan::idle::Wait;
use crate::reckon::plan::tasks::OVERRUN;
use crate::reckon::plan::timetable::{Plan, PlannedSession, TermValue};
use crate::reckon::pull_list::Equipment;

/// Whether it fits, when each session ends, what is made ahead, and what of it is proven: a few lines.
#[must_use]
pub fn verdict(course: &Course, planned: &Planned, equipment: &Equipment) -> String {
    let Some(plan) = &planned.plan else {
        return match (planned.refused.is_empty(), planned.hopeless) {
            (false, _) => "No plan was found that holds.".to_owned(),
            _ if planned.wants_somebody() => {
                "No plan was found in which somebody of the staff is free for all that is theirs.".to_owned()
            }
            // No more than was shown.
            (true, true) => {
                let further = planned.further.map_or_else(String::new, |further| {
                    format!(" With up to {further} longer none was found.")
                });
                format!(
                    "There is no plan, not even with each session and the staff's hours after it {} longer: that is proven.{further}",
                    planned.over
                )
            }
            (true, false) => "No plan was found.".to_owned(),
        };
    };
    let mut lines = Vec::new();
    let least = plan.objective.iter().any(|term| term.term == OVERRUN && term.proven);
    lines.push(match (plan.fits, least) {
        // A plan that counts on what is not there fits only if it comes.
        (true, _) if equipment.is_short() => {
            let short = equipment.short_in_the_plan();
            let short: Vec<String> = short.iter().map(|(item, n)| format!("{n} more of `{item}`")).collect();
            format!("It fits, if what is short is there: {}.", short.join(", "))
        }
        (true, _) => "It fits.".to_owned(),
        (false, true) => format!("It does not fit: {}. This is the least-late plan.", plan.too_long()),
        (false, false) => {
            format!("It does not fit: {}. This is the least late that was found.", plan.too_long())
        }
    });
    lines.extend(session_lines(course, plan));
    lines.extend(splits_tried(plan));
    lines.extend(plan.objective.iter().map(words_of_term));
    lines.join("\n")
}

/// Of how many ways to split doughs and loads the values that follow are the least, where that were not all.
fn splits_tried(plan: &Plan) -> Option<String> {
    let (tried, all) = plan.tried;
    (tried < all).then(|| {
        format!("Of {tried} splits into batches and loads that were looked through ({all} there are):")
    })
}

/// When each session ends, by the plan and as written.
#[must_use]
pub fn session_lines(course: &Course, plan: &Plan) -> Vec<String> {
    let line = |session: &PlannedSession| {
        let name = course.session(&session.id).and_then(|s| s.name.as_ref()).map(|n| n.value.as_str());
        format!(
            "{}, {}: the last student's step ends at {}, the session at {}.",
            clean(name.unwrap_or(session.id.as_str())),
            session.start.strftime("%-d %B"),
            session.finish.strftime("%H:%M"),
            session.end.strftime("%H:%M"),
        )
    };
    plan.sessions.iter().map(line).collect()
}

/// Where students wait longest with idle hands.
#[must_use]
pub fn words_of_wait(course: &Course, wait: &Wait) -> String {
    let name = course.session(&wait.session).and_then(|one| one.name.as_ref()).map(|n| n.value.as_str());
    let session = clean(name.unwrap_or(wait.session.as_str()));
    let stations: Vec<String> = wait.stations.iter().map(ToString::to_string).collect();
    let who = match stations.split_last() {
        Some((last, [])) => format!("station {last}"),
        Some((last, others)) => format!("stations {} and {last}", others.join(", ")),
        None => String::new(),
    };
    let after = wait.after.as_ref().map_or_else(|| "at its start".to_owned(), |task| format!("after {task}"));
    format!(
        "longest wait with idle hands: {who}, {} from {session} {}, {after}",
        wait.long,
        wait.from.strftime("%H:%M")
    )
}

/// A term of the objective with its value, and what is proven of it.
#[must_use]
pub fn words_of_term(term: &TermValue) -> String {
    let known = if term.proven {
        "proven the least".to_owned()
    } else {
        format!("the least found; none has less than {}", term.bound)
    };
    let what = match term.term.as_str() {
        // What is always made ahead is not counted: it is no one's choice but the teacher's.
        "made-ahead-steps" => "steps put ahead to make it fit".to_owned(),
        other => other.replace('-', " "),
    };
    format!("{what}: {} ({known})", term.value)
}
