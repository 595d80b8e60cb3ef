//! `benchroll order COURSE`: what do I buy, from whom, by when?

use super::ask::{Ask, Because, Format};
use super::when::moment;
use super::{Exit, Stream, Terminal, course, own_folder};
use crate::course::Course;
use crate::finding::Level;
use crate::output::files::{Origin, OutputFile, write_set};
use crate::output::json::order::OrderView;
use crate::output::text::counted;
use crate::output::{cost_tables, order_record, order_tables};
use crate::pipeline::Reckoned;
use crate::pipeline::data_files::order_files;
use crate::read::FileTree;
use jiff::civil::Date;
use std::path::PathBuf;

/// Work out what to buy in which packs, from whom, by when, and what it costs
#[derive(Clone, PartialEq, Eq, Debug, clap::Args)]
#[command(after_help = "Examples:
  benchroll order course
  benchroll order course --headcount 13
  benchroll order course --why sugar
  benchroll order course --why cost          what one student costs, to the cent
  benchroll order course --out orders        workbook, CSV, e-mail texts
  benchroll order course --placed            keep a record: it is ordered
  benchroll order course --on 2027-03-02     what can still be changed then
  benchroll order course --format json

Once a record is kept, the answer is what to add to it and what to cancel.")]
pub struct Arguments {
    #[command(flatten)]
    ask: Ask,
    #[command(flatten)]
    because: Because,

    /// Write the workbook, the CSV and the e-mail texts into this folder, which then holds these alone
    #[arg(long, value_name = "DIR", conflicts_with = "why")]
    out: Option<PathBuf>,

    /// Keep a record in the course folder that this was ordered: today, or on =DATE
    #[arg(long, value_name = "DATE", num_args = 0..=1, require_equals = true, default_missing_value = "today",
        conflicts_with_all = ["why", "on"])]
    placed: Option<String>,

    /// Ask as of this day, `2027-03-02` or `2027-03-02 12:30`, or `now`: what is too late is neither ordered nor cancelled
    #[arg(long, value_name = "WHEN")]
    on: Option<String>,
}

/// Prints the order; writes it, or the record that it was placed, if that is asked for.
pub fn run(arguments: &Arguments, terminal: &mut Terminal<'_>) -> Exit {
    let when = match arguments.placed.as_deref().or(arguments.on.as_deref()).map(moment).transpose() {
        Ok(when) => when,
        Err(why) => {
            terminal.failure(&why, "write `2027-03-02`, `2027-03-02 12:30` or `now`");
            return Exit::CommandLine;
        }
    };
    let refused = arguments.out.as_ref().and_then(|out| own_folder::refused(&arguments.ask.course, out));
    if let Some(why) = refused {
        terminal.failure(&why, own_folder::NEW_FOLDER);
        return Exit::CommandLine;
    }
    let now = |course: &Course| when.map(|when| when.at(course));
    let (files, outcome) = course::load_and_reckon_at(&arguments.ask, &now, terminal);
    let Some(reckoned) = &outcome.reckoned else {
        course::tell_errors(&arguments.ask, &outcome, terminal);
        return course::exit(&outcome);
    };
    let mut done = course::answer_from(
        &arguments.ask,
        &arguments.because,
        &outcome,
        terminal,
        |reckoned, terminal| {
            people(reckoned, terminal);
            Exit::Fine
        },
        |reckoned, terminal| {
            terminal.json(&OrderView::of(&reckoned.course, &reckoned.order, &reckoned.costs));
            Exit::Fine
        },
    );
    if let Some(folder) = &arguments.out {
        done = done.max(write(arguments, folder, reckoned, &files, terminal));
    }
    if let (Some(_), Some(when)) = (&arguments.placed, when) {
        let errors = outcome.findings.iter().any(|f| f.level == Level::Error);
        done = done.max(place(arguments, when.at(&reckoned.course).date(), errors, reckoned, terminal));
    }
    done
}

fn people(reckoned: &Reckoned, terminal: &mut Terminal<'_>) {
    let (of, order) = (&reckoned.course, &reckoned.order);
    let mut tables = Vec::new();
    match &order.difference {
        Some(difference) => {
            let changes = order_tables::changes(of, order, difference);
            if changes.body.is_empty() {
                terminal.say(Stream::Answer, &order_tables::nothing_changes(difference));
            } else {
                tables.push(changes);
            }
        }
        None => tables.extend(order_tables::by_supplier(of, order)),
    }
    tables.push(order_tables::needs(of, order));
    tables.push(cost_tables::lessons(of, &reckoned.costs, &order.currency));
    tables.extend(cost_tables::taxes(&reckoned.costs, &order.currency));
    terminal.tables(Stream::Answer, &tables);
    let verdict = order_tables::verdict(of, order, reckoned.class.headcount);
    course::say(&format!("\n{verdict}"), terminal);
    terminal.prose(Stream::Answer, &cost_tables::verdict(of, order, &reckoned.costs));
}

fn write(
    arguments: &Arguments,
    folder: &std::path::Path,
    reckoned: &Reckoned,
    files: &FileTree,
    terminal: &mut Terminal<'_>,
) -> Exit {
    let outputs: Vec<OutputFile> = match order_files(reckoned, files) {
        Ok(outputs) => outputs,
        Err(why) => {
            terminal.failure(&why, "`benchroll check` tells more");
            return Exit::Course;
        }
    };
    let mut origin = Origin { inputs: course::inputs(files), ..Origin::default() };
    origin.asked.insert("command".to_owned(), "order".to_owned());
    if let Some(headcount) = arguments.ask.headcount {
        origin.asked.insert("headcount".to_owned(), headcount.to_string());
    }
    match write_set(folder, &outputs, &origin) {
        Ok(written) => {
            let count = written.written.len() + written.unchanged.len();
            let told = format!("{} in {}.", counted(count, "file", "files"), folder.display());
            say(arguments, &told, terminal);
            Exit::Fine
        }
        Err(failure) => {
            terminal.failure(&failure.to_string(), failure.way_out());
            Exit::Machine
        }
    }
}

fn place(
    arguments: &Arguments,
    day: Date,
    errors: bool,
    reckoned: &Reckoned,
    terminal: &mut Terminal<'_>,
) -> Exit {
    if errors {
        terminal.failure("an order with errors is not recorded", "mend the course first: `benchroll check`");
        return Exit::Course;
    }
    let Some(text) = order_record::record(&reckoned.order, day) else {
        say(arguments, "Nothing changes, so no record is written.", terminal);
        return Exit::Fine;
    };
    match order_record::keep(&arguments.ask.course, day, &text) {
        Ok(path) => {
            say(arguments, &format!("Recorded in {}.", path.display()), terminal);
            Exit::Fine
        }
        Err((path, error)) => {
            terminal.failure(
                &format!("can't write {}: {error}", path.display()),
                "see that the folder can be written and has room",
            );
            Exit::Machine
        }
    }
}

/// A program gets its one document on standard output; what was done stands beside it.
fn say(arguments: &Arguments, words: &str, terminal: &mut Terminal<'_>) {
    let stream = if arguments.ask.format == Format::Json { Stream::Aside } else { Stream::Answer };
    terminal.say(stream, words);
}
