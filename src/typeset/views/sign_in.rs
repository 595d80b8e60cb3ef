//! The roll at the door. No one's health stands on it.

use super::common::{About, Sitting};
use serde::Serialize;

/// What `templates/roll.typ` receives.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Roll {
    /// `roll`.
    pub kind: &'static str,
    /// The course.
    pub about: About,
    /// The sittings: a box to sign for each.
    pub sittings: Vec<Sitting>,
    /// The people who are coming, by name.
    pub people: Vec<Guest>,
    /// Empty lines at the end.
    pub blanks: u32,
}

/// One person.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Guest {
    /// The name.
    pub name: String,
    /// The station.
    pub station: String,
}

impl Roll {
    /// An empty sheet of this kind.
    pub fn new() -> Roll {
        Roll { kind: "roll", ..Roll::default() }
    }
}
