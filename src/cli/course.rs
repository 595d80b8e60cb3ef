//! The way from a command line to a reckoned course, the same for every command.

use super::ask::{Ask, Because, Format};
use super::progress::Progress;
use super::{Exit, Stream, Terminal};
use crate::course::{Course, ItemId};
use crate::finding::{Finding, Level};
use crate::output::json::findings::FindingsView;
use crate::output::json::why::{ReasonView, WhyView};
use crate::output::manifest::{Input, sha256};
use crate::output::text::{clean, wrap};
use crate::pipeline::printing::Lent;
use crate::pipeline::why;
use crate::pipeline::{self, Asked, Outcome, Reckoned};
use crate::read::table::did_you_mean;
use crate::read::{Entry, FileTree, folder};
use crate::typeset::{Kind, MemoryShelf, Printed, Shelf};
use jiff::civil::DateTime;

/// Loads the course that was asked for; one that cannot be opened is an outcome too.
fn load(ask: &Ask) -> Result<FileTree, Box<Outcome>> {
    folder::load(&ask.course).map_err(|finding| {
        Box::new(Outcome { sources: Default::default(), findings: vec![*finding], reckoned: None })
    })
}

/// Loads, reads and reckons the course; what is asked of it may depend on it.
fn reckoned(ask: &Ask, asked: &dyn Fn(&Course) -> Asked, terminal: &Terminal<'_>) -> (FileTree, Outcome) {
    let progress = Progress::new(terminal.watched());
    match load(ask) {
        Ok(files) => {
            let outcome = pipeline::reckon_as(&files, asked, &progress);
            (files, outcome)
        }
        Err(outcome) => (FileTree::new(), *outcome),
    }
}

/// What every command asks.
fn plainly(ask: &Ask) -> Asked {
    Asked { headcount: ask.headcount, ..Asked::default() }
}

/// Loads, reads and reckons the course that was asked for.
pub fn load_and_reckon(ask: &Ask, terminal: &Terminal<'_>) -> (FileTree, Outcome) {
    reckoned(ask, &|_| plainly(ask), terminal)
}

/// The same for a question about the people alone: nobody waits for a plan.
pub fn load_and_seat(ask: &Ask, terminal: &Terminal<'_>) -> Outcome {
    reckoned(ask, &|_| Asked { unplanned: true, ..plainly(ask) }, terminal).1
}

/// The same, as of a moment that depends on the course's time zone.
pub fn load_and_reckon_at(
    ask: &Ask,
    now: &dyn Fn(&Course) -> Option<DateTime>,
    terminal: &Terminal<'_>,
) -> (FileTree, Outcome) {
    reckoned(ask, &|course| Asked { now: now(course), ..plainly(ask) }, terminal)
}

/// The same with a stand-in for an ingredient.
pub fn load_and_reckon_with(ask: &Ask, instead: (ItemId, ItemId), terminal: &Terminal<'_>) -> Outcome {
    reckoned(ask, &|_| Asked { instead: Some(instead.clone()), ..plainly(ask) }, terminal).1
}

/// The bytes of a photograph of the course, or why there are none, as a clause.
fn photograph(ask: &Ask, path: &str) -> Result<Vec<u8>, String> {
    folder::photograph(&ask.course, path).map_err(|error| format!("cannot be read: {error}"))
}

/// Loads, reads and reckons the course that was asked for, and typesets its documents: these kinds, or without any all usual
/// ones. Finished prints of photographs stand on `shelf`.
pub fn produce(
    ask: &Ask,
    shelf: &dyn Shelf,
    anonymous: bool,
    only: &[Kind],
    terminal: &Terminal<'_>,
) -> (FileTree, Outcome, Vec<Printed>) {
    let progress = Progress::new(terminal.watched());
    match load(ask) {
        Ok(files) => {
            let fetch = |path: &str| photograph(ask, path);
            let lent = Lent { fetch: &fetch, shelf, anonymous };
            let (outcome, printed) = pipeline::produce(&files, plainly(ask), lent, only, &progress);
            (files, outcome, printed)
        }
        Err(outcome) => (FileTree::new(), *outcome, Vec::new()),
    }
}

/// Loads and reckons the course, and looks at its pages: all that there is to tell.
pub fn look_over(ask: &Ask, terminal: &Terminal<'_>) -> Outcome {
    let progress = Progress::new(terminal.watched());
    let files = match load(ask) {
        Ok(files) => files,
        Err(outcome) => return *outcome,
    };
    let fetch = |path: &str| photograph(ask, path);
    let lent = Lent { fetch: &fetch, shelf: &MemoryShelf::default(), anonymous: false };
    pipeline::look_over(&files, plainly(ask), lent, &progress)
}

/// How a run ends that asked about this course.
pub fn exit(outcome: &Outcome) -> Exit {
    if outcome.has_errors() { Exit::Course } else { Exit::Fine }
}

/// Answers a question from the numbers: errors, where there are any, are told beside the answer or instead of it.
pub fn answer(
    ask: &Ask,
    because: &Because,
    terminal: &mut Terminal<'_>,
    for_people: impl FnOnce(&Reckoned, &mut Terminal<'_>) -> Exit,
    for_programs: impl FnOnce(&Reckoned, &mut Terminal<'_>) -> Exit,
) -> Exit {
    let (_, outcome) = load_and_reckon(ask, terminal);
    answer_from(ask, because, &outcome, terminal, for_people, for_programs)
}

/// The same, from what was reckoned before.
pub fn answer_from(
    ask: &Ask,
    because: &Because,
    outcome: &Outcome,
    terminal: &mut Terminal<'_>,
    for_people: impl FnOnce(&Reckoned, &mut Terminal<'_>) -> Exit,
    for_programs: impl FnOnce(&Reckoned, &mut Terminal<'_>) -> Exit,
) -> Exit {
    let answered = match (&outcome.reckoned, &because.why, ask.format) {
        (Some(reckoned), Some(thing), format) => tell_why(reckoned, outcome, thing, format, terminal),
        (Some(reckoned), None, Format::People) => for_people(reckoned, terminal),
        (Some(reckoned), None, Format::Json) => for_programs(reckoned, terminal),
        (None, ..) => Exit::Fine,
    };
    tell_errors(ask, outcome, terminal);
    // The worse of the two: a course that does not fit, a question that means nothing.
    exit(outcome).max(answered)
}

/// Tells the chain of reasons of one thing, or which thing may have been meant.
fn tell_why(
    reckoned: &Reckoned,
    outcome: &Outcome,
    thing: &str,
    format: Format,
    terminal: &mut Terminal<'_>,
) -> Exit {
    let reasons = why::why(reckoned, &outcome.sources, thing);
    if reasons.is_empty() {
        let things = why::things(reckoned);
        let way_out = did_you_mean(thing, things.iter().map(String::as_str))
            .unwrap_or_else(|| "write an id as it is printed: butter, butter@home, oven-1, helper-1, or a step with its group, such as walnut-crown.roll@station-3".to_owned());
        terminal.failure(&format!("there is nothing in this class with the id {thing:?}"), &way_out);
        return Exit::CommandLine;
    }
    match format {
        Format::People => {
            let width = terminal.screen().width;
            for reason in &reasons {
                let indent = "  ".repeat(reason.depth);
                for (n, line) in
                    wrap(&clean(&reason.text), width.saturating_sub(indent.len() + 2)).iter().enumerate()
                {
                    let hang = if n == 0 { "" } else { "  " };
                    terminal.say(Stream::Answer, &format!("{indent}{hang}{line}"));
                }
            }
        }
        Format::Json => {
            let view = |r: why::Reason| ReasonView { depth: r.depth, text: r.text };
            terminal
                .json(&WhyView { thing: thing.to_owned(), because: reasons.into_iter().map(view).collect() });
        }
    }
    Exit::Fine
}

/// Tells the errors; `check` tells the rest. A program that got its answer finds them beside it, so that the answer stays one.
pub fn tell_errors(ask: &Ask, outcome: &Outcome, terminal: &mut Terminal<'_>) {
    let errors: Vec<Finding> = outcome.findings.iter().filter(|f| f.level == Level::Error).cloned().collect();
    match ask.format {
        Format::People => terminal.findings(Stream::Aside, &errors, &outcome.sources),
        Format::Json if outcome.reckoned.is_none() => {
            terminal.json(&FindingsView::of(&errors, &outcome.sources));
        }
        Format::Json => terminal.findings(Stream::Aside, &errors, &outcome.sources),
    }
}

/// The reasons that the tables point to, each wrapped under its number.
pub fn tell_reasons(terminal: &mut Terminal<'_>, reasons: &[String]) {
    if reasons.is_empty() {
        return;
    }
    let width = terminal.screen().width;
    terminal.say(Stream::Answer, "\nWhy");
    for (n, reason) in reasons.iter().enumerate() {
        for (m, line) in wrap(&clean(reason), width.saturating_sub(4)).iter().enumerate() {
            let number = if m == 0 { (n + 1).to_string() } else { String::new() };
            terminal.say(Stream::Answer, &format!("{number:>2}  {line}"));
        }
    }
}

/// Says sentences, each line of them no wider than the screen.
pub fn say(words: &str, terminal: &mut Terminal<'_>) {
    let width = terminal.screen().width;
    let lines = words.lines().flat_map(|line| match line {
        "" => vec![String::new()],
        line => wrap(&clean(line), width),
    });
    let text: Vec<String> = lines.collect();
    terminal.say(Stream::Answer, &text.join("\n"));
}

/// The files of a course as they were read, for the manifest.
pub fn inputs(files: &FileTree) -> Vec<Input> {
    files
        .iter()
        .filter_map(|(path, entry)| match entry {
            Entry::Bytes(bytes) => Some(Input { path: path.to_owned(), sha256: sha256(bytes) }),
            Entry::Photograph { .. } | Entry::Refused { .. } => None,
        })
        .collect()
}
