//! Time out of the cold, cooling, contents and people as tables.

use super::json::safety::{person, severity, why};
use super::table::{Cell, Column, Table};
use super::weigh_tables::name_of;
use crate::course::{AllergenId, Course, ItemId};
use crate::reckon::list_words::named;
use crate::reckon::people::{contents, people};
use crate::reckon::recipes::Recipes;
use crate::reckon::safety::Safety;
use crate::reckon::safety::rules::row;
use crate::reckon::work::Class;
use std::collections::{BTreeMap, BTreeSet};

/// All tables; anonymous: numbers for names.
#[must_use]
pub fn tables(course: &Course, class: &Class, safety: &Safety, anonymous: bool) -> Vec<Table> {
    let mut all = vec![exposures(safety)];
    all.extend([coolings(safety), dates(safety)].into_iter().flatten());
    all.push(allergens(course, class));
    all.extend(avoiders(course, class, anonymous));
    all
}

fn exposures(safety: &Safety) -> Table {
    let title = match safety.set {
        Some(set) => format!("Time above the limit: {}", set.title()),
        None => "Time above the limit: the course names no rule set".to_owned(),
    };
    let columns = vec![
        Column::text("lesson"),
        Column::text("part"),
        Column::text("is"),
        Column::span("above"),
        Column::text("passes"),
        Column::text("verdict"),
        Column::text("rule"),
    ];
    let mut table = Table::new(title, columns);
    for e in &safety.exposures {
        let dough = e.set == "dough-benchmark";
        table.row(vec![
            e.lesson.to_string().into(),
            e.part.to_string().into(),
            e.phase.word().into(),
            e.out.map(|o| if dough { o.warm_band } else { o.minutes }).into(),
            match e.judged.limit {
                Some((limit, passes)) => Cell::text(format!("{} {limit}", passes.sign())),
                None => Cell::Unknown,
            },
            e.judged.verdict.word().into(),
            source(e.judged.row),
        ]);
    }
    table
}

fn source(id: &str) -> Cell {
    match row(id) {
        Some(row) => Cell::text(format!("{}: {}", row.id, row.section)),
        None => Cell::Blank,
    }
}

fn coolings(safety: &Safety) -> Option<Table> {
    let columns = vec![
        Column::text("lesson"),
        Column::text("part"),
        Column::moment("off the fire"),
        Column::span("before the cold"),
        Column::text("to be read"),
        Column::text("verdict"),
    ];
    let mut table = Table::new("Cooling of what was cooked", columns);
    for cooling in &safety.coolings {
        let marks: Vec<String> = cooling
            .marks
            .iter()
            .map(|(clock, by)| {
                format!("{} degC by {}", clock.to.to_decimal().normalize(), by.strftime("%a %H:%M"))
            })
            .collect();
        let part = match &cooling.variant {
            Some(variant) => format!("{}, {variant}", cooling.part),
            None => cooling.part.to_string(),
        };
        table.row(vec![
            cooling.lesson.to_string().into(),
            part.into(),
            Cell::Moment(cooling.cooked.datetime()),
            cooling.on_the_counter.map_or(Cell::text("never cold"), Cell::Span),
            marks.join(", ").into(),
            cooling.judged.verdict.word().into(),
        ]);
    }
    (!safety.coolings.is_empty()).then_some(table)
}

fn dates(safety: &Safety) -> Option<Table> {
    let columns = vec![
        Column::text("lesson"),
        Column::text("part"),
        Column::text("made"),
        Column::text("used"),
        Column::text("last day"),
        Column::text("verdict"),
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
    for verdict in &all {
        let mut because: Vec<String> = verdict.by.iter().map(|i| name_of(course, i)).collect();
        if !verdict.helps.is_empty() {
            let helps: Vec<&str> = verdict.helps.iter().map(|v| v.as_str()).collect();
            because.push(format!("helped by {}", helps.join(", ")));
        }
        if verdict.cannot_be_made_suitable {
            because.push("flour in the air: cannot be made suitable here".to_owned());
        }
        let avoids = &verdict.avoids;
        table.row(vec![
            verdict.station.to_string().into(),
            person(course, verdict.row, anonymous).into(),
            format!("{} ({}, {})", avoids.what.value, why(avoids.why), severity(avoids.severity)).into(),
            with_variant(verdict.lesson.as_str(), verdict.variant.as_ref().map(|v| v.as_str())).into(),
            verdict.verdict.word().into(),
            because.join("; ").into(),
        ]);
    }
    (!all.is_empty()).then_some(table)
}
