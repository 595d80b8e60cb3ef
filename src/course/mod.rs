//! What the teacher wrote down, as meant. Nothing here is computed.
//!
//! ```text
//! Course
//!   Settings            paper, units, language, money, rules, policies
//!   Session             one sitting, with the staff's hours around it
//!   OwnStep             welcome, break, tasting, clean-down
//!   Lesson              one thing that is taught
//!     Step              one thing done in it
//!   Formula             a recipe in baker's percentages
//!     Part  Line        dough, filling, wash, ... and what goes in
//!     Variant           lines replaced for a station that avoids something
//!   Kitchen             stations, mixers, ovens, cold, tins, circuits, tools
//!   Pantry              ingredients and suppliers
//!   Person              one row of the roll
//!   OrderRecord         what was ordered already
//! ```
pub mod allergen_lists;
pub mod allergen_words;
pub mod avoided_phrases;
pub mod conventions;
pub mod currencies;
pub mod formula;
pub mod ids;
pub mod kitchen;
pub mod lesson;
pub mod limits;
pub mod log;
pub mod order_record;
pub mod pantry;
pub mod quantity;
pub mod roll;
pub mod settings;
pub mod spans;
pub mod written_recipe;

pub use conventions::*;
pub use formula::*;
pub use ids::*;
pub use kitchen::*;
pub use lesson::*;
pub use order_record::*;
pub use pantry::*;
pub use quantity::*;
pub use roll::*;
pub use settings::*;

use crate::finding::Located;

/// The whole course folder, resolved: every name is an id that exists, every text a unit.
#[derive(Clone, PartialEq, Debug)]
pub struct Course {
    /// Everything in `course.toml` that is neither a session nor a step.
    pub settings: Settings,
    /// The sittings, in the order of their start.
    pub sessions: Vec<Session>,
    /// The hours and breaks of single people of the staff, in file order.
    pub presence: Vec<Presence>,
    /// The class's own steps, in file order.
    pub own_steps: Vec<OwnStep>,
    /// The lessons, in the order in which `course.toml` names them.
    pub lessons: Vec<Lesson>,
    /// The formulas that the lessons need, by id.
    pub formulas: Vec<Formula>,
    /// The kitchen.
    pub kitchen: Kitchen,
    /// Ingredients and suppliers.
    pub pantry: Pantry,
    /// The roll, in file order.
    pub roll: Vec<Person>,
    /// What was ordered already, by the day of the record.
    pub orders: Vec<OrderRecord>,
}

impl Course {
    /// The formula with this id.
    pub fn formula(&self, id: &FormulaId) -> Option<&Formula> {
        self.formulas.iter().find(|f| f.id.value == *id)
    }
    /// The lesson with this id.
    pub fn lesson(&self, id: &LessonId) -> Option<&Lesson> {
        self.lessons.iter().find(|l| l.id.value == *id)
    }
    /// The session with this id.
    pub fn session(&self, id: &SessionId) -> Option<&Session> {
        self.sessions.iter().find(|s| s.id.value == *id)
    }
    /// The people who are coming, in file order.
    pub fn coming(&self) -> impl Iterator<Item = &Person> {
        self.roll.iter().filter(|p| p.status.value == Status::Coming)
    }
}

/// Short for a located value.
pub type At<T> = Located<T>;

/// As much of a course as could be read although something in its files is wrong. What could not be read is stood in for: only what
/// an error does not touch may be looked at.
#[derive(Clone, PartialEq, Debug)]
pub struct Draft {
    /// How figures are counted.
    pub conventions: Conventions,
    /// The pantry.
    pub pantry: Pantry,
    /// The formulas that could be read.
    pub formulas: Vec<Formula>,
    /// The lessons that could be read.
    pub lessons: Vec<Lesson>,
}
