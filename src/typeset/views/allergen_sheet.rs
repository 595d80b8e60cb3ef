//! Who must avoid what. For the teacher alone.

use super::common::{About, ForWhom, Moment, Phrase};
use serde::Serialize;

/// What `templates/allergen-sheet.typ` receives.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct AllergenSheet {
    /// `allergen-sheet`.
    pub kind: &'static str,
    /// The course.
    pub about: About,
    /// The list whose words are used: `EU, fourteen`.
    pub list: String,
    /// The people who avoid something, by station.
    pub people: Vec<Avoider>,
    /// What else people need, station by station.
    pub needs: Vec<Needs>,
    /// Each lesson and variant: what is in it.
    pub lessons: Vec<Contents>,
    /// What goes first on shared equipment, and where a wash-up stands between.
    pub order: Vec<Before>,
    /// Where on the racks of a shared oven load what is kept free of something stands.
    pub racks: Vec<OnRacks>,
    /// Something that is made for people who avoid it stands in the cold with what holds it.
    pub cold_shared: bool,
    /// Where what someone avoids is handled in the same room.
    pub cross_contact: Vec<CrossContact>,
    /// Ingredients whose allergens nobody has read: they count as unknown, never as free.
    pub unread: Vec<String>,
    /// Where the auto-injector and first aid are.
    pub first_aid: String,
    /// The emergency number.
    pub emergency: String,
    /// Health data goes by this day.
    pub forget_by: Option<super::common::Day>,
}

/// What one person needs beside what they avoid.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Needs {
    /// The name.
    pub name: String,
    /// The station.
    pub station: String,
    /// `left-handed`, `seated`, `large-print`, `under-age`: keys of the catalogue's `[need]`; or the teacher's own words.
    pub what: Vec<String>,
}

/// One person who avoids something.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Avoider {
    /// The name.
    pub name: String,
    /// The station.
    pub station: String,
    /// What is avoided.
    pub avoids: Vec<Avoided>,
    /// A piece holds what harms them, or the room's air does: printed loudly, whether they were told or not.
    pub harmed: bool,
    /// The day on which they were told of it.
    pub told: Option<super::common::Day>,
    /// For each lesson, what to say of it.
    pub verdicts: Vec<Verdict>,
}

/// One avoided thing.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Avoided {
    /// By the words of the course's list.
    pub what: String,
    /// `allergy`, `coeliac`, `intolerance`, `choice`: a key of the catalogue's `[avoid]`.
    pub why: String,
    /// `airborne`, `severe`, `mild`, `not-stated`.
    pub severity: String,
}

/// What a lesson is to a person.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Verdict {
    /// The lesson's name.
    pub lesson: String,
    /// What of the things that this person avoids it is about, by the words of the course's list.
    pub what: Vec<String>,
    /// `contains`, `may-contain`, `shared-kitchen`, `none-listed`, `unknown`: a key of the catalogue's `[verdict]`. Never "safe".
    pub verdict: String,
    /// The variant that the station follows; empty for the formula itself.
    pub variant: String,
    /// By which ingredients.
    pub because: Vec<String>,
    /// What else must be known.
    pub know: Vec<Phrase>,
}

/// Something avoided that others handle in the same room.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct CrossContact {
    /// By the words of the course's list.
    pub what: String,
    /// The lesson.
    pub lesson: String,
    /// The stations that handle it, runs drawn together: `1–4`, `6`.
    pub stations: Vec<String>,
}

/// What is in a lesson's piece.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Contents {
    /// The lesson's name.
    pub lesson: String,
    /// The variant; empty for the formula itself.
    pub variant: String,
    /// Stations that make it, runs drawn together.
    pub stations: Vec<String>,
    /// Contains.
    pub contains: Vec<String>,
    /// May contain.
    pub may_contain: Vec<String>,
    /// Ingredients that are unknown.
    pub unknown: Vec<String>,
}

/// Where on the racks of an oven something stands that nothing may drip on.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct OnRacks {
    /// When it goes in.
    pub at: Moment,
    /// Which oven.
    pub oven: String,
    /// The lesson.
    pub lesson: String,
    /// Number of the load within its lesson.
    pub load: u32,
    /// `top`, above all others; `level`, beside others with nothing above; `column`, right under nothing that they avoid; `clear`, above all
    /// that they avoid; `beside`, side by side and none above another; `not`, none of it is possible, or its racks are not known; `shares`,
    /// who is severe has no rack of their own.
    pub how: String,
    /// Whose.
    pub stations: Vec<String>,
}

/// One order on shared equipment.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Before {
    /// When.
    pub at: Moment,
    /// On what: `Large mixer`; `hob` and `bench` are keys of the catalogue's `[where]`.
    pub on: String,
    /// What goes first.
    pub first: String,
    /// For whom.
    pub first_for: ForWhom,
    /// What comes after it.
    pub then: String,
    /// For whom.
    pub then_for: ForWhom,
    /// What is kept out of the free one of the two: of `then` where a wash-up stands between, else of `first`.
    pub free_from: Vec<String>,
    /// What the one of the two that holds it brings.
    pub brings: Vec<String>,
    /// A wash-up stands between them.
    pub wash_up: bool,
    /// They are baked: trays, tins and paper carry something over, not the machine.
    pub baked: bool,
    /// They are at work at the same time: nothing of the one is used for the other; in one oven, `then` is never above `first`.
    pub beside: bool,
    /// In one oven at the same time, and each holds what the other is kept clean of: neither above the other.
    pub both_ways: bool,
}

impl AllergenSheet {
    /// An empty sheet of this kind.
    pub fn new() -> AllergenSheet {
        AllergenSheet { kind: "allergen-sheet", ..AllergenSheet::default() }
    }
}
