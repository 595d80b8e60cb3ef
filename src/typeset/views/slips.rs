//! Small slips to cut: on tubs and trays what is in them, on tins and tray places whose they are; and who bakes where.

use super::common::{About, ForWhom, Measure, Moment, Rack};
use serde::Serialize;

/// What `templates/slips.typ` receives.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Slips {
    /// `slips`.
    pub kind: &'static str,
    /// The course.
    pub about: About,
    /// On tubs and trays.
    pub contents: Vec<ContentSlip>,
    /// On tins and tray places.
    pub names: Vec<NameSlip>,
    /// Who bakes where, by load.
    pub positions: Vec<Positions>,
}

/// What is in a tub or on a tray.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct ContentSlip {
    /// `tub` or `tray`: a key of the catalogue's `[slip]`.
    pub on: String,
    /// The slip's number, as the prep sheet names it.
    pub number: u32,
    /// The lesson.
    pub lesson: String,
    /// The part.
    pub part: String,
    /// The variant, printed large: it must not be taken for another.
    pub variant: Option<String>,
    /// For whom, printed large.
    pub for_whom: ForWhom,
    /// How much is in it.
    pub amount: Measure,
    /// Made, by the plan.
    pub made: Moment,
    /// Use by.
    pub use_by: Option<Moment>,
    /// Contains, by the words of the course's list.
    pub contains: Vec<String>,
    /// Keep in the cold.
    pub cold: bool,
}

/// Whose a tin or a place on a tray is.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct NameSlip {
    /// The person.
    pub name: String,
    /// The station.
    pub station: String,
    /// What is in it.
    pub lesson: String,
    /// The variant.
    pub variant: Option<String>,
}

/// One load with its people.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Positions {
    /// The sitting's name.
    pub sitting: String,
    /// The lesson.
    pub lesson: String,
    /// Which oven.
    pub oven: String,
    /// The load's number.
    pub load: u32,
    /// In, minutes after midnight.
    pub from: i64,
    /// The racks; labels are names.
    pub racks: Vec<Rack>,
}

impl Slips {
    /// An empty sheet of this kind.
    pub fn new() -> Slips {
        Slips { kind: "slips", ..Slips::default() }
    }
}
