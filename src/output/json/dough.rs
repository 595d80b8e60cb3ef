//! The dough temperature of each mix for programs.

use super::InGrams;
use crate::reckon::dough_temperature::Advice;
use crate::reckon::dough_temperature::batches::MixedBatch;
use crate::units::Celsius;
use serde::Serialize;

/// One mix.
#[derive(Serialize, Debug)]
pub struct MixView {
    /// The lesson.
    pub lesson: String,
    /// The part.
    pub part: String,
    /// The batch's number.
    pub batch: u32,
    /// The mixer; `None`: by hand.
    pub mixer: Option<String>,
    /// The task that mixes it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub task: Option<String>,
    /// The dough when it leaves the bowl, degC.
    pub aim_c: f64,
    /// What is done: `liquid-at`, `ice`, `chill-flour`, `too-warm`, `too-cold`, `as-kept`, `no-liquid`.
    pub advice: &'static str,
    /// To what temperature, degC: of the liquid, of the flour, or of the dough that comes out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at_c: Option<f64>,
    /// When too cold: the liquid's temperature, and no warmer, degC.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub liquid_c: Option<f64>,
    /// By how many per cent a dough that comes out colder than the aim rises longer, about.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rises_longer_percent: Option<i64>,
    /// The liquids whose temperature is chosen.
    pub liquids: Vec<String>,
    /// Ice in place of water.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ice_grams: Option<InGrams>,
    /// The water that is left beside it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub water_grams: Option<InGrams>,
    /// What the mixer adds to the sum, in kelvins.
    pub friction_k: f64,
    /// What a bowl warm from the batch before adds to the sum, in kelvins.
    pub warm_bowl_k: f64,
    /// How many terms the sum has: 3 or 4.
    pub terms: i64,
    /// The kitchen states this mixer's friction.
    pub friction_known: bool,
    /// The water from the tap, degC.
    pub tap_c: f64,
    /// The kitchen states it.
    pub tap_known: bool,
}

impl MixView {
    /// A view of one mix.
    #[must_use]
    pub fn of(one: &MixedBatch) -> Self {
        let sum = &one.temperature.conditions;
        let at = |c: Celsius| Some(c.to_decimal().round_dp(1)).and_then(|d| f64::try_from(d).ok());
        let (advice, at_c) = match one.temperature.advice {
            Advice::LiquidAt(c) => ("liquid-at", at(c)),
            Advice::Ice { .. } => ("ice", None),
            Advice::ChillFlour(c) => ("chill-flour", at(c)),
            Advice::TooWarm(c) => ("too-warm", at(c)),
            Advice::TooCold { dough, .. } => ("too-cold", at(dough)),
            Advice::AsKept(dough) => ("as-kept", at(dough)),
            Advice::NoLiquid => ("no-liquid", None),
        };
        let (ice, water) = match one.temperature.advice {
            Advice::Ice { ice, water } => (Some(InGrams(ice)), Some(InGrams(water))),
            _ => (None, None),
        };
        MixView {
            lesson: one.batch.lesson.to_string(),
            part: one.batch.part.to_string(),
            batch: one.batch.no,
            mixer: one.mixer.as_ref().map(ToString::to_string),
            task: one.task.clone(),
            aim_c: sum.wanted.to_f64(),
            advice,
            at_c,
            liquid_c: match one.temperature.advice {
                Advice::TooCold { liquid, .. } => at(liquid),
                _ => None,
            },
            rises_longer_percent: one.rises_longer,
            liquids: one.chosen.iter().map(ToString::to_string).collect(),
            ice_grams: ice,
            water_grams: water,
            friction_k: sum.friction.to_f64(),
            warm_bowl_k: sum.bowl.to_f64(),
            terms: sum.terms(),
            friction_known: one.temperature.friction_known,
            tap_c: one.temperature.tap.to_f64(),
            tap_known: one.temperature.tap_known,
        }
    }
}
