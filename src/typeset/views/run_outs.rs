//! When a load comes out of its oven, for the run sheet's list.

use super::common::{ForWhom, Measure};
use super::desk::Desk;
use super::oven_and_cold::oven_load;
use crate::course::{Session, Where};
use crate::reckon::ovens::racked;
use crate::reckon::plan::timetable::PlannedTask;
use serde::Serialize;

/// A load comes out of an oven.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Out {
    /// When, minutes after midnight.
    pub at: i64,
    /// The lesson.
    pub lesson: String,
    /// The load.
    pub load: u32,
    /// Which oven.
    pub oven: String,
    /// Who of the staff takes it out, by name; empty where it is not written.
    pub who: String,
    /// Whose it is.
    pub for_whom: ForWhom,
    /// Core temperature; two make a range, none is not known.
    pub core: Vec<Measure>,
    /// It holds something that needs the cold: what cooled and is not eaten goes there.
    pub cold: bool,
    /// It holds something cooked of which nobody has written whether it needs the cold: it goes there to be safe.
    pub cold_unsaid: bool,
}

/// Stations whose pieces have a place of their own in an oven.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct OnRack {
    /// Which, as a key of the catalogue's `[oven]`: `top-rack`, `level`, `column`, `clear`, `beside`, `not-apart`, `shares`.
    pub how: String,
    /// The stations.
    pub stations: Vec<String>,
}

/// Whose pieces of a load go where, as they are kept clean of what is beside them; as the oven sheet has it.
pub(super) fn on_racks(desk: &Desk, task: &PlannedTask) -> Vec<OnRack> {
    let Some(racked) = racked(desk.course, desk.class, desk.plan, task) else { return Vec::new() };
    let told = racked.apart.told();
    told.map(|(how, stations)| OnRack {
        how: how.to_owned(),
        stations: stations.iter().map(ToString::to_string).collect(),
    })
    .collect()
}

/// What comes out of the ovens on the day of a sitting, as the oven sheet has it.
pub(super) fn outs(desk: &Desk, session: &Session) -> Vec<Out> {
    let day = session.from.value.date();
    let baked = desk.plan.tasks.iter().filter(|t| desk.place(t) == Where::Oven && t.start.date() == day);
    let mut outs: Vec<Out> = baked
        .filter_map(|task| {
            let load = oven_load(desk, task, day)?;
            let by = task.by.last().filter(|_| desk.step(task).is_some_and(|s| s.ends.is_some()));
            Some(Out {
                at: load.to,
                lesson: task.lesson.as_ref().map_or_else(String::new, |l| desk.lesson_name(l)),
                load: load.load,
                oven: load.oven,
                who: by.map_or_else(String::new, |by| desk.staff_name(by)),
                for_whom: desk.for_whom(task.members.iter().map(|(w, _)| w)),
                core: load.core,
                cold: load.cold,
                cold_unsaid: load.cold_unsaid,
            })
        })
        .collect();
    outs.sort_by(|a, b| (a.at, &a.oven, a.load).cmp(&(b.at, &b.oven, b.load)));
    outs
}
