//! Ovens that are alike are counted together by the solver: that shows more, and never too much.

use super::{demo, model_for, planned};
use crate::support::grown::grown;
use benchroll::reckon::plan::problem::{
    Choice, Hold, Point, Problem, Quantity, Reason, ResourceId, Term, Way,
};
use benchroll::reckon::plan::schedule::Budget;
use benchroll::reckon::plan::solver::solve;
use benchroll::reckon::plan::verify::verify;

/// A load: its slots, its racks, and whether it may also stay two slots longer somewhere else.
struct Load {
    long: i32,
    racks: i32,
    elsewhere: bool,
}

/// Loads that go into any of some ovens of two racks; all are to be done as early as can be. As in the model of a class, ovens
/// are numbered in the order in which loads may first use them, what is always in one needs no choice, and loads are tried in turn.
fn problem_of(ovens: usize, loads: &[Load]) -> Problem {
    let mut problem = Problem::new(60);
    let resources: Vec<_> =
        (0..ovens).map(|n| problem.resource(&format!("oven {n}"), 2, Reason::Always)).collect();
    let mut ends = Vec::new();
    for (number, load) in loads.iter().enumerate() {
        let open = ovens.min(number + 1);
        let mut ways: Vec<Way> = (0..open).map(|_| Way::fixed("", load.long)).collect();
        ways.extend(load.elsewhere.then(|| Way::fixed("", load.long + 2)));
        let certain = ways.len() == 1;
        let task = problem.task("load", ways);
        for (way, resource) in resources.iter().enumerate().take(open) {
            problem.holds.push(Hold {
                resource: *resource,
                amount: load.racks,
                from: Point::start(task),
                to: Point::end(task),
                only_if: if certain { Vec::new() } else { vec![Choice { task, way }] },
                reason: Reason::Always,
            });
        }
        problem.hints.ways.push(Choice { task, way: number % ovens });
        ends.push(Point::end(task));
    }
    problem.objective.push(Term { name: "over".to_owned(), sum: vec![(1, Quantity::Latest(ends))] });
    problem.alike.push(resources);
    problem
}

/// Thirteen loads of three slots that fill an oven each: with four ovens one of them takes four, so 12 slots. By the sum of
/// their minutes alone 10 would do.
#[test]
fn loads_in_ovens_alike_are_counted_in_rounds() {
    let loads: Vec<Load> = (0..13).map(|_| Load { long: 3, racks: 2, elsewhere: false }).collect();
    let problem = problem_of(4, &loads);
    let budget = Budget { per_term: 300, conflict: 0 };
    let term = |problem: &Problem| solve(problem, &budget).terms[0].clone();
    let together = term(&problem);
    assert_eq!((together.value, together.bound, together.proven), (12, 12, true));
    let alone = term(&Problem { alike: Vec::new(), ..problem });
    assert!(!alone.proven && alone.bound < 12, "as many steps show it without counting, too: {alone:?}");
}

#[test]
fn what_is_counted_together_never_shuts_a_plan_out() {
    let budget = Budget { per_term: 40_000, conflict: 0 };
    let mut seed: u32 = 7;
    let mut draw = |of: u32| {
        seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        i32::try_from((seed >> 16) % of).unwrap()
    };
    let mut proven = 0;
    for _ in 0..40 {
        let count = 4 + draw(4);
        let loads: Vec<Load> = (0..count)
            .map(|_| Load { long: 1 + draw(4), racks: 1 + draw(2), elsewhere: draw(4) == 0 })
            .collect();
        let problem = problem_of(3, &loads);
        let found = solve(&problem, &budget);
        assert_eq!(verify(&problem, found.schedule.as_ref().unwrap()), []);
        let together = found.terms[0].clone();
        let alone = solve(&Problem { alike: Vec::new(), ..problem }, &budget).terms[0].clone();
        if together.proven && alone.proven {
            assert_eq!(together.value, alone.value);
            proven += 1;
        }
        assert!(together.bound <= alone.value);
    }
    assert!(proven > 30, "{proven}");
}

/// What is found with four ovens counted together stands in single ovens, and both checkers look there: at racks, temperatures and the
/// order of allergens.
#[test]
fn a_plan_with_ovens_counted_together_passes_in_single_ones() {
    let course = grown(demo(), 2);
    let problem = model_for(&course, Some(12)).problem;
    let ovens: usize = course.kitchen.ovens.iter().map(|oven| oven.count.value as usize).sum();
    assert_eq!(problem.alike.iter().map(Vec::len).sum::<usize>(), ovens);
    assert!(problem.alike.iter().any(|alike| alike.len() > 3));
    let racks =
        |alike: &Vec<ResourceId>| alike.iter().map(|id| problem.resources[id.0].capacity).collect::<Vec<_>>();
    for alike in problem.alike.iter().map(racks) {
        assert!(alike.iter().all(|one| Some(one) == alike.first()), "{alike:?}");
    }
    assert!(planned(&course, Some(12)).fits);
}
