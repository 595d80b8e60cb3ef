//! Course to numbers, pure: one file for each question of the trade.
pub mod formula;
pub mod rounding;
pub mod work;
