#![allow(clippy::unwrap_used)]
use super::*;
use crate::course::Avoidance;
use crate::finding::Level;
use crate::reckon::sample::{at, avoiding, course, pair, person, roll};
use proptest::prelude::*;

/// Rows by station.
fn seats(class: &Class) -> Vec<Vec<Option<usize>>> {
    class.stations.iter().map(|s| s.seats.iter().map(|x| x.person).collect()).collect()
}

fn codes(findings: &[Finding]) -> Vec<(Level, &'static str)> {
    findings.iter().map(|f| (f.level, f.code.0)).collect()
}

#[test]
fn twelve_people_sit_in_the_order_of_the_roll() {
    let (class, findings) = seat(&course(), None);
    assert_eq!(seats(&class)[0], [Some(0), Some(1)]);
    assert_eq!(seats(&class)[5], [Some(10), Some(11)]);
    assert_eq!((class.headcount, class.stations.len(), class.places_short), (12, 6, 0));
    assert_eq!(codes(&findings), []);
}

#[test]
fn nobody_moves_when_someone_leaves_or_joins() {
    let mut c = course();
    let before = seats(&seat(&c, None).0);
    c.roll[2].status = at(Status::Cancelled);
    let one_less = seats(&seat(&c, None).0);
    assert_eq!(one_less[1], [Some(3)]);
    assert_eq!((&one_less[0], &one_less[2..]), (&before[0], &before[2..]));
    // The next to join takes the empty seat.
    c.roll.push(person("New"));
    assert_eq!(seats(&seat(&c, None).0)[1], [Some(3), Some(12)]);
}

#[test]
fn pairs_sit_together_and_single_people_fill_up() {
    let mut c = course();
    c.roll = roll(1);
    c.roll.extend(pair("Ada", "Ben"));
    c.roll.push(person("Cleo"));
    assert_eq!(seats(&seat(&c, None).0), [[Some(0), Some(3)], [Some(1), Some(2)]]);
}

#[test]
fn promised_stations_are_kept() {
    let mut c = course();
    c.roll = roll(4);
    c.roll[3].station = Some(at(StationNo(2)));
    c.roll[0].station = Some(at(StationNo(9)));
    let (class, findings) = seat(&c, None);
    assert!(seats(&class)[1].contains(&Some(3)));
    assert_eq!(codes(&findings), [(Level::Warning, "station-wish-not-met")]);
}

#[test]
fn those_who_avoid_the_same_sit_together_and_others_apart() {
    let mut c = course();
    c.roll = vec![
        avoiding("A", "hazelnut", Avoidance::Allergy),
        person("B"),
        avoiding("C", "egg", Avoidance::Choice),
        avoiding("D", "hazelnut", Avoidance::Allergy),
        person("E"),
    ];
    let (class, _) = seat(&c, None);
    assert_eq!(seats(&class), [vec![Some(0), Some(3)], vec![Some(1), Some(4)], vec![Some(2)]]);
    let variant = |s: usize| class.stations[s].variants.get(&"crown".into()).map(|v| v.to_string());
    assert_eq!(
        (variant(0), variant(1), variant(2)),
        (Some("nut-free".into()), None, Some("egg-free".into()))
    );
}

#[test]
fn room_enough_is_always_found_for_a_pair() {
    // One who avoids something would like a station alone; then the pair had none.
    let mut c = course();
    c.kitchen.stations.count = at(2);
    c.roll = vec![person("A"), avoiding("B", "egg", Avoidance::Choice)];
    c.roll.extend(pair("C", "D"));
    let (class, findings) = seat(&c, None);
    assert_eq!(seats(&class), [[Some(0), Some(1)], [Some(2), Some(3)]]);
    assert_eq!(codes(&findings), []);
}

#[test]
fn a_left_handed_person_sits_at_the_left_end() {
    let mut c = course();
    c.roll[1].needs = vec![at("left-handed".into())];
    assert_eq!(seats(&seat(&c, None).0)[0], [Some(1), Some(0)]);
}

#[test]
fn a_headcount_adds_unnamed_people_and_says_what_is_short() {
    let (class, findings) = seat(&course(), Some(14));
    assert_eq!((class.headcount, class.stations.len(), class.places_short), (14, 7, 2));
    assert_eq!(seats(&class)[6], [None, None]);
    assert_eq!(codes(&findings), [(Level::Warning, "places-short")]);
    // The same on the roll stops the work.
    let mut c = course();
    c.roll = roll(14);
    assert_eq!(codes(&seat(&c, None).1), [(Level::Error, "places-short")]);
}

#[test]
fn those_whom_a_headcount_adds_sit_last_with_someone_who_avoids() {
    let mut c = course();
    c.kitchen.stations.count = at(3);
    c.roll = vec![avoiding("A", "egg", Avoidance::Choice), person("B"), person("C")];
    assert_eq!(seats(&seat(&c, Some(5)).0), [vec![Some(0)], vec![Some(1), Some(2)], vec![None, None]]);
    assert_eq!(seats(&seat(&c, Some(6)).0)[0], [Some(0), None]);
}

#[test]
fn a_seat_of_one_who_left_is_given_away_where_nobody_avoids_anything() {
    let mut c = course();
    c.kitchen.stations.count = at(2);
    c.roll = vec![avoiding("A", "egg", Avoidance::Choice), person("B"), person("C"), person("D")];
    c.roll[1].with = Some(at("A".to_owned()));
    c.roll[1].status = at(Status::Cancelled);
    c.roll[3].status = at(Status::Cancelled);
    assert_eq!(seats(&seat(&c, Some(3)).0), [vec![Some(0)], vec![Some(2), None]]);
}

#[test]
fn a_headcount_never_drops_one_who_avoids_something() {
    let mut c = course();
    c.roll[11] = avoiding("Z", "egg", Avoidance::Choice);
    c.roll[3].name = at(String::new());
    let (class, _) = seat(&c, Some(10));
    let here: Vec<usize> = seats(&class).into_iter().flatten().flatten().collect();
    assert!(here.contains(&11) && !here.contains(&3) && !here.contains(&10));
    c.roll = (0..3).map(|i| avoiding(&format!("P{i}"), "egg", Avoidance::Choice)).collect();
    let (class, findings) = seat(&c, Some(2));
    assert_eq!(class.headcount, 3);
    assert_eq!(codes(&findings)[0], (Level::Error, "headcount-drops-someone-who-avoids"));
}

#[test]
fn no_variant_is_believed_by_its_claim() {
    let mut c = course();
    c.roll[0] = avoiding("A", "tree-nuts", Avoidance::Allergy);
    // The seeds' pack now says it may hold almonds, which are tree nuts.
    let seeds = c.pantry.items.iter_mut().find(|i| i.id.value.as_str() == "seeds").unwrap();
    seeds.allergens = crate::course::Allergens::Stated {
        contains: vec![],
        may_contain: vec![at("almond".into())],
        checked: None,
    };
    let (class, findings) = seat(&c, None);
    assert_eq!(class.stations[0].variants.get(&"crown".into()).unwrap().as_str(), "nut-free");
    assert_eq!(codes(&findings), [(Level::Warning, "avoided-may-be-in-it")]);
    // With nothing written of them it is unknown, not free.
    let seeds = c.pantry.items.iter_mut().find(|i| i.id.value.as_str() == "seeds").unwrap();
    seeds.allergens = crate::course::Allergens::Unknown;
    assert_eq!(codes(&seat(&c, None).1), [(Level::Warning, "avoided-is-unknown")]);
    // Without the variant the allergy stops the work; a choice would only warn.
    c.formulas[0].variants.clear();
    assert_eq!(codes(&seat(&c, None).1), [(Level::Error, "avoided-is-in-it")]);
    c.roll[0].avoids[0].why = Avoidance::Choice;
    assert_eq!(codes(&seat(&c, None).1), [(Level::Warning, "avoided-is-in-it")]);
}

#[test]
fn where_flour_flies_no_variant_is_asked_for() {
    let mut c = course();
    c.roll[0] = avoiding("A", "wheat", Avoidance::Choice);
    let (_, findings) = seat(&c, None);
    let way_out = |code: &str| {
        let found = findings.iter().find(|f| f.code.0 == code);
        found.and_then(|f| f.way_out.clone()).unwrap_or_default()
    };
    assert!(!way_out("flour-in-the-room").is_empty(), "{findings:?}");
    let told = way_out("avoided-is-in-it");
    assert!(told.contains("no variant helps") && !told.contains("write a variant"), "{told}");
}

#[test]
fn a_choice_never_outvotes_an_allergy() {
    let mut c = course();
    let seeds = c.pantry.items.iter_mut().find(|i| i.id.value.as_str() == "seeds").unwrap();
    seeds.allergens = crate::course::Allergens::Stated {
        contains: vec![at("sesame".into())],
        may_contain: vec![],
        checked: None,
    };
    // The variant without eggs stands first and leaves the nuts in.
    let mut egg_free = c.formulas[0].variants[0].clone();
    egg_free.id = at("egg-free".into());
    egg_free.lines.clear();
    egg_free.free_from.clear();
    c.formulas[0].variants.insert(0, egg_free);
    c.roll[0] = avoiding("A", "hazelnut", Avoidance::Allergy);
    c.roll[0].avoids.push(avoiding("A", "wheat", Avoidance::Choice).avoids.remove(0));
    c.roll[0].avoids.push(avoiding("A", "sesame", Avoidance::Choice).avoids.remove(0));
    let (class, _) = seat(&c, None);
    assert_eq!(class.stations[0].variants.get(&"crown".into()).unwrap().as_str(), "nut-free");
    // The other way round the eater of no sesame gets what holds none.
    c.roll[0].avoids[0].why = Avoidance::Choice;
    let (class, _) = seat(&c, None);
    assert!(!class.stations[0].variants.contains_key(&"crown".into()));
}

#[test]
fn what_is_in_the_air_binds_everyone() {
    let mut c = course();
    c.roll[0] = avoiding("A", "hazelnut", Avoidance::Allergy);
    c.roll[0].avoids[0].severity = Severity::Airborne;
    let (class, _) = seat(&c, None);
    assert!(
        class
            .stations
            .iter()
            .all(|s| s.variants.get(&"crown".into()).is_some_and(|v| v.as_str() == "nut-free"))
    );
    assert_eq!(class.everyone.len(), 1);
}

#[test]
fn no_variant_helps_against_flour_in_the_air() {
    let mut c = course();
    c.roll[0] = avoiding("A", "wheat", Avoidance::Allergy);
    assert!(codes(&seat(&c, None).1).contains(&(Level::Error, "flour-in-the-room")));
    c.roll[0] = avoiding("A", "gluten", Avoidance::Intolerance);
    assert!(codes(&seat(&c, None).1).contains(&(Level::Warning, "flour-in-the-room")));
}

proptest! {
    #[test]
    fn everyone_who_comes_has_one_seat(n in 1usize..40, count in 1u32..9, seats_each in 1u32..4, ask in proptest::option::of(1u32..40), pairs in 0usize..8) {
        let mut c = course();
        c.kitchen.stations.count = at(count);
        c.kitchen.stations.seats = at(seats_each);
        c.roll = roll(n);
        for p in 0..pairs.min(n / 2) {
            let partner = c.roll[n - 1 - p].name.value.clone();
            c.roll[p].with = Some(at(partner));
        }
        let (class, _) = seat(&c, ask);
        let people = ask.unwrap_or(n as u32);
        prop_assert_eq!(class.headcount, people);
        prop_assert_eq!(class.stations.iter().map(Station::students).sum::<u32>(), people);
        prop_assert!(class.stations.iter().all(|s| s.students() >= 1 && s.students() <= seats_each));
        let mut rows: Vec<usize> = seats(&class).into_iter().flatten().flatten().collect();
        let all = rows.len();
        rows.sort_unstable();
        rows.dedup();
        prop_assert_eq!(rows.len(), all);
        prop_assert_eq!(class.places_short, people.saturating_sub(count * seats_each));
    }
}
