//! What formulas yield, yeast for another rise, the tap, the height above the sea, and why so much at home.
use super::{course, finds, told, with};
use benchroll::course::Course;
use benchroll::finding::Level;
use benchroll::reckon::formula::Proportions;
use benchroll::reckon::recipes::Recipes;
use benchroll::units::Grams;

/// How cold the tap runs is the kitchen's to say; where it does not, 15 °C is reckoned with and said.
#[test]
fn the_tap_is_the_kitchens() {
    use benchroll::course::{DoughClass, ItemKind};
    use benchroll::reckon::dough_temperature::{Advice, Mix, for_batch};
    use benchroll::units::{Celsius, Kelvins};
    let ice = |kitchen: &str| {
        let mut course = with("kitchen.toml", "room = \"21 C\"", kitchen);
        let milk = course.pantry.items.iter_mut().find(|i| i.id.value.as_str() == "milk").unwrap();
        milk.kind.value = ItemKind::Water;
        let formula = course.formula(&"custard-buns".into()).unwrap().clone();
        let shares = Proportions::of(&formula, &course.pantry).unwrap();
        let dough = shares.for_used(&"dough".into(), Grams::whole(1000)).unwrap();
        let mut mixer = course.kitchen.mixers[0].clone();
        mixer.friction = Some(benchroll::finding::Located::assumed(Kelvins::whole(12)));
        let (aim, kitchen) = (Celsius::whole(25), &course.kitchen);
        let mix = Mix {
            wanted: aim,
            dough: &dough,
            class: DoughClass::Enriched,
            mixer: Some(&mixer),
            before: None,
            part: kitchen.room.value,
        };
        for_batch(mix, &course.pantry, kitchen)
    };
    let grams = |kitchen: &str| match ice(kitchen).advice {
        Advice::Ice { ice, .. } => ice,
        other => panic!("{kitchen}: {other:?}"),
    };
    let assumed = grams("room = \"29 C\"");
    let cold = grams("room = \"29 C\"\ntap-water = \"12 C\"");
    let warm = grams("room = \"29 C\"\ntap-water = \"22 C\"");
    assert!(cold < assumed && assumed < warm, "{cold:?} {assumed:?} {warm:?}");
    assert!(ice("room = \"29 C\"").tap_assumed());
    assert!(!ice("room = \"29 C\"\ntap-water = \"15 C\"").tap_assumed());
    let boiling = with("kitchen.toml", "room = \"21 C\"", "room = \"21 C\"\ntap-water = \"59 F\"");
    assert_eq!(boiling.kitchen.tap_water.as_ref().unwrap().value, Celsius::whole(15));
    let slip = with("kitchen.toml", "room = \"21 C\"", "room = \"21 C\"\ntap-water = \"55 C\"");
    assert!(finds(&slip, "absurd-temperature", Level::Error).contains("tap water of 55 C"));
    for (was, is, said) in [
        ("room = \"21 C\"", "room = \"70 C\"", "a room of 70 C"),
        ("friction = \"12 C\"", "friction = \"120 C\"", "a friction of 120 C"),
        ("at = \"28 C\"", "at = \"82 C\"", "a warm place of 82 C"),
    ] {
        let told = finds(&with("kitchen.toml", was, is), "absurd-temperature", Level::Error);
        assert!(told.contains(said), "{told}");
    }
}

/// High up water boils below some cores, and dough rises faster. Rows `alt-boil-table`, `alt-yeast`.
#[test]
fn a_kitchen_in_the_mountains() {
    let high =
        |m: u32| with("kitchen.toml", "room = \"21 C\"", &format!("room = \"21 C\"\naltitude = \"{m} m\""));
    let codes = |course: &Course| told(course).iter().map(|f| f.code.0.to_owned()).collect::<Vec<_>>();
    for code in ["core-never-reached", "rises-faster-here"] {
        assert!(!codes(&high(400)).contains(&code.to_owned()), "{code}");
    }
    assert!(finds(&high(1600), "rises-faster-here", Level::Note).contains("1600 m"));
    let told = finds(&high(3100), "core-never-reached", Level::Warning);
    assert!(told.contains("90 C is wanted") && told.contains("89.8 C"), "{told}");
}

/// What the formulas yield, by sums done by hand.
#[test]
fn what_the_demo_formulas_yield() {
    use benchroll::reckon::yields::{Baked, of};
    let near = |is: f64, wanted: f64, by: f64| assert!((is - wanted).abs() <= by, "{is} is not {wanted}");
    let course = course();
    let recipes = Recipes::of(&course).0;
    let made = |id: &str| of(&course, recipes.get(&id.into(), None).unwrap());
    let crown = made("walnut-crown");
    // 500 + 170 + 8, less 9 %.
    assert_eq!(crown.piece, Grams::whole(678));
    assert!(matches!(crown.baked, Baked::Written(_, g) if g == Grams::from_mg(616_980)));
    // 1000 g of flour x 198.06 % x 0.97 = 1921.182 g: three of 500 g.
    let (_, count) = crown.from_flour.clone().unwrap();
    assert_eq!((count.pieces, count.left), (3, Grams::from_mg(421_182)));
    let sheet = crown.sheet.unwrap();
    // 500 / 1.197 / (30 x 40) and 670 / 1.197 / 1200, in centimetres.
    near(sheet.dough.to_f64(), 0.3481, 0.001);
    near(sheet.filled.to_f64(), 0.4664, 0.001);
    near(sheet.slices.unwrap().1.to_f64(), 3.75, 0.001);
    // Row `spiral-archimedes`: the square root of 40 / (pi x 0.4664).
    near(sheet.roll.unwrap().turns, 5.22, 0.06);
    near(crown.tin.unwrap().1.ratio.to_f64(), 1884.956 / 678.0, 0.001);
    // The piece is not of dough alone.
    assert_eq!(crown.in_all, None);
    let braid = made("four-braid");
    // 0.97 x 0.9 = 0.873 is left: 1145.475 g for a kilogram.
    let (lost, weighed) = braid.in_all.unwrap();
    assert_eq!(
        (lost.number().normalize().to_string().as_str(), weighed),
        ("12.7", Grams::from_mg(1_145_475))
    );
    let strands = braid.strands.unwrap();
    assert_eq!(strands.mass, Grams::whole(115));
    // The root of 4 x 115 / (1.197 x pi x 42), and 115 / (1.197 x pi).
    near(strands.written.unwrap().1.to_f64(), 1.7066, 0.001);
    near(strands.length.to_f64(), 30.581, 0.01);

    let unknown = with("formulas/walnut-crown.toml", "bake-loss = \"9 %\"\n", "");
    let by_line = of(&unknown, Recipes::of(&unknown).0.get(&"walnut-crown".into(), None).unwrap()).baked;
    // (678 - 45.654) / 1.0624, row `loss-bake-regression`.
    assert!(matches!(by_line, Baked::ByLine(g) if (g.to_f64() - 595.205).abs() < 0.01), "{by_line:?}");
}

/// Yeast for another rise: an estimate by the course's rule, and said to be beyond it where it is.
#[test]
fn yeast_for_another_rise() {
    use benchroll::reckon::rise::for_rise;
    use benchroll::units::{Celsius, Minutes};
    let course = course();
    let recipes = Recipes::of(&course).0;
    let rises = for_rise(&course, &recipes, Minutes(150), Celsius::whole(25));
    assert_eq!(rises.len(), 3);
    let crown = rises.iter().find(|r| r.formula.as_str() == "walnut-crown").unwrap();
    // 1.3 % for the middle of 60 to 90 min at the mix's 25 °C: half of it for twice the time.
    assert_eq!((crown.known.time, crown.known.at), (Minutes(75), Celsius::whole(25)));
    let about = crown.about.unwrap();
    assert_eq!(about.about.number().to_string(), "0.65");
    assert!(about.within_rules);
    let quick = for_rise(&course, &recipes, Minutes(20), Celsius::whole(25));
    assert!(quick.iter().all(|r| !r.about.unwrap().within_rules));
}

/// Asked of the home batch, the reason is that of the home batch, down to the spoon and the line of the file.
#[test]
fn why_so_much_at_home() {
    use crate::support::Sealed;
    let sealed = Sealed::demo();
    let said = sealed.run(&["scale", "course", "--for", "home", "--why", "butter"]);
    for step in [
        "Unsalted butter at home, in 7 home batches (pantry.toml:",
        "butter is 22 % of the 198.06 % that its lines come to",
        "57.256 g on a scale that shows 1 g: 57 g (course.toml:",
        "57 g at 0.96 g/ml measure 1/4 cup, which holds 56.781 g: -0.4 %",
    ] {
        let flat = said.stdout.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(flat.contains(step), "{step}\n{}", said.stdout);
    }
    let same = sealed.run(&["scale", "course", "--why", "butter@home"]);
    assert_eq!(said.stdout, same.stdout);
    let slip = sealed.run(&["scale", "course", "--rise", "90 min at 75 C"]);
    assert_eq!(slip.exit, Some(2));
}
