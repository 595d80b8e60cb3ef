//! What to measure, when, the limit, and a blank to write in.

use super::common::{About, ForWhom, Measure, Moment, Phrase};
use super::desk::Desk;
use super::drawing::{Units, said};
use super::oven_and_cold::out_for;
use super::safety_sheets::Names;
use super::wording::spoken;
use crate::course::{Course, EquipId, Shelves, UnitSystem};
use crate::reckon::drawings::Said;
use crate::reckon::plan::jobs::Group;
use crate::reckon::safety::Safety;
use crate::reckon::safety::log::{Edge, IfOut, Limit, LogRow, Since, What, is_of_piece};
use crate::reckon::safety::rule_sets::Passes;
use crate::reckon::safety::rules::row;
use crate::reckon::work::Whom;
use crate::units::Celsius;
use serde::Serialize;

/// Blank lines at the end of a log.
const BLANKS: u32 = 6;

/// What `templates/temperature-log.typ` receives.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct TemperatureLog {
    /// `temperature-log`.
    pub kind: &'static str,
    /// The course.
    pub about: About,
    /// The rule set's name and edition; empty: none is named, and the sheet says that limits are not known.
    pub rules: String,
    /// The readings, by the clock.
    pub readings: Vec<Reading>,
    /// Empty lines at the end.
    pub blanks: u32,
}

/// One reading to take.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Reading {
    /// When.
    pub at: Moment,
    /// What: a place, a lesson's part.
    pub what: String,
    /// Which of it: a batch, a load.
    pub which: Option<Phrase>,
    /// Whose batch, in place of its number.
    pub for_whom: Option<ForWhom>,
    /// Where to probe: a key of the catalogue's `[probe]`; empty where nothing is probed.
    pub probe: String,
    /// `at-least`, `at-most`, `above`, `below`, `aim`, `unknown`: a key of the catalogue's `[limit]`.
    pub limit: String,
    /// The limit's figures; two make a range.
    pub values: Vec<Measure>,
    /// For how long it holds, or by when it must be reached.
    pub within: Option<Phrase>,
    /// Nobody is in then.
    pub unattended: bool,
    /// What to do when it is out: a key of the catalogue's `[if-out]`.
    pub if_out: String,
    /// Rule and section; empty: the lesson says so.
    pub source: String,
}

impl TemperatureLog {
    /// An empty sheet of this kind.
    pub fn new() -> TemperatureLog {
        TemperatureLog { kind: "temperature-log", ..TemperatureLog::default() }
    }
}

impl TemperatureLog {
    /// The log of a class.
    #[must_use]
    pub fn of(about: About, course: &Course, safety: &Safety) -> TemperatureLog {
        let names = Names { course };
        let units = match course.settings.units.value {
            UnitSystem::Metric => Units::Metric,
            UnitSystem::Us => Units::Us,
        };
        TemperatureLog {
            about,
            rules: safety.set.map_or_else(String::new, |s| s.title()),
            readings: safety.log.iter().map(|r| reading(&names, units, r)).collect(),
            blanks: BLANKS,
            ..TemperatureLog::new()
        }
    }
}

impl TemperatureLog {
    /// The same, with each batch by the stations that it is for, as all sheets name it.
    #[must_use]
    pub fn by_stations(mut self, desk: &Desk, safety: &Safety) -> TemperatureLog {
        for (reading, row) in self.readings.iter_mut().zip(&safety.log) {
            let batch = match &row.what {
                What::Mixed(lesson, part, no) | What::Part(lesson, part, _, _, Group::Batch(no)) => {
                    desk.batch_of(lesson, part, *no)
                }
                _ => None,
            };
            if let Some(batch) = batch {
                (reading.which, reading.for_whom) =
                    (None, Some(desk.for_whom(batch.members.iter().map(|(w, _)| w))));
            }
            // Of what is taken out by several at several times, whose it is.
            if matches!(row.what, What::Out(..)) {
                // What stands for several is out for each when that one takes its share.
                let theirs = |e: &Edge| {
                    let task = desk.plan.task(&e.task)?;
                    let now = |w: &&Whom| !e.ends || *out_for(desk, task, w) == row.at;
                    Some(task.members.iter().map(|(w, _)| w).filter(now).collect::<Vec<_>>())
                };
                let mut whom: Vec<&Whom> = row.hangs_on.iter().filter_map(theirs).flatten().collect();
                whom.sort();
                whom.dedup();
                reading.for_whom = (!whom.is_empty()).then(|| desk.for_whom(whom));
            }
        }
        self
    }
}

fn reading(names: &Names<'_>, units: Units, line: &LogRow) -> Reading {
    let (limit, values): (&str, Vec<Celsius>) = match line.limit {
        Limit::AtLeast(at) => ("at-least", vec![at]),
        Limit::AtMost(at) => ("at-most", vec![at]),
        Limit::Between(low, high) => ("at-least", vec![low, high]),
        Limit::Aim(at) => ("aim", vec![at]),
        Limit::Unknown => ("unknown", Vec::new()),
    };
    let (what, which, probe) = match &line.what {
        What::ColdPlace(id) => {
            let (name, word) = cold_place(names.course, id);
            (name, word.map(|w| Phrase::new(w, [])), "cold-place")
        }
        What::Trays(cold) => {
            let what = cold.iter().map(|i| names.item(i)).collect::<Vec<_>>().join(", ");
            (String::new(), Some(Phrase::new("log.trays", [("what", what)])), "trays")
        }
        What::Part(lesson, part, variant, step, group) => {
            // What is steamed or fried whole is named as its bake would be.
            let step = names.course.lesson(lesson).and_then(|l| l.step(step));
            let what = match step.is_some_and(is_of_piece) {
                true => names.lesson(lesson),
                false => names.part(lesson, part, variant.as_ref()),
            };
            (what, pan(group), "thickest")
        }
        What::Mixed(lesson, part, no) => {
            let which = Phrase::new("log.batch", [("n", no.to_string())]);
            (names.part(lesson, part, None), Some(which), "middle")
        }
        What::Load(lesson, no) => {
            (names.lesson(lesson), Some(Phrase::new("oven.load", [("n", no.to_string())])), "largest")
        }
        What::Out(lesson, part) => {
            let word = match (line.since, line.unread) {
                (Since::Oven, _) => "log.from-oven",
                (Since::Fire, _) => "log.from-fire",
                (Since::Cold, true) => "log.from-now-unread",
                (Since::Cold, false) => "log.from-now",
            };
            (names.part(lesson, part, None), Some(Phrase::new(word, [])), "")
        }
    };
    let within = match (&line.what, line.within) {
        (What::Out(..), Some((span, passes))) => {
            // What is baked goes back into the cold; so does what is cooked, and the marks of its cooling say by when.
            let word = match (line.since, passes) {
                (Since::Oven, Passes::Less) => "log.cold-before",
                (Since::Oven, Passes::UpTo) => "log.cold-within",
                (_, Passes::Less) => "log.used-before",
                (_, Passes::UpTo) => "log.used-within",
            };
            Some(Phrase::new(word, [("time", span.to_string())]))
        }
        (What::Out(..), None) if line.row == Some("uk-chill-handling") => {
            Some(Phrase::new("log.justify", []))
        }
        // What somebody should have read hours ago may be cold now, and when it came to be nobody knows.
        (What::Part(..), _) if line.unread => Some(Phrase::new("log.unseen", [])),
        (_, Some((span, _))) => Some(Phrase::new("log.within", [("time", span.to_string())])),
        (_, None) => line.hold.map(|seconds| Phrase::new("log.hold", [("n", seconds.to_string())])),
    };
    // What has no limit cannot be out of it.
    let open = matches!(line.what, What::Out(..)) || line.limit == Limit::Unknown;
    let timeless = open && line.within.is_none() && line.if_out == IfOut::ThrowAway;
    Reading {
        at: line.at.datetime().into(),
        what,
        which,
        for_whom: None,
        probe: probe.to_owned(),
        limit: limit.to_owned(),
        values: values.into_iter().map(|at| measure(at, units)).collect(),
        within,
        unattended: line.unattended,
        if_out: if timeless { String::new() } else { if_out(line.if_out, units).to_owned() },
        source: line.row.and_then(row).map_or_else(String::new, |r| r.source()),
    }
}

/// A cold place by its name, or by the word that all sheets have for it where there is only one of its kind.
fn cold_place(course: &Course, id: &EquipId) -> (String, Option<&'static str>) {
    let only = |all: &[Shelves]| all.len() == 1 && all[0].id.value == *id;
    if only(&course.kitchen.cold) {
        (String::new(), Some("log.cold"))
    } else if only(&course.kitchen.freezers) {
        (String::new(), Some("log.freezer"))
    } else {
        (spoken(id.as_str()), None)
    }
}

/// Whose pan it is; one of the whole class needs no word.
fn pan(group: &Group) -> Option<Phrase> {
    match group {
        Group::Station(no) => Some(Phrase::new("log.station", [("n", no.to_string())])),
        Group::Batch(no) => Some(Phrase::new("log.batch", [("n", no.to_string())])),
        Group::Stage(..) => Some(Phrase::new("log.stage", [])),
        Group::Spare => Some(Phrase::new("log.spare", [])),
        Group::Class(_) | Group::Load(_) | Group::Session(_) => None,
    }
}

fn measure(at: Celsius, units: Units) -> Measure {
    let shown = said(Said::Temperature(at), units);
    let text = |key: &str| shown[key].as_str().unwrap_or_default().to_owned();
    Measure::new(text("value"), text("unit"))
}

const fn if_out(what: IfOut, units: Units) -> &'static str {
    match what {
        IfOut::MoveFood => "move-food",
        IfOut::HeatOn => "heat-on",
        // The reheating limit of Food Code 2022, 3-403.11: 74 degC (165 degF).
        IfOut::ReheatOnceOrThrowAway if matches!(units, Units::Us) => "reheat-once-us",
        IfOut::ReheatOnceOrThrowAway => "reheat-once",
        IfOut::ThrowAway => "throw-away",
        IfOut::BakeOn => "bake-on",
        IfOut::NoteIt => "note-it",
    }
}
