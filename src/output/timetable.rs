//! The plan for people: the lane picture of each day, the same by the clock, and what can be said about it.

use super::lanes::{Block, Lane, Look, Picture};
use super::table::{Column, Table};
use crate::course::{Course, Hands, StationNo, Where};
use crate::reckon::heating::{Turned, turned};
use crate::reckon::plan::jobs::Group;
use crate::reckon::plan::presence::{Gap, News, Why, staff_by};
use crate::reckon::plan::timetable::{Plan, PlannedTask};
use crate::units::Celsius;
use jiff::ZonedDateTime;
use jiff::civil::{Date, DateTime};
use std::collections::BTreeMap;

/// The lane picture of each day on which somebody works.
#[must_use]
pub fn pictures(course: &Course, plan: &Plan) -> Vec<Picture> {
    days(plan)
        .into_iter()
        .map(|(date, from, to)| Picture {
            title: format!(
                "{}, {} to {}",
                date.strftime("%A %-d %B %Y"),
                from.strftime("%H:%M"),
                to.strftime("%H:%M")
            ),
            from,
            to,
            lanes: lanes(course, plan, from, to),
        })
        .collect()
}

/// The days on which hands are at work, with the first and the last moment of it.
fn days(plan: &Plan) -> Vec<(Date, DateTime, DateTime)> {
    let mut days: BTreeMap<Date, (DateTime, DateTime)> = BTreeMap::new();
    let mut cover = |from: DateTime, to: DateTime| {
        let day = days.entry(from.date()).or_insert((from, to));
        *day = (day.0.min(from), day.1.max(to));
    };
    for task in plan.tasks.iter().filter(|t| t.hands != Hands::Nobody) {
        cover(task.start.datetime(), task.end.datetime());
    }
    for session in &plan.sessions {
        cover(session.start.datetime(), session.end.datetime().max(session.finish.datetime()));
    }
    days.into_iter().map(|(date, (from, to))| (date, from, to)).collect()
}

fn lanes(course: &Course, plan: &Plan, from: DateTime, to: DateTime) -> Vec<Lane> {
    let mut people: BTreeMap<(u32, String), Vec<Block>> = BTreeMap::new();
    let mut stations: BTreeMap<StationNo, Vec<Block>> = BTreeMap::new();
    let mut machines: BTreeMap<(usize, String), Vec<Block>> = BTreeMap::new();
    let mut places: BTreeMap<(usize, &'static str), Vec<Block>> = BTreeMap::new();
    let kinds = machine_kinds(course);
    for task in plan.tasks.iter().filter(|t| t.start.datetime() < to && t.end.datetime() > from) {
        let look = if task.hands == Hands::Nobody { Look::ByItself } else { Look::Work };
        let by_hand = if task.by_hand { " by hand" } else { "" };
        let block = |look: Look, from: &ZonedDateTime, to: &ZonedDateTime| Block {
            from: from.datetime(),
            to: to.datetime(),
            label: format!("{}{by_hand}", task.step),
            look,
        };
        for (n, person) in task.by.iter().enumerate() {
            let lane = people.entry((u32::from(person != "teacher"), person.clone())).or_default();
            match ends_of(course, task) {
                // Hands are needed to put in and to take out, not between.
                Some(long) if task.hands == Hands::Nobody => {
                    if n == 0 {
                        let until = task.start.datetime().saturating_add(long);
                        lane.push(Block { to: until, ..block(Look::Work, &task.start, &task.end) });
                    }
                    if n + 1 == task.by.len() {
                        let since = task.end.datetime().saturating_sub(long);
                        lane.push(Block { from: since, ..block(Look::Work, &task.start, &task.end) });
                    }
                }
                _ => lane.push(block(Look::Work, &task.start, &task.end)),
            }
        }
        for station in &task.stations {
            stations.entry(*station).or_default().push(block(look, &task.start, &task.end));
        }
        for used in &task.uses {
            if let Some(rank) = kinds.iter().position(|kind| is_one_of(&used.resource, kind)) {
                machines.entry((rank, used.resource.clone())).or_default().push(block(
                    look,
                    &task.start,
                    &task.end,
                ));
            }
        }
        let place = where_of(course, task);
        if let Some(rank) = PLACES.iter().position(|(at, _)| Some(*at) == place) {
            places.entry((rank, PLACES[rank].1)).or_default().push(block(look, &task.start, &task.end));
        }
    }
    for one in staff_by(course, plan) {
        let lane = people.entry((u32::from(one.who != "teacher"), one.who.clone())).or_default();
        lane.extend(one.gaps(ZonedDateTime::datetime, (from, to)).into_iter().map(|gap| {
            let label = if gap.why == Why::Break { "break" } else { "away" };
            Block { from: gap.from, to: gap.to, label: label.to_owned(), look: Look::ByItself }
        }));
    }
    people.retain(|_, blocks| !blocks.is_empty());
    for heats in turned(course, plan) {
        let rank = kinds.iter().position(|kind| *kind == heats.kind.as_str());
        let (Some(rank), Some((heat, there))) = (rank, heats.to) else { continue };
        let (begins, ends) = (heats.at.datetime(), there.datetime());
        if begins < to && ends > from {
            let label = format!("to {}", degrees(heat));
            let block = Block { from: begins.max(from), to: ends, label, look: Look::ByItself };
            machines.entry((rank, heats.oven)).or_default().push(block);
        }
    }
    let mut lanes = Vec::new();
    lanes.extend(people.into_iter().map(|((_, name), blocks)| Lane { name, blocks }));
    lanes.extend(stations.into_iter().map(|(no, blocks)| Lane { name: format!("station {no}"), blocks }));
    lanes.extend(machines.into_iter().map(|((_, name), blocks)| Lane { name, blocks }));
    lanes.extend(
        places.into_iter().map(|((_, name), blocks)| Lane { name: name.to_owned(), blocks: merged(blocks) }),
    );
    lanes
}

/// Places that hold many things at once, in the order of their lanes.
const PLACES: [(Where, &str); 6] = [
    (Where::Hob, "hob"),
    (Where::Warm, "warm"),
    (Where::Room, "room"),
    (Where::Cold, "cold"),
    (Where::Freezer, "freezer"),
    (Where::Rack, "rack"),
];

/// Blocks of one word that touch or overlap become one: a shelf shows what stands on it, not each tub.
fn merged(mut blocks: Vec<Block>) -> Vec<Block> {
    blocks.sort_by(|a, b| (&a.label, a.from, a.to).cmp(&(&b.label, b.from, b.to)));
    let mut out: Vec<Block> = Vec::new();
    for block in blocks {
        match out.last_mut().filter(|last| last.label == block.label && block.from <= last.to) {
            Some(last) => last.to = last.to.max(block.to),
            None => out.push(block),
        }
    }
    out
}

/// The kinds of which each one has its own lane, in the kitchen's order.
fn machine_kinds(course: &Course) -> Vec<&str> {
    let kitchen = &course.kitchen;
    let mixers = kitchen.mixers.iter().map(|m| m.id.value.as_str());
    mixers.chain(kitchen.ovens.iter().map(|o| o.id.value.as_str())).collect()
}

/// Whether `oven-2` is one of the kind `oven`.
fn is_one_of(resource: &str, kind: &str) -> bool {
    resource
        .strip_prefix(kind)
        .and_then(|rest| rest.strip_prefix('-'))
        .is_some_and(|number| !number.is_empty() && number.bytes().all(|b| b.is_ascii_digit()))
}

fn step_of<'a>(course: &'a Course, task: &PlannedTask) -> Option<&'a crate::course::Step> {
    course.lesson(task.lesson.as_ref()?)?.step(&task.step)
}

fn ends_of(course: &Course, task: &PlannedTask) -> Option<jiff::SignedDuration> {
    let ends = step_of(course, task)?.ends.as_ref()?;
    Some(jiff::SignedDuration::from_mins(ends.takes.value.get()))
}

fn where_of(course: &Course, task: &PlannedTask) -> Option<Where> {
    if task.cold_wait { Some(Where::Cold) } else { step_of(course, task).map(|s| s.place.value) }
}

/// The plan by the clock, a table for each day; `at` keeps only what goes on at that moment.
#[must_use]
pub fn by_the_clock(course: &Course, plan: &Plan, at: Option<&ZonedDateTime>) -> Vec<Table> {
    let mut days: BTreeMap<Date, Vec<Line>> = BTreeMap::new();
    for task in &plan.tasks {
        if at.is_some_and(|at| !(task.start <= *at && *at < task.end)) {
            continue;
        }
        let line = Line::of(course, task);
        let day = days.entry(line.from.date()).or_default();
        // Stations that do the same at the same time stand on one line.
        match day.iter_mut().find(|other| other.same_work(&line)) {
            Some(other) => other.join(line),
            None => day.push(line),
        }
    }
    for heats in turned(course, plan) {
        let Some(line) = Line::of_oven(&heats) else { continue };
        if at.is_none_or(|at| heats.at <= *at && at.datetime() < line.to) {
            let day = days.entry(line.from.date()).or_default();
            let place = day.iter().position(|other| other.from > line.from).unwrap_or(day.len());
            day.insert(place, line);
        }
    }
    // At one moment it is said of everybody whether they are there.
    let hours = if at.is_none() { self::days(plan) } else { Vec::new() };
    for (date, from, to) in hours {
        let day = days.entry(date).or_default();
        for one in staff_by(course, plan) {
            let gaps = one.gaps(ZonedDateTime::datetime, (from, to));
            // A day that runs past midnight is told of again by its next date.
            for (moment, news) in gaps.iter().flat_map(Gap::news).filter(|(at, _)| at.date() == date) {
                let line = Line::of_staff(&one.who, moment, news);
                let place = day.iter().position(|other| other.from > moment).unwrap_or(day.len());
                day.insert(place, line);
            }
        }
    }
    days.into_iter()
        .filter(|(_, lines)| !lines.is_empty())
        .map(|(date, lines)| {
            let columns = ["from", "to", "what", "for", "who", "at"].map(Column::text).to_vec();
            let mut table = Table::new(date.strftime("%A %-d %B %Y").to_string(), columns);
            for line in lines {
                let to = if line.to.date() == date { "%H:%M" } else { "%a %H:%M" };
                let to = if line.passes { String::new() } else { line.to.strftime(to).to_string() };
                table.row(vec![
                    line.from.strftime("%H:%M").to_string().into(),
                    to.into(),
                    line.what.clone().into(),
                    line.whom().into(),
                    line.who.join(", ").into(),
                    line.uses.join(", ").into(),
                ]);
            }
            table
        })
        .collect()
}

/// The blocks of work by the clock: what is done alike at the same time is one. What stands by itself is none.
#[must_use]
pub fn blocks<'p>(course: &Course, plan: &'p Plan) -> Vec<Vec<&'p PlannedTask>> {
    let mut blocks: Vec<(Line, Vec<&PlannedTask>)> = Vec::new();
    let work = |t: &&PlannedTask| t.hands != Hands::Nobody || !t.by.is_empty() || !t.stations.is_empty();
    for task in plan.tasks.iter().filter(work) {
        let line = Line::of(course, task);
        match blocks.iter_mut().find(|(other, _)| other.same_work(&line)) {
            Some((_, tasks)) => tasks.push(task),
            None => blocks.push((line, vec![task])),
        }
    }
    blocks.into_iter().map(|(_, tasks)| tasks).collect()
}

/// What staff carry to where it then stands by itself, while no students are there and no work of theirs on it has just ended: dough
/// that goes into the cold when its rise is over, tubs that come out of it before the class. What is done alike stands together.
#[must_use]
pub fn hand_overs<'p>(course: &Course, plan: &'p Plan) -> Vec<Vec<&'p PlannedTask>> {
    let work = |t: &PlannedTask| t.hands != Hands::Nobody || !t.by.is_empty();
    let in_class =
        |t: &PlannedTask| course.sessions.iter().any(|s| (&s.from.value..&s.to.value).contains(&&t.start));
    let just_ended = |t: &PlannedTask| {
        plan.tasks.iter().any(|other| {
            work(other)
                && other.lesson == t.lesson
                && other.end == t.start
                && other.members.iter().any(|(whom, _)| t.members.iter().any(|(w, _)| w == whom))
        })
    };
    let carried = |t: &&PlannedTask| t.lesson.is_some() && !work(t) && !in_class(t) && !just_ended(t);
    let mut moments: Vec<Vec<&PlannedTask>> = Vec::new();
    for task in plan.tasks.iter().filter(carried) {
        let key = |t: &PlannedTask| (t.start.clone(), t.lesson.clone(), t.step.clone(), t.cold_wait);
        match moments.iter_mut().find(|m| m.first().is_some_and(|first| key(first) == key(task))) {
            Some(there) => there.push(task),
            None => moments.push(vec![task]),
        }
    }
    moments
}

/// One line of the plan by the clock.
struct Line {
    from: DateTime,
    to: DateTime,
    what: String,
    hands: Hands,
    stations: Vec<u32>,
    groups: Vec<String>,
    who: Vec<String>,
    uses: Vec<String>,
    by_hand: bool,
    /// It is of a moment: who comes or goes.
    passes: bool,
}

fn degrees(heat: Celsius) -> String {
    format!("{} °C", heat.to_decimal().normalize())
}

/// What is said of a batch that is in no machine.
const BY_HAND: &str = "by hand";

/// `batch 2 (stations 1-2)`: a group with the stations that are in it.
#[must_use]
pub fn group_in_words(task: &PlannedTask) -> String {
    let group = task.group.to_string().replace('-', " ");
    let stations: Vec<u32> = task.for_stations().iter().map(|no| no.0).collect();
    match (&task.group, stations_in_words(&stations)) {
        (Group::Batch(_) | Group::Load(_), Some(stations)) => format!("{group} ({stations})"),
        _ => group,
    }
}

impl Line {
    fn of(course: &Course, task: &PlannedTask) -> Line {
        let (mut stations, mut groups) = (Vec::new(), Vec::new());
        match &task.group {
            Group::Station(no) => stations.push(no.0),
            Group::Class(None) | Group::Session(_) => groups.push("class".to_owned()),
            _ => groups.push(group_in_words(task)),
        }
        let students = if task.one_student { "one student" } else { "students" };
        let mut who: Vec<String> = match task.hands {
            _ if task.demo => vec!["everyone".to_owned()],
            Hands::Students => vec![students.to_owned()],
            Hands::Nobody if task.by.is_empty() => vec!["by itself".to_owned()],
            _ => Vec::new(),
        };
        match task.by.as_slice() {
            // Hands at the ends: who puts in and who takes out.
            [first, last] if first != last && task.hands == Hands::Nobody => {
                who.push(format!("in: {first}, out: {last}"));
            }
            [first, ..] => who.push(first.clone()),
            [] => {}
        }
        let lesson = task.lesson.as_ref().map_or("class", |l| l.as_str());
        let kinds = machine_kinds(course);
        let machines = task.uses.iter().map(|u| u.resource.clone());
        let machines = machines.filter(|resource| kinds.iter().any(|kind| is_one_of(resource, kind)));
        let cold = if task.cold_wait { " (waits cold)" } else { "" };
        Line {
            from: task.start.datetime(),
            to: task.end.datetime(),
            what: format!("{lesson}.{}{cold}", task.step),
            hands: task.hands,
            stations,
            groups,
            who,
            uses: machines.chain(task.by_hand.then(|| BY_HAND.to_owned())).collect(),
            by_hand: task.by_hand,
            passes: false,
        }
    }

    /// An oven on its way to the heat of its load; `None` where it is turned off.
    fn of_oven(turned: &Turned) -> Option<Line> {
        let (heat, there) = turned.to.as_ref()?;
        Some(Line {
            from: turned.at.datetime(),
            to: there.datetime(),
            what: format!("{} to {}", turned.verb(), degrees(*heat)),
            hands: Hands::Nobody,
            stations: Vec::new(),
            groups: vec!["the next load".to_owned()],
            who: vec!["by itself".to_owned()],
            uses: vec![turned.oven.clone()],
            by_hand: false,
            passes: false,
        })
    }

    /// One of the staff who has a break, comes or goes.
    fn of_staff(who: &str, at: DateTime, news: News<DateTime>) -> Line {
        let (what, to) = match news {
            News::Break(until) => ("break", until),
            News::NotThere => ("is not there", at),
            News::Goes => ("goes", at),
            News::Comes => ("comes", at),
        };
        Line {
            from: at,
            to,
            what: what.to_owned(),
            hands: Hands::Nobody,
            stations: Vec::new(),
            groups: Vec::new(),
            who: vec![who.to_owned()],
            uses: Vec::new(),
            by_hand: false,
            passes: !matches!(news, News::Break(_)),
        }
    }

    fn same_work(&self, other: &Line) -> bool {
        let key = |line: &Line| (line.from, line.to, line.hands, line.by_hand);
        key(self) == key(other) && self.what == other.what
    }

    fn join(&mut self, other: Line) {
        self.stations.extend(other.stations);
        self.groups.extend(other.groups);
        let new = |have: &[String], more: Vec<String>| -> Vec<String> {
            more.into_iter().filter(|x| !have.contains(x)).collect()
        };
        self.who.extend(new(&self.who, other.who));
        self.uses.extend(new(&self.uses, other.uses));
    }

    fn whom(&self) -> String {
        whom_in_words(&self.stations, &self.groups)
    }
}

/// Stations, and then the groups that are none: `stations 1-3, batch 2`.
#[must_use]
pub fn whom_in_words(stations: &[u32], groups: &[String]) -> String {
    let words: Vec<String> = stations_in_words(stations).into_iter().chain(groups.iter().cloned()).collect();
    words.join(", ")
}

/// `station 3`, `stations 1-3, 5`; nothing for none. One that is named twice is one.
#[must_use]
pub fn stations_in_words(numbers: &[u32]) -> Option<String> {
    let first = numbers.first()?;
    let word = if numbers.iter().all(|n| n == first) { "station" } else { "stations" };
    Some(format!("{word} {}", ranges(numbers)))
}

/// "1-3, 5": runs of numbers.
#[must_use]
pub fn ranges(numbers: &[u32]) -> String {
    let mut sorted = numbers.to_vec();
    sorted.sort_unstable();
    sorted.dedup();
    let mut runs: Vec<(u32, u32)> = Vec::new();
    for n in sorted {
        match runs.last_mut().filter(|(_, to)| *to + 1 == n) {
            Some((_, to)) => *to = n,
            None => runs.push((n, n)),
        }
    }
    let word = |(from, to): (u32, u32)| if from == to { from.to_string() } else { format!("{from}-{to}") };
    runs.into_iter().map(word).collect::<Vec<_>>().join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn runs_of_stations_are_said_short() {
        assert_eq!(ranges(&[5, 1, 2, 3, 3]), "1-3, 5");
        assert_eq!(ranges(&[]), "");
        assert_eq!(stations_in_words(&[3, 3]).as_deref(), Some("station 3"));
        assert_eq!(stations_in_words(&[2, 1]).as_deref(), Some("stations 1-2"));
        assert_eq!(stations_in_words(&[]), None);
    }

    #[test]
    fn a_resource_is_one_of_its_kind_only() {
        assert!(is_one_of("oven-12", "oven"));
        assert!(!is_one_of("oven-small-1", "oven"));
        assert!(!is_one_of("oven", "oven"));
    }
}
