//! What becomes of the parts of a piece: which are cooked, and which come to it after the bake. A label and a yield weigh by it.

use super::formula::piece_needs;
use super::piece_yield::after_loss;
use super::safety::then_cold::joined_after_the_bake;
use crate::course::{Chain, Course, Formula, FormulaId, Lesson, PartId, Where};
use crate::units::{Grams, Percent};
use std::collections::BTreeSet;

/// What becomes of the parts of a piece. Nothing is known of them by default: then all of it is baked.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Fates {
    /// Cooked on the fire: what they lose is steam.
    pub cooked: BTreeSet<PartId>,
    /// Put to the piece after its last bake: they lose nothing in an oven.
    pub after_bake: BTreeSet<PartId>,
}

impl Fates {
    /// By the steps of a lesson.
    #[must_use]
    pub fn of(lesson: &Lesson, formula: &Formula) -> Fates {
        let hob = lesson.steps.iter().filter(|s| s.place.value == Where::Hob).flat_map(|s| &s.on);
        let cooked = hob.filter_map(|c| match &c.value {
            Chain::Part(part) => Some(part.clone()),
            Chain::Piece => None,
        });
        let own = formula.piece.amounts.iter().map(|(part, _)| &part.value);
        let after_bake = own.filter(|part| joined_after_the_bake(lesson, formula, part)).cloned();
        Fates { cooked: cooked.collect(), after_bake: after_bake.collect() }
    }

    /// By the first lesson that teaches a formula.
    #[must_use]
    pub fn taught(course: &Course, formula: &Formula) -> Fates {
        let teaches = |id: &FormulaId| course.lessons.iter().find(|l| l.formula.value == *id);
        teaches(&formula.id.value).map(|lesson| Fates::of(lesson, formula)).unwrap_or_default()
    }

    /// What of a piece comes to it after its bake.
    #[must_use]
    pub fn added(&self, formula: &Formula) -> Grams {
        let needs = piece_needs(formula, 1).into_iter();
        needs.filter(|(part, _)| self.after_bake.contains(part)).map(|(_, grams)| grams).sum()
    }

    /// What a piece weighs when it is ready: the oven takes its loss from what was in it, and from nothing else.
    #[must_use]
    pub fn finished(&self, formula: &Formula, loss: Percent) -> Grams {
        let all: Grams = piece_needs(formula, 1).into_iter().map(|(_, grams)| grams).sum();
        let added = self.added(formula);
        after_loss(all - added, loss) + added
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::course::Per;
    use crate::course::{Basis, PieceShare};
    use crate::reckon::formula::build::{formula, g, part, pc};
    use crate::reckon::sample::{at, buns_lesson, step};

    /// 100 g of dough and 35 g of cream; by hand: 100 - 10 % = 90, and 35 more are 125. Baked in, 135 - 10 % = 121.5.
    #[test]
    fn the_oven_takes_nothing_from_what_is_filled_in_after_it() {
        let whole = |id: &str| part(id, Basis::Whole, "0", &[("milk", "100")]);
        let mut f = formula(vec![whole("dough"), whole("cream")]);
        let takes = |id: &str, grams: &str| (at(id.into()), at(PieceShare::Grams(g(grams))));
        f.piece.amounts = vec![takes("dough", "100"), takes("cream", "35")];
        let mut lesson = buns_lesson();
        lesson.steps.push(step("cook", &["cream"], Per::Station, Where::Hob));
        lesson.steps.push(step("pipe", &["piece", "cream"], Per::Station, Where::Bench));
        let fates = Fates::of(&lesson, &f);
        assert_eq!((fates.cooked.len(), fates.after_bake.len()), (1, 1));
        assert_eq!(fates.finished(&f, pc("10")), g("125"));
        // Filled before the bake, it is baked.
        let pipe = lesson.steps.pop().unwrap();
        let bake = lesson.steps.iter().position(|s| s.place.value == Where::Oven).unwrap();
        let cook = lesson.steps.pop().unwrap();
        lesson.steps.splice(bake..bake, [cook, pipe]);
        assert_eq!(Fates::of(&lesson, &f).finished(&f, pc("10")), g("121.5"));
        // Of a formula that nobody teaches nothing else is known.
        assert_eq!(Fates::default().finished(&f, pc("10")), g("121.5"));
    }
}
