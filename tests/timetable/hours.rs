//! Hours and breaks of single people of the staff: the plan keeps them, the checker asks for them, and what is written wrong is told.

use super::{effort, inputs, planned, small};
use crate::support::{Sealed, put_in, repository};
use benchroll::course::{Course, Presence};
use benchroll::finding::Located;
use benchroll::read::{Reading, folder, read_course};
use benchroll::reckon::plan::catch_up::{Absent, CaughtUp, Now, catch_up};
use benchroll::reckon::plan::check::check;
use benchroll::reckon::plan::choose::{Effort, plan};
use benchroll::reckon::plan::timetable::{Plan, PlannedTask};
use benchroll::units::Minutes;
use jiff::{SignedDuration, ZonedDateTime};
use proptest::prelude::*;

const STAFF: &str = "teacher = \"Mara Holt\"";

/// One loaf with a helper, and what is written of the staff's hours.
fn reading(presence: &str) -> Reading {
    let mut files = folder::load(&repository().join("tests/courses/small")).unwrap();
    let helper = format!("{STAFF}\nhelpers = [\"Ada Finch\"]");
    put_in(&mut files, "course.toml", &[(STAFF, helper), ("[[steps]]", format!("{presence}\n[[steps]]"))]);
    read_course(&files)
}

fn course(presence: &str) -> Course {
    let read = reading(presence);
    read.course.unwrap_or_else(|| panic!("{:?}", read.findings))
}

fn row(who: &str, rest: &str) -> String {
    format!("[[presence]]\nwho = \"{who}\"\ndate = 2027-03-06\n{rest}\n")
}

fn clock(at: &ZonedDateTime) -> String {
    at.strftime("%H:%M").to_string()
}

fn rules(course: &Course, plan: &Plan) -> Vec<&'static str> {
    let (class, portions, _) = inputs(course, None);
    check(course, &class, &portions, plan).iter().map(|b| b.rule).collect()
}

fn by<'p>(plan: &'p Plan, who: &str) -> Vec<&'p PlannedTask> {
    plan.tasks.iter().filter(|t| t.by.iter().any(|by| by == who)).collect()
}

/// Where staff run over and students do not, what staff make ahead may follow as soon as these are gone: there is a least-late plan, and the
/// checker finds nothing in it.
#[test]
fn what_is_made_ahead_follows_when_students_are_gone() {
    let mut files = folder::load(&repository().join("course")).unwrap();
    let hours = [
        ("\"10:00 to 18:30\"", "\"13:00 to 18:30\"".to_owned()),
        ("\"15:00 to 20:00\"", "\"15:00 to 16:20\"".to_owned()),
    ];
    put_in(&mut files, "course.toml", &hours);
    let course = read_course(&files).course.unwrap();
    let plan = planned(&course, None);
    assert!(!plan.fits && plan.overrun.get() > 0);
    // Between the session's start and the moment at which they are gone nothing is.
    let session = &plan.sessions[0];
    let ahead =
        plan.tasks.iter().filter(|t| t.made_ahead && t.end > session.start && t.start < session.finish);
    assert_eq!(ahead.count(), 0);
}

#[test]
fn a_helper_who_is_there_for_part_of_the_day_works_in_that() {
    let all_day = course("");
    let with_all_day = planned(&all_day, None);
    let first = by(&with_all_day, "helper-1").iter().map(|t| t.start.clone()).min().unwrap();
    // From the moment on at which the helper would begin, they are gone.
    let hours = format!("there = \"11:00 to {}\"", clock(&first));
    let some = course(&row("Ada Finch", &hours));
    assert!(rules(&some, &with_all_day).contains(&"staff-hours"));
    let plan = planned(&some, None);
    assert!(plan.fits && by(&plan, "helper-1").iter().all(|t| t.end <= first));
    assert!(!by(&plan, "teacher").is_empty());
    // Hours that reach over all of it change nothing.
    let same = course(&row("Ada Finch", "there = \"11:00 to 18:00\""));
    assert_eq!(planned(&same, None).tasks, with_all_day.tasks);
}

#[test]
fn nothing_is_planned_into_a_break() {
    let none = course("");
    let plan = planned(&none, None);
    let bake = plan.tasks.iter().find(|t| t.id.contains(".bake@")).unwrap();
    let (from, to) = (bake.start.saturating_sub(SignedDuration::from_mins(5)), &bake.end);
    let pause = format!("breaks = \"{} to {}\"", clock(&from), clock(to));
    let both = row("Ada Finch", &pause) + &row("Mara Holt", &pause);
    let both = course(&both);
    assert!(rules(&both, &plan).contains(&"staff-hours"));
    let later = planned(&both, None);
    let bakes: Vec<_> = later.tasks.iter().filter(|t| t.id.contains(".bake@")).collect();
    assert!(bakes.iter().all(|t| t.start >= *to || t.end <= from), "{bakes:?}");
    // With a break of one of them the other does it, at the same time.
    let one = planned(&course(&row("Ada Finch", &pause)), None);
    let same = one.tasks.iter().find(|t| t.id == bake.id).unwrap();
    assert_eq!((&same.start, &same.by), (&bake.start, &vec!["teacher".to_owned(); same.by.len()]));
}

/// The teacher goes when the helper comes: no work goes over that moment.
#[test]
fn work_is_not_handed_on_half_done() {
    for at in ["14:05", "14:20", "15:10", "15:12"] {
        let rows = row("Mara Holt", &format!("there = \"11:00 to {at}\""))
            + &row("Ada Finch", &format!("there = \"{at} to 18:00\""));
        let course = course(&rows);
        let plan = planned(&course, None);
        assert!(plan.fits, "{at}");
        assert!(by(&plan, "teacher").iter().all(|t| clock(&t.start).as_str() < at), "{at}");
        assert!(by(&plan, "helper-1").iter().all(|t| clock(&t.end).as_str() > at), "{at}");
    }
}

/// Who is there at the end of a session stays as long as it runs over, and no longer.
#[test]
fn a_late_class_keeps_those_who_are_there_at_its_end() {
    for (who, there) in
        [("Ada Finch", "11:00 to 14:30"), ("Mara Holt", "11:00 to 15:00"), ("Ada Finch", "11:00 to 13:00")]
    {
        let mut course = course(&row(who, &format!("there = \"{there}\"")));
        for session in &mut course.sessions {
            session.to.value = session.to.value.saturating_sub(SignedDuration::from_mins(150));
        }
        let mut plan = planned(&course, None);
        assert!(!plan.fits, "{there}");
        assert!(plan.overrun >= Minutes(5));
        plan.overrun = Minutes(plan.overrun.get() - 5);
        assert!(!rules(&course, &plan).is_empty());
    }
}

#[test]
fn what_is_written_wrong_is_told() {
    let found = |presence: &str| -> Vec<String> {
        let read = reading(presence);
        let own = read.findings.iter().filter(|f| f.place.is_some());
        own.map(|f| format!("{}: {} {}", f.code, f.message, f.way_out.clone().unwrap_or_default())).collect()
    };
    let base = found("");
    let told = |presence: &str, code: &str, words: &str| {
        let all = found(presence);
        let new: Vec<_> = all.iter().filter(|f| !base.contains(f)).collect();
        assert!(new.iter().any(|f| f.starts_with(code) && f.contains(words)), "{code}, {words}: {new:?}");
    };
    told(&row("Ada Fink", "there = \"12:00 to 17:00\""), "unknown-person", "did you mean `Ada Finch`?");
    told(&row("Ada Finch", ""), "missing-key", "there");
    told("[[presence]]\nwho = \"Ada Finch\"\nthere = \"12:00 to 17:00\"\n", "missing-key", "date");
    told(&row("Ada Finch", "there = \"17:00 to 12:00\""), "session-backwards", "these hours end at");
    told(
        &row("Ada Finch", "there = \"08:00 to 13:00\""),
        "outside-staff-hours",
        "is not all in the staff's hours",
    );
    told(
        &row("Ada Finch", "there = \"12:00 to 13:00\"\nbreaks = \"14:00 to 14:15\""),
        "outside-staff-hours",
        "break",
    );
    told(&row("Ada Finch", "hours = \"12:00 to 13:00\""), "unknown-key", "hours");
    let friday = "[[presence]]\nwho = \"Ada Finch\"\ndate = 2027-03-05\nthere = \"12:00 to 17:00\"\n";
    told(friday, "no-hours-in-session", "none in session `sat`");
    let both =
        row("Ada Finch", "there = \"11:00 to 13:00\"") + &row("Mara Holt", "there = \"14:00 to 18:00\"");
    told(&both, "staff-not-there", "none of the staff is there");
    assert!(reading(&both).course.is_none());
    // Hours that cover it between them, and a break, are fine.
    let fine = row("Ada Finch", "there = \"11:00 to 14:00\"")
        + &row("Mara Holt", "there = \"13:00 to 18:00\"\nbreaks = \"15:00 to 15:10\"");
    assert_eq!(found(&fine), base);
}

#[test]
fn who_is_away_is_said_at_a_moment_and_drawn_in_their_lane() {
    let rows = row("Ada Finch", "there = \"13:00 to 16:00\"\nbreaks = \"14:30 to 14:40\"");
    let sealed = Sealed::small()
        .edit("course/course.toml", STAFF, &format!("{STAFF}\nhelpers = [\"Ada Finch\"]"))
        .edit("course/course.toml", "[[steps]]", &format!("{rows}\n[[steps]]"));
    let at = |time: &str| {
        let said = sealed.run(&["plan", "course", "--at", &format!("Sat {time}")]).stdout;
        said.lines().find(|l| l.starts_with("helper-1")).unwrap_or_else(|| panic!("{said}")).to_owned()
    };
    assert!(at("12:15").contains("not there until 13:00"), "{}", at("12:15"));
    assert!(at("14:35").contains("break until 14:40"), "{}", at("14:35"));
    assert!(at("16:30").contains("gone"), "{}", at("16:30"));
    assert!(!at("13:30").contains("until"), "{}", at("13:30"));
    let said = sealed.run(&["plan", "course"]).stdout;
    // A short break has its number in the lane, and the number says below what it is.
    let number = (1..10).find(|number| said.contains(&format!("   {number} break")));
    assert!(said.contains("▏away▁"), "{said}");
    assert!(number.is_some_and(|number| said.contains(&format!("▏{number}"))), "{said}");
    let json = sealed.run(&["plan", "course", "--at", "Sat 14:35", "--format", "json"]).json();
    let people = json["then"]["people"].as_array().unwrap().clone();
    let helper = people.iter().find(|p| p["who"] == "helper-1").unwrap();
    assert_eq!(helper["away"], "break");
    assert!(helper["away_until"].as_str().unwrap().starts_with("2027-03-06T14:40"), "{helper}");
    // On the day it is so as well.
    let said = sealed.run(&["catch-up", "course", "--now", "Sat 13:20", "--late", "soft-loaf.shape=15m"]);
    assert!(said.exit == Some(0), "{said}");
}

/// The teacher opens the session, and has a break in the midst of it.
#[test]
fn a_break_that_is_in_the_way_is_named() {
    let rows = row("Mara Holt", "breaks = \"12:05 to 12:40\"");
    let sealed = Sealed::small().edit("course/course.toml", "[[steps]]", &format!("{rows}\n[[steps]]"));
    let said = sealed.run(&["plan", "course"]);
    let told = said.to_string().split_whitespace().collect::<Vec<_>>().join(" ");
    assert_eq!(said.exit, Some(1), "{said}");
    assert!(told.contains("what holds it: the break of Mara Holt from Sat 12:05 to Sat 12:40"), "{said}");
}

/// The course with its session over at another time.
fn until(mut course: Course, hour: i64, minute: i64) -> Course {
    let noon = course.sessions[0].from.value.clone();
    let long = SignedDuration::from_mins((hour - 12) * 60 + minute);
    course.sessions[0].to.value = noon.saturating_add(long);
    course
}

/// What stands at a time of the day, with what is late by so many minutes.
fn now(course: &Course, time: &str, late: &[(&str, i64)]) -> Now {
    let day = course.sessions[0].from.value.clone();
    let (hour, minute) = time.split_once(':').unwrap();
    let after_noon = (hour.parse::<i64>().unwrap() - 12) * 60 + minute.parse::<i64>().unwrap();
    Now {
        time: day.saturating_add(SignedDuration::from_mins(after_noon)),
        done: Vec::new(),
        undone: Vec::new(),
        late: late.iter().map(|(id, by)| ((*id).to_owned(), Minutes(*by))).collect(),
        without: Vec::new(),
        absent: Vec::new(),
    }
}

pub(super) fn caught_up(course: &Course, plan: &Plan, now: &Now) -> CaughtUp {
    let (class, portions, _) = inputs(course, None);
    catch_up(course, &class, &portions, plan, now, Effort::quick()).expect("a plan that goes on from there")
}

fn span_of(plan: &Plan, id: &str) -> (String, String) {
    let task = plan.task(id).unwrap_or_else(|| panic!("no {id}"));
    (clock(&task.start), clock(&task.end))
}

const BAKE: &str = "soft-loaf.bake@load-1";
const TURN_OUT: &str = "soft-loaf.turn-out@load-1";

/// A load is in until twenty to three, and nobody has it in hand: the teacher's break before that is theirs.
#[test]
fn a_load_that_is_in_takes_no_break_away() {
    let talk = "[[steps]]\nid = \"talk\"\nname = \"A talk\"\nwhen = \"between 130 and 200 min\"\nhands = \"teacher\"\n\
                demo = true\ntakes = \"10 min\"\n";
    let course = course(&(row("Mara Holt", "breaks = \"14:20 to 14:35\"") + talk));
    let plan = planned(&course, None);
    assert_eq!(span_of(&plan, BAKE), ("14:05".to_owned(), "14:40".to_owned()));
    assert_eq!(span_of(&plan, "class.talk@sat"), ("14:10".to_owned(), "14:20".to_owned()));
    let after = caught_up(&course, &plan, &now(&course, "14:08", &[("class.talk@sat", 10)]));
    assert_eq!(span_of(&after.plan, "class.talk@sat").0, "14:35");
    assert_eq!(after.broken, []);
    // In their talk the teacher has something in hand: they finish it, and that is no news. Nothing else comes into what is left of the break.
    let late = now(&course, "14:14", &[("class.talk@sat", 5)]);
    let after = caught_up(&course, &plan, &late);
    assert_eq!(span_of(&after.plan, "class.talk@sat"), ("14:10".to_owned(), "14:25".to_owned()));
    assert_eq!(after.broken, []);
    // The checker itself does not know that it was in hand.
    assert!(rules(&course, &after.plan).contains(&"staff-hours"));
}

/// The only one there has a load in that ends after their hours and the session: they stay as long as that is late, and are not sent away
/// when the load is out.
#[test]
fn who_stays_for_a_late_session_is_not_sent_away_before_its_end() {
    let mut alone = until(course(&row("Mara Holt", "there = \"11:00 to 15:30\"")), 15, 30);
    alone.settings.helpers.clear();
    let plan = planned(&alone, None);
    assert!(plan.fits);
    let after = caught_up(&alone, &plan, &now(&alone, "14:12", &[(BAKE, 60)]));
    assert_eq!(span_of(&after.plan, BAKE).1, "15:40");
    assert!(span_of(&after.plan, TURN_OUT).0.as_str() >= "15:45");
    assert!(after.plan.overrun > Minutes::ZERO);
    assert!(after.broken.iter().all(|b| b.rule != "staff-hours"), "{:?}", after.broken);
}

/// A load is to come out in the break of everybody: it does not burn for that, and that somebody works in their break is told.
#[test]
fn a_load_comes_out_in_a_break_when_nobody_else_is_there() {
    let pause = "breaks = \"14:42 to 15:20\"";
    let both = course(&(row("Ada Finch", pause) + &row("Mara Holt", pause)));
    let printed = planned(&course(""), None);
    assert_eq!(span_of(&printed, BAKE).1, "14:40");
    let after = caught_up(&both, &printed, &now(&both, "14:12", &[(BAKE, 15)]));
    assert_eq!(span_of(&after.plan, BAKE).1, "14:55");
    let told: Vec<&str> = after
        .broken
        .iter()
        .filter(|b| b.rule == "staff-hours")
        .flat_map(|b| &b.tasks)
        .map(String::as_str)
        .collect();
    assert_eq!(told, [BAKE]);
    assert!(span_of(&after.plan, TURN_OUT).0.as_str() >= "15:20", "{:?}", after.plan.task(TURN_OUT));
}

/// Of a break counts what lies in the hours of whoever has it; who stays after them for a late class works.
#[test]
fn a_break_counts_within_the_hours_alone() {
    let mut alone =
        until(course(&row("Mara Holt", "there = \"11:00 to 14:30\"\nbreaks = \"14:25 to 15:30\"")), 14, 30);
    alone.settings.helpers.clear();
    let plan = planned(&alone, None);
    assert!(!plan.fits);
    let (start, end) = span_of(&plan, TURN_OUT);
    assert!(start.as_str() >= "14:30" && end.as_str() <= "15:30", "{start} {end}");
    // Within them it counts.
    let mut early = plan.clone();
    let by = SignedDuration::from_mins(20);
    for task in early.tasks.iter_mut().filter(|t| t.id == TURN_OUT) {
        (task.start, task.end) = (task.start.saturating_sub(by), task.end.saturating_sub(by));
    }
    assert_eq!(span_of(&early, TURN_OUT).0, "14:25");
    assert!(rules(&alone, &early).contains(&"staff-hours"));
}

/// The helper has left, and the teacher's hours are over when the session should be: all that is late is the teacher's.
#[test]
fn who_is_absent_is_given_nothing_however_late_it_gets() {
    let late = until(course(&row("Mara Holt", "there = \"11:00 to 14:30\"")), 14, 30);
    let plan = planned(&late, None);
    assert!(by(&plan, "helper-1").iter().any(|t| clock(&t.start).as_str() > "14:30"));
    let gone = Now { absent: vec![Absent::Helper(1)], ..now(&late, "13:47", &[]) };
    let after = caught_up(&late, &plan, &gone);
    assert_eq!(by(&after.plan, "helper-1"), Vec::<&PlannedTask>::new());
    assert_eq!(after.broken, []);
}

/// The helper is there at the end of the session, and stays while it is late: what was theirs is theirs still.
#[test]
fn who_stays_for_a_late_session_keeps_what_is_printed() {
    let late = until(course(&row("Ada Finch", "there = \"11:00 to 14:30\"")), 14, 30);
    let mut plan = planned(&late, None);
    for task in plan.tasks.iter_mut().filter(|t| t.id == TURN_OUT) {
        task.by = vec!["helper-1".to_owned()];
    }
    assert_eq!(rules(&late, &plan), Vec::<&str>::new());
    let after = caught_up(&late, &plan, &now(&late, "13:47", &[]));
    assert_eq!(after.plan.task(TURN_OUT).unwrap().by, ["helper-1"]);
}

/// At each moment there are hands enough, and yet nobody has them for all of the second: it, or what is beside it, moves.
#[test]
fn what_nobody_is_free_for_from_start_to_end_moves() {
    let own = |id: &str, when: &str, takes: i64| {
        format!(
            "[[steps]]\nid = \"{id}\"\nname = \"Do {id}\"\nwhen = \"between {when} min\"\nhands = \"staff\"\ntakes = \"{takes} min\"\n"
        )
    };
    let rows = row("Ada Finch", "breaks = \"13:30 to 13:40\"")
        + &row("Mara Holt", "breaks = \"14:00 to 14:20\"")
        + &own("x", "85 and 86", 25)
        + &own("z", "105 and 105", 15)
        + &own("y", "115 and 120", 15);
    let plan = planned(&course(&rows), None);
    assert!(plan.fits && !plan.proven_optimal);
    assert!(plan.tasks.iter().all(|t| t.by.iter().all(|who| who != "nobody")));
    assert_eq!(span_of(&plan, "class.y@sat").0, "14:00");
    assert!(plan.objective.iter().skip(1).all(|t| !t.proven));
}

/// Hours and breaks of some of the staff, in minutes after eleven.
type Written = Vec<(Option<(i64, i64)>, Option<(i64, i64)>)>;

fn with_hours(written: &Written, minutes: i64) -> Course {
    let mut course = small();
    let eleven = course.sessions[0].from.value.saturating_sub(SignedDuration::from_hours(1));
    let span = |(from, long): (i64, i64)| {
        let at = |n| eleven.saturating_add(SignedDuration::from_mins(n));
        Located::assumed((at(from), at(from + long)))
    };
    for (n, (there, pause)) in written.iter().enumerate() {
        let name = if n == 0 { course.settings.teacher.value.clone() } else { format!("helper {n}") };
        if n > 0 {
            course.settings.helpers.push(Located::assumed(name.clone()));
        }
        course.presence.push(Presence {
            who: Located::assumed(name),
            there: there.map(span).into_iter().collect(),
            breaks: pause.map(span).into_iter().collect(),
        });
    }
    let session = &mut course.sessions[0];
    session.to.value = session.from.value.saturating_add(SignedDuration::from_mins(minutes));
    course
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, failure_persistence: None, ..ProptestConfig::default() })]
    #[test]
    fn every_plan_keeps_the_hours_of_everybody(
        written in proptest::collection::vec(
            (
                proptest::option::of((0i64..300, 20i64..420)),
                proptest::option::of((60i64..330, 5i64..40)),
            ),
            1..4,
        ),
        minutes in (24i64..60).prop_map(|n| n * 5),
    ) {
        let course = with_hours(&written, minutes);
        let (class, portions, options) = inputs(&course, Some(4));
        let effort = Effort { per_term: 2_000, ..effort() };
        let found = plan(&course, &class, &portions, &options, effort);
        prop_assert_eq!(&found.refused, &[]);
        if let Some(plan) = &found.plan {
            prop_assert_eq!(check(&course, &class, &portions, plan), vec![]);
        }
    }
}
