//! Every finding has a page, and every page is of a finding that is told.

use crate::support::{Sealed, repository};
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

/// All Rust files below a folder of the repository, in the order of their names.
pub fn rust_files(folder: &str) -> Vec<PathBuf> {
    fn walk(dir: &Path, out: &mut Vec<PathBuf>) {
        let mut entries: Vec<PathBuf> = fs::read_dir(dir).unwrap().map(|e| e.unwrap().path()).collect();
        entries.sort();
        for path in entries {
            if path.is_dir() {
                walk(&path, out);
            } else if path.extension().is_some_and(|e| e == "rs") {
                out.push(path);
            }
        }
    }
    let mut out = Vec::new();
    walk(&repository().join(folder), &mut out);
    out
}

/// The part of a source file before its unit tests, which make findings of their own.
pub fn without_tests(text: &str) -> &str {
    text.split("\nmod tests {").next().unwrap_or(text)
}

/// The codes that the sources below a folder tell: the first word of each constructor's call.
pub fn codes_used_in(folder: &str) -> BTreeSet<String> {
    let mut codes = BTreeSet::new();
    for path in rust_files(folder) {
        let text = fs::read_to_string(&path).unwrap();
        for call in ["Finding::error(", "Finding::warning(", "Finding::note(", "Slip::new("] {
            for after in without_tests(&text).split(call).skip(1) {
                match after.trim_start().strip_prefix('"').and_then(|rest| rest.split_once('"')) {
                    Some((code, _)) => _ = codes.insert(code.to_owned()),
                    // A code that was chosen before stands as the first of a pair in the same file.
                    None if after.trim_start().starts_with("code,") => codes.extend(first_of_pairs(&text)),
                    // The grammar's slips become findings in one place.
                    None => assert!(
                        after.trim_start().starts_with("slip.code"),
                        "{}: write the code of a finding where it is made: {call}{}",
                        path.display(),
                        after.chars().take(40).collect::<String>()
                    ),
                }
            }
        }
    }
    codes
}

/// The codes in `("tin-too-small", ...)`: what opens a bracket that no name stands before, or only `wrong`, as a helper
/// that makes findings is called.
fn first_of_pairs(text: &str) -> Vec<String> {
    let mut codes = Vec::new();
    for (i, _) in without_tests(text).match_indices('(') {
        let before = &text[..i];
        let called = before.ends_with(|c: char| c.is_alphanumeric() || matches!(c, '_' | '!'));
        let called = called && !before.ends_with(" wrong");
        let first = text[i + 1..].trim_start().strip_prefix('"').and_then(|rest| rest.split_once("\","));
        if let (false, Some((code, _))) = (called, first)
            && code.contains('-')
            && code.chars().all(|c| c.is_ascii_lowercase() || c == '-')
        {
            codes.push(code.to_owned());
        }
    }
    codes
}

#[test]
fn every_finding_has_a_page_and_every_page_a_finding() {
    let pages: BTreeSet<String> = fs::read_dir(repository().join("templates/findings"))
        .unwrap()
        .map(|e| e.unwrap().path())
        .filter(|p| p.extension().is_some_and(|e| e == "md"))
        .map(|p| p.file_stem().unwrap().to_str().unwrap().to_owned())
        .collect();
    let used = codes_used_in("src");
    let without_page: Vec<&String> = used.difference(&pages).collect();
    let without_finding: Vec<&String> = pages.difference(&used).collect();
    assert!(without_page.is_empty(), "findings without a page in templates/findings: {without_page:?}");
    assert!(without_finding.is_empty(), "pages of findings that nothing tells: {without_finding:?}");
}

#[test]
fn every_page_says_what_it_means_shows_it_and_names_the_way_out() {
    for entry in fs::read_dir(repository().join("templates/findings")).unwrap() {
        let path = entry.unwrap().path();
        let text = fs::read_to_string(&path).unwrap();
        let code = path.file_stem().unwrap().to_str().unwrap();
        assert!(text.starts_with(&format!("# {code}\n\n")), "{code}: begins with its code");
        assert!(text.contains("\nThe way out: "), "{code}: names the way out");
        assert!(text.split("\n\n").count() >= 3, "{code}: code, meaning, way out");
    }
}

/// A demonstration that is set for the day before the work that it shows is told, with the hours between, and the plan stays as it is.
#[test]
fn a_demonstration_on_another_day_is_noted() {
    let told = |sealed: &Sealed| -> Vec<String> {
        let said = sealed.run(&["check", "course", "--format", "json"]).json();
        let all = said["findings"].as_array().unwrap().iter();
        let own = all.filter(|f| f["code"] == "shown-on-another-day");
        own.map(|f| f["message"].as_str().unwrap().to_owned()).collect()
    };
    let sealed = Sealed::demo();
    assert_eq!(told(&sealed), Vec::<String>::new());
    let file = "course/lessons/four-braid.toml";
    // No stage is brought for it: one that has had its night in the cold is not there on the first day.
    let sealed = sealed.edit(file, "stages = [\"chill\"], ", "").edit(
        file,
        "id = \"show\", ",
        "id = \"show\", session = \"sat\", ",
    );
    let told = told(&sealed);
    assert_eq!(told.len(), 1, "{told:?}");
    assert!(told[0].starts_with("`show` of `four-braid` is shown on Saturday 6 March until "), "{told:?}");
    assert!(
        told[0].contains(" and `strands`, which waits for it, begins ") && told[0].contains(" h "),
        "{told:?}"
    );
    assert!(told[0].contains(" later at station"), "{told:?}");
}
