//! The kitchen: what there is, how big, how many.

use super::{Area, At, Box3, EquipId, Inside};
use crate::units::{Celsius, Centimetres, Grams, Kelvins, Millilitres, Minutes, Percent, Watts};

/// Everything in `kitchen.toml`.
#[derive(Clone, PartialEq, Debug)]
pub struct Kitchen {
    /// Temperature of the room.
    pub room: At<Celsius>,
    /// Temperature of the water from the tap; `None`: nobody measured it.
    pub tap_water: Option<At<Celsius>>,
    /// Height above the sea, in metres; `None` is unknown.
    pub altitude: Option<At<u32>>,
    /// The bench.
    pub stations: Stations,
    /// Electric circuits.
    pub circuits: Vec<Circuit>,
    /// Mixers by kind.
    pub mixers: Vec<Mixer>,
    /// Ovens by kind.
    pub ovens: Vec<Oven>,
    /// Burners.
    pub hobs: Vec<Hob>,
    /// Warm places.
    pub warm: Vec<Shelves>,
    /// Fridges.
    pub cold: Vec<Shelves>,
    /// Freezers.
    pub freezers: Vec<Shelves>,
    /// Cooling racks.
    pub racks: Vec<Shelves>,
    /// Tins by kind.
    pub tins: Vec<Tin>,
    /// Trays by kind.
    pub trays: Vec<Tray>,
    /// Tubs by kind.
    pub tubs: Vec<Tub>,
    /// Sinks.
    pub sinks: At<u32>,
    /// Everything else that is counted: scales, pins, probes, cloths.
    pub tools: Vec<Tool>,
}

/// The bench: how many stations, how many seats, what each has.
#[derive(Clone, PartialEq, Debug)]
pub struct Stations {
    /// How many there are.
    pub count: At<u32>,
    /// Students at each.
    pub seats: At<u32>,
    /// Tools that stand at each, beyond those that the kitchen counts.
    pub each_has: Vec<At<EquipId>>,
}

/// One fused circuit.
#[derive(Clone, PartialEq, Debug)]
pub struct Circuit {
    /// Its id.
    pub id: At<EquipId>,
    /// What its breaker carries, in watts at its voltage.
    pub carries: At<Watts>,
    /// The share of it that may run for hours, as the course states it for its country; `None`: all of it.
    pub continuous: Option<At<Percent>>,
}

/// How stiff and how rich a dough is, for a mixer's limit.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum DoughClass {
    /// Little sugar and fat.
    Lean,
    /// Some.
    Enriched,
    /// Much.
    Rich,
}

/// A kind of mixer.
#[derive(Clone, PartialEq, Debug)]
pub struct Mixer {
    /// Its id.
    pub id: At<EquipId>,
    /// The name that is printed.
    pub name: Option<At<String>>,
    /// How many.
    pub count: At<u32>,
    /// Size of the bowl.
    pub bowl: At<Millilitres>,
    /// The most dough by class; a class that is not listed takes the next richer one's limit, or is unknown.
    pub limit: Vec<(DoughClass, At<Grams>)>,
    /// The smallest batch that the hook still catches.
    pub least: Option<At<Grams>>,
    /// Scraping, cooling or washing between two batches.
    pub between: At<Minutes>,
    /// Friction: how much a mix warms the dough.
    pub friction: Option<At<Kelvins>>,
    /// Power.
    pub watts: Option<At<Watts>>,
    /// Which circuit.
    pub circuit: Option<At<EquipId>>,
    /// Borrowed or hired ones.
    pub loan: Option<Loan>,
}

/// A kind of oven.
#[derive(Clone, PartialEq, Debug)]
pub struct Oven {
    /// Its id.
    pub id: At<EquipId>,
    /// The name that is printed.
    pub name: Option<At<String>>,
    /// How many.
    pub count: At<u32>,
    /// Racks in each.
    pub racks: At<u32>,
    /// Size of a rack.
    pub rack: At<Area>,
    /// Clear height above a rack.
    pub clear: At<Centimetres>,
    /// Has a fan: formula temperatures are for no fan unless the lesson says so.
    pub fan: bool,
    /// Kelvins a minute when heating.
    pub heats: At<Kelvins>,
    /// Kelvins a minute when cooling with the door shut.
    pub cools: At<Kelvins>,
    /// Power.
    pub watts: Option<At<Watts>>,
    /// Which circuit.
    pub circuit: Option<At<EquipId>>,
    /// Borrowed or hired ones.
    pub loan: Option<Loan>,
}

/// A kind of hob.
#[derive(Clone, PartialEq, Debug)]
pub struct Hob {
    /// Its id.
    pub id: At<EquipId>,
    /// Burners in all.
    pub burners: At<u32>,
    /// Power of one burner.
    pub watts: Option<At<Watts>>,
    /// Which circuit.
    pub circuit: Option<At<EquipId>>,
}

/// Shelves at a temperature: a fridge, a freezer, a proofer, a cooling rack.
#[derive(Clone, PartialEq, Debug)]
pub struct Shelves {
    /// Its id.
    pub id: At<EquipId>,
    /// How many such cupboards.
    pub count: At<u32>,
    /// Shelves in each.
    pub shelves: At<u32>,
    /// Size of a shelf.
    pub shelf: At<Area>,
    /// Clear height above a shelf.
    pub clear: At<Centimetres>,
    /// Its temperature; `None`: unknown, of a rack the room's.
    pub temperature: Option<At<Celsius>>,
    /// Power.
    pub watts: Option<At<Watts>>,
    /// Which circuit.
    pub circuit: Option<At<EquipId>>,
}

/// A kind of tin.
#[derive(Clone, PartialEq, Debug)]
pub struct Tin {
    /// Its id.
    pub id: At<EquipId>,
    /// The name that is printed.
    pub name: Option<At<String>>,
    /// How many, without borrowed ones.
    pub count: At<u32>,
    /// Its inside.
    pub inside: At<Inside>,
    /// Its volume by a water fill, which beats the reckoned one.
    pub holds: Option<At<Millilitres>>,
    /// Its outside with handles and rim.
    pub outside: At<Box3>,
    /// Cooling, washing and greasing before it serves again.
    pub between: At<Minutes>,
    /// Borrowed or hired ones.
    pub loan: Option<Loan>,
}

/// Borrowed or hired things.
#[derive(Clone, PartialEq, Debug)]
pub struct Loan {
    /// How many.
    pub count: At<u32>,
    /// From whom.
    pub from: At<String>,
    /// Back by when, a date as written.
    pub back_by: Option<At<jiff::civil::Date>>,
}

/// A kind of tray.
#[derive(Clone, PartialEq, Debug)]
pub struct Tray {
    /// Its id.
    pub id: At<EquipId>,
    /// The name that is printed.
    pub name: Option<At<String>>,
    /// How many.
    pub count: At<u32>,
    /// Its size.
    pub size: At<Area>,
    /// Before it serves again.
    pub between: At<Minutes>,
    /// Borrowed or hired ones.
    pub loan: Option<Loan>,
}

/// A kind of tub for dough.
#[derive(Clone, PartialEq, Debug)]
pub struct Tub {
    /// Its id.
    pub id: At<EquipId>,
    /// How many.
    pub count: At<u32>,
    /// The most dough before its rise.
    pub holds: At<Grams>,
    /// Its straight-sided inside, for the drawing of a rise; `None`: not drawn.
    pub inside: Option<At<Inside>>,
    /// Its outside.
    pub outside: At<Box3>,
}

/// Anything else that is counted.
#[derive(Clone, PartialEq, Debug)]
pub struct Tool {
    /// Its id.
    pub id: At<EquipId>,
    /// The name that is printed.
    pub name: Option<At<String>>,
    /// How many the kitchen has beside those at the stations.
    pub count: At<u32>,
    /// Used up: paper, film, gloves.
    pub consumable: bool,
    /// Where it is kept, for the pull list.
    pub kept: Option<At<String>>,
    /// Borrowed or hired ones.
    pub loan: Option<Loan>,
}
