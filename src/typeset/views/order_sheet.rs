//! What is bought from one supplier.

use super::common::{About, Day, Measure, Moment};
use super::desk::Desk;
use super::wording::item_name;
use crate::course::{Amount, Supplier};
use crate::reckon::order::difference::Change;
use crate::reckon::order::{Bought, Delivery, Filling, Line, Order};
use crate::units::{Grams, Money, minor_units};
use serde::Serialize;

/// What `templates/order-sheet.typ` receives.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct OrderSheet {
    /// `order-sheet`.
    pub kind: &'static str,
    /// The course.
    pub about: About,
    /// The supplier's name.
    pub supplier: String,
    /// Where to write to.
    pub email: String,
    /// Our customer number.
    pub account: String,
    /// Where it is delivered.
    pub deliver_to: String,
    /// Order by this moment; `None` for a shop that one goes to.
    pub order_by: Option<Moment>,
    /// Delivered, or bought, on this day.
    pub on: Option<Day>,
    /// When and how the supplier delivers, so why this moment; `None` for a shop that one goes to.
    pub terms: Option<Terms>,
    /// ISO 4217 code.
    pub currency: String,
    /// The lines.
    pub lines: Vec<OrderLine>,
    /// The goods.
    pub goods: String,
    /// The delivery fee; empty where there is none.
    pub fee: String,
    /// All.
    pub total: String,
    /// What is missing to the supplier's least order; empty where it is reached.
    pub below_least: String,
    /// The supplier's least order; empty where it is reached.
    pub least: String,
    /// What would fill it, in none of the lines; empty where that would cost more than what is needed.
    pub filling: Vec<Filler>,
    /// What is needed and on no supplier's order, as it cannot be had; empty where all can.
    pub missing: String,
    /// An order stands already: the lines are what is added to it.
    pub difference: bool,
}

/// Packs that would fill an order.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Filler {
    /// So many more; below nought: so many fewer, as others take their place.
    pub more: i64,
    /// What is in one.
    pub pack: Measure,
    /// The ingredient's name.
    pub name: String,
}

/// How a supplier delivers.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Terms {
    /// Days of the week, 1 is Monday; none is any day.
    pub weekdays: Vec<i8>,
    /// So many days after the order.
    pub lead_days: u32,
    /// Orders of a day are taken until this minute after midnight; `None`: until it ends.
    pub closes: Option<i64>,
    /// The first day on which something of it is used: it comes before.
    pub first_use: Day,
}

/// Packs of an ingredient that another supplier brings.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Elsewhere {
    /// How many packs.
    pub count: u32,
    /// What is in one.
    pub pack: Measure,
    /// Who brings them.
    pub supplier: String,
}

/// One pack size of one ingredient.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct OrderLine {
    /// The ingredient's name.
    pub name: String,
    /// How many packs.
    pub count: u32,
    /// What is in one.
    pub pack: Measure,
    /// The price of one.
    pub price: String,
    /// Price by count.
    pub cost: String,
    /// What the class needs of it, allowances included, less what is on the shelf; empty but beside its first packs on the sheet.
    pub need: Measure,
    /// What else of it comes from other suppliers: only with that is the need met.
    pub elsewhere: Vec<Elsewhere>,
    /// The same by the piece, where it is counted so; empty where something is on the shelf, or where it is weighed alone.
    pub need_pieces: String,
    /// What is on the shelf, and taken off `need`; empty where nothing is.
    pub stock: Measure,
    /// What is left over of it.
    pub over: Measure,
    /// Said under it, in the teacher's words.
    pub note: String,
    /// Goes into the cold when it comes.
    pub cold: bool,
}

impl OrderSheet {
    /// An empty sheet of this kind.
    pub fn new() -> OrderSheet {
        OrderSheet { kind: "order-sheet", ..OrderSheet::default() }
    }
}

impl OrderSheet {
    /// One sheet for each supplier that something is bought from.
    pub fn all(desk: &Desk, order: &Order) -> Vec<OrderSheet> {
        order.deliveries.iter().map(|d| OrderSheet::of(desk, order, d)).collect()
    }

    /// What comes with one delivery.
    pub fn of(desk: &Desk, order: &Order, delivery: &Delivery) -> OrderSheet {
        let settings = &desk.course.settings;
        let places = minor_units(&order.currency);
        let money = |m: Money| format!("{:.1$}", m.amount(), places as usize);
        let supplier = desk.course.pantry.supplier(&delivery.supplier);
        let text = |of: fn(&Supplier) -> Option<&crate::course::At<String>>| {
            supplier.and_then(of).map_or_else(String::new, |t| t.value.clone())
        };
        let fetched = supplier.is_some_and(|s| s.lead_days.value == 0 && s.email.is_none());
        let difference = order.difference.as_ref().filter(|d| d.of(&delivery.supplier));
        // What was ordered before is not ordered again: then a line holds only what is added.
        let added = |line: &Line, b: &Bought| -> u32 {
            let Some(difference) = difference else { return b.count };
            let same = |c: &&Change| {
                (&c.item, &c.supplier, c.of, c.price) == (&line.item, &b.supplier, b.of, b.price)
            };
            difference.changes.iter().find(same).map_or(0, |c| c.add)
        };
        let lines = order.lines.iter().flat_map(|line| {
            let ours = line.bought.iter().filter(|b| b.supplier == delivery.supplier);
            let now = ours.map(|b| (b, added(line, b))).filter(|(_, count)| *count > 0);
            let now = now.enumerate();
            now.map(|(n, (b, count))| order_line(desk, line, (b, n == 0), count, &money)).collect::<Vec<_>>()
        });
        let goods: Money = order
            .lines
            .iter()
            .flat_map(|l| l.bought.iter().map(move |b| (l, b)))
            .filter(|(_, b)| b.supplier == delivery.supplier)
            .map(|(l, b)| b.price.times(i64::from(added(l, b))))
            .sum();
        let fee = if difference.is_some() { Money::ZERO } else { delivery.fee };
        let to = [Some(&settings.host), settings.address.as_ref()];
        let to: Vec<&str> = to.into_iter().flatten().map(|t| t.value.as_str()).collect();
        let short = delivery.below_least.as_ref();
        let filler =
            |f: &Filling| Filler { more: f.more, pack: pack(f.of), name: item_name(desk.course, &f.item) };
        OrderSheet {
            about: desk.about(),
            supplier: supplier.map_or_else(|| delivery.supplier.to_string(), |s| s.name.value.clone()),
            email: text(|s| s.email.as_ref()),
            account: text(|s| s.account.as_ref()),
            deliver_to: if fetched { String::new() } else { to.join(", ") },
            order_by: (!fetched).then(|| delivery.order_by.into()),
            on: Some(delivery.arrives.into()),
            terms: supplier.filter(|_| !fetched).map(|s| terms(s, delivery)),
            currency: order.currency.clone(),
            lines: lines.collect(),
            goods: money(goods),
            fee: if fee == Money::ZERO { String::new() } else { money(fee) },
            total: money(goods + fee),
            below_least: short.map_or_else(String::new, |s| money(s.missing)),
            least: short.map_or_else(String::new, |s| money(s.least)),
            filling: short.iter().flat_map(|s| &s.filling).map(filler).collect(),
            missing: order.missing().map(|i| item_name(desk.course, i)).collect::<Vec<_>>().join(", "),
            difference: difference.is_some(),
            ..OrderSheet::new()
        }
    }
}

fn terms(supplier: &Supplier, delivery: &Delivery) -> Terms {
    Terms {
        weekdays: supplier.delivers.iter().map(|d| d.value.to_monday_one_offset()).collect(),
        lead_days: supplier.lead_days.value,
        closes: supplier.closes.as_ref().map(|c| c.value.get()),
        first_use: delivery.first_use.into(),
    }
}

fn order_line(
    desk: &Desk,
    line: &Line,
    (bought, first_here): (&Bought, bool),
    count: u32,
    money: &impl Fn(Money) -> String,
) -> OrderLine {
    let item = desk.course.pantry.item(&line.item);
    // What is left over is said once, beside the first pack of an ingredient.
    let first = line.bought.first() == Some(bought);
    OrderLine {
        name: item_name(desk.course, &line.item),
        count,
        pack: pack(bought.of),
        price: money(bought.price),
        cost: money(bought.price.times(i64::from(count))),
        need: if first_here {
            mass((line.need - line.on_hand).at_least(Grams::ZERO))
        } else {
            Measure::default()
        },
        need_pieces: match line.pieces(desk.course) {
            Some(pieces) if line.on_hand == Grams::ZERO => pieces.to_string(),
            _ => String::new(),
        },
        stock: if line.on_hand > Grams::ZERO { mass(line.on_hand) } else { Measure::default() },
        over: if first { mass(line.surplus) } else { Measure::default() },
        elsewhere: line
            .bought
            .iter()
            .filter(|b| first_here && b.supplier != bought.supplier)
            .map(|b| Elsewhere {
                count: b.count,
                pack: pack(b.of),
                supplier: desk
                    .course
                    .pantry
                    .supplier(&b.supplier)
                    .map_or_else(|| b.supplier.to_string(), |s| s.name.value.clone()),
            })
            .collect(),
        note: String::new(),
        cold: item.is_some_and(|i| i.cold),
    }
}

/// What is in a pack, as it is sold.
fn pack(of: Amount) -> Measure {
    match of {
        Amount::Mass(g) => mass(g),
        Amount::Volume(v) if v.thousandths() >= 1_000_000 => {
            Measure::new((v.to_decimal() / rust_decimal::Decimal::ONE_THOUSAND).normalize().to_string(), "l")
        }
        Amount::Volume(v) => Measure::new(v.to_decimal().normalize().to_string(), "ml"),
        Amount::Pieces(n) => Measure::new(n.to_string(), ""),
    }
}

/// A mass as one buys it: kilograms from one on.
fn mass(grams: Grams) -> Measure {
    let whole = grams.to_nearest(Grams::whole(1));
    if whole >= Grams::whole(1000) {
        let kilograms = whole.to_decimal() / rust_decimal::Decimal::ONE_THOUSAND;
        return Measure::new(kilograms.normalize().to_string(), "kg");
    }
    Measure::new(grams.to_nearest(Grams::from_mg(100)).to_decimal().normalize().to_string(), "g")
}
