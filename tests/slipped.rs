//! A day that goes otherwise than planned: what is not ready, an oven that is cold, an allergen, and what is overtaken.

use crate::catch_up::{json, start, told};
use crate::catch_up_walk::at;
use crate::documents::demo;
use crate::support::Sealed;
use benchroll::reckon::plan::catch_up::{Now, catch_up};
use benchroll::reckon::plan::check::{check, more_than_left, not_hot_yet};
use benchroll::reckon::plan::choose::Effort;
use benchroll::reckon::plan::timetable::{Plan, PlannedTask};
use jiff::{SignedDuration, ZonedDateTime};
use serde_json::Value;

fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn task<'v>(answer: &'v Value, id: &str) -> &'v Value {
    let tasks = answer["tasks"].as_array().unwrap_or_else(|| panic!("{answer}"));
    tasks.iter().find(|t| t["id"] == id).unwrap_or_else(|| panic!("no {id}"))
}

fn minutes(from: &Value, to: &Value) -> i64 {
    let at = |text: &Value| text.as_str().unwrap().parse::<jiff::Timestamp>().unwrap();
    at(to).duration_since(at(from)).as_mins()
}

/// The dough is not ready: it stands so much longer than printed, what takes it up waits for it, and both are told.
#[test]
fn what_is_not_ready_stands_longer() {
    let printed = Sealed::demo().run(&["plan", "course", "--format", "json"]).json();
    let (proof, bake) = ("custard-buns.proof@station-1", "custard-buns.bake@load-1");
    for more in [10, 40] {
        let late = format!("{proof}={more}m");
        let after = json(&Sealed::demo(), &["--now", "Sun 10:30", "--late", &late]);
        let by = minutes(&task(&printed, proof)["end"], &task(&after, proof)["end"]);
        assert_eq!(by, more, "{}", task(&after, proof));
        assert!(start(task(&after, bake)) >= task(&after, proof)["end"].as_str().unwrap());
        let changed = after["changes"].as_array().unwrap();
        assert!(changed.iter().any(|c| c["id"] == proof), "{changed:?}");
    }
    let said = told(&["--now", "Sun 10:30", "--late", "custard-buns.proof@station-1=40m"]);
    assert!(!said.contains("Nothing has to change"), "{said}");
}

/// What several take up, and is not ready, each of them takes up so much later.
#[test]
fn a_bowl_that_is_not_ready_is_late_for_all_that_take_from_it() {
    let r = demo::reckoned();
    let printed = r.planned.plan.as_ref().unwrap();
    let (course, class) = (&r.course, &r.class);
    let mut tried = 0;
    for stand in printed.tasks.iter().filter(|t| t.by.is_empty() && t.members.len() > 1 && !t.cold_wait) {
        let step = course.lesson(stand.lesson.as_ref().unwrap()).and_then(|l| l.step(&stand.step)).unwrap();
        if !matches!(step.lasts, benchroll::course::Lasts::Stands(_)) {
            continue;
        }
        let time = stand.end.saturating_sub(SignedDuration::from_mins(5));
        if time <= stand.start || stand.start.duration_until(&stand.end).as_mins() > 240 {
            continue;
        }
        let now = Now { late: vec![(stand.id.clone(), benchroll::units::Minutes(15))], ..at(&time) };
        let after = catch_up(course, class, &r.portions, printed, &now, Effort::quick());
        let after = after.unwrap_or_else(|| panic!("no plan goes on from {now:?}"));
        let (was, is) = (&stand.end, &after.plan.task(&stand.id).unwrap().end);
        assert!(was.duration_until(is).as_mins() >= 15, "{}: {was} {is}", stand.id);
        tried += 1;
    }
    assert!(tried > 2, "{tried}");
}

/// What is baked elsewhere waits until that oven is hot, and it is told when to turn it to what.
#[test]
fn what_goes_into_another_oven_waits_until_that_is_hot() {
    let line = ["--now", "Sun 11:10", "--without", "oven-2"];
    let after = json(&Sealed::demo(), &line);
    let in_it = |t: &&Value| {
        t["uses"].as_array().unwrap().iter().any(|u| u["what"] == "oven-1" || u["resource"] == "oven-1")
            && start(t) > "2027-03-07T11:10"
    };
    let first = after["tasks"].as_array().unwrap().iter().filter(in_it).map(start).min().unwrap();
    // It is on as printed, and hot at a quarter past.
    assert!(first >= "2027-03-07T11:15", "{first}");
    assert!(after["broken"].as_array().unwrap().iter().all(|b| b["rule"] != "oven"), "{}", after["broken"]);
    let heats = after["heats"].as_array().unwrap();
    assert!(heats.iter().all(|h| h["oven"] == "oven-1" && h["from"].as_str().unwrap() >= "2027-03-07T11:10"));
    assert!(!heats.is_empty());
    let said = told(&line);
    for one in heats {
        let to = format!("to {} °C", one["heat_c"].as_str().unwrap());
        assert!(said.contains(&to), "{to}: {said}");
    }
}

/// The same plan with a load moved to a moment and into an oven.
fn moved(plan: &Plan, id: &str, to: &ZonedDateTime, oven: &str) -> Plan {
    let mut plan = plan.clone();
    for task in plan.tasks.iter_mut().filter(|t| t.id == id) {
        let long = task.start.duration_until(&task.end);
        (task.start, task.end) = (to.clone(), to.saturating_add(long));
        oven.clone_into(&mut task.uses[0].resource);
    }
    plan
}

/// The checker looks by itself whether an oven is hot: not one that is to be turned on later, nor one that is at another heat.
#[test]
fn the_checker_knows_a_cold_oven() {
    let r = demo::reckoned();
    let (course, printed) = (&r.course, r.planned.plan.as_ref().unwrap());
    let mut bakes: Vec<&PlannedTask> = printed
        .tasks
        .iter()
        .filter(|t| t.id.contains(".bake@") && t.start.date() == printed.sessions[1].start.date())
        .collect();
    bakes.sort_by_key(|t| t.start.timestamp());
    let first = bakes[0];
    let oven = first.uses[0].resource.clone();
    let early = first.start.saturating_sub(SignedDuration::from_mins(60));
    let cold = moved(printed, &first.id, &early, &oven);
    let said = not_hot_yet(course, printed, &cold, &early);
    assert!(said.iter().any(|b| b.tasks == [first.id.clone()] && b.message.contains("not hot")), "{said:?}");
    // As printed it is hot, at whatever moment it is asked.
    for before in [0, 5, 20, 60, 120] {
        let now = first.start.saturating_sub(SignedDuration::from_mins(before));
        assert_eq!(not_hot_yet(course, printed, printed, &now), vec![], "{before}");
    }
    for bake in &bakes {
        assert_eq!(not_hot_yet(course, printed, printed, &bake.start), vec![], "{}", bake.id);
    }
}

/// A welcome that begins late is still what comes first, and so are the clean hands after it.
#[test]
fn nothing_overtakes_what_comes_first() {
    let after = json(&Sealed::demo(), &["--now", "Sat 13:00", "--late", "class.welcome=15m"]);
    let hands = task(&after, "class.hands@sat")["end"].as_str().unwrap();
    assert_eq!(start(task(&after, "class.welcome@sat")), "2027-03-06T13:15:00+00:00");
    for task in after["tasks"].as_array().unwrap() {
        let in_session = start(task) >= "2027-03-06T13:00" && start(task) < hands;
        let by_students = task["stations"].as_array().is_some_and(|s| !s.is_empty());
        let own = task["id"].as_str().unwrap().starts_with("class.");
        assert!(own || !in_session || !by_students, "{task}");
    }
    // The checker looks for it in any plan.
    let r = demo::reckoned();
    let printed = r.planned.plan.as_ref().unwrap();
    let welcome = printed.task("class.welcome@sat").unwrap();
    let early = printed.tasks.iter().find(|t| !t.stations.is_empty() && t.lesson.is_some()).unwrap();
    let mut plan = printed.clone();
    for task in plan.tasks.iter_mut().filter(|t| t.id == early.id) {
        task.start = welcome.start.clone();
    }
    let broken = check(&r.course, &r.class, &r.portions, &plan);
    assert!(broken.iter().any(|b| b.rule == "first" && b.tasks.contains(&early.id)), "{broken:?}");
}

/// A day that is late goes on after the plan's last minute: there is an answer while the session lasts, and while staff are there.
#[test]
fn after_the_plans_end_there_is_still_an_answer() {
    let sealed = Sealed::demo();
    let line = ["catch-up", "course", "--now", "Sun 13:10", "--undone", "four-braid.bake@load-2"];
    let said = sealed.run(&line);
    assert_eq!(said.exit, Some(1), "{said}");
    assert!(said.stdout.contains("four-braid.bake (load 2)"), "{said}");
    // What it would cost is said where it is not planned.
    assert!(
        flat(&said.stdout).contains("With all of it done, as far as was found, it would run over by"),
        "{said}"
    );
    let late =
        sealed.run(&["catch-up", "course", "--now", "Sun 13:06", "--late", "class.clean-down@sun=15m"]);
    assert_eq!(late.exit, Some(0), "{late}");
    let over = sealed.run(&["catch-up", "course", "--now", "Sun 23:20"]);
    assert_eq!(over.exit, Some(2), "{over}");
}

/// What is half baked goes in again first, or it is said what it waits for.
#[test]
fn what_is_half_baked_goes_in_again_first() {
    let line = ["--now", "Sun 11:10", "--without", "oven-2"];
    let after = json(&Sealed::demo(), &line);
    let again: Vec<&str> = after["again"].as_array().unwrap().iter().map(|id| id.as_str().unwrap()).collect();
    assert_eq!(again, ["walnut-crown.bake@load-3"]);
    assert!(start(task(&after, again[0])) < "2027-03-07T11:45", "{}", task(&after, again[0]));
    let said = flat(&told(&line));
    assert!(said.contains("It waits ") && said.contains(" for that: "), "{said}");
}

/// Two braids are to go at once into a proofer that is full, as a third is late: they wait for a place, and that is said.
#[test]
fn what_finds_no_place_to_stand_in_waits_for_one() {
    let after = json(&Sealed::demo(), &["--now", "Sun 10:40", "--late", "four-braid.strands@station-3=15m"]);
    let broken = after["broken"].as_array().unwrap_or_else(|| panic!("{after}"));
    let waits = |b: &&Value| b["message"].as_str().unwrap().contains("until there is room for it");
    assert!(broken.iter().any(|b| waits(&b)), "{broken:?}");
    // The same in a small class, with a warm shelf for one tin.
    let lesson = "course/lessons/soft-loaf.toml";
    let kitchen = Sealed::small().read("course/kitchen.toml");
    let shelf = "\n[[warm]]\nid = \"proofer\"\ncount = 1\nshelves = 1\nshelf = \"30 x 14 cm\"\nclear = \"14 cm\"\nat = \"28 C\"\n";
    let sealed = Sealed::small()
        .edit(
            lesson,
            "id = \"proof\", on = \"piece\", per = \"station\", at = \"room\"",
            "id = \"proof\", on = \"piece\", per = \"station\", at = \"warm\"",
        )
        .edit(lesson, "stands = \"40 to 70 min\"", "stands = \"20 to 70 min\"")
        .file("course/kitchen.toml", format!("{kitchen}{shelf}"));
    let line = ["catch-up", "course", "--now", "Sat 13:40", "--late", "soft-loaf.bake@load-1=10m"];
    let said = sealed.run(&line);
    assert!(!said.to_string().contains("no plan was found"), "{said}");
}

/// Of what is borrowed something may fail as well, and the checker counts what is left.
#[test]
fn what_is_borrowed_fails_as_well() {
    let own = "id = \"small-mixer\"";
    let kitchen = Sealed::demo().read("course/kitchen.toml");
    let (before, mixer) = kitchen.split_once(own).unwrap();
    let loan = "count = 1\nloan = { count = 1, from = \"a neighbour\" }";
    let mixer = mixer.replacen("count = 4", loan, 1).replacen(
        "count = 2",
        loan,
        usize::from(!mixer.contains("count = 4")),
    );
    let sealed = Sealed::demo().file("course/kitchen.toml", format!("{before}{own}{mixer}"));
    let line = ["--now", "Sat 13:40", "--without", "small-mixer-1", "small-mixer-2"];
    let after = json(&sealed, &line);
    for task in after["tasks"].as_array().unwrap().iter().filter(|t| start(t) >= "2027-03-06T13:40") {
        assert!(!task["uses"].to_string().contains("small-mixer"), "{task}");
    }
    let r = demo::reckoned();
    let printed = r.planned.plan.as_ref().unwrap();
    let mut left = r.course.clone();
    for tin in left.kitchen.tins.iter_mut().filter(|t| t.id.value.as_str() == "round-20") {
        tin.count.value = 2;
        tin.loan = None;
    }
    let now = &printed.sessions[0].start;
    let failed = vec!["round-20".to_owned()];
    let said = more_than_left(&left, (&r.class, &r.portions), printed, now, &failed);
    assert!(said.iter().any(|b| b.message.contains("of round-20 are taken, 2 are left")), "{said:?}");
    assert_eq!(more_than_left(&r.course, (&r.class, &r.portions), printed, now, &failed), vec![]);
}

/// Where there is a helper, the class goes on without its teacher; where there is none, it is said how to end it.
#[test]
fn a_teacher_who_is_gone_has_a_way_out() {
    let sealed = Sealed::demo();
    let line = ["catch-up", "course", "--now", "Sat 14:20", "--absent", "Ines Calder"];
    let said = sealed.run(&line);
    assert!(said.exit == Some(0) || said.exit == Some(1), "{said}");
    assert!(flat(&said.to_string().replace('│', " ")).contains("is taken to teach from now on"), "{said}");
    let after = json(&sealed, &line[2..]);
    let later = after["tasks"].as_array().unwrap().iter().filter(|t| start(t) >= "2027-03-06T14:20");
    assert!(later.flat_map(|t| t["by"].as_array().unwrap()).all(|by| by != "helper-1"), "{after}");
    let course = sealed.read("course/course.toml");
    let helpers = course.lines().find(|l| l.trim_start().starts_with("helpers")).unwrap();
    let alone = Sealed::demo().edit("course/course.toml", helpers, "helpers = []");
    let said = alone.run(&line);
    assert_eq!(said.exit, Some(2), "{said}");
    assert!(
        flat(&said.to_string().replace('│', " ")).contains("there is no helper who could take the class"),
        "{said}"
    );
}
