//! The order as tables: what to buy, from whom by when, and what it is made up of.

use super::table::{Cell, Column, Table, digits};
use super::weigh_tables::name_of;
use crate::course::{Amount, Course, SupplierId};
use crate::reckon::order::{Bought, Line, Order};
use crate::units::{Grams, Money};

/// A table of packs for each supplier.
#[must_use]
pub fn by_supplier(course: &Course, order: &Order) -> Vec<Table> {
    order
        .deliveries
        .iter()
        .map(|delivery| {
            let title = format!(
                "{}: order by {} ({})",
                supplier_name(course, &delivery.supplier),
                delivery.order_by.strftime("%a %-d %b %H:%M"),
                delivery.reason
            );
            let mut table = Table::new(
                title,
                vec![
                    Column::text("what"),
                    Column::count("packs"),
                    Column::text("of"),
                    Column::money("each", &order.currency),
                    Column::money("cost", &order.currency),
                ],
            );
            for (line, bought) in bought(order).filter(|(_, b)| b.supplier == delivery.supplier) {
                table.row(vec![
                    name_of(course, &line.item).into(),
                    bought.count.into(),
                    amount(bought.of).into(),
                    bought.price.into(),
                    bought.price.times(i64::from(bought.count)).into(),
                ]);
            }
            if delivery.fee > Money::ZERO {
                table.row(vec![
                    "delivery".into(),
                    Cell::Blank,
                    Cell::Blank,
                    Cell::Blank,
                    delivery.fee.into(),
                ]);
            }
            let sum = delivery.goods + delivery.fee;
            table.total = Some(vec!["together".into(), Cell::Blank, Cell::Blank, Cell::Blank, sum.into()]);
            table
        })
        .collect()
}

/// How each need is made up: what is weighed, the allowances by name, what is on the shelf, what is left over.
#[must_use]
pub fn needs(course: &Course, order: &Order) -> Table {
    let columns = vec![
        Column::text("ingredient"),
        Column::grams("weighed"),
        Column::text("allowances"),
        Column::grams("need"),
        Column::grams("on hand"),
        Column::grams("bought"),
        Column::grams("left over"),
    ];
    let mut table = Table::new("How the needs are made up", columns);
    for line in &order.lines {
        let held: Grams = line.bought.iter().map(|b| b.pack_grams.times(i64::from(b.count))).sum();
        let allowances: Vec<String> =
            line.allowances.iter().map(|a| format!("{} {} g", a.why, digits(a.grams))).collect();
        table.row(vec![
            name_of(course, &line.item).into(),
            line.total.into(),
            allowances.join(", ").into(),
            line.need.into(),
            line.on_hand.into(),
            if line.missing { Cell::text("not to be had") } else { held.into() },
            line.surplus.into(),
        ]);
    }
    for (item, grams) in &order.staples {
        let kept = "the kitchen has it";
        table.row(vec![
            name_of(course, item).into(),
            (*grams).into(),
            kept.into(),
            (*grams).into(),
            Cell::Blank,
            Cell::Blank,
            Cell::Blank,
        ]);
    }
    table
}

/// What it comes to, and by when the first order must be placed.
#[must_use]
pub fn verdict(course: &Course, order: &Order, headcount: u32) -> String {
    let money = |m: Money| format!("{} {}", super::json::decimal(m, &order.currency), order.currency);
    let mut lines =
        vec![format!("{} in all, {} for each of {headcount}.", money(order.total), money(order.per_student))];
    for delivery in &order.deliveries {
        if let Some(missing) = delivery.below_least {
            lines.push(format!(
                "{}: {} below the least order.",
                supplier_name(course, &delivery.supplier),
                money(missing)
            ));
        }
    }
    if let Some((by, _)) = &order.order_by {
        lines.push(format!("The first order must be placed by {}.", by.strftime("%A %-d %B %H:%M")));
    }
    lines.join("\n")
}

/// The whole order as one table for a spreadsheet: a row for each pack size, and one for what is on the shelf or not to be had.
#[must_use]
pub fn for_spreadsheet(course: &Course, order: &Order) -> Table {
    let columns = vec![
        Column::text("supplier"),
        Column::text("item"),
        Column::text("name"),
        Column::grams("weighed"),
        Column::grams("allowances"),
        Column::grams("need"),
        Column::grams("on hand"),
        Column::count("packs"),
        Column::text("pack"),
        Column::grams("pack"),
        Column::money("price", &order.currency),
        Column::money("cost", &order.currency),
        Column::grams("left over"),
        Column::moment("order by"),
    ];
    let mut table = Table::new("Order", columns);
    for line in &order.lines {
        let amounts = |first: bool| -> Vec<Cell> {
            if first {
                let allowances: Grams = line.allowances.iter().map(|a| a.grams).sum();
                vec![line.total.into(), allowances.into(), line.need.into(), line.on_hand.into()]
            } else {
                // The need stands once, so that its column can be summed.
                vec![Cell::Blank; 4]
            }
        };
        let mut row = |supplier: Cell, first: bool, rest: Vec<Cell>| {
            let mut cells = vec![supplier, line.item.to_string().into(), name_of(course, &line.item).into()];
            cells.extend(amounts(first));
            cells.extend(rest);
            table.row(cells);
        };
        if line.bought.is_empty() {
            let word = if line.missing { Cell::text("not to be had") } else { Cell::Blank };
            let mut rest = vec![Cell::Count(0), word];
            rest.extend(vec![Cell::Blank; 5]);
            row(Cell::Blank, true, rest);
        }
        for (n, bought) in line.bought.iter().enumerate() {
            let order_by =
                order.deliveries.iter().find(|d| d.supplier == bought.supplier).map(|d| d.order_by);
            row(
                supplier_name(course, &bought.supplier).into(),
                n == 0,
                vec![
                    bought.count.into(),
                    amount(bought.of).into(),
                    bought.pack_grams.into(),
                    bought.price.into(),
                    bought.price.times(i64::from(bought.count)).into(),
                    if n == 0 { line.surplus.into() } else { Cell::Blank },
                    order_by.map_or(Cell::Blank, Cell::Moment),
                ],
            );
        }
    }
    for delivery in order.deliveries.iter().filter(|d| d.fee > Money::ZERO) {
        let mut cells =
            vec![supplier_name(course, &delivery.supplier).into(), Cell::Blank, Cell::text("delivery")];
        cells.extend(vec![Cell::Blank; 8]);
        cells.extend([delivery.fee.into(), Cell::Blank, Cell::Moment(delivery.order_by)]);
        table.row(cells);
    }
    table
}

fn bought(order: &Order) -> impl Iterator<Item = (&Line, &Bought)> {
    order.lines.iter().flat_map(|line| line.bought.iter().map(move |b| (line, b)))
}

fn supplier_name(course: &Course, supplier: &SupplierId) -> String {
    course.pantry.supplier(supplier).map_or_else(|| supplier.to_string(), |s| s.name.value.clone())
}

/// An amount as it is sold: `1.5 kg`, `2 l`, `12 pieces`.
fn amount(of: Amount) -> String {
    let plain = |d: rust_decimal::Decimal| d.normalize().to_string();
    let thousand = rust_decimal::Decimal::ONE_THOUSAND;
    match of {
        Amount::Mass(g) if g >= Grams::whole(1000) => format!("{} kg", plain(g.to_decimal() / thousand)),
        Amount::Mass(g) => format!("{} g", digits(g)),
        Amount::Volume(ml) if ml.to_decimal() >= thousand => {
            format!("{} l", plain(ml.to_decimal() / thousand))
        }
        Amount::Volume(ml) => format!("{} ml", plain(ml.to_decimal())),
        Amount::Pieces(1) => "1 piece".to_owned(),
        Amount::Pieces(n) => format!("{n} pieces"),
    }
}
