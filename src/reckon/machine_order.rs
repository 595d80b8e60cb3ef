//! On each mixer and oven, and where staff work for the class at the hob or bench, what goes first: read off the plan, for the
//! allergen sheet and for whoever checks it.

use super::plan::allergen_order::{self, Carried, Contents};
use super::plan::containers::how_many;
use super::plan::jobs::Group;
use super::plan::timetable::{Plan, PlannedTask, Used};
use crate::course::{AllergenId, Course, EquipId, Hands, Where};
use crate::reckon::work::{Class, Load, Whom};
use jiff::ZonedDateTime;
use std::collections::{BTreeMap, BTreeSet};

/// Two uses of one machine, one after the other, of which one is free of something that someone avoids and the other is not.
#[derive(Clone, PartialEq, Debug)]
pub struct Turn {
    /// When the first begins; of a tool or a tub when the second does.
    pub at: ZonedDateTime,
    /// The machine: `small-mixer-1`, `oven-2`; or `hob`, `bench`, where staff make something for the class; or the tool or tub that goes
    /// from hand to hand, by its id.
    pub machine: String,
    /// The task that goes first.
    pub first: String,
    /// The task that comes after it.
    pub then: String,
    /// What is kept out of one of them: of `then` where `wash_up`, else of `first`.
    pub free_from: BTreeSet<AllergenId>,
    /// What the one of the two that holds it brings.
    pub brought: BTreeSet<AllergenId>,
    /// What holds it went first, or is still at work beside it: the machine, or pan, bench and spoons, are washed with detergent in between (rows `alg-order`, `alg-clean`).
    pub wash_up: bool,
    /// The two are at work at the same time, beside each other; in an oven `first` is the free one, and `then` never above it.
    pub beside: bool,
    /// In one oven, and each holds what the other is kept clean of: neither above the other.
    pub both_ways: bool,
}

/// All turns of a plan that matter to someone, by the clock.
#[must_use]
pub fn turns(course: &Course, class: &Class, plan: &Plan) -> Vec<Turn> {
    let contents = Contents::of(course, class);
    let mut runs: BTreeMap<String, Vec<(&PlannedTask, Carried)>> = BTreeMap::new();
    for task in &plan.tasks {
        let Some(held) = held(course, plan, &contents, task) else { continue };
        if let Some(place) = staffs_place(course, task) {
            runs.entry(place.to_owned()).or_default().push((task, held.clone()));
        }
        for used in task.uses.iter().filter(|u| is_machine(course, &u.resource)) {
            runs.entry(used.resource.clone()).or_default().push((task, held.clone()));
        }
    }
    let mut found = Vec::new();
    for (machine, mut tasks) in runs {
        tasks.sort_by(|a, b| (&a.0.start, &a.0.id).cmp(&(&b.0.start, &b.0.id)));
        // Pans and bench space are several: what soils one of them need not be the task just before.
        let several = matches!(machine.as_str(), "hob" | "bench");
        let in_oven = is_oven(course, &machine);
        for (n, (b, in_b)) in tasks.iter().enumerate() {
            // What is in the oven with it takes no turn: the racks keep them apart.
            let (with, before): (Vec<_>, Vec<_>) =
                tasks[..n].iter().partition(|(a, _)| in_oven && a.end > b.start);
            found.extend(
                with.into_iter().filter_map(|(a, _)| in_one_oven(class, plan, &contents, &machine, (a, b))),
            );
            let Some(((a, in_a), earlier)) = before.split_last() else { continue };
            let soiling =
                earlier.iter().rev().filter(|_| several).find(|(_, held)| !held.soils(in_b).is_empty());
            let (a, in_a) = match soiling {
                Some((other, held)) if in_a.soils(in_b).is_empty() => (other, held),
                _ => (a, in_a),
            };
            let own = if in_oven { own_trays(class, plan, &contents, b) } else { Vec::new() };
            // Drips of all that was in an oven before lie there, and beside what holds it for certain lies what is kept clean of it.
            let harms = |held: &Carried| -> BTreeSet<AllergenId> {
                own.iter().flat_map(|(_, own)| held.harms(own)).collect()
            };
            let soils = in_a.soils(in_b);
            let last = before.iter().rev().find(|(_, held)| soils.is_empty() && !harms(held).is_empty());
            let (a, in_a) = last.map_or((a, in_a), |(other, held)| (other, held));
            let brought: BTreeSet<AllergenId> = in_a.soils(in_b).into_iter().chain(harms(in_a)).collect();
            let dripped = before.iter().flat_map(|(_, held)| harms(held));
            let left: BTreeSet<AllergenId> = soils.into_iter().chain(dripped).collect();
            let turn = |first: &PlannedTask,
                        free_from: BTreeSet<AllergenId>,
                        brought: &BTreeSet<AllergenId>,
                        wash_up| Turn {
                at: first.start.clone(),
                machine: machine.clone(),
                first: first.id.clone(),
                then: b.id.clone(),
                free_from,
                brought: brought.clone(),
                wash_up,
                beside: several && first.end > b.start,
                both_ways: false,
            };
            let others = earlier.iter().filter(|_| several).flat_map(|(_, held)| held.soils(in_b));
            let kept: BTreeSet<AllergenId> = left.iter().cloned().chain(others).collect();
            if !kept.is_empty() {
                found.push(turn(a, kept, &brought, true));
                continue;
            }
            // Of all that is done there before, what is kept clean for somebody has to be over by then.
            let mut firsts: Vec<(&PlannedTask, BTreeSet<AllergenId>)> = before
                .iter()
                .filter(|(_, held)| several && !in_b.harms(held).is_empty())
                .map(|(first, held)| (*first, in_b.soils(held)))
                .collect();
            if firsts.is_empty() {
                firsts.push((a, in_b.soils(in_a)));
            }
            firsts.retain(|(_, new)| !new.is_empty());
            found.extend(firsts.into_iter().map(|(first, new)| turn(first, new.clone(), &new, false)));
        }
    }
    trays_again(course, class, plan, &contents, &mut found);
    found.extend(hands_on(course, plan, &contents));
    found.sort_by(|a, b| (&a.at, &a.machine).cmp(&(&b.at, &b.machine)));
    found
}

/// Two loads that are in one oven at the same time, where somebody's pieces in one are kept clean of what is in the other; where that
/// is so both ways, the first is the one that went in first.
fn in_one_oven(
    class: &Class,
    plan: &Plan,
    contents: &Contents<'_>,
    machine: &str,
    (a, b): (&PlannedTask, &PlannedTask),
) -> Option<Turn> {
    let (own_a, own_b) = (own_trays(class, plan, contents, a), own_trays(class, plan, contents, b));
    let harmed = |free: &[(Whom, Carried)], by: &[(Whom, Carried)]| -> BTreeSet<AllergenId> {
        free.iter().flat_map(|(_, own)| by.iter().flat_map(|(_, held)| held.harms(own))).collect()
    };
    let (in_a, in_b) = (harmed(&own_a, &own_b), harmed(&own_b, &own_a));
    let (free, other, free_from, also) = match (in_a.is_empty(), in_b.is_empty()) {
        (true, true) => return None,
        (false, _) => (a, b, in_a, in_b),
        (true, false) => (b, a, in_b, BTreeSet::new()),
    };
    Some(Turn {
        at: (&a.start).max(&b.start).clone(),
        machine: machine.to_owned(),
        first: free.id.clone(),
        then: other.id.clone(),
        brought: free_from.clone(),
        free_from,
        wash_up: false,
        beside: true,
        both_ways: !also.is_empty(),
    })
}

/// In one load each has trays or tins of its own, and they go round all loads and ovens: who avoids what lay on any of them before is
/// told, whatever else is in the load.
fn trays_again(course: &Course, class: &Class, plan: &Plan, contents: &Contents<'_>, found: &mut Vec<Turn>) {
    let bakes = bakes(course, plan, contents);
    for (n, (task, _)) in bakes.iter().enumerate() {
        let own = own_trays(class, plan, contents, task);
        let mut kept = BTreeSet::new();
        let mut last: Option<(&PlannedTask, BTreeSet<AllergenId>)> = None;
        for (other, was) in earlier(course, plan, &bakes[..n], task) {
            let harms: BTreeSet<AllergenId> = own.iter().flat_map(|(_, own)| was.harms(own)).collect();
            kept.extend(harms.clone());
            last = Some((other, harms)).filter(|(_, harms)| !harms.is_empty()).or(last);
        }
        let Some((last, brought)) = last else { continue };
        match found.iter_mut().find(|t| t.wash_up && t.then == task.id) {
            Some(known) => known.free_from.extend(kept),
            None => found.push(Turn {
                at: last.start.clone(),
                machine: oven_of(course, task).unwrap_or_default(),
                first: last.id.clone(),
                then: task.id.clone(),
                free_from: kept,
                brought,
                wash_up: true,
                beside: false,
                both_ways: false,
            }),
        }
    }
}

/// Where pieces are laid on trays or into tins on which something lay that their own people avoid: the task, and what they are kept
/// clean of. Who has it in their own pieces need not wash it off.
#[must_use]
pub fn laid_clean(course: &Course, class: &Class, plan: &Plan) -> Vec<(String, BTreeSet<AllergenId>)> {
    let contents = Contents::of(course, class);
    let bakes = bakes(course, plan, &contents);
    let mut found = Vec::new();
    for (n, (bake, _)) in bakes.iter().enumerate() {
        for (whom, own) in own_trays(class, plan, &contents, bake) {
            let before = earlier(course, plan, &bakes[..n], bake);
            let kept: BTreeSet<AllergenId> = before.flat_map(|(_, was)| was.harms(&own)).collect();
            let lays = plan.tasks.iter().filter(|t| {
                let theirs = t.members.iter().any(|(w, _)| *w == whom);
                t.lesson == bake.lesson && t.start < bake.start && theirs && !vessels(course, t).is_empty()
            });
            let first = lays.min_by_key(|t| t.start.timestamp()).filter(|_| !kept.is_empty());
            found.extend(first.map(|task| (task.id.clone(), kept)));
        }
    }
    found
}

/// What staff make outside the sittings for somebody who avoids what was in their hands before, on the same day: the task, and what it is
/// kept clean of. Pots and machines have turns of their own; hands and aprons go from one to the next.
#[must_use]
pub fn by_clean_hands(course: &Course, class: &Class, plan: &Plan) -> Vec<(String, BTreeSet<AllergenId>)> {
    let contents = Contents::of(course, class);
    let outside = |t: &&PlannedTask| {
        let staffs = matches!(t.hands, Hands::Staff | Hands::Teacher | Hands::Helper);
        staffs && !plan.sessions.iter().any(|s| s.start <= t.start && t.start < s.end)
    };
    let made: Vec<(&PlannedTask, Carried)> = plan
        .tasks
        .iter()
        .filter(outside)
        .filter_map(|t| Some((t, held(course, plan, &contents, t)?)))
        .collect();
    let before = |task: &PlannedTask, own: &Carried| -> BTreeSet<AllergenId> {
        let earlier = made
            .iter()
            .filter(|(other, _)| other.start < task.start && other.start.date() == task.start.date());
        earlier.flat_map(|(_, was)| was.harms(own)).collect()
    };
    let all = made.iter().map(|(task, own)| (task.id.clone(), before(task, own)));
    all.filter(|(_, kept)| !kept.is_empty()).collect()
}

/// All that goes through an oven, by the clock.
fn bakes<'p>(course: &Course, plan: &'p Plan, contents: &Contents<'_>) -> Vec<(&'p PlannedTask, Carried)> {
    let baked = plan.tasks.iter().filter(|t| oven_of(course, t).is_some());
    let mut all: Vec<(&PlannedTask, Carried)> =
        baked.filter_map(|t| Some((t, held(course, plan, contents, t)?))).collect();
    all.sort_by(|a, b| (&a.0.start, &a.0.id).cmp(&(&b.0.start, &b.0.id)));
    all
}

fn oven_of(course: &Course, task: &PlannedTask) -> Option<String> {
    task.uses.iter().find(|u| is_oven(course, &u.resource)).map(|u| u.resource.clone())
}

/// Of some loads those that are out before this one goes in, in trays or tins of the same kind; of which nobody wrote what they lie in
/// may be in any.
fn earlier<'b, 'p>(
    course: &'b Course,
    plan: &'b Plan,
    bakes: &'b [(&'p PlannedTask, Carried)],
    task: &'b PlannedTask,
) -> impl Iterator<Item = (&'p PlannedTask, &'b Carried)> {
    let of = |bake: &PlannedTask| -> BTreeSet<String> {
        let own = plan.tasks.iter().filter(|t| {
            t.lesson == bake.lesson && t.members.iter().any(|(w, _)| bake.members.iter().any(|(b, _)| b == w))
        });
        own.flat_map(|t| vessels(course, t)).collect()
    };
    let mine = of(task);
    bakes.iter().filter_map(move |(other, was)| {
        let theirs = of(other);
        let alike = mine.is_empty() || theirs.is_empty() || !mine.is_disjoint(&theirs);
        (other.end <= task.start && alike).then_some((*other, was))
    })
}

/// The kinds of tins and trays that a task takes.
fn vessels(course: &Course, task: &PlannedTask) -> Vec<String> {
    let kitchen = &course.kitchen;
    let known = |id: &str| {
        kitchen.tins.iter().any(|t| t.id.value.as_str() == id)
            || kitchen.trays.iter().any(|t| t.id.value.as_str() == id)
    };
    task.uses.iter().map(|u| u.resource.clone()).filter(|id| known(id)).collect()
}

/// Tools and tubs that go from hand to hand, as there are too few for all: who comes to what held something avoided has to wash it, and to
/// fry in fresh fat. Which one is whose no plan says, so that any that was used before may be the one. (Trays and tins: [`laid_clean`].)
fn hands_on(course: &Course, plan: &Plan, contents: &Contents<'_>) -> Vec<Turn> {
    let tools = course.kitchen.tools.iter().filter(|t| !t.consumable);
    let tools = tools.map(|t| (&t.id.value, how_many(t.count.value, t.loan.as_ref())));
    let tubs = course.kitchen.tubs.iter().map(|t| (&t.id.value, t.count.value));
    let mut found = Vec::new();
    for (id, there) in tools.chain(tubs) {
        let mut uses: Vec<(&PlannedTask, &Used, Carried)> = Vec::new();
        for task in &plan.tasks {
            for used in task.uses.iter().filter(|u| u.resource == id.as_str() && u.amount > 0) {
                uses.extend(in_use(course, contents, task, id).map(|held| (task, used, held)));
            }
        }
        uses.sort_by(|a, b| (&a.0.start, &a.0.id).cmp(&(&b.0.start, &b.0.id)));
        for (n, (task, used, held)) in uses.iter().enumerate() {
            let before: u32 = uses[..n].iter().map(|(_, used, _)| used.amount).sum();
            // Of several some may be free before the last is.
            let over = uses[..n].iter().filter(|(other, used, _)| {
                let free = if used.amount > 1 { &other.end } else { &used.until };
                *free <= task.start
            });
            let soiling: Vec<(&PlannedTask, BTreeSet<AllergenId>)> = over
                .map(|(other, _, was)| (*other, was.soils(held)))
                .filter(|(_, what)| !what.is_empty())
                .collect();
            if let Some((first, brought)) = soiling.last().filter(|_| before + used.amount > there) {
                found.push(Turn {
                    at: task.start.clone(),
                    machine: id.to_string(),
                    first: first.id.clone(),
                    then: task.id.clone(),
                    free_from: soiling.iter().flat_map(|(_, what)| what.clone()).collect(),
                    brought: brought.clone(),
                    wash_up: true,
                    beside: false,
                    both_ways: false,
                });
            }
        }
    }
    found
}

/// The avoided things in what a task has in a tool or a tub.
fn in_use(course: &Course, contents: &Contents<'_>, task: &PlannedTask, id: &EquipId) -> Option<Carried> {
    let lesson = course.lesson(task.lesson.as_ref()?)?;
    let step = lesson.step(&task.step).filter(|_| !task.cold_wait)?;
    let is_tub = course.kitchen.tubs.iter().any(|t| t.id.value == *id);
    let names = |what: &EquipId| what == id || is_tub && what.as_str() == "tub";
    let until = step.uses.iter().find_map(|u| u.until.as_ref().filter(|_| names(&u.what.value)));
    Some(contents.of_use(lesson, step, until.and_then(|u| lesson.step(&u.value)), &task.members))
}

fn is_machine(course: &Course, resource: &str) -> bool {
    is_oven(course, resource) || is_one_of(course.kitchen.mixers.iter().map(|m| &m.id.value), resource)
}

/// The avoided things in each station's own pieces of a load.
fn own_trays(
    class: &Class,
    plan: &Plan,
    contents: &Contents<'_>,
    task: &PlannedTask,
) -> Vec<(Whom, Carried)> {
    let Some(load) = plan.load_of(task) else { return Vec::new() };
    let is_station = |whom: &Whom| class.stations.iter().any(|s| *whom == Whom::Station(s.no));
    let own = load.members.iter().filter(|(whom, _)| is_station(whom));
    own.map(|one| (one.0.clone(), contents.of_load(&Load { members: vec![one.clone()], ..load.clone() })))
        .collect()
}

/// Whether a machine by its number is an oven.
#[must_use]
pub fn is_oven(course: &Course, machine: &str) -> bool {
    is_one_of(course.kitchen.ovens.iter().map(|o| &o.id.value), machine)
}

/// `oven-2` is the second of the kind `oven`.
fn is_one_of<'a>(mut kinds: impl Iterator<Item = &'a EquipId>, machine: &str) -> bool {
    kinds.any(|id| {
        let number = machine.strip_prefix(id.as_str()).and_then(|rest| rest.strip_prefix('-'));
        number.is_some_and(|n| n.parse::<u32>().is_ok())
    })
}

/// Where pans, spoons and bench go from one to the next, which no machine keeps apart.
fn staffs_place(course: &Course, task: &PlannedTask) -> Option<&'static str> {
    let step = course.lesson(task.lesson.as_ref()?)?.step(&task.step)?;
    let by_staff = matches!(task.hands, Hands::Staff | Hands::Teacher | Hands::Helper) && !task.demo;
    allergen_order::staffs_place(&task.group, step, by_staff)
        .map(|place| if place == Where::Hob { "hob" } else { "bench" })
}

/// The avoided things in what a task works on, whoever it is for; `None` for one that has no food in hand.
#[must_use]
pub fn held(course: &Course, plan: &Plan, contents: &Contents<'_>, task: &PlannedTask) -> Option<Carried> {
    let lesson = course.lesson(task.lesson.as_ref()?)?;
    let step = lesson.step(&task.step)?;
    if task.demo || task.cold_wait {
        return None;
    }
    let loads = || plan.choice.loads.get(&(lesson.id.value.clone(), task.step.clone()));
    match &task.group {
        Group::Load(no) => {
            let load = loads().and_then(|loads| loads.iter().find(|l| l.no == *no));
            Some(
                load.map_or_else(
                    || contents.of_work(lesson, step, &task.members),
                    |load| contents.of_load(load),
                ),
            )
        }
        _ => Some(contents.of_work(lesson, step, &task.members)),
    }
}
