//! `benchroll changes COURSE --out DIR`: what is stale since it was printed or ordered, and why?

use super::ask::{Ask, Format};
use super::{Exit, Stream, Terminal, course};
use crate::output::files::manifest_of;
use crate::output::json::changes::ChangesView;
use crate::output::manifest::sha256;
use crate::output::stale::{self, Now};
use crate::output::text::counted;
use crate::pipeline::data_files::{beside, order_files};
use crate::typeset::{Kind, MemoryShelf};
use std::fs;
use std::path::PathBuf;

/// Say which printed sheets are stale and why, and what to add to the order or cancel
#[derive(Clone, PartialEq, Eq, Debug, clap::Args)]
#[command(after_help = "Examples:
  benchroll changes course --out printed
  benchroll changes course --out printed --format json

Nothing is written. `prepare` prints anew what is stale.")]
pub struct Arguments {
    #[command(flatten)]
    ask: Ask,

    /// Folder that `prepare` wrote into
    #[arg(long, value_name = "DIR")]
    out: PathBuf,
}

/// Compares the folder with what would be written now.
pub fn run(arguments: &Arguments, terminal: &mut Terminal<'_>) -> Exit {
    let manifest = match manifest_of(&arguments.out) {
        Ok(Some(manifest)) => manifest,
        Ok(None) => {
            terminal.failure(
                &format!("{} holds nothing that benchroll wrote", arguments.out.display()),
                "name the folder that `prepare` wrote into",
            );
            return Exit::CommandLine;
        }
        Err(failure) => {
            terminal.failure(&failure.to_string(), failure.way_out());
            return Exit::Machine;
        }
    };
    // What was printed for another headcount is compared with the same question.
    let asked = |key: &str| manifest.asked.get(key).map(String::as_str);
    let headcount = asked("headcount").and_then(|n| n.parse().ok());
    let ask = Ask { headcount: arguments.ask.headcount.or(headcount), ..arguments.ask.clone() };
    // So is what was printed with numbers for names, or in part.
    let mut only: Vec<Kind> = Vec::new();
    for word in asked("only").into_iter().flat_map(|o| o.split(',')) {
        // Left out, it would be compared with everything there is.
        match word.parse() {
            Ok(kind) => only.push(kind),
            Err(_) => {
                let message = format!(
                    "{} was printed with `--only {word}`, and this program has no such document",
                    arguments.out.display()
                );
                terminal.failure(
                    &message,
                    "print it again with `benchroll prepare`, or ask the program that printed it",
                );
                return Exit::CommandLine;
            }
        }
    }
    let order_alone = asked("command") == Some("order");
    let shelf = MemoryShelf::default();
    let (files, outcome, printed) = if order_alone {
        let (files, outcome) = course::load_and_reckon(&ask, terminal);
        (files, outcome, Vec::new())
    } else {
        course::produce(&ask, &shelf, asked("anonymous").is_some(), &only, terminal)
    };
    let Some(reckoned) = outcome.reckoned.as_ref().filter(|_| !outcome.stops_printing()) else {
        course::tell_errors(&ask, &outcome, terminal);
        return course::exit(&outcome);
    };
    let data = match (order_alone, only.is_empty()) {
        (true, _) => order_files(reckoned, &files),
        (false, true) => beside(reckoned, &files),
        (false, false) => Ok(Vec::new()),
    };
    let data = match data {
        Ok(data) => data,
        Err(why) => {
            terminal.failure(&why, "`benchroll check` tells more");
            return Exit::Course;
        }
    };
    let headcount = ask.headcount.map(|n| n.to_string());
    let students = reckoned.class.stations.iter().map(|s| s.students()).sum::<u32>();
    let mut now = Now { inputs: course::inputs(&files), files: Vec::new(), headcount };
    now.files.extend(data.into_iter().map(|f| (f.path, f.bytes)));
    now.files.extend(printed.into_iter().map(|p| (p.path, p.pdf)));
    let present = |path: &str| fs::read(arguments.out.join(path)).ok();
    let stale = stale::stale(&manifest, &now, &|path| present(path).map(|b| sha256(&b)), &present);
    let was = asked("headcount").and_then(|n| n.parse().ok());
    let was = was.or_else(|| printed_for(present("data/scale.json").as_deref()));
    let former = present("data/order.json");
    let view = ChangesView::of(&stale, &reckoned.order, former.as_deref(), (was, students));
    match ask.format {
        Format::Json => terminal.json(&view),
        Format::People => {
            let people = |n: u32| counted(n as usize, "person", "people");
            let out = arguments.out.display();
            // For another number than the roll's, or compared with another than it was printed for: no figure below is read for it.
            if let Some(was) = was.filter(|was| *was != students) {
                let told = format!(
                    "{out} was printed for {}. It is compared with a class of {students}.\n",
                    people(was)
                );
                terminal.prose(Stream::Answer, &told);
            } else if let Some(asked) = asked("headcount") {
                let told = format!(
                    "{out} was printed for {} (--headcount {asked}), and is compared with as many.\n",
                    people(students)
                );
                terminal.prose(Stream::Answer, &told);
            }
            let told = if view.stale.is_empty() {
                format!("Everything in {} is as it would be printed now.", arguments.out.display())
            } else {
                let count = counted(view.stale.len(), "file is", "files are");
                format!("{count} not as they would be written now:")
            };
            terminal.say(Stream::Answer, &told);
            terminal.tables(Stream::Answer, &view.tables(&reckoned.course));
            if !view.stale.is_empty() {
                let count = ask.headcount.map(|n| format!(" --headcount {n}")).unwrap_or_default();
                let again = format!(
                    "\nbenchroll prepare {}{count} --out {} writes them anew.",
                    ask.course.display(),
                    arguments.out.display()
                );
                terminal.say(Stream::Answer, &again);
            }
        }
    }
    course::tell_errors(&ask, &outcome, terminal);
    course::exit(&outcome)
}

/// For how many it was printed, as the figures that lie with it say.
fn printed_for(scale: Option<&[u8]>) -> Option<u32> {
    let scale: serde_json::Value = serde_json::from_slice(scale?).ok()?;
    u32::try_from(scale.get("headcount")?.as_u64()?).ok()
}
