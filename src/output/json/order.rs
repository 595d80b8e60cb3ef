//! The order for programs.

use super::{InGrams, decimal, moment};
use crate::course::Course;
use crate::reckon::order::{Line, Order};
use crate::reckon::plan::grid::time_zone;
use jiff::civil::DateTime;
use serde::Serialize;

/// What `order` answers.
#[derive(Serialize, Debug)]
pub struct OrderView {
    /// ISO 4217 code of all money in it.
    pub currency: String,
    /// In the order of the pantry.
    pub lines: Vec<LineView>,
    /// One for each supplier that something is bought from.
    pub deliveries: Vec<DeliveryView>,
    /// What is used but not ordered.
    pub staples: Vec<StapleView>,
    /// Packs and delivery fees together.
    pub total: String,
    /// `total` by the number who come.
    pub per_student: String,
    /// The earliest moment by which an order must be placed.
    pub order_by: Option<String>,
}

/// One ingredient.
#[derive(Serialize, Debug)]
pub struct LineView {
    /// Its id.
    pub item: String,
    /// From whom, or mostly; `None` when nothing is bought.
    pub supplier: Option<String>,
    /// What is weighed and all allowances.
    pub need_grams: InGrams,
    /// What is weighed.
    pub total_grams: InGrams,
    /// What comes on top.
    pub allowances: Vec<AllowanceView>,
    /// On the shelf and good until the last session.
    pub on_hand_grams: InGrams,
    /// What to buy.
    pub packs: Vec<PackView>,
    /// Bought beyond the need.
    pub surplus_grams: InGrams,
    /// What the packs cost together.
    pub cost: String,
    /// Not to be had.
    pub missing: bool,
}

/// Something on top of what is weighed.
#[derive(Serialize, Debug)]
pub struct AllowanceView {
    /// Why.
    pub why: String,
    /// How much.
    pub grams: InGrams,
}

/// Packs of one size.
#[derive(Serialize, Debug)]
pub struct PackView {
    /// From whom.
    pub supplier: String,
    /// What one holds, as it is used.
    pub pack_grams: InGrams,
    /// How many.
    pub count: u32,
    /// What one costs.
    pub price: String,
}

/// What one supplier brings.
#[derive(Serialize, Debug)]
pub struct DeliveryView {
    /// Who.
    pub supplier: String,
    /// Packs together.
    pub goods: String,
    /// The fee.
    pub fee: String,
    /// The day it comes, ISO 8601.
    pub arrives: String,
    /// To be ordered by then.
    pub order_by: Option<String>,
    /// Why it is that day.
    pub reason: String,
    /// How much is missing to the least order.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub below_least: Option<String>,
}

/// Something the kitchen always has.
#[derive(Serialize, Debug)]
pub struct StapleView {
    /// Its id.
    pub item: String,
    /// How much is used.
    pub grams: InGrams,
}

impl OrderView {
    /// A view of an order.
    #[must_use]
    pub fn of(course: &Course, order: &Order) -> Self {
        let money = |m| decimal(m, &order.currency);
        let zone = time_zone(course);
        let at = |at: DateTime| at.to_zoned_datetime(zone.clone()).ok().map(|at| moment(&at));
        OrderView {
            currency: order.currency.clone(),
            lines: order.lines.iter().map(|line| LineView::of(line, &order.currency)).collect(),
            deliveries: order
                .deliveries
                .iter()
                .map(|d| DeliveryView {
                    supplier: d.supplier.to_string(),
                    goods: money(d.goods),
                    fee: money(d.fee),
                    arrives: d.arrives.to_string(),
                    order_by: at(d.order_by),
                    reason: d.reason.clone(),
                    below_least: d.below_least.map(money),
                })
                .collect(),
            staples: order
                .staples
                .iter()
                .map(|(item, grams)| StapleView { item: item.to_string(), grams: InGrams(*grams) })
                .collect(),
            total: money(order.total),
            per_student: money(order.per_student),
            order_by: order.order_by.as_ref().and_then(|(when, _)| at(*when)),
        }
    }
}

impl LineView {
    fn of(line: &Line, currency: &str) -> Self {
        let most = line.bought.iter().max_by_key(|b| b.pack_grams.times(i64::from(b.count)));
        LineView {
            item: line.item.to_string(),
            supplier: most.map(|b| b.supplier.to_string()),
            need_grams: InGrams(line.need),
            total_grams: InGrams(line.total),
            allowances: line
                .allowances
                .iter()
                .map(|a| AllowanceView { why: a.why.clone(), grams: InGrams(a.grams) })
                .collect(),
            on_hand_grams: InGrams(line.on_hand),
            packs: line
                .bought
                .iter()
                .map(|b| PackView {
                    supplier: b.supplier.to_string(),
                    pack_grams: InGrams(b.pack_grams),
                    count: b.count,
                    price: decimal(b.price, currency),
                })
                .collect(),
            surplus_grams: InGrams(line.surplus),
            cost: decimal(line.cost, currency),
            missing: line.missing,
        }
    }
}
