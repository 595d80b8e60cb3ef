//! `benchroll scale COURSE`: what does each station weigh out?

use super::ask::Ask;
use super::{Exit, Stream, Terminal, course};
use crate::output::json::scale::ScaleView;
use crate::output::weigh_tables;

/// Scale every part to the headcount; say who weighs what
#[derive(Clone, PartialEq, Eq, Debug, clap::Args)]
#[command(after_help = "Examples:
  benchroll scale course
  benchroll scale course --headcount 14
  benchroll scale course --format json")]
pub struct Arguments {
    #[command(flatten)]
    ask: Ask,
}

/// Prints the weigh-out.
pub fn run(arguments: &Arguments, terminal: &mut Terminal<'_>) -> Exit {
    course::answer(
        &arguments.ask,
        terminal,
        |reckoned, terminal| {
            let tables = weigh_tables::tables(&reckoned.course, &reckoned.weighed);
            let screen = terminal.screen();
            let texts: Vec<String> = tables.iter().map(|t| t.to_text(screen)).collect();
            terminal.say(Stream::Answer, &texts.join("\n"));
            Exit::Fine
        },
        |reckoned, terminal| {
            terminal.json(&ScaleView::of(&reckoned.weighed));
            Exit::Fine
        },
    )
}
