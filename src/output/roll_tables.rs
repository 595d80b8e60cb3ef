//! The roll as a table: who comes, who waits, who sits where. What people avoid is not in it: that is on the teacher's sheet alone.

use super::table::{Cell, Column, Table};
use super::text::counted;
use crate::course::{Course, Status};
use crate::reckon::work::Class;

/// The word of the files for it.
#[must_use]
pub fn status_word(status: Status) -> &'static str {
    match status {
        Status::Coming => "coming",
        Status::Waiting => "waiting",
        Status::Cancelled => "cancelled",
    }
}

/// The station at which somebody sits, by their position in the roll.
#[must_use]
pub fn station_of(class: &Class, person: usize) -> Option<u32> {
    let sits = |s: &&crate::reckon::work::Station| s.seats.iter().any(|seat| seat.person == Some(person));
    class.stations.iter().find(sits).map(|s| s.no.0)
}

/// Everyone on the roll, in its order.
#[must_use]
pub fn roll(course: &Course, class: &Class) -> Table {
    let columns =
        vec![Column::text("name"), Column::text("status"), Column::count("station"), Column::text("with")];
    let mut table = Table::new("", columns);
    for (n, person) in course.roll.iter().enumerate() {
        let station = station_of(class, n);
        // Asked for fewer than come, the last to have booked are not counted.
        let status = match (person.status.value, station) {
            (Status::Coming, None) if class.places_short > 0 => "coming, no place",
            (Status::Coming, None) => "coming, not counted",
            (status, _) => status_word(status),
        };
        table.row(vec![
            person.name.value.clone().into(),
            status.into(),
            station.map_or(Cell::Blank, Cell::from),
            person.with.as_ref().map_or(Cell::Blank, |w| w.value.clone().into()),
        ]);
    }
    table
}

/// How many come, wait and fit, and from how many on the course runs.
#[must_use]
pub fn verdict(course: &Course, class: &Class) -> String {
    let number = |status: Status| course.roll.iter().filter(|p| p.status.value == status).count();
    let stations = &course.kitchen.stations;
    let places = (stations.count.value * stations.seats.value) as usize;
    let coming = class.headcount as usize;
    let mut lines = vec![format!(
        "{} coming, {} waiting, {} cancelled; {}.",
        coming,
        number(Status::Waiting),
        number(Status::Cancelled),
        counted(places, "place", "places")
    )];
    let free = places.saturating_sub(coming);
    let first = course.roll.iter().find(|p| p.status.value == Status::Waiting);
    if let (true, Some(first)) = (free > 0, first) {
        lines.push(format!(
            "{} free: {} is the first who waits.",
            counted(free, "place is", "places are"),
            first.name.value
        ));
    }
    if let Some(least) = &course.settings.least_headcount {
        let least = least.value as usize;
        lines.push(match least.checked_sub(coming) {
            None | Some(0) => format!("It runs from {least} on."),
            Some(missing) => format!("It runs from {least} on: {missing} too few."),
        });
    }
    lines.join("\n")
}
