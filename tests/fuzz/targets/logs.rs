//! Any bytes as the log of a day: read as far as it goes, or told, and never both silent and empty.
#![no_main]
use benchroll::read::{FileTree, log};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let mut files = FileTree::new();
    files.add("logs/day.json", bytes);
    let (logs, findings) = log::logs(&files, "A weekend");
    assert!(!logs.is_empty() || !findings.is_empty());
});
