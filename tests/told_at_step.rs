//! What a variant has in place of what, said at the step whose words may name it.

use crate::by_whom::{changed, desk, plan, reckoned, sheets_of};
use benchroll::course::{Course, VariantId};
use benchroll::typeset::views::common::{Phrase, Step};
use benchroll::typeset::views::desk::Desk;
use benchroll::typeset::views::home_recipe::HomeRecipe;
use benchroll::typeset::views::instead;

/// A step's words are the plain formula's, and may name what a variant is without: the step says what stands in its place.
#[test]
fn a_step_says_what_its_variant_has_in_place_of_what_its_words_may_name() {
    let r = reckoned();
    let said = |course: &Course, variant: Option<&str>| -> Vec<(String, String)> {
        let desk = Desk::new(course, &r.class, plan(r), &r.weighed);
        let lesson = course.lesson(&"apricot-spiral".into()).unwrap();
        let variant: Option<VariantId> = variant.map(Into::into);
        let one = |p: &Phrase| match p.values.get("new") {
            Some(new) => format!("{new} for {}", p.values["old"]),
            None => format!("no {}", p.values["old"]),
        };
        let mut all = Vec::new();
        for step in &lesson.steps {
            for told in instead::here(&desk, lesson, variant.as_ref(), step) {
                let swaps: Vec<String> = told.swaps.iter().map(one).collect();
                all.push((step.id.value.to_string(), format!("{}: {}", told.part, swaps.join(", "))));
            }
        }
        all
    };
    let told = |all: &[(&str, &str)]| -> Vec<(String, String)> {
        all.iter().map(|(step, text)| ((*step).to_owned(), (*text).to_owned())).collect()
    };
    assert!(said(&r.course, None).is_empty());
    // No step names the topping: it goes with the wash.
    let pearl = told(&[("wash", ": Pearl sugar for White sesame seed")]);
    assert_eq!(said(&r.course, Some("sesame-free")), pearl);
    let lesson = "lessons/apricot-spiral.toml";
    let named = changed(&[(lesson, "[\"piece\", \"wash\"]", "[\"piece\", \"wash\", \"topping\"]")]);
    assert_eq!(said(&named, Some("sesame-free")), pearl);
    // The dough says it while it is one bowl's, and no more when it is rolled; the filling again where it is spread.
    let block = "Dairy-free baking block for Unsalted butter";
    let (alone, dough) = (format!(": {block}"), format!(": Oat drink for Whole milk, {block}"));
    let of_milk = [
        ("cook-filling", &alone),
        ("cool-filling", &alone),
        ("mix", &dough),
        ("rise", &dough),
        ("roll", &alone),
    ];
    assert_eq!(said(&r.course, Some("milk-free")), told(&of_milk.map(|(step, text)| (step, text.as_str()))));
    // Dough that keeps its butter, filling that does not.
    let kept = changed(&[(
        "formulas/apricot-spiral.toml",
        "dough = { milk = \"0 %\", butter = \"0 %\", oat-drink = \"48 %\", vegan-block = \"16 %\" }",
        "dough = { milk = \"0 %\", oat-drink = \"48 %\" }",
    )]);
    let kept = said(&kept, Some("milk-free"));
    assert_eq!(kept.last().unwrap().1, format!("cooked apricot filling: {block}"), "{kept:?}");
    // What only comes in on top takes nothing away.
    let more = changed(&[(
        "formulas/apricot-spiral.toml",
        "topping = { sesame-seed = \"0 g\", pearl-sugar = \"6 g\" }",
        "topping = { sesame-seed = \"3 g\", pearl-sugar = \"3 g\" }",
    )]);
    assert!(said(&more, Some("sesame-free")).is_empty());
}

/// It stands on the sheet of the station that follows the variant, and of no other, and on the recipe for home.
#[test]
fn the_sheet_and_the_home_recipe_say_it_at_the_step() {
    let r = reckoned();
    let desk = desk(r);
    let mut seen = 0;
    for (no, sheet) in sheets_of(&desk) {
        let station = r.class.stations.iter().find(|s| s.no == no).unwrap();
        let follows =
            station.variants.get(&"apricot-spiral".into()).is_some_and(|v| v.as_str() == "sesame-free");
        let top = |s: &&Step| s.name == "Brush and top" && s.number.is_some();
        for step in sheet.steps.iter().filter(top) {
            let pearl = step.here.iter().flat_map(|h| &h.swaps).any(|p| p.values["new"] == "Pearl sugar");
            assert_eq!(pearl, follows, "station {no}: {:?}", step.here);
            seen += usize::from(pearl);
        }
        assert!(sheet.steps.iter().all(|s| s.number.is_some() || s.here.is_empty()));
    }
    assert!(seen > 0);
    let lesson = r.course.lesson(&"apricot-spiral".into()).unwrap();
    let formula = r.course.formula(&lesson.formula.value).unwrap();
    let home = |variant: Option<VariantId>| -> Vec<String> {
        let made = HomeRecipe::of(&desk, formula, Some(lesson), variant.as_ref()).unwrap();
        made.steps.into_iter().filter(|s| !s.here.is_empty()).map(|s| s.name).collect()
    };
    assert_eq!(home(Some("sesame-free".into())), ["Brush and top"]);
    assert!(home(None).is_empty());
}
