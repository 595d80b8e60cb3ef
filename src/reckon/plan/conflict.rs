//! Why a class does not fit: one sentence with its figure, and the constraints that cannot hold together.

use super::choose::{Effort, combinations};
use super::grid::Calendar;
use super::jobs::Jobs;
use super::problem::ReasonId;
use super::solver;
use super::tasks::{self, Ask};
use super::timetable::Plan;
use crate::course::Course;
use crate::reckon::work::{Class, Options, Portion};

/// Constraints that cannot hold together.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Conflict {
    /// "35 min too long: 2 ovens and ... hold it".
    pub sentence: String,
    /// The constraints, in the teacher's words.
    pub constraints: Vec<String>,
    /// Setting aside any one of them leaves the others possible: that was tried for each.
    pub minimal: bool,
}

/// Names what conflicts in a class that does not fit; `late` is its least-late plan, if there is one.
///
/// The preferred splits into batches and loads are what is asked about.
#[must_use]
pub fn explain(
    course: &Course,
    class: &Class,
    portions: &[Portion],
    options: &Options,
    late: Option<&Plan>,
    effort: Effort,
) -> Conflict {
    let (picked, _) = combinations(options, 1);
    let calendar = Calendar::of(course);
    let (Some(picked), Some(calendar)) = (picked.first(), calendar) else {
        let sentence = "there is no session".to_owned();
        return Conflict { sentence, constraints: Vec::new(), minimal: true };
    };
    let jobs = Jobs::of(course, class, portions, picked);
    let over = calendar.grid.up(effort.over);
    let ask = Ask { over: Some(over), name_ends: true, ..Ask::default() };
    let model = tasks::model(&jobs, &calendar, ask);
    let found = solver::explain(&model.problem, effort.per_term);
    let constraints: Vec<String> =
        found.reasons.iter().filter_map(|ReasonId(n)| model.problem.reasons.get(*n).cloned()).collect();
    Conflict { sentence: sentence(&constraints, late), constraints, minimal: found.minimal }
}

fn sentence(constraints: &[String], late: Option<&Plan>) -> String {
    let figure = match late {
        Some(plan) => plan.too_long(),
        None => "it cannot be done, however long the sessions".to_owned(),
    };
    // That students come for sessions, and that those end, is why it is too long; what holds it is the rest.
    let plain = |c: &&str| c.contains(" ends at ") || c.starts_with("students work in the sessions");
    let held: Vec<&str> = constraints.iter().map(String::as_str).filter(|c| !plain(c)).collect();
    match held.split_last() {
        None => figure,
        Some((only, [])) => format!("{figure}; what holds it: {only}"),
        Some((last, others)) => format!("{figure}; what holds it: {}, and {last}", others.join(", ")),
    }
}
