//! A recipe from elsewhere becomes a formula's draft, and a home recipe goes out and comes back.

use crate::support::Sealed;
use serde_json::Value;

const PAGE: &str = "Sunday plait

Makes 2 loaves

500 g strong white flour
1 1/4 cups milk, lukewarm
2 large eggs
3-4 tbsp sugar
60 g (about 4 tbsp) butter, soft
2 tsp instant yeast
9g salt
1 packet vanilla sugar
a pinch of nutmeg

For the glaze:
1 egg
20 ml milk

Method:
Mix everything; knead for ten minutes.
";

#[test]
fn a_page_of_lines_becomes_a_draft_that_says_what_was_guessed() {
    let sealed = Sealed::new().file("plait.txt", PAGE);
    insta::assert_snapshot!(sealed.run(&["import", "plait.txt"]));
    // 250 ml in a cup, 15 ml in a tablespoon: more milk and another share.
    let metric = sealed.run(&["import", "plait.txt", "--measures", "metric"]);
    assert!(metric.stdout.contains("312.5 ml"), "{metric}");
}

#[test]
fn a_draft_is_a_formula_of_the_course_that_it_is_written_for() {
    let sealed = Sealed::demo().file("plait.txt", PAGE);
    let said = sealed.run(&["import", "plait.txt", "--course", "course", "--write"]);
    assert_eq!(said.exit, Some(0), "{said}");
    let draft = sealed.read("course/formulas/sunday-plait.toml");
    // The pantry's own names.
    assert!(draft.contains("\nstrong-flour = \"100 %\"\n"), "{draft}");
    assert!(draft.contains("\neggs = "), "{draft}");
    let sealed =
        sealed.edit("course/course.toml", "lessons = [", "also-home = [\"sunday-plait\"]\nlessons = [");
    let reading = benchroll::read::folder::read(&sealed.path("course"));
    let course = reading.course.unwrap_or_else(|| panic!("{:?}\n{draft}", reading.findings));
    assert!(course.formulas.iter().any(|f| f.id.value.as_str() == "sunday-plait"));
    let again = sealed.run(&["import", "plait.txt", "--course", "course", "--write"]);
    assert_eq!(again.exit, Some(2), "{again}");
    assert_eq!(sealed.read("course/formulas/sunday-plait.toml"), draft);
}

#[test]
fn what_cannot_be_imported_says_why() {
    let sealed = Sealed::new()
        .file("empty.txt", "")
        .file("words.txt", "Take some flour and a little milk.\nBake.\n")
        .file("bytes.txt", b"\x00\x01\x02")
        .file("no.json", "{\"@type\": \"Person\"}")
        .file("page.html", "<html><body>no recipe</body></html>")
        .file("wide.txt", b"\xFF\xFE3\x000\x000\x00 \x00g\x00 \x00f\x00l\x00o\x00u\x00r\x00");
    let mut all = String::new();
    for file in ["empty.txt", "words.txt", "bytes.txt", "no.json", "page.html", "nowhere.txt"] {
        let said = sealed.run(&["import", file]);
        assert_eq!(said.exit, Some(2), "{said}");
        all.push_str(&format!("$ benchroll import {file}\n{said}\n"));
    }
    insta::assert_snapshot!(all);
    // A file in UTF-16 is read as it is.
    let wide = sealed.run(&["import", "wide.txt"]);
    assert!(wide.stdout.contains("flour = \"100 %\""), "{wide}");
}

/// The vocabulary: <https://schema.org/Recipe>; what stands in a graph, in a page, in lists and sections is found.
#[test]
fn json_ld_is_found_where_pages_keep_it() {
    let recipe = r#"{"@context":"https://schema.org","@graph":[{"@type":"WebPage","name":"x"},{"@type":["Recipe"],
        "name":"Plait","recipeYield":["2","2 loaves"],"recipeIngredient":["500 g flour","300 g milk"],
        "recipeInstructions":[{"@type":"HowToSection","name":"Dough","itemListElement":[{"@type":"HowToStep","text":"Mix."}]}]}]}"#;
    let page = format!("<html><script type=\"application/ld+json\">{recipe}</script></html>");
    let sealed = Sealed::new().file("plait.json", recipe).file("plait.html", page);
    let json = sealed.run(&["import", "plait.json"]);
    assert_eq!(json.exit, Some(0), "{json}");
    for part in ["name = \"Plait\"", "dough = \"400 g\"", "milk = \"60 %\"", "#   Mix."] {
        assert!(json.stdout.contains(part), "{part}: {json}");
    }
    let html = sealed.run(&["import", "plait.html"]);
    assert_eq!(json.stdout.replace("plait.json", ""), html.stdout.replace("plait.html", ""));
}

/// Whatever comes first is an ingredient in a list of ingredients, and never the recipe's name.
#[test]
fn no_ingredient_of_a_page_is_lost() {
    for first in
        ["For the scald: 20 g bread flour", "Zest of 1 lemon", "2 large eggs + 1 yolk", "Milk &amp; honey"]
    {
        let recipe = format!(
            r#"{{"@type":"Recipe","name":"Rolls &amp; more","recipeYield":"12 rolls",
            "recipeIngredient":["{first}","400 g bread flour","1 egg, beaten, for egg wash","&frac12; tsp salt"]}}"#
        );
        let sealed = Sealed::small().file("page.json", recipe);
        let said = sealed.run(&["import", "page.json"]).to_string();
        let plain = first.replace("&amp;", "&");
        assert!(said.contains(plain.rsplit(": ").next().unwrap()), "{said}");
        assert!(said.contains("name = \"Rolls & more\"") && said.contains("½ tsp salt"), "{said}");
        assert!(said.contains("\"beaten, for egg wash\": it may belong to another part"), "{said}");
    }
}

#[test]
fn a_home_recipe_goes_out_as_json_ld_and_comes_back_with_its_percentages() {
    let sealed = Sealed::small();
    assert_eq!(sealed.run(&["export", "course"]).stdout, "soft-loaf\n");
    let said = sealed.run(&["export", "course", "soft-loaf"]);
    let json: Value = said.json();
    assert_eq!(json["@context"], "https://schema.org");
    assert_eq!(json["@type"], "Recipe");
    assert!(json["recipeIngredient"].as_array().unwrap().len() == 6, "{json}");
    assert!(json["totalTime"].as_str().unwrap().starts_with("PT"), "{json}");
    assert!(json["recipeInstructions"].as_array().unwrap().iter().all(|s| s["@type"] == "HowToStep"));
    let sealed = sealed.file("loaf.json", said.stdout);
    let back = sealed.run(&["import", "loaf.json", "--course", "course"]);
    // The formula says 60 % milk, 10 % butter, 6 % sugar; the recipe is in whole grams.
    for (item, share) in [("milk", 60.0), ("butter", 10.0), ("sugar", 6.0)] {
        let line = back.stdout.lines().find(|l| l.starts_with(&format!("{item} = "))).unwrap();
        let is: f64 = line.split('"').nth(1).unwrap().trim_end_matches(" %").parse().unwrap();
        assert!((is - share).abs() < 0.2, "{line}");
    }
    assert_eq!(sealed.run(&["export", "course", "soft-loav"]).exit, Some(2));
    assert_eq!(sealed.run(&["export", "nowhere", "soft-loaf"]).exit, Some(1));
}

/// The crown's scald goes into its dough, and stands there by its name; a rest is said from its least to its most.
#[test]
fn a_preferment_is_in_its_dough_and_a_rest_has_both_ends() {
    let json = Sealed::demo().run(&["export", "course", "walnut-crown"]).json();
    let lines: Vec<&str> =
        json["recipeIngredient"].as_array().unwrap().iter().map(|l| l.as_str().unwrap()).collect();
    let heads: Vec<usize> = (0..lines.len()).filter(|n| lines[*n].ends_with(':')).collect();
    let scald = lines[heads[0]].trim_end_matches(':');
    let dough = &lines[heads[1]..heads[2]];
    assert!(dough.iter().any(|l| l.ends_with(&format!(" g {scald}"))), "{lines:?}");
    let steps = json["recipeInstructions"].as_array().unwrap();
    let rise = steps.iter().find(|s| s["name"] == "Rise").unwrap();
    assert!(rise["text"].as_str().unwrap().starts_with("1 h to 1 h 30 min."), "{rise}");
}

#[test]
fn a_draft_for_programs() {
    let sealed =
        Sealed::demo().file("plait.txt", "Plait\nMakes 2\n500 g strong flour\n1 cup milk\na pinch of love\n");
    let said = sealed.run(&["import", "plait.txt", "--course", "course", "--format", "json"]);
    assert_eq!(said.exit, Some(0), "{said}");
    let draft = said.json();
    assert_eq!(
        (&draft["name"], &draft["makes"], &draft["written"]),
        (&"Plait".into(), &2.into(), &Value::Null)
    );
    let lines = draft["parts"][0]["lines"].as_array().unwrap();
    assert_eq!(lines[0]["item"], "strong-flour");
    assert_eq!(
        (&lines[0]["grams"], &lines[0]["percent"], &lines[0]["from"][0]),
        (&500.into(), &"100".into(), &"500 g strong flour".into())
    );
    // A cup is not one size, and is marked so.
    assert!(!lines[1]["look"].as_array().unwrap().is_empty(), "{draft:#}");
    assert_eq!(draft["left_out"][0]["text"], "a pinch of love");
    assert!(draft["toml"].as_str().unwrap().starts_with("# Draft of a formula"));
    let written = sealed.run(&["import", "plait.txt", "--course", "course", "--write", "--format", "json"]);
    assert_eq!(written.json()["written"], "course/formulas/plait.toml", "{written}");
    assert_eq!(sealed.read("course/formulas/plait.toml"), draft["toml"].as_str().unwrap());
    let refused = sealed.run(&["import", "plait.txt", "--course", "course", "--write", "--format", "json"]);
    assert_eq!((refused.exit, refused.stdout.as_str()), (Some(2), ""));
}
