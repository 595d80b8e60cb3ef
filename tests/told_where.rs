//! What is told of food stands on the sheets of those who do it, and on no others.

use benchroll::pipeline::{Asked, Reckoned, Unwatched, reckon};
use benchroll::read::{FileTree, folder};
use benchroll::typeset::PageLook;
use benchroll::typeset::sheets::{Figures, sheets};
use benchroll::typeset::views::desk::Desk;
use serde_json::Value;
use std::path::Path;

/// The demo class with texts replaced.
fn demo(changes: &[(&str, &str, &str)]) -> Reckoned {
    let mut files: FileTree = folder::load(&Path::new(env!("CARGO_MANIFEST_DIR")).join("course")).unwrap();
    for (file, was, is) in changes {
        let text = String::from_utf8(files.bytes(file).unwrap().to_vec()).unwrap();
        assert!(text.contains(was), "{was} is not in {file}");
        files.add(*file, text.replacen(was, is, 1));
    }
    let outcome = reckon(&files, Asked::default(), &Unwatched);
    outcome.reckoned.unwrap_or_else(|| panic!("{:#?}", outcome.findings))
}

/// The data of all sheets by their names.
fn pages(r: &Reckoned) -> Vec<(String, Value)> {
    let mut desk = Desk::new(&r.course, &r.class, r.planned.plan.as_ref().unwrap(), &r.weighed);
    desk.accepted = r.accepted.iter().map(|a| (a.clone(), a.text(|_| None))).collect();
    let figures = Figures { order: &r.order, equipment: &r.equipment, safety: &r.safety };
    let all = sheets(&desk, figures, &PageLook::default());
    all.into_iter().map(|s| (s.document.ident, s.document.data)).collect()
}

fn page<'a>(pages: &'a [(String, Value)], name: &str) -> &'a Value {
    let names: Vec<&str> = pages.iter().map(|(n, _)| n.as_str()).collect();
    &pages.iter().find(|(n, _)| n == name).unwrap_or_else(|| panic!("{name} is not in {names:?}")).1
}

/// All objects in a page that have this key.
fn with<'a>(value: &'a Value, key: &str, found: &mut Vec<&'a Value>) {
    match value {
        Value::Object(fields) => {
            if fields.contains_key(key) {
                found.push(value);
            }
            fields.values().for_each(|v| with(v, key, found));
        }
        Value::Array(all) => all.iter().for_each(|v| with(v, key, found)),
        _ => {}
    }
}

const BUNS: &str = "lessons/custard-buns.toml";
const WELL: (&str, &str, &str) = (
    BUNS,
    "on = [\"dough\", \"custard\", \"wash\", \"sugar-rim\"]",
    "on = [\"dough\", \"wash\", \"sugar-rim\"]",
);
const COOL: &str =
    "at = \"rack\", hands = \"nobody\", stands = \"at least 20 min\", caution = [\"hot-filling\"] },";

/// Custard that is piped into the baked buns: who fills them reads that they go into the cold, and so do staff; what is not filled yet
/// is told nothing of it.
#[test]
fn what_is_filled_after_the_bake_is_sent_into_the_cold_by_those_who_fill_it() {
    let fill = format!(
        "{COOL}\n  {{ id = \"fill\", name = \"Fill the buns\", on = [\"piece\", \"custard\"], per = \"station\", hands = \"students\", takes = \"5 to 9 min, usually 6\" }},"
    );
    let r = demo(&[WELL, (BUNS, COOL, &fill)]);
    let pages = pages(&r);
    let (mut told, mut listed) = (0, 0);
    for (name, data) in &pages {
        let mut steps = Vec::new();
        with(data, "cautions", &mut steps);
        for step in steps.iter().filter(|s| s["name"] == "Fill the buns") {
            assert!(step["cautions"].to_string().contains("filled-then-cold"), "{name}: {step}");
            told += 1;
        }
        assert!(
            !steps
                .iter()
                .any(|s| s["name"] != "Fill the buns" && s["cautions"].to_string().contains("-then-cold\"")),
            "{name}"
        );
        let mut entries = Vec::new();
        if name.starts_with("run-sheet") {
            with(data, "then_cold", &mut entries);
        }
        for entry in entries {
            let fills = entry["name"] == "Fill the buns";
            assert_eq!(entry["then_cold"] == "filled-then-cold", fills, "{entry}");
            listed += usize::from(fills);
        }
    }
    assert!(told >= r.class.stations.len() && listed > 0, "{told} {listed}");
    // The oven's page: nothing of the cold before they are filled, and a row from then on.
    let (mut loads, mut rows) = (Vec::new(), Vec::new());
    for session in &r.course.sessions {
        let oven = page(&pages, &format!("oven-and-cold-{}", session.id.value));
        loads.extend(oven["loads"].as_array().unwrap());
        rows.extend(
            oven["places"]
                .as_array()
                .unwrap()
                .iter()
                .filter(|p| p["baked"] == true && p["to_be_safe"] == false),
        );
    }
    let buns = |v: &&&Value| v.to_string().contains("ustard");
    assert!(loads.iter().filter(buns).count() > 0 && loads.iter().filter(buns).all(|l| l["cold"] == false));
    assert!(!rows.is_empty() && rows.iter().all(|p| p["filled"] == true), "{rows:?}");
    // As it is baked in, it goes there when it has cooled, by all sheets.
    let pages = self::pages(&demo(&[]));
    let cautions: Vec<&str> = pages
        .iter()
        .filter(|(_, d)| d.to_string().contains("\"cool-then-cold\""))
        .map(|(n, _)| n.as_str())
        .collect();
    for kind in ["station-1", "run-sheet"] {
        assert!(cautions.iter().any(|n| n.starts_with(kind)), "{kind}: {cautions:?}");
    }
}

/// The crown's filling is cooked, and nobody has written whether it needs the cold. Who bakes on Saturday takes theirs home on Sunday:
/// every sheet sends it into the cold, to be safe, and both days' ovens' pages have it there until then.
#[test]
fn what_nobody_has_written_of_is_in_the_cold_until_it_goes_home() {
    let r = demo(&[]);
    let pages = pages(&r);
    let crowns = |day: &str| -> Vec<Value> {
        let sheet = page(&pages, &format!("oven-and-cold-{day}"));
        let rows = sheet["places"].as_array().unwrap().iter();
        rows.filter(|p| p["to_be_safe"] == true).cloned().collect()
    };
    let sunday = r.course.sessions[1].to.value.date().day();
    for (day, loads) in [("sat", 1), ("sun", 2)] {
        assert!(crowns(day).len() >= loads, "{day}: {:?}", crowns(day));
        for row in crowns(day) {
            assert_eq!(row["lesson"], "Walnut crown", "{row}");
            assert_eq!(row["to"]["day"]["day"].as_i64(), Some(i64::from(sunday)), "{row}");
        }
        let sheet = page(&pages, &format!("run-sheet-{day}"));
        let mut entries = Vec::new();
        with(sheet, "then_cold", &mut entries);
        assert!(entries.iter().any(|e| e["then_cold"] == "cool-then-cold-safe"), "{day}");
        let outs = sheet["outs"].as_array().unwrap();
        let crown = |o: &&Value| o["lesson"] == "Walnut crown";
        assert!(outs.iter().filter(crown).all(|o| o["cold_unsaid"] == true && o["cold"] == false), "{day}");
    }
}

/// Two loads of crowns come out in one minute: two probes are taken out where there are two, and one serves both where there is one.
#[test]
fn two_loads_that_are_read_at_once_have_a_probe_each() {
    const THREE: &str = "name = \"Probe thermometer\"\ncount = 3";
    for (count, taken) in [(2, 2), (1, 1)] {
        let r = demo(&[("kitchen.toml", THREE, &THREE.replace('3', &count.to_string()))]);
        let probe = r.equipment.needs.iter().find(|n| n.item.as_str() == "probe").unwrap();
        assert_eq!((probe.needed_with_plan, probe.short), (Some(taken), 0), "{count}");
    }
}

/// An error about custard that was accepted stands on the sheets of who makes it, in words, and on none that goes out.
#[test]
fn what_was_accepted_is_printed_where_it_concerns_someone() {
    let set = "on = \"custard\", per = \"class\", at = \"cold\", hands = \"nobody\", stands = \"2 to 24 h\"";
    let warm = set.replace("cold", "room").replace("2 to 24 h", "5 to 24 h");
    let accepts = "format = 1\naccepts = { out-of-cold-too-long = { \"custard-buns.custard.cooked\" = \"thrown away after the lesson\" } }";
    let r = demo(&[(BUNS, set, &warm), ("course.toml", "format = 1", accepts)]);
    assert_eq!(r.accepted.len(), 1, "{:?}", r.accepted);
    let accepted = |data: &Value| data["about"]["accepted"].as_array().is_some_and(|a| !a.is_empty());
    let pages = pages(&r);
    for (name, data) in &pages {
        assert!(!data["about"]["accepted"].to_string().contains("custard-buns"), "{name}: an id is printed");
        let of_it =
            ["station-", "run-sheet", "prep-", "oven-and-cold", "temperature-log", "home-custard-buns"];
        assert!(!accepted(data) || of_it.iter().any(|kind| name.starts_with(kind)), "{name} tells of it");
    }
    for kind in ["run-sheet", "oven-and-cold", "temperature-log", "home-custard-buns"] {
        let told = pages.iter().filter(|(n, d)| n.starts_with(kind) && accepted(d));
        assert!(told.count() > 0, "{kind} tells nothing of it");
    }
}

/// A home recipe says of what stands in the fridge that it does.
#[test]
fn a_home_step_says_where_it_stands() {
    let r = demo(&[]);
    let pages = pages(&r);
    let lesson = &r.course.lessons[0];
    let home = page(&pages, &format!("home-{}", lesson.formula.value));
    let steps = home["steps"].as_array().unwrap();
    let places: Vec<&str> =
        steps.iter().filter_map(|s| s["place"].as_str()).filter(|p| !p.is_empty()).collect();
    let cold =
        lesson.steps.iter().filter(|s| !s.demo && s.place.value == benchroll::course::Where::Cold).count();
    assert!(cold > 0);
    assert_eq!(places.iter().filter(|p| **p == "cold").count(), cold, "{steps:?}");
    // The proof in the warm is reckoned for a home's room.
    assert!(!places.contains(&"warm"), "{places:?}");
}

/// On the allergen sheet a kind stands for itself only where its category does not, and of two turns the one that brings it says so.
#[test]
fn the_allergen_sheet_says_one_thing_once() {
    let r = demo(&[]);
    let pages = pages(&r);
    let sheet = page(&pages, "allergen-sheet");
    let category = "Nuts";
    let mut lists = Vec::new();
    for key in ["free_from", "avoids"] {
        with(sheet, key, &mut lists);
    }
    assert!(!lists.is_empty());
    for turn in sheet["order"].as_array().unwrap() {
        let all = turn["free_from"].as_array().unwrap();
        let twice = all.iter().any(|w| w == category)
            && all.iter().any(|w| w != category && w.as_str().unwrap().starts_with(category));
        assert!(!twice, "{turn}");
    }
    for person in sheet["people"].as_array().unwrap() {
        for verdict in person["verdicts"].as_array().unwrap() {
            let said = |v: &Value| v.to_string().matches("Nuts (walnut)").count();
            assert_eq!(said(&verdict["what"]) + said(&verdict["know"]), 0, "{verdict}");
        }
    }
    // Its own avoidance is severe, and the kitchen holds it.
    let found = benchroll::reckon::severe::severe_in_the_kitchen(
        &r.course,
        &r.class,
        &benchroll::reckon::recipes::Recipes::of(&r.course).0,
        r.planned.plan.as_ref(),
    );
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(found[0].message.contains("shared one after the other: `"), "{found:?}");
}

/// What stands since before a sitting begins is on the sheet, as it is what the sitting's first steps take up; it takes no number.
#[test]
fn what_stands_when_a_sitting_begins_is_on_the_sheet() {
    let r = demo(&[]);
    let desk = Desk::new(&r.course, &r.class, r.planned.plan.as_ref().unwrap(), &r.weighed);
    let mut proofs = 0;
    for (no, session, sheet) in benchroll::typeset::views::station_sheet::all(&desk) {
        let begins = sheet.sitting.from;
        assert!(sheet.rail.iter().chain(&sheet.meanwhile).all(|b| b.from >= begins), "{no} {session}");
        let numbers: Vec<u32> = sheet.steps.iter().filter_map(|s| s.number).collect();
        assert!(numbers.iter().zip(1..).all(|(n, i)| *n == i), "{numbers:?}");
        for step in sheet.steps.iter().filter(|s| s.from < begins) {
            assert!(step.number.is_none() && step.to > begins, "{no} {session}: {step:?}");
            assert_eq!(step.since.is_some(), step.from < 0, "{step:?}");
        }
        let proof = sheet.steps.iter().position(|s| s.name == "Proof" && s.from < begins && s.at == "warm");
        let Some(proof) = proof else { continue };
        // Who brushes it finds it before that.
        let end = sheet.steps[proof].to;
        let brush = sheet.steps.iter().position(|s| s.name == "Brush" && s.from >= end);
        assert!(brush.is_some_and(|b| b > proof), "{no} {session}");
        proofs += 1;
    }
    assert!(proofs > 0, "the demo has no crown that staff put into the warm before the class");
}

/// The head of a prep sheet reaches to the last thing that somebody has to do, be it to carry a tub into the cold.
#[test]
fn the_head_of_a_prep_sheet_reaches_to_its_last_row() {
    let r = demo(&[]);
    let desk = Desk::new(&r.course, &r.class, r.planned.plan.as_ref().unwrap(), &r.weighed);
    let mut carried_last = 0;
    for (day, sheet) in benchroll::typeset::views::prep_sheet::PrepSheet::all(&desk) {
        let by_hand =
            sheet.tasks.iter().filter(|t| t.step.number.is_some()).map(|t| t.step.to).max().unwrap();
        let last = sheet.tasks.iter().map(|t| t.step.from).max().unwrap();
        assert_eq!((sheet.begins, sheet.ends), (sheet.tasks[0].step.from, by_hand.max(last)), "{day}");
        assert!(sheet.from <= sheet.begins && sheet.ends <= sheet.to, "{day}");
        carried_last += usize::from(last > by_hand);
    }
    assert!(carried_last > 0);
}
