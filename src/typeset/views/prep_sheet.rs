//! What staff make ahead on one day, in order.

use super::common::{About, Block, Day, ForWhom, SlipRef, Step, WeighList};
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
    /// For whom.
    pub for_whom: Option<ForWhom>,
    /// Why it is made ahead: `always` or `to-fit`: a key of the catalogue's `[ahead]`; empty where it does not apply.
    pub why: String,
    /// What to weigh for it.
    pub weigh: Vec<WeighList>,
    /// The slips to put on it.
    pub slips: Vec<SlipRef>,
}

impl PrepSheet {
    /// An empty sheet of this kind.
    pub fn new() -> PrepSheet {
        PrepSheet { kind: "prep-sheet", ..PrepSheet::default() }
    }
}
