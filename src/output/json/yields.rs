//! What formulas yield, and their yeast for another rise, for programs.

use super::InGrams;
use crate::course::Course;
use crate::reckon::recipes::Recipe;
use crate::reckon::rise::OtherRise;
use crate::reckon::yields::{Baked, of};
use crate::units::{Celsius, Grams, Minutes};
use serde::Serialize;

/// What one formula yields.
#[derive(Serialize, Debug)]
pub struct YieldView {
    /// The formula.
    pub formula: String,
    /// One piece with all that is in it.
    pub piece_grams: InGrams,
    /// Out of the oven, without what comes to it after the bake; left out where it is unknown.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub baked_grams: Option<InGrams>,
    /// What comes to it after the bake; left out where nothing does.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub added_grams: Option<InGrams>,
    /// How that is known: `written`, `estimate`, `unknown`.
    pub baked_by: &'static str,
    /// Whole pieces from a kilogram of flour.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pieces_from_1_kg_flour: Option<i64>,
    /// The sheet's dough alone, in millimetres.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sheet_mm: Option<f64>,
    /// Turns of the roll.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub turns: Option<f64>,
    /// Each strand.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub strand_grams: Option<InGrams>,
    /// How thick each strand is at its written length, in centimetres.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub strand_cm: Option<f64>,
    /// The tin's room for each gram, in millilitres.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tin_ml_per_gram: Option<f64>,
}

impl YieldView {
    /// A view of what a recipe yields.
    #[must_use]
    pub fn of(course: &Course, recipe: &Recipe) -> Self {
        let made = of(course, recipe);
        let (baked_by, baked) = match made.baked {
            Baked::Written(_, out) => ("written", Some(out)),
            Baked::ByLine(out) => ("estimate", Some(out)),
            Baked::Unknown => ("unknown", None),
        };
        YieldView {
            formula: recipe.formula.id.to_string(),
            piece_grams: InGrams(made.piece),
            baked_grams: baked.map(InGrams),
            added_grams: (made.added > Grams::ZERO).then_some(InGrams(made.added)),
            baked_by,
            pieces_from_1_kg_flour: made.from_flour.as_ref().map(|(_, c)| c.pieces),
            sheet_mm: made.sheet.as_ref().map(|s| s.dough.times(10).to_f64()),
            turns: made.sheet.as_ref().and_then(|s| s.roll).map(|r| (r.turns * 1000.0).round() / 1000.0),
            strand_grams: made.strands.map(|s| InGrams(s.mass)),
            strand_cm: made.strands.and_then(|s| s.written).map(|(_, thick)| thick.to_f64()),
            tin_ml_per_gram: made.tin.as_ref().map(|(_, fill)| fill.ratio.to_f64()),
        }
    }
}

/// What `scale --rise` answers.
#[derive(Serialize, Debug)]
pub struct RisesView {
    /// The rise that was asked for, in minutes.
    pub minutes: i64,
    /// Its dough's temperature, degC.
    pub at_c: f64,
    /// The rule of the estimate, by its row.
    pub by: &'static str,
    /// Each dough with a yeast of its own.
    pub doughs: Vec<RiseView>,
}

/// The yeast of one dough.
#[derive(Serialize, Debug)]
pub struct RiseView {
    /// The formula.
    pub formula: String,
    /// The part.
    pub part: String,
    /// The yeast.
    pub item: String,
    /// As it is written, per cent.
    pub percent: f64,
    /// The lesson's own rise, in minutes.
    pub known_minutes: i64,
    /// Its dough's temperature, degC.
    pub known_c: f64,
    /// For the rise that was asked for, per cent; `None`: unknown.
    pub about_percent: Option<f64>,
    /// The rule is used for such temperatures and changes.
    pub within_rules: bool,
}

impl RisesView {
    /// A view of all doughs.
    #[must_use]
    pub fn of(course: &Course, rises: &[OtherRise], time: Minutes, at: Celsius) -> Self {
        RisesView {
            minutes: time.get(),
            at_c: at.to_f64(),
            by: course.settings.conventions.rise.value.row(),
            doughs: rises
                .iter()
                .map(|r| RiseView {
                    formula: r.formula.to_string(),
                    part: r.part.to_string(),
                    item: r.item.to_string(),
                    percent: r.known.yeast.to_f64(),
                    known_minutes: r.known.time.get(),
                    known_c: r.known.at.to_f64(),
                    about_percent: r.about.map(|e| e.about.to_f64()),
                    within_rules: r.about.is_some_and(|e| e.within_rules),
                })
                .collect(),
        }
    }
}
