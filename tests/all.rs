//! One test binary: linking a typesetter once is slow enough.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod reading;
//! Everything that is tested from outside: one binary, as linking a typesetter takes long.
#![allow(clippy::unwrap_used, clippy::expect_used, missing_docs)]
mod support;

mod published;
mod terminal;
mod writing;
