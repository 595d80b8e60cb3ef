//! What a stand-in changes, as a table.

use super::json::decimal;
use super::table::{Cell, Column, Table, digits};
use super::weigh_tables::name_of;
use crate::course::{AllergenId, Course, ItemId};
use crate::reckon::stand_in::Effect;
use crate::units::{Money, Percent};

/// Before, after, and the difference.
#[must_use]
pub fn effect(course: &Course, currency: &str, item: &ItemId, other: &ItemId, effect: &Effect) -> Table {
    let (name, stand_in) = (name_of(course, item), name_of(course, other));
    let columns = ["", "before", "after", "difference"].map(Column::text);
    let mut table = Table::new(format!("{stand_in} in the place of {name}"), columns.to_vec());
    let grams = effect.now - effect.was;
    table.row(vec![
        "weight".into(),
        format!("{} g of {name}", digits(effect.was)).into(),
        format!("{} g of {stand_in}", digits(effect.now)).into(),
        format!("{} g", signed(&digits(grams))).into(),
    ]);
    let money = |m: Money| format!("{} {currency}", decimal(m, currency));
    let known = |m: Money, complete: bool| if complete { money(m) } else { format!("at least {}", money(m)) };
    table.row(vec![
        "the whole order".into(),
        known(effect.cost.0, effect.complete.0).into(),
        known(effect.cost.1, effect.complete.1).into(),
        match effect.complete {
            (true, true) => signed(&money(effect.cost.1 - effect.cost.0)).into(),
            _ => "unknown: something cannot be had".into(),
        },
    ]);
    let list = |all: &[AllergenId]| all.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ");
    table.row(vec![
        "allergens of this one ingredient".into(),
        if effect.lost.is_empty() { Cell::Blank } else { list(&effect.lost).into() },
        match (effect.unknown, effect.gained.is_empty()) {
            (true, _) => "unknown: nobody has read its pack".into(),
            (false, true) => "none beside".into(),
            (false, false) => list(&effect.gained).into(),
        },
        Cell::Blank,
    ]);
    let share = |p: Option<Percent>| {
        p.map_or(Cell::Unknown, |p| format!("{} %", p.number().round_dp(1).normalize()).into())
    };
    for water in &effect.water {
        let difference = water.was.zip(water.now).map(|(was, now)| {
            format!("{} points", signed(&(now - was).number().round_dp(1).normalize().to_string()))
        });
        table.row(vec![
            format!("water in {}, {}", water.formula, water.part).into(),
            share(water.was),
            share(water.now),
            difference.map_or(Cell::Unknown, Cell::Text),
        ]);
    }
    table
}

fn signed(text: &str) -> String {
    if text.starts_with('-') { text.to_owned() } else { format!("+{text}") }
}
