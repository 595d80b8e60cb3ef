//! Course to numbers, pure: one file per question of the trade.
pub mod work;
//! Course to numbers. Pure: values in, values out; one file for each question of the trade.

pub mod plan;
