//! What is bought from one supplier.

use super::common::{About, Day, Measure, Moment};
use serde::Serialize;

/// What `templates/order-sheet.typ` receives.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct OrderSheet {
    /// `order-sheet`.
    pub kind: &'static str,
    /// The course.
    pub about: About,
    /// The supplier's name.
    pub supplier: String,
    /// Where to write to.
    pub email: String,
    /// Our customer number.
    pub account: String,
    /// Where it is delivered.
    pub deliver_to: String,
    /// Order by this moment; `None` for a shop that one goes to.
    pub order_by: Option<Moment>,
    /// Delivered, or bought, on this day.
    pub on: Option<Day>,
    /// Why this moment, in words.
    pub why: String,
    /// ISO 4217 code.
    pub currency: String,
    /// The lines.
    pub lines: Vec<OrderLine>,
    /// The goods.
    pub goods: String,
    /// The delivery fee; empty where there is none.
    pub fee: String,
    /// All.
    pub total: String,
    /// Said when the supplier's least order is not reached.
    pub below_least: String,
    /// It repeats an earlier order: the lines are what is added to it.
    pub difference: bool,
}

/// One pack size of one ingredient.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct OrderLine {
    /// The ingredient's name.
    pub name: String,
    /// How many packs.
    pub count: u32,
    /// What is in one.
    pub pack: Measure,
    /// The price of one.
    pub price: String,
    /// Price by count.
    pub cost: String,
    /// What the class needs of it, allowances included, less what is on the shelf.
    pub need: Measure,
    /// What is left over of it.
    pub over: Measure,
    /// Said under it: keep it cold; use it by.
    pub note: String,
}

impl OrderSheet {
    /// An empty sheet of this kind.
    pub fn new() -> OrderSheet {
        OrderSheet { kind: "order-sheet", ..OrderSheet::default() }
    }
}
