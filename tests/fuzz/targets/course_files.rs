//! Any bytes in the place of any one file of a course: reading it notes what is wrong, and never panics.
#![no_main]
use benchroll::finding::Sources;
use benchroll::read::{FileTree, folder, read_course};
use libfuzzer_sys::fuzz_target;
use std::path::Path;
use std::sync::LazyLock;

/// The small course, whole.
static COURSE: LazyLock<FileTree> = LazyLock::new(|| {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../courses/small");
    folder::load(&root).unwrap_or_default()
});

/// Which file the bytes stand in for, by the first of them.
const FILES: [&str; 8] = [
    "course.toml",
    "kitchen.toml",
    "pantry.toml",
    "roll.csv",
    "formulas/soft-loaf.toml",
    "lessons/soft-loaf.toml",
    "orders/2027-02-20.toml",
    "templates/words/en.toml",
];

fuzz_target!(|bytes: &[u8]| {
    let Some((first, rest)) = bytes.split_first() else { return };
    let mut files = COURSE.clone();
    files.add(FILES[usize::from(*first) % FILES.len()], rest);
    let reading = read_course(&files);
    placed(&reading.sources, &reading.findings);
});

/// Every finding stands in a file, between two letters.
fn placed(sources: &Sources, findings: &[benchroll::finding::Finding]) {
    for finding in findings {
        let places = finding.place.into_iter().chain(finding.also.iter().map(|(place, _)| *place));
        for place in places {
            let source = sources.get(place.source);
            let text = source.map(|s| s.text.as_str()).unwrap_or_else(|| panic!("no file: {finding:?}"));
            assert!(text.get(place.start..place.end).is_some(), "{finding:?}");
            assert!(sources.locate(place).is_some(), "{finding:?}");
        }
    }
}
