//! What changed against the printed plan, by the clock, and how it ends now.

mod broken;
mod clean;
mod left_out;

pub use clean::kept_clean;

use super::table::{Column, Table};
use super::text::{Screen, counted, wrap};
use super::timetable::whom_in_words;
use super::verdict::{session_lines, words_of_term};
use crate::course::{Course, Lesson, Step, Where};
use crate::reckon::plan::catch_up::{Absent, CaughtUp, Changed, Heats, Now, Parted, Place, WayOut};
use crate::reckon::plan::jobs::Group;
use crate::reckon::plan::timetable::{Plan, PlannedSession, PlannedTask, TermValue};
use crate::reckon::work::Whom;
use crate::units::{Grams, Minutes};
use jiff::civil::Date;
use jiff::{SignedDuration, ZonedDateTime};
use std::collections::BTreeMap;

/// What is different, a table for each day: the printed time before the new one. Groups that move alike stand on one line.
#[must_use]
pub fn changes(was: &Plan, after: &CaughtUp) -> Vec<Table> {
    let mut days: BTreeMap<Date, Vec<Line>> = BTreeMap::new();
    let mut heats = after.heats.iter().peekable();
    for changed in &after.changes {
        let task = after.plan.task(&changed.id).or_else(|| was.task(&changed.id));
        let (Some(task), Some(moment)) = (task, changed.moment()) else { continue };
        let line = Line::of(task, changed);
        while let Some(turned) = heats.next_if(|turned| turned.from <= *moment) {
            days.entry(turned.from.date()).or_default().push(Line::of_oven(turned));
        }
        let day = days.entry(moment.date()).or_default();
        match day.iter_mut().find(|other| other.alike(&line)) {
            Some(other) => {
                other.stations.extend(line.stations);
                other.groups.extend(line.groups);
            }
            None => day.push(line),
        }
    }
    for turned in heats {
        days.entry(turned.from.date()).or_default().push(Line::of_oven(turned));
    }
    days.into_iter()
        .map(|(date, lines)| {
            let columns = ["printed", "now", "what", "for", "else"].map(Column::text).to_vec();
            let mut table = Table::new(date.strftime("%A %-d %B %Y").to_string(), columns);
            for line in lines {
                let whom = line.whom();
                let cells = [line.was, line.now, line.what, whom, line.also];
                table.row(cells.into_iter().map(Into::into).collect());
            }
            table
        })
        .collect()
}

struct Line {
    was: String,
    now: String,
    what: String,
    stations: Vec<u32>,
    groups: Vec<String>,
    also: String,
}

impl Line {
    fn of(task: &PlannedTask, changed: &Changed) -> Line {
        let day = changed.moment().map(|at| at.date());
        let (stations, groups) = whose(task);
        let span = |place: &Option<Place>| place.as_ref().map_or("not there".to_owned(), |p| span(p, day));
        let cold = if task.cold_wait { " (waits cold)" } else { "" };
        let lesson = task.lesson.as_ref().map_or("class", |l| l.as_str());
        Line {
            was: span(&changed.was),
            now: span(&changed.now),
            what: format!("{lesson}.{}{cold}", task.step),
            stations,
            groups,
            also: also(changed, matches!(task.group, Group::Load(_))),
        }
    }

    /// An oven that is turned otherwise than printed.
    fn of_oven(turned: &Heats) -> Line {
        let verb = if turned.cools { "cools" } else { "heats" };
        let clock = |at: &ZonedDateTime| at.strftime("%H:%M").to_string();
        let span =
            |(from, there): &(ZonedDateTime, ZonedDateTime)| format!("{}-{}", clock(from), clock(there));
        Line {
            was: turned.printed.as_ref().map_or("not there".to_owned(), span),
            now: span(&(turned.from.clone(), turned.there.clone())),
            what: format!("{verb} to {} °C", turned.heat.to_decimal().normalize()),
            stations: Vec::new(),
            groups: vec![turned.oven.clone()],
            also: String::new(),
        }
    }

    fn alike(&self, other: &Line) -> bool {
        (&self.was, &self.now, &self.what, &self.also) == (&other.was, &other.now, &other.what, &other.also)
    }

    fn whom(&self) -> String {
        whom_in_words(&self.stations, &self.groups)
    }
}

/// Whose it is: the stations, or the group by its name. Nobody at the bench is called batch 3, so a batch is its stations; a load is
/// called so at the oven, and keeps its name.
fn whose(task: &PlannedTask) -> (Vec<u32>, Vec<String>) {
    let number = |(whom, _): &(Whom, u32)| match whom {
        Whom::Station(no) => Some(no.0),
        Whom::Stage { .. } | Whom::Spare => None,
    };
    let stations: Vec<u32> = task.members.iter().filter_map(number).collect();
    match &task.group {
        Group::Station(no) => (vec![no.0], Vec::new()),
        Group::Class(None) | Group::Session(_) => (Vec::new(), vec!["class".to_owned()]),
        Group::Batch(_) if !stations.is_empty() => (stations, Vec::new()),
        other => (Vec::new(), vec![other.to_string().replace('-', " ")]),
    }
}

/// `14:20-14:35`; another day than the table's is named.
fn span(place: &Place, day: Option<Date>) -> String {
    let clock = |at: &ZonedDateTime| {
        let form = if Some(at.date()) == day { "%H:%M" } else { "%a %H:%M" };
        at.strftime(form).to_string()
    };
    format!("{}-{}", clock(&place.start), clock(&place.end))
}

/// Another machine, other hands of the staff.
fn also(changed: &Changed, baked: bool) -> String {
    let Some(now) = &changed.now else { return String::new() };
    let mut words = Vec::new();
    // Of what is new nobody knows where it is, nor whose.
    let Some(was) = &changed.was else {
        words.extend(now.uses.first().filter(|_| baked).map(|oven| format!("on {oven}")));
        words.extend(by(now).filter(|_| !now.by.is_empty()));
        return words.join("; ");
    };
    for (_, new) in was.uses.iter().zip(&now.uses).filter(|(old, new)| old != new) {
        words.push(format!("on {new}"));
    }
    if was.by != now.by {
        words.extend(by(now));
    }
    words.join("; ")
}

fn by(place: &Place) -> Option<String> {
    Some(match place.by.as_slice() {
        [] => "students themselves".to_owned(),
        // As the plan says it.
        [first, last] if first != last => format!("in: {first}, out: {last}"),
        [first, ..] => format!("by {first}"),
    })
}

/// Whether each session still ends in time, what can no longer be kept, and what of it is proven.
#[must_use]
pub fn verdict(course: &Course, now: &Now, (after, ways): (&CaughtUp, &[WayOut]), screen: Screen) -> String {
    let mut lines = Vec::new();
    lines.extend(left_out::left_out(course, now, after));
    lines.push(match after.changes.len() {
        0 => "Nothing has to change.".to_owned(),
        n => format!(
            "{} against the printed plan; all else is as printed.",
            counted(n, "task changes", "tasks change")
        ),
    });
    let ends = if after.plan.fits && !after.left_out.all().is_empty() {
        "What is left fits.".to_owned()
    } else if after.plan.fits {
        "It still fits.".to_owned()
    } else {
        format!("It runs over: {} in all. Nothing that was found is less late.", after.plan.overrun)
    };
    lines.push(ends);
    lines.extend(session_lines(course, &after.plan));
    lines.extend(ways_out_in_words(after, ways));
    lines.extend(after.plan.objective.iter().map(term_in_words));
    for id in &after.again {
        lines.push(format!("{id} was on what has failed. Its whole time is planned again: go by the dough and the core, not by the clock."));
        lines.extend(waits_again(now, after, id));
    }
    for no in &after.empty {
        lines.push(format!("Nobody is left at station {no}: staff finish its work."));
    }
    lines.extend(taken_over(course, now, after));
    if now.absent.iter().any(|a| matches!(a, Absent::Student(_))) {
        lines.push("What is weighed for those who are not there is made all the same.".to_owned());
    }
    if !after.by_hand.is_empty() {
        let each = |(id, grams): &(String, Grams)| {
            let grams = grams.to_nearest(Grams::whole(1)).to_decimal().normalize();
            format!("{}: {grams} g", steps_in_words(after, std::slice::from_ref(id)))
        };
        let each: Vec<String> = after.by_hand.iter().map(each).collect();
        lines.push(format!("No mixer is left for these, so they are kneaded by hand: {}.", each.join("; ")));
    }
    if !after.parted.is_empty() {
        let each: Vec<String> = after.parted.iter().map(|parted| parted_in_words(after, parted)).collect();
        lines.push(format!(
            "No oven that is left takes these at once, so they are baked in several: {}.",
            each.join("; ")
        ));
    }
    if !after.back.is_empty() {
        lines.push(format!(
            "Left out before, and planned again: {}. Go by the dough: how it stood meanwhile no plan knows.",
            steps_in_words(after, &after.back)
        ));
    }
    if !after.made_up.is_empty() {
        lines.push(format!("Not done before, and planned now: {}.", steps_in_words(after, &after.made_up)));
    }
    lines.extend(broken::lines(course, after));
    hanging(&lines, screen)
}

/// Sentences within the screen, their further lines two letters in; one that is indented stays so.
fn hanging(lines: &[String], screen: Screen) -> String {
    let wrapped = lines.iter().flat_map(|line| {
        let indent = if line.starts_with("  ") { "  " } else { "" };
        let lines = wrap(line, screen.width.saturating_sub(indent.len() + 2));
        let hang = |(n, l): (usize, String)| format!("{indent}{}{l}", if n == 0 { "" } else { "  " });
        lines.into_iter().enumerate().map(hang).collect::<Vec<_>>()
    });
    wrapped.collect::<Vec<_>>().join("\n")
}

/// Why what begins again does not do so at once.
fn waits_again(now: &Now, after: &CaughtUp, id: &str) -> Option<String> {
    let task = after.plan.task(id)?;
    let waits = now.time.duration_until(&task.start).as_mins();
    let oven = task.uses.first().map(|used| used.resource.as_str())?;
    let heats = after.heats.iter().find(|heats| heats.oven == oven && heats.there == task.start);
    let before = after.plan.tasks.iter().filter(|other| {
        let there = other.uses.iter().any(|used| used.resource == oven);
        there && other.id != id && now.time < other.end && other.start < task.start
    });
    let before: Vec<String> = before.map(|other| other.id.clone()).collect();
    let why = match heats {
        _ if waits < 1 => return None,
        Some(_) if before.is_empty() => format!("{oven} has to get there first"),
        _ if before.is_empty() => {
            "nothing that was found keeps the other waits as they are told here and has it earlier".to_owned()
        }
        _ => format!("in {oven} before it: {}", steps_in_words(after, &before)),
    };
    Some(format!("It waits {} for that: {why}.", Minutes(waits)))
}

/// `plait.bake: load 2 (station 5), load 7 (station 2)`.
fn parted_in_words(after: &CaughtUp, parted: &Parted) -> String {
    let (lesson, step) = &parted.bake;
    let part = |no: &u32| {
        let of = |t: &&PlannedTask| {
            t.lesson.as_ref() == Some(lesson) && t.step == *step && t.group == Group::Load(*no)
        };
        let whose = after.plan.tasks.iter().find(of).map_or_else(String::new, |task| {
            let station = |(whom, _): &(Whom, u32)| match whom {
                Whom::Station(no) => Some(no.0),
                Whom::Stage { .. } | Whom::Spare => None,
            };
            let stations: Vec<u32> = task.members.iter().filter_map(station).collect();
            let whom = whom_in_words(&stations, &[]);
            if whom.is_empty() { whom } else { format!(" ({whom})") }
        });
        format!("load {no}{whose}")
    };
    let parts: Vec<String> = parted.loads.iter().map(part).collect();
    format!("{lesson}.{step}: {}", parts.join(", "))
}

/// A term of the objective, those of catching up by what they count.
fn term_in_words(term: &TermValue) -> String {
    let words = words_of_term(term);
    let longer = "minutes that doughs and pieces wait or stand beyond what is written, all together";
    let again = "minutes that what begins again waits for it, all together";
    let moved = "minutes by which steps begin earlier or later, all together";
    let breaks = "minutes by which breaks are off their time, all together";
    words
        .replace("overstayed minutes", longer)
        .replace("waits again minutes", again)
        .replace("off break minutes", breaks)
        .replace("moved minutes", moved)
}

/// Who goes on with what was in the hands of students that have left, and when.
fn taken_over(course: &Course, now: &Now, after: &CaughtUp) -> Vec<String> {
    let to_come = |t: &&PlannedTask| t.taken_over.is_some() && t.end > now.time;
    let line = |task: &PlannedTask| {
        let at = task.taken_over.as_ref()?;
        let (what, who) = (steps_in_words(after, std::slice::from_ref(&task.id)), task.by.first()?);
        let (from, until) = (at.strftime("%H:%M"), task.end.strftime("%H:%M"));
        // The grid's next slot is a little after now, and nobody waits for that.
        let waits =
            now.time.duration_until(at) >= SignedDuration::from_mins(course.settings.grid.value.get());
        Some(if waits {
            format!(
                "{what} was in hand there and lies until {from}, as nobody is free: then {who} finishes it, until {until}."
            )
        } else {
            format!("{what} was in hand there: {who} finishes it, {from} to {until}.")
        })
    };
    after.plan.tasks.iter().filter(to_come).filter_map(line).collect()
}

/// What can be done where it runs over: stay, or leave something out that was tried.
fn ways_out_in_words(after: &CaughtUp, ways: &[WayOut]) -> Vec<String> {
    let late = |s: &&PlannedSession| s.finish > s.end;
    let stay = |s: &PlannedSession| format!("stay until {}", s.finish.strftime("%A %H:%M"));
    let stays: Vec<String> = after.plan.sessions.iter().filter(late).map(stay).collect();
    if after.plan.fits {
        return Vec::new();
    }
    if stays.is_empty() {
        // The sessions end in time, so it is the hours of staff that do not.
        let staffs = after.plan.tasks.iter().filter(|task| !task.by.is_empty());
        let last = staffs.max_by_key(|task| task.end.timestamp());
        return last
            .map(|task| format!("Ways out: staff stay until {}", task.end.strftime("%A %H:%M")))
            .into_iter()
            .collect();
    }
    let mut lines = vec![format!("Ways out: {}", stays.join(", and "))];
    lines.extend(ways.iter().map(|way| {
        let long = after.plan.task(&way.id).map_or(0, |task| task.start.duration_until(&task.end).as_mins());
        let step = way.id.split_once('@').map_or(way.id.as_str(), |(step, _)| step);
        let then = match way.overrun {
            Minutes::ZERO => "then it fits".to_owned(),
            over => format!("then it runs over by {over}"),
        };
        format!("  or leave out {step} ({}): {then}", Minutes(long))
    }));
    lines
}

/// Tasks by their steps, each with whose it is: `lemon-babka.soak (stations 1-2)`.
fn steps_in_words(after: &CaughtUp, ids: &[String]) -> String {
    let mut steps: Vec<(&str, Vec<u32>, Vec<String>)> = Vec::new();
    for id in ids {
        let (step, group) = id.split_once('@').unwrap_or((id, ""));
        let (stations, groups) = after.plan.task(id).map_or_else(|| whose_by_name(group), whose);
        match steps.iter_mut().find(|(known, ..)| *known == step) {
            Some((_, known, names)) => {
                known.extend(stations);
                names.extend(groups);
            }
            None => steps.push((step, stations, groups)),
        }
    }
    let words = |(step, stations, groups): (&str, Vec<u32>, Vec<String>)| {
        format!("{step} ({})", whom_in_words(&stations, &groups))
    };
    steps.into_iter().map(words).collect::<Vec<_>>().join("; ")
}

/// The same as [`whose`] of a task that is not in the plan: from its group's name.
fn whose_by_name(group: &str) -> (Vec<u32>, Vec<String>) {
    match group.strip_prefix("station-").and_then(|no| no.parse().ok()) {
        Some(no) => (vec![no], Vec::new()),
        None => (Vec::new(), vec![group.replace('-', " ")]),
    }
}

/// The step of a task, by its id: what is left out is in no plan.
fn step_named<'a>(course: &'a Course, id: &str) -> Option<(&'a Lesson, &'a Step)> {
    let (lesson, step) = id.split_once('@').map_or(id, |(step, _)| step).split_once('.')?;
    let lesson = course.lessons.iter().find(|l| l.id.value.as_str() == lesson)?;
    Some((lesson, lesson.steps.iter().find(|s| s.id.value.as_str() == step)?))
}

/// Whether a task, by its id, is in the oven.
fn is_baking(course: &Course, id: &str) -> bool {
    step_named(course, id).is_some_and(|(_, step)| step.place.value == Where::Oven)
}
