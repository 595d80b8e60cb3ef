//! Time out of the cold, cooling, contents and people as tables.

use super::json::safety::{person, severity, why};
use super::table::{Cell, Column, Table};
use super::weigh_tables::name_of;
use crate::course::{AllergenId, Course, ItemId};
use crate::reckon::allergens::Verdict;
use crate::reckon::list_words::named;
use crate::reckon::people::{LessonContents, PersonVerdict, contents, people};
use crate::reckon::plan::jobs::Group;
use crate::reckon::recipes::Recipes;
use crate::reckon::safety::Safety;
use crate::reckon::safety::rules::row;
use crate::reckon::work::Class;
use crate::units::Minutes;
use std::collections::{BTreeMap, BTreeSet};

/// Reasons that cells point to by number: what was compared, and where it is published.
#[derive(Default)]
struct Reasons(Vec<String>);

impl Reasons {
    /// The number of a reason; one that was given before keeps its number.
    fn number(&mut self, because: &str, id: &str) -> Cell {
        let source = row(id).map_or_else(String::new, |r| {
            let kind = if r.decides() { String::new() } else { format!(" ({})", r.kind.word()) };
            format!(" [{}: {}{kind}]", r.id, r.source())
        });
        let reason = format!("{because}{source}");
        if reason.is_empty() {
            return Cell::Blank;
        }
        let at = self.0.iter().position(|r| *r == reason).unwrap_or_else(|| {
            self.0.push(reason);
            self.0.len() - 1
        });
        Cell::Text((at + 1).to_string())
    }
}

/// Time out of the cold, coolings and dates as tables; their last column points to the reasons, numbered from 1.
#[must_use]
pub fn times(safety: &Safety) -> (Vec<Table>, Vec<String>) {
    let mut reasons = Reasons::default();
    let mut tables = vec![exposures(safety, &mut reasons)];
    let more = [coolings(safety, &mut reasons), dates(safety, &mut reasons)];
    tables.extend(more.into_iter().flatten());
    tables.extend(levers(safety));
    (tables, reasons.0)
}

/// What is in the pieces, and what that is to those who avoid something; anonymous: numbers for names.
#[must_use]
pub fn contents_and_people(course: &Course, class: &Class, anonymous: bool) -> Vec<Table> {
    let mut all = vec![allergens(course, class)];
    all.extend(avoiders(course, class, anonymous));
    all
}

fn exposures(safety: &Safety, reasons: &mut Reasons) -> Table {
    let title = match safety.set {
        Some(set) => format!("Time out of the cold: {}", set.title()),
        None => "Time out of the cold: the course names no rule set".to_owned(),
    };
    let columns = vec![
        Column::text("lesson"),
        Column::text("part"),
        Column::text("is"),
        Column::span("out"),
        Column::span("cooling"),
        Column::text("limit"),
        Column::text("verdict"),
        Column::text("why"),
    ];
    let mut table = Table::new(title, columns);
    for e in &safety.exposures {
        let dough = e.set == "dough-benchmark";
        table.row(vec![
            e.lesson.to_string().into(),
            e.part.to_string().into(),
            e.phase.word().into(),
            e.out.map(|o| if dough { o.warm_band } else { o.minutes }).into(),
            match e.out {
                Some(o) if !dough && o.cooling > Minutes::ZERO => Some(o.cooling).into(),
                _ => Cell::Blank,
            },
            match e.judged.limit {
                Some((limit, passes)) => Cell::text(format!("{} {limit}", passes.sign())),
                None => Cell::text("no figure"),
            },
            e.judged.verdict.word().into(),
            reasons.number(&e.judged.because, e.judged.row),
        ]);
    }
    table
}

fn levers(safety: &Safety) -> Option<Table> {
    let columns = vec![Column::text("part"), Column::text("what was tried, and what came of it")];
    let mut table = Table::new("What would bring it back within its limit", columns);
    for tried in &safety.levers {
        table.row(vec![format!("{}: {}", tried.lesson, tried.part).into(), tried.text().into()]);
    }
    (!safety.levers.is_empty()).then_some(table)
}

fn coolings(safety: &Safety, reasons: &mut Reasons) -> Option<Table> {
    let columns = vec![
        Column::text("lesson"),
        Column::text("part"),
        Column::text("for"),
        Column::moment("off the fire"),
        Column::span("before the cold"),
        Column::text("to be read"),
        Column::text("verdict"),
        Column::text("why"),
    ];
    let mut table = Table::new("Cooling of what was cooked", columns);
    for cooling in &safety.coolings {
        let marks: Vec<String> = cooling
            .marks
            .iter()
            .map(|(clock, by)| {
                format!("{} °C by {}", clock.to.to_decimal().normalize(), by.strftime("%a %H:%M"))
            })
            .chain(cooling.read.iter().map(|(most, by)| {
                format!("{} °C by {}", most.to_decimal().normalize(), by.strftime("%a %H:%M"))
            }))
            .collect();
        let part = match &cooling.variant {
            Some(variant) => format!("{}, {variant}", cooling.part),
            None => cooling.part.to_string(),
        };
        table.row(vec![
            cooling.lesson.to_string().into(),
            part.into(),
            whose(&cooling.group).into(),
            Cell::Moment(cooling.cooked.datetime()),
            cooling.on_the_counter.map_or(Cell::text("never cold"), Cell::Span),
            match marks.as_slice() {
                [] => Cell::text("nothing"),
                marks => marks.join(", ").into(),
            },
            cooling.judged.verdict.word().into(),
            reasons.number(&cooling.judged.because, cooling.judged.row),
        ]);
    }
    (!safety.coolings.is_empty()).then_some(table)
}

/// Whose pan it is.
fn whose(group: &Group) -> String {
    match group {
        Group::Station(no) => format!("station {no}"),
        Group::Batch(no) => format!("batch {no}"),
        Group::Load(no) => format!("load {no}"),
        Group::Stage(..) => "stage".to_owned(),
        Group::Spare => "spare".to_owned(),
        Group::Class(_) | Group::Session(_) => "class".to_owned(),
    }
}

fn dates(safety: &Safety, reasons: &mut Reasons) -> Option<Table> {
    let columns = vec![
        Column::text("lesson"),
        Column::text("part"),
        Column::text("made"),
        Column::text("used"),
        Column::text("last day"),
        Column::text("verdict"),
        Column::text("why"),
    ];
    let mut table = Table::new("Dates of what waits in the cold", columns);
    for mark in &safety.dates {
        table.row(vec![
            mark.lesson.to_string().into(),
            mark.part.to_string().into(),
            mark.made.to_string().into(),
            mark.used.to_string().into(),
            mark.last.map(|d| d.to_string()).into(),
            mark.verdict.word().into(),
            reasons.number(mark.because(), mark.row),
        ]);
    }
    (!safety.dates.is_empty()).then_some(table)
}

fn allergens(course: &Course, class: &Class) -> Table {
    let list = course.settings.allergen_list.value.as_str();
    let columns = vec![
        Column::text("lesson"),
        Column::text("stations"),
        Column::text("contains"),
        Column::text("may contain"),
        Column::text("not known of"),
    ];
    let mut table = Table::new(format!("What is in it, by the list {list}"), columns);
    let words = |of: &BTreeMap<AllergenId, BTreeSet<ItemId>>| -> Cell {
        of.keys().map(|a| named(list, a)).collect::<Vec<_>>().join(", ").into()
    };
    let (recipes, _) = Recipes::of(course);
    for made in contents(course, class, &recipes) {
        let stations: Vec<String> = made.stations.iter().map(ToString::to_string).collect();
        let unknown: Vec<String> = made.held.unknown.iter().map(|i| name_of(course, i)).collect();
        table.row(vec![
            with_variant(made.lesson.as_str(), made.variant.as_ref().map(|v| v.as_str())).into(),
            stations.join(", ").into(),
            words(&made.held.contains),
            words(&made.held.may_contain),
            unknown.join(", ").into(),
        ]);
    }
    table
}

fn with_variant(lesson: &str, variant: Option<&str>) -> String {
    variant.map_or_else(|| lesson.to_owned(), |v| format!("{lesson}, {v}"))
}

fn avoiders(course: &Course, class: &Class, anonymous: bool) -> Option<Table> {
    let columns = vec![
        Column::text("station"),
        Column::text("who"),
        Column::text("avoids"),
        Column::text("lesson"),
        Column::text("verdict"),
        Column::text("because"),
    ];
    let mut table = Table::new("For the teacher alone: who avoids what", columns);
    let (recipes, _) = Recipes::of(course);
    let all = people(course, class, &recipes);
    let room = contents(course, class, &recipes);
    let told = |v: &PersonVerdict| (v.row, v.lesson.clone(), v.verdict, because(course, v, &room));
    let avoided = |v: &PersonVerdict| (v.avoids.why, v.avoids.severity);
    for (n, verdict) in all.iter().enumerate() {
        // What one person avoids for the same reason, with the same outcome, is one line.
        let alike = |v: &&PersonVerdict| told(v) == told(verdict) && avoided(v) == avoided(verdict);
        if all[..n].iter().any(|v| alike(&v)) {
            continue;
        }
        let what: Vec<&str> = all[n..].iter().filter(alike).map(|v| v.avoids.what.value.as_str()).collect();
        table.row(vec![
            verdict.station.to_string().into(),
            person(course, verdict.row, anonymous).into(),
            format!(
                "{} ({}, {})",
                what.join(", "),
                why(verdict.avoids.why),
                severity(verdict.avoids.severity)
            )
            .into(),
            with_variant(verdict.lesson.as_str(), verdict.variant.as_ref().map(|v| v.as_str())).into(),
            verdict.verdict.plain().into(),
            because(course, verdict, &room).into(),
        ]);
    }
    (!all.is_empty()).then_some(table)
}

/// The ingredients that decide, or what else is made in the room; and which variant would be better.
fn because(course: &Course, verdict: &PersonVerdict, room: &[LessonContents]) -> String {
    let mut because: Vec<String> = verdict.by.iter().map(|i| name_of(course, i)).collect();
    if verdict.verdict == Verdict::SharedKitchen && because.is_empty() {
        let mut others: Vec<&str> = room
            .iter()
            .filter(|made| made.held.verdict(&verdict.avoids.what.value).0 > Verdict::SharedKitchen)
            .map(|made| made.lesson.as_str())
            .collect();
        others.dedup();
        because.push(format!("in the room: {}", others.join(", ")));
    }
    if !verdict.helps.is_empty() {
        let helps: Vec<&str> = verdict.helps.iter().map(|v| v.as_str()).collect();
        because.push(format!("helped by {}", helps.join(", ")));
    }
    if verdict.cannot_be_made_suitable {
        because.push("flour in the air: cannot be made suitable here".to_owned());
    }
    because.join("; ")
}
