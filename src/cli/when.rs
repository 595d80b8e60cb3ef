//! A moment as it is asked for on the command line: the only reading of the clock beside the board's.

use crate::course::Course;
use crate::read::grammar::day;
use crate::reckon::plan::grid::time_zone;
use jiff::Timestamp;
use jiff::civil::DateTime;

/// A moment as it was asked for.
#[derive(Clone, Copy)]
pub enum When {
    /// By the clock: read once, here at the edge.
    Now(Timestamp),
    /// Written on the command line.
    At(DateTime),
}

impl When {
    /// The local moment in the course's time zone.
    pub fn at(self, course: &Course) -> DateTime {
        match self {
            When::Now(instant) => instant.to_zoned_datetime(time_zone(course)).datetime(),
            When::At(moment) => moment,
        }
    }
}

/// Reads `2027-03-02`, `2027-03-02 12:30`, `now` or `today`.
///
/// # Errors
/// What is wrong with it, as a sentence.
pub fn moment(text: &str) -> Result<When, String> {
    if matches!(text, "now" | "today") {
        return Ok(When::Now(Timestamp::now()));
    }
    if let Ok(date) = day::date(text) {
        return Ok(When::At(date.at(0, 0, 0, 0)));
    }
    match day::dated_time(text) {
        Ok((Some(date), time)) => Ok(When::At(date.to_datetime(time))),
        Ok((None, _)) => Err(format!("\"{text}\" has no date")),
        Err(slip) => Err(slip.message),
    }
}
