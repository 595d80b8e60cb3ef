//! Data goes one way. The table of rooms as data, held against what the sources name.

use crate::findings::{rust_files, without_tests};
use crate::support::repository;
use std::fs;

/// A room of `src/`: a folder, or a file at the top.
struct Room {
    name: &'static str,
    /// Other rooms that it may use, beside itself.
    uses: &'static [&'static str],
    /// Crates that it may name, of those that belong to certain rooms.
    crates: &'static [&'static str],
    /// Words that it must not hold.
    never: &'static [&'static str],
}

const TEXT: &[&str] = &["course", "units", "finding"];
/// What a pure room never holds: files, clock, environment, randomness, printing, an order that differs from run to run.
const IMPURE: &[&str] = &[
    "std::fs",
    "std::io",
    "std::env",
    "std::net",
    "std::process",
    "std::time",
    "std::path",
    "SystemTime",
    "Instant::now",
    "HashMap",
    "HashSet",
    "println!",
    "eprintln!",
    "serde",
];

const ROOMS: &[Room] = &[
    Room { name: "units", uses: &[], crates: &[], never: IMPURE },
    Room { name: "finding", uses: &[], crates: &[], never: IMPURE },
    Room { name: "course", uses: &["units", "finding"], crates: &[], never: IMPURE },
    Room {
        name: "read",
        uses: TEXT,
        // JSON for the logs that the board saves.
        crates: &["toml", "csv", "calamine", "serde_json"],
        never: &[
            "std::env",
            "std::net",
            "std::process",
            "std::time",
            "SystemTime",
            "Instant::now",
            "HashMap",
            "println!",
        ],
    },
    Room { name: "reckon", uses: TEXT, crates: &[], never: IMPURE },
    Room {
        name: "typeset",
        uses: &["course", "units", "finding", "reckon"],
        crates: &["typst", "typst_pdf", "typst_layout", "image", "serde_json", "toml"],
        never: &[
            "std::env",
            "std::net",
            "std::process",
            "std::time",
            "SystemTime",
            "HashMap",
            "println!",
            "std::fs",
        ],
    },
    Room {
        // Of the typesetter only what it keeps: photographs made ready to print.
        name: "output",
        uses: &["course", "units", "finding", "reckon", "typeset"],
        crates: &["rust_xlsxwriter", "icalendar", "minijinja", "tempfile", "serde_json", "csv"],
        never: &["std::env", "std::net", "SystemTime", "HashMap", "println!"],
    },
    Room {
        name: "pipeline",
        uses: &["course", "units", "finding", "read", "reckon", "typeset", "output"],
        crates: &["serde_json"],
        never: &["std::fs", "std::env", "std::net", "SystemTime", "HashMap", "println!"],
    },
    Room {
        name: "cli",
        uses: &["course", "units", "finding", "read", "reckon", "typeset", "output", "pipeline"],
        crates: &["clap", "indicatif", "annotate_snippets", "anstream", "serde_json", "tempfile"],
        never: &["std::net", "HashMap"],
    },
];

/// Crates that belong to certain rooms.
const HELD: &[&str] = &[
    "toml",
    "csv",
    "calamine",
    "pumpkin_core",
    "pumpkin_constraints",
    "pumpkin_conflict_resolvers",
    "typst",
    "typst_pdf",
    "typst_layout",
    "image",
    "rust_xlsxwriter",
    "icalendar",
    "minijinja",
    "tempfile",
    "clap",
    "indicatif",
    "annotate_snippets",
    "anstream",
    "serde_json",
];

/// A crate or a word that only certain files of its room hold.
const ONLY_IN: &[(&str, &str, &[&str])] = &[
    ("read", "std::fs", &["read/folder.rs"]),
    ("read", "toml::", &["read/raw.rs"]),
    ("read", "csv::", &["read/roll_file.rs"]),
    ("read", "serde_json::", &["read/log.rs"]),
    ("cli", "println!", &[]),
    ("cli", "eprintln!", &[]),
];

/// A source without its comments and its unit tests.
fn code_of(text: &str) -> String {
    without_tests(text)
        .lines()
        .map(|line| line.split("//").next().unwrap_or(""))
        .collect::<Vec<_>>()
        .join("\n")
}

/// Whether code names a path that begins with a word: `toml::de`, `use toml;`.
fn names(code: &str, word: &str) -> bool {
    code.match_indices(word).any(|(i, _)| {
        let before = code[..i].chars().next_back();
        let after = &code[i + word.len()..];
        let begins = !before.is_some_and(|c| c.is_alphanumeric() || matches!(c, '_' | ':' | '.'));
        begins && (word.ends_with([':', '!']) || after.starts_with("::"))
    })
}

/// The solver has one door.
fn is_solver(file: &str) -> bool {
    file.starts_with("reckon/plan/solver/") || file == "reckon/plan/solver.rs"
}

/// Whether code holds a word, whole: `Instant` is not in `InstantYeast`.
fn holds(code: &str, word: &str) -> bool {
    code.match_indices(word).any(|(i, _)| {
        let part = |c: char| c.is_alphanumeric() || c == '_';
        !code[..i].ends_with(part) && !code[i + word.len()..].starts_with(part)
    })
}

/// What is wrong with one source, by the table.
fn breaches(room: &Room, file: &str, code: &str) -> Vec<String> {
    let mut wrong = Vec::new();
    for other in ROOMS.iter().map(|r| r.name).filter(|other| *other != room.name) {
        let named = code.contains(&format!("crate::{other}::"))
            || code.contains(&format!("crate::{other};"))
            || code.contains(&format!("crate::{{{other}"));
        if named && !room.uses.contains(&other) {
            wrong.push(format!("{file}: room `{}` uses room `{other}`", room.name));
        }
    }
    for held in HELD.iter().filter(|held| names(code, held) && !room.crates.contains(held)) {
        if !(held.starts_with("pumpkin") && is_solver(file)) {
            wrong.push(format!("{file}: room `{}` names the crate `{held}`", room.name));
        }
    }
    for word in room.never.iter().filter(|word| holds(code, word)) {
        wrong.push(format!("{file}: room `{}` holds `{word}`", room.name));
    }
    for (_, word, files) in ONLY_IN.iter().filter(|(name, _, _)| *name == room.name) {
        if names(code, word) && !files.contains(&file) {
            wrong.push(format!("{file}: `{word}` belongs into {files:?}"));
        }
    }
    wrong
}

fn room_of(file: &str) -> Option<&'static Room> {
    let top = file.split(['/', '.']).next()?;
    ROOMS.iter().find(|room| room.name == top)
}

#[test]
fn rooms_use_only_what_they_may() {
    let src = repository().join("src");
    let mut wrong = Vec::new();
    for path in rust_files("src") {
        let file = path.strip_prefix(&src).unwrap().to_str().unwrap().replace('\\', "/");
        match room_of(&file) {
            Some(room) => wrong.extend(breaches(room, &file, &code_of(&fs::read_to_string(&path).unwrap()))),
            None if matches!(file.as_str(), "main.rs" | "lib.rs") => {}
            None => wrong.push(format!("{file} is in no room")),
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn a_breach_is_noticed() {
    let breach = |file: &str, code: &str| breaches(room_of(file).unwrap(), file, &code_of(code)).len();
    assert_eq!(breach("reckon/scale.rs", "use crate::read::read_course;"), 1);
    assert_eq!(breach("reckon/scale.rs", "use serde::Serialize;"), 1);
    assert_eq!(
        breach("reckon/scale.rs", "// as `use serde::Serialize;` would be\nuse crate::course::Course;"),
        0
    );
    assert_eq!(breach("reckon/plan/levers.rs", "use pumpkin_core::Solver;"), 1);
    assert_eq!(breach("reckon/plan/solver.rs", "use pumpkin_core::Solver;"), 0);
    assert_eq!(breach("read/table.rs", "let t = toml::from_str(text);"), 1);
    assert_eq!(breach("output/order.rs", "let t: toml::Table = text.parse()?;"), 1);
    assert_eq!(breach("course/roll.rs", "use crate::reckon::work::Class;"), 1);
    assert_eq!(breach("typeset/world.rs", "let path = std::fs::read(p);"), 1);
}
