//! Hours of the staff over midnight, on the day, and where nobody is free: what the plan and the rest of a day make of them.

use super::hours::caught_up;
use super::{effort, inputs};
use crate::support::{Sealed, put_in, repository};
use benchroll::course::{Course, Presence};
use benchroll::finding::{Finding, Located};
use benchroll::read::{Reading, folder, read_course};
use benchroll::reckon::plan::catch_up::Now;
use benchroll::reckon::plan::check::check;
use benchroll::reckon::plan::choose::plan;
use benchroll::reckon::plan::presence::{News, staff_by};
use benchroll::reckon::plan::timetable::Plan;
use benchroll::units::Minutes;
use jiff::ZonedDateTime;

const STAFF: &str = "teacher = \"Mara Holt\"";
const TURN_OUT: &str = "soft-loaf.turn-out@load-1";
const BAKE: &str = "soft-loaf.bake@load-1";

/// The small course with a helper, with these lines before its own steps, and with other words in places of its course file.
fn reading(lines: &str, places: &[(&str, &str)]) -> Reading {
    let mut files = folder::load(&repository().join("tests/courses/small")).unwrap();
    let helper = format!("{STAFF}\nhelpers = [\"Ada Finch\"]");
    put_in(&mut files, "course.toml", &[(STAFF, helper), ("[[steps]]", format!("{lines}\n[[steps]]"))]);
    for (was, is) in places {
        put_in(&mut files, "course.toml", &[(was, (*is).to_owned())]);
    }
    read_course(&files)
}

fn course(lines: &str) -> Course {
    let read = reading(lines, &[]);
    read.course.unwrap_or_else(|| panic!("{:?}", read.findings))
}

fn row(who: &str, rest: &str) -> String {
    format!("[[presence]]\nwho = \"{who}\"\ndate = 2027-03-06\n{rest}\n")
}

fn own(id: &str, when: &str, takes: i64) -> String {
    format!(
        "[[steps]]\nid = \"{id}\"\nname = \"Do {id}\"\nwhen = \"between {when} min\"\nhands = \"staff\"\ntakes = \"{takes} min\"\n"
    )
}

fn planned(course: &Course) -> Plan {
    let (class, portions, options) = inputs(course, None);
    let found = plan(course, &class, &portions, &options, effort());
    assert_eq!(found.refused, []);
    let plan = found.plan.unwrap();
    assert_eq!(check(course, &class, &portions, &plan), []);
    plan
}

fn at(text: &str) -> ZonedDateTime {
    format!("{text}[Europe/Dublin]").parse().unwrap()
}

fn clock(at: &ZonedDateTime) -> String {
    at.strftime("%H:%M").to_string()
}

fn now(time: &str, late: &[(&str, i64)]) -> Now {
    Now {
        time: at(&format!("2027-03-06T{time}")),
        done: Vec::new(),
        undone: Vec::new(),
        late: late.iter().map(|(id, by)| ((*id).to_owned(), Minutes(*by))).collect(),
        without: Vec::new(),
        absent: Vec::new(),
    }
}

/// A class in the evening runs past midnight, the helper has a break over it and goes soon after.
#[test]
fn hours_and_breaks_go_over_midnight() {
    let places = [
        ("from = \"12:00\"", "from = \"21:00\""),
        ("to = \"17:00\"", "to = \"2027-03-07 02:00\""),
        ("staff = \"11:00 to 18:00\"", "staff = \"20:00 to 2027-03-07 03:00\""),
    ];
    let rows =
        row("Ada Finch", "there = \"20:00 to 2027-03-07 00:20\"\nbreaks = \"23:50 to 2027-03-07 00:10\"")
            + &row("Mara Holt", "breaks = \"22:55 to 23:45\"");
    let read = reading(&rows, &places);
    let course = read.course.unwrap_or_else(|| panic!("{:?}", read.findings));
    let plan = planned(&course);
    let end = plan.tasks.iter().map(|t| t.end.clone()).max().unwrap();
    assert!(end > at("2027-03-06T23:50"), "{end}");
    let mut hers = 0;
    for task in plan.tasks.iter().filter(|t| t.by.iter().any(|by| by == "helper-1")) {
        assert!(task.end <= at("2027-03-07T00:20"), "{}", task.id);
        hers += 1;
    }
    assert!(hers > 0, "the helper has nothing to do");
    // Her break lies over midnight, and so does what is told of it.
    let helper = staff_by(&course, &plan).into_iter().find(|one| one.who == "helper-1").unwrap();
    assert!(!helper.can_take(&at("2027-03-06T23:55"), &at("2027-03-07T00:05")));
    assert!(helper.can_take(&at("2027-03-07T00:10"), &at("2027-03-07T00:20")));
    let gaps = helper.gaps(Clone::clone, (at("2027-03-06T21:00"), at("2027-03-07T02:00")));
    let told: Vec<_> = gaps.iter().flat_map(|gap| gap.news()).collect();
    assert_eq!(
        told,
        [(at("2027-03-06T23:50"), News::Break(at("2027-03-07T00:10"))), (at("2027-03-07T00:20"), News::Goes)]
    );
    // Work in the break is refused.
    let mut wrong = plan.clone();
    let long = jiff::SignedDuration::from_mins(5);
    let task = wrong.tasks.iter_mut().find(|t| t.id == TURN_OUT).unwrap();
    (task.start, task.by) = (at("2027-03-07T00:00"), vec!["helper-1".to_owned()]);
    task.end = task.start.saturating_add(long);
    let (class, portions, _) = inputs(&course, None);
    let broken = check(&course, &class, &portions, &wrong);
    assert!(broken.iter().any(|b| b.rule == "staff-hours" && b.tasks == [TURN_OUT]), "{broken:?}");
}

/// What is printed for the helper stays hers as long as she is there, and goes to the teacher where it comes after her hours or into her break.
#[test]
fn what_moves_past_somebodys_hours_is_given_to_another() {
    let printed = |rows: &str| {
        let course = course(rows);
        let mut plan = planned(&course);
        for task in plan.tasks.iter_mut().filter(|t| t.id == TURN_OUT) {
            task.by = vec!["helper-1".to_owned()];
        }
        let task = plan.task(TURN_OUT).unwrap();
        assert_eq!((clock(&task.start).as_str(), clock(&task.end).as_str()), ("14:45", "14:50"));
        (course, plan)
    };
    let slip = now("14:12", &[(BAKE, 20)]);
    for (rest, who) in [
        ("there = \"11:00 to 18:00\"", "helper-1"),
        ("there = \"11:00 to 14:55\"", "teacher"),
        ("there = \"11:00 to 18:00\"\nbreaks = \"14:55 to 15:20\"", "teacher"),
    ] {
        let (course, plan) = printed(&row("Ada Finch", rest));
        let after = caught_up(&course, &plan, &slip);
        let task = after.plan.task(TURN_OUT).unwrap();
        assert!(task.start >= at("2027-03-06T15:00"), "{rest}: {}", task.start);
        assert_eq!(task.by, [who], "{rest}");
        assert!(after.broken.iter().all(|b| b.rule != "staff-hours"), "{rest}: {:?}", after.broken);
    }
}

/// The class's break has its time, and students are at work all through it: it comes later, and by how much is said.
#[test]
fn a_break_that_comes_at_another_time_says_by_how_much() {
    let pause = "[[steps]]\nid = \"tea\"\nname = \"Tea\"\nwhen = \"between 90 and 110 min\"\npause = true\ntakes = \"15 min\"\n";
    let course = course(pause);
    let plan = planned(&course);
    let tea = |plan: &Plan| plan.task("class.tea@sat").unwrap().start.clone();
    let off = |plan: &Plan| plan.objective.iter().find(|t| t.term == "off-break-minutes").map(|t| t.value);
    assert!(tea(&plan) <= at("2027-03-06T13:35"), "{}", tea(&plan));
    assert_eq!(off(&plan), None);
    // Every station shapes for an hour more.
    let shape: Vec<&str> =
        plan.tasks.iter().filter(|t| t.step.as_str() == "shape").map(|t| t.id.as_str()).collect();
    let first = plan.tasks.iter().find(|t| t.step.as_str() == "shape").unwrap();
    let slip = Now {
        time: first.start.saturating_add(jiff::SignedDuration::from_mins(1)),
        ..now("13:00", &shape.iter().map(|id| (*id, 60)).collect::<Vec<_>>())
    };
    let after = caught_up(&course, &plan, &slip);
    // It may begin until 13:50.
    let late = at("2027-03-06T13:50").duration_until(&tea(&after.plan));
    assert!(late.as_mins() > 0, "{}", tea(&after.plan));
    assert_eq!(off(&after.plan), Some(late.as_mins()));
}

/// Three pieces of work at their times, and two who have breaks in turn: at each moment there are hands enough, and for the last nobody is free
/// from its start to its end.
const NOBODY: [(&str, &str, i64); 3] =
    [("x", "85 and 85", 25), ("z", "105 and 105", 15), ("y", "115 and 115", 15)];

fn without_anybody() -> String {
    row("Ada Finch", "breaks = \"13:30 to 13:40\"")
        + &row("Mara Holt", "breaks = \"14:00 to 14:20\"")
        + &NOBODY.iter().map(|(id, when, takes)| own(id, when, *takes)).collect::<String>()
}

#[test]
fn what_nobody_is_free_for_is_told_with_who_and_when_and_is_no_fault_of_ours() {
    let course = course(&without_anybody());
    let (class, portions, options) = inputs(&course, None);
    let found = plan(&course, &class, &portions, &options, effort());
    assert_eq!((&found.plan, &found.refused), (&None, &Vec::new()));
    assert!(found.wants_somebody());
    let [piece] = found.nobody.as_slice() else { panic!("{:?}", found.nobody) };
    assert_eq!(
        (piece.task.as_str(), clock(&piece.from), clock(&piece.to)),
        ("class.y@sat", "13:55".into(), "14:10".into())
    );
    assert_eq!(piece.away().collect::<Vec<_>>(), ["Mara Holt"]);
    let text = piece.text();
    for part in [
        "nobody of the staff is free for class.y@sat from Sat 13:55 to 14:10",
        "Mara Holt has a break from 14:00 to 14:20",
        "Ada Finch does class.z@sat from 13:45 to 14:00",
    ] {
        assert!(text.contains(part), "{part}: {text}");
    }
    // With a third pair of hands there is a plan.
    let mut more = course.clone();
    more.settings.helpers.push(Located::assumed("Jo Marsh".to_owned()));
    assert!(planned(&more).fits);
    // And with the teacher's break a quarter of an hour later.
    let mut later = course;
    let by = jiff::SignedDuration::from_mins(15);
    for Presence { breaks, .. } in later.presence.iter_mut().filter(|row| row.who.value == "Mara Holt") {
        for span in breaks {
            span.value = (span.value.0.saturating_add(by), span.value.1.saturating_add(by));
        }
    }
    assert!(planned(&later).fits);
}

#[test]
fn nobody_free_is_a_finding_at_the_step_with_levers_that_work() {
    let helpers = format!("{STAFF}\nhelpers = [\"Ada Finch\"]");
    let sealed = Sealed::small().edit("course/course.toml", STAFF, &helpers).edit(
        "course/course.toml",
        "[[steps]]",
        &format!("{}\n[[steps]]", without_anybody()),
    );
    let said = sealed.run(&["plan", "course", "--levers"]);
    let told = said.to_string().split_whitespace().collect::<Vec<_>>().join(" ");
    assert_eq!(said.exit, Some(1), "{said}");
    assert!(told.contains("error[nobody-free]: nobody of the staff is free for class.y@sat"), "{said}");
    assert!(told.contains("other hours or breaks for Mara Holt at `[[presence]]`, another helper"), "{said}");
    assert!(told.contains("No plan was found in which somebody of the staff is free"), "{said}");
    assert!(told.contains("have one helper more"), "{said}");
    assert!(!told.contains("plan-refused") && !told.contains("longer"), "{said}");
    let json = sealed.run(&["plan", "course", "--levers", "--format", "json"]).json();
    assert_eq!(json["nobody_free"][0]["task"], "class.y@sat");
    assert!(json["nobody_free"][0]["from"].as_str().unwrap().starts_with("2027-03-06T13:55"));
    assert_eq!(json["nobody_free"][0]["not_free"].as_array().unwrap().len(), 2);
    assert!(json["levers"].as_array().unwrap().iter().any(|l| l == "have one helper more"), "{json}");
    // A plan that is there says nothing of it.
    let fine = Sealed::small().run(&["plan", "course", "--format", "json"]).json();
    assert!(fine.get("nobody_free").is_none());
}

/// A session, or somebody's hours, that cannot be read is told where it stands, and once.
#[test]
fn what_cannot_be_read_is_told_once() {
    let codes = |lines: &str, places: &[(&str, &str)]| -> Vec<String> {
        let base = reading("", &[]).findings;
        let told = |f: &&Finding| f.place.is_some() && !base.iter().any(|b| b.code == f.code);
        reading(lines, places).findings.iter().filter(told).map(|f| f.code.to_string()).collect()
    };
    let there = row("Ada Finch", "there = \"13:00 to 17:00\"\nbreaks = \"14:00 to 14:10\"");
    assert_eq!(codes(&there, &[]), [""; 0]);
    for (places, code) in [
        ([("to = \"17:00\"", "to = \"25:00\"")], "unreadable"),
        ([("to = \"17:00\"", "to = \"11:00\"")], "session-backwards"),
        ([("to = \"17:00\"\n", "\n")], "missing-key"),
    ] {
        let all = codes(&there, &places);
        assert!(
            all.iter()
                .all(|c| !["outside-staff-hours", "no-hours-in-session", "staff-not-there"]
                    .contains(&c.as_str())),
            "{all:?}"
        );
        assert_eq!(all.iter().filter(|c| *c == code).count(), 1, "{all:?}");
    }
    // Hours that cannot be read leave open in which sessions somebody is.
    let friday = "[[presence]]\nwho = \"Ada Finch\"\ndate = 2027-03-05\nthere = \"12:00 to 17:00\"\n";
    let read = codes(friday, &[]);
    assert!(read.contains(&"no-hours-in-session".to_owned()), "{read:?}");
    let both = friday.to_owned() + &row("Ada Finch", "there = \"noon to 17:00\"");
    let all = codes(&both, &[]);
    assert!(!all.contains(&"no-hours-in-session".to_owned()), "{all:?}");
}
