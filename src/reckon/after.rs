//! After the class: what should be on the shelf then, and what goes back to whom.

use super::order::{Order, grams_of};
use crate::course::{Amount, At, Course, EquipId, ItemId, Loan, Person};
use crate::finding::Finding;
use crate::units::Grams;
use jiff::ToSpan;
use jiff::civil::{Date, DateTime};

/// Something that lies on the shelf, and until when it is good; `None`: it keeps.
pub type OnShelf = (Amount, Option<Date>);

/// One ingredient's shelf before and after the class.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Shelf {
    /// The ingredient.
    pub item: ItemId,
    /// What is written in the pantry now.
    pub was: Vec<OnShelf>,
    /// What should be there after the class, if everything was weighed as planned.
    pub then: Vec<OnShelf>,
}

/// The shelves of everything that is ordered or used, in the order of the pantry. What is used first is what is best before the
/// earliest day; what was past its date before the class stays for somebody to look at. Staples are not counted.
pub fn shelves(course: &Course, order: &Order, last_use: Date) -> Vec<Shelf> {
    let mut all = Vec::new();
    for line in &order.lines {
        let Some(item) = course.pantry.item(&line.item) else { continue };
        let was: Vec<OnShelf> =
            item.stock.iter().map(|s| (s.of.value, s.best_before.as_ref().map(|b| b.value))).collect();
        let mut there: Vec<(OnShelf, Option<Grams>)> =
            was.iter().map(|(of, best)| ((*of, *best), grams_of(item, *of))).collect();
        for bought in &line.bought {
            let keeps = item
                .packs
                .iter()
                .find(|p| p.supplier.value == bought.supplier && p.of.value == bought.of)
                .and_then(|p| p.keeps_days.as_ref());
            let arrives = order.deliveries.iter().find(|d| d.supplier == bought.supplier).map(|d| d.arrives);
            let best = keeps.and_then(|k| arrives?.checked_add(i64::from(k.value).days()).ok());
            let grams = bought.pack_grams.times(i64::from(bought.count));
            there.push(((Amount::Mass(grams), best), Some(grams)));
        }
        let usable =
            |(of, best): &OnShelf| grams_of(item, *of).is_some() && best.is_none_or(|b| b >= last_use);
        let mut order_of_use: Vec<usize> = (0..there.len()).filter(|n| usable(&there[*n].0)).collect();
        order_of_use.sort_by_key(|n| (there[*n].0.1.is_none(), there[*n].0.1, *n));
        let mut left = line.need;
        for n in order_of_use {
            let Some(held) = there[n].1 else { continue };
            let used = held.min(left);
            left -= used;
            if used > Grams::ZERO {
                there[n] = ((Amount::Mass(held - used), there[n].0.1), Some(held - used));
            }
        }
        there.retain(|(_, grams)| *grams != Some(Grams::ZERO));
        let then: Vec<OnShelf> = there.into_iter().map(|(shelf, _)| shelf).collect();
        all.push(Shelf { item: line.item.clone(), was, then });
    }
    all
}

/// Something borrowed or hired.
#[derive(Clone, PartialEq, Debug)]
pub struct Returns<'a> {
    /// The thing.
    pub item: &'a At<EquipId>,
    /// How many, from whom, by when.
    pub loan: &'a Loan,
}

/// Everything that goes back, the earliest day first; what has no day stands last.
pub fn returns(course: &Course) -> Vec<Returns<'_>> {
    let kitchen = &course.kitchen;
    let mixers = kitchen.mixers.iter().map(|m| (&m.id, &m.loan));
    let ovens = kitchen.ovens.iter().map(|o| (&o.id, &o.loan));
    let tins = kitchen.tins.iter().map(|t| (&t.id, &t.loan));
    let trays = kitchen.trays.iter().map(|t| (&t.id, &t.loan));
    let tools = kitchen.tools.iter().map(|t| (&t.id, &t.loan));
    let mut all: Vec<Returns<'_>> = mixers
        .chain(ovens)
        .chain(tins)
        .chain(trays)
        .chain(tools)
        .filter_map(|(item, loan)| Some(Returns { item, loan: loan.as_ref()? }))
        .collect();
    let day = |r: &Returns<'_>| r.loan.back_by.as_ref().map(|d| d.value);
    all.sort_by_key(|r| (day(r).is_none(), day(r)));
    all
}

/// When the last session ends, if that is still to come: until then what people avoid and need is needed.
#[must_use]
pub fn still_to_come(course: &Course, now: DateTime) -> Option<DateTime> {
    let last = course.sessions.iter().map(|s| s.to.value.datetime()).max()?;
    (last > now).then_some(last)
}

/// How many rows of the roll hold what somebody avoids or needs. That somebody is under age is no health data.
#[must_use]
pub fn rows_with_health_data(course: &Course) -> usize {
    let holds = |p: &&Person| !p.avoids.is_empty() || p.needs.iter().any(|n| n.value != "under-age");
    course.roll.iter().filter(holds).count()
}

/// The day by which health data go has passed, and the roll still holds some.
#[must_use]
pub fn overdue(course: &Course, today: Date) -> Option<Finding> {
    let by = course.settings.forget_by.as_ref()?;
    let rows = rows_with_health_data(course);
    (today > by.value && rows > 0).then(|| {
        let rows = if rows == 1 { "1 row".to_owned() } else { format!("{rows} rows") };
        Finding::warning(
            "health-data-kept",
            by.place,
            format!(
                "the roll was to forget what people avoid and need by {}, and {rows} of it still hold some on {today}",
                by.value
            ),
        )
        .way_out("`benchroll after COURSE --forget` takes it out; remove printed sheets and backups too")
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::course::{Pack, Stock, Supplier};
    use crate::reckon::order::{days, order};
    use crate::reckon::sample::{at, course, g};
    use crate::reckon::weigh::Total;
    use crate::units::Money;
    use jiff::civil::date;

    #[test]
    fn what_is_best_before_the_earliest_day_is_used_first() {
        let mut c = course();
        c.pantry.suppliers = vec![Supplier {
            id: at("shop".into()),
            name: at("Shop".into()),
            email: None,
            account: None,
            lead_days: at(0),
            delivers: vec![],
            least_order: None,
            delivery_fee: None,
            closes: None,
        }];
        let flour = c.pantry.items.iter_mut().find(|i| i.id.value.as_str() == "strong-flour").unwrap();
        flour.packs = vec![Pack {
            of: at(Amount::Mass(g("1000"))),
            price: at(Money::new("1.5".parse().unwrap())),
            supplier: at("shop".into()),
            keeps_days: Some(at(90)),
        }];
        let stock = |grams: &str, best| Stock { of: at(Amount::Mass(g(grams))), best_before: Some(at(best)) };
        flour.stock = vec![
            stock("2000", date(2027, 12, 31)),
            stock("500", date(2027, 3, 1)),
            stock("300", date(2027, 4, 1)),
        ];
        let total = |grams: &str| {
            [Total {
                item: "strong-flour".into(),
                grams: g(grams),
                exact: g(grams),
                whole: None,
                with_breakage: None,
            }]
        };
        let then = |grams: &str| {
            let (order, _) = order(&c, &total(grams), 12, &days(&c).unwrap(), None);
            shelves(&c, &order, date(2027, 3, 6))[0].then.clone()
        };
        let mass = |grams: &str| Amount::Mass(g(grams));
        let past = (mass("500"), Some(date(2027, 3, 1)));
        // The class is on 6 March: the 300 g go first, then the rest; what is past its date is not used.
        assert_eq!(then("1000"), [(mass("1300"), Some(date(2027, 12, 31))), past]);
        // 2.5 kg: a bag is bought on 5 March and keeps until 3 June, so it is used before the flour of December.
        assert_eq!(then("2500"), [(mass("800"), Some(date(2027, 12, 31))), past]);
    }

    #[test]
    fn the_roll_forgets_after_the_class_and_by_its_day() {
        let mut c = course();
        let ends = c.sessions.iter().map(|s| s.to.value.datetime()).max().unwrap();
        assert_eq!(still_to_come(&c, ends - 1.minute()), Some(ends));
        assert_eq!(still_to_come(&c, ends), None);
        let by = date(2027, 4, 7);
        c.settings.forget_by = Some(at(by));
        c.roll[0].needs = vec![at("large-print".to_owned())];
        assert_eq!(rows_with_health_data(&c), 1);
        assert_eq!(overdue(&c, by), None);
        assert_eq!(overdue(&c, by.tomorrow().unwrap()).unwrap().code.0, "health-data-kept");
        for person in &mut c.roll {
            person.avoids.clear();
            person.needs = vec![at("under-age".to_owned())];
        }
        assert_eq!(overdue(&c, date(2028, 1, 1)), None);
    }
}
