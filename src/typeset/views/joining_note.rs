//! The note to each student before the class.

use super::common::{About, Day, Making, Sitting};
use super::desk::Desk;
use super::wording::{held, in_one};
use crate::course::Settings;
use crate::reckon::allergens::Held;
use crate::reckon::order::Order;
use crate::reckon::people::contents;
use jiff::civil::Date;
use serde::Serialize;

/// What `templates/joining-note.typ` receives.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct JoiningNote {
    /// `joining-note`.
    pub kind: &'static str,
    /// The course.
    pub about: About,
    /// To whom; empty: to all.
    pub to: String,
    /// The sittings.
    pub sittings: Vec<Sitting>,
    /// Where it is.
    pub address: String,
    /// Mail, telephone.
    pub contact: String,
    /// What is made.
    pub makes: Vec<Making>,
    /// What to bring and wear.
    pub bring: Vec<String>,
    /// What the pieces of the class contain, in any way in which somebody makes them, by the words of the course's list.
    pub contains: Vec<String>,
    /// What none contains for certain and one may contain.
    pub may_contain: Vec<String>,
    /// Ingredients whose packs nobody has read.
    pub unread: Vec<String>,
    /// Answer by this day: the course's own, or the day before the first order is placed.
    pub answer_by: Option<Day>,
    /// Health data goes by this day.
    pub forget_by: Option<Day>,
    /// Someone under age is on the roll, or may be: the rule is printed.
    pub under_age: String,
    /// What it costs, with its currency; empty where it is not said.
    pub fee: String,
}

impl JoiningNote {
    /// An empty sheet of this kind.
    pub fn new() -> JoiningNote {
        JoiningNote { kind: "joining-note", ..JoiningNote::default() }
    }
}

impl JoiningNote {
    /// The note, to everyone or to one person.
    pub fn of(desk: &Desk, order: &Order, to: Option<&str>) -> JoiningNote {
        let course = desk.course;
        let settings = &course.settings;
        let text =
            |t: &Option<crate::course::At<String>>| t.as_ref().map_or_else(String::new, |t| t.value.clone());
        let mut class = Held::default();
        for made in contents(course, desk.class, &desk.recipes) {
            class.join(made.held);
        }
        let class = held(course, &class);
        let makes = course.lessons.iter().map(|l| Making {
            count: match l.makes.for_each.value {
                crate::course::ForEach::Student => l.makes.pieces.value,
                _ => 0,
            },
            in_one: course.formula(&l.formula.value).map_or(1, |f| in_one(&f.piece)),
            name: desk.lesson_name(&l.id.value),
            variant: None,
        });
        let fee = settings
            .fee
            .as_ref()
            .map_or_else(String::new, |f| format!("{}\u{202F}{}", settings.currency.value, f.value.amount()));
        JoiningNote {
            about: desk.about(),
            to: to.unwrap_or_default().to_owned(),
            sittings: course.sessions.iter().map(|s| desk.sitting(s)).collect(),
            address: text(&settings.address),
            contact: text(&settings.contact),
            makes: makes.collect(),
            bring: settings.bring.iter().map(|b| b.value.clone()).collect(),
            contains: class.contains,
            may_contain: class.may_contain,
            unread: class.unknown,
            answer_by: answer_by(settings, order).map(Into::into),
            forget_by: settings.forget_by.as_ref().map(|d| d.value.into()),
            under_age: text(&settings.under_age),
            fee,
            ..JoiningNote::new()
        }
    }
}

fn answer_by(settings: &Settings, order: &Order) -> Option<Date> {
    let own = settings.answer_by.as_ref().map(|d| d.value);
    own.or_else(|| order.order_by.as_ref().and_then(|(at, _)| at.date().yesterday().ok()))
}
