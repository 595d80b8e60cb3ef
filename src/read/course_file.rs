//! `course.toml`: settings, sessions, the class's own steps.

use super::grammar::phrase::HANDS;
use super::grammar::quantity::Price;
use super::keys;
use super::presence;
use super::raw::{Entry, Node, Value};
use super::sessions::{self, Zone};
use super::table::{self, Fields, Log, did_you_mean};
use crate::course::{
    Accepted, Area, At, Conventions, Hands, HydrationCount, ItemId, LabelSheet, LessonId, Measures, OwnStep,
    Paper, Presence, RisePace, Session, SessionId, Settings, StepId, UnitSystem, When, YeastConversion,
    allergen_lists, currencies,
};
use crate::finding::{Finding, Located};
use crate::units::{Grams, Minutes, Money};

/// What `course.toml` holds.
pub struct CourseFile {
    /// Everything but sessions and steps.
    pub settings: Settings,
    /// The sittings, in the order of their start.
    pub sessions: Vec<Session>,
    /// Some sitting could not be read, so that a name that no sitting has may still be right.
    pub session_unread: bool,
    /// The hours of single people of the staff.
    pub presence: Vec<Presence>,
    /// The class's own steps.
    pub own_steps: Vec<OwnStep>,
    /// The lessons that are taught, in order.
    pub lessons: Vec<At<LessonId>>,
}

/// The number of the format that this program reads.
pub const FORMAT: u32 = 1;

/// The rule sets for time and temperature by their ids, as in the collection of published rules that `reckon/safety.rs` holds.
pub const RULE_SETS: &[&str] = &[
    "us-foodcode-2022",
    "uk-england-2013",
    "eu-852-2004",
    "au-322",
    "nz-fcp",
    "codex-who",
    "us-consumer",
    "dough-benchmark",
];

/// Reads `course.toml`.
pub fn read(log: &Log, root: &Node) -> Option<CourseFile> {
    let f = Fields::open(log, root, &keys::COURSE, "`course.toml`")?;
    let format = format_number(&f);
    f.refuse_unknown(&[]);
    let currency = f.required_text("currency");
    let money = Purse { log, currency: &currency };
    let zone = Zone::read(&f);
    let settings = settings(&f, format, &currency, &money)?;
    let before = log.errors();
    let sessions = sessions::read(&f, &zone);
    // What is wrong with a session is told there: hours that are held against it would tell it again.
    let clear = log.errors() == before;
    let presence = presence::read(&f, &zone, &settings, clear.then_some(&sessions));
    Some(CourseFile {
        presence,
        session_unread: sessions.len() < f.tables("sessions").len(),
        sessions,
        own_steps: f.tables("steps").into_iter().filter_map(|n| own_step(log, n)).collect(),
        lessons: lessons(&f),
        settings,
    })
}

fn format_number(f: &Fields<'_>) -> At<u32> {
    let entry = f.entry("format");
    let way_out = format!("write `format = {FORMAT}` as the first line of `course.toml`");
    let Some(entry) = entry else {
        f.log.note(
            Finding::error(
                "format-number",
                f.place,
                "`course.toml` does not say which format it is written in",
            )
            .way_out(way_out),
        );
        return Located::assumed(FORMAT);
    };
    match &entry.node.value {
        Value::Number(n) if *n == FORMAT.to_string() => {}
        Value::Number(n) => f.log.note(
            Finding::error(
                "format-number",
                entry.node.place,
                format!("this course is written in format {n}; this program reads format {FORMAT}"),
            )
            .way_out("use the program that the course was written for, or write the course in this format"),
        ),
        _ => f.log.note(
            Finding::error("format-number", entry.node.place, "`format` is not a number").way_out(way_out),
        ),
    }
    Located::at(FORMAT, entry.node.place)
}

/// Money in the course's one currency.
pub struct Purse<'a> {
    /// Where findings go.
    pub log: &'a Log,
    /// The course's currency.
    pub currency: &'a At<String>,
}

impl Purse<'_> {
    /// An amount, if the key is written; another currency than the course's is noted.
    pub fn get(&self, f: &Fields<'_>, key: &str) -> Option<At<Money>> {
        let price = f.get::<Price>(key)?;
        if let Some(other) = &price.value.currency
            && *other != self.currency.value
        {
            self.log.note(
                Finding::error(
                    "other-currency",
                    price.place,
                    format!("`{key}` is in {other}, the course reckons in {}", self.currency.value),
                )
                .also(self.currency.place, "the course's currency")
                .way_out(format!("write the amount in {}", self.currency.value)),
            );
        }
        Some(price.map(|p| p.money))
    }
    /// An amount that must be written.
    pub fn required(&self, f: &Fields<'_>, key: &str) -> At<Money> {
        self.get(f, key).unwrap_or_else(|| {
            f.missing(key, "\"1.85\"");
            Located::assumed(Money::ZERO)
        })
    }
}

/// A table that may be left out: its fields, over nothing if it is not there.
fn section<'a>(f: &Fields<'a>, key: &str, keys: &'static keys::Keys) -> Option<Fields<'a>> {
    let entry = f.entry(key)?;
    Fields::new(f.log, &entry.node, keys, format!("`{key}`"))
}

fn settings(f: &Fields<'_>, format: At<u32>, currency: &At<String>, money: &Purse<'_>) -> Option<Settings> {
    let log = f.log;
    if !currency.value.is_empty() && !currencies::is_code(&currency.value) {
        log.note(
            Finding::error(
                "unknown-word",
                currency.place,
                format!("`currency`: \"{}\" is no currency code", currency.value),
            )
            .way_out("write the three capital letters of ISO 4217: `EUR`, `USD`, `JPY`"),
        );
    }
    let units =
        f.word_or("units", &[("metric", UnitSystem::Metric), ("us", UnitSystem::Us)], UnitSystem::Metric);
    let cups = match units.value {
        UnitSystem::Metric => Measures::Metric,
        UnitSystem::Us => Measures::Us,
    };
    let safety = section(f, "safety", &keys::SAFETY);
    if !f.has("safety") {
        f.missing("safety", "{ allergen-list = \"eu14\" }");
    }
    let plan = section(f, "plan", &keys::PLAN);
    let scales = section(f, "scales", &keys::SCALES);
    let fees = section(f, "money", &keys::MONEY);
    let joining = section(f, "joining", &keys::JOINING);
    let print = section(f, "print", &keys::PRINT);
    let labels = section(f, "labels", &keys::LABELS);
    let scale = |key: &str, mg: i64| {
        let step = scales.as_ref().and_then(|s| s.get::<Grams>(key));
        let step = step.unwrap_or(Located::assumed(Grams::from_mg(mg)));
        if step.value == Grams::ZERO && key != "fine-below" {
            log.note(
                Finding::error("nought-size", step.place, format!("`{key}` is nought: no scale shows that"))
                    .way_out("write the smallest step that the scale shows: `1 g`"),
            );
        }
        step
    };
    let flag = |key: &str| print.as_ref().and_then(|p| p.flag(key)).unwrap_or(Located::assumed(false));
    Some(Settings {
        format,
        name: f.required_text("name"),
        host: f.required_text("host"),
        teacher: f.required_text("teacher"),
        helpers: f.texts("helpers"),
        address: f.text("address"),
        contact: f.text("contact"),
        time_zone: f.text("time-zone").unwrap_or(Located::assumed("UTC".to_owned())),
        currency: currency.clone(),
        language: f.text("language").unwrap_or(Located::assumed("en".to_owned())),
        paper: f.word_or("paper", &[("A4", Paper::A4), ("Letter", Paper::Letter)], Paper::A4),
        units,
        measures: f.word_or(
            "measures",
            &[("us", Measures::Us), ("metric", Measures::Metric), ("australian", Measures::Australian)],
            cups,
        ),
        conventions: section(f, "conventions", &keys::CONVENTIONS)
            .map_or_else(Default::default, |c| conventions(&c)),
        large_print: flag("large"),
        black_and_white: flag("black-and-white"),
        allergen_list: safety.as_ref().map_or(Located::assumed(String::new()), allergen_list),
        rule_set: safety.as_ref().and_then(rule_set),
        accepts: accepts(f),
        grid: grid(plan.as_ref()),
        scale_step: scale("step", 1000),
        fine_step: scale("fine-step", 100),
        fine_below: scale("fine-below", 20_000),
        least_headcount: joining.as_ref().and_then(|j| j.count("least")),
        fee: fees.as_ref().and_then(|m| money.get(m, "fee")),
        margin: fees.as_ref().and_then(|m| m.get("margin")),
        tax: fees.as_ref().and_then(|m| m.get("tax")),
        instead: instead(f),
        forget_by: safety.as_ref().and_then(|s| s.date("forget-by")),
        emergency: safety.as_ref().and_then(|s| s.text("emergency")),
        first_aid: safety.as_ref().and_then(|s| s.text("first-aid")),
        bring: joining.as_ref().map(|j| j.texts("bring")).unwrap_or_default(),
        answer_by: joining.as_ref().and_then(|j| j.date("answer-by")),
        under_age: joining.as_ref().and_then(|j| j.text("under-age")),
        own_limit: safety.as_ref().and_then(|s| s.get("out-of-cold")),
        label_percentages: labels
            .as_ref()
            .and_then(|l| l.flag("percentages"))
            .unwrap_or(Located::assumed(false)),
        labels: labels.as_ref().map(label_sheet),
        also_home: f.texts("also-home").into_iter().map(|t| t.map(Into::into)).collect(),
    })
}

fn conventions(c: &Fields<'_>) -> Conventions {
    let usual = Conventions::default();
    Conventions {
        yeast: c.word_or(
            "yeast",
            &[
                ("40 and 33 %", YeastConversion::Hamelman),
                ("3/8", YeastConversion::ThreeEighths),
                ("1/3", YeastConversion::OneThird),
                ("1/2", YeastConversion::OneHalf),
            ],
            usual.yeast.value,
        ),
        sweet_yeast_above: c.or("sweet-yeast-above", usual.sweet_yeast_above.value),
        rise: c.word_or(
            "rise",
            &[("double in 17 F", RisePace::DoublesEach17F), ("10 % a degree", RisePace::TenPercentAKelvin)],
            usual.rise.value,
        ),
        hydration: c.word_or(
            "hydration",
            &[
                ("all-water", HydrationCount::AllWater),
                ("liquids", HydrationCount::Liquids),
                ("water-only", HydrationCount::WaterOnly),
            ],
            usual.hydration.value,
        ),
    }
}

fn grid(plan: Option<&Fields<'_>>) -> At<Minutes> {
    let grid: At<Minutes> = plan.map_or(Located::assumed(Minutes(5)), |p| p.or("grid", Minutes(5)));
    if let Some(p) = plan
        && (grid.value.get() < 1 || 60 % grid.value.get().max(1) != 0)
    {
        p.log.note(
            Finding::error(
                "unknown-word",
                grid.place,
                format!("`grid` of {} does not divide an hour", grid.value),
            )
            .way_out("write `5 min`, or 1, 2, 3, 4, 6, 10, 12, 15, 20 or 30"),
        );
        return Located { value: Minutes(5), place: grid.place };
    }
    grid
}

/// Ingredients, each with the stand-in that takes its place.
fn instead(f: &Fields<'_>) -> Vec<(At<ItemId>, At<ItemId>)> {
    let entries = f.named("instead").into_iter();
    let pair = |e: &Entry| {
        let other = table::text(f.log, &e.key, &e.node)?;
        Some((Located::at(ItemId::new(e.key.clone()), e.key_place), other.map(ItemId::from)))
    };
    entries.filter_map(pair).collect()
}

fn allergen_list(safety: &Fields<'_>) -> At<String> {
    let list = safety.required_text("allergen-list");
    if !list.value.is_empty() && allergen_lists::list(&list.value).is_none() {
        let mut finding = Finding::error(
            "unknown-word",
            list.place,
            format!("`allergen-list`: \"{}\" is no list of allergens", list.value),
        );
        finding.way_out = did_you_mean(&list.value, allergen_lists::LISTS.iter().map(|l| l.id));
        safety.log.note(finding);
    }
    list
}

fn rule_set(safety: &Fields<'_>) -> Option<At<String>> {
    let rules = safety.text("rules")?;
    if !RULE_SETS.contains(&rules.value.as_str()) {
        let mut finding = Finding::error(
            "unknown-word",
            rules.place,
            format!("`rules`: \"{}\" is no rule set", rules.value),
        );
        finding.way_out = did_you_mean(&rules.value, RULE_SETS.iter().copied());
        safety.log.note(finding);
    }
    Some(rules)
}

fn accepts(f: &Fields<'_>) -> Vec<Accepted> {
    let mut all = Vec::new();
    for entry in f.named("accepts") {
        let code = || Located::at(entry.key.clone(), entry.key_place);
        match &entry.node.value {
            // One reason for each thing that findings of this code are about.
            Value::Table(of_code) => {
                for one in &of_code.entries {
                    let Some(reason) = table::text(f.log, &one.key, &one.node) else { continue };
                    let of = Some(Located::at(one.key.clone(), one.key_place));
                    all.push(Accepted { code: code(), of, reason });
                }
            }
            _ => {
                let Some(reason) = table::text(f.log, &entry.key, &entry.node) else { continue };
                all.push(Accepted { code: code(), of: None, reason });
            }
        }
    }
    all
}

fn label_sheet(l: &Fields<'_>) -> LabelSheet {
    let (across, down) = (l.required_count("across"), l.required_count("down"));
    LabelSheet {
        columns: across.value.max(1),
        rows: down.value.max(1),
        written: (across.place, down.place),
        size: l.required::<Area>("size").value,
        margin: l.get::<Area>("margin").map(|a| a.value),
        gap: l.get::<Area>("gap").map(|a| a.value),
    }
}

fn lessons(f: &Fields<'_>) -> Vec<At<LessonId>> {
    let lessons: Vec<At<LessonId>> = f.texts("lessons").into_iter().map(|t| t.map(LessonId::from)).collect();
    if lessons.is_empty() {
        f.missing("lessons", "[\"...\"]");
    }
    super::resolve::no_twins(f.log, "lesson", lessons.iter());
    lessons
}

fn own_step(log: &Log, node: &Node) -> Option<OwnStep> {
    let f = Fields::new(log, node, &keys::OWN_STEP, "this step")?;
    let id: At<StepId> = f.required_id("id");
    let pause = f.is_true("pause");
    let demo = f.is_true("demo");
    let assumed = if pause { Hands::Nobody } else { Hands::Teacher };
    let after = f
        .texts("after")
        .into_iter()
        .filter_map(|text| {
            let Some((lesson, step)) = text.value.split_once('.') else {
                log.note(
                    Finding::error(
                        "unreadable",
                        text.place,
                        format!("`after`: \"{}\" names no step of a lesson", text.value),
                    )
                    .way_out("write the lesson and the step with a point between: `four-braid.bake`"),
                );
                return None;
            };
            Some(Located { value: (LessonId::from(lesson), StepId::from(step)), place: text.place })
        })
        .collect();
    Some(OwnStep {
        name: f.text("name").unwrap_or_else(|| Located::assumed(spoken(&id.value.0))),
        id,
        sessions: f.texts("sessions").into_iter().map(|t| t.map(SessionId::from)).collect(),
        when: f.or("when", When::Any),
        takes: f.required("takes"),
        hands: f.word_or("hands", HANDS, assumed),
        demo,
        pause,
        after,
        caution: super::lesson_file::cautions(&f),
        say: f.text("say"),
    })
}

/// An id as words: `clean-down` is "Clean down".
pub fn spoken(id: &str) -> String {
    let words = id.replace(['-', '_'], " ");
    let mut letters = words.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}
