//! What hangs on which circuit: what it draws, what a circuit carries for hours, and what nobody wrote down of it.

use super::plan::containers::how_many;
use crate::course::{At, Circuit, Course, EquipId, Kitchen, Shelves};
use crate::finding::Finding;
use crate::units::Watts;
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

/// A kind of appliance on a circuit.
pub struct Hung<'a> {
    /// Its id.
    pub id: &'a At<EquipId>,
    /// What one of them, or one burner, draws; `None`: nobody wrote it.
    watts: Option<&'a At<Watts>>,
    /// How many of them, or how many burners, there are.
    count: u32,
    /// It is never switched off: a fridge, a proofer.
    always: bool,
    /// It is a hob: its burners are plugged in as one.
    hob: bool,
}

impl Hung<'_> {
    /// So many of the kind can be plugged in elsewhere one by one.
    #[must_use]
    pub fn units(&self) -> u32 {
        if self.hob { 1 } else { self.count }
    }

    /// Whether it is written what it draws.
    #[must_use]
    pub fn is_known(&self) -> bool {
        self.watts.is_some()
    }

    /// What one of these draws, in whole watts; 0 where nobody wrote it.
    #[must_use]
    pub fn draws(&self) -> i64 {
        drawn(self.watts).saturating_mul(if self.hob { i64::from(self.count) } else { 1 })
    }
}

/// Everything on a circuit, in file order.
pub fn hung<'a>(kitchen: &'a Kitchen, circuit: &'a EquipId) -> impl Iterator<Item = Hung<'a>> {
    let on = move |c: &Option<At<EquipId>>| c.as_ref().is_some_and(|c| c.value == *circuit);
    let mixers = kitchen.mixers.iter().filter(move |m| on(&m.circuit)).map(|m| Hung {
        id: &m.id,
        watts: m.watts.as_ref(),
        count: how_many(m.count.value, m.loan.as_ref()),
        always: false,
        hob: false,
    });
    let ovens = kitchen.ovens.iter().filter(move |o| on(&o.circuit)).map(|o| Hung {
        id: &o.id,
        watts: o.watts.as_ref(),
        count: how_many(o.count.value, o.loan.as_ref()),
        always: false,
        hob: false,
    });
    let hobs = kitchen.hobs.iter().filter(move |h| on(&h.circuit)).map(|h| Hung {
        id: &h.id,
        watts: h.watts.as_ref(),
        count: h.burners.value,
        always: false,
        hob: true,
    });
    let shelves = shelves(kitchen).filter(move |s| on(&s.circuit)).map(|s| Hung {
        id: &s.id,
        watts: s.watts.as_ref(),
        count: s.count.value,
        always: true,
        hob: false,
    });
    mixers.chain(ovens).chain(hobs).chain(shelves).filter(|h| h.count > 0)
}

fn shelves(kitchen: &Kitchen) -> impl Iterator<Item = &Shelves> {
    kitchen.warm.iter().chain(&kitchen.cold).chain(&kitchen.freezers).chain(&kitchen.racks)
}

/// What one appliance draws, in whole watts, rounded up; nought where nobody wrote it, which `findings` tells.
#[must_use]
pub fn drawn(watts: Option<&At<Watts>>) -> i64 {
    watts.map_or(0, |w| w.value.thousandths().saturating_add(999).div_euclid(1000))
}

fn sum<'a>(all: impl Iterator<Item = Hung<'a>>) -> i64 {
    all.map(|h| drawn(h.watts).saturating_mul(i64::from(h.count))).fold(0, i64::saturating_add)
}

/// Everything on a circuit running at once, in watts.
#[must_use]
pub fn demand(kitchen: &Kitchen, circuit: &EquipId) -> i64 {
    sum(hung(kitchen, circuit))
}

/// What on a circuit is never switched off, in watts.
#[must_use]
pub fn always(kitchen: &Kitchen, circuit: &EquipId) -> i64 {
    sum(hung(kitchen, circuit).filter(|h| h.always))
}

/// Whether a circuit could be asked for more than it carries.
#[must_use]
pub fn is_tight(kitchen: &Kitchen, circuit: &Circuit) -> bool {
    demand(kitchen, &circuit.id.value) > carries(circuit)
}

/// Whether some circuit is asked for more than it carries by what is never switched off alone.
#[must_use]
pub fn is_overloaded(kitchen: &Kitchen) -> bool {
    kitchen.circuits.iter().any(|circuit| always(kitchen, &circuit.id.value) > carries(circuit))
}

/// What a circuit carries for hours, in whole watts, rounded down.
#[must_use]
pub fn carries(circuit: &Circuit) -> i64 {
    let share = circuit.continuous.as_ref().map_or(Decimal::ONE, |p| p.value.factor());
    let watts = circuit.carries.value.to_decimal().checked_mul(share).and_then(|w| w.floor().to_i64());
    watts.unwrap_or(0)
}

/// Appliances of which nobody wrote what they draw, circuits that what is never switched off overloads already, and such that cannot carry
/// all at once: the plan keeps to that, and whoever sees an oven idle has to know it.
#[must_use]
pub fn findings(course: &Course) -> Vec<Finding> {
    let kitchen = &course.kitchen;
    let mut all = Vec::new();
    for circuit in &kitchen.circuits {
        let id = &circuit.id.value;
        for unknown in hung(kitchen, id).filter(|h| h.watts.is_none()) {
            all.push(
                Finding::warning(
                    "watts-unknown",
                    unknown.id.place,
                    format!(
                        "what `{}` draws is not written: what circuit `{id}` has to carry is not known, and the plan counts nothing for it",
                        unknown.id.value
                    ),
                )
                .way_out("write its `watts` from the plate on its back, or take its `circuit` out"),
            );
        }
        let (always, carries) = (always(kitchen, id), carries(circuit));
        if always > carries {
            let names: Vec<String> = hung(kitchen, id)
                .filter(|h| h.always && drawn(h.watts) > 0)
                .map(|h| format!("{} of `{}` with {} W", h.count, h.id.value, drawn(h.watts)))
                .collect();
            all.push(
                Finding::error(
                    "circuit-overloaded",
                    circuit.carries.place,
                    format!(
                        "what is never switched off draws {always} W on circuit `{id}`, which carries {carries} W for hours: {}",
                        names.join(", ")
                    ),
                )
                .way_out("plug one of them in elsewhere and write its `circuit`, and ask an electrician before the class"),
            );
        } else if is_tight(kitchen, circuit) {
            let names: Vec<String> =
                hung(kitchen, id).map(|h| format!("{} of `{}`", h.count, h.id.value)).collect();
            all.push(
                Finding::note(
                    "circuit-in-turn",
                    circuit.carries.place,
                    format!(
                        "circuit `{id}` carries {carries} W for hours, and all that is on it draws {} W: {}; the plan never has all of it on at once",
                        demand(kitchen, id),
                        names.join(", ")
                    ),
                )
                .way_out("switch nothing on that the plan has off, or ask an electrician for another circuit"),
            );
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::course::Hob;
    use crate::finding::Level;
    use crate::reckon::sample::{area, at, course, pc, shelves};

    fn watts(thousandths: i64) -> Option<At<Watts>> {
        Some(at(Watts::from_thousandths(thousandths)))
    }

    fn wall(carries: i64) -> Circuit {
        Circuit { id: at("wall".into()), carries: at(Watts::whole(carries)), continuous: None }
    }

    #[test]
    fn what_nobody_wrote_is_told_and_never_nought() {
        let mut c = course();
        c.kitchen.circuits = vec![wall(3680)];
        assert_eq!(findings(&c), []);
        c.kitchen.ovens[0].circuit = Some(at("wall".into()));
        c.kitchen.hobs =
            vec![Hob { id: at("hob".into()), burners: at(2), watts: None, circuit: Some(at("wall".into())) }];
        let told = findings(&c);
        let codes: Vec<_> = told.iter().map(|f| (f.level, f.code.0)).collect();
        assert_eq!(codes, [(Level::Warning, "watts-unknown"); 2]);
        assert!(told[0].message.contains("`oven`") && told[1].message.contains("`hob`"), "{told:?}");
        c.kitchen.ovens[0].watts = watts(3_500_000);
        c.kitchen.hobs[0].watts = watts(1_800_000);
        // All is known, and it is more than the circuit carries: whoever sees something idle has to know it.
        let told = findings(&c);
        let codes: Vec<_> = told.iter().map(|f| (f.level, f.code.0)).collect();
        assert_eq!(codes, [(Level::Note, "circuit-in-turn")]);
        let all = demand(&c.kitchen, &"wall".into());
        let said = |watts: i64| told[0].message.contains(&format!("{watts} W"));
        assert!(said(3680) && said(all) && all > 3680, "{told:?}");
        c.kitchen.circuits = vec![wall(all)];
        assert_eq!(findings(&c), []);
    }

    #[test]
    fn what_is_never_switched_off_must_not_overload_a_circuit() {
        let mut c = course();
        c.kitchen.circuits = vec![wall(2300)];
        let cupboard = |id: &str, w: i64| {
            let mut one = shelves(id, 1, 4, area(60, 40), 20);
            (one.watts, one.circuit) = (watts(w), Some(at("wall".into())));
            one
        };
        c.kitchen.warm = vec![cupboard("proofer", 1_400_000)];
        c.kitchen.cold = vec![cupboard("fridge", 900_000)];
        assert_eq!(findings(&c), []);
        // A whole watt more than it carries is too much, and a part of a watt is.
        c.kitchen.cold = vec![cupboard("fridge", 900_001)];
        let told = findings(&c);
        assert_eq!((told[0].level, told[0].code.0), (Level::Error, "circuit-overloaded"));
        assert!(told[0].message.contains("2301 W") && told[0].message.contains("2300 W"), "{told:?}");
    }

    #[test]
    fn what_is_drawn_is_rounded_up_and_what_is_carried_down() {
        assert_eq!(drawn(watts(1_440_001).as_ref()), 1441);
        assert_eq!(drawn(watts(1_440_000).as_ref()), 1440);
        let mut circuit = wall(1801);
        circuit.continuous = Some(at(pc("80")));
        assert_eq!(carries(&circuit), 1440);
        let mut c = course();
        for mixer in &mut c.kitchen.mixers {
            (mixer.watts, mixer.circuit) = (watts(500_500), Some(at("wall".into())));
        }
        // Four small and one large.
        assert_eq!(demand(&c.kitchen, &"wall".into()), 5 * 501);
        assert_eq!(always(&c.kitchen, &"wall".into()), 0);
    }
}
