//! `benchroll begin DIR`: a course folder to start from.

use super::{Exit, Stream, Terminal};
use crate::course::currencies;
use crate::finding::Level;
use crate::output::new_course::{self, Answers, Customs, MOST_PEOPLE, Start};
use crate::output::new_folder::write_new_folder;
use crate::read::grammar::day;
use crate::read::{FileTree, read_course};
use clap::ValueEnum;
use clap::builder::{EnumValueParser, PossibleValue, TypedValueParser};
use jiff::civil::Date;
use std::ffi::OsStr;
use std::io;
use std::path::{Path, PathBuf};

/// Begin a course: a few questions, and a small, complete folder to change
#[derive(Clone, PartialEq, Eq, Debug, clap::Args)]
#[command(after_help = "Examples:
  benchroll begin my-class
  benchroll begin my-class --kind weekend --date 2027-03-06 --place uk
  benchroll begin my-class --kind evenings --date 2027-03-08 --place elsewhere
    --time-zone Asia/Tokyo --currency JPY --people 4

What an option says is not asked. Without a terminal nothing is asked: --kind,
--date and --place are then needed. A folder that holds anything is left alone.")]
pub struct Arguments {
    /// Folder to make; it does not exist yet, or is empty
    #[arg(value_name = "DIR")]
    dir: PathBuf,

    /// What to start from
    #[arg(long, value_enum)]
    kind: Option<Kind>,

    /// The first day, such as 2027-03-06
    #[arg(long, value_name = "DATE", value_parser = date)]
    date: Option<Date>,

    /// How many come, 1 to 12; 6 if not said
    #[arg(long, value_name = "N", value_parser = people)]
    people: Option<u32>,

    /// Where the kitchen is: decides the food code, the words for allergens, paper and money
    #[arg(long, value_parser = PlaceParser)]
    place: Option<Place>,

    /// Time zone by continent and city, such as Europe/Dublin
    #[arg(long, value_name = "ZONE", value_parser = time_zone)]
    time_zone: Option<String>,

    /// Currency by its code, such as EUR
    #[arg(long, value_name = "CODE", value_parser = currency)]
    currency: Option<String>,

    /// What the class is called
    #[arg(long, value_name = "TEXT")]
    name: Option<String>,

    /// The school or the kitchen that gives it
    #[arg(long, value_name = "TEXT")]
    host: Option<String>,

    /// Who teaches it
    #[arg(long, value_name = "TEXT")]
    teacher: Option<String>,
}

/// What to start from.
#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum)]
pub enum Kind {
    /// One loaf in an afternoon
    Afternoon,
    /// A weekend with a night in the cold
    Weekend,
    /// Three short evenings
    Evenings,
}

/// Where the kitchen is.
#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum)]
pub enum Place {
    /// United Kingdom
    Uk,
    /// European Union
    Eu,
    /// United States
    Us,
    /// Canada
    Ca,
    /// Australia
    Au,
    /// New Zealand
    Nz,
    /// Anywhere else: say time zone and currency too
    Elsewhere,
}

impl Place {
    /// Allergen list, rule set, paper, units; time zone and currency. The time zone is that of the largest city.
    fn facts(self) -> (Customs, Option<(&'static str, &'static str)>) {
        let customs = |allergens, rules, paper, units| Customs { allergens, rules, paper, units };
        match self {
            Place::Uk => {
                (customs("eu14", Some("uk-england-2013"), "A4", "metric"), Some(("Europe/London", "GBP")))
            }
            Place::Eu => {
                (customs("eu14", Some("eu-852-2004"), "A4", "metric"), Some(("Europe/Berlin", "EUR")))
            }
            Place::Us => {
                (customs("us9", Some("us-foodcode-2022"), "Letter", "us"), Some(("America/New_York", "USD")))
            }
            Place::Ca => (customs("ca", None, "Letter", "metric"), Some(("America/Toronto", "CAD"))),
            Place::Au => (customs("anz", Some("au-322"), "A4", "metric"), Some(("Australia/Sydney", "AUD"))),
            Place::Nz => (customs("anz", Some("nz-fcp"), "A4", "metric"), Some(("Pacific/Auckland", "NZD"))),
            Place::Elsewhere => (customs("codex", None, "A4", "metric"), None),
        }
    }
}

/// Reads a place by its word; a country's name leads to its word.
#[derive(Clone)]
struct PlaceParser;

impl TypedValueParser for PlaceParser {
    type Value = Place;

    fn parse_ref(
        &self,
        command: &clap::Command,
        option: Option<&clap::Arg>,
        value: &OsStr,
    ) -> Result<Place, clap::Error> {
        let Some((name, place)) = value.to_str().and_then(place_named) else {
            return EnumValueParser::<Place>::new().parse_ref(command, option, value);
        };
        let word = named(place);
        let zone = if place == Place::Eu { " with its `--time-zone`" } else { "" };
        let message = format!("--place: for {name} write `--place {word}`{zone}\n");
        Err(clap::Error::raw(clap::error::ErrorKind::InvalidValue, message).with_cmd(command))
    }

    fn possible_values(&self) -> Option<Box<dyn Iterator<Item = PossibleValue> + '_>> {
        Some(Box::new(Place::value_variants().iter().filter_map(ValueEnum::to_possible_value)))
    }
}

/// The members of the European Union, as of 1 February 2020, by their English names.
const MEMBERS: [&str; 27] = [
    "Austria",
    "Belgium",
    "Bulgaria",
    "Croatia",
    "Cyprus",
    "Czechia",
    "Denmark",
    "Estonia",
    "Finland",
    "France",
    "Germany",
    "Greece",
    "Hungary",
    "Ireland",
    "Italy",
    "Latvia",
    "Lithuania",
    "Luxembourg",
    "Malta",
    "Netherlands",
    "Poland",
    "Portugal",
    "Romania",
    "Slovakia",
    "Slovenia",
    "Spain",
    "Sweden",
];
/// Other names by which people call the places.
const NAMES: [(&str, Place); 14] = [
    ("Britain", Place::Uk),
    ("Great Britain", Place::Uk),
    ("GB", Place::Uk),
    ("England", Place::Uk),
    ("Scotland", Place::Uk),
    ("Wales", Place::Uk),
    ("Northern Ireland", Place::Uk),
    ("United Kingdom", Place::Uk),
    ("Europe", Place::Eu),
    ("USA", Place::Us),
    ("United States", Place::Us),
    ("Canada", Place::Ca),
    ("Australia", Place::Au),
    ("New Zealand", Place::Nz),
];

/// The place that a country's name means, and the name as it is written.
fn place_named(text: &str) -> Option<(&'static str, Place)> {
    let plain = |name: &str| name.to_lowercase().replace([' ', '-', '_'], "");
    let all = MEMBERS.iter().map(|name| (*name, Place::Eu)).chain(NAMES);
    let asked = plain(text.trim());
    all.into_iter().find(|(name, _)| plain(name) == asked)
}

/// Why there are no answers.
enum Stopped {
    /// These options are missing, and there is nobody to ask.
    Nobody(Vec<&'static str>),
    /// The answers ended before the questions did.
    Left,
    /// The keyboard cannot be read.
    Deaf(io::Error),
}

fn date(text: &str) -> Result<Date, String> {
    day::date(text).map_err(|slip| format!("{}; {}", slip.message, slip.way_out))
}

fn time_zone(text: &str) -> Result<String, String> {
    match jiff::tz::TimeZone::get(text) {
        Ok(_) if text.contains('/') => Ok(text.to_owned()),
        _ => Err(format!("\"{text}\" is no time zone; write continent and city: Europe/Dublin")),
    }
}

fn currency(text: &str) -> Result<String, String> {
    let code = text.to_uppercase();
    if currencies::is_code(&code) {
        Ok(code)
    } else {
        Err(format!("\"{text}\" is no currency's code; write its three letters: EUR"))
    }
}

fn people(text: &str) -> Result<u32, String> {
    text.parse().ok().filter(|n| (1..=MOST_PEOPLE).contains(n)).ok_or_else(|| {
        format!("\"{text}\" is no number from 1 to {MOST_PEOPLE}; more can be added in the files")
    })
}

fn any(text: &str) -> Result<String, String> {
    Ok(text.to_owned())
}

/// A place by its word, its number in the list or the name of its country.
fn place(text: &str) -> Result<Place, String> {
    match place_named(text) {
        Some((_, place)) => Ok(place),
        None => choice(text),
    }
}

/// One of the words of an option, or its number in the list.
fn choice<T: ValueEnum + Copy>(text: &str) -> Result<T, String> {
    let all = T::value_variants();
    let by_number = text.parse::<usize>().ok().and_then(|n| all.get(n.checked_sub(1)?));
    match by_number.copied().or_else(|| T::from_str(text, true).ok()) {
        Some(value) => Ok(value),
        None => Err(format!("\"{text}\" is none of them; write one of the words, or its number")),
    }
}

/// The words of an option, each with what it means.
fn choices<T: ValueEnum>() -> String {
    T::value_variants()
        .iter()
        .enumerate()
        .filter_map(|(n, value)| {
            let value = value.to_possible_value()?;
            let help = value.get_help().map(ToString::to_string).unwrap_or_default();
            Some(format!("\n  {}  {:<10} {help}", n + 1, value.get_name()))
        })
        .collect()
}

/// What was said, or asks until an answer can be read. An empty answer is the one in brackets.
fn ask<T>(
    said: Option<T>,
    question: &str,
    otherwise: Option<&str>,
    read: fn(&str) -> Result<T, String>,
    terminal: &mut Terminal<'_>,
) -> Result<T, Stopped> {
    if let Some(said) = said {
        return Ok(said);
    }
    let given = otherwise.map_or_else(String::new, |o| format!(" [{o}]"));
    loop {
        let heard = terminal.ask(&format!("{question}{given}: ")).map_err(Stopped::Deaf)?;
        let Some(heard) = heard else { return Err(Stopped::Left) };
        let heard = match (heard.trim(), otherwise) {
            ("", Some(otherwise)) => otherwise,
            (heard, _) => heard,
        };
        match read(heard) {
            Ok(value) if !heard.is_empty() => return Ok(value),
            Ok(_) => terminal.say(Stream::Aside, "Write something."),
            Err(why) => terminal.say(Stream::Aside, &why),
        }
    }
}

/// The answers from the options, and from the keyboard where somebody sits at it.
fn answers(arguments: &Arguments, terminal: &mut Terminal<'_>) -> Result<Answers, Stopped> {
    let silent = !terminal.hears();
    let a = arguments.clone();
    if silent {
        let zone_known = a.place.is_none_or(|p| p.facts().1.is_some());
        let missing: Vec<&'static str> = [
            ("--kind", a.kind.is_some()),
            ("--date", a.date.is_some()),
            ("--place", a.place.is_some()),
            ("--time-zone", zone_known || a.time_zone.is_some()),
            ("--currency", zone_known || a.currency.is_some()),
        ]
        .into_iter()
        .filter_map(|(name, there)| (!there).then_some(name))
        .collect();
        if !missing.is_empty() {
            return Err(Stopped::Nobody(missing));
        }
    }
    // Without a keyboard what has an answer in brackets takes it.
    let or = |said: Option<String>, otherwise: &str| said.or_else(|| silent.then(|| otherwise.to_owned()));
    let kind =
        ask(a.kind, &format!("What to start from?{}\nKind", choices::<Kind>()), Some("1"), choice, terminal)?;
    let start = match kind {
        Kind::Afternoon => Start::Afternoon,
        Kind::Weekend => Start::Weekend,
        Kind::Evenings => Start::Evenings,
    };
    let date = ask(a.date, "The first day, as 2027-03-06", None, date, terminal)?;
    let people =
        ask(a.people.or(silent.then_some(6)), "How many come, 1 to 12", Some("6"), people, terminal)?;
    let place =
        ask(a.place, &format!("Where is the kitchen?{}\nPlace", choices::<Place>()), None, place, terminal)?;
    let (customs, money) = place.facts();
    let zone_like = money.map(|(zone, _)| zone);
    let currency_like = money.map(|(_, currency)| currency);
    let time_zone = ask(
        or(a.time_zone, zone_like.unwrap_or_default()),
        "Time zone, by continent and city",
        zone_like,
        time_zone,
        terminal,
    )?;
    let currency = ask(
        or(a.currency, currency_like.unwrap_or_default()),
        "Currency",
        currency_like,
        currency,
        terminal,
    )?;
    let name = ask(or(a.name, start.name()), "What the class is called", Some(start.name()), any, terminal)?;
    let host = ask(
        or(a.host, "The teaching kitchen"),
        "The school or kitchen that gives it",
        Some("The teaching kitchen"),
        any,
        terminal,
    )?;
    let teacher = ask(or(a.teacher, "The teacher"), "Who teaches it", Some("The teacher"), any, terminal)?;
    Ok(Answers { start, date, people, customs, time_zone, currency, name, host, teacher })
}

/// Asks, writes, and says what comes next.
pub fn run(arguments: &Arguments, terminal: &mut Terminal<'_>) -> Exit {
    let dir = &arguments.dir;
    let full = std::fs::read_dir(dir).is_ok_and(|mut entries| entries.next().is_some());
    if full || (dir.exists() && !dir.is_dir()) {
        return there_already(dir, terminal);
    }
    let answers = match answers(arguments, terminal) {
        Ok(answers) => answers,
        Err(stopped) => return stop(arguments, &stopped, terminal),
    };
    let files = new_course::files(&answers);
    // What was answered is read as any course is, before anything is written.
    let tree: FileTree = files.iter().map(|(path, text)| (path.as_str(), text.as_str())).collect();
    let reading = read_course(&tree);
    let errors: Vec<_> = reading.findings.into_iter().filter(|f| f.level == Level::Error).collect();
    if !errors.is_empty() {
        terminal.findings(Stream::Aside, &errors, &reading.sources);
        return Exit::CommandLine;
    }
    match write_new_folder(dir, &files) {
        Ok(()) => {
            terminal.prose(Stream::Answer, &told(dir, &files));
            Exit::Fine
        }
        Err(e) if e.kind() == io::ErrorKind::AlreadyExists => there_already(dir, terminal),
        Err(e) => {
            let message = format!("can't write {}: {e}", dir.display());
            terminal.failure(&message, "see that the folder can be written and has room");
            Exit::Machine
        }
    }
}

fn there_already(dir: &Path, terminal: &mut Terminal<'_>) -> Exit {
    terminal.failure(
        &format!("{} is there already and is not empty; it stays as it is", dir.display()),
        "name a folder that does not exist yet",
    );
    Exit::CommandLine
}

/// A command line that would do, with what was said already.
fn example(arguments: &Arguments) -> String {
    let kind = arguments.kind.map(named);
    let place = arguments.place.map(named);
    let date = arguments.date.map(|d| d.to_string());
    let said =
        |value: &Option<String>, otherwise: &str| value.clone().unwrap_or_else(|| otherwise.to_owned());
    let word = |text: &str| if text.contains(' ') { format!("\"{text}\"") } else { text.to_owned() };
    let mut line = format!(
        "benchroll begin {} --kind {} --date {} --place {}",
        word(&arguments.dir.display().to_string()),
        said(&kind, "afternoon"),
        said(&date, "2027-03-06"),
        said(&place, "uk"),
    );
    let needs_zone = arguments.place.is_some_and(|p| p.facts().1.is_none());
    let more =
        [("--time-zone", &arguments.time_zone, "Asia/Tokyo"), ("--currency", &arguments.currency, "JPY")];
    for (option, value, otherwise) in more {
        if value.is_some() || needs_zone {
            line.push_str(&format!(" {option} {}", said(value, otherwise)));
        }
    }
    if let Some(people) = arguments.people {
        line.push_str(&format!(" --people {people}"));
    }
    let named = [("--name", &arguments.name), ("--host", &arguments.host), ("--teacher", &arguments.teacher)];
    for (option, value) in named {
        if let Some(value) = value {
            line.push_str(&format!(" {option} {}", word(value)));
        }
    }
    line
}

/// The word of an option's value.
fn named<T: ValueEnum>(value: T) -> String {
    value.to_possible_value().map(|v| v.get_name().to_owned()).unwrap_or_default()
}

fn stop(arguments: &Arguments, stopped: &Stopped, terminal: &mut Terminal<'_>) -> Exit {
    let example = example(arguments);
    match stopped {
        Stopped::Nobody(missing) => {
            terminal.failure(
                &format!("nobody is at a keyboard to be asked, and this is not said: {}", missing.join(", ")),
                &format!("say it: `{example}`, or run it in a terminal"),
            );
            Exit::CommandLine
        }
        Stopped::Left => {
            terminal.failure(
                "not all questions were answered; nothing is written",
                &format!("begin again, or say it all at once: `{example}`"),
            );
            Exit::CommandLine
        }
        Stopped::Deaf(error) => {
            terminal.failure(
                &format!("can't read what is typed: {error}"),
                &format!("say it all at once: `{example}`"),
            );
            Exit::Machine
        }
    }
}

/// What was written, and what comes next.
fn told(dir: &Path, files: &[(String, String)]) -> String {
    let width = files.iter().map(|(path, _)| path.len()).max().unwrap_or(0);
    let mut lines =
        vec![format!("{} is a course now, with invented people, prices and kitchen:", dir.display())];
    for (path, _) in files {
        let holds = match path.as_str() {
            "course.toml" => "the class: days, hours, its own steps",
            "kitchen.toml" => "your equipment: look at every line",
            "pantry.toml" => "ingredients, packs: read every label again",
            "roll.csv" => "who comes, and what they avoid",
            p if p.starts_with("formulas/") => "the recipe, in baker's percentages",
            _ => "the steps that make it",
        };
        lines.push(format!("  {path:<width$}  {holds}"));
    }
    // As it is typed: a shell takes a name apart at a space, and some do more at other signs.
    let dir = dir.display().to_string();
    let plain = dir.chars().all(|c| c.is_alphanumeric() || "/\\._-:".contains(c));
    let dir = if plain { dir } else { format!("'{}'", dir.replace('\'', "'\\''")) };
    lines.push(format!("Next: `benchroll check {dir}`,"));
    lines.push(format!("then `benchroll prepare {dir} --out printed`."));
    lines.join("\n")
}
