//! A moment of the plan for people: who does what, who has idle hands, what comes next for each, and what waits.

use super::table::{Column, Table};
use super::timetable::{group_in_words, stations_in_words};
use crate::reckon::plan::jobs::Group;
use crate::reckon::plan::moments::{Moment, Person, Waits};
use crate::reckon::plan::presence::Away;
use crate::reckon::plan::timetable::PlannedTask;
use jiff::ZonedDateTime;

/// Everybody at a moment, and below what waits between two steps, if anything does.
#[must_use]
pub fn tables(moment: &Moment<'_>, at: &ZonedDateTime) -> Vec<Table> {
    let columns = ["who", "now", "next", "from"].map(Column::text).to_vec();
    let mut people = Table::new(format!("Who, at {}", at.strftime("%a %H:%M")), columns);
    for (who, one) in together(&moment.people) {
        let now = now(one);
        people.row(vec![
            who.into(),
            match &one.away {
                Some(away) => in_words(away, at).into(),
                None if now.is_empty() => "idle".into(),
                None => now.join(", ").into(),
            },
            one.next.as_ref().map_or_else(|| "nothing more".to_owned(), |(task, _)| work(task)).into(),
            one.next.as_ref().map_or_else(String::new, |(_, from)| clock(from, at)).into(),
        ]);
    }
    let mut tables = vec![people];
    if !moment.waits.is_empty() {
        let columns = ["of", "done", "waits for", "from"].map(Column::text).to_vec();
        let mut waits = Table::new("What waits for its next step", columns);
        let mut rows: Vec<(Vec<u32>, String, &Waits<'_>)> = Vec::new();
        for one in &moment.waits {
            let same = |other: &Waits<'_>| {
                (work(other.after), work(other.next), &other.next.start)
                    == (work(one.after), work(one.next), &one.next.start)
            };
            let stations = one.next.for_stations().into_iter().map(|no| no.0);
            match rows.iter_mut().find(|(.., other)| same(other)) {
                Some((nos, ..)) => nos.extend(stations),
                None => rows.push((stations.collect(), group_in_words(one.next), one)),
            }
        }
        for (stations, group, one) in rows {
            waits.row(vec![
                stations_in_words(&stations).unwrap_or(group).into(),
                work(one.after).into(),
                work(one.next).into(),
                clock(&one.next.start, at).into(),
            ]);
        }
        tables.push(waits);
    }
    tables
}

/// Stations that do the same, now and next, stand on one line.
fn together<'m, 'p>(people: &'m [Person<'p>]) -> Vec<(String, &'m Person<'p>)> {
    let mut found: Vec<(Vec<u32>, &Person<'p>)> = Vec::new();
    let number = |one: &Person<'_>| one.who.strip_prefix("station-")?.parse::<u32>().ok();
    let same =
        |one: &Person<'_>| (now(one), one.next.as_ref().map(|(task, from)| (work(task), from.clone())));
    for one in people {
        match (number(one), found.iter_mut().find(|(nos, other)| !nos.is_empty() && same(other) == same(one)))
        {
            (Some(no), Some((nos, _))) => nos.push(no),
            (no, _) => found.push((no.into_iter().collect(), one)),
        }
    }
    let named = |(nos, one): (Vec<u32>, &'m Person<'p>)| {
        (stations_in_words(&nos).unwrap_or_else(|| one.who.clone()), one)
    };
    found.into_iter().map(named).collect()
}

fn in_words(away: &Away, at: &ZonedDateTime) -> String {
    match away {
        Away::Break(until) => format!("break until {}", clock(until, at)),
        Away::NotThere(Some(until)) => format!("not there until {}", clock(until, at)),
        Away::NotThere(None) => "gone".to_owned(),
    }
}

/// What somebody does: what the teacher looks on at several stations is one thing.
fn now(one: &Person<'_>) -> Vec<String> {
    let mut now: Vec<String> = one.now.iter().map(|task| work(task)).collect();
    now.sort();
    now.dedup();
    now
}

/// `walnut-crown.brush`; of hands at the ends of a step, the oven's load too.
fn work(task: &PlannedTask) -> String {
    let lesson = task.lesson.as_ref().map_or("class", |l| l.as_str());
    let load = match task.group {
        Group::Load(_) => format!(" {}", task.group.to_string().replace('-', " ")),
        _ => String::new(),
    };
    format!("{lesson}.{}{load}", task.step)
}

fn clock(moment: &ZonedDateTime, at: &ZonedDateTime) -> String {
    let form = if moment.date() == at.date() { "%H:%M" } else { "%a %H:%M" };
    moment.strftime(form).to_string()
}
