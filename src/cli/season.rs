//! `benchroll season DIR`: many classes at once.

use super::ask::Format;
use super::progress::Progress;
use super::watchdog::Watched;
use super::{Exit, Stream, Terminal, course, own_folder};
use crate::finding::{Finding, Level, Sources};
use crate::output::files::{Origin, OutputFile, write_set};
use crate::output::json::season::SeasonView;
use crate::output::prints::FolderShelf;
use crate::output::text::counted;
use crate::output::{order_tables, season_tables};
use crate::pipeline::data_files::beside;
use crate::pipeline::printing::Lent;
use crate::pipeline::{self, Asked, Outcome, Reckoned, Watch};
use crate::read::grammar::day;
use crate::read::{FileTree, folder};
use crate::reckon::places::{ShelfSpan, shelf_spans};
use crate::reckon::plan::timetable::Plan;
use crate::reckon::season::{
    Differing, Month, SeasonClass, SeasonOrder, clashes, differing, first_day, months, season_order,
};
use crate::typeset::Printed;
use crate::units::Money;
use jiff::civil::Date;
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Look at many classes at once: one order, what clashes, each month's costs; or prepare them all
#[derive(Clone, PartialEq, Eq, Debug, clap::Args)]
#[command(after_help = "Examples:
  benchroll season classes
  benchroll season classes --from 2027-03-01 --to 2027-05-31
  benchroll season classes --out printed
  benchroll season classes --format json

Each folder within DIR that holds a course.toml is a class. What keeps until
the last of them is ordered once, the rest for as many as it keeps for. Classes
are in the same kitchen when host and address are the same. Of fridges, freezers
and proofers every shelf that is begun is counted.")]
pub struct Arguments {
    /// Folder that holds the course folders
    #[arg(value_name = "DIR")]
    dir: PathBuf,

    /// Only classes that begin on this day or later
    #[arg(long, value_name = "DATE", value_parser = date)]
    from: Option<Date>,

    /// Only classes that begin on this day or earlier
    #[arg(long, value_name = "DATE", value_parser = date)]
    to: Option<Date>,

    /// Write every class's documents into a folder of its name within this one
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,

    /// Print for people, or for programs as json
    #[arg(long, value_enum, value_name = "FORM", default_value_t, hide_possible_values = true)]
    format: Format,
}

fn date(text: &str) -> Result<Date, String> {
    day::date(text).map_err(|slip| format!("{}; {}", slip.message, slip.way_out))
}

/// One folder, and what came of it.
struct Looked {
    name: String,
    outcome: Outcome,
    shelves: Vec<ShelfSpan>,
    /// How many files were written, or why none could be.
    written: Option<Result<usize, String>>,
}

impl Looked {
    fn of(name: &str, outcome: Outcome, written: Option<Result<usize, String>>) -> Looked {
        let reckoned = outcome.reckoned.as_ref();
        let plan = reckoned.and_then(|r| Some((r, r.planned.plan.as_ref()?)));
        let spans = |(r, plan): (&Reckoned, &Plan)| shelf_spans(&r.course, &r.class, &r.portions, plan);
        let shelves = plan.map(spans).unwrap_or_default();
        Looked { name: name.to_owned(), outcome, shelves, written }
    }
}

/// Looks at all classes in parallel, and tells.
pub fn run(arguments: &Arguments, terminal: &mut Terminal<'_>) -> Exit {
    let folders = folders(&arguments.dir);
    if folders.is_empty() {
        let dir = arguments.dir.display();
        terminal.failure(
            &format!("{dir} holds no folder with a course.toml"),
            "name the folder that holds the course folders",
        );
        return Exit::Course;
    }
    // Each course may be refused its own folder, and the documents of another.
    let refused = arguments
        .out
        .iter()
        .flat_map(|out| folders.iter().map(move |(name, _)| out.join(name)))
        .find_map(|out| folders.iter().find_map(|(_, path)| own_folder::refused(path, &out)));
    if let Some(why) = refused {
        terminal.failure(&why, own_folder::NEW_FOLDER);
        return Exit::CommandLine;
    }
    let progress = Progress::new(terminal.watched());
    progress.stage(if arguments.out.is_some() { "preparing" } else { "reckoning" }, folders.len());
    let mut looked: Vec<Looked> = folders
        .par_iter()
        .filter_map(|(name, path)| {
            let looked = look(name, path, arguments);
            progress.one();
            looked
        })
        .collect();
    drop(progress);
    let day = |l: &Looked| l.outcome.reckoned.as_ref().and_then(|r| first_day(&r.course));
    looked.sort_by(|a, b| (day(a), &a.name).cmp(&(day(b), &b.name)));
    tell(arguments, &looked, terminal)
}

/// The folders that hold a course, by name.
fn folders(dir: &Path) -> Vec<(String, PathBuf)> {
    let entries = std::fs::read_dir(dir).into_iter().flatten().flatten();
    let mut folders: Vec<(String, PathBuf)> = entries
        .map(|entry| (entry.file_name().to_string_lossy().into_owned(), entry.path()))
        .filter(|(name, path)| !name.starts_with('.') && path.join("course.toml").is_file())
        .collect();
    folders.sort();
    folders
}

/// Reckons one class, and prepares it if asked. `None`: it is not in the period.
fn look(name: &str, path: &Path, arguments: &Arguments) -> Option<Looked> {
    let failed =
        |finding: Finding| Outcome { sources: Default::default(), findings: vec![finding], reckoned: None };
    let files = match folder::load(path) {
        Ok(files) => files,
        Err(finding) => {
            return Some(Looked::of(name, failed(*finding), None));
        }
    };
    // What lies outside the period is not planned, which takes long.
    let reading = crate::read::read_course(&files);
    let begins = reading.course.as_ref().and_then(first_day);
    let early = arguments.from.is_some_and(|from| begins.is_some_and(|b| b < from));
    let late = arguments.to.is_some_and(|to| begins.is_some_and(|b| b > to));
    if early || late {
        return None;
    }
    let asked = Asked::default();
    let Some(out) = arguments.out.as_ref().map(|out| out.join(name)) else {
        let outcome = pipeline::reckon(&files, asked, &Watched);
        return Some(Looked::of(name, outcome, None));
    };
    let shelf = FolderShelf::of(&out);
    let fetch = |photo: &str| folder::photograph(path, photo).map_err(|e| format!("cannot be read: {e}"));
    let lent = Lent { fetch: &fetch, shelf: &shelf, anonymous: false };
    let (outcome, printed) = pipeline::produce(&files, asked, lent, &[], &Watched);
    let written = outcome.reckoned.as_ref().filter(|_| !outcome.stops_printing()).map(|reckoned| {
        let written = write(&out, beside(reckoned, &files)?, printed, &files);
        shelf.tidy();
        written
    });
    Some(Looked::of(name, outcome, written))
}

fn write(
    out: &Path,
    mut outputs: Vec<OutputFile>,
    printed: Vec<Printed>,
    files: &FileTree,
) -> Result<usize, String> {
    outputs.extend(printed.into_iter().map(|p| OutputFile {
        path: p.path,
        bytes: p.pdf,
        private: p.private,
    }));
    let origin = Origin { inputs: course::inputs(files), ..Origin::default() };
    write_set(out, &outputs, &origin).map(|_| outputs.len()).map_err(|failure| failure.to_string())
}

fn tell(arguments: &Arguments, looked: &[Looked], terminal: &mut Terminal<'_>) -> Exit {
    let mut exit = Exit::Fine;
    for class in looked {
        let errors: Vec<&Finding> =
            class.outcome.findings.iter().filter(|f| f.level == Level::Error).collect();
        if let Some(first) = errors.first() {
            exit = exit.max(Exit::Course);
            let path = arguments.dir.join(&class.name);
            terminal.failure(
                &format!(
                    "{} has {}: {}{}",
                    class.name,
                    counted(errors.len(), "error", "errors"),
                    first.message,
                    if class.outcome.reckoned.is_none() { "; it is left out" } else { "" }
                ),
                &format!("`benchroll check {}` tells all of it", path.display()),
            );
        }
        if let Some(Err(why)) = &class.written {
            exit = exit.max(Exit::Machine);
            terminal.failure(&format!("{}: {why}", class.name), "see that the folder can be written");
        }
    }
    let classes: Vec<SeasonClass<'_>> = looked.iter().filter_map(season_class).collect();
    // Money of two currencies is in no one sum: each has its own order and months. What clashes is told of all classes.
    let mut kinds: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for (number, class) in classes.iter().enumerate() {
        kinds.entry(class.course.settings.currency.value.as_str()).or_default().push(number);
    }
    let bought: Vec<Bought<'_>> =
        kinds.values().filter_map(|numbers| Bought::of(&classes, numbers)).collect();
    if bought.is_empty() {
        if exit == Exit::Fine {
            terminal.prose(Stream::Answer, "No class begins in that period.");
        }
        return exit;
    }
    let sources: Vec<&Sources> =
        looked.iter().filter(|l| l.outcome.reckoned.is_some()).map(|l| &l.outcome.sources).collect();
    for (number, question) in bought.iter().flat_map(Bought::questions) {
        if let Some(sources) = sources.get(number) {
            terminal.findings(Stream::Aside, std::slice::from_ref(question), sources);
        }
    }
    let (clashes, differing) = (clashes(&classes), differing(&classes));
    if arguments.format == Format::Json {
        let bought: Vec<_> =
            bought.iter().map(|b| (b.classes.as_slice(), &b.order, b.months.as_slice())).collect();
        terminal.json(&SeasonView::of(&classes, &bought, (&clashes, &differing)));
        return exit;
    }
    let mut tables = vec![season_tables::classes(&classes)];
    if !clashes.is_empty() {
        tables.push(season_tables::clashes(&clashes));
    }
    for one in &bought {
        let currency = &one.order.together.currency;
        let mut table = season_tables::months(&one.months, currency);
        if bought.len() > 1 {
            table.title = format!("{}, in {currency}", table.title);
        }
        tables.push(table);
    }
    terminal.tables(Stream::Answer, &tables);
    if clashes.is_empty() {
        terminal.prose(
            Stream::Answer,
            "\nNothing is needed by two classes at the same time that there is not enough of.",
        );
    }
    for one in &differing {
        terminal.prose(Stream::Answer, &told(one));
    }
    for one in &bought {
        one.tell(bought.len() > 1, terminal);
    }
    let written: usize = looked.iter().filter_map(|l| l.written.as_ref()?.as_ref().ok()).sum();
    if let Some(out) = &arguments.out {
        let classes = looked.iter().filter(|l| matches!(l.written, Some(Ok(_)))).count();
        let told = format!(
            "{} of {} written into {}.",
            counted(written, "file", "files"),
            counted(classes, "class", "classes"),
            out.display()
        );
        terminal.prose(Stream::Answer, &told);
    }
    exit
}

/// What is bought for the classes of one currency.
struct Bought<'a> {
    /// Their positions among all classes.
    numbers: Vec<usize>,
    classes: Vec<SeasonClass<'a>>,
    order: SeasonOrder,
    months: Vec<Month>,
}

impl<'a> Bought<'a> {
    fn of(all: &[SeasonClass<'a>], numbers: &[usize]) -> Option<Bought<'a>> {
        let classes: Vec<SeasonClass<'a>> = numbers.iter().filter_map(|n| all.get(*n).copied()).collect();
        let order = season_order(&classes)?;
        Some(Bought { numbers: numbers.to_vec(), months: months(&classes), order, classes })
    }

    /// What the teacher is asked, each with the position of its class among all.
    fn questions(&self) -> impl Iterator<Item = (usize, &Finding)> {
        self.order.questions.iter().filter_map(|(n, question)| Some((*self.numbers.get(*n)?, question)))
    }

    /// Says it; `several`: there are classes of another currency.
    fn tell(&self, several: bool, terminal: &mut Terminal<'_>) {
        let (classes, order) = (&self.classes, &self.order);
        let names: Vec<&str> = classes.iter().map(|c| c.name).collect();
        let all = match several {
            true => format!("For {}, in {}", names.join(" and "), order.together.currency),
            false => "For all classes together".to_owned(),
        };
        if !order.together.lines.is_empty() || !order.together.staples.is_empty() || order.fresh.is_empty() {
            terminal.prose(Stream::Answer, &format!("\n{all}\n"));
            terminal.tables(Stream::Answer, &order_tables::by_supplier(&order.course, &order.together));
        }
        for (numbers, bought) in &order.fresh {
            let names: Vec<&str> = numbers.iter().map(|n| classes[*n].name).collect();
            terminal.prose(Stream::Answer, &format!("\nFor {} alone\n", names.join(" and ")));
            terminal.tables(Stream::Answer, &order_tables::by_supplier(&order.course, bought));
        }
        if !order.unknown_keeps.is_empty() {
            let items: Vec<String> = order.unknown_keeps.iter().map(|i| format!("`{i}`")).collect();
            let note = format!(
                "How long these keep is not written: {}. They are bought for the classes of one week at a time; write `keeps` on \
                 their packs, and they are bought once for as long as they keep.",
                items.join(", ")
            );
            terminal.prose(Stream::Answer, &note);
        }
        for (item, course) in &order.differing {
            let note = format!(
                "{course} writes other packs of `{item}` than the first class: the first one's are bought."
            );
            terminal.prose(Stream::Answer, &note);
        }
        let currency = &order.together.currency;
        let total = crate::output::json::decimal(order.total(), currency);
        let missing: Vec<String> = order
            .missing()
            .into_iter()
            .map(|item| crate::output::weigh_tables::name_of(&order.course, item))
            .collect();
        let told = match missing.as_slice() {
            [] => format!("\n{total} {currency} in all."),
            missing => {
                format!("\nAt least {total} {currency} in all: {} cannot be had.", missing.join(", "))
            }
        };
        terminal.prose(Stream::Answer, &told);
    }
}

fn season_class(looked: &Looked) -> Option<SeasonClass<'_>> {
    let reckoned = looked.outcome.reckoned.as_ref()?;
    Some(SeasonClass {
        name: &looked.name,
        course: &reckoned.course,
        headcount: reckoned.class.headcount,
        stations: u32::try_from(reckoned.class.stations.len()).unwrap_or(u32::MAX),
        plan: reckoned.planned.plan.as_ref(),
        shelves: &looked.shelves,
        totals: &reckoned.weighed.totals,
        ingredients: reckoned.costs.lessons.iter().map(|l| l.ingredients).sum::<Money>(),
    })
}

/// That one kitchen is described in two ways, in what, and what to do about it.
fn told(differing: &Differing) -> String {
    let unlike: Vec<String> = differing
        .things
        .iter()
        .map(|(what, there)| {
            let counts: Vec<String> = there.iter().map(ToString::to_string).collect();
            format!("`{what}` {}", counts.join(", "))
        })
        .collect();
    format!(
        "\nThe kitchen files of {} differ, though host and address are the same. They have, in this order: {}. Where two of them \
         meet, the smaller number counts. Make the files alike, or write the `address` of each kitchen into course.toml.",
        differing.courses.join(", "),
        unlike.join("; ")
    )
}
