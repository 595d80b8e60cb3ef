//! `kitchen.toml`: what there is, how big, how many.

use super::grammar::quantity::{Breaker, Rate, Volts};
use super::keys::{self, Keys};
use super::raw::{Entry, Node, Value};
use super::table::{self, Fields, Log};
use crate::course::{
    At, Circuit, DoughClass, EquipId, Hob, Kitchen, Loan, Mixer, Oven, Shelves, Stations, Tin, Tool, Tray,
    Tub,
};
use crate::finding::{Finding, Located};
use crate::units::{Centimetres, Grams, Kelvins, Minutes, Percent, Watts};

/// Reads `kitchen.toml`.
pub fn read(log: &Log, root: &Node) -> Option<Kitchen> {
    let f = Fields::new(log, root, &keys::KITCHEN, "`kitchen.toml`")?;
    let kitchen = Kitchen {
        room: f.required("room"),
        tap_water: f.get("tap-water"),
        altitude: altitude(&f),
        stations: stations(&f),
        circuits: circuits(&f),
        mixers: each(&f, "mixers", &keys::MIXER, "this mixer", mixer),
        ovens: each(&f, "ovens", &keys::OVEN, "this oven", oven),
        hobs: each(&f, "hobs", &keys::HOB, "this hob", hob),
        warm: each(&f, "warm", &keys::SHELVES, "this warm place", shelves),
        cold: each(&f, "cold", &keys::SHELVES, "this fridge", shelves),
        freezers: each(&f, "freezers", &keys::SHELVES, "this freezer", shelves),
        racks: each(&f, "racks", &keys::SHELVES, "this rack", shelves),
        tins: each(&f, "tins", &keys::TIN, "this tin", tin),
        trays: each(&f, "trays", &keys::TRAY, "this tray", tray),
        tubs: each(&f, "tubs", &keys::TUB, "this tub", tub),
        sinks: f.count_or("sinks", 1),
        tools: each(&f, "tools", &keys::TOOL, "this tool", tool),
    };
    super::resolve::no_twins(log, "piece of equipment", equipment(&kitchen));
    Some(kitchen)
}

/// The ids of all equipment and circuits, in the order of the kitchen's sections.
pub fn equipment(k: &Kitchen) -> impl Iterator<Item = &At<EquipId>> {
    (k.circuits.iter().map(|x| &x.id))
        .chain(k.mixers.iter().map(|x| &x.id))
        .chain(k.ovens.iter().map(|x| &x.id))
        .chain(k.hobs.iter().map(|x| &x.id))
        .chain(k.warm.iter().map(|x| &x.id))
        .chain(k.cold.iter().map(|x| &x.id))
        .chain(k.freezers.iter().map(|x| &x.id))
        .chain(k.racks.iter().map(|x| &x.id))
        .chain(k.tins.iter().map(|x| &x.id))
        .chain(k.trays.iter().map(|x| &x.id))
        .chain(k.tubs.iter().map(|x| &x.id))
        .chain(k.tools.iter().map(|x| &x.id))
}

fn each<T>(
    f: &Fields<'_>,
    key: &str,
    keys: &'static Keys,
    owner: &str,
    read: fn(&Fields<'_>) -> T,
) -> Vec<T> {
    let tables = f.tables(key).into_iter();
    tables.filter_map(|node| Fields::new(f.log, node, keys, owner)).map(|f| read(&f)).collect()
}

/// Whole metres of a height above the sea.
fn altitude(f: &Fields<'_>) -> Option<At<u32>> {
    let height: At<Centimetres> = f.get("altitude")?;
    Some(height.map(|h| u32::try_from(h.thousandths() / 100_000).unwrap_or(0)))
}

fn stations(f: &Fields<'_>) -> Stations {
    let fields =
        f.entry("stations").and_then(|entry| Fields::new(f.log, &entry.node, &keys::STATIONS, "`stations`"));
    let Some(s) = fields else {
        if !f.has("stations") {
            f.missing("stations", "{ count = 6, seats = 2 }");
        }
        return Stations { count: Located::assumed(1), seats: Located::assumed(1), each_has: Vec::new() };
    };
    let some = |key: &str| {
        let count = s.required_count(key);
        if count.value == 0 {
            f.log.note(
                Finding::error("nought-size", count.place, format!("`{key}` is 0: nobody could take part"))
                    .way_out("write at least 1"),
            );
        }
        count
    };
    Stations { count: some("count"), seats: some("seats"), each_has: ids(&s, "each-has") }
}

fn ids<T: From<String>>(f: &Fields<'_>, key: &str) -> Vec<At<T>> {
    f.texts(key).into_iter().map(|t| t.map(T::from)).collect()
}

/// Circuits: a list of tables, or a table of breakers by id.
fn circuits(f: &Fields<'_>) -> Vec<Circuit> {
    let kitchen = Supply { volts: f.figure("volts", "V"), continuous: f.get("continuous") };
    let Some(entry) = f.entry("circuits") else { return Vec::new() };
    match &entry.node.value {
        Value::Table(named) => {
            named.entries.iter().filter_map(|e| named_circuit(f.log, e, &kitchen)).collect()
        }
        _ => f
            .tables("circuits")
            .into_iter()
            .filter_map(|node| {
                let c = Fields::new(f.log, node, &keys::CIRCUIT, "this circuit")?;
                Some(circuit(&c, c.required_id("id"), &kitchen))
            })
            .collect(),
    }
}

/// What the kitchen says of all its circuits.
struct Supply {
    volts: Option<At<Volts>>,
    continuous: Option<At<Percent>>,
}

fn named_circuit(log: &Log, entry: &Entry, kitchen: &Supply) -> Option<Circuit> {
    let id = Located::at(EquipId::new(entry.key.clone()), entry.key_place);
    if let Value::Text(_) = entry.node.value {
        let breaker: At<Breaker> = table::quantity(log, &entry.key, &entry.node);
        let carries = power(log, &entry.key, breaker, kitchen.volts.as_ref());
        return Some(Circuit { id, carries, continuous: kitchen.continuous.clone() });
    }
    let c = Fields::new(log, &entry.node, &keys::CIRCUIT, format!("circuit `{}`", entry.key))?;
    Some(circuit(&c, id, kitchen))
}

fn circuit(c: &Fields<'_>, id: At<EquipId>, kitchen: &Supply) -> Circuit {
    let volts = c.figure("volts", "V").or(kitchen.volts.clone());
    let breaker = c.required::<Breaker>("carries");
    Circuit {
        carries: power(c.log, &id.value.0, breaker, volts.as_ref()),
        continuous: c.get("continuous").or(kitchen.continuous.clone()),
        id,
    }
}

/// Amperes are watts only at a voltage, and no voltage is assumed: half the world has twice the other half's.
fn power(log: &Log, id: &str, breaker: At<Breaker>, volts: Option<&At<Volts>>) -> At<Watts> {
    let place = breaker.place;
    let watts = match (breaker.value, volts) {
        (Breaker::Power(watts), _) => watts,
        (Breaker::Current(current), Some(volts)) => current
            .to_decimal()
            .checked_mul(volts.value.0)
            .and_then(Watts::from_decimal)
            .unwrap_or(Watts::ZERO),
        (Breaker::Current(_), None) => {
            log.note(
                Finding::error(
                    "voltage-unknown",
                    place,
                    format!("circuit `{id}` is in amperes, and no voltage is written"),
                )
                .way_out("add `volts = 230` (or what the sockets have) at the top of `kitchen.toml`"),
            );
            Watts::ZERO
        }
    };
    Located { value: watts, place }
}

fn watts(f: &Fields<'_>) -> Option<At<Watts>> {
    f.figure("watts", "W")
}

fn circuit_of(f: &Fields<'_>) -> Option<At<EquipId>> {
    f.text("circuit").map(|t| t.map(EquipId::from))
}

fn loan(f: &Fields<'_>) -> Option<Loan> {
    let entry = f.entry("loan")?;
    let l = Fields::new(f.log, &entry.node, &keys::LOAN, "`loan`")?;
    Some(Loan { count: l.required_count("count"), from: l.required_text("from"), back_by: l.date("back-by") })
}

fn mixer(f: &Fields<'_>) -> Mixer {
    let limits = f.entry("limit").and_then(|e| Fields::new(f.log, &e.node, &keys::LIMIT, "`limit`"));
    let limit = limits
        .map(|l| {
            [("lean", DoughClass::Lean), ("enriched", DoughClass::Enriched), ("rich", DoughClass::Rich)]
                .into_iter()
                .filter_map(|(key, class)| l.get::<Grams>(key).map(|most| (class, most)))
                .collect()
        })
        .unwrap_or_default();
    Mixer {
        id: f.required_id("id"),
        name: f.text("name"),
        count: f.count_or("count", 1),
        bowl: f.required("bowl"),
        limit,
        least: f.get("least"),
        between: f.or("between", Minutes::ZERO),
        friction: f.get("friction"),
        watts: watts(f),
        circuit: circuit_of(f),
        loan: loan(f),
    }
}

fn oven(f: &Fields<'_>) -> Oven {
    let rate = |key: &str| -> At<Kelvins> { f.required::<Rate>(key).map(|r| r.0) };
    let fan = f.flag("fan");
    if !f.has("fan") {
        f.missing("fan", "true");
    }
    Oven {
        id: f.required_id("id"),
        name: f.text("name"),
        count: f.count_or("count", 1),
        racks: f.required_count("racks"),
        rack: f.required("rack"),
        clear: f.required("clear"),
        fan: fan.is_some_and(|f| f.value),
        heats: rate("heats"),
        cools: rate("cools"),
        watts: watts(f),
        circuit: circuit_of(f),
        loan: loan(f),
    }
}

fn hob(f: &Fields<'_>) -> Hob {
    Hob {
        id: f.required_id("id"),
        burners: f.required_count("burners"),
        watts: watts(f),
        circuit: circuit_of(f),
    }
}

fn shelves(f: &Fields<'_>) -> Shelves {
    Shelves {
        id: f.required_id("id"),
        count: f.count_or("count", 1),
        shelves: f.required_count("shelves"),
        shelf: f.required("shelf"),
        clear: f.required("clear"),
        temperature: f.get("at"),
        watts: watts(f),
        circuit: circuit_of(f),
    }
}

fn tin(f: &Fields<'_>) -> Tin {
    Tin {
        id: f.required_id("id"),
        name: f.text("name"),
        count: f.required_count("count"),
        inside: f.required("inside"),
        holds: f.get("holds"),
        outside: f.required("outside"),
        between: f.or("between", Minutes::ZERO),
        loan: loan(f),
    }
}

fn tray(f: &Fields<'_>) -> Tray {
    Tray {
        id: f.required_id("id"),
        name: f.text("name"),
        count: f.required_count("count"),
        size: f.required("size"),
        between: f.or("between", Minutes::ZERO),
        loan: loan(f),
    }
}

fn tub(f: &Fields<'_>) -> Tub {
    Tub {
        id: f.required_id("id"),
        count: f.required_count("count"),
        holds: f.required("holds"),
        inside: f.get("inside"),
        outside: f.required("outside"),
    }
}

fn tool(f: &Fields<'_>) -> Tool {
    Tool {
        id: f.required_id("id"),
        name: f.text("name"),
        count: f.required_count("count"),
        consumable: f.is_true("consumable"),
        kept: f.text("kept"),
        loan: loan(f),
    }
}
