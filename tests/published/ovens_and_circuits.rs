//! Ovens and circuits: `baking.toml`, topic 8, and `food-safety.toml`, circuits.
use super::build::{dec, near, pc};
use crate::support::Sealed;
use crate::timetable::{demo, effort, inputs, planned, small};
use benchroll::course::{Circuit, Course, UnitSystem};
use benchroll::finding::Located;
use benchroll::read::{folder, read_course};
use benchroll::reckon::formula_findings::formula_findings;
use benchroll::reckon::options::options;
use benchroll::reckon::ovens::{ABOVE_A_TIN, AIR_BETWEEN_TINS, FAN_LESS, heat_in, positions};
use benchroll::reckon::plan::check::check;
use benchroll::reckon::plan::choose;
use benchroll::reckon::plan::tasks::change_over;
use benchroll::reckon::plan::timetable::Plan;
use benchroll::reckon::power;
use benchroll::units::{Celsius, Centimetres, Kelvins, Watts};
use jiff::SignedDuration;

/// `oven-convection-manual` (Viking VDSC530, p. 18: 25 F less, which is 13.9 K), `oven-convection-mil` (US TM 10-412, A-023(1): 15 to
/// 25 F), `oven-convection-school` (MRS 1352 and 1353: 50 F between a measured pair), `oven-convection-rule` (common practice: 14
/// to 20 K). What we take off lies within the rule and between the manuals and the measured pair.
#[test]
fn oven_convection() {
    let kelvins = |f: f64| f / 1.8;
    let ours = FAN_LESS.to_f64();
    assert!((14.0..=20.0).contains(&ours));
    assert!(ours >= kelvins(25.0) && ours <= kelvins(50.0) && ours >= kelvins(15.0));
}

/// `oven-pan-gap` (common practice): 2.5 to 4 cm between tins, 4 cm above the dough.
#[test]
fn oven_pan_gap() {
    assert!((2.5..=4.0).contains(&AIR_BETWEEN_TINS.to_f64()));
    near(ABOVE_A_TIN.to_f64(), 4.0, 0.001);
}

/// `oven-capacity` (common practice): three or four tins in a half-size convection oven. The demo's oven of two racks takes four.
#[test]
fn oven_capacity() {
    let course = demo();
    let tin = &course.kitchen.tins[0].outside.value;
    let size = benchroll::course::Area { width: tin.width, depth: tin.depth };
    let (each, racks) = positions(&course.kitchen.ovens[0], size, tin.height, AIR_BETWEEN_TINS);
    assert!((3..=4).contains(&(each * racks)), "{each} on each of {racks}");
    // A tin that is taller than the rack's clear height stands on none.
    assert_eq!(positions(&course.kitchen.ovens[0], size, Centimetres::whole(40), AIR_BETWEEN_TINS).0, 0);
}

/// `oven-preheat` (Jenn-Air, p. 9: 8 to 13 min for a home range) and `oven-preheat-other` (common practice: 15 to 25 min for a
/// convection oven, 45 to 60 for a deck): an oven that gets to 170 degC in such a time is turned on so long before its load, a part
/// of a minute rounded up. One of which nothing is known is given the hour of the slowest.
#[test]
fn oven_preheat() {
    let oven = |rate: f64| {
        let mut oven = demo().kitchen.ovens.remove(0);
        oven.heats.value = Kelvins::from_thousandths((rate * 1000.0) as i64);
        oven
    };
    let (room, hot) = (Celsius::whole(20), Celsius::whole(170));
    for minutes in [8, 13, 15, 25, 45, 60] {
        let needs = change_over(&oven(150.0 / f64::from(minutes)), room, hot).get();
        assert!((i64::from(minutes)..=i64::from(minutes) + 1).contains(&needs), "{minutes}: {needs}");
    }
    assert_eq!(change_over(&oven(0.0), room, hot).get(), 60);
}

/// `oven-temps` (W. Gisslen, Professional Cooking, 2014, ch. 31, and Professional Baking, 2008, ch. 9; Bakels R520L), `oven-times-mil` (US TM
/// 10-412, D-010, D-009, D-036), `oven-times-other` (N. Malgieri 2017; a college's soft rolls, 2009; a chef's buns, 2023; MRS 1352 and
/// 1353; a pastry educator's babka): no temperature in print is refused, in the degrees in which it is printed; most of those in
/// Fahrenheit, written without their F, are.
#[test]
fn oven_temps() {
    let fahrenheit = [300, 350, 375, 400, 425, 450, 475];
    let celsius = [220, 225];
    let refused = |heat: &str| {
        let text = Sealed::small();
        let text =
            text.edit("course/lessons/soft-loaf.toml", "heat = \"180 C\"", &format!("heat = \"{heat}\""));
        let files = folder::load(&text.path("course")).unwrap();
        let course = read_course(&files).course.unwrap();
        formula_findings(&course).iter().any(|f| f.code.0 == "absurd-temperature")
    };
    for degrees in fahrenheit {
        assert!(!refused(&format!("{degrees} F")), "{degrees}");
        assert_eq!(refused(&format!("{degrees} C")), degrees > 350, "{degrees}");
    }
    for degrees in celsius {
        assert!(!refused(&format!("{degrees} C")), "{degrees}");
    }
}

/// `oven-times-other`: babka at 300 F in a convection oven. A lesson written for a fan is not made cooler by one; without a fan the dial
/// shows more.
#[test]
fn oven_times_other_is_for_a_fan_oven() {
    let mut oven = demo().kitchen.ovens.remove(0);
    let printed = Celsius::from_fahrenheit(dec("300")).unwrap();
    assert_eq!(heat_in(&oven, printed, true, UnitSystem::Us), printed);
    oven.fan = false;
    // 300 F and 15 K more are 327 F: a dial has 325.
    let (said, more) = (heat_in(&oven, printed, true, UnitSystem::Us), printed.raised(FAN_LESS));
    assert_eq!(said, Celsius::from_fahrenheit(dec("325")).unwrap());
    assert!((said.above(more)).to_f64().abs() < 1.5);
}

/// `oven-loading` (A. Willan, 1989; W. Gisslen, Professional Baking, 2008, ch. 6: dough must rise without touching what is above): a tin
/// under a rack with less than the room of `oven-pan-gap` above it is told, one with as much is not; one that is higher than the rack
/// is clear goes in nowhere.
#[test]
fn oven_loading() {
    let told = |clear: i64| {
        let mut course = demo();
        course.kitchen.ovens[0].clear.value = Centimetres::from_thousandths(clear);
        let (class, portions, _) = inputs(&course, None);
        let (_, findings) = options(&course, &class, &portions);
        let codes = ["little-room-above", "fits-no-oven"];
        let found = findings.iter().map(|f| f.code.0).find(|c| codes.contains(c));
        found.unwrap_or("")
    };
    // The round tin is 7 cm high.
    assert_eq!(told(11_000), "");
    assert_eq!(told(10_900), "little-room-above");
    assert_eq!(told(6_900), "fits-no-oven");
}

/// The small class's oven on one circuit: what the plan lets it draw.
fn with_circuit(amps: &str, volts: &str, continuous: Option<&str>, watts: &str) -> Option<i32> {
    let share = continuous.map_or_else(String::new, |c| format!(", continuous = \"{c}\""));
    let sealed = Sealed::small()
        .edit(
            "course/kitchen.toml",
            "sinks = 1\n",
            &format!(
                "sinks = 1\ncircuits = [{{ id = \"wall\", carries = \"{amps}\", volts = {volts}{share} }}]\n"
            ),
        )
        .edit(
            "course/kitchen.toml",
            "id = \"oven\"\n",
            &format!("id = \"oven\"\ncircuit = \"wall\"\nwatts = \"{watts} W\"\n"),
        );
    sealed.run(&["plan", "course"]).exit
}

/// `el-us-15` and `el-us-continuous` (NFPA 70, 210.20(A)): 15 A at 120 V are 1800 W, and 1440 W of what runs for hours.
#[test]
fn el_us_15() {
    assert_eq!(with_circuit("15 A", "120", Some("80 %"), "1440"), Some(0));
    assert_eq!(with_circuit("15 A", "120", Some("80 %"), "1441"), Some(1));
    assert_eq!(with_circuit("15 A", "120", None, "1800"), Some(0));
}

/// `el-us-20` (NFPA 70, 210.20(A)): 20 A at 120 V carry 1920 W of what runs for hours.
#[test]
fn el_us_20() {
    assert_eq!(with_circuit("20 A", "120", Some("80 %"), "1920"), Some(0));
    assert_eq!(with_circuit("20 A", "120", Some("80 %"), "1921"), Some(1));
}

/// `el-uk-plug` (BS 1363-1): 13 A at 230 V are 2990 W. From memory, `el-eu` 16 A: 3680 W; `el-au` 10 A: 2300 W.
#[test]
fn el_uk_plug() {
    for (amps, most) in [("13 A", 2990), ("16 A", 3680), ("10 A", 2300)] {
        assert_eq!(with_circuit(amps, "230", None, &most.to_string()), Some(0), "{amps}");
        assert_eq!(with_circuit(amps, "230", None, &(most + 1).to_string()), Some(1), "{amps}");
    }
}

/// `el-us-continuous-def` (NFPA 70, Article 100: three hours and more) and `el-us-single` (210.23(A)(1): one plug-in appliance takes at
/// most 80 %): the share holds for whatever is on, however short, which is never less strict: this oven bakes for half an hour.
/// From memory, `el-ca` (CSA C22.1, 8-104): the same 80 %; `el-us-fixed` (210.23(A)(2)): 50 % for what is fixed beside sockets.
#[test]
fn el_us_continuous_def() {
    for (amps, share, most) in [("15 A", "80 %", 1440), ("20 A", "80 %", 1920), ("15 A", "50 %", 900)] {
        assert_eq!(with_circuit(amps, "120", Some(share), &most.to_string()), Some(0), "{amps} {share}");
        assert_eq!(
            with_circuit(amps, "120", Some(share), &(most + 1).to_string()),
            Some(1),
            "{amps} {share}"
        );
    }
}

/// `el-uk-double` (common practice: BS 1363-2 as quoted by electricians; Electrical Safety Council): a double socket 20 A in all, an
/// extension lead 13 A, about 3000 W. As circuits of 230 V: 4600 and 2990 W, no more than the rule.
#[test]
fn el_uk_double() {
    for (amps, most, rule) in [("20 A", 4600, 4600), ("13 A", 2990, 3000)] {
        assert!(most <= rule);
        assert_eq!(with_circuit(amps, "230", None, &most.to_string()), Some(0), "{amps}");
        assert_eq!(with_circuit(amps, "230", None, &(most + 1).to_string()), Some(1), "{amps}");
    }
}

/// `el-sum` (common practice): everything that may run at once is added, warming up included; an oven, a proofer and a fridge count as
/// running for hours, and here so does a mixer, which is no less strict. A fridge is on all the time; the mixer runs while the oven
/// heats.
#[test]
fn el_sum() {
    let with = |fridge: i64| {
        let mut course = small();
        let on = || Some(Located::assumed("wall".into()));
        let watts = |w: i64| Some(Located::assumed(Watts::whole(w)));
        course.kitchen.circuits = vec![Circuit {
            id: Located::assumed("wall".into()),
            carries: Located::assumed(Watts::whole(2500)),
            continuous: Some(Located::assumed(pc("80"))),
        }];
        let oven = &mut course.kitchen.ovens[0];
        (oven.watts, oven.circuit) = (watts(1500), on());
        let mut cupboard = course.kitchen.racks[0].clone();
        (cupboard.id.value, cupboard.watts, cupboard.circuit) = ("fridge".into(), watts(fridge), on());
        course.kitchen.cold = vec![cupboard];
        let mixer = &mut course.kitchen.mixers[0];
        (mixer.watts, mixer.circuit, mixer.count.value) = (watts(200), on(), 1);
        course
    };
    let figures = |course: &Course| {
        let circuit = &course.kitchen.circuits[0];
        (power::demand(&course.kitchen, &circuit.id.value), power::carries(circuit))
    };
    // 300 W of fridge, 1500 of oven and 200 of mixer are what 2500 W carry for hours; one watt more is too much at one time.
    let (enough, tight) = (with(300), with(301));
    assert_eq!((figures(&enough), figures(&tight)), ((2000, 2000), (2001, 2000)));
    let mut plan = planned(&tight, None);
    let bake =
        plan.tasks.iter().filter(|t| t.step.as_str() == "bake").map(|t| t.start.clone()).min().unwrap();
    let mix = plan.tasks.iter_mut().find(|t| t.step.as_str() == "mix").unwrap();
    mix.start = bake.saturating_sub(SignedDuration::from_mins(10));
    mix.end = bake.saturating_sub(SignedDuration::from_mins(5));
    let refused = |course: &Course, plan: &Plan| {
        let (class, portions, _) = inputs(course, None);
        check(course, &class, &portions, plan).iter().any(|b| b.rule == "circuit")
    };
    assert!(refused(&tight, &plan) && !refused(&enough, &plan));
    // An oven that a fridge leaves too little for is never on.
    let short = with(501);
    let (class, portions, options) = inputs(&short, None);
    let found = choose::plan(&short, &class, &portions, &options, effort());
    assert!(found.plan.is_none_or(|p| !p.fits));
}
