//! What the board holds: who and what is there, what is done when, what holds it there, what is measured.
//!
//! It hangs at the wall: no one of the roll is named on it, and of health only what a station avoids, as on its sheet.
//! Times are whole minutes since 1970 in UTC; the page shows them in the course's time zone.

use super::readings::{ReadingView, readings};
use crate::course::{Chain, Hands, UnitSystem, Where};
use crate::output::json::plan::hands;
use crate::output::manifest::sha256;
use crate::reckon::plan::jobs::Group;
use crate::reckon::plan::presence::{Gap, Why, staff_by};
use crate::reckon::plan::slips::{LeftOut, Slips};
use crate::reckon::plan::timetable::PlannedTask;
use crate::reckon::safety::Safety;
use crate::typeset::views::common::{Fact, ForWhom};
use crate::typeset::views::desk::{Desk, place_key};
use crate::typeset::views::station_holds::against;
use crate::typeset::views::temperature_log::TemperatureLog;
use crate::typeset::views::wording::{filled_in, spoken};
use jiff::ZonedDateTime;
use jiff::civil::Date;
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};

/// The version of what a board holds and saves. A board reads no file of a later one. Since 2 an entry names its reading by what it is
/// of; before, by its place in a list that another plan sorts anew.
pub const BOARD_VERSION: u32 = 2;

/// What the page is made from.
#[derive(Serialize, Debug)]
pub struct BoardView {
    /// [`BOARD_VERSION`].
    pub version: u32,
    /// The program's version.
    pub program: &'static str,
    /// The course's name.
    pub course: String,
    /// Who gives it.
    pub host: String,
    /// Sets this course's state apart from others' in the same browser.
    pub key: String,
    /// Sets this plan apart from others of the course.
    pub plan: String,
    /// The IANA name of the time zone.
    pub zone: String,
    /// The language tag.
    pub language: String,
    /// Temperatures are read in Fahrenheit.
    pub fahrenheit: bool,
    /// Minutes by which the plan is too long.
    pub late: Option<i64>,
    /// The days, in order.
    pub days: Vec<DayView>,
    /// Who and what has a row: people, stations, mixers, ovens.
    pub rows: Vec<RowView>,
    /// What is done, by start.
    pub tasks: Vec<TaskView>,
    /// What the plan leaves out, for it cannot be done any more.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub left_out: Vec<LeftOutView>,
    /// What a slip does.
    pub slips: SlipView,
    /// What is measured, by the clock.
    pub readings: Vec<ReadingView>,
    /// The rule set's name; empty: none is named.
    pub rules: String,
    /// The fixed words by their keys.
    pub words: BTreeMap<String, String>,
    /// How things stood each time when the rest of the day was planned again, oldest first, as the board said it.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub before: Vec<serde_json::Value>,
    /// What boards had written down by then.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub entries: Vec<serde_json::Value>,
}

/// A day on which hands are at work.
#[derive(Serialize, Debug)]
pub struct DayView {
    /// `2027-03-06`.
    pub date: String,
    /// The session's name; empty on a day of staff's.
    pub name: String,
    /// The session; `None` on a day on which only staff work.
    pub session: Option<SittingView>,
    /// From the first work.
    pub from: i64,
    /// To the last.
    pub to: i64,
}

/// A session.
#[derive(Serialize, Debug)]
pub struct SittingView {
    /// Its id.
    pub id: String,
    /// Its start.
    pub from: i64,
    /// Its end.
    pub to: i64,
}

/// Somebody or something with a row of their own.
#[derive(Serialize, Debug)]
pub struct RowView {
    /// `teacher`, `helper-1`, `station-3`, `small-mixer-2`, `oven-1`.
    pub key: String,
    /// `people`, `stations`, `mixers`, `ovens`.
    pub group: &'static str,
    /// What stands at its head.
    pub name: String,
    /// The plan never uses it: it has nothing to say, unless it is out of order.
    #[serde(skip_serializing_if = "is_false")]
    pub idle: bool,
    /// Students at a station.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub students: Option<usize>,
    /// What must be kept away from a station, as far as it is not in what the station makes.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub avoid: Vec<String>,
    /// What a station avoids and is, or may be, in what it makes all the same.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub holds: Vec<String>,
    /// When one of the staff has a break, or is not there, on each of the days.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub away: Vec<AwayView>,
}

/// A time in which one of the staff has no work.
#[derive(Serialize, Debug)]
pub struct AwayView {
    /// Its first minute.
    pub from: i64,
    /// Its end.
    pub to: i64,
    /// It is a break; else they are not there.
    pub pause: bool,
}

/// One task.
#[derive(Serialize, Debug)]
pub struct TaskView {
    /// `lesson.step@group`.
    pub id: String,
    /// The task among the moments.
    pub n: usize,
    /// The lesson's id; empty for the class's own.
    pub lesson: String,
    /// The lesson's name; empty for the class's own.
    pub of: String,
    /// What is done.
    pub name: String,
    /// The rows that it fills from start to end.
    pub rows: Vec<String>,
    /// The row of whoever sets it going, and of whoever ends it, where hands are needed only at the ends; and for how long.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ends: Option<(String, String, i64)>,
    /// The teacher looks at it meanwhile.
    #[serde(skip_serializing_if = "is_false")]
    pub eye: bool,
    /// Its planned start.
    pub from: i64,
    /// Its planned end.
    pub to: i64,
    /// `demo`, `pause`, `hands`, `waits`.
    pub tone: &'static str,
    /// `students`, `teacher`, `helper`, `staff`, `nobody`.
    pub hands: &'static str,
    /// The kind of place; empty for the bench.
    pub at: &'static str,
    /// For whom; `None` for the class's own.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub whom: Option<ForWhom>,
    /// The oven load.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub load: Option<u32>,
    /// Pieces in an oven load.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pieces: Option<u32>,
    /// The batch in a bowl: its part, and the kind of mixer; empty for by hand.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mix: Option<(String, String)>,
    /// Figures that decide.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub facts: Vec<Fact>,
    /// What to say or to do, in the teacher's words.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub say: String,
    /// Cautions by their keys.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub cautions: Vec<String>,
}

/// A step that the plan leaves out.
#[derive(Serialize, Debug)]
pub struct LeftOutView {
    /// `lesson.step@group`.
    pub id: String,
    /// The lesson's name.
    pub of: String,
    /// What is not done.
    pub name: String,
    /// For whom.
    pub whom: ForWhom,
    /// The oven load.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub load: Option<u32>,
}

/// A plan as moments; see [`Slips`].
#[derive(Serialize, Debug)]
pub struct SlipView {
    /// Minute 0.
    pub zero: i64,
    /// The planned minute of each moment.
    pub planned: Vec<i64>,
    /// For each task: its id, its length, whether it stands.
    pub tasks: Vec<(String, i64, bool)>,
    /// From, to, at least.
    pub arrows: Vec<(usize, usize, i64)>,
    /// Of two tasks: the second takes up what the first has made.
    pub takes: Vec<(usize, usize)>,
    /// From, to, at most, task.
    pub limits: Vec<(usize, usize, i64, usize)>,
    /// Session, moment.
    pub gone: Vec<(String, usize)>,
}

#[allow(clippy::trivially_copy_pass_by_ref)] // serde hands over a reference
fn is_false(b: &bool) -> bool {
    !b
}

pub(super) fn minute(at: &ZonedDateTime) -> i64 {
    at.timestamp().as_second().div_euclid(60)
}

impl BoardView {
    /// The board of a class, with the words that it speaks from; its data is worded by the whole catalogue.
    #[must_use]
    pub fn of(
        desk: &Desk<'_>,
        slips: &Slips,
        safety: &Safety,
        words: BTreeMap<String, String>,
        catalogue: &BTreeMap<String, String>,
    ) -> BoardView {
        let settings = &desk.course.settings;
        let numbers: BTreeMap<&str, usize> =
            slips.tasks.iter().enumerate().map(|(n, t)| (t.id.as_str(), n)).collect();
        let tasks: Vec<TaskView> = desk
            .plan
            .tasks
            .iter()
            .filter_map(|t| Some(task_view(desk, t, *numbers.get(t.id.as_str())?)))
            .collect();
        let rows = rows(desk, catalogue);
        let left_out = slips.left_out.iter().filter_map(|left| left_out_view(desk, left)).collect();
        let slips = SlipView::of(slips);
        let made = (&settings.name.value, &tasks, &slips);
        let plan = sha256(serde_json::to_string(&made).unwrap_or_default().as_bytes());
        let dates: Vec<String> = desk.course.sessions.iter().map(|s| s.from.value.to_string()).collect();
        let key = sha256(format!("{}\n{}", settings.name.value, dates.join("\n")).as_bytes());
        let log = TemperatureLog::of(desk.about(), desk.course, safety).by_stations(desk, safety);
        BoardView {
            version: BOARD_VERSION,
            program: env!("CARGO_PKG_VERSION"),
            course: settings.name.value.clone(),
            host: settings.host.value.clone(),
            key: key.chars().take(12).collect(),
            plan: plan.chars().take(12).collect(),
            zone: settings.time_zone.value.clone(),
            language: settings.language.value.clone(),
            fahrenheit: settings.units.value == UnitSystem::Us,
            late: (!desk.plan.fits).then(|| desk.plan.overrun.get()),
            days: days(desk),
            rows,
            tasks,
            left_out,
            slips,
            readings: readings(desk, &numbers, &safety.log, log.readings),
            rules: log.rules,
            words,
            before: Vec::new(),
            entries: Vec::new(),
        }
    }
}

impl SlipView {
    fn of(slips: &Slips) -> SlipView {
        SlipView {
            zero: minute(&slips.zero),
            planned: slips.planned.iter().map(|m| m.get()).collect(),
            tasks: slips.tasks.iter().map(|t| (t.id.clone(), t.length.get(), t.stands)).collect(),
            arrows: slips.arrows.iter().map(|(from, to, least)| (*from, *to, least.get())).collect(),
            takes: slips.takes.clone(),
            limits: slips.limits.iter().map(|l| (l.from, l.to, l.most.get(), l.task)).collect(),
            gone: slips.gone.iter().map(|(id, at)| (id.to_string(), *at)).collect(),
        }
    }
}

/// The days with work for hands, each from its first to its last, its session included.
fn days(desk: &Desk<'_>) -> Vec<DayView> {
    let mut spans: BTreeMap<Date, (i64, i64)> = BTreeMap::new();
    let mut span = |from: &ZonedDateTime, to: &ZonedDateTime| {
        let at = spans.entry(from.date()).or_insert((minute(from), minute(to)));
        *at = (at.0.min(minute(from)), at.1.max(minute(to)));
    };
    for task in desk.plan.tasks.iter().filter(|t| t.hands != Hands::Nobody || !t.by.is_empty()) {
        span(&task.start, &task.end);
    }
    for session in &desk.course.sessions {
        span(&session.from.value, &session.to.value);
    }
    let session_on = |day: Date| desk.course.sessions.iter().find(|s| s.from.value.date() == day);
    spans
        .into_iter()
        .map(|(day, (from, to))| DayView {
            date: day.to_string(),
            name: session_on(day).and_then(|s| s.name.as_ref()).map_or_else(String::new, |n| n.value.clone()),
            session: session_on(day).map(|s| SittingView {
                id: s.id.value.to_string(),
                from: minute(&s.from.value),
                to: minute(&s.to.value),
            }),
            from,
            to,
        })
        .collect()
}

/// By its names a step of which the plan has no task; `None` for one that no lesson has.
fn left_out_view(desk: &Desk<'_>, left: &LeftOut) -> Option<LeftOutView> {
    let step = desk.course.lesson(&left.lesson)?.step(&left.step)?;
    let name = step.name.as_ref().map_or_else(|| spoken(left.step.as_str()), |n| n.value.clone());
    let load = match left.group {
        Group::Load(no) => Some(no),
        _ => None,
    };
    let whom = desk.for_whom(&left.members);
    Some(LeftOutView { id: left.id.clone(), of: desk.lesson_name(&left.lesson), name, whom, load })
}

/// Gaps as the board has them. Two days of which the one runs past midnight have one and the same gap there.
fn away(mut gaps: Vec<Gap<i64>>) -> Vec<AwayView> {
    gaps.sort_by_key(|gap| (gap.why == Why::Break, gap.from, gap.to));
    let mut all: Vec<AwayView> = Vec::new();
    for gap in gaps {
        let pause = gap.why == Why::Break;
        match all.last_mut().filter(|last| last.pause == pause && gap.from < last.to) {
            Some(last) => last.to = last.to.max(gap.to),
            None => all.push(AwayView { from: gap.from, to: gap.to, pause }),
        }
    }
    all.sort_by_key(|one| (one.from, one.to));
    all
}

fn rows(desk: &Desk<'_>, catalogue: &BTreeMap<String, String>) -> Vec<RowView> {
    // As the sheets say it in the course's language; what no list has stays as the teacher wrote it.
    let said = |word: String| catalogue.get(&format!("list-word.{word}")).cloned().unwrap_or(word);
    let row = |key: String, group, name| RowView {
        key,
        group,
        name,
        idle: false,
        students: None,
        avoid: Vec::new(),
        holds: Vec::new(),
        away: Vec::new(),
    };
    let days = days(desk);
    let mut rows: Vec<RowView> = staff_by(desk.course, desk.plan)
        .into_iter()
        .map(|one| {
            let gaps = days.iter().flat_map(|day| one.gaps(minute, (day.from, day.to)));
            let away = away(gaps.collect());
            let name = desk.staff_name(&one.who);
            RowView { away, ..row(one.who, "people", name) }
        })
        .collect();
    let lessons: Vec<_> = desk.course.lessons.iter().map(|l| &l.id.value).collect();
    rows.extend(desk.class.stations.iter().map(|s| {
        let (holds, avoid) = against(desk, s, &lessons);
        let mut what: Vec<String> = Vec::new();
        for word in holds.into_iter().flat_map(|h| h.what).map(said) {
            if !what.contains(&word) {
                what.push(word);
            }
        }
        let name = row(format!("station-{}", s.no), "stations", s.no.to_string());
        let avoid = avoid.into_iter().map(said).collect();
        RowView { students: Some(s.seats.len()), avoid, holds: what, ..name }
    }));
    let kitchen = &desk.course.kitchen;
    let mixers = kitchen.mixers.iter().map(|m| ("mixers", &m.id.value, m.count.value));
    let ovens = kitchen.ovens.iter().map(|o| ("ovens", &o.id.value, o.count.value));
    let used: BTreeSet<&str> =
        desk.plan.tasks.iter().flat_map(|t| &t.uses).map(|u| u.resource.as_str()).collect();
    for (group, id, count) in mixers.chain(ovens) {
        let keys = (1..=count).map(|n| format!("{id}-{n}"));
        rows.extend(keys.filter_map(|key| {
            let (_, name) = desk.machine_of(&key)?;
            let idle = !used.contains(key.as_str());
            Some(RowView { idle, ..row(key, group, name) })
        }));
    }
    rows
}

fn task_view(desk: &Desk<'_>, task: &PlannedTask, n: usize) -> TaskView {
    let step = desk.step(task);
    let own = desk.own_step(task);
    let at_ends = step.and_then(|s| s.ends.as_ref()).filter(|_| task.hands == Hands::Nobody);
    let ends =
        at_ends.and_then(|e| Some((task.by.first()?.clone(), task.by.last()?.clone(), e.takes.value.get())));
    let mut rows: Vec<String> = Vec::new();
    if ends.is_none() {
        rows.extend(task.by.iter().cloned());
    }
    let pause = own.is_some_and(|o| o.pause);
    rows.extend(task.stations.iter().map(|s| format!("station-{s}")));
    let machine = |u: &&crate::reckon::plan::timetable::Used| desk.machine_of(&u.resource).is_some();
    rows.extend(task.uses.iter().filter(machine).map(|u| u.resource.clone()));
    let mut seen = BTreeSet::new();
    rows.retain(|row| seen.insert(row.clone()));
    let place = desk.place(task);
    let lesson = task.lesson.as_ref().and_then(|l| desk.course.lesson(l));
    let formula = lesson.and_then(|l| desk.course.formula(&l.formula.value));
    let words = step.and_then(|s| s.tell.as_ref().or(s.say.as_ref())).map(|w| w.value.as_str());
    let say = match (words, formula) {
        (Some(words), Some(formula)) => filled_in(words, &formula.piece, desk.units(), &desk.tongue),
        (Some(words), None) => words.to_owned(),
        (None, _) => own.and_then(|o| o.say.as_ref()).map_or_else(String::new, |s| s.value.clone()),
    };
    let load = match &task.group {
        Group::Load(no) => Some(*no),
        _ => None,
    };
    let part = step.and_then(|s| {
        s.on.iter().find_map(|c| match &c.value {
            Chain::Part(part) => Some(part.to_string()),
            Chain::Piece => None,
        })
    });
    let mix = part.filter(|_| place == Where::Mixer && !task.cold_wait).map(|part| {
        let kind = desk.machine(task).map_or_else(String::new, |(id, _)| id.to_string());
        (part, kind)
    });
    let members = task.members.iter().map(|(whom, _)| whom);
    TaskView {
        id: task.id.clone(),
        n,
        lesson: task.lesson.as_ref().map_or_else(String::new, ToString::to_string),
        of: task.lesson.as_ref().map_or_else(String::new, |l| desk.lesson_name(l)),
        name: desk.task_name(task),
        rows,
        eye: step.is_some_and(|s| s.eye) && !task.made_ahead,
        from: minute(&task.start),
        to: minute(&task.end),
        tone: match task.hands {
            _ if task.demo => "demo",
            _ if pause => "pause",
            Hands::Nobody => "waits",
            _ => "hands",
        },
        hands: hands(task.hands),
        at: place_key(place),
        whom: task.lesson.as_ref().filter(|_| !task.members.is_empty()).map(|_| desk.for_whom(members)),
        load,
        pieces: load
            .filter(|_| place == Where::Oven)
            .map(|_| task.members.iter().map(|(_, pieces)| pieces).sum()),
        mix,
        facts: if task.cold_wait { Vec::new() } else { desk.facts(task) },
        say: if task.cold_wait { String::new() } else { say },
        cautions: step
            .filter(|_| !task.cold_wait)
            .map_or_else(Vec::new, |s| s.caution.iter().map(|c| c.value.clone()).collect()),
        ends,
    }
}
