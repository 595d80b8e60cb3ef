//! The order for programs.

use super::{InGrams, decimal, moment};
use crate::course::Course;
use crate::reckon::cost::Costs;
use crate::reckon::order::difference::{Change, Difference};
use crate::reckon::order::{Filling, Line, Order, Short, words_of};
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
    /// Whether all that is needed can be had; if not, `total`, `per_student` and the fee are what it comes to at least.
    pub complete: bool,
    /// What cannot be had: in no sum.
    pub missing: Vec<String>,
    /// Packs and delivery fees together.
    pub total: String,
    /// `total` by the number who come.
    pub per_student: String,
    /// The earliest moment by which an order must be placed.
    pub order_by: Option<String>,
    /// What the ingredients of each lesson are worth.
    pub lessons: Vec<LessonCostView>,
    /// What is left over of what is bought.
    pub left_over: Vec<super::after::LeftView>,
    /// What is paid at each rate of tax; empty when none is stated.
    pub taxes: Vec<TaxView>,
    /// The fee that leaves the stated margin.
    pub fee_for_margin: Option<String>,
    /// The share of the stated fee that is left, in per cent.
    pub margin_of_fee: Option<String>,
    /// What changes against what was ordered before; only when something was.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub difference: Option<DifferenceView>,
}

/// What the ingredients of a lesson are worth, at what was paid by the gram.
#[derive(Serialize, Debug)]
pub struct LessonCostView {
    /// The lesson.
    pub lesson: String,
    /// All together.
    pub ingredients: String,
    /// By the number who come.
    pub per_student: String,
    /// By the piece.
    pub per_piece: String,
    /// Ingredients without any price: not in the sums.
    pub unknown: Vec<String>,
}

/// What is paid at one rate of tax.
#[derive(Serialize, Debug)]
pub struct TaxView {
    /// In per cent; `None`: no rate is stated.
    pub rate: Option<String>,
    /// Tax included.
    pub paid: String,
    /// The tax in it.
    pub tax: String,
}

/// What changes against what was ordered before.
#[derive(Serialize, Debug)]
pub struct DifferenceView {
    /// The days of the records, ISO 8601.
    pub placed: Vec<String>,
    /// What stands, pack by pack, and what changes.
    pub changes: Vec<PackChangeView>,
}

/// One pack size of an ingredient.
#[derive(Serialize, Debug)]
pub struct PackChangeView {
    /// The ingredient's id.
    pub item: String,
    /// From whom.
    pub supplier: String,
    /// What one holds, as it is used.
    pub pack_grams: InGrams,
    /// What one costs.
    pub price: String,
    /// Ordered before.
    pub ordered: u32,
    /// To be ordered on top.
    pub add: u32,
    /// To be cancelled.
    pub cancel: u32,
    /// No longer needed, but too late to cancel.
    pub too_late: u32,
}

impl DifferenceView {
    fn of(difference: &Difference, currency: &str) -> Self {
        let change = |c: &Change| PackChangeView {
            item: c.item.to_string(),
            supplier: c.supplier.to_string(),
            pack_grams: InGrams(c.pack_grams),
            price: decimal(c.price, currency),
            ordered: c.stands,
            add: c.add,
            cancel: c.cancel,
            too_late: c.too_late,
        };
        DifferenceView {
            placed: difference.placed.iter().map(ToString::to_string).collect(),
            changes: difference.changes.iter().map(change).collect(),
        }
    }
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
    /// The least order; only where it is not reached.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub least_order: Option<String>,
    /// What would fill it, at the least cost: in no pack and in no sum. Not there where it would cost more than what is needed.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub filling: Vec<FillingView>,
}

/// Packs of one size that would fill an order.
#[derive(Serialize, Debug)]
pub struct FillingView {
    /// The ingredient's id.
    pub item: String,
    /// How it is sold.
    pub of: String,
    /// So many more; below nought: so many fewer, as others take their place.
    pub more: i64,
    /// What one costs.
    pub price: String,
}

impl FillingView {
    fn all(short: Option<&Short>, currency: &str) -> Vec<FillingView> {
        let one = |f: &Filling| FillingView {
            item: f.item.to_string(),
            of: words_of(f.of),
            more: f.more,
            price: decimal(f.price, currency),
        };
        short.iter().flat_map(|s| &s.filling).map(one).collect()
    }
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
    pub fn of(course: &Course, order: &Order, costs: &Costs) -> Self {
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
                    below_least: d.below_least.as_ref().map(|s| money(s.missing)),
                    least_order: d.below_least.as_ref().map(|s| money(s.least)),
                    filling: FillingView::all(d.below_least.as_ref(), &order.currency),
                })
                .collect(),
            staples: order
                .staples
                .iter()
                .map(|(item, grams)| StapleView { item: item.to_string(), grams: InGrams(*grams) })
                .collect(),
            complete: order.is_complete(),
            missing: order.missing().map(ToString::to_string).collect(),
            total: money(order.total),
            per_student: money(order.per_student),
            order_by: order.order_by.as_ref().and_then(|(when, _)| at(*when)),
            lessons: costs
                .lessons
                .iter()
                .map(|l| LessonCostView {
                    lesson: l.lesson.to_string(),
                    ingredients: money(l.ingredients),
                    per_student: money(l.per_student),
                    per_piece: money(l.per_piece),
                    unknown: l.unknown.iter().map(ToString::to_string).collect(),
                })
                .collect(),
            left_over: super::after::LeftView::all(costs, &order.currency),
            taxes: costs
                .taxes
                .iter()
                .map(|t| TaxView {
                    rate: t.rate.map(|r| r.number().normalize().to_string()),
                    paid: money(t.paid),
                    tax: money(t.tax),
                })
                .collect(),
            fee_for_margin: costs.fee_for_margin.map(money),
            margin_of_fee: costs.margin_of_fee.map(|m| m.number().round_dp(1).normalize().to_string()),
            difference: order.difference.as_ref().map(|d| DifferenceView::of(d, &order.currency)),
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
