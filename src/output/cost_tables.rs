//! What a class costs, as tables and sentences.

use super::json::decimal;
use super::table::{Cell, Column, Table};
use crate::course::Course;
use crate::reckon::cost::Costs;
use crate::units::Money;

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

/// What is left over, and what the fee must be.
#[must_use]
pub fn verdict(course: &Course, costs: &Costs, currency: &str) -> String {
    let money = |m: Money| format!("{} {currency}", decimal(m, currency));
    let left: Money = costs.left_over.iter().map(|l| l.value).sum();
    let mut lines = vec![format!("{} of it is left over afterwards.", money(left))];
    if let (Some(margin), Some(fee)) = (&course.settings.margin, costs.fee_for_margin) {
        lines.push(format!("A fee of {} leaves {} after the ingredients.", money(fee), margin.value));
    }
    if let (Some(fee), Some(left)) = (&course.settings.fee, costs.margin_of_fee) {
        lines.push(format!(
            "The fee of {} leaves {} %.",
            money(fee.value),
            left.number().round_dp(1).normalize()
        ));
    }
    lines.join("\n")
}
