//! `benchroll catch-up COURSE --now TIME`: how do we go on?

use super::ask::{Ask, Because, Format};
use super::standing::{self, Standing};
use super::{Exit, Stream, Terminal, at, course, own_folder};
use crate::course::Course;
use crate::course::limits::STATE_BYTES;
use crate::finding::{Finding, Level, Sources};
use crate::output::board::page::Home;
use crate::output::catch_up as text;
use crate::output::json::catch_up::{CatchUpView, KeptCleanView};
use crate::output::json::findings::FindingsView;
use crate::output::lost_cold::sentences;
use crate::output::replace::put;
use crate::output::text::wrap;
use crate::pipeline::board::{self, SoFar};
use crate::pipeline::{Outcome, Reckoned};
use crate::read::FileTree;
use crate::read::grammar;
use crate::read::words_file::catalogue;
use crate::reckon::plan::catch_up::{
    CaughtUp, MOST_LATE, Now, Said, WayOut, catch_up, kept_clean, latest, lost_cold, named, ways_out,
};
use crate::reckon::plan::choose::Effort;
use crate::reckon::plan::timetable::Plan;
use crate::units::Minutes;
use std::cell::RefCell;
use std::io::Read;
use std::path::{Path, PathBuf};

/// On the day: plan the rest again from now, changing as little as possible
#[derive(Clone, PartialEq, Eq, Debug, clap::Args)]
#[command(after_help = "Examples:
  benchroll catch-up course --now \"Sat 14:20\" --late walnut-crown.cut=20m
  benchroll catch-up course --now \"Sun 09:45\" --without oven-2
  benchroll catch-up course --now 14:20 --absent \"Maren Solheim\"
  benchroll catch-up course --now \"Sun 09:30\" --undone custard-buns.cook
  benchroll catch-up course --state state-1433.json --board board-1433.html

A step is named as in the plan: walnut-crown.cut@station-4, or without its
group walnut-crown.cut for all of it that runs now; where none runs, for what
has just ended, or comes next. What had to wait for a late step has not begun;
nobody need say so.")]
pub struct Arguments {
    #[command(flatten)]
    ask: Ask,

    /// What time it is: 14:20, "Sat 14:20" or "2027-03-06 14:20"
    #[arg(long, value_name = "TIME", required_unless_present = "state", conflicts_with = "state")]
    now: Option<String>,

    /// How things stand, as the board saved it: the time, what is over, late, absent or out of order
    #[arg(long, value_name = "FILE", conflicts_with_all = ["done", "undone", "late", "absent", "without"])]
    state: Option<PathBuf>,

    /// Write the board with the new plan into this file
    #[arg(long, value_name = "FILE")]
    board: Option<PathBuf>,

    /// Steps that are over, though the plan has them later
    #[arg(long, value_name = "STEP", num_args = 1.., value_delimiter = ',')]
    done: Vec<String>,

    /// Steps that were not done, though the plan has them earlier: they are planned again where there is room
    #[arg(long, value_name = "STEP", num_args = 1.., value_delimiter = ',')]
    undone: Vec<String>,

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
        Some(minutes) if (1..=MOST_LATE.get()).contains(&minutes) => Ok((step.trim().to_owned(), minutes)),
        Some(_) => Err(format!("a slip lasts from 1 to {} minutes", MOST_LATE.get())),
        None => Err(format!("{time:?} is no time: write 20m or 1 h")),
    }
}

/// Plans the rest again and prints what changed.
pub fn run(arguments: &Arguments, terminal: &mut Terminal<'_>) -> Exit {
    if let Some(why) = arguments.board.as_ref().and_then(|file| no_place(&arguments.ask.course, file)) {
        terminal.failure(&why, "name a new file, such as `board-again.html`, where the printed board lies");
        return Exit::CommandLine;
    }
    let (files, mut outcome) = course::load_and_reckon(&arguments.ask, terminal);
    let standing = match (&arguments.state, outcome.reckoned.as_mut()) {
        (Some(path), Some(reckoned)) => match stands(arguments, path, reckoned, &files, terminal) {
            Ok(standing) => Some(standing),
            Err(exit) => return exit,
        },
        _ => None,
    };
    let found = RefCell::new(None);
    let answered = |reckoned: &Reckoned, terminal: &mut Terminal<'_>| {
        let (exit, plan) = again(arguments, reckoned, standing.as_ref(), &outcome, terminal);
        found.replace(plan);
        exit
    };
    let exit =
        course::answer_from(&arguments.ask, &Because::default(), &outcome, terminal, answered, answered);
    match (&arguments.board, found.take(), outcome.reckoned.as_mut()) {
        (Some(file), Some((plan, now)), Some(reckoned)) => {
            // A board that is made without a board's own state knows all the same what is out of order and who is absent.
            let standing = standing.unwrap_or_else(|| {
                let was = board::view(reckoned, &files).map_or_else(String::new, |view| view.plan);
                Standing::said(now, was)
            });
            board::with_plan(reckoned, plan);
            exit.max(write_board(file, reckoned, &files, standing, terminal))
        }
        _ => exit,
    }
}

/// Why a board must not be written there, as a sentence; `None`: it may.
fn no_place(course: &Path, file: &Path) -> Option<String> {
    let html = file.extension().is_some_and(|e| e.eq_ignore_ascii_case("html"));
    if !html {
        return Some(format!("{} is no name for a board: it ends in .html", file.display()));
    }
    if let Ok(found) = std::fs::symlink_metadata(file) {
        let ours = || std::fs::read(file).is_ok_and(|bytes| board::is_board(&bytes));
        if !found.is_file() || !ours() {
            return Some(format!("{} is there already and is no board: name another file", file.display()));
        }
    }
    let folder = file.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    own_folder::refused(course, folder)
}

/// Reads how things stand, and plans again what was planned again before.
fn stands(
    arguments: &Arguments,
    path: &Path,
    reckoned: &mut Reckoned,
    files: &FileTree,
    terminal: &mut Terminal<'_>,
) -> Result<Standing, Exit> {
    let shown = path.display();
    let mut read = Vec::new();
    let opened = std::fs::File::open(path);
    let most = STATE_BYTES as u64 + 1;
    if let Err(error) = opened.and_then(|file| file.take(most).read_to_end(&mut read)) {
        terminal.failure(
            &format!("{shown} cannot be read: {error}"),
            "save how things stand from the board again",
        );
        return Err(Exit::CommandLine);
    }
    let understood = standing::read(&read, &reckoned.course).and_then(|standing| {
        standing::again(reckoned, &standing.before)?;
        Ok(standing)
    });
    let mut standing = understood.map_err(|why| {
        terminal.failure(
            &format!("{shown}: {why}"),
            "save how things stand from the board again, or say it with --now",
        );
        Exit::CommandLine
    })?;
    let plan = board::view(reckoned, files).map_or_else(String::new, |view| view.plan);
    let mut found = Vec::new();
    if standing.plan != plan {
        let unknown = reckoned.planned.plan.as_ref().map_or_else(Vec::new, |p| standing.unknown(p));
        let gone = match unknown.as_slice() {
            [] => "all its steps are still there".to_owned(),
            ids => format!("these steps are gone: {}", ids.join(", ")),
        };
        let message = format!(
            "the board in {shown} shows another plan than this folder gives now; {gone}; lateness is reckoned against the plan of now"
        );
        let finding = Finding::warning("state-other-plan", None, message)
            .way_out("look at the answer with care; then hang up the board that --board writes");
        found.push(finding);
        if let Some(plan) = &reckoned.planned.plan {
            standing.leave_out_unknown(plan);
        }
    }
    found.extend(standing.checked(reckoned));
    if found.iter().any(|f| f.level == Level::Error) {
        return Err(refuse(arguments, &found, terminal));
    }
    terminal.findings(Stream::Aside, &found, &Sources::default());
    Ok(standing)
}

fn again(
    arguments: &Arguments,
    reckoned: &Reckoned,
    standing: Option<&Standing>,
    outcome: &Outcome,
    terminal: &mut Terminal<'_>,
) -> (Exit, Option<(Plan, Now)>) {
    let Some(plan) = &reckoned.planned.plan else {
        // That no plan was found is told as an error of the course.
        return (Exit::Course, None);
    };
    let understood = match (standing, &arguments.now) {
        (Some(standing), _) => Ok((standing.now.clone(), Vec::new())),
        (None, Some(now)) => said(arguments, now, reckoned, plan, terminal),
        (None, None) => return (Exit::CommandLine, None),
    };
    let (now, notes) = match understood {
        Ok(understood) => understood,
        Err(exit) => return (exit, None),
    };
    let Reckoned { course, class, portions, .. } = reckoned;
    if arguments.ask.format == Format::People {
        food_first(course, plan, &now, terminal);
    }
    let after = catch_up(course, class, portions, plan, &now, Effort::quick());
    let late = after.as_ref().filter(|after| !after.plan.fits);
    let mut ways = late.map_or_else(Vec::new, |after| {
        ways_out(course, class, portions, plan, (&now, after), Effort::quick())
    });
    let newly_over = |plan: &Plan| board::newly_over(reckoned, plan, &outcome.findings, &outcome.sources);
    let over = after.as_ref().map_or_else(Vec::new, |after| newly_over(&after.plan));
    // No talk is worth food that stands too long.
    ways.retain(|way| newly_over(&way.plan).len() <= over.len());
    if arguments.ask.format == Format::Json {
        let mut told = FindingsView::of(&notes, &Sources::default()).findings;
        told.extend(FindingsView::of(&over, &outcome.sources).findings);
        let kept = after.as_ref().map(|after| kept_clean(course, class, (plan, &after.plan), &now.time));
        let mut view = CatchUpView::of(after.as_ref(), &ways, &lost_cold(course, plan, &now), told);
        view.kept_clean = kept.iter().flatten().map(KeptCleanView::of).collect();
        terminal.json(&view);
    }
    let Some(after) = after else {
        let latest = latest(Effort::quick());
        terminal.failure(
            &format!("no plan was found that goes on from there, not even one that ends {latest} late"),
            "say with --done what is over, and --late only for what runs or comes next",
        );
        return (Exit::Course, None);
    };
    if arguments.ask.format == Format::People {
        terminal.findings(Stream::Aside, &notes, &Sources::default());
        for_people(reckoned, plan, &now, (&after, &ways), terminal);
        terminal.findings(Stream::Aside, &over, &outcome.sources);
    }
    let whole = after.left_out.all().is_empty();
    let exit = if after.plan.fits && whole && over.is_empty() { Exit::Fine } else { Exit::Course };
    (exit, Some((after.plan, now)))
}

/// Writes the board with the new plan, and what the former one had written down.
fn write_board(
    file: &Path,
    reckoned: &Reckoned,
    files: &FileTree,
    standing: Standing,
    terminal: &mut Terminal<'_>,
) -> Exit {
    let so_far = SoFar { before: standing.all(), entries: standing.entries };
    match board::html_so_far(reckoned, files, Home::Disk, so_far) {
        Some(Ok(html)) => match put(file, html.as_bytes()) {
            Ok(()) => {
                terminal.say(Stream::Aside, &format!("The board with this plan: {}", file.display()));
                Exit::Fine
            }
            Err(error) => {
                terminal.failure(
                    &format!("{} cannot be written: {error}", file.display()),
                    "name a file in a folder that can be written",
                );
                Exit::Machine
            }
        },
        Some(Err(finding)) => {
            terminal.findings(Stream::Aside, &[*finding], &Sources::default());
            Exit::Course
        }
        None => {
            terminal.failure("no board can be made of this plan", "go by the answer above");
            Exit::Course
        }
    }
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

fn for_people(
    reckoned: &Reckoned,
    plan: &Plan,
    now: &Now,
    (after, ways): (&CaughtUp, &[WayOut]),
    terminal: &mut Terminal<'_>,
) {
    let screen = terminal.screen();
    for table in text::changes(plan, after) {
        terminal.say(Stream::Answer, &table.to_text(screen));
        terminal.say(Stream::Answer, "\n");
    }
    terminal.say(Stream::Answer, &text::verdict(&reckoned.course, now, (after, ways), screen));
    let kept = kept_clean(&reckoned.course, &reckoned.class, (plan, &after.plan), &now.time);
    let words = catalogue(&FileTree::default(), &reckoned.course.settings.language.value);
    let clean = text::kept_clean(&reckoned.course, &words, (after, &kept), screen);
    if !clean.is_empty() {
        terminal.say(Stream::Answer, &clean);
    }
}

/// What was said on the command line, found in the plan.
fn said(
    arguments: &Arguments,
    now: &str,
    reckoned: &Reckoned,
    plan: &Plan,
    terminal: &mut Terminal<'_>,
) -> Result<(Now, Vec<Finding>), Exit> {
    let time = at::moment(now, plan).map_err(|(why, way_out)| {
        let finding = Finding::error("time-outside-class", None, why).way_out(way_out);
        refuse(arguments, &[finding], terminal)
    })?;
    let said = Said {
        time,
        done: arguments.done.clone(),
        undone: arguments.undone.clone(),
        late: arguments.late.iter().map(|(step, by)| (step.clone(), Minutes(*by))).collect(),
        without: arguments.without.clone(),
        absent: arguments.absent.clone(),
    };
    named(&reckoned.course, &reckoned.class, &reckoned.portions, plan, &said)
        .map_err(|found| refuse(arguments, &found, terminal))
}

/// The command line, or what a board saved, names what is not there.
fn refuse(arguments: &Arguments, found: &[Finding], terminal: &mut Terminal<'_>) -> Exit {
    match arguments.ask.format {
        Format::Json => terminal.json(&FindingsView::of(found, &Sources::default())),
        Format::People => terminal.findings(Stream::Aside, found, &Sources::default()),
    }
    Exit::CommandLine
}
