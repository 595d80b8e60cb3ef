//! Oven loads by the clock, and what is in the cold until when.

use super::common::{About, ForWhom, Making, Measure, Moment, Rack, Sitting, SlipRef};
use serde::Serialize;

/// What `templates/oven-and-cold.typ` receives.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct OvenAndCold {
    /// `oven-and-cold`.
    pub kind: &'static str,
    /// The course.
    pub about: About,
    /// The sitting.
    pub sitting: Sitting,
    /// The loads by the clock.
    pub loads: Vec<OvenLoad>,
    /// When to turn an oven on, or to another temperature.
    pub settings: Vec<OvenSetting>,
    /// What stands in the cold and the warm.
    pub places: Vec<Stored>,
}

/// One load.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct OvenLoad {
    /// In, minutes after midnight.
    pub from: i64,
    /// Out, by the usual time.
    pub to: i64,
    /// Look in from this minute.
    pub earliest: i64,
    /// Out by this minute.
    pub latest: i64,
    /// Which oven.
    pub oven: String,
    /// Number within its lesson.
    pub load: u32,
    /// What.
    pub makes: Vec<Making>,
    /// The oven's temperature.
    pub heat: Measure,
    /// Core temperature; two make a range, none is not known.
    pub core: Vec<Measure>,
    /// The racks, the lowest last.
    pub racks: Vec<Rack>,
    /// The step after it, and how long it may wait before: `Turn out`, 5, 20.
    pub then: Option<Then>,
}

/// What follows a bake.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Then {
    /// The step's name.
    pub name: String,
    /// No sooner than so many minutes after.
    pub least: i64,
    /// No later.
    pub most: Option<i64>,
}

/// An oven's temperature is set.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct OvenSetting {
    /// When, minutes after midnight.
    pub at: i64,
    /// Which oven.
    pub oven: String,
    /// To what; `None` is off.
    pub heat: Option<Measure>,
    /// It is there at this minute.
    pub reached: Option<i64>,
}

/// What stands in a fridge, a freezer, a proofer.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Stored {
    /// The kind of place: a key of the catalogue's `[where]`.
    pub at: String,
    /// Its temperature; `None` where it is not known.
    pub temperature: Option<Measure>,
    /// The lesson's name.
    pub lesson: String,
    /// What it does there: the step's name.
    pub name: String,
    /// The parts, or none for shaped pieces.
    pub parts: Vec<String>,
    /// How much, where it is weighed.
    pub amount: Option<Measure>,
    /// The slips on it.
    pub slips: Vec<SlipRef>,
    /// For whom.
    pub for_whom: Option<ForWhom>,
    /// In.
    pub from: Moment,
    /// Out, by the plan.
    pub to: Moment,
    /// Not later than this, by the lesson's range; `None`: no limit is written.
    pub latest: Option<Moment>,
    /// Colder or warmer than the room: `cold` or `warm`.
    pub tone: String,
}

impl OvenAndCold {
    /// An empty sheet of this kind.
    pub fn new() -> OvenAndCold {
        OvenAndCold { kind: "oven-and-cold", ..OvenAndCold::default() }
    }
}
