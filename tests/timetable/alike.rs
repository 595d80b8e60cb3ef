//! Ovens that are alike are counted together by the solver: that shows more, and never too much.

use super::{demo, model_for, planned};
use crate::support::grown::grown;
use benchroll::reckon::plan::problem::{
    Apart, Choice, Hold, Numbering, Point, Problem, Quantity, Reason, ResourceId, TaskId, Term, Way,
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

/// On each of two days the ovens are numbered anew, in the order in which loads use them: that is one of the plans that are as good.
#[test]
fn ovens_that_are_numbered_never_shut_a_plan_out() {
    let budget = Budget { per_term: 40_000, conflict: 0 };
    let mut seed: u32 = 11;
    let mut draw = |of: u32| {
        seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        i32::try_from((seed >> 16) % of).unwrap()
    };
    let (mut proven, mut fewer) = (0, 0);
    for _ in 0..40 {
        let problem = two_days(&mut draw);
        let numbered = solve(&problem, &budget);
        assert_eq!(verify(&problem, numbered.schedule.as_ref().unwrap()), []);
        let any = solve(&Problem { numberings: Vec::new(), ..problem.clone() }, &budget);
        let (numbered_term, any_term) = (&numbered.terms[0], &any.terms[0]);
        if numbered_term.proven && any_term.proven {
            assert_eq!(numbered_term.value, any_term.value);
            proven += 1;
        }
        assert!(numbered_term.bound <= any_term.value);
        fewer += usize::from(numbered.steps < any.steps);
    }
    assert!(proven > 30 && fewer > 0, "{proven} {fewer}");
}

/// Loads of three heats on one of two days, in any of three ovens; another heat takes a slot, and each day is to be over early.
fn two_days(draw: &mut impl FnMut(u32) -> i32) -> Problem {
    let mut problem = Problem::new(60);
    let ovens: Vec<ResourceId> =
        (0..3).map(|n| problem.resource(&format!("oven {n}"), 2, Reason::Always)).collect();
    let days = [(0, 30), (30, 60)];
    let mut uses: Vec<Vec<Vec<(usize, Choice)>>> = vec![Vec::new(); days.len()];
    let mut loads = Vec::new();
    let mut ends: Vec<Vec<Point>> = vec![Vec::new(); days.len()];
    for _ in 0..5 + draw(3) {
        let (long, racks, heat, on) = (1 + draw(4), 1 + draw(2), draw(3), draw(3));
        // Some may be done on either day.
        let may = |day: usize| on == 2 || usize::try_from(on) == Ok(day);
        let open: Vec<(usize, usize)> = (0..days.len())
            .filter(|day| may(*day))
            .flat_map(|day| (0..3).map(move |oven| (day, oven)))
            .collect();
        let way = |(day, _): &(usize, usize)| Way::fixed("", long).within(&[days[*day]], Reason::Always);
        let task = problem.task("load", open.iter().map(way).collect());
        for (way, (day, oven)) in open.iter().enumerate() {
            let only_if = vec![Choice { task, way }];
            let (from, to) = (Point::start(task), Point::end(task));
            let (resource, reason) = (ovens[*oven], Reason::Always);
            problem.holds.push(Hold { resource, amount: racks, from, to, only_if, reason });
            if *oven == 0 {
                uses[*day].push(Vec::new());
            }
            uses[*day].last_mut().unwrap().push((*oven, Choice { task, way }));
        }
        if on < 2 {
            ends[usize::try_from(on).unwrap()].push(Point::end(task));
        }
        loads.push((task, heat, open));
    }
    for (place, (a, heat, open)) in loads.iter().enumerate() {
        for (b, other_heat, other_open) in &loads[place + 1..] {
            for (way, here) in open.iter().enumerate().filter(|_| heat != other_heat) {
                let Some(other_way) = other_open.iter().position(|there| there == here) else { continue };
                problem.aparts.push(Apart {
                    a: (Point::start(*a), Point::end(*a)),
                    b: (Point::start(*b), Point::end(*b)),
                    gap_ab: Some(1),
                    gap_ba: Some(1),
                    only_if: vec![Choice { task: *a, way }, Choice { task: *b, way: other_way }],
                    reason: Reason::Always,
                });
            }
        }
    }
    let all: Vec<Point> = loads.iter().map(|(task, ..)| Point::end(*task)).collect();
    let days = ends.into_iter().chain([all]).filter(|ends| !ends.is_empty());
    problem
        .objective
        .push(Term { name: "over".to_owned(), sum: days.map(|ends| (1, Quantity::Latest(ends))).collect() });
    problem.numberings = uses.into_iter().map(|uses| Numbering { uses }).collect();
    problem
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

/// Swapping two ovens of a day, wherever a load may use them, must give the same problem: that is what the solver is promised.
#[test]
fn ovens_of_a_day_can_be_swapped() {
    let problem = model_for(&grown(demo(), 2), Some(24)).problem;
    assert_eq!(problem.numberings.len(), 2);
    for numbering in &problem.numberings {
        let ways = |number: usize| -> Vec<Choice> {
            numbering.uses.iter().flatten().filter(|(n, _)| *n == number).map(|(_, choice)| *choice).collect()
        };
        // The last two: each load that may use the one may use the other.
        let (one, other) = (ways(2), ways(3));
        let pairs: Vec<(Choice, Choice)> =
            other.iter().filter_map(|b| one.iter().find(|a| a.task == b.task).map(|a| (*a, *b))).collect();
        assert_eq!(pairs.len(), other.len());
        for (a, b) in &pairs {
            let [a, b] = [a, b].map(|choice| &problem.tasks[choice.task.0].ways[choice.way]);
            assert_eq!((a.least, a.most, &a.windows, a.reason), (b.least, b.most, &b.windows, b.reason));
        }
        let swapped = |choice: &Choice| {
            let find = pairs.iter().find_map(|(a, b)| match choice {
                c if c == a => Some(*b),
                c if c == b => Some(*a),
                _ => None,
            });
            find.unwrap_or(*choice)
        };
        // Only loads that may use both are compared: the first ones are sent into few ovens from the start.
        let both = |task: TaskId| pairs.iter().any(|(a, _)| a.task == task);
        let apart = |a: &Apart, swap: bool| {
            let mut only_if: Vec<Choice> =
                a.only_if.iter().map(|c| if swap { swapped(c) } else { *c }).collect();
            only_if.sort_unstable();
            format!("{:?} {:?} {:?} {:?} {only_if:?}", a.a, a.b, a.gap_ab, a.gap_ba)
        };
        let among = problem.aparts.iter().filter(|a| both(a.a.0.task) && both(a.b.0.task));
        let mut plain: Vec<String> = among.clone().map(|a| apart(a, false)).collect();
        let mut turned: Vec<String> = among.map(|a| apart(a, true)).collect();
        plain.sort();
        turned.sort();
        assert_eq!(plain, turned);
    }
}
