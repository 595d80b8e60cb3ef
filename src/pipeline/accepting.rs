//! What the teacher accepts: one finding each, by its code and what it is about, with a reason that is printed.
//!
//! Of errors only those about time and temperature can be accepted, and what concerns a person's allergen never can. An
//! acceptance that could mean several findings accepts none of them.

use super::codes::{codes, nearest};
use crate::course::{Accepted, Course};
use crate::finding::{Finding, Level, Sources};
use crate::reckon::safety::{NEVER_ACCEPTED, may_be_accepted};

/// Turns what is accepted into notes that say so, and tells which acceptances could mean several.
pub fn accept(course: &Course, findings: &mut Vec<Finding>, sources: &Sources) {
    let mut told = Vec::new();
    for one in &course.settings.accepts {
        let meant: Vec<usize> = (0..findings.len()).filter(|n| means(one, &findings[*n], sources)).collect();
        match meant.as_slice() {
            [] => {}
            [only] => mark(one, &mut findings[*only]),
            several => {
                let names: Vec<String> =
                    several.iter().filter_map(|n| names(&findings[*n], sources).into_iter().next()).collect();
                told.push(
                    Finding::warning(
                        "accepts-several",
                        one.of.as_ref().unwrap_or(&one.code).place,
                        format!(
                            "`accepts`: {} findings have the code {}, and one reason accepts one of them: none is accepted",
                            several.len(),
                            one.code.value
                        ),
                    )
                    .way_out(format!(
                        "say which: `{} = {{ {} }}`",
                        one.code.value,
                        names.iter().map(|n| format!("{n:?} = \"...\"")).collect::<Vec<_>>().join(", ")
                    )),
                );
            }
        }
    }
    for finding in told {
        if !findings.contains(&finding) {
            findings.push(finding);
        }
    }
}

/// Whether an acceptance means a finding.
fn means(one: &Accepted, finding: &Finding, sources: &Sources) -> bool {
    finding.code.0 == one.code.value
        && (finding.accepted.is_some() || may_be_accepted(finding))
        && one.of.as_ref().is_none_or(|of| names(finding, sources).contains(&of.value))
}

/// The names by which a finding is accepted: what it is about, or else its file and line.
fn names(finding: &Finding, sources: &Sources) -> Vec<String> {
    let line = finding.place.and_then(|p| sources.locate(p)).map(|at| format!("{}:{}", at.file, at.line));
    finding.about.iter().cloned().chain(line).chain(finding.file.clone()).collect()
}

fn mark(one: &Accepted, finding: &mut Finding) {
    if finding.accepted.is_none() {
        finding.level = Level::Note;
        finding.message = format!("{} (accepted: {})", finding.message, one.reason.value);
        finding.accepted = Some(one.reason.value.clone());
    }
}

/// Acceptances that can never do anything: no such code, or one that cannot be accepted.
#[must_use]
pub fn unknown(course: &Course) -> Vec<Finding> {
    let mut all = Vec::new();
    for one in &course.settings.accepts {
        let code = one.code.value.as_str();
        if NEVER_ACCEPTED.contains(&code) {
            all.push(
                Finding::error(
                    "accepts-refused",
                    one.code.place,
                    format!(
                        "`accepts`: {code} concerns what a person must avoid, and cannot be accepted away"
                    ),
                )
                .way_out("take the line out; change what is made, the variant, or who comes"),
            );
        } else if !codes().any(|c| c == code) {
            let finding = Finding::error(
                "unknown-word",
                one.code.place,
                format!("`accepts`: \"{code}\" is the code of no finding"),
            );
            all.push(match nearest(code) {
                Some(near) => finding.way_out(format!("did you mean `{near}`?")),
                None => finding.way_out("`benchroll finding` lists all codes"),
            });
        }
    }
    all
}

/// Acceptances that no finding answers to.
#[must_use]
pub fn unused(course: &Course, findings: &[Finding], sources: &Sources) -> Vec<Finding> {
    let used = |one: &Accepted| findings.iter().any(|f| means(one, f, sources));
    let of_code = |one: &Accepted| -> Vec<String> {
        let same = findings.iter().filter(|f| f.code.0 == one.code.value && may_be_accepted(f));
        same.filter_map(|f| names(f, sources).into_iter().next()).collect()
    };
    course
        .settings
        .accepts
        .iter()
        .filter(|one| !used(one) && codes().any(|c| c == one.code.value))
        .filter(|one| !NEVER_ACCEPTED.contains(&one.code.value.as_str()))
        .map(|one| {
            let what = one.of.as_ref().map_or_else(String::new, |of| format!(" about {}", of.value));
            let finding = Finding::note(
                "accepts-nothing",
                one.of.as_ref().unwrap_or(&one.code).place,
                format!(
                    "`accepts`: nothing that may be accepted is found with the code {}{what}",
                    one.code.value
                ),
            );
            let others = of_code(one);
            if others.is_empty() {
                finding.way_out("take the line out, so that it cannot hide anything later")
            } else {
                finding.way_out(format!("there is {}", others.join(", ")))
            }
        })
        .collect()
}

/// What is printed on every sheet for each finding that was accepted: what it is about, in words, and the reason.
#[must_use]
pub fn printed(findings: &[Finding]) -> Vec<String> {
    findings
        .iter()
        .filter_map(|f| {
            let reason = f.accepted.as_ref()?;
            let about = f.about.as_deref().map_or_else(String::new, |a| format!("{}, ", a.replace('.', " ")));
            Some(format!("{about}{}: {reason}", f.code.0.replace('-', " ")))
        })
        .collect()
}
