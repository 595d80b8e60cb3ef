//! Room on shelves, loads that need not go in together, and plans that are too long.

use super::{demo, effort, inputs, model, planned, planned_with, preferred, small};
use benchroll::course::{Course, EquipId};
use benchroll::finding::Located;
use benchroll::reckon::options::options;
use benchroll::reckon::plan::check::check;
use benchroll::reckon::plan::choose::Effort;
use benchroll::reckon::plan::containers::standing;
use benchroll::reckon::plan::jobs::Jobs;
use benchroll::reckon::plan::timetable::Plan;
use benchroll::reckon::recipes::Recipes;
use benchroll::reckon::safety::exposures::exposures;
use benchroll::reckon::safety::judge::Phase;
use benchroll::reckon::safety::rule_sets::rule_set;
use benchroll::units::Minutes;
use jiff::SignedDuration;

fn rules(course: &Course, plan: &Plan) -> Vec<&'static str> {
    let (class, portions, _) = inputs(course, None);
    check(course, &class, &portions, plan).iter().map(|b| b.rule).collect()
}

/// Two tubs of 26 x 18 cm, 12 cm high, lie 2 x 2 on a shelf of 65 x 53 cm at the least: there is room for one of custard.
#[test]
fn what_sets_in_nothing_that_is_named_takes_the_room_of_a_tub() {
    let course = demo();
    let (class, portions, options) = inputs(&course, None);
    let picked = preferred(&options);
    let jobs = Jobs::of(&course, &class, &portions, &picked);
    let sets: Vec<_> = jobs.jobs.iter().filter(|j| j.id.starts_with("custard-buns.set@")).collect();
    assert!(!sets.is_empty());
    for job in sets {
        let grams = jobs.grams_of(job);
        let tub = &course.kitchen.tubs[0];
        let tubs = (grams.mg() + tub.holds.value.mg() - 1) / tub.holds.value.mg();
        let things = standing(&jobs, job);
        assert_eq!(things.len(), 1, "{}", job.id);
        assert_eq!((things[0].outside, i64::from(things[0].count)), (tub.outside.value, tubs));
        assert!(tubs > 0);
    }
}

#[test]
fn what_no_room_can_be_reckoned_for_is_said() {
    let mut course = demo();
    let said = |course: &Course| {
        let (class, portions, _) = inputs(course, None);
        let (_, findings) = options(course, &class, &portions);
        findings.iter().filter(|f| f.code.to_string() == "no-room-kept").count()
    };
    assert_eq!(said(&course), 0);
    course.kitchen.tubs.clear();
    assert!(said(&course) > 0);
}

#[test]
fn what_need_not_go_in_together_goes_in_by_itself() {
    let mut course = small();
    let together = planned(&course, None);
    let bake = course.lessons[0].steps.iter_mut().find(|s| s.id.value.as_str() == "bake").unwrap();
    bake.together = false;
    assert!(rules(&course, &together).contains(&"load"));
    let apart = planned(&course, None);
    let loads = apart.choice.loads.values().next().unwrap();
    assert!(loads.len() > 1 && loads.iter().all(|load| load.members.len() == 1), "{loads:?}");
}

#[test]
fn with_two_fridges_each_thing_stands_in_one_and_has_room_there() {
    let mut course = demo();
    let mut larder = course.kitchen.cold[0].clone();
    larder.id = Located::assumed(EquipId::new("larder".to_owned()));
    larder.shelves.value = 1;
    course.kitchen.cold.push(larder);
    let mut plan = planned_with(&course, None, Effort { per_term: 4_000, ..effort() });
    let in_cold =
        |plan: &Plan, id: &str| plan.tasks.iter().filter(|t| t.uses.iter().any(|u| u.resource == id)).count();
    assert!(in_cold(&plan, "fridge") > 0);
    for used in plan.tasks.iter_mut().flat_map(|t| &mut t.uses).filter(|u| u.resource == "fridge") {
        "larder".clone_into(&mut used.resource);
    }
    assert!(rules(&course, &plan).contains(&"shelf"));
    plan.tasks.iter_mut().for_each(|t| t.uses.retain(|u| u.resource != "larder"));
    assert!(rules(&course, &plan).contains(&"shelf"));
}

#[test]
fn more_on_the_cooling_racks_than_they_hold_is_refused() {
    let mut course = demo();
    let plan = planned(&course, None);
    assert!(!rules(&course, &plan).contains(&"shelf"));
    course.kitchen.racks[0].count.value = 1;
    course.kitchen.racks[0].shelves.value = 1;
    assert!(rules(&course, &plan).contains(&"shelf"));
}

/// A class in too short a session: it and the staff's hours after it are too long by the same figure.
#[test]
fn a_plan_is_no_later_than_it_says() {
    let mut course = small();
    for session in &mut course.sessions {
        session.to.value = session.to.value.saturating_sub(SignedDuration::from_mins(150));
        let end = session.to.value.clone();
        session.staff.iter_mut().for_each(|s| s.value.1 = end.clone());
    }
    let mut plan = planned(&course, None);
    assert!(!plan.fits && plan.proven_optimal, "{:?}", plan.objective);
    plan.overrun = Minutes(plan.overrun.get() - 5);
    assert!(rules(&course, &plan).contains(&"overrun"));
}

/// Staff's hours end with the session, and a loaf has to cool: what is left to do then is part of the overrun.
#[test]
fn staff_do_not_stay_longer_than_their_session_is_late() {
    let mut course = small();
    let session = &mut course.sessions[0];
    session.to.value = session.to.value.saturating_sub(SignedDuration::from_mins(150));
    let plan = planned(&course, None);
    assert!(!plan.fits);
    let (written, hours) = (&course.sessions[0].to.value, &course.sessions[0].staff[0].value.1);
    let until = hours.saturating_add(plan.sessions[0].finish.duration_since(written));
    assert!(plan.tasks.iter().filter(|t| !t.by.is_empty()).all(|t| t.end <= until));
}

/// More than the kitchen is made for: buns baked late on Saturday must not stand in the kitchen until Sunday's end.
#[test]
fn what_is_to_be_kept_cold_is_not_left_overnight() {
    let course = demo();
    let (class, portions, _) = inputs(&course, Some(24));
    let mut plan = planned_with(&course, Some(24), Effort { per_term: 4_000, ..effort() });
    let (recipes, _) = Recipes::of(&course);
    let found = exposures(&course, &class, &recipes, Some(&plan), rule_set("uk-england-2013"));
    let baked: Vec<Minutes> =
        found.iter().filter(|e| e.phase == Phase::Baked).filter_map(|e| e.out.map(|o| o.longest)).collect();
    assert!(!baked.is_empty() && baked.iter().all(|longest| *longest < Minutes::hours(12)), "{baked:?}");
    // The same bun, cooled after Saturday's end.
    let left = plan.sessions[0].finish.clone();
    let cool = plan.tasks.iter_mut().find(|t| t.id.starts_with("custard-buns.cool@station")).unwrap();
    cool.start = left.saturating_sub(SignedDuration::from_mins(10));
    cool.end = left.saturating_add(SignedDuration::from_mins(10));
    assert!(check(&course, &class, &portions, &plan).iter().any(|b| b.rule == "goes-home"));
}

/// Full loads first are among the ways to split a bake, beside even ones.
#[test]
fn full_loads_with_a_small_one_at_the_end_are_offered() {
    let mut course = small();
    course.kitchen.stations.count.value = 10;
    course.kitchen.stations.seats.value = 1;
    course.kitchen.ovens[0].racks.value = 1;
    let (_, _, options) = inputs(&course, Some(10));
    let sizes: Vec<Vec<u32>> = options
        .bakes
        .values()
        .flatten()
        .map(|bake| bake.loads.iter().map(|l| l.members.iter().map(|(_, n)| n).sum()).collect())
        .collect();
    let most = *sizes.iter().flatten().max().unwrap();
    let full = |way: &Vec<u32>| way[..way.len() - 1].iter().all(|n| *n == most) && way[way.len() - 1] < most;
    assert!(sizes.iter().any(full), "{sizes:?}");
    assert!(!model(&course).problem.tasks.is_empty());
}
