//! Several sheets in one file, each on a fresh leaf.

use super::common::About;
use serde::Serialize;
use serde_json::Value;

/// What `templates/pack.typ` receives.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Pack {
    /// `pack`.
    pub kind: &'static str,
    /// The course.
    pub about: About,
    /// The station's number; empty: the teacher's own pack.
    pub station: String,
    /// For the teacher alone: every sheet is marked, but for those that go on.
    pub teacher_only: bool,
    /// Its station is not in the kitchen: every page says so.
    pub not_there: bool,
    /// The sheets in print order; their pages are laid out before by their own templates.
    pub sheets: Vec<PackSheet>,
}

/// One sheet of a pack.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct PackSheet {
    /// What the sheet calls itself, in the page's language: the bookmark.
    pub title: String,
    /// The kind of document.
    pub kind: String,
    /// It hangs on a wall or lies where all see it, or is cut up and handed out: no mark says that it is the teacher's alone.
    pub goes_on: bool,
    /// How many pages it has.
    pub pages: usize,
    /// Which of its pack's sheets it is to the typesetter: nothing to print.
    pub fold: u32,
    /// What its own template receives.
    pub(crate) data: Value,
}

impl PackSheet {
    /// A sheet before it is laid out, from what its own template receives.
    pub fn of(title: &str, fold: u32, goes_on: bool, data: Value) -> PackSheet {
        let kind = data["kind"].as_str().unwrap_or_default().to_owned();
        PackSheet { title: title.to_owned(), kind, goes_on, pages: 0, fold, data }
    }
}

impl Pack {
    /// An empty pack.
    pub fn new() -> Pack {
        Pack { kind: "pack", ..Pack::default() }
    }
}
