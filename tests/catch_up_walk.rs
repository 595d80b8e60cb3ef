//! Many moments of two classes' days, each with something that goes otherwise than planned: every one has a plan that goes on from there.

use crate::support::Sealed;
use benchroll::course::{Course, Hands, StationNo};
use benchroll::read::{folder, read_course};
use benchroll::reckon::plan::catch_up::{Absent, CaughtUp, LeftOut, Loosened, Now, catch_up};
use benchroll::reckon::plan::choose::{Effort, plan};
use benchroll::reckon::plan::timetable::{Plan, PlannedTask};
use benchroll::reckon::work::{Class, Portion};
use benchroll::reckon::{class, options, scale};
use benchroll::units::Minutes;
use jiff::{SignedDuration, ZonedDateTime};
use std::path::Path;

/// The demo class and its plan.
struct Day {
    course: Course,
    class: Class,
    portions: Vec<Portion>,
    plan: Plan,
}

impl Day {
    fn new() -> Day {
        let files = folder::load(&Path::new(env!("CARGO_MANIFEST_DIR")).join("course")).unwrap();
        Day::of(read_course(&files).course.unwrap())
    }

    /// A weekend as `begin` starts it: a teacher alone, one oven, and a dough that has to stand as long as it may.
    fn tight() -> Day {
        let sealed = Sealed::new();
        let begun = sealed.run(&[
            "begin",
            "class",
            "--kind",
            "weekend",
            "--date",
            "2027-03-06",
            "--place",
            "uk",
            "--people",
            "6",
        ]);
        assert_eq!(begun.exit, Some(0), "{begun}");
        let lesson = "class/lessons/cinnamon-loaf.toml";
        let sealed =
            sealed.edit(lesson, "8 to 20 h", "8 to 19 h").edit(lesson, "60 to 90 min", "60 to 65 min");
        let files = folder::load(&sealed.path("class")).unwrap();
        Day::of(read_course(&files).course.unwrap())
    }

    fn of(course: Course) -> Day {
        let (class, _) = class::seat(&course, None);
        let portions = scale::portions(&course, &class);
        let (options, _) = options::options(&course, &class, &portions);
        let plan = plan(&course, &class, &portions, &options, Effort::default()).plan.unwrap();
        Day { course, class, portions, plan }
    }

    /// So many minutes after the start of each session, every so many minutes, up to its end.
    fn moments(&self, after: i64, every: i64) -> Vec<ZonedDateTime> {
        let mut all = Vec::new();
        for session in &self.plan.sessions {
            let mut time = session.start.saturating_add(SignedDuration::from_mins(after));
            while time < session.end {
                all.push(time.clone());
                time = time.saturating_add(SignedDuration::from_mins(every));
            }
        }
        all
    }

    /// Work that runs, or would if it were so late.
    fn at_work(&self, time: &ZonedDateTime, late: i64) -> Vec<&PlannedTask> {
        let end = |t: &PlannedTask| t.end.saturating_add(SignedDuration::from_mins(late));
        let works = |t: &&PlannedTask| t.hands != Hands::Nobody && t.start < *time && *time < end(t);
        self.plan.tasks.iter().filter(works).collect()
    }

    fn told(&self, now: &Now) -> CaughtUp {
        let after = catch_up(&self.course, &self.class, &self.portions, &self.plan, now, Effort::quick());
        let after = after.unwrap_or_else(|| panic!("no plan goes on from there: {now:?}"));
        self.is_sound(now, &after);
        after
    }

    /// What was is as it was, nothing is put into the past, and what is broken is said and is nothing but a wait or a length.
    fn is_sound(&self, now: &Now, after: &CaughtUp) {
        let left_out = after.left_out.all();
        assert_eq!(after.plan.tasks.len() + left_out.len(), self.plan.tasks.len(), "{now:?}");
        assert!(after.plan.tasks.iter().all(|t| !left_out.contains(&t.id)), "{now:?}");
        let late = |id: &str| now.late.iter().find(|(late, _)| late == id).map(|(_, by)| by.get());
        for task in &after.plan.tasks {
            let Some(was) = self.plan.task(&task.id) else { panic!("{} is new: {now:?}", task.id) };
            if task.start < now.time {
                // It began when it was to, or when what came before it let it.
                assert!(task.start >= was.start, "{} began before its time: {now:?}", task.id);
                if now.late.is_empty() {
                    assert_eq!(task.start, was.start, "{}: {now:?}", task.id);
                }
            }
            if was.start >= now.time {
                assert!(task.start >= now.time, "{} is put into the past: {now:?}", task.id);
            }
            if let Some(by) = late(&task.id).filter(|_| task.start == was.start) {
                let end = was.end.saturating_add(SignedDuration::from_mins(by));
                assert!(task.end >= end, "{} is not late: {now:?}", task.id);
            }
        }
        let forgiven = ["carry", "own-step", "stands"];
        // A load stays in until somebody has hands for it.
        let load = |id: &String| id.contains(".bake@") && after.loosened > Loosened::Nothing;
        for broken in &after.broken {
            // Whoever is held up by something late cannot have taken a load out as well: somebody else has.
            let held_up = broken.rule == "hands" && broken.tasks.iter().any(|id| late(id).is_some());
            let waits = broken.rule == "takes" && broken.tasks.iter().all(load);
            assert!(held_up || waits || forgiven.contains(&broken.rule), "{broken:?}: {now:?}");
        }
        if now.without.is_empty() && now.late.is_empty() && now.absent.is_empty() {
            assert_eq!((after.changes.len(), after.broken.len()), (0, 0), "{now:?}");
            assert_eq!(after.loosened, Loosened::Nothing);
        }
    }
}

fn at(time: &ZonedDateTime) -> Now {
    Now { time: time.clone(), done: Vec::new(), late: Vec::new(), without: Vec::new(), absent: Vec::new() }
}

#[test]
fn whatever_runs_late_at_any_time_there_is_a_plan() {
    let day = Day::new();
    // Four minutes past each quarter: the clock does not keep to the plan's grid.
    for time in day.moments(4, 15) {
        day.told(&at(&time));
        let five: Vec<&PlannedTask> = day.at_work(&time, 5);
        for task in &five {
            day.told(&Now { late: vec![(task.id.clone(), Minutes(5))], ..at(&time) });
        }
        let all = day.at_work(&time, 20).into_iter().map(|t| (t.id.clone(), Minutes(20))).collect();
        day.told(&Now { late: all, ..at(&time) });
    }
}

/// The first pan of custard is late, so the second is not on the hob yet, whatever the printed plan says.
#[test]
fn what_waits_for_hands_that_are_late_has_not_begun() {
    let day = Day::new();
    let cook = |id: &str| day.plan.tasks.iter().find(|t| t.id == format!("custard-buns.cook@{id}")).unwrap();
    let (first, second) = (cook("class"), cook("class-egg-free"));
    assert_eq!(first.end, second.start, "the two pans follow each other");
    for late in [5, 20] {
        for minute in [1, 4, 6] {
            let time = first.end.saturating_add(SignedDuration::from_mins(minute));
            let after = day.told(&Now { late: vec![(first.id.clone(), Minutes(late))], ..at(&time) });
            // The teacher shows something else at that time.
            assert!(after.plan.task(&second.id).unwrap().start > second.start, "{late} {minute}");
        }
    }
}

#[test]
fn whoever_or_whatever_is_gone_at_any_time_there_is_a_plan() {
    let day = Day::new();
    for time in day.moments(15, 60) {
        let absent = vec![Absent::Student(StationNo(4)); 2];
        let after = day.told(&Now { absent, ..at(&time) });
        assert_eq!(after.empty, [StationNo(4)]);
    }
    for time in day.moments(30, 60) {
        for oven in ["oven-1", "oven-2"] {
            let after = day.told(&Now { without: vec![oven.to_owned()], ..at(&time) });
            let later = after.plan.tasks.iter().filter(|t| t.start >= time);
            assert!(later.flat_map(|t| &t.uses).all(|u| u.resource != oven), "{oven} at {time}");
        }
    }
    for time in day.moments(10, 60) {
        day.told(&Now { absent: vec![Absent::Helper(1)], ..at(&time) });
    }
}

/// Two loads are to come out together, and only the teacher is left: one of them stays in longer, and that is said.
#[test]
fn a_load_waits_for_the_only_hands_that_are_left() {
    let mut day = Day::new();
    let loads: Vec<PlannedTask> =
        day.plan.tasks.iter().filter(|t| t.id.contains(".bake@")).cloned().collect();
    let two = loads.iter().enumerate().find_map(|(n, a)| {
        let meets =
            |b: &&PlannedTask| a.start < b.end && b.start < a.end && a.uses[0].resource != b.uses[0].resource;
        loads[n + 1..].iter().find(meets).map(|b| (a.clone(), b.clone()))
    });
    let (a, b) = two.expect("two ovens bake at once");
    // Both come out at one time.
    let end = a.end.clone().max(b.end.clone());
    for task in day.plan.tasks.iter_mut().filter(|t| t.id == a.id || t.id == b.id) {
        let by = task.end.duration_until(&end);
        (task.start, task.end) = (task.start.saturating_add(by), end.clone());
    }
    let time = end.saturating_sub(SignedDuration::from_mins(10));
    let now = Now { absent: vec![Absent::Helper(1)], ..at(&time) };
    let after = catch_up(&day.course, &day.class, &day.portions, &day.plan, &now, Effort::quick()).unwrap();
    let out = |id: &str| after.plan.task(id).unwrap().end.clone();
    assert_ne!(out(&a.id), out(&b.id));
    assert!(
        after
            .broken
            .iter()
            .any(|broken| broken.rule == "takes" && broken.tasks.iter().all(|t| *t == a.id || *t == b.id))
    );
    assert!(after.broken.iter().all(|broken| broken.rule != "hands"), "{:?}", after.broken);
}

/// A dough that is planned to stand as long as it may has no minute to give: it stands longer, as little as can be, and that is said.
#[test]
fn a_day_without_slack_has_an_answer_to_every_slip() {
    let day = Day::tight();
    let mut loosened = Vec::new();
    for time in day.moments(4, 15) {
        let five: Vec<&PlannedTask> = day.at_work(&time, 5);
        for task in five {
            for late in [5, 30] {
                let after = day.told(&Now { late: vec![(task.id.clone(), Minutes(late))], ..at(&time) });
                loosened.push(after.loosened);
                assert_eq!(after.left_out, LeftOut::default());
            }
        }
    }
    for how in [Loosened::Nothing, Loosened::Waits, Loosened::Stands] {
        assert!(loosened.contains(&how), "{how:?} is not tried");
    }
    let baking = day.plan.tasks.iter().find(|t| t.id.contains(".bake@")).unwrap();
    let time = baking.start.saturating_add(SignedDuration::from_mins(6));
    let five = day.told(&Now { late: vec![(baking.id.clone(), Minutes(5))], ..at(&time) });
    let hour = day.told(&Now { late: vec![(baking.id.clone(), Minutes(60))], ..at(&time) });
    assert!(five.plan.overrun <= hour.plan.overrun);
}

#[test]
fn without_the_only_oven_nothing_is_baked_and_all_else_goes_on() {
    let day = Day::tight();
    let bakes: Vec<&PlannedTask> = day.plan.tasks.iter().filter(|t| t.id.contains(".bake@")).collect();
    for time in day.moments(4, 30) {
        let after = day.told(&Now { without: vec!["oven-1".to_owned()], ..at(&time) });
        let open = bakes.iter().filter(|t| t.end > time).map(|t| t.id.clone());
        assert_eq!(after.left_out.cannot, open.collect::<Vec<_>>(), "{time}");
        let begun = bakes.iter().filter(|t| t.start < time && t.end > time).map(|t| t.id.clone());
        assert_eq!(after.left_out.begun, begun.collect::<Vec<_>>(), "{time}");
        assert_eq!(after.left_out.baking, !after.left_out.cannot.is_empty());
        let gone = after.left_out.all();
        for task in day.plan.tasks.iter().filter(|t| gone.contains(&t.id)) {
            let after_baking = ["bake", "turn-out", "cool"].contains(&task.step.as_str());
            assert!(after_baking, "{} could still be done at {time}", task.id);
        }
        // It goes on from there again.
        let later = time.saturating_add(SignedDuration::from_mins(20));
        let again =
            catch_up(&day.course, &day.class, &day.portions, &after.plan, &at(&later), Effort::quick());
        assert!(again.is_some(), "{later}");
    }
}

#[test]
fn without_a_mixer_the_dough_is_kneaded_by_hand() {
    let day = Day::tight();
    let count = day.course.kitchen.mixers[0].count.value;
    let without: Vec<String> =
        (1..=count).map(|n| format!("{}-{n}", day.course.kitchen.mixers[0].id.value)).collect();
    let first = day.plan.tasks.iter().find(|t| t.id.contains(".mix@")).unwrap();
    let time = first.start.saturating_sub(SignedDuration::from_mins(5));
    let after = day.told(&Now { without, ..at(&time) });
    let mixes: Vec<&PlannedTask> = after.plan.tasks.iter().filter(|t| t.id.contains(".mix@")).collect();
    assert_eq!(after.by_hand.len(), mixes.len());
    for mix in mixes {
        // 26 minutes, on a grid of five.
        assert_eq!(mix.start.duration_until(&mix.end).as_mins(), 30, "{}", mix.id);
        assert!(mix.uses.iter().all(|u| !u.resource.starts_with("mixer")), "{:?}", mix.uses);
    }
}
