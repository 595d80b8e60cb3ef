//! `benchroll catch-up COURSE --now TIME`: how do we go on?

use super::ask::{Ask, Because, Format};
use super::{Exit, Stream, Terminal, at, course};
use crate::course::Course;
use crate::finding::{Finding, Sources};
use crate::output::catch_up as text;
use crate::output::json::catch_up::CatchUpView;
use crate::output::json::findings::FindingsView;
use crate::output::lost_cold::sentences;
use crate::output::text::wrap;
use crate::pipeline::Reckoned;
use crate::read::FileTree;
use crate::read::grammar;
use crate::read::words_file::catalogue;
use crate::reckon::plan::catch_up::{CaughtUp, Now, Said, catch_up, lost_cold, named};
use crate::reckon::plan::choose::Effort;
use crate::reckon::plan::timetable::Plan;
use crate::units::Minutes;

/// On the day: plan the rest again from now, changing as little as possible
#[derive(Clone, PartialEq, Eq, Debug, clap::Args)]
#[command(after_help = "Examples:
  benchroll catch-up course --now \"Sat 14:20\" --late walnut-crown.cut=20m
  benchroll catch-up course --now \"Sun 09:45\" --without oven-2
  benchroll catch-up course --now 14:20 --absent \"Maren Solheim\"

A step is named as in the plan: walnut-crown.cut@station-4, or without its
group walnut-crown.cut for all of it that runs now. What had to wait for a
late step has not begun; nobody need say so.")]
pub struct Arguments {
    #[command(flatten)]
    ask: Ask,

    /// What time it is: 14:20, \"Sat 14:20\" or \"2027-03-06 14:20\"
    #[arg(long, value_name = "TIME")]
    now: String,

    /// Steps that are over, though the plan has them later
    #[arg(long, value_name = "STEP", num_args = 1.., value_delimiter = ',')]
    done: Vec<String>,

    /// Steps that run or start so much later than planned, as walnut-crown.cut=20m
    #[arg(long, value_name = "STEP=TIME", num_args = 1.., value_delimiter = ',', value_parser = late)]
    late: Vec<(String, i64)>,

    /// Students or helpers who are not there from now on; what is weighed for them is made all the same
    #[arg(long, value_name = "NAME", num_args = 1..)]
    absent: Vec<String>,

    /// What has failed: oven-2, small-mixer, round-20 (one of those tins)
    #[arg(long, value_name = "THING", num_args = 1.., value_delimiter = ',')]
    without: Vec<String>,
}

/// The longest slip that is worth planning round.
const MOST_LATE: i64 = 12 * 60;

/// `STEP=15m`: also `15 min`, `1 h`, or plain minutes.
fn late(text: &str) -> Result<(String, i64), String> {
    let (step, time) = text.rsplit_once('=').ok_or("write a step, `=` and a time: walnut-crown.cut=20m")?;
    let time = time.trim();
    let digits = time.trim_end_matches(|c: char| c.is_alphabetic() || c == ' ');
    let minutes = match time[digits.len()..].trim() {
        "" | "m" => digits.parse::<i64>().ok(),
        _ => grammar::read::<Minutes>(time).ok().map(Minutes::get),
    };
    match minutes {
        Some(minutes) if (1..=MOST_LATE).contains(&minutes) => Ok((step.trim().to_owned(), minutes)),
        Some(_) => Err(format!("a slip lasts from 1 to {MOST_LATE} minutes")),
        None => Err(format!("{time:?} is no time: write 20m or 1 h")),
    }
}

/// Plans the rest again and prints what changed.
pub fn run(arguments: &Arguments, terminal: &mut Terminal<'_>) -> Exit {
    let answered = |reckoned: &Reckoned, terminal: &mut Terminal<'_>| again(arguments, reckoned, terminal);
    course::answer(&arguments.ask, &Because::default(), terminal, answered, answered)
}

fn again(arguments: &Arguments, reckoned: &Reckoned, terminal: &mut Terminal<'_>) -> Exit {
    let Some(plan) = &reckoned.planned.plan else {
        // That no plan was found is told as an error of the course.
        return Exit::Course;
    };
    let (now, notes) = match said(arguments, reckoned, plan, terminal) {
        Ok(understood) => understood,
        Err(exit) => return exit,
    };
    let Reckoned { course, class, portions, .. } = reckoned;
    if arguments.ask.format == Format::People {
        food_first(course, plan, &now, terminal);
    }
    let after = catch_up(course, class, portions, plan, &now, Effort::quick());
    if arguments.ask.format == Format::Json {
        terminal.json(&CatchUpView::of(after.as_ref(), &lost_cold(course, plan, &now)));
    }
    let Some(after) = after else {
        terminal.failure(
            "no plan was found that goes on from there, not even a late one",
            "say with --done what is over, and --late only for what runs or comes next",
        );
        return Exit::Course;
    };
    if arguments.ask.format == Format::People {
        terminal.findings(Stream::Aside, &notes, &Sources::default());
        for_people(reckoned, plan, &now, &after, terminal);
    }
    if after.plan.fits { Exit::Fine } else { Exit::Course }
}

/// Food that has lost its cold comes before any plan, also where none is found.
fn food_first(course: &Course, plan: &Plan, now: &Now, terminal: &mut Terminal<'_>) {
    let words = catalogue(&FileTree::default(), &course.settings.language.value);
    let width = terminal.screen().width;
    for lost in lost_cold(course, plan, now) {
        for sentence in sentences(course, &words, &lost) {
            for (n, line) in wrap(&sentence, width.saturating_sub(2)).iter().enumerate() {
                terminal.say(Stream::Answer, &format!("{}{line}", if n == 0 { "" } else { "  " }));
            }
        }
        terminal.say(Stream::Answer, "");
    }
}

fn for_people(reckoned: &Reckoned, plan: &Plan, now: &Now, after: &CaughtUp, terminal: &mut Terminal<'_>) {
    let screen = terminal.screen();
    for table in text::changes(&reckoned.course, plan, after) {
        terminal.say(Stream::Answer, &table.to_text(screen));
        terminal.say(Stream::Answer, "\n");
    }
    terminal.say(Stream::Answer, &text::verdict(&reckoned.course, now, after, screen));
}

/// What was said on the command line, found in the plan.
fn said(
    arguments: &Arguments,
    reckoned: &Reckoned,
    plan: &Plan,
    terminal: &mut Terminal<'_>,
) -> Result<(Now, Vec<Finding>), Exit> {
    let time = at::moment(&arguments.now, plan).map_err(|(why, way_out)| {
        let finding = Finding::error("time-outside-class", None, why).way_out(way_out);
        refuse(arguments, &[finding], terminal)
    })?;
    let said = Said {
        time,
        done: arguments.done.clone(),
        late: arguments.late.iter().map(|(step, by)| (step.clone(), Minutes(*by))).collect(),
        without: arguments.without.clone(),
        absent: arguments.absent.clone(),
    };
    named(&reckoned.course, &reckoned.class, plan, &said).map_err(|found| refuse(arguments, &found, terminal))
}

/// The command line names what is not there.
fn refuse(arguments: &Arguments, found: &[Finding], terminal: &mut Terminal<'_>) -> Exit {
    match arguments.ask.format {
        Format::Json => terminal.json(&FindingsView::of(found, &Sources::default())),
        Format::People => terminal.findings(Stream::Aside, found, &Sources::default()),
    }
    Exit::CommandLine
}
