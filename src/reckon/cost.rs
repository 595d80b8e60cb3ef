//! What a class costs: by lesson, by student, by piece; what is left over and what it is worth; the fee that covers it.

use super::order::{Order, grams_of};
use super::weigh::WeighOut;
use crate::course::{Course, ItemId, LessonId};
use crate::units::{Grams, Money, minor_units};
use rust_decimal::Decimal;
use std::collections::BTreeMap;

/// What a lesson's ingredients are worth.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct LessonCost {
    /// The lesson.
    pub lesson: LessonId,
    /// All that it takes, at what was paid by the gram.
    pub ingredients: Money,
    /// By the number who come.
    pub per_student: Money,
    /// By the piece.
    pub per_piece: Money,
    /// Ingredients without any price: not in the sums.
    pub unknown: Vec<ItemId>,
}

/// Something bought beyond the need.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct LeftOver {
    /// What.
    pub item: ItemId,
    /// How much.
    pub grams: Grams,
    /// At what was paid by the gram.
    pub value: Money,
}

/// What a class costs. All money is rounded to the currency's smallest coin, each figure by itself.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Costs {
    /// In the order of the course.
    pub lessons: Vec<LessonCost>,
    /// In the order of the pantry.
    pub left_over: Vec<LeftOver>,
    /// Everything to be paid.
    pub total: Money,
    /// By the number who come.
    pub per_student: Money,
    /// The fee of which `total` leaves the stated margin; `None` without a margin, or with one of 100 % and more.
    pub fee_for_margin: Option<Money>,
}

/// The costs of an order; `pieces` are the pieces of each lesson.
pub fn costs(course: &Course, out: &WeighOut, order: &Order, pieces: &BTreeMap<LessonId, u32>) -> Costs {
    let places = minor_units(&order.currency);
    let coin = |d: Option<Decimal>| Money::new(d.unwrap_or_default()).rounded(places);
    let students = Decimal::from(out.headcount);
    let lessons = course
        .lessons
        .iter()
        .map(|lesson| {
            let mut sums: BTreeMap<&ItemId, Grams> = BTreeMap::new();
            for list in out.groups().flat_map(|g| &g.lists).filter(|l| l.lesson == lesson.id.value) {
                for weight in &list.ingredients {
                    *sums.entry(&weight.item).or_default() += weight.grams;
                }
            }
            let mut sum = Decimal::ZERO;
            let mut unknown = Vec::new();
            for (item, grams) in sums {
                match by_the_gram(course, order, item) {
                    Some(price) => sum += price * grams.to_decimal(),
                    None => unknown.push(item.clone()),
                }
            }
            let made = Decimal::from(pieces.get(&lesson.id.value).copied().unwrap_or(0));
            LessonCost {
                lesson: lesson.id.value.clone(),
                ingredients: coin(Some(sum)),
                per_student: coin(sum.checked_div(students)),
                per_piece: coin(sum.checked_div(made)),
                unknown,
            }
        })
        .collect();
    let left_over = order
        .lines
        .iter()
        .filter(|l| l.surplus > Grams::ZERO)
        .map(|l| LeftOver {
            item: l.item.clone(),
            grams: l.surplus,
            value: coin(by_the_gram(course, order, &l.item).map(|p| p * l.surplus.to_decimal())),
        })
        .collect();
    let fee_for_margin = course.settings.margin.as_ref().and_then(|m| {
        let kept = Decimal::ONE - m.value.factor();
        let fee = order.total.amount().checked_div(students)?.checked_div(kept)?;
        (kept > Decimal::ZERO).then(|| coin(Some(fee)))
    });
    Costs { lessons, left_over, total: order.total, per_student: order.per_student, fee_for_margin }
}

/// What a gram cost: as bought, else in the cheapest pack that is written (for what came from the shelf).
fn by_the_gram(course: &Course, order: &Order, item: &ItemId) -> Option<Decimal> {
    let bought = order.lines.iter().find(|l| l.item == *item).filter(|l| !l.bought.is_empty());
    if let Some(line) = bought {
        let grams: Grams = line.bought.iter().map(|b| b.pack_grams.times(i64::from(b.count))).sum();
        return line.cost.amount().checked_div(grams.to_decimal());
    }
    let item = course.pantry.item(item)?;
    item.packs
        .iter()
        .filter_map(|p| p.price.value.amount().checked_div(grams_of(item, p.of.value)?.to_decimal()))
        .min()
}
