//! How many things are needed when the plan uses them in turn: the most that it holds at one moment, no more and no fewer.

use crate::documents::demo;
use crate::support::put_in;
use benchroll::course::{Course, EquipId};
use benchroll::pipeline::{Asked, Reckoned, Unwatched, reckon};
use benchroll::read::{FileTree, folder};
use benchroll::reckon::plan::check::check;
use benchroll::reckon::plan::jobs::Jobs;
use benchroll::reckon::plan::problem::{Point, Side};
use benchroll::reckon::plan::replay::{Replay, picked_of};
use benchroll::reckon::plan::timetable::Plan;
use benchroll::reckon::scale::portions;
use benchroll::reckon::work::Whom;
use proptest::prelude::*;
use proptest::sample::select;
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};
use std::cell::Cell;
use std::path::Path;

/// The counts that a kitchen file has of tins, trays and tubs, by id.
fn counts(course: &mut Course) -> Vec<(EquipId, String, &mut u32)> {
    let kitchen = &mut course.kitchen;
    let named = |id: &EquipId, name: Option<String>| name.unwrap_or_else(|| id.to_string());
    let tins = kitchen
        .tins
        .iter_mut()
        .map(|t| (t.id.value.clone(), t.name.as_ref().map(|n| n.value.clone()), &mut t.count.value));
    let trays = kitchen
        .trays
        .iter_mut()
        .map(|t| (t.id.value.clone(), t.name.as_ref().map(|n| n.value.clone()), &mut t.count.value));
    let tubs = kitchen.tubs.iter_mut().map(|t| (t.id.value.clone(), None, &mut t.count.value));
    tins.chain(trays)
        .chain(tubs)
        .map(|(id, name, count)| {
            let name = named(&id, name);
            (id, name, count)
        })
        .collect()
}

/// The most of a thing that a plan holds at one moment, read off the scheduling problem that it solves.
fn most_held(course: &Course, of: &Reckoned, plan: &Plan, name: &str) -> i32 {
    let (picked, shares) = (picked_of(plan), portions(course, &of.class));
    let jobs = Jobs::of(course, &of.class, &shares, &picked);
    let replay = Replay::of(&jobs, course, plan, 0).expect("it is a plan of these jobs");
    let problem = &replay.model.problem;
    let resource = problem.resources.iter().position(|r| r.name == name).expect("it is scarce");
    // The end of what waits for several is not before any of them.
    let at = |point: Point| {
        replay.slot(point).unwrap_or_else(|| {
            let ends = problem.lags.iter().filter(|l| l.to.task == point.task && l.to.side == Side::End);
            ends.filter_map(|l| Some(replay.slot(l.from)? + l.least)).max().unwrap() + point.plus
        })
    };
    let held: Vec<(i32, i32, i32)> = problem
        .holds
        .iter()
        .filter(|h| h.resource.0 == resource && h.only_if.is_empty())
        .map(|h| (at(h.from), at(h.to), h.amount))
        .collect();
    let during = |moment: i32| held.iter().filter(|(a, b, _)| *a <= moment && moment < *b).map(|h| h.2).sum();
    held.iter().map(|(from, ..)| during(*from)).max().unwrap_or(0)
}

/// Tins, trays and tubs of a planned class, one after another: how many were looked at, and of how many fewer are needed in turn.
fn in_turn_is_the_peak(of: &Reckoned) -> (u32, u32) {
    let plan = of.planned.plan.as_ref().unwrap();
    let (mut seen, mut fewer) = (0, 0);
    for (id, name, _) in counts(&mut of.course.clone()) {
        let Some(need) = of.equipment.needs.iter().find(|n| n.item == id) else { continue };
        let Some(in_turn) = need.needed_with_plan.filter(|n| *n > 0) else { continue };
        let with = |count: u32| {
            let mut course = of.course.clone();
            for (other, _, there) in counts(&mut course) {
                if other == id {
                    *there = count;
                }
            }
            course.kitchen.tins.iter_mut().for_each(|t| t.loan = None);
            course.kitchen.trays.iter_mut().for_each(|t| t.loan = None);
            course
        };
        let peak = most_held(&with(in_turn - 1), of, plan, &name);
        assert_eq!(i64::from(peak), i64::from(in_turn), "{id}: the plan holds {peak} at once");
        let enough = with(in_turn);
        let shares = portions(&enough, &of.class);
        let broken = check(&enough, &of.class, &shares, plan);
        assert!(!format!("{broken:?}").contains(id.as_str()), "{id}: {broken:?}");
        seen += 1;
        fewer += u32::from(in_turn < need.needed);
    }
    (seen, fewer)
}

#[test]
fn the_demo_class_needs_in_turn_what_its_plan_holds_at_once() {
    let (seen, fewer) = in_turn_is_the_peak(demo::reckoned());
    assert!(seen >= 3 && fewer >= 1, "{seen} {fewer}");
}

/// A small course with tubs, a second rise, and, where it is drawn, a stage that is shown and goes no further.
fn files(((stage, quick), each, share, tins, mixers): ((bool, bool), &str, u32, u32, u32)) -> FileTree {
    let mut files = folder::load(&Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/courses/small")).unwrap();
    let mut edit = |path: &str, places: &[(&str, String)]| put_in(&mut files, path, places);
    edit(
        "course.toml",
        &[
            ("to = \"17:00\"", "to = \"21:00\"".to_owned()),
            ("\"11:00 to 18:00\"", "\"11:00 to 22:00\"".to_owned()),
        ],
    );
    let tubs = "\n[[tubs]]\nid = \"tub\"\ncount = 20\nholds = \"2 kg\"\noutside = \"26 x 18 x 12 cm\"\n";
    edit(
        "kitchen.toml",
        &[
            ("id = \"loaf-tin\"\ncount = 6", format!("id = \"loaf-tin\"\ncount = {tins}")),
            ("id = \"mixer\"\ncount = 2", format!("id = \"mixer\"\ncount = {mixers}")),
            ("[[racks]]", format!("{}\n[[racks]]", tubs)),
        ],
    );
    let rest = "  { id = \"rest\", on = \"dough\", per = \"batch\", at = \"room\", hands = \"nobody\", stands = \"60 to 180 min\" },\n";
    let show = "  { id = \"show\", per = \"class\", demo = true, hands = \"teacher\", takes = \"10 min\", stages = [\"rest\"] },\n";
    // Where doughs rise quickly and rest long, the one that is shown has risen before the others are mixed, and keeps its tub.
    let rises = if quick { "10 to 20 min" } else { "50 to 80 min" };
    let shown = if stage { show } else { "" };
    let after = if stage { ", after = [\"show\"]" } else { "" };
    edit(
        "lessons/soft-loaf.toml",
        &[
            ("for-each = \"station\"", format!("for-each = \"{each}\"")),
            ("up to 2 stations", format!("up to {share} stations")),
            (
                "stands = \"50 to 80 min\" },\n",
                format!("stands = \"{rises}\", uses = [\"tub until shape\"] }},\n{rest}{shown}"),
            ),
            ("id = \"shape\", on = \"piece\"", format!("id = \"shape\", on = \"dough\"{after}")),
        ],
    );
    files
}

fn tubs_in_turn(of: &Reckoned) -> u32 {
    let tubs = of.equipment.needs.iter().find(|n| n.item.as_str() == "tub");
    tubs.and_then(|n| n.needed_with_plan).unwrap_or(0)
}

/// The most tubs at one moment if a demonstration's stood free as soon as its dough has risen.
fn tubs_that_rise(of: &Reckoned) -> u32 {
    let tasks = &of.planned.plan.as_ref().unwrap().tasks;
    let mut spans = Vec::new();
    for task in tasks {
        let shown =
            !task.members.is_empty() && task.members.iter().all(|(w, _)| matches!(w, Whom::Stage { .. }));
        let tubs = task.uses.iter().filter(|u| u.resource == "tub");
        spans.extend(tubs.map(|u| (&task.start, if shown { &task.end } else { &u.until }, u.amount)));
    }
    let during = |from: usize| -> u32 {
        let at = spans[from].0;
        spans.iter().filter(|(start, until, _)| *start <= at && at < *until).map(|(_, _, n)| *n).sum()
    };
    (0..spans.len()).map(during).max().unwrap_or(0)
}

#[test]
fn what_is_needed_in_turn_is_the_most_that_the_plan_holds() {
    let config = Config { cases: 24, failure_persistence: None, ..Config::default() };
    let mut runner = TestRunner::new_with_rng(config, TestRng::deterministic_rng(RngAlgorithm::ChaCha));
    let drawn =
        ((any::<bool>(), any::<bool>()), select(&["station", "student"][..]), 1u32..4, 2u32..7, 1u32..4);
    let (all, less, staged) = (Cell::new(0), Cell::new(0), Cell::new(0));
    let kept = Cell::new(0);
    let tried = runner.run(&(drawn, 2u32..7), |(drawn, people)| {
        let asked = Asked { headcount: Some(people), ..Asked::default() };
        let outcome = reckon(&files(drawn), asked, &Unwatched);
        let Some(of) = outcome.reckoned.filter(|r| r.planned.plan.as_ref().is_some_and(|p| p.fits)) else {
            return Ok(());
        };
        let (seen, fewer) = in_turn_is_the_peak(&of);
        all.set(all.get() + seen);
        less.set(less.get() + fewer);
        staged.set(staged.get() + u32::from(drawn.0.0 && seen > 0));
        kept.set(kept.get() + u32::from(tubs_that_rise(&of) < tubs_in_turn(&of)));
        Ok(())
    });
    tried.unwrap();
    assert!(kept.get() > 0, "no demonstration kept its tub for longer than its dough rose");
    assert!(all.get() >= 20 && less.get() >= 3 && staged.get() >= 4, "{all:?} {less:?} {staged:?}");
}
