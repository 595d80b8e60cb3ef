//! The parts of a command line that mean the same in every command.

use crate::course::limits::PEOPLE;
use clap::{Args, ValueEnum};
use std::path::PathBuf;

/// For whom an answer is printed.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default, ValueEnum)]
pub enum Format {
    /// For people: tables and sentences.
    #[default]
    People,
    /// For programs: one JSON document on standard output.
    Json,
}

/// Which course, and what if another number of people came.
#[derive(Clone, PartialEq, Eq, Debug, Args)]
pub struct Ask {
    /// Folder of the course
    #[arg(value_name = "COURSE")]
    pub course: PathBuf,

    /// Ask what if N came: more are added without a name, fewer leave from those without a name
    #[arg(long, value_name = "N", value_parser = headcount)]
    pub headcount: Option<u32>,

    /// Print for people, or for programs as json
    #[arg(long, value_enum, value_name = "FORM", default_value_t, hide_possible_values = true)]
    pub format: Format,
}

/// A question about one number, in the commands that answer with numbers.
#[derive(Clone, PartialEq, Eq, Debug, Default, Args)]
pub struct Because {
    /// Tell why: of an ingredient, a thing of the kitchen, one of the staff, a batch, a load or a task, by its id
    #[arg(long, value_name = "THING")]
    pub why: Option<String>,
}

/// How many people, from 1 to the most that are believed.
fn headcount(text: &str) -> Result<u32, String> {
    let number: Option<usize> = text.trim().parse().ok();
    let believed = number.filter(|n| (1..=PEOPLE).contains(n)).and_then(|n| u32::try_from(n).ok());
    believed.ok_or_else(|| format!("write how many people, a number from 1 to {PEOPLE}"))
}
