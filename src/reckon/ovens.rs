//! What fits into an oven at one time, and how a bake can be split into loads.
//!
//! Positions come from real sizes: a tin with its handles, or a tray, on a rack, with air between. A load holds consecutive
//! stations and never more than one oven does. Few loads, all alike, come first.

mod arranged;
mod loads;
mod racked;
mod room;

pub use loads::{Unit, bakes, on_what, parted, trays_for, trays_of};
pub use racked::{Apart, Racked, Thing, racked};
pub use room::{
    ABOVE_A_TIN, AIR_BETWEEN_TINS, FAN_LESS, Spot, both_heats, grown, heat_in, per_tray, pieces_on,
    positions, spots,
};
