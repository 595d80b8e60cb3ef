//! The equipment as tables: what is needed and what is short, what goes into which bowl and which oven.

use super::table::{Cell, Column, Table};
use super::timetable::ranges;
use crate::course::{Course, EquipId};
use crate::reckon::pull_list::{Equipment, Need};
use crate::units::Grams;

/// All of it.
#[must_use]
pub fn tables(course: &Course, equipment: &Equipment) -> Vec<Table> {
    vec![needs(course, equipment), mixer_loads(course, equipment), oven_loads(course, equipment)]
        .into_iter()
        .filter(|table| !table.body.is_empty())
        .collect()
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

/// Bowls: the reason in full is what `--why BATCH` tells.
fn mixer_loads(course: &Course, equipment: &Equipment) -> Table {
    let columns = vec![
        Column::text("batch"),
        Column::text("in"),
        Column::grams("dough"),
        Column::grams("carries"),
        Column::text("for"),
    ];
    let mut table = Table::new("What is mixed in which bowl", columns);
    for load in &equipment.mixer_loads {
        table.row(vec![
            format!("{}.{}@batch-{}", load.lesson, load.part, load.batch).into(),
            one_of(course, &load.mixers, "by hand").into(),
            shown(load.grams).into(),
            load.most.map(shown).map_or(Cell::Blank, Cell::Grams),
            ranges(&load.stations.iter().map(|s| s.0).collect::<Vec<_>>()).into(),
        ]);
    }
    table
}

/// To the gram: the table is read by eye; the JSON has all digits.
fn shown(grams: Grams) -> Grams {
    grams.to_nearest(Grams::whole(1))
}

fn oven_loads(course: &Course, equipment: &Equipment) -> Table {
    let columns = vec![
        Column::text("load"),
        Column::text("in"),
        Column::count("pieces"),
        Column::count("racks"),
        Column::text("dial"),
    ];
    let mut table = Table::new("What is baked in which oven", columns);
    for load in &equipment.oven_loads {
        table.row(vec![
            format!("{}.{}@load-{}", load.lesson, load.step, load.load).into(),
            one_of(course, &load.ovens, "none").into(),
            load.pieces.into(),
            load.racks.into(),
            format!("{} degC", load.heat.to_decimal().normalize()).into(),
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
