//! A class with less than it needs: a plan, or a reason and levers that work when they are pulled.

use super::{demo, effort, inputs, planned};
use benchroll::course::Course;
use benchroll::reckon::plan::choose::plan;
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
    shorter(&mut course, 45);
    let (class, portions, options) = inputs(&course, None);
    let late = planned(&course, None);
    assert!(!late.fits);
    assert!(late.overrun.get() > 0);
    let found = conflict::explain(&course, &class, &portions, &options, Some(&late), effort());
    assert!(found.minimal);
    assert!(found.sentence.starts_with(&late.overrun.to_string()), "{}", found.sentence);
    assert!(found.constraints.iter().any(|c| c.contains("ends at")), "{:?}", found.constraints);

    let levers = levers::levers(&course, None, None, effort());
    assert!(!levers.is_empty());
    for lever in &levers {
        let changed = lever.change.apply(&course).unwrap();
        let (class, portions, options) = inputs(&changed, None);
        let after = plan(&changed, &class, &portions, &options, effort());
        assert_eq!(after.refused, []);
        assert!(after.plan.unwrap().fits, "{}", lever.text);
    }
}

#[test]
fn the_least_late_plan_is_as_late_as_the_sessions_lack() {
    // Giving each session back what its plan is late makes the class fit; a grid step less does not.
    let mut course = demo();
    shorter(&mut course, 45);
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
