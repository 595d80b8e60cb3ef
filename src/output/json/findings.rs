//! Findings for programs: what `check` answers, and what any command answers about a course that cannot be relied on.

use crate::finding::{Finding, Place, Sources};
use serde::Serialize;

/// All findings.
#[derive(Serialize, Debug)]
pub struct FindingsView {
    /// Each of them.
    pub findings: Vec<FindingView>,
}

/// One finding.
#[derive(Serialize, Debug)]
pub struct FindingView {
    /// `error`, `warning` or `note`.
    pub level: &'static str,
    /// Its stable word.
    pub code: &'static str,
    /// What is wrong.
    pub message: String,
    /// Path within the course folder.
    pub file: Option<String>,
    /// Line, from 1.
    pub line: Option<usize>,
    /// Column in characters, from 1.
    pub column: Option<usize>,
    /// What to do about it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub way_out: Option<String>,
    /// What it is about, in ids of the course: the name by which this one is accepted.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub about: Option<String>,
    /// The reason for which the teacher accepts it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub accepted: Option<String>,
    /// Other places that matter.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub also: Vec<AlsoView>,
}

/// Another place that matters.
#[derive(Serialize, Debug)]
pub struct AlsoView {
    /// Path within the course folder.
    pub file: String,
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// Why it matters.
    pub message: String,
}

impl FindingsView {
    /// In the order given.
    pub fn of<'a>(findings: impl IntoIterator<Item = &'a Finding>, sources: &Sources) -> Self {
        FindingsView { findings: findings.into_iter().map(|f| FindingView::of(f, sources)).collect() }
    }
}

impl FindingView {
    fn of(finding: &Finding, sources: &Sources) -> Self {
        let at = finding.place.and_then(|place| sources.locate(place));
        FindingView {
            level: finding.level.word(),
            code: finding.code.0,
            message: finding.message.clone(),
            file: at.as_ref().map(|at| at.file.clone()).or_else(|| finding.file.clone()),
            line: at.as_ref().map(|at| at.line),
            column: at.as_ref().map(|at| at.column),
            way_out: finding.way_out.clone(),
            about: finding.about.clone(),
            accepted: finding.accepted.clone(),
            also: finding.also.iter().filter_map(|(place, words)| also(*place, words, sources)).collect(),
        }
    }
}

fn also(place: Place, words: &str, sources: &Sources) -> Option<AlsoView> {
    let at = sources.locate(place)?;
    Some(AlsoView { file: at.file, line: at.line, column: at.column, message: words.to_owned() })
}
