//! The card on the wall.

use super::common::About;
use super::desk::Desk;
use serde::Serialize;
use std::collections::BTreeSet;

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
        let lessons = desk.course.lessons.iter().flat_map(|l| l.steps.iter().map(move |s| (l, s)));
        // Of every variant that somebody follows, and of the plain one.
        let of_steps = lessons.flat_map(|(lesson, step)| {
            let followed = desk.class.stations.iter().map(|s| s.variants.get(&lesson.id.value));
            let variants: BTreeSet<_> = followed.chain([None]).collect();
            variants.into_iter().flat_map(move |variant| desk.cautions_of(lesson, variant, step))
        });
        let own = desk.course.own_steps.iter().flat_map(|s| s.caution.iter().map(|c| c.value.clone()));
        let mut all: Vec<String> = Vec::new();
        for caution in of_steps.chain(own) {
            // How bread is packed and kept stands on the sheets, not on the wall.
            let of_bread = caution == "bag-cool"
                || caution.starts_with("cool-then-cold")
                || caution.starts_with("filled-then-cold");
            if !of_bread && !all.contains(&caution) {
                all.push(caution);
            }
        }
        RoomCard {
            about: desk.about(),
            emergency: text(&settings.emergency),
            address: text(&settings.address),
            calls: settings.teacher.value.clone(),
            first_aid: text(&settings.first_aid),
            cautions: all,
            ..RoomCard::new()
        }
    }
}
