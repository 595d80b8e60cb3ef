//! What a list that is brought in says of avoided things and what the roll could not take as it stands.

use super::roll_file;
use super::roll_import::Import;
use crate::finding::{Finding, Level};

/// What `check` would say of what the people of a list avoid, by row. `items` are the pantry's ingredients: people may avoid one.
/// Nothing is left out of the roll for it, so none of it is an error yet.
pub fn unclear(import: &Import, name: &str, items: &[&str]) -> Vec<Finding> {
    let mut all = Vec::new();
    for person in &import.people {
        for told in roll_file::not_understood(&person.avoids, items) {
            let message = format!("row {} of `{name}`, {}: {}", person.row, person.name, told.message);
            let level = told.level.max(Level::Warning);
            all.push(Finding { level, message, place: None, ..told }.in_file(name));
        }
    }
    all
}
