//! When things come, and by when they must be ordered.

use super::difference::Change;
use super::{Bought, Line};
use crate::course::{Amount, Course, Supplier, SupplierId};
use crate::finding::Finding;
use crate::units::{Money, minor_units};
use jiff::ToSpan;
use jiff::civil::{Date, DateTime, Weekday};
use rust_decimal::Decimal;

/// The days that an order turns on.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Days {
    /// The day on which something is first used: staff's first hours, or the first session.
    pub first_use: Date,
    /// The day of the last session: fresh things keep until then.
    pub last_use: Date,
}

/// The days of a course; `None` when it has no session.
pub fn days(course: &Course) -> Option<Days> {
    let starts = course
        .sessions
        .iter()
        .flat_map(|s| s.staff.iter().map(|h| h.value.0.date()).chain([s.from.value.date()]));
    Some(Days {
        first_use: starts.min()?,
        last_use: course.sessions.iter().map(|s| s.to.value.date()).max()?,
    })
}

/// The last delivery of a supplier that is still in time.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Arrival {
    /// Who delivers.
    pub supplier: SupplierId,
    /// On this day.
    pub on: Date,
    /// To be ordered by then.
    pub order_by: DateTime,
    /// The first day on which something of it is used.
    pub first_use: Date,
    /// Why it is that day.
    pub reason: String,
    /// It is later than `order_by`.
    pub closed: bool,
}

impl Arrival {
    /// Whether something that keeps so many days after delivery is still good on the last day; unlimited if not written.
    pub fn keeps(&self, keeps_days: Option<u32>, days: &Days) -> bool {
        match keeps_days {
            None => true,
            Some(k) => self.on.checked_add(i64::from(k).days()).is_ok_and(|until| until >= days.last_use),
        }
    }
}

/// What is bought from one supplier.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Delivery {
    /// From whom.
    pub supplier: SupplierId,
    /// Packs together.
    pub goods: Money,
    /// The fee for the delivery.
    pub fee: Money,
    /// How much is missing to the least order.
    pub below_least: Option<Money>,
    /// On this day.
    pub arrives: Date,
    /// To be ordered by then.
    pub order_by: DateTime,
    /// The first day on which something of it is used.
    pub first_use: Date,
    /// Why it is that day.
    pub reason: String,
}

/// For each supplier the last delivery before the first use. One that never comes in time is left out.
pub fn arrivals(
    course: &Course,
    days: &Days,
    now: Option<DateTime>,
    findings: &mut Vec<Finding>,
) -> Vec<Arrival> {
    let mut all = Vec::new();
    for supplier in &course.pantry.suppliers {
        match arrival(supplier, days) {
            Some(a) => all.push(Arrival { closed: now.is_some_and(|now| now > a.order_by), ..a }),
            None => findings.push(Finding::warning(
                "delivery-day-unknown",
                supplier.id.place,
                format!(
                    "no day on which `{}` delivers before {} can be reckoned",
                    supplier.id, days.first_use
                ),
            )),
        }
    }
    all
}

fn arrival(supplier: &Supplier, days: &Days) -> Option<Arrival> {
    // The hour of a delivery is not known, so that of the day itself may be too late.
    let mut on = days.first_use.yesterday().ok()?;
    for _ in 0..7 {
        if supplier.delivers.is_empty() || supplier.delivers.iter().any(|d| d.value == on.weekday()) {
            break;
        }
        on = on.yesterday().ok()?;
    }
    let lead = supplier.lead_days.value;
    let day = on.checked_sub(i64::from(lead).days()).ok()?;
    let closes = supplier.closes.as_ref().map_or(24 * 60 - 1, |c| c.value.get().clamp(0, 24 * 60 - 1));
    let order_by = day.at((closes / 60) as i8, (closes % 60) as i8, 0, 0);
    let delivers = if supplier.delivers.is_empty() {
        "on any day".to_owned()
    } else {
        format!("on {}", supplier.delivers.iter().map(|d| weekday(d.value)).collect::<Vec<_>>().join(", "))
    };
    let lead_words = match lead {
        0 => "the same day".to_owned(),
        1 => "1 day after the order".to_owned(),
        n => format!("{n} days after the order"),
    };
    let closing = supplier
        .closes
        .as_ref()
        .map_or_else(String::new, |_| format!(", orders close at {:02}:{:02}", closes / 60, closes % 60));
    let reason = format!(
        "{} delivers {delivers}, {lead_words}{closing}; the last delivery before {} is on {} {on}",
        supplier.name.value,
        days.first_use,
        weekday(on.weekday())
    );
    let first_use = days.first_use;
    Some(Arrival { supplier: supplier.id.value.clone(), on, order_by, first_use, reason, closed: false })
}

/// What each supplier delivers; those that nothing is bought from are left out, but for one with whom an order stood that is called off.
pub fn deliveries(
    course: &Course,
    lines: &[Line],
    standing: &[Change],
    arrivals: &[Arrival],
    findings: &mut Vec<Finding>,
) -> Vec<Delivery> {
    let mut all = Vec::new();
    for arrival in arrivals {
        let own = lines.iter().flat_map(|l| &l.bought).filter(|b| b.supplier == arrival.supplier);
        let (packs, goods) = own.fold((0u32, Money::ZERO), |(n, sum), b| {
            (n.saturating_add(b.count), sum + b.price.times(i64::from(b.count)))
        });
        let stood = standing.iter().any(|c| c.supplier == arrival.supplier && c.stands > 0);
        let Some(supplier) = course.pantry.supplier(&arrival.supplier).filter(|_| packs > 0 || stood) else {
            continue;
        };
        let least = supplier.least_order.as_ref().filter(|_| packs > 0);
        let below_least = least.filter(|l| goods < l.value).map(|l| l.value - goods);
        if let (Some(missing), Some(least)) = (below_least, &supplier.least_order) {
            findings.push(
                Finding::warning(
                    "below-least-order",
                    least.place,
                    format!(
                        "`{}` takes orders from {} on, and what is needed from it comes to {}: {} are missing",
                        supplier.id,
                        in_words(course, least.value),
                        in_words(course, goods),
                        in_words(course, missing)
                    ),
                )
                .way_out("order together with another class, ask for an exception, or write packs of another supplier: topping up would cost more than what is needed"),
            );
        }
        all.push(Delivery {
            supplier: arrival.supplier.clone(),
            goods,
            fee: supplier.delivery_fee.as_ref().filter(|_| packs > 0).map_or(Money::ZERO, |f| f.value),
            below_least,
            arrives: arrival.on,
            order_by: arrival.order_by,
            first_use: arrival.first_use,
            reason: arrival.reason.clone(),
        });
    }
    all
}

/// Says what is bought only so that a supplier's least order is reached.
pub fn topped_up(course: &Course, lines: &[Line], findings: &mut Vec<Finding>) {
    for supplier in &course.pantry.suppliers {
        let own = lines.iter().flat_map(|l| l.bought.iter().map(move |b| (l, b)));
        let beyond: Vec<(&Line, &Bought)> =
            own.filter(|(_, b)| b.supplier == supplier.id.value && b.beyond > 0).collect();
        let Some(least) = supplier.least_order.as_ref().filter(|_| !beyond.is_empty()) else { continue };
        let cost: Money = beyond.iter().map(|(_, b)| b.price.times(i64::from(b.beyond))).sum();
        let packs: Vec<String> = beyond
            .iter()
            .map(|(l, b)| format!("{} x {} of `{}`", b.beyond, words_of(b.of), l.item))
            .collect();
        findings.push(
            Finding::note(
                "topped-up",
                least.place,
                format!(
                    "`{}` takes orders from {} on: to reach that, {} are bought beyond the need for {}, which costs less than any other way",
                    supplier.id,
                    in_words(course, least.value),
                    packs.join(" and "),
                    in_words(course, cost)
                ),
            )
            .way_out("they keep for the next class; or order together with another class"),
        );
    }
}

/// Money with its coins and currency: `12.50 EUR`.
fn in_words(course: &Course, money: Money) -> String {
    let currency = &course.settings.currency.value;
    let places = minor_units(currency);
    format!("{:.*} {currency}", places as usize, money.rounded(places).amount())
}

/// An amount as it is sold, in the words of the course's files: `1.5 kg`, `2 l`, `12 pieces`.
pub fn words_of(of: Amount) -> String {
    let plain = |d: Decimal| d.normalize().to_string();
    let thousand = Decimal::ONE_THOUSAND;
    match of {
        Amount::Mass(g) if g.to_decimal() >= thousand => format!("{} kg", plain(g.to_decimal() / thousand)),
        Amount::Mass(g) => format!("{} g", plain(g.to_decimal())),
        Amount::Volume(ml) if ml.to_decimal() >= thousand => {
            format!("{} l", plain(ml.to_decimal() / thousand))
        }
        Amount::Volume(ml) => format!("{} ml", plain(ml.to_decimal())),
        Amount::Pieces(1) => "1 piece".to_owned(),
        Amount::Pieces(n) => format!("{n} pieces"),
    }
}

fn weekday(day: Weekday) -> &'static str {
    match day {
        Weekday::Monday => "Monday",
        Weekday::Tuesday => "Tuesday",
        Weekday::Wednesday => "Wednesday",
        Weekday::Thursday => "Thursday",
        Weekday::Friday => "Friday",
        Weekday::Saturday => "Saturday",
        Weekday::Sunday => "Sunday",
    }
}
