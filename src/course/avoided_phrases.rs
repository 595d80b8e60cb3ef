//! What people write on a booking form and what is no entry of an allergen list: which entries are meant, or what to ask back.

use super::allergen_words::{plain, word};

/// What is said of a phrase.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Answer {
    /// What it is, to go on after a colon.
    pub says: String,
    /// What to write or ask, to go on after "write".
    pub write: String,
}

/// Words that name no one thing, with what they may mean.
const LOOSE: &[(&[&str], &str)] = &[
    (
        &["nut", "nuts", "nuss", "nüsse", "noten"],
        "`tree-nuts`, `peanut` (which is no tree nut), both, or a certain nut such as `hazelnut`",
    ),
    (&["seed", "seeds"], "`sesame`, or the ingredient's own id"),
    (&["seafood", "meeresfrüchte"], "`fish`, `crustacean`, `mollusc` or several"),
    (&["cereal", "cereals", "grain", "grains", "getreide"], "`gluten`, `wheat`, `rye`, `barley` or `oats`"),
];

/// Ways of eating, and other phrases that stand for no one allergen: what they are, and what to write.
const WAYS: &[(&[&str], &str, &str)] = &[
    (
        &["vegan", "plant-based"],
        "a way of eating, and not one allergen: neither milk nor egg is eaten",
        "`milk (choice); egg (choice)` and the ids of ingredients such as honey, once you have asked whether an allergy is behind it",
    ),
    (
        &["vegetarian", "veggie", "vegetarisch"],
        "a way of eating, and not an allergen: milk and egg are eaten",
        "the ids of ingredients such as lard or gelatine, and `fish (choice)`; leave the cell empty if the class uses none",
    ),
    (
        &["pescatarian", "halal", "kosher", "koscher"],
        "a way of eating, and not an allergen",
        "the ids of the ingredients that are not eaten, with `(choice)`, once you have asked which",
    ),
    (
        &["allergy", "allergies", "dietary-requirements", "diet", "known-allergies", "allergie", "allergien"],
        "it names nothing that is avoided",
        "what is avoided, once you have asked; leave the cell empty if it is nothing",
    ),
];

/// Words of another language, and names of an illness, for entries of the lists.
const MEANT: &[(&[&str], &str)] = &[
    (&["laktose", "milch", "kuhmilch", "melk"], "milk"),
    (&["ei", "eier", "eieren"], "egg"),
    (&["coeliac-disease", "celiac-disease", "zöliakie"], "gluten"),
    (&["weizen", "tarwe"], "wheat"),
    (&["erdnuss", "erdnüsse", "pinda"], "peanut"),
    (&["haselnuss", "haselnüsse"], "hazelnut"),
    (&["walnuss", "walnüsse"], "walnut"),
    (&["mandel", "mandeln"], "almond"),
    (&["sesam"], "sesame"),
];

/// What stands before or after a thing that is avoided, with the reason that it gives.
const BEFORE: &[(&str, &str)] = &[
    ("no-", ""),
    ("not-", ""),
    ("without-", ""),
    ("free-from-", ""),
    ("free-of-", ""),
    ("avoids-", ""),
    ("any-", ""),
    ("all-", ""),
    ("i-am-", ""),
    ("allergic-to-", "allergy"),
    ("allergy-to-", "allergy"),
    ("allergy:-", "allergy"),
    ("allergies:-", "allergy"),
    ("allergie-gegen-", "allergy"),
    ("intolerance:-", "intolerance"),
    ("intolerant-to-", "intolerance"),
    ("intolerance-to-", "intolerance"),
    ("keine-", ""),
    ("kein-", ""),
    ("ohne-", ""),
];
const AFTER: &[(&str, &str)] = &[
    ("-free", ""),
    ("-products", ""),
    ("-allergies", "allergy"),
    ("-allergy", "allergy"),
    ("-allergic", "allergy"),
    ("-intolerance", "intolerance"),
    ("-intolerant", "intolerance"),
    ("-sensitivity", "intolerance"),
    ("-nuts", ""),
    ("-nut", ""),
    ("-frei", ""),
    ("frei", ""),
    ("-allergie", "allergy"),
    ("allergie", "allergy"),
    ("intoleranz", "intolerance"),
    ("unverträglichkeit", "intolerance"),
];

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

/// Whether a cell says that there is nothing.
pub fn is_nothing(text: &str) -> bool {
    NOTHING.contains(&text.to_lowercase().trim_end_matches(['.', '!']))
}

/// What a phrase stands for.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Named {
    /// An entry of the allergen lists.
    Entry(&'static str),
    /// Several things, or none for sure: what to write once one has asked.
    Ask(&'static str),
}

/// What a phrase stands for, without the words around it; `None`: it is not known here.
#[must_use]
pub fn named(text: &str) -> Option<Named> {
    stages(text).find_map(|(core, _)| {
        let core = core.as_str();
        let entry = word(core).map(|w| w.word);
        let meant = || MEANT.iter().find(|(words, _)| words.contains(&core)).map(|(_, word)| *word);
        let loose = || LOOSE.iter().find(|(words, _)| words.contains(&core)).map(|(_, ask)| *ask);
        let way = || WAYS.iter().find(|(words, ..)| words.contains(&core)).map(|(_, _, ask)| *ask);
        let ask = || loose().or_else(way).filter(|_| !is_of_nothing_certain(core)).map(Named::Ask);
        entry.or_else(meant).map(Named::Entry).or_else(ask)
    })
}

/// "Allergy" alone: that something is avoided, and not what.
fn is_of_nothing_certain(core: &str) -> bool {
    ["allerg", "diet"].iter().any(|sign| core.contains(sign))
}

/// What is to be said of a phrase that is no entry of a list; `None`: it is not known here. A reason goes with it on the roll only.
#[must_use]
pub fn answer(text: &str, on_the_roll: bool) -> Option<Answer> {
    stages(text).enumerate().find_map(|(n, (core, reason))| known(&core, reason, on_the_roll, n == 0))
}

/// The thing in a phrase, without the words around it, and the reason that those gave (`allergy`, `intolerance`, or nothing).
/// `None`: there is none that is known here.
#[must_use]
pub fn bare(text: &str) -> Option<(String, &'static str)> {
    let (core, reason) = stages(text)
        .find(|(core, reason)| word(core).is_some() || known(core, reason, true, true).is_some())?;
    Some((core.replace('-', " "), reason))
}

/// The phrase, and then with one word after the other taken off, from before it first: each with the reason so far.
fn stages(text: &str) -> impl Iterator<Item = (String, &'static str)> {
    std::iter::successors(Some((plain(text), "")), |(core, reason)| {
        let before = BEFORE.iter().find_map(|(sign, why)| Some((core.strip_prefix(sign)?, *why)));
        let after = || {
            AFTER.iter().find_map(|(sign, why)| {
                // "Cashew nuts" are cashews; in "dairy-free, nut" the nut is a thing of its own.
                let fits = |rest: &&str| !sign.starts_with("-nut") || is_a_nut(rest);
                Some((core.strip_suffix(sign).filter(fits)?, *why))
            })
        };
        let (rest, why) = before.or_else(after).filter(|(rest, _)| !rest.is_empty())?;
        Some((rest.trim_matches('-').to_owned(), if why.is_empty() { *reason } else { why }))
    })
}

fn is_a_nut(text: &str) -> bool {
    word(text).is_some_and(|w| w.within.contains(&"tree-nuts"))
}

/// `whole`: nothing was taken off the phrase.
fn known(core: &str, reason: &str, on_the_roll: bool, whole: bool) -> Option<Answer> {
    if let Some((_, meant)) = LOOSE.iter().find(|(words, _)| words.contains(&core)) {
        return Some(Answer { says: "which is meant?".to_owned(), write: (*meant).to_owned() });
    }
    if let Some((_, says, write)) = WAYS.iter().find(|(words, ..)| words.contains(&core)) {
        return Some(Answer { says: (*says).to_owned(), write: (*write).to_owned() });
    }
    let other = MEANT.iter().find(|(words, _)| words.contains(&core)).map(|(_, word)| *word);
    // An entry of a list as it stands needs no answer.
    let entry = other.or_else(|| word(core).filter(|_| !whole).map(|w| w.word))?;
    let ill = entry == "gluten" && (core.contains("eliac") || core == "zöliakie");
    let reason = if ill { "coeliac" } else { reason };
    let bracket = if on_the_roll && !reason.is_empty() { format!(" ({reason})") } else { String::new() };
    let more =
        if entry == "gluten" && on_the_roll && !ill { ", for a coeliac `gluten (coeliac)`" } else { "" };
    Some(Answer { says: format!("it names `{entry}`"), write: format!("`{entry}{bracket}`{more}") })
}

/// What a word is read as although it says something else, less or more: told, so that somebody asks. `None`: it says what it says.
#[must_use]
pub fn read_as(text: &str) -> Option<Answer> {
    let text = plain(text);
    let (says, write) = match text.as_str() {
        "lactose" => (
            "it is read as `milk`, which is more: who cannot digest lactose may eat butter, who is allergic to milk may not",
            "`milk (intolerance)` or `milk (allergy)`, once you have asked which",
        ),
        "dairy" => ("it is read as `milk`, whatever is made of it included; egg is no dairy", "`milk`"),
        "coeliac" | "celiac" => ("it is read as `gluten`: wheat, rye, barley and oats", "`gluten (coeliac)`"),
        _ => return None,
    };
    Some(Answer { says: says.to_owned(), write: write.to_owned() })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn write(text: &str) -> String {
        answer(text, true).map_or_else(|| "-".to_owned(), |a| a.write)
    }

    #[test]
    fn what_booking_forms_hold_gets_an_answer() {
        for text in ["no dairy", "dairy free", "Dairy-free", "milk products"] {
            assert_eq!(write(text), "`milk`", "{text}");
        }
        assert_eq!(write("egg allergy"), "`egg (allergy)`");
        assert_eq!(write("allergic to hazelnuts"), "`hazelnut (allergy)`");
        assert_eq!(write("lactose intolerant"), "`milk (intolerance)`");
        assert_eq!(write("gluten-free"), "`gluten`, for a coeliac `gluten (coeliac)`");
        assert_eq!(write("Coeliac disease"), "`gluten (coeliac)`");
        assert_eq!(write("cashew nuts"), "`cashew`");
        assert_eq!(write("glutenfrei"), write("gluten free"));
        assert!(write("vegan").starts_with("`milk (choice); egg (choice)`"));
        assert!(write("vegetarian").contains("gelatine"));
        for text in ["nuts", "no nuts", "nut free", "nut allergy"] {
            assert!(write(text).contains("`peanut` (which is no tree nut)"), "{text}");
        }
        // On a formula a reason has no place.
        assert_eq!(answer("egg allergy", false).map(|a| a.write).as_deref(), Some("`egg`"));
    }

    #[test]
    fn what_is_an_entry_and_what_is_not_known_get_none() {
        // Of two things none is named alone: the other would be lost.
        for text in ["dairy free nut free", "milk nut allergy", "egg nuts"] {
            assert_eq!((answer(text, true), bare(text)), (None, None), "{text}");
        }
        for text in ["milk", "lactose", "coeliac", "hazelnuts", "cardamom", "free", "no", "pine nuts", ""] {
            assert_eq!(answer(text, true), None, "{text}");
        }
        assert!(read_as("Lactose").is_some() && read_as("coeliac").is_some());
        assert!(read_as("milk").is_none() && read_as("eggs").is_none());
    }
}
