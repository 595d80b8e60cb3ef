//! The help, the manual and the completions come from one definition, and the programs that they are for read them.

use crate::support::{Sealed, tool};
use benchroll::cli::command;
use std::fs;

fn commands() -> Vec<String> {
    command(80).get_subcommands().map(|c| c.get_name().to_owned()).collect()
}

#[test]
fn every_command_has_an_example_that_names_it() {
    for sub in command(80).get_subcommands() {
        let name = sub.get_name();
        let after = sub.get_after_help().map(ToString::to_string).unwrap_or_default();
        assert!(after.starts_with("Examples:\n"), "{name}: {after}");
        assert!(after.contains(&format!("  benchroll {name}")), "{name}: {after}");
        assert!(after.lines().all(|l| l.chars().count() <= 80), "{name}: {after}");
    }
}

/// Each example of the help is a line that the program takes: what is not a line for a shell is parsed.
#[test]
fn every_example_is_a_line_that_is_understood() {
    let mut lines = 0;
    for sub in command(80).get_subcommands() {
        let after = sub.get_after_help().map(ToString::to_string).unwrap_or_default();
        let joined = after.replace("\n    --", " --");
        for line in joined.lines().filter(|l| l.starts_with("  benchroll ")) {
            // What stands behind two blanks or a sign of the shell is no longer the command line.
            let line = line.trim().split("  ").next().unwrap().split(['|', '>']).next().unwrap();
            let words = words_of(line);
            let parsed = command(80).try_get_matches_from(&words);
            assert!(parsed.is_ok(), "{line}: {}", parsed.unwrap_err());
            lines += 1;
        }
    }
    assert!(lines > 20, "{lines}");
}

/// A command line's words; quotes hold words together.
pub fn words_of(line: &str) -> Vec<String> {
    let (mut words, mut word, mut quoted) = (Vec::new(), None::<String>, false);
    for c in line.chars() {
        match c {
            '"' => {
                quoted = !quoted;
                word.get_or_insert_default();
            }
            c if c.is_whitespace() && !quoted => words.extend(word.take()),
            c => word.get_or_insert_default().push(c),
        }
    }
    words.extend(word);
    words
}

#[test]
fn a_manual_page_of_every_command_is_read_by_man() {
    let sealed = Sealed::new();
    let written = sealed.run(&["manual", "--into", "man1"]);
    assert_eq!(written.exit, Some(0), "{written}");
    let mut pages = vec!["benchroll.1".to_owned()];
    pages.extend(commands().iter().map(|c| format!("benchroll-{c}.1")));
    pages.sort();
    assert_eq!(sealed.files("man1"), pages);
    assert_eq!(sealed.run(&["manual"]).stdout, sealed.read("man1/benchroll.1"));
    assert_eq!(sealed.run(&["manual", "prepare"]).stdout, sealed.read("man1/benchroll-prepare.1"));
    assert_eq!(sealed.run(&["manual", "preprae"]).exit, Some(2));
    for page in pages {
        let path = sealed.path(&format!("man1/{page}"));
        let Some(text) = tool("man", &["-l", "--warnings=w", "-P", "cat", path.to_str().unwrap()]) else {
            return;
        };
        let plain: String = text.replace('\u{8}', "");
        assert!(plain.contains("EXAMPLES") || plain.contains("EEXXAAMMPPLLEESS"), "{page}: {plain}");
    }
}

#[test]
fn completions_are_loaded_by_their_shells() {
    let sealed = Sealed::new();
    for (shell, file, check) in [
        ("bash", "c.bash", "source FILE && complete -p benchroll"),
        (
            "zsh",
            "_benchroll",
            "autoload -U compinit && compinit -D -u && source FILE && whence -w _benchroll",
        ),
        ("fish", "c.fish", "source FILE; and complete --do-complete 'benchroll pre'"),
    ] {
        let text = sealed.run(&["completions", shell]).stdout;
        for command in commands() {
            assert!(text.contains(&command), "{shell}: {command}");
        }
        fs::write(sealed.path(file), text).unwrap();
        let check = check.replace("FILE", sealed.path(file).to_str().unwrap());
        let Some(said) = tool(shell, &["-c", &check]) else { continue };
        assert!(said.contains("benchroll") || said.contains("prepare"), "{shell}: {said}");
    }
    assert_eq!(sealed.run(&["completions", "sh"]).exit, Some(2));
}
