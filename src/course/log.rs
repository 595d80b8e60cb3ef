//! What really happened on a day, as the board wrote it down. Nothing is computed here.

use super::{EquipId, LessonId, PartId, StepId};
use crate::units::{Celsius, Grams, Minutes};
use jiff::Timestamp;
use jiff::civil::Date;

/// The log of one day.
#[derive(Clone, PartialEq, Debug)]
pub struct DayLog {
    /// The file, as people would name it.
    pub file: String,
    /// The day.
    pub day: Date,
    /// The plan that the board was made from.
    pub plan: String,
    /// It was a rehearsal.
    pub rehearsal: bool,
    /// Boards that wrote in it.
    pub boards: usize,
    /// The file ends too early; what stands before the cut is here.
    pub cut_short: bool,
    /// When the device's clock jumped, and by how much.
    pub jumps: Vec<(Timestamp, Minutes)>,
    /// Steps that are over.
    pub steps: Vec<LoggedStep>,
    /// Mixes with their temperatures.
    pub mixes: Vec<LoggedMix>,
    /// Oven loads with their weights.
    pub bakes: Vec<LoggedBake>,
}

/// A step that is over, once for each group that did it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct LoggedStep {
    /// The plan's id: `lesson.step@group`.
    pub id: String,
    /// The lesson; `None` for the class's own.
    pub lesson: Option<LessonId>,
    /// The step.
    pub step: StepId,
    /// When it was to start and end.
    pub planned: (Timestamp, Timestamp),
    /// When it did.
    pub real: (Timestamp, Timestamp),
    /// It stood by itself: its length is whoever took it up's.
    pub stands: bool,
}

/// A mix of which something was measured.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct LoggedMix {
    /// The lesson.
    pub lesson: LessonId,
    /// The step.
    pub step: StepId,
    /// The part.
    pub part: PartId,
    /// The kind of mixer; `None`: by hand.
    pub mixer: Option<EquipId>,
    /// The room's temperature.
    pub room: Option<Celsius>,
    /// The flour's.
    pub flour: Option<Celsius>,
    /// The liquid's.
    pub liquid: Option<Celsius>,
    /// The dough's, after the mix.
    pub dough: Option<Celsius>,
}

/// An oven load of which something was measured.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct LoggedBake {
    /// The lesson.
    pub lesson: LessonId,
    /// The step.
    pub step: StepId,
    /// Pieces by the plan.
    pub planned: Option<u32>,
    /// Pieces that there were.
    pub pieces: Option<u32>,
    /// The same pieces before and after.
    pub weights: Option<(Grams, Grams)>,
}
