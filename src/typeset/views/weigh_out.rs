//! What goes on each station's tray: ingredients by stations, with sums that agree.

use super::common::{About, Measure, Moment, Phrase};
use super::desk::{Desk, moment};
use super::wording::item_name;
use crate::course::{FormulaId, Item, ItemId, ItemKind, LessonId, PartId};
use crate::reckon::eggs::about_eggs;
use crate::reckon::weigh::{Group, List, WeighedBy, Who};
use crate::reckon::work::Whom;
use crate::units::{Grams, Percent};
use jiff::civil::Date;
use rust_decimal::Decimal;
use serde::Serialize;
use std::collections::BTreeMap;

/// What `templates/weigh-out.typ` receives.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct WeighOut {
    /// `weigh-out`.
    pub kind: &'static str,
    /// The course.
    pub about: About,
    /// One table each.
    pub rounds: Vec<Round>,
}

/// One round of trays: one part of one lesson. What is dry may stand on the tray the day before; what is neither known to be dry
/// nor cold is weighed on the day; what is cold is weighed last.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Round {
    /// The lesson's name.
    pub lesson: String,
    /// The part's name.
    pub part: String,
    /// When the first of its columns is needed.
    pub ready: Option<Moment>,
    /// For whom, in the order of the columns.
    pub columns: Vec<Column>,
    /// The ingredients.
    pub rows: Vec<Row>,
    /// The sum of each column.
    pub sums: Vec<String>,
    /// What to do for each dough's temperature: whose, and what.
    pub temper: Vec<Temper>,
    /// The sum of the sums: that of the rows and that of the columns.
    pub total: Measure,
}

/// What to do for the temperature of some columns' doughs.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Temper {
    /// The columns that it is for.
    pub columns: Vec<Column>,
    /// What to do.
    pub what: Phrase,
}

/// For whom a column is.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Column {
    /// A station's number or a batch's, as text; empty where `word` says it.
    pub label: String,
    /// `station`, `batch`, `stage`, `spare`: a key of the catalogue's `[column]`.
    pub word: String,
    /// The variant, or the stations of a batch, small.
    pub note: String,
    /// Staff put it on the scale, for stations: it goes on no station's tray.
    pub by_staff: bool,
    /// Whose dough a batch of stations also holds: `stage-short`, `spare-short`, keys of the catalogue's `[whom]`.
    pub also: Vec<String>,
}

/// One ingredient.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Row {
    /// Its name.
    pub name: String,
    /// Stays in the cold. Cold rows come after the others.
    pub cold: bool,
    /// Is known to be dry: it may stand weighed overnight. What is neither this nor cold is weighed on the day.
    pub dry: bool,
    /// A part that was made before and is fetched: it comes first, and its weight is in the sums.
    pub fetched: bool,
    /// Grams for each column as the scale shows them; empty where it takes none.
    pub cells: Vec<String>,
    /// About so many eggs for each column; empty for what is no whole egg.
    pub eggs: Vec<String>,
    /// The row's sum.
    pub sum: String,
}

impl WeighOut {
    /// An empty sheet of this kind.
    pub fn new() -> WeighOut {
        WeighOut { kind: "weigh-out", ..WeighOut::default() }
    }
}

impl WeighOut {
    /// One table for each part of each lesson: what is dry, then what is weighed on the day, then what stays cold.
    pub fn of(desk: &Desk) -> WeighOut {
        let mut rounds = Vec::new();
        for lesson in &desk.course.lessons {
            let formula = &lesson.formula.value;
            let parts = desk.course.formula(formula).map(|f| f.parts.as_slice()).unwrap_or_default();
            for part in parts {
                // Those who need it on another day have a table of their own: beaten egg does not stand overnight.
                let mut days: BTreeMap<Option<Date>, Vec<(&Group, &List)>> = BTreeMap::new();
                for (group, list) in columns(desk, &lesson.id.value, &part.id.value) {
                    let day = desk.first_use(&group.who, list).map(|t| t.start.date());
                    days.entry(day).or_default().push((group, list));
                }
                let of = (&lesson.id.value, formula, &part.id.value);
                rounds.extend(days.values().map(|columns| round(desk, of, columns)));
            }
        }
        WeighOut { about: desk.about(), rounds, ..WeighOut::new() }
    }
}

/// The lists of one part: what is weighed, and for whom.
fn columns<'d>(desk: &Desk<'d>, lesson: &LessonId, part: &PartId) -> Vec<(&'d Group, &'d List)> {
    let lists = desk.weigh.groups().flat_map(|g| g.lists.iter().map(move |l| (g, l)));
    let mut columns: Vec<(&Group, &List)> =
        lists.filter(|(_, l)| l.lesson == *lesson && l.part == *part && !l.ingredients.is_empty()).collect();
    // Stations in ascending order, a batch by its first; the teacher's and the spare after them.
    columns.sort_by_key(|(group, _)| match &group.who {
        Who::Station(no, _) => no.0,
        Who::Shared { members, .. } => first_station(members),
        Who::Stage { .. } | Who::Spare(_) => u32::MAX,
    });
    columns
}

fn first_station(members: &[Whom]) -> u32 {
    let numbers = members.iter().filter_map(|whom| match whom {
        Whom::Station(no) => Some(no.0),
        Whom::Stage { .. } | Whom::Spare => None,
    });
    numbers.min().unwrap_or(u32::MAX)
}

/// Every part that is fetched, in the order of the formula.
fn fetches(columns: &[(&Group, &List)]) -> Vec<PartId> {
    let mut parts: Vec<PartId> = Vec::new();
    for fetch in columns.iter().flat_map(|(_, l)| &l.fetches) {
        if !parts.contains(&fetch.part) {
            parts.push(fetch.part.clone());
        }
    }
    parts
}

/// Every ingredient, in the order of the formula.
fn items(columns: &[(&Group, &List)]) -> Vec<ItemId> {
    let mut items: Vec<ItemId> = Vec::new();
    for weight in columns.iter().flat_map(|(_, l)| &l.ingredients) {
        if !items.contains(&weight.item) {
            items.push(weight.item.clone());
        }
    }
    items
}

/// What holds more water than this is not dry: flour holds 11 to 14 %, and dried fruit about 30 % (common practice: the water that
/// flour may hold at most is 15 %).
const MOST_WATER_IN_DRY: Percent = Percent::new(Decimal::from_parts(15, 0, 0, false, 0));

/// Whether the pantry says that something is dry: by its water, or where none is written, by its kind. What is not known to be dry
/// is not called so.
fn is_dry(item: &Item) -> bool {
    let by_kind = || {
        use ItemKind::{DryYeast, Flour, InstantYeast, MilkPowder, Salt};
        matches!(item.kind.value, Flour | Salt | DryYeast | InstantYeast | MilkPowder)
    };
    !item.cold && item.composition.water.map_or_else(by_kind, |water| water <= MOST_WATER_IN_DRY)
}

fn round(
    desk: &Desk,
    (lesson, formula, part): (&LessonId, &FormulaId, &PartId),
    columns: &[(&Group, &List)],
) -> Round {
    let is_cold = |id: &ItemId| desk.course.pantry.item(id).is_some_and(|i| i.cold);
    let dry = |id: &ItemId| desk.course.pantry.item(id).is_some_and(is_dry);
    let mut items = items(columns);
    items.sort_by_key(|id| (is_cold(id), !dry(id)));
    let grams = |list: &List, item: &ItemId| -> Grams {
        list.ingredients.iter().filter(|w| w.item == *item).map(|w| w.grams).sum()
    };
    let shown = |item: Option<&ItemId>, mass: Grams| match mass {
        Grams::ZERO => String::new(),
        mass => desk.mass_of(item.and_then(|i| desk.course.pantry.item(i)), mass).value,
    };
    let fetched = |list: &List, inner: &PartId| -> Grams {
        list.fetches.iter().filter(|f| f.part == *inner).map(|f| f.grams).sum()
    };
    let eggs = |id: &ItemId| -> Vec<String> {
        let whole = desk.course.pantry.item(id).filter(|i| i.kind.value == ItemKind::Egg);
        let Some(item) = whole else { return Vec::new() };
        columns.iter().map(|(_, l)| about_eggs(item, grams(l, id)).unwrap_or_default()).collect()
    };
    let made_before = fetches(columns).into_iter().map(|inner| Row {
        name: desk.part_name(formula, &inner),
        cold: false,
        dry: false,
        fetched: true,
        cells: columns.iter().map(|(_, l)| shown(None, fetched(l, &inner))).collect(),
        eggs: Vec::new(),
        sum: shown(None, columns.iter().map(|(_, l)| fetched(l, &inner)).sum()),
    });
    let weighed = items.iter().map(|item| Row {
        name: item_name(desk.course, item),
        cold: is_cold(item),
        dry: dry(item),
        fetched: false,
        cells: columns.iter().map(|(_, l)| shown(Some(item), grams(l, item))).collect(),
        eggs: eggs(item),
        sum: shown(Some(item), columns.iter().map(|(_, l)| grams(l, item)).sum()),
    });
    let rows = made_before.chain(weighed).collect();
    let sums: Vec<Grams> = columns.iter().map(|(_, l)| l.total).collect();
    let first = columns.iter().filter_map(|(g, l)| desk.first_use(&g.who, l)).min_by_key(|t| &t.start);
    Round {
        lesson: desk.lesson_name(lesson),
        part: desk.part_name(formula, part),
        ready: first.map(|t| moment(&t.start)),
        columns: columns.iter().map(|(g, l)| column(desk, g, l)).collect(),
        rows,
        temper: temper(desk, (lesson, part), columns),
        sums: sums.iter().map(|s| shown(None, *s)).collect(),
        total: desk.mass(sums.iter().sum()),
    }
}

/// Columns whose doughs want the same stand together.
fn temper(desk: &Desk, (lesson, part): (&LessonId, &PartId), columns: &[(&Group, &List)]) -> Vec<Temper> {
    let mut all: Vec<Temper> = Vec::new();
    for (group, list) in columns {
        let batch = list.batch.and_then(|no| desk.batch_of(lesson, part, no));
        let Some(what) = batch.and_then(|b| desk.temper(b)) else { continue };
        let own = column(desk, group, list);
        match all.iter_mut().find(|t| t.what == what) {
            Some(there) => there.columns.push(own),
            None => all.push(Temper { columns: vec![own], what }),
        }
    }
    all
}

fn column(desk: &Desk, group: &Group, list: &List) -> Column {
    let note = list.variant.as_ref().map(|v| desk.variant_name(v)).unwrap_or_default();
    let (label, word, also) = match &group.who {
        Who::Station(no, _) => (no.to_string(), "station", Vec::new()),
        Who::Stage { .. } => (String::new(), "stage", Vec::new()),
        Who::Spare(_) => (String::new(), "spare", Vec::new()),
        Who::Shared { members, .. } => {
            let whom = desk.for_whom(members);
            let others = [(whom.stage, "stage-short"), (whom.spare, "spare-short")];
            let others = others.iter().filter(|(is, _)| *is).map(|(_, key)| (*key).to_owned());
            match (whom.stations.is_empty(), whom.stage) {
                (false, _) => (whom.stations.join(", "), "batch", others.collect()),
                (true, true) => (String::new(), "stage", Vec::new()),
                (true, false) => (String::new(), if whom.spare { "spare" } else { "batch" }, Vec::new()),
            }
        }
    };
    let by_staff = list.weighed_by == WeighedBy::Staff && !label.is_empty();
    Column { label, word: word.to_owned(), note, by_staff, also }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reckon::sample::{at, item, pc};

    #[test]
    fn only_what_is_known_to_be_dry_may_stand_overnight() {
        let dry = |kind: ItemKind, water: Option<&str>, cold: bool| {
            let mut one = item("x", ItemKind::Other);
            one.kind = at(kind);
            one.composition.water = water.map(pc);
            one.cold = cold;
            is_dry(&one)
        };
        assert!(dry(ItemKind::Flour, Some("13.36"), false));
        assert!(dry(ItemKind::Salt, None, false));
        assert!(dry(ItemKind::Other, Some("15"), false));
        // Juice, dried apricots, honey, and zest of which nothing is written.
        for (kind, water) in [
            (ItemKind::Other, Some("88")),
            (ItemKind::Other, Some("30.9")),
            (ItemKind::Sugar, Some("17.1")),
            (ItemKind::Other, None),
            (ItemKind::Water, None),
            (ItemKind::Sugar, None),
        ] {
            assert!(!dry(kind, water, false), "{kind:?} {water:?}");
        }
        assert!(!dry(ItemKind::MilkPowder, Some("3"), true), "what is kept cold is not left out");
    }
}
