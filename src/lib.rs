//! benchroll: from a course folder to a printed class.
//!
//! Data goes one way: read -> reckon -> typeset and output.
pub mod finding;
pub mod units;

pub mod course;

pub mod read;

pub mod reckon;
pub mod typeset;

pub mod output;

pub mod pipeline;

pub mod cli;
