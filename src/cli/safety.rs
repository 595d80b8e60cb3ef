//! `benchroll safety COURSE`: what may stand out how long, who avoids what?

use super::ask::{Ask, Because};
use super::course::tell_reasons;
use super::{Exit, Stream, Terminal, course};
use crate::output::json::safety::SafetyView;
use crate::output::safety_tables;

/// Add up time out of the cold; say what is in each piece, and what that means for those who avoid something
#[derive(Clone, PartialEq, Eq, Debug, clap::Args)]
#[command(after_help = "Examples:
  benchroll safety course
  benchroll safety course --anonymous
  benchroll safety course --format json

The answer holds health data: with names it is for the teacher alone.")]
pub struct Arguments {
    #[command(flatten)]
    ask: Ask,
    #[command(flatten)]
    because: Because,

    /// Print numbers for names
    #[arg(long)]
    anonymous: bool,
}

/// What the verdicts mean, below the tables of time.
const VERDICTS: &str = "
ok       within the published figure, no more
warn     look at it and decide: a figure that may not decide, or none in law
over     beyond the published figure: nothing is printed unless you accept it
unknown  nobody can say

";

/// What stands below the tables for people.
const ADVICE: &str = "
Nobody tastes flour, dough or batter: flour and egg are raw until they are baked
(us-raw-flour). Packs are read each time; local codes and licensed practice
decide; this is no medical advice.";

/// Prints it.
pub fn run(arguments: &Arguments, terminal: &mut Terminal<'_>) -> Exit {
    let anonymous = arguments.anonymous;
    course::answer(
        &arguments.ask,
        &arguments.because,
        terminal,
        |reckoned, terminal| {
            let (course, class) = (&reckoned.course, &reckoned.class);
            let (tables, reasons) = safety_tables::times(&reckoned.safety);
            terminal.tables(Stream::Answer, &tables);
            tell_reasons(terminal, &reasons);
            terminal.prose(Stream::Answer, VERDICTS);
            terminal.tables(Stream::Answer, &safety_tables::contents_and_people(course, class, anonymous));
            terminal.prose(Stream::Answer, ADVICE);
            Exit::Fine
        },
        |reckoned, terminal| {
            let (course, class) = (&reckoned.course, &reckoned.class);
            terminal.json(&SafetyView::of(course, class, &reckoned.safety, anonymous));
            Exit::Fine
        },
    )
}
