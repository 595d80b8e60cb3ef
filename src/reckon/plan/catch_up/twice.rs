//! Nobody of the staff does two things at once: what is given to one of them twice is moved apart.

use super::super::jobs::Jobs;
use super::super::problem::{Apart, Point, Reason, TaskId};
use super::super::tasks::Model;
use super::super::timetable::Plan;
use super::past::{Past, Standing};
use crate::course::{Course, Hands};
use jiff::{SignedDuration, ZonedDateTime};

/// A piece of work of one of the staff.
struct Piece<'a> {
    who: &'a str,
    from: ZonedDateTime,
    to: ZonedDateTime,
    span: (Point, Point),
    /// It lies ahead. What is in hand, or was, is as it is.
    moves: bool,
}

/// Says of pieces of work that one person has at the same time in this plan that they are to be apart; false when there are none that
/// could be moved.
pub(super) fn keep_apart(
    course: &Course,
    jobs: &Jobs<'_>,
    model: &mut Model,
    past: &Past,
    plan: &Plan,
) -> bool {
    let pieces = pieces(course, jobs, model, past, plan);
    let mut found = false;
    for (place, a) in pieces.iter().enumerate() {
        for b in &pieces[place + 1..] {
            let at_once = a.who == b.who && a.from < b.to && b.from < a.to;
            if !at_once || !(a.moves || b.moves) {
                continue;
            }
            let (gap_ab, gap_ba) = (Some(0), Some(0));
            let apart =
                Apart { a: a.span, b: b.span, gap_ab, gap_ba, only_if: Vec::new(), reason: Reason::Always };
            if !model.problem.aparts.contains(&apart) {
                model.problem.aparts.push(apart);
                found = true;
            }
        }
    }
    found
}

fn pieces<'a>(
    course: &Course,
    jobs: &Jobs<'_>,
    model: &Model,
    past: &Past,
    plan: &'a Plan,
) -> Vec<Piece<'a>> {
    let mut pieces = Vec::new();
    for (number, job) in jobs.jobs.iter().enumerate() {
        let Some(task) = plan.task(&job.id) else { continue };
        let (start, end) = (Point::start(TaskId(number)), Point::end(TaskId(number)));
        let step = task.lesson.as_ref().and_then(|l| course.lesson(l)?.step(&task.step));
        let ends = step.and_then(|s| s.ends.as_ref()).filter(|_| task.hands == Hands::Nobody);
        for (place, who) in task.by.iter().enumerate() {
            let (from, to, span) = match ends {
                None => (task.start.clone(), task.end.clone(), (start, end)),
                Some(ends) => {
                    let long = SignedDuration::from_mins(ends.takes.value.get());
                    let slots = model.calendar.grid.up(ends.takes.value);
                    if place == 0 {
                        let to = task.start.saturating_add(long);
                        (task.start.clone(), to, (start, start.later(slots)))
                    } else {
                        (task.end.saturating_sub(long), task.end.clone(), (end.later(-slots), end))
                    }
                }
            };
            let open = past.standing[number] == Standing::Open;
            // A load that is in comes out when there are hands for it.
            let comes_out = place > 0 && ends.is_some() && past.standing[number] == Standing::Runs;
            pieces.push(Piece { who, from, to, span, moves: open || comes_out });
        }
    }
    pieces
}
