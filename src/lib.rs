//! benchroll: from a course folder to a printed class.
//!
//! Data goes one way: read -> reckon -> typeset and output.
pub mod course;
pub mod finding;
pub mod reckon;
pub mod typeset;
pub mod units;
