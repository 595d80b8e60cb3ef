//! Take-home labels on a sheet of the course's own geometry.

use super::common::{About, Day, Fact, Moment, Phrase};
use serde::Serialize;

/// What `templates/labels.typ` receives.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Labels {
    /// `labels`.
    pub kind: &'static str,
    /// The course.
    pub about: About,
    /// The sheet.
    pub geometry: Geometry,
    /// One label for each thing that goes home.
    pub labels: Vec<Label>,
}

/// A sheet of labels, in millimetres; the block of labels stands in the middle of the paper unless the edges say otherwise.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Geometry {
    /// Labels across.
    pub across: u32,
    /// Labels down.
    pub down: u32,
    /// Width of one.
    pub width: f64,
    /// Height of one.
    pub height: f64,
    /// Bare edge at the left; `None`: what is over, shared evenly.
    pub left: Option<f64>,
    /// Bare edge at the top.
    pub top: Option<f64>,
    /// Gap between two columns.
    pub gap_across: f64,
    /// Gap between two rows.
    pub gap_down: f64,
}

/// One label.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Label {
    /// The food's name.
    pub name: String,
    /// How many small ones are in it: six, where a roll was cut in six. 1: it is one thing.
    pub pieces: u32,
    /// The variant's name.
    pub variant: Option<String>,
    /// What the variant is made with, or without, printed in place of its name where what it is free of is handled beside it: no claim.
    pub made_with: Option<Phrase>,
    /// What the variant's name or claim says is out and may be in it all the same: printed beside the name.
    pub doubted: Vec<String>,
    /// Whose it is, by station or by name as the course wishes; empty: nobody's.
    pub whose: String,
    /// The ingredients in descending weight.
    pub ingredients: Vec<LabelPart>,
    /// The place of water among them is known: what the bake takes is written.
    pub order_known: bool,
    /// Contains, by the words of the course's list.
    pub contains: Vec<String>,
    /// May contain.
    pub may_contain: Vec<String>,
    /// Ingredients whose allergens are unknown.
    pub unknown: Vec<String>,
    /// Made on.
    pub made: Option<Day>,
    /// Eat by, and for an unbaked one bake by; `None` where no keeping time is written: a blank is printed.
    pub eat_by: Option<Day>,
    /// The same to the minute, for an unbaked one; else `None`.
    pub bake_by: Option<Moment>,
    /// How to keep it.
    pub keep: String,
    /// How many such pieces are taken home together.
    pub count: u32,
    /// Net mass of one piece, where it is known.
    pub net: Option<super::common::Measure>,
    /// Unbaked: bake it first; the date is that by which.
    pub unbaked: bool,
    /// `keep-cold`: it needs the cold, and its date is one of safety; `cold-unknown`: nobody has said whether it does; both keys of
    /// the catalogue's `[label]`. Empty: neither.
    pub cold: &'static str,
    /// What else was handled in the kitchen, by the words of the course's list.
    pub shared_kitchen: Vec<String>,
    /// Ingredients that were in the kitchen and whose allergens nobody has read.
    pub shared_unread: Vec<String>,
    /// Energy and nutrients in 100 g, an estimate; empty: nothing is known.
    pub nutrition: Vec<Fact>,
    /// Of these nutrients something is not known.
    pub nutrition_unknown: Vec<String>,
}

/// A stretch of the ingredient list.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct LabelPart {
    /// The text, punctuation included.
    pub text: String,
    /// An allergen, emphasised.
    pub strong: bool,
}

impl Labels {
    /// An empty sheet of this kind.
    pub fn new() -> Labels {
        Labels { kind: "labels", ..Labels::default() }
    }
}
