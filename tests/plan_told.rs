//! What `plan` tells of a plan: what holds a task where it is, who is where at a moment, how sure it is, and what is done by hand.

use crate::support::{Sealed, repository};
use crate::timetable::{demo, inputs, planned};
use benchroll::course::Hands;
use benchroll::reckon::plan::check::check;
use benchroll::reckon::plan::timetable::Plan;
use benchroll::reckon::plan::why::{Held, chain};
use jiff::{SignedDuration, ZonedDateTime};
use std::fs;

/// One oven where there were two.
const ONE_OVEN: (&str, &str) = ("fan oven\"\ncount = 2", "fan oven\"\ncount = 1");

fn clock(at: &ZonedDateTime) -> String {
    at.strftime("%a %H:%M").to_string()
}

/// The plan with a task so many minutes later, and what stands before and after it standing on.
fn moved(plan: &Plan, id: &str, minutes: i64) -> Plan {
    let mut other = plan.clone();
    let by = SignedDuration::from_mins(minutes);
    let task = plan.task(id).unwrap();
    for one in &mut other.tasks {
        let shares = one.members.iter().any(|(whom, _)| task.members.iter().any(|(w, _)| w == whom));
        if one.id == id {
            one.start = one.start.checked_add(by).unwrap();
            one.end = one.end.checked_add(by).unwrap();
            for used in one.uses.iter_mut().filter(|used| used.until == task.end) {
                used.until = one.end.clone();
            }
        } else if one.lesson == task.lesson && shares && one.hands == Hands::Nobody && one.by.is_empty() {
            if one.end == task.start {
                one.end = one.end.checked_add(by).unwrap();
            } else if one.start == task.end {
                one.start = one.start.checked_add(by).unwrap();
            }
        }
    }
    other
}

/// All that is said to hold a task is tried: with it where it is the task cannot begin five minutes sooner, and what is said to be free is.
#[test]
fn what_is_said_to_hold_a_task_does() {
    let course = demo();
    let (class, portions, _) = inputs(&course, None);
    let plan = planned(&course, None);
    let says = |plan: &Plan| check(&course, &class, &portions, plan);
    let (mut held, mut free) = (0, 0);
    for task in &plan.tasks {
        let found = chain(&course, &class, &portions, &plan, &task.id);
        assert!(!found.is_empty(), "{}", task.id);
        for link in &found {
            // No line without a time: what takes none in this plan is passed over.
            assert!(plan.task(&link.task).is_some(), "{}: {link:?}", task.id);
            assert!(link.by.as_ref().is_none_or(|by| plan.task(by).is_some()), "{}: {link:?}", task.id);
        }
        let Held { by, because, .. } = &found[0];
        let stands = task.hands == Hands::Nobody && task.by.is_empty();
        match by {
            Some(_) if !stands => {
                assert_ne!(says(&moved(&plan, &task.id, -5)), [], "{}: {because}", task.id);
                held += 1;
            }
            None if because.starts_with("nothing") && task.hands != Hands::Nobody => {
                let times: Vec<&str> = because.split("from ").skip(1).collect();
                let first = times.first().map_or("", |words| &words[..9]);
                let sooner = (1..).map(|n| n * 5).find(|n| {
                    let at = task.start.checked_sub(SignedDuration::from_mins(*n)).unwrap();
                    clock(&at) == first || *n > 2000
                });
                let sooner = sooner.filter(|n| *n <= 2000);
                if let Some(sooner) = sooner {
                    assert_eq!(says(&moved(&plan, &task.id, -sooner)), [], "{}: {because}", task.id);
                    free += 1;
                }
            }
            _ => {}
        }
    }
    assert!(held > 30 && free > 0, "{held} held, {free} free");
}

#[test]
fn who_is_waited_for_is_the_one_who_is_busy() {
    let sealed = Sealed::demo();
    let why = |task: &str| sealed.run(&["plan", "course", "--why", task]).stdout;
    // Two loads come out then: the helper's, and the teacher's.
    let plan = sealed.run(&["plan", "course", "--format", "json"]).json();
    let tasks = plan["tasks"].as_array().unwrap();
    for (own, end) in [("class.tasting@sun", true), ("class.home-talk@sun", false)] {
        let said = why(own).split_whitespace().collect::<Vec<_>>().join(" ");
        let by = said.split(&format!("{own} waits for ")).nth(1).unwrap().split([',', ':']).next().unwrap();
        let load = tasks.iter().find(|t| t["id"] == by).unwrap();
        let people = load["by"].as_array().unwrap();
        let who = if end { people.last() } else { people.first() };
        assert_eq!(who.unwrap(), "teacher", "{own}: {said}");
    }
    // Several braids are watched at once: one does not wait for the other because of the teacher.
    assert!(!why("four-braid.brush@station-3").contains("there is one teacher"));
}

#[test]
fn how_long_it_lasts_is_said_of_the_way_it_is_done() {
    let sealed = Sealed::demo();
    let why = |task: &str| {
        let said = sealed.run(&["plan", "course", "--why", task]);
        assert!(said.stdout.lines().all(|line| line.chars().count() <= 80), "{said}");
        said.stdout.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let by_hand = why("custard-buns.mix@batch-2");
    assert!(by_hand.contains("by hand") && by_hand.contains("usually takes 25 min"), "{by_hand}");
    let cold = why("walnut-crown.proof-cold@station-3");
    assert!(cold.contains("it waits in the cold at least 1 h, at most 20 h"), "{cold}");
    let after = why("walnut-crown.proof@station-3");
    assert!(after.contains("out of the cold, and stands at least 1 h 35 min, at most 2 h 15 min"), "{after}");
    let straight = why("walnut-crown.proof@station-1");
    assert!(straight.contains("it stands at least 1 h 15 min, at most 1 h 45 min"), "{straight}");
    assert!(!why("walnut-crown.bake@load-1").contains("-cold@station-1"));
}

/// The kitchen's own places can be asked about, and an oven tells when it heats.
#[test]
fn the_places_of_the_kitchen_can_be_asked_about() {
    let sealed = Sealed::demo();
    for (id, there) in [
        ("fridge", "walnut-crown.set@class"),
        ("hob", "walnut-crown.scald@class"),
        ("proofer", "walnut-crown.proof@station-1"),
        ("cooling-rack", "walnut-crown.cool@station-1"),
        ("oven-1", "it heats to 155 °C for walnut-crown.bake@load-1"),
    ] {
        let said = sealed.run(&["plan", "course", "--why", id]);
        assert!(said.exit == Some(0) && said.stdout.contains(there), "{id}: {said}");
        assert!(said.stdout.starts_with(&format!("{id}: ")), "{id}: {said}");
    }
}

/// By the clock: what is kneaded by hand, for whom a batch and a load are, and when an oven is turned on.
#[test]
fn the_list_tells_for_whom_and_how() {
    let sealed = Sealed::demo();
    let said = sealed.run(&["plan", "course"]);
    assert!(said.stdout.lines().all(|line| line.chars().count() <= 80), "{said}");
    let list = said.stdout.split_whitespace().collect::<Vec<_>>().join(" ");
    for words in ["by hand", "(stations", "heats to", "tasks without slack", "a buffer"] {
        assert!(list.contains(words), "{words}: {said}");
    }
    let plan = sealed.run(&["plan", "course", "--format", "json"]).json();
    let task = |id: &str| plan["tasks"].as_array().unwrap().iter().find(|t| t["id"] == id).unwrap().clone();
    let mix = task("custard-buns.mix@batch-2");
    assert!(mix["by_hand"] == true && mix["one_student"] == true && mix["hands"] == "students", "{mix}");
    assert_eq!(mix["for_stations"], serde_json::json!([6]));
    assert_eq!(task("walnut-crown.bake@load-1")["for_stations"], serde_json::json!([1, 2]));
    assert_eq!(task("walnut-crown.roll@station-1")["one_student"], false);
    // What staff do on Friday is done before the session; what they do in it is not.
    assert_eq!(task("walnut-crown.scald@class")["made_ahead"], true);
    assert_eq!(task("custard-buns.cook@class")["made_ahead"], false);
    let ahead = plan["made_ahead"].as_array().unwrap();
    assert!(ahead.contains(&serde_json::json!("walnut-crown.scald@class")), "{ahead:?}");
    let calendar = sealed.run(&["plan", "course", "--calendar"]).stdout.replace("\r\n ", "");
    for words in ["Kneaded by hand", "SUMMARY:Turn oven 1 to 155 °C", "batch 2 (station 6)"] {
        assert!(calendar.contains(words), "{words}: {calendar}");
    }
}

/// When the crowns have come out of the oven and stand in their tins, they are nobody's task; and somebody has nothing to do.
#[test]
fn at_a_moment_idle_hands_and_what_waits_are_told() {
    let sealed = Sealed::demo();
    let said = sealed.run(&["plan", "course", "--at", "Sat 16:20"]);
    assert!(said.stdout.lines().all(|line| line.chars().count() <= 80), "{said}");
    let words = said.stdout.split_whitespace().collect::<Vec<_>>().join(" ");
    for there in ["What waits for its next step", "turn-out", "idle", "stations 1-6"] {
        assert!(words.contains(there), "{there}: {said}");
    }
    let then = sealed.run(&["plan", "course", "--at", "Sat 16:20", "--format", "json"]).json();
    let waits = then["then"]["waits"].as_array().unwrap();
    assert!(waits.iter().any(|w| w["after"] == "walnut-crown.bake@load-1"), "{then}");
    let people = then["then"]["people"].as_array().unwrap();
    let teacher = people.iter().find(|p| p["who"] == "teacher").unwrap();
    assert!(teacher["now"] == serde_json::json!([]), "{teacher}");
    assert_eq!(teacher["next"], "walnut-crown.turn-out@load-2", "{teacher}");
}

/// A station whose turn comes long after the demonstration is told, in `check` and in `plan`; and so is a session that is seldom on time.
/// While pairs braid, the step wants the teacher's eye: that is work, though nobody's hands are hers.
#[test]
fn a_teacher_who_looks_on_is_not_idle() {
    let course = demo();
    let (class, portions, _) = inputs(&course, None);
    let plan = planned(&course, None);
    let braid = plan.tasks.iter().find(|t| t.id.starts_with("four-braid.braid@")).unwrap();
    assert!(!braid.by.contains(&"teacher".to_owned()), "{braid:?}");
    let at = braid.start.checked_add(SignedDuration::from_mins(1)).unwrap();
    let moment = benchroll::reckon::plan::moments::moment(&course, &class, &portions, &plan, &at);
    let teacher = moment.people.iter().find(|one| one.who == "teacher").unwrap();
    assert!(teacher.now.iter().any(|task| task.id.starts_with("four-braid.braid@")), "{:?}", teacher.now);
}

/// What has no slack is a task of the plan: a wait that this plan does without is none.
#[test]
fn every_task_without_slack_is_in_the_plan() {
    let course = demo();
    let (class, portions, _) = inputs(&course, None);
    let plan = planned(&course, None);
    let odds = benchroll::reckon::plan::chance::odds(&course, &class, &portions, &plan, 50).unwrap();
    assert!(!odds.no_slack.is_empty());
    for id in &odds.no_slack {
        assert!(plan.task(id).is_some(), "{id}");
    }
}

#[test]
fn what_a_teacher_should_know_of_a_plan_is_printed_with_it() {
    let sealed = Sealed::demo();
    let checked = sealed.run(&["check", "course", "--format", "json"]).json();
    let own = checked["findings"].as_array().unwrap().iter().filter(|f| f["code"] == "shown-long-before");
    let told: Vec<&str> = own.map(|f| f["message"].as_str().unwrap()).collect();
    assert_eq!(told.len(), 1, "{told:?}");
    assert!(told[0].contains("1 h 5 min later at stations 1, 2, 3 and 5 (Sat 14:50)"), "{told:?}");
    let flat = |said: &str| said.split_whitespace().collect::<Vec<_>>().join(" ");
    let said = sealed.run(&["plan", "course"]);
    assert!(told.iter().all(|t| flat(&said.stdout).contains(&flat(t))), "{said}");
    assert!(!said.stdout.contains("seldom-on-time"), "{said}");
    let sealed = sealed.edit("course/kitchen.toml", ONE_OVEN.0, ONE_OVEN.1);
    let said = sealed.run(&["plan", "course"]);
    let tells = sealed.run(&["check", "course", "--format", "json"]).json();
    let seldom = tells["findings"].as_array().unwrap().iter().filter(|f| f["code"] == "seldom-on-time");
    let seldom: Vec<&str> = seldom.map(|f| f["message"].as_str().unwrap()).collect();
    assert!(!seldom.is_empty() && said.stdout.contains("It fits."), "{said}");
    assert!(seldom.iter().all(|t| flat(&said.stdout).contains(&flat(t))), "{said}");
}

/// The figures of the README are those that are printed.
#[test]
fn the_readme_prints_what_prepare_says() {
    let readme = fs::read_to_string(repository().join("README.md")).unwrap();
    let block = readme.split("This is what `prepare` says of it:").nth(1).unwrap();
    let block = block.split("```text\n").nth(1).unwrap().split("```").next().unwrap();
    let said = Sealed::demo().run(&["prepare", "course", "--out", "printed"]);
    assert!(block.lines().count() > 8, "{block}");
    assert!(said.stdout.contains(block.trim()), "README:\n{block}\nprinted:\n{}", said.stdout);
}

/// One oven by its number, or all of its kind: what the plan does in each.
#[test]
fn what_goes_through_an_oven() {
    let sealed = Sealed::demo();
    let plan = sealed.run(&["plan", "course", "--format", "json"]).json();
    let uses = |oven: &str| {
        let tasks = plan["tasks"].as_array().unwrap().iter();
        let used = tasks.filter(|t| t["uses"].as_array().unwrap().iter().any(|u| u["resource"] == oven));
        used.map(|t| t["id"].as_str().unwrap().to_owned()).collect::<Vec<_>>()
    };
    let (first, second) = (uses("oven-1"), uses("oven-2"));
    assert!(!first.is_empty() && !second.is_empty());
    let one = sealed.run(&["plan", "course", "--why", "oven-1"]);
    assert_eq!(one.exit, Some(0), "{one}");
    assert!(one.stdout.contains(&format!("oven-1: the plan uses it {} times", first.len())), "{one}");
    let turned = |line: &&str| [" it heats to ", " it cools to "].iter().any(|turned| line.contains(turned));
    let listed = |said: &str| said.lines().filter(|l| l.contains(".bake@") && !turned(l)).count();
    assert_eq!(listed(&one.stdout), first.len(), "{one}");
    assert!(first.iter().all(|id| one.stdout.contains(id)), "{one}");
    let both = sealed.run(&["plan", "course", "--why", "oven"]);
    assert_eq!(listed(&both.stdout), first.len() + second.len(), "{both}");
    assert!(both.stdout.contains("kitchen.toml:"), "{both}");
    let none = sealed.run(&["plan", "course", "--why", "oven-9"]);
    assert!(none.exit == Some(2) && none.stderr.contains("did you mean `oven-1`?"), "{none}");
}
