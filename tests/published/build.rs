//! Formulas and pantries in a few words.
use benchroll::course::*;
use benchroll::finding::Located;
use benchroll::reckon::formula::{PartAmounts, Proportions};
use benchroll::units::{Grams, Percent};
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

/// Digits as printed.
pub fn dec(text: &str) -> Decimal {
    text.parse().unwrap()
}

/// Grams as printed.
pub fn g(text: &str) -> Grams {
    Grams::from_decimal(dec(text)).unwrap()
}

/// Per cent as printed.
pub fn pc(text: &str) -> Percent {
    Percent::new(dec(text))
}

/// Ounces, exactly: row `u-oz`.
pub fn oz(text: &str) -> Grams {
    Grams::from_decimal(dec(text) * dec("28.349523125")).unwrap()
}

/// Asserts that two figures agree within the row's tolerance.
#[track_caller]
pub fn near(is: impl Into<f64>, exact: f64, tolerance: f64) {
    let is = is.into();
    assert!((is - exact).abs() <= tolerance, "reckoned {is}, published {exact} within {tolerance}");
}

/// As [`near`], for grams.
#[track_caller]
pub fn near_g(is: Grams, exact: f64, tolerance: f64) {
    near(is.to_f64(), exact, tolerance);
}

/// As [`near`], for a decimal.
#[track_caller]
pub fn near_d(is: Decimal, exact: f64, tolerance: f64) {
    near(is.to_f64().unwrap(), exact, tolerance);
}

fn share(text: &str) -> Share {
    match text.strip_prefix('f') {
        Some(n) => Share::Flour(pc(n)),
        None => Share::Percent(pc(text)),
    }
}

/// A part; a name that starts with `@` is another part, and `f20` the flour that it carries.
pub fn part(id: &str, loses: &str, lines: &[(&str, &str)]) -> Part {
    let what = |name: &str| match name.strip_prefix('@') {
        Some(p) => Ingredient::Part(p.into()),
        None => Ingredient::Item(name.into()),
    };
    Part {
        id: Located::assumed(id.into()),
        name: None,
        basis: Located::assumed(Basis::Flour),
        of: lines
            .iter()
            .map(|(n, a)| Line { what: Located::assumed(what(n)), share: Located::assumed(share(a)) })
            .collect(),
        loses: Located::assumed(pc(loses)),
        least: None,
        keep: None,
        needs_cold: None,
        holds_raw_egg: None,
        ph: None,
        water_activity: None,
    }
}

/// A formula of these parts.
pub fn formula(parts: Vec<Part>) -> Formula {
    Formula {
        id: Located::assumed("published".into()),
        name: Located::assumed("Published".into()),
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

/// An ingredient that nothing is known of but its kind.
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

/// A pantry of the ingredients that the published formulas name, by kind.
pub fn pantry() -> Pantry {
    let kinds = [
        ("flour", ItemKind::Flour),
        ("flour-strong", ItemKind::Flour),
        ("milk", ItemKind::Milk),
        ("water", ItemKind::Water),
        ("eggs", ItemKind::Egg),
        ("yolks", ItemKind::Yolk),
        ("sugar", ItemKind::Sugar),
        ("honey", ItemKind::Sugar),
        ("salt", ItemKind::Salt),
        ("instant-yeast", ItemKind::InstantYeast),
        ("active-dry-yeast", ItemKind::DryYeast),
        ("fresh-yeast", ItemKind::FreshYeast),
        ("butter", ItemKind::Fat),
        ("oil", ItemKind::Fat),
        ("shortening", ItemKind::Fat),
        ("dried-skim-milk", ItemKind::MilkPowder),
        ("malt", ItemKind::Other),
    ];
    Pantry {
        items: kinds.iter().map(|(id, kind)| item(id, *kind)).collect(),
        suppliers: Vec::new(),
        read_for: "eu14".to_owned(),
    }
}

/// The shares of a formula with one part, `dough`.
pub fn dough(lines: &[(&str, &str)]) -> Proportions {
    Proportions::of(&formula(vec![part("dough", "0", lines)]), &pantry()).unwrap()
}

/// What a part weighs of an ingredient.
#[track_caller]
pub fn weight(amounts: &PartAmounts, item: &str) -> Grams {
    let what = Ingredient::Item(item.into());
    assert!(amounts.lines.iter().any(|(w, _)| *w == what), "no {item}");
    amounts.of(&what)
}
