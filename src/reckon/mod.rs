//! Course to numbers: pure, one file per question of the trade.

pub mod drawings;
pub mod work;
