//! The board: one HTML file for the day, that needs nothing else. `view.rs` says what it holds, `page.rs` makes the file.

pub mod page;
pub mod preview;
pub mod view;
