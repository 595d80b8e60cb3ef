//! Food safety and the kitchen's hazards: what the program does or prints, against rows of the published rules that are copied here.
//! Rows from memory and of common practice are words on a sheet, and decide nothing.

use crate::documents::demo;
use crate::support::repository;
use benchroll::finding::Located;
use benchroll::reckon::nutrition::{Factors, energy};
use benchroll::reckon::safety::cautions::cautions;
use benchroll::reckon::safety::judge::{Phase, TimeOut, Verdict, judge};
use benchroll::reckon::safety::log::IfOut;
use benchroll::reckon::safety::rule_sets::rule_set;
use benchroll::reckon::safety::safety;
use benchroll::typeset::views::common::About;
use benchroll::typeset::views::label_sheet::Labels;
use benchroll::typeset::views::pull_list::PullList;
use benchroll::units::{Celsius, Grams, Minutes};
use rust_decimal::Decimal;
use serde_json::json;

/// What the catalogue prints.
fn word(section: &str, key: &str) -> String {
    let text = std::fs::read_to_string(repository().join("templates/words/en.toml")).unwrap();
    let words: toml::Table = toml::from_str(&text).unwrap();
    words[section][key].as_str().unwrap().to_owned()
}

/// The cautions of a step of the walnut crown.
fn cautions_of(step: &str) -> Vec<String> {
    let course = demo::course();
    let lesson = course.lessons.iter().find(|l| l.id.value.as_str() == "walnut-crown").unwrap();
    let formula = course.formula(&lesson.formula.value);
    cautions(course, lesson, formula, lesson.steps.iter().find(|s| s.id.value.as_str() == step).unwrap())
}

/// Row `us-cool-missed` (retail food-safety training practice; rests on Food Code 2022, 3-403.11 and Annex 3 to 3-501.14;
/// common practice): `reheat_c` 74, one time, when the two hours are missed; when the six are, thrown away.
#[test]
fn a_missed_first_mark_is_reheated_once_and_a_missed_last_one_thrown_away() {
    let reheat = word("if-out", "reheat-once");
    assert!(reheat.contains("74 °C") && reheat.contains("one time") && reheat.contains("else throw away"));
    let desk = demo::desk();
    let mut course = desk.course.clone();
    course.settings.rule_set = Some(Located::assumed("us-foodcode-2022".to_owned()));
    let found = safety(&course, desk.class, Some(desk.plan)).0;
    let marks = |minutes: i64| -> Vec<IfOut> {
        let of = found.log.iter().filter(|r| r.within.is_some_and(|(w, _)| w == Minutes(minutes)));
        of.filter(|r| r.row.is_some_and(|r| r.starts_with("us-cool"))).map(|r| r.if_out).collect()
    };
    assert!(!marks(120).is_empty() && marks(120).iter().all(|i| *i == IfOut::ReheatOnceOrThrowAway));
    assert!(!marks(360).is_empty() && marks(360).iter().all(|i| *i == IfOut::ThrowAway));
}

/// Row `au-2h4h-scope` (FSANZ, 2-hour/4-hour rule; NSW Food Authority, Guidance on the 4-hour/2-hour rule, 2015): `counts` preparation,
/// storage, transport, display. Four hours in which hands work on it are four hours.
#[test]
fn preparation_and_display_count_into_the_australian_sum() {
    let worked = |phase, minutes: i64| TimeOut {
        phase,
        minutes: Minutes(minutes),
        cooling: Minutes::ZERO,
        worked_on: Minutes(minutes),
        longest: Minutes(minutes),
        from_hot: Minutes::ZERO,
        periods: 1,
        began_held: true,
        began_cold: true,
        warmest: Some(Celsius::whole(21)),
        back_at: None,
        cool_band: Minutes(minutes),
        warm_band: Minutes::ZERO,
    };
    let set = rule_set("au-322").unwrap();
    assert!(set.preparation_counts && set.rows.contains(&"au-2h4h-scope"));
    for phase in [Phase::Raw, Phase::Cooked, Phase::Baked] {
        assert_eq!(judge(set, &worked(phase, 239), None).verdict, Verdict::Warn);
        assert_eq!(judge(set, &worked(phase, 240), None).verdict, Verdict::Over);
    }
    // The US code's own: work on food is outside the limits.
    let us = rule_set("us-foodcode-2022").unwrap();
    assert_eq!(judge(us, &worked(Phase::Cooked, 240), None).verdict, Verdict::Ok);
}

/// Row `bake-probe` (Food Code 2022, 3-401.11; common practice for the count): `pieces_per_load` 2, the centre of the largest piece.
#[test]
fn two_pieces_of_a_load_are_probed() {
    let probe = word("probe", "largest");
    assert!(probe.contains("two of a load") && probe.contains("middle of the largest piece"), "{probe}");
}

/// Row `burn-oven` (trade practice; US OSHA young-worker restaurant material covers the same hazards): `gloves` dry, on both hands;
/// stand aside as the door opens.
#[test]
fn an_oven_is_opened_from_the_side_with_both_hands_covered() {
    assert!(cautions_of("bake").contains(&"oven".to_owned()));
    let said = word("danger", "oven");
    assert!(said.contains("cloths on both hands") && said.contains("stand aside as you open it"), "{said}");
}

/// Row `mixer-nz` (WorkSafe New Zealand, Dough mixers fact sheet): `hands` out while turning, never a hand or scraper in it.
#[test]
fn hands_and_tools_stay_out_of_a_turning_bowl() {
    assert!(cautions_of("mix").contains(&"mixer".to_owned()));
    assert_eq!(word("danger", "mixer"), "Hands and tools out of the bowl while it turns.");
}

/// What the pull list warns of when the flour is bought in packs of so many grams.
fn warned_of(grams: i64) -> Vec<String> {
    let r = demo::reckoned();
    let mut order = r.order.clone();
    let flour = order.lines.iter_mut().find(|l| l.item.as_str() == "strong-flour").unwrap();
    flour.bought.iter_mut().for_each(|b| b.pack_grams = Grams::whole(grams));
    for line in order.lines.iter_mut().filter(|l| l.item.as_str() != "strong-flour") {
        line.bought.clear();
    }
    let page = json!(PullList::of(&demo::desk(), &r.equipment, &order));
    page["heavy"].as_array().unwrap().iter().map(|h| h["word"].as_str().unwrap().to_owned()).collect()
}

/// Rows `lift-hse` (HSE, L23 Manual Handling, and INDG143 figure 1; from memory): `women_kg` 16, the lower of its two best zones; and
/// `lift-niosh` (NIOSH, Applications Manual for the Revised Lifting Equation, 1994): `max_kg` 23 in an ideal lift.
#[test]
fn a_pack_is_lifted_with_two_from_the_lower_filter_weight_on() {
    let lifted = |grams| warned_of(grams).contains(&"lifting".to_owned());
    assert!(!lifted(15_999));
    assert!(lifted(16_000) && lifted(23_000) && lifted(25_000));
    assert!(word("danger", "lifting").contains("with two people"));
}

/// Row `dust-control` (HSE bakery pages; Workplace Health Leadership Group NI): no clouds when tipping or dusting. It has no mass.
#[test]
fn flour_is_tipped_and_thrown_without_a_cloud() {
    assert!(warned_of(25_000).contains(&"flour-dust".to_owned()));
    assert!(cautions_of("roll").contains(&"flour-dust".to_owned()));
    assert!(word("danger", "flour-dust").contains("do not throw flour in the air"));
}

/// Row `lab-energy-us` (21 CFR 101.9(c)(1)(i); from memory): 4, 4 and 9 kcal for a gram of protein, carbohydrate, fat. By hand, of 8 g,
/// 50 g (3 of them fibre, which counts there) and 20 g: 32 + 200 + 180 = 412 kcal.
#[test]
fn energy_by_the_american_factors() {
    let (_, kcal) = energy(Factors::Us, Grams::whole(8), Grams::whole(20), Grams::whole(47), Grams::whole(3));
    assert_eq!(kcal.0.round(), Decimal::from(412));
}

/// Row `lab-minimum` (union of the rules; common practice): name, variant, ingredients, allergens, what else was in the room, the day,
/// how long, how, who made it, that a student did.
#[test]
fn a_label_has_what_every_place_asks() {
    let desk = demo::desk();
    let about = About { host: "Larkfield".to_owned(), ..About::default() };
    let page = json!(Labels::of(about, desk.course, desk.class, (desk.plan, &[]), false));
    let labels = page["labels"].as_array().unwrap();
    for label in labels {
        assert!(!label["name"].as_str().unwrap().is_empty(), "{label}");
        let parts = label["ingredients"].as_array().unwrap();
        assert!(parts.len() > 5 && parts.iter().any(|p| p["strong"] == true), "{label}");
        assert!(!label["made"].is_null() && label.get("eat_by").is_some() && label.get("keep").is_some());
        assert!(label["shared_kitchen"].is_array(), "{label}");
    }
    // Nuts are handled beside a braid without any.
    let braid = labels.iter().find(|l| l["name"] == "Four-strand milk braid").unwrap();
    assert!(braid["shared_kitchen"].to_string().contains("walnut"), "{braid}");
    assert!(labels.iter().any(|l| l["variant"] == "nut-free"));
    assert_eq!(page["about"]["host"], "Larkfield");
    assert!(word("label", "shared").starts_with("Made by a student in a shared teaching kitchen"));
}

/// Row `alg-clean` (FDA Food Code 2022, Annex 3 on allergens; FARE and FSA training; from memory): `detergent_needed`, and a rinse.
#[test]
fn what_is_washed_up_for_an_allergen_is_washed_with_detergent() {
    let said = word("allergen", "shared");
    assert!(said.contains("wash with detergent, then rinse"), "{said}");
    let desk = demo::desk();
    let turns = benchroll::reckon::machine_order::turns(desk.course, desk.class, desk.plan);
    assert!(!turns.is_empty());
}
