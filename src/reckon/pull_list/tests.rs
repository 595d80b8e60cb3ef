#![allow(clippy::unwrap_used)]
use super::*;
use crate::course::Tool;
use crate::finding::Level;
use crate::reckon::class::seat;
use crate::reckon::options::{options, preferred};
use crate::reckon::sample::{at, course, using};
use crate::reckon::scale::portions;
use crate::reckon::work::{Batch, Vessel};

fn counted(
    c: &Course,
    headcount: Option<u32>,
    busy: Option<&BTreeMap<EquipId, Vec<Busy>>>,
) -> (Equipment, Vec<Finding>) {
    let class = seat(c, headcount).0;
    let portions = portions(c, &class);
    let (options, _) = options(c, &class, &portions);
    equipment(c, &class, &preferred(c, &options, &portions), busy)
}

fn need<'a>(e: &'a Equipment, item: &str) -> &'a Need {
    e.needs.iter().find(|n| n.item.as_str() == item).unwrap()
}

fn tool(id: &str, count: u32, consumable: bool) -> Tool {
    Tool {
        id: at(id.into()),
        name: None,
        count: at(count),
        consumable,
        kept: Some(at("drawer".into())),
        loan: None,
    }
}

#[test]
fn trays_that_a_step_names_itself_are_counted_beside_those_of_the_pieces() {
    let mut c = course();
    let before = need(&counted(&c, None, None).0, "round-20").needed;
    let id = c.kitchen.tins[0].id.value.clone();
    let mut roasting = c.kitchen.trays[0].clone();
    roasting.id = at("roasting".into());
    c.kitchen.trays.push(roasting);
    c.lessons[0].steps[0].per = at(crate::course::Per::Class);
    for (what, count) in [("roasting", 2), (id.as_str(), before + 3)] {
        c.lessons[0].steps[0].uses.push(crate::course::Use {
            what: at(what.into()),
            count: Some(count),
            until: None,
        });
    }
    let (all, _) = counted(&c, None, None);
    assert_eq!(need(&all, "roasting").needed, 2);
    assert_eq!(need(&all, "round-20").needed, before + 3);
}

#[test]
fn two_tins_short_is_a_note_when_the_plan_gets_round_it() {
    let c = course();
    let (all, findings) = counted(&c, None, None);
    let tins = need(&all, "round-20");
    assert_eq!((tins.needed, tins.on_hand, tins.short), (12, 10, 2));
    assert_eq!((findings.len(), findings[0].level), (1, Level::Warning));
    assert!(
        findings[0]
            .message
            .starts_with("12 `round-20` are needed at once (12 for `crown`) and 10 are there: 2 short")
    );
    // Eight at first and four when those are free again.
    let waves = |count| {
        vec![
            Busy { from: 0, to: 90, count: 8 },
            Busy { from: 90, to: 180, count: 4 },
            Busy { from: 80, to: 200, count },
        ]
    };
    let (all, findings) = counted(&c, None, Some(&[("round-20".into(), waves(2))].into()));
    assert_eq!(need(&all, "round-20").needed_with_plan, Some(10));
    assert_eq!(findings[0].level, Level::Note);
    let (_, findings) = counted(&c, None, Some(&[("round-20".into(), waves(4))].into()));
    assert_eq!(findings[0].level, Level::Error);
}

#[test]
fn borrowed_tins_are_there() {
    let mut c = course();
    c.kitchen.tins[0].loan = Some(Loan { count: at(2), from: at("a friend".into()), back_by: None });
    let (all, findings) = counted(&c, None, None);
    assert_eq!(need(&all, "round-20").borrowed, Some((2, "a friend".into())));
    assert_eq!(findings, []);
}

#[test]
fn tools_are_counted_by_who_uses_them_at_once() {
    let mut c = course();
    c.kitchen.tools = vec![tool("probe", 1, false), tool("paper", 10, true)];
    let steps = &mut c.lessons[0].steps;
    for at in [2, 3] {
        steps[at] = using(steps[at].clone(), "probe", None, None);
    }
    let brush = steps.iter().position(|s| s.id.value.as_str() == "brush").unwrap();
    steps[brush] = using(steps[brush].clone(), "paper", Some(2), None);
    let (all, _) = counted(&c, None, None);
    // Three batches, each with a probe, in two steps one after the other.
    assert_eq!((need(&all, "probe").needed, need(&all, "probe").short), (3, 2));
    assert_eq!((need(&all, "paper").needed, need(&all, "paper").sort), (12, Sort::Consumable));
    // The helper fills the spare as well, and takes two more for it.
    c.lessons[0].makes.spare = at(2);
    let (spared, findings) = counted(&c, None, None);
    assert_eq!((need(&spared, "paper").needed, need(&spared, "paper").short), (14, 4));
    assert!(findings.iter().any(|f| f.message.contains("14 `paper`")), "{findings:?}");
    assert_eq!((need(&all, "pin").needed, need(&all, "pin").on_hand), (6, 6));
    assert_eq!(need(&all, "scale").sort, Sort::EachStation);
}

#[test]
fn twice_as_many_people_are_short_of_everything_that_is_counted() {
    let (all, findings) = counted(&course(), Some(24), None);
    let short: Vec<(&str, u32)> =
        all.needs.iter().filter(|n| n.short > 0).map(|n| (n.item.as_str(), n.short)).collect();
    assert_eq!(short, [("station", 6), ("round-20", 14), ("tray", 4), ("pin", 6), ("scale", 6)]);
    // What stands at each station is told with the station.
    assert_eq!(findings.len(), short.len() - 2);
    let stations: Vec<&str> =
        findings.iter().map(|f| f.message.as_str()).filter(|m| m.contains("`station`")).collect();
    assert!(matches!(stations[..], [one] if one.ends_with("6 short, with `pin`, `scale`")), "{stations:?}");
}

#[test]
fn loads_are_listed_as_chosen() {
    let (all, _) = counted(&course(), None, None);
    let crown: Vec<&MixerLoad> = all.mixer_loads.iter().filter(|m| m.lesson.as_str() == "crown").collect();
    assert_eq!(crown.iter().map(|m| m.stations.len()).collect::<Vec<_>>(), [3, 1, 2]);
    let pieces: u32 = all.oven_loads.iter().filter(|l| l.lesson.as_str() == "crown").map(|l| l.pieces).sum();
    assert_eq!(pieces, 12);
}

/// A class of which some follow a variant of the filling cooks it in two pans.
#[test]
fn what_is_made_for_the_class_is_made_anew_for_each_variant() {
    let mut c = course();
    c.kitchen.tools.push(tool("pan", 3, false));
    let lesson = c.lessons[0].id.value.clone();
    let step = &mut c.lessons[0].steps[0];
    step.per = at(Per::Class);
    step.uses.push(crate::course::Use { what: at("pan".into()), count: None, until: None });
    assert_eq!(need(&counted(&c, None, None).0, "pan").needed, 1);
    // Used side by side in the plan: in turn is never more than at once.
    let busy = BTreeMap::from([("pan".into(), vec![Busy { from: 0, to: 10, count: 2 }])]);
    let (all, _) = counted(&c, None, Some(&busy));
    let pan = need(&all, "pan");
    assert_eq!((pan.needed, pan.needed_with_plan, pan.short), (2, Some(2), 0), "{lesson}");
}

#[test]
fn what_is_read_needs_the_kitchens_thermometer() {
    let mut c = course();
    for step in &mut c.lessons.iter_mut().flat_map(|l| &mut l.steps) {
        (step.core, step.aim) = (None, None);
    }
    c.kitchen.tools.push(tool("probe", 2, false));
    let is_there = |c: &Course| counted(c, None, None).0.needs.iter().any(|n| n.item.as_str() == "probe");
    assert!(!is_there(&c));
    c.lessons[0].steps[0].aim = Some(at(crate::units::Celsius::whole(24)));
    assert!(is_there(&c));
}

/// 62 g and 371 g by hand, where the hook catches 400 g: as one they are 433 g. That they are two is said to be the plan's choice, and
/// nothing is said of what no hook would catch, of another dough, or before there is a plan.
#[test]
fn two_batches_by_hand_that_a_hook_would_catch_as_one_say_why() {
    let mut c = course();
    c.kitchen.mixers[0].least = Some(at(Grams::whole(400)));
    let class = seat(&c, None).0;
    let portions = portions(&c, &class);
    let (options, _) = options(&c, &class, &portions);
    let mut choice = preferred(&c, &options, &portions);
    let key = choice.batches.keys().find(|(_, part)| part.as_str() == "dough").unwrap().clone();
    let told = |choice: &Choice, planned: bool| -> Vec<String> {
        let own = mixer_loads(&c, choice, planned);
        own.into_iter().filter(|l| (&l.lesson, &l.part) == (&key.0, &key.1)).map(|l| l.why).collect()
    };
    let by_hand = |batch: &Batch, no: u32, grams: i64| Batch {
        no,
        grams: Grams::whole(grams),
        members: batch.members[..1].to_vec(),
        vessel: Vessel::ByHand,
        why: "by hand".to_owned(),
        ..batch.clone()
    };
    let first = choice.batches[&key][0].clone();
    let two = vec![by_hand(&first, 1, 371), by_hand(&first, 2, 62)];
    choice.batches.insert(key.clone(), two.clone());
    let why = told(&choice, true);
    assert!(why[0].contains("with batch 2 it would be 433 g, which the hook of"), "{why:?}");
    assert!(why[1].contains("with batch 1 it would be 433 g"), "{why:?}");
    assert_eq!(told(&choice, false), ["by hand", "by hand"]);
    let little = vec![two[1].clone(), by_hand(&first, 1, 300)];
    choice.batches.insert(key.clone(), little);
    assert_eq!(told(&choice, true), ["by hand", "by hand"]);
    let mut other = two;
    other[1].variant = Some("egg-free".into());
    choice.batches.insert(key.clone(), other);
    assert_eq!(told(&choice, true), ["by hand", "by hand"]);
}

/// Ten clean tubs do not stay on the shelf while five are washed.
#[test]
fn what_there_is_is_taken_out_before_any_is_washed() {
    let need = |sort: Sort, needed: u32, least: u32, on_hand: u32| Need {
        needed,
        needed_with_plan: Some(least),
        on_hand,
        ..blank("tub".into(), sort, on_hand, None)
    };
    assert_eq!(need(Sort::Tin, 13, 8, 18).taken_out(), Some((13, 0)));
    assert_eq!(need(Sort::Tin, 11, 8, 10).taken_out(), Some((10, 1)));
    assert_eq!(need(Sort::Tin, 11, 11, 8).taken_out(), Some((8, 3)));
    // What many use in turn is one thing, and not washed in between.
    assert_eq!(need(Sort::Shared, 6, 1, 9).taken_out(), Some((1, 5)));
    assert_eq!(Need { needed_with_plan: None, ..need(Sort::Tin, 6, 1, 9) }.taken_out(), None);
}
