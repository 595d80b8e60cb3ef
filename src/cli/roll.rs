//! `benchroll roll COURSE`: who comes, and where do they sit? With `--from FILE`: what a form or a shop exported, as a roll.

use super::ask::{Ask, Because};
use super::{Exit, Stream, Terminal, course};
use crate::finding::{Finding, Level};
use crate::output::json::roll::RollView;
use crate::output::new_file::write_new;
use crate::output::roll_tables;
use crate::output::roll_text::RollText;
use crate::output::text::counted;
use crate::read::folder;
use crate::read::roll_import::{self, Entry, Import, not_said_yet, union};
use crate::read::roll_unclear;
use std::io;
use std::path::{Path, PathBuf};

/// Show who comes and where they sit, or bring in a list that a form or a shop exported
#[derive(Clone, PartialEq, Eq, Debug, clap::Args)]
#[command(after_help = "Examples:
  benchroll roll course
  benchroll roll course --from bookings.csv
  benchroll roll course --from bookings.xlsx --sheet Answers
    --column name=\"Who are you?\"

Columns: name, or first and last; status, with, station, avoids, needs; booking,
which two people share. They are found by their heads, or named with --column.
roll.csv itself is not touched: the new one is written beside it. New people
come last, so that nobody moves.")]
pub struct Arguments {
    #[command(flatten)]
    ask: Ask,

    /// Bring in this CSV or XLSX file
    #[arg(long, value_name = "FILE")]
    from: Option<PathBuf>,

    /// The sheet of a workbook; the first if not said
    #[arg(long, value_name = "NAME", requires = "from")]
    sheet: Option<String>,

    /// Take a column of the file for a column of the roll: `avoids="Any allergies?"`
    #[arg(long, value_name = "COLUMN=HEAD", requires = "from", value_parser = column)]
    column: Vec<(String, String)>,
}

fn column(text: &str) -> Result<(String, String), String> {
    let (column, head) = text.split_once('=').ok_or("write COLUMN=HEAD: avoids=\"Any allergies?\"")?;
    Ok((column.trim().to_owned(), head.trim().to_owned()))
}

/// Prints the roll, or writes a new one beside it.
pub fn run(arguments: &Arguments, terminal: &mut Terminal<'_>) -> Exit {
    if let Some(file) = &arguments.from {
        return bring_in(arguments, file, terminal);
    }
    let outcome = course::load_and_seat(&arguments.ask, terminal);
    course::answer_from(
        &arguments.ask,
        &Because::default(),
        &outcome,
        terminal,
        |reckoned, terminal| {
            let (course, class) = (&reckoned.course, &reckoned.class);
            terminal.tables(Stream::Answer, &[roll_tables::roll(course, class)]);
            terminal.say(Stream::Answer, &format!("\n{}", roll_tables::verdict(course, class)));
            Exit::Fine
        },
        |reckoned, terminal| {
            terminal.json(&RollView::of(&reckoned.course, &reckoned.class));
            Exit::Fine
        },
    )
}

fn bring_in(arguments: &Arguments, file: &Path, terminal: &mut Terminal<'_>) -> Exit {
    let folder_of = &arguments.ask.course;
    let way_out = "see that the file is there, can be read, and is no larger than 16 MiB";
    let bytes = match folder::one_file(file) {
        Ok(bytes) => bytes,
        Err(error) => {
            terminal.failure(&format!("can't read {}: {error}", file.display()), way_out);
            return Exit::CommandLine;
        }
    };
    let name = file.file_name().map_or_else(String::new, |n| n.to_string_lossy().into_owned());
    let import = roll_import::read(&name, &bytes, arguments.sheet.as_deref(), &arguments.column);
    terminal.findings(Stream::Aside, &import.findings, &import.sources);
    if import.findings.iter().any(|f| f.level == Level::Error) {
        return Exit::Course;
    }
    let unclear = unclear(folder_of, &import, &name);
    terminal.findings(Stream::Aside, &unclear, &import.sources);
    let former = match folder::one_file(&folder_of.join("roll.csv")) {
        Ok(bytes) => bytes,
        Err(error) if error.kind() == io::ErrorKind::NotFound && folder_of.join("course.toml").is_file() => {
            b"name,status,with,station,avoids,needs\n".to_vec()
        }
        Err(error) => {
            terminal.failure(
                &format!("can't read {}: {error}", folder_of.join("roll.csv").display()),
                "name the folder of a course",
            );
            return Exit::Course;
        }
    };
    let Some(mut roll) = RollText::new(&former) else {
        terminal.failure(
            &format!("{} is not in UTF-8, or has no column `name`", folder_of.join("roll.csv").display()),
            "`benchroll check` tells more",
        );
        return Exit::Course;
    };
    let missing = merge(&mut roll, &import);
    course::say(&taken(&import), terminal);
    if !missing.is_empty() {
        let words = format!("On the roll, but not in {name}; they stay as they are: {}.", missing.join(", "));
        course::say(&words, terminal);
    }
    if roll.changes().is_empty() {
        terminal.say(Stream::Answer, "Nothing changes: no file is written.");
        return Exit::Fine;
    }
    terminal.tables(Stream::Answer, &[roll.table("What would change")]);
    match write_beside(folder_of, "roll", "csv", &roll.bytes()) {
        Ok(path) => {
            let words = format!(
                "\n{} on it, {}. It is {}{}: look at it, and put it in place of roll.csv.",
                counted(roll.names().len(), "person", "people"),
                counted(roll.changes().len(), "cell changed", "cells changed"),
                path.display(),
                if path.ends_with("roll.new.csv") {
                    ""
                } else {
                    " (those with a lower number are from before)"
                }
            );
            course::say(&words, terminal);
            let open = unclear.iter().filter(|f| f.level == Level::Warning).count();
            if open > 0 {
                let words = format!(
                    "{} not understood, told above by row: ask, and write it anew before this is the roll.",
                    counted(open, "thing that somebody avoids is", "things that people avoid are")
                );
                course::say(&words, terminal);
            }
            Exit::Fine
        }
        Err((path, error)) => {
            terminal.failure(&format!("can't write {}: {error}", path.display()), "make the folder writable");
            Exit::Machine
        }
    }
}

/// What people avoid and what is not understood; an ingredient of the pantry is, as far as the course can be read.
fn unclear(course: &Path, import: &Import, name: &str) -> Vec<Finding> {
    let reading = folder::read(course);
    let pantry = reading.course.as_ref().map(|c| &c.pantry);
    let pantry = pantry.or_else(|| reading.draft.as_ref().map(|d| &d.pantry));
    let items: Vec<&str> = pantry.iter().flat_map(|p| &p.items).map(|i| i.id.value.as_str()).collect();
    roll_unclear::unclear(import, name, &items)
}

/// Which columns were taken for what, and which were left out.
fn taken(import: &Import) -> String {
    let columns: Vec<String> =
        import.columns.iter().map(|(key, head)| format!("{key} from \"{head}\"")).collect();
    let mut words =
        format!("{} in the file; {}.", counted(import.people.len(), "person", "people"), columns.join(", "));
    if !import.left_out.is_empty() {
        words.push_str(&format!("\nLeft out, as a roll does not need it: {}.", import.left_out.join(", ")));
    }
    words
}

/// Writes a file beside one of the course's, under a name that nobody has: `roll.new.csv`, `roll.new-2.csv`.
pub fn write_beside(
    course: &Path,
    stem: &str,
    ending: &str,
    bytes: &[u8],
) -> Result<PathBuf, (PathBuf, io::Error)> {
    let mut no = 1u32;
    loop {
        let number = if no == 1 { String::new() } else { format!("-{no}") };
        let path = course.join(format!("{stem}.new{number}.{ending}"));
        match write_new(&path, bytes) {
            Ok(()) => return Ok(path),
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists && no < 1000 => no += 1,
            Err(error) => return Err((path, error)),
        }
    }
}

/// Brings people into the roll; gives back who is on it and not in the file. What somebody avoids never gets less.
fn merge(roll: &mut RollText, import: &Import) -> Vec<String> {
    let all = roll.names();
    for entry in &import.people {
        match roll.find(&entry.name) {
            Some(row) => update(roll, row, entry),
            None => roll.add(&[
                ("name", &entry.name),
                ("status", entry.status.unwrap_or("coming")),
                ("with", &entry.with),
                ("station", &entry.station),
                ("avoids", &entry.avoids),
                ("needs", &entry.needs),
            ]),
        }
    }
    let there =
        |name: &String| import.people.iter().any(|e| roll_import::key(&e.name) == roll_import::key(name));
    all.into_iter().filter(|name| !there(name)).collect()
}

fn update(roll: &mut RollText, row: usize, entry: &Entry) {
    if let Some(status) = entry.status {
        let was = roll.get(row, "status").to_lowercase();
        if was != status && !(was.is_empty() && status == "coming") {
            roll.set(row, "status", status);
        }
    }
    for (column, new) in [("with", &entry.with), ("station", &entry.station)] {
        if roll.get(row, column).is_empty() && !new.is_empty() {
            roll.set(row, column, new);
        }
    }
    for (column, new) in [("avoids", &entry.avoids), ("needs", &entry.needs)] {
        let both = union(roll.get(row, column), &not_said_yet(roll.get(row, column), new));
        if union(roll.get(row, column), "") != both {
            roll.set(row, column, &both);
        }
    }
}
