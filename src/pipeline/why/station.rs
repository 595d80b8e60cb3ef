//! `--why butter@station-3`: from the pieces of one station down to the grams of one ingredient, step by step.

use super::ChainOf;
use crate::course::{Basis, Chain, ForEach, Ingredient, Item, Lesson, PartId, PieceShare, StationNo, Step};
use crate::finding::Place;
use crate::output::json::scale::whom;
use crate::output::table::digits;
use crate::pipeline::Reckoned;
use crate::reckon::formula::PartAmounts;
use crate::reckon::recipes::{Recipe, Recipes};
use crate::reckon::rounding::ScaleSteps;
use crate::reckon::weigh::{Group, List, Who};
use crate::reckon::work::{Portion, Whom};
use crate::units::Grams;

/// `butter@station-3` taken apart.
pub fn named(thing: &str) -> Option<(&str, StationNo)> {
    let (item, station) = thing.split_once("@station-")?;
    Some((item, StationNo(station.parse().ok()?)))
}

impl ChainOf<'_> {
    /// How much of an ingredient a station gets, from which parts, and why so much of each.
    pub fn item_of_station(&mut self, item: &Item, no: StationNo) {
        let reckoned = self.reckoned;
        let Some(group) = reckoned.weighed.stations.iter().find(|g| is_station(g, no)) else { return };
        let portions: Vec<&Portion> =
            reckoned.portions.iter().filter(|p| p.whom == Whom::Station(no) && p.pieces > 0).collect();
        let (recipes, _) = Recipes::of(&reckoned.course);
        let with: Vec<(&Portion, &Recipe, PartAmounts)> = portions
            .into_iter()
            .filter_map(|p| {
                let recipe = recipes.get(&p.formula, p.variant.as_ref())?;
                let amounts = recipe.shares.for_used(&p.part, p.used)?;
                (amounts.items().get(&item.id.value).copied()? > Grams::ZERO).then_some((p, recipe, amounts))
            })
            .collect();
        let exact: Grams = with.iter().filter_map(|(_, _, a)| a.items().get(&item.id.value).copied()).sum();
        let own: Grams = weighed_of(group, item);
        self.say(
            0,
            format!(
                "{} for station {no}: {} g by the formulas; {} g of it the station weighs itself",
                item.name.value,
                digits(exact),
                digits(own)
            ),
            item.id.place,
        );
        for (portion, recipe, amounts) in with {
            self.portion(item, group, portion, recipe, &amounts);
        }
    }

    fn portion(
        &mut self,
        item: &Item,
        group: &Group,
        portion: &Portion,
        recipe: &Recipe,
        amounts: &PartAmounts,
    ) {
        let Some(lesson) = self.reckoned.course.lesson(&portion.lesson) else { return };
        let grams = amounts.items().get(&item.id.value).copied().unwrap_or_default();
        self.say(
            1,
            format!("{}, {}: {} g", portion.lesson, portion.part, digits(grams)),
            recipe.formula.id.place,
        );
        self.pieces(lesson, group, portion);
        if let Some((_, share)) = recipe.formula.piece.amounts.iter().find(|(p, _)| p.value == portion.part) {
            let each = match share.value {
                PieceShare::Grams(g) => format!("{} g", digits(g)),
                PieceShare::PercentOfDough(p) => format!("{p} of the dough"),
            };
            let text = format!(
                "each piece takes {each} of {}: {} x {each} = {} g",
                portion.part,
                portion.pieces,
                digits(portion.used)
            );
            self.say(2, text, share.place);
        }
        self.down(item, recipe, amounts, 2);
        self.on_the_scale(item, group, portion);
    }

    fn pieces(&mut self, lesson: &Lesson, group: &Group, portion: &Portion) {
        let students = if let Who::Station(_, n) = group.who { n } else { 0 };
        let makes = &lesson.makes.pieces;
        let text = match lesson.makes.for_each.value {
            ForEach::Student => {
                format!("{} for each of {students} students: {} pieces", makes.value, portion.pieces)
            }
            ForEach::Station => format!("{} for each station: {} pieces", makes.value, portion.pieces),
            ForEach::Class => format!("{} for the class, shared out: {} pieces", makes.value, portion.pieces),
        };
        self.say(2, text, makes.place);
    }

    /// From what is used of a part to what is weighed of the ingredient, through the parts inside.
    pub(super) fn down(&mut self, item: &Item, recipe: &Recipe, amounts: &PartAmounts, depth: usize) {
        let Some(part) = recipe.formula.part(&amounts.part) else { return };
        if amounts.weighed != amounts.used {
            let text = format!(
                "{} loses {} between scale and use: {} / (1 - {}) = {} g are weighed",
                part.id,
                part.loses.value,
                digits(amounts.used),
                part.loses.value,
                digits(amounts.weighed)
            );
            self.say(depth, text, part.loses.place);
        }
        let Some(resolved) = recipe.shares.part(&amounts.part) else { return };
        for (what, grams) in &amounts.lines {
            let line = resolved.lines.iter().find(|l| l.what == *what);
            let place = self.line_place(recipe, &amounts.part, what);
            let (name, inner) = match what {
                Ingredient::Item(id) if *id == item.id.value => (id.to_string(), None),
                Ingredient::Item(_) => continue,
                Ingredient::Part(id) => {
                    let inner = amounts.inner.iter().find(|i| i.part == *id);
                    let holds = inner.is_some_and(|i| i.items().contains_key(&item.id.value));
                    if !holds {
                        continue;
                    }
                    (id.to_string(), inner)
                }
            };
            let Some(line) = line else { continue };
            let unit = if resolved.basis == Basis::Piece { " g" } else { " %" };
            let total = resolved.weighed.round_dp(3).normalize();
            let text = format!(
                "{name} is {}{unit} of the {total}{unit} that its lines come to: {} x {} / {total} = {} g",
                line.per_basis.round_dp(3).normalize(),
                digits(amounts.weighed),
                line.per_basis.round_dp(3).normalize(),
                digits(*grams)
            );
            self.say(depth, text, place);
            if let Some(inner) = inner {
                self.down(item, recipe, inner, depth + 1);
            }
        }
    }

    /// The line of the formula, or that of the variant which replaces it.
    fn line_place(&self, recipe: &Recipe, part: &PartId, what: &Ingredient) -> Option<Place> {
        let line = recipe.formula.part(part)?.of.iter().find(|l| l.what.value == *what)?;
        line.share.place
    }

    /// Who weighs it, and what the scale shows.
    fn on_the_scale(&mut self, item: &Item, group: &Group, portion: &Portion) {
        let of_portion = |list: &&List| list.lesson == portion.lesson && list.part == portion.part;
        let Some(list) = group.lists.iter().find(of_portion) else { return };
        if let Some(weight) = list.ingredients.iter().find(|w| w.item == item.id.value) {
            let settings = &self.reckoned.course.settings;
            let step = ScaleSteps::of(settings).step(Some(item), weight.exact);
            let place = item.weigh.as_ref().and_then(|w| w.place).or(settings.scale_step.place);
            let text = format!(
                "the station weighs it on a scale that shows {} g: {} g",
                digits(step),
                digits(weight.grams)
            );
            self.say(2, text, place);
            return;
        }
        let Some(no) = list.batch else { return };
        let shared = self.reckoned.weighed.shared.iter().find(|g| {
            matches!(&g.who, Who::Shared { lesson, part, batch, .. }
                if *lesson == list.lesson && *part == list.part && *batch == no)
        });
        let in_batch = shared.map(|g| weighed_of(g, item)).filter(|g| *g > Grams::ZERO);
        let Some(in_batch) = in_batch else { return };
        let key = (list.lesson.clone(), list.part.clone());
        let batch = self.reckoned.choice.batches.get(&key).and_then(|b| b.iter().find(|b| b.no == no));
        let for_all = batch.map_or_else(String::new, |b| {
            b.members.iter().map(|(w, _)| whom(w)).collect::<Vec<_>>().join(", ")
        });
        let text = format!(
            "it is weighed once, in batch {no} of {}.{} ({for_all}): {} g; the station fetches {} g of that {}",
            list.lesson,
            list.part,
            digits(in_batch),
            digits(list.total),
            list.part
        );
        let lesson = self.reckoned.course.lesson(&list.lesson);
        let on_part = |s: &&Step| s.on.iter().any(|c| c.value == Chain::Part(list.part.clone()));
        let first = lesson.and_then(|l| l.steps.iter().find(on_part));
        let place = first.and_then(|s| s.share.as_ref().map_or(s.id.place, |share| share.place));
        self.say(2, text, place);
        if let Some(batch) = batch {
            self.say(3, batch.why.clone(), place);
        }
    }
}

fn is_station(group: &Group, no: StationNo) -> bool {
    matches!(group.who, Who::Station(n, _) if n == no)
}

fn weighed_of(group: &Group, item: &Item) -> Grams {
    let weights = group.lists.iter().flat_map(|l| &l.ingredients);
    weights.filter(|w| w.item == item.id.value).map(|w| w.grams).sum()
}

/// Every ingredient of every station, as it can be asked about.
pub fn things(reckoned: &Reckoned) -> Vec<String> {
    let (recipes, _) = Recipes::of(&reckoned.course);
    let mut things = Vec::new();
    for portion in &reckoned.portions {
        let Whom::Station(no) = portion.whom else { continue };
        let recipe = recipes.get(&portion.formula, portion.variant.as_ref());
        let amounts = recipe.and_then(|r| r.shares.for_used(&portion.part, portion.used));
        things.extend(
            amounts.iter().flat_map(|a| a.items().into_keys()).map(|item| format!("{item}@station-{no}")),
        );
    }
    things
}
