//! After the class, for programs.

use super::{InGrams, decimal};
use crate::course::Course;
use crate::reckon::after::{overdue, returns, rows_with_health_data};
use crate::reckon::cost::{Costs, LeftOver};
use crate::reckon::order::Order;
use jiff::civil::Date;
use serde::Serialize;

/// What `after` answers.
#[derive(Serialize, Debug)]
pub struct AfterView {
    /// ISO 4217 code.
    pub currency: String,
    /// What is left of what was bought.
    pub left_over: Vec<LeftView>,
    /// What goes back.
    pub returns: Vec<ReturnView>,
    /// Health data go by this day, ISO 8601.
    pub forget_by: Option<String>,
    /// Rows of the roll that hold health data.
    pub rows_with_health_data: usize,
    /// That day has passed, and there still are some.
    pub overdue: bool,
}

/// Something left over.
#[derive(Serialize, Debug)]
pub struct LeftView {
    /// The ingredient.
    pub item: String,
    /// How much.
    pub grams: InGrams,
    /// What it is worth.
    pub worth: String,
    /// For how many more students it would do.
    pub serves: Option<u32>,
}

/// Something borrowed or hired.
#[derive(Serialize, Debug)]
pub struct ReturnView {
    /// The thing.
    pub item: String,
    /// How many.
    pub count: u32,
    /// To whom.
    pub to: String,
    /// By when, ISO 8601.
    pub by: Option<String>,
}

impl LeftView {
    /// Everything that is left over.
    #[must_use]
    pub fn all(costs: &Costs, currency: &str) -> Vec<Self> {
        let one = |l: &LeftOver| LeftView {
            item: l.item.to_string(),
            grams: InGrams(l.grams),
            worth: decimal(l.value, currency),
            serves: l.serves,
        };
        costs.left_over.iter().map(one).collect()
    }
}

impl AfterView {
    /// A view of what follows a class, as of a day.
    #[must_use]
    pub fn of(course: &Course, order: &Order, costs: &Costs, today: Date) -> Self {
        AfterView {
            currency: order.currency.clone(),
            left_over: LeftView::all(costs, &order.currency),
            returns: returns(course)
                .iter()
                .map(|r| ReturnView {
                    item: r.item.to_string(),
                    count: r.loan.count.value,
                    to: r.loan.from.value.clone(),
                    by: r.loan.back_by.as_ref().map(|d| d.value.to_string()),
                })
                .collect(),
            forget_by: course.settings.forget_by.as_ref().map(|d| d.value.to_string()),
            rows_with_health_data: rows_with_health_data(course),
            overdue: overdue(course, today).is_some(),
        }
    }
}
