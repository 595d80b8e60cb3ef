//! The order as tables: what to buy, from whom by when, and what it is made up of.

use super::table::{Cell, Column, Table};
use super::text::counted;
use super::weigh_tables::name_of;
use crate::course::{Course, SupplierId};
use crate::reckon::cost::Costs;
use crate::reckon::mixers::shown;
use crate::reckon::order::difference::Difference;
use crate::reckon::order::{Bought, Delivery, Line, Order, words_of as amount};
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

/// What comes from whom and when, in one table.
#[must_use]
pub fn summary(course: &Course, order: &Order) -> Table {
    let columns = vec![
        Column::text("supplier"),
        Column::money("goods", &order.currency),
        Column::money("delivery", &order.currency),
        Column::money("together", &order.currency),
        Column::moment("order by"),
        Column::text("comes on"),
    ];
    let mut table = Table::new(format!("Order: {}", course.settings.name.value), columns);
    let (mut goods, mut fees) = (Money::ZERO, Money::ZERO);
    for delivery in &order.deliveries {
        goods = goods + delivery.goods;
        fees = fees + delivery.fee;
        table.row(vec![
            supplier_name(course, &delivery.supplier).into(),
            delivery.goods.into(),
            delivery.fee.into(),
            (delivery.goods + delivery.fee).into(),
            Cell::Moment(delivery.order_by),
            delivery.arrives.strftime("%a %-d %b %Y").to_string().into(),
        ]);
    }
    for item in order.missing() {
        let name = format!("{}: not to be had", name_of(course, item));
        table.row(vec![name.into(), Cell::Unknown, Cell::Blank, Cell::Unknown, Cell::Blank, Cell::Blank]);
    }
    let all = if order.is_complete() { "all" } else { "all that can be had" };
    table.total =
        Some(vec![all.into(), goods.into(), fees.into(), order.total.into(), Cell::Blank, Cell::Blank]);
    table
}

/// What is left over of what is bought, and what it is worth.
#[must_use]
pub fn left_over(course: &Course, order: &Order, costs: &Costs) -> Table {
    let columns = vec![
        Column::text("left over"),
        Column::grams("how much"),
        Column::money("worth", &order.currency),
        Column::text("would do for"),
    ];
    let mut table = Table::new("What is left over", columns);
    for left in &costs.left_over {
        let serves = match left.serves {
            Some(1) => "1 more person".into(),
            Some(more) if more > 0 => format!("{more} more people").into(),
            _ => Cell::Blank,
        };
        table.row(vec![name_of(course, &left.item).into(), left.grams.into(), left.value.into(), serves]);
    }
    let worth: Money = costs.left_over.iter().map(|l| l.value).sum();
    table.total = Some(vec!["together".into(), Cell::Blank, worth.into(), Cell::Blank]);
    table
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
        let mut allowances: Vec<String> =
            line.allowances.iter().map(|a| format!("{} {}", a.why, shown(a.grams))).collect();
        // What is bought by the piece is thought of by the piece.
        if let Some(pieces) = line.pieces(course) {
            allowances.push(format!("{} in all", counted(pieces, "piece", "pieces")));
        }
        table.row(vec![
            name_of(course, &line.item).into(),
            line.total.into(),
            allowances.join(", ").into(),
            line.need.into(),
            line.on_hand.into(),
            match (line.missing, line.bought.is_empty()) {
                (true, _) => Cell::text("not to be had"),
                (_, true) => Cell::Blank,
                _ => held.into(),
            },
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

/// What changes against what was ordered before; without rows when nothing does.
#[must_use]
pub fn changes(course: &Course, order: &Order, difference: &Difference) -> Table {
    let title = format!("What changes since the order of {}", days(difference));
    let columns = vec![
        Column::text("what"),
        Column::text("from"),
        Column::text("packs of"),
        Column::count("ordered"),
        Column::count("add"),
        Column::count("cancel"),
        Column::money("comes to", &order.currency),
    ];
    let mut table = Table::new(title, columns);
    let mut sum = Money::ZERO;
    for change in difference.changes.iter().filter(|c| c.add > 0 || c.cancel > 0) {
        let money = change.price.times(i64::from(change.add) - i64::from(change.cancel));
        sum = sum + money;
        let count = |n: u32| if n == 0 { Cell::Blank } else { n.into() };
        table.row(vec![
            name_of(course, &change.item).into(),
            supplier_name(course, &change.supplier).into(),
            amount(change.of).into(),
            count(change.stands),
            count(change.add),
            count(change.cancel),
            money.into(),
        ]);
    }
    let mut total = vec![Cell::text("together")];
    total.extend(vec![Cell::Blank; 5]);
    total.push(sum.into());
    table.total = Some(total);
    table
}

/// What is said when nothing changes.
#[must_use]
pub fn nothing_changes(difference: &Difference) -> String {
    format!("Nothing changes: what was ordered on {} is what is needed.\n", days(difference))
}

fn days(difference: &Difference) -> String {
    let mut days: Vec<String> =
        difference.placed.iter().map(|d| d.strftime("%a %-d %b %Y").to_string()).collect();
    days.dedup();
    days.join(", ")
}

/// What is no longer needed, though it is too late to cancel it.
fn too_late(course: &Course, difference: &Difference) -> Vec<String> {
    let late = difference.changes.iter().filter(|c| c.too_late > 0);
    late.map(|c| {
        format!(
            "{} x {} of {} are no longer needed, but it is too late to cancel them.",
            c.too_late,
            amount(c.of),
            name_of(course, &c.item)
        )
    })
    .collect()
}

/// How much is missing to a supplier's least order, and what would fill it; `None` where it is reached.
#[must_use]
pub fn short(course: &Course, order: &Order, delivery: &Delivery) -> Option<String> {
    let short = delivery.below_least.as_ref()?;
    let money = |m: Money| format!("{} {}", super::json::decimal(m, &order.currency), order.currency);
    let mut words = format!("{} short of the least order of {}.", money(short.missing), money(short.least));
    if !short.filling.is_empty() {
        let packs = short.filled_with(|item| name_of(course, item)).join("; ");
        let cost = money(short.cost());
        words.push_str(&format!(" Not in the order, and would fill it for {cost}: {packs}."));
    }
    Some(words)
}

/// What it comes to, and by when the first order must be placed.
#[must_use]
pub fn verdict(course: &Course, order: &Order, headcount: u32) -> String {
    let money = |m: Money| format!("{} {}", super::json::decimal(m, &order.currency), order.currency);
    let least = if order.is_complete() { "" } else { "at least " };
    let mut lines = vec![format!(
        "{least}{} in all, {least}{} for each of {headcount}.",
        money(order.total),
        money(order.per_student)
    )];
    if let Some(first) = lines[0].get_mut(..1) {
        first.make_ascii_uppercase();
    }
    for delivery in &order.deliveries {
        if let Some(short) = short(course, order, delivery) {
            lines.push(format!("{}: {short}", supplier_name(course, &delivery.supplier)));
        }
    }
    lines.extend(order.difference.iter().flat_map(|d| too_late(course, d)));
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
            let price = if line.missing { Cell::Unknown } else { Cell::Blank };
            let mut rest = vec![Cell::Count(0), word, Cell::Blank, price.clone(), price];
            rest.extend(vec![Cell::Blank; 2]);
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

/// The supplier's name as it is printed.
#[must_use]
pub fn supplier_name(course: &Course, supplier: &SupplierId) -> String {
    course.pantry.supplier(supplier).map_or_else(|| supplier.to_string(), |s| s.name.value.clone())
}
