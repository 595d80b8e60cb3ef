//! A formula with some lines replaced, for people who avoid something.
use crate::course::{Basis, Formula, PieceShare, Share, VariantId};

/// The formula as a variant makes it: replaced lines stand where the old ones stood, nought takes a line out, a new
/// ingredient joins at the end of its part. Variants replace lines and nothing else.
///
/// `None` when the formula has no such variant: whoever asked must not go on with the plain formula, which may hold
/// what the variant leaves out.
pub fn with_variant(formula: &Formula, variant: &VariantId) -> Option<Formula> {
    let variant = formula.variant(variant)?;
    let mut made = formula.clone();
    for (part_id, line) in &variant.lines {
        let part = made.parts.iter_mut().find(|p| p.id.value == part_id.value)?;
        let nought = match line.share.value {
            Share::Percent(p) | Share::Flour(p) => p.number().is_zero(),
            Share::Grams(g) => g.mg() == 0,
        };
        let at = part.of.iter().position(|l| l.what.value == line.what.value);
        match (at, nought) {
            (Some(i), true) => {
                part.of.remove(i);
            }
            (Some(i), false) => part.of[i] = line.clone(),
            (None, true) => {}
            (None, false) => part.of.push(line.clone()),
        }
    }
    // What a piece takes by the lines of a part follows the lines.
    for (part_id, share) in made.piece.amounts.iter_mut().filter(|(_, share)| share.place.is_none()) {
        let part = made.parts.iter().find(|p| p.id.value == part_id.value && p.basis.value == Basis::Piece);
        if let Some(part) = part.filter(|_| variant.lines.iter().any(|(p, _)| p.value == part_id.value)) {
            share.value = PieceShare::Grams(part.by_its_lines());
        }
    }
    Some(made)
}
