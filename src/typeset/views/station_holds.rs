//! What a station avoids, against what it makes itself: what is in its own pieces cannot be kept away from it, and the sheet says so
//! before it asks for anything to be kept away. Nobody is named, and no reason.

use super::desk::Desk;
use super::wording::{item_name, spoken};
use crate::course::{AllergenId, Hands, LessonId, StationNo};
use crate::reckon::allergens::{Verdict, of_piece};
use crate::reckon::plan::timetable::PlannedTask;
use crate::reckon::work::{Station, Whom};
use jiff::civil::Date;
use serde::Serialize;

/// Something that the station avoids and that is, or may be, in what it makes.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Holds {
    /// `contains`, `may-contain`, `unknown`: the end of a key `holds-…` of the catalogue's `[station]`.
    pub how: String,
    /// What is avoided; several where the same brings them.
    pub what: Vec<String>,
    /// The ingredients that bring it; where it is unknown, those of which nobody knows.
    pub by: Vec<String>,
    /// The lessons in whose pieces it is; empty where it is in all that the station makes in this sitting.
    pub lessons: Vec<String>,
}

/// Against what a station makes in some lessons: what of the avoided is or may be in it, the surest first, and what is to be kept
/// away all the same. What is in it for certain is not among the latter.
pub fn against(desk: &Desk, station: &Station, lessons: &[&LessonId]) -> (Vec<Holds>, Vec<String>) {
    let (mut holds, mut away): (Vec<(Verdict, Holds)>, Vec<String>) = (Vec::new(), Vec::new());
    for avoided in &station.avoids {
        let found = verdicts(desk, station, lessons, avoided);
        if !found.iter().any(|(_, verdict, _)| *verdict == Verdict::Contains) {
            away.push(word(avoided));
        }
        for (how, key) in [
            (Verdict::Contains, "contains"),
            (Verdict::MayContain, "may-contain"),
            (Verdict::Unknown, "unknown"),
        ] {
            let such: Vec<_> = found.iter().filter(|(_, verdict, _)| *verdict == how).collect();
            if such.is_empty() {
                continue;
            }
            let mut by: Vec<String> = Vec::new();
            for name in such.iter().flat_map(|(_, _, by)| by) {
                if !by.contains(name) {
                    by.push(name.clone());
                }
            }
            let of = such.iter().map(|(lesson, ..)| desk.lesson_name(lesson));
            let lessons = if such.len() == lessons.len() { Vec::new() } else { of.collect() };
            let same =
                |(other, h): &&mut (Verdict, Holds)| *other == how && h.by == by && h.lessons == lessons;
            match holds.iter_mut().find(same) {
                Some((_, there)) => there.what.push(word(avoided)),
                None => {
                    let what = vec![word(avoided)];
                    holds.push((how, Holds { how: key.to_owned(), what, by, lessons }));
                }
            }
        }
    }
    holds.sort_by_key(|(how, _)| std::cmp::Reverse(*how));
    (holds.into_iter().map(|(_, one)| one).collect(), away)
}

/// What a station avoids, as its sheet and the board say it.
fn word(avoided: &AllergenId) -> String {
    spoken(avoided.as_str()).to_lowercase()
}

/// The verdict on the station's own pieces of each lesson, with the names of what decides it.
fn verdicts<'l>(
    desk: &Desk,
    station: &Station,
    lessons: &[&'l LessonId],
    avoided: &AllergenId,
) -> Vec<(&'l LessonId, Verdict, Vec<String>)> {
    let of = |lesson: &&'l LessonId| {
        let formula = &desk.course.lesson(lesson)?.formula.value;
        let recipe = desk.recipes.get(formula, station.variants.get(*lesson))?;
        let (verdict, by) = of_piece(&recipe.formula, &desk.course.pantry).verdict(avoided);
        Some((*lesson, verdict, by.iter().map(|i| item_name(desk.course, i)).collect()))
    };
    lessons.iter().filter_map(of).collect()
}

/// What a bowl of several stations asks of the hands that come to it, for one who reads of it: the end of a key `bowl-…` of the catalogue's
/// `[step]`; empty where none of them handles that day what another avoids.
pub fn bowl_wash(desk: &Desk, task: &PlannedTask, reader: StationNo) -> &'static str {
    let Some(batch) = desk.batch(task).filter(|_| task.hands == Hands::Students) else { return "" };
    let all: Vec<&Station> = batch
        .members
        .iter()
        .filter_map(|(whom, _)| match whom {
            Whom::Station(no) => desk.station(*no),
            _ => None,
        })
        .collect();
    let host = desk.mixer_station(&batch.members);
    if !all.iter().any(|s| s.no == reader) {
        return "";
    }
    let day = task.start.date();
    let brings = |from: &Station| all.iter().any(|to| to.no != from.no && brings(desk, from, to, day));
    let comes = all.iter().any(|s| Some(s.no) != host && brings(s));
    let own = all.iter().any(|s| Some(s.no) == host && brings(s));
    match (Some(reader) == host, comes, own) {
        (false, true, _) => "go",
        (true, true, false) => "come",
        (true, false, true) => "own",
        (true, true, true) => "both",
        _ => "",
    }
}

/// Whether one station handles on a day what another keeps away from itself. What the other has in its own pieces nobody brings it.
fn brings(desk: &Desk, from: &Station, to: &Station, day: Date) -> bool {
    let (theirs, own) = (handled(desk, from, day), handled(desk, to, day));
    to.avoids.iter().any(|avoided| {
        let at_home = verdicts(desk, to, &own, avoided);
        if at_home.iter().any(|(_, verdict, _)| *verdict == Verdict::Contains) {
            return false;
        }
        let known: Vec<&String> = at_home.iter().flat_map(|(_, _, by)| by).collect();
        verdicts(desk, from, &theirs, avoided).iter().any(|(_, verdict, by)| {
            matches!(verdict, Verdict::Contains | Verdict::MayContain | Verdict::Unknown)
                && by.iter().any(|name| !known.contains(&name))
        })
    })
}

/// The lessons of which a station has something in hand on a day.
fn handled<'d>(desk: &Desk<'d>, station: &Station, day: Date) -> Vec<&'d LessonId> {
    let mine = |t: &&PlannedTask| {
        t.hands == Hands::Students && !t.demo && t.start.date() == day && t.stations.contains(&station.no)
    };
    let mut lessons: Vec<&LessonId> = Vec::new();
    for lesson in desk.plan.tasks.iter().filter(mine).filter_map(|t| t.lesson.as_ref()) {
        if !lessons.contains(&lesson) {
            lessons.push(lesson);
        }
    }
    lessons
}
