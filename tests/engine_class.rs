//! An invented class as a scheduling problem, of the size of a real one: three lessons, two
//! sessions with a cold night between them, slots of five minutes.

use benchroll::reckon::plan::problem::{
    Choice, Lag, Link, Point, Problem, Quantity, Reason, ReasonId, ResourceId, Symmetry, TaskId, Term, Way,
};
use benchroll::reckon::plan::schedule::{Budget, Outcome};
use benchroll::reckon::plan::solver::solve;
use benchroll::reckon::plan::verify::verify;

const FIRST: (i32, i32) = (0, 66);
const SECOND: (i32, i32) = (234, 318);

/// The class for so many stations; 9 + 14 tasks for each.
pub fn class(stations: usize) -> Problem {
    let mut problem = Problem::new(SECOND.1);
    let count = i32::try_from(stations).unwrap();
    let first = problem.reason("Saturday's session lasts five and a half hours");
    let second = problem.reason("Sunday's session lasts seven hours");
    let mixers = problem.reason("there are few mixers");
    let ovens = problem.reason("there are few oven places");
    let burners = problem.reason("there are few burners");
    let mixers = problem.resource("mixers", (count / 3).max(2), mixers);
    let oven = problem.resource("oven places", (count * 2 / 3).max(3), ovens);
    let burners = problem.resource("burners", (count / 3).max(2), burners);
    let warm = problem.resource("warm places", count + 2, Reason::Always);
    let cold = problem.resource("cold shelves", count + 4, Reason::Always);
    let teacher = problem.resource("teacher", 1, Reason::Always);
    let hands: Vec<ResourceId> = (1..=stations)
        .map(|station| problem.resource(&format!("station {station}"), 1, Reason::Always))
        .collect();

    let day = |day: usize| if day == 1 { (FIRST, first) } else { (SECOND, second) };
    let whole = |problem: &mut Problem, name: &str, on: usize, slots: i32, teaches: bool| {
        let (session, reason) = day(on);
        let task = problem.task(name, vec![Way::fixed("", slots).within(&[session], reason)]);
        for station in &hands {
            problem.uses(task, *station, 1);
        }
        if teaches {
            problem.uses(task, teacher, 1);
        }
        task
    };
    let welcome = whole(&mut problem, "welcome", 1, 2, true);
    let safety = whole(&mut problem, "safety", 1, 2, true);
    let show_a = whole(&mut problem, "show a", 1, 4, true);
    let show_b = whole(&mut problem, "show b", 1, 3, true);
    let pause_1 = whole(&mut problem, "break 1", 1, 3, false);
    let show_c = whole(&mut problem, "show c", 2, 4, true);
    let pause_2 = whole(&mut problem, "break 2", 2, 6, false);
    let tasting = whole(&mut problem, "tasting", 2, 4, true);
    let clean = whole(&mut problem, "clean", 2, 4, true);
    problem.after(Point::end(welcome), Point::start(safety), 0);
    problem.after(Point::end(safety), Point::start(show_a), 0);
    problem.after(Point::end(safety), Point::start(show_b), 0);
    problem.after(Point::end(tasting), Point::start(clean), 0);
    problem.lag(Point::end(safety), Point::start(pause_1), 20, Some(36), Reason::Always);
    problem.lag(Point::end(show_c), Point::start(pause_2), 6, Some(40), Reason::Always);

    let mut members = Vec::new();
    let mut waits = Vec::new();
    for (station, own) in hands.iter().enumerate() {
        let name = |step: &str| format!("{step} {}", station + 1);
        let mut task = |step: &str, on: usize, least: i32, most: i32| -> TaskId {
            let windows = if on == 0 { vec![] } else { vec![day(on).0] };
            let way = Way::ranged("", least, most).within(&windows, day(on.max(1)).1);
            problem.task(&name(step), vec![way])
        };
        let weigh_a = task("weigh a", 1, 3, 3);
        let mix_a = task("mix a", 1, 4, 4);
        let chill_a = task("chill a", 0, 144, 280);
        let shape_a = task("shape a", 2, 4, 4);
        let proof_a = task("proof a", 2, 18, 24);
        let bake_a = task("bake a", 2, 8, 8);
        let weigh_b = task("weigh b", 1, 2, 2);
        let boil_b = task("boil b", 1, 3, 3);
        let mix_b = task("mix b", 1, 3, 3);
        let shape_b = task("shape b", 1, 3, 3);
        let bake_b = task("bake b", 1, 4, 4);
        let roll_c = task("roll c", 2, 3, 3);
        let fill_c = task("fill c", 2, 3, 3);
        let bake_c = task("bake c", 2, 6, 6);
        for busy in [weigh_a, mix_a, shape_a, weigh_b, boil_b, mix_b, shape_b, roll_c, fill_c] {
            problem.uses(busy, *own, 1);
        }
        for (step, resource) in [
            (mix_a, mixers),
            (mix_b, mixers),
            (boil_b, burners),
            (fill_c, burners),
            (chill_a, cold),
            (proof_a, warm),
            (bake_a, oven),
            (bake_b, oven),
            (bake_c, oven),
        ] {
            problem.uses(step, resource, 1);
        }
        let mut carry = |from: TaskId, to: TaskId, least: i32, most: i32| {
            problem.lag(Point::end(from), Point::start(to), least, Some(most), Reason::Always);
            waits.push((from, to));
        };
        carry(weigh_a, mix_a, 0, 6);
        carry(mix_a, chill_a, 0, 1);
        carry(chill_a, shape_a, 0, 2);
        carry(shape_a, proof_a, 0, 0);
        carry(proof_a, bake_a, 0, 0);
        carry(weigh_b, boil_b, 0, 6);
        carry(boil_b, mix_b, 2, 8);
        carry(mix_b, shape_b, 6, 12);
        carry(shape_b, bake_b, 8, 12);
        carry(roll_c, fill_c, 2, 8);
        carry(fill_c, bake_c, 0, 2);
        for (shown, step) in [(show_a, weigh_a), (show_b, weigh_b), (show_c, roll_c)] {
            problem.after(Point::end(shown), Point::start(step), 0);
        }
        for baked in [bake_a, bake_c] {
            problem.after(Point::end(baked), Point::start(tasting), 2);
        }
        members.push(vec![
            weigh_a, mix_a, chill_a, shape_a, proof_a, bake_a, weigh_b, boil_b, mix_b, shape_b, bake_b,
            roll_c, fill_c, bake_c,
        ]);
    }
    let saturday = members
        .iter()
        .flat_map(|tasks| [Point::end(tasks[1]), Point::end(tasks[10])])
        .chain([Point::end(pause_1)])
        .collect();
    problem.symmetries.push(Symmetry { members, step: 0 });
    problem.objective = vec![
        Term {
            name: "sessions end early".to_owned(),
            sum: vec![(1, Quantity::Latest(saturday)), (1, Quantity::End(clean))],
        },
        Term {
            name: "little waiting".to_owned(),
            sum: waits
                .iter()
                .map(|(from, to)| {
                    let (from, to) = (Point::end(*from), Point::start(*to));
                    (1, Quantity::Span { from, to, only_if: Vec::new() })
                })
                .collect(),
        },
        Term {
            name: "the break comes late".to_owned(),
            sum: vec![(-1, Quantity::Start(pause_1)), (-1, Quantity::Start(pause_2))],
        },
    ];
    problem
}

fn solved(stations: usize, budget: &Budget) -> (Problem, Outcome) {
    let problem = class(stations);
    let outcome = solve(&problem, budget);
    if let Some(schedule) = &outcome.schedule {
        assert_eq!(verify(&problem, schedule), vec![]);
    }
    (problem, outcome)
}

#[test]
fn a_class_is_planned_and_proven() {
    for stations in [3, 6] {
        let (problem, outcome) = solved(stations, &Budget { per_term: 200_000, conflict: 0 });
        assert_eq!(problem.tasks.len(), 9 + 14 * stations);
        assert!(outcome.terms.iter().all(|term| term.proven), "{:?}", outcome.terms);
    }
}

/// The least among the plans in which the stations keep their order in every step can be worse than the least of all, so that is not what is
/// asked. Among all plans the least of twelve stations is not proven in a test's time: the sessions end after 332 slots, and of fewer
/// than 329 it is shown that they cannot be (in 60 000 steps for each term: 330). So a plan has to be found, and its bound, which holds
/// for every order, has to be within a hundredth.
#[test]
fn a_larger_class_is_planned() {
    let problem = class(12);
    let outcome = solve(&problem, &Budget { per_term: 15_000, conflict: 0 });
    assert_eq!(verify(&problem, &outcome.schedule.unwrap()), vec![]);
    let first = &outcome.terms[0];
    assert!((first.value - first.bound) * 100 <= first.bound, "{first:?}");
}

#[test]
fn a_session_that_is_too_short_is_impossible_and_named() {
    let mut problem = class(6);
    let sunday = problem.reasons.iter().position(|reason| reason.starts_with("Sunday")).unwrap();
    for way in problem.tasks.iter_mut().flat_map(|task| task.ways.iter_mut()) {
        if way.reason == Reason::Named(ReasonId(sunday)) {
            for window in way.windows.iter_mut().filter(|window| **window == SECOND) {
                window.1 -= 40;
            }
        }
    }
    let outcome = solve(&problem, &Budget { per_term: 50_000, conflict: 50_000 });
    assert_eq!(outcome.schedule, None);
    assert!(outcome.impossible);
    assert!(outcome.conflict_is_minimal);
    assert!(outcome.conflict.contains(&ReasonId(sunday)), "{:?}", outcome.conflict);
    for reason in &outcome.conflict {
        let keeps = |it| {
            it == Reason::Always
                || outcome.conflict.iter().any(|other| other != reason && it == Reason::Named(*other))
        };
        let without = problem.keeping(keeps);
        let outcome = solve(&without, &Budget { per_term: 20_000, conflict: 0 });
        let schedule = outcome.schedule.expect("it fits without one of the reasons");
        assert_eq!(verify(&without, &schedule), vec![]);
    }
}

/// The same class in which rolling and filling may be done by staff on Saturday evening, and in
/// which Sunday ends so many slots earlier. As little made ahead as possible comes first.
pub fn class_with_work_ahead(stations: usize, earlier: i32) -> Problem {
    let mut problem = class(stations);
    let staff = problem.resource("staff", 1, Reason::Always);
    let mut ahead = Vec::new();
    for way in problem.tasks.iter_mut().flat_map(|task| task.ways.iter_mut()) {
        for window in way.windows.iter_mut().filter(|window| **window == SECOND) {
            window.1 -= earlier;
        }
    }
    for station in 0..stations {
        let roll = TaskId(9 + 14 * station + 11);
        let fill = TaskId(roll.0 + 1);
        for task in [roll, fill] {
            let evening = [(FIRST.1, FIRST.1 + 24)];
            let way = Way::fixed("ahead", 3).within(&evening, Reason::Always);
            problem.tasks[task.0].ways.push(way);
            let now = Choice { task, way: 0 };
            for hold in problem.holds.iter_mut().filter(|hold| hold.from.task == task) {
                hold.only_if.push(now);
            }
            let touching = |lag: &&mut Lag| lag.from.task == task || lag.to.task == task;
            for lag in problem.lags.iter_mut().filter(touching) {
                lag.only_if.push(now);
            }
            problem.uses(task, staff, 1);
            if let Some(hold) = problem.holds.last_mut() {
                hold.only_if.push(Choice { task, way: 1 });
            }
            ahead.push((1, Quantity::Chosen(Choice { task, way: 1 })));
        }
        let (one, other) = (Choice { task: roll, way: 1 }, Choice { task: fill, way: 1 });
        for (all, then) in [(vec![one], other), (vec![other], one)] {
            problem.links.push(Link::Implies { all, then, reason: Reason::Always });
        }
        problem.after(Point::end(roll), Point::start(fill), 2);
    }
    for term in &mut problem.objective {
        // Waiting after work done ahead is no waiting.
        for (_, quantity) in &mut term.sum {
            if let Quantity::Span { from, to, only_if } = quantity {
                for point in [from, to] {
                    if problem.tasks[point.task.0].ways.len() > 1 {
                        only_if.push(Choice { task: point.task, way: 0 });
                    }
                }
            }
        }
    }
    problem.objective.insert(0, Term { name: "little made ahead".to_owned(), sum: ahead });
    problem
}

#[test]
fn only_what_must_be_is_made_ahead() {
    // Three hours earlier, Sunday's lesson no longer fits, unless some of it is ready.
    let problem = class_with_work_ahead(6, 36);
    let outcome = solve(&problem, &Budget { per_term: 100_000, conflict: 0 });
    let schedule = outcome.schedule.expect("with work ahead it fits");
    assert_eq!(verify(&problem, &schedule), vec![]);
    assert!(outcome.terms.iter().all(|term| term.proven), "{:?}", outcome.terms);
    let ahead = schedule.way.iter().filter(|way| **way == 1).count();
    assert_eq!(usize::try_from(outcome.terms[0].value), Ok(ahead));
    assert!(ahead > 0);
    // Without that many it does not fit, and a slot more of Sunday needs less.
    let mut less = problem.clone();
    for way in less.tasks.iter_mut().flat_map(|task| task.ways.iter_mut().skip(1)) {
        way.windows = vec![(0, 0)];
    }
    assert!(solve(&less, &Budget { per_term: 100_000, conflict: 0 }).impossible);
    let longer = solve(&class_with_work_ahead(6, 35), &Budget { per_term: 10_000, conflict: 0 });
    assert_eq!(longer.terms[0].value, 0);
}
