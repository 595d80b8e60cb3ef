//! A class with less than it needs: a plan, or a reason and levers that work when they are pulled.

use super::{demo, effort, inputs, planned, planned_with};
use benchroll::course::Course;
use benchroll::reckon::plan::choose::{Effort, plan};
use benchroll::reckon::plan::grid::Calendar;
use benchroll::reckon::plan::jobs::Jobs;
use benchroll::reckon::plan::problem::ReasonId;
use benchroll::reckon::plan::schedule::Budget;
use benchroll::reckon::plan::solver::solve;
use benchroll::reckon::plan::tasks::{Ask, model};
use benchroll::reckon::plan::verify::verify;
use benchroll::reckon::plan::{conflict, levers};
use jiff::SignedDuration;

fn shorter(course: &mut Course, minutes: i64) {
    for session in &mut course.sessions {
        session.to.value = session.to.value.saturating_sub(SignedDuration::from_mins(minutes));
    }
}

#[test]
fn two_tins_or_an_oven_or_the_helper_less_still_fits() {
    let without: [fn(&mut Course); 3] = [
        |course| course.kitchen.tins[0].count.value -= 2,
        |course| course.kitchen.ovens[0].count.value -= 1,
        |course| course.settings.helpers.clear(),
    ];
    for change in without {
        let mut course = demo();
        change(&mut course);
        let plan = planned(&course, None);
        assert!(plan.fits, "{:?}", plan.objective);
    }
}

#[test]
fn what_does_not_fit_says_by_how_much_why_and_what_would_help() {
    let mut course = demo();
    shorter(&mut course, 60);
    let (class, portions, options) = inputs(&course, None);
    let late = planned(&course, None);
    assert!(!late.fits);
    assert!(late.overrun.get() > 0);
    let found = conflict::explain(&course, &class, &portions, &options, &late.too_long(), effort());
    assert!(found.minimal);
    assert!(found.sentence.starts_with(&late.overrun.to_string()), "{}", found.sentence);
    assert!(found.constraints.iter().any(|c| c.contains("ends at")), "{:?}", found.constraints);

    let levers = levers::levers(&course, None, None, effort());
    assert!(!levers.is_empty());
    for lever in &levers {
        let changed = lever.change.apply(&course).unwrap();
        let people = if let levers::Change::Fewer(people) = lever.change { Some(people) } else { None };
        let (class, portions, options) = inputs(&changed, people);
        let after = plan(&changed, &class, &portions, &options, effort());
        assert_eq!(after.refused, []);
        assert!(after.plan.unwrap().fits, "{}", lever.text);
    }
}

/// What is named as holding a class: the class fits in its times without it, and with any of it kept it does not.
fn what_is_named_holds_it(course: &Course, headcount: Option<u32>) -> Vec<String> {
    let (class, portions, options) = inputs(course, headcount);
    let late = planned_with(course, headcount, Effort { per_term: 4_000, ..effort() });
    assert!(!late.fits);
    let found = conflict::explain(course, &class, &portions, &options, &late.too_long(), effort());
    assert!(found.minimal, "{found:?}");
    let calendar = Calendar::of(course).unwrap();
    let jobs = Jobs::of(course, &class, &portions, &found.split);
    let over = Some(calendar.grid.up(effort().over));
    let ask = Ask { over, name_ends: true, keep_students: true, ahead_apart: true, ..Ask::default() };
    let mut problem = model(&jobs, &calendar, ask).problem;
    problem.objective.clear();
    problem.hints.tidy = None;
    let fits_without = |aside: &[ReasonId]| {
        let left = aside.iter().fold(problem.clone(), |left, reason| left.without(*reason));
        let outcome = solve(&left, &Budget { per_term: 60_000, conflict: 0 });
        assert!(outcome.schedule.is_some() || outcome.impossible);
        outcome.schedule.inspect(|s| assert_eq!(verify(&left, s), vec![])).is_some()
    };
    assert!(fits_without(&found.held_by), "{found:?}");
    // What follows shows of several that none of them alone does it.
    let several = found.held_by.len() > 1;
    assert_eq!(found.sentence.contains("several things hold it"), several, "{}", found.sentence);
    for kept in &found.held_by {
        let others: Vec<ReasonId> = found.held_by.iter().copied().filter(|r| r != kept).collect();
        assert!(!fits_without(&others), "without {kept:?} of {found:?}");
    }
    let words = |reason: &ReasonId| problem.reasons[reason.0].clone();
    let held: Vec<String> = found.held_by.iter().map(words).collect();
    assert!(held.iter().all(|h| found.sentence.contains(h) && found.constraints.contains(h)), "{found:?}");
    held
}

#[test]
fn what_is_named_as_the_cause_is_one() {
    // Both sessions are short; only the last is; more come than there are things for.
    let mut both = demo();
    shorter(&mut both, 60);
    assert!(!what_is_named_holds_it(&both, None).is_empty());
    let mut last = demo();
    let end = &mut last.sessions[1].to.value;
    *end = end.saturating_sub(SignedDuration::from_mins(60));
    assert!(!what_is_named_holds_it(&last, None).is_empty());
    assert!(!what_is_named_holds_it(&demo(), Some(20)).is_empty());
    // No hands and no ovens make a night shorter: then nothing of the kind is blamed.
    let mut night = demo();
    shorter(&mut night, 150);
    let (class, portions, options) = inputs(&night, None);
    let found = conflict::explain(&night, &class, &portions, &options, "too long", effort());
    assert!(found.held_by.is_empty(), "{found:?}");
    assert!(found.sentence.contains("one after another"), "{}", found.sentence);
}

#[test]
fn the_least_late_plan_is_as_late_as_the_sessions_lack() {
    // Giving each session back what its plan is late makes the class fit; a grid step less does not.
    let mut course = demo();
    shorter(&mut course, 60);
    let late = planned(&course, None);
    let step = course.settings.grid.value.get();
    let with = |less: i64| {
        let mut course = course.clone();
        for (session, planned) in course.sessions.iter_mut().zip(&late.sessions) {
            if planned.finish > planned.end {
                session.to.value = planned.finish.clone().saturating_sub(SignedDuration::from_mins(less));
            }
        }
        course
    };
    assert!(planned(&with(0), None).fits);
    assert!(!planned(&with(step), None).fits, "{:?} {:?}", late.objective, late.sessions);
}
