//! `benchroll check COURSE`: is the folder sound?

use super::ask::{Ask, Format};
use super::{Exit, Stream, Terminal, course};
use crate::finding::{Finding, Sources};
use crate::output::json::findings::FindingsView;
use crate::output::text::clean;
use std::path::Path;

/// Read the whole course, reckon and plan it, and say what is wrong, all at once
#[derive(Clone, PartialEq, Eq, Debug, clap::Args)]
#[command(after_help = "Examples:
  benchroll check course
  benchroll check course --headcount 14
  benchroll check course --format json
  benchroll check course --lines         one line each, for editors")]
pub struct Arguments {
    #[command(flatten)]
    ask: Ask,

    /// Print one line for each finding, as editors read it: file:line:column: level: message
    #[arg(long, conflicts_with = "format")]
    lines: bool,
}

/// Prints all findings.
pub fn run(arguments: &Arguments, terminal: &mut Terminal<'_>) -> Exit {
    let outcome = course::look_over(&arguments.ask, terminal);
    if arguments.lines {
        let sorted = super::terminal::sorted(&outcome.findings);
        let lines: Vec<String> =
            sorted.into_iter().map(|f| line(f, &outcome.sources, &arguments.ask.course)).collect();
        terminal.say(Stream::Answer, &lines.join("\n"));
        return course::exit(&outcome);
    }
    match arguments.ask.format {
        Format::Json => {
            let sorted = super::terminal::sorted(&outcome.findings);
            terminal.json(&FindingsView::of(sorted, &outcome.sources));
        }
        Format::People => {
            terminal.findings(Stream::Answer, &outcome.findings, &outcome.sources);
            if !outcome.has_errors() {
                terminal.say(Stream::Answer, "The course is sound, and it fits its sessions.");
            }
        }
    }
    course::exit(&outcome)
}

/// One finding on one line. What is about no line of its file stands at its first.
fn line(finding: &Finding, sources: &Sources, course: &Path) -> String {
    let at = finding.place.and_then(|place| sources.locate(place));
    let (file, line, column) = match (at, &finding.file) {
        (Some(at), _) => (at.file, at.line, at.column),
        (None, file) => (file.clone().unwrap_or_else(|| "course.toml".to_owned()), 1, 1),
    };
    let way_out = finding.way_out.as_ref().map_or_else(String::new, |way_out| format!("; {way_out}"));
    clean(&format!(
        "{}:{line}:{column}: {}: {}{way_out} [{}]",
        course.join(file).display(),
        finding.level.word(),
        finding.message,
        finding.code
    ))
}
