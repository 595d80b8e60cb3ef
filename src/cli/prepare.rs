//! `benchroll prepare COURSE --out DIR`: everything for the class.

use super::ask::{Ask, Format};
use super::progress::Progress;
use super::{Exit, Stream, Terminal, course, own_folder};
use crate::finding::Level;
use crate::output::equip_tables::name_of;
use crate::output::files::{Origin, OutputFile, Written, write_set};
use crate::output::json::findings::FindingsView;
use crate::output::json::prepare::{DocumentView, PrepareView};
use crate::output::prints::FolderShelf;
use crate::output::staging::Recovered;
use crate::output::text::counted;
use crate::output::verdict;
use crate::pipeline::data_files::beside;
use crate::pipeline::{Outcome, Reckoned, Watch};
use crate::reckon::pull_list::Sort;
use crate::typeset::{Kind, Printed};
use std::path::PathBuf;

/// Reckon and plan the whole class and write every document into a folder
#[derive(Clone, PartialEq, Eq, Debug, clap::Args)]
#[command(after_help = "Examples:
  benchroll prepare course --out printed
  benchroll prepare course --out what-if --headcount 14
  benchroll prepare course --out drawings --only gallery

A class that does not fit is printed all the same, marked late. Files in the
folder that benchroll did not write are left alone.")]
pub struct Arguments {
    #[command(flatten)]
    ask: Ask,

    /// Folder to write into; made if it does not exist
    #[arg(long, value_name = "DIR")]
    out: PathBuf,

    /// Only these kinds of documents, and no data files: the folder then holds these alone
    #[arg(long, value_name = "KIND", value_delimiter = ',')]
    only: Vec<Kind>,

    /// Print numbers for people's names
    #[arg(long)]
    anonymous: bool,
}

/// Writes everything, and says what was written, what is short and whether it fits.
pub fn run(arguments: &Arguments, terminal: &mut Terminal<'_>) -> Exit {
    if let Some(why) = own_folder::refused(&arguments.ask.course, &arguments.out) {
        terminal.failure(&why, own_folder::NEW_FOLDER);
        return Exit::CommandLine;
    }
    let shelf = FolderShelf::of(&arguments.out);
    let (files, outcome, printed) =
        course::produce(&arguments.ask, &shelf, arguments.anonymous, &arguments.only, terminal);
    let Some(reckoned) = outcome.reckoned.as_ref().filter(|_| !outcome.stops_printing()) else {
        refuse(&arguments.ask, &outcome, terminal);
        return course::exit(&outcome);
    };
    let data = if arguments.only.is_empty() { beside(reckoned, &files) } else { Ok(Vec::new()) };
    let mut outputs = match data {
        Ok(data) => data,
        Err(why) => {
            course::tell_errors(&arguments.ask, &outcome, terminal);
            terminal.failure(&why, "`benchroll check` tells more");
            return Exit::Course;
        }
    };
    let views: Vec<DocumentView> = printed.iter().map(view).collect();
    let made = Made { documents: printed.len(), pages: printed.iter().map(|p| p.pages).sum() };
    let data = outputs.len();
    outputs.extend(printed.into_iter().map(|p| OutputFile {
        path: p.path,
        bytes: p.pdf,
        private: p.private,
    }));
    let mut origin = Origin { inputs: course::inputs(&files), ..Origin::default() };
    if let Some(headcount) = arguments.ask.headcount {
        origin.asked.insert("headcount".to_owned(), headcount.to_string());
    }
    // `changes` asks the same again.
    if arguments.anonymous {
        origin.asked.insert("anonymous".to_owned(), "yes".to_owned());
    }
    if !arguments.only.is_empty() {
        let kinds: Vec<&str> = arguments.only.iter().map(|k| k.word()).collect();
        origin.asked.insert("only".to_owned(), kinds.join(","));
    }
    let progress = Progress::new(terminal.watched());
    progress.stage("writing", 0);
    let written = write_set(&arguments.out, &outputs, &origin);
    drop(progress);
    match written {
        Ok(written) => {
            shelf.tidy();
            match arguments.ask.format {
                Format::Json => terminal.json(&PrepareView::of(views, &outputs[..data], &written)),
                Format::People => summary(arguments, &outcome, reckoned, &made, &written, terminal),
            }
            course::exit(&outcome)
        }
        Err(failure) => {
            terminal.failure(&failure.to_string(), failure.way_out());
            Exit::Machine
        }
    }
}

/// Nothing is written: the course has errors, food would be out of its limits, or there is no plan.
fn refuse(ask: &Ask, outcome: &Outcome, terminal: &mut Terminal<'_>) {
    if outcome.reckoned.is_none() || ask.format == Format::People {
        course::tell_errors(ask, outcome, terminal);
    } else {
        let errors = outcome.findings.iter().filter(|f| f.level == Level::Error);
        terminal.json(&FindingsView::of(errors, &outcome.sources));
    }
    if outcome.reckoned.as_ref().is_some_and(|r| r.planned.plan.is_none()) {
        terminal.prose(
            Stream::Aside,
            "Without a plan no sheet has a time: nothing is written, and what was printed before stays. Amounts and orders \
             can be had without one: `benchroll scale`, `benchroll order`, `benchroll equip`.",
        );
    }
}

/// How much was printed.
struct Made {
    documents: usize,
    pages: usize,
}

fn summary(
    arguments: &Arguments,
    outcome: &Outcome,
    reckoned: &Reckoned,
    made: &Made,
    written: &Written,
    terminal: &mut Terminal<'_>,
) {
    let mut lines = Vec::new();
    match written.recovered {
        Some(Recovered::Finished) => {
            lines.push("An earlier run had been cut off; its files are complete now.".to_owned())
        }
        Some(Recovered::RolledBack) => {
            lines.push("An earlier run had been cut off; what it had begun was thrown away.".to_owned())
        }
        None => {}
    }
    lines.push(format!(
        "{} on {}.",
        counted(made.documents, "document", "documents"),
        counted(made.pages, "page", "pages")
    ));
    let count = |n: usize| counted(n, "file", "files");
    let mut told = format!("{} written into {}", count(written.written.len()), arguments.out.display());
    if !written.unchanged.is_empty() {
        told.push_str(&format!(", {} as they were", written.unchanged.len()));
    }
    if !written.removed.is_empty() {
        told.push_str(&format!(", {} out of date removed", written.removed.len()));
    }
    lines.push(told + ".");
    for (was, now) in &written.kept {
        lines.push(if was == now {
            format!("{was} is no longer part of this class, but somebody has changed it: it stays.")
        } else {
            format!("{was} had been changed by somebody: that copy is now {now}.")
        });
    }
    lines.push(String::new());
    lines.extend(short(reckoned));
    lines.push(verdict::verdict(&reckoned.course, &reckoned.planned, &reckoned.equipment));
    let seldom = outcome.findings.iter().filter(|f| f.code.0 == "seldom-on-time");
    lines.extend(seldom.map(|f| format!("But {}.", f.message)));
    terminal.prose(Stream::Answer, &lines.join("\n"));
    let told = outcome.findings.iter().filter(|f| f.level != Level::Error).count();
    course::tell_errors(&arguments.ask, outcome, terminal);
    if told > 0 {
        // `check` must count what is counted here: for the same number of people.
        let people = arguments.ask.headcount.map_or_else(String::new, |n| format!(" --headcount {n}"));
        terminal.prose(
            Stream::Answer,
            &format!(
                "{} beside: `benchroll check {}{people}`",
                counted(told, "warning or note", "warnings and notes"),
                arguments.ask.course.display()
            ),
        );
    }
}

/// What is short, in a line each.
fn short(reckoned: &Reckoned) -> Vec<String> {
    let mut lines = Vec::new();
    if reckoned.class.places_short > 0 {
        lines.push(format!("{} short.", counted(reckoned.class.places_short as usize, "place", "places")));
    }
    let equipment = &reckoned.equipment;
    for need in equipment.needs.iter().filter(|n| n.short > 0 && !equipment.goes_with_stations(n)) {
        if need.sort == Sort::Station {
            let with = equipment.short_with_stations();
            let with: Vec<String> = with.iter().map(|n| name_of(&reckoned.course, &n.item)).collect();
            lines.push(stations_short(need.short, &with));
            lines.extend(sheets_of_none(reckoned));
            continue;
        }
        let name = name_of(&reckoned.course, &need.item);
        lines.push(match need.needed_with_plan {
            Some(n) if n <= need.on_hand => {
                format!("{name}: {} short, which the plan works round by using them in turn.", need.short)
            }
            Some(n) => format!("{name}: {} short even in turn.", n - need.on_hand),
            None => format!("{name}: {} short.", need.short),
        });
    }
    lines
}

/// Sheets are printed for every station that the class needs; which of them are not there is said, as it is on those sheets.
fn sheets_of_none(reckoned: &Reckoned) -> Option<String> {
    let there = reckoned.course.kitchen.stations.count.value;
    let beyond: Vec<u32> = reckoned.class.stations.iter().map(|s| s.no.0).filter(|no| *no > there).collect();
    match beyond.as_slice() {
        [] => None,
        [one] => Some(format!("The sheets of station {one} are for a station that is not there.")),
        [first, .., last] => {
            Some(format!("The sheets of stations {first} to {last} are for stations that are not there."))
        }
    }
}

/// `1 station short, with its scale, bowl.`
fn stations_short(short: u32, with: &[String]) -> String {
    let stations = counted(short as usize, "station", "stations");
    let whose = if short == 1 { "its" } else { "their" };
    match with {
        [] => format!("{stations} short."),
        with => format!("{stations} short, with {whose} {}.", with.join(", ")),
    }
}

fn view(printed: &Printed) -> DocumentView {
    DocumentView {
        kind: printed.kind.word().to_owned(),
        station: printed.station,
        path: printed.path.clone(),
        pages: printed.pages,
    }
}
