//! Numbers to files: the only writing, whole or not at all.
pub mod csv;
pub mod lanes;
pub mod table;
pub mod text;
