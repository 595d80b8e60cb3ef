//! What people avoid, in the words that they gave a form: "no nuts, lactose" becomes the roll's words where they name one thing. What does
//! not is kept as it was written, so that nothing of it is lost; `roll_unclear.rs` tells it.

use super::Cell;
use crate::course::allergen_words::word;
use crate::course::avoided_phrases::{self, is_nothing};
use crate::finding::Finding;
use crate::read::table::Log;

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
    if piece.contains('(') {
        return piece.to_owned();
    }
    // What is not known is told with the rest of what is not understood, by the words that `check` has for it.
    let Some((thing, why)) = avoided_phrases::bare(piece.trim_end_matches(['.', '!'])) else {
        return piece.to_owned();
    };
    if word(&thing).is_some() {
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
    with(&thing, why)
}

fn with(thing: &str, why: &str) -> String {
    if why.is_empty() { thing.to_owned() } else { format!("{thing} ({why})") }
}

/// The pieces of a list that say more than the roll has already: `sesame (mild)` says no more than `sesame (allergy, mild)`.
pub fn not_said_yet(has: &str, new: &str) -> String {
    let parted = |piece: &str| -> (String, Vec<String>) {
        let (what, inside) = piece.split_once('(').unwrap_or((piece, ""));
        let words = inside.trim_end().trim_end_matches(')').split(',').map(|w| w.trim().to_lowercase());
        let what = word(what).map_or_else(|| what.trim().to_lowercase(), |known| known.word.to_owned());
        (what, words.filter(|w| !w.is_empty()).collect())
    };
    let known: Vec<_> = has.split(';').map(parted).collect();
    let more = |piece: &&str| {
        let (what, words) = parted(piece);
        !known.iter().any(|(of, said)| *of == what && words.iter().all(|w| said.contains(w)))
    };
    new.split(';').filter(more).collect::<Vec<_>>().join(";")
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
    fn what_was_put_right_on_the_roll_is_not_added_again() {
        for (has, new, more) in [
            ("sesame (allergy, mild)", "sesame (mild)", ""),
            ("hazelnut (allergy, severe)", "hazelnuts; egg", " egg"),
            ("sesame (allergy, mild)", "sesame (severe)", "sesame (severe)"),
            ("", "nuts", "nuts"),
        ] {
            assert_eq!(not_said_yet(has, new), more, "{has} | {new}");
        }
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
