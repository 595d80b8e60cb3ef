//! Why a class does not fit: one sentence with its figure, and the constraints that cannot hold together.
//!
//! A constraint is only named as what holds a class when the class fits without it (or without all that are named, where they are
//! several). Constraints that merely conflict are no cause: another one may hold the class just as much.

use super::choose::{Effort, combinations};
use super::grid::Calendar;
use super::jobs::Jobs;
use super::problem::ReasonId;
use super::solver;
use super::tasks::{self, Ask};
use crate::course::Course;
use crate::reckon::work::{Class, Options, Portion};

/// Constraints that cannot hold together.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Conflict {
    /// "35 min too long: 2 ovens and ... hold it".
    pub sentence: String,
    /// The sentence without its figure: "what holds it: ...".
    pub holds: String,
    /// The constraints, in the teacher's words: the times as written, and what has to be set aside so that the class fits in them.
    pub constraints: Vec<String>,
    /// What was named that is no written time: the class fits without all of it together. Empty: no hands or things more would help.
    pub held_by: Vec<ReasonId>,
    /// None of it can stay: that was shown for each.
    pub minimal: bool,
    /// It was shown that the steps one after another are too long, whatever else there is.
    pub in_turn: bool,
}

/// Names what conflicts in a class that does not fit; `figure` says by how much, or what else is known without a plan.
///
/// The preferred splits into batches and loads are what is asked about.
#[must_use]
pub fn explain(
    course: &Course,
    class: &Class,
    portions: &[Portion],
    options: &Options,
    figure: &str,
    effort: Effort,
) -> Conflict {
    let (picked, _) = combinations(options, 1);
    let calendar = Calendar::of(course);
    let (Some(picked), Some(calendar)) = (picked.first(), calendar) else {
        let sentence = "there is no session".to_owned();
        let (constraints, held_by) = (Vec::new(), Vec::new());
        return Conflict {
            holds: sentence.clone(),
            sentence,
            constraints,
            held_by,
            minimal: true,
            in_turn: false,
        };
    };
    let jobs = Jobs::of(course, class, portions, picked);
    let over = calendar.grid.up(effort.over);
    let ask = Ask { over: Some(over), name_ends: true, ..Ask::default() };
    let model = tasks::model(&jobs, &calendar, ask);
    let problem = &model.problem;
    let text = |ReasonId(n): &ReasonId| problem.reasons.get(*n).map_or("", String::as_str);
    let all = (0..problem.reasons.len()).map(ReasonId);
    let written: Vec<ReasonId> = all.filter(|reason| is_written_time(text(reason))).collect();
    let core = solver::explain(problem, effort.per_term);
    let relief = solver::relief(problem, &written, effort.per_term);
    // Where too few steps were left to find a cause, at least what conflicts is named.
    let (held_by, minimal, shown) = match &relief.reasons {
        Some(reasons) if relief.minimal => (reasons.clone(), core.minimal, Shown::Each),
        Some(reasons) => (reasons.clone(), false, Shown::Together),
        None if relief.hopeless => (Vec::new(), core.minimal, Shown::Each),
        None => {
            let conflict = core.reasons.iter().copied().filter(|r| !written.contains(r));
            (conflict.collect(), false, Shown::Nothing)
        }
    };
    let mut named: Vec<ReasonId> = core.reasons.iter().copied().filter(|r| written.contains(r)).collect();
    named.extend(&held_by);
    let words = |reasons: &[ReasonId]| reasons.iter().map(|r| text(r).to_owned()).collect::<Vec<_>>();
    let holds = holds(&words(&held_by), shown);
    let sentence = format!("{figure}; {holds}");
    let in_turn = relief.hopeless;
    Conflict { sentence, holds, constraints: words(&named), held_by, minimal, in_turn }
}

/// That students come for sessions, and that those end, is why a class is too long; what holds it is the rest.
fn is_written_time(reason: &str) -> bool {
    reason.contains(" ends at ") || reason.starts_with("students work in the sessions")
}

/// What was shown of the constraints that are named.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Shown {
    /// That it fits without them, and with none of them alone; or, with none named, that it fits without none.
    Each,
    /// That it fits without all of them together; whether each of them matters was not found out.
    Together,
    /// Nothing: they only conflict.
    Nothing,
}

fn holds(held: &[String], shown: Shown) -> String {
    let begins = match shown {
        Shown::Each => "what holds it",
        Shown::Together => "what holds it, among others",
        Shown::Nothing => "what holds it was not found; this is in the way",
    };
    match held.split_last() {
        None if shown == Shown::Nothing => "what holds it was not found".to_owned(),
        None => {
            format!("{begins}: the steps one after another, and no hands or things more make them shorter")
        }
        Some((only, [])) => format!("{begins}: {only}"),
        Some((last, others)) => format!("{begins}: {}, and {last}", others.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_more_is_said_to_hold_it_than_was_shown() {
        let (none, ovens) = (Vec::new(), vec!["the ovens".to_owned()]);
        assert!(holds(&none, Shown::Each).contains("no hands or things more"));
        assert_eq!(holds(&none, Shown::Nothing), "what holds it was not found");
        assert_eq!(holds(&ovens, Shown::Each), "what holds it: the ovens");
        assert_eq!(holds(&ovens, Shown::Together), "what holds it, among others: the ovens");
        assert_eq!(
            holds(&ovens, Shown::Nothing),
            "what holds it was not found; this is in the way: the ovens"
        );
    }
}
