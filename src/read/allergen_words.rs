//! Words for what people avoid: plurals and other spellings become the list's word, and words that could mean several
//! things are asked about.

use super::health_words::heard;
use super::table::Log;
use crate::course::allergen_words::{WORDS, plain, word};
use crate::course::{AllergenId, At, avoided_phrases};
use crate::finding::{Finding, Place};

/// The list's word for a written one; a word that is on no list stays as it is, for [`check`] to look at.
pub fn canonical(written: At<String>) -> At<AllergenId> {
    written.map(|text| match word(&text) {
        Some(known) => AllergenId::from(known.word),
        None => AllergenId::new(plain(&text)),
    })
}

/// Notes a word that is neither on a list nor an ingredient of the pantry.
pub fn check(log: &Log, key: &str, written: &At<AllergenId>, items: &[&str]) {
    let text = written.value.as_str();
    if word(text).is_some() || items.contains(&text) {
        return;
    }
    if let Some(answer) = avoided_phrases::answer(text, key == "avoids") {
        log.note(
            Finding::error(
                "loose-allergen",
                written.place,
                format!("`{key}`: \"{text}\" is no entry of an allergen list: {}", answer.says),
            )
            .way_out(format!("write {}", answer.write)),
        );
        return;
    }
    let mut finding = Finding::error(
        "unknown-allergen",
        written.place,
        format!("`{key}`: \"{text}\" is on no allergen list and no ingredient of the pantry"),
    );
    if is_said_to_be_eaten(text) {
        finding.way_out = Some(
            "ask: it names something that is eaten, and perhaps something that is not; write what is avoided, with why and how severe in brackets"
                .to_owned(),
        );
        log.note(finding);
        return;
    }
    finding.way_out = Some(match (misspelt(text, items), named_in(text)) {
        (Some(name), _) => format!("did you mean `{name}`?"),
        (None, Some(write)) => {
            format!("write {write}, with why and how severe in brackets; what else is to be known goes to `needs`")
        }
        (None, None) if key == "avoids" => {
            "write the list's word, such as `egg` or `tree-nuts`, or an ingredient's id; what no list has and no ingredient is (latex, kiwi) goes to `needs`".to_owned()
        }
        (None, None) => {
            "write the list's word, such as `egg` or `tree-nuts`, or an ingredient's id".to_owned()
        }
    });
    log.note(finding);
}

/// Notes what a word is read as, where that is not just what it says.
pub fn note_read_as(log: &Log, text: &str, place: Option<Place>) {
    if let Some(answer) = avoided_phrases::read_as(text) {
        let message = format!("`avoids`: \"{}\" stands on no allergen list: {}", text.trim(), answer.says);
        log.note(Finding::note("loose-allergen", place, message).way_out(format!("write {}", answer.write)));
    }
}

/// "Wheat is fine" names wheat, and says that it is eaten; "wheat is not fine" says the contrary, and so does "a problem".
fn is_said_to_be_eaten(text: &str) -> bool {
    let words: Vec<&str> = text.split(['-', '\'', '\u{2019}']).collect();
    let before = |at: usize, denials: &[&str]| words[..at].iter().any(|w| denials.contains(w));
    words.iter().enumerate().any(|(at, word)| match *word {
        "fine" | "ok" | "okay" => !before(at, &["not", "isn", "aren", "never", "nicht", "kein", "t"]),
        "problem" => before(at, &["no", "kein"]),
        _ => false,
    })
}

/// What to write for the first thing that a longer text names: "nut allergy, carries an EpiPen" names nuts.
fn named_in(text: &str) -> Option<String> {
    let words = heard(&text.replace('-', " "));
    words.iter().find_map(|heard| match word(heard) {
        Some(known) => Some(format!("`{}`", known.word)),
        None => avoided_phrases::answer(heard, true)
            .filter(|_| avoided_phrases::bare(heard).is_some_and(|(core, _)| core != "allergy"))
            .map(|answer| answer.write),
    })
}

/// Things of their own that are spelt much like an entry of a list.
const OTHER_THINGS: &[&str] = &["custard", "milo", "sulphate", "sulphates", "sulfate", "sulfates"];

/// The entry or the ingredient that a misspelt word can only be. A guess that made one food of another would be worse than none: so
/// few letters may differ, never the first, and nothing else may be as near.
fn misspelt<'a>(text: &str, items: &[&'a str]) -> Option<&'a str> {
    let letters = |word: &str| {
        let mut letters: Vec<char> = word.chars().collect();
        letters.sort_unstable();
        letters
    };
    let length = text.chars().count();
    let near = |name: &str| {
        let distance = strsim::osa_distance(text, name);
        let few = match length {
            // Of a short word only two letters may have changed places.
            0..=4 => distance <= 1 && letters(text) == letters(name),
            5..=7 => distance <= 1,
            _ => distance <= 2,
        };
        (few && text.chars().next() == name.chars().next()).then_some(distance)
    };
    if OTHER_THINGS.contains(&text) {
        return None;
    }
    let names = WORDS.iter().map(|w| w.word).chain(items.iter().copied());
    let mut found: Vec<(usize, &str)> = names.filter_map(|name| Some((near(name)?, name))).collect();
    found.sort_by_key(|(distance, _)| *distance);
    let (least, first) = *found.first()?;
    let thing = |name: &str| word(name).map_or_else(|| name.to_owned(), |w| w.word.to_owned());
    let others = found.iter().filter(|(distance, name)| *distance == least && thing(name) != thing(first));
    others.count().eq(&0).then_some(first)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_somebody_eats_is_not_offered_as_avoided() {
        assert!(is_said_to_be_eaten("wheat-is-fine"));
        assert!(is_said_to_be_eaten("milk-no-problem"));
        for text in
            ["no-wheat", "wheat-is-not-ok", "gluten-is-a-problem", "not-ok-with-nuts", "milk-isn't-fine"]
        {
            assert!(!is_said_to_be_eaten(text), "{text}");
        }
    }

    #[test]
    fn a_spelling_is_guessed_only_where_nothing_else_can_be_meant() {
        let items = ["almonds", "orange-water", "dates", "cardamom"];
        for (text, meant) in [
            ("hazlenut", "hazelnut"),
            ("seasme", "sesame"),
            ("mlik", "milk"),
            ("pistaccio", "pistachio"),
            ("cardamon", "cardamom"),
            ("glutan", "gluten"),
        ] {
            assert_eq!(misspelt(text, &items), Some(meant), "{text}");
        }
        // Foods and ways of eating of their own.
        for text in [
            "vegan", "custard", "rice", "mint", "silk", "fig", "goat", "meat", "parsley", "pea", "beet",
            "dish",
        ] {
            assert_eq!(misspelt(text, &items), None, "{text}");
        }
    }
}
