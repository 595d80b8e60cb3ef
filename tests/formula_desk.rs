//! The formula desk on the demo class: what its formulas and home recipes come to, and what slips in them are told.
mod cold;
mod home_clock;
mod yields;

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

/// At home eight buns and one crown are made by their own clock. Two tins of 21 cm and the air between them are 44.5 cm: two crowns
/// stand on a rack of 45 cm and are baked at once, the third waits.
#[test]
fn a_home_oven_bakes_what_stands_on_its_rack_at_once() {
    let one = course();
    let home = |n: u32| {
        let line = format!("bake-loss = \"9 %\"\nhome = {n}");
        with("formulas/walnut-crown.toml", "bake-loss = \"9 %\"", &line)
    };
    let bake = |course: &Course| {
        let lesson = course.lessons.iter().find(|l| l.id.as_str() == "walnut-crown").unwrap();
        let formula = course.formula(&lesson.formula).unwrap();
        let batch = HomeBatch::of(course, formula, Some(lesson), None).unwrap();
        let step = batch.steps.iter().find(|s| s.step.as_str() == "bake").unwrap().clone();
        (step.rounds, step.at_once, step.to - step.from)
    };
    let (rounds, at_once, minutes) = bake(&one);
    assert_eq!((rounds, at_once), (1, None));
    assert_eq!(bake(&home(2)), (1, Some(2), minutes));
    assert_eq!(bake(&home(3)), (2, Some(2), minutes.times(2)));
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
    let c = with("lessons/walnut-crown.toml", "heat = \"170 C\"", "heat = \"210 F\"");
    // 210 F are 98.9 C: odd, but a drying oven has it, and it is above the core of 90 C.
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
    use benchroll::reckon::dough_temperature::{Advice, Mix, for_batch};
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
        let mix = Mix {
            wanted: Celsius::whole(25),
            dough: &dough,
            class: DoughClass::Rich,
            mixer: Some(&mixer),
            before: before.map(Celsius::whole),
            part: course.kitchen.room.value,
        };
        for_batch(mix, &course.pantry, &course.kitchen)
    };
    let cool = advice(&course, None);
    // The scald makes four terms and friction four thirds of 12: 100 - 3 x 21 - 16 = 21 for milk and egg together.
    assert_eq!((cool.conditions.terms(), cool.liquid), (4, Celsius::whole(21)));
    assert!(matches!(cool.advice, Advice::LiquidAt(t) if t > Celsius::whole(21)), "{:?}", cool.advice);
    course.kitchen.room = Located::assumed(Celsius::whole(27));
    let hot = advice(&course, Some(29));
    assert!(matches!(hot.advice, Advice::ChillFlour(t) if t < Celsius::whole(27)), "{:?}", hot.advice);
}

/// Where sources disagree the course chooses, and the numbers follow.
#[test]
fn a_course_chooses_its_conventions() {
    use benchroll::reckon::yeast::{YeastKind, instead_of};
    let chosen = |line: &str| with("course.toml", "[safety]", &format!("[conventions]\n{line}\n\n[safety]"));
    let sweet = |course: &Course| {
        let of = |f: &&Finding| f.code.0 == "osmotolerant-yeast";
        told(course).iter().filter(of).map(|f| f.message.clone()).collect::<Vec<_>>()
    };
    // Buns have 13 % sugar, the crown 12 %, the braid 6 %. Rows `y-sugar-slow-5`, `y-sugar-7`, `y-sugar-slow`.
    assert_eq!(sweet(&course()).len(), 2);
    assert_eq!(sweet(&chosen("sweet-yeast-above = \"12 %\"")).len(), 1);
    let all = sweet(&chosen("sweet-yeast-above = \"5 %\""));
    assert_eq!(all.len(), 3);
    assert!(all.iter().any(|m| m.contains("6 % of the flour") && m.contains("over the 5 %")), "{all:?}");

    // `y-conv-hamelman`: 0.33 for instant yeast; `y-conv-half`: 0.5.
    let fresh = |course: &Course| {
        let formula = course.formula(&"four-braid".into()).unwrap();
        let (kind, grams) = HomeBatch::of(course, formula, None, None).unwrap().yeast.unwrap();
        assert_eq!(kind, YeastKind::Instant);
        let others = instead_of(grams, kind, course.settings.conventions.yeast.value);
        others[0].1.to_f64() / grams.to_f64()
    };
    assert!((fresh(&course()) - 1.0 / 0.33).abs() < 0.001);
    assert!((fresh(&chosen("yeast = \"1/2\"")) - 2.0).abs() < 0.001);

    // One crown by `bp-hydration-water`, `bp-hydration-liquids`, `bp-hydration-naive`: 54.86, 62 and 0 %.
    finds(&chosen("hydration = \"liquids\""), "expectation-differs", Level::Warning);
    let naive = finds(&chosen("hydration = \"water-only\""), "expectation-differs", Level::Warning);
    assert!(naive.contains("reckons to 0 %") && naive.contains("62 %"), "{naive}");
    assert!(!told(&course()).iter().any(|f| f.code.0 == "expectation-differs"));

    // 75 min at 28 C are at 21 C: 75 x 2^(12.6 / 17) = 125 by `y-17f`; 75 x 1.1^7 = 146 by `y-10pct`.
    let proof = |course: &Course| {
        let lesson = course.lesson(&"walnut-crown".into()).unwrap();
        let formula = course.formula(&lesson.formula.value).unwrap();
        let batch = HomeBatch::of(course, formula, Some(lesson), None).unwrap();
        let step = batch.steps.iter().find(|s| s.step.as_str() == "proof").unwrap().clone();
        (step.to - step.from).get()
    };
    assert_eq!(proof(&course()), 125);
    assert_eq!(proof(&chosen("rise = \"10 % a degree\"")), 145);
}

/// A rise and a score are drawn where their measures are written, and only there.
#[test]
fn a_rise_and_a_score_are_drawn_from_their_measures() {
    use benchroll::reckon::drawings::Drawing;
    use benchroll::reckon::drawn::of_step;
    use benchroll::units::{Centimetres, Percent};
    let braid = "lessons/four-braid.toml";
    let mut files = demo();
    let mut edit = |file: &str, was: &str, is: &str| {
        let text = String::from_utf8(files.bytes(file).unwrap().to_vec()).unwrap();
        assert!(text.contains(was), "{was}");
        files.add(file, text.replacen(was, is, 1));
    };
    edit(
        braid,
        "stands = \"60 to 90 min\",",
        "stands = \"60 to 90 min\", rises-to = \"180 %\", draw = \"rise-level\",",
    );
    edit(braid, "draw = \"egg-wash\"", "draw = \"score\"");
    let drawn = |files: &FileTree, step: &str, pieces: u32| {
        let course = read_course(files).course.unwrap();
        let lesson = course.lesson(&"four-braid".into()).unwrap();
        let step = lesson.step(&step.into()).unwrap();
        of_step(&course, &Recipes::of(&course).0, lesson, step, None, pieces)
    };
    // Neither the tub's inside nor the cuts are written yet.
    assert_eq!(drawn(&files, "rise", 2), []);
    assert_eq!(drawn(&files, "brush", 2), []);
    let mut edit = |file: &str, was: &str, is: &str| {
        let text = String::from_utf8(files.bytes(file).unwrap().to_vec()).unwrap();
        files.add(file, text.replacen(was, is, 1));
    };
    edit("kitchen.toml", "holds = \"1.6 kg\"", "holds = \"1.6 kg\"\ninside = \"20 x 10 cm, 12 cm deep\"");
    edit("formulas/four-braid.toml", "strands = 4", "strands = 4\ncuts = 3\ncut-depth = \"5 mm\"");
    // 920 g at 1.197 g/cm3 (row `dens-mixed`) are 769 cm3: 3.84 cm on 200 cm2, to the half centimetre 4.
    let [Drawing::RiseLevel { tub_width, tub_height, start, to }] = drawn(&files, "rise", 2)[..] else {
        panic!("a rise")
    };
    assert_eq!((tub_width, tub_height), (Centimetres::whole(20), Centimetres::whole(12)));
    assert_eq!(start, Centimetres::whole(4));
    assert_eq!(to, Percent::new(180.into()));
    // Four braids need two tubs: as high in each.
    let [Drawing::RiseLevel { start: four, .. }] = drawn(&files, "rise", 4)[..] else { panic!("a rise") };
    assert_eq!(four, start);
    let [Drawing::Score { length, cuts, depth }] = drawn(&files, "brush", 2)[..] else { panic!("a score") };
    assert_eq!((length, cuts, depth), (Centimetres::whole(32), 3, Centimetres::from_thousandths(500)));
}

/// What each mix of the demo class wants, reckoned by hand from its own amounts: eggs as the fridge keeps them, milk makes up for them.
#[test]
fn the_mixes_of_the_demo_class() {
    use benchroll::reckon::dough_temperature::Advice;
    let reckoned = crate::documents::demo::reckoned();
    let mixes = reckoned.mixes();
    let crown = |no: u32| {
        mixes.iter().find(|m| m.batch.lesson.as_str() == "walnut-crown" && m.batch.no == no).unwrap()
    };
    let milk = |no: u32| match crown(no).temperature.advice {
        Advice::LiquidAt(at) => at.to_f64(),
        other => panic!("{other:?}"),
    };
    // Which of the two in the large mixer is first, the plan decides; their amounts are in the same ratio.
    let cold = |no: u32| crown(no).temperature.conditions.bowl.thousandths() == 0;
    let in_large = |no: &u32| crown(*no).mixer.as_ref().is_some_and(|m| m.as_str() == "large-mixer");
    let (large, small): (Vec<u32>, Vec<u32>) = (1..=3).partition(in_large);
    let [one, other] = large[..] else { panic!("{large:?}") };
    let (first, second) = if cold(one) { (one, other) } else { (other, one) };
    // The large mixer's 14 K belong to three terms: 18.67 to four. 4 x 25 - 3 x 21 - 18.67 = 18.33 for all liquid; of it 312.4 g are
    // egg at 4 and 406.1 g are milk: 29.36.
    assert_eq!(crown(first).mixer.as_ref().map(|m| m.as_str()), Some("large-mixer"));
    assert!((milk(first) - 29.36).abs() < 0.05, "{}", milk(first));
    // The second leaves its bowl 30 min later: a tenth of four times 25 - 21 less for the liquid, 26.5 for the milk.
    assert_eq!(crown(second).temperature.conditions.bowl.thousandths(), 1600);
    assert!((milk(second) - 26.53).abs() < 0.05, "{}", milk(second));
    // Without eggs milk is all the liquid; the small mixer's 12 K are 16 of four.
    assert!((milk(small[0]) - 21.0).abs() < 0.01, "{}", milk(small[0]));
    assert!(mixes.iter().all(|m| m.task.is_some() && m.temperature.conditions.wanted.to_f64() == 25.0));
    // Every batch of a step that states an aim has its row.
    let batches: usize = reckoned
        .choice
        .batches
        .iter()
        .filter(|((_, p), _)| p.as_str() == "dough")
        .map(|(_, b)| b.len())
        .sum();
    assert_eq!(mixes.len(), batches);
}

/// `--why ITEM@station-N` goes from the pieces down to the line of the file, and its figures multiply up.
#[test]
fn why_a_station_has_its_butter() {
    use benchroll::pipeline::{Asked, Unwatched, reckon, why};
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/courses/small");
    let outcome = reckon(&folder::load(&root).unwrap(), Asked::default(), &Unwatched);
    let reckoned = outcome.reckoned.as_ref().unwrap();
    assert!(why::things(reckoned).iter().any(|t| t == "butter@station-2"));
    let told = why::why(reckoned, &outcome.sources, "butter@station-2");
    let text: Vec<&str> = told.iter().map(|r| r.text.as_str()).collect();
    let has = |words: &str| assert!(text.iter().any(|t| t.contains(words)), "{words}: {text:#?}");
    // One loaf of 700 g, 2 % lost, butter 10 of 178.8: 700 / 0.98 x 10 / 178.8 = 39.949.
    has("1 for each station: 1 pieces (lessons/soft-loaf.toml:2)");
    has("1 x 700 g = 700 g (formulas/soft-loaf.toml:4)");
    has("700 / (1 - 2 %) = 714.286 g are weighed (formulas/soft-loaf.toml:10)");
    has("714.286 x 10 / 178.8 = 39.949 g (formulas/soft-loaf.toml:11)");
    assert!(why::why(reckoned, &outcome.sources, "butter@station-9").is_empty());
}

/// What a program reads of the home batches and of the formulas adds up: lines to parts, parts to the overall formula.
#[test]
fn home_and_formulas_for_programs_add_up() {
    use benchroll::output::json::formulas::FormulasView;
    use benchroll::output::json::home::HomeView;
    use benchroll::output::json::to_text;
    use benchroll::reckon::class::seat;
    use benchroll::reckon::home::home_batches;
    use serde_json::Value;
    let course = course();
    let (class, _) = seat(&course, None);
    let read = |text: String| serde_json::from_str::<Value>(&text).unwrap();
    let mg = |v: &Value| (v.as_f64().unwrap() * 1000.0).round() as i64;
    let sum = |lines: &Value| lines.as_array().unwrap().iter().map(|l| mg(&l["grams"])).sum::<i64>();

    let home = read(to_text(&HomeView::of(&course, &home_batches(&course, &class))));
    let batches = home["batches"].as_array().unwrap();
    // Three formulas, each as it is; the crown without nuts and without egg, the others without egg.
    assert_eq!((batches.len(), home["measures"].as_str()), (7, Some("us")));
    for batch in batches {
        for part in batch["parts"].as_array().unwrap() {
            assert_eq!(sum(&part["ingredients"]), mg(&part["total_grams"]), "{part}");
            for line in part["ingredients"].as_array().unwrap() {
                let Some(measure) = line.get("measure") else { continue };
                let off =
                    (mg(&measure["grams"]) - mg(&line["grams"])) as f64 / mg(&line["grams"]) as f64 * 100.0;
                assert!((off - measure["error_percent"].as_f64().unwrap()).abs() < 0.01, "{line}");
            }
        }
        let steps = batch["steps"].as_array().unwrap();
        let end = steps.iter().map(|s| s["to_minutes"].as_i64().unwrap()).max();
        assert_eq!(batch["in_all_minutes"].as_i64(), end);
    }

    let formulas = read(to_text(&FormulasView::of(&course, &Recipes::of(&course).0)));
    for one in formulas["formulas"].as_array().unwrap() {
        assert_eq!(sum(&one["overall"]), mg(&one["overall_grams"]), "{one}");
        assert_eq!(sum(&one["final_dough"]["lines"]), mg(&one["final_dough"]["weighed_grams"]));
        let percent: f64 =
            one["overall"].as_array().unwrap().iter().map(|l| l["percent"].as_f64().unwrap()).sum();
        assert!((percent - one["overall_percent"].as_f64().unwrap()).abs() < 1e-6);
        for line in one["overall"].as_array().unwrap() {
            let from: f64 =
                line["from"].as_array().unwrap().iter().map(|f| f["percent"].as_f64().unwrap()).sum();
            assert!((from - line["percent"].as_f64().unwrap()).abs() < 1e-6, "{line}");
        }
    }
}
