//! What names tasks, about other tasks.

use crate::reckon::plan::problem::{Apart, Choice, Hold, Lag, Link, Point, Reason, TaskId};

pub(super) fn named_in_lag(lag: &Lag) -> Vec<TaskId> {
    [lag.from.task, lag.to.task].into_iter().chain(lag.only_if.iter().map(|it| it.task)).collect()
}

pub(super) fn named_in_hold(hold: &Hold) -> Vec<TaskId> {
    [hold.from.task, hold.to.task].into_iter().chain(hold.only_if.iter().map(|it| it.task)).collect()
}

pub(super) fn named_in_apart(apart: &Apart) -> Vec<TaskId> {
    let points = [apart.a.0, apart.a.1, apart.b.0, apart.b.1].map(|point| point.task);
    points.into_iter().chain(apart.only_if.iter().map(|it| it.task)).collect()
}

pub(super) fn named_in_link(link: &Link) -> Vec<TaskId> {
    match link {
        Link::Implies { all, then, .. } => all.iter().chain([then]).map(|it| it.task).collect(),
        Link::Forbids { all, .. } => all.iter().map(|it| it.task).collect(),
    }
}

/// The same about other tasks. Reasons are left out: in a bound all hold.
pub(super) trait Renamed {
    fn renamed(&self, task: &impl Fn(TaskId) -> TaskId) -> Self;
}

impl Renamed for Choice {
    fn renamed(&self, task: &impl Fn(TaskId) -> TaskId) -> Choice {
        Choice { task: task(self.task), ..*self }
    }
}

impl Renamed for Point {
    fn renamed(&self, task: &impl Fn(TaskId) -> TaskId) -> Point {
        Point { task: task(self.task), ..*self }
    }
}

impl Renamed for Vec<Choice> {
    fn renamed(&self, task: &impl Fn(TaskId) -> TaskId) -> Vec<Choice> {
        self.iter().map(|choice| choice.renamed(task)).collect()
    }
}

impl Renamed for Lag {
    fn renamed(&self, task: &impl Fn(TaskId) -> TaskId) -> Lag {
        let (from, to) = (self.from.renamed(task), self.to.renamed(task));
        Lag { from, to, only_if: self.only_if.renamed(task), reason: Reason::Always, ..*self }
    }
}

impl Renamed for Hold {
    fn renamed(&self, task: &impl Fn(TaskId) -> TaskId) -> Hold {
        let (from, to) = (self.from.renamed(task), self.to.renamed(task));
        Hold { from, to, only_if: self.only_if.renamed(task), reason: Reason::Always, ..*self }
    }
}

impl Renamed for Apart {
    fn renamed(&self, task: &impl Fn(TaskId) -> TaskId) -> Apart {
        let a = (self.a.0.renamed(task), self.a.1.renamed(task));
        let b = (self.b.0.renamed(task), self.b.1.renamed(task));
        Apart { a, b, only_if: self.only_if.renamed(task), reason: Reason::Always, ..*self }
    }
}

impl Renamed for Link {
    fn renamed(&self, task: &impl Fn(TaskId) -> TaskId) -> Link {
        let reason = Reason::Always;
        match self {
            Link::Implies { all, then, .. } => {
                Link::Implies { all: all.renamed(task), then: then.renamed(task), reason }
            }
            Link::Forbids { all, .. } => Link::Forbids { all: all.renamed(task), reason },
        }
    }
}
