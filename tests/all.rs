//! One test binary: linking a typesetter once is slow enough.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod reading;
