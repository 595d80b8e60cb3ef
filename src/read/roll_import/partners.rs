//! With whom people said that they come, as a form has it: "Fay" is meant for somebody of the list.

use super::{Entry, key};
use crate::finding::Finding;
use crate::read::table::Log;

/// A first name that only one other person of the list has becomes their name, and is told. What names nobody of the list stays, and is
/// told too.
pub fn named(log: &Log, file: &str, people: &mut [Entry]) {
    let names: Vec<String> = people.iter().map(|p| p.name.clone()).collect();
    for person in people.iter_mut().filter(|p| !p.with.is_empty()) {
        if names.iter().any(|name| key(name) == key(&person.with)) {
            continue;
        }
        let first = |name: &str| name.split(' ').next().map(key);
        let others = names.iter().filter(|name| key(name) != key(&person.name));
        let meant: Vec<&String> =
            others.filter(|name| first(name).as_deref() == Some(key(&person.with).as_str())).collect();
        let finding = match meant[..] {
            [one] => {
                let told = Finding::note(
                    "partner-not-coming",
                    None,
                    format!(
                        "row {} of `{file}`, {}: \"{}\" was read as {one}",
                        person.row, person.name, person.with
                    ),
                );
                one.clone_into(&mut person.with);
                told.way_out("look whether that is who was meant")
            }
            _ => Finding::warning(
                "partner-not-coming",
                None,
                format!(
                    "row {} of `{file}`, {}: comes with \"{}\", who {}",
                    person.row,
                    person.name,
                    person.with,
                    if meant.is_empty() { "is nobody of this list" } else { "may be several of this list" }
                ),
            )
            .way_out("ask; write the other's name as the roll has it, or leave `with` empty"),
        };
        log.note(finding.in_file(file));
    }
}
