//! What changed against the printed plan, by the clock, and how it ends now.

use super::table::{Column, Table};
use super::text::{Screen, clean, counted, wrap};
use super::timetable::{session_lines, whom_in_words, words_of_term};
use crate::course::{Course, Where};
use crate::reckon::plan::catch_up::{Absent, CaughtUp, Changed, Loosened, Now, Place};
use crate::reckon::plan::jobs::Group;
use crate::reckon::plan::timetable::{Plan, PlannedTask};
use crate::reckon::work::Whom;
use jiff::ZonedDateTime;
use jiff::civil::Date;
use std::collections::BTreeMap;

/// What is different, a table for each day: the printed time before the new one. Groups that move alike stand on one line.
#[must_use]
pub fn changes(course: &Course, was: &Plan, after: &CaughtUp) -> Vec<Table> {
    let mut days: BTreeMap<Date, Vec<Line>> = BTreeMap::new();
    for changed in &after.changes {
        let task = after.plan.task(&changed.id).or_else(|| was.task(&changed.id));
        let (Some(task), Some(moment)) = (task, changed.moment()) else { continue };
        let line = Line::of(course, task, changed);
        let day = days.entry(moment.date()).or_default();
        match day.iter_mut().find(|other| other.alike(&line)) {
            Some(other) => {
                other.stations.extend(line.stations);
                other.groups.extend(line.groups);
            }
            None => day.push(line),
        }
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
    fn of(course: &Course, task: &PlannedTask, changed: &Changed) -> Line {
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
            also: also(course, changed),
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
fn also(course: &Course, changed: &Changed) -> String {
    let (Some(was), Some(now)) = (&changed.was, &changed.now) else { return String::new() };
    let mut words = Vec::new();
    for (_, new) in was.uses.iter().zip(&now.uses).filter(|(old, new)| old != new) {
        words.push(format!("on {new}"));
    }
    if was.by != now.by {
        let names = |by: &[String]| {
            let mut by: Vec<&String> = by.iter().collect();
            by.dedup();
            by.into_iter().map(|who| staff(course, who)).collect::<Vec<_>>().join(", ")
        };
        let new = names(&now.by);
        words.push(if now.by.is_empty() { "students themselves".to_owned() } else { format!("by {new}") });
    }
    words.join("; ")
}

fn staff(course: &Course, who: &str) -> String {
    let number = who.strip_prefix("helper-").and_then(|n| n.parse::<usize>().ok());
    let helper = number.and_then(|n| course.settings.helpers.get(n.saturating_sub(1)));
    clean(helper.map_or(who, |name| name.value.as_str()))
}

/// Whether each session still ends in time, what can no longer be kept, and what of it is proven.
#[must_use]
pub fn verdict(course: &Course, now: &Now, after: &CaughtUp, screen: Screen) -> String {
    let mut lines = Vec::new();
    lines.extend(left_out(course, now, after));
    lines.push(match after.changes.len() {
        0 => "Nothing has to change.".to_owned(),
        n => format!(
            "{} against the printed plan; all else is as printed.",
            counted(n, "task changes", "tasks change")
        ),
    });
    let ends = if after.plan.fits && !after.left_out.cannot.is_empty() {
        "What is left fits.".to_owned()
    } else if after.plan.fits {
        "It still fits.".to_owned()
    } else {
        format!("It runs over: {} in all. Nothing that was found is less late.", after.plan.overrun)
    };
    lines.push(ends);
    lines.extend(session_lines(course, &after.plan));
    lines.extend(after.plan.objective.iter().map(words_of_term));
    for id in &after.again {
        lines.push(format!("{id} was on what has failed. Its whole time is planned again: go by the dough and the core, not by the clock."));
    }
    for no in &after.empty {
        lines.push(format!("Nobody is left at station {no}: staff finish its work."));
    }
    if now.absent.iter().any(|a| matches!(a, Absent::Student(_))) {
        lines.push("What is weighed for those who are not there is made all the same.".to_owned());
    }
    if !after.by_hand.is_empty() {
        lines.push(format!(
            "No mixer is left for these, so they are kneaded by hand: {}.",
            after.by_hand.join(", ")
        ));
    }
    if !after.broken.is_empty() {
        let why = match after.loosened {
            Loosened::Nothing => "What the slip itself has broken:",
            Loosened::Waits => "Not every wait can be kept as written:",
            Loosened::Stands => "Some dough stands longer than it should:",
        };
        lines.push(why.to_owned());
    }
    lines.extend(broken(after));
    let wrapped = lines.iter().flat_map(|line| {
        let indent = if line.starts_with("  ") { "  " } else { "" };
        let lines = wrap(line, screen.width.saturating_sub(indent.len() + 2));
        let hang = |(n, l): (usize, String)| format!("{indent}{}{l}", if n == 0 { "" } else { "  " });
        lines.into_iter().enumerate().map(hang).collect::<Vec<_>>()
    });
    wrapped.collect::<Vec<_>>().join("\n")
}

/// What cannot be done any more without what has failed; and what can be done instead, where it is baking.
fn left_out(course: &Course, now: &Now, after: &CaughtUp) -> Vec<String> {
    let left_out = &after.left_out;
    if left_out.cannot.is_empty() {
        return Vec::new();
    }
    let things = clean(&now.without.join(", "));
    let what = steps_in_words(&left_out.cannot);
    let mut lines = vec![if left_out.cannot.iter().all(|id| is_baking(course, id)) {
        format!("Without {things} nothing is left to bake this in: {what}.")
    } else {
        format!("Without {things} this cannot be done any more: {what}.")
    }];
    if !left_out.begun.is_empty() {
        let begun = steps_in_words(&left_out.begun);
        lines.push(format!(
            "{begun} was in it: go by the core. What is short of its core temperature is not done."
        ));
    }
    if !left_out.after.is_empty() {
        let after = steps_in_words(&left_out.after);
        lines.push(format!("What comes after it falls away too: {after}."));
    }
    lines.push("Everything else can still be done, and is planned.".to_owned());
    if left_out.baking {
        lines.push(
            "What is shaped can go home unbaked, cold all the way, to be baked there by the recipe for home. \
             Where another oven is found, plan again without --without, and say with --late how much later it is."
                .to_owned(),
        );
    }
    lines
}

/// Tasks by their steps, each with its groups: `lemon-babka.soak (station 1, station 2)`.
fn steps_in_words(ids: &[String]) -> String {
    let mut steps: Vec<(&str, Vec<String>)> = Vec::new();
    for id in ids {
        let (step, group) = id.split_once('@').unwrap_or((id, ""));
        let group = group.replace('-', " ");
        match steps.iter_mut().find(|(known, _)| *known == step) {
            Some((_, groups)) => groups.push(group),
            None => steps.push((step, vec![group])),
        }
    }
    let all: Vec<String> =
        steps.into_iter().map(|(step, groups)| format!("{step} ({})", groups.join(", "))).collect();
    all.join("; ")
}

/// Whether a task, by its id, is in the oven.
fn is_baking(course: &Course, id: &str) -> bool {
    let step = id.split_once('@').map_or(id, |(step, _)| step).split_once('.');
    let step = step.and_then(|(lesson, step)| {
        course
            .lessons
            .iter()
            .find(|l| l.id.value.as_str() == lesson)?
            .steps
            .iter()
            .find(|s| s.id.value.as_str() == step)
    });
    step.is_some_and(|s| s.place.value == Where::Oven)
}

/// What is broken, the groups of one step together.
fn broken(after: &CaughtUp) -> Vec<String> {
    let mut found: Vec<(String, Vec<u32>, Vec<String>, &str)> = Vec::new();
    for one in &after.broken {
        let parts = one.tasks.iter().map(|id| id.split_once('@').unwrap_or((id, "")));
        let (steps, names): (Vec<&str>, Vec<&str>) = parts.unzip();
        let steps = steps.join(", then ");
        let of = one.tasks.first().and_then(|id| after.plan.task(id)).map(whose);
        let (stations, groups) = of.unwrap_or_else(|| {
            (Vec::new(), names.first().map(|g| g.replace('-', " ")).into_iter().collect())
        });
        match found.iter_mut().find(|(what, .., message)| *what == steps && *message == one.message) {
            Some((_, all, names, _)) => {
                all.extend(stations);
                names.extend(groups);
            }
            None => found.push((steps, stations, groups, &one.message)),
        }
    }
    let line = |(steps, stations, groups, message): (String, Vec<u32>, Vec<String>, &str)| {
        format!("  {steps} ({}): {message}", whom_in_words(&stations, &groups))
    };
    found.into_iter().map(line).collect()
}
