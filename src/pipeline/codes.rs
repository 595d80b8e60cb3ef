//! The pages that explain findings, one for each code.

use include_dir::{Dir, include_dir};

static PAGES: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/templates/findings");

/// All codes, in the order of the alphabet.
pub fn codes() -> impl Iterator<Item = &'static str> {
    let mut codes: Vec<&str> = PAGES.files().filter_map(|f| f.path().file_stem()?.to_str()).collect();
    codes.sort_unstable();
    codes.into_iter()
}

/// The page of a code.
#[must_use]
pub fn page(code: &str) -> Option<&'static str> {
    PAGES.get_file(format!("{code}.md")).and_then(|f| f.contents_utf8())
}

/// The code that is nearest to a word, when one is near.
#[must_use]
pub fn nearest(word: &str) -> Option<&'static str> {
    codes()
        .map(|c| (strsim::damerau_levenshtein(c, word), c))
        .min()
        .filter(|(distance, c)| *distance <= c.len() / 2)
        .map(|(_, c)| c)
}
