//! A step at a machine that is done for the class, or by each station, keeps to what its bowl and its oven take.

use super::{effort, inputs, planned_with};
use crate::support::{put_in, repository};
use benchroll::course::{Course, EquipId};
use benchroll::finding::{Finding, Level};
use benchroll::read::{folder, read_course};
use benchroll::reckon::options;
use benchroll::reckon::plan::check::check;
use benchroll::reckon::plan::choose::plan;
use benchroll::reckon::plan::machine_room::too_large;
use benchroll::reckon::plan::timetable::Plan;

const MIX: &str = r#"per = "batch", at = "mixer", hands = "students", takes = "12 to 18 min, usually 15", share = "up to 2 stations""#;
const TURN_OUT: &str = r#"per = "load", hands = "staff""#;
const BAKE: &str = r#"per = "load", at = "oven""#;

/// The small class with other steps, so many pieces for each station, and a change of the kitchen.
fn course(pieces: u32, steps: &[(&str, String)], kitchen: &[(&str, String)]) -> Course {
    let mut files = folder::load(&repository().join("tests/courses/small")).unwrap();
    put_in(&mut files, "lessons/soft-loaf.toml", &[("pieces = 1", format!("pieces = {pieces}"))]);
    put_in(&mut files, "lessons/soft-loaf.toml", steps);
    put_in(&mut files, "kitchen.toml", &[("count = 6", "count = 60".to_owned())]);
    put_in(&mut files, "kitchen.toml", &[("shelves = 4", "shelves = 40".to_owned())]);
    put_in(&mut files, "kitchen.toml", kitchen);
    let read = read_course(&files);
    read.course.unwrap_or_else(|| panic!("{:?}", read.findings))
}

fn mixed(per: &str) -> [(&'static str, String); 1] {
    let takes = r#"at = "mixer", hands = "students", takes = "12 to 18 min, usually 15""#;
    [(MIX, format!("per = \"{per}\", {takes}"))]
}

fn baked(per: &str) -> [(&'static str, String); 2] {
    [
        (BAKE, format!("per = \"{per}\", at = \"oven\"")),
        (TURN_OUT, format!("per = \"{per}\", hands = \"staff\"")),
    ]
}

/// A second, larger mixer.
const LARGE: &str = "[[mixers]]\nid = \"large\"\ncount = 1\nbowl = \"20 l\"\nlimit = { rich = \"6 kg\" }\nleast = \"1 kg\"\nbetween = \"5 min\"\n\n[[ovens]]";

fn told(course: &Course) -> Vec<Finding> {
    let (class, portions, _) = inputs(course, None);
    let (_, found) = options::options(course, &class, &portions);
    found.into_iter().filter(|f| f.level == Level::Error).collect()
}

/// There is no plan, not even a late one, and the checker is not what refuses it.
fn has_none(course: &Course) -> bool {
    let (class, portions, options) = inputs(course, None);
    assert!(too_large(course, &class, &portions, &options));
    let found = plan(course, &class, &portions, &options, effort());
    found.plan.is_none() && found.impossible && found.hopeless && found.refused.is_empty()
}

fn machines(plan: &Plan, step: &str) -> Vec<String> {
    let of = plan.tasks.iter().filter(|t| t.step.as_str() == step);
    of.filter_map(|t| t.uses.first().map(|u| u.resource.clone())).collect()
}

fn rules(course: &Course, plan: &Plan) -> Vec<&'static str> {
    let (class, portions, _) = inputs(course, None);
    check(course, &class, &portions, plan).iter().map(|b| b.rule).collect()
}

#[test]
fn what_no_mixer_carries_is_told_and_never_planned() {
    for per in ["class", "station"] {
        let course = course(12, &mixed(per), &[]);
        let found = told(&course);
        assert_eq!(found.len(), 1, "{per}: {found:#?}");
        assert_eq!(found[0].code.0, "no-bowl-carries-it");
        let way_out = found[0].way_out.as_ref().unwrap();
        if per == "station" {
            assert!(found[0].message.contains("for station 1"), "{}", found[0].message);
            assert!(way_out.contains("per = \"batch\""), "{way_out}");
        }
        assert!(found[0].message.contains(" g is more than the "), "{}", found[0].message);
        assert!(has_none(&course), "{per}");
    }
}

#[test]
fn of_two_mixers_the_one_that_carries_it_is_taken() {
    for per in ["class", "station"] {
        let pieces = if per == "class" { 2 } else { 4 };
        let course = course(pieces, &mixed(per), &[("[[ovens]]", LARGE.to_owned())]);
        assert_eq!(told(&course), []);
        let mut plan = planned_with(&course, None, effort());
        let all = machines(&plan, "mix");
        assert!(!all.is_empty() && all.iter().all(|m| m == "large-1"), "{per}: {all:?}");
        // In the small one it is refused.
        let task = plan.tasks.iter_mut().find(|t| t.step.as_str() == "mix").unwrap();
        "mixer-1".clone_into(&mut task.uses[0].resource);
        assert!(rules(&course, &plan).contains(&"mixer"), "{per}: {:?}", rules(&course, &plan));
    }
}

/// Less than the hook catches is mixed by hand, as of a batch.
#[test]
fn what_no_hook_catches_is_mixed_by_hand() {
    let course = course(1, &mixed("station"), &[("least = \"300 g\"", "least = \"1.1 kg\"".to_owned())]);
    assert_eq!(told(&course), []);
    let mut plan = planned_with(&course, None, effort());
    assert_eq!(machines(&plan, "mix"), Vec::<String>::new());
    assert!(plan.tasks.iter().filter(|t| t.step.as_str() == "mix").all(|t| t.by_hand));
    let mut kitchen = course.clone();
    kitchen.kitchen.mixers[0].least = None;
    assert!(rules(&kitchen, &plan).contains(&"mixer"), "a hook catches it");
    plan.tasks.iter_mut().for_each(|t| t.by_hand = false);
    assert!(rules(&course, &plan).contains(&"mixer"));
}

#[test]
fn what_no_oven_takes_at_once_is_told_and_never_planned() {
    for per in ["class", "station"] {
        let course = course(
            13,
            &baked(per),
            &[
                (
                    "limit = { rich = \"1.2 kg\", enriched = \"1.5 kg\" }",
                    "limit = { rich = \"99 kg\" }".to_owned(),
                ),
                ("bowl = \"4.8 l\"", "bowl = \"480 l\"".to_owned()),
            ],
        );
        let found = told(&course);
        assert_eq!(found.len(), 1, "{per}: {found:#?}");
        assert_eq!(found[0].code.0, "more-than-an-oven-takes");
        assert!(found[0].message.contains("on each of 2 racks"), "{}", found[0].message);
        assert!(found[0].way_out.as_ref().unwrap().contains("per = \"load\""));
        assert!(has_none(&course), "{per}");
    }
}

/// Eight tins of a station fill both racks: two stations bake one after the other.
#[test]
fn a_station_takes_the_racks_that_its_tins_need() {
    let large = [
        ("limit = { rich = \"1.2 kg\", enriched = \"1.5 kg\" }", "limit = { rich = \"99 kg\" }".to_owned()),
        ("bowl = \"4.8 l\"", "bowl = \"480 l\"".to_owned()),
    ];
    let mut course = course(8, &baked("station"), &large);
    course.kitchen.stations.seats.value = 1;
    course.roll.truncate(2);
    let mut plan = planned_with(&course, Some(2), effort());
    let oven = EquipId::new("oven-1");
    let racks: Vec<u32> = plan
        .tasks
        .iter()
        .filter(|t| t.step.as_str() == "bake")
        .flat_map(|t| t.uses.iter().filter(|u| u.resource == oven.as_str()).map(|u| u.amount))
        .collect();
    assert_eq!(racks, [2, 2]);
    let task = plan.tasks.iter_mut().find(|t| t.step.as_str() == "bake").unwrap();
    task.uses.iter_mut().filter(|u| u.resource == oven.as_str()).for_each(|u| u.amount = 1);
    let (class, portions, _) = inputs(&course, Some(2));
    let broken = check(&course, &class, &portions, &plan);
    assert!(broken.iter().any(|b| b.rule == "oven" && b.message.contains("8 on 1 racks")), "{broken:?}");
}
