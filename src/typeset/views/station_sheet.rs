//! The handout of one station for one sitting.

use super::common::{About, Block, Making, Moment, Sitting, Step, WeighList};
use serde::Serialize;

/// What `templates/station-sheet.typ` receives.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct StationSheet {
    /// `station-sheet`.
    pub kind: &'static str,
    /// The course.
    pub about: About,
    /// The station's number.
    pub station: String,
    /// Its students by name, or `student 1` where names are not printed.
    pub people: Vec<String>,
    /// The sitting.
    pub sitting: Sitting,
    /// What the station makes in it.
    pub makes: Vec<Making>,
    /// What stays away from this station, by the words of the course's list; never whose it is, nor why.
    pub keep_away: Vec<String>,
    /// The variants that this station follows.
    pub instead: Vec<Instead>,
    /// What to fetch and to weigh, in the order of use.
    pub weigh: Vec<WeighList>,
    /// Tins, trays and tools to have at hand.
    pub tools: Vec<Tool>,
    /// The clock rail: what the students do (labels are step numbers).
    pub rail: Vec<Block>,
    /// What stands, rises and bakes meanwhile, drawn narrow beside it.
    pub meanwhile: Vec<Block>,
    /// The steps by the clock.
    pub steps: Vec<Step>,
    /// What is left standing when the sitting ends.
    pub left: Vec<Left>,
}

/// Something to have at hand.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Tool {
    /// How many.
    pub count: u32,
    /// Its name.
    pub name: String,
    /// Needed from this minute.
    pub from: i64,
    /// Until then.
    pub to: i64,
}

/// A variant that a station follows.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Instead {
    /// The lesson's name.
    pub lesson: String,
    /// The variant's name.
    pub variant: String,
    /// The parts that are made otherwise.
    pub parts: Vec<String>,
}

/// Something that goes on by itself after the sitting.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Left {
    /// The lesson's name.
    pub lesson: String,
    /// What it does: the step's name.
    pub name: String,
    /// The kind of place, as in a step.
    pub at: String,
    /// Which one.
    pub place: String,
    /// Until when, by the plan.
    pub until: Moment,
}

impl StationSheet {
    /// An empty sheet of this kind.
    pub fn new() -> StationSheet {
        StationSheet { kind: "station-sheet", ..StationSheet::default() }
    }
}
