//! What is measured on the day, and what of the plan each reading hangs on.

use super::view::minute;
use crate::course::{Hands, Where};
use crate::reckon::plan::jobs::Group;
use crate::reckon::plan::timetable::PlannedTask;
use crate::reckon::safety::log::{IfOut, Limit, LogRow, What};
use crate::reckon::safety::rule_sets::Passes;
use crate::typeset::views::desk::Desk;
use crate::typeset::views::temperature_log::Reading;
use serde::Serialize;
use std::collections::BTreeMap;

/// One reading to take.
#[derive(Serialize, Debug)]
pub struct ReadingView {
    /// Sets it apart from the others: its place among them, from 1.
    pub id: usize,
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
    log.iter()
        .zip(printed)
        .enumerate()
        .map(|(n, (row, printed))| {
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
            ReadingView {
                id: n + 1,
                minute: minute(&row.at),
                after,
                least,
                most,
                aim,
                clock,
                action,
                printed,
            }
        })
        .collect()
}

/// The moments that a reading hangs on: the end of the mixing, the cooking or the bake that it is of, the first mix for the trays, and
/// for what leaves the cold the end of its stand there. What is read before work begins hangs on the clock alone.
fn after(desk: &Desk<'_>, numbers: &BTreeMap<&str, usize>, row: &LogRow) -> Vec<(usize, i64)> {
    let at = minute(&row.at);
    let is_mixed = |t: &PlannedTask| desk.place(t) == Where::Mixer;
    let of = |takes: &dyn Fn(&PlannedTask) -> Option<(bool, i64)>| -> Vec<(usize, i64)> {
        let tasks = desk.plan.tasks.iter().filter(|t| !t.cold_wait || matches!(row.what, What::Out(..)));
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
        What::Out(lesson, _) => {
            let own = |t: &PlannedTask| t.lesson.as_ref() == Some(lesson);
            let ends = |places: &[Where]| {
                of(&|t| {
                    (own(t) && minute(&t.end) == at && places.contains(&desk.place(t))).then_some((true, 0))
                })
            };
            let cold = ends(&[Where::Cold]);
            // What comes from the fire was never cold; what lay in the cold beside the plan is out when hands take it up.
            let fire = if cold.is_empty() { ends(&[Where::Hob, Where::Oven]) } else { cold };
            let hands = |t: &PlannedTask| own(t) && t.hands != Hands::Nobody && minute(&t.start) == at;
            if fire.is_empty() { of(&|t| hands(t).then_some((false, 0))) } else { fire }
        }
    }
}
