//! The card on the wall.

use super::common::About;
use super::desk::Desk;
use serde::Serialize;

/// What `templates/room-card.typ` receives.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct RoomCard {
    /// `room-card`.
    pub kind: &'static str,
    /// The course.
    pub about: About,
    /// The emergency number; empty: a blank is printed, and the card says that it must be filled in.
    pub emergency: String,
    /// What to say where one is: the address.
    pub address: String,
    /// Who calls.
    pub calls: String,
    /// Where first aid and the auto-injector are.
    pub first_aid: String,
    /// The cautions of this class, by their keys in the catalogue's `[danger]`.
    pub cautions: Vec<String>,
}

impl RoomCard {
    /// An empty sheet of this kind.
    pub fn new() -> RoomCard {
        RoomCard { kind: "room-card", ..RoomCard::default() }
    }
}

impl RoomCard {
    /// The card for this class's room, with the cautions of its steps.
    pub fn of(desk: &Desk) -> RoomCard {
        let settings = &desk.course.settings;
        let text =
            |t: &Option<crate::course::At<String>>| t.as_ref().map_or_else(String::new, |t| t.value.clone());
        let mut cautions: Vec<String> = Vec::new();
        for caution in desk.course.lessons.iter().flat_map(|l| &l.steps).flat_map(|s| &s.caution) {
            if !cautions.contains(&caution.value) {
                cautions.push(caution.value.clone());
            }
        }
        RoomCard {
            about: desk.about(),
            emergency: text(&settings.emergency),
            address: text(&settings.address),
            calls: settings.teacher.value.clone(),
            first_aid: text(&settings.first_aid),
            cautions,
            ..RoomCard::new()
        }
    }
}
