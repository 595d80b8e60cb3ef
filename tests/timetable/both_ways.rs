//! What the checker takes, the problem that the solver is given takes, too: plans in which one thing was moved a little and that still pass
//! the checker are put back into the problem, and hold there. (That the checker takes what the solver finds is tested with each plan.)

use super::{demo, inputs, planned};
use benchroll::course::{Course, Lasts};
use benchroll::reckon::plan::check::check;
use benchroll::reckon::plan::jobs::Jobs;
use benchroll::reckon::plan::problem::{Choice, Link, Point, Reason, TaskId};
use benchroll::reckon::plan::replay::{Replay, picked_of};
use benchroll::reckon::plan::schedule::Budget;
use benchroll::reckon::plan::solver::solve;
use benchroll::reckon::plan::timetable::Plan;
use jiff::SignedDuration;

/// The plan with one of its tasks so much later, and what stands before and after it as much longer or shorter.
fn moved(course: &Course, plan: &Plan, number: usize, minutes: i64) -> Plan {
    let mut new = plan.clone();
    let by = SignedDuration::from_mins(minutes);
    let (lesson, members) = (plan.tasks[number].lesson.clone(), plan.tasks[number].members.clone());
    let (start, end) = (plan.tasks[number].start.clone(), plan.tasks[number].end.clone());
    let (later_start, later_end) = (start.saturating_add(by), end.saturating_add(by));
    for (other, task) in new.tasks.iter_mut().enumerate() {
        let shares =
            task.lesson == lesson && task.members.iter().any(|(w, _)| members.iter().any(|(m, _)| m == w));
        let step = task.lesson.as_ref().and_then(|l| course.lesson(l)).and_then(|l| l.step(&task.step));
        let stands = task.cold_wait || step.is_some_and(|s| matches!(s.lasts, Lasts::Stands(_)));
        if other == number {
            (task.start, task.end) = (later_start.clone(), later_end.clone());
        } else if shares && stands && task.end == start {
            task.end = later_start.clone();
        } else if shares && stands && task.start == end {
            task.start = later_end.clone();
        }
        for used in task.uses.iter_mut().filter(|used| shares && used.until == end) {
            used.until = later_end.clone();
        }
    }
    new
}

/// Whether the problem has the plan among its solutions.
fn is_in_the_problem(course: &Course, plan: &Plan) -> bool {
    let (class, portions, _) = inputs(course, None);
    let picked = picked_of(plan);
    let jobs = Jobs::of(course, &class, &portions, &picked);
    let Some(replay) = Replay::of(&jobs, course, plan, 0) else { return false };
    let mut problem = replay.model.problem.clone();
    problem.objective.clear();
    problem.alike.clear();
    problem.numberings.clear();
    problem.symmetries.clear();
    let zero = problem.tasks.iter().position(|t| t.name == "start").map(TaskId).unwrap();
    for (number, (start, end, way)) in replay.at.iter().enumerate() {
        let task = TaskId(number);
        problem.lag(Point::start(zero), Point::start(task), *start, Some(*start), Reason::Always);
        // What several take up is there until the last has, whatever was printed.
        if jobs.takers(number).count() < 2 {
            problem.lag(Point::start(zero), Point::end(task), *end, Some(*end), Reason::Always);
        }
        for other in (0..problem.tasks[number].ways.len()).filter(|other| other != way) {
            problem
                .links
                .push(Link::Forbids { all: vec![Choice { task, way: other }], reason: Reason::Always });
        }
    }
    solve(&problem, &Budget { per_term: 20_000, conflict: 0 }).schedule.is_some()
}

/// Moves one task of a lesson after another (of the class's own steps the checker holds length, session and order, and not how early they
/// must be); gives how many plans the checker took, and those of them that the problem has not.
fn compare(course: &Course, plan: &Plan, most: usize) -> (usize, Vec<String>) {
    let (class, portions, _) = inputs(course, None);
    let step = course.settings.grid.value.get();
    let mut taken = 0;
    let mut only_here = Vec::new();
    assert!(is_in_the_problem(course, plan), "the plan itself");
    for by in [step, -step, 3 * step] {
        for number in 0..plan.tasks.len() {
            if taken == most {
                return (taken, only_here);
            }
            if plan.tasks[number].lesson.is_none() {
                continue;
            }
            let new = moved(course, plan, number, by);
            if check(course, &class, &portions, &new).is_empty() {
                taken += 1;
                if !is_in_the_problem(course, &new) {
                    only_here.push(format!("{} by {by} min", plan.tasks[number].id));
                }
            }
        }
    }
    (taken, only_here)
}

#[test]
fn what_the_checker_takes_is_a_solution() {
    let demo = demo();
    let (taken, only_here) = compare(&demo, &planned(&demo, None), 24);
    assert_eq!(only_here, Vec::<String>::new());
    assert!(taken > 5, "{taken}");
}
