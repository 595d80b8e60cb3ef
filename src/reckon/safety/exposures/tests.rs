#![allow(clippy::unwrap_used)]

use super::count::{above, cooled_to};
use super::*;
use crate::reckon::safety::judge::Verdict::{Ok as Fine, Over, Warn};
use crate::reckon::safety::rule_sets::rule_set;
use crate::units::Minutes;

/// From 21 to 5 degC in 240 min by a straight line: 13 K of the 16 until 8 degC is 195 min.
#[test]
fn cooling_is_a_straight_line_to_the_published_time() {
    let c = Celsius::whole;
    assert_eq!(above(c(21), c(4), c(5)), Minutes(240));
    assert_eq!(above(c(21), c(4), c(8)), Minutes(195));
    assert_eq!(above(c(7), c(4), c(8)), Minutes::ZERO);
    // A place at 7 degC ends there: 13 K of 14.
    assert_eq!(above(c(21), c(7), c(8)), Minutes(223));
    assert_eq!(cooled_to(c(25), c(4), Minutes(120)), c(15));
}

/// A custard at 10 minutes on the counter, 225 in the fridge and 60 on the bench, which nobody has read. By hand: above the
/// limit 10 + 225 + 60 = 295 minutes, of which 225 cool in the cold; at a stretch out of the cold 60. England's
/// four hours of one display (row `uk-chill-4h`) are not passed by a pan that cools in the fridge.
#[test]
fn cooling_in_the_cold_is_no_stretch_out_of_it() {
    let mut course = crate::reckon::sample::course();
    course.kitchen.cold[0].temperature = Some(crate::reckon::sample::at(Celsius::whole(4)));
    let set = rule_set("uk-england-2013").unwrap();
    let mut at: ZonedDateTime = "2027-03-06T10:00[Europe/Dublin]".parse().unwrap();
    let mut stay = |place, minutes: i64| {
        let from = at.clone();
        at = at.checked_add(jiff::Span::new().minutes(minutes)).unwrap();
        Stay { place, ..Stay::wait(StepId::new("set"), from, at.clone()) }
    };
    let stays = [stay(Where::Bench, 10), stay(Where::Cold, 225), stay(Where::Bench, 60)];
    let mut count = Count::new(&course, set, Phase::Cooked, false, Celsius::whole(63));
    assert!(stays.iter().all(|s| count.stay(s)));
    count.finish();
    let out = count.out;
    assert_eq!((out.minutes, out.cooling, out.longest), (Minutes(295), Minutes(225), Minutes(70)));
    let judged = judge(set, &out, None);
    assert_eq!((judged.verdict, judged.row), (Verdict::Warn, "uk-chill-handling"));
    // At 240 minutes it is cold: only what comes after counts.
    let mut at: ZonedDateTime = "2027-03-06T10:00[Europe/Dublin]".parse().unwrap();
    let mut count = Count::new(&course, set, Phase::Cooked, false, Celsius::whole(63));
    for (place, minutes) in [(Where::Cold, 240), (Where::Bench, 60)] {
        let from = at.clone();
        at = at.checked_add(jiff::Span::new().minutes(minutes)).unwrap();
        assert!(count.stay(&Stay { place, ..Stay::wait(StepId::new("set"), from, at.clone()) }));
    }
    count.finish();
    assert_eq!((count.out.minutes, count.out.cooling), (Minutes(60), Minutes::ZERO));
}

/// A course with a fridge at 4 degC in a room of 21 degC; its proofer has no temperature.
fn course() -> Course {
    let mut course = crate::reckon::sample::course();
    course.kitchen.cold[0].temperature = Some(crate::reckon::sample::at(Celsius::whole(4)));
    course
}

/// Counts what is here for so many minutes each, one after the other; what is cooked is at least 63 degC.
fn counted<'a>(course: &'a Course, set: &str, phase: Phase, stays: &[(Where, i64)]) -> Count<'a> {
    let stays: Vec<_> = stays.iter().map(|(place, minutes)| (*place, *minutes, None)).collect();
    counted_with(course, set, phase, &stays)
}

/// The same, with the least that is asked for at its centre.
fn counted_with<'a>(
    course: &'a Course,
    set: &str,
    phase: Phase,
    stays: &[(Where, i64, Option<i64>)],
) -> Count<'a> {
    let mut at: ZonedDateTime = "2027-03-06T10:00[Europe/Dublin]".parse().unwrap();
    let set = if set == "dough-benchmark" { dough_benchmark() } else { rule_set(set).unwrap() };
    let mut count = Count::new(course, set, phase, true, Celsius::whole(63));
    for (place, minutes, core) in stays {
        let from = at.clone();
        at = at.checked_add(jiff::Span::new().minutes(*minutes)).unwrap();
        let core = core.map(Celsius::whole);
        let stay = Stay { place: *place, core, ..Stay::wait(StepId::new("step"), from, at.clone()) };
        assert!(count.stay(&stay));
    }
    count.finish();
    count
}

fn told(set: &str, count: &Count<'_>) -> (Verdict, &'static str) {
    let judged = judge(rule_set(set).unwrap(), &count.out, None);
    (judged.verdict, judged.row)
}

/// From the fire into the cold for 30 minutes, 200 in the room, five hours in the cold, 30 on the bench. By hand: the first half hour
/// is cooling; 200 + 30 = 230 minutes are not, and it went back after 200. Row `au-2h4h`: back under 120 min alone.
#[test]
fn what_stands_between_two_stays_in_the_cold_counts() {
    let course = course();
    let stays = [(Where::Cold, 30), (Where::Room, 200), (Where::Cold, 300), (Where::Bench, 30)];
    let count = counted(&course, "au-322", Phase::Cooked, &stays);
    assert_eq!((count.out.minutes, count.out.back_at), (Minutes(230), Some(Minutes(200))));
    assert_eq!(told("au-322", &count), (Over, "au-2h4h"));
    // Straight from the fire into the cold and out when it is cold: half an hour.
    let count = counted(&course, "au-322", Phase::Cooked, &[(Where::Cold, 360), (Where::Bench, 30)]);
    assert_eq!(count.out.minutes, Minutes(30));
    assert_eq!(told("au-322", &count), (Fine, "au-2h4h"));
}

/// Five minutes in the cold at the end of six hours have cooled nothing: 30 + 330 + 5 + 10 minutes count (row `us-tphc-4h`).
#[test]
fn a_moment_in_the_cold_after_a_break_is_no_cooling() {
    let course = course();
    let stays = [(Where::Cold, 30), (Where::Room, 330), (Where::Cold, 5), (Where::Bench, 10)];
    let count = counted(&course, "us-foodcode-2022", Phase::Cooked, &stays);
    assert_eq!((count.out.minutes, count.out.cooling), (Minutes(375), Minutes(35)));
    assert_eq!(told("us-foodcode-2022", &count), (Over, "us-tphc-4h"));
}

/// Cooked, 200 minutes in the room, cooked again, six hours in the cold, 30 minutes on the bench. By hand: the 200 minutes before the
/// second cooking were no cooling, and count with the 30 after it; it went into the cold after 200 (row `au-2h4h`).
#[test]
fn a_second_cooking_takes_back_nothing_of_what_it_stood_before() {
    let course = course();
    let stays = [
        (Where::Hob, 15, Some(75)),
        (Where::Room, 200, None),
        (Where::Hob, 10, Some(75)),
        (Where::Cold, 360, None),
        (Where::Bench, 30, None),
    ];
    let count = counted_with(&course, "au-322", Phase::Cooked, &stays);
    assert_eq!((count.out.minutes, count.out.back_at), (Minutes(230), Some(Minutes(200))));
    assert_eq!(told("au-322", &count), (Over, "au-2h4h"));
    // At once from the one fire to the other nothing stood.
    let stays = [stays[0], stays[2], stays[3], stays[4]];
    let count = counted_with(&course, "au-322", Phase::Cooked, &stays);
    assert_eq!((count.out.minutes, told("au-322", &count)), (Minutes(30), (Fine, "au-2h4h")));
}

/// Row `au-2h4h` again, of the baked piece: 130 minutes on the rack and then into the cold is put back too late.
#[test]
fn a_baked_piece_that_goes_into_the_cold_is_put_back() {
    let course = course();
    let stays = [(Where::Rack, 130), (Where::Cold, 300), (Where::Bench, 20)];
    let count = counted(&course, "au-322", Phase::Baked, &stays);
    assert_eq!(count.out.back_at, Some(Minutes(130)));
    assert_eq!(told("au-322", &count), (Over, "au-2h4h"));
}

/// Rows `uk-hot-2h` and `uk-chill-4h`: 2 h 45 min on the rack are those of hot food; an hour there, the cold, and half an hour out of
/// it are two periods.
#[test]
fn what_comes_from_the_oven_is_hot_food_until_it_is_in_the_cold() {
    let course = course();
    let rack = counted(&course, "uk-england-2013", Phase::Baked, &[(Where::Rack, 165)]);
    assert_eq!(rack.out.from_hot, Minutes(165));
    assert_eq!(told("uk-england-2013", &rack), (Warn, "uk-hot-2h"));
    let stays = [(Where::Rack, 60), (Where::Cold, 300), (Where::Bench, 30)];
    let again = counted(&course, "uk-england-2013", Phase::Baked, &stays);
    assert_eq!((again.out.from_hot, again.out.periods), (Minutes(60), 2));
    assert_eq!(told("uk-england-2013", &again), (Warn, "uk-chill-4h"));
}

/// A quarter of an hour on the fire without a `core` that cooks, an hour in the cold, ten minutes on the bench: nothing of it is
/// outside the limits. By hand 15 + 60 + 10 = 85 minutes, of which 60 cool; before it was on the fire it was cold.
#[test]
fn what_was_only_warmed_is_raw_and_warm() {
    let course = course();
    let stays = [(Where::Hob, 15), (Where::Cold, 60), (Where::Bench, 10)];
    let count = counted(&course, "us-foodcode-2022", Phase::Raw, &stays);
    assert_eq!((count.out.minutes, count.out.cooling), (Minutes(85), Minutes(60)));
    // After four hours in the cold it is cold again: 15 + 240 + 10. What was on the fire was above 21 degC, so six hours are not for it
    // (row `us-tphc-6h`).
    let stays = [(Where::Hob, 15), (Where::Cold, 300), (Where::Bench, 10)];
    let count = counted(&course, "us-foodcode-2022", Phase::Raw, &stays);
    assert_eq!(count.out.minutes, Minutes(265));
    assert_eq!(told("us-foodcode-2022", &count), (Over, "us-tphc-4h"));
}

/// Row `grow-batter-3h`: above 21.1 degC three hours. The room has 21 degC, and the proofer no figure: it is a warm place, not the room.
#[test]
fn a_warm_place_without_a_temperature_is_not_the_room() {
    let course = course();
    let count = counted(&course, "dough-benchmark", Phase::Raw, &[(Where::Room, 30), (Where::Warm, 181)]);
    assert!(count.unread_warm);
    assert_eq!((count.out.cool_band, count.out.warm_band), (Minutes(30), Minutes(181)));
    assert_eq!(judge(dough_benchmark(), &count.out, None).verdict, Warn);
    // It condemns and never clears.
    let judged = |verdict| Judged { verdict, limit: None, row: "grow-batter-3h", because: "a".to_owned() };
    assert_eq!(unread(judged(Fine)).verdict, Verdict::Unknown);
    let over = unread(judged(Over));
    assert!(
        over.verdict == Over && over.because.starts_with("a; no temperature is written for the warm place")
    );
}

/// Food is cooked on the fire or in the oven, from 63 degC (row `us-egg-batch`, FDA Food Code 2022, 3-401.11(A)(2)) or from where the
/// set holds it hot: 57 degC (`us-hot-hold`), 63 (`uk-hot`), 60 (`au-temp`).
#[test]
fn it_is_cooked_where_it_is_hot_and_hot_enough() {
    let c = Celsius::whole;
    let from = |id: &str, egg| cooked_from(rule_set(id), egg);
    assert_eq!(
        ["us-foodcode-2022", "uk-england-2013", "au-322"].map(|id| from(id, false)),
        [c(57), c(63), c(60)]
    );
    assert_eq!(["us-foodcode-2022", "uk-england-2013", "au-322"].map(|id| from(id, true)), [c(63); 3]);
    // No figure of the set's own; a household's egg dishes reach 71 (`us-egg-dish-consumer`).
    assert_eq!((from("eu-852-2004", false), from("us-consumer", true)), (c(63), c(71)));
    let at: ZonedDateTime = "2027-03-06T10:00[Europe/Dublin]".parse().unwrap();
    let stay = |place, core: Option<i64>| Stay {
        place,
        core: core.map(c),
        ..Stay::wait(StepId::new("step"), at.clone(), at.clone())
    };
    assert!(stay(Where::Oven, None).cooks(c(63)) && stay(Where::Hob, Some(63)).cooks(c(63)));
    assert!(!stay(Where::Hob, Some(62)).cooks(c(63)) && !stay(Where::Hob, None).cooks(c(63)));
    assert!(!stay(Where::Cold, Some(80)).cooks(c(63)) && !stay(Where::Bench, Some(80)).cooks(c(63)));
}

/// Counts a part in the cold for so long, then ten minutes on the bench; read at the end of its stay in the cold, or not.
fn in_the_cold_then_out(
    phase: Phase,
    before: i64,
    minutes: i64,
    read: Option<i64>,
) -> (TimeOut, Option<StepId>, ZonedDateTime) {
    let course = course();
    let set = rule_set("eu-852-2004").unwrap();
    let mut at: ZonedDateTime = "2027-03-06T10:00[Europe/Dublin]".parse().unwrap();
    let mut count = Count::new(&course, set, phase, true, Celsius::whole(63));
    for (id, place, minutes, read) in [
        ("stir", Where::Bench, before, None),
        ("set", Where::Cold, minutes, read),
        ("pipe", Where::Bench, 10, None),
    ] {
        let from = at.clone();
        at = at.checked_add(jiff::Span::new().minutes(minutes)).unwrap();
        if from == at {
            continue;
        }
        let read = read.map(Celsius::whole);
        assert!(count.stay(&Stay { place, read, ..Stay::wait(StepId::new(id), from, at.clone()) }));
    }
    count.finish();
    (count.out, count.unread.clone().map(|(_, step)| step), count.first_out.clone().unwrap())
}

/// A cream from the fire, 235 minutes in the fridge and ten on the bench. Unread, all 245 count; read at 5 degC when it comes out, the
/// ten. A reading that is warmer than the limit shows nothing. Its clock runs from when it leaves the cold, never from going in.
#[test]
fn a_reading_at_the_end_of_a_stay_in_the_cold_counts_for_what_it_shows() {
    let (out, unread, clock) = in_the_cold_then_out(Phase::Cooked, 0, 235, None);
    assert_eq!((out.minutes, out.cooling), (Minutes(245), Minutes(235)));
    assert_eq!(unread, Some(StepId::new("set")));
    assert_eq!(clock.strftime("%H:%M").to_string(), "13:55");
    let (out, unread, clock) = in_the_cold_then_out(Phase::Cooked, 0, 235, Some(5));
    assert_eq!((out.minutes, out.cooling, unread), (Minutes(10), Minutes::ZERO, None));
    assert_eq!(clock.strftime("%H:%M").to_string(), "13:55");
    let (out, ..) = in_the_cold_then_out(Phase::Cooked, 0, 235, Some(9));
    assert_eq!(out.minutes, Minutes(245));
}

/// The same of a cream that was never on the fire: stirred for five minutes out of the fridge, 60 or 240 in it again. Read cold within
/// the four hours that its cooling may take (row `us-cool-ambient`), only what it was out counts; later than that nothing is shown.
#[test]
fn a_cream_that_was_never_heated_is_read_too() {
    for minutes in [60, 240] {
        let (out, ..) = in_the_cold_then_out(Phase::Raw, 5, minutes, Some(5));
        assert_eq!((out.minutes, out.cooling), (Minutes(15), Minutes::ZERO), "{minutes}");
        let (out, unread, _) = in_the_cold_then_out(Phase::Raw, 5, minutes, None);
        assert_eq!((out.minutes, out.cooling), (Minutes(15 + minutes), Minutes(minutes)));
        assert_eq!(unread, Some(StepId::new("set")));
    }
    let (out, ..) = in_the_cold_then_out(Phase::Raw, 5, 300, Some(5));
    assert_eq!(out.cooling, Minutes(240));
}
