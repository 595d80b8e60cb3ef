//! Whole commands and published cases, in one binary: linking a typesetter once is slow enough.
mod published;
//! Everything that is tested from outside: one binary, as linking a typesetter takes long.
#![allow(clippy::unwrap_used, clippy::expect_used, missing_docs)]
mod support;
mod terminal;
mod writing;
