//! What is free of an avoided thing goes before what holds it, on the same equipment.
//!
//! Only what is known to be free counts as free: a pack that may contain it, and an ingredient of which nothing was
//! written, count as holding it. What someone in the class avoids is kept out of everything that is free of it, not only of
//! that person's own dough, since pieces are tasted, swapped and given away.

use crate::course::{AllergenId, Course};
use crate::reckon::allergens::{Held, Verdict, of_part, of_piece};
use crate::reckon::recipes::Recipes;
use crate::reckon::scale::variant_of;
use crate::reckon::work::{Batch, Class, Load};
use crate::units::Minutes;
use std::collections::BTreeSet;

/// A wash-up between something that holds an avoided thing and something free of it: bowl and hook washed with
/// detergent, rinsed, dried. A working assumption of this program: kitchens that need longer say so in the mixer's
/// `between`, and the longer of the two counts.
pub const WASH_UP: Minutes = Minutes(15);

/// What is in the batches and loads of a class, as far as someone avoids it.
pub struct Contents<'a> {
    course: &'a Course,
    class: &'a Class,
    recipes: Recipes,
    avoided: BTreeSet<AllergenId>,
}

impl<'a> Contents<'a> {
    /// Reads what is avoided off the class.
    #[must_use]
    pub fn of(course: &'a Course, class: &'a Class) -> Contents<'a> {
        let avoided = class.stations.iter().flat_map(|s| s.avoids.iter().cloned()).collect();
        Contents { course, class, recipes: Recipes::of(course).0, avoided }
    }
    /// The avoided things that are, or may be, in it.
    fn holds(&self, held: Option<&Held>) -> BTreeSet<AllergenId> {
        let holds = |avoided: &&AllergenId| {
            let verdict = held.map_or(Verdict::Unknown, |h| h.verdict(avoided).0);
            !matches!(verdict, Verdict::NoneListed | Verdict::SharedKitchen)
        };
        self.avoided.iter().filter(holds).cloned().collect()
    }
    /// The avoided things in a batch.
    #[must_use]
    pub fn of_batch(&self, batch: &Batch) -> BTreeSet<AllergenId> {
        if self.avoided.is_empty() {
            return BTreeSet::new();
        }
        let lesson = self.course.lesson(&batch.lesson);
        let recipe = lesson.and_then(|l| self.recipes.get(&l.formula.value, batch.variant.as_ref()));
        let held = recipe.map(|r| of_part(&r.formula, &self.course.pantry, &batch.part));
        self.holds(held.as_ref())
    }
    /// The avoided things in a load: in any of its pieces.
    #[must_use]
    pub fn of_load(&self, load: &Load) -> BTreeSet<AllergenId> {
        let mut found = BTreeSet::new();
        let Some(lesson) = self.course.lesson(&load.lesson).filter(|_| !self.avoided.is_empty()) else {
            return found;
        };
        for (whom, _) in &load.members {
            let recipe = self.recipes.get(&lesson.formula.value, variant_of(self.class, lesson, whom));
            let held = recipe.map(|r| of_piece(&r.formula, &self.course.pantry));
            found.extend(self.holds(held.as_ref()));
        }
        found
    }
}
