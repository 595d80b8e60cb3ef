//! The formula desk on the demo class: what its formulas and home recipes come to, and what slips in them are told.
use benchroll::course::{Course, Ingredient};
use benchroll::finding::{Finding, Level};
use benchroll::read::files::FileTree;
use benchroll::read::{folder, read_course};
use benchroll::reckon::formula::{Proportions, piece_needs};
use benchroll::reckon::formula_findings::formula_findings;
use benchroll::reckon::home::HomeBatch;
use benchroll::reckon::recipes::Recipes;
use benchroll::units::Grams;
use std::fmt::Write;
use std::path::Path;

fn demo() -> FileTree {
    folder::load(&Path::new(env!("CARGO_MANIFEST_DIR")).join("course")).unwrap()
}

/// The demo class with one text in one file replaced by another.
#[track_caller]
fn with(file: &str, was: &str, is: &str) -> Course {
    let mut files = demo();
    let text = String::from_utf8(files.bytes(file).unwrap().to_vec()).unwrap();
    assert!(text.contains(was), "`{was}` is not in {file}");
    files.add(file, text.replacen(was, is, 1));
    read_course(&files).course.unwrap()
}

fn course() -> Course {
    read_course(&demo()).course.unwrap()
}

/// What is told about the formulas, those that do not resolve included.
fn told(course: &Course) -> Vec<Finding> {
    let mut all = Recipes::of(course).1;
    all.extend(formula_findings(course));
    all
}

#[track_caller]
fn finds(course: &Course, code: &str, level: Level) -> String {
    let all = told(course);
    let found = all.iter().find(|f| f.code.0 == code);
    let found = found.unwrap_or_else(|| panic!("no {code} in {all:#?}"));
    assert_eq!(found.level, level, "{}", found.message);
    assert!(found.place.is_some() && found.way_out.is_some(), "{code} has no place or no way out");
    found.message.clone()
}

/// The three formulas as overall formula and final dough, as the desk shows them.
#[test]
fn views_of_the_demo_formulas() {
    let course = course();
    let mut out = String::new();
    for formula in &course.formulas {
        let shares = Proportions::of(formula, &course.pantry).unwrap();
        for (part, used) in piece_needs(formula, 1) {
            let v = shares.views(&part, used).unwrap();
            let basis = if v.overall.by_flour { "flour" } else { "whole" };
            writeln!(
                out,
                "{} / {part}: {} % of the {basis}",
                formula.name,
                v.overall.total.number().round_dp(2).normalize()
            )
            .unwrap();
            for (line, grams) in v.overall.lines.iter().zip(&v.overall_grams) {
                let percent = line.percent.number().round_dp(2).normalize();
                writeln!(out, "  {:14} {percent:>6} % {:>9} g", line.item.as_str(), grams.to_decimal())
                    .unwrap();
            }
            let final_dough = &v.final_dough;
            for inner in &final_dough.inner {
                writeln!(
                    out,
                    "  ({}: {} g in, {} g out)",
                    inner.part,
                    inner.weighed.to_decimal(),
                    inner.used.to_decimal()
                )
                .unwrap();
            }
            writeln!(
                out,
                "  {} g in the bowl, {} g to the piece",
                final_dough.weighed.to_decimal(),
                final_dough.used.to_decimal()
            )
            .unwrap();
            // The views agree, to the milligram.
            assert_eq!(
                v.overall_grams.iter().sum::<Grams>(),
                final_dough.weighed + final_dough.beyond_weighed()
            );
            assert_eq!(final_dough.used, used);
        }
    }
    insta::assert_snapshot!(out);
}

/// The home recipes of the demo class: grams, cups and spoons, and the clock.
#[test]
fn home_recipes_of_the_demo_class() {
    let course = course();
    let mut out = String::new();
    for lesson in &course.lessons {
        let formula = course.formula(&lesson.formula).unwrap();
        let batch = HomeBatch::of(&course, formula, Some(lesson), None).unwrap();
        writeln!(out, "{}, {} at home, {} bowl", formula.name, batch.pieces, batch.bowls).unwrap();
        for part in &batch.parts {
            writeln!(out, " {}: {} g", part.part, part.weighed.to_decimal().normalize()).unwrap();
            for line in &part.lines {
                let name = match &line.what {
                    Ingredient::Item(id) => id.as_str(),
                    Ingredient::Part(id) => id.as_str(),
                };
                let volume = match &line.volume {
                    Some(Ok(v)) => format!("{v} ({:+.1} %)", v.error.to_f64()),
                    Some(Err(why)) => format!("{why:?}"),
                    None => String::new(),
                };
                let pieces =
                    line.pieces.map_or(String::new(), |(n, e)| format!("; {n} ({:+.1} %)", e.to_f64()));
                writeln!(out, "  {name:14} {:>6} g  {volume}{pieces}", line.grams.to_decimal().normalize())
                    .unwrap();
                // The page prints the two beside each other: they may not contradict.
                if let Some(Ok(v)) = &line.volume {
                    let off = (v.holds - line.grams).to_f64() / line.grams.to_f64() * 100.0;
                    assert!((off - v.error.to_f64()).abs() < 0.001);
                }
            }
            assert_eq!(part.lines.iter().map(|l| l.grams).sum::<Grams>(), part.weighed);
        }
        for s in &batch.steps {
            let about = if s.estimate { ", about" } else { "" };
            writeln!(out, "  {:11} {} to {}{about}", s.step.as_str(), s.from, s.to).unwrap();
        }
        writeln!(out, "  hands {}, in all {}", batch.hands_on, batch.in_all).unwrap();
        assert!(batch.steps.windows(2).all(|w| w[0].waits || w[1].waits || w[1].from >= w[0].to));
    }
    insta::assert_snapshot!(out);
}

/// At home eight buns and one crown are made by their own clock: two crowns in one tin are baked one after the other.
#[test]
fn one_tin_at_home_bakes_one_after_the_other() {
    let one = course();
    let two = with("formulas/walnut-crown.toml", "bake-loss = \"9 %\"", "bake-loss = \"9 %\"\nhome = 2");
    let bake = |course: &Course| {
        let lesson = course.lessons.iter().find(|l| l.id.as_str() == "walnut-crown").unwrap();
        let formula = course.formula(&lesson.formula).unwrap();
        let batch = HomeBatch::of(course, formula, Some(lesson), None).unwrap();
        let step = batch.steps.iter().find(|s| s.step.as_str() == "bake").unwrap().clone();
        (step.rounds, step.to - step.from)
    };
    let (rounds, minutes) = bake(&one);
    assert_eq!(rounds, 1);
    assert_eq!(bake(&two), (2, minutes.times(2)));
}

#[test]
fn slips_in_a_formula_are_told_with_the_numbers() {
    let crown = "formulas/walnut-crown.toml";
    let c = with(crown, "strong-flour = \"92 %\"", "strong-flour = \"82 %\"");
    assert_eq!(
        finds(&c, "flour-not-hundred", Level::Error),
        "the flours of `dough` add up to 90 %, not 100 %"
    );
    let c = with(crown, "scald = { flour = \"8 %\" }", "scald = { flour = \"108 %\" }");
    finds(&c, "preferment-larger-than-dough", Level::Error);
    let c = with(crown, "walnuts = \"45 %\"", "walnuts = \"35 %\"");
    assert_eq!(
        finds(&c, "whole-not-hundred", Level::Error),
        "the lines of `filling` add up to 90 %, not 100 %"
    );
    let c = with(crown, "salt = \"1.8 %\"", "salt = \"18 %\"");
    assert_eq!(
        finds(&c, "outside-published-range", Level::Warning),
        "salt is 18 % of the flour in `dough`; print goes from 1 % to 2.5 %"
    );
    let c = with(crown, "instant-yeast = \"1.3 %\"", "instant-yeast = \"3 %\"");
    finds(&c, "outside-usual-range", Level::Note);
    let c = with(crown, "hydration = \"", "hydration = \"1");
    finds(&c, "expectation-differs", Level::Warning);
    let c = with(crown, "hydration = \"", "wetness = \"");
    finds(&c, "unknown-expectation", Level::Warning);
    let c = with(crown, "filling = \"170 g\"", "filling = \"1170 g\"");
    let message = finds(&c, "tin-too-small", Level::Warning);
    assert!(message.contains("1678 g"), "{message}");
    let c = with(crown, "dough = \"500 g\"", "dough = \"150 g\"");
    finds(&c, "tin-too-large", Level::Warning);
}

#[test]
fn what_the_pantry_does_not_say_is_unknown() {
    let pantry = "pantry.toml";
    let butter = "composition = { water = \"17.94 %\", fat = \"81.11 %\"";
    let c = with(pantry, butter, "composition = { water = \"17.94 %\"");
    let message = finds(&c, "composition-unknown", Level::Note);
    assert!(message.contains("fat (between"), "{message}");
    let c = with(pantry, butter, "composition = { fat = \"81.11 %\"");
    finds(&c, "expectation-unknown", Level::Note);
    // Pearl sugar is in no table; without its own density it has no cups.
    let c = with(pantry, "density = \"0.68 g/ml\"\n", "");
    finds(&c, "no-density", Level::Note);
}

#[test]
fn temperatures_that_cannot_be_meant() {
    let c = with("lessons/walnut-crown.toml", "aim = \"25 C\"", "aim = \"77 C\"");
    assert_eq!(finds(&c, "absurd-temperature", Level::Error), "a dough of 77 C can't be meant");
    let c = with("lessons/walnut-crown.toml", "heat = \"170 C\"", "heat = \"170 F\"");
    // 170 F are 76.7 C: odd, but a drying oven has it.
    assert!(!told(&c).iter().any(|f| f.code.0 == "absurd-temperature"));
}

/// Nothing of level error is told about the demo class.
#[test]
fn the_demo_formulas_are_sound() {
    let errors: Vec<_> = told(&course()).into_iter().filter(|f| f.level == Level::Error).collect();
    assert_eq!(errors, []);
}

/// The crown's dough in a small mixer: milk from the fridge is warmed to make up for cold eggs; in a hot room after a warm batch the
/// milk can't be cold enough, and as it takes no ice the flour is chilled.
#[test]
fn milk_and_egg_take_no_ice() {
    use benchroll::course::DoughClass;
    use benchroll::finding::Located;
    use benchroll::reckon::dough_temperature::{Advice, for_batch};
    use benchroll::units::{Celsius, Kelvins};
    let mut course = course();
    let formula = course.formula(&"walnut-crown".into()).unwrap().clone();
    let dough = Proportions::of(&formula, &course.pantry)
        .unwrap()
        .for_used(&"dough".into(), Grams::whole(1000))
        .unwrap();
    let advice = |course: &Course, before: Option<i64>| {
        let mut mixer = course.kitchen.mixers[0].clone();
        mixer.friction = Some(Located::assumed(Kelvins::whole(12)));
        for_batch(
            Celsius::whole(25),
            &dough,
            DoughClass::Rich,
            &course.pantry,
            &course.kitchen,
            Some(&mixer),
            before.map(Celsius::whole),
        )
    };
    let cool = advice(&course, None);
    // The scald makes four terms and friction four thirds of 12: 100 - 3 x 21 - 16 = 21 for milk and egg together.
    assert_eq!((cool.conditions.terms(), cool.liquid), (4, Celsius::whole(21)));
    assert!(matches!(cool.advice, Advice::LiquidAt(t) if t > Celsius::whole(21)), "{:?}", cool.advice);
    course.kitchen.room = Located::assumed(Celsius::whole(27));
    let hot = advice(&course, Some(29));
    assert!(matches!(hot.advice, Advice::ChillFlour(t) if t < Celsius::whole(27)), "{:?}", hot.advice);
}
