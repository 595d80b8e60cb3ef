//! The person at the keyboard: one file per command, short: read, reckon, say.
//!
//! To add a command: a file here, a line in [`Command`] and one in [`run`].

pub mod after;
pub mod ask;
mod at;
pub mod begin;
pub mod catch_up;
pub mod changes;
pub mod check;
pub mod completions;
mod course;
pub mod equip;
mod exit;
pub mod export;
pub mod finding;
pub mod import;
pub mod live;
pub mod manual;
pub mod mishap;
pub mod order;
mod own_folder;
pub mod plan;
pub mod prepare;
mod progress;
pub mod review;
pub mod roll;
pub mod safety;
pub mod scale;
pub mod schema;
pub mod season;
mod shelf;
mod standing;
pub mod swap;
pub mod template;
pub mod terminal;
mod watchdog;
mod when;

pub use exit::Exit;
pub use terminal::{Stream, Terminal};

use clap::{CommandFactory, FromArgMatches, Parser, Subcommand};
use std::ffi::OsString;

/// Turn a course folder into everything one enriched-bread class needs
#[derive(Parser)]
#[command(
    name = "benchroll",
    version,
    subcommand_required = true,
    arg_required_else_help = true,
    disable_help_subcommand = true,
    after_help = "Examples:
  benchroll prepare course --out printed   print everything for a class
  benchroll check course                   say what is wrong with its files
  benchroll order course --headcount 13    what to buy if thirteen come

Exit codes:
  0  fine, though there may be warnings
  1  the course has errors, is no course, or does not fit
  2  the command line is wrong
  3  the program or the machine failed"
)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

/// What can be asked.
#[derive(Subcommand)]
enum Command {
    Begin(begin::Arguments),
    Prepare(prepare::Arguments),
    Check(check::Arguments),
    Scale(scale::Arguments),
    Equip(equip::Arguments),
    Order(order::Arguments),
    Changes(changes::Arguments),
    Plan(plan::Arguments),
    CatchUp(catch_up::Arguments),
    Safety(safety::Arguments),
    Review(review::Arguments),
    Live(live::Arguments),
    Swap(swap::Arguments),
    Roll(roll::Arguments),
    After(after::Arguments),
    Finding(finding::Arguments),
    Template(template::Arguments),
    Import(import::Arguments),
    Export(export::Arguments),
    Season(season::Arguments),
    Schema(schema::Arguments),
    Manual(manual::Arguments),
    Completions(completions::Arguments),
}

/// Runs one command line, the program's name first, and says how it ended.
pub fn run(line: impl IntoIterator<Item = OsString>, terminal: &mut Terminal<'_>) -> Exit {
    let parsed = command(terminal.screen().width)
        .try_get_matches_from(line)
        .and_then(|matches| Arguments::from_arg_matches(&matches));
    let exit = match parsed {
        Ok(arguments) => match arguments.command {
            Command::Begin(arguments) => begin::run(&arguments, terminal),
            Command::Prepare(arguments) => prepare::run(&arguments, terminal),
            Command::Check(arguments) => check::run(&arguments, terminal),
            Command::Scale(arguments) => scale::run(&arguments, terminal),
            Command::Equip(arguments) => equip::run(&arguments, terminal),
            Command::Order(arguments) => order::run(&arguments, terminal),
            Command::Changes(arguments) => changes::run(&arguments, terminal),
            Command::Plan(arguments) => plan::run(&arguments, terminal),
            Command::CatchUp(arguments) => catch_up::run(&arguments, terminal),
            Command::Safety(arguments) => safety::run(&arguments, terminal),
            Command::Review(arguments) => review::run(&arguments, terminal),
            Command::Live(arguments) => live::run(&arguments, terminal),
            Command::Swap(arguments) => swap::run(&arguments, terminal),
            Command::Roll(arguments) => roll::run(&arguments, terminal),
            Command::After(arguments) => after::run(&arguments, terminal),
            Command::Finding(arguments) => finding::run(&arguments, terminal),
            Command::Template(arguments) => template::run(&arguments, terminal),
            Command::Import(arguments) => import::run(&arguments, terminal),
            Command::Export(arguments) => export::run(&arguments, terminal),
            Command::Season(arguments) => season::run(&arguments, terminal),
            Command::Schema(arguments) => schema::run(&arguments, terminal),
            Command::Manual(arguments) => manual::run(&arguments, terminal),
            Command::Completions(arguments) => completions::run(&arguments, terminal),
        },
        Err(refused) => terminal.refused(&refused),
    };
    match terminal.failed().map(ToString::to_string) {
        Some(error) => {
            terminal.failure(&format!("can't print: {error}"), "make room, or print into another file");
            Exit::Machine
        }
        None => exit,
    }
}

/// The command line's definition; help, manual page and completions come from it.
#[must_use]
pub fn command(width: usize) -> clap::Command {
    Arguments::command().term_width(width)
}

/// Runs the process's own command line on its own streams.
#[must_use]
pub fn start() -> std::process::ExitCode {
    mishap::tell_panics();
    watchdog::watch();
    let run = || run(std::env::args_os(), &mut Terminal::of_this_process());
    // The code of a slip of ours must not look like an answer about the course.
    std::panic::catch_unwind(run).unwrap_or(Exit::Machine).into()
}
