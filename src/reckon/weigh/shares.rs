//! What comes out of a batch, and who gets how much of it.

use crate::course::{Course, PartId};
use crate::reckon::recipes::Recipes;
use crate::reckon::rounding::ScaleSteps;
use crate::reckon::work::{Batch, Whom};
use crate::units::Grams;

/// A batch when it is made, shared out as a scale shows it: the shares and what is over are the whole, to the milligram.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Shares {
    /// What each of its takers gets, by the exact need: station by station for what goes into the piece itself.
    pub each: Vec<(Whom, Grams)>,
    /// Made beyond that, as less cannot be made.
    pub over: Grams,
}

impl Shares {
    /// Everything that comes out of the bowl.
    #[must_use]
    pub fn whole(&self) -> Grams {
        self.each.iter().map(|(_, grams)| *grams).sum::<Grams>() + self.over
    }

    /// What these takers get together.
    #[must_use]
    pub fn of(&self, whom: &[&Whom]) -> Grams {
        self.each.iter().filter(|(w, _)| whom.contains(&w)).map(|(_, grams)| *grams).sum()
    }
}

/// Shares a batch out. What is weighed for it is rounded by ingredient, and so is not the sum that counts here: a station gets the weight
/// of its pieces, however the bowl's own list was rounded.
#[must_use]
pub fn shares(course: &Course, recipes: &Recipes, batch: &Batch) -> Shares {
    let steps = ScaleSteps::of(&course.settings);
    let recipe = course
        .lesson(&batch.lesson)
        .and_then(|lesson| recipes.get(&lesson.formula.value, batch.variant.as_ref()));
    let used = |weighed: Grams| {
        let amounts = recipe.and_then(|r| r.shares.for_weighed(&batch.part, weighed));
        amounts.map_or(weighed, |a| a.used)
    };
    let exact: Vec<(&Whom, Grams)> = batch.members.iter().map(|(w, weighed)| (w, used(*weighed))).collect();
    let needed: Grams = exact.iter().map(|(_, grams)| *grams).sum();
    let surplus = used(batch.grams) - needed;
    let over = if surplus >= steps.class.ratio(1, 2) { steps.handed(surplus) } else { Grams::ZERO };
    let direct = recipe.is_some_and(|r| goes_into_the_piece(&r.formula.piece.amounts, &batch.part));
    let each = if direct {
        exact.into_iter().map(|(w, grams)| (w.clone(), steps.handed(grams))).collect()
    } else {
        in_step(&exact, &steps)
    };
    Shares { each, over }
}

fn goes_into_the_piece<T>(amounts: &[(crate::course::At<PartId>, T)], part: &PartId) -> bool {
    amounts.iter().any(|(p, _)| p.value == *part)
}

/// What goes into another part is weighed into that part's bowl for several at once: shares that add up to the rounded sums from the
/// first on.
fn in_step(exact: &[(&Whom, Grams)], steps: &ScaleSteps) -> Vec<(Whom, Grams)> {
    let (mut sum, mut given) = (Grams::ZERO, Grams::ZERO);
    let mut each = Vec::new();
    for (whom, grams) in exact {
        sum += *grams;
        let so_far = steps.handed(sum);
        each.push(((*whom).clone(), so_far - given));
        given = so_far;
    }
    each
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::course::StationNo;

    /// Three times 117.4 g are 352.2 g: the bowl that takes all three gets 352.
    #[test]
    fn what_is_weighed_into_one_bowl_adds_up_to_it() {
        let steps =
            ScaleSteps { class: Grams::whole(1), fine: Grams::from_mg(100), fine_below: Grams::whole(20) };
        let whom: Vec<Whom> = (1..=3).map(|no| Whom::Station(StationNo(no))).collect();
        let exact: Vec<(&Whom, Grams)> = whom.iter().map(|w| (w, Grams::from_mg(117_400))).collect();
        let each: Vec<i64> = in_step(&exact, &steps).iter().map(|(_, g)| g.mg()).collect();
        assert_eq!(each, [117_000, 118_000, 117_000]);
    }
}
