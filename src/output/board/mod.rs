//! The board: one HTML file for the day, that needs nothing else. `view.rs` and `readings.rs` say what it holds, `page.rs` makes the file.

pub mod page;
pub mod preview;
mod readings;
pub mod view;
