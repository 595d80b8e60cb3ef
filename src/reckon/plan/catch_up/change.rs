//! What is different between the printed plan and the one from now on.

use super::super::timetable::{Plan, PlannedTask};
use jiff::ZonedDateTime;

/// When a task is, who of the staff does it, and on which machine.
#[derive(Clone, PartialEq, Debug)]
pub struct Place {
    /// Its start.
    pub start: ZonedDateTime,
    /// Its end.
    pub end: ZonedDateTime,
    /// Which of the staff.
    pub by: Vec<String>,
    /// What it keeps busy, by id and number.
    pub uses: Vec<String>,
}

/// One change against the printed plan.
#[derive(Clone, PartialEq, Debug)]
pub struct Changed {
    /// The task.
    pub id: String,
    /// Where it was; `None` for what the printed plan has not: a wait in the cold, or what was left out.
    pub was: Option<Place>,
    /// Where it is now; `None` for a wait in the cold that falls away.
    pub now: Option<Place>,
}

impl Changed {
    /// The moment at which it begins now, or began.
    #[must_use]
    pub fn moment(&self) -> Option<&ZonedDateTime> {
        self.now.as_ref().or(self.was.as_ref()).map(|place| &place.start)
    }
}

fn place(task: &PlannedTask) -> Place {
    Place {
        start: task.start.clone(),
        end: task.end.clone(),
        by: task.by.clone(),
        uses: task.uses.iter().map(|used| used.resource.clone()).collect(),
    }
}

/// The differences, by the clock of the new plan.
#[must_use]
pub fn changes(was: &Plan, new: &Plan) -> Vec<Changed> {
    let mut found: Vec<Changed> = new
        .tasks
        .iter()
        .map(|task| Changed {
            id: task.id.clone(),
            was: was.task(&task.id).map(place),
            now: Some(place(task)),
        })
        .filter(|changed| changed.was != changed.now)
        .collect();
    let gone = was.tasks.iter().filter(|task| new.task(&task.id).is_none());
    found.extend(gone.map(|task| Changed { id: task.id.clone(), was: Some(place(task)), now: None }));
    found.sort_by_key(|c| (c.moment().map(ZonedDateTime::timestamp), c.id.clone()));
    found
}
