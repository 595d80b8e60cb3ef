//! What a stand-in changes, for programs.

use super::{InGrams, decimal};
use crate::course::ItemId;
use crate::reckon::stand_in::Effect;
use serde::Serialize;

/// What `swap` answers.
#[derive(Serialize, Debug)]
pub struct SwapView {
    /// The ingredient.
    pub item: String,
    /// The stand-in.
    pub stand_in: String,
    /// Weighed of the ingredient.
    pub was_grams: InGrams,
    /// Weighed of the stand-in.
    pub now_grams: InGrams,
    /// ISO 4217 code.
    pub currency: String,
    /// The whole order before.
    pub cost_was: String,
    /// And after.
    pub cost_now: String,
    /// Whether all that is needed can be had before; if not, `cost_was` is what it comes to at least.
    pub complete_was: bool,
    /// And after.
    pub complete_now: bool,
    /// Allergens that come in.
    pub allergens_gained: Vec<String>,
    /// Allergens that go.
    pub allergens_lost: Vec<String>,
    /// Nobody has read the stand-in's pack.
    pub allergens_unknown: bool,
    /// Parts whose water changes.
    pub hydration: Vec<WaterView>,
}

/// One part.
#[derive(Serialize, Debug)]
pub struct WaterView {
    /// The formula.
    pub formula: String,
    /// The part.
    pub part: String,
    /// Per cent before; `None`: unknown.
    pub was: Option<String>,
    /// Per cent after.
    pub now: Option<String>,
}

impl SwapView {
    /// A view of an effect.
    #[must_use]
    pub fn of(item: &ItemId, other: &ItemId, currency: &str, effect: &Effect) -> Self {
        let names = |all: &[crate::course::AllergenId]| all.iter().map(ToString::to_string).collect();
        SwapView {
            item: item.to_string(),
            stand_in: other.to_string(),
            was_grams: InGrams(effect.was),
            now_grams: InGrams(effect.now),
            currency: currency.to_owned(),
            cost_was: decimal(effect.cost.0, currency),
            cost_now: decimal(effect.cost.1, currency),
            complete_was: effect.complete.0,
            complete_now: effect.complete.1,
            allergens_gained: names(&effect.gained),
            allergens_lost: names(&effect.lost),
            allergens_unknown: effect.unknown,
            hydration: effect
                .water
                .iter()
                .map(|w| WaterView {
                    formula: w.formula.to_string(),
                    part: w.part.to_string(),
                    was: w.was.map(|p| p.number().round_dp(2).normalize().to_string()),
                    now: w.now.map(|p| p.number().round_dp(2).normalize().to_string()),
                })
                .collect(),
        }
    }
}
