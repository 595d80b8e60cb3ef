//! The plan as a calendar file (RFC 5545) for the teacher's phone: an entry for each block of work.
//!
//! Times are in UTC, so that a phone in any zone shows them right and a night in which the clocks change needs no table of
//! zones. What stands by itself has no entry, but for a short one where staff carry it there while no students are in the room: the
//! next step says when it is taken up; an oven is turned on at its own entry; and a break of one of the staff is one. `DTSTAMP` is the start of the class's
//! first day: no clock is read, and the same folder gives the same bytes. `UID` is made of the course and the block's first
//! task, so a plan made anew replaces its entries. No student's name is in it; a helper goes by the name of course.toml.

use super::manifest::sha256;
use super::text::clean;
use super::timetable::{blocks, group_in_words, hand_overs, stations_in_words};
use crate::course::spans::Span;
use crate::course::{Course, Hands, UnitSystem, Where};
use crate::reckon::heating::turned;
use crate::reckon::plan::jobs::Group;
use crate::reckon::plan::presence::staff;
use crate::reckon::plan::timetable::{Plan, PlannedTask};
use crate::units::Minutes;
use icalendar::{Calendar, Component, Event, EventLike, Property};
use jiff::ZonedDateTime;
use jiff::civil::Date;
use std::collections::BTreeMap;

/// The most octets in a line, its end not counted (RFC 5545, section 3.1).
const LINE: usize = 75;

/// How long a phone shows what is carried somewhere.
const CARRIED: Minutes = Minutes(5);

/// The plan as the text of a calendar file.
#[must_use]
pub fn calendar(course: &Course, plan: &Plan) -> String {
    let first = plan.tasks.iter().map(|t| &t.start).min();
    let stamp = first.map_or_else(String::new, |at| utc(&at.start_of_day().unwrap_or_else(|_| at.clone())));
    let mut calendar = Calendar::empty();
    for (key, value) in [
        ("VERSION", "2.0"),
        ("PRODID", "-//benchroll//class plan//EN"),
        ("CALSCALE", "GREGORIAN"),
        ("METHOD", "PUBLISH"),
    ] {
        calendar.append_property(Property::new(key, value));
    }
    calendar.name(&clean(&course.settings.name.value));
    let work = blocks(course, plan).into_iter().map(|tasks| (tasks, None));
    let carried = hand_overs(course, plan).into_iter().map(|tasks| (tasks, Some(CARRIED)));
    let mut all: Vec<(Vec<&PlannedTask>, Option<Minutes>)> = work.chain(carried).collect();
    all.sort_by_key(|(tasks, _)| tasks.first().map(|t| t.start.clone()));
    for (tasks, long) in all {
        let Some(first) = tasks.first() else { continue };
        let soon = |long: Minutes| first.start.checked_add(jiff::SignedDuration::from_mins(long.get())).ok();
        let end = long.and_then(soon).unwrap_or_else(|| first.end.clone());
        let mut event = Event::new();
        event.uid(&uid(course, &first.id));
        event.append_property(Property::new("DTSTAMP", stamp.as_str()));
        event.append_property(Property::new("DTSTART", utc(&first.start)));
        event.append_property(Property::new("DTEND", utc(&end)));
        event.summary(&summary(course, &tasks));
        event.description(&description(course, &tasks));
        if let Some(address) = &course.settings.address {
            event.location(&clean(&address.value));
        }
        calendar.push(event.done());
    }
    for oven in turned(course, plan) {
        // It is turned off when its load comes out, which has an entry.
        let Some((heat, there)) = &oven.to else { continue };
        let mut event = Event::new();
        event.uid(&uid(course, &format!("oven.{}", oven.task)));
        event.append_property(Property::new("DTSTAMP", stamp.as_str()));
        event.append_property(Property::new("DTSTART", utc(&oven.at)));
        let end = oven.at.checked_add(jiff::SignedDuration::from_mins(CARRIED.get()));
        event.append_property(Property::new("DTEND", utc(&end.unwrap_or_else(|_| oven.at.clone()))));
        // As the sheets of the course have it: that is what the oven's dial shows.
        let dial = match course.settings.units.value {
            UnitSystem::Metric => format!("{} °C", heat.to_decimal().normalize()),
            UnitSystem::Us => format!("{} °F", heat.fahrenheit_dial().normalize()),
        };
        event.summary(&clean(&format!("Turn {} to {dial}", oven.oven.replace('-', " "))));
        event.description(&clean(&format!("For {}, hot at {}", oven.task, there.strftime("%H:%M"))));
        calendar.push(event.done());
    }
    for pause in breaks(course) {
        let mut event = Event::new();
        event.uid(&uid(course, &pause.id));
        event.append_property(Property::new("DTSTAMP", stamp.as_str()));
        event.append_property(Property::new("DTSTART", utc(&pause.span.0)));
        event.append_property(Property::new("DTEND", utc(&pause.span.1)));
        event.summary(&clean(&format!("Break: {}", pause.name)));
        calendar.push(event.done());
    }
    folded(&calendar.to_string())
}

/// A break of one of the staff.
struct Pause {
    /// `break-1.helper-1.2027-03-06`: the first of theirs on that day, at whatever time it is.
    id: String,
    name: String,
    span: Span,
}

/// The breaks that are written of single people of the staff, by the clock.
fn breaks(course: &Course) -> Vec<Pause> {
    let mut all = Vec::new();
    for one in staff(course) {
        let mut on_day: BTreeMap<Date, u32> = BTreeMap::new();
        for span in one.breaks {
            let day = span.0.date();
            let number = on_day.entry(day).and_modify(|n| *n += 1).or_insert(1);
            all.push(Pause { id: format!("break-{number}.{}.{day}", one.who), name: one.name.clone(), span });
        }
    }
    all.sort_by(|a, b| (&a.span, &a.id).cmp(&(&b.span, &b.id)));
    all
}

fn utc(at: &ZonedDateTime) -> String {
    at.timestamp().strftime("%Y%m%dT%H%M%SZ").to_string()
}

/// The same for the same block of the same course, and of no other: a digest of the course's name and first day, and the task.
fn uid(course: &Course, task: &str) -> String {
    let day = course.sessions.first().map(|s| s.from.value.date().to_string()).unwrap_or_default();
    let of = format!("{}\n{}\n{day}", course.settings.host.value, course.settings.name.value);
    let digest = sha256(of.as_bytes());
    format!("{task}-{}", digest.get(..16).unwrap_or(&digest))
}

/// `Cut and ring, stations 1-3, 5-6`.
fn summary(course: &Course, tasks: &[&PlannedTask]) -> String {
    let name = tasks.first().map_or_else(String::new, |task| name(course, task));
    let whom = whom(tasks);
    if whom.is_empty() { name } else { format!("{name}, {whom}") }
}

/// What the step is called; the class's own steps have a name, a lesson's may go by its id.
fn name(course: &Course, task: &PlannedTask) -> String {
    let Some(lesson) = task.lesson.as_ref().and_then(|l| course.lesson(l)) else {
        let own = course.own_steps.iter().find(|s| s.id.value == task.step);
        return clean(own.map_or(task.step.as_str(), |s| s.name.value.as_str()));
    };
    let step = lesson.step(&task.step).and_then(|s| s.name.as_ref());
    let step = step.map_or_else(|| spoken(task.step.as_str()), |n| n.value.clone());
    // A lesson is called what it makes, as on the sheets, unless it has a name of its own.
    let made = course.formula(&lesson.formula.value).map(|f| &f.name);
    let of =
        lesson.name.as_ref().or(made).map_or_else(|| spoken(lesson.id.value.as_str()), |n| n.value.clone());
    clean(&format!("{of}: {step}"))
}

/// `walnut-crown` as people write it.
fn spoken(id: &str) -> String {
    let words = id.replace('-', " ");
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

fn whom(tasks: &[&PlannedTask]) -> String {
    let mut stations = Vec::new();
    let mut others = Vec::new();
    for task in tasks {
        match &task.group {
            Group::Station(no) => stations.push(no.0),
            Group::Class(None) | Group::Session(_) => {}
            Group::Class(Some(variant)) => others.push(variant.as_str().replace('-', " ")),
            _ => others.push(group_in_words(task)),
        }
    }
    let mut words = Vec::new();
    words.extend(stations_in_words(&stations));
    words.extend(others);
    words.join(", ")
}

/// Who does it and on what, and what is said at it.
fn description(course: &Course, tasks: &[&PlannedTask]) -> String {
    let Some(first) = tasks.first() else { return String::new() };
    let mut lines = Vec::new();
    let mut who: Vec<String> = Vec::new();
    if first.demo {
        who.push("everyone watches".to_owned());
    } else if first.hands == Hands::Students {
        who.push(if first.one_student { "one student of each" } else { "students" }.to_owned());
    }
    for by in tasks.iter().flat_map(|t| &t.by) {
        let helper = by.strip_prefix("helper-").and_then(|n| n.parse::<usize>().ok());
        let named = helper.and_then(|n| course.settings.helpers.get(n.checked_sub(1)?));
        let by = named.map_or_else(|| by.replace('-', " "), |h| clean(&h.value));
        if !who.contains(&by) {
            who.push(by);
        }
    }
    if !who.is_empty() {
        lines.push(format!("Who: {}", who.join(", ")));
    }
    let step = first.lesson.as_ref().and_then(|l| course.lesson(l)?.step(&first.step));
    if first.hands == Hands::Nobody && first.by.is_empty() {
        let place = if first.cold_wait { Some(Where::Cold) } else { step.map(|s| s.place.value) };
        lines.extend(place.map(|place| format!("Carry it to: {}", to_where(place))));
    }
    let mut things: Vec<String> = Vec::new();
    for used in tasks.iter().flat_map(|t| &t.uses).map(|u| &u.resource) {
        if !things.contains(used) {
            things.push(used.clone());
        }
    }
    if !things.is_empty() {
        lines.push(format!("With: {}", things.join(", ")));
    }
    if tasks.iter().any(|task| task.by_hand) {
        lines.push("Kneaded by hand".to_owned());
    }
    let own = course.own_steps.iter().find(|s| first.lesson.is_none() && s.id.value == first.step);
    let told = step.and_then(|s| s.tell.as_ref()).or(own.and_then(|o| o.say.as_ref()));
    lines.extend(told.map(|t| clean(&t.value)));
    lines.join("\n")
}

fn to_where(place: Where) -> &'static str {
    match place {
        Where::Cold => "the cold",
        Where::Freezer => "the freezer",
        Where::Warm => "the warm place",
        Where::Rack => "the cooling rack",
        Where::Room | Where::Bench | Where::Mixer | Where::Hob | Where::Oven | Where::Sink => "the bench",
    }
}

/// Lines of at most 75 octets, never broken inside a character; a line that goes on begins with a space.
fn folded(text: &str) -> String {
    let mut out = String::new();
    // The library folds too, but lets the last piece of a line have an octet too many.
    for line in text.replace("\r\n ", "").split_terminator("\r\n") {
        let mut room = LINE;
        for letter in line.chars() {
            if letter.len_utf8() > room {
                out.push_str("\r\n ");
                room = LINE - 1;
            }
            room -= letter.len_utf8();
            out.push(letter);
        }
        out.push_str("\r\n");
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_lines_are_folded_between_characters() {
        let text = format!("SUMMARY:{}\r\nEND:VEVENT\r\n", "Hörnchen ".repeat(30));
        let folded = folded(&text);
        assert!(folded.split("\r\n").all(|line| line.len() <= LINE), "{folded}");
        assert_eq!(folded.replace("\r\n ", ""), text);
    }

    #[test]
    fn what_the_library_folded_is_folded_anew() {
        assert_eq!(folded("A:b\r\n c\r\n"), "A:bc\r\n");
    }
}
