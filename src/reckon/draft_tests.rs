use super::*;
use crate::course::written_recipe::WrittenSection;

fn amount(n: i64, unit: WrittenUnit, what: &str) -> WrittenLine {
    let amount = WrittenAmount {
        least: Decimal::from(n),
        most: Decimal::from(n),
        unit,
        weight: None,
        what: what.to_owned(),
        remark: String::new(),
    };
    WrittenLine { text: format!("{n} {what}"), reading: Ok(amount) }
}

fn of(lines: Vec<WrittenLine>) -> Draft {
    let sections = vec![WrittenSection { name: None, lines }];
    draft(&WrittenRecipe { sections, ..WrittenRecipe::default() }, None, Measures::Us)
}

#[test]
fn percentages_are_of_the_flour_and_the_flour_is_100() {
    let draft = of(vec![
        amount(400, WrittenUnit::Gram, "strong white flour"),
        amount(200, WrittenUnit::Gram, "rye flour"),
        amount(1, WrittenUnit::Cup, "milk"),
        amount(2, WrittenUnit::Piece, "large eggs"),
        amount(1, WrittenUnit::Piece, "vanilla pod"),
    ]);
    let part = &draft.parts[0];
    assert!(part.by_flour);
    let lines: Vec<(&str, String)> =
        part.lines.iter().map(|l| (l.item.as_str(), l.share.to_string())).collect();
    // USDA SR28, NDB 01077: a US cup of whole milk weighs 244 g; row e-edible: a US large egg holds 50 g.
    let wanted =
        [("strong-white-flour", "66.67"), ("rye-flour", "33.33"), ("milk", "40.67"), ("eggs", "16.67")];
    assert_eq!(lines, wanted.map(|(id, share)| (id, share.to_owned())));
    assert_eq!(draft.left_out.len(), 1);
}

#[test]
fn a_part_without_flour_is_a_share_of_the_whole() {
    let draft = of(vec![
        amount(1, WrittenUnit::Gram, "butter"),
        amount(1, WrittenUnit::Gram, "sugar"),
        amount(1, WrittenUnit::Gram, "cinnamon"),
    ]);
    let part = &draft.parts[0];
    assert!(!part.by_flour && part.id == "mix");
    assert_eq!(part.lines.iter().map(|l| l.share).sum::<Decimal>(), Decimal::ONE_HUNDRED);
}

#[test]
fn an_id_has_plain_letters() {
    assert_eq!(id_of("Brioche à tête"), "brioche-a-tete");
    assert_eq!(id_of("Grüne Soße, Øl & L'œuf"), "grune-sosse-ol-loeuf");
}

/// A yolk is no whole egg, and a sugar with another name is not the pantry's plain one.
#[test]
fn another_thing_is_not_taken_for_the_pantrys() {
    let pantry = crate::reckon::sample::pantry();
    let ids: Vec<&str> = pantry.items.iter().map(|i| i.id.value.as_str()).collect();
    assert!(ids.contains(&"eggs") && ids.contains(&"sugar"), "{ids:?}");
    let lines = vec![
        amount(500, WrittenUnit::Gram, "strong flour"),
        amount(2, WrittenUnit::Piece, "large eggs"),
        amount(1, WrittenUnit::Piece, "egg yolk"),
        amount(30, WrittenUnit::Gram, "pearl sugar"),
    ];
    let sections = vec![WrittenSection { name: None, lines }];
    let recipe = WrittenRecipe { sections, ..WrittenRecipe::default() };
    let draft = draft(&recipe, Some(&pantry), Measures::Us);
    let of = |text: &str| {
        let lines = &draft.parts[0].lines;
        lines.iter().find(|l| l.texts.iter().any(|t| t.ends_with(text))).unwrap()
    };
    assert_eq!(of("large eggs").texts.len(), 1);
    assert_ne!(of("egg yolk").item, "eggs");
    assert!(of("egg yolk").grams < Grams::whole(25), "{:?}", of("egg yolk"));
    let sugar = of("pearl sugar");
    assert!(sugar.item != "sugar" || sugar.guessed.iter().any(|g| g.contains("taken for")), "{sugar:?}");
}

#[test]
fn an_id_is_the_one_with_most_words_of_the_name() {
    let ids = ["flour", "strong-flour", "milk", "milk-powder", "eggs"];
    assert_eq!(best("strong white flour", ids.into_iter()), Some("strong-flour"));
    assert_eq!(best("milk powder", ids.into_iter()), Some("milk-powder"));
    assert_eq!(best("large egg", ids.into_iter()), Some("eggs"));
    assert_eq!(best("buttermilk", ids.into_iter()), None);
    for other in ["oat milk", "coconut milk", "almond flour", "condensed milk"] {
        assert_eq!(best(other, ids.into_iter()), None, "{other}");
    }
    assert_eq!(best("almond milk", ["milk", "almond-milk"].into_iter()), Some("almond-milk"));
}

/// The pantry's yolk is one, by whatever id; a yolk is never as heavy as the egg whose size stands there.
#[test]
fn a_yolk_is_the_pantrys_yolk() {
    let mut pantry = crate::reckon::sample::pantry();
    let mut yolk = pantry.items.iter().find(|i| i.kind.value == ItemKind::Egg).unwrap().clone();
    yolk.id = crate::finding::Located::assumed("dotter".into());
    yolk.kind.value = ItemKind::Yolk;
    yolk.each = None;
    pantry.items.push(yolk);
    let sections =
        vec![WrittenSection { name: None, lines: vec![amount(1, WrittenUnit::Piece, "egg yolk")] }];
    let recipe = WrittenRecipe { sections, ..WrittenRecipe::default() };
    let draft = draft(&recipe, Some(&pantry), Measures::Us);
    let line = &draft.parts[0].lines[0];
    assert_eq!(line.item, "dotter");
    assert!(line.grams < Grams::whole(25), "{line:?}");
    assert!(draft.left_out.is_empty());
}

#[test]
fn an_alternative_that_is_passed_over_is_named() {
    for (remark, other) in [
        ("or pumpkin seeds", Some("or pumpkin seeds")),
        ("softened, or margarine", Some("or margarine")),
        ("oder Margarine", Some("oder Margarine")),
        ("softened or melted", None),
        ("for the top", None),
        ("", None),
    ] {
        assert_eq!(alternative(remark), other, "{remark}");
    }
    let with = |line: WrittenLine, remark: &str| WrittenLine {
        reading: line.reading.map(|amount| WrittenAmount { remark: remark.to_owned(), ..amount }),
        ..line
    };
    let lines = vec![
        with(amount(500, WrittenUnit::Gram, "plain flour"), "or gluten-free blend"),
        with(amount(2, WrittenUnit::Tablespoon, "sesame"), "or pumpkin seeds"),
        amount(1, WrittenUnit::Cup, "milk"),
    ];
    let sections = vec![WrittenSection { name: None, lines }];
    let recipe = WrittenRecipe { sections, ..WrittenRecipe::default() };
    for (set, cup) in [
        (Measures::Us, "a US customary cup holds 236.6 ml (NIST Handbook 44, Appendix C): 236.6 ml"),
        (
            Measures::Metric,
            "a metric cup holds 250 ml (New South Wales government recipe conversion chart): 250 ml",
        ),
    ] {
        let draft = draft(&recipe, None, set);
        let said: Vec<String> = draft.parts[0].lines.iter().map(|l| l.guessed.join("; ")).collect();
        assert!(
            said[0].contains("\"or gluten-free blend\" is passed over: `plain-flour` is taken"),
            "{said:?}"
        );
        assert!(said[1].contains("\"or pumpkin seeds\" is passed over: `sesame` is taken"), "{said:?}");
        assert!(said[2].contains(cup), "{said:?}");
    }
}
