//! What is told: egg by the steps that heat it, and to each part its own reason.

use super::set;
use crate::course::{Chain, Course, Per, TemperatureRange, Where};
use crate::reckon::safety::Safety;
use crate::reckon::safety::egg_heat::{EggHeat, egg_heats};
use crate::reckon::safety::exposures::Exposure;
use crate::reckon::safety::findings::findings;
use crate::reckon::safety::judge::{Judged, Phase, Verdict};
use crate::reckon::sample::{at, course, step};
use crate::reckon::work::Whom;
use crate::units::Celsius;

/// The egg wash of the crown; `core` of its bake.
fn wash(course: &mut Course, least: Option<i64>, most: Option<i64>) -> EggHeat {
    let bake = course.lessons[0].steps.iter_mut().find(|s| s.id.value.as_str() == "bake").unwrap();
    let (least, most) = (least.map(Celsius::whole), most.map(Celsius::whole));
    bake.core = (least.is_some() || most.is_some()).then(|| at(TemperatureRange { least, most }));
    let all = egg_heats(course, Some(set("us-foodcode-2022")));
    all.into_iter().find(|e| e.lesson.as_str() == "crown" && e.part.as_str() == "wash").unwrap()
}

/// Row `us-egg-batch`, FDA Food Code 2022, 3-401.11(A)(2): 63 degC for 180 s is the least. "Up to 60" is below it, "up to 90" may be.
#[test]
fn a_most_below_the_table_is_over_and_one_above_it_says_nothing() {
    let mut course = course();
    let over = wash(&mut course, None, Some(60));
    assert_eq!((over.verdict, over.core), (Verdict::Over, Some(Celsius::whole(60))));
    assert_eq!(wash(&mut course, None, Some(90)).verdict, Verdict::Unknown);
    assert_eq!(wash(&mut course, Some(50), Some(80)).verdict, Verdict::Over);
    // What is hot enough only when it is held is held at the step where it is read.
    let held = wash(&mut course, Some(63), None);
    assert_eq!((held.verdict, held.hold), (Verdict::Ok, Some(180)));
    assert_eq!(held.step.unwrap().as_str(), "bake");
    assert_eq!(wash(&mut course, Some(70), None).hold, None);
}

/// Row `bake-wash`, on Food Code 2022, 3-302.13: a wash, glaze or meringue put on after the bake is raw egg, however early it was
/// beaten.
#[test]
fn egg_that_is_put_on_after_the_bake_is_not_baked() {
    let mut course = course();
    assert!(wash(&mut course, Some(90), None).heated);
    let steps = &mut course.lessons[0].steps;
    let brush = steps.iter().position(|s| s.id.value.as_str() == "brush").unwrap();
    let brush = steps.remove(brush);
    let bake = steps.iter().position(|s| s.id.value.as_str() == "bake").unwrap();
    steps.insert(bake + 1, brush);
    steps.insert(0, step("beat", &["wash"], Per::Class, Where::Bench));
    let raw = wash(&mut course, Some(90), None);
    assert_eq!((raw.heated, raw.core, raw.verdict), (false, None, Verdict::Warn));
    let told = findings(&course, &Safety { eggs: vec![raw], ..Safety::default() });
    assert_eq!(told[0].code.0, "egg-stays-raw");
}

/// A thermometer in the fridge, or on the bench, cooks nothing.
#[test]
fn a_core_that_is_read_in_the_cold_heats_no_egg() {
    let mut course = course();
    let steps = &mut course.lessons[0].steps;
    steps.retain(|s| s.place.value != Where::Oven);
    let mut chill = step("chill-wash", &["wash"], Per::Class, Where::Cold);
    chill.core = Some(at(TemperatureRange { least: Some(Celsius::whole(80)), most: None }));
    assert!(chill.on.iter().all(|c| matches!(c.value, Chain::Part(_))));
    steps.insert(0, chill);
    let all = egg_heats(&course, Some(set("us-foodcode-2022")));
    let wash = all.iter().find(|e| e.part.as_str() == "wash").unwrap();
    assert!(!wash.heated);
}

fn exposure(part: &str, verdict: Verdict, row: &'static str, because: &str) -> Exposure {
    Exposure {
        lesson: "crown".into(),
        part: part.into(),
        phase: Phase::Cooked,
        whom: Whom::Spare,
        set: "uk-england-2013",
        out: None,
        judged: Judged { verdict, limit: None, row, because: because.to_owned() },
        first_out: None,
        unread_at: None,
        longest_at: None,
        heated: true,
    }
}

#[test]
fn each_part_is_told_with_its_own_reason() {
    let found = |verdict| {
        let safety = Safety {
            set: Some(set("uk-england-2013")),
            exposures: vec![
                exposure("filling", verdict, "uk-chill-handling", "justify it"),
                exposure("wash", verdict, "uk-chill-4h", "once only"),
                exposure("scald", verdict, "uk-chill-handling", "justify it"),
            ],
            ..Safety::default()
        };
        findings(&course(), &safety)
    };
    for (verdict, code) in [(Verdict::Warn, "out-of-cold"), (Verdict::Unknown, "out-of-cold-unknown")] {
        let told: Vec<_> = found(verdict).into_iter().filter(|f| f.code.0 == code).collect();
        assert_eq!(told.len(), 2, "{told:?}");
        let has = |n: usize, part: &str| told[n].message.contains(&format!("`{part}`"));
        assert!(has(0, "filling") && has(0, "scald") && !has(0, "wash"));
        assert!(told[0].message.ends_with("justify it") && told[1].message.ends_with("once only"));
        assert!(told[0].way_out.as_deref().unwrap().contains("para 5(2)"));
        assert!(has(1, "wash") && told[1].way_out.as_deref().unwrap().contains("para 5(1)"));
    }
}
