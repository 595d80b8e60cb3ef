//! What the teacher accepts: one finding each, by its code and what it is about, with a reason that is printed.
//!
//! Of errors only those about time and temperature can be accepted, and what concerns a person's allergen never can. An
//! acceptance that could mean several findings accepts none of them.

use super::codes::{codes, nearest};
use crate::course::{Accepted, Course};
use crate::finding::{Finding, Level, Sources};
use crate::reckon::safety::{NEVER_ACCEPTED, may_be_accepted};
use crate::typeset::views::accepted::AcceptedFinding;

/// Turns what is accepted into notes that say so, and tells which acceptances could mean several.
pub fn accept(course: &Course, findings: &mut Vec<Finding>, sources: &Sources) {
    accept_by(course.settings.accepts.iter(), findings, sources);
}

fn accept_by<'a>(
    accepts: impl Iterator<Item = &'a Accepted>,
    findings: &mut Vec<Finding>,
    sources: &Sources,
) {
    let mut told = Vec::new();
    for one in accepts {
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

/// The same for what another plan brings, once findings of the class's own plan were accepted. A reason holds for the finding that it
/// was given for, as long as that is the same or no worse; it is not lent to another one, and the finding says so.
pub fn accept_again(
    course: &Course,
    findings: &mut Vec<Finding>,
    told: &[Finding],
    sources: &Sources,
    no_worse: impl Fn(&Finding) -> bool,
) {
    let given: Vec<&Finding> = told.iter().filter(|t| t.accepted.is_some()).collect();
    let spent = |one: &Accepted| given.iter().any(|t| means(one, t, sources));
    let (mut known, mut new): (Vec<Finding>, Vec<Finding>) = (Vec::new(), Vec::new());
    for finding in std::mem::take(findings) {
        let was = given.iter().find(|t| t.code == finding.code && t.about == finding.about);
        match (was, was.and_then(|t| t.accepted.clone())) {
            (Some(was), Some(reason)) => known.push(again(finding, was, &reason, &no_worse)),
            _ => new.push(finding),
        }
    }
    accept_by(course.settings.accepts.iter().filter(|one| !spent(one)), &mut new, sources);
    for finding in new.iter_mut().filter(|f| f.accepted.is_none()) {
        let other = course.settings.accepts.iter().find(|one| one.code.value == finding.code.0 && spent(one));
        if let Some(other) = other {
            let of = given.iter().find(|t| means(other, t, sources));
            let of = of.and_then(|t| names(t, sources).into_iter().next()).unwrap_or_default();
            finding.message =
                format!("{}; what is accepted with this code is another thing: {of}", finding.message);
        }
    }
    findings.extend(known.into_iter().chain(new));
}

/// A finding that was accepted before, in another plan.
fn again(finding: Finding, was: &Finding, reason: &str, no_worse: &impl Fn(&Finding) -> bool) -> Finding {
    let told = format!("{} (accepted: {reason})", finding.message);
    if told == was.message || no_worse(&finding) {
        return Finding { level: Level::Note, message: told, accepted: Some(reason.to_owned()), ..finding };
    }
    let before = was.message.strip_suffix(&format!(" (accepted: {reason})")).unwrap_or(&was.message);
    let message =
        format!("{}; it was accepted as it was planned before, and this is worse: {before}", finding.message);
    Finding { message, ..finding }
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

/// Each finding that was accepted, for the sheets that it concerns.
#[must_use]
pub fn printed(course: &Course, findings: &[Finding]) -> Vec<AcceptedFinding> {
    let accepted = findings.iter().filter_map(|f| Some((f, f.accepted.clone()?)));
    accepted.map(|(f, reason)| AcceptedFinding::of(course, f, reason)).collect()
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::reckon::sample::{at, course};

    const CODE: &str = "out-of-cold-too-long";

    fn over(about: &str, minutes: u32) -> Finding {
        Finding::error(CODE, None, format!("`{about}` is out for {minutes} min")).about(about)
    }

    fn accepting(of: Option<&str>) -> Course {
        let mut course = course();
        let (code, of) = (at(CODE.to_owned()), of.map(|of| at(of.to_owned())));
        course.settings.accepts = vec![Accepted { code, of, reason: at("It is read.".to_owned()) }];
        course
    }

    /// What another plan brings, after the class's own had the cream out for 245 minutes, which was accepted.
    fn again(of: Option<&str>, new: Vec<Finding>, no_worse: bool) -> Vec<Finding> {
        let course = accepting(of);
        let mut told = vec![over("buns.cream.cooked", 245)];
        accept(&course, &mut told, &Sources::default());
        assert!(told[0].accepted.is_some());
        let mut found = new;
        accept_again(&course, &mut found, &told, &Sources::default(), |_| no_worse);
        found
    }

    #[test]
    fn what_was_accepted_stays_so_beside_something_else_that_is_out() {
        for of in [None, Some("buns.cream.cooked")] {
            let found = again(of, vec![over("loaf.topping.raw", 135), over("buns.cream.cooked", 245)], false);
            let cream = found.iter().find(|f| f.about.as_deref() == Some("buns.cream.cooked")).unwrap();
            assert_eq!((cream.level, cream.accepted.as_deref()), (Level::Note, Some("It is read.")));
            let topping = found.iter().find(|f| f.about.as_deref() == Some("loaf.topping.raw")).unwrap();
            assert_eq!((topping.level, &topping.accepted), (Level::Error, &None));
            assert!(
                topping.message.contains("accepted with this code is another thing: buns.cream.cooked"),
                "{topping:?}"
            );
        }
        // The reason is not lent to the only one that is left.
        let found = again(None, vec![over("loaf.topping.raw", 135)], false);
        assert_eq!((found[0].level, &found[0].accepted), (Level::Error, &None));
    }

    #[test]
    fn what_got_worse_was_not_accepted_so() {
        let found = again(None, vec![over("buns.cream.cooked", 300)], false);
        assert_eq!((found[0].level, &found[0].accepted), (Level::Error, &None));
        assert!(found[0].message.contains("it was accepted as it was planned before"), "{:?}", found[0]);
        assert!(found[0].message.ends_with("is out for 245 min"), "{:?}", found[0]);
        let found = again(None, vec![over("buns.cream.cooked", 240)], true);
        assert_eq!(found[0].level, Level::Note);
    }
}
