//! Several classes for programs.

use super::order::OrderView;
use super::{decimal, moment};
use crate::reckon::cost::Costs;
use crate::reckon::season::{Clash, Month, SeasonClass, SeasonOrder};
use serde::Serialize;

/// What `season` answers.
#[derive(Serialize, Debug)]
pub struct SeasonView {
    /// The classes in the order of their first day, by the names of their folders.
    pub courses: Vec<String>,
    /// What is bought.
    pub order: SeasonOrderView,
    /// What several classes need at the same time, and there is not enough of.
    pub clashes: Vec<ClashView>,
    /// By month.
    pub months: Vec<MonthView>,
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
    /// How many there are.
    pub on_hand: u32,
}

/// One month.
#[derive(Serialize, Debug)]
pub struct MonthView {
    /// `2027-03`.
    pub month: String,
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
    /// A view of a season.
    #[must_use]
    pub fn of(classes: &[SeasonClass<'_>], order: &SeasonOrder, clashes: &[Clash], months: &[Month]) -> Self {
        let currency = order.together.currency.as_str();
        let money = |m| decimal(m, currency);
        // What a lesson costs is told of each course by itself.
        let none = Costs::none();
        SeasonView {
            courses: classes.iter().map(|c| c.name.to_owned()).collect(),
            order: SeasonOrderView {
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
                total: money(order.total()),
                missing: order.missing().into_iter().map(ToString::to_string).collect(),
            },
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
            months: months
                .iter()
                .map(|m| MonthView {
                    month: m.first.strftime("%Y-%m").to_string(),
                    classes: m.classes,
                    students: m.students,
                    helper_minutes: m.helpers.get(),
                    ingredients: money(m.ingredients),
                    fees: m.fees.map(money),
                })
                .collect(),
        }
    }
}
