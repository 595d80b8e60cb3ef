//! The checker takes a sound schedule and refuses every one that was broken by hand.

use benchroll::reckon::plan::problem::{
    Apart, Choice, Hold, Lag, Link, Point, Problem, Quantity, Reason, TaskId, Term, Way,
};
use benchroll::reckon::plan::schedule::{Budget, Schedule};
use benchroll::reckon::plan::solver::solve;
use benchroll::reckon::plan::verify::{Rule, quantity_value, verify};

const A: TaskId = TaskId(0);
const B: TaskId = TaskId(1);
const C: TaskId = TaskId(2);

/// Three tasks with one constraint of each kind, and a schedule that keeps them all.
fn sound() -> (Problem, Schedule) {
    let mut problem = Problem::new(20);
    let small = Way::fixed("small bowl", 4).within(&[(0, 6), (8, 20)], Reason::Always);
    let large = Way::ranged("large bowl", 2, 3);
    problem.task("a", vec![small, large]);
    problem.task("b", vec![Way::fixed("", 3)]);
    problem.task("c", vec![Way::ranged("", 1, 5), Way::fixed("by hand", 9)]);
    problem.lag(Point::end(A), Point::start(B), 1, Some(4), Reason::Always);
    let mixer = problem.resource("mixer", 2, Reason::Always);
    problem.resources[mixer.0].calendar = vec![(14, 16, 1), (15, 18, 0)];
    problem.uses(A, mixer, 2);
    problem.uses(C, mixer, 1);
    let only_if = vec![Choice { task: A, way: 0 }];
    problem.holds.push(Hold {
        resource: mixer,
        amount: 1,
        from: Point::end(A),
        to: Point::start(B).later(1),
        only_if,
        reason: Reason::Always,
    });
    problem.aparts.push(Apart {
        a: (Point::start(B), Point::end(B)),
        b: (Point::start(C), Point::end(C)),
        gap_ab: Some(2),
        gap_ba: None,
        only_if: Vec::new(),
        reason: Reason::Always,
    });
    problem.links.push(Link::Implies {
        all: vec![Choice { task: A, way: 0 }],
        then: Choice { task: C, way: 0 },
        reason: Reason::Always,
    });
    problem.links.push(Link::Forbids {
        all: vec![Choice { task: A, way: 1 }, Choice { task: C, way: 0 }],
        reason: Reason::Always,
    });
    let schedule = Schedule { start: vec![1, 6, 12], end: vec![5, 9, 14], way: vec![0, 0, 0] };
    (problem, schedule)
}

/// What the schedule breaks after a change to it, kind by kind.
fn broken(change: impl FnOnce(&mut Schedule)) -> Vec<Rule> {
    let (problem, mut schedule) = sound();
    change(&mut schedule);
    verify(&problem, &schedule).into_iter().map(|breach| breach.what).collect()
}

fn put(schedule: &mut Schedule, task: TaskId, start: i32, end: i32) {
    (schedule.start[task.0], schedule.end[task.0]) = (start, end);
}

#[test]
fn a_sound_schedule_breaks_nothing() {
    assert_eq!(broken(|_| ()), vec![]);
}

#[test]
fn a_missing_task_is_seen() {
    assert_eq!(broken(|it| it.end.truncate(2)), vec![Rule::Shape]);
}

#[test]
fn an_unknown_way_is_seen() {
    assert_eq!(broken(|it| it.way[1] = 1), vec![Rule::Way]);
}

#[test]
fn a_task_outside_the_horizon_is_seen() {
    assert_eq!(broken(|it| put(it, C, 19, 21)), vec![Rule::Horizon]);
}

#[test]
fn a_wrong_duration_is_seen() {
    assert_eq!(broken(|it| put(it, B, 6, 10)), vec![Rule::Duration]);
    assert_eq!(broken(|it| put(it, C, 12, 12)), vec![Rule::Duration]);
}

#[test]
fn a_task_across_the_end_of_a_window_is_seen() {
    assert_eq!(broken(|it| put(it, A, 7, 11)).first(), Some(&Rule::Window));
}

#[test]
fn lags_too_short_and_too_long_are_seen() {
    // The hold after the first task then has no length: it may.
    assert_eq!(broken(|it| put(it, B, 5, 8)), vec![Rule::LagTooShort]);
    let late = broken(|it| {
        put(it, A, 0, 4);
        put(it, B, 9, 12);
        put(it, C, 18, 20);
    });
    assert_eq!(late, vec![Rule::LagTooLong]);
}

#[test]
fn a_hold_that_ends_before_it_begins_is_seen() {
    let early = broken(|it| put(it, B, 3, 6));
    assert_eq!(early, vec![Rule::LagTooShort, Rule::Hold]);
}

#[test]
fn too_little_of_a_resource_is_seen() {
    // From slot 15 on there is no mixer.
    let (problem, mut schedule) = sound();
    put(&mut schedule, C, 13, 16);
    let breaches = verify(&problem, &schedule);
    assert_eq!(breaches.len(), 1);
    assert_eq!(breaches[0].what, Rule::Capacity);
    assert_eq!(breaches[0].numbers, vec![0, 15, 1, 0]);
    assert_eq!(breaches[0].tasks, vec![C]);
    // In slot 14 there is still one.
    assert_eq!(broken(|it| put(it, C, 13, 15)), vec![]);
}

#[test]
fn spans_too_close_or_in_the_wrong_order_are_seen() {
    assert_eq!(broken(|it| put(it, C, 10, 12)), vec![Rule::Apart]);
    assert_eq!(broken(|it| put(it, C, 0, 1)), vec![Rule::Apart]);
}

#[test]
fn ways_that_do_not_go_together_are_seen() {
    let by_hand = broken(|it| {
        it.way[2] = 1;
        put(it, C, 11, 20);
    });
    assert!(by_hand.contains(&Rule::Link));
    let large = broken(|it| {
        it.way[0] = 1;
        put(it, A, 2, 5);
    });
    assert_eq!(large, vec![Rule::Link]);
}

#[test]
fn quantities_are_what_they_say() {
    let (_, schedule) = sound();
    let value = |quantity| quantity_value(&quantity, &schedule);
    let ends = vec![Point::end(A), Point::end(B).later(-7), Point::start(A)];
    assert_eq!(value(Quantity::Start(B)), 6);
    assert_eq!(value(Quantity::End(B)), 9);
    assert_eq!(value(Quantity::Duration(A)), 4);
    assert_eq!(value(Quantity::Chosen(Choice { task: A, way: 0 })), 1);
    assert_eq!(value(Quantity::Chosen(Choice { task: A, way: 1 })), 0);
    assert_eq!(value(Quantity::Latest(ends.clone())), 5);
    assert_eq!(value(Quantity::Earliest(ends)), 1);
    assert_eq!(value(Quantity::Excess { point: Point::end(C), above: 10 }), 4);
    assert_eq!(value(Quantity::Excess { point: Point::end(C), above: 15 }), 0);
    assert_eq!(value(Quantity::Moved { point: Point::start(A), from: 4 }), 3);
    let span = |way| Quantity::Span {
        from: Point::end(A),
        to: Point::start(C),
        only_if: vec![Choice { task: A, way }],
    };
    assert_eq!(value(span(0)), 7);
    assert_eq!(value(span(1)), 0);
}

#[test]
fn the_solver_finds_a_sound_schedule_too() {
    let (mut problem, _) = sound();
    let name = "early".to_owned();
    problem.objective = vec![Term { name, sum: vec![(1, Quantity::End(C))] }];
    let outcome = solve(&problem, &Budget::default());
    assert_eq!(verify(&problem, &outcome.schedule.unwrap()), vec![]);
    // By hand: 0..4 small bowl, a slot's wait, 5..8, two slots' gap, 10..11.
    assert_eq!((outcome.terms[0].value, outcome.terms[0].proven), (11, true));
}

#[test]
fn a_problem_that_points_at_nothing_has_no_plan() {
    let (mut problem, _) = sound();
    let nowhere = Point::start(TaskId(9));
    problem.lags.push(Lag {
        from: nowhere,
        to: nowhere,
        least: 0,
        most: None,
        only_if: Vec::new(),
        reason: Reason::Always,
    });
    assert_eq!(solve(&problem, &Budget::default()).schedule, None);
}
