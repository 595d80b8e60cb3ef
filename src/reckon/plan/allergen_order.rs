//! What is free of an avoided thing goes before what holds it, on the same equipment.
//!
//! Only what is known to be free counts as free: a pack that may contain it, and an ingredient of which nothing was
//! written, count as holding it. What someone in the class avoids is kept out of everything that is free of it, not only of
//! that person's own dough, since pieces are tasted, swapped and given away. The dough of a person who avoids it is kept from
//! what holds it for certain even where a pack in it may hold it too: a doubt is no leave to add to it.

use super::jobs::Group;
use crate::course::{AllergenId, Chain, Course, Lesson, StationNo, Step, VariantId, Where};
use crate::reckon::allergens::{Held, Verdict, of_part, of_piece};
use crate::reckon::recipes::{Recipe, Recipes};
use crate::reckon::scale::variant_of;
use crate::reckon::work::{Batch, Class, Load, Whom};
use crate::units::Minutes;
use std::collections::BTreeSet;

/// A wash-up between something that holds an avoided thing and something free of it: bowl and hook washed with
/// detergent, rinsed, dried. A working assumption of this program: kitchens that need longer say so in the mixer's
/// `between`, and the longer of the two counts.
pub const WASH_UP: Minutes = Minutes(15);

/// Where something is made with pans, spoons and bench that others are made with too, and no machine keeps them apart: at the hob or on the
/// bench, what staff make for anyone, and what is made once for the class, by whomever. Students have a bench and tools of their own; and
/// where a piece is only handled at the bench, turned out or laid somewhere, hands go from one to the next and no spoon does.
#[must_use]
pub fn staffs_place(group: &Group, step: &Step, by_staff: bool) -> Option<Where> {
    let handled = step.place.value == Where::Bench && step.on.iter().all(|chain| chain.value == Chain::Piece);
    let shared = by_staff && !handled || matches!(group, Group::Class(_));
    (shared && matches!(step.place.value, Where::Hob | Where::Bench)).then_some(step.place.value)
}

/// What is in one batch or load of what somebody avoids.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Carried {
    /// In it for certain.
    certain: BTreeSet<AllergenId>,
    /// In it, or not known to be absent.
    possible: BTreeSet<AllergenId>,
    /// What the people whose it is avoid.
    own: BTreeSet<AllergenId>,
}

impl Carried {
    /// What this one would bring into the other: what the other is free of, and what the other's people avoid, where the other
    /// does not hold it for certain itself.
    #[must_use]
    pub fn soils(&self, other: &Carried) -> BTreeSet<AllergenId> {
        let protected = self.certain.iter().filter(|a| other.own.contains(*a) && !other.certain.contains(*a));
        self.possible.difference(&other.possible).chain(protected).cloned().collect()
    }

    /// What this one would bring to the people whose the other is: what they avoid, and theirs does not hold for certain.
    #[must_use]
    pub fn harms(&self, other: &Carried) -> BTreeSet<AllergenId> {
        self.soils(other).into_iter().filter(|what| other.own.contains(what)).collect()
    }

    /// What is in both together, as in one bowl.
    #[must_use]
    pub fn and(mut self, other: Carried) -> Carried {
        self.certain.extend(other.certain);
        self.possible.extend(other.possible);
        self.own.extend(other.own);
        self
    }

    /// Whether it holds this, or is not known to be free of it.
    #[must_use]
    pub fn may_hold(&self, what: &AllergenId) -> bool {
        self.possible.contains(what)
    }
}

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
    /// Takes in what is in one of the pieces or parts.
    fn take(&self, carried: &mut Carried, held: Option<&Held>) {
        for avoided in &self.avoided {
            let verdict = held.map_or(Verdict::Unknown, |h| h.verdict(avoided).0);
            if verdict == Verdict::Contains {
                carried.certain.insert(avoided.clone());
            }
            if !matches!(verdict, Verdict::NoneListed | Verdict::SharedKitchen) {
                carried.possible.insert(avoided.clone());
            }
        }
    }
    /// Takes in what is in a part of a recipe, or in its piece.
    fn take_chain(&self, carried: &mut Carried, recipe: Option<&Recipe>, chain: &Chain) {
        let held = recipe.map(|r| match chain {
            Chain::Part(part) => of_part(&r.formula, &self.course.pantry, part),
            Chain::Piece => of_piece(&r.formula, &self.course.pantry),
        });
        self.take(carried, held.as_ref());
    }
    /// What the people of these stations avoid.
    fn own<'m>(&self, members: impl Iterator<Item = &'m Whom>) -> BTreeSet<AllergenId> {
        members
            .filter_map(|whom| match whom {
                Whom::Station(no) => self.class.stations.iter().find(|s| s.no == *no),
                Whom::Stage { .. } | Whom::Spare => None,
            })
            .flat_map(|s| s.avoids.iter().cloned())
            .collect()
    }
    /// The avoided things in a batch.
    #[must_use]
    pub fn of_batch(&self, batch: &Batch) -> Carried {
        let mut carried =
            Carried { own: self.own(batch.members.iter().map(|(w, _)| w)), ..Carried::default() };
        if self.avoided.is_empty() {
            return carried;
        }
        let lesson = self.course.lesson(&batch.lesson);
        let recipe = lesson.and_then(|l| self.recipes.get(&l.formula.value, batch.variant.as_ref()));
        let held = recipe.map(|r| of_part(&r.formula, &self.course.pantry, &batch.part));
        self.take(&mut carried, held.as_ref());
        carried
    }
    /// The avoided things in what a step works on for these members, as a variant makes it.
    #[must_use]
    pub fn of_step(
        &self,
        lesson: &Lesson,
        step: &Step,
        variant: Option<&VariantId>,
        members: &[(Whom, u32)],
    ) -> Carried {
        let mut carried = Carried { own: self.own(members.iter().map(|(w, _)| w)), ..Carried::default() };
        let recipe = self.recipes.get(&lesson.formula.value, variant);
        for chain in step.on.iter().map(|c| &c.value) {
            self.take_chain(&mut carried, recipe, chain);
        }
        carried
    }
    /// The avoided things in what is used by turns, while these members' share is in it: in what its step works on and, where a later step
    /// frees it, in what that one does. A demonstration is on nobody's dough: it may show with all that is in the lesson's piece.
    #[must_use]
    pub fn of_use(
        &self,
        lesson: &Lesson,
        step: &Step,
        until: Option<&Step>,
        members: &[(Whom, u32)],
    ) -> Carried {
        let mut carried = Carried { own: self.own(members.iter().map(|(w, _)| w)), ..Carried::default() };
        if self.avoided.is_empty() {
            return carried;
        }
        let mut chains: BTreeSet<&Chain> =
            std::iter::once(step).chain(until).flat_map(|s| s.on.iter().map(|c| &c.value)).collect();
        if chains.is_empty() {
            chains.insert(&Chain::Piece);
        }
        let mut variants: BTreeSet<Option<&VariantId>> =
            members.iter().map(|(whom, _)| variant_of(self.class, lesson, whom)).collect();
        if variants.is_empty() {
            variants.insert(self.class.everyone.get(&lesson.id.value));
        }
        for variant in variants {
            let recipe = self.recipes.get(&lesson.formula.value, variant);
            for chain in &chains {
                self.take_chain(&mut carried, recipe, chain);
            }
        }
        carried
    }
    /// The avoided things in all that a step works on for these members, whoever it is done for at once: of each member as its own variant
    /// makes it.
    #[must_use]
    pub fn of_work(&self, lesson: &Lesson, step: &Step, members: &[(Whom, u32)]) -> Carried {
        let mut variants: BTreeSet<Option<&VariantId>> =
            members.iter().map(|(whom, _)| variant_of(self.class, lesson, whom)).collect();
        if variants.is_empty() {
            variants.insert(self.class.everyone.get(&lesson.id.value));
        }
        let each = variants.into_iter().map(|variant| self.of_step(lesson, step, variant, members));
        each.reduce(Carried::and).unwrap_or_default()
    }
    /// The stations in a load whose pieces must lie above the others: what their people avoid is in another piece of it, and not
    /// for certain in theirs.
    #[must_use]
    pub fn on_top(&self, load: &Load) -> BTreeSet<StationNo> {
        let each: Vec<(&Whom, Carried)> = load
            .members
            .iter()
            .map(|one| (&one.0, self.of_load(&Load { members: vec![one.clone()], ..load.clone() })))
            .collect();
        let soiled = |mine: &Carried| {
            each.iter().any(|(_, other)| other.soils(mine).iter().any(|what| mine.own.contains(what)))
        };
        each.iter()
            .filter_map(|(whom, mine)| match whom {
                Whom::Station(no) if soiled(mine) => Some(*no),
                _ => None,
            })
            .collect()
    }
    /// The avoided things in a load: in any of its pieces.
    #[must_use]
    pub fn of_load(&self, load: &Load) -> Carried {
        let mut carried =
            Carried { own: self.own(load.members.iter().map(|(w, _)| w)), ..Carried::default() };
        let Some(lesson) = self.course.lesson(&load.lesson).filter(|_| !self.avoided.is_empty()) else {
            return carried;
        };
        for (whom, _) in &load.members {
            let recipe = self.recipes.get(&lesson.formula.value, variant_of(self.class, lesson, whom));
            let held = recipe.map(|r| of_piece(&r.formula, &self.course.pantry));
            self.take(&mut carried, held.as_ref());
        }
        carried
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn carried(certain: &[&str], possible: &[&str], own: &[&str]) -> Carried {
        let set = |all: &[&str]| all.iter().map(|a| AllergenId::new(*a)).collect();
        Carried { certain: set(certain), possible: set(possible), own: set(own) }
    }

    #[test]
    fn a_doubtful_pack_does_not_take_the_protection_from_its_person() {
        let walnuts = carried(&["walnut"], &["walnut"], &[]);
        let theirs = carried(&[], &["walnut"], &["walnut"]);
        assert_eq!(walnuts.soils(&theirs).len(), 1);
        assert!(theirs.soils(&walnuts).is_empty());
        // Somebody else's doubtful dough need not be kept from it; a free one must, from the doubtful too.
        assert!(walnuts.soils(&carried(&[], &["walnut"], &[])).is_empty());
        assert_eq!(theirs.soils(&carried(&[], &[], &[])).len(), 1);
        // What holds it for certain is past keeping.
        assert!(walnuts.soils(&carried(&["walnut"], &["walnut"], &["walnut"])).is_empty());
    }
}
