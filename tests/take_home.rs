//! What goes home: the unbaked loaf's sheet with its label, the joining note's day, eggs that are counted.

use benchroll::pipeline::{Asked, Outcome, Reckoned, Unwatched, reckon};
use benchroll::read::{FileTree, folder};
use benchroll::reckon::plan::timetable::Plan;
use benchroll::typeset::PageLook;
use benchroll::typeset::sheets::{Figures, sheets};
use benchroll::typeset::views::desk::Desk;
use serde_json::{Value, json};
use std::path::Path;

/// The small course with texts replaced, reckoned.
pub fn reckoned(changes: &[(&str, &str, &str)]) -> Outcome {
    let mut files: FileTree =
        folder::load(&Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/courses/small")).unwrap();
    for (file, was, is) in changes {
        let text = String::from_utf8(files.bytes(file).unwrap().to_vec()).unwrap();
        assert!(text.contains(was), "{was} is not in {file}");
        files.add(*file, text.replacen(was, is, 1));
    }
    reckon(&files, Asked::default(), &Unwatched)
}

/// The data of its sheets by their names, with a plan that was changed.
pub fn sheets_with(outcome: &Outcome, change: impl Fn(&mut Plan)) -> Vec<(String, Value)> {
    let r: &Reckoned = outcome.reckoned.as_ref().unwrap_or_else(|| panic!("{:#?}", outcome.findings));
    let mut plan = r.planned.plan.clone().unwrap();
    change(&mut plan);
    let desk = Desk::new(&r.course, &r.class, &plan, &r.weighed);
    let figures = Figures { order: &r.order, equipment: &r.equipment, safety: &r.safety };
    let all = sheets(&desk, figures, &PageLook::default());
    all.into_iter().map(|s| (s.document.ident, s.document.data)).collect()
}

/// The same with its plan as it is.
pub fn sheets_of(changes: &[(&str, &str, &str)]) -> Vec<(String, Value)> {
    sheets_with(&reckoned(changes), |_| {})
}

pub fn named<'s>(sheets: &'s [(String, Value)], name: &str) -> &'s Value {
    let names: Vec<&str> = sheets.iter().map(|(n, _)| n.as_str()).collect();
    &sheets.iter().find(|(n, _)| n == name).unwrap_or_else(|| panic!("{name} is not in {names:?}")).1
}

pub const HOME: (&str, &str, &str) =
    ("lessons/soft-loaf.toml", "makes =", "bake-at-home = { up-to = \"shape\", keeps = \"20 h\" }\nmakes =");
pub const RULES: (&str, &str, &str) = (
    "course.toml",
    "allergen-list = \"eu14\"",
    "allergen-list = \"eu14\"\nrules = \"uk-england-2013\"\nout-of-cold = \"2 h\"",
);

#[test]
fn an_unbaked_loaf_goes_home_with_its_limit_and_label() {
    let all = sheets_of(&[HOME, RULES]);
    let sheet = named(&all, "bake-at-home-soft-loaf");
    // England: at or below 8 degC (SI 2013/2996, Schedule 4, para 2).
    assert_eq!(sheet["keep_at"], json!({ "value": "8", "unit": "\u{b0}C" }));
    assert_eq!(sheet["on_the_way"], 120);
    // Its proof at home is out of the cold too: the way itself has what that leaves. Where nothing is left, the teacher is told.
    let at_home = sheet["at_home"].as_i64().unwrap();
    assert!(0 < at_home && at_home < 120, "{at_home}");
    let short =
        (RULES.0, RULES.1, "allergen-list = \"eu14\"\nrules = \"uk-england-2013\"\nout-of-cold = \"20 min\"");
    let told = named(&sheets_of(&[HOME, short]), "bake-at-home-soft-loaf")["at_home"].as_i64().unwrap();
    assert!(told >= 20, "{told}");
    for (rules, told) in [(RULES, false), (short, true)] {
        let findings = reckoned(&[HOME, rules]).findings;
        assert_eq!(findings.iter().any(|f| f.code.0 == "unbaked-out-long"), told, "{findings:#?}");
    }
    let label = &sheet["label"];
    assert_eq!(label["unbaked"], true);
    // The caution names egg where there is some, or may be: here neither.
    assert_eq!(sheet["raw_egg"], false);
    let bottle = "contains = [\"milk\"], checked = \"2027-02-20, bottle\"";
    for read in [
        "contains = [\"milk\", \"egg\"], checked = \"2027-02-20, bottle\"",
        "contains = [\"milk\"], may-contain = [\"egg\"], checked = \"2027-02-20\"",
    ] {
        let with_egg = sheets_of(&[HOME, RULES, ("pantry.toml", bottle, read)]);
        assert_eq!(named(&with_egg, "bake-at-home-soft-loaf")["raw_egg"], true, "{read}");
    }
    assert_eq!(label["eat_by"], sheet["until"]["day"]);
    // It keeps for hours, and not to the end of that day.
    assert_eq!(label["bake_by"], sheet["until"]);
    assert!(label["contains"].as_array().is_some() && label["ingredients"].to_string().contains("flour"));
    // Without rules there is no figure, and none is made up.
    let all = sheets_of(&[HOME]);
    assert_eq!(named(&all, "bake-at-home-soft-loaf")["keep_at"], Value::Null);
}

#[test]
fn answers_are_wanted_before_the_first_order() {
    let all = sheets_of(&[]);
    let by = |all: &[(String, Value)]| {
        let day = &named(all, "joining-note")["answer_by"];
        (day["month"].as_i64().unwrap(), day["day"].as_i64().unwrap())
    };
    // The mill needs two days to Saturday, 6 March: ordered on the 4th at the latest.
    let mill = named(&all, "order-mill");
    let order_by = &mill["order_by"]["day"];
    assert_eq!(by(&all), (3, order_by["day"].as_i64().unwrap() - 1));
    let own = ("course.toml", "[plan]", "[joining]\nanswer-by = 2027-02-20\n\n[plan]");
    assert_eq!(by(&sheets_of(&[own])), (2, 20));
}

#[test]
fn an_oven_is_turned_on_so_that_it_is_hot_in_time() {
    let all = sheets_of(&[]);
    let sheet = named(&all, "oven-and-cold");
    let settings = sheet["settings"].as_array().unwrap();
    let first = &settings[0];
    let load = sheet["loads"].as_array().unwrap().iter().map(|l| l["from"].as_i64().unwrap()).min().unwrap();
    // From 21 to 165 degC (180 without a fan) at 9 K a minute: 16 min; on the grid of 5 that is 20 or less before.
    assert_eq!(first["reached"], load);
    let needs = load - first["at"].as_i64().unwrap();
    assert!((16..=20).contains(&needs), "{needs} min: {first}");
    // The last thing is that it goes off.
    assert_eq!(settings.last().unwrap()["heat"], Value::Null);
}

#[test]
fn what_was_baked_and_needs_the_cold_stands_in_the_cold_table() {
    let rows = |changes: &[(&str, &str, &str)]| -> Vec<Value> {
        let all = sheets_of(changes);
        let sheet = named(&all, "oven-and-cold").clone();
        sheet["places"].as_array().unwrap().iter().filter(|p| p["baked"] == true).cloned().collect()
    };
    assert!(rows(&[]).is_empty());
    let needs = ("formulas/soft-loaf.toml", "loses = \"2 %\"", "loses = \"2 %\"\nneeds-cold = true");
    let found = rows(&[needs]);
    assert!(!found.is_empty());
    let all = sheets_of(&[needs]);
    let sheet = named(&all, "oven-and-cold");
    let end = &sheet["sitting"]["to"];
    for row in &found {
        assert_eq!((&row["at"], &row["tone"], &row["ready"]), (&json!("cold"), &json!("cold"), &json!(true)));
        assert_eq!(row["lesson"], "Soft loaf");
        let (from, to) = (row["from"]["at"].as_i64().unwrap(), row["to"]["at"].as_i64().unwrap());
        let out = sheet["loads"].as_array().unwrap().iter().map(|l| l["to"].as_i64().unwrap()).min().unwrap();
        // It has cooled for the half hour that the lesson writes, and is there until all go home.
        assert!(from >= out + 30 && to >= from, "{row}");
        assert!(to == end.as_i64().unwrap() || to == from, "{row}");
    }
    let stations: Vec<&Value> =
        found.iter().flat_map(|r| r["for_whom"]["stations"].as_array().unwrap()).collect();
    assert!(!stations.is_empty());
}
