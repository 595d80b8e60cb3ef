//! Everything that is tested from outside: one binary, as linking a typesetter takes long.
#![allow(clippy::unwrap_used, clippy::expect_used, missing_docs)]
mod support;

mod drawings;
mod published;
mod reading;
mod terminal;
mod writing;
//! One binary for all tests of whole documents and commands.
#![allow(missing_docs)]
mod documents;
