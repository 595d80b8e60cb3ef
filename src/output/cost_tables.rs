//! What a class costs, as tables and sentences.

use super::json::decimal;
use super::table::{Cell, Column, Table};
use super::weigh_tables::name_of;
use crate::course::Course;
use crate::reckon::cost::Costs;
use crate::reckon::order::Order;
use crate::units::{Money, Percent};
use rust_decimal::Decimal;

/// What the ingredients of each lesson are worth.
#[must_use]
pub fn lessons(course: &Course, costs: &Costs, currency: &str) -> Table {
    let columns = vec![
        Column::text("lesson"),
        Column::money("ingredients", currency),
        Column::money("a student", currency),
        Column::money("a piece", currency),
        Column::text("without a price"),
    ];
    let mut table = Table::new("What the lessons take, at what is paid by the gram", columns);
    for lesson in &costs.lessons {
        let written = course.lesson(&lesson.lesson);
        let name = written
            .and_then(|l| l.name.as_ref().or(course.formula(&l.formula.value).map(|f| &f.name)))
            .map_or_else(|| lesson.lesson.to_string(), |name| name.value.clone());
        let unknown: Vec<String> = lesson.unknown.iter().map(ToString::to_string).collect();
        table.row(vec![
            name.into(),
            lesson.ingredients.into(),
            lesson.per_student.into(),
            lesson.per_piece.into(),
            if unknown.is_empty() { Cell::Blank } else { unknown.join(", ").into() },
        ]);
    }
    table
}

/// What is paid at each rate of tax; no table when no rate is stated.
#[must_use]
pub fn taxes(costs: &Costs, currency: &str) -> Option<Table> {
    let columns =
        vec![Column::text("tax"), Column::money("paid", currency), Column::money("of it tax", currency)];
    let mut table = Table::new("Tax in the prices", columns);
    for rate in &costs.taxes {
        let name = rate.rate.map_or_else(|| "no rate stated".to_owned(), |r| r.to_string());
        let tax = if rate.rate.is_some() { rate.tax.into() } else { Cell::Unknown };
        table.row(vec![name.into(), rate.paid.into(), tax]);
    }
    let sum = |of: fn(&crate::reckon::cost::TaxRate) -> Money| -> Money { costs.taxes.iter().map(of).sum() };
    table.total = Some(vec!["together".into(), sum(|t| t.paid).into(), sum(|t| t.tax).into()]);
    (!costs.taxes.is_empty()).then_some(table)
}

/// What is left over, and what the fee must be. What cannot be had has no price: then a fee is only the least that does.
#[must_use]
pub fn verdict(course: &Course, order: &Order, costs: &Costs) -> String {
    let currency = &order.currency;
    let money = |m: Money| format!("{} {currency}", decimal(m, currency));
    let left: Money = costs.left_over.iter().map(|l| l.value).sum();
    let mut lines = Vec::new();
    if !order.is_complete() {
        lines.push(format!("No sum holds what cannot be had: {}.", missing(course, order)));
    }
    lines.push(format!("{} of it is left over afterwards.", money(left)));
    match (&course.settings.margin, costs.fee_for_margin) {
        (Some(margin), Some(fee)) => {
            let least = if order.is_complete() { "A fee of" } else { "Only a fee of more than" };
            lines.push(format!("{least} {} leaves {} after the ingredients.", money(fee), margin.value));
        }
        (Some(margin), None) => {
            lines.push(format!(
                "Which fee leaves {} after the ingredients cannot be told: {}.",
                margin.value,
                no_fee(margin.value)
            ));
        }
        (None, _) => {}
    }
    if let (Some(fee), Some(left)) = (&course.settings.fee, costs.margin_of_fee) {
        lines.push(format!(
            "The fee of {} leaves {}{} %.",
            money(fee.value),
            if order.is_complete() { "" } else { "less than " },
            left.number().round_dp(1).normalize()
        ));
    }
    lines.join("\n")
}

/// Why no fee leaves a margin.
pub(super) fn no_fee(margin: Percent) -> &'static str {
    if margin.factor() >= Decimal::ONE { "a fee can leave no more than itself" } else { "nobody comes" }
}

/// The names of what cannot be had.
#[must_use]
pub fn missing(course: &Course, order: &Order) -> String {
    order.missing().map(|item| name_of(course, item)).collect::<Vec<_>>().join(", ")
}
