//! `benchroll template NAME`: what the pages are made of, to look at or to start one's own from.

use super::ask::{Ask, Format};
use super::watchdog::Watched;
use super::{Exit, Stream, Terminal, course};
use crate::output::new_file::write_new;
use crate::pipeline::printing::{self, Lent};
use crate::read::folder;
use crate::typeset::{Kind, MemoryShelf, Press};
use serde::Serialize;
use serde_json::Value;
use std::collections::BTreeMap;
use std::io;
use std::path::{Path, PathBuf};

/// Print a template or a language's words, or start your own in a course folder
#[derive(Clone, PartialEq, Eq, Debug, clap::Args)]
#[command(after_help = "Examples:
  benchroll template                               list all names
  benchroll template station-sheet                 print one
  benchroll template station-sheet --into course   start your own
  benchroll template words/de --into course        start your own words
  benchroll template order-mail --into course      your own e-mail to suppliers
  benchroll template data                          what templates receive
  benchroll template roll --data course            the same of a course, as JSON

--into writes course/templates/station-sheet.typ and the like. Of words keep
only those that you change. A file that is there already is never touched.")]
pub struct Arguments {
    /// Name of the template, as the list has it
    #[arg(value_name = "NAME")]
    name: Option<String>,

    /// Write it into this course folder
    #[arg(long, value_name = "COURSE", requires = "name")]
    into: Option<PathBuf>,

    /// Print what the template receives for this course, as JSON: a list of its sheets
    #[arg(long, value_name = "COURSE", requires = "name", conflicts_with = "into")]
    data: Option<PathBuf>,
}

/// One sheet's data file.
#[derive(Serialize, Debug)]
struct SheetData {
    /// The sheet that it becomes, within the output folder.
    path: String,
    /// What the template reads as `/data.json`.
    data: Value,
}

/// What templates receive, described.
const DATA: &str = "templates/data.md";

/// A name, and the path within a course folder that it stands for.
fn names(press: &Press) -> Vec<(&str, &str)> {
    press
        .paths()
        .filter_map(|path| {
            let name = path.strip_prefix("templates/")?;
            let name = match (path, name.starts_with("words/")) {
                (DATA, _) => "data",
                (_, true) => name.strip_suffix(".toml")?,
                (_, false) => name.strip_suffix(".typ").or_else(|| name.strip_suffix(".txt"))?,
            };
            Some((name, path))
        })
        .collect()
}

/// Prints a template, or all names, or the nearest name; or writes the template into a course.
pub fn run(arguments: &Arguments, terminal: &mut Terminal<'_>) -> Exit {
    let press = Press::new(&BTreeMap::new());
    let names = names(&press);
    let Some(name) = &arguments.name else {
        let names: Vec<&str> = names.iter().map(|(name, _)| *name).collect();
        terminal.say(Stream::Answer, &names.join("\n"));
        return Exit::Fine;
    };
    let wanted = name
        .trim_end_matches(".typ")
        .trim_end_matches(".txt")
        .trim_end_matches(".toml")
        .trim_start_matches("templates/");
    let Some((_, path)) = names.iter().find(|(name, _)| *name == wanted) else {
        let nearest = names.iter().map(|(n, _)| (strsim::damerau_levenshtein(n, wanted), n)).min();
        let way_out = match nearest.filter(|(distance, n)| *distance <= n.len() / 2) {
            Some((_, n)) => format!("did you mean {n}? `benchroll template` lists all of them"),
            None => "`benchroll template` lists all of them".to_owned(),
        };
        terminal.failure(&format!("there is no template {name:?}"), &way_out);
        return Exit::CommandLine;
    };
    if let Some(course) = &arguments.data {
        return data(course, wanted, terminal);
    }
    let bytes = press.file(path).unwrap_or_default();
    match &arguments.into {
        // The description of the data is no template: it is only printed.
        Some(_) | None if *path == DATA => {
            terminal.say(Stream::Answer, &String::from_utf8_lossy(bytes));
            Exit::Fine
        }
        None => {
            terminal.say(Stream::Answer, &String::from_utf8_lossy(bytes));
            Exit::Fine
        }
        Some(course) => start(course, path, bytes, terminal),
    }
}

fn data(course: &Path, name: &str, terminal: &mut Terminal<'_>) -> Exit {
    let Ok(kind) = name.parse::<Kind>() else {
        terminal.failure(
            &format!("{name:?} is part of other templates and receives what they do"),
            "name a document: station-sheet, run-sheet, ...",
        );
        return Exit::CommandLine;
    };
    let ask = Ask { course: course.to_owned(), headcount: None, format: Format::Json };
    let (files, outcome) = course::load_and_reckon(&ask, terminal);
    let Some(reckoned) = &outcome.reckoned else {
        course::tell_errors(&ask, &outcome, terminal);
        return course::exit(&outcome);
    };
    let fetch = |path: &str| folder::photograph(course, path).map_err(|e| format!("cannot be read: {e}"));
    let shelf = MemoryShelf::default();
    let lent = Lent { fetch: &fetch, shelf: &shelf, anonymous: false };
    let sheets: Vec<SheetData> = printing::data(reckoned, &files, lent, kind, &Watched)
        .into_iter()
        .map(|(path, data)| SheetData { path, data })
        .collect();
    terminal.json(&sheets);
    course::exit(&outcome)
}

fn start(course: &Path, path: &str, bytes: &[u8], terminal: &mut Terminal<'_>) -> Exit {
    if !course.join("course.toml").is_file() {
        terminal.failure(
            &format!("{} is no course: it has no course.toml", course.display()),
            "give the folder of a course, or start one: `benchroll begin`",
        );
        return Exit::Course;
    }
    let target = course.join(path);
    match write_new(&target, bytes) {
        Ok(()) => {
            let words = "It now stands in for the built-in one. Take the file away, and the built-in one is used again.";
            terminal.say(Stream::Answer, &format!("{} is written. {words}", target.display()));
            Exit::Fine
        }
        Err(e) if e.kind() == io::ErrorKind::AlreadyExists => {
            terminal.failure(
                &format!("{} is there already, and stays as it is", target.display()),
                "print the built-in one beside it: leave --into away",
            );
            Exit::CommandLine
        }
        Err(e) => {
            terminal.failure(
                &format!("can't write {}: {e}", target.display()),
                "see that the folder can be written and has room",
            );
            Exit::Machine
        }
    }
}
