//! What staff make ahead on one day, in order.

use super::common::{About, Block, Day, Step, WeighList};
use serde::Serialize;

/// What `templates/prep-sheet.typ` receives.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct PrepSheet {
    /// `prep-sheet`.
    pub kind: &'static str,
    /// The course.
    pub about: About,
    /// The day.
    pub day: Day,
    /// The staff's hours, minutes after midnight.
    pub from: i64,
    /// Their end.
    pub to: i64,
    /// The clock rail: what hands do (labels are task numbers).
    pub rail: Vec<Block>,
    /// What stands meanwhile.
    pub meanwhile: Vec<Block>,
    /// The tasks by the clock.
    pub tasks: Vec<PrepTask>,
}

/// One task.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct PrepTask {
    /// What is done; its number stands on the rail.
    pub step: Step,
    /// For whom: `stations 1, 2 and 3`, `the demonstration`.
    pub for_whom: String,
    /// Why it is made ahead: `always`, `to fit the sitting`; as a key of the catalogue's `[ahead]`; empty where it does not apply.
    pub why: String,
    /// What to weigh for it.
    pub weigh: Vec<WeighList>,
    /// Where it goes when it is done, with its slip: `fridge, tub slip 3`.
    pub then: String,
}

impl PrepSheet {
    /// An empty sheet of this kind.
    pub fn new() -> PrepSheet {
        PrepSheet { kind: "prep-sheet", ..PrepSheet::default() }
    }
}
