//! benchroll: from a course folder to a printed class.
pub mod reckon;
pub mod typeset;
pub mod units;
