//! The roll: who is coming, with whom, and what they avoid.

use super::{AllergenId, At, StationNo};

/// Whether a person comes.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Status {
    /// On the roll.
    Coming,
    /// Waiting for a place.
    Waiting,
    /// Cancelled.
    Cancelled,
}

/// Why someone avoids something.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Avoidance {
    /// By choice.
    Choice,
    /// By belief.
    Religion,
    /// Intolerance.
    Intolerance,
    /// Coeliac disease.
    Coeliac,
    /// Allergy.
    Allergy,
}

/// How severe.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Severity {
    /// Not stated: handled as severe.
    Unknown,
    /// Mild.
    Mild,
    /// Severe.
    Severe,
    /// Severe, and reacts to what is in the air.
    Airborne,
}

/// One thing that a person avoids.
#[derive(Clone, PartialEq, Debug)]
pub struct Avoids {
    /// What.
    pub what: At<AllergenId>,
    /// Why.
    pub why: Avoidance,
    /// How severe.
    pub severity: Severity,
}

/// Needs that the program does something for; each has its words under `[need]` of the catalogues. Any other stands as it is written.
pub const KNOWN_NEEDS: [&str; 4] = ["left-handed", "seated", "large-print", "under-age"];

/// One row of the roll.
#[derive(Clone, PartialEq, Debug)]
pub struct Person {
    /// Name as they write it.
    pub name: At<String>,
    /// Coming, waiting, cancelled.
    pub status: At<Status>,
    /// The name of the person they share a station with.
    pub with: Option<At<String>>,
    /// A station the teacher has promised.
    pub station: Option<At<StationNo>>,
    /// What they avoid.
    pub avoids: Vec<Avoids>,
    /// What they need: `left-handed`, `seated`, `large-print`.
    pub needs: Vec<At<String>>,
    /// The day on which they were told that the class holds what they avoid.
    pub told: Option<At<jiff::civil::Date>>,
    /// Under age.
    pub minor: bool,
}
