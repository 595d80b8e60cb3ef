//! Large classes whose staff grew with them: all aims are proven in so many steps of the solver, the same on every machine.

use super::{demo, planned_with};
use crate::support::grown::with_helpers;
use benchroll::reckon::plan::choose::Effort;

/// How many seconds that takes is for `cargo bench --bench plans`.
#[test]
fn large_classes_are_proven_to_be_planned_best() {
    let first = Effort { combinations: 1, ..Effort::default() };
    for (headcount, most) in [(24, 12_000), (48, 60_000)] {
        let plan = planned_with(&with_helpers(demo(), headcount / 12), Some(headcount), first);
        assert!(plan.fits);
        assert!(plan.objective.iter().all(|term| term.proven), "{headcount}: {:?}", plan.objective);
        assert!(plan.steps <= most, "{headcount}: {}", plan.steps);
    }
}
