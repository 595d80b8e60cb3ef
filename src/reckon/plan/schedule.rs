//! What comes back from the engine: a schedule, what is proven about it, or what conflicts.

use super::problem::{Choice, Point, ReasonId, Side, TaskId};

/// When and how each task is done; all three lists are as long as the problem's tasks.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Schedule {
    /// The slot in which each task starts.
    pub start: Vec<i32>,
    /// The slot at which each task ends: the first one that is free again.
    pub end: Vec<i32>,
    /// The way chosen for each task.
    pub way: Vec<usize>,
}

impl Schedule {
    /// The slot of a moment.
    #[must_use]
    pub fn at(&self, point: Point) -> i32 {
        let side = match point.side {
            Side::Start => &self.start,
            Side::End => &self.end,
        };
        side[point.task.0] + point.plus
    }

    /// Whether the task is done in that way.
    #[must_use]
    pub fn chose(&self, choice: Choice) -> bool {
        self.way[choice.task.0] == choice.way
    }

    /// Whether all of them are chosen; true for none.
    #[must_use]
    pub fn chose_all(&self, choices: &[Choice]) -> bool {
        choices.iter().all(|choice| self.chose(*choice))
    }

    /// How long a task takes, in slots.
    #[must_use]
    pub fn duration(&self, task: TaskId) -> i32 {
        self.end[task.0] - self.start[task.0]
    }
}

/// How much work the solver may do: counted in its own steps, never in seconds, so that the
/// result is the same on every machine.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Budget {
    /// Steps for a first plan and for each term of the objective.
    pub per_term: u64,
    /// Steps for finding out what conflicts when there is no plan; 0: don't ask.
    pub conflict: u64,
}

/// What became of one term of the objective.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TermResult {
    /// The term's name.
    pub name: String,
    /// Its value in the schedule.
    pub value: i32,
    /// No schedule can have less, given the values of the terms before it; with interchangeable
    /// stations in any order.
    pub bound: i32,
    /// `value` is the least possible, given the values of the terms before it.
    pub proven: bool,
}

impl Default for Budget {
    /// Enough for a class of some 350 tasks.
    fn default() -> Budget {
        Budget { per_term: 100_000, conflict: 100_000 }
    }
}

/// What the engine found.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Outcome {
    /// The best schedule found.
    pub schedule: Option<Schedule>,
    /// No schedule exists: that is proven, and not only that none was found within the budget.
    pub impossible: bool,
    /// No schedule is better than the values that were to be beaten (see [`super::problem::Hints::beat`]): that is proven.
    pub no_better: bool,
    /// The terms of the objective, in their order; empty without a schedule.
    pub terms: Vec<TermResult>,
    /// Reasons that can't hold together, as few as were found; empty when there is a schedule, when
    /// not asked, or when the conflict needs no named reason.
    pub conflict: Vec<ReasonId>,
    /// Setting aside any one of `conflict` leaves the others possible: that was tried for each.
    pub conflict_is_minimal: bool,
    /// Solver steps spent.
    pub steps: u64,
}
