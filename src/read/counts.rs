//! How many of a thing a course may have: see [`crate::course::limits`].

use super::course_file::CourseFile;
use super::raw::{Node, Value};
use super::table::Log;
use crate::course::limits::{ENTRIES, LESSONS, PEOPLE, STEPS};
use crate::course::{Lesson, Person};
use crate::finding::{Finding, Place};

/// A list or table of a file with more entries than are believed; whether there is none.
pub(super) fn entries(log: &Log, node: &Node) -> bool {
    let (count, below): (usize, Vec<&Node>) = match &node.value {
        Value::List(list) => (list.len(), list.iter().collect()),
        Value::Table(table) => (table.entries.len(), table.entries.iter().map(|e| &e.node).collect()),
        _ => return true,
    };
    if count > ENTRIES {
        over(log, Some(node.place), count, ENTRIES, "entries");
        return false;
    }
    below.into_iter().all(|node| entries(log, node))
}

/// More people on the roll than are printed for.
pub(super) fn people(log: &Log, roll: &[Person]) {
    if let Some(one_more) = roll.get(PEOPLE) {
        over(log, one_more.name.place, roll.len(), PEOPLE, "people on the roll");
    }
}

/// More lessons, sessions or steps than are planned.
pub(super) fn course(log: &Log, course: &CourseFile, lessons: &[Lesson]) {
    if let Some(one_more) = lessons.get(LESSONS) {
        over(log, one_more.id.place, lessons.len(), LESSONS, "lessons");
    }
    if let Some(one_more) = course.sessions.get(LESSONS) {
        over(log, one_more.from.place, course.sessions.len(), LESSONS, "sessions");
    }
    for lesson in lessons {
        if let Some(one_more) = lesson.steps.get(STEPS) {
            over(log, one_more.id.place, lesson.steps.len(), STEPS, "steps in one lesson");
        }
    }
    if let Some(one_more) = course.own_steps.get(STEPS) {
        over(log, one_more.id.place, course.own_steps.len(), STEPS, "steps of the class's own");
    }
}

fn over(log: &Log, place: Option<Place>, count: usize, most: usize, what: &str) {
    let message = format!("there are {count} {what}; {most} is the most that is believed");
    log.note(
        Finding::error("more-than-believed", place, message)
            .way_out("take out what is there by a slip, or make several courses of it"),
    );
}
