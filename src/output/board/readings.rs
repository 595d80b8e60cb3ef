//! What is measured on the day, and what of the plan each reading hangs on.

use super::view::minute;
use crate::course::{VariantId, Where};
use crate::output::manifest::sha256;
use crate::reckon::plan::jobs::Group;
use crate::reckon::plan::timetable::PlannedTask;
use crate::reckon::safety::log::{Edge, IfOut, Limit, LogRow, What};
use crate::reckon::safety::rule_sets::Passes;
use crate::typeset::views::desk::Desk;
use crate::typeset::views::temperature_log::Reading;
use serde::Serialize;
use std::collections::BTreeMap;

/// One reading to take.
#[derive(Serialize, Debug)]
pub struct ReadingView {
    /// Sets it apart from the others, and is the same in another plan of the class: what is read, where and of whom, and no time.
    pub id: String,
    /// When.
    pub minute: i64,
    /// What it hangs on: moments, each with the minutes from it to the reading. It is due with the first of them, however the day
    /// slips; none: at its own minute.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub after: Vec<(usize, i64)>,
    /// Not below this, in degrees Celsius.
    pub least: Option<f64>,
    /// Not above this.
    pub most: Option<f64>,
    /// What is aimed at.
    pub aim: Option<f64>,
    /// It has a clock and no temperature: used or thrown away within so many minutes; whether the last of them still passes.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub clock: Option<(i64, bool)>,
    /// What must be done when it is out: a word for programs.
    pub action: &'static str,
    /// The texts of the printed log.
    #[serde(flatten)]
    pub printed: Reading,
}

/// The printed log's lines with the figures that a reading is held against.
pub(super) fn readings(
    desk: &Desk<'_>,
    numbers: &BTreeMap<&str, usize>,
    log: &[LogRow],
    printed: Vec<Reading>,
) -> Vec<ReadingView> {
    let mut given: BTreeMap<String, u32> = BTreeMap::new();
    log.iter()
        .zip(printed)
        .map(|(row, printed)| {
            let (least, most, aim) = match row.limit {
                Limit::AtLeast(at) => (Some(at.to_f64()), None, None),
                Limit::AtMost(at) => (None, Some(at.to_f64()), None),
                Limit::Between(low, high) => (Some(low.to_f64()), Some(high.to_f64()), None),
                Limit::Aim(at) => (None, None, Some(at.to_f64())),
                Limit::Unknown => (None, None, None),
            };
            let action = match row.if_out {
                IfOut::MoveFood => "move-food",
                IfOut::HeatOn => "heat-on",
                IfOut::ReheatOnceOrThrowAway => "reheat-once-or-throw-away",
                IfOut::ThrowAway => "throw-away",
                IfOut::BakeOn => "bake-on",
                IfOut::NoteIt => "note-it",
            };
            let clock = row
                .within
                .filter(|_| matches!(row.what, What::Out(..)))
                .map(|(span, passes)| (span.get(), passes == Passes::UpTo));
            let after = after(desk, numbers, row);
            let id = id(row);
            // No two have one id, whatever the log has twice.
            let again = given.entry(id.clone()).and_modify(|n| *n += 1).or_insert(1);
            let id = if *again > 1 { format!("{id}-{again}") } else { id };
            ReadingView { id, minute: minute(&row.at), after, least, most, aim, clock, action, printed }
        })
        .collect()
}

/// A name for a reading by what it is: its kind, its lesson and part, the number of its batch or load, the step and for whom; of what is
/// read every day the day. All but the kind is folded into a few letters, as a class may have many stations.
fn id(row: &LogRow) -> String {
    let day = || row.at.date().to_string();
    let variant = |v: &Option<VariantId>| v.as_ref().map_or_else(String::new, ToString::to_string);
    let (kind, of) = match &row.what {
        What::ColdPlace(place) => ("cold", vec![place.to_string(), day()]),
        What::Trays(_) => ("trays", vec![day()]),
        What::Part(lesson, part, v, step, group) => {
            let of = [lesson.to_string(), part.to_string(), variant(v), step.to_string(), group.to_string()];
            ("part", of.to_vec())
        }
        What::Mixed(lesson, part, no) => {
            ("mixed", vec![lesson.to_string(), part.to_string(), no.to_string()])
        }
        What::Load(lesson, no) => ("load", vec![lesson.to_string(), no.to_string()]),
        What::Out(lesson, part) => {
            let edge = |e: &Edge| format!("{} {}", if e.ends { "after" } else { "from" }, e.task);
            let by = row.hangs_on.iter().map(edge);
            ("out", [lesson.to_string(), part.to_string()].into_iter().chain(by).collect())
        }
    };
    // Two marks of one cooling are two readings, and so are two rules' clocks.
    let within = row.within.map_or(0, |(span, _)| span.get()).to_string();
    let rule = row.row.unwrap_or_default().to_owned();
    let whole = [kind.to_owned()].into_iter().chain(of).chain([within, rule]).collect::<Vec<_>>().join("\n");
    format!("{kind}-{}", sha256(whole.as_bytes()).chars().take(12).collect::<String>())
}

/// The moments that a reading hangs on: the end of the mixing, the cooking or the bake that it is of, the first mix for the trays, and
/// for a clock what brings the food out. What is read before work begins hangs on the clock alone.
fn after(desk: &Desk<'_>, numbers: &BTreeMap<&str, usize>, row: &LogRow) -> Vec<(usize, i64)> {
    let at = minute(&row.at);
    let is_mixed = |t: &PlannedTask| desk.place(t) == Where::Mixer;
    let of = |takes: &dyn Fn(&PlannedTask) -> Option<(bool, i64)>| -> Vec<(usize, i64)> {
        let tasks = desk.plan.tasks.iter().filter(|t| !t.cold_wait);
        let found = tasks.filter_map(|t| {
            let (end, since) = takes(t)?;
            Some((2 * numbers.get(t.id.as_str())? + usize::from(end), since))
        });
        found.collect()
    };
    match &row.what {
        What::ColdPlace(_) => Vec::new(),
        What::Trays(_) => of(&|t| (is_mixed(t) && minute(&t.start) == at).then_some((false, 0))),
        What::Mixed(lesson, _, no) => of(&|t| {
            let own = t.lesson.as_ref() == Some(lesson) && t.group == Group::Batch(*no);
            (own && is_mixed(t) && minute(&t.end) == at).then_some((true, 0))
        }),
        What::Load(lesson, no) => of(&|t| {
            let own = t.lesson.as_ref() == Some(lesson) && t.group == Group::Load(*no);
            // It comes out by the bake's own time, whatever else ends the plan's task.
            let within = minute(&t.start) <= at && at <= minute(&t.end);
            (own && within && desk.place(t) == Where::Oven).then(|| (false, at - minute(&t.start)))
        }),
        What::Part(lesson, _, _, step, group) => of(&|t| {
            let own = t.lesson.as_ref() == Some(lesson) && t.step == *step && t.group == *group;
            own.then(|| (true, at - minute(&t.end)))
        }),
        What::Out(..) => {
            let moment = |e: &Edge| Some(2 * numbers.get(e.task.as_str())? + usize::from(e.ends));
            let edges = row.hangs_on.iter();
            edges.filter_map(|e| Some((moment(e)?, at - minute(&e.at)))).collect()
        }
    }
}
