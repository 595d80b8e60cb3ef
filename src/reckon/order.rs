//! From what the class takes to what to buy: allowances on top, the shelf taken off, packs at the least cost, and by when to order.

pub mod choice;
mod delivery;
pub mod difference;
mod draft;
mod minimum;

pub use delivery::{Days, Delivery, Filling, Short, days, words_of};

use super::weigh::Total;
use crate::course::{Amount, Course, Item, ItemId, Pack, SupplierId};
use crate::finding::Finding;
use crate::units::{Grams, Millilitres, Money, minor_units};
use choice::{Offered, Source, Wanted, choose};
use difference::{Change, Difference};
use draft::{Draft, draft};
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

impl Bought {
    /// Whether both are packs of one size and price from one supplier.
    fn is_same_pack(&self, other: &Bought) -> bool {
        (&self.supplier, self.of, self.price) == (&other.supplier, other.of, other.price)
    }
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

impl Line {
    /// How many whole ones the need is, of what the pantry counts by the piece; `None`: it is weighed alone.
    #[must_use]
    pub fn pieces(&self, course: &Course) -> Option<usize> {
        let each = course.pantry.item(&self.item)?.each.as_ref().filter(|e| e.value > Grams::ZERO)?;
        let whole = self.need.up_to_multiple(each.value);
        usize::try_from(whole.mg() / each.value.mg()).ok()
    }
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
    /// How it differs from what was placed before; `None` when nothing was.
    pub difference: Option<Difference>,
}

impl Order {
    /// What is needed and cannot be had: no money that is reckoned from the order holds it, so that every sum is only what it
    /// comes to at least.
    pub fn missing(&self) -> impl Iterator<Item = &ItemId> {
        self.lines.iter().filter(|l| l.missing).map(|l| &l.item)
    }

    /// Whether all that is needed can be had, so that its money is all of it.
    #[must_use]
    pub fn is_complete(&self) -> bool {
        self.missing().next().is_none()
    }
}

/// The order for a class: `totals` as weighed, on the days given. What was ordered before stands; `now` tells with whom it is too late
/// to order or to cancel, and without it nothing is.
pub fn order(
    course: &Course,
    totals: &[Total],
    headcount: u32,
    days: &Days,
    now: Option<DateTime>,
) -> (Order, Vec<Finding>) {
    let mut findings = Vec::new();
    let mut drafts = Vec::new();
    let mut staples = Vec::new();
    let arrivals = delivery::arrivals(course, days, now, &mut findings);
    let mut standing = difference::standing(course, &mut findings);
    for item in &course.pantry.items {
        let id = &item.id.value;
        let grams = totals.iter().find(|t| t.item == *id).map_or(Grams::ZERO, |t| t.grams);
        let on_the_way: Vec<&Change> = standing.iter().filter(|c| c.item == *id).collect();
        if item.staple && grams > Grams::ZERO && on_the_way.is_empty() {
            staples.push((id.clone(), grams));
        } else if grams > Grams::ZERO || !on_the_way.is_empty() {
            let on_the_way = on_the_way.iter().map(|c| c.pack_grams.times(i64::from(c.stands))).sum();
            drafts.push(draft(item, grams, on_the_way, days, &arrivals, &mut findings));
        }
    }
    difference::cancel(course, &drafts, &arrivals, &mut standing);
    let (lines, fillings) = bought(course, drafts, &mut standing, &mut findings);
    let deliveries = delivery::deliveries(course, &lines, &fillings, &standing, &arrivals, &mut findings);
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
        difference: (!course.orders.is_empty()).then(|| Difference {
            placed: course.orders.iter().map(|r| r.placed.value).collect(),
            suppliers: standing.iter().filter(|c| c.stands > 0).map(|c| c.supplier.clone()).collect(),
            changes: standing,
        }),
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

/// The drafts with the packs that cover them all at the least cost, on top of what stands; what is added is noted there. Beside them what
/// would fill orders up to the least.
fn bought(
    course: &Course,
    drafts: Vec<Draft<'_>>,
    standing: &mut Vec<Change>,
    findings: &mut Vec<Finding>,
) -> (Vec<Line>, Vec<Filling>) {
    let suppliers = &course.pantry.suppliers;
    let money = |m: &Option<crate::course::At<Money>>| m.as_ref().map_or(Money::ZERO, |m| m.value);
    let kept = |c: &Change| i64::from(c.stands - c.cancel);
    let source = |s: &crate::course::Supplier| {
        let goods: Money =
            standing.iter().filter(|c| c.supplier == s.id.value).map(|c| c.price.times(kept(c))).sum();
        // What stands has paid for the delivery, and counts towards the least order.
        Source {
            fee: if goods > Money::ZERO { Money::ZERO } else { money(&s.delivery_fee) },
            least: (money(&s.least_order) - goods).max(Money::ZERO),
        }
    };
    let sources: Vec<Source> = suppliers.iter().map(source).collect();
    let on_the_way = |d: &Draft<'_>| -> Grams {
        standing.iter().filter(|c| c.item == *d.item()).map(|c| c.pack_grams.times(kept(c))).sum()
    };
    let offered = |(pack, size): &(&Pack, Grams)| {
        let source = suppliers.iter().position(|s| s.id.value == pack.supplier.value)?;
        Some(Offered { source, size: *size, price: pack.price.value, lasts: pack.keeps_days.is_none() })
    };
    let wanted: Vec<Wanted> = drafts
        .iter()
        .map(|d| Wanted {
            need: (d.wanted() - on_the_way(d)).at_least(Grams::ZERO),
            offers: d.offered.iter().filter_map(offered).collect(),
        })
        .collect();
    let choice = choose(&sources, &wanted);
    if !choice.proven {
        findings.push(
            Finding::note(
                "order-not-proven",
                None,
                "the order is good, but there were too many ways to prove that none is cheaper",
            )
            .in_file("pantry.toml")
            .way_out("take packs out that you would not buy"),
        );
    }
    let (mut lines, mut fillings) = (Vec::new(), Vec::new());
    for (draft, (counts, full)) in drafts.into_iter().zip(choice.counts.into_iter().zip(choice.full)) {
        let own: Vec<Change> = standing.iter().filter(|c| c.item == *draft.item()).cloned().collect();
        let item = draft.item().clone();
        for ((pack, pack_grams), count) in draft.offered.iter().zip(&counts).filter(|(_, n)| **n > 0) {
            let (supplier, of, price) = (&pack.supplier.value, pack.of.value, pack.price.value);
            let same =
                |c: &&mut Change| (&c.item, &c.supplier, c.of, c.price) == (&item, supplier, of, price);
            match standing.iter_mut().find(same) {
                Some(known) => known.add = *count,
                None => standing.push(Change {
                    item: item.clone(),
                    supplier: supplier.clone(),
                    of,
                    pack_grams: *pack_grams,
                    price,
                    stands: 0,
                    add: *count,
                    cancel: 0,
                    too_late: 0,
                }),
            }
        }
        for ((pack, _), (count, full)) in draft.offered.iter().zip(counts.iter().zip(&full)) {
            if count != full {
                fillings.push(Filling {
                    item: item.clone(),
                    supplier: pack.supplier.value.clone(),
                    of: pack.of.value,
                    price: pack.price.value,
                    more: i64::from(*full) - i64::from(*count),
                });
            }
        }
        lines.push(draft.line(&counts, &own));
    }
    let at = |c: &Change| course.pantry.items.iter().position(|i| i.id.value == c.item);
    standing.sort_by_key(at);
    (lines, fillings)
}
#[cfg(test)]
mod choice_tests;
#[cfg(test)]
mod tests;
