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
    /// The sheets in print order: each as its own template receives it, with its `kind`.
    pub sheets: Vec<PackSheet>,
}

/// One sheet of a pack.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct PackSheet {
    /// Its title: the bookmark.
    pub title: String,
    /// It hangs on a wall or lies where all see it, or is cut up and handed out: no mark says that it is the teacher's alone.
    pub goes_on: bool,
    /// What its template receives.
    pub data: Value,
}

impl Pack {
    /// An empty pack.
    pub fn new() -> Pack {
        Pack { kind: "pack", ..Pack::default() }
    }
}
