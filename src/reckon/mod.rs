//! Course to numbers, pure: one file per question of the trade.
pub mod plan;
pub mod work;
