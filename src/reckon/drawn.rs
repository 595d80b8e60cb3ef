//! Which drawing a step shows, with the measures of its formula: a sheet, a strand, a tin, a mass.
//!
//! A measure that is not written is never made up. A drawing that would need one is left out; the two that stand for a
//! movement alone (a windowpane, the pieces that butter is cut into) are sized as [`WINDOWPANE`] and [`BUTTER_PIECE`] say.

mod left_out;

pub use left_out::left_out;

use super::drawings::{Braid, Drawing, Fold, TinShape, Washed, ball_diameter};
use super::formula::piece_needs;
use super::home::{HOME_RACK, HomeBatch};
use super::ovens::per_tray;
use super::piece_yield::{DOUGH_DENSITY, roll_up, strand_thickness, thickness};
use super::recipes::{Recipe, Recipes};
use super::tin_fill::volume;
use crate::course::{
    Area, Chain, Course, Formula, Ingredient, Inside, ItemKind, Lasts, Lesson, PartId, Piece, Step, VariantId,
};
use crate::units::{Centimetres, Grams, Millilitres};

/// How far the dough of a windowpane is stretched on the drawing: about a hand's breadth, as it is done.
const WINDOWPANE: Centimetres = Centimetres::whole(8);

/// The pieces that butter is added in: of about so much each (common practice: a walnut's size).
const BUTTER_PIECE: Grams = Grams::whole(18);

/// Rounds of a braid that are drawn: the sequence and once again, so that the repeat is seen.
const ROUNDS: u32 = 2;

/// A piece more than so many times as long as wide is no bun, and is not drawn as one.
const BUN_AT_MOST: i64 = 2;

/// The drawings of a step in the lesson's order, for one group's pieces. A name that has no measures here is left out;
/// [`left_out`] tells it.
pub fn of_step(
    course: &Course,
    recipes: &Recipes,
    lesson: &Lesson,
    step: &Step,
    variant: Option<&VariantId>,
    pieces: u32,
) -> Vec<Drawing> {
    let Some(recipe) = recipes.get(&lesson.formula.value, variant) else { return Vec::new() };
    let desk = Desk { course, recipe, lesson, step, pieces: pieces.max(1), at_once: None };
    step.draw.iter().filter_map(|name| desk.drawing(&name.value)).collect()
}

/// The drawings of a step as a home batch does it: what lies on the class's tray lies on a tray as large as a home oven's rack, and as many
/// as the recipe says are baked at once.
pub fn at_home(
    course: &Course,
    recipes: &Recipes,
    lesson: &Lesson,
    step: &Step,
    batch: &HomeBatch,
) -> Vec<Drawing> {
    let Some(recipe) = recipes.get(&lesson.formula.value, batch.variant.as_ref()) else { return Vec::new() };
    let pieces = batch.pieces.max(1);
    let at_once = batch.steps.iter().find_map(|s| s.at_once).or(Some(pieces));
    let desk = Desk { course, recipe, lesson, step, pieces, at_once };
    step.draw.iter().filter_map(|name| desk.drawing(&name.value)).collect()
}

/// A block of butter for folding is fat, at least as much of it as this; a spread of butter and sugar is less, and is a filling.
const BUTTER_BLOCK: i64 = 80;

/// The part that a brush puts on: the one that is named for it, or else, of what the step names beside the dough and what is drawn as
/// filling, the least that is mostly what a brush carries.
pub fn brushed(course: &Course, recipe: &Recipe, step: &Step, name: &str) -> Option<PartId> {
    use ItemKind::{Drink, Egg, Milk, Sugar, Water, White, Yolk};
    let (usual, carried): (&str, &[ItemKind]) = match name {
        "egg-wash" => ("wash", &[Egg, Yolk, White, Milk, Drink, Water]),
        "syrup" => ("syrup", &[Sugar, Water]),
        _ => return None,
    };
    let needs = piece_needs(&recipe.formula, 1);
    if let Some((part, _)) = needs.iter().find(|(part, _)| part.as_str() == usual) {
        return Some(part.clone());
    }
    let filled = step.draw.iter().any(|d| matches!(d.value.as_str(), "pipe" | "fill-pinch" | "spread"));
    let named = |part: &PartId| step.on.iter().any(|c| c.value == Chain::Part(part.clone()));
    let wet = |part: &PartId| share_of(course, recipe, part, carried).is_some_and(|percent| percent >= 50);
    let beside =
        needs.iter().skip(if filled { 2 } else { 1 }).filter(|(p, g)| named(p) && wet(p) && *g > Grams::ZERO);
    beside.min_by_key(|(_, grams)| *grams).map(|(part, _)| part.clone())
}

/// How much of a part, as it is weighed, is of these kinds: whole per cent, rounded down.
fn share_of(course: &Course, recipe: &Recipe, part: &PartId, kinds: &[ItemKind]) -> Option<i64> {
    let amounts = recipe.shares.for_used(part, Grams::whole(1000))?;
    let is = |what: &Ingredient| match what {
        Ingredient::Item(id) => course.pantry.item(id).is_some_and(|i| kinds.contains(&i.kind.value)),
        Ingredient::Part(_) => false,
    };
    let of: Grams = amounts.lines.iter().filter(|(what, _)| is(what)).map(|(_, g)| *g).sum();
    of.mg().checked_mul(100)?.checked_div(amounts.weighed.mg())
}

struct Desk<'a> {
    course: &'a Course,
    recipe: &'a Recipe,
    lesson: &'a Lesson,
    step: &'a Step,
    pieces: u32,
    /// At home: so many pieces are baked at once on [`HOME_RACK`].
    at_once: Option<u32>,
}

impl Desk<'_> {
    fn formula(&self) -> &Formula {
        &self.recipe.formula
    }
    fn piece(&self) -> &Piece {
        &self.recipe.formula.piece
    }

    fn drawing(&self, name: &str) -> Option<Drawing> {
        let piece = self.piece();
        let sheet = || piece.sheet.as_ref().map(|s| s.value);
        Some(match name {
            "weigh" => Drawing::Weigh { amount: self.first_line()? },
            "add-butter" => {
                let total = self.fat()?;
                Drawing::AddButter { total, pieces: in_pieces(total), by_hand: false }
            }
            "windowpane" => Drawing::Windowpane { across: WINDOWPANE },
            "divide" => Drawing::Divide { pieces: self.parts_of_all(), each: self.each()? },
            "round" => Drawing::Round { piece: self.each()? },
            "rest" => match &self.step.lasts {
                Lasts::Stands(stands) => {
                    Drawing::Rest { time: stands.value.least, pieces: self.parts_of_all() }
                }
                Lasts::Takes { takes, .. } => {
                    Drawing::Rest { time: takes.value.usual, pieces: self.parts_of_all() }
                }
            },
            "roll-out" => Drawing::RollOut { width: sheet()?.width, length: sheet()?.depth },
            "spread" => Drawing::Spread {
                width: sheet()?.width,
                length: sheet()?.depth,
                bare: piece.bare_edge.as_ref().map_or(Centimetres::ZERO, |b| b.value),
            },
            "roll-up" => Drawing::RollUp {
                width: sheet()?.width,
                length: sheet()?.depth,
                thickness: self.filled_thickness()?,
            },
            "slice" => Drawing::Slice {
                length: sheet()?.width,
                diameter: self.roll()?,
                slices: piece.slices.as_ref()?.value,
            },
            "cut-lengthwise" => Drawing::CutLengthwise {
                length: sheet()?.width,
                diameter: self.roll()?,
                joined: Centimetres::ZERO,
            },
            "fill-pinch" => Drawing::FillPinch { disc: size(piece)?.width, filling: self.second()? },
            "pipe" => self.pipe()?,
            "twist" => Drawing::Twist {
                length: strand(piece).or_else(|| self.cut_strand())?,
                crossings: piece.slices.as_ref().map_or(5, |s| s.value),
            },
            "braid" => Drawing::Braid { braid: self.sequence()?, rounds: ROUNDS, strand: strand(piece) },
            "coil" => Drawing::Coil { length: strand(piece)?, thickness: self.strand_across()? },
            "knot" => Drawing::Knot { length: strand(piece)?, thickness: self.strand_across()? },
            "letter-fold" | "book-fold" => self.fold(name)?,
            "place-in-tin" => {
                let inside = self.tin()?;
                Drawing::PlaceInTin {
                    tin: shape(inside),
                    fill: self.fill_height(inside)?,
                    pieces: side_by_side(piece),
                }
            }
            "on-tray" => self.on_tray()?,
            "egg-wash" => Drawing::EggWash { coats: 1, wash: self.brushed("egg-wash")?, on: self.washed() },
            "turn-out" => {
                let carry = self.step.carry.as_ref()?.value;
                Drawing::TurnOut { tin: shape(self.tin()?), wait: (carry.least, carry.most) }
            }
            "probe" => self.probe()?,
            "syrup" => Drawing::Syrup { length: self.length()?, syrup: self.brushed("syrup")? },
            "rise-level" => self.rise()?,
            "score" => Drawing::Score {
                length: self.length()?,
                cuts: piece.cuts.as_ref().map(|n| n.value).filter(|n| *n > 0)?,
                depth: piece.cut_depth.as_ref()?.value,
            },
            _ => return None,
        })
    }

    fn sequence(&self) -> Option<Braid> {
        let piece = self.piece();
        let strands = usize::try_from(piece.strands.as_ref()?.value).ok()?;
        Braid::read(strands, "", &piece.braid.as_ref()?.value).ok()
    }

    /// What the brush goes over: what lies in a tin, a braid, a wreath, buns, or a loaf.
    fn washed(&self) -> Washed {
        let piece = self.piece();
        match (self.tin(), self.sequence()) {
            (Some(inside), _) => Washed::InTin { tin: shape(inside), pieces: side_by_side(piece) },
            (None, Some(braid)) => Washed::Braid { braid },
            _ => match size(piece) {
                // Strands that come to lie as wide as long, and in no tin, are closed to a ring.
                Some(size) if is_bun(size) => {
                    let strands = piece.strands.as_ref().is_some_and(|n| n.value > 1);
                    match (strands, self.is_piped()) {
                        (true, _) => Washed::Wreath,
                        (false, true) => Washed::FilledBun,
                        (false, false) => Washed::Bun,
                    }
                }
                _ => Washed::Loaf,
            },
        }
    }

    /// Whether a movement is drawn in this step or in an earlier one.
    fn was_drawn(&self, name: &str) -> bool {
        let here = self.lesson.steps.iter().position(|s| s.id.value == self.step.id.value);
        let so_far = self.lesson.steps.iter().take(here.map_or(0, |here| here + 1));
        so_far.flat_map(|s| &s.draw).any(|d| d.value == name)
    }

    /// Something lies in the middle of the bun by now.
    fn is_piped(&self) -> bool {
        self.was_drawn("pipe") && self.second().is_some()
    }

    /// The strands of a roll that was cut along its length are as long as its sheet is wide.
    fn cut_strand(&self) -> Option<Centimetres> {
        let cut = self.was_drawn("cut-lengthwise");
        self.piece().sheet.as_ref().filter(|_| cut).map(|s| s.value.width)
    }

    /// The mass of what is brushed onto one piece.
    fn brushed(&self, name: &str) -> Option<Grams> {
        let part = brushed(self.course, self.recipe, self.step, name)?;
        let count = i64::from(self.piece().count.value.max(1));
        piece_needs(self.formula(), 1).into_iter().find(|(id, _)| *id == part).map(|(_, g)| g.ratio(1, count))
    }

    /// Whether a block of butter is in the dough by now: one that no step names, or that no later step is the first to name.
    fn is_laminated(&self) -> bool {
        let block = |part: &PartId| {
            share_of(self.course, self.recipe, part, &[ItemKind::Fat]).is_some_and(|of| of >= BUTTER_BLOCK)
        };
        let here = self.lesson.steps.iter().position(|s| s.id.value == self.step.id.value);
        let first = |part: &PartId| {
            let names = |s: &Step| s.on.iter().any(|c| c.value == Chain::Part(part.clone()));
            self.lesson.steps.iter().position(names)
        };
        let parts = self.formula().parts.iter().map(|p| &p.id.value);
        parts.filter(|p| block(p)).any(|p| first(p).is_none_or(|at| here.is_some_and(|here| at <= here)))
    }

    fn main_part(&self) -> Option<(PartId, Grams)> {
        piece_needs(self.formula(), 1).into_iter().next()
    }

    /// The part after the dough in a piece: its filling.
    fn second(&self) -> Option<Grams> {
        let count = i64::from(self.piece().count.value.max(1));
        piece_needs(self.formula(), 1).into_iter().nth(1).map(|(_, g)| g.ratio(1, count))
    }

    /// The part that the step works on; the dough where it names none.
    fn own_part(&self) -> Option<PartId> {
        let named = self.step.on.iter().find_map(|c| match &c.value {
            Chain::Part(part) => Some(part.clone()),
            Chain::Piece => None,
        });
        named.or_else(|| self.main_part().map(|(id, _)| id))
    }

    fn lines(&self) -> Option<Vec<(Ingredient, Grams)>> {
        let part = self.own_part()?;
        let (_, one) = piece_needs(self.formula(), 1).into_iter().find(|(id, _)| *id == part)?;
        Some(self.recipe.shares.for_used(&part, one.times(i64::from(self.pieces)))?.lines)
    }

    /// The heaviest ingredient, as it is weighed first.
    fn first_line(&self) -> Option<Grams> {
        let lines = self.lines()?;
        let items = lines.iter().filter(|(what, _)| matches!(what, Ingredient::Item(_)));
        items.map(|(_, g)| *g).max().map(|g| g.to_nearest(self.course.settings.scale_step.value))
    }

    fn fat(&self) -> Option<Grams> {
        let lines = self.lines()?;
        let fat: Grams = lines
            .iter()
            .filter(|(what, _)| match what {
                Ingredient::Item(id) => {
                    self.course.pantry.item(id).is_some_and(|i| i.kind.value == ItemKind::Fat)
                }
                Ingredient::Part(_) => false,
            })
            .map(|(_, g)| *g)
            .sum();
        (fat > Grams::ZERO).then(|| fat.to_nearest(self.course.settings.scale_step.value))
    }

    /// Into how many parts one piece's dough is divided: strands, or shaped ones.
    fn parts_of_one(&self) -> u32 {
        let piece = self.piece();
        piece.strands.as_ref().map_or(piece.count.value, |s| s.value).max(1)
    }
    fn parts_of_all(&self) -> u32 {
        self.parts_of_one().saturating_mul(self.pieces)
    }
    fn each(&self) -> Option<Grams> {
        let (_, dough) = self.main_part()?;
        let each = dough.ratio(1, i64::from(self.parts_of_one()));
        Some(each.to_nearest(self.course.settings.scale_step.value))
    }

    /// What is piped onto one piece. On a bun it is a round blob; along a longer piece a bead, as thick as the mass makes it.
    fn pipe(&self) -> Option<Drawing> {
        let filling = self.second()?;
        let piece = size(self.piece())?;
        let half = Centimetres::from_thousandths(500);
        if is_bun(piece) {
            let blob = ball_diameter(filling).to_nearest(half).at_least(half);
            let onto = Some(piece.width.max(piece.depth)).filter(|bun| *bun > blob);
            return Some(Drawing::Pipe { bead: blob, length: blob, beads: 1, onto });
        }
        let long = piece.width.max(piece.depth);
        let bead = strand_thickness(filling, long, DOUGH_DENSITY)?.to_nearest(half).at_least(half);
        Some(Drawing::Pipe { bead, length: long, beads: 1, onto: None })
    }

    /// Thickness of the sheet with its filling.
    fn filled_thickness(&self) -> Option<Centimetres> {
        let sheet = self.piece().sheet.as_ref()?.value;
        let mass: Grams = piece_needs(self.formula(), 1).into_iter().take(2).map(|(_, g)| g).sum();
        thickness(mass, sheet, DOUGH_DENSITY)
    }
    fn roll(&self) -> Option<Centimetres> {
        let sheet = self.piece().sheet.as_ref()?.value;
        let across = roll_up(sheet.depth, self.filled_thickness()?)?.diameter;
        Some(across.to_nearest(Centimetres::from_thousandths(500)))
    }
    fn strand_across(&self) -> Option<Centimetres> {
        strand_thickness(self.each()?, strand(self.piece())?, DOUGH_DENSITY)
    }

    /// A fold goes along the sheet's longer side, whichever is written first.
    fn fold(&self, name: &str) -> Option<Drawing> {
        let Area { width, depth } = self.piece().sheet.as_ref()?.value;
        let (width, length) = (width.min(depth), width.max(depth));
        let (before, butter) = (self.folds_before(), self.is_laminated());
        Some(match name {
            "letter-fold" => Drawing::LetterFold { width, length, before, butter },
            _ => Drawing::BookFold { width, length, before, butter },
        })
    }

    /// The folds that the lesson draws before this step.
    fn folds_before(&self) -> Vec<Fold> {
        let before = self.lesson.steps.iter().take_while(|s| s.id.value != self.step.id.value);
        before
            .flat_map(|s| &s.draw)
            .filter_map(|d| match d.value.as_str() {
                "letter-fold" => Some(Fold::Letter),
                "book-fold" => Some(Fold::Book),
                _ => None,
            })
            .collect()
    }

    fn tin(&self) -> Option<Inside> {
        let id = &self.piece().tin.as_ref()?.value;
        self.course.kitchen.tins.iter().find(|t| t.id.value == *id).map(|t| t.inside.value)
    }

    /// How high what goes in stands in the tin.
    fn fill_height(&self, inside: Inside) -> Option<Centimetres> {
        let mass: Grams = piece_needs(self.formula(), 1).into_iter().take(2).map(|(_, g)| g).sum();
        let deep = depth(inside);
        let whole = volume(inside);
        let taken = mass.volume(DOUGH_DENSITY)?;
        if whole <= Millilitres::ZERO {
            return None;
        }
        let high = deep.ratio(taken.thousandths(), whole.thousandths());
        Some(high.min(deep).to_nearest(Centimetres::from_thousandths(500)))
    }

    /// The dough in one of its tubs before and after: how high its mass stands on the tub's floor.
    fn rise(&self) -> Option<Drawing> {
        let to = self.step.rises_to.as_ref()?.value;
        let tubs = &self.course.kitchen.tubs;
        let named = self.step.uses.iter().find_map(|u| tubs.iter().find(|t| t.id.value == u.what.value));
        let tub = named.or_else(|| tubs.iter().find(|t| t.inside.is_some()))?;
        let inside = tub.inside.as_ref()?.value;
        let part = self.own_part()?;
        let (_, one) = piece_needs(self.formula(), 1).into_iter().find(|(id, _)| *id == part)?;
        let mass = one.times(i64::from(self.pieces));
        let tubs = (mass.mg() + tub.holds.value.mg() - 1).checked_div(tub.holds.value.mg())?.max(1);
        let (deep, whole) = (depth(inside), volume(inside));
        if whole <= Millilitres::ZERO {
            return None;
        }
        let taken = mass.ratio(1, tubs).volume(DOUGH_DENSITY)?;
        let start = deep.ratio(taken.thousandths(), whole.thousandths());
        Some(Drawing::RiseLevel {
            tub_width: shape(inside).width(),
            tub_height: deep,
            start: start.to_nearest(Centimetres::from_thousandths(500)),
            to,
        })
    }

    fn on_tray(&self) -> Option<Drawing> {
        let piece = self.piece();
        let id = &piece.tray.as_ref()?.value;
        let tray = self.course.kitchen.trays.iter().find(|t| t.id.value == *id)?;
        let bun = size(piece).filter(|size| is_bun(*size))?;
        let of_pieces = |pieces: u32| pieces.saturating_mul(piece.count.value.max(1));
        let all = of_pieces(self.pieces);
        let (tray, buns) = match self.at_once {
            Some(at_once) => (HOME_RACK, of_pieces(at_once).min(all).max(1)),
            None => (tray.size.value, per_tray(piece, tray)?.min(all).max(1)),
        };
        Some(Drawing::OnTray { width: tray.width, depth: tray.depth, buns, bun: bun.width.max(bun.depth) })
    }

    fn length(&self) -> Option<Centimetres> {
        let from_tin = self.tin().map(|inside| shape(inside).width());
        from_tin.or_else(|| size(self.piece()).map(|s| s.width.max(s.depth)))
    }

    fn probe(&self) -> Option<Drawing> {
        let core = self.step.core.as_ref()?.value;
        let height = match self.tin() {
            Some(inside) => depth(inside),
            None => size(self.piece()).map(|s| s.width.min(s.depth))?,
        };
        Some(Drawing::Probe { height, length: self.length()?, least: core.least?, most: core.most? })
    }
}

/// Into how many pieces: of whole grams where pieces near enough to that size come out even, else as near to it as may be.
fn in_pieces(total: Grams) -> u32 {
    let pieces = total.to_nearest(BUTTER_PIECE).mg() / BUTTER_PIECE.mg();
    let near = u32::try_from(pieces).unwrap_or(1).clamp(3, 12);
    let even = |n: &u32| {
        let each = total.ratio(1, i64::from(*n));
        each.times(i64::from(*n)) == total && each == each.to_nearest(Grams::whole(1))
    };
    let tries = [near, near.saturating_sub(1).max(3), (near + 1).min(12)];
    tries.into_iter().find(even).unwrap_or(near)
}

/// Whether a piece of this size is drawn as a bun: on its tray, under the brush, with what is piped onto it.
fn is_bun(size: Area) -> bool {
    size.width.max(size.depth) <= size.width.min(size.depth).times(BUN_AT_MOST)
}

fn size(piece: &Piece) -> Option<Area> {
    piece.size.as_ref().map(|s| s.value)
}

fn strand(piece: &Piece) -> Option<Centimetres> {
    piece.strand_length.as_ref().map(|l| l.value)
}

/// Pieces side by side in a tin, as a cut through its middle shows them: half of a ring of slices, all of a row.
fn side_by_side(piece: &Piece) -> u32 {
    piece.slices.as_ref().map_or(1, |s| s.value.div_ceil(2)).max(1)
}

fn depth(inside: Inside) -> Centimetres {
    match inside {
        Inside::Round { deep, .. } | Inside::Square { deep, .. } | Inside::Ring { deep, .. } => deep,
    }
}

fn shape(inside: Inside) -> TinShape {
    match inside {
        Inside::Round { across, deep } | Inside::Ring { across, deep, .. } => {
            TinShape::Round { diameter: across, depth: deep }
        }
        Inside::Square { length, deep, .. } => TinShape::Loaf { length, depth: deep },
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests;
