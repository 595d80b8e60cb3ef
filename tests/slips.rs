//! What teachers slip on with nothing noticing it: a part that no piece names, parts named in another order, a slipped point, words
//! from a booking form, folders that are the course's own.

use crate::support::{Said, Sealed};
use benchroll::cli::schema::schema;
use serde_json::{Value, json};

const FORMULA: &str = "course/formulas/soft-loaf.toml";
const LESSON: &str = "course/lessons/soft-loaf.toml";
const PANTRY: &str = "course/pantry.toml";

fn added(sealed: Sealed, path: &str, more: &str) -> Sealed {
    let text = sealed.read(path);
    sealed.file(path, text + more)
}

/// The small course with sesame on the loaf and someone who must not eat it.
fn with_sesame(part: &str) -> Sealed {
    let sealed = Sealed::small().edit(
        "course/roll.csv",
        "Nell Abbot,coming,Ove Brandt,,,",
        "Nell Abbot,coming,Ove Brandt,,\"sesame (allergy, severe)\",",
    );
    let pantry = "\n[ingredients.sesame-seed]\nname = \"Sesame\"\nallergens = { contains = [\"sesame\"], checked = \"2027-02-20\" }\npacks = [{ of = \"100 g\", price = \"1.10\", supplier = \"shop\" }]\n";
    added(added(sealed, PANTRY, pantry), FORMULA, part)
}

fn codes(said: &Said) -> Vec<String> {
    let findings = said.json();
    findings["findings"].as_array().unwrap().iter().map(|f| f["code"].as_str().unwrap().to_owned()).collect()
}

#[test]
fn a_part_of_grams_for_each_piece_counts_by_itself() {
    let sealed = with_sesame("\n[parts.topping]\nbasis = \"piece\"\nof = { sesame-seed = \"6 g\" }\n");
    // Two stations, a loaf each: 12 g.
    let weighed = sealed.run(&["scale", "course", "--format", "json"]).json().to_string();
    assert!(weighed.contains("sesame-seed"), "{weighed}");
    let order = sealed.run(&["order", "course", "--format", "json"]).json();
    let line = order["lines"].as_array().unwrap().iter().find(|l| l["item"] == "sesame-seed");
    assert!(line.is_some_and(|l| l["need_grams"] == 12), "{order}");
    let safety = sealed.run(&["safety", "course", "--format", "json"]).json().to_string();
    assert!(!safety.contains("none-listed"), "{safety}");
    assert!(safety.contains("contains"), "{safety}");
    assert!(sealed.run(&["check", "course"]).stdout.contains("avoided-is-in-it"));
}

#[test]
fn a_variant_changes_what_such_a_part_weighs() {
    let sealed = with_sesame(
        "\n[parts.topping]\nbasis = \"piece\"\nof = { sesame-seed = \"6 g\" }\n\n[variants.plain]\nfree-from = [\"sesame\"]\ntopping = { sesame-seed = \"0 g\", sugar = \"9 g\" }\n",
    );
    let safety = sealed.run(&["check", "course"]);
    assert!(!safety.stdout.contains("avoided-is-in-it"), "{safety}");
    let scaled = sealed.run(&["scale", "course", "--format", "json"]).json();
    // One station makes each: 6 g of sesame, and 9 g of sugar beside the 48 g in the doughs.
    let total = |item: &str| {
        let totals = scaled["totals"].as_array().unwrap();
        totals.iter().find(|t| t["item"] == item).map(|t| t["grams"].clone())
    };
    assert_eq!((total("sesame-seed"), total("sugar")), (Some(json!(6)), Some(json!(57))), "{scaled}");
}

#[test]
fn a_part_that_no_piece_takes_stops_the_course_and_is_never_none_listed() {
    let sealed = with_sesame("\n[parts.topping]\nbasis = \"whole\"\nof = { sesame-seed = \"100 %\" }\n");
    let said = sealed.run(&["check", "course", "--lines"]);
    assert_eq!(said.exit, Some(1));
    assert!(said.stdout.contains("soft-loaf.toml:13:8: error: part `topping`"), "{said}");
    assert!(said.stdout.contains("[part-not-used]"), "{said}");
    let safety = sealed.run(&["safety", "course", "--format", "json"]);
    assert_eq!(safety.exit, Some(1));
    assert!(!safety.stdout.contains("none-listed"), "{safety}");
}

/// The small course with a sponge in its dough, the parts of the mix in this order.
fn with_sponge(on: &str) -> Sealed {
    let sealed = Sealed::small()
        .edit(FORMULA, "flour = \"100 %\", milk = \"60 %\"", "sponge = { flour = \"20 %\" }, flour = \"80 %\", milk = \"48 %\"")
        .edit(
            LESSON,
            "  { id = \"mix\", on = \"dough\",",
            &format!(
                "  {{ id = \"stir\", on = \"sponge\", per = \"class\", hands = \"staff\", takes = \"5 to 9 min, usually 7\" }},\n  {{ id = \"mix\", on = {on},"
            ),
        );
    added(
        sealed,
        FORMULA,
        "\n[parts.sponge]\nbasis = \"flour\"\nkeep = \"cold\"\nof = { flour = \"100 %\", milk = \"60 %\" }\n",
    )
}

#[test]
fn a_mix_is_that_of_the_outer_part_whichever_is_named_first() {
    let plan = |on: &str| with_sponge(on).run(&["plan", "course", "--format", "json"]).json();
    let usual = plan("[\"dough\", \"sponge\"]");
    let turned = plan("[\"sponge\", \"dough\"]");
    assert_eq!(usual["tasks"], turned["tasks"]);
    let tasks = turned["tasks"].as_array().unwrap();
    let mixes: Vec<&Value> = tasks.iter().filter(|t| t["step"] == "mix").collect();
    assert!(!mixes.is_empty());
    for mix in mixes {
        assert!(!mix["uses"].as_array().unwrap().is_empty(), "{mix}");
    }
}

#[test]
fn a_slipped_point_is_told_at_its_line_first_and_beside_errors() {
    let salted =
        |salt: &str| Sealed::small().edit(FORMULA, "salt = \"1.8 %\"", &format!("salt = \"{salt}\""));
    let line = |said: &Said| said.stdout.lines().find(|l| l.contains("salt is")).map(str::to_owned);
    let column = salted("19 %").read(FORMULA).lines().nth(10).unwrap().find("\"19 %\"").unwrap() + 1;
    let place = format!("soft-loaf.toml:11:{column}: warning: salt is 19 %");
    let said = salted("19 %").run(&["check", "course", "--lines"]);
    assert!(line(&said).is_some_and(|l| l.contains(&place)), "{said}");
    // Before warnings that stand above it.
    let two = salted("19 %").edit(FORMULA, "sugar = \"6 %\"", "sugar = \"55 %\"");
    let said = two.run(&["check", "course", "--lines"]);
    let warnings: Vec<&str> = said.stdout.lines().filter(|l| l.contains(": warning: ")).collect();
    assert!(warnings[0].contains("salt is 19 %"), "{said}");
    assert!(warnings.iter().any(|l| l.contains("sugar is 55 %")), "{said}");
    // An error in another file, in another part, and in the same dough.
    let other_file =
        salted("19 %").edit("course/roll.csv", "Ida Crane,coming,Per Dahl,,,", "Ida Crane,coming,Per Dal,,,");
    let other_part =
        added(salted("19 %"), FORMULA, "\n[parts.glaze]\nbasis = \"whole\"\nof = { milk = \"90\" }\n");
    let same_part = salted("19 %").edit(FORMULA, "yeast = \"1 %\"", "yeast = \"1 %\", cardamon = \"1 %\"");
    for broken in [other_file, other_part, same_part] {
        let said = broken.run(&["check", "course", "--lines"]);
        assert_eq!(said.exit, Some(1), "{said}");
        assert!(line(&said).is_some_and(|l| l.contains(&place)), "{said}");
    }
    // What cannot be read is not reckoned with, and what is not known is no lack.
    let unread = salted("19").run(&["check", "course", "--lines"]);
    assert_eq!(line(&unread), None, "{unread}");
    let unknown = Sealed::small().edit(FORMULA, "salt = \"1.8 %\"", "slat = \"1.8 %\"");
    assert_eq!(line(&unknown.run(&["check", "course", "--lines"])), None);
}

#[test]
fn a_part_that_does_not_add_up_does_not_hide_the_dough() {
    let sealed = Sealed::small().edit(FORMULA, "salt = \"1.8 %\"", "salt = \"19 %\"").edit(
        FORMULA,
        "dough = \"700 g\"",
        "dough = \"700 g\"\nglaze = \"9 g\"",
    );
    let sealed = added(
        sealed,
        FORMULA,
        "\n[parts.glaze]\nbasis = \"whole\"\nkeep = \"cold\"\nof = { milk = \"80 %\" }\n",
    );
    let said = sealed.run(&["check", "course", "--format", "json"]);
    let codes = codes(&said);
    assert!(codes.iter().any(|c| c == "whole-not-hundred"), "{said}");
    assert!(codes.iter().any(|c| c == "outside-published-range"), "{said}");
    // And beside an error of reading both are told.
    let both = sealed.edit("course/roll.csv", "Ida Crane,coming,Per Dahl,,,", "Ida Crane,coming,Per Dal,,,");
    let said = both.run(&["check", "course", "--format", "json"]);
    for code in ["whole-not-hundred", "outside-published-range", "unknown-person"] {
        assert!(self::codes(&said).iter().any(|c| c == code), "{code}: {said}");
    }
}

#[test]
fn words_of_a_booking_form_are_answered_and_never_turned_into_another_food() {
    let told = |what: &str| {
        let sealed = Sealed::small().edit(
            "course/roll.csv",
            "Ida Crane,coming,Per Dahl,,,",
            &format!("Ida Crane,coming,Per Dahl,,{what},"),
        );
        sealed.run(&["check", "course", "--lines"]).stdout
    };
    for (what, answer) in [
        ("vegan", "write `milk (choice); egg (choice)`"),
        ("vegetarian", "milk and egg are eaten"),
        ("no dairy", "write `milk`"),
        ("dairy free", "write `milk`"),
        ("no nuts", "which is meant?"),
        ("nut free", "`peanut` (which is no tree nut)"),
        ("egg allergy", "write `egg (allergy)`"),
        ("gluten-free", "write `gluten`"),
    ] {
        let said = told(what);
        assert!(said.contains(answer) && said.contains(": error: "), "{what}: {said}");
        assert!(!said.contains("did you mean"), "{what}: {said}");
    }
    // These are read, as they have a reading that keeps nobody in danger; how is said.
    for (what, read) in [("coeliac", "`gluten`"), ("lactose", "`milk`")] {
        let said = told(what);
        assert!(
            said.lines()
                .any(|l| l.contains(": note: ") && l.contains(read) && l.contains("[loose-allergen]")),
            "{what}: {said}"
        );
    }
    assert!(told("hazlenut").contains("did you mean `hazelnut`?"));
}

#[test]
fn a_list_that_is_brought_in_says_by_row_what_is_not_understood() {
    let list =
        "Name,Allergies\nGil Reed,no dairy\nHal Snow,vegan\nIvy Tarn,sugar\nJo Uhl,hazelnuts; lactose\n";
    let said = Sealed::small().file("list.csv", list).run(&["roll", "course", "--from", "list.csv"]);
    assert_eq!(said.exit, Some(0), "{said}");
    let all = said.to_string().split_whitespace().collect::<Vec<_>>().join(" ");
    for told in [
        "row 2 of `list.csv`, Gil Reed",
        "row 3 of `list.csv`, Hal Snow",
        "row 5 of `list.csv`, Jo Uhl",
        "1 thing that somebody avoids is not understood",
    ] {
        assert!(all.contains(told), "{told}: {said}");
    }
    // An ingredient of the pantry is understood.
    assert!(!all.contains("Ivy Tarn:"), "{said}");
}

#[test]
fn editors_are_told_the_drawings() {
    let schema = schema("lessons/*.toml").unwrap();
    let draw = &schema["properties"]["steps"]["items"]["properties"]["draw"];
    assert!(draw.to_string().contains("\"cut-lengthwise\""), "{draw}");
}

#[test]
fn nothing_is_printed_into_the_course_itself() {
    let sealed = Sealed::small();
    let before = sealed.files("course");
    for out in ["course", "course/.", "course/lessons", "course/photos/new"] {
        let said = sealed.run(&["prepare", "course", "--out", out]);
        assert_eq!(said.exit, Some(2), "{said}");
        assert!(said.stderr.contains("--out"), "{said}");
    }
    assert_eq!(sealed.files("course"), before);
    assert_eq!(sealed.run(&["prepare", "course", "--out", "course/printed", "--only", "roll"]).exit, Some(0));
}

#[test]
fn a_home_batch_that_is_too_small_for_spoons_is_offered_a_larger_one() {
    let sealed = Sealed::small()
        .edit(
            PANTRY,
            "[ingredients.salt]\nname = \"Salt\"\n",
            "[ingredients.salt]\nname = \"Salt\"\ndensity = \"1.2 g/ml\"\n",
        )
        .edit(FORMULA, "dough = \"700 g\"", "dough = \"21 g\"\nhome = 2");
    let said = sealed.run(&["check", "course", "--lines"]).stdout;
    let coarse = said.lines().find(|l| l.contains("[volume-too-coarse]")).map(str::to_owned);
    assert!(coarse.is_some_and(|l| l.contains("`home = 4`")), "{said}");
}
