//! Course to numbers, pure: one file for each question of the trade.
pub mod composition;
pub mod dough_class;
pub mod dough_temperature;
pub mod eggs;
pub mod formula;
pub mod measures;
pub mod measures_table;
pub mod piece_yield;
pub mod rounding;
pub mod tin_fill;
pub mod work;
pub mod yeast;
