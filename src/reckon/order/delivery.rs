//! When things come, and by when they must be ordered.

use super::Line;
use super::difference::Change;
use crate::course::{Amount, Course, ItemId, Supplier, SupplierId};
use crate::finding::{Finding, Place};
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

/// An order that is less than the supplier takes.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Short {
    /// How much is missing.
    pub missing: Money,
    /// The least order.
    pub least: Money,
    /// What would fill it, at the least cost; it is in no order and in no sum. Empty where that would cost more than what is needed.
    pub filling: Vec<Filling>,
}

/// Packs of one size that would fill an order.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Filling {
    /// The ingredient.
    pub item: ItemId,
    /// From whom.
    pub supplier: SupplierId,
    /// How it is sold.
    pub of: Amount,
    /// What one costs.
    pub price: Money,
    /// So many more of them; below nought: so many fewer, as others take their place.
    pub more: i64,
}

impl Short {
    /// What would fill the order, each ingredient by a name: `2 x 500 g of Sugar`, `1 x 2 kg of Flour (in place of 1 x 1 kg)`.
    #[must_use]
    pub fn filled_with(&self, name: impl Fn(&ItemId) -> String) -> Vec<String> {
        let mut items: Vec<&ItemId> = self.filling.iter().map(|f| &f.item).collect();
        items.dedup();
        let packs = |item: &ItemId, more: bool| -> String {
            let own = self.filling.iter().filter(|f| f.item == *item && (f.more > 0) == more);
            let packs: Vec<String> = own.map(|f| format!("{} x {}", f.more.abs(), words_of(f.of))).collect();
            packs.join(" + ")
        };
        let one = |item: &&ItemId| {
            let instead = packs(item, false);
            let instead = if instead.is_empty() { instead } else { format!(" (in place of {instead})") };
            format!("{} of {}{instead}", packs(item, true), name(item))
        };
        items.iter().map(one).collect()
    }

    /// What filling it would cost on top.
    #[must_use]
    pub fn cost(&self) -> Money {
        self.filling.iter().map(|f| f.price.times(f.more)).sum()
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
    /// It is less than the supplier's least order.
    pub below_least: Option<Short>,
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
    fillings: &[Filling],
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
        let below_least = least.filter(|l| goods < l.value).map(|l| Short {
            missing: l.value - goods,
            least: l.value,
            filling: fillings.iter().filter(|f| f.supplier == arrival.supplier).cloned().collect(),
        });
        // What does not reach it, or takes packs away alone, fills nothing.
        let below_least = below_least.map(|mut short| {
            // What is added stands before what it takes the place of.
            for own in short.filling.chunk_by_mut(|a, b| a.item == b.item) {
                own.sort_by_key(|f| f.more < 0);
            }
            let adds = |f: &Filling| short.filling.iter().any(|o| o.item == f.item && o.more > 0);
            if short.cost() < short.missing || !short.filling.iter().all(adds) {
                short.filling.clear();
            }
            short
        });
        if let Some(short) = &below_least {
            let place = supplier.least_order.as_ref().and_then(|l| l.place);
            findings.push(short_finding(course, supplier, goods, short, place));
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

fn short_finding(
    course: &Course,
    supplier: &Supplier,
    goods: Money,
    short: &Short,
    place: Option<Place>,
) -> Finding {
    let beside = "order together with another class, or ask for an exception";
    let way_out = if short.filling.is_empty() {
        format!(
            "{beside}, or write packs of another supplier: to fill it up would cost more than what is needed"
        )
    } else {
        let packs = short.filled_with(|item| format!("`{item}`")).join("; ");
        format!(
            "{beside}; or add by hand what would fill it for {}, and is not in the order: {packs}",
            in_words(course, short.cost())
        )
    };
    Finding::warning(
        "below-least-order",
        place,
        format!(
            "what is needed from `{}` comes to {}, which is {} short of its least order of {}",
            supplier.id,
            in_words(course, goods),
            in_words(course, short.missing),
            in_words(course, short.least)
        ),
    )
    .way_out(way_out)
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
