//! `benchroll after COURSE`: what is counted back, what goes back to whom, and which data are to be forgotten?

use super::ask::{Ask, Because};
use super::roll::write_beside;
use super::when::moment;
use super::{Exit, Stream, Terminal, course};
use crate::output::json::after::AfterView;
use crate::output::pantry_text::with_stock;
use crate::output::replace::replace;
use crate::output::roll_text::RollText;
use crate::output::{after_tables, order_tables};
use crate::pipeline::Reckoned;
use crate::read::folder;
use crate::read::grammar;
use crate::reckon::after::{Shelf, overdue, shelves, still_to_come};
use crate::reckon::order::days;
use jiff::civil::DateTime;
use std::path::PathBuf;

/// Say what is left over, what goes back to whom, and remove health data from the roll
#[derive(Clone, PartialEq, Eq, Debug, clap::Args)]
#[command(after_help = "Examples:
  benchroll after course
  benchroll after course --stock     write the shelf as it should be
  benchroll after course --stock --counted butter=\"300 g\"
  benchroll after course --forget    take health data off the roll

--stock writes a new pantry beside pantry.toml, which is not touched; with
--counted what was counted stands in it. --forget changes roll.csv itself: what
people avoid and need goes, their names and stations stay. Before the last
session is over it does so only with --early.")]
pub struct Arguments {
    #[command(flatten)]
    ask: Ask,

    /// Write a new pantry with the stock as it is after the class
    #[arg(long)]
    stock: bool,

    /// What was counted of an ingredient, by its id; with --stock
    #[arg(long, value_name = "ITEM=AMOUNT", requires = "stock")]
    counted: Vec<String>,

    /// Remove what people avoid and need from roll.csv
    #[arg(long)]
    forget: bool,

    /// With --forget: even though the class is not over
    #[arg(long, requires = "forget")]
    early: bool,

    /// Ask as of this day, `2027-03-09` or `2027-03-09 12:30`; without it as of now
    #[arg(long, value_name = "WHEN", default_value = "now", hide_default_value = true)]
    on: String,
}

/// Prints it, and does what is asked.
pub fn run(arguments: &Arguments, terminal: &mut Terminal<'_>) -> Exit {
    let when = match moment(&arguments.on) {
        Ok(when) => when,
        Err(why) => {
            terminal.failure(&why, "write `2027-03-09`, `2027-03-09 12:30` or `now`");
            return Exit::CommandLine;
        }
    };
    let (_, outcome) = course::load_and_reckon(&arguments.ask, terminal);
    let mut done = course::answer_from(
        &arguments.ask,
        &Because::default(),
        &outcome,
        terminal,
        |reckoned, terminal| {
            let course = &reckoned.course;
            let left = order_tables::left_over(course, &reckoned.order, &reckoned.costs);
            terminal.tables(Stream::Answer, &[left, after_tables::returns(course)]);
            super::course::say(&after_tables::forget(course), terminal);
            Exit::Fine
        },
        |reckoned, terminal| {
            let now = when.at(&reckoned.course);
            terminal.json(&AfterView::of(&reckoned.course, &reckoned.order, &reckoned.costs, now.date()));
            Exit::Fine
        },
    );
    if let (true, Some(reckoned)) = (arguments.stock, &outcome.reckoned) {
        done = done.max(stock(arguments, reckoned, terminal));
    }
    let now = outcome.reckoned.as_ref().map(|r| (&r.course, when.at(&r.course)));
    if arguments.forget {
        done = done.max(match now {
            _ if arguments.early => forget(arguments, terminal),
            Some((course, now)) => match still_to_come(course, now) {
                Some(ends) => too_early(ends, terminal),
                None => forget(arguments, terminal),
            },
            None => {
                terminal.failure(
                    "nobody knows whether the class is over, since the course has errors: roll.csv is left as it is",
                    "mend them first; or add --early, and roll.csv forgets it now",
                );
                Exit::Course
            }
        });
    } else if let Some((course, now)) = now {
        terminal.findings(Stream::Aside, overdue(course, now.date()).as_slice(), &outcome.sources);
    }
    done
}

fn too_early(ends: DateTime, terminal: &mut Terminal<'_>) -> Exit {
    let day = ends.strftime("%A %-d %B %Y %H:%M");
    terminal.failure(
        &format!("the class is not over before {day}: until then its sheets need what people avoid and need"),
        "ask again after it; or add --early, and roll.csv forgets it now",
    );
    Exit::CommandLine
}

fn stock(arguments: &Arguments, reckoned: &Reckoned, terminal: &mut Terminal<'_>) -> Exit {
    let folder = &arguments.ask.course;
    let Some(days) = days(&reckoned.course) else { return Exit::Course };
    let mut shelves: Vec<Shelf> = shelves(&reckoned.course, &reckoned.order, days.last_use);
    for counted in &arguments.counted {
        if let Err((why, way_out)) = count(&mut shelves, counted) {
            terminal.failure(&why, &way_out);
            return Exit::CommandLine;
        }
    }
    let text = folder::one_file(&folder.join("pantry.toml"))
        .map_err(|e| e.to_string())
        .and_then(|bytes| String::from_utf8(bytes).map_err(|_| "it is not in UTF-8".to_owned()))
        .and_then(|text| {
            let changed = shelves.iter().filter(|s| s.was != s.then);
            with_stock(&text, changed.map(|s| (s.item.as_str(), s.then.as_slice())))
        });
    let written = match text {
        Ok(text) => write_beside(folder, "pantry", "toml", text.as_bytes()),
        Err(why) => {
            terminal.failure(
                &format!("can't change the stock in pantry.toml: {why}"),
                "`benchroll check` tells more",
            );
            return Exit::Course;
        }
    };
    terminal.tables(Stream::Answer, &[after_tables::shelves(&reckoned.course, &shelves)]);
    match written {
        Ok(path) => {
            let words = format!("\n{}: look at it, and put it in place of pantry.toml.", path.display());
            terminal.say(Stream::Answer, &words);
            Exit::Fine
        }
        Err((path, error)) => {
            terminal.failure(&format!("can't write {}: {error}", path.display()), "make the folder writable");
            Exit::Machine
        }
    }
}

/// What was counted stands in place of what should be there; it is good until the earliest day of that.
fn count(shelves: &mut [Shelf], counted: &str) -> Result<(), (String, String)> {
    let like = "write it as butter=\"300 g\"".to_owned();
    let (item, amount) =
        counted.split_once('=').ok_or_else(|| (format!("\"{counted}\" has no `=`"), like))?;
    let amount =
        grammar::read::<crate::course::Amount>(amount.trim()).map_err(|slip| (slip.message, slip.way_out))?;
    let ids: Vec<String> = shelves.iter().map(|s| s.item.to_string()).collect();
    let Some(shelf) = shelves.iter_mut().find(|s| s.item.as_str() == item.trim()) else {
        let nearest = ids.iter().min_by_key(|id| strsim::damerau_levenshtein(id, item));
        let way_out = nearest.map_or_else(String::new, |id| format!("did you mean {id}?"));
        return Err((format!("this class does not use {item:?}"), way_out));
    };
    let best = shelf.then.iter().filter_map(|(_, best)| *best).min();
    shelf.then = vec![(amount, best)];
    Ok(())
}

fn forget(arguments: &Arguments, terminal: &mut Terminal<'_>) -> Exit {
    let path: PathBuf = arguments.ask.course.join("roll.csv");
    let roll = folder::one_file(&path).map_err(|e| e.to_string()).and_then(|bytes| {
        RollText::new(&bytes).ok_or_else(|| "it is not in UTF-8, or has no column `name`".to_owned())
    });
    let mut roll = match roll {
        Ok(roll) => roll,
        Err(why) => {
            terminal
                .failure(&format!("can't change {}: {why}", path.display()), "`benchroll check` tells more");
            return Exit::Course;
        }
    };
    let people = roll.forget();
    if people == 0 {
        terminal.say(Stream::Answer, "There is no health data on the roll.");
        return Exit::Fine;
    }
    match replace(&path, &roll.bytes()) {
        Ok(()) => {
            let rows = crate::output::text::counted(people, "row", "rows");
            let words = format!(
                "What people avoid and need is gone from {rows} of {}. Printed sheets and folders\nthat `prepare` wrote still hold it, as do backups: remove them too.",
                path.display()
            );
            terminal.say(Stream::Answer, &words);
            Exit::Fine
        }
        Err(error) => {
            terminal.failure(&format!("can't write {}: {error}", path.display()), "make the folder writable");
            Exit::Machine
        }
    }
}
