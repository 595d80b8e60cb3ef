//! Why a class does not fit: one sentence with its figure, and the constraints that cannot hold together.
//!
//! A constraint is only named as what holds a class when the class fits without it (or without all that are named, where they are
//! several). Constraints that merely conflict are no cause: another one may hold the class just as much.

use super::choose::{Effort, combinations};
use super::grid::Calendar;
use super::jobs::{Jobs, Picked};
use super::problem::ReasonId;
use super::solver;
use super::tasks::{self, Ask};
use crate::course::Course;
use crate::reckon::work::{Class, Options, Portion};

/// Constraints that cannot hold together.
#[derive(Clone, PartialEq, Debug)]
pub struct Conflict {
    /// "35 min too long: 2 ovens and ... hold it".
    pub sentence: String,
    /// The sentence without its figure: "what holds it: ...".
    pub holds: String,
    /// The constraints, in the teacher's words: the times as written, and what has to be set aside so that the class fits in them.
    pub constraints: Vec<String>,
    /// What was named that is no written time: the class fits without all of it together. Empty: no hands or things more would help.
    pub held_by: Vec<ReasonId>,
    /// None of it can stay: that was shown for each, in this split.
    pub minimal: bool,
    /// It was shown that the steps one after another are too long, whatever else there is.
    pub in_turn: bool,
    /// The split into batches and loads that was asked about.
    pub split: Picked,
}

impl Conflict {
    /// What is known without asking the solver again: a sentence, and what stands against each other.
    #[must_use]
    pub fn of_words(sentence: String, constraints: Vec<String>) -> Conflict {
        Conflict {
            holds: sentence.clone(),
            sentence,
            constraints,
            held_by: Vec::new(),
            minimal: false,
            in_turn: false,
            split: Picked::default(),
        }
    }
}

/// So many splits into batches and loads are asked after the preferred one, where another may make untrue what is said of that.
const OTHERS: usize = 3;

/// Names what conflicts in a class that does not fit; `figure` says by how much, or what else is known without a plan.
///
/// The preferred split into batches and loads is asked first. A single constraint without which the class fits in it is a cause, whatever
/// other splits there are. Where several have to be set aside, or nothing helps, another split may need fewer: then a few more are asked, and
/// where not all were, the sentence says that it is of this one.
#[must_use]
pub fn explain(
    course: &Course,
    class: &Class,
    portions: &[Portion],
    options: &Options,
    figure: &str,
    effort: Effort,
) -> Conflict {
    let (splits, all) = combinations(options, 1 + OTHERS);
    let calendar = Calendar::of(course);
    let (Some(first), Some(calendar)) = (splits.first(), calendar) else {
        let sentence = "there is no session".to_owned();
        return Conflict { minimal: true, ..Conflict::of_words(sentence, Vec::new()) };
    };
    let ask = |split| Asked::of(&Jobs::of(course, class, portions, split), &calendar, effort);
    let (mut split, mut found) = (first, ask(first));
    // All others that were asked are shown to be impossible whatever is set aside.
    let mut others_hopeless = true;
    let mut asked = 1;
    for other in splits.iter().skip(1) {
        if !found.may_be_less_elsewhere() {
            break;
        }
        let next = ask(other);
        asked += 1;
        if next.names_less_than(&found) {
            others_hopeless &= found.relief.hopeless;
            (split, found) = (other, next);
        } else {
            others_hopeless &= next.relief.hopeless;
        }
    }
    let of_all = !found.may_be_less_elsewhere() || (asked == all && others_hopeless);
    found.told(figure, split, of_all)
}

/// What was found of one split.
struct Asked {
    reasons: Vec<String>,
    written: Vec<ReasonId>,
    core: solver::Conflict,
    relief: solver::Relief,
}

impl Asked {
    fn of(jobs: &Jobs<'_>, calendar: &Calendar, effort: Effort) -> Asked {
        let ask =
            Ask { name_ends: true, keep_students: true, ..Ask::longer(&calendar.grid, Some(effort.over)) };
        let problem = tasks::model(jobs, calendar, ask).problem;
        let all = problem.reasons.iter().enumerate().filter(|(_, text)| is_written_time(text));
        let written: Vec<ReasonId> = all.map(|(place, _)| ReasonId(place)).collect();
        let core = solver::explain(&problem, effort.per_term);
        let relief = solver::relief(&problem, &written, effort.per_term);
        Asked { reasons: problem.reasons, written, core, relief }
    }

    /// Whether another split may be held by less than this one is.
    fn may_be_less_elsewhere(&self) -> bool {
        self.relief.hopeless || self.relief.reasons.as_ref().is_some_and(|all| all.len() > 1)
    }

    fn names_less_than(&self, other: &Asked) -> bool {
        let count = |asked: &Asked| asked.relief.reasons.as_ref().map(Vec::len);
        match (count(self), count(other)) {
            (Some(mine), Some(theirs)) => mine < theirs,
            (Some(_), None) => true,
            (None, _) => false,
        }
    }

    fn told(&self, figure: &str, split: &Picked, of_all: bool) -> Conflict {
        let Asked { reasons, written, core, relief } = self;
        let text = |ReasonId(n): &ReasonId| reasons.get(*n).map_or("", String::as_str);
        let each = if of_all { Shown::Each } else { Shown::InSplit };
        // Where too few steps were left to find a cause, at least what conflicts is named.
        let (held_by, minimal, shown) = match &relief.reasons {
            Some(reasons) if relief.minimal => (reasons.clone(), core.minimal, each),
            Some(reasons) => (reasons.clone(), false, Shown::Together),
            None if relief.hopeless => (Vec::new(), core.minimal, each),
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
        let (constraints, split) = (words(&named), split.clone());
        Conflict { sentence, holds, constraints, held_by, minimal, in_turn: relief.hopeless, split }
    }
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
    /// The same, but in one split into batches and loads; of others it is not.
    InSplit,
    /// That it fits without all of them together; whether each of them matters was not found out.
    Together,
    /// Nothing: they only conflict.
    Nothing,
}

/// Where several are named, none of them set aside alone makes the class fit: that is said, or whoever borrows two tins for nothing has been
/// told to.
fn holds(held: &[String], shown: Shown) -> String {
    let in_split = "in one way to split doughs and loads";
    let Some((last, others)) = held.split_last() else {
        let steps = "the steps one after another, and no hands or things more make them shorter";
        return match shown {
            Shown::Nothing => "what holds it was not found".to_owned(),
            Shown::InSplit => format!("what holds it, {in_split}: {steps}"),
            Shown::Each => format!("what holds it: {steps}"),
            Shown::Together => format!("what holds it, among others: {steps}"),
        };
    };
    let begins = match (shown, others) {
        (Shown::Each, []) => "what holds it".to_owned(),
        (Shown::Each, _) => "several things hold it, and it fits only without all of them".to_owned(),
        (Shown::InSplit, []) => format!("what holds it, {in_split}"),
        (Shown::InSplit, _) => {
            format!("{in_split} several things hold it, and it fits only without all of them")
        }
        (Shown::Together, []) => "what holds it, among others".to_owned(),
        (Shown::Together, _) => {
            "several things hold it: without all of these it fits, and perhaps without some of them"
                .to_owned()
        }
        (Shown::Nothing, _) => {
            "what holds it was not found; this is in the way, and perhaps not alone".to_owned()
        }
    };
    match others {
        [] => format!("{begins}: {last}"),
        _ => format!("{begins}: {}, and {last}", others.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// One of several that is taken out of the way changes nothing by itself.
    #[test]
    fn of_several_none_is_said_to_hold_it_alone() {
        let both = vec!["only 8 of Long tin".to_owned(), "the ovens".to_owned()];
        for shown in [Shown::Each, Shown::InSplit, Shown::Together] {
            let told = holds(&both, shown);
            assert!(told.contains("several things hold it"), "{told}");
            assert!(
                !told.contains("what holds it") && told.ends_with("only 8 of Long tin, and the ovens"),
                "{told}"
            );
        }
        assert!(holds(&both[..1], Shown::Each).starts_with("what holds it: only 8"));
        assert!(holds(&both[..1], Shown::Nothing).contains("perhaps not alone"));
    }

    #[test]
    fn no_more_is_said_to_hold_it_than_was_shown() {
        let (none, ovens) = (Vec::new(), vec!["the ovens".to_owned()]);
        assert!(holds(&none, Shown::Each).contains("no hands or things more"));
        assert_eq!(holds(&none, Shown::Nothing), "what holds it was not found");
        assert_eq!(holds(&ovens, Shown::Each), "what holds it: the ovens");
        assert!(
            holds(&none, Shown::InSplit).contains("to split doughs and loads: the steps one after another")
        );
        assert_eq!(holds(&ovens, Shown::Together), "what holds it, among others: the ovens");
        assert_eq!(
            holds(&ovens, Shown::Nothing),
            "what holds it was not found; this is in the way, and perhaps not alone: the ovens"
        );
    }
}
