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
        people.sort_by_cached_key(|p| (sorted_as(&p.name), p.name.clone(), p.station.clone()));
        let sittings = desk.course.sessions.iter().map(|s| desk.sitting(s)).collect();
        Roll { about: desk.about(), sittings, people, blanks: BLANKS, ..Roll::new() }
    }
}

/// Letters with marks, by the letter that people look them up under.
const MARKED: [(&str, &str); 24] = [
    ("àáâãäåāăąǎ", "a"),
    ("æ", "ae"),
    ("çćĉċč", "c"),
    ("ďđð", "d"),
    ("èéêëēĕėęě", "e"),
    ("ĝğġģ", "g"),
    ("ĥħ", "h"),
    ("ìíîïĩīĭįı", "i"),
    ("ĵ", "j"),
    ("ķ", "k"),
    ("ĺļľŀł", "l"),
    ("ñńņňŋ", "n"),
    ("òóôõöøōŏőǒ", "o"),
    ("œ", "oe"),
    ("ŕŗř", "r"),
    ("śŝşšș", "s"),
    ("ß", "ss"),
    ("ţťŧț", "t"),
    ("þ", "th"),
    ("ùúûüũūŭůűų", "u"),
    ("ŵ", "w"),
    ("ýÿŷ", "y"),
    ("źżž", "z"),
    ("\u{300}\u{301}\u{302}\u{303}\u{308}\u{30A}\u{30C}\u{327}", ""),
];

/// A name as it is looked up: small letters, without their marks; numbers by what they are worth, so that 2 comes before 10.
fn sorted_as(name: &str) -> String {
    let plain =
        |letter: char| MARKED.iter().find(|(marked, _)| marked.contains(letter)).map(|(_, plain)| *plain);
    let mut key = String::new();
    let mut digits = String::new();
    // A number as long as any other: by its length, then by its figures.
    let close = |digits: &mut String, key: &mut String| {
        if !digits.is_empty() {
            let worth = digits.trim_start_matches('0');
            key.push_str(&format!("{:04}{worth}", worth.len()));
            digits.clear();
        }
    };
    for letter in name.to_lowercase().chars() {
        if letter.is_ascii_digit() {
            digits.push(letter);
            continue;
        }
        close(&mut digits, &mut key);
        match plain(letter) {
            Some(plain) => key.push_str(plain),
            None => key.push(letter),
        }
    }
    close(&mut digits, &mut key);
    key
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_letter_is_looked_up_without_its_mark() {
        let mut names = ["Zoe", "Émile", "Fay", "Øyvind", "Edna", "Ewan"];
        names.sort_by_key(|n| sorted_as(n));
        assert_eq!(names, ["Edna", "Émile", "Ewan", "Fay", "Øyvind", "Zoe"]);
        let mut guests = ["guest 1", "guest 10", "guest 2", "guest 100", "guest"];
        guests.sort_by_key(|n| sorted_as(n));
        assert_eq!(guests, ["guest", "guest 1", "guest 2", "guest 10", "guest 100"]);
        // A mark of its own after its letter.
        assert_eq!(sorted_as("E\u{301}mile"), "emile");
        let mut numbers = ["guest 2", "#10", "guest 10", "#9"];
        numbers.sort_by_key(|n| sorted_as(n));
        assert_eq!(numbers, ["#9", "#10", "guest 2", "guest 10"]);
    }
}
