//! The checker of plans refuses plans that were spoiled by hand, each by its rule.

use super::{demo, inputs, planned};
use benchroll::reckon::plan::check::check;
use benchroll::reckon::plan::timetable::{Plan, PlannedTask};
use jiff::SignedDuration;

/// The rules that a spoiled demo plan breaks.
fn broken(spoil: impl FnOnce(&mut Plan)) -> Vec<&'static str> {
    let course = demo();
    let (class, portions, _) = inputs(&course, None);
    let mut plan = planned(&course, None);
    spoil(&mut plan);
    let mut rules: Vec<&'static str> =
        check(&course, &class, &portions, &plan).iter().map(|b| b.rule).collect();
    rules.dedup();
    rules
}

fn shift(task: &mut PlannedTask, minutes: i64) {
    let by = SignedDuration::from_mins(minutes);
    task.start = task.start.saturating_add(by);
    task.end = task.end.saturating_add(by);
    for used in &mut task.uses {
        used.until = used.until.saturating_add(by);
    }
}

fn task<'p>(plan: &'p mut Plan, id: &str) -> &'p mut PlannedTask {
    plan.tasks.iter_mut().find(|t| t.id == id).unwrap_or_else(|| panic!("no {id}"))
}

#[test]
fn a_sound_plan_passes() {
    assert!(broken(|_| ()).is_empty());
}

#[test]
fn a_missing_task_is_missed() {
    assert!(
        broken(|plan| plan.tasks.retain(|t| t.id != "walnut-crown.fill@station-2")).contains(&"complete")
    );
}

#[test]
fn a_step_before_the_one_it_follows_is_refused() {
    assert!(broken(|plan| shift(task(plan, "walnut-crown.fill@station-2"), -10)).contains(&"order"));
}

#[test]
fn a_step_too_long_after_the_one_it_follows_is_refused() {
    let rules = broken(|plan| {
        for step in ["fill", "cut"] {
            shift(task(plan, &format!("walnut-crown.{step}@station-2")), 25);
        }
    });
    assert!(rules.contains(&"carry"), "{rules:?}");
}

#[test]
fn a_short_proof_is_refused() {
    let rules = broken(|plan| {
        let proof = task(plan, "four-braid.proof@station-1");
        proof.end = proof.start.saturating_add(SignedDuration::from_mins(20));
    });
    assert!(rules.contains(&"stands"), "{rules:?}");
}

#[test]
fn a_short_mix_is_refused() {
    let rules = broken(|plan| {
        let mix = task(plan, "four-braid.mix@batch-1");
        mix.end = mix.start.saturating_add(SignedDuration::from_mins(5));
    });
    assert!(rules.contains(&"takes"), "{rules:?}");
}

#[test]
fn students_in_two_places_are_refused() {
    let rules = broken(|plan| {
        let other = plan.task("walnut-crown.roll@station-1").unwrap().start.clone();
        let roll = task(plan, "walnut-crown.fill@station-1");
        let long = roll.end.duration_since(&roll.start);
        roll.start = other.clone();
        roll.end = other.saturating_add(long);
    });
    assert!(rules.contains(&"hands"), "{rules:?}");
}

#[test]
fn work_outside_a_session_is_refused() {
    let rules = broken(|plan| shift(task(plan, "class.clean-down@sun"), 6 * 60));
    assert!(rules.contains(&"session"), "{rules:?}");
}

#[test]
fn one_of_the_staff_in_two_places_is_refused() {
    let rules = broken(|plan| {
        for task in &mut plan.tasks {
            task.by.iter_mut().for_each(|who| "teacher".clone_into(who));
        }
    });
    assert!(rules.contains(&"hands"), "{rules:?}");
}

#[test]
fn a_teacher_who_works_cannot_watch() {
    let rules = broken(|plan| {
        let start = plan.task("walnut-crown.fill@station-1").unwrap().start.clone();
        let show = task(plan, "four-braid.show-mix@class");
        let long = show.end.duration_since(&show.start);
        show.start = start.clone();
        show.end = start.saturating_add(long);
    });
    assert!(rules.contains(&"eye"), "{rules:?}");
}

#[test]
fn two_batches_in_one_bowl_are_refused() {
    let rules = broken(|plan| {
        let all: Vec<String> =
            plan.tasks.iter().filter(|t| t.step.as_str() == "mix").map(|t| t.id.clone()).collect();
        for id in all {
            let task = task(plan, &id);
            for used in &mut task.uses {
                if used.resource.starts_with("small-mixer-") {
                    "small-mixer-1".clone_into(&mut used.resource);
                }
            }
        }
    });
    assert!(rules.contains(&"mixer"), "{rules:?}");
}

#[test]
fn two_temperatures_in_one_oven_are_refused() {
    let rules = broken(|plan| {
        for task in &mut plan.tasks {
            for used in &mut task.uses {
                if used.resource.starts_with("oven-") {
                    "oven-1".clone_into(&mut used.resource);
                }
            }
        }
    });
    assert!(rules.contains(&"oven"), "{rules:?}");
}

#[test]
fn more_tins_than_there_are_are_refused() {
    let mut course = demo();
    let (class, portions, _) = inputs(&course, None);
    let plan = planned(&course, None);
    course.kitchen.tins[0].count.value = 5;
    assert!(check(&course, &class, &portions, &plan).iter().any(|b| b.rule == "counted"));
}

#[test]
fn more_on_the_shelves_than_they_hold_is_refused() {
    let mut course = demo();
    let (class, portions, _) = inputs(&course, None);
    let plan = planned(&course, None);
    course.kitchen.warm[0].shelves.value = 1;
    assert!(check(&course, &class, &portions, &plan).iter().any(|b| b.rule == "shelf"));
}

#[test]
fn more_than_a_circuit_carries_is_refused() {
    let mut course = demo();
    let (class, portions, _) = inputs(&course, None);
    let plan = planned(&course, None);
    for circuit in &mut course.kitchen.circuits {
        circuit.carries.value = benchroll::units::Watts::whole(4000);
    }
    assert!(check(&course, &class, &portions, &plan).iter().any(|b| b.rule == "circuit"));
}

#[test]
fn a_batch_with_the_allergen_first_is_refused() {
    // Someone avoids egg; the braid's egg-free dough is mixed in a small mixer, and so are the buns' doughs with egg.
    let rules = broken(|plan| {
        let start = plan.task("four-braid.mix@batch-3").unwrap().start.clone();
        let bowl = plan.task("four-braid.mix@batch-3").unwrap().uses[0].resource.clone();
        let buns = task(plan, "custard-buns.mix@batch-1");
        let long = buns.end.duration_since(&buns.start);
        buns.start = start.saturating_sub(SignedDuration::from_mins(25));
        buns.end = buns.start.saturating_add(long);
        buns.uses[0].resource = bowl;
        buns.uses[0].until = buns.end.clone();
    });
    assert!(rules.contains(&"allergen"), "{rules:?}");
}

#[test]
fn a_pan_with_the_allergen_first_is_refused() {
    // The pan with nuts a quarter of an hour before the one without, with no time to wash pan, bench and spoons.
    let rules = broken(|plan| {
        let start = plan.task("walnut-crown.cook@class-nut-free").unwrap().start.clone();
        let nuts = task(plan, "walnut-crown.cook@class");
        let long = nuts.end.duration_since(&nuts.start);
        nuts.start = start.saturating_sub(long);
        nuts.end = start;
    });
    assert!(rules.contains(&"allergen"), "{rules:?}");
}

#[test]
fn a_pan_with_the_allergen_beside_a_free_one_is_refused() {
    let rules = broken(|plan| {
        let start = plan.task("walnut-crown.cook@class-nut-free").unwrap().start.clone();
        let nuts = task(plan, "walnut-crown.cook@class");
        let long = nuts.end.duration_since(&nuts.start);
        nuts.start = start.saturating_add(SignedDuration::from_mins(5));
        nuts.end = nuts.start.saturating_add(long);
    });
    assert!(rules.contains(&"allergen"), "{rules:?}");
}

#[test]
fn a_break_with_work_in_it_is_refused() {
    let rules = broken(|plan| {
        let start = plan.task("walnut-crown.roll@station-1").unwrap().start.clone();
        let tea = task(plan, "class.break@sat");
        let long = tea.end.duration_since(&tea.start);
        tea.start = start.clone();
        tea.end = start.saturating_add(long);
    });
    assert!(rules.contains(&"hands") && rules.contains(&"own-step"), "{rules:?}");
}

#[test]
fn a_mix_without_a_mixer_is_refused_whatever_its_batch_says() {
    use benchroll::reckon::work::Vessel;
    let rules = broken(|plan| {
        for batch in plan.choice.batches.values_mut().flatten() {
            batch.vessel = Vessel::Other;
        }
        task(plan, "four-braid.mix@batch-1").uses.clear();
    });
    assert!(rules.contains(&"mixer"), "{rules:?}");
}
