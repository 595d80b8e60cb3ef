//! The JSON Schemas against what reads without a finding and what does not.

use crate::broken::{self, change_of};
use crate::format::{collect, documentation, examples, files_of, over_the_least_course, table_of};
use crate::support::json_schema::validate;
use crate::support::least::LEAST;
use crate::support::{Sealed, repository};
use benchroll::cli::schema::{KINDS, schema};
use benchroll::read::keys::{ALL, words_of};
use benchroll::read::{FileTree, folder};
use serde_json::{Map, Value};
use std::collections::{BTreeMap, BTreeSet};

/// Each kind's schema.
struct Schemas {
    by_kind: BTreeMap<&'static str, Value>,
}

impl Schemas {
    fn new() -> Self {
        Schemas { by_kind: KINDS.iter().map(|(_, of)| (*of, schema(of).unwrap())).collect() }
    }

    /// What a schema says against a file; a file that is no TOML is refused too. `None`: nothing.
    fn against(&self, path: &str, bytes: &[u8]) -> Option<String> {
        let of = table_of(path);
        let text = String::from_utf8_lossy(bytes).trim_start_matches('\u{feff}').to_owned();
        let rows = if of == "roll.csv" {
            rows(&text)
        } else {
            match text.parse::<toml::Table>() {
                Ok(table) => vec![json_of(toml::Value::Table(table))],
                Err(e) => return Some(e.to_string()),
            }
        };
        rows.iter().find_map(|row| validate(&self.by_kind[of.as_str()], row, path).err())
    }

    fn against_all(&self, files: &FileTree) -> Vec<String> {
        files
            .iter()
            .filter(|(path, _)| path.ends_with(".toml") || *path == "roll.csv")
            .filter(|(path, _)| self.by_kind.contains_key(table_of(path).as_str()))
            .filter_map(|(path, _)| self.against(path, files.bytes(path)?))
            .collect()
    }
}

/// A day or a time of day becomes its text, as TOML editors hand it to a validator.
fn json_of(value: toml::Value) -> Value {
    match value {
        toml::Value::Datetime(at) => Value::String(at.to_string()),
        toml::Value::Array(list) => Value::Array(list.into_iter().map(json_of).collect()),
        toml::Value::Table(table) => {
            Value::Object(table.into_iter().map(|(key, value)| (key, json_of(value))).collect())
        }
        other => serde_json::to_value(other).unwrap(),
    }
}

fn rows(text: &str) -> Vec<Value> {
    let mark = if text.lines().next().is_some_and(|head| head.contains(';')) { b';' } else { b',' };
    let mut reader = csv::ReaderBuilder::new().flexible(true).delimiter(mark).from_reader(text.as_bytes());
    let heads: Vec<String> = reader.headers().unwrap().iter().map(str::to_owned).collect();
    let row = |record: csv::StringRecord| {
        let cells = heads.iter().cloned().zip(record.iter().map(|c| Value::String(c.to_owned())));
        Value::Object(cells.collect::<Map<_, _>>())
    };
    reader.records().map(|record| row(record.unwrap())).filter(|r| r["name"] != "").collect()
}

#[test]
fn courses_that_read_are_sound_by_their_schemas() {
    let schemas = Schemas::new();
    let mut courses = vec![
        folder::load(&repository().join("course")).unwrap(),
        folder::load(&repository().join("tests/courses/small")).unwrap(),
        LEAST.iter().map(|(path, text)| (*path, *text)).collect(),
    ];
    for kind in ["afternoon", "weekend", "evenings"] {
        let sealed = Sealed::new();
        sealed.run(&["begin", "class", "--kind", kind, "--date", "2027-03-06", "--place", "us"]);
        courses.push(folder::load(&sealed.path("class")).unwrap());
    }
    for files in &courses {
        assert!(files.iter().count() > 4);
        assert_eq!(schemas.against_all(files), [""; 0]);
    }
}

#[test]
fn every_example_of_the_documentation_is_sound_by_its_schema() {
    let schemas = Schemas::new();
    let wrong: Vec<String> = examples(&documentation())
        .iter()
        .flat_map(|(path, body)| schemas.against_all(&over_the_least_course(path, body)))
        .collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// The findings that are about a file's shape alone: without another file, a calendar or arithmetic.
const BY_SHAPE: &[&str] = &[
    "number-without-unit",
    "decimal-comma",
    "negative-amount",
    "unknown-unit",
    "unreadable",
    "seconds",
    "usual-missing",
    "wrong-type",
    "missing-key",
    "unknown-key",
    "unknown-word",
    "format-number",
    "toml-slip",
    "allergens-not-read",
];

#[test]
fn what_breaks_by_shape_is_broken_by_schema_and_what_is_fine_is_not() {
    let schemas = Schemas::new();
    let (mut refused, mut passed) = (0, Vec::new());
    let cases = [
        broken::cases::QUANTITIES,
        broken::cases::COURSE,
        broken::cases::KITCHEN_AND_PANTRY,
        broken::cases::FORMULA,
        broken::cases::LESSON,
        broken::cases_of_files::ROLL,
    ];
    for (codes, changes) in cases.into_iter().flatten() {
        let said = schemas.against_all(&broken::broken(changes));
        if codes.is_empty() {
            assert_eq!(said, [""; 0], "{}", change_of(changes));
        } else if !said.is_empty() {
            refused += 1;
        } else if codes.iter().all(|code| BY_SHAPE.contains(code)) {
            passed.push(change_of(changes));
        }
    }
    assert!(refused >= 30, "{refused}");
    // Told by `check` alone: a part that nothing else names, a word of a rule, a quote in a cell.
    insta::assert_snapshot!(passed.join(""));
}

#[test]
fn what_must_be_written_is_missed_by_the_schema_too() {
    let schemas = Schemas::new();
    let examples = examples(&documentation());
    for keys in ALL {
        for (key, _) in keys.keys.iter().filter(|(_, form)| form.ends_with(" !")) {
            // Records of orders are written by the program: they have no schema.
            if keys.of.starts_with("orders/") {
                continue;
            }
            if keys.of == "roll.csv" {
                assert!(
                    schemas.against("roll.csv", b"name,status\n,coming\n").is_none(),
                    "a row without a name is no row"
                );
                continue;
            }
            let holds = |(path, body): &&(String, String)| {
                let mut seen = BTreeSet::new();
                let files = files_of(path, body);
                for (path, body) in files.iter().filter(|(path, _)| path.ends_with(".toml")) {
                    collect(&table_of(path), &body.parse().unwrap(), &mut seen);
                }
                seen.contains(&(keys.of.to_owned(), (*key).to_owned()))
            };
            let (path, body) = examples.iter().find(holds).unwrap();
            let files = crate::format::over_the_least_course_but(path, body, Some((keys.of, key)));
            assert!(!schemas.against_all(&files).is_empty(), "{}: {key} may be left out", keys.of);
        }
    }
}

/// A word that is none of a key's is refused by the reader with all words that it knows: they are the schema's.
#[test]
fn the_words_of_the_schemas_are_those_of_the_reader() {
    let mut told = 0;
    for (path, body) in examples(&documentation()) {
        for line in body.lines() {
            let Some((key, value)) = line.trim().split_once(" = ") else { continue };
            let of = ALL
                .iter()
                .map(|k| k.of)
                .filter(|of| of.starts_with(&table_of(path.split(" + ").next().unwrap())));
            let words: Vec<&[&str]> = of.filter_map(|of| words_of(of, key)).collect();
            if words.is_empty() || !value.starts_with('"') {
                continue;
            }
            let other = body.replacen(line, &line.replace(value, "\"qqqqqqqqqqqqqqqq\""), 1);
            let (said, codes, _) = broken::said(&over_the_least_course(&path, &other));
            assert!(codes.contains(&"unknown-word"), "{path}: {line}\n{said}");
            let offered: BTreeSet<&str> = said
                .split("it is one of `")
                .nth(1)
                .map_or_else(BTreeSet::new, |rest| rest.split("`\n").next().unwrap().split("`, `").collect());
            if offered.is_empty() {
                continue;
            }
            told += 1;
            assert!(
                words.iter().any(|words| words.iter().copied().collect::<BTreeSet<_>>() == offered),
                "{path}: {key}: the reader offers {offered:?}, the schema {words:?}"
            );
        }
    }
    assert!(told > 8, "{told}");
}

#[test]
fn a_key_of_a_schema_says_what_it_is() {
    let sealed = Sealed::new();
    let lesson = sealed.run(&["schema", "lesson"]).json();
    let takes = &lesson["properties"]["steps"]["items"]["properties"]["takes"];
    assert!(takes["description"].as_str().unwrap().starts_with("work"), "{takes}");
    assert_eq!(sealed.run(&["schema", "formulas/crown.toml"]).json(), schema("formulas/*.toml").unwrap());
    assert_eq!(sealed.run(&["schema"]).stdout.lines().count(), KINDS.len());
    let said = sealed.run(&["schema", "formulla"]);
    assert_eq!(said.exit, Some(2), "{said}");
}

/// `check --lines` puts each finding where an editor jumps to.
#[test]
fn findings_for_editors_are_one_line_each() {
    let sealed = Sealed::small().edit("course/kitchen.toml", "count = 6", "count = \"six\"");
    insta::assert_snapshot!(sealed.run(&["check", "course", "--lines"]));
    let gone = sealed.run(&["check", "nowhere", "--lines"]);
    assert!(gone.stdout.starts_with("nowhere/course.toml:1:1: error: "), "{gone}");
}
