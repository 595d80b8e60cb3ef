//! `benchroll plan COURSE`: who does what, when, and does it fit?

use super::ask::{Ask, Because};
use super::{Exit, Stream, Terminal, at, course};
use crate::output::calendar::calendar;
use crate::output::json::plan::PlanView;
use crate::output::text::wrap;
use crate::output::timetable;
use crate::pipeline::Reckoned;
use crate::reckon::plan::choose::Effort;
use crate::reckon::plan::conflict::{self, Conflict};
use crate::reckon::plan::idle::longest_wait;
use crate::reckon::plan::levers::{self, Change, Lever};
use jiff::ZonedDateTime;

/// Plan who does what, when; say whether it fits and whether that is proven
#[derive(Clone, PartialEq, Eq, Debug, clap::Args)]
#[command(after_help = "Examples:
  benchroll plan course
  benchroll plan course --at \"Sat 14:20\"
  benchroll plan course --why walnut-crown.roll@station-3
  benchroll plan course --calendar > plan.ics
  benchroll plan course --format json")]
pub struct Arguments {
    #[command(flatten)]
    ask: Ask,
    #[command(flatten)]
    because: Because,

    /// Show only what goes on at this time: 14:20, "Sat 14:20" or "2027-03-06 14:20"
    #[arg(long, value_name = "TIME")]
    at: Option<String>,

    /// Print the plan as a calendar file (iCalendar) for a phone: an entry for each block of work
    #[arg(long, conflicts_with_all = ["at", "why", "levers", "format"])]
    calendar: bool,

    /// Try single changes until the class fits, and say which ones do it; this can take minutes
    #[arg(long)]
    levers: bool,
}

/// One combination of batches and loads is looked at for each change that is tried.
fn trying() -> Effort {
    Effort { combinations: 1, ..Effort::quick() }
}

/// Prints the plan.
pub fn run(arguments: &Arguments, terminal: &mut Terminal<'_>) -> Exit {
    course::answer(
        &arguments.ask,
        &arguments.because,
        terminal,
        |reckoned, terminal| match moment(arguments, reckoned, terminal) {
            Ok(at) => for_people(arguments, reckoned, at.as_ref(), terminal),
            Err(exit) => exit,
        },
        |reckoned, terminal| match moment(arguments, reckoned, terminal) {
            Ok(at) => {
                let mut view = PlanView::of(&reckoned.planned, at.as_ref());
                view.with_odds(reckoned.odds().as_ref());
                let refused = reckoned.planned.plan.is_none() && !reckoned.planned.refused.is_empty();
                if arguments.levers && !view.fits && !refused {
                    view.with_conflict(&conflict(reckoned), &levers(arguments, reckoned));
                }
                terminal.json(&view);
                Exit::Fine
            }
            Err(exit) => exit,
        },
    )
}

fn conflict(reckoned: &Reckoned) -> Conflict {
    let Reckoned { course, class, portions, options, planned, .. } = reckoned;
    let figure = planned.figure(Effort::default());
    conflict::explain(course, class, portions, options, &figure, trying())
}

fn levers(arguments: &Arguments, reckoned: &Reckoned) -> Vec<Lever> {
    let late = reckoned.planned.plan.as_ref();
    levers::levers(&reckoned.course, arguments.ask.headcount, late, trying())
}

/// The changes that are tried, in words; of those that differ by how much alone the largest.
fn tried(headcount: Option<u32>, reckoned: &Reckoned) -> Vec<String> {
    let course = &reckoned.course;
    let all = levers::changes(course, headcount, reckoned.planned.plan.as_ref());
    let all: Vec<Change> = all.into_iter().filter(|change| change.apply(course).is_some()).collect();
    let larger = |n: usize, one: &Change| all[n + 1..].iter().any(|other| one.is_as(other));
    all.iter().enumerate().filter(|(n, one)| !larger(*n, one)).map(|(_, one)| one.text(course)).collect()
}

/// How sure the plan is, and when it does not fit, why, and what was tried and helps.
fn second_thoughts(arguments: &Arguments, reckoned: &Reckoned) -> Vec<String> {
    let mut lines = Vec::new();
    if let Some(odds) = reckoned.odds() {
        let sure = odds.sessions.iter().map(|s| {
            let name = reckoned.course.session(&s.id).and_then(|one| one.name.as_ref());
            let name = name.map_or_else(|| s.id.to_string(), |n| n.value.clone());
            format!("{name} {}", s.on_time)
        });
        let sure: Vec<String> = sure.collect();
        lines.push(format!("on time, by {} draws of the durations: {}", odds.draws, sure.join(", ")));
        if let Some((task, minutes)) = &odds.buffer {
            lines.push(format!("a buffer of {minutes} helps most after {task}"));
        }
    }
    let wait = reckoned.planned.plan.as_ref().and_then(longest_wait);
    lines.extend(wait.map(|wait| timetable::words_of_wait(&reckoned.course, &wait)));
    if reckoned.planned.plan.as_ref().is_some_and(|p| p.fits) {
        return lines;
    }
    if reckoned.planned.plan.is_none() && !reckoned.planned.refused.is_empty() {
        // Nothing that the teacher changes is known to help where our own checker refuses what was found; the finding says what to do.
        return lines;
    }
    if !arguments.levers {
        lines.push("why, and what would help: the same command with --levers".to_owned());
        return lines;
    }
    let found = conflict(reckoned);
    lines.push(found.sentence);
    lines.extend(found.constraints.into_iter().map(|c| format!("  {c}")));
    let helping = levers(arguments, reckoned);
    if helping.is_empty() {
        lines.push("No single change that was tried makes it fit. Tried, each alone:".to_owned());
        lines.extend(tried(arguments.ask.headcount, reckoned).into_iter().map(|text| format!("  {text}")));
        lines.push(
            "What is left: another day or order of the sessions, fewer people, or a smaller lesson."
                .to_owned(),
        );
    } else {
        lines.push("Each of these alone makes it fit; each was tried:".to_owned());
        lines.extend(helping.into_iter().map(|lever| format!("  {}", lever.text)));
    }
    lines
}

fn for_people(
    arguments: &Arguments,
    reckoned: &Reckoned,
    at: Option<&ZonedDateTime>,
    terminal: &mut Terminal<'_>,
) -> Exit {
    if arguments.calendar {
        if let Some(plan) = &reckoned.planned.plan {
            terminal.say(Stream::Answer, &calendar(&reckoned.course, plan));
        }
        return Exit::Fine;
    }
    let screen = terminal.screen();
    if let Some(plan) = &reckoned.planned.plan {
        let pictures = if at.is_some() { Vec::new() } else { timetable::pictures(&reckoned.course, plan) };
        let pictures = pictures.iter().map(|picture| picture.to_text(screen));
        let tables = timetable::by_the_clock(&reckoned.course, plan, at);
        for text in pictures.chain(tables.iter().map(|table| table.to_text(screen))) {
            terminal.prose(Stream::Answer, &text);
            terminal.say(Stream::Answer, "\n");
        }
        if at.is_some() && tables.is_empty() {
            terminal.say(Stream::Answer, "Nothing goes on then.");
        }
    }
    if at.is_none() {
        terminal.prose(
            Stream::Answer,
            &timetable::verdict(&reckoned.course, &reckoned.planned, &reckoned.equipment),
        );
        for line in second_thoughts(arguments, reckoned) {
            let indent = line.len() - line.trim_start().len();
            for (n, part) in wrap(&line, screen.width.saturating_sub(indent + 2)).iter().enumerate() {
                let hang = if n == 0 { indent } else { indent + 2 };
                terminal.say(Stream::Answer, &format!("{}{part}", " ".repeat(hang)));
            }
        }
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
