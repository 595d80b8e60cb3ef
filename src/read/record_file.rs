//! `orders/*.toml`: what was ordered already.

use super::course_file::Purse;
use super::keys;
use super::raw::Node;
use super::table::{Fields, Log};
use crate::course::{OrderRecord, Pantry, RecordLine};
use crate::finding::{Finding, Located, Place};

/// Reads a record of an order; prices are in the course's currency.
pub fn read(log: &Log, root: &Node, purse: &Purse<'_>, pantry: &Pantry) -> Option<OrderRecord> {
    let f = Fields::new(log, root, &keys::RECORD, "this record of an order")?;
    if !f.has("placed") {
        f.missing("placed", "2027-03-01");
    }
    if !f.has("lines") {
        f.missing("lines", "[{ item = \"flour\" }]");
    }
    let lines = f
        .tables("lines")
        .into_iter()
        .filter_map(|node| Fields::new(log, node, &keys::RECORD_LINE, "this line"))
        .map(|l| RecordLine {
            item: l.required_id("item"),
            supplier: l.required_id("supplier"),
            of: l.required("of"),
            price: purse.required(&l, "price"),
            count: l.count_or("count", 0).value,
            cancelled: l.count_or("cancelled", 0).value,
        })
        .collect::<Vec<RecordLine>>();
    for line in &lines {
        let (item, supplier) = (&line.item.value, &line.supplier.value);
        known(log, "ingredient", item.as_str(), line.item.place, pantry.item(item).is_some());
        known(log, "supplier", supplier.as_str(), line.supplier.place, pantry.supplier(supplier).is_some());
    }
    Some(OrderRecord { placed: f.date("placed").unwrap_or(Located::assumed(jiff::civil::Date::ZERO)), lines })
}

/// Something that was ordered and is no longer in the pantry cannot be set against a need.
fn known(log: &Log, sort: &str, id: &str, place: Option<Place>, known: bool) {
    if !known && !id.is_empty() {
        log.note(
            Finding::warning(
                "ordered-and-unknown",
                place,
                format!("`pantry.toml` no longer has the {sort} `{id}`: what was ordered is not counted"),
            )
            .way_out("write it into `pantry.toml` again, or take the line out of the record"),
        );
    }
}
