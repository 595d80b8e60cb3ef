//! What goes home, said where it is needed: hours and not days, cold until then, how much of what, and no recipe twice.

use crate::documents::{look_of, press, spec};
use crate::support::{Sealed, tool};
use crate::take_home::{HOME, RULES, named, reckoned, sheets_of, sheets_with};
use benchroll::course::StationNo;
use benchroll::pipeline::Outcome;
use benchroll::reckon::plan::timetable::Plan;
use benchroll::reckon::safety::judge::Phase;
use benchroll::reckon::work::Whom;
use serde_json::{Value, json};

type Change = (&'static str, &'static str, &'static str);
const FORMULA: &str = "formulas/soft-loaf.toml";
const LESSON: &str = "lessons/soft-loaf.toml";

/// Butter is brushed on before the bake, after the loaf could go home.
const BUTTER: [Change; 3] = [
    (FORMULA, "dough = \"700 g\"", "dough = \"700 g\"\nbutter-brush = \"8 g\""),
    (
        FORMULA,
        "[parts.dough]",
        "[parts.butter-brush]\nname = \"Butter to brush\"\nbasis = \"whole\"\nof = { butter = \"100 %\" }\n\n[parts.dough]",
    ),
    (
        LESSON,
        "  { id = \"bake\"",
        "  { id = \"brush\", on = [\"piece\", \"butter-brush\"], per = \"station\", hands = \"one student\", takes = \"2 to 4 min, usually 3\" },\n  { id = \"bake\"",
    ),
];

/// In place of the bake it is fried, in a pot of oil that is made at its least.
const FRIED: [Change; 6] = [
    ("kitchen.toml", "[[racks]]", "[[hobs]]\nid = \"hob\"\nburners = 4\n\n[[racks]]"),
    (FORMULA, "dough = \"700 g\"\ntin = \"loaf-tin\"", "dough = \"700 g\"\noil = \"50 g\""),
    (
        FORMULA,
        "[parts.dough]",
        "[parts.oil]\nname = \"Frying oil\"\nbasis = \"whole\"\nof = { sugar = \"100 %\" }\nleast = \"3 kg\"\n\n[parts.dough]",
    ),
    (LESSON, ", uses = [\"tin until turn-out\"]", ""),
    (
        LESSON,
        "  { id = \"bake\", on = \"piece\", per = \"load\", at = \"oven\", heat = \"180 C\", hands = \"nobody\", ends = \"staff, 5 min\", takes = \"30 to 38 min, usually 35\" },\n",
        "  { id = \"fry\", on = [\"piece\", \"oil\"], per = \"station\", at = \"hob\", hands = \"students\", takes = \"16 to 24 min, usually 20\", core = \"at least 90 C\" },\n",
    ),
    (
        LESSON,
        "  { id = \"turn-out\", on = \"piece\", per = \"load\", hands = \"staff\", takes = \"4 to 6 min, usually 5\", carry = \"5 to 15 min\" },\n",
        "",
    ),
];

const KEEPS: Change = (FORMULA, "name = \"Soft loaf\"", "name = \"Soft loaf\"\nkeeps = \"1 day\"");

fn labels(all: &[(String, Value)]) -> Vec<Value> {
    named(all, "labels")["labels"].as_array().unwrap().clone()
}

fn step<'v>(sheet: &'v Value, name: &str) -> &'v Value {
    let steps = sheet["steps"].as_array().unwrap();
    steps.iter().find(|s| s["name"] == name).unwrap_or_else(|| panic!("{name}: {sheet}"))
}

/// The shaping of station 2 ends an hour later than the plan says.
fn second_station_later(plan: &mut Plan) {
    for task in &mut plan.tasks {
        if task.step.as_str() == "shape"
            && task.members.iter().any(|(w, _)| *w == Whom::Station(StationNo(2)))
        {
            task.end = task.end.checked_add(jiff::SignedDuration::from_mins(60)).unwrap();
        }
    }
}

/// When the shaping of a station ends, in minutes of Saturday, 6 March.
fn shaped(outcome: &Outcome, no: u32) -> i64 {
    let plan = outcome.reckoned.as_ref().unwrap().planned.plan.as_ref().unwrap();
    let own = plan.tasks.iter().filter(|t| {
        t.step.as_str() == "shape" && t.members.iter().any(|(w, _)| *w == Whom::Station(StationNo(no)))
    });
    own.map(|t| i64::from(t.end.hour()) * 60 + i64::from(t.end.minute())).min().unwrap()
}

/// Kept for 20 hours: 1200 minutes after it is shaped, which is on Sunday.
fn until(sheet: &Value) -> i64 {
    assert_eq!((&sheet["until"]["day"]["day"], &sheet["until"]["day"]["month"]), (&json!(7), &json!(3)));
    sheet["until"]["at"].as_i64().unwrap() + 24 * 60 - 1200
}

#[test]
fn each_sheet_says_the_earliest_hour_of_its_own_stations() {
    // One sheet for both: the later station's loaf says nothing of the earlier one's.
    let outcome = reckoned(&[HOME]);
    let all = sheets_with(&outcome, second_station_later);
    let sheet = named(&all, "bake-at-home-soft-loaf");
    assert_eq!(until(sheet), shaped(&outcome, 1).min(shaped(&outcome, 2) + 60));
    // Each label is of its own station.
    let later: Vec<i64> = labels(&all)
        .iter()
        .filter(|l| l["unbaked"] == true)
        .map(|l| l["bake_by"]["at"].as_i64().unwrap() + 24 * 60 - 1200)
        .collect();
    assert_eq!(later, [shaped(&outcome, 1), shaped(&outcome, 2) + 60]);
    // With a variant of its own, it has its own sheet and hour.
    let variant = (
        FORMULA,
        "[parts.dough]",
        "[variants.milk-free]\nfree-from = [\"milk\"]\ndough = { milk = \"0 %\", butter = \"0 %\", sugar = \"10 %\" }\n\n[parts.dough]",
    );
    let avoids = ("roll.csv", "Ida Crane,coming,Per Dahl,,,", "Ida Crane,coming,Per Dahl,,milk (allergy),");
    let outcome = reckoned(&[HOME, variant, avoids]);
    let all = sheets_with(&outcome, second_station_later);
    assert_eq!(until(named(&all, "bake-at-home-soft-loaf")), shaped(&outcome, 1));
    let own = named(&all, "bake-at-home-soft-loaf-milk-free");
    assert_eq!(until(own), shaped(&outcome, 2) + 60);
    assert_eq!(own["label"]["bake_by"], own["until"]);
}

#[test]
fn what_goes_home_unbaked_is_sent_into_the_cold_where_it_is_made() {
    let key = "unbaked-then-cold";
    let told = |sheet: &Value| -> Vec<String> {
        let steps = sheet["steps"].as_array().unwrap().iter();
        steps
            .filter(|s| s["cautions"].as_array().unwrap().contains(&json!(key)))
            .map(|s| s["name"].as_str().unwrap().to_owned())
            .collect()
    };
    let all = sheets_of(&[HOME, RULES]);
    assert_eq!(told(named(&all, "station-1")), ["Shape"]);
    let run = named(&all, "run-sheet").to_string();
    assert!(run.contains(key), "{run}");
    // Neither the sheet that goes home with it nor the recipe sends it there again.
    for sheet in ["bake-at-home-soft-loaf", "home-soft-loaf"] {
        assert_eq!(told(named(&all, sheet)), Vec::<String>::new());
    }
    let rows = |all: &[(String, Value)]| -> Vec<Value> {
        let places = named(all, "oven-and-cold")["places"].as_array().unwrap().clone();
        places.into_iter().filter(|p| p["unbaked"] == true).collect()
    };
    let outcome = reckoned(&[HOME, RULES]);
    let found = rows(&all);
    let at: Vec<i64> = found.iter().map(|r| r["from"]["at"].as_i64().unwrap()).collect();
    let mut shaped_at = vec![shaped(&outcome, 1), shaped(&outcome, 2)];
    shaped_at.sort_unstable();
    shaped_at.dedup();
    assert_eq!(at, shaped_at);
    for row in &found {
        assert_eq!(
            (&row["at"], &row["tone"], &row["ready"]),
            (&json!("cold"), &json!("cold"), &json!(false))
        );
        assert_eq!(row["to"]["at"], named(&all, "oven-and-cold")["sitting"]["to"]);
    }
    // Where nothing goes home unbaked nothing is said, nor where it stands in the cold there anyway.
    let none = sheets_of(&[RULES]);
    assert!(told(named(&none, "station-1")).is_empty() && rows(&none).is_empty());
    let fridge = (
        "kitchen.toml",
        "[[racks]]",
        "[[cold]]\nid = \"fridge\"\nat = \"4 C\"\nshelves = 4\nshelf = \"60 x 40 cm\"\nclear = \"15 cm\"\n\n[[racks]]",
    );
    let chilled = (
        LESSON,
        "  { id = \"proof\"",
        "  { id = \"keep\", on = \"piece\", per = \"station\", at = \"cold\", hands = \"nobody\", stands = \"20 to 60 min\" },\n  { id = \"proof\"",
    );
    let later = (LESSON, "up-to = \"shape\"", "up-to = \"keep\"");
    let all = sheets_of(&[HOME, RULES, fridge, chilled, later]);
    assert!(told(named(&all, "station-1")).is_empty() && rows(&all).is_empty());
}

/// 700 g of dough and 8 g of butter that is not yet on it.
#[test]
fn what_is_brushed_on_at_home_is_named_there_and_not_weighed_before() {
    let mut changes = BUTTER.to_vec();
    changes.push(HOME);
    let all = sheets_of(&changes);
    let gets = json!([{ "part": "Butter to brush", "amount": { "value": "8.0", "unit": "g" }, "each": null, "count": 1 }]);
    for sheet in ["station-1", "home-soft-loaf", "bake-at-home-soft-loaf"] {
        assert_eq!(step(named(&all, sheet), "Brush")["gets"], gets, "{sheet}");
    }
    let label = &named(&all, "bake-at-home-soft-loaf")["label"];
    assert_eq!(label["net"]["value"], "700");
    // It is among the ingredients all the same: nobody is to overlook its milk.
    assert!(label["ingredients"].to_string().contains("Butter"), "{label}");
    // Where it is on before it goes home, it is weighed with it.
    changes[2].1 = "  { id = \"shape\"";
    changes[2].2 = "  { id = \"brush\", on = [\"dough\", \"butter-brush\"], per = \"station\", hands = \"one student\", takes = \"2 to 4 min, usually 3\" },\n  { id = \"shape\"";
    let all = sheets_of(&changes);
    assert_eq!(named(&all, "bake-at-home-soft-loaf")["label"]["net"]["value"], "708");
}

#[test]
fn a_pot_of_oil_is_named_by_its_least_and_not_by_the_piece() {
    let all = sheets_of(&FRIED);
    let recipe = named(&all, "home-soft-loaf");
    let part = |name: &str| recipe["parts"].as_array().unwrap().iter().find(|p| p["name"] == name).unwrap();
    assert_eq!(part("Frying oil")["least"], json!({ "value": "3000", "unit": "g" }));
    assert_eq!(part("Dough")["least"], Value::Null);
    for sheet in ["station-1", "home-soft-loaf"] {
        assert_eq!(step(named(&all, sheet), "Fry")["gets"], json!([]), "{sheet}");
    }
    // Of a part whose least is below what the pieces take, each piece's share is said.
    let mut little = FRIED.to_vec();
    little.push((FORMULA, "least = \"3 kg\"", "least = \"30 g\""));
    let all = sheets_of(&little);
    assert_eq!(step(named(&all, "station-1"), "Fry")["gets"][0]["amount"]["value"], "50");
    assert_eq!(named(&all, "home-soft-loaf")["parts"].to_string().matches("\"least\":null").count(), 2);
}

#[test]
fn what_is_fried_is_dated_by_its_frying() {
    let mut changes = FRIED.to_vec();
    changes.push(KEEPS);
    let all = sheets_of(&changes);
    for label in labels(&all) {
        assert_eq!((&label["made"]["day"], &label["eat_by"]["day"]), (&json!(6), &json!(7)), "{label}");
        assert_eq!(label["bake_by"], Value::Null);
    }
    assert!(!labels(&all).is_empty());
}

/// Dough with milk, fried: as raw dough it runs on the benchmark, and as bread on nothing, as if an oven had baked it.
#[test]
fn a_fried_dough_is_counted_as_a_baked_one() {
    let phases = |changes: &[Change]| {
        let outcome = reckoned(changes);
        let stops: Vec<String> = outcome
            .findings
            .iter()
            .filter(|f| ["out-of-cold-too-long", "cooled-too-slowly"].contains(&f.code.0))
            .map(|f| f.message.clone())
            .collect();
        let r = outcome.reckoned.unwrap();
        let dough = r.safety.exposures.iter().filter(|e| e.part.as_str() == "dough");
        (dough.map(|e| (e.phase, e.set, e.heated)).collect::<Vec<_>>(), r.safety.coolings.len(), stops)
    };
    let us = (RULES.0, RULES.1, "allergen-list = \"eu14\"\nrules = \"us-foodcode-2022\"");
    let bread = (vec![(Phase::Raw, "dough-benchmark", true)], 0, Vec::new());
    assert_eq!(phases(&[us]), bread);
    let mut fried = FRIED.to_vec();
    fried.push(us);
    assert_eq!(phases(&fried), bread);
    // What the teacher says needs the cold is counted after the fire as before, by the figure of the place: here 20 minutes.
    let europe =
        (RULES.0, RULES.1, "allergen-list = \"eu14\"\nrules = \"eu-852-2004\"\nout-of-cold = \"20 min\"");
    let mut own = FRIED.to_vec();
    own.push(europe);
    assert_eq!(phases(&own), bread);
    own.push((FORMULA, "loses = \"2 %\"", "loses = \"2 %\"\nneeds-cold = true"));
    let (found, _, stops) = phases(&own);
    assert!(found.contains(&(Phase::Cooked, "eu-852-2004", false)), "{found:?}");
    assert!(stops.iter().any(|s| s.contains("(cooked)")), "{stops:?}");
}

/// A sponge with milk is raw dough until its dough takes it up, and is baked with it; one that goes into what nothing heats is not.
#[test]
fn a_sponge_is_counted_as_the_dough_that_takes_it_up() {
    let sponge: [Change; 3] = [
        (
            FORMULA,
            "[parts.dough]",
            "[parts.sponge]\nname = \"Sponge\"\nbasis = \"flour\"\nof = { flour = \"100 %\", milk = \"65 %\", yeast = \"2 %\" }\n\n[parts.dough]",
        ),
        (
            FORMULA,
            "of = { flour = \"100 %\", milk = \"60 %\"",
            "of = { sponge = { flour = \"25 %\" }, flour = \"75 %\", milk = \"44 %\"",
        ),
        (
            LESSON,
            "  { id = \"mix\", on = \"dough\"",
            "  { id = \"sponge\", on = \"sponge\", per = \"class\", hands = \"staff\", takes = \"5 min\" },\n  { id = \"ripen\", on = \"sponge\", per = \"class\", at = \"room\", hands = \"nobody\", stands = \"30 to 90 min\" },\n  { id = \"mix\", on = [\"dough\", \"sponge\"]",
        ),
    ];
    let rules =
        (RULES.0, RULES.1, "allergen-list = \"eu14\"\nrules = \"eu-852-2004\"\nout-of-cold = \"20 min\"");
    let of = |more: &[Change]| {
        let outcome = reckoned(&[&sponge[..], &[rules], more].concat());
        let told = outcome.findings.iter().find(|f| f.code.0 == "out-of-cold-too-long");
        let way_out = told.and_then(|f| f.way_out.clone());
        let r = outcome.reckoned.as_ref().unwrap();
        let sponge = r.safety.exposures.iter().find(|e| e.part.as_str() == "sponge").unwrap();
        (sponge.set, sponge.heated, way_out)
    };
    assert_eq!(of(&[]), ("dough-benchmark", true, None));
    // The same dough of which nothing is heated: it stops, and the finding names the key that nobody wrote.
    let nothing = (LESSON, "at = \"oven\", heat = \"180 C\", ", "");
    let load =
        (LESSON, "\"bake\", on = \"piece\", per = \"load\"", "\"bake\", on = \"piece\", per = \"station\"");
    let ends = (LESSON, "hands = \"nobody\", ends = \"staff, 5 min\", takes", "hands = \"students\", takes");
    let turn = (
        LESSON,
        "\"turn-out\", on = \"piece\", per = \"load\"",
        "\"turn-out\", on = \"piece\", per = \"station\"",
    );
    let (set, heated, way_out) = of(&[nothing, load, ends, turn]);
    assert_eq!((set, heated), ("eu-852-2004", false));
    let way_out = way_out.unwrap();
    assert!(way_out.contains("nobody wrote `needs-cold` in `[parts.sponge]`"), "{way_out}");
}

#[test]
fn a_recipe_without_a_lesson_has_no_times_and_one_that_is_taught_no_double() {
    let names = |changes: &[Change]| -> Vec<String> {
        let all = sheets_of(changes);
        all.into_iter().map(|(name, _)| name).filter(|n| n.starts_with("home-")).collect()
    };
    let also = (
        "course.toml",
        "lessons = [\"soft-loaf\"]",
        "lessons = [\"soft-loaf\"]\nalso-home = [\"soft-loaf\"]",
    );
    assert_eq!(names(&[also]), ["home-soft-loaf"]);
    // On paper: neither hours of nought nor a heading over nothing.
    let all = sheets_of(&[]);
    let with = named(&all, "home-soft-loaf").clone();
    let mut without = with.clone();
    without["steps"] = json!([]);
    without["hands_on"] = json!(0);
    without["in_all"] = json!(0);
    let (Some(with), Some(without)) = (text_of(&with), text_of(&without)) else { return };
    for word in ["Work", "In all", "Steps, counted from the start"] {
        assert!(with.contains(word) && !without.contains(word), "{word}: {without}");
    }
    assert!(without.contains("Soft loaf") && without.contains("Strong flour"));
}

/// The words of a sheet on paper; nothing where no reader is at hand.
fn text_of(data: &Value) -> Option<String> {
    let made = press().typeset(&spec("sheet", data, &look_of("en"))).unwrap();
    let sealed = Sealed::new();
    let path = sealed.path("sheet.pdf");
    std::fs::write(&path, made.pdf).unwrap();
    let text = tool("pdftotext", &["-raw", path.to_str().unwrap(), "-"])?;
    Some(text.split_whitespace().collect::<Vec<_>>().join(" "))
}

#[test]
fn kinds_of_one_category_stand_together_and_none_is_lost() {
    let mut label = labels(&sheets_of(&[]))[0].clone();
    label["contains"] = json!([
        "Cereals containing gluten (oats)",
        "Milk",
        "Cereals containing gluten (wheat)",
        "Nuts",
        "Nuts (almond)"
    ]);
    label["may_contain"] = json!(["Nuts (hazelnut, walnut)", "Nuts (walnut)", "Nuts (almond)"]);
    let mut sheet = named(&sheets_of(&[]), "labels").clone();
    sheet["labels"] = json!([label]);
    let Some(text) = text_of(&sheet) else { return };
    assert!(text.contains("Cereals containing gluten (oats, wheat), Milk, Nuts, Nuts (almond)"), "{text}");
    assert!(text.contains("Nuts (hazelnut, walnut, almond)"), "{text}");
}

/// Hours on paper: on the label, and the least of a part beside it.
#[test]
fn the_hour_and_the_least_are_printed() {
    let all = sheets_of(&[HOME]);
    let sheet = named(&all, "bake-at-home-soft-loaf");
    let Some(text) = text_of(sheet) else { return };
    let at = sheet["until"]["at"].as_i64().unwrap();
    let hour = format!("Sun 7 Mar {:02}:{:02}", at / 60, at % 60);
    // In its box, and on its label.
    assert_eq!(text.matches(&hour).count(), 2, "{hour}: {text}");
    let oil = text_of(named(&sheets_of(&FRIED), "home-soft-loaf")).unwrap();
    // A reader of pages may leave out the narrow space between a figure and its unit.
    assert!(oil.contains("at least 3000") && oil.contains("g of it were made at once"), "{oil}");
}
