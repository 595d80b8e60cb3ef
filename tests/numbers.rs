//! Batches and loads carry the numbers of the clock, on every sheet, and keep them once they are on paper.

use crate::documents::demo;
use crate::support::repository;
use benchroll::pipeline::{Asked, Reckoned, Unwatched, reckon};
use benchroll::read::folder;
use benchroll::reckon::plan::catch_up::{Now, catch_up};
use benchroll::reckon::plan::check::check;
use benchroll::reckon::plan::choose::{Effort, plan};
use benchroll::reckon::plan::jobs::Group;
use benchroll::reckon::plan::numbers::by_the_clock;
use benchroll::reckon::plan::timetable::{Plan, PlannedTask};
use benchroll::units::Minutes;
use jiff::ZonedDateTime;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};

/// For each step the numbers of its groups by the clock; what begins together counts as one moment.
fn numbers(plan: &Plan, of: fn(&Group) -> Option<u32>) -> BTreeMap<String, Vec<(ZonedDateTime, u32)>> {
    let mut found: BTreeMap<String, Vec<(ZonedDateTime, u32)>> = BTreeMap::new();
    for task in plan.tasks.iter().filter(|t| !t.cold_wait) {
        let step = task.id.split('@').next().unwrap().to_owned();
        if let Some(no) = of(&task.group) {
            found.entry(step).or_default().push((task.start.clone(), no));
        }
    }
    found
}

fn load(group: &Group) -> Option<u32> {
    if let Group::Load(no) = group { Some(*no) } else { None }
}

fn batch(group: &Group) -> Option<u32> {
    if let Group::Batch(no) = group { Some(*no) } else { None }
}

fn counts_up(plan: &Plan, step: &str, of: fn(&Group) -> Option<u32>) -> bool {
    let all: Vec<u32> = numbers(plan, of)[step].iter().map(|(_, no)| *no).collect();
    all.iter().copied().eq(1..=u32::try_from(all.len()).unwrap())
}

/// What a task is, but for its number.
fn but_for_numbers(plan: &Plan) -> BTreeSet<String> {
    let of = |t: &PlannedTask| {
        let step = t.id.split('@').next().unwrap();
        format!("{step} {:?} {} {} {:?} {:?}", t.members, t.start, t.end, t.uses, t.by)
    };
    plan.tasks.iter().map(of).collect()
}

fn course(folder: &str) -> Reckoned {
    let files = folder::load(&repository().join("tests/courses").join(folder)).unwrap();
    reckon(&files, Asked::default(), &Unwatched).reckoned.unwrap()
}

#[test]
fn every_bake_and_every_mix_counts_up_by_the_clock() {
    let hall = course("hall");
    for r in [demo::reckoned(), &hall] {
        let plan = r.planned.plan.as_ref().unwrap();
        assert!(check(&r.course, &r.class, &r.portions, plan).is_empty());
        for (lesson, step) in plan.choice.loads.keys() {
            assert!(counts_up(plan, &format!("{lesson}.{step}"), load), "{lesson}.{step}");
        }
        // The first step of a batch is the one that it is numbered by.
        for (lesson, part) in plan.choice.batches.keys() {
            let of_part = |t: &&PlannedTask| {
                let step = r.course.lesson(lesson).and_then(|l| l.step(&t.step));
                let of = step.and_then(|s| plan.choice.batches_of(lesson, s).first());
                t.lesson.as_ref() == Some(lesson) && !t.cold_wait && of.is_some_and(|b| b.part == *part)
            };
            let mut seen = Vec::new();
            for no in plan.tasks.iter().filter(of_part).filter_map(|t| batch(&t.group)) {
                if !seen.contains(&no) {
                    seen.push(no);
                }
            }
            assert!(
                seen.iter().copied().eq(1..=u32::try_from(seen.len()).unwrap()),
                "{lesson}.{part}: {seen:?}"
            );
        }
        for task in &plan.tasks {
            assert!(task.id.ends_with(&format!("@{}", task.group)) || task.cold_wait, "{}", task.id);
            assert!(!task.made_ahead || plan.made_ahead.contains(&task.id), "{}", task.id);
        }
    }
}

/// The search numbers by the stations: the demo would bake its load 3 before its load 1. Nothing but numbers is changed, and a second time
/// not even these.
#[test]
fn only_the_numbers_change() {
    let r = demo::reckoned();
    let found = plan(&r.course, &r.class, &r.portions, &r.options, Effort::default()).plan.unwrap();
    assert!(!counts_up(&found, "custard-buns.bake", load));
    let numbered = by_the_clock(&r.course, &r.class, &r.portions, found.clone());
    assert_eq!(Some(&numbered), r.planned.plan.as_ref());
    assert_eq!(but_for_numbers(&numbered), but_for_numbers(&found));
    assert_eq!(by_the_clock(&r.course, &r.class, &r.portions, numbered.clone()), numbered);
}

#[test]
fn the_oven_sheet_and_the_log_count_up() {
    let mut loads = 0;
    for (name, sheet) in demo::all() {
        let numbers = |lines: &Value, lesson: &dyn Fn(&Value) -> String, no: &dyn Fn(&Value) -> String| {
            let mut all: BTreeMap<String, Vec<u32>> = BTreeMap::new();
            for line in lines.as_array().unwrap() {
                if let Ok(no) = no(line).parse() {
                    all.entry(lesson(line)).or_default().push(no);
                }
            }
            all
        };
        let found = match sheet["kind"].as_str().unwrap() {
            "oven-and-cold" => {
                let lesson = |l: &Value| l["makes"][0]["name"].to_string();
                numbers(&sheet["loads"], &lesson, &|l| l["load"].to_string())
            }
            "temperature-log" => {
                let is = |l: &Value| l["which"]["word"] == "oven.load";
                let no = |l: &Value| {
                    if is(l) { l["which"]["values"]["n"].as_str().unwrap().to_owned() } else { String::new() }
                };
                numbers(&sheet["readings"], &|l| l["what"].to_string(), &no)
            }
            _ => continue,
        };
        for (lesson, all) in found {
            assert!(all.is_sorted(), "{name}: {lesson} {all:?}");
            loads += all.len();
        }
    }
    assert!(loads >= 18, "{loads} loads were looked at");
}

/// The first load of the buns is late: the second goes in before it, and each keeps the number that is on paper.
#[test]
fn a_plan_for_the_rest_of_the_day_keeps_the_numbers_of_the_paper() {
    let r = demo::reckoned();
    let printed = r.planned.plan.as_ref().unwrap();
    let first = printed.task("custard-buns.bake@load-1").unwrap();
    let now = Now {
        time: first.start.checked_sub(jiff::SignedDuration::from_mins(20)).unwrap(),
        done: Vec::new(),
        undone: Vec::new(),
        late: vec![(first.id.clone(), Minutes(70))],
        without: Vec::new(),
        absent: Vec::new(),
    };
    let after = catch_up(&r.course, &r.class, &r.portions, printed, &now, Effort::quick()).unwrap();
    assert!(!counts_up(&after.plan, "custard-buns.bake", load), "{:?}", numbers(&after.plan, load));
    for was in printed.tasks.iter().filter(|t| !t.cold_wait) {
        let is = after.plan.task(&was.id).unwrap();
        assert_eq!((&was.members, &was.group), (&is.members, &is.group), "{}", was.id);
    }
    let of = |plan: &Plan| -> BTreeMap<String, Vec<(u32, String)>> {
        let loads = plan.choice.loads.iter();
        let all = loads.map(|(key, all)| {
            (format!("{key:?}"), all.iter().map(|l| (l.no, format!("{:?}", l.members))).collect())
        });
        all.collect()
    };
    assert_eq!(of(&after.plan), of(printed));
}
