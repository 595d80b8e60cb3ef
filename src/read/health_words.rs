//! Words in a free text that may be about something avoided. What people write under "Anything else?" is read by nobody but the
//! teacher; that it was heard at all must be said.

use crate::course::allergen_words::{WORDS, plain, word};
use crate::course::avoided_phrases;

/// How words begin, or what they hold, that say that there is an allergy, and not to what.
const GENERAL: &[&str] = &["allerg", "anaphyl", "epipen", "injector", "intoleran", "unverträglich"];

/// The same of words that say to what, in a form of their own.
const CERTAIN: &[&str] = &["coeliac", "celiac", "zöliakie", "vegan", "vegetari", "veggie"];

/// The words of a text that may be about something avoided, each once, in the order of the text. Misspelt ones are heard too: what is
/// heard is asked about and never decides.
pub fn heard(text: &str) -> Vec<String> {
    let words: Vec<String> = text
        .split(|sign: char| !sign.is_alphabetic() && sign != '-')
        .map(|w| w.trim_matches('-').to_lowercase())
        .filter(|w| !w.is_empty())
        .collect();
    let mut all: Vec<String> = Vec::new();
    for (at, one) in words.iter().enumerate() {
        let two = words.get(at + 1).map(|next| format!("{one} {next}")).filter(|two| word(two).is_some());
        let found = if is_heard(one) { Some(one.clone()) } else { two };
        all.extend(found.filter(|f| !all.contains(f)));
    }
    all
}

/// The same where what is not on any list has its right place: a latex allergy is written among somebody's needs.
pub fn heard_of_food(text: &str) -> Vec<String> {
    let words = heard(text);
    let general = |word: &String| GENERAL.iter().any(|about| word.contains(about));
    if words.iter().all(general) { Vec::new() } else { words }
}

fn is_heard(text: &str) -> bool {
    GENERAL.iter().chain(CERTAIN).any(|about| text.contains(about))
        || word(text).is_some()
        || avoided_phrases::answer(text, true).is_some()
        || WORDS.iter().any(|w| is_near(text, w.word))
}

/// Words of their own that are spelt almost like an entry of a list.
const OTHERS: &[&str] = &["what", "whet", "heat", "barely", "fist", "fresh", "mild", "edge"];

/// Whether a word is spelt almost like an entry of a list: one letter in five may differ, and never the first.
fn is_near(text: &str, entry: &str) -> bool {
    let text = plain(text);
    if OTHERS.contains(&text.as_str()) {
        return false;
    }
    let allowed = entry.chars().count() / 5;
    let one = text.strip_suffix('s').unwrap_or(&text);
    let near = |text: &str| strsim::osa_distance(text, entry) <= allowed;
    text.chars().next() == entry.chars().next() && (near(&text) || near(one))
}

#[cfg(test)]
mod tests {
    use super::{heard, heard_of_food};

    #[test]
    fn what_may_be_an_allergy_is_heard_in_any_sentence() {
        for (text, words) in [
            ("I am allergic to sesame", &["allergic", "sesame"][..]),
            ("My sister is coeliac and will pick me up", &["coeliac"]),
            ("hazlenuts make my throat itch", &["hazlenuts"]),
            ("carries an EpiPen", &["epipen"]),
            ("no tree nuts please", &["tree nuts", "nuts"]),
            ("vegan; brings her own milk", &["vegan", "milk"]),
            ("I use a wheelchair", &[]),
            ("does not know what to bring; barely any stairs", &[]),
            ("under-age", &[]),
            ("large-print; left-handed; step-free", &[]),
            ("comes by train at half past twelve", &[]),
            ("", &[]),
        ] {
            assert_eq!(heard(text), words, "{text}");
        }
    }

    #[test]
    fn a_latex_allergy_may_stand_among_the_needs_and_a_nut_allergy_may_not() {
        assert_eq!(heard_of_food("latex allergy; carries an EpiPen"), [""; 0]);
        assert_eq!(heard_of_food("nut allergy"), ["nut", "allergy"]);
    }
}
