//! The teacher's time-blocked plan: lanes to scale, then the same by the clock.

use super::common::{About, Block, Day, Fact, ForWhom, Sitting};
use serde::Serialize;

/// What `templates/run-sheet.typ` receives: one sitting, or one day of staff work.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct RunSheet {
    /// `run-sheet`.
    pub kind: &'static str,
    /// The course.
    pub about: About,
    /// The sitting; `None` on a day on which only staff work.
    pub sitting: Option<Sitting>,
    /// The day.
    pub day: Day,
    /// The span that is drawn, minutes after midnight.
    pub from: i64,
    /// Its end.
    pub to: i64,
    /// When the plan says that the sitting ends.
    pub finish: Option<i64>,
    /// The chance, in whole per cent, that it ends in time.
    pub chance: Option<u32>,
    /// The lanes, in order: people, stations, mixers, ovens, places.
    pub lanes: Vec<Lane>,
    /// The same by the clock.
    pub list: Vec<Entry>,
}

/// One lane.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Lane {
    /// Its group: `people`, `stations`, `mixers`, `ovens`, `places`; a key of the catalogue's `[lane]`.
    pub group: String,
    /// What is printed at its head: a name, a number.
    pub name: String,
    /// A key of the catalogue's `[where]` that is printed instead of a name; empty for none.
    pub at: String,
    /// What fills it. Blocks that overlap (a fridge) are drawn under one another.
    pub blocks: Vec<Block>,
}

/// One line of the list.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Entry {
    /// Start, minutes after midnight.
    pub from: i64,
    /// End.
    pub to: i64,
    /// The lesson; empty for the class's own.
    pub lesson: String,
    /// What is done.
    pub name: String,
    /// `demo`, `students`, `staff`, `pause`, `nobody`.
    pub tone: String,
    /// Who of the staff, by name.
    pub who: Vec<String>,
    /// Whose dough it is, or who works.
    pub for_whom: Option<ForWhom>,
    /// One student of each station suffices.
    pub one_student: bool,
    /// The kind of place, as in a step.
    pub at: String,
    /// Which ones, by name.
    pub places: Vec<String>,
    /// Figures: the oven's temperature, the core.
    pub facts: Vec<Fact>,
    /// The oven load.
    pub load: Option<u32>,
    /// What to say.
    pub tell: String,
    /// The teacher's eye is wanted at the bench.
    pub eye: bool,
    /// What to do when this is late.
    pub late: Vec<Late>,
}

/// An answer for a late hour: so many minutes late here, do this.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Late {
    /// So many minutes late.
    pub minutes: i64,
    /// What to do, one line each.
    pub ways: Vec<String>,
}

impl RunSheet {
    /// An empty sheet of this kind.
    pub fn new() -> RunSheet {
        RunSheet { kind: "run-sheet", ..RunSheet::default() }
    }
}
