//! The demo class, read, reckoned and planned once; its pages are made from the real numbers.

use benchroll::course::Course;
use benchroll::pipeline::{Asked, Reckoned, Unwatched, reckon};
use benchroll::read::folder;
use benchroll::typeset::PageLook;
use benchroll::typeset::sheets::{Figures, sheets};
use benchroll::typeset::views::desk::Desk;
use benchroll::units::Grams;
use serde_json::Value;
use std::sync::OnceLock;

pub fn reckoned() -> &'static Reckoned {
    static DEMO: OnceLock<Reckoned> = OnceLock::new();
    DEMO.get_or_init(|| {
        let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("course");
        let outcome = reckon(&folder::load(&root).unwrap(), Asked::default(), &Unwatched);
        outcome.reckoned.expect("the demo course is sound")
    })
}

pub fn course() -> &'static Course {
    &reckoned().course
}

pub fn desk() -> Desk<'static> {
    let r = reckoned();
    Desk::new(&r.course, &r.class, r.planned.plan.as_ref().expect("and has a plan"), &r.weighed)
}

/// Every document of the demo class by its file name.
pub fn all() -> Vec<(String, Value)> {
    let r = reckoned();
    let figures = Figures { order: &r.order, equipment: &r.equipment, safety: &r.safety };
    let sheets = sheets(&desk(), figures, &PageLook::default());
    sheets.into_iter().map(|s| (format!("demo-{}", s.document.ident), s.document.data)).collect()
}

fn of_kind(kind: &str) -> Vec<Value> {
    all().into_iter().map(|(_, data)| data).filter(|data| data["kind"] == kind).collect()
}

/// Grams of a figure as it is printed, in tenths: what a fine scale shows.
fn tenths(figure: &str) -> i64 {
    if figure.is_empty() {
        return 0;
    }
    let (whole, part) = figure.split_once('.').unwrap_or((figure, "0"));
    whole.parse::<i64>().unwrap() * 10 + part.parse::<i64>().unwrap()
}

/// Two stations brush their crowns on Sunday: their beaten egg has a table of its own, and does not stand overnight.
#[test]
fn what_is_wanted_on_another_day_is_weighed_apart() {
    let rounds: Vec<Value> =
        of_kind("weigh-out").iter().flat_map(|w| w["rounds"].as_array().unwrap().clone()).collect();
    let washes: Vec<&Value> =
        rounds.iter().filter(|r| r["lesson"] == "Walnut crown" && r["part"] == "Wash").collect();
    let of = |round: &Value| -> Vec<String> {
        let columns = round["columns"].as_array().unwrap();
        columns.iter().map(|c| c["label"].as_str().unwrap().to_owned()).collect()
    };
    assert_eq!(washes.len(), 2, "{washes:?}");
    assert_ne!(washes[0]["ready"]["day"], washes[1]["ready"]["day"]);
    assert_eq!((of(washes[0]).len(), of(washes[1])), (4, vec!["3".to_owned(), "4".to_owned()]));
}

/// Rows and columns of the weigh-out add up to the same, and to what is weighed in all.
#[test]
fn the_weigh_out_adds_up() {
    let mut all = 0;
    for round in of_kind("weigh-out").iter().flat_map(|w| w["rounds"].as_array().unwrap().clone()) {
        let text = |v: &Value| v.as_str().unwrap().to_owned();
        let rows = round["rows"].as_array().unwrap();
        let mut columns = vec![0; round["columns"].as_array().unwrap().len()];
        for row in rows {
            let cells: Vec<i64> = row["cells"].as_array().unwrap().iter().map(|c| tenths(&text(c))).collect();
            assert_eq!(cells.iter().sum::<i64>(), tenths(&text(&row["sum"])), "{row}");
            for (sum, cell) in columns.iter_mut().zip(cells) {
                *sum += cell;
            }
        }
        let sums: Vec<i64> = round["sums"].as_array().unwrap().iter().map(|s| tenths(&text(s))).collect();
        assert_eq!(sums, columns);
        let total = tenths(&text(&round["total"]["value"]));
        assert_eq!(total, columns.iter().sum::<i64>());
        // What was made before was weighed in a round of its own.
        let fetched = rows.iter().filter(|r| r["fetched"] == true).map(|r| tenths(&text(&r["sum"])));
        all += total - fetched.sum::<i64>();
    }
    let weighed: Grams = reckoned().weighed.totals.iter().map(|t| t.grams).sum();
    assert_eq!(all * 100, weighed.mg());
}

/// What the stations weigh and fetch on their sheets is what the weigh-out gives them, each list once.
#[test]
fn every_list_of_a_station_is_on_one_of_its_sheets() {
    for group in &reckoned().weighed.stations {
        let benchroll::reckon::weigh::Who::Station(no, _) = &group.who else { continue };
        let sheets: Vec<Value> =
            of_kind("station-sheet").into_iter().filter(|s| s["station"] == no.to_string()).collect();
        let printed: Vec<Value> =
            sheets.iter().flat_map(|s| s["weigh"].as_array().unwrap().clone()).collect();
        for list in &group.lists {
            for weight in &list.ingredients {
                let name = &course().pantry.item(&weight.item).unwrap().name.value;
                let grams = weight.grams.mg() / 100;
                let found = printed.iter().filter(|l| l["how"] == "weigh").any(|l| {
                    l["lines"].as_array().unwrap().iter().any(|line| {
                        line["name"] == *name && tenths(line["amount"]["value"].as_str().unwrap()) == grams
                    })
                });
                assert!(found, "station {no}: {name} {grams} is on no sheet");
            }
        }
    }
}

fn steps_of(sheet: &Value) -> Vec<Value> {
    sheet["steps"].as_array().unwrap().iter().filter(|s| !s["number"].is_null()).cloned().collect()
}

/// What was kneaded on Saturday for Sunday is fetched on Sunday: nothing stands on a sheet whose steps don't take it up.
#[test]
fn a_dough_is_fetched_on_the_day_on_which_it_is_shaped() {
    let mut fetched = 0;
    for sheet in of_kind("station-sheet") {
        let shapes = |lesson: &Value| {
            steps_of(&sheet)
                .iter()
                .any(|s| s["lesson"] == *lesson && s["at"] != "mixer" && s["name"] != "Mix")
        };
        for list in sheet["weigh"].as_array().unwrap().iter().filter(|l| l["how"] == "fetch") {
            assert!(shapes(&list["lesson"]), "{}: {list}", sheet["station"]);
            fetched += 1;
        }
    }
    // Each station shapes three lessons of dough, each once.
    assert!(fetched >= 3 * reckoned().class.stations.len(), "{fetched}");
}

/// Of two steps that one student each does at once, each names the other.
#[test]
fn two_steps_at_once_name_each_other() {
    let mut pairs = 0;
    for sheet in of_kind("station-sheet") {
        let steps = steps_of(&sheet);
        for a in &steps {
            let at_once = steps.iter().filter(|b| {
                a["number"] != b["number"]
                    && b["from"].as_i64() < a["to"].as_i64()
                    && b["to"].as_i64() > a["from"].as_i64()
            });
            let numbers: Vec<Value> = at_once.map(|b| b["number"].clone()).collect();
            assert_eq!(a["beside"], Value::Array(numbers.clone()), "station {}: {a}", sheet["station"]);
            pairs += numbers.len();
        }
    }
    assert!(pairs > 0, "the demo class has such steps");
}

/// Who works without egg is told nothing of raw egg; who works with it is.
#[test]
fn cautions_are_those_of_the_station_s_own_variant() {
    let (mut with, mut without) = (0, 0);
    for (name, sheet) in
        all().iter().filter(|(_, s)| s["kind"] == "station-sheet" || s["kind"] == "home-recipe")
    {
        let egg_free = sheet["variant"] == "egg-free" || sheet["keep_away"].to_string().contains("egg");
        let told = sheet.to_string().contains("\"raw-egg\"");
        assert!(!(egg_free && told), "{name}");
        (with, without) = (with + usize::from(told), without + usize::from(egg_free));
    }
    assert!(with > 0 && without > 0, "{with}, {without}");
}

/// A station sheet says what stays away, and nothing of anyone's health.
#[test]
fn station_sheets_hold_no_health_data() {
    for sheet in of_kind("station-sheet") {
        let text = sheet.to_string().to_lowercase();
        for word in ["allergy", "severe", "intolerance", "coeliac", "choice"] {
            assert!(!text.contains(word), "\"{word}\" on the sheet of station {}", sheet["station"]);
        }
    }
    let five = of_kind("station-sheet").into_iter().find(|s| s["station"] == "5").unwrap();
    assert!(five["keep_away"].to_string().contains("walnut"));
}

/// Every step of hands has a number that stands on the rail, in order, with the same times.
#[test]
fn the_rail_shows_the_steps() {
    for sheet in of_kind("station-sheet") {
        let steps: Vec<Value> =
            sheet["steps"].as_array().unwrap().iter().filter(|s| !s["number"].is_null()).cloned().collect();
        let rail: Vec<Value> =
            sheet["rail"].as_array().unwrap().iter().filter(|b| b["tone"] == "hands").cloned().collect();
        assert_eq!(steps.len(), rail.len());
        for (n, (step, block)) in steps.iter().zip(&rail).enumerate() {
            assert_eq!(step["number"], n + 1);
            assert_eq!(block["label"], (n + 1).to_string());
            assert_eq!((&step["from"], &step["to"]), (&block["from"], &block["to"]));
        }
    }
}

/// Whoever has no room in the lanes is found in the list by the number; a step has one, whoever does it.
#[test]
fn the_run_sheets_lanes_and_list_have_the_same_numbers() {
    let sheets = of_kind("run-sheet");
    assert!(!sheets.is_empty());
    for sheet in sheets {
        let list = sheet["list"].as_array().unwrap();
        let mut numbers: std::collections::BTreeMap<u64, (String, String)> = Default::default();
        for entry in list {
            let step = (entry["lesson"].to_string(), entry["name"].to_string());
            let number = entry["number"].as_u64().unwrap();
            assert_eq!(*numbers.entry(number).or_insert_with(|| step.clone()), step, "{number}");
            // A late answer is read in two lines.
            for late in entry["late"].as_array().unwrap() {
                let moves = late["moves"].as_array().unwrap();
                assert!(moves.len() <= 3 && (late["more"] == 0 || moves.len() == 3), "{late}");
            }
        }
        assert_eq!(numbers.len() as u64, *numbers.keys().last().unwrap(), "numbers without a gap");
        for lane in sheet["lanes"].as_array().unwrap() {
            for block in lane["blocks"].as_array().unwrap() {
                // What began before the sheet does is not in its list.
                let began = block["from"].as_i64() < sheet["from"].as_i64();
                let number = block["number"].as_u64();
                // An oven that heats up is no step: it stands in the list as a setting.
                if block["tone"] == "heats" {
                    let set = sheet["settings"].as_array().unwrap().iter();
                    assert!(
                        set.clone().any(|s| s["at"] == block["from"] && s["reached"] == block["to"]),
                        "{block}"
                    );
                    continue;
                }
                // What waits in the cold until it goes home is no step either.
                if block["state"] != "" {
                    assert_eq!(
                        (lane["at"].as_str(), block["tone"].as_str(), number),
                        (Some("cold"), Some("waits"), None),
                        "{block}"
                    );
                    continue;
                }
                assert!(began || number.is_some_and(|n| numbers.contains_key(&n)), "{block}");
                let people = ["people", "stations"].contains(&lane["group"].as_str().unwrap());
                if let Some(named) = number.and_then(|n| numbers.get(&n)).filter(|_| people) {
                    assert_eq!(named.1, block["label"].to_string());
                }
            }
        }
    }
}
