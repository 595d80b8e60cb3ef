//! What a session opens with comes before all that its students do, also where it begins late.

use super::super::jobs::{Doer, Jobs, What};
use super::super::problem::{Apart, Choice, Point, Reason, TaskId};
use super::super::replay::Replay;
use super::super::tasks::Model;
use super::past::{Past, Standing};
use crate::course::When;

/// Nobody is at work between the start of a session and the end of what is first in it: the welcome, the clean hands. As printed it lies at
/// the session's start and takes all hands, which says so already.
pub(super) fn opening_stays_first(jobs: &Jobs<'_>, replay: &Replay, model: &mut Model, past: &Past) {
    let zero = Point::start(TaskId(jobs.jobs.len()));
    let is_first = |number: &usize, session: usize| match jobs.jobs[*number].what {
        What::Own(own, of) => {
            let first = jobs.course.own_steps.get(own).is_some_and(|own| own.when.value == When::First);
            of == session && first
        }
        _ => false,
    };
    for (session, (from, _)) in model.calendar.sessions.clone().into_iter().enumerate() {
        let first: Vec<usize> = (0..jobs.jobs.len()).filter(|n| is_first(n, session)).collect();
        let open = |n: &&usize| past.standing[**n] == Standing::Open;
        let Some(last) = first.iter().rfind(open).copied() else { continue };
        let is_late = |n: &usize| past.start[*n] > replay.at[*n].0 || past.slot > replay.at[*n].0;
        if !first.iter().filter(open).any(is_late) {
            continue;
        }
        let opening = (zero.later(from), Point::end(TaskId(last)));
        for (number, job) in jobs.jobs.iter().enumerate() {
            let with_students = match job.what {
                What::Own(_, of) => of == session,
                _ => matches!(job.doer, Doer::Students | Doer::OneStudent | Doer::Demo(_)),
            };
            if !with_students || first.contains(&number) || past.standing[number] != Standing::Open {
                continue;
            }
            let task = TaskId(number);
            let ways = &model.ways[number];
            let in_class: Vec<usize> = (0..ways.len()).filter(|way| !ways[*way].ahead).collect();
            let all = in_class.len() == ways.len();
            let only_if: Vec<Vec<Choice>> = if all {
                vec![Vec::new()]
            } else {
                in_class.into_iter().map(|way| vec![Choice { task, way }]).collect()
            };
            for only_if in only_if {
                model.problem.aparts.push(Apart {
                    a: opening,
                    b: (Point::start(task), Point::end(task)),
                    gap_ab: Some(0),
                    gap_ba: Some(0),
                    only_if,
                    reason: Reason::Always,
                });
            }
        }
    }
}
