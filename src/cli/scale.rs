//! `benchroll scale COURSE`: what does each station weigh out?

use super::ask::{Ask, Because};
use super::{Exit, Stream, Terminal, course};
use crate::output::json::scale::ScaleView;
use crate::output::weigh_tables;

/// Scale every part to the headcount; say who weighs what
#[derive(Clone, PartialEq, Eq, Debug, clap::Args)]
#[command(after_help = "Examples:
  benchroll scale course
  benchroll scale course --headcount 14
  benchroll scale course --why sugar
  benchroll scale course --format json")]
pub struct Arguments {
    #[command(flatten)]
    ask: Ask,
    #[command(flatten)]
    because: Because,
}

/// Prints the weigh-out.
pub fn run(arguments: &Arguments, terminal: &mut Terminal<'_>) -> Exit {
    course::answer(
        &arguments.ask,
        &arguments.because,
        terminal,
        |reckoned, terminal| {
            terminal.tables(Stream::Answer, &weigh_tables::tables(&reckoned.course, &reckoned.weighed));
            Exit::Fine
        },
        |reckoned, terminal| {
            terminal.json(&ScaleView::of(&reckoned.weighed));
            Exit::Fine
        },
    )
}
