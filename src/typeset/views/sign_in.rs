//! The roll at the door. No one's health stands on it.

use super::common::{About, Sitting};
use super::desk::Desk;
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

/// Empty lines for those who come unannounced.
const BLANKS: u32 = 2;

impl Roll {
    /// Everyone who is seated, by name.
    pub fn of(desk: &Desk) -> Roll {
        let mut people: Vec<Guest> = Vec::new();
        for station in &desk.class.stations {
            let names = desk.people(station).into_iter();
            people.extend(names.map(|name| Guest { name, station: station.no.to_string() }));
        }
        people.sort_by(|a, b| (a.name.to_lowercase(), &a.station).cmp(&(b.name.to_lowercase(), &b.station)));
        let sittings = desk.course.sessions.iter().map(|s| desk.sitting(s)).collect();
        Roll { about: desk.about(), sittings, people, blanks: BLANKS, ..Roll::new() }
    }
}
