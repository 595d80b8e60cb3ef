#![allow(clippy::unwrap_used)]

use super::*;

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
    let set = super::super::rule_sets::rule_set("uk-england-2013").unwrap();
    let mut at: ZonedDateTime = "2027-03-06T10:00[Europe/Dublin]".parse().unwrap();
    let mut stay = |place, minutes: i64| {
        let from = at.clone();
        at = at.checked_add(jiff::Span::new().minutes(minutes)).unwrap();
        Stay { place, ..Stay::wait(StepId::new("set"), from, at.clone()) }
    };
    let stays = [stay(Where::Bench, 10), stay(Where::Cold, 225), stay(Where::Bench, 60)];
    let mut count = Count::new(&course, set, Phase::Cooked, false);
    assert!(stays.iter().all(|s| count.stay(s)));
    count.finish();
    let out = count.out;
    assert_eq!((out.minutes, out.cooling, out.longest), (Minutes(295), Minutes(225), Minutes(70)));
    let judged = judge(set, &out, None);
    assert_eq!((judged.verdict, judged.row), (Verdict::Warn, "uk-chill-handling"));
    // At 240 minutes it is cold: only what comes after counts.
    let mut at: ZonedDateTime = "2027-03-06T10:00[Europe/Dublin]".parse().unwrap();
    let mut count = Count::new(&course, set, Phase::Cooked, false);
    for (place, minutes) in [(Where::Cold, 240), (Where::Bench, 60)] {
        let from = at.clone();
        at = at.checked_add(jiff::Span::new().minutes(minutes)).unwrap();
        assert!(count.stay(&Stay { place, ..Stay::wait(StepId::new("set"), from, at.clone()) }));
    }
    count.finish();
    assert_eq!((count.out.minutes, count.out.cooling), (Minutes(60), Minutes::ZERO));
}
