//! What was written, for programs.

use crate::output::files::{OutputFile, Written};
use serde::Serialize;

/// What `prepare` answers.
#[derive(Serialize, Debug)]
pub struct PrepareView {
    /// The printed documents.
    pub documents: Vec<DocumentView>,
    /// The files for programs and spreadsheets: paths within the output folder.
    pub data: Vec<String>,
    /// New or changed files.
    pub written: Vec<String>,
    /// Files that were already there as they should be.
    pub unchanged: Vec<String>,
    /// Files of an earlier run that are no longer part of the set.
    pub removed: Vec<String>,
}

/// One printed document.
#[derive(Serialize, Debug)]
pub struct DocumentView {
    /// `station-sheet`, `run-sheet`, ...
    pub kind: String,
    /// The station it is for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub station: Option<u32>,
    /// Path within the output folder.
    pub path: String,
    /// How many pages.
    pub pages: usize,
}

impl PrepareView {
    /// A view of a set and of what writing it did.
    #[must_use]
    pub fn of(documents: Vec<DocumentView>, data: &[OutputFile], written: &Written) -> Self {
        PrepareView {
            documents,
            data: data.iter().map(|f| f.path.clone()).collect(),
            written: written.written.clone(),
            unchanged: written.unchanged.clone(),
            removed: written.removed.clone(),
        }
    }
}
