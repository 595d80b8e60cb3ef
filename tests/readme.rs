//! Every command of the README does what a reader of it would see: run in its order, in one folder.

use crate::help::words_of;
use crate::support::{Sealed, repository};
use std::fs;

/// The command lines in code blocks and in code within sentences, in order, each once.
fn commands(text: &str) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    let mut block = false;
    for line in text.lines() {
        if line.starts_with("```") {
            block = !block;
        } else if block {
            found.extend(line.starts_with("benchroll ").then(|| line.to_owned()));
        } else {
            let code = line.split('`').skip(1).step_by(2);
            found.extend(code.filter(|c| c.trim_end().starts_with("benchroll ")).map(str::to_owned));
        }
    }
    let mut once: Vec<String> = Vec::new();
    found.into_iter().for_each(|line| {
        if !once.contains(&line) {
            once.push(line)
        }
    });
    once
}

#[test]
fn every_command_of_the_readme_runs() {
    let readme = fs::read_to_string(repository().join("README.md")).unwrap();
    let commands = commands(&readme);
    assert!(commands.len() > 25, "{commands:?}");
    let recipe = "Tea loaf\nMakes 2\n500 g strong flour\n1 1/4 cups milk\n1 egg\n9 g salt\n";
    let sealed = Sealed::new().file("recipe.txt", recipe);
    // `live` goes on until it is ended, `review` needs a day that was, `catch-up` one that is, `roll` a file that is not here, and
    // `swap` a stand-in: tests of their own run them.
    let ends = |c: &&String| {
        !["live", "review", "catch-up", "roll course", "swap"]
            .iter()
            .any(|b| c.starts_with(&format!("benchroll {b}")))
    };
    for command in commands.iter().filter(ends) {
        let line = words_of(command);
        let line: Vec<&str> = line.iter().skip(1).map(String::as_str).collect();
        let said = sealed.run(&line);
        assert_eq!(said.exit, Some(0), "{command}\n{said}");
        assert!(!said.to_string().trim().is_empty(), "{command}");
    }
    // What is asked of the demo class.
    let swap = commands.iter().find(|c| c.starts_with("benchroll swap")).unwrap();
    let line = words_of(swap);
    let line: Vec<&str> = line.iter().skip(1).map(String::as_str).collect();
    let said = Sealed::demo().run(&line);
    assert_eq!(said.exit, Some(0), "{swap}\n{said}");
    // What the text names is there.
    for file in ["printed/station-1.pdf", "printed/run-sheet.pdf", "my-class/formulas/tea-loaf.toml"] {
        assert!(sealed.path(file).is_file(), "{file}");
    }
    let sheets = sealed.files("sheets");
    assert!(
        sheets.iter().all(|f| ["station", "run-sheet", "manifest"].iter().any(|p| f.starts_with(p))),
        "{sheets:?}"
    );
}

/// The kinds of documents that are printed stand in the README's table.
#[test]
fn every_document_that_is_printed_is_in_the_readme() {
    let readme = fs::read_to_string(repository().join("README.md")).unwrap();
    let sealed = Sealed::new();
    sealed.run(&["begin", "my-class", "--kind", "afternoon", "--date", "2027-03-06", "--place", "uk"]);
    sealed.run(&["prepare", "my-class", "--out", "printed"]);
    for file in sealed.files("printed") {
        let stem = file.split(['/', '.']).next().unwrap().trim_end_matches(|c: char| c.is_ascii_digit());
        let known = readme.contains(&format!("`{stem}")) || ["manifest"].contains(&stem);
        let by_first = readme.contains(&format!("`{}-", stem.split('-').next().unwrap()));
        assert!(known || by_first, "{file}");
    }
}
