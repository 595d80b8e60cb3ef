//! What is stale, for programs.

use super::InGrams;
use crate::course::{Course, ItemId};
use crate::output::stale::Stale;
use crate::output::table::{Cell, Column, Table};
use crate::output::weigh_tables::name_of;
use crate::reckon::order::Order;
use crate::units::Grams;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// What `changes` answers.
#[derive(Serialize, Debug)]
pub struct ChangesView {
    /// For how many people the folder was printed; `null` where nothing in it says so.
    pub printed_for: Option<u32>,
    /// How many it is compared with.
    pub compared_with: u32,
    /// Files of the output folder that are not as they would be written now, by path.
    pub stale: Vec<StaleView>,
    /// What of the order changes: against the records of orders, or without any against the order that was written.
    pub order: Vec<OrderChangeView>,
}

/// One file.
#[derive(Serialize, Debug)]
pub struct StaleView {
    /// Path within the output folder.
    pub path: String,
    /// Why.
    pub why: String,
}

/// One ingredient.
#[derive(Serialize, Debug)]
pub struct OrderChangeView {
    /// Its id.
    pub item: String,
    /// To be bought on top.
    pub add_grams: InGrams,
    /// To be cancelled.
    pub cancel_grams: InGrams,
}

/// The part of `data/order.json` that is compared.
#[derive(Deserialize)]
struct Former {
    lines: Vec<FormerLine>,
}

#[derive(Deserialize)]
struct FormerLine {
    item: String,
    packs: Vec<FormerPack>,
}

#[derive(Deserialize)]
struct FormerPack {
    pack_grams: f64,
    count: u32,
}

impl ChangesView {
    /// A view of what is stale; `former` is the `data/order.json` that was written, `people` for how many that was and how many it is
    /// compared with.
    #[must_use]
    pub fn of(
        stale: &[Stale],
        order: &Order,
        former: Option<&[u8]>,
        (printed_for, compared_with): (Option<u32>, u32),
    ) -> Self {
        // Ingredient to what is bought on top and what is cancelled.
        let mut changes: BTreeMap<ItemId, (Grams, Grams)> = BTreeMap::new();
        if let Some(difference) = &order.difference {
            for change in &difference.changes {
                let grams = |n: u32| change.pack_grams.times(i64::from(n));
                let entry = changes.entry(change.item.clone()).or_default();
                *entry = (entry.0 + grams(change.add), entry.1 + grams(change.cancel));
            }
        } else if let Some(former) = former.and_then(|f| serde_json::from_slice::<Former>(f).ok()) {
            let pack = |p: &FormerPack| Grams::from_f64(p.pack_grams).times(i64::from(p.count));
            let mut was: BTreeMap<ItemId, Grams> = BTreeMap::new();
            for line in &former.lines {
                *was.entry(line.item.clone().into()).or_default() += line.packs.iter().map(pack).sum();
            }
            for line in &order.lines {
                let is: Grams = line.bought.iter().map(|b| b.pack_grams.times(i64::from(b.count))).sum();
                let was = was.remove(&line.item).unwrap_or_default();
                let more = |a: Grams, b: Grams| (a - b).at_least(Grams::ZERO);
                changes.insert(line.item.clone(), (more(is, was), more(was, is)));
            }
            changes.extend(was.into_iter().map(|(item, grams)| (item, (Grams::ZERO, grams))));
        }
        changes.retain(|_, (add, cancel)| *add > Grams::ZERO || *cancel > Grams::ZERO);
        ChangesView {
            printed_for,
            compared_with,
            stale: stale.iter().map(|s| StaleView { path: s.path.clone(), why: s.why.clone() }).collect(),
            order: changes
                .into_iter()
                .map(|(item, (add, cancel))| OrderChangeView {
                    item: item.to_string(),
                    add_grams: InGrams(add),
                    cancel_grams: InGrams(cancel),
                })
                .collect(),
        }
    }

    /// For people: files with one reason stand together.
    #[must_use]
    pub fn tables(&self, course: &Course) -> Vec<Table> {
        let mut by_reason: Vec<(&str, Vec<&str>)> = Vec::new();
        for stale in &self.stale {
            match by_reason.iter_mut().find(|(why, _)| *why == stale.why) {
                Some((_, paths)) => paths.push(&stale.path),
                None => by_reason.push((&stale.why, vec![&stale.path])),
            }
        }
        let mut tables: Vec<Table> = by_reason
            .into_iter()
            .map(|(why, paths)| {
                let mut table = Table::new("", vec![Column::text(why)]);
                paths.into_iter().for_each(|path| table.row(vec![path.into()]));
                table
            })
            .collect();
        if !self.order.is_empty() {
            let columns = vec![Column::text("of the order"), Column::grams("add"), Column::grams("cancel")];
            let mut table = Table::new("", columns);
            let grams = |g: InGrams| if g.0 == Grams::ZERO { Cell::Blank } else { g.0.into() };
            for change in &self.order {
                let item: ItemId = change.item.clone().into();
                table.row(vec![
                    name_of(course, &item).into(),
                    grams(change.add_grams),
                    grams(change.cancel_grams),
                ]);
            }
            tables.push(table);
        }
        tables
    }
}
