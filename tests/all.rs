//! Whole commands and published cases, in one binary: linking a typesetter once is slow enough.
mod published;
