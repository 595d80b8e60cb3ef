//! `formulas/*.toml`: a recipe in baker's percentages, in parts.

use super::allergen_words;
use super::grammar::phrase::Braid;
use super::grammar::quantity::Figure;
use super::grammar::span::Days;
use super::keys;
use super::raw::{Entry, Node, Value};
use super::table::{self, Fields, Log, nearest};
use crate::course::{
    At, Basis, BreadKind, EquipId, Expectation, Formula, FormulaId, Ingredient, ItemId, Keep, Line, Part,
    PartId, Piece, PieceShare, Share, Variant, VariantId,
};
use crate::finding::{Finding, Located};
use crate::units::{Grams, Percent};

/// Reads one formula; its id is its file's name.
pub fn read(log: &Log, root: &Node, id: &FormulaId) -> Option<Formula> {
    let f = Fields::new(log, root, &keys::FORMULA, format!("formula `{id}`"))?;
    let part_ids: Vec<&str> = f.named("parts").into_iter().map(|e| e.key.as_str()).collect();
    for key in ["piece", "parts"] {
        if !f.has(key) {
            f.missing(key, "{ ... }");
        }
    }
    for entry in f.named("parts") {
        let part = entry.key.as_str();
        if keys::PIECE.has(part) || keys::VARIANT.has(part) || part == "piece" {
            log.note(
                Finding::error(
                    "reserved-name",
                    entry.key_place,
                    format!("a part cannot be called `{part}`: that word has a meaning of its own here"),
                )
                .way_out("give the part another name"),
            );
        }
    }
    let parts: Vec<Part> = f.named("parts").into_iter().filter_map(|e| part(log, e, &part_ids)).collect();
    let mut formula = Formula {
        id: Located::assumed(id.clone()),
        name: f.required_text("name"),
        piece: piece(&f, &part_ids)?,
        expect: f
            .named("expect")
            .into_iter()
            .map(|e| Expectation {
                what: Located::at(e.key.clone(), e.key_place),
                value: table::quantity(log, &e.key, &e.node),
            })
            .collect(),
        variants: f.named("variants").into_iter().filter_map(|e| variant(log, e, &part_ids)).collect(),
        parts,
        source: f.text("source"),
        keeps_days: f.get::<Days>("keeps").map(|d| d.map(|d| d.0)),
        store: f.text("store"),
    };
    take_by_lines(&mut formula);
    unused(log, &f, &formula);
    Some(formula)
}

/// A part whose lines are grams for each piece says itself how much a piece takes.
fn take_by_lines(formula: &mut Formula) {
    let by_lines = formula.unused().filter(|p| p.basis.value == Basis::Piece);
    let amounts: Vec<_> =
        by_lines.map(|p| (p.id.clone(), Located::assumed(PieceShare::Grams(p.by_its_lines())))).collect();
    formula.piece.amounts.extend(amounts);
}

/// A part that is written down and that nothing takes: it would be neither weighed nor ordered, and its allergens left out.
fn unused(log: &Log, f: &Fields<'_>, formula: &Formula) {
    // Without any amount in the piece that is what is told; and a misspelt name is told as such.
    if formula.piece.amounts.is_empty() {
        return;
    }
    let misspelt: Vec<&str> = f
        .named("piece")
        .into_iter()
        .map(|e| e.key.as_str())
        .filter(|key| !keys::PIECE.has(key) && !formula.parts.iter().any(|p| p.id.value.as_str() == *key))
        .collect();
    for part in formula.unused() {
        let id = part.id.value.as_str();
        let told = keys::PIECE.has(id) || keys::VARIANT.has(id) || id == "piece";
        if told || misspelt.iter().any(|key| nearest(key, [id]).is_some()) {
            continue;
        }
        log.note(
            Finding::error(
                "part-not-used",
                part.id.place,
                format!("part `{id}` is written down, but no piece takes it: nobody would weigh it"),
            )
            .way_out(format!(
                "say under `[piece]` how much one piece takes: `{id} = \"20 g\"`; or name it among the lines of another part, or take it out"
            )),
        );
    }
}

fn piece(f: &Fields<'_>, parts: &[&str]) -> Option<Piece> {
    let entry = f.entry("piece")?;
    let p = Fields::open(f.log, &entry.node, &keys::PIECE, "`piece`")?;
    p.refuse_unknown(parts);
    let named: Vec<&Entry> = p.own_entries().filter(|e| parts.contains(&e.key.as_str())).collect();
    let amounts: Vec<_> = named
        .iter()
        .map(|e| {
            // The dough is no share of itself.
            let share = if e.key == "dough" || named.len() == 1 {
                table::quantity::<Grams>(f.log, &e.key, &e.node).map(PieceShare::Grams)
            } else {
                table::quantity(f.log, &e.key, &e.node)
            };
            (Located::at(PartId::new(e.key.clone()), e.key_place), share)
        })
        .collect();
    if amounts.is_empty() {
        f.log.note(
            Finding::error("missing-key", p.place, "`piece` does not say how much of any part goes into it")
                .way_out("add a part with its grams: `dough = \"480 g\"`"),
        );
    }
    let strands = p.count("strands");
    let braid: Option<At<Braid>> = p.get("braid");
    check_braid(f.log, braid.as_ref(), strands.as_ref());
    Some(Piece {
        amounts,
        tin: p.text("tin").map(|t| t.map(EquipId::from)),
        tray: p.text("tray").map(|t| t.map(EquipId::from)),
        per_tray: p.count("per-tray"),
        kind: p.word(
            "kind",
            &[("plain", BreadKind::Plain), ("filled", BreadKind::Filled), ("lidded", BreadKind::Lidded)],
        ),
        sheet: p.get("sheet"),
        bare_edge: p.get("bare-edge"),
        slices: p.count("slices"),
        cuts: p.count("cuts"),
        cut_depth: p.get("cut-depth"),
        strands,
        strand_length: p.get("strand-length"),
        braid: braid.map(|b| b.map(|b| b.text)),
        size: p.get("size"),
        grows: p.get("grows"),
        count: at_least_one(f.log, "count", p.count_or("count", 1)),
        bake_loss: below_all(f.log, "bake-loss", p.get("bake-loss")),
        home: at_least_one(f.log, "home", p.count_or("home", 1)),
    })
}

fn at_least_one(log: &Log, key: &str, count: At<u32>) -> At<u32> {
    if count.value == 0 {
        log.note(
            Finding::error("nought-size", count.place, format!("`{key}` is 0: there would be nothing"))
                .way_out("write at least 1, or take the line out"),
        );
    }
    count
}

/// What is lost is less than all.
fn below_all(log: &Log, key: &str, share: Option<At<Percent>>) -> Option<At<Percent>> {
    if let Some(s) = &share
        && s.value >= Percent::HUNDRED
    {
        log.note(
            Finding::error(
                "more-than-all",
                s.place,
                format!("`{key}` is {}: nothing would be left", s.value),
            )
            .way_out("write what is lost as a share below 100 %"),
        );
    }
    share
}

fn check_braid(log: &Log, braid: Option<&At<Braid>>, strands: Option<&At<u32>>) {
    let Some(braid) = braid else { return };
    match strands {
        None => log.note(
            Finding::error("braid-strands", braid.place, "`braid` is written, `strands` is not")
                .way_out(format!("add `strands = {}`", braid.value.highest)),
        ),
        Some(strands) if strands.value < braid.value.highest => log.note(
            Finding::error(
                "braid-strands",
                braid.place,
                format!("`braid` names position {}, and there are {} strands", braid.value.highest, strands),
            )
            .also(strands.place, "the number of strands")
            .way_out("count positions from the left, from 1 to the number of strands"),
        ),
        Some(_) => {}
    }
}

fn part(log: &Log, entry: &Entry, parts: &[&str]) -> Option<Part> {
    let f = Fields::new(log, &entry.node, &keys::PART, format!("part `{}`", entry.key))?;
    let basis = f.word("basis", &[("flour", Basis::Flour), ("whole", Basis::Whole), ("piece", Basis::Piece)]);
    if !f.has("basis") {
        f.missing("basis", "\"flour\"");
    }
    if !f.has("of") {
        f.missing("of", "{ strong-flour = \"100 %\" }");
    }
    let basis = basis.unwrap_or(Located::assumed(Basis::Whole));
    let of = f.named("of");
    if f.has("of") && of.is_empty() {
        log.note(
            Finding::error("missing-key", f.place, format!("part `{}` has nothing in it", entry.key))
                .way_out("write its ingredients: `of = { milk = \"80 %\" }`"),
        );
    }
    let of: Vec<Line> = of.into_iter().filter_map(|e| line(log, e, parts)).collect();
    for line in of.iter().filter(|l| l.share.place.is_some()) {
        share_fits(log, &entry.key, basis.value, line);
    }
    Some(Part {
        id: Located::at(PartId::new(entry.key.clone()), entry.key_place),
        name: f.text("name"),
        basis,
        of,
        loses: below_all(log, "loses", f.get("loses")).unwrap_or(Located::assumed(Percent::ZERO)),
        least: f.get("least"),
        keep: f.word("keep", &[("cold", Keep::Cold), ("room", Keep::Room)]),
        needs_cold: f.flag("needs-cold"),
        holds_raw_egg: f.flag("raw-egg"),
        ph: f.get::<Figure>("ph").map(|p| p.map(|p| p.0)),
        water_activity: f.get::<Figure>("water-activity").map(|p| p.map(|p| p.0)),
    })
}

/// A share is of the sort that the part's basis asks for.
fn share_fits(log: &Log, part: &str, basis: Basis, line: &Line) {
    let what = match &line.what.value {
        Ingredient::Item(item) => item.0.as_str(),
        Ingredient::Part(part) => part.0.as_str(),
    };
    let (message, way_out) = match (basis, line.share.value) {
        (Basis::Piece, Share::Percent(_) | Share::Flour(_)) => (
            format!("part `{part}` counts grams for each piece, and `{what}` is a share"),
            "write grams: `20 g`",
        ),
        (Basis::Flour | Basis::Whole, Share::Grams(_)) => (
            format!("part `{part}` counts shares, and `{what}` is in grams"),
            "write a share: `24 %`; or `basis = \"piece\"` for grams",
        ),
        (Basis::Whole, Share::Flour(_)) => (
            format!("part `{part}` counts shares of the whole, and `{what}` counts the flour it carries"),
            "write a share: `24 %`",
        ),
        _ => return,
    };
    log.note(Finding::error("share-basis", line.share.place, message).way_out(way_out));
}

fn line(log: &Log, entry: &Entry, parts: &[&str]) -> Option<Line> {
    let is_part = parts.contains(&entry.key.as_str());
    let what = if is_part {
        Ingredient::Part(PartId::new(entry.key.clone()))
    } else {
        Ingredient::Item(ItemId::new(entry.key.clone()))
    };
    let share = match &entry.node.value {
        Value::Table(_) => {
            let f = Fields::new(log, &entry.node, &keys::CARRIED, format!("`{}`", entry.key))?;
            if !is_part {
                log.note(
                    Finding::error(
                        "share-basis",
                        entry.node.place,
                        format!(
                            "`{}` is no part of this formula, so it carries no flour of its own",
                            entry.key
                        ),
                    )
                    .way_out("write a share: `8 %`"),
                );
            }
            let share: At<Percent> = f.required("flour");
            Located { value: Share::Flour(share.value), place: share.place.or(Some(entry.node.place)) }
        }
        _ => table::quantity(log, &entry.key, &entry.node),
    };
    Some(Line { what: Located::at(what, entry.key_place), share })
}

fn variant(log: &Log, entry: &Entry, parts: &[&str]) -> Option<Variant> {
    let f = Fields::open(log, &entry.node, &keys::VARIANT, format!("variant `{}`", entry.key))?;
    f.refuse_unknown(parts);
    let mut lines = Vec::new();
    for of in f.own_entries().filter(|e| parts.contains(&e.key.as_str())) {
        let part = Located::at(PartId::new(of.key.clone()), of.key_place);
        match &of.node.value {
            Value::Table(table) => {
                lines.extend(
                    table.entries.iter().filter_map(|e| line(log, e, parts)).map(|l| (part.clone(), l)),
                );
            }
            _ => f.wrong_type(&of.key, &of.node, "a table of the lines to replace"),
        }
    }
    let free_from = f.texts("free-from").into_iter().map(allergen_words::canonical).collect();
    Some(Variant { id: Located::at(VariantId::new(entry.key.clone()), entry.key_place), free_from, lines })
}

/// The id of the file that a formula or a lesson stands in.
pub fn file_of(folder: &str, id: &str) -> String {
    format!("{folder}/{id}.toml")
}
