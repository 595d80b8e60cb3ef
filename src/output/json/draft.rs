//! A formula's draft for programs.

use super::InGrams;
use crate::reckon::draft::{Draft, DraftLine};
use serde::Serialize;

/// What `import` answers.
#[derive(Serialize, Debug)]
pub struct DraftView {
    /// What the recipe is called; `None`: it does not say.
    pub name: Option<String>,
    /// How many pieces it makes; `None`: it does not say.
    pub makes: Option<u32>,
    /// Its parts in order.
    pub parts: Vec<PartView>,
    /// Lines of which nothing is in the formula.
    pub left_out: Vec<LeftOutView>,
    /// What to do, as written.
    pub steps: Vec<String>,
    /// The draft as the text of a formula's file.
    pub toml: String,
    /// The file that it was written to.
    pub written: Option<String>,
}

/// One part.
#[derive(Serialize, Debug)]
pub struct PartView {
    /// Its id.
    pub id: String,
    /// What its percentages are of: `flour` or `whole`.
    pub basis: &'static str,
    /// All of it.
    pub grams: InGrams,
    /// Its lines in order.
    pub lines: Vec<LineView>,
}

/// One ingredient.
#[derive(Serialize, Debug)]
pub struct LineView {
    /// Its id.
    pub item: String,
    /// Per cent of the part's basis.
    pub percent: String,
    /// What it weighs.
    pub grams: InGrams,
    /// The lines that it comes from, as written.
    pub from: Vec<String>,
    /// What had to be guessed: to be looked at.
    pub look: Vec<String>,
}

/// A line that is not in the formula.
#[derive(Serialize, Debug)]
pub struct LeftOutView {
    /// As written.
    pub text: String,
    /// Why.
    pub why: String,
}

impl DraftView {
    /// A view of a draft, its text, and the file that it was written to.
    #[must_use]
    pub fn of(draft: &Draft, toml: String, written: Option<String>) -> DraftView {
        let line = |line: &DraftLine| LineView {
            item: line.item.clone(),
            percent: line.share.to_string(),
            grams: InGrams(line.grams),
            from: line.texts.clone(),
            look: line.guessed.clone(),
        };
        let parts = draft.parts.iter().map(|part| PartView {
            id: part.id.clone(),
            basis: if part.by_flour { "flour" } else { "whole" },
            grams: InGrams(part.grams),
            lines: part.lines.iter().map(line).collect(),
        });
        let left_out =
            draft.left_out.iter().map(|(text, why)| LeftOutView { text: text.clone(), why: why.clone() });
        DraftView {
            name: draft.name.clone(),
            makes: draft.makes,
            parts: parts.collect(),
            left_out: left_out.collect(),
            steps: draft.steps.clone(),
            toml,
            written,
        }
    }
}
