//! What is kept clean of what somebody avoids: the wash-up where the work is done, what stands on top, whose bench a dough is mixed on; and
//! what goes home, and what its label calls it.

use crate::documents::demo;
use benchroll::course::{Course, StationNo, Tool, Where};
use benchroll::finding::Located;
use benchroll::reckon::plan::timetable::{Plan, Used};
use benchroll::typeset::views::allergen_sheet::AllergenSheet;
use benchroll::typeset::views::common::About;
use benchroll::typeset::views::desk::Desk;
use benchroll::typeset::views::label_sheet::Labels;
use benchroll::typeset::views::order_sheet::OrderSheet;
use benchroll::typeset::views::oven_and_cold::OvenAndCold;
use benchroll::typeset::views::station_sheet;
use serde_json::json;
use std::collections::{BTreeMap, BTreeSet};

/// Pots that stations cook in by turns: who avoids what was cooked in one of them before is told to wash it, where the work is done. Where
/// there is a pot for each, nothing is.
#[test]
fn a_pot_that_is_used_again_is_washed_before_who_avoids_what_was_in_it() {
    let desk = demo::desk();
    let (mut course, mut plan) = (desk.course.clone(), desk.plan.clone());
    let braid = course.lessons.iter_mut().find(|l| l.id.value.as_str() == "four-braid").unwrap();
    braid.steps.iter_mut().find(|s| s.id.value.as_str() == "brush").unwrap().place =
        Located::assumed(Where::Hob);
    let mut cooks = 0;
    for task in plan.tasks.iter_mut().filter(|t| t.id.starts_with("four-braid.brush@station-")) {
        task.uses = vec![Used { resource: "pot".to_owned(), amount: 1, until: task.end.clone() }];
        cooks += 1;
    }
    let pots = |count: u32| {
        let mut course = course.clone();
        course.kitchen.tools.push(Tool {
            id: Located::assumed("pot".into()),
            name: Some(Located::assumed("Frying pot".to_owned())),
            count: Located::assumed(count),
            consumable: false,
            kept: None,
            loan: None,
        });
        course
    };
    let washed = |course: &Course, plan: &Plan| -> Vec<String> {
        let turns = benchroll::reckon::machine_order::turns(course, desk.class, plan);
        turns.into_iter().filter(|t| t.machine == "pot").map(|t| t.then).collect()
    };
    // By the plan stations 5 and 6 come first, and 6 avoids egg: nothing is in the pot before theirs.
    assert!(washed(&pots(2), &plan).is_empty());
    let last = plan
        .tasks
        .iter()
        .filter(|t| t.id.starts_with("four-braid.brush@"))
        .map(|t| t.end.clone())
        .max()
        .unwrap();
    let without_egg = plan.tasks.iter_mut().find(|t| t.id == "four-braid.brush@station-6").unwrap();
    (without_egg.start, without_egg.end) =
        (last.clone(), last.checked_add(jiff::SignedDuration::from_mins(5)).unwrap());
    assert_eq!(washed(&pots(2), &plan), ["four-braid.brush@station-6"]);
    assert!(washed(&pots(cooks), &plan).is_empty());
    let course = pots(2);
    let told = Desk::new(&course, desk.class, &plan, desk.weigh);
    let wash = told.wash_up(plan.task("four-braid.brush@station-6").unwrap()).unwrap();
    assert_eq!((wash.how.as_str(), wash.free_from), ("pot", vec!["Eggs".to_owned()]));
    let step = told.step_view(
        plan.task("four-braid.brush@station-6").unwrap(),
        Some(1),
        last.date(),
        Some(StationNo(6)),
    );
    assert!(step.wash_up.is_some());
    let sheet = json!(AllergenSheet::of(About::default(), &course, desk.class, &plan, false));
    assert!(sheet["order"].as_array().unwrap().iter().any(|o| o["on"] == "Frying pot"), "{sheet}");
}

/// Trays go round all loads: who avoids what lay on them before is told to wash them where the pieces are laid on; who has it in their own
/// pieces is not, and nothing is said of tins in which none of it lay.
#[test]
fn trays_are_washed_before_anything_is_laid_on_them() {
    let desk = demo::desk();
    // Station 6 avoids eggs, and buns with eggs are baked on trays before its braids; station 5 has eggs in its own.
    let task = |id: &str| desk.plan.tasks.iter().find(|t| t.id == id).unwrap();
    let wash = desk.wash_up(task("four-braid.braid@station-6")).unwrap();
    assert_eq!((wash.how.as_str(), wash.free_from), ("laid", vec!["Eggs".to_owned()]));
    assert!(desk.wash_up(task("four-braid.braid@station-5")).is_none());
    // It avoids nuts, which lay in tins and never on a tray.
    assert!(desk.wash_up(task("custard-buns.round@station-5")).is_none());
    let bakes = desk.plan.tasks.iter().filter(|t| t.id.starts_with("four-braid.bake@"));
    let theirs = bakes.filter(|t| t.for_stations().contains(&StationNo(6)));
    let told: Vec<_> = theirs.map(|t| desk.wash_up(t)).collect();
    assert!(!told.is_empty() && told.iter().all(|w| w.as_ref().is_some_and(|w| w.how == "oven")), "{told:?}");
    let sheet = OvenAndCold::of(&desk, &desk.course.sessions[1]);
    assert!(sheet.loads.iter().any(|l| l.wash_up.is_some()));
    // Nobody avoids anything: nothing is to be washed.
    let mut class = desk.class.clone();
    class.stations.iter_mut().for_each(|s| s.avoids.clear());
    let free = Desk::new(desk.course, &class, desk.plan, desk.weigh);
    assert!(desk.plan.tasks.iter().all(|t| free.wash_up(t).is_none()));
}

/// What brings it is what lay there, not what is kept away: the custard that was cooked in a washed pan brings no nuts.
#[test]
fn what_was_washed_off_is_not_brought_again() {
    let desk = demo::desk();
    let sheet = AllergenSheet::of(About::default(), desk.course, desk.class, desk.plan, false);
    let custard = sheet.order.iter().find(|b| b.first == "Custard buns, Cook the custard").unwrap();
    assert_eq!(custard.brings, ["Eggs"]);
    assert!(custard.free_from.contains(&"Eggs".to_owned()) && custard.wash_up);
}

/// What is kept clean of something for someone stands on top, in the cold and in the warm, and it is said of what. A vessel has one place
/// whoever takes from it: what holds nuts stands on top of nothing that is kept clean of them, though no egg is in it for who avoids egg.
#[test]
fn what_is_kept_clean_stands_on_top() {
    let desk = demo::desk();
    let avoiding: BTreeSet<String> =
        desk.class.stations.iter().filter(|s| !s.avoids.is_empty()).map(|s| s.no.to_string()).collect();
    let (mut pieces, mut vessels) = (BTreeSet::new(), BTreeMap::new());
    for session in &desk.course.sessions {
        for place in OvenAndCold::of(&desk, session).places {
            let nuts = place.lesson == "Walnut crown"
                && place.slips.iter().any(|slip| slip.number == "2" && slip.on == "dish");
            assert!(!nuts || place.kept_clean.iter().all(|k| !k.on_top), "{place:?}");
            assert!(place.kept_clean.iter().all(|k| !k.of.is_empty()), "{place:?}");
            pieces.extend(place.kept_clean.iter().flat_map(|k| k.stations.clone()));
            for slip in &place.slips {
                let known = vessels
                    .entry((slip.on.clone(), slip.number.clone()))
                    .or_insert_with(|| place.kept_clean.clone());
                assert_eq!(*known, place.kept_clean, "{place:?}");
            }
        }
    }
    assert_eq!(pieces, avoiding);
    let kept = |what: &str| vessels.values().flatten().any(|k| k.of.iter().any(|of| of.contains(what)));
    assert!(kept("Nuts") && vessels.values().any(Vec::is_empty), "{vessels:?}");
    // The custard of those who eat egg is kept clean of nuts, below the one without egg.
    let of_dish = |no: &str| &vessels[&("dish".to_owned(), no.to_owned())];
    assert!(of_dish("3").iter().all(|k| !k.on_top && k.of.iter().any(|of| of.contains("Nuts"))));
    assert!(!of_dish("3").is_empty() && of_dish("4").iter().all(|k| k.on_top));
}

/// One bowl for several is mixed on the bench of whoever avoids the most.
#[test]
fn the_bowl_stands_where_somebody_avoids_something() {
    let desk = demo::desk();
    let batches = desk.plan.choice.batches.values().flatten().filter(|b| b.members.len() > 1);
    let avoids = |no: StationNo| desk.class.stations.iter().find(|s| s.no == no).unwrap().avoids.len();
    let mut seen = 0;
    for batch in batches {
        let Some(mixes) = desk.mixer_station(&batch.members) else { continue };
        let stations: Vec<StationNo> = batch
            .members
            .iter()
            .filter_map(|(w, _)| match w {
                benchroll::reckon::work::Whom::Station(no) => Some(*no),
                _ => None,
            })
            .collect();
        assert!(stations.iter().all(|no| avoids(*no) <= avoids(mixes)), "{batch:?}");
        seen += usize::from(avoids(mixes) > 0 && stations[0] != mixes);
    }
    assert!(seen > 0, "no bowl of the demo's is for one who avoids something and another before it");
}

/// Every station takes home all that it made, once, and what needs the cold out of it; what is done on Saturday waits for Sunday.
#[test]
fn all_that_is_made_goes_home_once() {
    let desk = demo::desk();
    for station in &desk.class.stations {
        let sheets: Vec<_> = station_sheet::all(&desk)
            .into_iter()
            .filter(|(no, ..)| *no == station.no)
            .map(|(.., s)| s)
            .collect();
        let home: Vec<_> = sheets.iter().flat_map(|s| &s.take_home).collect();
        let mut names: Vec<&str> = home.iter().flat_map(|h| &h.makes).map(|m| m.name.as_str()).collect();
        names.sort_unstable();
        assert_eq!(names, ["Custard buns", "Four-strand milk braid", "Walnut crown"], "{}", station.no);
        let cold: Vec<&str> =
            home.iter().filter(|h| h.cold).flat_map(|h| &h.makes).map(|m| m.name.as_str()).collect();
        // The crown's label says to keep it cold, to be safe.
        assert_eq!(cold, ["Walnut crown", "Custard buns"]);
    }
    let saturday = station_sheet::all(&desk).into_iter().next().unwrap().2;
    let crown = saturday.left.iter().find(|l| l.lesson == "Walnut crown").unwrap();
    assert_eq!(crown.stays.as_ref().map(|s| s.name.as_str()), Some("Sunday"));
    assert!(crown.stays_cold);
    assert!(saturday.left.iter().filter(|l| l.lesson != "Walnut crown").all(|l| l.stays.is_none()));
}

/// A label is no claim: where what a variant is free of is handled beside it, it says what it is made with.
#[test]
fn a_label_does_not_call_free_of_what_is_handled_beside_it() {
    let desk = demo::desk();
    let r = demo::reckoned();
    let labels = Labels::of(About::default(), desk.course, desk.class, (desk.plan, &r.safety.dates), true);
    let variants: Vec<_> = labels.labels.iter().filter(|l| l.variant.is_some()).collect();
    assert!(variants.len() > 3);
    for label in variants {
        let made = label.made_with.as_ref().unwrap_or_else(|| panic!("{label:?}"));
        assert!(made.word != "label.otherwise" && !label.shared_kitchen.is_empty(), "{label:?}");
    }
    let seeds =
        labels.labels.iter().filter_map(|l| l.made_with.as_ref()).find(|m| m.word == "label.with").unwrap();
    assert_eq!(
        (seeds.values["new"].as_str(), seeds.values["old"].as_str()),
        ("Sunflower seeds", "Walnuts, chopped")
    );
    assert!(labels.labels.iter().filter(|l| l.variant.is_none()).all(|l| l.made_with.is_none()));
}

/// What two suppliers bring of one thing is told on both sheets, and the need beside the first packs only.
#[test]
fn an_order_says_what_another_brings_of_the_same() {
    let desk = demo::desk();
    let mut order = demo::reckoned().order.clone();
    let (mill, dairy) = (order.deliveries[0].supplier.clone(), order.deliveries[1].supplier.clone());
    assert_ne!(mill, dairy);
    let line = order.lines.iter_mut().find(|l| l.bought.iter().any(|b| b.supplier == mill)).unwrap();
    let mut other = line.bought[0].clone();
    other.supplier = dairy.clone();
    line.bought.push(line.bought[0].clone());
    line.bought.push(other);
    let name = desk.course.pantry.item(&line.item).unwrap().name.value.clone();
    let sheets = OrderSheet::all(&desk, &order);
    let rows = |n: usize| sheets[n].lines.iter().filter(|l| l.name == name).collect::<Vec<_>>();
    let (first, second) = (rows(0), rows(1));
    assert!(
        first.len() >= 2 && !first[0].need.value.is_empty() && first[1].need.value.is_empty(),
        "{first:?}"
    );
    assert_eq!(first[0].elsewhere.len(), 1);
    assert!(first[1].elsewhere.is_empty());
    assert!(!second[0].need.value.is_empty() && second[0].elsewhere.len() >= 2, "{second:?}");
}

/// Whoever comes from walnuts to the bowl of one who avoids them washes first, and the bowl's station is told that they do.
#[test]
fn hands_are_washed_before_they_come_to_the_bowl_of_one_who_avoids_what_they_had() {
    let desk = demo::desk();
    let sheets = station_sheet::all(&desk);
    let has_nuts = |no: StationNo, session: &str| {
        sheets.iter().any(|(n, s, sheet)| {
            *n == no
                && s.as_str() == session
                && sheet
                    .makes
                    .iter()
                    .any(|m| m.name == "Walnut crown" && m.variant.as_deref() != Some("nut-free"))
        })
    };
    let avoids_nuts = |no: StationNo| {
        let station = desk.class.stations.iter().find(|s| s.no == no).unwrap();
        station.avoids.iter().any(|a| a.as_str() == "walnut")
    };
    let (mut go, mut come) = (0, 0);
    for (no, session, sheet) in &sheets {
        for step in &sheet.steps {
            let Some(bowl) = &step.one_bowl else {
                come += usize::from(matches!(step.bowl_wash.as_str(), "come" | "both"));
                assert!(step.bowl_wash.is_empty() || step.bowl_wash != "go", "{no}: {step:?}");
                continue;
            };
            assert!(matches!(step.bowl_wash.as_str(), "" | "go"), "{no}: {step:?}");
            if avoids_nuts(StationNo(bowl.station)) && has_nuts(*no, session.as_str()) {
                assert_eq!(step.bowl_wash, "go", "station {no}: {}", step.name);
                go += 1;
            }
        }
    }
    assert!(go > 0 && come > 0, "{go} go, {come} are told of it");
    // Where nobody avoids anything, nobody is told to wash.
    let mut class = desk.class.clone();
    class.stations.iter_mut().for_each(|s| s.avoids.clear());
    let free = Desk::new(desk.course, &class, desk.plan, desk.weigh);
    let told = station_sheet::all(&free).into_iter().flat_map(|(_, _, s)| s.steps);
    assert_eq!(told.filter(|s| !s.bowl_wash.is_empty()).count(), 0);
}
