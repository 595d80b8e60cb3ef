//! benchroll: from a course folder to a printed class.
//!
//! Data goes one way: read -> reckon -> typeset and output.
pub mod cli;
pub mod course;
pub mod finding;
pub mod output;
pub mod reckon;
pub mod reckon;
pub mod typeset;
pub mod units;
