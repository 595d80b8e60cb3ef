//! Which allergens are in a piece, through its parts, and what that means for someone who avoids one.
//!
//! Nothing here says that a thing is fine to eat. The best that can be said is that nothing is listed: labels must be
//! read, and the kitchen is shared.

use super::labels::places;
use super::list_words::is_on;
use crate::course::{
    AllergenId, Allergens, Formula, Ingredient, Item, ItemId, ItemKind, Pantry, PartId, Share, allergen_words,
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
    /// For ingredients that may be made of several things: what the course says of them in words, if it does. Their packs name what
    /// is on the list and need not name anything else.
    pub made_of: BTreeMap<ItemId, Option<String>>,
    /// The allergen list by which the packs were read.
    pub list: String,
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
    /// The same for people, who would look for a finding by a word with a hyphen.
    pub const fn plain(self) -> &'static str {
        match self {
            Verdict::NoneListed => "none listed",
            Verdict::SharedKitchen => "same kitchen",
            Verdict::Unknown => "unknown",
            Verdict::MayContain => "may contain",
            Verdict::Contains => "contains",
        }
    }
    /// The word for it to programs, and to the templates.
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
        self.unlisted(avoided)
    }

    /// What is known of something that is not on the course's list: what an ingredient is made of by its own words, and else nothing.
    fn unlisted(&self, avoided: &AllergenId) -> (Verdict, Vec<ItemId>) {
        if is_on(&self.list, avoided) {
            return (Verdict::NoneListed, Vec::new());
        }
        let known = allergen_words::word(avoided.as_str());
        let words = || known.into_iter().flat_map(|w| w.also.iter().copied()).chain([avoided.as_str()]);
        let named = |text: &str| words().any(|w| !places(text, &w.replace('-', " ")).is_empty());
        let such = |is: &dyn Fn(&Option<String>) -> bool| -> Vec<ItemId> {
            self.made_of.iter().filter(|(_, words)| is(words)).map(|(id, _)| id.clone()).collect()
        };
        let contains = such(&|words| words.as_ref().is_some_and(|text| named(text)));
        if !contains.is_empty() {
            return (Verdict::Contains, contains);
        }
        match such(&Option::is_none) {
            none if none.is_empty() => (Verdict::NoneListed, none),
            unread => (Verdict::Unknown, unread),
        }
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
        self.made_of.extend(other.made_of);
        if self.list.is_empty() {
            self.list = other.list;
        }
    }
}

/// The allergens of a whole piece: of every part that it takes, and of every part inside those. The formula is taken as a
/// variant made it (`formula::with_variant`); a line of nought brings nothing. A part that is written down and that nothing takes
/// counts as taken: what was forgotten in the piece is in it all the same.
pub fn of_piece(formula: &Formula, pantry: &Pantry) -> Held {
    let mut held = Held { list: pantry.read_for.clone(), ..Held::default() };
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
    let mut held = Held { list: pantry.read_for.clone(), ..Held::default() };
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
                if let Some(words) = pantry.item(id).map_or(Some(None), made_of) {
                    held.made_of.insert(id.clone(), words);
                }
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

/// What the course says in words of what an ingredient is made of; `None`: it is one thing by nature.
fn made_of(item: &Item) -> Option<Option<String>> {
    use ItemKind::{Egg, FreshYeast, Milk, Salt, Water, White, Yolk};
    match (item.kind.value, &item.label) {
        (_, Some(label)) => Some(Some(label.value.clone())),
        (Egg | Yolk | White | Milk | Salt | Water | FreshYeast, None) => None,
        _ => Some(None),
    }
}

fn is_nought(share: Share) -> bool {
    match share {
        Share::Percent(p) | Share::Flour(p) => p.number().is_zero(),
        Share::Grams(g) => g.mg() == 0,
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::reckon::sample::{at, buns, pantry};

    fn of(pantry: &Pantry, avoided: &str) -> (Verdict, Vec<String>) {
        let (verdict, by) = of_piece(&buns(), pantry).verdict(&avoided.into());
        (verdict, by.iter().map(ToString::to_string).collect())
    }

    /// Lists `us9` and `eu14`: mustard is on the European list and not on the American one, so an American pack need not name it. The
    /// buns are flour, milk, sugar, salt, yeast and butter; milk and salt are one thing each.
    #[test]
    fn what_is_not_on_the_list_is_unknown_where_an_ingredient_may_be_made_of_several_things() {
        let mut pantry = pantry();
        assert_eq!(of(&pantry, "mustard").0, Verdict::NoneListed);
        pantry.read_for = "us9".to_owned();
        let unread = ["butter", "instant-yeast", "strong-flour", "sugar"];
        assert_eq!(of(&pantry, "mustard"), (Verdict::Unknown, unread.map(str::to_owned).to_vec()));
        // On the list: nobody wrote it, and it would have been written.
        assert_eq!(of(&pantry, "sesame").0, Verdict::NoneListed);
        assert_eq!(of(&pantry, "milk").0, Verdict::Contains);
        // On no list at all.
        pantry.read_for = "eu14".to_owned();
        assert_eq!(of(&pantry, "cardamom").0, Verdict::Unknown);
        // No list: packs say nothing.
        pantry.read_for = String::new();
        assert_eq!(of(&pantry, "sesame").0, Verdict::Unknown);
    }

    #[test]
    fn what_an_ingredient_is_made_of_by_its_label_decides() {
        let mut pantry = pantry();
        for item in &mut pantry.items {
            item.label = Some(at(item.id.value.to_string()));
        }
        assert_eq!(of(&pantry, "cardamom").0, Verdict::NoneListed);
        let sugar = pantry.items.iter_mut().find(|i| i.id.value.as_str() == "sugar").unwrap();
        sugar.label = Some(at("Chai sugar (sugar, Cardamom, cloves)".to_owned()));
        assert_eq!(of(&pantry, "cardamom"), (Verdict::Contains, vec!["sugar".to_owned()]));
    }
}
