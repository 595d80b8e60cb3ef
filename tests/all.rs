//! Everything that is tested from outside: one binary, as linking a typesetter takes long.
#![allow(clippy::unwrap_used, clippy::expect_used, missing_docs)]
mod support;

mod documents;
mod drawings;
mod engine_class;
mod photographs;
mod published;
mod reading;
mod terminal;
mod writing;
