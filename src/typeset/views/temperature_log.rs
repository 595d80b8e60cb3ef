//! What to measure, when, the limit, and a blank to write in.

use super::common::{About, Measure, Moment};
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
    /// What.
    pub what: String,
    /// Where to probe.
    pub probe: String,
    /// `at-least`, `at-most`, `above`, `below`, `aim`, `unknown`: a key of the catalogue's `[limit]`.
    pub limit: String,
    /// The limit's figures; two make a range.
    pub values: Vec<Measure>,
    /// For how long it holds, or by when it must be reached: `within 2 h`; empty where it does not apply.
    pub within: String,
    /// What to do when it is out.
    pub if_out: String,
    /// Rule and section, or `the lesson`.
    pub source: String,
}

impl TemperatureLog {
    /// An empty sheet of this kind.
    pub fn new() -> TemperatureLog {
        TemperatureLog { kind: "temperature-log", ..TemperatureLog::default() }
    }
}
