//! The handout of one station for one sitting.

use super::common::{About, Block, Making, Sitting, Step, WeighList};
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
    /// What follows from it at this station: `nut-free filling`.
    pub instead: Vec<String>,
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
    /// What is left standing when the sitting ends, and until when: printed at the end.
    pub left: Vec<String>,
}

/// Something to have at hand.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Tool {
    /// How many.
    pub count: u32,
    /// Its name.
    pub name: String,
    /// Where it goes or comes from: `oven 1, 15:30`.
    pub note: String,
}

impl StationSheet {
    /// An empty sheet of this kind.
    pub fn new() -> StationSheet {
        StationSheet { kind: "station-sheet", ..StationSheet::default() }
    }
}
