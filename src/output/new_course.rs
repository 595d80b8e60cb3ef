//! A new course from a few answers: small, complete, commented text, ready to prepare. Pure: the same answers, the same text.

use super::text::clean;
use include_dir::{Dir, include_dir};
use jiff::ToSpan;
use jiff::civil::Date;

static TEXTS: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/templates/begin");

/// What a new course is like.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Start {
    /// One loaf in an afternoon.
    Afternoon,
    /// A weekend with a night in the cold.
    Weekend,
    /// Three short evenings.
    Evenings,
}

impl Start {
    const fn folder(self) -> &'static str {
        match self {
            Start::Afternoon => "afternoon",
            Start::Weekend => "weekend",
            Start::Evenings => "evenings",
        }
    }

    /// What the class is called if nobody says.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Start::Afternoon => "A milk loaf in an afternoon",
            Start::Weekend => "A cinnamon loaf over a cold night",
            Start::Evenings => "A milk braid in three evenings",
        }
    }
}

/// What goes with the place of a kitchen: whose words for allergens, which food code, paper, units.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Customs {
    /// The list of allergens.
    pub allergens: &'static str,
    /// The rule set for time and temperature; `None` where there is none for the place: verdicts are then unknown.
    pub rules: Option<&'static str>,
    /// `A4` or `Letter`.
    pub paper: &'static str,
    /// `metric` or `us`.
    pub units: &'static str,
}

/// The answers.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Answers {
    /// What to start from.
    pub start: Start,
    /// The first day.
    pub date: Date,
    /// How many come, 1 to [`MOST_PEOPLE`].
    pub people: u32,
    /// What goes with the place.
    pub customs: Customs,
    /// IANA time zone.
    pub time_zone: String,
    /// ISO 4217 code.
    pub currency: String,
    /// What the class is called.
    pub name: String,
    /// Who gives it.
    pub host: String,
    /// Who teaches it.
    pub teacher: String,
}

/// The most people that a new course is written for: its one oven and its fridge hold no more.
pub const MOST_PEOPLE: u32 = 12;

/// Invented people, for a roll that is to be replaced.
const ROLL: [&str; MOST_PEOPLE as usize] = [
    "Asta Lund",
    "Bram Kettle",
    "Cleo Marsh",
    "Dov Harper",
    "Elin Crowe",
    "Finn Osprey",
    "Gwen Tallow",
    "Hugo Barrow",
    "Isla Fenn",
    "Joris Pike",
    "Kaya Thorne",
    "Leif Sorrel",
];

/// The files of the course: path within its folder, and text.
#[must_use]
pub fn files(answers: &Answers) -> Vec<(String, String)> {
    let mut files = vec![("roll.csv".to_owned(), roll(answers.people))];
    let shared = ["kitchen.toml", "pantry.toml"];
    files.extend(shared.iter().filter_map(|path| Some(((*path).to_owned(), text(path, answers)?))));
    let folder = answers.start.folder();
    let mut todo: Vec<&Dir<'_>> = TEXTS.get_dir(folder).into_iter().collect();
    while let Some(dir) = todo.pop() {
        todo.extend(dir.dirs());
        files.extend(dir.files().filter_map(|file| {
            let path = file.path().to_str()?;
            let below = path.strip_prefix(folder)?.strip_prefix('/')?;
            Some((below.to_owned(), text(path, answers)?))
        }));
    }
    files.sort();
    files
}

/// One of the texts with the answers put in: `<<word>>` is the place of one.
fn text(path: &str, answers: &Answers) -> Option<String> {
    let mut text = TEXTS.get_file(path)?.contents_utf8()?.to_owned();
    let day = |n: i64| answers.date.checked_add(n.days()).unwrap_or(answers.date).to_string();
    let stations = answers.people.div_ceil(2);
    let rules = answers
        .customs
        .rules
        .map_or_else(|| "# rules = \"codex-who\"".to_owned(), |rules| format!("rules = {}", quoted(rules)));
    let places = [
        ("name", quoted(&answers.name)),
        ("host", quoted(&answers.host)),
        ("teacher", quoted(&answers.teacher)),
        ("time-zone", quoted(&answers.time_zone)),
        ("currency", quoted(&answers.currency)),
        ("paper", quoted(answers.customs.paper)),
        ("units", quoted(answers.customs.units)),
        ("allergens", quoted(answers.customs.allergens)),
        ("rules", rules),
        // Two weeks before the class the packs were read; a month after it health data goes.
        ("read", day(-14)),
        ("day-1", day(0)),
        ("day-2", day(1)),
        ("day-3", day(2)),
        ("forget", day(31)),
        ("people", answers.people.to_string()),
        ("stations", stations.to_string()),
        ("mixers", stations.div_ceil(2).to_string()),
        ("tubs", stations.to_string()),
    ];
    for (place, value) in places {
        text = text.replace(&format!("<<{place}>>"), &value);
    }
    Some(text)
}

/// A text as a TOML string. JSON's escapes are a part of TOML's.
fn quoted(text: &str) -> String {
    serde_json::Value::from(clean(text)).to_string()
}

fn roll(people: u32) -> String {
    let mut roll = "name,status,with,station,avoids,needs\n".to_owned();
    for name in ROLL.iter().take(people as usize) {
        roll.push_str(&format!("{name},coming,,,,\n"));
    }
    roll
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_place_is_filled_and_no_answer_breaks_a_file() {
        for start in [Start::Afternoon, Start::Weekend, Start::Evenings] {
            let answers = Answers {
                start,
                date: Date::constant(2027, 2, 27),
                people: 5,
                customs: Customs { allergens: "eu14", rules: None, paper: "A4", units: "metric" },
                time_zone: "Europe/Dublin".to_owned(),
                currency: "EUR".to_owned(),
                name: "\"Quotes\" \\ and\nlines".to_owned(),
                host: "H".to_owned(),
                teacher: "T".to_owned(),
            };
            let files = files(&answers);
            let paths: Vec<&str> = files.iter().map(|(path, _)| path.as_str()).collect();
            assert_eq!(paths.len(), 6, "{paths:?}");
            for (path, text) in &files {
                assert!(!text.contains("<<"), "{path}: {text}");
            }
            let course = &files.iter().find(|(path, _)| path == "course.toml").map(|(_, t)| t.clone());
            let course = course.clone().unwrap_or_default();
            assert!(course.contains(r#"name = "\"Quotes\" \\ and lines""#), "{course}");
            assert!(course.contains("2027-02-27") && course.contains("2027-03-30"), "{course}");
            assert_eq!(roll(5).lines().count(), 6);
        }
    }
}
