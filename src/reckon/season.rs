//! Several classes of one period: what two of them need at the same time, what is bought for all of them at once, what a month holds.

mod bought;
mod kitchens;

use super::places::{Share, ShelfSpan};
use super::plan::timetable::Plan;
use super::weigh::Total;
use crate::course::{Course, Kitchen};
use crate::units::{Minutes, Money};
use jiff::ZonedDateTime;
use jiff::civil::Date;
use std::collections::{BTreeMap, BTreeSet};

pub use bought::{SeasonOrder, season_order};
pub use kitchens::{Differing, differing};

/// One class of the period.
#[derive(Clone, Copy, Debug)]
pub struct SeasonClass<'a> {
    /// What its folder is called.
    pub name: &'a str,
    /// What the teacher wrote down.
    pub course: &'a Course,
    /// How many come.
    pub headcount: u32,
    /// Stations in use.
    pub stations: u32,
    /// Its plan, if one was found.
    pub plan: Option<&'a Plan>,
    /// What stands on shelves when, by that plan.
    pub shelves: &'a [ShelfSpan],
    /// What it weighs, by ingredient.
    pub totals: &'a [Total],
    /// What its ingredients are worth, as far as prices are written.
    pub ingredients: Money,
}

/// Something that classes of one kitchen, or one person's classes, need at the same time and that there is not enough of.
#[derive(Clone, PartialEq, Debug)]
pub struct Clash {
    /// The thing's id; `station` for places at the bench; that of a fridge for its shelves; or a person's name.
    pub resource: String,
    /// From.
    pub from: ZonedDateTime,
    /// Until.
    pub to: ZonedDateTime,
    /// The classes that need it then.
    pub courses: Vec<String>,
    /// The most that they need together; of shelves every one that is begun.
    pub needed: u32,
    /// How many there are: where the classes' kitchen files differ, as few as one of them has.
    pub on_hand: u32,
    /// How many each of the classes has, where their kitchen files differ; else empty.
    pub differs: Vec<(String, u32)>,
}

/// What classes share, and who uses it when.
struct Pool {
    /// How much there is, in parts, by the kitchen file of each class.
    there: BTreeMap<usize, i64>,
    /// How many parts make one.
    one: i64,
    uses: Vec<Use>,
}

/// A class needs so many of something for a while.
struct Use {
    course: usize,
    /// What is used up by being in use twice: one oven of several, or nothing where pieces are counted.
    unit: String,
    amount: i64,
    from: ZonedDateTime,
    to: ZonedDateTime,
}

/// What clashes, by its start. Classes are in the same kitchen when host and address are the same.
#[must_use]
pub fn clashes(classes: &[SeasonClass<'_>]) -> Vec<Clash> {
    // By kitchen, or without one for people; and by what is used.
    let mut pools: BTreeMap<(Option<String>, String), Pool> = BTreeMap::new();
    for (number, class) in classes.iter().enumerate() {
        let kitchen = Some(kitchen_of(class.course));
        let mut add = |place: Option<String>, what: String, (there, one): (i64, i64), used: Use| {
            let new = || Pool { there: BTreeMap::new(), one, uses: Vec::new() };
            let pool = pools.entry((place, what)).or_insert_with(new);
            pool.there.insert(used.course, there);
            pool.uses.push(used);
        };
        for session in &class.course.sessions {
            let span = |amount| Use {
                course: number,
                unit: String::new(),
                amount,
                from: session.from.value.clone(),
                to: session.to.value.clone(),
            };
            let there = i64::from(class.course.kitchen.stations.count.value);
            add(kitchen.clone(), "station".to_owned(), (there, 1), span(i64::from(class.stations)));
            for person in people(class.course) {
                add(None, person, (1, 1), span(1));
            }
        }
        for task in class.plan.into_iter().flat_map(|plan| &plan.tasks) {
            for used in &task.uses {
                let Some((what, there, whole)) = thing(&class.course.kitchen, &used.resource) else {
                    continue;
                };
                let (unit, amount) =
                    if whole { (used.resource.clone(), 1) } else { (String::new(), i64::from(used.amount)) };
                let used =
                    Use { course: number, unit, amount, from: task.start.clone(), to: used.until.clone() };
                add(kitchen.clone(), what, (i64::from(there), 1), used);
            }
        }
        for span in class.shelves {
            let used = Use {
                course: number,
                unit: String::new(),
                amount: span.taken.0,
                from: span.from.clone(),
                to: span.to.clone(),
            };
            let there = Share::whole(span.there).0;
            add(kitchen.clone(), span.place.to_string(), (there, Share::ONE), used);
        }
    }
    let mut found: Vec<Clash> = Vec::new();
    for ((_, what), pool) in &pools {
        found.extend(over(what, pool, classes));
    }
    found.sort_by(|a, b| (&a.from, &a.resource, &a.courses).cmp(&(&b.from, &b.resource, &b.courses)));
    found
}

fn kitchen_of(course: &Course) -> String {
    let address = course.settings.address.as_ref().map_or("", |a| a.value.as_str());
    format!("{}\n{address}", course.settings.host.value)
}

fn people(course: &Course) -> BTreeSet<String> {
    let helpers = course.settings.helpers.iter().map(|h| h.value.clone());
    helpers.chain([course.settings.teacher.value.clone()]).collect()
}

/// What a resource of a plan is in the kitchen: its id, how many there are, and whether one class has it to itself.
fn thing(kitchen: &Kitchen, resource: &str) -> Option<(String, u32, bool)> {
    let loans = |loan: &Option<crate::course::Loan>| loan.as_ref().map_or(0, |l| l.count.value);
    let is_unit = |id: &str| {
        resource.strip_prefix(id).and_then(|r| r.strip_prefix('-')).is_some_and(|n| n.parse::<u32>().is_ok())
    };
    let mixers = kitchen.mixers.iter().map(|m| (&m.id.value, m.count.value + loans(&m.loan)));
    let ovens = kitchen.ovens.iter().map(|o| (&o.id.value, o.count.value + loans(&o.loan)));
    if let Some((id, count)) = mixers.chain(ovens).find(|(id, _)| is_unit(id.as_str())) {
        return Some((id.to_string(), count, true));
    }
    let tins = kitchen.tins.iter().map(|t| (&t.id.value, t.count.value + loans(&t.loan)));
    let trays = kitchen.trays.iter().map(|t| (&t.id.value, t.count.value + loans(&t.loan)));
    let tubs = kitchen.tubs.iter().map(|t| (&t.id.value, t.count.value));
    let tools =
        kitchen.tools.iter().filter(|t| !t.consumable).map(|t| (&t.id.value, t.count.value + loans(&t.loan)));
    let all = tins.chain(trays).chain(tubs).chain(tools);
    all.into_iter().find(|(id, _)| id.as_str() == resource).map(|(id, count)| (id.to_string(), count, false))
}

/// The spans in which several classes need more than there is.
fn over(what: &str, pool: &Pool, classes: &[SeasonClass<'_>]) -> Vec<Clash> {
    let Pool { there, one, uses } = pool;
    let begun = |parts: i64| u32::try_from((parts + one - 1).div_euclid(*one)).unwrap_or(u32::MAX);
    let mut moments: Vec<&ZonedDateTime> = uses.iter().flat_map(|u| [&u.from, &u.to]).collect();
    moments.sort();
    moments.dedup();
    let mut found: Vec<Clash> = Vec::new();
    for pair in moments.windows(2) {
        let [from, to] = pair else { continue };
        let during = || uses.iter().filter(|u| u.from <= **from && u.to >= **to);
        let courses: BTreeSet<usize> = during().map(|u| u.course).collect();
        // The same oven in two uses of one class is one oven.
        let units: BTreeSet<(usize, &str)> =
            during().filter(|u| !u.unit.is_empty()).map(|u| (u.course, u.unit.as_str())).collect();
        let counted: i64 = during().filter(|u| u.unit.is_empty()).map(|u| u.amount).sum();
        let needed = counted + i64::try_from(units.len()).unwrap_or(i64::MAX);
        // Two folders may describe one kitchen differently: of those that meet, what all have is sure.
        let own: Vec<(usize, i64)> =
            there.iter().filter(|(c, _)| courses.contains(c)).map(|(c, n)| (*c, *n)).collect();
        let least = own.iter().map(|(_, n)| *n).min().unwrap_or(0);
        if courses.len() < 2 || needed <= least {
            continue;
        }
        let needed = begun(needed);
        let same = own.iter().all(|(_, n)| *n == least);
        let differs: Vec<(String, u32)> = if same {
            Vec::new()
        } else {
            own.iter().map(|(c, n)| (classes[*c].name.to_owned(), begun(*n))).collect()
        };
        let courses: Vec<String> = courses.iter().map(|c| classes[*c].name.to_owned()).collect();
        match found.last_mut().filter(|last| last.to == **from && last.courses == courses) {
            Some(last) => {
                last.to = (*to).clone();
                last.needed = last.needed.max(needed);
            }
            None => found.push(Clash {
                resource: what.to_owned(),
                from: (*from).clone(),
                to: (*to).clone(),
                courses,
                needed,
                on_hand: begun(least),
                differs,
            }),
        }
    }
    found
}

/// One month.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Month {
    /// Its first day.
    pub first: Date,
    /// Classes that begin in it.
    pub classes: u32,
    /// Students of these.
    pub students: u32,
    /// Hours that helpers are in the kitchen, all helpers together.
    pub helpers: Minutes,
    /// What the ingredients are worth, as far as prices are written.
    pub ingredients: Money,
    /// What the students pay; `None` when a class names no fee.
    pub fees: Option<Money>,
}

/// The months in order.
#[must_use]
pub fn months(classes: &[SeasonClass<'_>]) -> Vec<Month> {
    let mut months: BTreeMap<Date, Month> = BTreeMap::new();
    for class in classes {
        let Some(on) = first_day(class.course) else { continue };
        let first = on.first_of_month();
        let month = months.entry(first).or_insert(Month {
            first,
            classes: 0,
            students: 0,
            helpers: Minutes::ZERO,
            ingredients: Money::ZERO,
            fees: Some(Money::ZERO),
        });
        let spans = class.course.sessions.iter().flat_map(|s| &s.staff);
        let hours: i64 = spans.map(|s| s.value.0.duration_until(&s.value.1).as_mins()).sum();
        let helpers = i64::try_from(class.course.settings.helpers.len()).unwrap_or(0);
        let fee = class.course.settings.fee.as_ref().map(|f| f.value.times(i64::from(class.headcount)));
        month.classes += 1;
        month.students += class.headcount;
        month.helpers = month.helpers + Minutes(hours).times(helpers);
        month.ingredients = month.ingredients + class.ingredients;
        month.fees = month.fees.zip(fee).map(|(a, b)| a + b);
    }
    months.into_values().collect()
}

/// The day of a course's first session.
#[must_use]
pub fn first_day(course: &Course) -> Option<Date> {
    course.sessions.iter().map(|s| s.from.value.date()).min()
}
