//! A formula: a recipe in baker's percentages, in parts.

use super::{AllergenId, Area, At, EquipId, FormulaId, ItemId, PartId, Share, VariantId};
use crate::units::{Centimetres, Grams, Percent};
use rust_decimal::Decimal;

/// A recipe in baker's percentages.
#[derive(Clone, PartialEq, Debug)]
pub struct Formula {
    /// Its id: the file name.
    pub id: At<FormulaId>,
    /// The name that is printed.
    pub name: At<String>,
    /// What one piece is made of, and its measures.
    pub piece: Piece,
    /// What the author believes, to be recomputed.
    pub expect: Vec<Expectation>,
    /// The parts in file order; a part may be an ingredient of another.
    pub parts: Vec<Part>,
    /// The variants in file order.
    pub variants: Vec<Variant>,
    /// Where the formula comes from, printed on the home recipe.
    pub source: Option<At<String>>,
    /// Days that the baked piece keeps, for the label's date; `None` is unknown.
    pub keeps_days: Option<At<u32>>,
    /// How to keep it, for the label.
    pub store: Option<At<String>>,
}

impl Formula {
    /// The part with this id.
    pub fn part(&self, id: &PartId) -> Option<&Part> {
        self.parts.iter().find(|p| p.id.value == *id)
    }
    /// Whether a part is an ingredient of another, directly or through parts between them.
    #[must_use]
    pub fn goes_into(&self, inner: &PartId, outer: &PartId) -> bool {
        let parts_of = |id: &PartId| {
            let lines = self.part(id).map(|p| p.of.as_slice()).unwrap_or_default();
            lines.iter().filter_map(|l| match &l.what.value {
                Ingredient::Part(p) => Some(p.clone()),
                Ingredient::Item(_) => None,
            })
        };
        let mut waiting: Vec<PartId> = parts_of(outer).collect();
        let mut seen: Vec<PartId> = Vec::new();
        while let Some(id) = waiting.pop() {
            if id == *inner {
                return true;
            }
            if !seen.contains(&id) {
                waiting.extend(parts_of(&id));
                seen.push(id);
            }
        }
        false
    }
    /// The parts that nothing takes: no piece, no line of another part, no variant's line. Nobody weighs them.
    pub fn unused(&self) -> impl Iterator<Item = &Part> {
        let lines = |part: &PartId| {
            let own = self.parts.iter().filter(|p| p.id.value != *part).flat_map(|p| &p.of);
            let varied = self.variants.iter().flat_map(|v| v.lines.iter().map(|(_, line)| line));
            own.chain(varied).any(|l| l.what.value == Ingredient::Part(part.clone()))
        };
        let taken = |part: &PartId| self.piece.amounts.iter().any(|(p, _)| p.value == *part);
        self.parts.iter().filter(move |p| !taken(&p.id.value) && !lines(&p.id.value))
    }
    /// The variant with this id.
    pub fn variant(&self, id: &VariantId) -> Option<&Variant> {
        self.variants.iter().find(|v| v.id.value == *id)
    }
}

/// How much of a part one piece takes.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum PieceShare {
    /// Grams of the part as it goes into the piece.
    Grams(Grams),
    /// A share of another amount of the piece: `"33 % of dough"`; the part is named beside it.
    PercentOfDough(Percent),
}

/// How full a tin is for its kind: filled and twisted breads fill less than plain ones.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum BreadKind {
    /// Plain dough in a tin.
    Plain,
    /// Filled, rolled or twisted.
    Filled,
    /// A lidded tin.
    Lidded,
}

/// One loaf, bun or braid.
#[derive(Clone, PartialEq, Debug)]
pub struct Piece {
    /// How much of each part goes into one piece, in file order; parts that the file does not name here and whose lines are grams
    /// for each piece come last, by their lines: their share stands nowhere.
    pub amounts: Vec<(At<PartId>, At<PieceShare>)>,
    /// The kind of tin it is baked in.
    pub tin: Option<At<EquipId>>,
    /// The kind of tray it is baked on.
    pub tray: Option<At<EquipId>>,
    /// How many lie on one tray, if the teacher says so; otherwise reckoned from `across` and `grows`.
    pub per_tray: Option<At<u32>>,
    /// For tin fill.
    pub kind: Option<At<BreadKind>>,
    /// The rolled sheet.
    pub sheet: Option<At<Area>>,
    /// The bare edge left when a filling is spread.
    pub bare_edge: Option<At<Centimetres>>,
    /// Slices cut across a roll.
    pub slices: Option<At<u32>>,
    /// Cuts made with a blade before the bake.
    pub cuts: Option<At<u32>>,
    /// How deep they are.
    pub cut_depth: Option<At<Centimetres>>,
    /// Strands of a braid or twist.
    pub strands: Option<At<u32>>,
    /// Length of a strand.
    pub strand_length: Option<At<Centimetres>>,
    /// The braid's sequence: positions now, counted from the left: `"4 over 2, 1 over 3, 2 over 3"`.
    pub braid: Option<At<String>>,
    /// Across or along the shaped piece on a tray, before the proof.
    pub size: Option<At<Area>>,
    /// How much each side of the shaped piece grows until it is baked.
    pub grows: Option<At<Percent>>,
    /// How many of it make one "piece" that a student takes home (4 buns weighed as one piece): 1 if not written.
    pub count: At<u32>,
    /// Loss of weight in the bake.
    pub bake_loss: Option<At<Percent>>,
    /// Pieces of the home recipe: 1 if not written.
    pub home: At<u32>,
}

/// What 100 % means for a part.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Basis {
    /// All the flour in the part, that inside its preferments and scalds included.
    Flour,
    /// The part itself.
    Whole,
    /// Grams for each piece.
    Piece,
}

/// Where a part is kept until it is used.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Keep {
    /// In the cold.
    Cold,
    /// At room temperature.
    Room,
}

/// Dough, preferment, cooked starter, filling, wash, syrup, topping.
#[derive(Clone, PartialEq, Debug)]
pub struct Part {
    /// Its id within the formula.
    pub id: At<PartId>,
    /// The name that is printed; the id if not written.
    pub name: Option<At<String>>,
    /// What 100 % means.
    pub basis: At<Basis>,
    /// The lines as written; order is kept.
    pub of: Vec<Line>,
    /// Lost between scale and use: steam, hook, bowl, bench.
    pub loses: At<Percent>,
    /// The smallest amount that can be made.
    pub least: Option<At<Grams>>,
    /// Where it is kept.
    pub keep: Option<At<Keep>>,
    /// Needs time and temperature control for safety; `None` is unknown.
    pub needs_cold: Option<At<bool>>,
    /// The desired temperature of a dough after mixing stands in the step's `aim`.
    pub holds_raw_egg: Option<At<bool>>,
    /// Measured pH; `None` is unknown.
    pub ph: Option<At<Decimal>>,
    /// Measured water activity; `None` is unknown.
    pub water_activity: Option<At<Decimal>>,
}

impl Part {
    /// What one piece takes of a part whose lines are grams for each piece: all its lines, less what it loses.
    pub fn by_its_lines(&self) -> Grams {
        let grams = |line: &Line| match line.share.value {
            Share::Grams(g) => g,
            Share::Percent(_) | Share::Flour(_) => Grams::ZERO,
        };
        let weighed: Grams = self.of.iter().map(grams).sum();
        weighed - self.loses.value.of(weighed)
    }
}

/// What a line names: an ingredient or another part.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Ingredient {
    /// From the pantry.
    Item(ItemId),
    /// Another part of the same formula.
    Part(PartId),
}

/// One line of a part.
#[derive(Clone, PartialEq, Debug)]
pub struct Line {
    /// What.
    pub what: At<Ingredient>,
    /// How much.
    pub share: At<Share>,
}

/// Lines replaced for people who avoid something.
#[derive(Clone, PartialEq, Debug)]
pub struct Variant {
    /// Its id.
    pub id: At<VariantId>,
    /// What the author says it is free from: a claim, recomputed from the pantry, never believed.
    pub free_from: Vec<At<AllergenId>>,
    /// Replaced lines: part, ingredient, share; nought takes the line out, a new ingredient joins at the end.
    pub lines: Vec<(At<PartId>, Line)>,
}

/// Something the author believes about the formula.
#[derive(Clone, PartialEq, Debug)]
pub struct Expectation {
    /// Which figure: `hydration`, `fat`, `sugar`, `salt`, `total`, ...
    pub what: At<String>,
    /// The believed value.
    pub value: At<Percent>,
}
