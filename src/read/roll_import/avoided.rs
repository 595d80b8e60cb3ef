//! What people avoid, in the words that they gave a form: "no nuts, lactose" becomes the roll's words where they name one thing. What does
//! not is kept as it was written, so that nothing of it is lost; `roll_unclear.rs` tells it.

use super::{Cell, spaced};
use crate::course::allergen_words::word;
use crate::course::avoided_phrases;
use crate::finding::Finding;
use crate::read::table::Log;

/// What people write when they avoid nothing.
const NOTHING: &[&str] = &[
    "",
    "-",
    "--",
    "–",
    "no",
    "none",
    "nothing",
    "n/a",
    "na",
    "nil",
    "nope",
    "none known",
    "no allergies",
    "no allergy",
    "no known allergies",
    "no intolerances",
    "no dietary requirements",
    "keine",
    "kein",
    "nein",
    "nichts",
    "keine allergien",
    "keine bekannt",
];

/// Words before the thing, and the reason that they give.
const BEFORE: &[(&str, Option<&str>)] = &[
    ("i am allergic to ", Some("allergy")),
    ("allergic to ", Some("allergy")),
    ("allergy to ", Some("allergy")),
    ("allergy: ", Some("allergy")),
    ("allergies: ", Some("allergy")),
    ("allergie gegen ", Some("allergy")),
    ("intolerant to ", Some("intolerance")),
    ("intolerance: ", Some("intolerance")),
    ("no ", None),
    ("without ", None),
    ("avoids ", None),
    ("keine ", None),
    ("kein ", None),
    ("ohne ", None),
];

/// Words after it.
const AFTER: &[(&str, Option<&str>)] = &[
    (" allergy", Some("allergy")),
    (" allergies", Some("allergy")),
    (" intolerance", Some("intolerance")),
    (" intolerant", Some("intolerance")),
    (" free", None),
];

/// Whether a cell says that there is nothing.
pub fn is_nothing(text: &str) -> bool {
    NOTHING.contains(&text.to_lowercase().trim_end_matches(['.', '!']))
}

/// The cell as the roll writes it: `;` between its pieces.
pub fn listed(log: &Log, file: &str, row: usize, cell: &Cell) -> String {
    if is_nothing(&cell.0) {
        return String::new();
    }
    let pieces = super::pieces(&cell.0).into_iter().filter(|p| !is_nothing(p));
    let pieces: Vec<String> = pieces.map(|piece| one(log, file, row, cell, &piece)).collect();
    pieces.join("; ")
}

fn one(log: &Log, file: &str, row: usize, cell: &Cell, piece: &str) -> String {
    // In the roll's own form already, and read as such.
    let written = piece.split('(').next().unwrap_or(piece).trim();
    if word(written).is_some() {
        return piece.to_owned();
    }
    let (thing, why) = if piece.contains('(') { (written.to_owned(), None) } else { bare(piece) };
    if let (Some(_), false) = (word(&thing), piece.contains('(')) {
        let read = with(&thing, why);
        log.note(
            Finding::note(
                "read-as-avoided",
                cell.1,
                format!("row {row} of `{file}`: \"{piece}\" was read as `{read}`"),
            )
            .in_file(file)
            .way_out("look whether that is what was meant"),
        );
        return read;
    }
    // Told with the rest of what is not understood, by the words that `check` has for it.
    if !piece.contains('(') && avoided_phrases::answer(&thing, true).is_some() {
        return with(&thing, why);
    }
    piece.to_owned()
}

fn with(thing: &str, why: Option<&str>) -> String {
    why.map_or_else(|| thing.to_owned(), |why| format!("{thing} ({why})"))
}

/// The thing without the words around it, and the reason that they gave.
fn bare(piece: &str) -> (String, Option<&'static str>) {
    let small = piece.to_lowercase().replace('-', " ");
    let mut rest = small.trim_end_matches(['.', '!']).trim();
    let mut why = None;
    for (before, reason) in BEFORE {
        if let Some(stripped) = rest.strip_prefix(before) {
            (rest, why) = (stripped.trim(), why.or(*reason));
        }
    }
    for (after, reason) in AFTER {
        if let Some(stripped) = rest.strip_suffix(after) {
            (rest, why) = (stripped.trim(), why.or(*reason));
        }
    }
    (spaced(rest), why)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> (String, Vec<&'static str>) {
        let log = Log::default();
        let listed = listed(&log, "list.csv", 2, &(text.to_owned(), None));
        (listed, log.into_findings().iter().map(|f| f.code.0).collect())
    }

    #[test]
    fn free_words_are_read_where_they_name_one_thing_and_never_dropped() {
        for (written, on_the_roll, codes) in [
            ("no nuts, lactose", "nuts; lactose", [].as_slice()),
            ("Gluten-free", "gluten", &["read-as-avoided"]),
            ("allergic to hazelnuts and eggs", "hazelnuts (allergy); eggs", &["read-as-avoided"]),
            ("milk intolerance", "milk (intolerance)", &["read-as-avoided"]),
            ("hazelnut (allergy, severe); egg (choice)", "hazelnut (allergy, severe); egg (choice)", &[]),
            ("No allergies.", "", &[]),
            ("none", "", &[]),
            ("vegan", "vegan", &[]),
            ("no problem with nuts", "no problem with nuts", &[]),
            ("nut (severe)", "nut (severe)", &[]),
        ] {
            assert_eq!(read(written), (on_the_roll.to_owned(), codes.to_vec()), "{written}");
        }
    }
}
