//! Many moments of the demo's two days, each with something that goes otherwise than planned: every one has a plan that goes on from there.

use benchroll::course::{Course, Hands, StationNo};
use benchroll::read::{folder, read_course};
use benchroll::reckon::plan::catch_up::{Absent, CaughtUp, Loosened, Now, catch_up};
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
        let course = read_course(&files).course.unwrap();
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
        assert_eq!(after.plan.tasks.len(), self.plan.tasks.len(), "{now:?}");
        let late = |id: &str| now.late.iter().find(|(late, _)| late == id).map(|(_, by)| by.get());
        for task in &after.plan.tasks {
            let was = self.plan.task(&task.id).unwrap();
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
        let mut forgiven = vec!["carry", "own-step", "stands"];
        if now.absent.iter().any(|a| matches!(a, Absent::Helper(_))) {
            forgiven.push("hands");
        }
        for broken in &after.broken {
            // Whoever is held up by something late cannot have taken a load out as well: somebody else has.
            let held_up = broken.rule == "hands" && broken.tasks.iter().any(|id| late(id).is_some());
            assert!(held_up || forgiven.contains(&broken.rule), "{broken:?}: {now:?}");
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
    let time = day.moments(120, 240).remove(0);
    day.told(&Now { absent: vec![Absent::Helper(1)], ..at(&time) });
}
