//! Nights: the clocks change while the dough is in the fridge, and a class that runs past midnight.

use super::{demo, planned};
use benchroll::course::Course;
use jiff::ZonedDateTime;

fn at(text: &str) -> ZonedDateTime {
    format!("{text}[Europe/Dublin]").parse().unwrap()
}

/// The demo class so many days later, by the clock on the wall.
fn later(mut course: Course, days: i32) -> Course {
    let by = |at: &mut ZonedDateTime| *at = at.checked_add(jiff::Span::new().days(days)).unwrap();
    for session in &mut course.sessions {
        by(&mut session.from.value);
        by(&mut session.to.value);
        for staff in &mut session.staff {
            by(&mut staff.value.0);
            by(&mut staff.value.1);
        }
    }
    course
}

/// Clocks go forward in Dublin on 28 March 2027 at 01:00 (IANA time zone database): what chills over that night has an hour
/// less than by the clock, and the plan (which the checker accepts) still gives every dough its hours.
#[test]
fn a_dough_in_the_fridge_loses_an_hour_of_the_night() {
    let course = later(demo(), 21);
    assert_eq!(course.sessions[1].from.value, at("2027-03-28T09:30"));
    let plan = planned(&course, None);
    assert!(plan.fits);
    let over_night = |t: &&benchroll::reckon::plan::timetable::PlannedTask| {
        t.step.as_str() == "chill" && t.start < at("2027-03-28T00:00") && t.end > at("2027-03-28T03:00")
    };
    let mut seen = 0;
    for task in plan.tasks.iter().filter(over_night) {
        seen += 1;
        let real = task.end.duration_since(&task.start).as_mins();
        let by_the_clock = task.end.datetime().duration_since(task.start.datetime()).as_mins();
        assert_eq!(real, by_the_clock - 60, "{}", task.id);
        let step = course.lesson(task.lesson.as_ref().unwrap()).unwrap().step(&task.step).unwrap();
        let benchroll::course::Lasts::Stands(stands) = &step.lasts else { panic!("{}", task.id) };
        assert!(real >= stands.value.least.get(), "{}", task.id);
        assert!(stands.value.most.is_none_or(|most| real <= most.get()), "{}", task.id);
    }
    assert!(seen >= 4, "{seen}");
}

/// The last sitting starts in the evening and ends on the next day.
#[test]
fn a_class_that_runs_past_midnight() {
    let mut course = demo();
    let sunday = &mut course.sessions[1];
    let by = |at: &ZonedDateTime, hours: i64| at.saturating_add(jiff::SignedDuration::from_hours(hours));
    sunday.from.value = by(&sunday.from.value, 12);
    sunday.to.value = by(&sunday.to.value, 12);
    for staff in &mut sunday.staff {
        if staff.value.0.date() == sunday.from.value.date() {
            staff.value = (by(&staff.value.0, 12), by(&staff.value.1, 12));
        }
    }
    // The night and a day lie between: every dough that waits in the cold may do so that long.
    for lesson in &mut course.lessons {
        for step in &mut lesson.steps {
            let wait = step.wait_cold.as_mut().and_then(|wait| wait.stands.value.most.as_mut());
            wait.into_iter().for_each(|most| *most = benchroll::units::Minutes::hours(40));
            if let benchroll::course::Lasts::Stands(stands) = &mut step.lasts
                && let Some(most) = &mut stands.value.most
                && most.get() > 8 * 60
            {
                *most = benchroll::units::Minutes::hours(40);
            }
        }
    }
    let plan = planned(&course, None);
    assert!(plan.fits, "{:?}", plan.sessions);
    let last = plan.sessions.last().unwrap();
    assert_eq!((last.start.date().day(), last.finish.date().day()), (7, 8));
    assert!(plan.tasks.iter().any(|t| t.start.date().day() == 7 && t.end.date().day() == 8));
}
