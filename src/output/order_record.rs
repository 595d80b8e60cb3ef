//! The record of an order as a file of the course folder: `orders/2027-03-01.toml`.

use super::json::decimal;
use super::new_file::write_new;
use crate::course::{Amount, ItemId, SupplierId};
use crate::reckon::order::{Order, words_of};
use crate::units::Money;
use jiff::civil::Date;
use std::io;
use std::path::{Path, PathBuf};
use toml_edit::{ArrayOfTables, DocumentMut, Item, Table, value};

/// One line of a record.
struct Line<'a> {
    item: &'a ItemId,
    supplier: &'a SupplierId,
    of: Amount,
    price: Money,
    count: u32,
    cancelled: u32,
}

/// What is placed now: everything the first time, then what is added and cancelled. `None` when there is nothing.
#[must_use]
pub fn record(order: &Order, placed: Date) -> Option<String> {
    let lines: Vec<Line<'_>> = match &order.difference {
        None => order
            .lines
            .iter()
            .flat_map(|l| l.bought.iter().map(move |b| (l, b)))
            .map(|(l, b)| Line {
                item: &l.item,
                supplier: &b.supplier,
                of: b.of,
                price: b.price,
                count: b.count,
                cancelled: 0,
            })
            .collect(),
        Some(difference) => difference
            .changes
            .iter()
            .filter(|c| c.add > 0 || c.cancel > 0)
            .map(|c| Line {
                item: &c.item,
                supplier: &c.supplier,
                of: c.of,
                price: c.price,
                count: c.add,
                cancelled: c.cancel,
            })
            .collect(),
    };
    if lines.is_empty() {
        return None;
    }
    let mut tables = ArrayOfTables::new();
    for line in lines {
        let mut table = Table::new();
        table["item"] = value(line.item.as_str());
        table["supplier"] = value(line.supplier.as_str());
        table["of"] = value(words_of(line.of));
        table["price"] = value(decimal(line.price, &order.currency));
        if line.count > 0 {
            table["count"] = value(i64::from(line.count));
        }
        if line.cancelled > 0 {
            table["cancelled"] = value(i64::from(line.cancelled));
        }
        tables.push(table);
    }
    let mut document = DocumentMut::new();
    document["placed"] = value(placed.to_string());
    document["lines"] = Item::ArrayOfTables(tables);
    let head =
        "# What was ordered on this day. `benchroll order` counts it as on the way and shows what changes.\n";
    Some(format!("{head}{document}"))
}

/// Writes a record beside those that are there: `orders/2027-03-01.toml`, or `orders/2027-03-01-2.toml` for the second of a day.
///
/// # Errors
/// What the machine answers, and for which file.
pub fn keep(course: &Path, placed: Date, text: &str) -> Result<PathBuf, (PathBuf, io::Error)> {
    let folder = course.join("orders");
    let mut no = 1u32;
    loop {
        let ending = if no == 1 { String::new() } else { format!("-{no}") };
        let path = folder.join(format!("{placed}{ending}.toml"));
        match write_new(&path, text.as_bytes()) {
            Ok(()) => return Ok(path),
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists && no < 1000 => no += 1,
            Err(error) => return Err((path, error)),
        }
    }
}
