//! The rules about the kitchen's things, each broken by itself: bowls, ovens, tins, shelves, burners, circuits, and what an allergen has been in.

use super::broken_rules::{Case, case, later, of_step, put_at, shift, small_case, step, task};
use benchroll::course::{Circuit, EquipId, StationNo, StepId};
use benchroll::finding::Located;
use benchroll::reckon::plan::timetable::{Plan, PlannedTask, Used};
use benchroll::reckon::work::{Vessel, Whom};
use benchroll::units::{Celsius, Centimetres, Minutes, Watts};

/// Puts something else in use where something was.
fn rename(plan: &mut Plan, id: &str, from: &str, to: &str) {
    for used in task(plan, id).uses.iter_mut().filter(|u| u.resource.starts_with(from)) {
        to.clone_into(&mut used.resource);
    }
}

fn also(plan: &mut Plan, id: &str, resource: &str) {
    let until = task(plan, id).end.clone();
    task(plan, id).uses.push(Used { resource: resource.to_owned(), amount: 1, until });
}

/// The ids of the tasks that have one of these in use.
fn in_use(plan: &Plan, kind: &str) -> Vec<String> {
    let uses = |t: &&PlannedTask| t.uses.iter().any(|u| u.resource.starts_with(kind));
    plan.tasks.iter().filter(uses).map(|t| t.id.clone()).collect()
}

/// The ids of a step's tasks.
fn all(plan: &Plan, step: &str) -> Vec<String> {
    let of = |id: &&String| id.starts_with(&format!("{step}@"));
    plan.tasks.iter().map(|t| &t.id).filter(of).cloned().collect()
}

fn twin(id: &str, mut other: benchroll::course::Shelves) -> benchroll::course::Shelves {
    other.id = Located::assumed(EquipId::new(id));
    other
}

/// All of them.
pub fn things() -> Vec<Case> {
    let mut cases = of_machines();
    cases.extend(of_what_is_counted());
    cases.extend(of_what_is_unknown());
    cases.extend(of_allergens());
    cases
}

fn of_machines() -> Vec<Case> {
    vec![
        case("mixer", "has no mixer", |_, p| {
            for batch in p.choice.batches.values_mut().flatten() {
                batch.vessel = Vessel::Other;
            }
            of_step(p, "four-braid.mix").uses.clear();
        }),
        case("mixer", "does not fit into large-mixer", |_, p| {
            in_use(p, "small-mixer-").iter().for_each(|id| rename(p, id, "small-mixer", "large-mixer-1"));
        }),
        case("mixer", "of small-mixer-1 are taken, 1 are there", |_, p| {
            for id in all(p, "custard-buns.mix").into_iter().chain(all(p, "four-braid.mix")) {
                rename(p, &id, "small-mixer", "small-mixer-1");
            }
        }),
        // Five minutes after the one before, and ten are written.
        case("mixer", "of small-mixer-1 are taken, 1 are there", |_, p| {
            let all = in_use(p, "small-mixer-");
            let first = task(p, &all[0]).end.clone();
            put_at(task(p, &all[1]), &later(&first, 5));
            all.iter().take(2).for_each(|id| rename(p, id, "small-mixer", "small-mixer-1"));
        }),
        case("mixer", "which carries", |c, _| {
            for (_, most) in c.kitchen.mixers.iter_mut().flat_map(|m| &mut m.limit) {
                most.value = benchroll::units::Grams::whole(500);
            }
        }),
        small_case("mixer", "has no mixer", |_, p| of_step(p, "soft-loaf.mix").uses.clear()),
        case("oven", "has no oven", |_, p| {
            of_step(p, "walnut-crown.bake").uses.retain(|u| u.resource != "oven-1")
        }),
        case("oven", "to change the temperature", |_, p| {
            in_use(p, "oven-").iter().for_each(|id| rename(p, id, "oven", "oven-2"));
        }),
        case("oven", "to change the temperature", |c, _| {
            c.kitchen.ovens[0].cools.value = benchroll::units::Kelvins::whole(1)
        }),
        case("oven", "cannot be hot yet", |c, p| {
            let opening = c.sessions[0].staff[0].value.0.clone();
            put_at(of_step(p, "walnut-crown.bake"), &later(&opening, 5));
        }),
        case("oven", "of oven-1 are taken, 2 are there", |_, p| {
            rename(p, "walnut-crown.bake@load-2", "oven", "oven-1");
        }),
        case("oven", "on 1 racks of oven", |_, p| {
            task(p, "four-braid.bake@load-3").uses.iter_mut().for_each(|used| used.amount = 1);
        }),
        case("load", "goes in and comes out together", |c, _| step(c, "four-braid", "bake").together = false),
        small_case("oven", "cannot be hot yet", |c, p| {
            let opening = c.sessions[0].staff[0].value.0.clone();
            put_at(of_step(p, "soft-loaf.bake"), &later(&opening, 10));
        }),
        case("place", "of burners are taken", |c, _| c.kitchen.hobs[0].burners.value = 1),
        case("place", "of hob are taken", |c, p| {
            let mut second = c.kitchen.hobs[0].clone();
            second.id = Located::assumed(EquipId::new("second"));
            second.burners.value = 9;
            c.kitchen.hobs[0].burners.value = 1;
            c.kitchen.hobs.push(second);
            also(p, "walnut-crown.scald@class", "hob");
            also(p, "walnut-crown.cook@class-nut-free", "hob");
        }),
        case("place", "of sinks are taken", |c, _| {
            c.kitchen.sinks.value = 1;
            step(c, "walnut-crown", "roll").place.value = benchroll::course::Where::Sink;
        }),
        case("circuit", "of wall are taken", |c, _| c.kitchen.circuits[1].carries.value = Watts::whole(7000)),
        // One oven at a time would be within it, and both heat up.
        case("circuit", "of wall are taken", |c, _| c.kitchen.circuits[1].carries.value = Watts::whole(6000)),
        case("circuit", "of bench are taken", |c, _| c.kitchen.circuits[0].carries.value = Watts::whole(900)),
        case("circuit", "of cooker are taken", |c, _| {
            c.kitchen.circuits[2].carries.value = Watts::whole(1800)
        }),
        small_case("circuit", "of wall are taken", |c, _| {
            let id = Located::assumed(EquipId::new("wall"));
            let carries = Located::assumed(Watts::whole(100));
            c.kitchen.circuits.push(Circuit { id: id.clone(), carries, continuous: None });
            c.kitchen.ovens[0].circuit = Some(id);
            c.kitchen.ovens[0].watts = Some(Located::assumed(Watts::whole(2000)));
        }),
    ]
}

fn of_what_is_counted() -> Vec<Case> {
    vec![
        case("counted", "of round-20 are taken", |c, _| c.kitchen.tins[0].count.value = 7),
        // There are tins enough but for the minutes of washing.
        case("counted", "of round-20 are taken", |c, _| {
            c.kitchen.tins[0].count.value = 8;
            c.kitchen.tins[0].between.value = Minutes(24 * 60);
        }),
        case("counted", "of tray are taken", |c, _| c.kitchen.trays[0].count.value = 11),
        case("counted", "of tub are taken", |c, _| c.kitchen.tubs[0].count.value = 4),
        case("counted", "takes 2 of round-20, and the plan says 1", |_, p| {
            for used in &mut task(p, "walnut-crown.proof@station-1").uses {
                used.amount = 1;
            }
        }),
        case("counted", "of tub, and the plan says 0", |_, p| {
            task(p, "four-braid.rise@batch-3").uses.clear();
        }),
        case("counted", "takes 1 of tray, and the plan says 2", |_, p| {
            also(p, "custard-buns.round@station-1", "tray")
        }),
        case("counted", "is busy for longer than the plan says", |_, p| {
            for used in &mut task(p, "walnut-crown.proof@station-1").uses {
                used.until = later(&used.until, -10);
            }
        }),
        small_case("counted", "of loaf-tin are taken", |c, _| c.kitchen.tins[0].count.value = 1),
        case("shelf", "of proofer are taken", |c, _| c.kitchen.warm[0].shelves.value = 1),
        case("shelf", "of fridge are taken", |c, _| c.kitchen.cold[0].shelves.value = 1),
        case("shelf", "of cooling-rack are taken", |c, _| {
            c.kitchen.racks[0].count.value = 1;
            c.kitchen.racks[0].shelves.value = 2;
        }),
        // What is put there while the last things are still there: the moment itself counts.
        small_case("shelf", "of rack are taken", |c, _| {
            c.kitchen.racks[0].shelves.value = 1;
            c.kitchen.racks[0].shelf.value.depth = Centimetres::whole(12);
            c.kitchen.racks[0].shelf.value.width = Centimetres::whole(26);
        }),
        case("shelf", "does not fit on a shelf", |c, _| {
            c.kitchen.warm[0].clear.value = Centimetres::whole(6)
        }),
        case("shelf", "in which cupboard it stands", |c, _| {
            let larder = twin("larder", c.kitchen.cold[0].clone());
            c.kitchen.cold.push(larder);
        }),
        case("shelf", "of larder are taken", |c, p| {
            let mut larder = twin("larder", c.kitchen.cold[0].clone());
            larder.shelves.value = 1;
            c.kitchen.cold.push(larder);
            for task in p
                .tasks
                .iter_mut()
                .filter(|t| t.step.as_str() == "chill" || t.cold_wait || t.step.as_str() == "set")
            {
                let until = task.end.clone();
                task.uses.push(Used { resource: "larder".to_owned(), amount: 1, until });
            }
        }),
    ]
}

fn of_what_is_unknown() -> Vec<Case> {
    vec![
        case("unknown", "there is no round-24 for it", |_, p| {
            also(p, "walnut-crown.proof@station-1", "round-24")
        }),
        case("unknown", "there is no oven-3 for it", |_, p| {
            rename(p, "walnut-crown.bake@load-1", "oven", "oven-3")
        }),
        // The second oven by another name would be a third.
        case("unknown", "there is no oven-02 for it", |_, p| {
            rename(p, "walnut-crown.bake@load-1", "oven", "oven-02")
        }),
        case("unknown", "there is no small-mixer-5 for it", |_, p| {
            in_use(p, "small-mixer-").iter().for_each(|id| rename(p, id, "small-mixer", "small-mixer-5"));
        }),
        // It is there, and of no use for the step.
        case("unknown", "there is no fridge for it", |_, p| {
            also(p, "walnut-crown.proof@station-1", "fridge")
        }),
        case("unknown", "there is no oven-1 for it", |_, p| also(p, "walnut-crown.roll@station-1", "oven-1")),
        case("unknown", "is no step of this course", |_, p| {
            task(p, "walnut-crown.roll@station-1").step = StepId::new("knead");
        }),
        case("unknown", "is no step of this course", |_, p| {
            task(p, "class.talk@sat").step = StepId::new("lunch");
        }),
        case("unknown", "is planned twice", |_, p| {
            let again = task(p, "class.talk@sat").clone();
            p.tasks.push(again);
        }),
        case("unknown", "is called otherwise", |_, p| {
            "somebody".clone_into(&mut task(p, "class.talk@sat").id)
        }),
        case("unknown", "there is no station 9", |_, p| {
            task(p, "class.talk@sat").stations.push(StationNo(9))
        }),
        case("unknown", "there is no such batch", |_, p| {
            p.choice.batches.values_mut().for_each(|batches| batches.truncate(1));
        }),
        case("unknown", "for somebody who is not there", |_, p| {
            of_step(p, "walnut-crown.show").members.push((Whom::Station(StationNo(9)), 1));
        }),
        small_case("unknown", "there is no rack-2 for it", |_, p| {
            let id = all(p, "soft-loaf.cool").swap_remove(0);
            also(p, &id, "rack-2");
        }),
        small_case("unknown", "there is no mixer-3 for it", |_, p| {
            let id = all(p, "soft-loaf.mix").swap_remove(0);
            rename(p, &id, "mixer", "mixer-3");
        }),
    ]
}

fn of_allergens() -> Vec<Case> {
    vec![
        // Someone avoids egg: the braid's dough without comes into a bowl in which buns with egg were mixed.
        case("allergen", "comes first into", |_, p| {
            let free = p.tasks.iter().find(|t| t.id.starts_with("four-braid.mix@") && t.members.len() == 1);
            let (start, bowl) = free.map(|t| (t.start.clone(), t.uses[0].resource.clone())).unwrap();
            let buns = of_step(p, "custard-buns.mix");
            put_at(buns, &later(&start, -25));
            buns.uses[0].resource = bowl;
        }),
        case("allergen", "comes first into a pan on the hob", |_, p| {
            let start = task(p, "walnut-crown.cook@class-nut-free").start.clone();
            put_at(task(p, "walnut-crown.cook@class"), &later(&start, -15));
        }),
        // Beside each other on one hob.
        case("allergen", "comes first into a pan on the hob", |_, p| {
            let start = task(p, "walnut-crown.cook@class-nut-free").start.clone();
            put_at(task(p, "walnut-crown.cook@class"), &later(&start, 5));
        }),
        // As few tins as there are go from hand to hand, and are wiped for no more than five minutes.
        case("allergen", "too soon for a wash-up", |c, p| {
            c.kitchen.tins[0].between.value = Minutes(5);
            c.kitchen.tins[0].count.value = 4;
            let free: Vec<StationNo> =
                class_of(c).into_iter().filter(|(_, avoids)| *avoids).map(|(no, _)| no).collect();
            let first = p
                .tasks
                .iter()
                .filter(|t| t.id.starts_with("walnut-crown.turn-out@"))
                .map(|t| t.end.clone())
                .min();
            let first = later(&first.unwrap(), 5);
            for no in free {
                put_at(task(p, &format!("walnut-crown.proof@station-{no}")), &first);
            }
        }),
        case("allergen", "comes first into oven-2", |_, p| {
            for id in all(p, "walnut-crown.bake") {
                rename(p, &id, "oven", "oven-2");
            }
        }),
        case("oven", "cannot be hot yet", |c, _| c.kitchen.room.value = Celsius::whole(-4000)),
        case("stands", "at most", |_, p| shift(task(p, "custard-buns.round@station-1"), 24 * 60)),
    ]
}

/// The stations, and whether somebody there avoids something.
fn class_of(course: &benchroll::course::Course) -> Vec<(StationNo, bool)> {
    let (class, ..) = super::inputs(course, None);
    class.stations.iter().map(|s| (s.no, !s.avoids.is_empty())).collect()
}

/// Batch 1 of the dough and batch 1 of the filling are two: in one bowl at one time they are refused.
#[test]
fn batches_of_two_parts_with_one_number_are_not_one() {
    let mut files = crate::support::least::least();
    let lesson = crate::support::least::least_file("lessons/bun.toml");
    let whip = "[[steps]]\nid = \"whip\"\non = \"filling\"\nper = \"batch\"\nat = \"mixer\"\nhands = \"staff\"\ntakes = \"10 min\"\n\n[[steps]]\nid = \"fill\"";
    files.add("lessons/bun.toml", lesson.replace("[[steps]]\nid = \"fill\"", whip));
    let read = benchroll::read::read_course(&files);
    let course = read.course.unwrap_or_else(|| panic!("{:?}", read.findings));
    let mut plan = super::planned(&course, None);
    assert_eq!(super::rules(&course, &plan), Vec::<&str>::new());
    let (dough, filling) = ("bun.mix@batch-1", "bun.whip@batch-1");
    let bowl = |plan: &Plan, id: &str| plan.task(id).unwrap().uses[0].resource.clone();
    assert_eq!(bowl(&plan, dough), bowl(&plan, filling));
    let start = task(&mut plan, dough).start.clone();
    put_at(task(&mut plan, filling), &later(&start, 5));
    assert!(super::rules(&course, &plan).contains(&"mixer"), "{:?}", super::rules(&course, &plan));
}
