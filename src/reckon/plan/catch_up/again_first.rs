//! What had begun on something that has failed, and begins again, is the most urgent: half baked, it waits for nothing but an oven.

use super::super::problem::{Point, Quantity, TaskId, Term};
use super::super::tasks::{Model, Reading};
use super::past::Past;

/// The aim that counts how long what begins again waits for it.
pub(super) const WAITS_AGAIN: &str = "waits-again-minutes";

/// Before all other aims: what begins again does so as soon as it can.
pub(super) fn begin_again_first(model: &mut Model, past: &Past) {
    if past.again.is_empty() {
        return;
    }
    let waits =
        |number: &usize| (1, Quantity::Excess { point: Point::start(TaskId(*number)), above: past.slot });
    let sum = past.again.iter().map(waits).collect();
    model.problem.objective.insert(0, Term { name: WAITS_AGAIN.to_owned(), sum });
    let times = model.calendar.grid.step().get();
    model.readings.insert(0, Reading { term: WAITS_AGAIN, plus: 0, times });
}
