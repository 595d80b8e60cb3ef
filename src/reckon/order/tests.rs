#![allow(clippy::unwrap_used)]
use super::*;
use crate::course::{Allowance, OrderRecord, Pack, RecordLine, Stock, Supplier};
use crate::finding::Level;
use crate::reckon::sample::{at, course, g, pc};
use crate::units::Minutes;
use jiff::civil::{Weekday, date};
use proptest::prelude::*;

fn money(text: &str) -> Money {
    Money::new(text.parse().unwrap())
}

fn supplier(id: &str, lead: u32, delivers: &[Weekday]) -> Supplier {
    Supplier {
        id: at(id.into()),
        name: at(format!("The {id}")),
        email: None,
        account: None,
        lead_days: at(lead),
        delivers: delivers.iter().map(|d| at(*d)).collect(),
        least_order: None,
        delivery_fee: None,
        closes: None,
    }
}

fn pack(of: Amount, price: &str, supplier: &str) -> Pack {
    Pack { of: at(of), price: at(money(price)), supplier: at(supplier.into()), keeps_days: None }
}

/// Saturday 6 March 2027 is the class. The mill delivers on Tuesdays and Thursdays, three days after the order.
fn shop() -> Course {
    let mut c = course();
    let mut mill = supplier("mill", 3, &[Weekday::Tuesday, Weekday::Thursday]);
    mill.closes = Some(at(Minutes::hours(12)));
    mill.least_order = Some(at(money("10")));
    mill.delivery_fee = Some(at(money("6.50")));
    c.pantry.suppliers = vec![mill, supplier("dairy", 1, &[Weekday::Wednesday]), supplier("corner", 0, &[])];
    let item =
        |c: &mut Course, id: &str| c.pantry.items.iter().position(|i| i.id.value.as_str() == id).unwrap();
    let flour = item(&mut c, "strong-flour");
    let flour = &mut c.pantry.items[flour];
    flour.packs = vec![
        pack(Amount::Mass(g("16000")), "19.80", "mill"),
        pack(Amount::Mass(g("1500")), "2.65", "mill"),
        pack(Amount::Mass(g("1500")), "4.90", "corner"),
    ];
    flour.allowances = vec![Allowance { why: at("bench".into()), share: at(pc("4")) }];
    flour.stock = vec![
        Stock { of: at(Amount::Mass(g("2500"))), best_before: Some(at(date(2027, 6, 30))) },
        Stock { of: at(Amount::Mass(g("9000"))), best_before: Some(at(date(2027, 3, 5))) },
    ];
    let eggs = item(&mut c, "eggs");
    let eggs = &mut c.pantry.items[eggs];
    eggs.packs = vec![pack(Amount::Pieces(30), "8.40", "dairy"), pack(Amount::Pieces(6), "2.10", "dairy")];
    eggs.allowances = vec![Allowance { why: at("breakage".into()), share: at(pc("5")) }];
    let milk = item(&mut c, "milk");
    let milk = &mut c.pantry.items[milk];
    milk.density = Some(at("1.03".parse().unwrap()));
    milk.packs = vec![pack(Amount::Volume(Millilitres::whole(1000)), "1.30", "dairy")];
    milk.packs[0].keeps_days = Some(at(6));
    let salt = item(&mut c, "salt");
    c.pantry.items[salt].staple = true;
    c
}

fn total(item: &str, grams: &str) -> Total {
    Total { item: item.into(), grams: g(grams), exact: g(grams), whole: None, with_breakage: None }
}

fn ordered(c: &Course, totals: &[Total]) -> (Order, Vec<(Level, &'static str)>) {
    let (order, findings) = order(c, totals, 12, &days(c).unwrap(), None);
    (order, findings.iter().map(|f| (f.level, f.code.0)).collect())
}

#[test]
fn a_line_is_the_total_its_allowances_the_shelf_and_the_cheapest_packs() {
    let (order, codes) = ordered(&shop(), &[total("strong-flour", "7500"), total("salt", "120")]);
    let line = &order.lines[0];
    // 7500 + 4 % on the bench; 2.5 kg on the shelf, the 9 kg that are past their date not counted.
    assert_eq!((line.need, line.on_hand), (g("7800"), g("2500")));
    assert_eq!(line.allowances, [AllowanceGrams { why: "bench".into(), grams: g("300") }]);
    assert_eq!(line.bought.iter().map(|b| (b.pack_grams, b.count)).collect::<Vec<_>>(), [(g("1500"), 4)]);
    assert_eq!((line.cost, line.surplus), (money("10.60"), g("700")));
    assert_eq!(order.staples, [("salt".into(), g("120"))]);
    // Four bags from the corner are 19.60; the fee is counted; 17.10 / 12 = 1.425.
    assert_eq!(order.deliveries[0].below_least, None);
    assert_eq!((order.total, order.per_student), (money("17.10"), money("1.43")));
    assert_eq!(codes, [(Level::Note, "stock-out-of-date")]);
}

#[test]
fn a_least_order_is_reached_elsewhere_or_told_and_never_bought_up() {
    let mut c = shop();
    let flour = [total("strong-flour", "7500")];
    // From 12.00 on: a fifth bag for 2.65 makes 19.75 with the fee; the corner has four for 19.60.
    c.pantry.suppliers[0].least_order = Some(at(money("12")));
    let (order, codes) = ordered(&c, &flour);
    assert_eq!((order.total, order.deliveries[0].supplier.as_str()), (money("19.60"), "corner"));
    assert_eq!(codes, [(Level::Note, "stock-out-of-date")]);
    // At 5.00 a bag there, a fifth bag of the mill is the better way.
    let id = |c: &Course| c.pantry.items.iter().position(|i| i.id.value.as_str() == "strong-flour").unwrap();
    let at_flour = id(&c);
    c.pantry.items[at_flour].packs[2].price = at(money("5"));
    let (order, codes) = ordered(&c, &flour);
    // It is told and not bought: four bags are needed, and 1.40 is missing.
    assert_eq!((order.total, order.lines[0].bought[0].count), (money("17.10"), 4));
    let short = order.deliveries[0].below_least.clone().unwrap();
    assert_eq!((short.missing, short.least, short.cost()), (money("1.40"), money("12"), money("2.65")));
    assert_eq!(short.filled_with(|i| i.to_string()), ["1 x 1.5 kg of strong-flour"]);
    assert_eq!(order.lines[0].surplus, g("700"));
    assert_eq!(codes, [(Level::Note, "stock-out-of-date"), (Level::Warning, "below-least-order")]);
    // Nothing else is to be had, and 29.40 of flour too much is not worth it.
    c.pantry.items[at_flour].packs.pop();
    c.pantry.suppliers[0].least_order = Some(at(money("40")));
    let (order, codes) = ordered(&c, &flour);
    let short = order.deliveries[0].below_least.clone().unwrap();
    assert_eq!((short.missing, short.filling.len()), (money("29.40"), 0));
    assert_eq!(codes, [(Level::Note, "stock-out-of-date"), (Level::Warning, "below-least-order")]);
}

fn record(lines: &[(&str, &str, Amount, &str, u32)]) -> OrderRecord {
    let line = |(item, supplier, of, price, count): &(&str, &str, Amount, &str, u32)| RecordLine {
        item: at((*item).into()),
        supplier: at((*supplier).into()),
        of: at(*of),
        price: at(money(price)),
        count: *count,
        cancelled: 0,
    };
    OrderRecord { placed: at(date(2027, 2, 20)), lines: lines.iter().map(line).collect() }
}

/// Item, packs added, cancelled, too late to cancel.
fn changed(order: &Order) -> Vec<(String, u32, u32, u32)> {
    let all = order.difference.as_ref().unwrap().changes.iter();
    all.map(|c| (c.item.to_string(), c.add, c.cancel, c.too_late)).filter(|c| c.1 + c.2 + c.3 > 0).collect()
}

#[test]
fn what_was_ordered_stands_and_only_the_difference_changes() {
    let mut c = shop();
    let bag = Amount::Mass(g("1500"));
    // Four bags stand. For 9.0 kg five more kilograms are not bought anew in the best packs: one bag is added.
    c.orders = vec![record(&[("strong-flour", "mill", bag, "2.65", 4)])];
    let flour = |grams: &str| [total("strong-flour", grams)];
    assert_eq!(changed(&ordered(&c, &flour("7500")).0), []);
    let (more, _) = ordered(&c, &flour("9000"));
    assert_eq!(changed(&more), [("strong-flour".into(), 1, 0, 0)]);
    assert_eq!((more.lines[0].bought.len(), more.lines[0].bought[0].count), (1, 5));
    assert_eq!(more.total, money("19.75"));
    // 4.5 kg less the shelf need two bags; a least order of 6.00 keeps a third.
    c.pantry.suppliers[0].least_order = Some(at(money("6")));
    assert_eq!(changed(&ordered(&c, &flour("4500")).0), [("strong-flour".into(), 0, 1, 0)]);
    // After the mill has closed nothing can be cancelled, nor added: the rest comes from the corner.
    let closed = Some(date(2027, 3, 1).at(12, 1, 0, 0));
    let late = |grams: &str| order(&c, &flour(grams), 12, &days(&c).unwrap(), closed).0;
    assert_eq!(changed(&late("4500")), [("strong-flour".into(), 0, 0, 1)]);
    let more = late("9000");
    assert_eq!(changed(&more), [("strong-flour".into(), 1, 0, 0)]);
    assert_eq!(more.lines[0].bought[1].supplier.as_str(), "corner");
    // Called off: nothing is needed, so the whole order goes, least order or not, and no fee is paid.
    let (none, _) = ordered(&c, &[]);
    assert_eq!(changed(&none), [("strong-flour".into(), 0, 4, 0)]);
    assert_eq!(
        (none.total, none.deliveries.len(), none.deliveries[0].below_least.clone()),
        (Money::ZERO, 1, None)
    );
}

#[test]
fn eggs_are_bought_whole_and_by_the_piece() {
    let (order, _) = ordered(&shop(), &[total("eggs", "1010")]);
    let line = &order.lines[0];
    // 1010 + 50.5 for breakage are 21.21 eggs of 50 g: 22, which are four boxes of six at 8.40 as a tray of thirty is, less left over.
    assert_eq!(line.need, g("1100"));
    assert_eq!(line.allowances[1], AllowanceGrams { why: "whole ones".into(), grams: g("39.5") });
    assert_eq!(line.bought.iter().map(|b| (b.of, b.count)).collect::<Vec<_>>(), [(Amount::Pieces(6), 4)]);
    assert_eq!(line.surplus, g("100"));
}

#[test]
fn the_order_must_be_placed_before_the_last_delivery_that_helps() {
    let (order, _) = ordered(&shop(), &[total("strong-flour", "7500"), total("milk", "1000")]);
    // Thursday 4 March is the mill's last day before Saturday: ordered by Monday 1 March, noon.
    let mill = &order.deliveries[0];
    assert_eq!((mill.arrives, mill.order_by), (date(2027, 3, 4), date(2027, 3, 1).at(12, 0, 0, 0)));
    assert_eq!(order.order_by.as_ref().unwrap().0, mill.order_by);
    assert_eq!(
        mill.reason,
        "The mill delivers on Tuesday, Thursday, 3 days after the order, orders close at 12:00; the last delivery before 2027-03-06 is on Thursday 2027-03-04"
    );
    // Milk of Wednesday keeps six days.
    assert_eq!(order.deliveries[1].arrives, date(2027, 3, 3));
}

#[test]
fn what_cannot_be_had_is_said() {
    let mut c = shop();
    let milk = c.pantry.items.iter().position(|i| i.id.value.as_str() == "milk").unwrap();
    c.pantry.items[milk].packs[0].keeps_days = Some(at(2));
    let (order, codes) = ordered(&c, &[total("milk", "1000")]);
    assert_eq!(codes, [(Level::Error, "cannot-be-had-in-time")]);
    assert!(order.lines[0].missing && order.lines[0].bought.is_empty());
    c.pantry.items[milk].density = None;
    assert_eq!(ordered(&c, &[total("milk", "1000")]).1[0], (Level::Warning, "pack-weight-unknown"));
    c.pantry.items[milk].packs.clear();
    assert_eq!(ordered(&c, &[total("milk", "1000")]).1, [(Level::Warning, "no-pack-written")]);
}

#[test]
fn costs_are_explained() {
    use crate::reckon::cost::{TaxRate, costs};
    use crate::reckon::weigh::{Group, List, WeighOut, WeighedBy, Weight, Who};
    let mut c = shop();
    c.settings.margin = Some(at(pc("50")));
    let list = List {
        lesson: "crown".into(),
        formula: "crown".into(),
        variant: None,
        part: "dough".into(),
        batch: None,
        weighed_by: WeighedBy::Station,
        ingredients: vec![Weight { item: "strong-flour".into(), grams: g("7500"), exact: g("7500") }],
        fetches: vec![],
        total: g("7500"),
        used: g("7500"),
        surplus: Grams::ZERO,
    };
    let out = WeighOut {
        headcount: 12,
        stations: vec![Group { who: Who::Spare("crown".into()), lists: vec![list] }],
        demo: vec![],
        spare: vec![],
        shared: vec![],
        totals: vec![total("strong-flour", "7500")],
    };
    let (order, _) = order(&c, &out.totals, 12, &days(&c).unwrap(), None);
    let all = costs(&c, &out, &order, &[("crown".into(), 13)].into());
    // Four bags of 1.5 kg for 10.60: 7.5 kg are worth 13.25, 700 g left over 1.24.
    assert_eq!((all.lessons[0].ingredients, all.lessons[0].per_piece), (money("13.25"), money("1.02")));
    assert_eq!(all.left_over[0].value, money("1.24"));
    // 17.10 for twelve, of which half of the fee is kept: 2.85.
    assert_eq!(all.fee_for_margin, Some(money("2.85")));
    assert_eq!((all.margin_of_fee, all.taxes.len()), (None, 0));
    // 10.60 of flour at its own 5 %: 0.50 of it is tax; 6.50 for the delivery at 20 %: 1.08. Of a fee of 5.70 a quarter goes: 1.425.
    c.settings.tax = Some(at(pc("20")));
    c.settings.fee = Some(at(money("5.70")));
    let flour = c.pantry.items.iter_mut().find(|i| i.id.value.as_str() == "strong-flour").unwrap();
    flour.tax = Some(at(pc("5")));
    let all = costs(&c, &out, &order, &[("crown".into(), 13)].into());
    let rate = |rate, paid, tax| TaxRate { rate: Some(pc(rate)), paid: money(paid), tax: money(tax) };
    assert_eq!(all.taxes, [rate("5", "10.60", "0.50"), rate("20", "6.50", "1.08")]);
    assert_eq!(all.margin_of_fee, Some(pc("75")));
}

/// ISO 4217: minor units of the yen 0, the euro 2, the Kuwaiti dinar 3, the Chilean unidad de fomento 4.
#[test]
fn money_has_the_places_of_its_currency() {
    assert_eq!(["JPY", "EUR", "KWD", "CLF"].map(minor_units), [0, 2, 3, 4]);
}

proptest! {
    /// Need = total + allowances; shelf + packs cover it, and what is over is named.
    #[test]
    fn every_line_adds_up(flour in 1i64..60_000, eggs in 1i64..9_000, milk in 1i64..20_000) {
        let c = shop();
        let totals: Vec<Total> = [("strong-flour", flour), ("eggs", eggs), ("milk", milk)].iter().map(|(i, n)| total(i, &n.to_string())).collect();
        let (order, _) = ordered(&c, &totals);
        for line in &order.lines {
            prop_assert_eq!(line.total + line.allowances.iter().map(|a| a.grams).sum::<Grams>(), line.need);
            let held: Grams = line.bought.iter().map(|b| b.pack_grams.times(i64::from(b.count))).sum();
            prop_assert!(line.on_hand + held >= line.need);
            if !line.bought.is_empty() {
                prop_assert_eq!(line.on_hand + held, line.need + line.surplus);
            }
            prop_assert_eq!(line.cost, line.bought.iter().map(|b| b.price.times(i64::from(b.count))).sum());
        }
        prop_assert_eq!(order.total, order.lines.iter().map(|l| l.cost).sum::<Money>() + order.deliveries.iter().map(|d| d.fee).sum());
    }
}
