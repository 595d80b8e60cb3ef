//! What to measure, when, the limit, and a blank to write in.

use super::common::{About, Measure, Moment, Phrase};
use serde::Serialize;

/// What `templates/temperature-log.typ` receives.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct TemperatureLog {
    /// `temperature-log`.
    pub kind: &'static str,
    /// The course.
    pub about: About,
    /// The rule set's name and edition; empty: none is named, and the sheet says that limits are not known.
    pub rules: String,
    /// The readings, by the clock.
    pub readings: Vec<Reading>,
    /// Empty lines at the end.
    pub blanks: u32,
}

/// One reading to take.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Reading {
    /// When.
    pub at: Moment,
    /// What: a place, a lesson's part.
    pub what: String,
    /// Which of it: a batch, a load.
    pub which: Option<Phrase>,
    /// Where to probe: a key of the catalogue's `[probe]`; empty where nothing is probed.
    pub probe: String,
    /// `at-least`, `at-most`, `above`, `below`, `aim`, `unknown`: a key of the catalogue's `[limit]`.
    pub limit: String,
    /// The limit's figures; two make a range.
    pub values: Vec<Measure>,
    /// For how long it holds, or by when it must be reached.
    pub within: Option<Phrase>,
    /// Nobody is in then.
    pub unattended: bool,
    /// What to do when it is out: a key of the catalogue's `[if-out]`.
    pub if_out: String,
    /// Rule and section; empty: the lesson says so.
    pub source: String,
}

impl TemperatureLog {
    /// An empty sheet of this kind.
    pub fn new() -> TemperatureLog {
        TemperatureLog { kind: "temperature-log", ..TemperatureLog::default() }
    }
}
