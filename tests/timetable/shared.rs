//! One bowl, one pan, one oven for what is free of something and what holds it: whoever it is made for, the free one goes first, or the time for
//! a wash-up stands between.

use super::pots::{FORMULA, PANTRY};
use super::{effort, inputs, of_two, planned_with, rules};
use crate::support::{put_in, repository};
use benchroll::course::Course;
use benchroll::read::folder;
use benchroll::reckon::machine_order::turns;
use benchroll::reckon::plan::allergen_order::WASH_UP;
use benchroll::reckon::plan::timetable::{Plan, PlannedTask};
use jiff::SignedDuration;

/// A step in which doughs of two stations come to one thing.
struct Case {
    step: &'static str,
    /// The step as written.
    written: &'static str,
    /// To which, as the turns of a plan name it.
    machine: &'static str,
}

const CASES: [Case; 5] = [
    Case {
        step: "mix",
        written: r#"{ id = "mix", on = "dough", per = "station", at = "mixer", hands = "students", takes = "12 to 18 min, usually 15" }"#,
        machine: "mixer-1",
    },
    Case {
        step: "mix",
        written: r#"{ id = "mix", on = "dough", per = "class", at = "mixer", hands = "staff", takes = "12 to 18 min, usually 15" }"#,
        machine: "mixer-1",
    },
    Case {
        step: "mix",
        written: r#"{ id = "mix", on = "dough", per = "batch", at = "mixer", hands = "staff", takes = "12 to 18 min, usually 15" }"#,
        machine: "mixer-1",
    },
    Case {
        step: "cook",
        written: r#"{ id = "cook", on = "dough", per = "batch", at = "hob", hands = "staff", takes = "12 to 18 min, usually 15" }"#,
        machine: "hob",
    },
    Case {
        step: "beat",
        written: r#"{ id = "beat", on = "dough", per = "station", hands = "staff", takes = "12 to 18 min, usually 15" }"#,
        machine: "bench",
    },
];

/// Two stations of one person each, what each of them avoids, and one mixer that needs no time between two doughs.
fn course(avoids: [&str; 2], case: &Case) -> Course {
    let mut files = folder::load(&repository().join("tests/courses/small")).unwrap();
    let text = String::from_utf8(files.bytes("pantry.toml").unwrap().to_vec()).unwrap();
    files.add("pantry.toml", text + PANTRY);
    files.add("formulas/soft-loaf.toml", FORMULA.to_owned());
    let shape = r#"{ id = "shape", on = ["dough", "oil"], per = "station", hands = "students", takes = "12 to 18 min, usually 15" }"#;
    let cool = r#"{ id = "cool", on = "piece", per = "station", at = "rack", hands = "nobody", stands = "at least 30 min" }"#;
    let head = "formula = \"soft-loaf\"\nmakes = { pieces = 1, for-each = \"station\" }";
    files.add(
        "lessons/soft-loaf.toml",
        format!("{head}\nsteps = [\n  {},\n  {shape},\n  {cool},\n]\n", case.written),
    );
    let hob = "\n[[hobs]]\nid = \"hob\"\nburners = 4\n\n[[racks]]".to_owned();
    let changes = [
        ("seats = 2", "seats = 1".to_owned()),
        ("count = 2\nbowl", "count = 1\nbowl".to_owned()),
        ("least = \"300 g\"", "least = \"50 g\"".to_owned()),
        ("between = \"5 min\"", "between = \"0 min\"".to_owned()),
        ("\n[[racks]]", hob),
    ];
    put_in(&mut files, "kitchen.toml", &changes);
    let two = "helpers = [\"Ada Finch\"]\nlanguage";
    put_in(&mut files, "course.toml", &[("language", two.to_owned())]);
    of_two(files, avoids)
}

/// The two tasks of the step by the clock.
fn both<'p>(plan: &'p mut Plan, case: &Case) -> Vec<&'p mut PlannedTask> {
    let mut all: Vec<_> = plan.tasks.iter_mut().filter(|t| t.step.as_str() == case.step).collect();
    all.sort_by_key(|t| t.start.timestamp());
    assert_eq!(all.len(), 2, "{}", case.written);
    all
}

fn whose(task: &PlannedTask) -> String {
    format!("{:?}", task.members[0].0)
}

#[test]
fn what_is_free_goes_first_whoever_it_is_for() {
    for case in &CASES {
        for (avoids, first) in [(["egg", ""], 1), (["", "egg"], 2)] {
            let course = course(avoids, case);
            let mut plan = planned_with(&course, None, effort());
            assert!(plan.fits, "{} {:?}", case.written, plan.objective);
            let all = both(&mut plan, case);
            assert_eq!(whose(all[0]), format!("Station(StationNo({first}))"), "{} {avoids:?}", case.written);
            let gap = all[0].end.duration_until(&all[1].start).as_mins();
            assert!((0..WASH_UP.get()).contains(&gap), "{}: {gap} min", case.written);
            // The same two the other way round.
            let mut all = both(&mut plan, case);
            let [a, b] = &mut all[..] else { panic!() };
            std::mem::swap(&mut a.start, &mut b.start);
            std::mem::swap(&mut a.end, &mut b.end);
            std::mem::swap(&mut a.by, &mut b.by);
            let refused = rules(&course, &plan);
            assert!(refused.contains(&"allergen"), "{} {avoids:?}: {refused:?}", case.written);
        }
    }
}

/// Each avoids what the other's holds: nobody can be first.
#[test]
fn where_none_can_be_first_it_is_washed_between() {
    for case in &CASES {
        let course = course(["egg", "milk"], case);
        let mut plan = planned_with(&course, None, effort());
        assert!(plan.fits, "{}", case.written);
        let (class, ..) = inputs(&course, None);
        let told = turns(&course, &class, &plan);
        assert!(told.iter().any(|t| t.machine == case.machine && t.wash_up), "{}: {told:?}", case.written);
        let all = both(&mut plan, case);
        let gap = all[0].end.duration_until(&all[1].start).as_mins();
        assert!(gap >= WASH_UP.get(), "{}: {gap} min", case.written);
        let sooner = SignedDuration::from_mins(gap - WASH_UP.get() + 5);
        let mut all = both(&mut plan, case);
        all[1].start = all[1].start.saturating_sub(sooner);
        all[1].end = all[1].end.saturating_sub(sooner);
        let refused = rules(&course, &plan);
        assert!(refused.contains(&"allergen"), "{}: {refused:?}", case.written);
    }
}

/// In one oven at one time: what is free does not come to what is in it and holds what somebody avoids.
#[test]
fn what_is_free_is_in_the_oven_first() {
    let dry = Case {
        step: "dry",
        written: r#"{ id = "dry", on = "dough", per = "station", at = "oven", heat = "90 C", hands = "nobody", takes = "12 to 18 min, usually 15" }"#,
        machine: "oven-1",
    };
    let course = course(["", "egg"], &dry);
    let mut plan = planned_with(&course, None, effort());
    let start = both(&mut plan, &dry)[0].start.clone();
    for (first, refused) in [(2, false), (1, true)] {
        for task in both(&mut plan, &dry) {
            let after = if whose(task) == format!("Station(StationNo({first}))") { 0 } else { 5 };
            task.start = start.saturating_add(SignedDuration::from_mins(after));
            task.end = task.start.saturating_add(SignedDuration::from_mins(15));
        }
        let rules = rules(&course, &plan);
        assert_eq!(rules.contains(&"allergen"), refused, "{rules:?}");
    }
}

/// Nobody avoids anything: one right after the other, or both at once.
#[test]
fn where_nobody_avoids_anything_nothing_is_kept_apart() {
    for case in &CASES {
        let mut plan = planned_with(&course(["", ""], case), None, effort());
        let steps = plan.tasks.iter().filter(|t| t.step.as_str() == case.step).count();
        if steps == 2 {
            let all = both(&mut plan, case);
            let gap = all[0].end.duration_until(&all[1].start).as_mins();
            assert!(gap <= 0, "{}: {gap} min", case.written);
        }
    }
}
