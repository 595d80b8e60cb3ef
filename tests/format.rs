//! The documentation of the course folder: every key is in it, and every example is read.

use crate::support::least::least;
use crate::support::repository;
use benchroll::read::keys::{ALL, Keys};
use benchroll::read::{Entry, FileTree, read_course};
use std::collections::BTreeSet;
use std::fs;
use toml::{Table, Value};

pub fn documentation() -> String {
    fs::read_to_string(repository().join("course/README.md")).unwrap()
}

/// The fenced examples: the file or files that they are of, and their text.
pub fn examples(text: &str) -> Vec<(String, String)> {
    let mut examples = Vec::new();
    for fence in text.split("\n```").skip(1).step_by(2) {
        let (head, body) = fence.split_once('\n').unwrap();
        if let Some((_, path)) = head.split_once(' ') {
            examples.push((path.to_owned(), body.to_owned()));
        }
    }
    examples
}

/// An example over several files is cut where a comment names the next one.
pub fn files_of(path: &str, body: &str) -> Vec<(String, String)> {
    if !path.contains(" + ") {
        return vec![(path.to_owned(), body.to_owned())];
    }
    path.split(" + ")
        .map(|p| {
            let after = body.split(&format!("# {p}\n")).nth(1).unwrap();
            (p.to_owned(), after.split("\n# ").next().unwrap().to_owned())
        })
        .collect()
}

/// Lays an example over a file: tables are joined, anything else is replaced.
pub fn lay_over(under: &mut Table, over: Table) {
    for (key, value) in over {
        match (under.get_mut(&key), value) {
            (Some(Value::Table(below)), Value::Table(above)) => lay_over(below, above),
            (_, value) => _ = under.insert(key, value),
        }
    }
}

pub fn over_the_least_course(path: &str, body: &str) -> FileTree {
    over_the_least_course_but(path, body, None)
}

/// The same, with every place of one key taken out: the name of its table of keys, and the key.
pub fn over_the_least_course_but(path: &str, body: &str, without: Option<(&str, &str)>) -> FileTree {
    let mut files = least();
    for (path, body) in files_of(path, body) {
        if path.ends_with(".csv") {
            files.add(path, body);
            continue;
        }
        let mut table: Table =
            String::from_utf8(files.bytes(&path).unwrap_or_default().to_vec()).unwrap().parse().unwrap();
        let over: Table = body.parse().unwrap_or_else(|e| panic!("{path}: {e}\n{body}"));
        lay_over(&mut table, over);
        if let Some(without) = without {
            strip(&table_of(&path), &mut table, without);
        }
        files.add(path, toml::to_string(&table).unwrap());
    }
    for photo in ["photos/mix.jpg", "photos/roll.jpg"] {
        files.insert(photo, Entry::Photograph { size: 1 });
    }
    files
}

#[test]
fn every_example_is_read_without_an_error() {
    let text = documentation();
    let examples = examples(&text);
    assert!(examples.len() > 40, "{}", examples.len());
    for (path, body) in examples {
        let (said, _, sound) = crate::broken::said(&over_the_least_course(&path, &body));
        assert!(sound, "{path}\n{body}\n{said}");
    }
}

#[test]
fn every_key_is_documented_in_its_section_with_its_form() {
    let text = documentation();
    for keys in ALL {
        let section = text
            .split(&format!("\n### {}\n", keys.of))
            .nth(1)
            .unwrap_or_else(|| panic!("no section `{}`", keys.of))
            .split("\n### ")
            .next()
            .unwrap();
        let rows: Vec<Vec<&str>> = section
            .lines()
            .filter(|l| l.starts_with("| `"))
            .map(|l| l.trim_matches('|').split(" | ").map(str::trim).collect())
            .collect();
        for (key, form) in keys.keys {
            let row = rows
                .iter()
                .find(|r| r.first() == Some(&format!("`{key}`").as_str()))
                .unwrap_or_else(|| panic!("{}: no row for `{key}`", keys.of));
            let must = form.ends_with(" !");
            assert_eq!(row.get(1).copied(), Some(form.trim_end_matches(" !")), "{}: {key}", keys.of);
            assert_eq!(
                row.last().is_some_and(|cell| cell.contains("**must be written**")),
                must,
                "{}: {key}: whether it must be written",
                keys.of
            );
        }
        assert_eq!(rows.len(), keys.keys.len(), "{}: rows for keys that are not read", keys.of);
    }
}

/// Where a table's entries are names of the teacher's own.
pub fn is_named(of: &str) -> bool {
    [
        "formulas/*.toml: parts",
        "formulas/*.toml: parts: of",
        "formulas/*.toml: variants",
        "pantry.toml: suppliers",
    ]
    .contains(&of)
        || of == "pantry.toml: ingredients"
}

/// The name of the table of keys at the top of a file.
pub fn table_of(path: &str) -> String {
    match path.split_once('/') {
        Some((folder, _)) => format!("{folder}/*.toml"),
        None => path.to_owned(),
    }
}

/// The name of the table of keys that a key leads to.
pub fn inner_of(of: &str, key: &str) -> String {
    match key {
        "loan" => "kitchen.toml: loan".to_owned(),
        "warm" | "cold" | "freezers" | "racks" if of == "kitchen.toml" => {
            "kitchen.toml: warm, cold, freezers, racks".to_owned()
        }
        _ => format!("{of}: {key}"),
    }
}

/// The keys that an example holds, each with the name of its table of keys.
pub fn collect(of: &str, table: &Table, seen: &mut BTreeSet<(String, String)>) {
    for (key, value) in table {
        seen.insert((of.to_owned(), key.clone()));
        let of = inner_of(of, key);
        let tables: Vec<&Table> = match value {
            Value::Table(table) => vec![table],
            Value::Array(list) => list.iter().filter_map(Value::as_table).collect(),
            _ => Vec::new(),
        };
        for table in tables {
            if is_named(&of) {
                table.values().filter_map(Value::as_table).for_each(|inner| collect(&of, inner, seen));
            } else {
                collect(&of, table, seen);
            }
        }
    }
}

/// Takes a key out wherever its table of keys is in use.
fn strip(of: &str, table: &mut Table, without: (&str, &str)) {
    if of == without.0 {
        table.remove(without.1);
    }
    for (key, value) in table.iter_mut() {
        let of = inner_of(of, key);
        let tables: Vec<&mut Table> = match value {
            Value::Table(table) => vec![table],
            Value::Array(list) => list.iter_mut().filter_map(Value::as_table_mut).collect(),
            _ => Vec::new(),
        };
        for table in tables {
            if is_named(&of) {
                table
                    .iter_mut()
                    .filter_map(|(_, v)| v.as_table_mut())
                    .for_each(|inner| strip(&of, inner, without));
            } else {
                strip(&of, table, without);
            }
        }
    }
}

#[test]
fn every_key_stands_in_an_example() {
    let mut seen = BTreeSet::new();
    for (path, body) in examples(&documentation()) {
        for (path, body) in files_of(&path, &body) {
            if path.ends_with(".csv") {
                let head = body.lines().next().unwrap();
                seen.extend(head.split(',').map(|key| ("roll.csv".to_owned(), key.to_owned())));
                continue;
            }
            let of = table_of(&path);
            collect(&of, &body.parse().unwrap(), &mut seen);
        }
    }
    let shown = |keys: &&Keys, key: &str| seen.contains(&(keys.of.to_owned(), key.to_owned()));
    let missing: Vec<String> = ALL
        .iter()
        .flat_map(|keys| keys.names().map(move |key| (keys, key)))
        .filter(|(keys, key)| !shown(keys, key))
        .map(|(keys, key)| format!("{}: {key}", keys.of))
        .collect();
    assert!(missing.is_empty(), "keys without an example: {missing:#?}");
}

#[test]
fn an_example_with_a_wrong_key_would_be_noticed() {
    let (_, codes, _) =
        crate::broken::said(&over_the_least_course("kitchen.toml", "[plan]\ngrid = \"5 min\"\n"));
    assert_eq!(codes, ["unknown-key"]);
    assert!(read_course(&least()).course.is_some());
}

#[test]
fn what_must_be_written_is_missed() {
    let examples = examples(&documentation());
    for keys in ALL.iter().filter(|k| k.of != "roll.csv") {
        for (key, _) in keys.keys.iter().filter(|(_, form)| form.ends_with(" !")) {
            let shown = examples.iter().find(|(path, body)| {
                let mut seen = BTreeSet::new();
                let files = files_of(path, body);
                for (path, body) in files.iter().filter(|(path, _)| path.ends_with(".toml")) {
                    collect(&table_of(path), &body.parse().unwrap(), &mut seen);
                }
                seen.contains(&(keys.of.to_owned(), (*key).to_owned()))
            });
            let (path, body) = shown.unwrap_or_else(|| panic!("no example of {}: {key}", keys.of));
            let (said, codes, sound) =
                crate::broken::said(&over_the_least_course_but(path, body, Some((keys.of, key))));
            let missed =
                ["missing-key", "format-number", "no-session"].iter().any(|code| codes.contains(code));
            assert!(!sound && missed, "{}: {key} may be left out\n{said}", keys.of);
        }
    }
}
