//! An allergen in the words of the list that the course's place uses.

use crate::course::allergen_lists::list;
use crate::course::allergen_words::word;
use crate::course::{AllergenId, Allergens, Item};
use std::collections::BTreeSet;

/// Whether a list names an allergen. What it leaves to countries is not named by it.
#[must_use]
pub fn is_on(list_id: &str, allergen: &AllergenId) -> bool {
    codes(list_id, allergen).any(|code| !code.starts_with("opt"))
}

fn codes(list_id: &str, allergen: &AllergenId) -> impl Iterator<Item = &'static str> {
    word(allergen.as_str()).map_or(&[][..], |w| w.on(list_id)).iter().copied()
}

/// The list's words for an allergen: the category, and the kind where the category has kinds: `Nuts (walnut)`. One that the
/// list does not name keeps its own word.
#[must_use]
pub fn named(list_id: &str, allergen: &AllergenId) -> String {
    let own = allergen.as_str().replace('-', " ");
    let Some(known) = list(list_id) else { return own };
    let first = codes(list_id, allergen).find(|code| !code.starts_with("opt"));
    match first.and_then(|code| code.split_once(':').or(Some((code, "")))) {
        Some((category, kind)) => match (known.category(category), kind) {
            (Some(found), "") => found.name.to_owned(),
            (Some(found), kind) => format!("{} ({kind})", found.name),
            (None, _) => own,
        },
        None => own,
    }
}

/// Words of a list without those that another of them covers: beside `Nuts` nothing more is said by `Nuts (walnut)`.
#[must_use]
pub fn uncovered(words: Vec<String>) -> Vec<String> {
    let mut once: Vec<String> = Vec::new();
    for word in &words {
        if !words.iter().any(|other| covers(other, word)) && !once.contains(word) {
            once.push(word.clone());
        }
    }
    once
}

/// Whether a list's word is the category of which another word names a kind.
#[must_use]
pub fn covers(category: &str, kind: &str) -> bool {
    kind.strip_prefix(category).is_some_and(|rest| rest.starts_with(" (") && rest.ends_with(')'))
}

/// The words of a "Contains" line after a list of ingredients: once each, in the list's order. Australia and New Zealand
/// sum every cereal up as gluten too (list `anz`, Schedule 9 of the Code).
#[must_use]
pub fn summary<'a>(list_id: &str, allergens: impl IntoIterator<Item = &'a AllergenId>) -> Vec<String> {
    let Some(known) = list(list_id) else { return Vec::new() };
    let all: BTreeSet<&AllergenId> = allergens.into_iter().collect();
    let mut words: Vec<String> = Vec::new();
    for category in known.categories {
        let mut kinds: Vec<&str> = Vec::new();
        let mut there = false;
        for code in all.iter().flat_map(|a| codes(list_id, a)) {
            let (of, kind) = code.split_once(':').unwrap_or((code, ""));
            if of == category.code && of != "opt" {
                there = true;
                if !kind.is_empty() && !kinds.contains(&kind) {
                    kinds.push(kind);
                }
            }
        }
        if !there {
            continue;
        }
        match (list_id, category.code) {
            ("anz", "wheat") => words.extend(["wheat".to_owned(), "gluten".to_owned()]),
            ("anz", "barley" | "oats" | "rye") => words.push("gluten".to_owned()),
            ("anz", "soy") => words.push("soy".to_owned()),
            _ if kinds.is_empty() => words.push(category.name.to_owned()),
            _ => words.push(format!("{} ({})", category.name, kinds.join(", "))),
        }
    }
    let mut once: Vec<String> = Vec::new();
    words.retain(|w| {
        let new = !once.contains(w);
        if new {
            once.push(w.clone());
        }
        new
    });
    words
}

/// What an ingredient states that it contains.
#[must_use]
pub fn contained(item: &Item) -> Vec<&AllergenId> {
    match &item.allergens {
        Allergens::Unknown => Vec::new(),
        Allergens::Stated { contains, .. } => contains.iter().map(|a| &a.value).collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn id(text: &str) -> AllergenId {
        AllergenId::from(text)
    }

    #[test]
    fn each_list_has_its_own_words() {
        // `allergen_list` rows eu14, us9, anz; pine nut is on the US list and not on the European one.
        assert_eq!(named("eu14", &id("walnut")), "Nuts (walnut)");
        assert_eq!(named("us9", &id("walnut")), "tree nuts (walnut)");
        assert_eq!(named("anz", &id("walnut")), "walnut");
        assert!(is_on("us9", &id("pine-nut")) && !is_on("eu14", &id("pine-nut")));
        assert_eq!(named("eu14", &id("pine-nut")), "pine nut");
        assert!(!is_on("codex", &id("macadamia")));
    }

    #[test]
    fn a_kind_is_not_said_beside_its_category() {
        let words = |all: &[&str]| uncovered(all.iter().map(|w| (*w).to_owned()).collect());
        assert_eq!(words(&["Nuts (walnut)", "Nuts"]), ["Nuts"]);
        assert_eq!(
            words(&["Nuts (walnut)", "Nuts (almond)", "Milk", "Milk"]),
            ["Nuts (walnut)", "Nuts (almond)", "Milk"]
        );
        // A longer word is no kind of a shorter one.
        assert_eq!(words(&["Nut", "Nuts"]), ["Nut", "Nuts"]);
    }

    #[test]
    fn a_summary_names_each_once_in_the_order_of_the_list() {
        let all = [id("walnut"), id("wheat"), id("milk"), id("hazelnut"), id("rye")];
        assert_eq!(summary("anz", &all), ["wheat", "gluten", "hazelnut", "walnut", "milk"]);
        assert_eq!(summary("us9", &all), ["milk", "tree nuts (hazelnut, walnut)", "wheat"]);
    }
}
