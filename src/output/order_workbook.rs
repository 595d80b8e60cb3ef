//! The order as a workbook: all suppliers, a sheet for each, how the needs are made up, what the class weighs, what is left over.

use super::cost_tables;
use super::order_tables::{by_supplier, left_over, needs, short, summary, supplier_name};
use super::table::{Cell, Column, Table};
use super::weigh_tables::name_of;
use super::workbook::{Made, SheetOf, workbook};
use crate::course::Course;
use crate::reckon::cost::Costs;
use crate::reckon::order::Order;
use crate::reckon::weigh::{Group, WeighOut};
use crate::units::Grams;

/// The workbook's bytes, and never a name of a person in them.
///
/// # Errors
/// What the writer refuses, as a sentence.
pub fn order_workbook(
    course: &Course,
    order: &Order,
    out: &WeighOut,
    costs: &Costs,
) -> Result<Vec<u8>, String> {
    let sheet = |name: &str, table: Table, made: Vec<(usize, Made)>| SheetOf {
        name: name.to_owned(),
        table,
        note: String::new(),
        made,
    };
    let mut first = sheet("Order", summary(course, order), vec![(3, Made::Sum(vec![1, 2], vec![]))]);
    first.note = cost_tables::verdict(course, order, costs).replace('\n', " ");
    let mut sheets = vec![first];
    for (mut table, delivery) in by_supplier(course, order).into_iter().zip(&order.deliveries) {
        let name = supplier_name(course, &delivery.supplier);
        table.title = format!("{name}: order by {}", delivery.order_by.strftime("%a %-d %b %H:%M"));
        let short = short(course, order, delivery).map_or_else(String::new, |short| format!(". {short}"));
        sheets.push(SheetOf {
            note: format!("{}{short}", delivery.reason),
            ..sheet(&name, table, vec![(4, Made::Product(1, 3))])
        });
    }
    sheets.push(sheet("Needs", needs(course, order), vec![(6, Made::Sum(vec![4, 5], vec![3]))]));
    sheets.push(sheet("Class totals", totals(course, out), vec![(5, Made::Sum(vec![1, 2, 3, 4], vec![]))]));
    sheets.push(sheet("Left over", left_over(course, order, costs), vec![]));
    let (name, host) = (&course.settings.name.value, &course.settings.host.value);
    workbook(&format!("Order: {name}"), host, &sheets)
}

/// What is weighed of each ingredient, and for whom.
fn totals(course: &Course, out: &WeighOut) -> Table {
    let mut columns = vec![Column::text("ingredient")];
    columns.extend(["stations", "demonstrations", "spare", "shared", "together"].map(Column::grams));
    let mut table = Table::new("What the class weighs", columns);
    for total in &out.totals {
        let sum = |groups: &[Group]| -> Grams {
            let lists = groups.iter().flat_map(|g| &g.lists).flat_map(|l| &l.ingredients);
            lists.filter(|w| w.item == total.item).map(|w| w.grams).sum()
        };
        let mut row: Vec<Cell> = vec![name_of(course, &total.item).into()];
        row.extend([&out.stations, &out.demo, &out.spare, &out.shared].map(|groups| Cell::from(sum(groups))));
        row.push(total.grams.into());
        table.row(row);
    }
    table
}
