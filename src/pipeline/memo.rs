//! Sheets that were typeset before, for a program that prints the same course again and again: a sheet is typeset anew only
//! when something that it is made from has changed.

use crate::output::manifest::sha256;
use crate::typeset::{Press, Printed, Sheet};
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

/// The sheets of the last time, by what they were made from.
#[derive(Default)]
pub struct Memo {
    sheets: Mutex<BTreeMap<String, Printed>>,
    press: Mutex<Option<(Overrides, Arc<Press>)>>,
}

/// The course's own templates, words and fonts, by path.
type Overrides = BTreeMap<String, Vec<u8>>;

impl Memo {
    /// The sheets that are known, with their places among the wanted ones; and what sets each wanted one apart.
    pub(super) fn known(&self, templates: &str, wanted: &[Sheet]) -> (BTreeMap<usize, Printed>, Vec<String>) {
        let keys: Vec<String> = wanted.iter().map(|sheet| key(templates, sheet)).collect();
        let sheets = self.sheets.lock().unwrap_or_else(PoisonError::into_inner);
        let known = keys.iter().enumerate().filter_map(|(n, key)| Some((n, sheets.get(key)?.clone())));
        (known.collect(), keys)
    }

    /// Keeps these sheets, each by what sets it apart, and none besides: what is no longer wanted is forgotten.
    pub(super) fn keep(&self, kept: impl Iterator<Item = (String, Printed)>) {
        *self.sheets.lock().unwrap_or_else(PoisonError::into_inner) = kept.collect();
    }
}

impl Memo {
    /// The press of the last time where the course's own files are the same still; it remembers what it laid out.
    pub fn press(&self, overrides: &Overrides) -> Arc<Press> {
        let mut press = self.press.lock().unwrap_or_else(PoisonError::into_inner);
        match press.as_ref() {
            Some((own, press)) if own == overrides => Arc::clone(press),
            _ => {
                let new = Arc::new(Press::lasting(overrides));
                *press = Some((overrides.clone(), Arc::clone(&new)));
                new
            }
        }
    }
}

/// Everything that a sheet is made from, in short.
fn key(templates: &str, sheet: &Sheet) -> String {
    let document = &sheet.document;
    let photographs: Vec<(&String, String)> =
        document.photographs.iter().map(|(name, bytes)| (name, sha256(bytes))).collect();
    let made = format!(
        "{templates}\n{:?}\n{:?}\n{:?}\n{}",
        (sheet.kind, sheet.station, &sheet.path, sheet.private),
        (&document.template, &document.title, &document.ident, &photographs),
        document.look,
        document.data
    );
    sha256(made.as_bytes())
}
