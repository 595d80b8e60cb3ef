//! A blank to write down what went wrong: an injury, a reaction, a food that was out of its limits.

use super::common::{About, Day};
use super::desk::Desk;
use serde::Serialize;

/// What `templates/incident-note.typ` receives.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct IncidentNote {
    /// `incident-note`.
    pub kind: &'static str,
    /// The course.
    pub about: About,
    /// The emergency number; empty: a blank is printed.
    pub emergency: String,
    /// Where first aid is.
    pub first_aid: String,
    /// The address to give; empty: a blank is printed.
    pub address: String,
    /// The days of the class, one of which is ringed.
    pub days: Vec<Day>,
    /// What is made, by name, to be ticked.
    pub foods: Vec<String>,
    /// The stations, to be ringed.
    pub stations: Vec<String>,
    /// A note that was filled in is thrown away by this day; `None`: nobody wrote one.
    pub forget_by: Option<Day>,
}

impl IncidentNote {
    /// An empty sheet of this kind.
    pub fn new() -> IncidentNote {
        IncidentNote { kind: "incident-note", ..IncidentNote::default() }
    }

    /// The blank for this class.
    pub fn of(desk: &Desk) -> IncidentNote {
        let settings = &desk.course.settings;
        let text =
            |t: &Option<crate::course::At<String>>| t.as_ref().map_or_else(String::new, |t| t.value.clone());
        let mut days: Vec<Day> = desk.plan.tasks.iter().map(|t| t.start.date().into()).collect();
        days.sort_unstable();
        days.dedup();
        IncidentNote {
            about: desk.about(),
            emergency: text(&settings.emergency),
            first_aid: text(&settings.first_aid),
            address: text(&settings.address),
            days,
            foods: desk.course.lessons.iter().map(|l| desk.lesson_name(&l.id.value)).collect(),
            stations: desk.class.stations.iter().map(|s| s.no.to_string()).collect(),
            forget_by: settings.forget_by.as_ref().map(|d| d.value.into()),
            ..IncidentNote::new()
        }
    }
}
