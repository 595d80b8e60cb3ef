//! `benchroll review COURSE...`: what did the day teach?

use super::ask::Format;
use super::{Exit, Stream, Terminal};
use crate::finding::{Finding, Level};
use crate::output::json::findings::FindingsView;
use crate::output::json::review::ReviewView;
use crate::output::review_edits::{edit, replace};
use crate::output::review_tables;
use crate::output::text::{counted, wrap};
use crate::read::{folder, log, read_course};
use crate::reckon::review::{ENOUGH, Review, review};
use std::path::PathBuf;

/// Compare plan and day over the logs that the board saved, and suggest what to write
#[derive(Clone, PartialEq, Eq, Debug, clap::Args)]
#[command(after_help = "Examples:
  benchroll review course
  benchroll review course last-autumn last-spring
  benchroll review course --write

Logs are the files of the folder `logs` in a course. Those of further courses
count too; what is suggested is for the first. Nothing is written without
--write, and then only the values that the review names.")]
pub struct Arguments {
    /// Folder of the course; then folders of earlier courses whose logs count too
    #[arg(value_name = "COURSE", required = true)]
    courses: Vec<PathBuf>,

    /// Write what is suggested into the first course's files; comments and order stay
    #[arg(long)]
    write: bool,

    /// Print for people, or for programs as json
    #[arg(long, value_enum, value_name = "FORM", default_value_t, hide_possible_values = true)]
    format: Format,
}

/// Prints it, and writes when told to.
pub fn run(arguments: &Arguments, terminal: &mut Terminal<'_>) -> Exit {
    let Some(first) = arguments.courses.first() else { return Exit::CommandLine };
    let files = match folder::load(first) {
        Ok(files) => files,
        Err(finding) => return tell(arguments, &[*finding], &Default::default(), terminal),
    };
    let reading = read_course(&files);
    let Some(course) = reading.course else {
        let errors: Vec<Finding> = reading.findings.into_iter().filter(|f| f.level == Level::Error).collect();
        return tell(arguments, &errors, &reading.sources, terminal);
    };
    let name = course.settings.name.value.as_str();
    let (mut logs, mut findings) = log::logs(&files, name);
    for more in &arguments.courses[1..] {
        match folder::load(more) {
            Ok(files) => {
                let own = read_course(&files).course.map(|c| c.settings.name.value);
                let (further, found) = log::logs(&files, own.as_deref().unwrap_or(name));
                logs.extend(further);
                findings.extend(found);
            }
            Err(finding) => findings.push(*finding),
        }
    }
    let reviewed = review(&course, &logs);
    let mut exit = if findings.iter().any(|f| f.level == Level::Error) { Exit::Course } else { Exit::Fine };
    let read = |path: &str| files.bytes(path).and_then(|b| String::from_utf8(b.to_vec()).ok());
    let edited = match edit(&course, &reviewed, &read) {
        Ok(edited) => edited,
        Err(why) => {
            terminal.failure(&format!("nothing is written: {why}"), "see `benchroll check`");
            return Exit::Course;
        }
    };
    let mut changed = Vec::new();
    for one in edited.iter().filter(|_| arguments.write) {
        match replace(first, one) {
            Ok(()) => changed.push(one.path.clone()),
            Err(e) => {
                let path = first.join(&one.path);
                terminal.failure(
                    &format!("can't write {}: {e}", path.display()),
                    "what was written before it stays; ask again",
                );
                exit = Exit::Machine;
                break;
            }
        }
    }
    match arguments.format {
        Format::Json => {
            let told = FindingsView::of(&findings, &reading.sources);
            terminal.json(&ReviewView::of(&reviewed, changed, told));
        }
        Format::People => {
            terminal.findings(Stream::Aside, &findings, &reading.sources);
            terminal.tables(Stream::Answer, &review_tables::tables(&course, &reviewed));
            let said: Vec<&str> = edited
                .iter()
                .filter(|e| !arguments.write || changed.contains(&e.path))
                .flat_map(|e| e.said.iter().map(String::as_str))
                .collect();
            let width = terminal.screen().width;
            terminal.say(Stream::Answer, &words(&reviewed, &said, arguments.write, width));
        }
    }
    exit
}

/// What stands below the tables.
fn words(review: &Review, said: &[&str], written: bool, width: usize) -> String {
    let hang = |text: &str, indent: &str| {
        let lines = wrap(text, width.saturating_sub(indent.len() + 2));
        lines
            .iter()
            .enumerate()
            .map(|(n, line)| format!("{indent}{}{line}", if n == 0 { "" } else { "  " }))
            .collect::<Vec<_>>()
    };
    let mut lines = vec![String::new()];
    if review.days.is_empty() {
        lines.push(
            "There is no log yet: save it from the board at the end of the day, into `logs`.".to_owned(),
        );
        return lines.join("\n");
    }
    let days: Vec<String> = review.days.iter().map(|d| d.strftime("%-d %B %Y").to_string()).collect();
    lines.push(format!("{}: {}.", counted(days.len(), "day", "days"), days.join(", ")));
    lines.extend(review.left_out.iter().flat_map(|why| hang(&format!("Left out, {why}."), "")));
    if said.is_empty() {
        lines.push(format!("Nothing to write: what was seen {ENOUGH} times or more agrees with the files."));
        return lines.join("\n");
    }
    lines.push(if written { "Written:".to_owned() } else { "Could be written, with --write:".to_owned() });
    lines.extend(said.iter().flat_map(|line| hang(line, "  ")));
    lines.join("\n")
}

/// The course cannot be reviewed.
fn tell(
    arguments: &Arguments,
    findings: &[Finding],
    sources: &crate::finding::Sources,
    terminal: &mut Terminal<'_>,
) -> Exit {
    match arguments.format {
        Format::People => terminal.findings(Stream::Aside, findings, sources),
        Format::Json => terminal.json(&FindingsView::of(findings, sources)),
    }
    Exit::Course
}
