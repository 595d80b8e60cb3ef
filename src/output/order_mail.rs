//! What is written to each supplier: a plain e-mail text from `templates/order-mail.txt` (minijinja), which a course may replace.

use super::board::page::endless;
use super::json::decimal;
use super::order_tables::supplier_name;
use super::weigh_tables::name_of;
use crate::course::limits::TEMPLATE_STEPS;
use crate::course::{Amount, Course, SupplierId};
use crate::reckon::order::{Delivery, Filling, Order, Short, words_of};
use crate::units::Money;
use jiff::civil::Date;
use minijinja::value::Kwargs;
use minijinja::{AutoEscape, Environment, Error, ErrorKind, UndefinedBehavior, context};
use std::collections::BTreeMap;

/// The template's path in a course folder and in ours.
pub const TEMPLATE: &str = "templates/order-mail.txt";

const BUILT_IN: &str = include_str!("../../templates/order-mail.txt");

/// A letter to a supplier.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Mail {
    /// To whom.
    pub supplier: SupplierId,
    /// The whole text, with its address and subject above.
    pub text: String,
}

/// A template that cannot be filled in.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct TemplateSlip {
    /// What is wrong, as a sentence.
    pub message: String,
    /// Its bytes in the template, if known.
    pub bytes: Option<(usize, usize)>,
}

/// A letter to each supplier that something is to be ordered from or cancelled at; none to a shop that one goes to. `own` is the
/// course's own template, `words` the fixed words by their keys.
///
/// # Errors
/// What is wrong with the template.
pub fn mails(
    course: &Course,
    order: &Order,
    own: Option<&str>,
    words: &BTreeMap<String, String>,
) -> Result<Vec<Mail>, TemplateSlip> {
    let mut environment = Environment::new();
    environment.set_undefined_behavior(UndefinedBehavior::Strict);
    // A template that goes round and round ends, and is told.
    environment.set_fuel(Some(TEMPLATE_STEPS));
    // It is no markup: an ampersand stays one.
    environment.set_auto_escape_callback(|_| AutoEscape::None);
    let all = words.clone();
    environment.add_function("word", move |key: String, filled: Kwargs| -> Result<String, Error> {
        let missing = || {
            let what = format!("there is no fixed word `{key}`");
            Error::new(ErrorKind::InvalidOperation, what)
        };
        let mut word = all.get(&key).ok_or_else(missing)?.clone();
        for name in filled.args() {
            let value: minijinja::Value = filled.get(name)?;
            word = word.replace(&format!("{{{name}}}"), &value.to_string());
        }
        Ok(word)
    });
    let source = own.unwrap_or(BUILT_IN);
    let slip = |error: Error| TemplateSlip {
        message: match error.kind() {
            ErrorKind::OutOfFuel => endless(),
            kind => error.detail().map_or_else(|| kind.to_string(), str::to_owned),
        },
        bytes: error.range().map(|r| (r.start, r.end)),
    };
    let template = environment.template_from_str(source).map_err(slip)?;
    let mut mails = Vec::new();
    for delivery in &order.deliveries {
        let Some(values) = values(course, order, delivery, words) else { continue };
        let text = template.render(values).map_err(slip)?;
        mails.push(Mail { supplier: delivery.supplier.clone(), text: text.trim_end().to_owned() + "\n" });
    }
    Ok(mails)
}

/// What the template receives; `None` where there is nothing to write.
fn values(
    course: &Course,
    order: &Order,
    delivery: &Delivery,
    words: &BTreeMap<String, String>,
) -> Option<minijinja::Value> {
    let supplier = course.pantry.supplier(&delivery.supplier)?;
    if supplier.lead_days.value == 0 && supplier.email.is_none() {
        return None;
    }
    let money = |m: Money| decimal(m, &order.currency).replace('.', word(words, "number.decimal"));
    let mut widest = 0;
    let mut lines = |add: bool| -> Vec<(u32, String, String)> {
        let former = order.difference.as_ref();
        let all: Vec<(u32, String, String)> = match former {
            None if add => order
                .lines
                .iter()
                .flat_map(|l| l.bought.iter().map(move |b| (l, b)))
                .filter(|(_, b)| b.supplier == delivery.supplier)
                .map(|(l, b)| (b.count, pack_words(b.of, words), name_of(course, &l.item)))
                .collect(),
            None => Vec::new(),
            Some(difference) => difference
                .changes
                .iter()
                .filter(|c| c.supplier == delivery.supplier)
                .map(|c| {
                    (if add { c.add } else { c.cancel }, pack_words(c.of, words), name_of(course, &c.item))
                })
                .filter(|(count, ..)| *count > 0)
                .collect(),
        };
        widest = all.iter().map(|(_, pack, _)| super::text::columns(pack)).max().unwrap_or(0).max(widest);
        all
    };
    let (add, cancel) = (lines(true), lines(false));
    if add.is_empty() && cancel.is_empty() {
        return None;
    }
    let counts = add.iter().chain(&cancel).map(|(n, ..)| n.to_string().len()).max().unwrap_or(1);
    let shown = |lines: Vec<(u32, String, String)>| -> Vec<minijinja::Value> {
        let one = |(count, pack, name): (u32, String, String)| {
            let pack = super::text::pad_right(&pack, widest);
            context! { count => format!("{count:>counts$}"), pack => pack, name => name }
        };
        lines.into_iter().map(one).collect()
    };
    let settings = &course.settings;
    let text = |t: Option<&crate::course::At<String>>| t.map_or_else(String::new, |t| t.value.clone());
    let to: Vec<&str> = [Some(&settings.host), settings.address.as_ref()]
        .into_iter()
        .flatten()
        .map(|t| t.value.as_str())
        .collect();
    let former: Option<Date> = order
        .difference
        .as_ref()
        .and_then(|d| d.placed.iter().copied().filter(|_| d.of(&delivery.supplier)).max());
    Some(context! {
        supplier => supplier_name(course, &delivery.supplier),
        email => text(supplier.email.as_ref()),
        account => text(supplier.account.as_ref()),
        host => settings.host.value.as_str(),
        address => text(settings.address.as_ref()),
        contact => text(settings.contact.as_ref()),
        teacher => settings.teacher.value.as_str(),
        course => settings.name.value.as_str(),
        deliver_to => to.join(", "),
        arrives => day(words, delivery.arrives),
        order_by => format!("{}, {}", day(words, delivery.order_by.date()), delivery.order_by.strftime("%H:%M")),
        adds_to_former => former.is_some(),
        placed => former.map_or_else(String::new, |d| day(words, d)),
        add => shown(add),
        cancel => shown(cancel),
        goods => money(delivery.goods),
        fee => if delivery.fee > Money::ZERO { money(delivery.fee) } else { String::new() },
        total => if delivery.goods > Money::ZERO { money(delivery.goods + delivery.fee) } else { String::new() },
        currency => order.currency.as_str(),
        short => delivery.below_least.as_ref().map_or_else(String::new, |s| money(s.missing)),
        least => delivery.below_least.as_ref().map_or_else(String::new, |s| money(s.least)),
        filling => delivery.below_least.as_ref().map_or_else(Vec::new, |s| filling(course, s, words)),
    })
}

/// What would fill an order up: count, pack and name, and the packs whose place they take.
fn filling(course: &Course, short: &Short, words: &BTreeMap<String, String>) -> Vec<minijinja::Value> {
    let one = |f: &Filling| context! { more => f.more, pack => pack_words(f.of, words), name => name_of(course, &f.item) };
    short.filling.iter().map(one).collect()
}

/// What is in a pack, as the course's language writes it.
fn pack_words(of: Amount, words: &BTreeMap<String, String>) -> String {
    match of {
        Amount::Pieces(1) => word(words, "mail.piece").to_owned(),
        Amount::Pieces(n) => word(words, "mail.pieces").replace("{n}", &n.to_string()),
        Amount::Mass(_) | Amount::Volume(_) => words_of(of).replace('.', word(words, "number.decimal")),
    }
}

fn word<'a>(words: &'a BTreeMap<String, String>, key: &str) -> &'a str {
    words.get(key).map_or("", String::as_str)
}

/// A day as the course's language writes it.
fn day(words: &BTreeMap<String, String>, day: Date) -> String {
    let weekday = word(words, &format!("weekday.n{}", day.weekday().to_monday_one_offset()));
    let month = word(words, &format!("month.n{}", day.month()));
    word(words, "day.long")
        .replace("{weekday}", weekday)
        .replace("{day}", &day.day().to_string())
        .replace("{month}", month)
}
