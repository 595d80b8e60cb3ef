//! `pantry.toml`: ingredients, their composition, allergens, packs and stock; suppliers.

use super::allergen_words;
use super::course_file::Purse;
use super::grammar::day;
use super::grammar::quantity::{Density, Energy};
use super::grammar::span::Days;
use super::keys;
use super::raw::{Entry, Node, Value};
use super::table::{self, Fields, Log};
use crate::course::{
    Allergens, Allowance, At, Composition, Item, ItemId, ItemKind, Pack, Pantry, Stock, Supplier, SupplierId,
};
use crate::finding::{Finding, Located};
use crate::units::{Grams, Minutes, Percent};

/// The words for what an ingredient counts as.
pub const KINDS: &[(&str, ItemKind)] = &[
    ("flour", ItemKind::Flour),
    ("salt", ItemKind::Salt),
    ("fresh-yeast", ItemKind::FreshYeast),
    ("dry-yeast", ItemKind::DryYeast),
    ("instant-yeast", ItemKind::InstantYeast),
    ("egg", ItemKind::Egg),
    ("yolk", ItemKind::Yolk),
    ("white", ItemKind::White),
    ("milk", ItemKind::Milk),
    ("drink", ItemKind::Drink),
    ("milk-powder", ItemKind::MilkPowder),
    ("fat", ItemKind::Fat),
    ("sugar", ItemKind::Sugar),
    ("water", ItemKind::Water),
    ("other", ItemKind::Other),
];

/// Reads `pantry.toml`; prices are in the course's currency, and packs are read for the course's list of allergens.
pub fn read(log: &Log, root: &Node, purse: &Purse<'_>, list: &str) -> Option<Pantry> {
    let f = Fields::new(log, root, &keys::PANTRY, "`pantry.toml`")?;
    if !f.has("ingredients") {
        f.missing("ingredients", "{ ... }");
    }
    Some(Pantry {
        items: f.named("ingredients").into_iter().filter_map(|e| item(log, e, purse)).collect(),
        suppliers: f.named("suppliers").into_iter().filter_map(|e| supplier(log, e, purse)).collect(),
        read_for: list.to_owned(),
    })
}

fn days(f: &Fields<'_>, key: &str) -> Option<At<u32>> {
    f.get::<Days>(key).map(|d| d.map(|d| d.0))
}

fn supplier(log: &Log, entry: &Entry, purse: &Purse<'_>) -> Option<Supplier> {
    let f = Fields::new(log, &entry.node, &keys::SUPPLIER, format!("supplier `{}`", entry.key))?;
    let delivers = f
        .texts("delivers")
        .into_iter()
        .filter_map(|text| match (day::weekday(&text.value), text.place) {
            (Ok(day), place) => Some(Located { value: day, place }),
            (Err(slip), Some(place)) => {
                log.slip(place, "delivers", slip);
                None
            }
            (Err(_), None) => None,
        })
        .collect();
    Some(Supplier {
        id: Located::at(SupplierId::new(entry.key.clone()), entry.key_place),
        name: f.required_text("name"),
        email: f.text("email"),
        account: f.text("account"),
        lead_days: f.required::<Days>("lead").map(|d| d.0),
        delivers,
        least_order: purse.get(&f, "least-order"),
        delivery_fee: purse.get(&f, "delivery-fee"),
        closes: f
            .time("closes")
            .map(|t| t.map(|t| Minutes(i64::from(t.hour()) * 60 + i64::from(t.minute())))),
    })
}

fn item(log: &Log, entry: &Entry, purse: &Purse<'_>) -> Option<Item> {
    let f = Fields::new(log, &entry.node, &keys::ITEM, format!("ingredient `{}`", entry.key))?;
    Some(Item {
        id: Located::at(ItemId::new(entry.key.clone()), entry.key_place),
        name: f.required_text("name"),
        kind: kind(&f),
        composition: composition(&f),
        kcal: f.figure::<Energy>("kcal", "kcal").map(|e| e.map(|e| e.0)),
        allergens: allergens(&f),
        density: f.get::<Density>("density").map(|d| d.map(|d| d.0)),
        each: positive(&f, "each"),
        size: f.text("size"),
        weigh: positive(&f, "weigh"),
        cold: f.is_true("cold"),
        raw: f.is_true("raw"),
        staple: f.is_true("staple"),
        allowances: shares(&f, "allowances").map(|(why, share)| Allowance { why, share }).collect(),
        packs: packs(&f, purse),
        stock: stock(&f),
        stand_ins: shares(&f, "stand-ins").map(|(what, ratio)| (what.map(ItemId::from), ratio)).collect(),
        label: f.text("label"),
        packet: packet(&f),
        tax: f.get("tax"),
    })
}

fn kind(f: &Fields<'_>) -> At<ItemKind> {
    // A kind that cannot be read may well be a flour: nothing is told of a dough without flour on top of that.
    let stand_in = if f.has("kind") { ItemKind::Flour } else { ItemKind::Other };
    f.word_or("kind", KINDS, stand_in)
}

/// A mass that is more than nothing, if the key is written.
fn positive(f: &Fields<'_>, key: &str) -> Option<At<Grams>> {
    let grams: At<Grams> = f.get(key)?;
    if grams.value == Grams::ZERO {
        nothing(f.log, key, grams.place);
    }
    Some(grams)
}

fn nothing(log: &Log, key: &str, place: Option<crate::finding::Place>) {
    // What could not be read was told, and is not nothing.
    if place.is_some_and(|place| log.has_error_at(place)) {
        return;
    }
    log.note(
        Finding::error("nought-size", place, format!("`{key}` is nothing at all"))
            .way_out("write how much it is, or take the line out"),
    );
}

/// A table of shares by names of the teacher's own.
fn shares<'a>(f: &Fields<'a>, key: &str) -> impl Iterator<Item = (At<String>, At<Percent>)> + use<'a> {
    let log = f.log;
    f.named(key).into_iter().map(move |e| {
        (Located::at(e.key.clone(), e.key_place), table::quantity::<Percent>(log, &e.key, &e.node))
    })
}

fn composition(f: &Fields<'_>) -> Composition {
    let Some(entry) = f.entry("composition") else { return Composition::default() };
    let Some(c) = Fields::new(f.log, &entry.node, &keys::COMPOSITION, "`composition`") else {
        return Composition::default();
    };
    let share = |key: &str| {
        let share: At<Percent> = c.get(key)?;
        if share.value > Percent::HUNDRED {
            f.log.note(
                Finding::error(
                    "more-than-all",
                    share.place,
                    format!("`{key}` is {}: more than there is", share.value),
                )
                .way_out("write grams in 100 g as a share of 100 %"),
            );
        }
        Some(share.value)
    };
    let found = Composition {
        water: share("water"),
        fat: share("fat"),
        sugars: share("sugars"),
        carbohydrate: share("carbohydrate"),
        fibre: share("fibre"),
        saturates: share("saturates"),
        protein: share("protein"),
        salt: share("salt"),
        milk_solids: share("milk-solids"),
    };
    for wrong in nonsense(&found) {
        f.log.note(
            Finding::error("composition-adds-up-wrong", entry.node.place, format!("`composition`: {wrong}"))
                .way_out("copy the figures anew, all from one table and for 100 g"),
        );
    }
    found
}

/// What the figures of a table may be off by together, in percent: each is measured and rounded by itself.
const ROUNDED: i64 = 1;

/// What cannot be true of 100 g of anything, in words.
fn nonsense(c: &Composition) -> Vec<String> {
    let mut all = Vec::new();
    let parts = [c.water, c.fat, c.carbohydrate.or(c.sugars), c.protein, c.salt];
    let sum: Percent = parts.into_iter().flatten().sum();
    // One that is more than all by itself is told at its own place.
    if parts.into_iter().flatten().all(|one| one <= Percent::HUNDRED)
        && sum > Percent::HUNDRED + Percent::new(ROUNDED.into())
    {
        all.push(format!(
            "water, fat, carbohydrate, protein and salt are {sum} together: more than there is"
        ));
    }
    let within =
        [("sugars", c.sugars, "carbohydrate", c.carbohydrate), ("saturates", c.saturates, "fat", c.fat)];
    for (part, some, whole, most) in within {
        if let (Some(some), Some(most)) = (some, most)
            && some > most + Percent::new(ROUNDED.into())
        {
            all.push(format!("`{part}` is {some} and `{whole}`, which they are a part of, is {most}"));
        }
    }
    all
}

/// Allergens as read off the pack. Nothing written is unknown, and "none" counts only with the day it was read.
fn allergens(f: &Fields<'_>) -> Allergens {
    let Some(entry) = f.entry("allergens") else { return Allergens::Unknown };
    match &entry.node.value {
        Value::Text(text) => none_read(f.log, text, &entry.node),
        _ => {
            let Some(a) = Fields::new(f.log, &entry.node, &keys::ALLERGENS, "`allergens`") else {
                return Allergens::Unknown;
            };
            let words = |key: &str| a.texts(key).into_iter().map(allergen_words::canonical).collect();
            Allergens::Stated {
                contains: words("contains"),
                may_contain: words("may-contain"),
                checked: a.text("checked"),
            }
        }
    }
}

fn none_read(log: &Log, text: &str, node: &Node) -> Allergens {
    let read = text.split_once(',').filter(|(none, _)| none.trim() == "none");
    let read = read.and_then(|(_, rest)| rest.trim().strip_prefix("read "));
    let dated = read.filter(|read| day::date(read.split(',').next().unwrap_or("")).is_ok());
    match dated {
        Some(read) => Allergens::Stated {
            contains: Vec::new(),
            may_contain: Vec::new(),
            checked: Some(Located::at(read.to_owned(), node.place)),
        },
        None if text.trim() == "unknown" => Allergens::Unknown,
        None => {
            log.note(
                Finding::error("allergens-not-read", node.place, format!("`allergens`: \"{text}\" does not say when the pack was read"))
                    .way_out("read the pack and write `\"none, read 2027-02-20\"`, or `{ contains = [...], checked = \"2027-02-20\" }`, or `\"unknown\"`"),
            );
            Allergens::Unknown
        }
    }
}

fn packs(f: &Fields<'_>, purse: &Purse<'_>) -> Vec<Pack> {
    f.tables("packs")
        .into_iter()
        .filter_map(|node| Fields::new(f.log, node, &keys::PACK, "this pack"))
        .map(|p| {
            let of = p.required("of");
            if is_nothing(&of) {
                nothing(f.log, "of", of.place);
            }
            Pack {
                of,
                price: purse.required(&p, "price"),
                supplier: p.required_id("supplier"),
                keeps_days: days(&p, "keeps"),
            }
        })
        .collect()
}

fn is_nothing(amount: &At<crate::course::Amount>) -> bool {
    use crate::course::Amount;
    amount.place.is_some()
        && match amount.value {
            Amount::Mass(g) => g == Grams::ZERO,
            Amount::Volume(v) => v == crate::units::Millilitres::ZERO,
            Amount::Pieces(n) => n == 0,
        }
}

fn stock(f: &Fields<'_>) -> Vec<Stock> {
    f.tables("stock")
        .into_iter()
        .filter_map(|node| Fields::new(f.log, node, &keys::STOCK, "this stock"))
        .map(|s| Stock { of: s.required("of"), best_before: s.date("best-before") })
        .collect()
}

/// `packet = { stick = "113.4 g" }`: one name, one mass.
fn packet(f: &Fields<'_>) -> Option<(At<String>, At<Grams>)> {
    let entries = f.named("packet");
    if let Some(second) = entries.get(1) {
        f.log.note(
            Finding::error("unknown-key", second.key_place, "`packet` names more than one thing")
                .way_out("keep the one that the home recipe should speak of"),
        );
    }
    let first = entries.first()?;
    let mass: At<Grams> = table::quantity(f.log, &first.key, &first.node);
    if mass.value == Grams::ZERO {
        nothing(f.log, &first.key, mass.place);
    }
    Some((Located::at(first.key.clone(), first.key_place), mass))
}
