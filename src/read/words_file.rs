//! `templates/words/LANGUAGE.toml`: the fixed words of the pages. What a language lacks is printed in English, and told.

use super::files::{Entry, FileTree};
use super::raw::{self, Node, Value};
use super::table::{Log, did_you_mean};
use super::text;
use crate::course::At;
use crate::finding::{Finding, Place, Sources};
use include_dir::{Dir, include_dir};
use std::collections::{BTreeMap, BTreeSet};

static BUILT_IN: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/templates/words");
const FOLDER: &str = "templates/words";
/// More keys than this are counted and not named.
const MOST_NAMED: usize = 12;

/// A catalogue: words by key, `station.left`.
type Words = BTreeMap<String, At<String>>;

/// The built-in languages, by their tags.
pub fn languages() -> impl Iterator<Item = &'static str> {
    let mut tags: Vec<&str> = BUILT_IN.files().filter_map(|f| f.path().file_stem()?.to_str()).collect();
    tags.sort_unstable();
    tags.into_iter()
}

/// Every fixed word by its key in a language: the course's own before the built-in, and English where both lack it.
#[must_use]
pub fn catalogue(files: &FileTree, language: &str) -> BTreeMap<String, String> {
    let mut tags = lookup(language).unwrap_or_default();
    tags.reverse();
    tags.insert(0, "en".to_owned());
    let mut all = Words::new();
    for tag in &tags {
        all.extend(built_in(tag));
        let path = format!("{FOLDER}/{tag}.toml");
        if let Some(entry) = files.get(&path) {
            // What is wrong with it was told when the course was read.
            all.extend(read(&Log::default(), &mut Sources::default(), &path, entry).unwrap_or_default());
        }
    }
    all.into_iter().map(|(key, word)| (key, word.value)).collect()
}

/// Reads the course's own words files, and tells what the course's language lacks.
pub fn check(log: &Log, files: &FileTree, sources: &mut Sources, language: &At<String>) {
    let english = built_in("en");
    let mut own: BTreeMap<String, Words> = BTreeMap::new();
    for (path, entry) in files.under(FOLDER) {
        let Some(tag) = path[FOLDER.len() + 1..].strip_suffix(".toml") else { continue };
        if let Some(words) = read(log, sources, path, entry) {
            compare(log, &words, &english);
            own.insert(tag.to_owned(), words);
        }
    }
    let Some(tags) = lookup(&language.value) else {
        log.note(
            Finding::error(
                "unknown-language",
                language.place,
                format!("`language`: \"{}\" is no language tag", language.value),
            )
            .way_out(format!("these are built in: {}", languages().collect::<Vec<_>>().join(", "))),
        );
        return;
    };
    let built_in: Vec<Words> = tags.iter().map(|tag| self::built_in(tag)).collect();
    let has = |key: &String| {
        built_in.iter().any(|words| words.contains_key(key))
            || tags.iter().any(|tag| own.get(tag).is_some_and(|w| w.contains_key(key)))
    };
    let missing: Vec<&str> = english.keys().filter(|key| !has(key)).map(String::as_str).collect();
    if missing.is_empty() {
        return;
    }
    let named = missing.iter().take(MOST_NAMED).copied().collect::<Vec<_>>().join(", ");
    let more = missing.len().saturating_sub(MOST_NAMED);
    let rest = if more == 0 { String::new() } else { format!(" and {more} more") };
    let message = format!(
        "the pages speak English for {} of {} fixed words that \"{}\" lacks: {named}{rest}",
        missing.len(),
        english.len(),
        language.value
    );
    log.note(
        Finding::note("words-missing", language.place, message)
            .way_out(format!("add them in `{FOLDER}/{}.toml`", language.value)),
    );
}

/// The tags under which a language's words are looked for: `pt-BR`, then `pt`. `None`: not a tag of BCP 47.
fn lookup(language: &str) -> Option<Vec<String>> {
    let primary = language.split('-').next()?;
    let sound = (2..=3).contains(&primary.len())
        && primary.bytes().all(|b| b.is_ascii_lowercase())
        && language
            .split('-')
            .all(|part| (1..=8).contains(&part.len()) && part.bytes().all(|b| b.is_ascii_alphanumeric()));
    let mut tags = vec![language.to_owned(), primary.to_owned()];
    tags.dedup();
    sound.then_some(tags)
}

fn built_in(tag: &str) -> Words {
    // Built-in words have no place in the course; a test reads all of them.
    let Some(text) = BUILT_IN.get_file(format!("{tag}.toml")).and_then(|f| f.contents_utf8()) else {
        return Words::new();
    };
    let root = raw::parse(crate::finding::SourceId(usize::MAX), text);
    root.map(|root| flat(&root).0).unwrap_or_default()
}

fn read(log: &Log, sources: &mut Sources, path: &str, entry: &Entry) -> Option<Words> {
    let Entry::Bytes(bytes) = entry else { return None };
    let Some((text, _)) = text::decode(bytes) else {
        log.note(
            Finding::error("not-text", None, format!("`{path}` is not a text file"))
                .in_file(path)
                .way_out("save it as plain text, in UTF-8"),
        );
        return None;
    };
    let source = sources.add(path, text.clone());
    match raw::parse(source, &text) {
        Ok(root) => {
            let (words, others) = flat(&root);
            for place in others {
                log.note(
                    Finding::error("wrong-type", place, "a fixed word is text in quotes")
                        .way_out("write it as `key = \"Word\"`"),
                );
            }
            Some(words)
        }
        Err(slips) => {
            for slip in slips {
                log.note(
                    Finding::error("toml-slip", slip.place, format!("this is not TOML: {}", slip.message))
                        .way_out("look for a quote, bracket or comma that is missing here or just above"),
                );
            }
            None
        }
    }
}

/// All texts by their whole keys, and where something else stands.
fn flat(root: &Node) -> (Words, Vec<Place>) {
    let (mut words, mut others) = (Words::new(), Vec::new());
    let mut todo = vec![(String::new(), root)];
    while let Some((above, node)) = todo.pop() {
        let Value::Table(table) = &node.value else { continue };
        for entry in &table.entries {
            let key = format!("{above}{}", entry.key);
            match &entry.node.value {
                Value::Text(text) => {
                    words.insert(key, At::at(text.clone(), entry.node.place));
                }
                Value::Table(_) => todo.push((format!("{key}."), &entry.node)),
                _ => others.push(entry.node.place),
            }
        }
    }
    others.sort();
    (words, others)
}

/// The marks of a word: what stands in braces.
fn marks(word: &str) -> BTreeSet<&str> {
    word.split('{').skip(1).filter_map(|rest| rest.split_once('}')).map(|(mark, _)| mark).collect()
}

/// A key that no page asks for; a word whose marks are not those of the English one.
fn compare(log: &Log, words: &Words, english: &Words) {
    for (key, word) in words {
        let Some(wanted) = english.get(key) else {
            let mut finding =
                Finding::warning("unknown-key", word.place, format!("no page asks for the word `{key}`"));
            finding.way_out = did_you_mean(key, english.keys().map(String::as_str).collect::<Vec<_>>());
            log.note(finding);
            continue;
        };
        let (has, wants) = (marks(&word.value), marks(&wanted.value));
        let list =
            |marks: Vec<&&str>| marks.iter().map(|m| format!("{{{m}}}")).collect::<Vec<_>>().join(", ");
        let (lacks, odd) = (list(wants.difference(&has).collect()), list(has.difference(&wants).collect()));
        let what = match (lacks.is_empty(), odd.is_empty()) {
            (true, true) => continue,
            (false, true) => format!("`{key}` lacks {lacks}"),
            (true, false) => format!("`{key}` has {odd}, which the page does not know"),
            (false, false) => format!("`{key}` has {odd} in place of {lacks}"),
        };
        log.note(
            Finding::warning("words-marks", word.place, what)
                .way_out(format!("in English it reads \"{}\"", wanted.value)),
        );
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn found(language: &str, files: &[(&str, &str)]) -> Vec<String> {
        let files: FileTree =
            files.iter().map(|(name, text)| (format!("{FOLDER}/{name}"), text.as_bytes())).collect();
        let log = Log::default();
        check(&log, &files, &mut Sources::default(), &At::assumed(language.to_owned()));
        log.into_findings().iter().map(|f| format!("{} {}", f.code, f.message)).collect()
    }

    #[test]
    fn every_built_in_language_is_complete_and_keeps_its_marks() {
        let english = built_in("en");
        assert!(english.len() > 150);
        for tag in languages() {
            let words = built_in(tag);
            let keys = |w: &Words| w.keys().cloned().collect::<BTreeSet<_>>();
            assert_eq!(keys(&english), keys(&words), "{tag}");
            let log = Log::default();
            compare(&log, &words, &english);
            assert_eq!(log.into_findings(), [], "{tag}");
            assert_eq!(found(tag, &[]), [""; 0]);
        }
        assert!(languages().count() >= 2);
    }

    #[test]
    fn what_a_language_lacks_is_counted_and_named() {
        let total = built_in("en").len();
        let all = found("fr", &[]);
        assert_eq!(all.len(), 1);
        assert!(
            all[0]
                .starts_with(&format!("words-missing the pages speak English for {total} of {total} fixed")),
            "{all:?}"
        );
        let some = found("fr", &[("fr.toml", "[step]\nuntil = \"jusqu'à\"\nto = \"à\"\n")]);
        assert!(some[0].contains(&format!(" {} of {total} ", total - 2)), "{some:?}");
        // A dialect has the words of its language.
        assert_eq!(found("de-AT", &[("de-AT.toml", "[month]\nn1 = \"Jänner\"\n")]), [""; 0]);
    }

    #[test]
    fn own_words_are_compared_with_the_english_ones() {
        let words = "[step]\nuntill = \"till\"\n[sheet]\nlate = \"Too long.\"\nlate-foot = \"{minute} too long\"\nempty = 3\n";
        let said = found("en", &[("en.toml", words)]);
        assert_eq!(
            said,
            [
                "wrong-type a fixed word is text in quotes",
                "words-marks `sheet.late` lacks {minutes}",
                "words-marks `sheet.late-foot` has {minute} in place of {minutes}",
                "unknown-key no page asks for the word `step.untill`",
            ]
        );
        assert!(found("en", &[("en.toml", "[step\n")])[0].starts_with("toml-slip"));
    }

    #[test]
    fn a_language_is_a_tag() {
        for wrong in ["English", "", "e", "../en", "en_GB", "EN", "-", "en-", "en-toolongpart"] {
            assert!(found(wrong, &[])[0].starts_with("unknown-language"), "{wrong}");
        }
    }
}
