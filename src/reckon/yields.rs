//! What a formula yields: one piece before and after the oven, pieces from a bag of flour, the sheet, the roll, the strands, the tin.
use super::composition;
use super::dough_class::classify;
use super::formula::piece_needs;
use super::formula_findings::kind_of;
use super::home::main_dough;
use super::part_fates::Fates;
use super::piece_yield::{
    DOUGH_DENSITY, PieceCount, Roll, after_loss, baked_by_line, before_loss, combined_loss, pieces_from,
    roll_up, sheet_side, slice_width, strand_length, strand_thickness, thickness,
};
use super::recipes::Recipe;
use super::tin_fill::{self, TinFill};
use crate::course::{Area, Course, DoughClass, EquipId, PartId};
use crate::units::{Centimetres, Grams, Percent};

/// Sheets are reckoned for these thicknesses beside the written size, so that a teacher can choose another.
pub const SHEETS: [Centimetres; 4] = [
    Centimetres::from_thousandths(300),
    Centimetres::from_thousandths(400),
    Centimetres::from_thousandths(500),
    Centimetres::from_thousandths(600),
];

/// Strands are reckoned for this thickness beside the written length.
pub const STRAND: Centimetres = Centimetres::whole(2);

/// The flour that a yield is reckoned from.
pub const FLOUR: Grams = Grams::whole(1000);

/// What comes out of the oven, and how that is known.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Baked {
    /// By the formula's own `bake-loss`.
    Written(Percent, Grams),
    /// By the line of [`baked_by_line`], as an estimate.
    ByLine(Grams),
    /// Nobody wrote a loss, and no line holds for this weight.
    Unknown,
}

/// A sheet and what becomes of it.
#[derive(Clone, PartialEq, Debug)]
pub struct SheetYield {
    /// As it is written.
    pub size: Area,
    /// The dough alone.
    pub dough: Centimetres,
    /// With what is spread on it.
    pub filled: Centimetres,
    /// Rolled up along its depth; only where it is cut into slices or filled.
    pub roll: Option<Roll>,
    /// Each slice's width, where there are any, and how many.
    pub slices: Option<(u32, Centimetres)>,
    /// How deep a sheet of the same width is at other thicknesses of the dough.
    pub others: Vec<(Centimetres, Centimetres)>,
}

/// The strands of a braid or twist.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct StrandYield {
    /// How many.
    pub count: u32,
    /// Each.
    pub mass: Grams,
    /// The written length and how thick each is then.
    pub written: Option<(Centimetres, Centimetres)>,
    /// How long each is when it is [`STRAND`] thick.
    pub length: Centimetres,
}

/// What a formula yields.
#[derive(Clone, PartialEq, Debug)]
pub struct Yield {
    /// What one piece takes of each part.
    pub takes: Vec<(PartId, Grams)>,
    /// All of it.
    pub piece: Grams,
    /// Out of the oven, without what comes to it after the bake.
    pub baked: Baked,
    /// What comes to it after the bake, and takes no part in its loss.
    pub added: Grams,
    /// The main dough, and the whole pieces that a kilogram of flour makes of it.
    pub from_flour: Option<(PartId, PieceCount)>,
    /// From the scale to the baked piece, where the piece is of dough alone: the losses one after the other, and what is weighed
    /// for a kilogram of bread.
    pub in_all: Option<(Percent, Grams)>,
    /// The sheet.
    pub sheet: Option<SheetYield>,
    /// The strands.
    pub strands: Option<StrandYield>,
    /// The tin.
    pub tin: Option<(EquipId, TinFill)>,
}

/// What this recipe yields.
pub fn of(course: &Course, recipe: &Recipe) -> Yield {
    let (formula, shares) = (&recipe.formula, &recipe.shares);
    let takes = piece_needs(formula, 1);
    let piece: Grams = takes.iter().map(|(_, g)| *g).sum();
    let main = main_dough(formula);
    let dough = main.and_then(|p| takes.iter().find(|(id, _)| *id == p.id.value)).map(|(_, g)| *g);
    let loss = formula.piece.bake_loss.as_ref().map(|l| l.value);
    let added = Fates::taught(course, formula).added(formula);
    let baked = match loss {
        Some(loss) => Baked::Written(loss, after_loss(piece - added, loss)),
        None => baked_by_line(piece - added).map_or(Baked::Unknown, Baked::ByLine),
    };
    let from_flour = main.zip(dough).and_then(|(part, one)| {
        let made = shares.for_flour(&part.id.value, FLOUR)?;
        Some((part.id.value.clone(), pieces_from(made.used, one)?))
    });
    let alone = |one: Grams| one.times(100) >= piece.times(95);
    let in_all =
        main.zip(dough).zip(loss).filter(|((_, one), _)| alone(*one)).and_then(|((part, _), loss)| {
            let both = combined_loss(&[part.loses.value, loss]);
            Some((both, before_loss(Grams::whole(1000), both)?))
        });
    let class = main
        .and_then(|p| shares.overall(&p.id.value))
        .map_or(DoughClass::Rich, |all| classify(&composition::figures(&all, &course.pantry)).class);
    let tin = formula.piece.tin.as_ref().and_then(|id| {
        let tin = course.kitchen.tins.iter().find(|t| t.id.value == id.value)?;
        let kind = formula.piece.kind.as_ref().map_or_else(|| kind_of(formula, piece), |k| k.value);
        Some((id.value.clone(), tin_fill::fill(tin, piece, kind, class)?))
    });
    Yield {
        sheet: dough.and_then(|one| sheet(recipe, one, &takes)),
        strands: dough.and_then(|one| strands(recipe, one)),
        takes,
        piece,
        baked,
        added,
        from_flour,
        in_all,
        tin,
    }
}

fn sheet(recipe: &Recipe, dough: Grams, takes: &[(PartId, Grams)]) -> Option<SheetYield> {
    let piece = &recipe.formula.piece;
    let size = piece.sheet.as_ref()?.value;
    // The dough and what is spread on it are the first two, as the drawings have it.
    let mass: Grams = takes.iter().take(2).map(|(_, g)| *g).sum();
    let filled = thickness(mass, size, DOUGH_DENSITY)?;
    let slices = piece.slices.as_ref().and_then(|n| Some((n.value, slice_width(size.width, n.value)?)));
    Some(SheetYield {
        size,
        dough: thickness(dough, size, DOUGH_DENSITY)?,
        filled,
        roll: (slices.is_some() || mass > dough).then(|| roll_up(size.depth, filled)).flatten(),
        slices,
        others: SHEETS
            .iter()
            .filter_map(|thick| Some((*thick, sheet_side(dough, size.width, *thick, DOUGH_DENSITY)?)))
            .collect(),
    })
}

fn strands(recipe: &Recipe, dough: Grams) -> Option<StrandYield> {
    let piece = &recipe.formula.piece;
    let count = piece.strands.as_ref()?.value.max(1);
    let mass = dough.ratio(1, i64::from(count));
    let written = piece.strand_length.as_ref().map(|l| l.value);
    Some(StrandYield {
        count,
        mass,
        written: written.and_then(|long| Some((long, strand_thickness(mass, long, DOUGH_DENSITY)?))),
        length: strand_length(mass, STRAND, DOUGH_DENSITY)?,
    })
}
