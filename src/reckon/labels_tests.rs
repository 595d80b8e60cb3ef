#![allow(clippy::unwrap_used)]
use super::*;
use crate::course::{Basis, PieceShare};
use crate::reckon::formula::build::{formula, g, item, part, pc};
use crate::reckon::formula::{Proportions, with_variant};
use crate::reckon::sample;

/// A loaf that is worked by hand: flour 100, water 60, milk 50, butter 10, salt 2 to 222 g of dough, 8 g lost in the bowl
/// left out of account.
fn loaf(bake_loss: &str) -> (Recipe, Pantry) {
    let mut f = formula(vec![part(
        "dough",
        Basis::Flour,
        "0",
        &[("strong-flour", "100"), ("water", "60"), ("milk", "50"), ("butter", "10"), ("salt", "2")],
    )]);
    f.piece.amounts = vec![(sample::at("dough".into()), sample::at(PieceShare::Grams(g("222"))))];
    f.piece.bake_loss = Some(sample::at(pc(bake_loss)));
    let mut pantry = sample::pantry();
    pantry.items.push(item("water", ItemKind::Water));
    let shares = Proportions::of(&f, &pantry).unwrap();
    (Recipe { formula: f, shares }, pantry)
}

fn listed(loss: &str, water: Water) -> Vec<(String, Grams)> {
    let (recipe, pantry) = loaf(loss);
    let piece = weights(&recipe, &Fates::default()).unwrap();
    in_order(&piece, water, &pantry).into_iter().map(|(id, g)| (id.as_str().to_owned(), g)).collect()
}

fn named_in(list: &[(String, Grams)]) -> Vec<&str> {
    list.iter().map(|(id, _)| id.as_str()).collect()
}

/// Row `lab-us-water`: descending weight as added. Water 60 g stands before milk 50 g.
#[test]
fn water_as_added_keeps_its_place() {
    let list = listed("10", Water::AsAdded);
    assert_eq!(named_in(&list), ["strong-flour", "water", "milk", "butter", "salt"]);
}

/// Row `lab-water`, Regulation (EU) No 1169/2011, Annex VII, Part A, point 1, by hand. The loaf loses 10 % of 222 g and
/// weighs 199.8 g; all but the water is 162 g; 37.8 g of water is left, which is 18.9 % of it and less than the milk.
#[test]
fn water_that_is_left_moves_behind_the_milk() {
    let list = listed("10", Water::Left);
    assert_eq!(named_in(&list), ["strong-flour", "milk", "water", "butter", "salt"]);
    assert_eq!(list[2].1, g("37.8"));
}

/// The same loaf, baked hard: 25 % of 222 g lost leaves 166.5 g, and 4.5 g of water, 2.7 %: it need not be listed. At 30 %
/// nothing is left of it: 155.4 - 162 is below nought.
#[test]
fn little_water_or_none_is_not_listed() {
    for loss in ["25", "30"] {
        assert_eq!(named_in(&listed(loss, Water::Left)), ["strong-flour", "milk", "butter", "salt"]);
    }
    // 23.3 %: 170.274 g, 8.274 g of water, 4.86 %; 22.9 %: 171.162 g, 9.162 g, 5.35 %.
    assert!(!named_in(&listed("23.3", Water::Left)).contains(&"water"));
    assert!(named_in(&listed("22.9", Water::Left)).contains(&"water"));
}

/// Row `lab-water` again: without the loss in the bake nobody knows what is left of the water. Row `lab-us-water` needs no loss.
#[test]
fn without_the_loss_in_the_bake_the_place_of_water_is_not_known() {
    let known = |bake_loss: Option<&str>, water: bool, rule: Water| {
        let (mut recipe, pantry) = loaf("10");
        recipe.formula.piece.bake_loss = bake_loss.map(|loss| sample::at(pc(loss)));
        let mut piece = weights(&recipe, &Fates::default()).unwrap();
        if !water {
            piece.items.remove(&ItemId::from("water"));
        }
        is_order_known(&piece, rule, &pantry)
    };
    assert!(!known(None, true, Water::Left));
    assert!(known(Some("10"), true, Water::Left) && known(None, false, Water::Left));
    assert!(known(None, true, Water::AsAdded));
    // It is told once for a formula, and stands on the label.
    let told = |list: &str, bake_loss: Option<&str>| {
        let mut course = sample::course();
        course.settings.allergen_list.value = list.to_owned();
        course.pantry.items.push(item("water", ItemKind::Water));
        let buns = course.formulas.iter_mut().find(|f| f.id.value.as_str() == "buns").unwrap();
        buns.piece.bake_loss = bake_loss.map(|loss| sample::at(pc(loss)));
        for line in &mut buns.parts[0].of {
            if line.what.value == crate::course::Ingredient::Item("milk".into()) {
                line.what.value = crate::course::Ingredient::Item("water".into());
            }
        }
        let (recipes, _) = Recipes::of(&course);
        let label = label(&course, recipes.get(&"buns".into(), None).unwrap(), None, &Fates::default(), None);
        let codes: Vec<&str> = order_findings(&course, &recipes).iter().map(|f| f.code.0).collect();
        (codes, label.unwrap().order_known)
    };
    assert_eq!(told("eu14", None), (vec!["label-order-unknown"], false));
    assert_eq!(told("eu14", Some("10")), (vec![], true));
    assert_eq!(told("us9", None), (vec![], true));
}

fn demo_label(list: &str, variant: Option<&str>) -> Label {
    let mut course = sample::course();
    course.settings.allergen_list.value = list.to_owned();
    course.settings.label_percentages.value = true;
    let mut formula = course.formulas[0].clone();
    formula.keeps_days = Some(sample::at(2));
    formula.piece.bake_loss = Some(sample::at(pc("10")));
    let variant = variant.map(VariantId::from);
    let made = variant.as_ref().map_or_else(|| formula.clone(), |v| with_variant(&formula, v).unwrap());
    let shares = Proportions::of(&made, &course.pantry).unwrap();
    let fates = Fates { cooked: BTreeSet::from(["filling".into()]), ..Fates::default() };
    label(
        &course,
        &Recipe { formula: made, shares },
        variant.as_ref(),
        &fates,
        Some(jiff::civil::date(2027, 3, 6)),
    )
    .unwrap()
}

fn strong(label: &Label) -> Vec<&str> {
    label.ingredients.iter().flat_map(|l| &l.runs).filter(|r| r.strong).map(|r| r.text.as_str()).collect()
}

/// Rows `lab-emphasis` and `lab-no-repeat`: set off in the list, no line beside it.
#[test]
fn europe_sets_allergens_off_and_does_not_repeat_them() {
    let label = demo_label("eu14", None);
    assert_eq!(label.contains, Vec::<String>::new());
    let strong = strong(&label);
    for word in ["wheat", "milk", "eggs", "hazelnuts"] {
        assert!(strong.contains(&word), "{word} in {strong:?}");
    }
    assert_eq!(label.may_contain, ["Nuts (almond)"]);
    assert_eq!(label.eat_by, Some(jiff::civil::date(2027, 3, 8)));
    assert_eq!(label.ingredients[0].item.as_str(), "strong-flour");
    assert!(label.ingredients.windows(2).all(|w| w[0].grams >= w[1].grams));
}

/// Row `lab-anz`: in bold by the required name, and again in a line; row `lab-us-contains`: every major allergen, the kind
/// of nut named (`lab-us-nut`).
#[test]
fn australia_and_the_united_states_have_a_line() {
    assert_eq!(demo_label("anz", None).contains, ["wheat", "gluten", "hazelnut", "egg", "milk"]);
    assert_eq!(demo_label("us9", None).contains, ["milk", "egg", "tree nuts (hazelnut)", "wheat"]);
}

#[test]
fn a_variant_has_a_label_of_its_own() {
    let label = demo_label("eu14", Some("nut-free"));
    assert!(!strong(&label).contains(&"hazelnuts"));
    assert_eq!(label.may_contain, Vec::<String>::new());
    assert!(demo_label("anz", Some("egg-free")).contains.iter().all(|w| w != "egg"));
}

/// Row `lab-quid`: of the finished weight where water is lost. 150 g of filling loses 8 % of steam: 163.043 g weighed, half
/// of it hazelnuts: 81.522 g. The piece is 485 + 150 + 8 = 643 g, baked 578.7 g: 14.1 %.
#[test]
fn a_percentage_is_of_the_finished_weight() {
    let label = demo_label("eu14", None);
    assert_eq!(label.net, Some(g("578.7")));
    let nuts = label.ingredients.iter().find(|l| l.item.as_str() == "hazelnuts").unwrap();
    assert_eq!(nuts.percent, Some(pc("14.1")));
}

#[test]
fn the_word_is_set_off_where_it_stands_and_else_after_the_name() {
    let mut pantry = sample::pantry();
    let name = |pantry: &mut Pantry, id: &str, text: &str| {
        pantry.items.iter_mut().find(|i| i.id.value.as_str() == id).unwrap().name.value = text.to_owned();
    };
    name(&mut pantry, "milk", "Whole milk");
    name(&mut pantry, "butter", "Unsalted butter");
    name(&mut pantry, "hazelnuts", "Hazelnuts, roasted");
    let shown = |id: &str| -> String {
        let runs = runs(&id.into(), "eu14", true, &pantry);
        runs.iter().map(|r| if r.strong { format!("*{}*", r.text) } else { r.text.clone() }).collect()
    };
    assert_eq!(shown("milk"), "Whole *milk*");
    assert_eq!(shown("butter"), "Unsalted butter (*milk*)");
    assert_eq!(shown("hazelnuts"), "*Hazelnuts*, roasted");
    // On a German page the English word within the name tells nobody: it is said after it, where it is translated.
    let runs = runs(&"milk".into(), "eu14", false, &pantry);
    assert_eq!(runs.iter().filter(|r| r.strong).map(|r| r.text.as_str()).collect::<Vec<_>>(), ["milk"]);
    assert_eq!(runs.iter().map(|r| r.text.as_str()).collect::<String>(), "Whole milk (milk)");
    // A word within another is not the word: the oats in "groats" are written after it.
    assert_eq!(places("Groats", "oats"), Vec::<(usize, usize)>::new());
}

#[test]
fn a_word_is_found_beside_letters_whose_small_form_has_another_length() {
    let found = |name: &str, word: &str| -> Vec<String> {
        super::places(name, word).into_iter().map(|(from, to)| name[from..to].to_owned()).collect()
    };
    assert_eq!(found("\u{212B}\u{212B}x\u{e9} EGG \u{130}\u{130}", "egg"), ["EGG"]);
    assert_eq!(found("Eggs and egg, eggshell", "egg"), ["Eggs", "egg"]);
    assert_eq!(found("veggie egg-free", "eggie"), Vec::<String>::new());
    assert_eq!(found("x", "egg"), Vec::<String>::new());
}
