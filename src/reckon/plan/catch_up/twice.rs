//! Nobody of the staff does two things at once: what is given to one of them twice is moved apart, and so is what nobody is free for.

use super::super::jobs::Jobs;
use super::super::problem::{Apart, Point, Reason, Side, TaskId};
use super::super::staff::NOBODY;
use super::super::tasks::Model;
use super::super::timetable::Plan;
use super::keep::works_of;
use super::past::{Past, Standing};
use crate::course::Course;
use jiff::ZonedDateTime;

/// Whether anybody of the staff does two things at once.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Hands {
    /// Nobody does.
    Apart,
    /// Somebody does, and nothing more can be moved: both pieces of work are in hand or over, or the plan does not keep to what it was told.
    /// The checker names them.
    Fixed,
    /// Somebody does two things that can be moved apart.
    Twice,
}

/// A piece of work of one of the staff.
struct Piece<'a> {
    who: &'a str,
    from: ZonedDateTime,
    to: ZonedDateTime,
    span: (Point, Point),
    /// It lies ahead. What is in hand, or was, is as it is.
    moves: bool,
}

/// Says of pieces of work that one person has at the same time in this plan that they are to be apart.
pub(super) fn keep_apart(
    course: &Course,
    jobs: &Jobs<'_>,
    model: &mut Model,
    past: &Past,
    plan: &Plan,
) -> Hands {
    let pieces = pieces(course, jobs, model, past, plan);
    let mut found = Hands::Apart;
    for (place, a) in pieces.iter().enumerate() {
        for b in &pieces[place + 1..] {
            let same = a.who == b.who || a.who == NOBODY || b.who == NOBODY;
            let at_once = same && a.from < b.to && b.from < a.to;
            if !at_once {
                continue;
            }
            if found == Hands::Apart {
                found = Hands::Fixed;
            }
            if !(a.moves || b.moves) {
                continue;
            }
            let (gap_ab, gap_ba) = (Some(0), Some(0));
            let apart =
                Apart { a: a.span, b: b.span, gap_ab, gap_ba, only_if: Vec::new(), reason: Reason::Always };
            if !model.problem.aparts.contains(&apart) {
                model.problem.aparts.push(apart);
                found = Hands::Twice;
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
        for (work, who) in works_of(course, task).into_iter().zip(&task.by) {
            let slots = work.long.map(|long| model.calendar.grid.up(long));
            let taken = past.taken.get(&number);
            let span = match (work.side, slots) {
                _ if taken.is_some() => (end.later(-taken.copied().unwrap_or(0)), end),
                (Some(Side::Start), Some(slots)) => (start, start.later(slots)),
                (Some(Side::End), Some(slots)) => (end.later(-slots), end),
                _ => (start, end),
            };
            let open = past.standing[number] == Standing::Open;
            // A load that is in comes out when there are hands for it.
            let comes_out = work.side == Some(Side::End) && past.standing[number] == Standing::Runs;
            pieces.push(Piece {
                who,
                from: work.from,
                to: work.to,
                span,
                moves: open || comes_out || taken.is_some(),
            });
        }
    }
    pieces
}
