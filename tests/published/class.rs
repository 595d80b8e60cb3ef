//! Stations and mixer batches: `baking.toml`, topics 6 and 10.
use super::build::near;
use benchroll::course::Course;
use benchroll::read::{folder, read_course};
use benchroll::reckon::class::seat;
use benchroll::reckon::mixers::splits;
use benchroll::reckon::recipes::Recipes;
use benchroll::reckon::scale::portions;
use std::path::Path;

/// The demo class with texts of its files replaced.
fn demo(changes: &[(&str, &str, &str)]) -> Course {
    let mut files = folder::load(&Path::new(env!("CARGO_MANIFEST_DIR")).join("course")).unwrap();
    for (file, was, is) in changes {
        let text = String::from_utf8(files.bytes(file).unwrap().to_vec()).unwrap();
        assert!(text.contains(was), "{was} is not in {file}");
        files.add(*file, text.replacen(was, is, 1));
    }
    read_course(&files).course.unwrap()
}

/// `ex-stations-20`: child-nutrition culinary training lesson plan (Cooking Project), equipment list for about 20 participants: four at
/// a station, five stations.
#[test]
fn ex_stations_20() {
    let mut files = folder::load(&Path::new(env!("CARGO_MANIFEST_DIR")).join("course")).unwrap();
    let kitchen = String::from_utf8(files.bytes("kitchen.toml").unwrap().to_vec()).unwrap();
    files.add("kitchen.toml", kitchen.replacen("seats = 2", "seats = 4", 1));
    let roll: String = (1..=20).map(|n| format!("Person {n}\n")).collect();
    files.add("roll.csv", format!("name\n{roll}"));
    let (class, _) = seat(&read_course(&files).course.unwrap(), None);
    assert_eq!(class.headcount, 20);
    assert_eq!(class.stations.len(), 5);
    assert!(class.stations.iter().all(|s| s.students() == 4));
    assert_eq!(class.places_short, 0);
}

/// `ex-batches-20L`: bench mixer manual, 20-litre planetary model (Metcalfe MP20), p. 8: 8.5 kg of enriched dough, 4.0 kg by the
/// raised-doughnut line: three batches of 2.833 kg. The bread line (11.3) would overload it.
#[test]
fn ex_batches_20l() {
    let course = demo(&[
        (
            "kitchen.toml",
            "limit = { rich = \"1.1 kg\", enriched = \"1.5 kg\" }",
            "limit = { rich = \"1 g\" }",
        ),
        (
            "kitchen.toml",
            "limit = { rich = \"3.2 kg\", enriched = \"4 kg\" }",
            "limit = { rich = \"3.2 kg\", enriched = \"4 kg\", lean = \"11.3 kg\" }",
        ),
        // Twelve people at six stations: a twelfth of 8.5 kg each, nothing lost, no stage, one way for all.
        ("formulas/four-braid.toml", "dough = \"460 g\"", "dough = \"708.333 g\""),
        ("formulas/four-braid.toml", "loses = \"3 %\"", "loses = \"0 %\""),
        ("lessons/four-braid.toml", "stages = [\"chill\"], ", ""),
        ("roll.csv", "egg (choice)", ""),
    ]);
    let (class, _) = seat(&course, None);
    let portions = portions(&course, &class);
    let braid = course.lesson(&"four-braid".into()).unwrap();
    let (recipes, _) = Recipes::of(&course);
    let (ways, _) = splits(&course, &recipes, &portions, braid, &"dough".into());
    let grams: Vec<f64> = ways[0].batches.iter().map(|b| b.grams.to_f64()).collect();
    assert_eq!(grams.len(), 3, "{grams:?}");
    for g in grams {
        near(g, 2833.0, 1.0);
    }
}
