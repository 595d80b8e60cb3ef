//! Everything that is tested from outside: one binary, as linking a typesetter takes long.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::print_stdout, clippy::print_stderr, missing_docs)]
mod support;

mod broken;
mod commands;
mod documents;
mod drawings;
mod engine_class;
mod engine_random;
mod engine_verify;
mod findings;
mod format;
mod formula_desk;
mod job_shop;
mod kitchen;
mod layering;
mod orders;
mod pdf;
mod photographs;
mod published;
mod reading;
mod safety;
mod template_data;
mod templates;
mod terminal;
mod timetable;
mod writing;
