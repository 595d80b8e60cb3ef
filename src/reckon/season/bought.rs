//! What several classes buy: at once what keeps, for some of them at a time what does not or does not say so.

use super::SeasonClass;
use crate::course::{Amount, Course, Item, ItemId, Supplier, SupplierId};
use crate::finding::Finding;
use crate::reckon::order::{Days, Order, days, order};
use crate::reckon::weigh::Total;
use crate::units::{Grams, Money};
use jiff::civil::Date;
use std::collections::{BTreeMap, BTreeSet};

/// What is bought for a period.
#[derive(Debug)]
pub struct SeasonOrder {
    /// What keeps: bought once, for all classes.
    pub together: Order,
    /// What does not keep until the last class, or does not say so: bought for some of them at a time, by their positions in the classes.
    pub fresh: Vec<(Vec<usize>, Order)>,
    /// The course whose pantry is the one of all: every ingredient of every class.
    pub course: Course,
    /// What was found on the way.
    pub findings: Vec<Finding>,
    /// Ingredients of which classes say different things; the first one's packs are bought.
    pub differing: Vec<(ItemId, String)>,
    /// What the teacher is asked about a class, by its position in the classes: its places are in that class's files.
    pub questions: Vec<(usize, Finding)>,
    /// What does not say how long it keeps, and is bought for the classes of one week at a time.
    pub unknown_keeps: Vec<ItemId>,
}

impl SeasonOrder {
    /// All of it.
    #[must_use]
    pub fn total(&self) -> Money {
        self.together.total + self.fresh.iter().map(|(_, order)| order.total).sum::<Money>()
    }

    /// What cannot be had: in no sum.
    #[must_use]
    pub fn missing(&self) -> BTreeSet<&ItemId> {
        self.together.missing().chain(self.fresh.iter().flat_map(|(_, order)| order.missing())).collect()
    }
}

/// What does not say how long it keeps is bought at once for classes whose first days are no further apart than this: a week's shopping.
/// Our own assumption; `keeps` on the pack beats it.
const UNKNOWN_KEEPS_DAYS: i32 = 7;

/// One order over all classes, which are in the order of their first day. `None` when there is no class, or none has a session.
#[must_use]
pub fn season_order(classes: &[SeasonClass<'_>]) -> Option<SeasonOrder> {
    let merged = merged(classes)?;
    let spans: Vec<Days> = classes.iter().filter_map(|c| days(c.course)).collect();
    let period = Days {
        first_use: spans.iter().map(|d| d.first_use).min()?,
        last_use: spans.iter().map(|d| d.last_use).max()?,
    };
    let course = &merged.course;
    let headcount = classes.iter().map(|c| c.headcount).sum();
    let sums = sums(classes.iter().flat_map(|c| c.totals), course);
    // What cannot be had for the whole period at once is bought fresh.
    let (tried, _) = order(course, &sums, headcount, &period, None);
    let missing = tried.lines.iter().filter(|line| line.missing).map(|line| line.item.clone());
    let perishable: BTreeSet<ItemId> = missing.filter(|i| !merged.apart.contains(i)).collect();
    let unknown = unknown_keeps(course, &sums, &merged.apart, &perishable);
    let mut groups: Vec<(Vec<usize>, BTreeSet<ItemId>)> = Vec::new();
    let mut add = |numbers: Vec<usize>, items: &BTreeSet<ItemId>| match groups
        .iter_mut()
        .find(|(known, _)| *known == numbers)
    {
        Some((_, there)) => there.extend(items.iter().cloned()),
        None => groups.push((numbers, items.clone())),
    };
    let basket = Basket { classes, merged: &merged };
    let all: Vec<usize> = (0..classes.len()).collect();
    basket.as_long_as_it_keeps(&perishable, &all).into_iter().for_each(|numbers| add(numbers, &perishable));
    let weeks = weeks(classes);
    let asked = weeks.len() > 1;
    if asked {
        weeks.iter().for_each(|numbers| add(numbers.clone(), &unknown));
    }
    for item in &merged.apart {
        let one = BTreeSet::from([item.clone()]);
        for numbers in basket.by_shop(item) {
            for week in weeks.iter().filter(|_| asked && basket.keeps_unknown(item, &numbers)) {
                let some: Vec<usize> = numbers.iter().copied().filter(|n| week.contains(n)).collect();
                if !some.is_empty() {
                    add(some, &one);
                }
            }
            if !(asked && basket.keeps_unknown(item, &numbers)) {
                basket.as_long_as_it_keeps(&one, &numbers).into_iter().for_each(|some| add(some, &one));
            }
        }
    }
    groups.sort_by(|a, b| a.0.cmp(&b.0));
    let elsewhere =
        |i: &ItemId| perishable.contains(i) || merged.apart.contains(i) || asked && unknown.contains(i);
    let kept: Vec<Total> = sums.iter().filter(|t| !elsewhere(&t.item)).cloned().collect();
    let (together, mut findings) = order(course, &kept, headcount, &period, None);
    let fresh = basket.bought(&groups, &mut findings);
    findings.dedup();
    let unknown_keeps = if asked { unknown.into_iter().collect() } else { Vec::new() };
    let Merged { course, differing, questions, .. } = merged;
    Some(SeasonOrder { together, fresh, course, findings, differing, questions, unknown_keeps })
}

/// All classes' pantries in one.
struct Merged {
    course: Course,
    differing: Vec<(ItemId, String)>,
    questions: Vec<(usize, Finding)>,
    /// By class, what its suppliers are called in the one pantry.
    names: Vec<BTreeMap<SupplierId, SupplierId>>,
    /// What several classes buy from shops that have one id and are not one: each buys it from its own, and those of one shop together.
    apart: BTreeSet<ItemId>,
}

fn merged(classes: &[SeasonClass<'_>]) -> Option<Merged> {
    let first = classes.first()?;
    let mut course = first.course.clone();
    // Records are of single classes; a season is reckoned from nothing ordered.
    course.orders.clear();
    let own = |s: &Supplier| (s.id.value.clone(), s.id.value.clone());
    let mut merged = Merged {
        names: vec![course.pantry.suppliers.iter().map(own).collect()],
        course,
        differing: Vec::new(),
        questions: Vec::new(),
        apart: BTreeSet::new(),
    };
    // By the id that it was written with, in which class it was first met.
    let met = |s: &Supplier| (s.id.value.clone(), s.clone(), first.name.to_owned());
    let mut known: Vec<(SupplierId, Supplier, String)> =
        first.course.pantry.suppliers.iter().map(met).collect();
    for (number, class) in classes.iter().enumerate().skip(1) {
        let mut names = BTreeMap::new();
        for supplier in &class.course.pantry.suppliers {
            let written = &supplier.id.value;
            let same_id = || known.iter().filter(|(id, _, _)| id == written);
            if let Some((_, there, _)) = same_id().find(|(_, there, _)| is_one_shop(there, supplier)) {
                names.insert(written.clone(), there.id.value.clone());
                continue;
            }
            let mut own = supplier.clone();
            if let Some((_, other, name)) = same_id().next() {
                own.id.value = free_id(&merged.course, format!("{written}-{}", class.name));
                let message = format!(
                    "`{written}` is {} in {}, and {} in {name}: they are bought from as two",
                    shop(supplier),
                    class.name,
                    shop(other)
                );
                let way_out = "if they are one, give them the same name and email; if not, ids of their own";
                let finding =
                    Finding::warning("supplier-differs", supplier.id.place, message).way_out(way_out);
                merged.questions.push((number, finding));
            } else {
                // A shop of another class may have been given this very id.
                own.id.value = free_id(&merged.course, written.to_string());
            }
            names.insert(written.clone(), own.id.value.clone());
            merged.course.pantry.suppliers.push(own.clone());
            known.push((written.clone(), own, class.name.to_owned()));
        }
        for written in &class.course.pantry.items {
            let item = renamed(written, &names);
            let Some(there) = merged.course.pantry.items.iter().find(|i| i.id.value == item.id.value) else {
                merged.course.pantry.items.push(item);
                continue;
            };
            let id = &item.id.value;
            let moved = |s: &SupplierId| names.get(s).is_some_and(|name| name != s);
            if written.packs.iter().any(|p| moved(&p.supplier.value)) {
                merged.apart.insert(id.clone());
            } else if packs(there) != packs(&item) && !merged.differing.iter().any(|(known, _)| known == id) {
                merged.differing.push((id.clone(), class.name.to_owned()));
            }
        }
        merged.names.push(names);
    }
    Some(merged)
}

/// This id, or one after it that no shop has.
fn free_id(course: &Course, wanted: String) -> SupplierId {
    let taken = |id: &str| course.pantry.suppliers.iter().any(|s| s.id.value.as_str() == id);
    let numbered = (2..).map(|n| format!("{wanted}-{n}"));
    let id = std::iter::once(wanted.clone()).chain(numbered).find(|id| !taken(id));
    SupplierId::new(id.unwrap_or(wanted))
}

/// Whether two suppliers are one: their names are, and no address says otherwise.
fn is_one_shop(one: &Supplier, other: &Supplier) -> bool {
    let plain = |text: &str| text.trim().to_lowercase();
    let email = |s: &Supplier| s.email.as_ref().map(|e| plain(&e.value));
    let addresses = email(one).zip(email(other)).is_none_or(|(a, b)| a == b);
    plain(&one.name.value) == plain(&other.name.value) && addresses
}

fn shop(supplier: &Supplier) -> String {
    let email = supplier.email.as_ref().map_or_else(String::new, |e| format!(" ({})", e.value));
    format!("{}{email}", supplier.name.value)
}

fn packs(item: &Item) -> Vec<(Amount, Money, SupplierId)> {
    item.packs.iter().map(|p| (p.of.value, p.price.value, p.supplier.value.clone())).collect()
}

/// An ingredient with its suppliers as the one pantry calls them.
fn renamed(item: &Item, names: &BTreeMap<SupplierId, SupplierId>) -> Item {
    let mut item = item.clone();
    for pack in &mut item.packs {
        if let Some(name) = names.get(&pack.supplier.value) {
            pack.supplier.value = name.clone();
        }
    }
    item
}

/// What is bought in packs that do not all say how long they keep.
fn unknown_keeps(
    course: &Course,
    sums: &[Total],
    apart: &BTreeSet<ItemId>,
    perishable: &BTreeSet<ItemId>,
) -> BTreeSet<ItemId> {
    let unknown = |i: &&Item| !i.staple && i.packs.iter().any(|p| p.keeps_days.is_none());
    let items = course.pantry.items.iter().filter(unknown).map(|i| &i.id.value);
    let wanted = |i: &&ItemId| {
        let some = sums.iter().any(|t| t.item == **i && t.grams > Grams::ZERO);
        some && !apart.contains(*i) && !perishable.contains(*i)
    };
    items.filter(wanted).cloned().collect()
}

/// Classes whose first days lie in one week from the first of them.
fn weeks(classes: &[SeasonClass<'_>]) -> Vec<Vec<usize>> {
    let mut weeks: Vec<(Date, Vec<usize>)> = Vec::new();
    for (number, class) in classes.iter().enumerate() {
        let Some(on) = days(class.course).map(|d| d.first_use) else { continue };
        let near = |from: &Date| (on - *from).get_days() <= UNKNOWN_KEEPS_DAYS;
        match weeks.last_mut().filter(|(from, _)| near(from)) {
            Some((_, numbers)) => numbers.push(number),
            None => weeks.push((on, vec![number])),
        }
    }
    weeks.into_iter().map(|(_, numbers)| numbers).collect()
}

/// Buys for some of the classes at a time.
struct Basket<'a> {
    classes: &'a [SeasonClass<'a>],
    merged: &'a Merged,
}

impl Basket<'_> {
    /// What these classes weigh of these ingredients, and the order for it; `None`: nothing.
    fn order(
        &self,
        numbers: &[usize],
        items: &BTreeSet<ItemId>,
        shelf: &Course,
    ) -> Option<(Vec<Total>, Order, Vec<Finding>)> {
        let some: Vec<&SeasonClass<'_>> = numbers.iter().filter_map(|n| self.classes.get(*n)).collect();
        let spans: Vec<Days> = some.iter().filter_map(|c| days(c.course)).collect();
        let span = Days {
            first_use: spans.iter().map(|d| d.first_use).min()?,
            last_use: spans.iter().map(|d| d.last_use).max()?,
        };
        let own = some.iter().flat_map(|c| c.totals).filter(|t| items.contains(&t.item));
        let own: Vec<Total> =
            sums(own, &self.merged.course).into_iter().filter(|t| t.grams > Grams::ZERO).collect();
        let headcount = some.iter().map(|c| c.headcount).sum();
        let (bought, found) = order(shelf, &own, headcount, &span, None);
        (!own.is_empty()).then_some((own, bought, found))
    }

    /// For as many of these classes at once, one after the other, as these keep for.
    fn as_long_as_it_keeps(&self, items: &BTreeSet<ItemId>, among: &[usize]) -> Vec<Vec<usize>> {
        let mut groups = Vec::new();
        let mut left = among;
        while let [first, ..] = left {
            let mut shelf = self.merged.course.clone();
            self.own_packs(*first, &mut shelf);
            let mut many = 1;
            while let Some(more) = left.get(..=many) {
                let missing = |(_, bought, _): (_, Order, _)| bought.lines.iter().any(|l| l.missing);
                if self.order(more, items, &shelf).is_none_or(missing) {
                    break;
                }
                many += 1;
            }
            let (now, later) = left.split_at(many);
            groups.push(now.to_vec());
            left = later;
        }
        groups
    }

    /// The classes that have this ingredient, those together that buy it from the same shops.
    fn by_shop(&self, item: &ItemId) -> Vec<Vec<usize>> {
        let mut groups: Vec<(BTreeSet<SupplierId>, Vec<usize>)> = Vec::new();
        for (number, (class, names)) in self.classes.iter().zip(&self.merged.names).enumerate() {
            let Some(own) = class.course.pantry.item(item) else { continue };
            let shops = renamed(own, names).packs.iter().map(|p| p.supplier.value.clone()).collect();
            match groups.iter_mut().find(|(known, _)| *known == shops) {
                Some((_, numbers)) => numbers.push(number),
                None => groups.push((shops, vec![number])),
            }
        }
        groups.into_iter().map(|(_, numbers)| numbers).collect()
    }

    /// Whether the packs that the first of these classes buys it in do not all say how long they keep.
    fn keeps_unknown(&self, item: &ItemId, numbers: &[usize]) -> bool {
        let first = numbers.first().and_then(|n| self.classes.get(*n));
        let own = first.and_then(|class| class.course.pantry.item(item));
        own.is_some_and(|i| !i.staple && i.packs.iter().any(|p| p.keeps_days.is_none()))
    }

    /// The orders of all groups, in their order.
    fn bought(
        &self,
        groups: &[(Vec<usize>, BTreeSet<ItemId>)],
        findings: &mut Vec<Finding>,
    ) -> Vec<(Vec<usize>, Order)> {
        let mut shelf = self.merged.course.clone();
        let mut all = Vec::new();
        for (numbers, items) in groups {
            if let Some(first) = numbers.first() {
                self.own_packs(*first, &mut shelf);
            }
            let Some((own, bought, found)) = self.order(numbers, items, &shelf) else { continue };
            findings.extend(found);
            // What stands on the shelf is taken once.
            for item in shelf.pantry.items.iter_mut().filter(|i| own.iter().any(|t| t.item == i.id.value)) {
                item.stock.clear();
            }
            all.push((numbers.clone(), bought));
        }
        all
    }

    /// What is kept apart comes in the packs of the class that it is for, the first of several that have one shop.
    fn own_packs(&self, number: usize, shelf: &mut Course) {
        let (Some(class), Some(names)) = (self.classes.get(number), self.merged.names.get(number)) else {
            return;
        };
        for item in shelf.pantry.items.iter_mut().filter(|i| self.merged.apart.contains(&i.id.value)) {
            if let Some(own) = class.course.pantry.item(&item.id.value) {
                item.packs = renamed(own, names).packs;
            }
        }
    }
}

/// The classes' totals together, in the order of the pantry.
fn sums<'a>(totals: impl Iterator<Item = &'a Total>, course: &Course) -> Vec<Total> {
    let mut all: BTreeMap<&ItemId, Total> = BTreeMap::new();
    for total in totals {
        match all.get_mut(&total.item) {
            Some(sum) => {
                sum.grams += total.grams;
                sum.exact += total.exact;
                sum.whole = sum.whole.zip(total.whole).map(|(a, b)| a + b);
                sum.with_breakage = sum.with_breakage.zip(total.with_breakage).map(|(a, b)| a + b);
            }
            None => _ = all.insert(&total.item, total.clone()),
        }
    }
    course.pantry.items.iter().filter_map(|item| all.remove(&item.id.value)).collect()
}
