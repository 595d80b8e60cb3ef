//! `benchroll schema FILE`: what a file may hold, for editors that complete and check.

mod build;
mod forms;

use super::{Exit, Stream, Terminal};

pub use build::schema;

/// Print a file's JSON Schema, so that an editor completes its keys and marks slips
#[derive(Clone, PartialEq, Eq, Debug, clap::Args)]
#[command(after_help = "Examples:
  benchroll schema                         list the kinds of files
  benchroll schema formula > formula.schema.json

Point your editor to the printed file for all files of that kind. The schema of
the roll describes one row. What needs more than one file is told by check.")]
pub struct Arguments {
    /// Kind of file: course, kitchen, pantry, roll, formula or lesson
    #[arg(value_name = "FILE")]
    file: Option<String>,
}

/// The kinds of files by their names on the command line, with the name of their table of keys.
pub const KINDS: &[(&str, &str)] = &[
    ("course", "course.toml"),
    ("kitchen", "kitchen.toml"),
    ("pantry", "pantry.toml"),
    ("roll", "roll.csv"),
    ("formula", "formulas/*.toml"),
    ("lesson", "lessons/*.toml"),
];

/// Prints a schema, or all kinds, or the nearest kind.
pub fn run(arguments: &Arguments, terminal: &mut Terminal<'_>) -> Exit {
    let Some(file) = &arguments.file else {
        let lines: Vec<String> = KINDS.iter().map(|(name, of)| format!("{name:<8} {of}")).collect();
        terminal.say(Stream::Answer, &lines.join("\n"));
        return Exit::Fine;
    };
    let kind = KINDS.iter().find(|(name, of)| file == name || file == of || is_of(file, of));
    let Some(schema) = kind.and_then(|(_, of)| schema(of)) else {
        let names: Vec<&str> = KINDS.iter().map(|(name, _)| *name).collect();
        terminal.failure(
            &format!("there is no kind of file {file:?}"),
            &format!("it is one of {}", names.join(", ")),
        );
        return Exit::CommandLine;
    };
    terminal.json(&schema);
    Exit::Fine
}

/// Whether a path is of a kind: `formulas/crown.toml`.
fn is_of(path: &str, of: &str) -> bool {
    of.split_once('*').is_some_and(|(folder, ending)| {
        path.starts_with(folder) && path.ends_with(ending) && path.len() > of.len()
    })
}
