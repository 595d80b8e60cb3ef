//! What the run sheet says where something is late.

use super::common::ForWhom;
use super::desk::{Desk, minute_of};
use crate::course::Hands;
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
    /// What moves, the same way together.
    pub moves: Vec<Move>,
}

/// What moves by so much.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Move {
    /// Minutes later; negative: earlier.
    pub by: i64,
    /// What, by lesson; the class's own steps have none.
    pub what: Vec<OfLesson>,
}

/// What moves of one lesson.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct OfLesson {
    /// The lesson; empty for the class's own.
    pub lesson: String,
    /// Its steps.
    pub steps: Vec<Moved>,
}

/// A step that moves.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Moved {
    /// What is done.
    pub name: String,
    /// Whose it is; none where all do it.
    pub for_whom: Option<ForWhom>,
}

/// Steps with those whose they are.
type Steps = Vec<(String, Vec<Whom>)>;
/// Lessons with their steps.
type Lessons = Vec<(String, Steps)>;

/// The answer for when a task is late.
pub(super) fn answer(desk: &Desk, day: Date, task: &PlannedTask, slip: &Slip) -> Option<Late> {
    slip.tasks.contains(&task.id).then_some(())?;
    let minute = |at: &jiff::ZonedDateTime| minute_of(at, day);
    let session = slip.answer.plan.sessions.iter().find(|s| s.start.date() == day)?;
    let (ends, written) = (minute(&session.finish), minute(&session.end));
    let mut moves: Vec<(i64, Lessons)> = Vec::new();
    for changed in slip.answer.changes.iter().filter(|c| !slip.tasks.contains(&c.id)) {
        let (Some(was), Some(now)) = (&changed.was, &changed.now) else { continue };
        let by = minute(&now.start) - minute(&was.start);
        let moved = desk.plan.task(&changed.id).filter(|_| by != 0 && now.start.date() == day);
        let Some(moved) = moved.filter(|t| t.hands != Hands::Nobody || !t.by.is_empty()) else { continue };
        let lesson = moved.lesson.as_ref().map_or_else(String::new, |l| desk.lesson_name(l));
        let lessons = entry_of(&mut moves, by);
        let whom = entry_of(entry_of(lessons, lesson), desk.task_name(moved));
        whom.extend(moved.members.iter().map(|(w, _)| w.clone()));
    }
    moves.sort_by_key(|(by, _)| std::cmp::Reverse(*by));
    let step = |(name, whom): (String, Vec<Whom>)| Moved {
        name,
        for_whom: (!whom.is_empty()).then(|| desk.for_whom(&whom)),
    };
    let of_lesson =
        |(lesson, steps): (String, Vec<_>)| OfLesson { lesson, steps: steps.into_iter().map(step).collect() };
    let moves = moves
        .into_iter()
        .map(|(by, what)| Move { by, what: what.into_iter().map(of_lesson).collect() })
        .collect();
    Some(Late { minutes: slip.by.get(), ends, over: (ends - written).max(0), moves })
}

/// The list behind a key, an empty one where there is none yet.
fn entry_of<K: PartialEq, V>(all: &mut Vec<(K, Vec<V>)>, key: K) -> &mut Vec<V> {
    let place = all.iter().position(|(known, _)| *known == key).unwrap_or_else(|| {
        all.push((key, Vec::new()));
        all.len() - 1
    });
    &mut all[place].1
}
