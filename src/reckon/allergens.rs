//! Which allergens are in a piece, through its parts, and what that means for someone who avoids one.
//!
//! Nothing here says that a thing is fine to eat. The best that can be said is that nothing is listed: labels must be
//! read, and the kitchen is shared.

use crate::course::{
    AllergenId, Allergens, Formula, Ingredient, ItemId, Pantry, PartId, Share, allergen_words,
};
use std::collections::{BTreeMap, BTreeSet};

/// What is known of the allergens of a piece or of a part, with the ingredients that bring them.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Held {
    /// What is in it, and from which ingredients.
    pub contains: BTreeMap<AllergenId, BTreeSet<ItemId>>,
    /// What a pack says may be in it, and which packs.
    pub may_contain: BTreeMap<AllergenId, BTreeSet<ItemId>>,
    /// Ingredients of which nothing was written.
    pub unknown: BTreeSet<ItemId>,
    /// Every ingredient: people may avoid one that is on no list.
    pub items: BTreeSet<ItemId>,
}

/// What can be said to someone who avoids one thing. The worst comes last.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Verdict {
    /// No ingredient lists it, and nothing else in the room does.
    NoneListed,
    /// No ingredient lists it, but something else made in the room holds it.
    SharedKitchen,
    /// An ingredient's allergens are not written down.
    Unknown,
    /// A pack says it may hold it.
    MayContain,
    /// It is in it.
    Contains,
}

impl Verdict {
    /// The word for it, the same on the terminal and in JSON.
    pub const fn word(self) -> &'static str {
        match self {
            Verdict::NoneListed => "none-listed",
            Verdict::SharedKitchen => "shared-kitchen",
            Verdict::Unknown => "unknown",
            Verdict::MayContain => "may-contain",
            Verdict::Contains => "contains",
        }
    }
}

impl Held {
    /// The verdict on this piece alone, the room left out, and the ingredients that decide it.
    pub fn verdict(&self, avoided: &AllergenId) -> (Verdict, Vec<ItemId>) {
        let of = |held: &BTreeMap<AllergenId, BTreeSet<ItemId>>| -> Vec<ItemId> {
            let all: BTreeSet<&ItemId> = held
                .iter()
                .filter(|(word, _)| allergen_words::touches(avoided, word))
                .flat_map(|(_, items)| items)
                .collect();
            all.into_iter().cloned().collect()
        };
        let mut contains = of(&self.contains);
        let named = ItemId::new(avoided.as_str());
        if self.items.contains(&named) && !contains.contains(&named) {
            contains.push(named);
        }
        if !contains.is_empty() {
            return (Verdict::Contains, contains);
        }
        let may = of(&self.may_contain);
        if !may.is_empty() {
            return (Verdict::MayContain, may);
        }
        if !self.unknown.is_empty() {
            return (Verdict::Unknown, self.unknown.iter().cloned().collect());
        }
        (Verdict::NoneListed, Vec::new())
    }

    /// Joins what another part brings.
    pub fn join(&mut self, other: Held) {
        for (word, items) in other.contains {
            self.contains.entry(word).or_default().extend(items);
        }
        for (word, items) in other.may_contain {
            self.may_contain.entry(word).or_default().extend(items);
        }
        self.unknown.extend(other.unknown);
        self.items.extend(other.items);
    }
}

/// The allergens of a whole piece: of every part that it takes, and of every part inside those. The formula is taken as a
/// variant made it (`formula::with_variant`); a line of nought brings nothing. A part that is written down and that nothing takes
/// counts as taken: what was forgotten in the piece is in it all the same.
pub fn of_piece(formula: &Formula, pantry: &Pantry) -> Held {
    let mut held = Held::default();
    let mut seen = BTreeSet::new();
    for (part, _) in &formula.piece.amounts {
        gather(formula, pantry, &part.value, &mut seen, &mut held);
    }
    for part in formula.unused() {
        gather(formula, pantry, &part.id.value, &mut seen, &mut held);
    }
    held
}

/// The allergens of one part and of those inside it.
pub fn of_part(formula: &Formula, pantry: &Pantry, part: &PartId) -> Held {
    let mut held = Held::default();
    gather(formula, pantry, part, &mut BTreeSet::new(), &mut held);
    held
}

fn gather(formula: &Formula, pantry: &Pantry, part: &PartId, seen: &mut BTreeSet<PartId>, held: &mut Held) {
    // Circular parts are a finding of their own; here they must only not hang.
    if !seen.insert(part.clone()) {
        return;
    }
    let Some(part) = formula.part(part) else { return };
    for line in part.of.iter().filter(|l| !is_nought(l.share.value)) {
        match &line.what.value {
            Ingredient::Part(inner) => gather(formula, pantry, inner, seen, held),
            Ingredient::Item(id) => {
                held.items.insert(id.clone());
                match pantry.item(id).map(|i| &i.allergens) {
                    None | Some(Allergens::Unknown) => {
                        held.unknown.insert(id.clone());
                    }
                    Some(Allergens::Stated { contains, may_contain, .. }) => {
                        for word in contains {
                            held.contains.entry(word.value.clone()).or_default().insert(id.clone());
                        }
                        for word in may_contain {
                            held.may_contain.entry(word.value.clone()).or_default().insert(id.clone());
                        }
                    }
                }
            }
        }
    }
}

fn is_nought(share: Share) -> bool {
    match share {
        Share::Percent(p) | Share::Flour(p) => p.number().is_zero(),
        Share::Grams(g) => g.mg() == 0,
    }
}
