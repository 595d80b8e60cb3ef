//! The class plan, from course folders: proven, checked, and explained when it does not fit.

mod alike;
mod both_ways;
mod broken_rules;
mod broken_things;
mod by_trying;
mod checker;
mod day;
mod held_by;
mod hours;
mod large;
mod levers;
mod list_schedule;
mod nights;
mod other_solver;
mod own_hours;
mod pots;
mod random_courses;
mod room;
mod shared;
mod sizes;
mod slips;
mod wide_courses;

use crate::support::grown::grown;
use benchroll::course::Course;
use benchroll::read::{FileTree, folder, read_course};
use benchroll::reckon::plan::check::check;
use benchroll::reckon::plan::choose::{Effort, plan};
use benchroll::reckon::plan::grid::Calendar;
use benchroll::reckon::plan::jobs::{Jobs, Picked};
use benchroll::reckon::plan::problem::{Problem, TaskId};
use benchroll::reckon::plan::tasks::{self, Ask, Model};
use benchroll::reckon::plan::timetable::Plan;
use benchroll::reckon::work::{Class, Options, Portion};
use benchroll::reckon::{class, options, scale};

/// The demo class.
pub fn demo() -> Course {
    let files = folder::load(&crate::support::repository().join("course")).unwrap();
    read_course(&files).course.unwrap()
}

/// One loaf for each of three stations.
pub fn small() -> Course {
    let files = folder::load(&crate::support::repository().join("tests/courses/small")).unwrap();
    read_course(&files).course.unwrap()
}

/// A class and what it can be split into.
pub fn inputs(course: &Course, headcount: Option<u32>) -> (Class, Vec<Portion>, Options) {
    let (class, _) = class::seat(course, headcount);
    let portions = scale::portions(course, &class);
    let (options, _) = options::options(course, &class, &portions);
    (class, portions, options)
}

/// One combination of splits is enough for a test.
pub fn effort() -> Effort {
    Effort { combinations: 1, ..Effort::default() }
}

/// A plan that has passed the checker.
pub fn planned(course: &Course, headcount: Option<u32>) -> Plan {
    planned_with(course, headcount, effort())
}

pub fn planned_with(course: &Course, headcount: Option<u32>, effort: Effort) -> Plan {
    let (class, portions, options) = inputs(course, headcount);
    let found = plan(course, &class, &portions, &options, effort);
    assert_eq!(found.refused, []);
    let plan = found.plan.unwrap();
    assert_eq!(check(course, &class, &portions, &plan), []);
    plan
}

/// The course of these files with two people, each at a station of their own, who avoid this.
pub fn of_two(mut files: FileTree, [one, other]: [&str; 2]) -> Course {
    let roll =
        format!("name,status,with,station,avoids,needs\nNell,coming,,,{one},\nOve,coming,,,{other},\n");
    files.add("roll.csv", roll);
    let read = read_course(&files);
    read.course.unwrap_or_else(|| panic!("{:?}", read.findings))
}

/// Which rules the checker finds broken.
pub fn rules(course: &Course, plan: &Plan) -> Vec<&'static str> {
    let (class, portions, _) = inputs(course, None);
    check(course, &class, &portions, plan).iter().map(|b| b.rule).collect()
}

/// The preferred splits.
pub fn preferred(options: &Options) -> Picked {
    let mut picked = Picked::default();
    for (key, splits) in &options.splits {
        picked.splits.insert(key.clone(), splits[0].clone());
    }
    for (key, bakes) in &options.bakes {
        picked.bakes.insert(key.clone(), bakes[0].clone());
    }
    picked
}

/// The scheduling problem of a course.
pub fn model(course: &Course) -> Model {
    model_for(course, None)
}

/// The scheduling problem of a course, if so many came.
pub fn model_for(course: &Course, headcount: Option<u32>) -> Model {
    let (class, portions, options) = inputs(course, headcount);
    let picked = preferred(&options);
    let jobs = Jobs::of(course, &class, &portions, &picked);
    tasks::model(&jobs, &Calendar::of(course).unwrap(), Ask::default())
}

#[test]
fn the_demo_class_fits_and_is_proven_to_be_planned_best() {
    let plan = planned(&demo(), None);
    assert!(plan.fits);
    assert!(plan.proven_optimal, "{:?}", plan.objective);
    assert_eq!(plan.overrun.get(), 0);
}

#[test]
fn the_same_course_gives_the_same_plan() {
    assert_eq!(planned(&demo(), None), planned(&demo(), None));
}

#[test]
fn every_headcount_gets_a_plan_that_holds() {
    for headcount in [8, 11, 13, 14] {
        // The first plan and little more: that it holds is the question, not that it is best.
        planned_with(&demo(), Some(headcount), Effort { per_term: 5_000, ..effort() });
    }
}

/// Swapping two members of a symmetry must give the same problem: that is what the solver is promised.
#[test]
fn interchangeable_stations_can_be_swapped() {
    let problem = model(&demo()).problem;
    let large = model(&grown(demo(), 2)).problem;
    assert!(!problem.symmetries.is_empty());
    for problem in [problem, large] {
        for symmetry in &problem.symmetries {
            for pair in symmetry.members.windows(2) {
                assert_eq!(lines(&problem, &[]), lines(&problem, &swap(pair)));
            }
        }
    }
}

type Swap = (usize, usize);

fn swap(pair: &[Vec<TaskId>]) -> Vec<Swap> {
    pair[0].iter().zip(&pair[1]).map(|(a, b)| (a.0, b.0)).collect()
}

/// Every constraint and term as a line, with tasks renamed, in order.
fn lines(problem: &Problem, swaps: &[Swap]) -> Vec<String> {
    let renamed = |text: String| {
        let mut out = String::new();
        let mut rest = text.as_str();
        while let Some(at) = rest.find("TaskId(") {
            let (before, after) = rest.split_at(at + "TaskId(".len());
            let (number, tail) = after.split_once(')').unwrap();
            let number: usize = number.parse().unwrap();
            let other = swaps.iter().find_map(|(a, b)| match number {
                n if n == *a => Some(*b),
                n if n == *b => Some(*a),
                _ => None,
            });
            out.push_str(&format!("{before}{})", other.unwrap_or(number)));
            rest = tail;
        }
        out + rest
    };
    // The hands of each station are a resource of its own: what a resource is called does not count, only who holds it.
    let mut held: Vec<String> = (0..problem.resources.len())
        .map(|resource| {
            let holds = problem.holds.iter().filter(|h| h.resource.0 == resource);
            let mut holds: Vec<String> = holds
                .map(|h| renamed(format!("{} {:?} {:?} {:?}", h.amount, h.from, h.to, h.only_if)))
                .collect();
            holds.sort();
            format!("{} {holds:?}", problem.resources[resource].capacity)
        })
        .collect();
    held.sort();
    let lags = problem.lags.iter().map(|l| renamed(format!("{l:?}")));
    let links = problem.links.iter().map(|l| renamed(format!("{l:?}")));
    let aparts = problem.aparts.iter().flat_map(|a| {
        let mut turned = a.clone();
        std::mem::swap(&mut turned.a, &mut turned.b);
        std::mem::swap(&mut turned.gap_ab, &mut turned.gap_ba);
        turned.only_if.reverse();
        [renamed(format!("{a:?}")), renamed(format!("{turned:?}"))]
    });
    let ways = |n: usize| {
        let ways: Vec<_> =
            problem.tasks[n].ways.iter().map(|w| (w.least, w.most, w.windows.clone(), w.reason)).collect();
        renamed(format!("TaskId({n}) {ways:?}"))
    };
    let terms = problem.objective.iter().map(|t| {
        let mut sum: Vec<String> = t.sum.iter().map(|q| renamed(format!("{q:?}"))).collect();
        sum.sort();
        format!("{sum:?}")
    });
    let mut all: Vec<String> = lags
        .chain(links)
        .chain(aparts)
        .chain((0..problem.tasks.len()).map(ways))
        .chain(terms)
        .chain(held)
        .collect();
    all.sort();
    all
}
