//! The card on the wall.

use super::common::About;
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
