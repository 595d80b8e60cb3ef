//! `benchroll plan COURSE`: who does what, when, and does it fit?

use super::ask::{Ask, Because};
use super::{Exit, Stream, Terminal, at, course};
use crate::output::json::plan::PlanView;
use crate::output::timetable;
use crate::pipeline::Reckoned;
use jiff::ZonedDateTime;

/// Plan who does what, when; say whether it fits and whether that is proven
#[derive(Clone, PartialEq, Eq, Debug, clap::Args)]
#[command(after_help = "Examples:
  benchroll plan course
  benchroll plan course --at \"Sat 14:20\"
  benchroll plan course --why walnut-crown.roll@station-3
  benchroll plan course --format json")]
pub struct Arguments {
    #[command(flatten)]
    ask: Ask,
    #[command(flatten)]
    because: Because,

    /// Show only what goes on at this time: 14:20, "Sat 14:20" or "2027-03-06 14:20"
    #[arg(long, value_name = "TIME")]
    at: Option<String>,
}

/// Prints the plan.
pub fn run(arguments: &Arguments, terminal: &mut Terminal<'_>) -> Exit {
    course::answer(
        &arguments.ask,
        &arguments.because,
        terminal,
        |reckoned, terminal| match moment(arguments, reckoned, terminal) {
            Ok(at) => for_people(reckoned, at.as_ref(), terminal),
            Err(exit) => exit,
        },
        |reckoned, terminal| match moment(arguments, reckoned, terminal) {
            Ok(at) => {
                terminal.json(&PlanView::of(&reckoned.planned, at.as_ref()));
                Exit::Fine
            }
            Err(exit) => exit,
        },
    )
}

fn for_people(reckoned: &Reckoned, at: Option<&ZonedDateTime>, terminal: &mut Terminal<'_>) -> Exit {
    let screen = terminal.screen();
    if let Some(plan) = &reckoned.planned.plan {
        let pictures = if at.is_some() { Vec::new() } else { timetable::pictures(&reckoned.course, plan) };
        let pictures = pictures.iter().map(|picture| picture.to_text(screen));
        let tables = timetable::by_the_clock(&reckoned.course, plan, at);
        for text in pictures.chain(tables.iter().map(|table| table.to_text(screen))) {
            terminal.say(Stream::Answer, &text);
            terminal.say(Stream::Answer, "\n");
        }
        if at.is_some() && tables.is_empty() {
            terminal.say(Stream::Answer, "Nothing goes on then.");
        }
    }
    if at.is_none() {
        terminal.say(Stream::Answer, &timetable::verdict(&reckoned.course, &reckoned.planned));
    }
    Exit::Fine
}

/// The moment asked for, if one was.
fn moment(
    arguments: &Arguments,
    reckoned: &Reckoned,
    terminal: &mut Terminal<'_>,
) -> Result<Option<ZonedDateTime>, Exit> {
    let (Some(text), Some(plan)) = (&arguments.at, &reckoned.planned.plan) else { return Ok(None) };
    at::moment(text, plan).map(Some).map_err(|(why, way_out)| {
        terminal.failure(&why, &way_out);
        Exit::CommandLine
    })
}
