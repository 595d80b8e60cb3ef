//! The same problems, solved by another solver.
//!
//! The problems of a few courses (preferred splits) were written out and solved with CP-SAT of the PyPI package `ortools`,
//! version 9.15.6755, term after term, each proven optimal there ("OPTIMAL") or impossible ("INFEASIBLE"). The figures are
//! the solver's own numbers, in slots, in the order of the terms.

use super::{demo, model_for, small};
use benchroll::course::Course;
use benchroll::reckon::plan::schedule::Budget;
use benchroll::reckon::plan::solver::solve;

/// The least values of the terms; `None` when it is proven that nothing fits.
fn proven(course: &Course, headcount: u32) -> Option<Vec<i32>> {
    let problem = model_for(course, Some(headcount)).problem;
    let outcome = solve(&problem, &Budget { per_term: 40_000, conflict: 0 });
    assert!(outcome.terms.iter().all(|t| t.proven), "{:?}", outcome.terms);
    assert_eq!(outcome.impossible, outcome.schedule.is_none());
    outcome.schedule.map(|_| outcome.terms.iter().map(|t| t.value).collect())
}

/// Terms: made ahead, idle hands, ends of sessions, staff's day. The last was counted there as the hours off, taken from nought;
/// here it is the hours on: the 84 slots of this course more.
#[test]
fn one_loaf_for_six() {
    let mut course = small();
    assert_eq!(proven(&course, 6), Some(vec![0, 312, 52, 84 - 49]));
    course.kitchen.mixers[0].count.value = 1;
    course.kitchen.ovens[0].racks.value = 1;
    assert_eq!(proven(&course, 6), Some(vec![0, 336, 56, 84 - 45]));
}

#[test]
fn one_loaf_for_six_in_two_tins_is_impossible() {
    let mut course = small();
    course.kitchen.mixers[0].count.value = 1;
    course.kitchen.tins[0].count.value = 2;
    assert_eq!(proven(&course, 6), None);
}

/// Terms: made ahead, put off in the cold, idle hands, ends of sessions, staff's day. Here idle hands are counted from what
/// can all be done in class, 49 slots of work that may be made ahead, and staff's hours are those on, of 582 slots.
#[test]
fn the_demo_class_with_two_ovens_and_with_one() {
    let mut course = demo();
    // As it was written out, the tasting waited for nothing but its place at the end.
    course.own_steps.iter_mut().for_each(|own| own.after.clear());
    assert_eq!(proven(&course, 10), Some(vec![0, 0, 8501 + 49, 855, 582 - 466]));
    course.kitchen.ovens[0].count.value = 1;
    assert_eq!(proven(&course, 10), Some(vec![1, 0, 8629 + 49, 867, 582 - 451]));
}
