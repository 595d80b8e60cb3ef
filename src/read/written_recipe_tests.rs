use super::*;
use proptest::prelude::*;

fn line(text: &str) -> (String, String, WrittenUnit, String) {
    let a = amount_of(text).unwrap();
    (a.least.normalize().to_string(), a.most.normalize().to_string(), a.unit, a.what)
}

#[test]
fn figures_in_all_their_forms() {
    let is = |text: &str, least: &str, most: &str, unit, what: &str| {
        assert_eq!(line(text), (least.to_owned(), most.to_owned(), unit, what.to_owned()), "{text}");
    };
    use WrittenUnit::*;
    is("300 g strong flour", "300", "300", Gram, "strong flour");
    is("300g of Strong Flour, sifted", "300", "300", Gram, "strong flour");
    is("1.5 kg flour", "1500", "1500", Gram, "flour");
    is("1,5 kg flour", "1500", "1500", Gram, "flour");
    is("1,000 g flour", "1000", "1000", Gram, "flour");
    is("1 1/2 cups milk", "1.5", "1.5", Cup, "milk");
    is("1-1/2 cups milk", "1.5", "1.5", Cup, "milk");
    is("1½ cups milk", "1.5", "1.5", Cup, "milk");
    is("½ tsp. salt", "0.5", "0.5", Teaspoon, "salt");
    is("3/4 cup milk", "0.75", "0.75", Cup, "milk");
    is("2-3 tbsp sugar", "2", "3", Tablespoon, "sugar");
    is("2 to 3 T sugar", "2", "3", Tablespoon, "sugar");
    is("2 large eggs", "2", "2", Piece, "large eggs");
    is("a cup of milk (warm)", "1", "1", Cup, "milk");
    is("half a cup milk", "0.5", "0.5", Cup, "milk");
    is("8 oz butter", "226.796185", "226.796185", Gram, "butter");
    is("2 dl milk", "200", "200", Millilitre, "milk");
    is("2 level tbsp sugar", "2", "2", Tablespoon, "sugar");
    // A word that belongs to the thing stays with it.
    is("2 level cakes", "2", "2", Piece, "level cakes");
}

#[test]
fn two_amounts_are_added_or_asked_about() {
    // The international avoirdupois pound of 453.59237 g has 16 ounces: 20 of them are 566.9904625 g.
    assert_eq!(line("1 pound 4 ounces bread flour").0, "566.9904625");
    assert_eq!(line("100 g + 50 g sugar").0, "150");
    assert_eq!(line("1 kg and 200 g flour").0, "1200");
    for text in ["2 eggs plus 1 yolk", "2 eggs + 1 yolk", "2 tbsp plus 1 tsp sugar", "1 cup and 2 tbsp milk"]
    {
        assert_eq!(amount_of(text).unwrap_err(), TWO_AMOUNTS, "{text}");
    }
    for (text, what) in [
        ("250 g 405 flour", "405 flour"),
        ("100 g 70% chocolate", "70% chocolate"),
        ("1 tbsp 2% milk", "2% milk"),
    ] {
        assert_eq!(line(text).3, what, "{text}");
    }
    assert_eq!(amount_of("2 cups flour, plus more for dusting").unwrap().remark, "plus more for dusting");
}

#[test]
fn a_point_before_three_digits_is_asked_about() {
    for text in ["1.000 g rye flour", "1.250 ml milk"] {
        assert_eq!(amount_of(text).unwrap_err(), WHICH_POINT, "{text}");
    }
    assert_eq!(line("0.125 g saffron").0, "0.125");
    assert_eq!(line("1.250 kg flour").0, "1250");
    assert_eq!(line("1,000 g flour").0, "1000");
}

#[test]
fn a_sachet_that_says_its_weight_is_read() {
    let a = amount_of("1 sachet (7 g) instant yeast").unwrap();
    assert_eq!((a.weight, a.what.as_str()), (Some(Grams::whole(7)), "instant yeast"));
    // Of each, or of both?
    assert_eq!(amount_of("2 sachets (14 g) yeast").unwrap_err(), NO_SIZE);
    let a = amount_of("2 pkg (250 g each) cream cheese").unwrap();
    assert_eq!((a.weight, a.what.as_str()), (Some(Grams::whole(500)), "cream cheese"));
    for (text, least, unit, what) in [
        ("1 x 7g sachet fast-action dried yeast", "7", WrittenUnit::Gram, "fast-action dried yeast"),
        ("2 × 400 ml tins of coconut milk", "800", WrittenUnit::Millilitre, "coconut milk"),
        ("7g sachet yeast", "7", WrittenUnit::Gram, "yeast"),
    ] {
        let read = line(text);
        assert_eq!((read.0.as_str(), read.2, read.3.as_str()), (least, unit, what), "{text}");
    }
}

#[test]
fn heads_need_no_colon() {
    let recipe =
        read("Buns\nFor the dough\n500 g strong flour\nTo brush\n1 egg, beaten\nTopping\n30 g pearl sugar\n");
    assert_eq!(recipe.name.as_deref(), Some("Buns"));
    let heads: Vec<_> = recipe.sections.iter().map(|s| (s.name.as_deref(), s.lines.len())).collect();
    assert_eq!(heads, [(Some("dough"), 1), (Some("brush"), 1), (Some("Topping"), 1)]);
}

#[test]
fn a_weight_beside_a_measure_is_kept() {
    let a = amount_of("1 cup (120 g) flour, plus more").unwrap();
    assert_eq!(
        (a.weight, a.what.as_str(), a.remark.as_str()),
        (Some(Grams::whole(120)), "flour", "plus more")
    );
    let a = amount_of("1 cup / 240 g milk").unwrap();
    assert_eq!((a.weight, a.what.as_str()), (Some(Grams::whole(240)), "milk"));
    let a = amount_of("1 cup (240 ml) milk").unwrap();
    assert_eq!((a.weight, a.unit, a.what.as_str()), (None, WrittenUnit::Cup, "milk"));
}

#[test]
fn what_cannot_be_weighed_says_why() {
    for (text, why) in [
        ("salt", NO_AMOUNT),
        ("a pinch of salt", NO_AMOUNT),
        ("1 packet yeast", NO_SIZE),
        ("1 heaped tbsp sugar", HEAPED),
        ("2 rounded teaspoons salt", HEAPED),
        ("300 g", NO_THING),
        ("0 g salt", NO_AMOUNT),
        ("3-2 eggs", NO_AMOUNT),
    ] {
        assert_eq!(amount_of(text).unwrap_err(), why, "{text}");
    }
}

#[test]
fn a_page_has_a_name_sections_and_steps() {
    let recipe = read(
        "Plaited loaf\nMakes 2 loaves\n\n500 g flour\n* 300 g milk\n\nFor the glaze:\n1 egg\na little milk\n\nMethod:\nMix.\n",
    );
    assert_eq!((recipe.name.as_deref(), recipe.makes), (Some("Plaited loaf"), Some(2)));
    let heads: Vec<_> = recipe.sections.iter().map(|s| (s.name.as_deref(), s.lines.len())).collect();
    assert_eq!(heads, [(None, 2), (Some("glaze"), 2)]);
    assert_eq!(recipe.sections[1].lines[1].reading, Err(NO_AMOUNT));
    assert_eq!(recipe.steps, ["Mix."]);
}

proptest! {
    #[test]
    fn no_text_makes_it_panic(text in "\\PC{0,80}") {
        _ = read(&text);
    }
    #[test]
    fn no_mixture_of_figures_makes_it_panic(text in "[-0-9/,. ½a-z()]{0,24}") {
        _ = read(&text);
    }
}

#[test]
fn a_head_may_stand_before_its_first_line() {
    let recipe = read("Rolls\nFor the scald: 20 g bread flour\n100 ml milk\nNote: 2 eggs are enough\n");
    let heads: Vec<_> = recipe.sections.iter().map(|s| (s.name.as_deref(), s.lines.len())).collect();
    assert_eq!(heads, [(Some("scald"), 3)]);
    assert_eq!(recipe.sections[0].lines[0].reading.as_ref().unwrap().what, "bread flour");
    assert_eq!(recipe.sections[0].lines[2].reading, Err(NO_AMOUNT));
}
