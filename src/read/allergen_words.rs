//! Words for what people avoid: plurals and other spellings become the list's word, and words that could mean several
//! things are asked about.

use super::table::Log;
use crate::course::allergen_words::{WORDS, plain, word};
use crate::course::avoided_phrases::{self, Named};
use crate::course::{AllergenId, At};
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
    let named = named_in(text, items).map(|found| found.write(key == "avoids"));
    finding.way_out = Some(match (misspelt(text, items), named) {
        (Some(name), _) => format!("did you mean `{name}`?"),
        (None, Some(write)) => write,
        (None, None) if key == "avoids" && avoided_phrases::is_nothing(text) => {
            "leave the cell empty if nothing is avoided".to_owned()
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

/// All that a longer text names, however it is joined, and what of it is not understood.
#[derive(Debug, Default, PartialEq, Eq)]
pub struct NamedIn {
    /// Entries of the lists and ingredients.
    entries: Vec<String>,
    /// Words that may mean several things, with what to write for them.
    asks: Vec<(String, &'static str)>,
    /// Words without a meaning here, those that stand together in one piece.
    unknown: Vec<String>,
}

/// Words that join, soften or tell how severe: nothing is lost with them. What may turn a meaning round is none of them.
const FILLERS: &[&str] = &[
    "a",
    "all",
    "allergen",
    "allergens",
    "allergic",
    "allergie",
    "allergien",
    "allergies",
    "allergisch",
    "allergy",
    "also",
    "am",
    "an",
    "and",
    "any",
    "are",
    "as",
    "auch",
    "avoid",
    "avoids",
    "bin",
    "bitte",
    "both",
    "can't",
    "cannot",
    "danke",
    "diet",
    "doesn't",
    "don't",
    "due",
    "eat",
    "eats",
    "either",
    "en",
    "et",
    "for",
    "free",
    "frei",
    "from",
    "gegen",
    "habe",
    "has",
    "have",
    "i",
    "i'm",
    "i've",
    "ich",
    "in",
    "intolerance",
    "intolerances",
    "intolerant",
    "is",
    "kein",
    "keine",
    "leicht",
    "leichte",
    "mild",
    "mildly",
    "my",
    "neither",
    "no",
    "nor",
    "not",
    "oder",
    "of",
    "ohne",
    "or",
    "ou",
    "please",
    "pls",
    "plus",
    "product",
    "products",
    "schwer",
    "schwere",
    "sehr",
    "sensitive",
    "sensitivity",
    "severe",
    "severely",
    "sowie",
    "strict",
    "strictly",
    "thank",
    "thanks",
    "the",
    "to",
    "und",
    "very",
    "well",
    "with",
    "without",
    "you",
    "airborne",
];

/// What a longer text names; `None`: nothing that is known.
pub fn named_in(text: &str, items: &[&str]) -> Option<NamedIn> {
    let text = text.to_lowercase().replace('\u{2019}', "'");
    let words: Vec<&str> = text
        .split(|sign: char| !sign.is_alphanumeric() && sign != '\'')
        .map(|w| w.trim_matches('\''))
        .filter(|w| !w.is_empty())
        .collect();
    let mut found = NamedIn::default();
    let mut at = 0;
    let mut goes_on = false;
    while let Some(rest) = words.get(at..).filter(|rest| !rest.is_empty()) {
        // The longest phrase first: "tree nuts" before "nuts".
        let phrase = (1..=rest.len().min(3)).rev().find_map(|n| {
            let phrase = rest[..n].join("-");
            let item = || items.iter().find(|item| **item == phrase).map(|item| Ok((*item).to_owned()));
            let known = || match avoided_phrases::named(&phrase)? {
                // An illness says why as well.
                Named::Entry("gluten") if phrase.contains("eliac") || phrase.contains("zöliakie") => {
                    Some(Ok("gluten (coeliac)".to_owned()))
                }
                Named::Entry(entry) => Some(Ok(entry.to_owned())),
                Named::Ask(ask) => Some(Err((rest[..n].join(" "), ask))),
            };
            let alone = n == 1 && !FILLERS.contains(&phrase.as_str());
            let near = || misspelt(&phrase, items).filter(|_| alone).map(|name| Ok(name.to_owned()));
            // A list's word before an ingredient of that name, and that before a question.
            let named = known().filter(Result::is_ok).or_else(item).or_else(known).or_else(near);
            Some((n, named?))
        });
        let unknown = phrase.is_none() && !FILLERS.contains(&rest[0]);
        at += phrase.as_ref().map_or(1, |(n, _)| *n);
        match phrase {
            Some((_, Ok(entry))) if !found.entries.contains(&entry) => found.entries.push(entry),
            Some((_, Err(ask))) if found.asks.iter().all(|(_, known)| *known != ask.1) => {
                found.asks.push(ask)
            }
            None if unknown => match found.unknown.last_mut().filter(|_| goes_on) {
                Some(last) => *last = format!("{last} {}", rest[0]),
                None => found.unknown.push(rest[0].to_owned()),
            },
            _ => {}
        }
        goes_on = unknown;
    }
    (!found.entries.is_empty() || !found.asks.is_empty()).then_some(found)
}

impl NamedIn {
    /// As a way out.
    fn write(&self, on_the_roll: bool) -> String {
        let quoted =
            |words: &[String]| words.iter().map(|w| format!("\"{w}\"")).collect::<Vec<_>>().join(", ");
        let asks = self.asks.iter().map(|(word, ask)| format!("for \"{word}\" {ask}"));
        let all = (!self.entries.is_empty()).then(|| format!("`{}`", self.entries.join("; ")));
        let all: Vec<String> = all.into_iter().chain(asks).collect();
        let mut write = format!("write {}", all.join("; and "));
        if on_the_roll {
            write.push_str("; in brackets behind each stand why and how severe");
        }
        if !self.unknown.is_empty() {
            write.push_str(&format!("; not understood, so ask: {}", quoted(&self.unknown)));
        }
        if on_the_roll {
            write.push_str("; what else is to be known goes to `needs`");
        }
        write
    }

    /// The same of what stands in the brackets behind an entry, where only reasons are read; `None` where it names that entry alone.
    pub fn beside(&self, entry: &str) -> Option<String> {
        let known = word(entry).map_or(entry, |w| w.word);
        let more = !self.asks.is_empty() || self.entries.iter().any(|e| e != known);
        more.then(|| {
            format!(
                "in brackets stand why and how severe alone; what else is avoided stands beside it, with a `;` between: {}",
                self.write(true)
            )
        })
    }
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

    /// Who follows the way out word for word must lose nothing that the text names.
    #[test]
    fn all_that_a_text_names_is_in_the_way_out() {
        for (text, entries, asks, unknown) in [
            ("no-dairy-or-eggs-please", &["milk", "egg"][..], &[][..], &[][..]),
            ("ei-en-melk-allergie", &["egg", "milk"], &[], &[]),
            ("celery-+-mustard", &["celery", "mustard"], &[], &[]),
            ("nuts-&-sesame-allergy", &["sesame"], &["nuts"], &[]),
            ("milk-as-well-as-lupin", &["milk", "lupin"], &[], &[]),
            ("i-can\u{2019}t-have-peanuts-nor-sesame", &["peanut", "sesame"], &[], &[]),
            ("pine-nuts-plus-tree-nuts", &["pine-nut", "tree-nuts"], &[], &[]),
            ("hazlenuts-or-cardamom", &["hazelnut", "cardamom"], &[], &[]),
            ("egg-allergy-carries-epipen-(milk-too)", &["egg", "milk"], &[], &["carries epipen", "too"]),
            ("dairy-free-nut-free", &["milk"], &["nut free"], &[]),
            ("coeliac,-and-soy", &["gluten (coeliac)", "soy"], &[], &[]),
            ("kiwi-and-egg", &["egg"], &[], &["kiwi"]),
            ("laktoseintoleranz-und-nussallergie", &["milk"], &["nussallergie"], &[]),
        ] {
            let found = named_in(text, &["cardamom", "eggs"]).unwrap_or_default();
            let ask: Vec<&str> = found.asks.iter().map(|(word, _)| word.as_str()).collect();
            assert_eq!(found.entries, entries, "{text}");
            assert_eq!(
                (&ask[..], &found.unknown[..].iter().map(String::as_str).collect::<Vec<_>>()[..]),
                (asks, unknown),
                "{text}"
            );
        }
        assert_eq!(named_in("carries-an-epipen", &[]), None);
        assert_eq!(named_in("severe-allergy", &[]), None);
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
