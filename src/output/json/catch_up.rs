//! The plan from now on, for programs: as `plan`, and what is different.

use super::moment;
use super::plan::PlanView;
use crate::reckon::plan::catch_up::{CaughtUp, Changed, Place};
use crate::reckon::plan::choose::Planned;
use serde::Serialize;

/// What `catch-up` answers.
#[derive(Serialize, Debug)]
pub struct CatchUpView {
    /// The plan from now on; what was is as it was.
    #[serde(flatten)]
    pub plan: PlanView,
    /// What is different, by the clock.
    pub changes: Vec<ChangeView>,
    /// What of the course can no longer be kept.
    pub broken: Vec<BrokenView>,
    /// Ids of tasks that had begun on something that has failed, and begin again.
    pub again: Vec<String>,
}

/// One change.
#[derive(Serialize, Debug)]
pub struct ChangeView {
    /// The task.
    pub id: String,
    /// Where it was; `None` for a wait in the cold that the printed plan has not.
    pub was: Option<PlaceView>,
    /// Where it is now; `None` for one that falls away.
    pub now: Option<PlaceView>,
}

/// When, by whom of the staff, and on what.
#[derive(Serialize, Debug)]
pub struct PlaceView {
    /// Its start.
    pub start: String,
    /// Its end.
    pub end: String,
    /// Which of the staff.
    pub by: Vec<String>,
    /// What it keeps busy, by id and number.
    pub uses: Vec<String>,
}

/// Something that can no longer be kept.
#[derive(Serialize, Debug)]
pub struct BrokenView {
    /// Which rule.
    pub rule: &'static str,
    /// The tasks.
    pub tasks: Vec<String>,
    /// What is wrong, with its numbers.
    pub message: String,
}

impl CatchUpView {
    /// A view of what came of planning again.
    #[must_use]
    pub fn of(after: &CaughtUp) -> Self {
        let planned = Planned { plan: Some(after.plan.clone()), impossible: false, refused: Vec::new() };
        CatchUpView {
            plan: PlanView::of(&planned, None),
            changes: after.changes.iter().map(change).collect(),
            broken: after
                .broken
                .iter()
                .map(|b| BrokenView { rule: b.rule, tasks: b.tasks.clone(), message: b.message.clone() })
                .collect(),
            again: after.again.clone(),
        }
    }
}

fn change(changed: &Changed) -> ChangeView {
    let place = |place: &Place| PlaceView {
        start: moment(&place.start),
        end: moment(&place.end),
        by: place.by.clone(),
        uses: place.uses.clone(),
    };
    ChangeView {
        id: changed.id.clone(),
        was: changed.was.as_ref().map(place),
        now: changed.now.as_ref().map(place),
    }
}
