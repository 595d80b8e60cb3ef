//! What a station gets of what others made is the weight of its pieces, on every page that tells it, and all shares with what is left over
//! are what there is.

use crate::timetable::{demo, inputs, planned};
use benchroll::reckon::options::preferred;
use benchroll::reckon::recipes::Recipes;
use benchroll::reckon::rounding::ScaleSteps;
use benchroll::reckon::weigh::{Who, shares, weigh};
use benchroll::reckon::work::{Portion, Whom};
use benchroll::typeset::views::common::Measure;
use benchroll::typeset::views::desk::Desk;
use benchroll::typeset::views::oven_and_cold::OvenAndCold;
use benchroll::typeset::views::slips::Slips;
use benchroll::typeset::views::station_sheet::StationSheet;
use benchroll::units::Grams;
use std::collections::BTreeMap;

fn grams(shown: &Measure) -> Grams {
    Grams::from_decimal(shown.value.parse().unwrap()).unwrap()
}

fn portion<'p>(portions: &'p [Portion], lesson: &str, part: &str, whom: &Whom) -> Option<&'p Portion> {
    portions.iter().find(|p| p.lesson.as_str() == lesson && p.part.as_str() == part && p.whom == *whom)
}

#[test]
fn whoever_comes_a_share_is_the_weight_of_its_pieces() {
    let course = demo();
    let (recipes, _) = Recipes::of(&course);
    let steps = ScaleSteps::of(&course.settings);
    let mut seen = 0;
    for people in 2..=24 {
        let (class, portions, options) = inputs(&course, Some(people));
        let choice = preferred(&course, &options, &portions);
        let out = weigh(&course, &class, &portions, &choice);
        for batch in choice.batches.values().flatten() {
            let shared = shares(&course, &recipes, batch);
            let sum: Grams = shared.each.iter().map(|(_, grams)| *grams).sum();
            assert_eq!(sum + shared.over, shared.whole());
            for (whom, gets) in &shared.each {
                let (lesson, part) = (batch.lesson.as_str(), batch.part.as_str());
                let Some(portion) = portion(&portions, lesson, part, whom) else { continue };
                assert_eq!(*gets, steps.handed(portion.used), "{people}: {lesson} {part} {whom:?}");
                // Whole grams for a piece are neither more nor less for all.
                let one = portion.used.ratio(1, i64::from(portion.pieces));
                if one == one.to_nearest(steps.class) && one >= steps.fine_below {
                    assert_eq!(*gets, one.times(i64::from(portion.pieces)), "{people}: {lesson} {part}");
                }
                seen += 1;
            }
        }
        // What a station's list says of a part that it fetches or has mixed for itself.
        for group in &out.stations {
            let Who::Station(no, _) = &group.who else { panic!("{:?}", group.who) };
            for list in &group.lists {
                let whom = Whom::Station(*no);
                let found = portion(&portions, list.lesson.as_str(), list.part.as_str(), &whom);
                let Some(portion) = found.filter(|_| list.surplus == Grams::ZERO) else { continue };
                assert_eq!(list.used, steps.handed(portion.used), "{people}: {} {}", list.lesson, list.part);
                seen += 1;
            }
        }
    }
    assert!(seen > 1000, "{seen}");
}

/// Eleven people: a station of one, whose doughs were a gram short of its pieces.
#[test]
fn every_page_tells_the_same_shares() {
    let course = demo();
    for people in [5, 11] {
        let (class, portions, _) = inputs(&course, Some(people));
        let plan = planned(&course, Some(people));
        let weighed = weigh(&course, &class, &portions, &plan.choice);
        let desk = Desk::new(&course, &class, &plan, &weighed);
        let steps = ScaleSteps::of(&course.settings);
        // The slips of a batch are the batch.
        let mut in_tubs: BTreeMap<(String, u32), Grams> = BTreeMap::new();
        for slip in &Slips::of(&desk).contents {
            in_tubs.insert((slip.on.clone(), slip.number), grams(&slip.amount));
        }
        let (mut fetched, mut shared) = (0, 0);
        for slip in desk.slips() {
            let batch = desk.batch_of(&slip.lesson, &slip.part, slip.batch).unwrap();
            let whole = desk.shares(batch).whole();
            let tubs: Grams = slip.each.iter().map(|(no, _)| in_tubs[&(slip.slip.on.clone(), *no)]).sum();
            assert_eq!(tubs, whole, "{people}: {} {}", slip.lesson, slip.part);
        }
        for session in &course.sessions {
            // What leaves the cold at one time after the other is the batch, with what is left over.
            let sheet = OvenAndCold::of(&desk, session);
            for slip in desk.slips() {
                let batch = desk.batch_of(&slip.lesson, &slip.part, slip.batch).unwrap();
                let mut by_step: BTreeMap<&str, Grams> = BTreeMap::new();
                for place in sheet.places.iter().filter(|p| p.slips.contains(&slip.slip)) {
                    let out = place.amount.iter().chain(&place.over).map(grams).sum::<Grams>();
                    *by_step.entry(&place.name).or_default() += out;
                }
                for (step, out) in by_step {
                    assert_eq!(out, desk.shares(batch).whole(), "{people}: {} {step}", slip.lesson);
                    shared += 1;
                }
            }
            for station in &class.stations {
                let whom = Whom::Station(station.no);
                let sheet = StationSheet::of(&desk, station, session);
                for list in sheet.weigh.iter().filter(|l| l.how == "fetch") {
                    for line in &list.lines {
                        let is = |p: &&Portion| {
                            p.whom == whom
                                && desk.lesson_name(&p.lesson) == list.lesson
                                && desk.part_name(&p.formula, &p.part) == line.name
                        };
                        let Some(portion) = portions.iter().find(is) else { continue };
                        let (no, gets) = (station.no, steps.handed(portion.used));
                        assert_eq!(grams(&line.amount), gets, "{people}: {} at {no}", line.name);
                        fetched += 1;
                    }
                }
            }
        }
        assert!(fetched > 8 && shared > 5, "{people}: {fetched} {shared}");
    }
}

/// The home recipe's text and its drawing speak of one rack, and of as many buns.
#[test]
fn a_home_batch_is_drawn_on_a_home_rack() {
    use benchroll::reckon::drawings::Drawing;
    use benchroll::reckon::drawn::{at_home, of_step};
    use benchroll::reckon::home::{HOME_RACK, HomeBatch};
    let course = demo();
    let (recipes, _) = Recipes::of(&course);
    let lesson = course.lesson(&"custard-buns".into()).unwrap();
    let formula = course.formula(&lesson.formula.value).unwrap();
    let batch = HomeBatch::of(&course, formula, Some(lesson), None).unwrap();
    let trays = |all: Vec<Drawing>| -> Vec<_> {
        let tray = |d: Drawing| match d {
            Drawing::OnTray { width, depth, buns, .. } => Some((width, depth, buns)),
            _ => None,
        };
        all.into_iter().filter_map(tray).collect()
    };
    let mut drawn = 0;
    for step in lesson.steps.iter().filter(|s| !s.demo) {
        let at_school = trays(of_step(&course, &recipes, lesson, step, None, batch.pieces));
        for (width, depth, buns) in trays(at_home(&course, &recipes, lesson, step, &batch)) {
            assert_eq!((width, depth), (HOME_RACK.width, HOME_RACK.depth));
            let at_once = batch.steps.iter().find_map(|s| s.at_once).unwrap();
            assert_eq!(buns, at_once.min(batch.pieces));
            assert_ne!(at_school, [(width, depth, buns)]);
            drawn += 1;
        }
    }
    assert_eq!(drawn, 1);
}
