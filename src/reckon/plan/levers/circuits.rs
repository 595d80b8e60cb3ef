//! One appliance on another circuit, where what hangs on a circuit could ask for more than it carries. More than it carries is no lever.

use super::{Change, assumed};
use crate::course::{At, Circuit, Course, EquipId, Kitchen, Loan};
use crate::reckon::power::{self, Hung};
use crate::units::Watts;

/// What is tried: each kind of appliance, of which it is known what it draws, on each other circuit that is written; then on one of which
/// nothing is written yet.
pub(super) fn elsewhere(kitchen: &Kitchen) -> Vec<Change> {
    let mut all = Vec::new();
    for circuit in kitchen.circuits.iter().filter(|c| power::is_tight(kitchen, c)) {
        let own = &circuit.id.value;
        for hung in power::hung(kitchen, own).filter(|h| h.draws() > 0) {
            // Where nobody wrote what hangs there draws, nobody knows what is left.
            let is_known = |other: &&EquipId| power::hung(kitchen, other).all(|there| there.is_known());
            let others = kitchen.circuits.iter().map(|c| &c.id.value);
            let others = others.filter(|other| *other != own).filter(is_known);
            let to = others.map(|other| Some(other.clone())).chain([None]);
            all.extend(to.map(|to| Change::Circuit(hung.id.value.clone(), to)));
        }
    }
    all
}

/// The same for several changes at once: every appliance on a tight circuit is on one of its own.
pub(super) fn each_elsewhere(kitchen: &Kitchen) -> Vec<Change> {
    let tight = kitchen.circuits.iter().filter(|c| power::is_tight(kitchen, c));
    let all = tight.flat_map(|c| power::hung(kitchen, &c.id.value)).filter(|h| h.draws() > 0);
    all.flat_map(|hung| {
        let change = Change::Circuit(hung.id.value.clone(), None);
        std::iter::repeat_n(change, usize::try_from(hung.units()).unwrap_or(0))
    })
    .collect()
}

/// One appliance of a kind on another circuit: on this one, or, for `None`, on one that carries just this appliance. Where there are several
/// of the kind, the one is a kind of its own.
pub(super) fn plug_in(course: &mut Course, id: &EquipId, to: Option<&EquipId>) -> Option<()> {
    let kitchen = &mut course.kitchen;
    let (from, watts, units) = circuit_of(kitchen, id)?;
    let to = match to {
        Some(to) if *to != from && kitchen.circuits.iter().any(|c| c.id.value == *to) => to.clone(),
        Some(_) => return None,
        None => {
            let new = unused(kitchen, "another");
            let carries = assumed(Watts::whole(watts));
            kitchen.circuits.push(Circuit { id: assumed(new.clone()), carries, continuous: None });
            new
        }
    };
    let apart = (units > 1).then(|| unused(kitchen, id.as_str()));
    if let Some(place) = kitchen.mixers.iter().position(|m| m.id.value == *id) {
        let mut one = kitchen.mixers[place].clone();
        one.circuit = Some(assumed(to));
        if let Some(apart) = apart {
            let others = &mut kitchen.mixers[place];
            one_less(&mut others.count, &mut others.loan);
            (one.id.value, one.count.value, one.loan) = (apart, 1, None);
            kitchen.mixers.insert(place + 1, one);
        } else {
            kitchen.mixers[place] = one;
        }
    } else if let Some(place) = kitchen.ovens.iter().position(|o| o.id.value == *id) {
        let mut one = kitchen.ovens[place].clone();
        one.circuit = Some(assumed(to));
        if let Some(apart) = apart {
            let others = &mut kitchen.ovens[place];
            one_less(&mut others.count, &mut others.loan);
            (one.id.value, one.count.value, one.loan) = (apart, 1, None);
            kitchen.ovens.insert(place + 1, one);
        } else {
            kitchen.ovens[place] = one;
        }
    } else if let Some(hob) = kitchen.hobs.iter_mut().find(|h| h.id.value == *id) {
        hob.circuit = Some(assumed(to));
    } else {
        let kinds = [&mut kitchen.warm, &mut kitchen.cold, &mut kitchen.freezers, &mut kitchen.racks];
        let kind = kinds.into_iter().find(|kind| kind.iter().any(|s| s.id.value == *id))?;
        let place = kind.iter().position(|s| s.id.value == *id)?;
        let mut one = kind[place].clone();
        one.circuit = Some(assumed(to));
        if let Some(apart) = apart {
            one_less(&mut kind[place].count, &mut None);
            (one.id.value, one.count.value) = (apart, 1);
            kind.insert(place + 1, one);
        } else {
            kind[place] = one;
        }
    }
    Some(())
}

/// In words. Whoever teaches does not decide what hangs where: the building's electrician does.
pub(super) fn text(course: &Course, id: &EquipId, to: Option<&EquipId>) -> String {
    let kitchen = &course.kitchen;
    let name = name(kitchen, id);
    let (watts, units) = circuit_of(kitchen, id).map_or((0, 1), |(_, watts, units)| (watts, units));
    let one = if units > 1 { format!("one of {name}") } else { name };
    let there = match to {
        Some(to) => format!("the circuit `{to}`"),
        None => format!("a circuit of its own that has {watts} W to spare for hours"),
    };
    format!(
        "put {one} on {there}, once an electrician or whoever answers for the building's wiring has said that it may"
    )
}

/// On which circuit a kind of appliance is, what one of them draws, and how many there are to be plugged in.
fn circuit_of(kitchen: &Kitchen, id: &EquipId) -> Option<(EquipId, i64, u32)> {
    kitchen.circuits.iter().map(|c| &c.id.value).find_map(|circuit| {
        let hung: Hung<'_> = power::hung(kitchen, circuit).find(|h| h.id.value == *id)?;
        Some((circuit.clone(), hung.draws(), hung.units()))
    })
}

fn name(kitchen: &Kitchen, id: &EquipId) -> String {
    let mixer = kitchen.mixers.iter().find(|m| m.id.value == *id).and_then(|m| m.name.as_ref());
    let oven = || kitchen.ovens.iter().find(|o| o.id.value == *id).and_then(|o| o.name.as_ref());
    mixer.or_else(oven).map_or_else(|| id.to_string(), |name| name.value.clone())
}

fn one_less(count: &mut At<u32>, loan: &mut Option<Loan>) {
    match loan {
        Some(loan) if count.value == 0 => loan.count.value = loan.count.value.saturating_sub(1),
        _ => count.value = count.value.saturating_sub(1),
    }
}

/// An id that nothing in the kitchen has.
fn unused(kitchen: &Kitchen, like: &str) -> EquipId {
    let shelves = [&kitchen.warm, &kitchen.cold, &kitchen.freezers, &kitchen.racks].into_iter().flatten();
    let known: Vec<&EquipId> = (kitchen.circuits.iter().map(|c| &c.id.value))
        .chain(kitchen.mixers.iter().map(|m| &m.id.value))
        .chain(kitchen.ovens.iter().map(|o| &o.id.value))
        .chain(kitchen.hobs.iter().map(|h| &h.id.value))
        .chain(shelves.map(|s| &s.id.value))
        .chain(kitchen.tins.iter().map(|t| &t.id.value))
        .chain(kitchen.trays.iter().map(|t| &t.id.value))
        .chain(kitchen.tubs.iter().map(|t| &t.id.value))
        .chain(kitchen.tools.iter().map(|t| &t.id.value))
        .collect();
    let mut names = (1..).map(|n| EquipId::from(format!("{like}-elsewhere-{n}").as_str()));
    names.find(|name| !known.contains(&name)).unwrap_or_else(|| EquipId::from(like))
}
