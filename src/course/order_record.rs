//! What was ordered already: the records in `orders/`.

use super::{Amount, At, ItemId, SupplierId};
use crate::units::Money;
use jiff::civil::Date;

/// One record: what was ordered, or changed, on one day.
#[derive(Clone, PartialEq, Debug)]
pub struct OrderRecord {
    /// The day.
    pub placed: At<Date>,
    /// Its lines, in file order.
    pub lines: Vec<RecordLine>,
}

/// Packs of one size that were ordered or cancelled.
#[derive(Clone, PartialEq, Debug)]
pub struct RecordLine {
    /// The ingredient.
    pub item: At<ItemId>,
    /// From whom.
    pub supplier: At<SupplierId>,
    /// What is in a pack.
    pub of: At<Amount>,
    /// What one costs.
    pub price: At<Money>,
    /// How many were ordered.
    pub count: u32,
    /// How many of those ordered before were cancelled.
    pub cancelled: u32,
}
