//! `benchroll check COURSE`: is the folder sound?

use super::ask::{Ask, Format};
use super::{Exit, Stream, Terminal, course};
use crate::output::json::findings::FindingsView;
use crate::typeset::MemoryShelf;

/// Read the whole course, reckon and plan it, and say what is wrong, all at once
#[derive(Clone, PartialEq, Eq, Debug, clap::Args)]
#[command(after_help = "Examples:
  benchroll check course
  benchroll check course --headcount 14
  benchroll check course --format json")]
pub struct Arguments {
    #[command(flatten)]
    ask: Ask,
}

/// Prints all findings.
pub fn run(arguments: &Arguments, terminal: &mut Terminal<'_>) -> Exit {
    let (_, outcome, _) = course::produce(&arguments.ask, &MemoryShelf::default(), false, &[], terminal);
    match arguments.ask.format {
        Format::Json => {
            let sorted = super::terminal::sorted(&outcome.findings);
            terminal.json(&FindingsView::of(sorted, &outcome.sources));
        }
        Format::People => {
            terminal.findings(Stream::Answer, &outcome.findings, &outcome.sources);
            if !outcome.has_errors() {
                terminal.say(Stream::Answer, "The course is sound, and it fits its sessions.");
            }
        }
    }
    course::exit(&outcome)
}
