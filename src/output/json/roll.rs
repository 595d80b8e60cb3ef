//! The roll for programs. What people avoid is not in it.

use crate::course::Course;
use crate::output::roll_tables::{station_of, status_word};
use crate::reckon::work::Class;
use serde::Serialize;

/// What `roll` answers.
#[derive(Serialize, Debug)]
pub struct RollView {
    /// How many come.
    pub headcount: u32,
    /// How many the kitchen seats.
    pub places: u32,
    /// From how many on the course runs.
    pub least: Option<u32>,
    /// In the order of the roll.
    pub people: Vec<PersonView>,
}

/// One person.
#[derive(Serialize, Debug)]
pub struct PersonView {
    /// The name.
    pub name: String,
    /// `coming`, `waiting`, `cancelled`.
    pub status: String,
    /// The station.
    pub station: Option<u32>,
    /// Whom they share it with, as written.
    pub with: Option<String>,
}

impl RollView {
    /// A view of the roll as it is seated.
    #[must_use]
    pub fn of(course: &Course, class: &Class) -> Self {
        let stations = &course.kitchen.stations;
        RollView {
            headcount: class.headcount,
            places: stations.count.value * stations.seats.value,
            least: course.settings.least_headcount.as_ref().map(|l| l.value),
            people: course
                .roll
                .iter()
                .enumerate()
                .map(|(n, p)| PersonView {
                    name: p.name.value.clone(),
                    status: status_word(p.status.value).to_owned(),
                    station: station_of(class, n),
                    with: p.with.as_ref().map(|w| w.value.clone()),
                })
                .collect(),
        }
    }
}
