//! `--for home --why butter`, or `--why butter@home`: from the pieces of each home batch down to grams, cups and spoons.

use super::ChainOf;
use crate::course::{Ingredient, Item, PieceShare};
use crate::output::table::digits;
use crate::pipeline::Reckoned;
use crate::reckon::formula::piece_needs;
use crate::reckon::home::{HomeBatch, HomeLine, home_batches};
use crate::reckon::measures::{ByWeightOnly, density};
use crate::reckon::recipes::Recipes;
use crate::reckon::rounding::ScaleSteps;

/// The ingredient of `butter@home`.
pub fn named(thing: &str) -> Option<&str> {
    thing.strip_suffix("@home")
}

/// Every ingredient of every home batch, as it can be asked about.
pub fn things(reckoned: &Reckoned) -> Vec<String> {
    let batches = home_batches(&reckoned.course, &reckoned.class);
    let lines = batches.iter().flat_map(|b| &b.parts).flat_map(|p| &p.lines);
    lines
        .filter_map(|l| match &l.what {
            Ingredient::Item(id) => Some(format!("{id}@home")),
            Ingredient::Part(_) => None,
        })
        .collect()
}

impl ChainOf<'_> {
    /// How much of an ingredient each home batch takes, why so much, and how that is measured.
    pub fn item_at_home(&mut self, item: &Item) {
        let reckoned = self.reckoned;
        let (recipes, _) = Recipes::of(&reckoned.course);
        let batches = home_batches(&reckoned.course, &reckoned.class);
        let holds = |b: &&HomeBatch| b.parts.iter().any(|p| p.lines.iter().any(|l| is(l, item)));
        let with: Vec<&HomeBatch> = batches.iter().filter(holds).collect();
        if !with.is_empty() {
            self.say(
                0,
                format!("{} at home, in {} home batches", item.name.value, with.len()),
                item.id.place,
            );
        }
        for batch in with {
            let Some(recipe) = recipes.get(&batch.formula.id.value, batch.variant.as_ref()) else { continue };
            let variant = batch.variant.as_ref().map_or_else(String::new, |v| format!(", {v}"));
            let home = &batch.formula.piece.home;
            self.say(
                1,
                format!("{}{variant}: {} at home", batch.formula.id.value, pieces(batch.pieces)),
                home.place.or(batch.formula.id.place),
            );
            for (part, used) in piece_needs(&batch.formula, batch.pieces) {
                let Some(amounts) = recipe.shares.for_used(&part, used) else { continue };
                if !amounts.items().contains_key(&item.id.value) {
                    continue;
                }
                let share = batch.formula.piece.amounts.iter().find(|(p, _)| p.value == part);
                let each = share.map_or_else(String::new, |(_, share)| match share.value {
                    PieceShare::Grams(g) => format!("{} g", digits(g)),
                    PieceShare::PercentOfDough(p) => format!("{p} of the dough"),
                });
                self.say(
                    2,
                    format!(
                        "each piece takes {each} of {part}: {} x {each} = {} g",
                        batch.pieces,
                        digits(used)
                    ),
                    share.and_then(|(_, s)| s.place),
                );
                self.down(item, recipe, &amounts, 3);
            }
            for line in batch.parts.iter().flat_map(|p| &p.lines).filter(|l| is(l, item)) {
                self.measured(item, line);
            }
        }
    }

    /// What the scale shows, and what cups and spoons make of it.
    fn measured(&mut self, item: &Item, line: &HomeLine) {
        let settings = &self.reckoned.course.settings;
        let step = ScaleSteps::of(settings).step(Some(item), line.exact);
        self.say(
            2,
            format!(
                "{} g on a scale that shows {} g: {} g",
                digits(line.exact),
                digits(step),
                digits(line.grams)
            ),
            item.weigh.as_ref().and_then(|w| w.place).or(settings.scale_step.place),
        );
        let measure = match (&line.volume, density(item)) {
            (Some(Ok(volume)), Some(by)) => format!(
                "{} g at {} g/ml{} measure {volume}, which holds {} g: {:+} %",
                digits(line.grams),
                by.grams_per_ml.round_dp(3).normalize(),
                by.row.map_or_else(String::new, |r| format!(" ({}, {})", r.row, r.source)),
                digits(volume.holds),
                volume.error.number().round_dp(1).normalize()
            ),
            (Some(Err(ByWeightOnly::TooCoarse)), _) => {
                "spoons would be off by more than 5 %: it is weighed".to_owned()
            }
            (Some(Err(ByWeightOnly::NoDensity)), _) => {
                "neither the pantry nor the built-in table says what a cup of it weighs: it is weighed"
                    .to_owned()
            }
            _ => return,
        };
        self.say(3, measure, item.density.as_ref().and_then(|d| d.place).or(item.id.place));
    }
}

fn is(line: &HomeLine, item: &Item) -> bool {
    line.what == Ingredient::Item(item.id.value.clone())
}

fn pieces(n: u32) -> String {
    if n == 1 { "1 piece".to_owned() } else { format!("{n} pieces") }
}
