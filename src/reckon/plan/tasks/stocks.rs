//! What a conflict calls the things of the kitchen: whoever counts them against a plan's holds finds them by these words.

use super::super::containers::how_many;
use crate::course::{Circuit, EquipId, Kitchen, Mixer, Oven};
use crate::reckon::power;

/// Tins, trays, tubs and the like.
#[must_use]
pub fn of_things(count: u32, name: &str) -> String {
    format!("only {count} of {name}")
}

/// All shelves of a cupboard, proofer or rack.
#[must_use]
pub fn of_shelves(count: u32, id: &EquipId) -> String {
    format!("the {count} {} of {id}", if count == 1 { "shelf" } else { "shelves" })
}

/// The mixers of a kind.
#[must_use]
pub fn of_mixers(mixer: &Mixer) -> String {
    let name = mixer.name.as_ref().map_or(mixer.id.value.as_str(), |n| n.value.as_str());
    format!("the mixers: {} of {name}", how_many(mixer.count.value, mixer.loan.as_ref()))
}

/// The ovens of a kind.
#[must_use]
pub fn of_ovens(oven: &Oven) -> String {
    let name = oven.name.as_ref().map_or(oven.id.value.as_str(), |n| n.value.as_str());
    format!("the ovens: {} of {name}", how_many(oven.count.value, oven.loan.as_ref()))
}

/// Whether words are those of [`of_circuit`].
pub fn is_of_circuit(words: &str) -> bool {
    words.starts_with(CIRCUIT)
}

const CIRCUIT: &str = "what the circuit ";

/// What a circuit carries, and how much of that is gone before anything is switched on.
#[must_use]
pub fn of_circuit(kitchen: &Kitchen, circuit: &Circuit) -> String {
    let id = &circuit.id.value;
    let hours = if circuit.continuous.is_some() { " for hours" } else { "" };
    let always = match power::always(kitchen, id) {
        0 => String::new(),
        watts => format!(", {watts} W of it for what is never off"),
    };
    format!("{CIRCUIT}`{id}` carries ({} W{hours}{always})", power::carries(circuit))
}
