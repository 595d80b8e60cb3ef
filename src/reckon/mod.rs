//! Course to numbers: pure functions, one file for each question of the trade.
pub mod formula;
pub mod rounding;
