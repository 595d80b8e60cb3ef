//! What changed against the printed plan, by the clock, and how it ends now.

mod broken;

use super::table::{Column, Table};
use super::text::{Screen, clean, counted, wrap};
use super::timetable::whom_in_words;
use super::verdict::{session_lines, words_of_term};
use crate::course::{At, Course, Lesson, Step, StepId, Where};
use crate::reckon::plan::catch_up::{Absent, CaughtUp, Changed, Now, Parted, Place, WayOut};
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
    for changed in &after.changes {
        let task = after.plan.task(&changed.id).or_else(|| was.task(&changed.id));
        let (Some(task), Some(moment)) = (task, changed.moment()) else { continue };
        let line = Line::of(task, changed);
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
            also: also(changed),
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
fn also(changed: &Changed) -> String {
    let (Some(was), Some(now)) = (&changed.was, &changed.now) else { return String::new() };
    let mut words = Vec::new();
    for (_, new) in was.uses.iter().zip(&now.uses).filter(|(old, new)| old != new) {
        words.push(format!("on {new}"));
    }
    if was.by != now.by {
        words.push(match now.by.as_slice() {
            [] => "students themselves".to_owned(),
            // As the plan says it.
            [first, last] if first != last => format!("in: {first}, out: {last}"),
            [first, ..] => format!("by {first}"),
        });
    }
    words.join("; ")
}

/// Whether each session still ends in time, what can no longer be kept, and what of it is proven.
#[must_use]
pub fn verdict(course: &Course, now: &Now, (after, ways): (&CaughtUp, &[WayOut]), screen: Screen) -> String {
    let mut lines = Vec::new();
    lines.extend(left_out(course, now, after));
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
    let wrapped = lines.iter().flat_map(|line| {
        let indent = if line.starts_with("  ") { "  " } else { "" };
        let lines = wrap(line, screen.width.saturating_sub(indent.len() + 2));
        let hang = |(n, l): (usize, String)| format!("{indent}{}{l}", if n == 0 { "" } else { "  " });
        lines.into_iter().enumerate().map(hang).collect::<Vec<_>>()
    });
    wrapped.collect::<Vec<_>>().join("\n")
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
    let moved = "minutes by which steps begin earlier or later, all together";
    let breaks = "minutes by which breaks are off their time, all together";
    words
        .replace("overstayed minutes", longer)
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

/// What cannot be done any more without what has failed; and what can be done instead, where it is baking.
fn left_out(course: &Course, now: &Now, after: &CaughtUp) -> Vec<String> {
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
