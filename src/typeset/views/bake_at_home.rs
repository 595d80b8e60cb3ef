//! For one who takes an unbaked loaf home: how to keep it, until when, how to bake it.

use super::common::{About, Fact, Measure, Moment};
use super::home_recipe::HomeStep;
use super::label_sheet::Label;
use serde::Serialize;

/// What `templates/bake-at-home.typ` receives.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct BakeAtHome {
    /// `bake-at-home`.
    pub kind: &'static str,
    /// The course.
    pub about: About,
    /// The formula's name.
    pub name: String,
    /// The variant.
    pub variant: Option<String>,
    /// Whose; empty: a blank is printed.
    pub whose: String,
    /// Keep it at most this warm; `None` is not known.
    pub keep_at: Option<Measure>,
    /// At most so many minutes on the way, out of the cold; `None` is not known.
    pub on_the_way: Option<i64>,
    /// Bake it by.
    pub until: Option<Moment>,
    /// The steps; their times count from taking it out of the cold.
    pub steps: Vec<HomeStep>,
    /// Oven without a fan, and with one.
    pub oven: Vec<Fact>,
    /// What must not be done.
    pub never: Vec<String>,
    /// Its own label.
    pub label: Option<Label>,
}

impl BakeAtHome {
    /// An empty sheet of this kind.
    pub fn new() -> BakeAtHome {
        BakeAtHome { kind: "bake-at-home", ..BakeAtHome::default() }
    }
}
