//! Everything that is tested from outside: one binary, as linking a typesetter takes long.
#![allow(clippy::unwrap_used, clippy::expect_used, missing_docs)]
mod support;

mod commands;
mod documents;
mod drawings;
mod engine_class;
mod published;
mod reading;
mod terminal;
mod timetable;
mod writing;
