//! What is washed between two things of which the first holds what somebody avoids, and the second is kept clean of it.

use crate::course::{Course, Where};
use crate::reckon::machine_order::{Turn, is_oven};
use crate::reckon::plan::timetable::Plan;

/// What is washed before a task.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum WashedUp {
    /// Trays or tins, before anything is laid on them.
    Trays,
    /// Trays or tins, and the oven's racks of drips.
    Oven,
    /// Bowl, hook and tools of a mixer.
    Mixer,
    /// Pan, spoons and bench, where staff make something for the class.
    Pan,
    /// The same where the other is at work beside it.
    Beside,
    /// A pot in which is cooked by turns.
    Pot,
    /// A tool or a tub that goes from hand to hand.
    HandToHand,
}

/// What is washed between the two of a turn with a wash-up.
#[must_use]
pub fn washed_between(course: &Course, plan: &Plan, turn: &Turn) -> WashedUp {
    match () {
        () if turn.beside => WashedUp::Beside,
        () if is_oven(course, &turn.machine) => WashedUp::Oven,
        () if matches!(turn.machine.as_str(), "hob" | "bench") => WashedUp::Pan,
        () if is_counted(course, &turn.machine) && cooks(course, plan, &turn.then) => WashedUp::Pot,
        () if is_counted(course, &turn.machine) => WashedUp::HandToHand,
        () => WashedUp::Mixer,
    }
}

/// Whether something is a tool or a tub that goes from hand to hand.
fn is_counted(course: &Course, id: &str) -> bool {
    let kitchen = &course.kitchen;
    let mut ids = kitchen.tools.iter().map(|t| &t.id).chain(kitchen.tubs.iter().map(|t| &t.id));
    ids.any(|known| known.value.as_str() == id)
}

/// Whether a task is done at the hob: what it has there is cooked in.
fn cooks(course: &Course, plan: &Plan, task: &str) -> bool {
    let task = plan.task(task);
    let step = task.and_then(|t| course.lesson(t.lesson.as_ref()?)?.step(&t.step));
    step.is_some_and(|step| step.place.value == Where::Hob)
}
