//! A set of sheets to PDF files, with what is wrong told once: a sheet that cannot be typeset spoils no other.

use super::{DocumentSpec, Kind, Overseer, Press, findings};
use crate::finding::{Finding, Sources};
use std::collections::BTreeSet;

/// A sheet of a course, ready to typeset.
#[derive(Clone, Debug)]
pub struct Sheet {
    /// What it is.
    pub kind: Kind,
    /// The station it is for.
    pub station: Option<u32>,
    /// Its path within the output folder: `station-3.pdf`.
    pub path: String,
    /// It holds people's data.
    pub private: bool,
    /// What is typeset.
    pub document: DocumentSpec,
}

/// A sheet that was typeset.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Printed {
    /// What it is.
    pub kind: Kind,
    /// The station it is for.
    pub station: Option<u32>,
    /// Its path within the output folder.
    pub path: String,
    /// It holds people's data.
    pub private: bool,
    /// The PDF file.
    pub pdf: Vec<u8>,
    /// How many pages it has.
    pub pages: usize,
}

/// Typesets the sheets in parallel, and tells what is wrong with templates, fonts and texts. Sheets that cannot be
/// typeset are left out: their errors are among the findings, and each names the sheets that it cost.
/// `overseer` is told what begins and ends.
pub fn print(
    press: &Press,
    sheets: &[Sheet],
    sources: &mut Sources,
    overseer: &dyn Overseer,
) -> (Vec<Printed>, Vec<Finding>) {
    let (printed, _, told) = print_telling(press, sheets, sources, overseer);
    (printed, told)
}

/// The same, and the paths of the sheets that something is wrong with themselves.
pub fn print_telling(
    press: &Press,
    sheets: &[Sheet],
    sources: &mut Sources,
    overseer: &dyn Overseer,
) -> (Vec<Printed>, BTreeSet<String>, Vec<Finding>) {
    let documents: Vec<&DocumentSpec> = sheets.iter().map(|s| &s.document).collect();
    let mut troubles = press.troubles();
    let mut printed = Vec::new();
    let mut lost: Vec<&str> = Vec::new();
    let mut troubled = BTreeSet::new();
    for (sheet, done) in sheets.iter().zip(press.typeset_watched(&documents, overseer)) {
        match done {
            Ok(done) => {
                if !done.warnings.is_empty() {
                    troubled.insert(sheet.path.clone());
                }
                troubles.extend(done.warnings);
                printed.push(Printed {
                    kind: sheet.kind,
                    station: sheet.station,
                    path: sheet.path.clone(),
                    private: sheet.private,
                    pdf: done.pdf,
                    pages: done.pages,
                });
            }
            Err(errors) => {
                troubles.extend(errors);
                lost.push(&sheet.path);
            }
        }
    }
    let mut told = findings(&troubles, press, sources);
    if !lost.is_empty() {
        let cost = format!("not written for it: {}", lost.join(", "));
        for finding in told.iter_mut().filter(|f| f.code.0 == "template-error") {
            finding.way_out = Some(match finding.way_out.take() {
                Some(way_out) => format!("{way_out}; {cost}"),
                None => format!("mend the line, or take the file away; {cost}"),
            });
        }
    }
    (printed, troubled, told)
}
