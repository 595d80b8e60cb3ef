//! Formulas seen three ways, for programs.

use super::InGrams;
use super::yields::YieldView;
use crate::course::{Basis, Course, DoughClass, HydrationCount, Ingredient};
use crate::reckon::composition::{Figure, figures};
use crate::reckon::dough_class::classify;
use crate::reckon::formula::{PartView as OwnBasis, Views, piece_needs};
use crate::reckon::recipes::Recipes;
use serde::Serialize;

/// What `scale --formulas` answers.
#[derive(Serialize, Debug)]
pub struct FormulasView {
    /// What counts as water in this course: `all-water`, `liquids`, `water-only`.
    pub hydration_counts: &'static str,
    /// Every part that a piece takes, formula by formula.
    pub formulas: Vec<FormulaView>,
    /// What each formula yields.
    pub yields: Vec<YieldView>,
}

/// One part of a formula, for one piece.
#[derive(Serialize, Debug)]
pub struct FormulaView {
    /// The formula.
    pub formula: String,
    /// The part.
    pub part: String,
    /// What 100 % is in `overall`: `flour`, `whole`.
    pub basis: &'static str,
    /// Everything down to the pantry.
    pub overall: Vec<OverallView>,
    /// The total formula percentage.
    pub overall_percent: f64,
    /// Everything from the store.
    pub overall_grams: InGrams,
    /// Each part by its own basis, the innermost first.
    pub parts: Vec<PartView>,
    /// What goes into the last bowl.
    pub final_dough: FinalView,
    /// Nominal and true figures; only of a part with flour.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub figures: Option<FiguresView>,
}

/// One ingredient of the overall formula.
#[derive(Serialize, Debug)]
pub struct OverallView {
    /// The ingredient.
    pub item: String,
    /// Its share.
    pub percent: f64,
    /// For one piece.
    pub grams: InGrams,
    /// How much of the share stands in which part.
    pub from: Vec<FromView>,
}

/// A share that stands in a part.
#[derive(Serialize, Debug)]
pub struct FromView {
    /// The part.
    pub part: String,
    /// The share.
    pub percent: f64,
}

/// A part by its own basis.
#[derive(Serialize, Debug)]
pub struct PartView {
    /// The part.
    pub part: String,
    /// `flour`, `whole`, `piece`.
    pub basis: &'static str,
    /// Its lines; for basis `piece` in grams.
    pub lines: Vec<ShareView>,
    /// Its lines together.
    pub total: f64,
}

/// A line by the part's own basis.
#[derive(Serialize, Debug)]
pub struct ShareView {
    /// An ingredient's or a part's id.
    pub item: String,
    /// It is a part, as it is used.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub is_part: bool,
    /// Its share.
    pub share: f64,
}

/// The last bowl.
#[derive(Serialize, Debug)]
pub struct FinalView {
    /// What goes in; a part as one line.
    pub lines: Vec<FinalLine>,
    /// Into the bowl.
    pub weighed_grams: InGrams,
    /// To the piece.
    pub used_grams: InGrams,
}

/// A line of the last bowl.
#[derive(Serialize, Debug)]
pub struct FinalLine {
    /// An ingredient's or a part's id.
    pub item: String,
    /// It is a part.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub is_part: bool,
    /// How much.
    pub grams: InGrams,
}

/// The figures of a dough, per cent of the flour.
#[derive(Serialize, Debug)]
pub struct FiguresView {
    /// `lean`, `enriched`, `rich`.
    pub class: &'static str,
    /// Nothing unknown could change the class.
    pub class_certain: bool,
    /// The row whose threshold decides.
    pub class_by: &'static str,
    /// Water alone.
    pub water_only: f64,
    /// Water, milk and egg at full weight.
    pub liquids: f64,
    /// All water; `None`: unknown.
    pub all_water: Option<f64>,
    /// Fat by ingredient.
    pub nominal_fat: f64,
    /// Fat really.
    pub fat: Option<f64>,
    /// Sugar by ingredient.
    pub nominal_sugar: f64,
    /// Sugar really.
    pub sugar: Option<f64>,
    /// Salt by ingredient.
    pub nominal_salt: f64,
    /// Salt really.
    pub salt: Option<f64>,
}

fn named(what: &Ingredient) -> (String, bool) {
    match what {
        Ingredient::Item(id) => (id.to_string(), false),
        Ingredient::Part(id) => (id.to_string(), true),
    }
}

impl FormulasView {
    /// A view of all formulas.
    #[must_use]
    pub fn of(course: &Course, recipes: &Recipes) -> Self {
        let mut formulas = Vec::new();
        let mut yields = Vec::new();
        for formula in &course.formulas {
            let Some(recipe) = recipes.get(&formula.id.value, None) else { continue };
            for (part, used) in piece_needs(formula, 1) {
                let views = recipe.shares.views(&part, used);
                formulas.extend(views.map(|v| FormulaView::of(course, formula.id.as_str(), &v)));
            }
            yields.push(YieldView::of(course, recipe));
        }
        FormulasView {
            hydration_counts: match course.settings.conventions.hydration.value {
                HydrationCount::AllWater => "all-water",
                HydrationCount::Liquids => "liquids",
                HydrationCount::WaterOnly => "water-only",
            },
            formulas,
            yields,
        }
    }
}

impl FormulaView {
    fn of(course: &Course, formula: &str, views: &Views) -> Self {
        let all = &views.overall;
        let dough = &views.final_dough;
        FormulaView {
            formula: formula.to_owned(),
            part: all.part.to_string(),
            basis: if all.by_flour { "flour" } else { "whole" },
            overall: all
                .lines
                .iter()
                .zip(&views.overall_grams)
                .map(|(line, grams)| OverallView {
                    item: line.item.to_string(),
                    percent: line.percent.to_f64(),
                    grams: InGrams(*grams),
                    from: line
                        .from
                        .iter()
                        .map(|(part, p)| FromView { part: part.to_string(), percent: p.to_f64() })
                        .collect(),
                })
                .collect(),
            overall_percent: all.total.to_f64(),
            overall_grams: InGrams(views.overall_grams.iter().sum()),
            parts: views.parts.iter().map(PartView::of).collect(),
            final_dough: FinalView {
                lines: dough
                    .lines
                    .iter()
                    .map(|(what, grams)| {
                        let (item, is_part) = named(what);
                        FinalLine { item, is_part, grams: InGrams(*grams) }
                    })
                    .collect(),
                weighed_grams: InGrams(dough.weighed),
                used_grams: InGrams(dough.used),
            },
            figures: all.by_flour.then(|| FiguresView::of(course, views)),
        }
    }
}

impl PartView {
    fn of(part: &OwnBasis) -> Self {
        PartView {
            part: part.part.to_string(),
            basis: match part.basis {
                Basis::Flour => "flour",
                Basis::Whole => "whole",
                Basis::Piece => "piece",
            },
            lines: part
                .lines
                .iter()
                .map(|(what, share)| {
                    let (item, is_part) = named(what);
                    ShareView { item, is_part, share: share.to_f64() }
                })
                .collect(),
            total: part.total.to_f64(),
        }
    }
}

impl FiguresView {
    fn of(course: &Course, views: &Views) -> Self {
        let f = figures(&views.overall, &course.pantry);
        let class = classify(&f);
        let known = |f: &Figure| f.known().map(|p| p.to_f64());
        FiguresView {
            class: match class.class {
                DoughClass::Lean => "lean",
                DoughClass::Enriched => "enriched",
                DoughClass::Rich => "rich",
            },
            class_certain: class.certain,
            class_by: class.row,
            water_only: f.hydration.water_only.to_f64(),
            liquids: f.hydration.liquids.to_f64(),
            all_water: known(&f.hydration.water_content),
            nominal_fat: f.nominal.fat.to_f64(),
            fat: known(&f.fat),
            nominal_sugar: f.nominal.sugar.to_f64(),
            sugar: known(&f.sugar),
            nominal_salt: f.nominal.salt.to_f64(),
            salt: known(&f.salt),
        }
    }
}
