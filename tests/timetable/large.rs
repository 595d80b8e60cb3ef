//! Large classes whose staff grew with them: all aims are proven in so many steps of the solver, the same on every machine.

use super::{demo, planned_with};
use crate::support::grown::{grown, with_helpers};
use benchroll::course::Course;
use benchroll::reckon::plan::choose::Effort;

/// How many seconds that takes is for `cargo bench --bench plans`.
#[test]
fn large_classes_are_proven_to_be_planned_best() {
    for (headcount, most) in [(24, 12_000), (48, 30_000)] {
        proven(&with_helpers(demo(), headcount / 12), headcount, most);
    }
}

/// Two staff in a kitchen twice as large: what an oven needs from one heat to the next is what holds them.
#[test]
fn two_staff_in_a_larger_kitchen_are_proven_to_be_planned_best() {
    proven(&grown(demo(), 2), 24, 20_000);
}

fn proven(course: &Course, headcount: u32, most: u64) {
    let first = Effort { combinations: 1, ..Effort::default() };
    let plan = planned_with(course, Some(headcount), first);
    assert!(plan.fits);
    assert!(plan.objective.iter().all(|term| term.proven), "{headcount}: {:?}", plan.objective);
    assert!(plan.steps <= most, "{headcount}: {}", plan.steps);
}
