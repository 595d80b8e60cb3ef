//! One line of the order before packs are chosen: what is needed, what is on the shelf, which packs come in time and keep.

use super::delivery::{Arrival, Days};
use super::difference::Change;
use super::{AllowanceGrams, Bought, Line, grams_of};
use crate::course::{Item, ItemId, Pack};
use crate::finding::Finding;
use crate::reckon::mixers::shown;
use crate::units::Grams;

/// A line whose packs are still to be chosen.
pub struct Draft<'a> {
    item: &'a Item,
    total: Grams,
    allowances: Vec<AllowanceGrams>,
    need: Grams,
    on_hand: Grams,
    /// Packs that come in time and keep, with what they hold as it is used; in the order of the file.
    pub offered: Vec<(&'a Pack, Grams)>,
}

impl Draft<'_> {
    /// The ingredient.
    pub fn item(&self) -> &ItemId {
        &self.item.id.value
    }

    /// What is to be had beside the shelf.
    pub fn wanted(&self) -> Grams {
        (self.need - self.on_hand).at_least(Grams::ZERO)
    }

    /// The line with so many of each offered pack, on top of what stands.
    pub fn line(self, counts: &[u32], standing: &[Change]) -> Line {
        let wanted = self.wanted();
        let mut bought: Vec<Bought> = standing
            .iter()
            .filter(|c| c.stands > c.cancel)
            .map(|c| Bought {
                supplier: c.supplier.clone(),
                of: c.of,
                pack_grams: c.pack_grams,
                count: c.stands - c.cancel,
                price: c.price,
            })
            .collect();
        let added: Vec<Bought> = self
            .offered
            .iter()
            .zip(counts)
            .filter(|(_, count)| **count > 0)
            .map(|((pack, grams), count)| Bought {
                supplier: pack.supplier.value.clone(),
                of: pack.of.value,
                pack_grams: *grams,
                count: *count,
                price: pack.price.value,
            })
            .collect();
        for add in added {
            match bought.iter_mut().find(|b| b.is_same_pack(&add)) {
                Some(same) => same.count += add.count,
                None => bought.push(add),
            }
        }
        let held: Grams = bought.iter().map(|b| b.pack_grams.times(i64::from(b.count))).sum();
        Line {
            item: self.item.id.value.clone(),
            total: self.total,
            allowances: self.allowances,
            need: self.need,
            on_hand: self.on_hand,
            surplus: if bought.is_empty() { Grams::ZERO } else { held - wanted },
            cost: bought.iter().map(|b| b.price.times(i64::from(b.count))).sum(),
            missing: bought.is_empty() && wanted > Grams::ZERO,
            bought,
        }
    }
}

/// Works out what a line needs and which packs can cover it.
pub fn draft<'a>(
    item: &'a Item,
    total: Grams,
    standing: Grams,
    days: &Days,
    arrivals: &[Arrival],
    findings: &mut Vec<Finding>,
) -> Draft<'a> {
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
    let mut offered: Vec<(&Pack, Grams)> = Vec::new();
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
            Some(a) if a.closed => late.push(format!("orders at `{}` closed at {}", a.supplier, a.order_by)),
            Some(a) if !a.keeps(pack.keeps_days.as_ref().map(|k| k.value), days) => {
                late.push(format!(
                    "delivered on {} by `{}` it does not keep until {}",
                    a.on, a.supplier, days.last_use
                ));
            }
            Some(_) => offered.push((pack, grams)),
        }
    }
    if offered.is_empty() && wanted > standing {
        findings.push(if item.packs.is_empty() {
            Finding::warning(
                "no-pack-written",
                item.id.place,
                format!(
                    "{} of `{}` are to be bought, and no pack of it is written",
                    shown(wanted - standing),
                    item.id
                ),
            )
            .way_out("give it `packs`, or mark it `staple = true` if the kitchen always has it")
        } else {
            late.dedup();
            if late.is_empty() {
                late.push("what its packs weigh is not known".to_owned());
            }
            Finding::error(
                "cannot-be-had-in-time",
                item.id.place,
                format!(
                    "{} of `{}` are to be bought: {}",
                    shown(wanted - standing),
                    item.id,
                    late.join("; ")
                ),
            )
            .way_out("add a pack from a supplier that can, or from a shop that you go to")
        });
    }
    Draft { item, total, allowances, need, on_hand, offered }
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
