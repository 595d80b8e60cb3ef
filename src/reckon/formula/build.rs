//! Formulas and pantries in a few words, for unit tests.
#![allow(clippy::unwrap_used, missing_docs)]
use crate::course::*;
use crate::finding::Located;
use crate::units::{Grams, Percent};
use rust_decimal::Decimal;

pub fn dec(text: &str) -> Decimal {
    text.parse().unwrap()
}

pub fn g(text: &str) -> Grams {
    Grams::from_decimal(dec(text)).unwrap()
}

pub fn pc(text: &str) -> Percent {
    Percent::new(dec(text))
}

/// `"12"` is a per cent, `"f8"` the flour that a part carries, `"g30"` grams for each piece.
fn share(text: &str) -> Share {
    match text.split_at(1) {
        ("f", n) => Share::Flour(pc(n)),
        ("g", n) => Share::Grams(g(n)),
        _ => Share::Percent(pc(text)),
    }
}

/// Names that start with `@` are parts.
pub fn line(name: &str, amount: &str) -> Line {
    let what = match name.strip_prefix('@') {
        Some(part) => Ingredient::Part(part.into()),
        None => Ingredient::Item(name.into()),
    };
    Line { what: Located::assumed(what), share: Located::assumed(share(amount)) }
}

pub fn part(id: &str, basis: Basis, loses: &str, lines: &[(&str, &str)]) -> Part {
    Part {
        id: Located::assumed(id.into()),
        name: None,
        basis: Located::assumed(basis),
        of: lines.iter().map(|(n, a)| line(n, a)).collect(),
        loses: Located::assumed(pc(loses)),
        least: None,
        keep: None,
        needs_cold: None,
        holds_raw_egg: None,
        ph: None,
        water_activity: None,
    }
}

pub fn formula(parts: Vec<Part>) -> Formula {
    Formula {
        id: Located::assumed("test".into()),
        name: Located::assumed("Test".into()),
        piece: Piece {
            amounts: Vec::new(),
            tin: None,
            tray: None,
            per_tray: None,
            kind: None,
            sheet: None,
            bare_edge: None,
            slices: None,
            cuts: None,
            cut_depth: None,
            strands: None,
            strand_length: None,
            braid: None,
            size: None,
            grows: None,
            count: Located::assumed(1),
            bake_loss: None,
            home: Located::assumed(1),
        },
        expect: Vec::new(),
        parts,
        variants: Vec::new(),
        source: None,
        keeps_days: None,
        store: None,
    }
}

pub fn item(id: &str, kind: ItemKind) -> Item {
    Item {
        id: Located::assumed(id.into()),
        name: Located::assumed(id.to_owned()),
        kind: Located::assumed(kind),
        composition: Composition::default(),
        kcal: None,
        allergens: Allergens::Unknown,
        density: None,
        each: None,
        size: None,
        weigh: None,
        cold: false,
        raw: false,
        staple: false,
        allowances: Vec::new(),
        packs: Vec::new(),
        stock: Vec::new(),
        stand_ins: Vec::new(),
        tax: None,
        label: None,
        packet: None,
    }
}

/// Strong flour and everything else that the unit tests' formulas name.
pub fn pantry() -> Pantry {
    let kinds = [
        ("strong-flour", ItemKind::Flour),
        ("rye-flour", ItemKind::Flour),
        ("milk", ItemKind::Milk),
        ("water", ItemKind::Water),
        ("eggs", ItemKind::Egg),
        ("sugar", ItemKind::Sugar),
        ("salt", ItemKind::Salt),
        ("instant-yeast", ItemKind::InstantYeast),
        ("fresh-yeast", ItemKind::FreshYeast),
        ("butter", ItemKind::Fat),
        ("nuts", ItemKind::Other),
    ];
    Pantry {
        items: kinds.iter().map(|(id, kind)| item(id, *kind)).collect(),
        suppliers: Vec::new(),
        read_for: "eu14".to_owned(),
    }
}

/// The example at the top of `formula.rs`.
pub fn scalded_dough() -> Formula {
    formula(vec![
        part("scald", Basis::Flour, "5", &[("strong-flour", "100"), ("milk", "300")]),
        part(
            "dough",
            Basis::Flour,
            "2",
            &[
                ("@scald", "f10"),
                ("strong-flour", "90"),
                ("eggs", "20"),
                ("sugar", "10"),
                ("salt", "2"),
                ("butter", "20"),
            ],
        ),
    ])
}
