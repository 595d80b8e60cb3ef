//! The take-home handout: one home batch, with its own clock.

use super::common::{About, Fact, Measure, Photograph};
use serde::Serialize;
use serde_json::Value;

/// What `templates/home-recipe.typ` receives.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct HomeRecipe {
    /// `home-recipe`.
    pub kind: &'static str,
    /// The course.
    pub about: About,
    /// The formula's name.
    pub name: String,
    /// The variant, where this is one.
    pub variant: Option<String>,
    /// How many pieces it makes.
    pub makes: u32,
    /// In or on what: `a round tin of 20 cm`; empty where it does not matter.
    pub tin: String,
    /// Work of one's hands, in minutes.
    pub hands_on: i64,
    /// From the first bowl to the cut, in minutes.
    pub in_all: i64,
    /// The parts in the order of the work.
    pub parts: Vec<HomePart>,
    /// What one needs.
    pub tools: Vec<String>,
    /// The steps.
    pub steps: Vec<HomeStep>,
    /// Oven without a fan, and with one.
    pub oven: Vec<Fact>,
    /// How to keep it, and how long.
    pub keep: Vec<String>,
    /// Contains, by the words of the course's list.
    pub contains: Vec<String>,
    /// May contain.
    pub may_contain: Vec<String>,
    /// Ingredients whose allergens nobody has read.
    pub unknown: Vec<String>,
    /// Where the formula comes from.
    pub source: String,
    /// Total hydration and such figures for one who likes them.
    pub figures: Vec<Fact>,
    /// Said when the cups of a line are not as near to its grams as the others.
    pub notes: Vec<String>,
}

/// One part of the home batch.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct HomePart {
    /// Its name.
    pub name: String,
    /// Its lines.
    pub lines: Vec<HomeLine>,
    /// Their sum.
    pub total: Measure,
}

/// One ingredient.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct HomeLine {
    /// Its name.
    pub name: String,
    /// By weight.
    pub grams: Measure,
    /// By volume or by the piece: `4 1/2 cup` and `1 tbsp`; units are keys of the catalogue's `[unit]`. Empty where only weight will do.
    pub by_volume: Vec<Measure>,
}

/// One step at home.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct HomeStep {
    /// Its number.
    pub number: u32,
    /// Minutes after the start.
    pub from: i64,
    /// Its end.
    pub to: i64,
    /// May stand as long as this, in minutes; `None` for work.
    pub until: Option<i64>,
    /// What is done.
    pub name: String,
    /// It happens by itself.
    pub waits: bool,
    /// What to do.
    pub say: String,
    /// The same by hand: what to do and how long, where it is otherwise.
    pub by_hand: String,
    /// Figures.
    pub facts: Vec<Fact>,
    /// Drawings, as `views::drawing::drawing` gives them.
    pub drawings: Vec<Value>,
    /// A photograph that stands beside or in place of the drawings.
    pub photograph: Option<Photograph>,
    /// Cautions by their keys in the catalogue's `[danger]`.
    pub cautions: Vec<String>,
}

impl HomeRecipe {
    /// An empty sheet of this kind.
    pub fn new() -> HomeRecipe {
        HomeRecipe { kind: "home-recipe", ..HomeRecipe::default() }
    }
}
