//! What is built in: every direct dependency has its reason in DEVELOPERS.md, their number is the one written there, and all
//! licences, of the whole tree, allow what ours allow. Nothing is asked of the network.

use crate::support::repository;
use serde_json::Value;
use std::collections::BTreeSet;
use std::fs;
use std::process::Command;

/// Licences under which a program may be handed on under MIT or Apache-2.0 with nothing but their texts beside it.
const ALLOWED: &[&str] = &[
    "0BSD",
    "Apache-2.0",
    "Apache-2.0 WITH LLVM-exception",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "BSL-1.0",
    "CC0-1.0",
    "ISC",
    "MIT",
    "MIT-0",
    "Unicode-3.0",
    "Unlicense",
    "Zlib",
];

/// Whether a licence expression (SPDX 2.3, annex D; a slash is the older word for OR) can be met from the list.
fn allowed(expression: &str) -> bool {
    let spaced = expression.replace('/', " OR ").replace('(', " ( ").replace(')', " ) ");
    let words: Vec<&str> = spaced.split_whitespace().collect();
    let mut at = 0;
    any_of(&words, &mut at) && at == words.len()
}

fn any_of(words: &[&str], at: &mut usize) -> bool {
    let mut met = all_of(words, at);
    while words.get(*at) == Some(&"OR") {
        *at += 1;
        met |= all_of(words, at);
    }
    met
}

fn all_of(words: &[&str], at: &mut usize) -> bool {
    let mut met = one(words, at);
    while words.get(*at) == Some(&"AND") {
        *at += 1;
        met &= one(words, at);
    }
    met
}

fn one(words: &[&str], at: &mut usize) -> bool {
    let Some(word) = words.get(*at) else { return false };
    *at += 1;
    if *word == "(" {
        let met = any_of(words, at);
        *at += 1;
        return met;
    }
    if words.get(*at) == Some(&"WITH") {
        *at += 2;
        return ALLOWED.contains(&format!("{word} WITH {}", words.get(*at - 1).unwrap_or(&"")).as_str());
    }
    ALLOWED.contains(word)
}

#[test]
fn expressions_are_understood() {
    for fine in [
        "MIT",
        "MIT/Apache-2.0",
        "GPL-3.0 OR MIT",
        "(MIT OR GPL-2.0) AND Unicode-3.0",
        "Apache-2.0 WITH LLVM-exception",
    ] {
        assert!(allowed(fine), "{fine}");
    }
    for bad in [
        "",
        "GPL-3.0",
        "MIT AND GPL-3.0",
        "(MIT OR Apache-2.0) AND LGPL-2.1",
        "GPL-2.0 WITH Classpath-exception-2.0",
        "MIT MIT",
    ] {
        assert!(!allowed(bad), "{bad}");
    }
}

/// What cargo knows of the tree, for this machine; `None` where it has not fetched it.
fn tree() -> Option<Value> {
    let run = |program: &str, line: &[&str]| {
        let output = Command::new(program).args(line).current_dir(repository()).output().unwrap();
        (
            output.status.success(),
            String::from_utf8_lossy(&[output.stdout, output.stderr].concat()).into_owned(),
        )
    };
    let (_, version) = run("rustc", &["-vV"]);
    let host = version.lines().find_map(|l| l.strip_prefix("host: ")).unwrap().to_owned();
    let cargo = std::env::var("CARGO").unwrap_or_else(|_| "cargo".to_owned());
    let line = ["metadata", "--offline", "--locked", "--format-version", "1", "--filter-platform", &host];
    let (fine, said) = run(&cargo, &line);
    if !fine {
        eprintln!("not checked: cargo does not know the tree offline: {said}");
        return None;
    }
    Some(serde_json::from_str(said.lines().find(|l| l.starts_with('{')).unwrap()).unwrap())
}

#[test]
fn every_licence_allows_what_ours_allow() {
    let Some(tree) = tree() else { return };
    let packages = tree["packages"].as_array().unwrap();
    assert!(packages.len() > 100);
    let refused: Vec<String> = packages
        .iter()
        .filter(|p| !allowed(p["license"].as_str().unwrap_or("")))
        .map(|p| format!("{}: {}", p["name"], p["license"]))
        .collect();
    assert!(refused.is_empty(), "{refused:#?}");
}

#[test]
fn every_dependency_has_its_reason() {
    let manifest: toml::Table = fs::read_to_string(repository().join("Cargo.toml")).unwrap().parse().unwrap();
    let named =
        |table: &str| -> BTreeSet<String> { manifest[table].as_table().unwrap().keys().cloned().collect() };
    let text = fs::read_to_string(repository().join("DEVELOPERS.md")).unwrap();
    let section = text.split("\n## What is built in\n").nth(1).unwrap().split("\n## ").next().unwrap();
    let rows = section.lines().filter(|l| l.starts_with("| `"));
    let reasoned: BTreeSet<String> = rows
        .flat_map(|row| {
            let cells: Vec<&str> = row.trim_matches('|').split('|').map(str::trim).collect();
            assert!(cells.len() == 2 && cells[1].len() > 10, "a reason is missing: {row}");
            cells[0].split(", ").map(|n| n.trim_matches('`').to_owned()).collect::<Vec<_>>()
        })
        .collect();
    assert_eq!(named("dependencies"), reasoned);
    let said = format!("{} crates are named by us", reasoned.len());
    assert!(section.contains(&said), "DEVELOPERS.md should say: {said}");
}
