//! What stands where when it is fullest, and what cools flat: sums made again from the plan's own times.

use crate::documents::demo;
use crate::support::Sealed;
use benchroll::course::Where;
use benchroll::reckon::places::{Places, Share, findings, places};

fn of_demo() -> Places {
    let r = demo::reckoned();
    places(&r.course, &r.class, &r.portions, r.planned.plan.as_ref().unwrap())
}

/// The fridge of the demo class holds no more than it has, and at its fullest moment what the plan puts there: each tub is a
/// sixth of a shelf of 65 x 53 cm, as each tin is, and each tray of 60 x 40 cm is a shelf.
#[test]
fn the_fullest_moment_is_that_of_the_plan() {
    let found = of_demo();
    for place in &found.uses {
        assert!(place.taken.0 <= Share::whole(place.there).0, "{place:?}");
        let by_hand: i64 = place
            .things
            .iter()
            .map(|(what, count)| match what.as_ref().map(|w| w.as_str()) {
                // A tin is 23 x 21 cm: two by two on the proofer's 60 x 42 cm.
                Some("round-20") if place.sort == Where::Warm => Share::ONE / 4 * i64::from(*count),
                Some("tub" | "round-20") => Share::ONE / 6 * i64::from(*count),
                // A ring that waits on its paper until a tin is free takes the room of that tin.
                None if place.sort == Where::Cold => Share::ONE / 6 * i64::from(*count),
                Some("tray") => Share::ONE * i64::from(*count),
                _ => 0,
            })
            .sum();
        if matches!(place.sort, Where::Cold | Where::Warm) {
            assert_eq!(place.taken.0, by_hand, "{place:?}");
            assert!(place.taken.0 > 0 && place.fullest.is_some());
        }
    }
    // Everything that is cooked or mixed and then chilled is told, by the clock.
    assert!(found.spreads.iter().any(|s| s.task.contains("custard-buns.set@")), "{:?}", found.spreads);
    assert!(found.spreads.windows(2).all(|w| w[0].at <= w[1].at));
    assert!(found.spreads.iter().all(|s| s.fits() && s.flat.0 > 0));
    assert!(findings(demo::course(), &found).is_empty());
}

/// A fridge whose shelves are so few that tubs must stand on each other while they cool: told, with the moment and the sums.
#[test]
fn tubs_that_cannot_lie_flat_while_they_cool_are_told() {
    let r = demo::reckoned();
    let mut course = r.course.clone();
    let fridge = &mut course.kitchen.cold[0];
    fridge.shelves.value = 1;
    let found = places(&course, &r.class, &r.portions, r.planned.plan.as_ref().unwrap());
    let told = findings(&course, &found);
    assert_eq!(told.len(), 1, "{told:?}");
    assert_eq!((told[0].code.0, told[0].about.as_deref()), ("no-room-to-spread", Some("fridge")));
    assert!(told[0].message.contains("shelves flat"), "{}", told[0].message);
}

#[test]
fn equip_prints_shelves_reasons_and_what_must_lie_flat() {
    let sealed = Sealed::demo();
    let said = sealed.run(&["equip", "course"]);
    assert_eq!(said.exit, Some(0), "{said}");
    for words in ["Shelves, sinks and burners", "What must lie flat", "carries of rich dough", "\nWhy\n 1  "]
    {
        assert!(said.stdout.contains(words), "{words}: {said}");
    }
    assert!(said.stdout.lines().all(|line| line.chars().count() <= 80), "{said}");
    let json = sealed.run(&["equip", "course", "--format", "json"]).json();
    let fridge = json["places"].as_array().unwrap().iter().find(|p| p["place"] == "fridge").unwrap();
    assert!(fridge["taken"].as_f64().unwrap() > 0.0 && fridge["there"] == 5, "{fridge}");
    assert!(json["places"].as_array().unwrap().iter().any(|p| p["place"] == "sink" && p["there"] == 2));
    assert!(json["spreads"].as_array().unwrap().iter().all(|s| s["fits"] == true));
}
