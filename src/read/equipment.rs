//! Equipment that circuits, stations and steps name, and places that steps need.

use super::kitchen_file::equipment;
use super::resolve::{Unknown, no_twins, unknown};
use super::table::Log;
use crate::course::{At, EquipId, Formula, Kitchen, Lesson, Where};
use crate::finding::Finding;

/// Circuits of the kitchen's appliances; what stands at each station.
pub fn kitchen(log: &Log, kitchen: &Kitchen) {
    let on = |circuit: &Option<At<EquipId>>| {
        let Some(circuit) = circuit else { return };
        if !kitchen.circuits.iter().any(|c| c.id.value == circuit.value) {
            unknown(
                log,
                Unknown::Equipment,
                circuit.place,
                format!("there is no circuit `{circuit}`"),
                circuit.value.as_str(),
                kitchen.circuits.iter().map(|c| c.id.value.as_str()),
            );
        }
    };
    kitchen.mixers.iter().for_each(|x| on(&x.circuit));
    kitchen.ovens.iter().for_each(|x| on(&x.circuit));
    kitchen.hobs.iter().for_each(|x| on(&x.circuit));
    for shelves in [&kitchen.warm, &kitchen.cold, &kitchen.freezers, &kitchen.racks] {
        shelves.iter().for_each(|x| on(&x.circuit));
    }
    idle_circuits(log, kitchen);
    no_twins(log, "thing at each station", kitchen.stations.each_has.iter());
}

/// Circuits that nothing is on: nothing is added up for them.
fn idle_circuits(log: &Log, kitchen: &Kitchen) {
    let shelves = [&kitchen.warm, &kitchen.cold, &kitchen.freezers, &kitchen.racks];
    let used: Vec<&EquipId> = (kitchen.mixers.iter().map(|x| &x.circuit))
        .chain(kitchen.ovens.iter().map(|x| &x.circuit))
        .chain(kitchen.hobs.iter().map(|x| &x.circuit))
        .chain(shelves.into_iter().flatten().map(|x| &x.circuit))
        .filter_map(|c| c.as_ref().map(|c| &c.value))
        .collect();
    for idle in kitchen.circuits.iter().filter(|c| !used.contains(&&c.id.value)) {
        log.note(
            Finding::warning(
                "circuit-without-appliance",
                idle.id.place,
                format!("nothing is on circuit `{}`: nothing is added up for it", idle.id.value),
            )
            .way_out(format!(
                "write `circuit = \"{}\"` at what is plugged in there, with its `watts`",
                idle.id.value
            )),
        );
    }
}

/// The names of everything that a step may use.
fn usable(kitchen: &Kitchen) -> Vec<&str> {
    equipment(kitchen)
        .chain(kitchen.stations.each_has.iter())
        .map(|id| id.value.as_str())
        .chain(["tin", "tray", "tub"])
        .collect()
}

/// `2 trays` are two of `tray`: a plural becomes the name of the thing.
pub fn singular(lesson: &mut Lesson, kitchen: &Kitchen) {
    let names = usable(kitchen);
    for used in lesson.steps.iter_mut().flat_map(|s| &mut s.uses) {
        let word = used.what.value.as_str();
        if let Some(one) = word.strip_suffix('s')
            && !names.contains(&word)
            && names.contains(&one)
        {
            used.what.value = one.into();
        }
    }
}

/// Equipment that a lesson's steps name.
pub fn equipment_of(log: &Log, lesson: &Lesson, formula: Option<&Formula>, kitchen: &Kitchen) {
    let names = usable(kitchen);
    for used in lesson.steps.iter().flat_map(|s| &s.uses) {
        let word = used.what.value.as_str();
        if !names.contains(&word) {
            unknown(
                log,
                Unknown::Equipment,
                used.what.place,
                format!("the kitchen has no `{word}`"),
                word,
                names.iter().copied(),
            );
        }
        let piece = formula.map(|f| &f.piece);
        let own = match word {
            "tin" => piece.is_some_and(|p| p.tin.is_none()).then_some("tin"),
            "tray" if !kitchen.trays.iter().any(|t| t.id.value.as_str() == "tray") => {
                piece.is_some_and(|p| p.tray.is_none()).then_some("tray")
            }
            _ => None,
        };
        if let Some(own) = own {
            log.note(
                Finding::error(
                    "kitchen-lacks",
                    used.what.place,
                    format!("this step uses the piece's {own}, and formula `{}` names none", lesson.formula),
                )
                .way_out(format!("add `{own} = \"...\"` to the formula's `piece`")),
            );
        }
    }
    places(log, lesson, kitchen);
}

/// A place that a step needs and the kitchen does not have.
fn places(log: &Log, lesson: &Lesson, kitchen: &Kitchen) {
    for step in &lesson.steps {
        let (has, what) = match step.place.value {
            Where::Bench | Where::Room => (true, ""),
            Where::Mixer => (!kitchen.mixers.is_empty() || step.by_hand.is_some(), "mixers"),
            Where::Hob => (!kitchen.hobs.is_empty(), "hobs"),
            Where::Oven => (!kitchen.ovens.is_empty(), "ovens"),
            Where::Cold => (!kitchen.cold.is_empty(), "cold"),
            Where::Freezer => (!kitchen.freezers.is_empty(), "freezers"),
            Where::Warm => (!kitchen.warm.is_empty(), "warm"),
            Where::Rack => (!kitchen.racks.is_empty(), "racks"),
            Where::Sink => (kitchen.sinks.value > 0, "sinks"),
        };
        if !has {
            log.note(
                Finding::error(
                    "kitchen-lacks",
                    step.place.place,
                    format!(
                        "step `{}` of lesson `{}` needs a place that the kitchen lacks",
                        step.id, lesson.id
                    ),
                )
                .way_out(format!("add `{what}` to `kitchen.toml`, or give the step another `at`")),
            );
        }
        if step.place.value == Where::Oven && step.heat.is_none() {
            log.note(
                Finding::error(
                    "missing-key",
                    step.id.place,
                    format!("step `{}` is in the oven and has no `heat`", step.id),
                )
                .way_out("add `heat = \"170 C\"`"),
            );
        }
    }
}
