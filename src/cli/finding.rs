//! `benchroll finding CODE`: what a finding means and what to do about it.

use super::{Exit, Stream, Terminal};
use crate::pipeline::codes::{codes, nearest, page};

/// Explain a finding by its code, with an example
#[derive(Clone, PartialEq, Eq, Debug, clap::Args)]
#[command(after_help = "Examples:
  benchroll finding tin-too-small
  benchroll finding               list all codes")]
pub struct Arguments {
    /// The word in brackets after error, warning or note
    #[arg(value_name = "CODE")]
    code: Option<String>,
}

/// Prints a page, or all codes, or the nearest code.
pub fn run(arguments: &Arguments, terminal: &mut Terminal<'_>) -> Exit {
    let Some(code) = &arguments.code else {
        terminal.say(Stream::Answer, &codes().collect::<Vec<_>>().join("\n"));
        return Exit::Fine;
    };
    match page(code) {
        Some(page) => {
            terminal.say(Stream::Answer, page);
            Exit::Fine
        }
        None => {
            let way_out = match nearest(code) {
                Some(c) => format!("did you mean {c}? `benchroll finding` lists all of them"),
                None => "`benchroll finding` lists all of them".to_owned(),
            };
            terminal.failure(&format!("there is no finding {code:?}"), &way_out);
            Exit::CommandLine
        }
    }
}
