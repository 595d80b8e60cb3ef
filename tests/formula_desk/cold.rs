//! What formulas and lessons say of cold and heat, where that can hardly be meant.
use super::{course, demo, finds, told};
use benchroll::course::Course;
use benchroll::finding::Level;
use benchroll::read::read_course;

const BUNS: &str = "formulas/custard-buns.toml";

fn with_all(file: &str, edits: &[(&str, &str)]) -> Course {
    let mut files = demo();
    let mut text = String::from_utf8(files.bytes(file).unwrap().to_vec()).unwrap();
    for (was, is) in edits {
        assert!(text.contains(was), "`{was}` is not in {file}");
        text = text.replacen(was, is, 1);
    }
    files.add(file, text);
    read_course(&files).course.unwrap()
}

/// Milk that something steeps in, which is baked into the dough: whether the bun needs the cold is asked. A custard in it is no such case.
#[test]
fn a_cold_part_that_is_baked_into_the_dough_is_asked_about() {
    let steeped = |cold: &str| {
        let part = format!(
            "[parts.steeped]\nbasis = \"whole\"\nof = {{ milk = \"100 %\" }}\n{cold}\n\n[parts.wash]"
        );
        with_all(BUNS, &[("milk = \"44 %\"", "steeped = \"10 %\", milk = \"34 %\""), ("[parts.wash]", &part)])
    };
    let message = finds(&steeped("needs-cold = true"), "cold-in-dough", Level::Warning);
    assert!(message.contains("`steeped` goes into the dough"), "{message}");
    for fine in [steeped("keep = \"cold\""), course()] {
        assert!(!told(&fine).iter().any(|f| f.code.0 == "cold-in-dough"));
    }
}

/// "Keep cold" and "at room temperature" on one label.
#[test]
fn a_warm_place_for_what_needs_the_cold_is_told() {
    let at = |text: &str| {
        with_all(
            BUNS,
            &[("name = \"Custard buns\"\n", &format!("name = \"Custard buns\"\nstore = \"{text}\"\n"))],
        )
    };
    let message = finds(&at("In a bag, at room temperature."), "stored-warm", Level::Warning);
    assert!(message.contains("the label says both"), "{message}");
    for fine in [at("In the fridge; ten minutes at room temperature before eating."), at("In a box.")] {
        assert!(!told(&fine).iter().any(|f| f.code.0 == "stored-warm"));
    }
}

/// 200 °F are 93 °C. Row `oven-times-other`: the coolest in print is a filled loaf at 300 °F, low fan.
#[test]
fn an_oven_that_is_too_cool_for_bread_is_told() {
    let baked = |heat: &str| {
        with_all(
            "lessons/custard-buns.toml",
            &[("heat = \"190 C\"", &format!("heat = \"{heat}\"")), (", core = \"90 to 96 C\"", "")],
        )
    };
    let message = finds(&baked("200 F"), "cool-oven", Level::Warning);
    assert!(message.contains("93 °C") && message.contains("149 °C"), "{message}");
    for fine in ["300 F", "190 C"] {
        assert!(!told(&baked(fine)).iter().any(|f| f.code.0 == "cool-oven"), "{fine}");
    }
}
