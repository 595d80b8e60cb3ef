//! What stands in `tests/fuzz/corpus`, given to the parsers it is meant for: what once made one panic does so no more.

use crate::support::repository;
use benchroll::cli::import::recipe_of;
use benchroll::read::text::decode;
use benchroll::read::{FileTree, log, read_course, roll_import, written_recipe};
use benchroll::typeset::photos::{Wish, develop};
use std::fs;

/// The bytes of every file for one target, by name.
fn seeds(target: &str) -> Vec<(String, Vec<u8>)> {
    let folder = repository().join("tests/fuzz/corpus").join(target);
    let mut seeds: Vec<(String, Vec<u8>)> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap())
        .map(|entry| (entry.file_name().into_string().unwrap(), fs::read(entry.path()).unwrap()))
        .collect();
    seeds.sort();
    assert!(!seeds.is_empty(), "{target}");
    seeds
}

#[test]
fn a_cell_beyond_every_sheet_is_a_broken_workbook() {
    for (name, bytes) in seeds("roll") {
        let import = roll_import::read("people", &bytes, None, &[]);
        let broken = import.findings.iter().any(|f| f.code.0 == "not-a-workbook");
        assert_eq!(broken, name == "far-cell", "{name}: {:?}", import.findings);
        assert_eq!(import.people.is_empty(), name == "far-cell", "{name}");
    }
}

#[test]
fn every_seed_is_what_it_is_meant_to_be() {
    for (name, bytes) in seeds("course_files") {
        let mut files = FileTree::new();
        files.add("course.toml", &bytes[1..]);
        assert!(read_course(&files).course.is_none(), "{name} alone is no course");
    }
    for (name, bytes) in seeds("formula_text") {
        let recipe = written_recipe::read(&decode(&bytes).unwrap().0);
        assert!(!recipe.sections.is_empty(), "{name}");
    }
    for (name, bytes) in seeds("json_ld") {
        assert!(recipe_of(&decode(&bytes).unwrap().0).is_ok(), "{name}");
    }
    for (name, bytes) in seeds("logs") {
        let mut files = FileTree::new();
        files.add("logs/day.json", bytes);
        assert_eq!(log::logs(&files, "A weekend").0.len(), 1, "{name}");
    }
    for (name, bytes) in seeds("images") {
        assert!(develop(&bytes[1..], &Wish::default()).is_ok(), "{name}");
    }
}
