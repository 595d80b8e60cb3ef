//! `benchroll plan COURSE`: who does what, when, and does it fit?

use super::ask::{Ask, Because};
use super::{Exit, Stream, Terminal, at, course};
use crate::course::{Course, SessionId};
use crate::finding::{Finding, Level};
use crate::output::calendar::calendar;
use crate::output::json::findings::FindingsView;
use crate::output::json::plan::{PlanView, ThenView};
use crate::output::moments;
use crate::output::text::{clean, wrap};
use crate::output::timetable;
use crate::output::verdict;
use crate::pipeline::{DRAWS, Outcome, Reckoned, accepting, seldom_on_time};
use crate::reckon::plan::chance::Odds;
use crate::reckon::plan::choose::Effort;
use crate::reckon::plan::conflict::{self, Conflict};
use crate::reckon::plan::idle::longest_wait;
use crate::reckon::plan::levers::{self, Change, Lever, OnTime};
use crate::reckon::plan::moments::{Moment, moment as moment_of};
use crate::reckon::shown_days::shown_long_before;
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
    let (_, outcome) = course::load_and_reckon(&arguments.ask, terminal);
    course::answer_from(
        &arguments.ask,
        &arguments.because,
        &outcome,
        terminal,
        |reckoned, terminal| match moment(arguments, reckoned, terminal) {
            Ok(at) => for_people(arguments, reckoned, at.as_ref(), terminal),
            Err(exit) => exit,
        },
        |reckoned, terminal| match moment(arguments, reckoned, terminal) {
            Ok(at) => {
                let mut view = PlanView::of(&reckoned.planned, at.as_ref());
                let odds = reckoned.odds();
                view.with_odds(odds.as_ref());
                view.findings = Some(findings(&outcome, reckoned, odds.as_ref()).findings);
                view.then = at.as_ref().and_then(|at| Some(ThenView::of(&then(reckoned, at)?)));
                if arguments.levers && !view.fits && !refused(reckoned) {
                    view.with_conflict(&conflict(reckoned));
                    let chances = |lever: &Lever| on_time(arguments, reckoned, lever);
                    let all = levers(arguments, reckoned).into_iter();
                    let all: Vec<_> = all.map(|lever| (chances(&lever), lever)).collect();
                    view.with_levers(&all);
                } else if let Some(known) = &reckoned.conflict {
                    view.with_conflict(known);
                }
                terminal.json(&view);
                Exit::Fine
            }
            Err(exit) => exit,
        },
    )
}

/// Nothing that the teacher changes is known to help where our own checker refuses what was found; the finding says what to do.
fn refused(reckoned: &Reckoned) -> bool {
    reckoned.planned.plan.is_none() && !reckoned.planned.refused.is_empty()
}

fn conflict(reckoned: &Reckoned) -> Conflict {
    let Reckoned { course, class, portions, options, planned, .. } = reckoned;
    let known = reckoned.conflict.clone();
    known.unwrap_or_else(|| conflict::explain(course, class, portions, options, &planned.figure(), trying()))
}

fn levers(arguments: &Arguments, reckoned: &Reckoned) -> Vec<Lever> {
    let late = reckoned.planned.plan.as_ref();
    levers::levers(&reckoned.course, arguments.ask.headcount, late, trying())
}

/// The chance that each session ends on time with a lever; `None`: not known.
fn on_time(arguments: &Arguments, reckoned: &Reckoned, lever: &Lever) -> Option<OnTime> {
    levers::on_time(&reckoned.course, arguments.ask.headcount, lever, DRAWS)
}

/// A lever, and how sure the class is with it.
fn lever_in_words(arguments: &Arguments, reckoned: &Reckoned, lever: &Lever) -> String {
    let sure = on_time(arguments, reckoned, lever).map(|all| {
        let each = all.iter().map(|(id, sure)| format!("{} {sure}", session_name(&reckoned.course, id)));
        format!("on time then: {}", each.collect::<Vec<_>>().join(", "))
    });
    format!(
        "  {} ({})",
        lever.text,
        sure.unwrap_or_else(|| "how often it ends on time then is not known".to_owned())
    )
}

/// What people call a session.
fn session_name(course: &Course, id: &SessionId) -> String {
    let name = course.session(id).and_then(|one| one.name.as_ref());
    name.map_or_else(|| id.to_string(), |name| name.value.clone())
}

/// The changes that are tried, in words; of those that differ by how much alone the largest.
fn tried(headcount: Option<u32>, reckoned: &Reckoned) -> Vec<String> {
    let course = &reckoned.course;
    let all = levers::changes(course, headcount, reckoned.planned.plan.as_ref());
    let all: Vec<Change> = all.into_iter().filter(|change| change.apply(course).is_some()).collect();
    let larger = |n: usize, one: &Change| all[n + 1..].iter().any(|other| one.is_as(other));
    all.iter().enumerate().filter(|(n, one)| !larger(*n, one)).map(|(_, one)| one.text(course)).collect()
}

/// Who does what at a moment, and what comes next.
fn then<'r>(reckoned: &'r Reckoned, at: &ZonedDateTime) -> Option<Moment<'r>> {
    let Reckoned { course, class, portions, planned, .. } = reckoned;
    Some(moment_of(course, class, portions, planned.plan.as_ref()?, at))
}

/// So many steps with tasks without slack are named; the JSON names all.
const NAMED: usize = 8;

/// What the draws of the durations say: the chance of each session, the tasks without slack, where a buffer helps most.
fn how_sure(reckoned: &Reckoned, odds: &Odds) -> Vec<String> {
    let sure =
        odds.sessions.iter().map(|s| format!("{} {}", session_name(&reckoned.course, &s.id), s.on_time));
    let sure: Vec<String> = sure.collect();
    let mut lines = vec![format!("on time, by {} draws of the durations: {}", odds.draws, sure.join(", "))];
    let grid = reckoned.course.settings.grid.value;
    lines.push(match &odds.buffer {
        Some((task, minutes)) if *minutes >= grid => {
            format!("a buffer of {minutes} helps most after {task}")
        }
        Some((task, minutes)) => {
            format!("a buffer helps most after {task}, whose swings alone hold up {minutes}: less than a step of {grid}")
        }
        None => "a buffer after one step alone helps nowhere: none holds up the sessions' ends".to_owned(),
    });
    // Step by step: what several stations do alike is one.
    let mut steps: Vec<(&str, usize)> = Vec::new();
    for id in &odds.no_slack {
        let step = id.split('@').next().unwrap_or(id);
        match steps.iter_mut().find(|(known, _)| *known == step) {
            Some((_, tasks)) => *tasks += 1,
            None => steps.push((step, 1)),
        }
    }
    let word = |(step, tasks): &(&str, usize)| match tasks {
        1 => (*step).to_owned(),
        n => format!("{step} ({n})"),
    };
    let (named, more) = steps.split_at(steps.len().min(NAMED));
    let more = match more.len() {
        0 => String::new(),
        n => format!(", and {n} more steps (all of them: --format json)"),
    };
    let named: Vec<String> = named.iter().map(word).collect();
    lines.push(match odds.no_slack.len() {
        0 => "tasks without slack: none".to_owned(),
        n => format!("tasks without slack, {n}: {}{more}", named.join(", ")),
    });
    lines
}

/// What the plan fits with alone, and what a teacher should know of it beside its figures.
fn warnings(reckoned: &Reckoned, odds: Option<&Odds>) -> Vec<Finding> {
    let mut found = odds.map_or_else(Vec::new, |odds| seldom_on_time(reckoned, odds));
    let plan = reckoned.planned.plan.as_ref();
    found.extend(plan.map_or_else(Vec::new, |plan| shown_long_before(&reckoned.course, plan)));
    found
}

/// What is told to people beside a plan: the course's errors, and what its figures do not say.
fn findings(outcome: &Outcome, reckoned: &Reckoned, odds: Option<&Odds>) -> FindingsView {
    let mut told = warnings(reckoned, odds);
    accepting::accept(&reckoned.course, &mut told, &outcome.sources);
    let errors = outcome.findings.iter().filter(|f| f.level == Level::Error);
    FindingsView::of(errors.chain(&told), &outcome.sources)
}

/// How sure the plan is, and when it does not fit, why, and what was tried and helps.
fn second_thoughts(arguments: &Arguments, reckoned: &Reckoned, odds: Option<&Odds>) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    if let Some(odds) = odds {
        lines.extend(how_sure(reckoned, odds));
    }
    let wait = reckoned.planned.plan.as_ref().and_then(longest_wait);
    lines.extend(wait.map(|wait| verdict::words_of_wait(&reckoned.course, &wait)));
    if reckoned.planned.plan.as_ref().is_some_and(|p| p.fits) {
        return lines;
    }
    if refused(reckoned) {
        return lines;
    }
    if let Some(found) = reckoned.conflict.clone().or_else(|| arguments.levers.then(|| conflict(reckoned))) {
        lines.push(found.sentence);
        lines.extend(found.constraints.into_iter().map(|c| format!("  {c}")));
    }
    if !arguments.levers {
        lines.push("what would help: the same command with --levers".to_owned());
        return lines;
    }
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
        lines.extend(helping.iter().map(|lever| lever_in_words(arguments, reckoned, lever)));
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
        if let Some((at, then)) = at.and_then(|at| Some((at, then(reckoned, at)?))) {
            for table in moments::tables(&then, at) {
                terminal.prose(Stream::Answer, &table.to_text(screen));
                terminal.say(Stream::Answer, "\n");
            }
        }
    }
    if at.is_none() {
        let odds = reckoned.odds();
        let verdict = verdict::verdict(&reckoned.course, &reckoned.planned, &reckoned.equipment);
        terminal.prose(Stream::Answer, &verdict);
        let lines = second_thoughts(arguments, reckoned, odds.as_ref());
        let warned = warnings(reckoned, odds.as_ref()).into_iter();
        let warned = warned.map(|found| format!("warning[{}]: {}", found.code, clean(&found.message)));
        for line in lines.into_iter().chain(warned) {
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
