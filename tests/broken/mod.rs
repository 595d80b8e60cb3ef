//! The smallest broken course for each finding of reading: one change to the least course, and what is said of it.

pub mod cases;
pub mod cases_of_files;

use crate::support::least::{least, least_file};
use benchroll::read::{Entry, FileTree, read_course};
use std::collections::BTreeSet;
use std::fmt::Write as _;

/// A change to one file of the least course.
pub enum Change {
    /// Replaces the one place where the first text stands.
    Edit(&'static str, &'static str, &'static str),
    /// Adds text at the end.
    Add(&'static str, &'static str),
    /// Puts these bytes in a file's place.
    Whole(&'static str, &'static [u8]),
    /// Takes a file away.
    Gone(&'static str),
    /// What the loader leaves for a file that it did not load.
    Refused(&'static str, &'static str),
}

/// The codes that a broken course gets, in the order of their places, and the changes that break it.
pub type Case = (&'static [&'static str], &'static [Change]);

/// The least course with these changes.
pub fn broken(changes: &[Change]) -> FileTree {
    let mut files = least();
    for change in changes {
        match change {
            Change::Edit(path, old, new) => {
                let text = String::from_utf8(files.bytes(path).unwrap().to_vec()).unwrap();
                assert_eq!(text.matches(old).count(), 1, "{old:?} in {path}");
                files.add(*path, text.replace(old, new));
            }
            Change::Add(path, more) => files.add(*path, format!("{}{more}", least_file(path))),
            Change::Whole(path, bytes) => files.add(*path, *bytes),
            Change::Gone(path) => files.remove(path),
            Change::Refused(path, why) => files.insert(*path, Entry::Refused { why: (*why).to_owned() }),
        }
    }
    files
}

/// Everything that is said of a course: level, code, place, message, way out, one finding after the other.
pub fn said(files: &FileTree) -> (String, Vec<&'static str>, bool) {
    let reading = read_course(files);
    let mut out = String::new();
    for f in &reading.findings {
        let place = f.place.and_then(|p| reading.sources.locate(p));
        let at = match (&place, &f.file) {
            (Some(at), _) => format!("{}:{}:{}", at.file, at.line, at.column),
            (None, Some(file)) => file.clone(),
            (None, None) => "nowhere".to_owned(),
        };
        writeln!(out, "{} {} {at}\n  {}", f.level.word(), f.code, f.message).unwrap();
        if let Some(text) = f.place.and_then(|p| reading.sources.text_at(p)).filter(|t| !t.is_empty()) {
            writeln!(out, "  marked: {}", text.replace('\n', "\\n")).unwrap();
        }
        for (place, words) in &f.also {
            let at = reading.sources.locate(*place).unwrap();
            writeln!(out, "  also {}:{}:{}: {words}", at.file, at.line, at.column).unwrap();
        }
        if let Some(way_out) = &f.way_out {
            writeln!(out, "  way out: {way_out}").unwrap();
        }
    }
    (out, reading.findings.iter().map(|f| f.code.0).collect(), reading.course.is_some())
}

/// The changes in words.
pub fn change_of(changes: &[Change]) -> String {
    let mut all = String::new();
    for change in changes {
        match change {
            Change::Edit(path, old, new) => writeln!(all, "# {path}: {old:?} -> {new:?}").unwrap(),
            Change::Add(path, more) => writeln!(all, "# {path}: and {more:?}").unwrap(),
            Change::Whole(path, bytes) => {
                writeln!(all, "# {path}: {:?}", String::from_utf8_lossy(bytes)).unwrap()
            }
            Change::Gone(path) => writeln!(all, "# no {path}").unwrap(),
            Change::Refused(path, why) => writeln!(all, "# {path} {why}").unwrap(),
        }
    }
    all
}

fn run(name: &str, cases: &[Case], wrong: &mut Vec<String>) -> BTreeSet<&'static str> {
    let mut all = String::new();
    let mut seen = BTreeSet::new();
    for (codes, changes) in cases {
        all.push_str(&change_of(changes));
        let (text, found, sound) = said(&broken(changes));
        if found != *codes {
            wrong.push(format!("wanted {codes:?}\n{}{text}", change_of(changes)));
        }
        for finding in text.split("\nerror ") {
            if !finding.is_empty() && !finding.contains("way out: ") {
                wrong.push(format!("no way out:\n{}{finding}", change_of(changes)));
            }
        }
        let notes_only = text.lines().all(|l| !l.starts_with("error "));
        assert_eq!(sound, notes_only, "a course is handed out only without an error: {text}");
        all.push_str(&text);
        all.push('\n');
        seen.extend(found);
    }
    if !wrong.is_empty() {
        return seen;
    }
    insta::with_settings!({ prepend_module_to_snapshot => false, omit_expression => true }, {
        insta::assert_snapshot!(name, all);
    });
    seen
}

#[test]
fn each_broken_course_gets_its_finding_and_no_other() {
    let mut wrong = Vec::new();
    let mut seen = run("broken_files", cases_of_files::FILES, &mut wrong);
    seen.extend(run("broken_roll", cases_of_files::ROLL, &mut wrong));
    seen.extend(run("broken_quantities", cases::QUANTITIES, &mut wrong));
    seen.extend(run("broken_course", cases::COURSE, &mut wrong));
    seen.extend(run("broken_kitchen_and_pantry", cases::KITCHEN_AND_PANTRY, &mut wrong));
    seen.extend(run("broken_formula", cases::FORMULA, &mut wrong));
    seen.extend(run("broken_lesson", cases::LESSON, &mut wrong));
    for (codes, changes) in cases_of_files::WORDS {
        let (text, found, _) = said(&broken(changes));
        assert_eq!(found, *codes, "{}{text}", change_of(changes));
        seen.extend(found);
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    let mut used = crate::findings::codes_used_in("src/read");
    // A list that is brought in is no part of a course: `orders.rs` has one for each of these.
    for code in [
        "duplicate-row",
        "formula-in-cell",
        "not-a-workbook",
        "nothing-to-import",
        "partner-not-coming",
        "read-as-avoided",
        "row-without-name",
        "unclear-column",
    ] {
        assert!(used.remove(code));
    }
    // A list of a thousand is made, not written: its cases stand in tests/limits.rs.
    assert!(used.remove("more-than-believed"));
    // Logs are read by `review` alone: their cases stand in tests/review.rs.
    used.retain(|code| !code.starts_with("log-"));
    let untested: Vec<&String> = used.iter().filter(|c| !seen.contains(c.as_str())).collect();
    assert!(untested.is_empty(), "no broken course for {untested:?}");
}
