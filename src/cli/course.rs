//! The way from a command line to a reckoned course, the same for every command.

use super::ask::{Ask, Format};
use super::progress::Progress;
use super::{Exit, Stream, Terminal};
use crate::finding::Level;
use crate::output::json::findings::FindingsView;
use crate::pipeline::{self, Asked, Outcome, Reckoned};
use crate::read::folder;

/// Loads, reads and reckons the course that was asked for.
pub fn reckon(ask: &Ask, terminal: &Terminal<'_>) -> Outcome {
    match folder::load(&ask.course) {
        Ok(files) => {
            let progress = Progress::new(terminal.watched());
            pipeline::reckon(&files, Asked { headcount: ask.headcount }, &progress)
        }
        Err(finding) => Outcome { sources: Default::default(), findings: vec![*finding], reckoned: None },
    }
}

/// How a run ends that asked about this course.
pub fn exit(outcome: &Outcome) -> Exit {
    if outcome.has_errors() { Exit::Course } else { Exit::Fine }
}

/// Answers a question from the numbers: errors, where there are any, are told beside the answer or instead of it.
pub fn answer(
    ask: &Ask,
    terminal: &mut Terminal<'_>,
    for_people: impl FnOnce(&Reckoned, &mut Terminal<'_>) -> Exit,
    for_programs: impl FnOnce(&Reckoned, &mut Terminal<'_>) -> Exit,
) -> Exit {
    let outcome = reckon(ask, terminal);
    let answered = match (&outcome.reckoned, ask.format) {
        (Some(reckoned), Format::People) => for_people(reckoned, terminal),
        (Some(reckoned), Format::Json) => for_programs(reckoned, terminal),
        (None, Format::Json) => {
            let errors = outcome.findings.iter().filter(|f| f.level == Level::Error);
            terminal.json(&FindingsView::of(errors, &outcome.sources));
            Exit::Fine
        }
        (None, Format::People) => Exit::Fine,
    };
    if ask.format == Format::People {
        // `check` tells the rest: here only what speaks against the answer.
        let errors: Vec<_> = outcome.findings.iter().filter(|f| f.level == Level::Error).cloned().collect();
        terminal.findings(Stream::Aside, &errors, &outcome.sources);
    }
    // The worse of the two: a course that does not fit, a question that means nothing.
    exit(&outcome).max(answered)
}
