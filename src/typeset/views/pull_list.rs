//! The equipment to get out, where it goes, what is short.

use super::common::{About, Moment};
use serde::Serialize;

/// What `templates/pull-list.typ` receives.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct PullList {
    /// `pull-list`.
    pub kind: &'static str,
    /// The course.
    pub about: About,
    /// To be out by.
    pub by: Option<Moment>,
    /// What is short, worst first.
    pub short: Vec<Short>,
    /// By where it is kept, or what it is.
    pub groups: Vec<PullGroup>,
    /// What was borrowed or hired, and when it goes back.
    pub returns: Vec<Return>,
}

/// Too few of something.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Short {
    /// What.
    pub name: String,
    /// For all at once.
    pub needed: u32,
    /// What the plan needs, with its second uses.
    pub with_plan: u32,
    /// There are so many.
    pub on_hand: u32,
    /// So many too few even with the plan; nought when it works round.
    pub short: u32,
    /// What to do about it, in words.
    pub way_out: String,
}

/// Things kept in one place.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct PullGroup {
    /// The place as written; empty where it is not written.
    pub place: String,
    /// The things.
    pub lines: Vec<PullLine>,
}

/// One thing to get out.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct PullLine {
    /// How many to get out.
    pub count: u32,
    /// There are so many; `None` where it is not counted.
    pub on_hand: Option<u32>,
    /// What.
    pub name: String,
    /// Where it goes, in words: `2 to each station`, `oven side`.
    pub to: String,
    /// Wash and grease between two uses, and the like.
    pub note: String,
}

/// Something to give back.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Return {
    /// How many.
    pub count: u32,
    /// What.
    pub name: String,
    /// To whom.
    pub to: String,
    /// By when.
    pub by: Option<super::common::Day>,
}

impl PullList {
    /// An empty sheet of this kind.
    pub fn new() -> PullList {
        PullList { kind: "pull-list", ..PullList::default() }
    }
}
