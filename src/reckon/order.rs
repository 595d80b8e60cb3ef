//! From what the class takes to what to buy: allowances on top, the shelf taken off, packs at the least cost, and by when to order.

mod delivery;

pub use delivery::{Days, Delivery, days};

use super::packs::{Offer, cheapest};
use super::weigh::Total;
use crate::course::{Amount, Course, Item, ItemId, SupplierId};
use crate::finding::Finding;
use crate::units::{Grams, Millilitres, Money, minor_units};
use jiff::civil::DateTime;
use rust_decimal::Decimal;

/// Something on top of what is weighed.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct AllowanceGrams {
    /// Why: `bench`, `breakage`, `loss`, or `whole ones`.
    pub why: String,
    /// How much.
    pub grams: Grams,
}

/// Packs of one size from one supplier.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Bought {
    /// From whom.
    pub supplier: SupplierId,
    /// How it is sold: by weight, volume or piece.
    pub of: Amount,
    /// What one holds, as it is used.
    pub pack_grams: Grams,
    /// How many.
    pub count: u32,
    /// What one costs.
    pub price: Money,
}

/// One ingredient of the order.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Line {
    /// The ingredient.
    pub item: ItemId,
    /// What the class weighs.
    pub total: Grams,
    /// What comes on top, in the order of the file; whole ones last.
    pub allowances: Vec<AllowanceGrams>,
    /// `total` and all allowances.
    pub need: Grams,
    /// On the shelf and good until the last session.
    pub on_hand: Grams,
    /// Packs, in the order of the file.
    pub bought: Vec<Bought>,
    /// Bought beyond the need.
    pub surplus: Grams,
    /// What the packs cost together.
    pub cost: Money,
    /// Not to be had: no pack is written, or none comes in time. Then `bought` is empty though something is needed.
    pub missing: bool,
}

/// The whole order.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Order {
    /// ISO 4217 code of all money in it.
    pub currency: String,
    /// In the order of the pantry; staples left out.
    pub lines: Vec<Line>,
    /// One for each supplier that something is bought from, in the order of the pantry.
    pub deliveries: Vec<Delivery>,
    /// What is used but not ordered, as the kitchen always has it.
    pub staples: Vec<(ItemId, Grams)>,
    /// Packs and delivery fees together.
    pub total: Money,
    /// `total` by the number who come, rounded to the currency's smallest coin; nothing when nobody comes.
    pub per_student: Money,
    /// The earliest moment by which an order must be placed, with the reason.
    pub order_by: Option<(DateTime, String)>,
}

/// The order for a class: `totals` as weighed, on the days given.
pub fn order(course: &Course, totals: &[Total], headcount: u32, days: &Days) -> (Order, Vec<Finding>) {
    let mut findings = Vec::new();
    let mut lines = Vec::new();
    let mut staples = Vec::new();
    let arrivals = delivery::arrivals(course, days, &mut findings);
    for total in totals.iter().filter(|t| t.grams > Grams::ZERO) {
        let Some(item) = course.pantry.item(&total.item) else { continue };
        if item.staple {
            staples.push((total.item.clone(), total.grams));
        } else {
            lines.push(line(item, total.grams, days, &arrivals, &mut findings));
        }
    }
    let deliveries = delivery::deliveries(course, &lines, &arrivals, &mut findings);
    let places = minor_units(&course.settings.currency.value);
    let total: Money = deliveries.iter().map(|d| d.goods + d.fee).sum();
    let per_student = Decimal::from(headcount);
    let per_student =
        total.amount().checked_div(per_student).map_or(Money::ZERO, |m| Money::new(m).rounded(places));
    let order_by = deliveries.iter().min_by_key(|d| d.order_by).map(|d| (d.order_by, d.reason.clone()));
    let order = Order {
        currency: course.settings.currency.value.clone(),
        lines,
        deliveries,
        staples,
        total,
        per_student,
        order_by,
    };
    (order, findings)
}

/// What an amount as bought or stocked weighs, as it is used. `None`: its density, or the weight of one, is not known.
pub fn grams_of(item: &Item, amount: Amount) -> Option<Grams> {
    match amount {
        Amount::Mass(g) => Some(g),
        Amount::Volume(ml) => item.density.as_ref().and_then(|d| weight_of(ml, d.value)),
        Amount::Pieces(n) => item.each.as_ref().map(|e| e.value.times(i64::from(n))),
    }
}

fn weight_of(ml: Millilitres, grams_per_ml: Decimal) -> Option<Grams> {
    Grams::from_decimal(ml.to_decimal().checked_mul(grams_per_ml)?)
}

fn line(
    item: &Item,
    total: Grams,
    days: &Days,
    arrivals: &[delivery::Arrival],
    findings: &mut Vec<Finding>,
) -> Line {
    let mut allowances: Vec<AllowanceGrams> = item
        .allowances
        .iter()
        .map(|a| AllowanceGrams { why: a.why.value.clone(), grams: a.share.value.of(total) })
        .collect();
    let mut need = total + allowances.iter().map(|a| a.grams).sum::<Grams>();
    if let Some(each) = item.each.as_ref().filter(|e| e.value > Grams::ZERO) {
        let whole = need.up_to_multiple(each.value);
        if whole > need {
            allowances.push(AllowanceGrams { why: "whole ones".to_owned(), grams: whole - need });
            need = whole;
        }
    }
    let on_hand = on_hand(item, days, findings);
    let wanted = (need - on_hand).at_least(Grams::ZERO);
    let mut offered: Vec<(&crate::course::Pack, Grams)> = Vec::new();
    let mut late: Vec<String> = Vec::new();
    for pack in &item.packs {
        let Some(grams) = grams_of(item, pack.of.value).filter(|g| *g > Grams::ZERO) else {
            findings.push(
                Finding::warning(
                    "pack-weight-unknown",
                    pack.of.place,
                    format!("what this pack of `{}` weighs is not known, so it is not bought", item.id),
                )
                .way_out("write the ingredient's `density` (for a volume) or `each` (for pieces)"),
            );
            continue;
        };
        match arrivals.iter().find(|a| a.supplier == pack.supplier.value) {
            None => late.push(format!("`{}` cannot deliver before {}", pack.supplier, days.first_use)),
            Some(a) if !a.keeps(pack.keeps_days.as_ref().map(|k| k.value), days) => {
                late.push(format!(
                    "delivered on {} by `{}` it does not keep until {}",
                    a.on, a.supplier, days.last_use
                ));
            }
            Some(_) => offered.push((pack, grams)),
        }
    }
    let offers: Vec<Offer> = offered.iter().map(|(p, g)| Offer { size: *g, price: p.price.value }).collect();
    let counts = cheapest(wanted, &offers);
    let missing = counts.is_none();
    if missing {
        findings.push(if item.packs.is_empty() {
            Finding::warning(
                "no-pack-written",
                item.id.place,
                format!("{} of `{}` are to be bought, and no pack of it is written", shown(wanted), item.id),
            )
            .way_out("give it `packs`, or mark it `staple = true` if the kitchen always has it")
        } else {
            late.dedup();
            Finding::error(
                "cannot-be-had-in-time",
                item.id.place,
                format!("{} of `{}` are to be bought: {}", shown(wanted), item.id, late.join("; ")),
            )
            .way_out("add a pack from a supplier that can, or from a shop that you go to")
        });
    }
    let bought: Vec<Bought> = offered
        .iter()
        .zip(counts.unwrap_or_default())
        .filter(|(_, count)| *count > 0)
        .map(|((pack, grams), count)| Bought {
            supplier: pack.supplier.value.clone(),
            of: pack.of.value,
            pack_grams: *grams,
            count,
            price: pack.price.value,
        })
        .collect();
    let held: Grams = bought.iter().map(|b| b.pack_grams.times(i64::from(b.count))).sum();
    Line {
        item: item.id.value.clone(),
        total,
        allowances,
        need,
        on_hand,
        surplus: if bought.is_empty() { Grams::ZERO } else { held - wanted },
        cost: bought.iter().map(|b| b.price.times(i64::from(b.count))).sum(),
        bought,
        missing,
    }
}

/// What is on the shelf and still good on the last day; what is not is said.
fn on_hand(item: &Item, days: &Days, findings: &mut Vec<Finding>) -> Grams {
    let mut sum = Grams::ZERO;
    for stock in &item.stock {
        if let Some(best) = stock.best_before.as_ref().filter(|b| b.value < days.last_use) {
            findings.push(Finding::note(
                "stock-out-of-date",
                best.place,
                format!(
                    "this `{}` is best before {} and the class ends on {}: it is not counted",
                    item.id, best.value, days.last_use
                ),
            ));
            continue;
        }
        match grams_of(item, stock.of.value) {
            Some(g) => sum += g,
            None => findings.push(
                Finding::warning(
                    "stock-weight-unknown",
                    stock.of.place,
                    format!("what this stock of `{}` weighs is not known: it is not counted", item.id),
                )
                .way_out("write the ingredient's `density` (for a volume) or `each` (for pieces)"),
            ),
        }
    }
    sum
}

fn shown(grams: Grams) -> String {
    super::mixers::shown(grams)
}

#[cfg(test)]
mod tests;
