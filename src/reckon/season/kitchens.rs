//! Classes of one kitchen whose files describe it differently.

use super::{SeasonClass, kitchen_of};
use crate::course::{Kitchen, Loan};
use std::collections::BTreeMap;

/// Classes that are in one kitchen by host and address, though their kitchen files are not alike.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Differing {
    /// The classes, in their order.
    pub courses: Vec<String>,
    /// What they do not have alike: its id, and how many each class has.
    pub things: Vec<(String, Vec<u32>)>,
}

/// Every kitchen that is described in two ways, in the order of its first class.
#[must_use]
pub fn differing(classes: &[SeasonClass<'_>]) -> Vec<Differing> {
    let mut kitchens: Vec<(String, Vec<&SeasonClass<'_>>)> = Vec::new();
    for class in classes {
        let kitchen = kitchen_of(class.course);
        match kitchens.iter_mut().find(|(k, _)| *k == kitchen) {
            Some((_, there)) => there.push(class),
            None => kitchens.push((kitchen, vec![class])),
        }
    }
    let all = kitchens.into_iter().map(|(_, of_one)| {
        let counted: Vec<BTreeMap<String, u32>> = of_one.iter().map(|c| counts(&c.course.kitchen)).collect();
        let mut ids: Vec<&String> = counted.iter().flat_map(|c| c.keys()).collect();
        ids.sort();
        ids.dedup();
        let of = |id: &String| counted.iter().map(|c| c.get(id).copied().unwrap_or(0)).collect::<Vec<u32>>();
        let unlike =
            ids.into_iter().map(|id| (id.clone(), of(id))).filter(|(_, n)| n.iter().any(|m| *m != n[0]));
        Differing { courses: of_one.iter().map(|c| c.name.to_owned()).collect(), things: unlike.collect() }
    });
    all.filter(|d| !d.things.is_empty()).collect()
}

/// How many there are of each thing that classes could want at the same time; of cupboards their shelves.
fn counts(kitchen: &Kitchen) -> BTreeMap<String, u32> {
    let loaned = |loan: &Option<Loan>| loan.as_ref().map_or(0, |l| l.count.value);
    let mut all = BTreeMap::from([("station".to_owned(), kitchen.stations.count.value)]);
    let mut add = |id: &str, count: u32| {
        all.insert(id.to_owned(), count);
    };
    kitchen.mixers.iter().for_each(|m| add(m.id.value.as_str(), m.count.value + loaned(&m.loan)));
    kitchen.ovens.iter().for_each(|o| add(o.id.value.as_str(), o.count.value + loaned(&o.loan)));
    kitchen.tins.iter().for_each(|t| add(t.id.value.as_str(), t.count.value + loaned(&t.loan)));
    kitchen.trays.iter().for_each(|t| add(t.id.value.as_str(), t.count.value + loaned(&t.loan)));
    kitchen.tubs.iter().for_each(|t| add(t.id.value.as_str(), t.count.value));
    let lasting = kitchen.tools.iter().filter(|t| !t.consumable);
    lasting.for_each(|t| add(t.id.value.as_str(), t.count.value + loaned(&t.loan)));
    let shelves = [&kitchen.cold, &kitchen.freezers, &kitchen.warm, &kitchen.racks];
    for place in shelves.into_iter().flatten() {
        add(place.id.value.as_str(), place.count.value.saturating_mul(place.shelves.value));
    }
    all
}
