//! The note to each student before the class.

use super::common::{About, Day, Making, Sitting};
use serde::Serialize;

/// What `templates/joining-note.typ` receives.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct JoiningNote {
    /// `joining-note`.
    pub kind: &'static str,
    /// The course.
    pub about: About,
    /// To whom; empty: to all.
    pub to: String,
    /// The sittings.
    pub sittings: Vec<Sitting>,
    /// Where it is.
    pub address: String,
    /// Mail, telephone.
    pub contact: String,
    /// What is made.
    pub makes: Vec<Making>,
    /// What to bring and wear.
    pub bring: Vec<String>,
    /// What every piece of the class contains or may contain, by the words of the course's list.
    pub contains: Vec<String>,
    /// Answer by this day.
    pub answer_by: Option<Day>,
    /// Health data goes by this day.
    pub forget_by: Option<Day>,
    /// Someone under age is on the roll, or may be: the rule is printed.
    pub under_age: String,
    /// What it costs, with its currency; empty where it is not said.
    pub fee: String,
}

impl JoiningNote {
    /// An empty sheet of this kind.
    pub fn new() -> JoiningNote {
        JoiningNote { kind: "joining-note", ..JoiningNote::default() }
    }
}
