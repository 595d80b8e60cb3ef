//! A recipe as somebody wrote it elsewhere: lines of text, each understood as far as it goes. Nothing is weighed yet.

use crate::units::Grams;
use rust_decimal::Decimal;

/// A whole recipe.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct WrittenRecipe {
    /// What it is called, if it says so.
    pub name: Option<String>,
    /// How many pieces it makes, if it says so.
    pub makes: Option<u32>,
    /// Its ingredients, section by section in order; the first need not have a head.
    pub sections: Vec<WrittenSection>,
    /// What to do, as written.
    pub steps: Vec<String>,
}

/// The ingredients under one head.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct WrittenSection {
    /// The head without its colon.
    pub name: Option<String>,
    /// Its lines.
    pub lines: Vec<WrittenLine>,
}

/// One line.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct WrittenLine {
    /// As written.
    pub text: String,
    /// What was understood, or why nothing was.
    pub reading: Result<WrittenAmount, &'static str>,
}

/// So much of something.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct WrittenAmount {
    /// The least of a range, or the figure itself; in `unit`.
    pub least: Decimal,
    /// The most of a range, or the figure itself.
    pub most: Decimal,
    /// What is counted.
    pub unit: WrittenUnit,
    /// A weight that stands beside the measure: `1 cup (120 g)`.
    pub weight: Option<Grams>,
    /// Of what, in small letters.
    pub what: String,
    /// What else the line says: "softened".
    pub remark: String,
}

/// What a line counts.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum WrittenUnit {
    /// Grams.
    Gram,
    /// Millilitres.
    Millilitre,
    /// Cups: which ones, the text does not say.
    Cup,
    /// Tablespoons.
    Tablespoon,
    /// Teaspoons.
    Teaspoon,
    /// US sticks of butter.
    Stick,
    /// Pieces: eggs.
    Piece,
}
