//! The label of what goes home: ingredients in descending weight as used, allergens set off, dates, how to keep it.
//!
//! Help, not a legal label: packs are read each time, local codes decide, and what is not known is printed as unknown.

use super::allergens::{Held, of_piece};
use super::formula::piece_needs;
use super::list_words::{contained, is_on, named, summary};
use super::nutrition::{Factors, Nutrition, per_hundred};
use super::part_fates::Fates;
use super::people::LessonContents;
use super::recipes::{Recipe, Recipes};
use crate::course::{
    AllergenId, Basis, Course, Formula, FormulaId, Item, ItemId, ItemKind, Lesson, Pantry, Part, PartId,
    VariantId,
};
use crate::finding::Finding;
use crate::reckon::safety::control::{Need, need};
use crate::reckon::safety::then_cold::not_in_yet;
use crate::units::{Grams, Percent};
use jiff::civil::{Date, DateTime, Time};
use rust_decimal::Decimal;
use std::collections::{BTreeMap, BTreeSet};

/// Where added water stands in the list.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Water {
    /// By what is left of it in the finished food; dropped at 5 % of that or less (row `lab-water`).
    Left,
    /// By its weight as added (row `lab-us-water`, not seen in print; `lab-ca` before it is combined).
    AsAdded,
}

/// What a list's place asks of a label.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct PlaceRules {
    /// Where added water stands.
    pub water: Water,
    /// A "Contains" line stands after the list; where it is forbidden there is none (row `lab-no-repeat`).
    pub contains_line: bool,
    /// Energy factors.
    pub factors: Factors,
}

/// The rules of the place whose allergen list a course uses.
#[must_use]
pub fn place_rules(list: &str) -> PlaceRules {
    match list {
        "us9" => PlaceRules { water: Water::AsAdded, contains_line: true, factors: Factors::Us },
        "ca" => PlaceRules { water: Water::AsAdded, contains_line: true, factors: Factors::Us },
        "anz" => PlaceRules { water: Water::AsAdded, contains_line: true, factors: Factors::Eu },
        "codex" => PlaceRules { water: Water::AsAdded, contains_line: false, factors: Factors::Eu },
        _ => PlaceRules { water: Water::Left, contains_line: false, factors: Factors::Eu },
    }
}

/// At this share of the finished food or less, added water need not be listed (row `lab-water`).
const WATER_MAY_GO: i64 = 5;

/// A stretch of text; an allergen's name is set off.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Run {
    /// The text.
    pub text: String,
    /// Set off.
    pub strong: bool,
}

/// One ingredient of a label.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Listed {
    /// Which.
    pub item: ItemId,
    /// Its weight in one piece, as it decides the order.
    pub grams: Grams,
    /// Its share, where the course asks for it: of the finished food where that is known, else of the mix.
    pub percent: Option<Percent>,
    /// Its name with its allergens.
    pub runs: Vec<Run>,
}

/// A label.
#[derive(Clone, PartialEq, Debug)]
pub struct Label {
    /// The formula.
    pub formula: FormulaId,
    /// The variant.
    pub variant: Option<VariantId>,
    /// The name that is printed.
    pub name: String,
    /// The ingredients, most first.
    pub ingredients: Vec<Listed>,
    /// The order is that of the place's rule; `false`: nobody wrote the loss in the bake, so what is left of the added water, and
    /// where it stands, is not known.
    pub order_known: bool,
    /// The "Contains" line in the list's words; empty where the place forbids one beside a list.
    pub contains: Vec<String>,
    /// What packs say it may contain, in the list's words.
    pub may_contain: Vec<String>,
    /// Names of ingredients whose allergens nobody has read.
    pub unknown: Vec<String>,
    /// The weight of the finished piece, where the loss in the bake is known.
    pub net: Option<Grams>,
    /// Energy and nutrients per 100 g, an estimate; `None` where the finished weight is unknown.
    pub nutrition: Option<Nutrition>,
    /// Baked on, or fried, or else made on.
    pub made: Option<Date>,
    /// Eat by; `None`: nobody wrote how long it keeps.
    pub eat_by: Option<Date>,
    /// The time of that day by which what goes home unbaked must be baked: it keeps for hours, and not to the day's end.
    pub bake_by: Option<Time>,
    /// A filling that needs the cold is in it: the date is one of safety, not of quality (row `lab-use-by`).
    pub perishable: bool,
    /// Something cooked with egg or milk is in it, and nobody wrote whether it needs the cold.
    pub cold_unknown: bool,
    /// How to keep it.
    pub keep: Option<String>,
    /// Who made it.
    pub maker: String,
    /// It goes home unbaked: `eat_by` is the day by which it must be baked.
    pub unbaked: bool,
}

/// The label of a formula as one variant makes it. `fates`: what becomes of its parts; `None`: the formula does not
/// resolve.
#[must_use]
pub fn label(
    course: &Course,
    recipe: &Recipe,
    variant: Option<&VariantId>,
    fates: &Fates,
    made: Option<Date>,
) -> Option<Label> {
    let keeps = recipe.formula.keeps_days.as_ref().map(|d| i64::from(d.value));
    let eat_by = made
        .zip(keeps)
        .and_then(|(made, days)| made.checked_add(jiff::Span::new().try_days(days).ok()?).ok());
    let label = of_piece_weights(course, recipe, variant, weights(recipe, fates)?, (made, eat_by))?;
    let formula = &recipe.formula;
    let cold_unknown = !label.perishable && !cold_unsaid(formula, fates, &course.pantry).is_empty();
    Some(Label { cold_unknown, ..label })
}

/// The cooked parts of a piece of which nobody has written whether they need the cold.
#[must_use]
pub fn cold_unsaid<'a>(formula: &'a Formula, fates: &Fates, pantry: &Pantry) -> Vec<&'a Part> {
    let unsaid = |part: &&Part| {
        part.basis.value != Basis::Flour
            && fates.cooked.contains(&part.id.value)
            && need(formula, part, pantry) == Need::ByDefinition
    };
    parts_within(formula).into_iter().filter(unsaid).collect()
}

/// Whether a piece holds a part that the teacher says needs the cold.
#[must_use]
pub fn needs_the_cold(formula: &Formula) -> bool {
    parts_within(formula).iter().any(|p| p.needs_cold.as_ref().is_some_and(|n| n.value))
}

/// The parts of a piece, and those within them.
#[must_use]
pub fn parts_within(formula: &Formula) -> Vec<&Part> {
    let own = |part: &PartId| formula.piece.amounts.iter().any(|(outer, _)| outer.value == *part);
    let within =
        |part: &PartId| formula.piece.amounts.iter().any(|(outer, _)| formula.goes_into(part, &outer.value));
    formula.parts.iter().filter(|p| own(&p.id.value) || within(&p.id.value)).collect()
}

impl Label {
    /// The label of a perishable piece with a date that is not beyond the last day that a rule allows; any other as it is.
    #[must_use]
    pub fn not_beyond(self, last: Option<Date>) -> Label {
        match last {
            Some(last) if self.perishable && !self.unbaked => {
                Label { eat_by: Some(self.eat_by.map_or(last, |by| by.min(last))), ..self }
            }
            _ => self,
        }
    }
}

/// The label of a piece that goes home unbaked: nothing has been lost in an oven yet, and its date is that by which it must be
/// baked. It says nothing of energy, which is reckoned for what is eaten. What comes to it at home is among its ingredients, so that
/// nobody overlooks it, and is not in its weight. `None` as well where its lesson is none whose pieces go home unbaked.
#[must_use]
pub fn unbaked_label(
    course: &Course,
    recipe: &Recipe,
    variant: Option<&VariantId>,
    lesson: &Lesson,
    (made, bake_by): (Option<Date>, Option<DateTime>),
) -> Option<Label> {
    let up_to = &lesson.bake_at_home.as_ref()?.up_to.value;
    let mut piece = weights(recipe, &Fates::of(lesson, &recipe.formula))?;
    let raw = piece.raw;
    piece.finished = Some(raw);
    let to_come = not_in_yet(lesson, &recipe.formula, up_to);
    let needs = piece_needs(&recipe.formula, 1).into_iter();
    let later: Grams = needs.filter(|(part, _)| to_come.contains(part)).map(|(_, grams)| grams).sum();
    let dates = (made, bake_by.map(|by| by.date()));
    let label = of_piece_weights(course, recipe, variant, piece, dates)?;
    Some(Label {
        unbaked: true,
        perishable: true,
        nutrition: None,
        keep: None,
        net: Some(raw - later),
        bake_by: bake_by.map(|by| by.time()),
        ..label
    })
}

fn of_piece_weights(
    course: &Course,
    recipe: &Recipe,
    variant: Option<&VariantId>,
    piece: PieceWeights,
    (made, eat_by): (Option<Date>, Option<Date>),
) -> Option<Label> {
    let formula = &recipe.formula;
    let list = course.settings.allergen_list.value.as_str();
    let rules = place_rules(list);
    let ordered = in_order(&piece, rules.water, &course.pantry);
    let order_known = is_order_known(&piece, rules.water, &course.pantry);
    let whole = piece.finished.unwrap_or_else(|| ordered.iter().map(|(_, g)| *g).sum());
    let ingredients = ordered
        .into_iter()
        .map(|(item, grams)| Listed {
            percent: course.settings.label_percentages.value.then(|| share(grams, whole)).flatten(),
            runs: runs(&item, list, course.settings.language.value == "en", &course.pantry),
            item,
            grams,
        })
        .collect();
    let held = of_piece(formula, &course.pantry);
    let words = |of: &BTreeMap<AllergenId, BTreeSet<ItemId>>| of.keys().map(|a| named(list, a)).collect();
    let contains = if rules.contains_line { summary(list, held.contains.keys()) } else { Vec::new() };
    Some(Label {
        formula: formula.id.value.clone(),
        variant: variant.cloned(),
        name: formula.name.value.clone(),
        ingredients,
        order_known,
        contains,
        may_contain: words(&only_may(&held)),
        unknown: held.unknown.iter().map(|id| name_of(&course.pantry, id)).collect(),
        net: piece.finished,
        nutrition: piece
            .finished
            .and_then(|finished| per_hundred(rules.factors, &piece.items, finished, &course.pantry)),
        made,
        eat_by,
        bake_by: None,
        unbaked: false,
        perishable: needs_the_cold(formula),
        cold_unknown: false,
        keep: formula.store.as_ref().map(|s| s.value.clone()),
        maker: course.settings.host.value.clone(),
    })
}

/// What is handled in the room while a piece is made and is not in the piece, and ingredients of the room of which nobody has
/// read whether they hold it: for the statement that a shared kitchen owes (row `lab-minimum`).
#[must_use]
pub fn shared_kitchen(
    own: &Held,
    room: &[LessonContents],
    list: &str,
    pantry: &Pantry,
) -> (Vec<String>, Vec<String>) {
    let (mut words, mut unread): (Vec<String>, Vec<String>) = (Vec::new(), Vec::new());
    for made in room {
        let handled = made.held.contains.keys().chain(made.held.may_contain.keys());
        // What is in the piece, or may be, is said above it.
        let said = |a: &AllergenId| own.contains.contains_key(a) || own.may_contain.contains_key(a);
        for allergen in handled.filter(|a| !said(a) && is_on(list, a)) {
            let word = named(list, allergen);
            if !words.contains(&word) {
                words.push(word);
            }
        }
        for item in made.held.unknown.iter().filter(|i| !own.unknown.contains(*i)) {
            let name = name_of(pantry, item);
            if !unread.contains(&name) {
                unread.push(name);
            }
        }
    }
    words.sort();
    unread.sort();
    (words, unread)
}

/// What is certain is not said again as a maybe.
fn only_may(held: &Held) -> BTreeMap<AllergenId, BTreeSet<ItemId>> {
    held.may_contain
        .iter()
        .filter(|(a, _)| !held.contains.contains_key(a))
        .map(|(a, i)| (a.clone(), i.clone()))
        .collect()
}

/// What goes into one piece, and what it weighs when it is baked.
#[derive(Clone, PartialEq, Debug)]
pub struct PieceWeights {
    /// By ingredient, at the mixing bowl; what sticks to hook and bowl is not in the piece.
    pub items: BTreeMap<ItemId, Grams>,
    /// The finished piece; `None`: the loss in the bake is not written.
    pub finished: Option<Grams>,
    /// The piece before its bake.
    pub raw: Grams,
}

/// The weights of one piece. What a cooked part loses is steam: its ingredients count in full. What any other part loses
/// sticks somewhere, and is taken off all its ingredients alike.
#[must_use]
pub fn weights(recipe: &Recipe, fates: &Fates) -> Option<PieceWeights> {
    let formula: &Formula = &recipe.formula;
    let mut items: BTreeMap<ItemId, Grams> = BTreeMap::new();
    let mut used = Grams::ZERO;
    for (part, grams) in piece_needs(formula, 1) {
        let amounts = recipe.shares.for_used(&part, grams)?;
        used += grams;
        for (item, weighed) in amounts.items() {
            let kept = if fates.cooked.contains(&part) {
                weighed
            } else {
                weighed.ratio(amounts.used.mg(), amounts.weighed.mg())
            };
            *items.entry(item).or_default() += kept;
        }
    }
    let finished = formula.piece.bake_loss.as_ref().map(|loss| fates.finished(formula, loss.value));
    Some(PieceWeights { items, finished, raw: used })
}

fn is_water(pantry: &Pantry, id: &ItemId) -> bool {
    pantry.item(id).is_some_and(|i| i.kind.value == ItemKind::Water)
}

/// Where the place asks what is left of added water, the loss in the bake must be known for it.
fn is_order_known(piece: &PieceWeights, water: Water, pantry: &Pantry) -> bool {
    let added = || piece.items.iter().any(|(id, grams)| grams.mg() > 0 && is_water(pantry, id));
    water == Water::AsAdded || piece.finished.is_some() || !added()
}

/// What is told of labels whose order of ingredients nobody can know, once for each formula that is taught.
#[must_use]
pub fn order_findings(course: &Course, recipes: &Recipes) -> Vec<Finding> {
    let rules = place_rules(&course.settings.allergen_list.value);
    let mut all = Vec::new();
    let mut told: BTreeSet<&FormulaId> = BTreeSet::new();
    for lesson in &course.lessons {
        let id = &lesson.formula.value;
        let (Some(recipe), true) = (recipes.get(id, None), told.insert(id)) else { continue };
        let piece = weights(recipe, &Fates::default());
        if piece.is_none_or(|piece| is_order_known(&piece, rules.water, &course.pantry)) {
            continue;
        }
        all.push(
            Finding::note(
                "label-order-unknown",
                recipe.formula.id.place,
                format!(
                    "the label of `{id}` lists water by its weight as added: without the loss in the bake nobody knows what is left of it"
                ),
            )
            .about(id.to_string())
            .way_out("weigh a piece before and after the bake, and write `bake-loss` under `[piece]` (lab-water: Regulation (EU) No 1169/2011, Annex VII, Part A, point 1)"),
        );
    }
    all
}

/// The ingredients, most first; equals in the order of their ids.
fn in_order(piece: &PieceWeights, water: Water, pantry: &Pantry) -> Vec<(ItemId, Grams)> {
    let is_water = |id: &ItemId| is_water(pantry, id);
    let mut list: Vec<(ItemId, Grams)> =
        piece.items.iter().filter(|(_, g)| g.mg() > 0).map(|(id, g)| (id.clone(), *g)).collect();
    if let (Water::Left, Some(finished)) = (water, piece.finished) {
        let rest: Grams = list.iter().filter(|(id, _)| !is_water(id)).map(|(_, g)| *g).sum();
        let added: Grams = list.iter().filter(|(id, _)| is_water(id)).map(|(_, g)| *g).sum();
        // Never more than was added: what else is heavier was steam.
        let left = (finished - rest).min(added);
        let listed = left > finished.ratio(WATER_MAY_GO, 100);
        list.retain(|(id, _)| !is_water(id) || listed);
        for (_, grams) in list.iter_mut().filter(|(id, _)| is_water(id)) {
            *grams = left.ratio(grams.mg(), added.mg());
        }
    }
    list.sort_by(|a, b| b.1.cmp(&a.1).then_with(|| a.0.cmp(&b.0)));
    list
}

/// The share of the whole, to a tenth of a per cent.
fn share(grams: Grams, whole: Grams) -> Option<Percent> {
    let of = grams.to_decimal().checked_div(whole.to_decimal())?;
    Some(Percent::new((of * Decimal::ONE_HUNDRED).round_dp(1)))
}

fn name_of(pantry: &Pantry, id: &ItemId) -> String {
    let item = pantry.item(id);
    item.map_or_else(|| id.as_str().to_owned(), |i| label_name(i).to_owned())
}

fn label_name(item: &Item) -> &str {
    item.label.as_ref().map_or(&item.name.value, |l| &l.value)
}

/// An ingredient's name with what the list asks to be set off: the word itself where it stands in the name, or after it. On pages of
/// another language the word that the name has is not that language's: it stands after the name there, and is translated.
fn runs(id: &ItemId, list: &str, in_english: bool, pantry: &Pantry) -> Vec<Run> {
    let Some(item) = pantry.item(id) else {
        return vec![Run { text: id.as_str().to_owned(), strong: false }];
    };
    let name = label_name(item);
    let mut strong: Vec<(usize, usize)> = Vec::new();
    let mut after: Vec<String> = Vec::new();
    for allergen in contained(item).into_iter().filter(|a| is_on(list, a)) {
        let word = allergen.as_str().replace('-', " ");
        let found = if in_english { places(name, &word) } else { Vec::new() };
        if found.is_empty() {
            after.push(word);
        }
        strong.extend(found);
    }
    let mut runs = cut(name, strong);
    if !after.is_empty() {
        runs.push(Run { text: " (".to_owned(), strong: false });
        for (n, word) in after.into_iter().enumerate() {
            if n > 0 {
                runs.push(Run { text: ", ".to_owned(), strong: false });
            }
            runs.push(Run { text: word, strong: true });
        }
        runs.push(Run { text: ")".to_owned(), strong: false });
    }
    runs
}

/// Where a word stands in a name, a plural `s` included, whatever the case. Bytes of the name as it is written: small letters
/// may be shorter or longer than the great ones that they stand for.
pub(super) fn places(name: &str, word: &str) -> Vec<(usize, usize)> {
    // Each small letter with where the letter that it comes from begins and ends.
    let small: Vec<(char, usize, usize)> = name
        .char_indices()
        .flat_map(|(at, c)| c.to_lowercase().map(move |small| (small, at, at + c.len_utf8())))
        .collect();
    let word: Vec<char> = word.chars().collect();
    if word.is_empty() {
        return Vec::new();
    }
    let letter = |n: Option<usize>| n.and_then(|n| small.get(n)).is_some_and(|(c, ..)| c.is_alphanumeric());
    let starts = 0..small.len().saturating_sub(word.len() - 1);
    starts
        .filter_map(|start| {
            let mut end = start + word.len();
            if !small.get(start..end)?.iter().map(|(c, ..)| c).eq(&word) {
                return None;
            }
            if small.get(end).is_some_and(|(c, ..)| *c == 's') {
                end += 1;
            }
            let free = !letter(start.checked_sub(1)) && !letter(Some(end));
            free.then(|| (small[start].1, small[end - 1].2))
        })
        .collect()
}

/// A text cut at its strong stretches.
fn cut(text: &str, mut strong: Vec<(usize, usize)>) -> Vec<Run> {
    strong.sort_unstable();
    let mut runs = Vec::new();
    let mut at = 0;
    for (start, end) in strong {
        if start < at {
            continue;
        }
        if start > at {
            runs.push(Run { text: text[at..start].to_owned(), strong: false });
        }
        runs.push(Run { text: text[start..end].to_owned(), strong: true });
        at = end;
    }
    if at < text.len() {
        runs.push(Run { text: text[at..].to_owned(), strong: false });
    }
    runs
}

#[cfg(test)]
#[path = "labels_tests.rs"]
mod tests;
