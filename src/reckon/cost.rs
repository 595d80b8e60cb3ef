//! What a class costs: by lesson, by student, by piece; what is left over and what it is worth; the fee that covers it.

use super::order::{Line, Order, grams_of};
use super::weigh::WeighOut;
use crate::course::{Course, ItemId, LessonId};
use crate::units::{Grams, Money, Percent, minor_units};
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
    /// For how many more students it would do, by what one of those who come takes; `None` when nobody comes.
    pub serves: Option<u32>,
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
    /// The share of the stated fee that `total` leaves; `None` without a fee.
    pub margin_of_fee: Option<Percent>,
    /// What is paid at each rate of tax, the lowest rate first; empty when no rate is stated anywhere.
    pub taxes: Vec<TaxRate>,
}

impl Costs {
    /// Nothing is reckoned: an order that is of no single class.
    #[must_use]
    pub fn none() -> Self {
        Costs {
            lessons: Vec::new(),
            left_over: Vec::new(),
            total: Money::ZERO,
            per_student: Money::ZERO,
            fee_for_margin: None,
            margin_of_fee: None,
            taxes: Vec::new(),
        }
    }
}

/// What is paid at one rate of tax.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct TaxRate {
    /// The rate; `None`: goods and fees for which none is stated.
    pub rate: Option<Percent>,
    /// What is paid, tax included.
    pub paid: Money,
    /// The tax in it, rounded to the smallest coin.
    pub tax: Money,
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
            serves: serves(l, out.headcount),
        })
        .collect();
    let fee_for_margin = course.settings.margin.as_ref().and_then(|m| {
        let kept = Decimal::ONE - m.value.factor();
        let fee = order.total.amount().checked_div(students)?.checked_div(kept)?;
        (kept > Decimal::ZERO).then(|| coin(Some(fee)))
    });
    let margin_of_fee = course.settings.fee.as_ref().and_then(|fee| {
        let each = order.total.amount().checked_div(students)?;
        Some(Percent::from_factor(Decimal::ONE - each.checked_div(fee.value.amount())?))
    });
    Costs {
        lessons,
        left_over,
        total: order.total,
        per_student: order.per_student,
        fee_for_margin,
        margin_of_fee,
        taxes: taxes(course, order, places),
    }
}

/// The tax that the prices include, by rate: an ingredient's own, else the course's, which also holds for delivery fees.
fn taxes(course: &Course, order: &Order, places: u32) -> Vec<TaxRate> {
    let general = course.settings.tax.as_ref().map(|t| t.value);
    let own = |id: &ItemId| course.pantry.item(id)?.tax.as_ref().map(|t| t.value);
    let mut paid: BTreeMap<Option<Percent>, Money> = BTreeMap::new();
    let lines = order.lines.iter().map(|l| (own(&l.item).or(general), l.cost));
    for (rate, money) in lines.chain(order.deliveries.iter().map(|d| (general, d.fee))) {
        let sum = paid.entry(rate).or_default();
        *sum = *sum + money;
    }
    paid.retain(|_, money| *money > Money::ZERO);
    if paid.keys().all(Option::is_none) {
        return Vec::new();
    }
    paid.into_iter()
        .map(|(rate, paid)| {
            let part = rate.map_or(Decimal::ZERO, |r| r.number() / (Decimal::ONE_HUNDRED + r.number()));
            TaxRate { rate, paid, tax: Money::new(paid.amount() * part).rounded(places) }
        })
        .collect()
}

/// For how many more it would do: whole people, each taking what one who comes takes, allowances included.
fn serves(line: &Line, headcount: u32) -> Option<u32> {
    let each = line.need.ratio(1, i64::from(headcount));
    let more = line.surplus.mg().checked_div(each.mg())?;
    u32::try_from(more).ok()
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
