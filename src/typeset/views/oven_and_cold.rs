//! Oven loads by the clock, and what is in the cold until when.

use super::common::{About, Making, Measure, Moment, Rack, Sitting};
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
    /// What happens after: `turn out after 5 to 20 min`.
    pub then: String,
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
    /// Where.
    pub place: String,
    /// Its temperature; empty where it is not known.
    pub at: Measure,
    /// What: `Walnut crown, dough`.
    pub name: String,
    /// In what and how much: `tub 3, 1 030 g`.
    pub holds: String,
    /// For whom.
    pub for_whom: String,
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
