//! What begins when it is planned to stays in its oven and mixer, and is taken up when it was to be, wherever the times allow it.
//!
//! The aims count starts alone, and a plan that moves as little may still change ovens that are alike. So when the times are known, they are
//! held, and it is planned once more for as much as can be as it was printed: that is a small question, and it is asked only where something
//! is otherwise that need not be.

use super::super::jobs::Jobs;
use super::super::problem::{Choice, Point, Problem, Quantity, Reason, TaskId, Term};
use super::super::replay::Replay;
use super::super::schedule::{Budget, Outcome, Schedule};
use super::super::solver;
use super::past::{Past, Standing};

/// How all that is not over was printed.
pub(super) struct Printed {
    tasks: Vec<PrintedTask>,
    /// The task at whose start all slots are counted.
    zero: TaskId,
}

struct PrintedTask {
    task: TaskId,
    /// Its oven, its mixer: where it is still to come.
    way: Option<usize>,
    /// When it is taken up, where it stands.
    end: Option<i32>,
    /// What takes it up, with the slots at which that was to begin.
    takers: Vec<(TaskId, i32)>,
}

impl Printed {
    pub fn of(jobs: &Jobs<'_>, replay: &Replay, past: &Past) -> Printed {
        let all = jobs.jobs.len();
        let task = |number: usize| {
            let (_, end, way) = replay.at[number];
            PrintedTask {
                task: TaskId(number),
                way: (past.standing[number] == Standing::Open).then_some(way),
                end: jobs.stands(&jobs.jobs[number]).then_some(end),
                takers: jobs.takers(number).map(|taker| (TaskId(taker), replay.at[taker].0)).collect(),
            }
        };
        let tasks = (0..all).filter(|n| past.standing[*n] != Standing::Over).map(task).collect();
        Printed { tasks, zero: TaskId(all) }
    }

    /// How much of a schedule is otherwise than printed, beside what has to be as other things begin at another time.
    fn otherwise(&self, schedule: &Schedule) -> i64 {
        let of = |printed: &PrintedTask| {
            let number = printed.task.0;
            let way = printed.way.is_some_and(|way| schedule.way[number] != way);
            let end = printed.end_in(schedule).map_or(0, |end| schedule.end[number].abs_diff(end));
            i64::from(way) + i64::from(end)
        };
        self.tasks.iter().map(of).sum()
    }

    /// Puts a schedule with the same starts, and with no aim worse, in place of the one that was found, where more of it is as printed.
    pub fn keep(&self, problem: &Problem, budget: &Budget, outcome: &mut Outcome) {
        let Some(found) = outcome.schedule.as_ref().filter(|found| self.otherwise(found) > 0) else { return };
        let mut held = problem.clone();
        let mut sum = Vec::new();
        for printed in &self.tasks {
            let (task, start) = (printed.task, found.start[printed.task.0]);
            held.lag(Point::start(self.zero), Point::start(task), start, Some(start), Reason::Always);
            let ways = 0..held.tasks[task.0].ways.len();
            let other = ways.filter(|way| printed.way.is_some_and(|own| own != *way));
            sum.extend(other.map(|way| (1, Quantity::Chosen(Choice { task, way }))));
            let moved = |from| (1, Quantity::Moved { point: Point::end(task), from });
            sum.extend(printed.end_in(found).map(moved));
        }
        held.objective.push(Term { name: "otherwise-than-printed".to_owned(), sum });
        held.hints.warm = Some(found.clone());
        let kept = solver::solve(&held, budget);
        let no_worse = outcome.terms.iter().zip(&kept.terms).all(|(was, now)| now.value <= was.value);
        let better = |schedule: &Schedule| no_worse && self.otherwise(schedule) < self.otherwise(found);
        if let Some(schedule) = kept.schedule.filter(better) {
            outcome.schedule = Some(schedule);
        }
        outcome.steps += kept.steps;
    }
}

impl PrintedTask {
    /// When it was to be taken up, where what takes it up begins as printed.
    fn end_in(&self, schedule: &Schedule) -> Option<i32> {
        self.end.filter(|_| self.takers.iter().all(|(taker, at)| schedule.start[taker.0] == *at))
    }
}
