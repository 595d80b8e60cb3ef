//! What was ordered before, and what changes: packs on the way count as being there; what is no longer needed is cancelled while it can
//! be, and only what is missing is added.

use super::delivery::Arrival;
use super::draft::Draft;
use super::grams_of;
use crate::course::{Amount, Course, ItemId, SupplierId};
use crate::finding::Finding;
use crate::units::{Grams, Money};
use jiff::civil::Date;
use std::collections::BTreeSet;

/// How an order differs from what was placed before.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Difference {
    /// The days of the records, in their order.
    pub placed: Vec<Date>,
    /// With whom orders stand.
    pub suppliers: BTreeSet<SupplierId>,
    /// What stands, and what is added or cancelled; in the order of the pantry.
    pub changes: Vec<Change>,
}

impl Difference {
    /// Whether an order with this supplier stands already.
    pub fn of(&self, supplier: &SupplierId) -> bool {
        self.suppliers.contains(supplier)
    }
    /// Whether nothing is added and nothing cancelled.
    pub fn is_none(&self) -> bool {
        self.changes.iter().all(|c| c.add == 0 && c.cancel == 0)
    }
}

/// Packs of one size: how many stand, and what changes.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Change {
    /// The ingredient.
    pub item: ItemId,
    /// From whom.
    pub supplier: SupplierId,
    /// How it is sold.
    pub of: Amount,
    /// What one holds, as it is used.
    pub pack_grams: Grams,
    /// What one costs.
    pub price: Money,
    /// Ordered before and not cancelled since.
    pub stands: u32,
    /// To be ordered on top.
    pub add: u32,
    /// Of those that stand, to be cancelled.
    pub cancel: u32,
    /// Of those that stand, no longer needed, but it is too late to cancel them.
    pub too_late: u32,
}

/// Ways to keep some of what stands that are looked through for one ingredient.
const MOST_WAYS: u64 = 100_000;

/// What stands by the records, each pack size once; what weighs nobody knows what is told and left out.
pub fn standing(course: &Course, findings: &mut Vec<Finding>) -> Vec<Change> {
    let mut all: Vec<Change> = Vec::new();
    for line in course.orders.iter().flat_map(|r| &r.lines) {
        let known = course.pantry.supplier(&line.supplier.value).is_some();
        let Some(item) = course.pantry.item(&line.item.value).filter(|_| known) else { continue };
        let Some(pack_grams) = grams_of(item, line.of.value).filter(|g| *g > Grams::ZERO) else {
            findings.push(
                Finding::warning(
                    "pack-weight-unknown",
                    line.of.place,
                    format!("what this pack of `{}` weighs is not known, so that it is not counted", item.id),
                )
                .way_out("write the ingredient's `density` (for a volume) or `each` (for pieces)"),
            );
            continue;
        };
        let same = |c: &&mut Change| {
            (&c.item, &c.supplier, c.of, c.price)
                == (&line.item.value, &line.supplier.value, line.of.value, line.price.value)
        };
        match all.iter_mut().find(same) {
            Some(known) => known.stands = (known.stands + line.count).saturating_sub(line.cancelled),
            None => all.push(Change {
                item: line.item.value.clone(),
                supplier: line.supplier.value.clone(),
                of: line.of.value,
                pack_grams,
                price: line.price.value,
                stands: line.count.saturating_sub(line.cancelled),
                add: 0,
                cancel: 0,
                too_late: 0,
            }),
        }
    }
    all.retain(|c| c.stands > 0);
    all
}

/// Decides what of what stands is cancelled: as much money as can be saved while every need stays covered and every supplier at or
/// above its least order, if anything is still bought there.
pub fn cancel(course: &Course, drafts: &[Draft<'_>], arrivals: &[Arrival], standing: &mut [Change]) {
    let open = |c: &Change| arrivals.iter().any(|a| a.supplier == c.supplier && !a.closed);
    let possible = cancelled(course, drafts, standing, open);
    let wish = cancelled(course, drafts, standing, |_| true);
    for ((change, possible), wish) in standing.iter_mut().zip(possible).zip(wish) {
        change.cancel = possible;
        change.too_late = wish.saturating_sub(possible);
    }
}

/// How many of each would be cancelled where that may be done.
fn cancelled(
    course: &Course,
    drafts: &[Draft<'_>],
    standing: &[Change],
    may: impl Fn(&Change) -> bool,
) -> Vec<u32> {
    let mut cancel = vec![0; standing.len()];
    for draft in drafts {
        let own: Vec<usize> = (0..standing.len()).filter(|c| standing[*c].item == *draft.item()).collect();
        for (at, keep) in own.iter().zip(keep(draft.wanted(), &own, standing, &may)) {
            cancel[*at] = standing[*at].stands - keep;
        }
    }
    for supplier in &course.pantry.suppliers {
        let Some(least) = &supplier.least_order else { continue };
        let own: Vec<usize> =
            (0..standing.len()).filter(|c| standing[*c].supplier == supplier.id.value).collect();
        let worth = |cancel: &[u32]| -> Money {
            let kept = |c: &usize| i64::from(standing[*c].stands - cancel[*c]);
            own.iter().map(|c| standing[*c].price.times(kept(c))).sum()
        };
        let was_enough = worth(&vec![0; standing.len()]) >= least.value;
        // The cheapest are taken back first, until the order is large enough again. An order of nothing needs no least.
        while was_enough && worth(&cancel) > Money::ZERO && worth(&cancel) < least.value {
            let some = own.iter().copied().filter(|c| cancel[*c] > 0);
            match some.min_by_key(|c| standing[*c].price) {
                Some(at) => cancel[at] -= 1,
                None => break,
            }
        }
    }
    cancel
}

/// How many of each are kept: those that cost least and still cover the need; all, if even they do not.
fn keep(need: Grams, own: &[usize], standing: &[Change], may: impl Fn(&Change) -> bool) -> Vec<u32> {
    let all: Vec<u32> = own.iter().map(|c| standing[*c].stands).collect();
    let held = |counts: &[u32]| -> Grams {
        own.iter().zip(counts).map(|(c, n)| standing[*c].pack_grams.times(i64::from(*n))).sum()
    };
    let ways = all.iter().try_fold(1u64, |ways, n| ways.checked_mul(u64::from(*n) + 1));
    if held(&all) < need || ways.is_none_or(|ways| ways > MOST_WAYS) {
        return all;
    }
    let mut best: Option<(Money, Grams, Vec<u32>)> = None;
    let mut counts = all.clone();
    loop {
        if held(&counts) >= need {
            let cost = own.iter().zip(&counts).map(|(c, n)| standing[*c].price.times(i64::from(*n))).sum();
            let way = (cost, held(&counts), counts.clone());
            if best.as_ref().is_none_or(|b| way < *b) {
                best = Some(way);
            }
        }
        // Counts down like a number whose digits are the packs.
        let Some(at) = (0..counts.len()).find(|at| counts[*at] > 0 && may(&standing[own[*at]])) else {
            break;
        };
        counts[at] -= 1;
        counts[..at].copy_from_slice(&all[..at]);
    }
    best.map_or(all, |(.., counts)| counts)
}
