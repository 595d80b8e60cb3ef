//! The equipment as tables: what is needed and what is short, what goes into which bowl and which oven.

use super::table::{Cell, Column, Table};
use super::timetable::ranges;
use crate::course::{Course, EquipId};
use crate::reckon::places::{Places, free, taken};
use crate::reckon::pull_list::{Equipment, Need};
use crate::units::Grams;

/// All of it, and the reasons that the batches and loads point to, numbered from 1.
#[must_use]
pub fn tables(course: &Course, equipment: &Equipment, places: &Places) -> (Vec<Table>, Vec<String>) {
    let mut reasons = Vec::new();
    let all = vec![
        needs(course, equipment),
        mixer_loads(course, equipment, &mut reasons),
        oven_loads(course, equipment, &mut reasons),
        in_places(places),
        spread(places),
    ];
    (all.into_iter().filter(|table| !table.body.is_empty()).collect(), reasons)
}

/// The number of a reason; one that was given before keeps its number.
fn number(reasons: &mut Vec<String>, why: &str) -> Cell {
    if why.is_empty() {
        return Cell::Blank;
    }
    let at = reasons.iter().position(|r| r == why).unwrap_or_else(|| {
        reasons.push(why.to_owned());
        reasons.len() - 1
    });
    Cell::Text((at + 1).to_string())
}

/// Shelves, sinks and burners at their fullest moment.
fn in_places(places: &Places) -> Table {
    let columns = vec![
        Column::text("where"),
        Column::text("taken"),
        Column::count("there are"),
        Column::text("fullest"),
        Column::text("what stands there then"),
    ];
    let mut table = Table::new("Shelves, sinks and burners when they are fullest", columns);
    for place in &places.uses {
        let things = place.things.iter().map(|(what, n)| {
            format!("{n} {}", what.as_ref().map_or("bare pieces".to_owned(), ToString::to_string))
        });
        table.row(vec![
            place.place.to_string().into(),
            taken(place.taken).into(),
            place.there.into(),
            place.fullest.as_ref().map_or(Cell::Blank, |at| at.strftime("%a %H:%M").to_string().into()),
            things.collect::<Vec<_>>().join(", ").into(),
        ]);
    }
    table
}

/// What goes into the cold warm, and whether it can lie flat there.
fn spread(places: &Places) -> Table {
    let columns = vec![
        Column::text("goes in warm"),
        Column::text("into"),
        Column::text("at"),
        Column::count("things"),
        Column::text("flat takes"),
        Column::text("free"),
        Column::text(""),
    ];
    let mut table = Table::new("What must lie flat in the cold until it is cold, in shelves", columns);
    for one in &places.spreads {
        table.row(vec![
            one.task.clone().into(),
            one.place.to_string().into(),
            one.at.strftime("%a %H:%M").to_string().into(),
            one.things.into(),
            taken(one.flat).into(),
            free(one.free).into(),
            if one.fits() { Cell::Blank } else { Cell::text("no room") },
        ]);
    }
    table
}

fn needs(course: &Course, equipment: &Equipment) -> Table {
    let columns = vec![
        Column::text("what"),
        Column::count("at once"),
        Column::count("in turn"),
        Column::count("there are"),
        Column::count("short"),
        Column::text("which"),
    ];
    let mut table = Table::new("Equipment", columns);
    for need in &equipment.needs {
        table.row(vec![
            name_of(course, &need.item).into(),
            need.needed.into(),
            need.needed_with_plan.into(),
            need.on_hand.into(),
            if need.short == 0 { Cell::Blank } else { need.short.into() },
            remark(need).into(),
        ]);
    }
    table
}

/// What there is to say about a need: short for good, or used in turn; where it is kept.
fn remark(need: &Need) -> String {
    let mut words = Vec::new();
    match need.needed_with_plan {
        _ if need.short == 0 => {}
        Some(n) if n <= need.on_hand => words.push("the plan uses them in turn".to_owned()),
        Some(n) => words.push(format!("short of {} even in turn", n - need.on_hand)),
        None => words.push("there is no plan that uses them in turn".to_owned()),
    }
    if let Some((count, from)) = &need.borrowed {
        words.push(format!("{count} from {from}"));
    }
    if let Some(kept) = &need.kept {
        words.push(kept.clone());
    }
    words.join("; ")
}

/// Bowls; `--why BATCH` tells the same reason with the file that it comes from.
fn mixer_loads(course: &Course, equipment: &Equipment, reasons: &mut Vec<String>) -> Table {
    let columns = vec![
        Column::text("batch"),
        Column::text("in"),
        Column::grams("dough"),
        Column::grams("carries"),
        Column::text("for"),
        Column::text("why"),
    ];
    let mut table = Table::new("What is mixed in which bowl", columns);
    for load in &equipment.mixer_loads {
        table.row(vec![
            format!("{}.{}@batch-{}", load.lesson, load.part, load.batch).into(),
            one_of(course, &load.mixers, "by hand").into(),
            shown(load.grams).into(),
            load.most.map(shown).map_or(Cell::Blank, Cell::Grams),
            ranges(&load.stations.iter().map(|s| s.0).collect::<Vec<_>>()).into(),
            number(reasons, &load.why),
        ]);
    }
    table
}

/// To the gram: the table is read by eye; the JSON has all digits.
fn shown(grams: Grams) -> Grams {
    grams.to_nearest(Grams::whole(1))
}

fn oven_loads(course: &Course, equipment: &Equipment, reasons: &mut Vec<String>) -> Table {
    let columns = vec![
        Column::text("load"),
        Column::text("in"),
        Column::count("pieces"),
        Column::count("racks"),
        Column::text("dial"),
        Column::text("why"),
    ];
    let mut table = Table::new("What is baked in which oven", columns);
    for load in &equipment.oven_loads {
        table.row(vec![
            format!("{}.{}@load-{}", load.lesson, load.step, load.load).into(),
            one_of(course, &load.ovens, "none").into(),
            load.pieces.into(),
            load.racks.into(),
            format!("{} °C", load.heat.to_decimal().normalize()).into(),
            number(reasons, &load.why),
        ]);
    }
    table
}

fn one_of(course: &Course, kinds: &[EquipId], none: &str) -> String {
    if kinds.is_empty() {
        return none.to_owned();
    }
    kinds.iter().map(|id| name_of(course, id)).collect::<Vec<_>>().join(" or ")
}

/// The name of a thing of the kitchen as it is printed.
#[must_use]
pub fn name_of(course: &Course, id: &EquipId) -> String {
    let kitchen = &course.kitchen;
    let named = (kitchen.mixers.iter().map(|m| (&m.id, &m.name)))
        .chain(kitchen.ovens.iter().map(|o| (&o.id, &o.name)))
        .chain(kitchen.tins.iter().map(|t| (&t.id, &t.name)))
        .chain(kitchen.trays.iter().map(|t| (&t.id, &t.name)))
        .chain(kitchen.tools.iter().map(|t| (&t.id, &t.name)))
        .find(|(have, _)| have.value == *id)
        .and_then(|(_, name)| name.as_ref());
    named.map_or_else(|| id.to_string(), |name| name.value.clone())
}
