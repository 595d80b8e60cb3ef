//! On the day: what was not done, who shows, and what is made ahead for a session.

use crate::catch_up::{json, start, told};
use crate::documents::demo;
use crate::support::Sealed;
use benchroll::course::StationNo;
use benchroll::reckon::plan::catch_up::{Now, catch_up};
use benchroll::reckon::plan::choose::Effort;
use benchroll::reckon::plan::timetable::PlannedTask;
use benchroll::reckon::work::Whom;
use serde_json::Value;

/// What somebody says was not done is made up for where all else holds, and what takes it up waits for it.
#[test]
fn what_was_not_done_is_planned_again() {
    let sealed = Sealed::demo();
    let line = ["--now", "Sat 13:40", "--undone", "custard-buns.cook"];
    let after = json(&sealed, &line);
    let made_up = ids(&after["made_up"]);
    assert!(made_up.iter().any(|id| id.starts_with("custard-buns.cook@")), "{after}");
    for id in &made_up {
        let task = after["tasks"].as_array().unwrap().iter().find(|t| t["id"] == **id).unwrap();
        assert!(start(task) >= "2027-03-06T13:40", "{task}");
    }
    insta::assert_snapshot!("undone", told(&line));
    // What is yet to come cannot be said to be not done.
    let soon = sealed.run(&["catch-up", "course", "--now", "Sat 13:00", "--undone", "walnut-crown.bake"]);
    assert_eq!(soon.exit, Some(2), "{soon}");
    assert!(soon.to_string().contains("unknown-step"), "{soon}");
}

/// Where it cannot be made up for as written, it is left out with what takes it up, and the rest is planned.
#[test]
fn what_cannot_be_made_up_for_falls_away() {
    for (now, step) in [("Sun 09:30", "walnut-crown.cut"), ("Sat 13:00", "walnut-crown.mix")] {
        let after = json(&Sealed::demo(), &["--now", now, "--undone", step]);
        let gone = ids(&after["left_out"]);
        for step in [step, "walnut-crown.bake", "walnut-crown.cool"] {
            assert!(gone.iter().any(|id| id.starts_with(step)), "{step}: {gone:?}");
        }
        let tasks = after["tasks"].as_array().unwrap();
        assert!(tasks.iter().all(|t| !gone.contains(&t["id"].as_str().unwrap())), "{gone:?}");
        assert!(tasks.iter().any(|t| t["id"].as_str().unwrap().starts_with("four-braid.bake")));
    }
}

fn ids(list: &Value) -> Vec<&str> {
    list.as_array().unwrap().iter().map(|id| id.as_str().unwrap()).collect()
}

/// What one station did not do takes nothing from its neighbours: neither from the load that is in the oven nor from the dough.
#[test]
fn what_one_station_did_not_do_leaves_the_others_theirs() {
    let r = demo::reckoned();
    let printed = r.planned.plan.as_ref().unwrap();
    let after = |time: &str, id: &str| {
        let now = Now {
            time: time.parse().unwrap(),
            done: Vec::new(),
            undone: vec![id.to_owned()],
            late: Vec::new(),
            without: Vec::new(),
            absent: Vec::new(),
        };
        catch_up(&r.course, &r.class, &r.portions, printed, &now, Effort::quick()).unwrap()
    };
    let of = |task: &PlannedTask, no: u32| {
        task.members.iter().any(|(whom, _)| *whom == Whom::Station(StationNo(no)))
    };
    let cut = after("2027-03-07T09:30[Europe/Dublin]", "walnut-crown.cut@station-5");
    let gone = cut.left_out.all();
    assert!(gone.contains("walnut-crown.proof@station-5"), "{gone:?}");
    for id in &gone {
        // Only what is station 5's alone falls away.
        let task = printed.task(id).unwrap();
        assert!(task.members.iter().all(|(whom, _)| *whom == Whom::Station(StationNo(5))), "{id}");
    }
    // A neighbour's crown that is in the oven comes out.
    let late = after("2027-03-06T16:05[Europe/Dublin]", "walnut-crown.brush@station-4");
    let shared = |t: &&PlannedTask| {
        let lesson = t.lesson.as_ref().is_some_and(|l| l.as_str() == "walnut-crown");
        lesson && of(t, 4) && t.members.len() > 1 && ["bake", "turn-out"].contains(&t.step.as_str())
    };
    let shared: Vec<&str> = printed.tasks.iter().filter(shared).map(|t| t.id.as_str()).collect();
    assert_eq!(shared.len(), 2, "{shared:?}");
    assert!(shared.iter().all(|id| late.plan.task(id).is_some()), "{:?}", late.left_out);
}

/// Nothing is over, or late, that was not done.
#[test]
fn what_is_said_twice_is_refused() {
    let cook = "custard-buns.cook@class";
    let sealed = Sealed::demo();
    for other in [["--done", cook], ["--late", "custard-buns.cook@class=10m"]] {
        let line = [&["catch-up", "course", "--now", "Sat 13:10", "--undone", cook][..], &other[..]].concat();
        let said = sealed.run(&line);
        assert_eq!(said.exit, Some(2), "{said}");
        assert!(said.to_string().contains("said-twice"), "{said}");
    }
}

/// A demonstration is held by whoever it is written for; the helper gone, by whoever is left.
#[test]
fn a_helper_shows_what_is_the_helpers_to_show() {
    let old = "demo = true, hands = \"teacher\", takes = \"8 to 14 min";
    let sealed =
        Sealed::demo().edit("course/lessons/four-braid.toml", old, &old.replace("teacher", "helper"));
    let plan = sealed.run(&["plan", "course", "--format", "json"]).json();
    let by = |plan: &Value| {
        let show =
            plan["tasks"].as_array().unwrap().iter().find(|t| t["id"] == "four-braid.show@class").unwrap();
        show["by"].clone()
    };
    assert_eq!(by(&plan), serde_json::json!(["helper-1"]));
    let after = json(&sealed, &["--now", "Sun 09:30", "--absent", "Tomas Birch"]);
    assert_eq!(by(&after), serde_json::json!(["teacher"]));
}

/// What is made ahead for a session is made before that session, also where there are quiet hours after it.
#[test]
fn what_is_made_ahead_for_a_session_is_made_before_it() {
    let ahead = Sealed::demo().edit(
        "course/lessons/custard-buns.toml",
        "made-ahead = { dough = \"if needed, up to chill\"",
        "made-ahead = { dough = \"always, up to chill\"",
    );
    let mix = "{ id = \"mix\", on = \"dough\",";
    let ahead = ahead.edit("course/lessons/custard-buns.toml", mix, &format!("{mix} session = \"sat\","));
    let plan = ahead.run(&["plan", "course", "--format", "json"]).json();
    let mixed: Vec<&Value> = plan["tasks"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|t| t["step"] == "mix" && t["lesson"] == "custard-buns")
        .collect();
    assert!(!mixed.is_empty() && mixed.iter().all(|t| t["made_ahead"] == true), "{mixed:#?}");
    assert!(mixed.iter().all(|t| t["end"].as_str().unwrap() < "2027-03-06T13:01"), "{mixed:#?}");
}

/// Where what was not done can be made up for at a station that has not begun, it is; what lies open elsewhere is named.
#[test]
fn who_has_not_begun_gets_what_was_not_done() {
    let line = ["--now", "Sat 14:02", "--undone", "walnut-crown.cook@class"];
    let after = json(&Sealed::demo(), &line);
    let made_up = ids(&after["made_up"]);
    assert!(made_up.contains(&"walnut-crown.cook@class"), "{after}");
    let gone = ids(&after["left_out"]);
    assert!(gone.contains(&"walnut-crown.fill@station-1"), "{gone:?}");
    assert!(gone.iter().all(|id| !id.ends_with("@station-4")), "{gone:?}");
    assert_eq!(after["broken"], serde_json::json!([]));
    let said = told(&line);
    let words = said.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        words.contains("Made for it already: walnut-crown.roll (stations 1-3, 6). Into the cold with it now"),
        "{said}"
    );
}
