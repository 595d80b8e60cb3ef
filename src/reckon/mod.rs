//! Course to numbers. Pure: values in, values out; one file for each question of the trade.

pub mod plan;
