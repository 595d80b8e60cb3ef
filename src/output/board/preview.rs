//! The preview of `live`: what is told of the files, and the sheets beside it.

use super::page::{PageTrouble, fingerprint, render, text, value};
use crate::output::json::findings::FindingView;
use minijinja::context;
use minijinja::value::Value;
use serde::Serialize;
use std::collections::BTreeMap;

/// What the preview shows.
#[derive(Serialize, Debug)]
pub struct PreviewView {
    /// The course's name.
    pub course: String,
    /// The language tag.
    pub language: String,
    /// The fixed words.
    pub words: BTreeMap<String, String>,
    /// How often it was printed.
    pub made: u64,
    /// The pages are older than the files, which cannot be printed as they are.
    pub stale: bool,
    /// The sheet that is shown has the times of the former plan; the rest is being planned and printed.
    pub at_once: bool,
    /// Whether the class fits, in a sentence; then what was aimed at.
    pub verdict: Vec<String>,
    /// The page stands where the board would, and there is none.
    pub no_board: bool,
    /// There is a board.
    pub has_board: bool,
    /// What is told.
    pub findings: Vec<FindingView>,
    /// The sheets.
    pub sheets: Vec<SheetView>,
    /// The sheet that is shown; empty for none.
    pub shown: String,
}

/// One sheet.
#[derive(Serialize, Debug)]
pub struct SheetView {
    /// Its path within the output folder.
    pub path: String,
    /// Its pages.
    pub pages: usize,
}

/// The page, and the policy under which it is served: it runs our script, asks this program, and shows this program's sheets.
///
/// # Errors
/// A template that is missing, or that minijinja refuses.
pub fn preview(
    view: &PreviewView,
    file: &dyn Fn(&str) -> Option<String>,
) -> Result<(String, String), PageTrouble> {
    let style = text(file, "templates/board/live.css")?;
    let script = text(file, "templates/board/live.js")?;
    let policy = format!(
        "default-src 'none'; script-src '{}'; style-src '{}'; connect-src 'self'; object-src 'self'; frame-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
        fingerprint(&script),
        fingerprint(&style)
    );
    let html = render(
        file,
        "templates/live.html",
        context! {
            style => Value::from_safe_string(style),
            script => Value::from_safe_string(script),
            ..value(&serde_json::to_value(view).unwrap_or_default())
        },
    )?;
    Ok((html, policy))
}
