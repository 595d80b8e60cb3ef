//! What goes on each station's tray: ingredients by stations, with sums that agree.

use super::common::{About, Measure, Moment};
use serde::Serialize;

/// What `templates/weigh-out.typ` receives.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct WeighOut {
    /// `weigh-out`.
    pub kind: &'static str,
    /// The course.
    pub about: About,
    /// One table each.
    pub rounds: Vec<Round>,
}

/// One round of trays: one part of one lesson, dry or cold.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Round {
    /// The lesson's name.
    pub lesson: String,
    /// The part's name.
    pub part: String,
    /// `dry` (may stand on the tray the day before), `cold` (weighed when needed, or kept in the cold), `all`.
    pub keep: String,
    /// When it must be ready.
    pub ready: Option<Moment>,
    /// For whom, in the order of the columns.
    pub columns: Vec<Column>,
    /// The ingredients.
    pub rows: Vec<Row>,
    /// The sum of each column.
    pub sums: Vec<String>,
    /// The sum of the sums: that of the rows and that of the columns.
    pub total: Measure,
}

/// For whom a column is.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Column {
    /// A station's number or a batch's, as text; empty where `word` says it.
    pub label: String,
    /// `station`, `batch`, `stage`, `spare`: a key of the catalogue's `[column]`.
    pub word: String,
    /// The variant, or the stations of a batch, small.
    pub note: String,
}

/// One ingredient.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Row {
    /// Its name.
    pub name: String,
    /// Grams for each column as the scale shows them; empty where it takes none.
    pub cells: Vec<String>,
    /// The row's sum.
    pub sum: String,
}

impl WeighOut {
    /// An empty sheet of this kind.
    pub fn new() -> WeighOut {
        WeighOut { kind: "weigh-out", ..WeighOut::default() }
    }
}
