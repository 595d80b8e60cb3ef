//! Is it safe to eat? Time and temperature from the plan, by the rule set that the course names.
//!
//! ```text
//! rules.rs      published rows by id           control.rs    which parts need control
//! rule_sets.rs  how each place counts          trace.rs      where a part is, minute by minute
//! judge.rs      minutes to a verdict           exposures.rs  time out of the cold, added up
//! cooling.rs    the clocks of a cooling        dates.rs      date marks of what is made ahead
//! egg_heat.rs   how hot egg must get           log.rs        what to measure, when, what to do
//! findings.rs   what is told of it             levers.rs     cold rests, tried by planning again
//! cautions.rs   what each step warns of        handling.rs   bread boxed warm, trays overnight
//! then_cold.rs  what goes into the cold when it is ready
//! bread.rs      the oven or the fire that makes bread of a dough
//! ```
//! Nothing here says that food is fine to eat: `ok` means within the published figure. Local codes and licensed practice
//! decide.

pub mod bread;
pub mod cautions;
pub mod control;
pub mod cooling;
pub mod dates;
pub mod egg_heat;
pub mod exposures;
pub mod findings;
pub mod handling;
pub mod judge;
pub mod levers;
pub mod log;
pub mod rule_sets;
pub mod rules;
#[cfg(test)]
mod tests;
pub mod then_cold;
pub mod trace;

use crate::course::Course;
use crate::finding::Finding;
use crate::reckon::plan::timetable::Plan;
use crate::reckon::recipes::Recipes;
use crate::reckon::work::Class;
use cooling::Cooling;
use dates::DateMark;
use egg_heat::EggHeat;
use exposures::Exposure;
use log::LogRow;
use rule_sets::{RuleSet, rule_set};

/// Everything that is known of a class's food in time and temperature.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Safety {
    /// The rule set; `None`: the course names none.
    pub set: Option<&'static RuleSet>,
    /// Time out of the cold.
    pub exposures: Vec<Exposure>,
    /// Coolings.
    pub coolings: Vec<Cooling>,
    /// Date marks.
    pub dates: Vec<DateMark>,
    /// Parts with raw egg.
    pub eggs: Vec<EggHeat>,
    /// What to measure.
    pub log: Vec<LogRow>,
    /// For what is out for too long: cold rests that were tried by planning again.
    pub levers: Vec<levers::Tried>,
}

/// Reckons it, and what is to be told of it.
#[must_use]
pub fn safety(course: &Course, class: &Class, plan: Option<&Plan>) -> (Safety, Vec<Finding>) {
    let (recipes, _) = Recipes::of(course);
    let set = course.settings.rule_set.as_ref().and_then(|r| rule_set(&r.value));
    let mut safety = Safety {
        set,
        exposures: exposures::exposures(course, class, &recipes, plan, set),
        eggs: egg_heat::egg_heats(course, set),
        ..Safety::default()
    };
    if let (Some(plan), Some(set)) = (plan, set) {
        safety.coolings = cooling::coolings(course, class, &recipes, plan, set);
        safety.dates = dates::date_marks(course, class, &recipes, plan, set);
    }
    if let Some(plan) = plan {
        safety.log = log::log(course, &recipes, plan, set, &safety);
    }
    let mut found = findings::findings(course, &safety);
    found.extend(handling::left_on_trays(course));
    found.extend(crate::reckon::labels::order_findings(course, &recipes));
    found.extend(crate::reckon::label_sheet::findings(course));
    if let Some(plan) = plan {
        found.extend(handling::findings(course, &handling::goes_home(course, plan)));
    }
    (safety, found)
}

/// Errors about time and temperature: each stops printing, and each may be accepted by its code with a written reason.
pub const STOPS: &[&str] =
    &["out-of-cold-too-long", "cooled-too-slowly", "kept-too-long", "egg-not-hot-enough"];

/// All that is told of time and temperature: what stops printing, and what warns.
pub const OF_TIME_AND_TEMPERATURE: &[&str] = &[
    "out-of-cold-too-long",
    "cooled-too-slowly",
    "kept-too-long",
    "egg-not-hot-enough",
    "out-of-cold",
    "out-of-cold-unknown",
    "dough-warm-for-long",
    "egg-stays-raw",
    "no-rule-set",
    "boxed-warm",
    "tray-not-cold",
];

/// What concerns a person's allergen: it can never be accepted away.
pub const NEVER_ACCEPTED: &[&str] = &[
    "avoided-is-in-it",
    "avoided-may-be-in-it",
    "avoided-is-unknown",
    "flour-in-the-room",
    "airborne-in-the-room",
    "whole-class-rule",
    "severe-in-the-kitchen",
    "claim-not-borne-out",
];

/// Whether the course may accept a finding with this code and level.
#[must_use]
pub fn may_be_accepted(finding: &Finding) -> bool {
    use crate::finding::Level;
    let code = finding.code.0;
    !NEVER_ACCEPTED.contains(&code) && (finding.level == Level::Warning || STOPS.contains(&code))
}
