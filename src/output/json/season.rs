//! Several classes for programs.

use super::order::OrderView;
use super::{decimal, moment};
use crate::reckon::cost::Costs;
use crate::reckon::season::{Clash, Differing, Month, SeasonClass, SeasonOrder};
use serde::Serialize;

/// What `season` answers.
#[derive(Serialize, Debug)]
pub struct SeasonView {
    /// The classes in the order of their first day, by the names of their folders.
    pub courses: Vec<String>,
    /// What is bought; `null` where the classes are of several currencies.
    pub order: Option<SeasonOrderView>,
    /// What is bought of each currency, where there are several: no sum holds two.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub by_currency: Vec<CurrencyView>,
    /// What several classes need at the same time, and there is not enough of.
    pub clashes: Vec<ClashView>,
    /// Classes that are in one kitchen by host and address, though their kitchen files are not alike.
    pub kitchens_differ: Vec<DifferingView>,
    /// By month.
    pub months: Vec<MonthView>,
}

/// What is bought for the classes of one currency.
#[derive(Serialize, Debug)]
pub struct CurrencyView {
    /// ISO 4217 code of all money in it.
    pub currency: String,
    /// The classes.
    pub courses: Vec<String>,
    /// What is bought.
    pub order: SeasonOrderView,
}

/// What is bought: what keeps once, the rest for some classes at a time.
#[derive(Serialize, Debug)]
pub struct SeasonOrderView {
    /// For all classes.
    pub together: OrderView,
    /// What does not keep until the last class.
    pub fresh: Vec<FreshView>,
    /// What does not say how long it keeps: bought for the classes of one week at a time.
    pub unknown_keeps: Vec<String>,
    /// What the teacher is asked: a supplier's id that stands for two shops.
    pub questions: Vec<String>,
    /// All of it; only what it comes to at least where something is `missing`.
    pub total: String,
    /// What cannot be had: in no sum.
    pub missing: Vec<String>,
}

/// What is bought for some classes.
#[derive(Serialize, Debug)]
pub struct FreshView {
    /// Which.
    pub courses: Vec<String>,
    /// What.
    pub order: OrderView,
}

/// One clash.
#[derive(Serialize, Debug)]
pub struct ClashView {
    /// The thing's id, `station`, or a person's name.
    pub resource: String,
    /// From, RFC 3339.
    pub from: String,
    /// Until, RFC 3339.
    pub to: String,
    /// The classes that need it.
    pub courses: Vec<String>,
    /// The most that they need together.
    pub needed: u32,
    /// How many there are; where the classes' kitchen files differ, as few as one of them has.
    pub on_hand: u32,
}

/// A kitchen that is described in two ways.
#[derive(Serialize, Debug)]
pub struct DifferingView {
    /// The classes.
    pub courses: Vec<String>,
    /// What they do not have alike.
    pub things: Vec<UnlikeView>,
}

/// A thing that two kitchen files count differently.
#[derive(Serialize, Debug)]
pub struct UnlikeView {
    /// Its id, or `station`; of cupboards the shelves are counted.
    pub resource: String,
    /// How many each of the classes has, in their order; 0: it is not in that file.
    pub on_hand: Vec<u32>,
}

/// One month.
#[derive(Serialize, Debug)]
pub struct MonthView {
    /// `2027-03`.
    pub month: String,
    /// ISO 4217 code of its money: a month in which classes of two begin stands here twice.
    pub currency: String,
    /// Classes that begin in it.
    pub classes: u32,
    /// Their students.
    pub students: u32,
    /// Minutes of all helpers together.
    pub helper_minutes: i64,
    /// What the ingredients are worth.
    pub ingredients: String,
    /// What the students pay; `null` when a class names no fee.
    pub fees: Option<String>,
}

impl SeasonView {
    /// A view of a season: all classes, what is bought for those of each currency with its months, and what clashes.
    #[must_use]
    pub fn of(
        classes: &[SeasonClass<'_>],
        bought: &[(&[SeasonClass<'_>], &SeasonOrder, &[Month])],
        (clashes, differing): (&[Clash], &[Differing]),
    ) -> Self {
        let names = |classes: &[SeasonClass<'_>]| classes.iter().map(|c| c.name.to_owned()).collect();
        let by_currency = || {
            bought.iter().map(|(classes, order, _)| CurrencyView {
                currency: order.together.currency.clone(),
                courses: names(classes),
                order: SeasonOrderView::of(classes, order),
            })
        };
        let several = bought.len() > 1;
        SeasonView {
            courses: names(classes),
            order: by_currency().map(|one| one.order).next().filter(|_| !several),
            by_currency: by_currency().filter(|_| several).collect(),
            clashes: clashes
                .iter()
                .map(|c| ClashView {
                    resource: c.resource.clone(),
                    from: moment(&c.from),
                    to: moment(&c.to),
                    courses: c.courses.clone(),
                    needed: c.needed,
                    on_hand: c.on_hand,
                })
                .collect(),
            kitchens_differ: differing
                .iter()
                .map(|d| DifferingView {
                    courses: d.courses.clone(),
                    things: d
                        .things
                        .iter()
                        .map(|(resource, on_hand)| UnlikeView {
                            resource: resource.clone(),
                            on_hand: on_hand.clone(),
                        })
                        .collect(),
                })
                .collect(),
            months: bought
                .iter()
                .flat_map(|(_, order, months)| {
                    let currency = order.together.currency.as_str();
                    months.iter().map(move |m| MonthView::of(m, currency))
                })
                .collect(),
        }
    }
}

impl SeasonOrderView {
    fn of(classes: &[SeasonClass<'_>], order: &SeasonOrder) -> Self {
        // What a lesson costs is told of each course by itself.
        let none = Costs::none();
        SeasonOrderView {
            together: OrderView::of(&order.course, &order.together, &none),
            fresh: order
                .fresh
                .iter()
                .map(|(numbers, bought)| FreshView {
                    courses: numbers.iter().map(|n| classes[*n].name.to_owned()).collect(),
                    order: OrderView::of(&order.course, bought, &none),
                })
                .collect(),
            unknown_keeps: order.unknown_keeps.iter().map(ToString::to_string).collect(),
            questions: order.questions.iter().map(|(_, finding)| finding.message.clone()).collect(),
            total: decimal(order.total(), &order.together.currency),
            missing: order.missing().into_iter().map(ToString::to_string).collect(),
        }
    }
}

impl MonthView {
    fn of(month: &Month, currency: &str) -> Self {
        MonthView {
            month: month.first.strftime("%Y-%m").to_string(),
            currency: currency.to_owned(),
            classes: month.classes,
            students: month.students,
            helper_minutes: month.helpers.get(),
            ingredients: decimal(month.ingredients, currency),
            fees: month.fees.map(|fees| decimal(fees, currency)),
        }
    }
}
