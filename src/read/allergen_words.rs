//! Words for what people avoid: plurals and other spellings become the list's word, and words that could mean several
//! things are asked about.

use super::table::{Log, did_you_mean};
use crate::course::allergen_words::{WORDS, word};
use crate::course::{AllergenId, At};
use crate::finding::Finding;

/// The list's word for a written one; a word that is on no list stays as it is, for [`check`] to look at.
pub fn canonical(written: At<String>) -> At<AllergenId> {
    written.map(|text| match word(&text) {
        Some(known) => AllergenId::from(known.word),
        None => AllergenId::new(text.trim().to_lowercase().replace([' ', '_'], "-")),
    })
}

/// Words that people say and that name no one thing, with what they may mean.
const LOOSE: &[(&str, &str)] = &[
    ("nut", "`tree-nuts`, `peanut`, or a certain nut such as `hazelnut`"),
    ("nuts", "`tree-nuts`, `peanut`, or a certain nut such as `hazelnut`"),
    ("seed", "`sesame`, or the ingredient's own id"),
    ("seeds", "`sesame`, or the ingredient's own id"),
    ("seafood", "`fish`, `crustacean`, `mollusc` or several"),
    ("cereals", "`gluten`, `wheat`, `rye`, `barley` or `oats`"),
    ("grain", "`gluten`, `wheat`, `rye`, `barley` or `oats`"),
];

/// What a word may mean that names no one thing; `None` for any other word.
pub(super) fn meant_by(text: &str) -> Option<&'static str> {
    LOOSE.iter().find(|(loose, _)| *loose == text).map(|(_, meant)| *meant)
}

/// Notes a word that is neither on a list nor an ingredient of the pantry.
pub fn check(log: &Log, key: &str, written: &At<AllergenId>, items: &[&str]) {
    let text = written.value.as_str();
    if word(text).is_some() || items.contains(&text) {
        return;
    }
    if let Some(meant) = meant_by(text) {
        log.note(
            Finding::error(
                "loose-allergen",
                written.place,
                format!("`{key}`: \"{text}\" is no entry of an allergen list: which is meant?"),
            )
            .way_out(format!("write {meant}")),
        );
        return;
    }
    let mut finding = Finding::error(
        "unknown-allergen",
        written.place,
        format!("`{key}`: \"{text}\" is on no allergen list and no ingredient of the pantry"),
    );
    let names: Vec<&str> = WORDS.iter().map(|w| w.word).chain(items.iter().copied()).collect();
    finding.way_out = did_you_mean(text, names).or_else(|| {
        Some("write the list's word, such as `egg` or `tree-nuts`, or an ingredient's id".to_owned())
    });
    log.note(finding);
}
