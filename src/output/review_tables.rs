//! The review as tables.

use super::json::review::takes_text;
use super::table::{Cell, Column, Table};
use crate::course::Course;
use crate::reckon::review::Review;
use crate::units::{Kelvins, Minutes};

/// All tables that have a line.
#[must_use]
pub fn tables(course: &Course, review: &Review) -> Vec<Table> {
    let all = [steps(review), friction(review), losses(review), yields(course, review)];
    all.into_iter().filter(|table| !table.body.is_empty()).collect()
}

fn steps(review: &Review) -> Table {
    let columns = vec![
        Column::text("lesson"),
        Column::text("step"),
        Column::count("seen"),
        Column::span("planned"),
        Column::span("median"),
        Column::text("spread"),
        Column::text("could be written"),
    ];
    let mut table = Table::new("Times, plan and day", columns);
    for s in &review.steps {
        table.row(vec![
            s.lesson.as_ref().map_or_else(|| "the class".to_owned(), ToString::to_string).into(),
            s.step.to_string().into(),
            Cell::Count(s.seen.0 as i64),
            Cell::Span(s.planned),
            Cell::Span(s.median),
            Cell::text(range(s.spread)),
            s.suggest.map_or(Cell::Blank, |t| Cell::text(takes_text(t))),
        ]);
    }
    table
}

/// `9 to 11 min`; where there is no spread the one length.
fn range((least, most): (Minutes, Minutes)) -> String {
    match (least, most) {
        (least, most) if least == most => most.to_string(),
        (least, most) if most < Minutes(60) => format!("{} to {most}", least.get()),
        (least, most) => format!("{least} to {most}"),
    }
}

fn figures(title: &str, of: &str) -> Table {
    let columns = vec![
        Column::text(of),
        Column::count("seen"),
        Column::text("written"),
        Column::text("median"),
        Column::text("least"),
        Column::text("most"),
        Column::text("could be written"),
    ];
    Table::new(title, columns)
}

/// A difference of temperature as the kitchen's file has it.
#[must_use]
pub fn degrees(of: Kelvins) -> String {
    format!("{} C", of.to_decimal().normalize())
}

fn friction(review: &Review) -> Table {
    let mut table = figures("Friction of the mixers, in the three-term sum", "mixer");
    for f in &review.friction {
        table.row(vec![
            f.mixer.to_string().into(),
            Cell::Count(f.seen as i64),
            f.written.map_or(Cell::Unknown, |w| degrees(w).into()),
            degrees(f.median).into(),
            degrees(f.spread.0).into(),
            degrees(f.spread.1).into(),
            f.suggest.map_or(Cell::Blank, |s| degrees(s).into()),
        ]);
    }
    table
}

fn losses(review: &Review) -> Table {
    let mut table = figures("Loss of weight in the bake", "lesson");
    for l in &review.losses {
        table.row(vec![
            l.lesson.to_string().into(),
            Cell::Count(l.seen as i64),
            l.written.map_or(Cell::Unknown, |w| Cell::text(w.to_string())),
            Cell::text(l.median.to_string()),
            Cell::text(l.spread.0.to_string()),
            Cell::text(l.spread.1.to_string()),
            l.suggest.map_or(Cell::Blank, |s| Cell::text(s.to_string())),
        ]);
    }
    table
}

fn yields(course: &Course, review: &Review) -> Table {
    let columns =
        vec![Column::text("lesson"), Column::count("loads"), Column::count("planned"), Column::count("made")];
    let mut table = Table::new("Pieces", columns);
    for y in &review.yields {
        let name = course.lesson(&y.lesson).and_then(|l| l.name.as_ref()).map(|n| n.value.clone());
        table.row(vec![
            name.unwrap_or_else(|| y.lesson.to_string()).into(),
            Cell::Count(y.seen as i64),
            Cell::Count(i64::from(y.planned)),
            Cell::Count(i64::from(y.made)),
        ]);
    }
    table
}
