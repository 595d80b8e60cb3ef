//! What a teacher accepts: one finding each, with its reason; never a person's allergen.

use crate::support::Sealed;
use serde_json::Value;

fn findings(sealed: &Sealed) -> Vec<Value> {
    sealed.run(&["check", "course", "--format", "json"]).json()["findings"].as_array().unwrap().clone()
}

fn with(accepts: &str) -> Sealed {
    let sealed = Sealed::small();
    let text = sealed.read("course/course.toml");
    sealed.file("course/course.toml", format!("accepts = {accepts}\n{text}"))
}

fn of<'a>(all: &'a [Value], code: &str) -> Vec<&'a Value> {
    all.iter().filter(|f| f["code"] == code).collect()
}

#[test]
fn a_code_that_does_not_exist_is_told_with_the_nearest_one() {
    let all = findings(&with("{ out-of-cold-to-long = \"why not\" }"));
    let told = of(&all, "unknown-word");
    assert_eq!(told.len(), 1, "{all:?}");
    assert_eq!(told[0]["level"], "error");
    assert!(told[0]["way_out"].as_str().unwrap().contains("out-of-cold-too-long"));
}

#[test]
fn an_acceptance_without_a_reason_is_none() {
    let all = findings(&with("{ out-of-cold-too-long = \" \" }"));
    assert_eq!(of(&all, "missing-key")[0]["level"], "error", "{all:?}");
}

#[test]
fn an_acceptance_that_nothing_answers_to_is_told() {
    let all = findings(&with("{ kept-too-long = { \"soft-loaf.custard\" = \"it is fine\" } }"));
    let told = of(&all, "accepts-nothing");
    assert_eq!((told.len(), &told[0]["level"]), (1, &Value::from("note")));
}

#[test]
fn a_person_s_allergen_cannot_be_accepted() {
    for code in [
        "avoided-is-in-it",
        "avoided-may-be-in-it",
        "avoided-is-unknown",
        "flour-in-the-room",
        "airborne-in-the-room",
        "whole-class-rule",
        "severe-in-the-kitchen",
        "claim-not-borne-out",
    ] {
        let all = findings(&with(&format!("{{ {code} = \"they said so\" }}")));
        assert_eq!(of(&all, "accepts-refused")[0]["level"], "error", "{code}");
    }
}

/// A roll that is longer than the room: told, nothing is printed, and everything else is told beside it, time and people too.
#[test]
fn places_that_are_short_hide_no_other_finding() {
    let sealed = Sealed::demo()
        .edit("course/kitchen.toml", "count = 6\nseats = 2", "count = 5\nseats = 2")
        .edit("course/roll.csv", "Dewi Prys,coming,,,,", "Dewi Prys,coming,,,milk (allergy),");
    let all = findings(&sealed);
    for code in ["places-short", "avoided-is-in-it", "dough-warm-for-long", "out-of-cold-unknown"] {
        assert!(!of(&all, code).is_empty(), "{code} in {all:?}");
    }
    let said = sealed.run(&["safety", "course", "--format", "json"]);
    assert_eq!(said.exit, Some(1), "{said}");
    assert!(!said.json()["exposures"].as_array().unwrap().is_empty());
    let said = sealed.run(&["prepare", "course", "--out", "printed"]);
    assert_eq!(said.exit, Some(1), "{said}");
    assert_eq!(sealed.files("printed"), Vec::<String>::new());
}
