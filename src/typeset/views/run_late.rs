//! What the run sheet says where something is late.

use super::common::ForWhom;
use super::desk::{Desk, minute_of};
use super::run_sheet::{Numbers, step_key};
use crate::course::{Hands, Session};
use crate::reckon::plan::late::Slip;
use crate::reckon::plan::timetable::PlannedTask;
use crate::reckon::work::Whom;
use jiff::civil::Date;
use serde::Serialize;

/// An answer for a late hour: so many minutes late here, do this.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Late {
    /// So many minutes late.
    pub minutes: i64,
    /// When the sitting ends then, minutes after midnight.
    pub ends: i64,
    /// By how many minutes that is over its written end; 0 when it is not.
    pub over: i64,
    /// What moves most, the most first.
    pub moves: Vec<Move>,
    /// So many more steps move.
    pub more: usize,
}

/// A step that moves by so much.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Move {
    /// Minutes later; negative: earlier.
    pub by: i64,
    /// The step's number on this sheet.
    pub number: Option<u32>,
    /// The lesson; empty for the class's own.
    pub lesson: String,
    /// What is done.
    pub name: String,
    /// Whose it is; none where all do it.
    pub for_whom: Option<ForWhom>,
}

/// So many moves are named: whoever is late reads two lines. The plan that is asked for on the day tells all.
const NAMED: usize = 3;

/// Minutes by which a step is later so that somebody needs to be told: the shortest time on a wall clock.
const LEAST: i64 = 5;

/// The answer for when a task is late.
pub(super) fn answer(
    desk: &Desk,
    day: Date,
    numbers: &Numbers,
    task: &PlannedTask,
    slip: &Slip,
) -> Option<Late> {
    slip.tasks.contains(&task.id).then_some(())?;
    let minute = |at: &jiff::ZonedDateTime| minute_of(at, day);
    let session = slip.answer.plan.sessions.iter().find(|s| s.start.date() == day)?;
    let (ends, written) = (minute(&session.finish), minute(&session.end));
    // What moves of a step by as much, in the order of the plan.
    type Moved = (i64, (String, String));
    let mut moves: Vec<(Moved, Vec<Whom>)> = Vec::new();
    for changed in slip.answer.changes.iter().filter(|c| !slip.tasks.contains(&c.id)) {
        let (Some(was), Some(now)) = (&changed.was, &changed.now) else { continue };
        let by = minute(&now.start) - minute(&was.start);
        // By less than people keep to, it moves by itself; but what has to begin earlier is told by whatever it is.
        let told = !(0..LEAST).contains(&by);
        let moved = desk.plan.task(&changed.id).filter(|_| told && now.start.date() == day);
        let Some(moved) = moved.filter(|t| t.hands != Hands::Nobody || !t.by.is_empty()) else { continue };
        let key = (by, step_key(desk, moved));
        let members = moved.members.iter().map(|(w, _)| w.clone());
        match moves.iter_mut().find(|(known, _)| *known == key) {
            Some((_, whom)) => whom.extend(members),
            None => moves.push((key, members.collect())),
        }
    }
    moves.sort_by_key(|((by, _), _)| std::cmp::Reverse(by.abs()));
    let more = moves.len().saturating_sub(NAMED);
    let named = moves.into_iter().take(NAMED).map(|((by, key), whom)| Move {
        by,
        number: numbers.get(&key).copied(),
        lesson: key.0,
        name: key.1,
        for_whom: (!whom.is_empty()).then(|| desk.for_whom(&whom)),
    });
    let moves = named.collect();
    Some(Late { minutes: slip.by.get(), ends, over: (ends - written).max(0), moves, more })
}

/// The chance that a session ends on time in whole per cent, never more than it is.
pub(super) fn chance(desk: &Desk, session: &Session) -> Option<u32> {
    let odds = desk.outlook?.odds.sessions.iter().find(|o| o.id == session.id.value)?;
    Some(odds.on_time.to_f64().floor().clamp(0.0, 100.0) as u32)
}
