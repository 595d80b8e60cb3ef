//! The day itself: how sure the plan is, what holds a task, and how to go on after a slip.

use super::{demo, effort, inputs, planned};
use crate::support::Sealed;
use benchroll::course::StationNo;
use benchroll::read::{folder, read_course};
use benchroll::reckon::plan::catch_up::{CaughtUp, Changed, Now, catch_up, catch_up_on_paper};
use benchroll::reckon::plan::idle::longest_wait;
use benchroll::reckon::plan::timetable::PlannedTask;
use benchroll::reckon::plan::{chance, late, why};
use benchroll::reckon::work::Whom;
use benchroll::units::{Minutes, Percent};
use jiff::{SignedDuration, ZonedDateTime};

#[test]
fn odds_are_the_same_each_time_and_within_reason() {
    let course = demo();
    let (class, portions, _) = inputs(&course, None);
    let plan = planned(&course, None);
    let odds = chance::odds(&course, &class, &portions, &plan, 300).unwrap();
    assert_eq!(Some(&odds), chance::odds(&course, &class, &portions, &plan, 300).as_ref());
    assert_eq!(odds.sessions.len(), 2);
    for session in &odds.sessions {
        assert!(session.on_time >= Percent::ZERO && session.on_time <= Percent::HUNDRED);
        assert!(session.nine_in_ten.get() >= 0);
    }
    assert!(!odds.no_slack.is_empty());
}

#[test]
fn without_swings_everything_is_on_time() {
    let mut course = demo();
    for step in course.lessons.iter_mut().flat_map(|l| &mut l.steps) {
        if let benchroll::course::Lasts::Takes { takes, .. } = &mut step.lasts {
            takes.value.least = takes.value.usual;
            takes.value.most = takes.value.usual;
        }
        if let Some(by_hand) = &mut step.by_hand {
            by_hand.value.least = by_hand.value.usual;
            by_hand.value.most = by_hand.value.usual;
        }
    }
    for own in &mut course.own_steps {
        own.takes.value.least = own.takes.value.usual;
        own.takes.value.most = own.takes.value.usual;
    }
    let (class, portions, _) = inputs(&course, None);
    let plan = planned(&course, None);
    let odds = chance::odds(&course, &class, &portions, &plan, 50).unwrap();
    for session in &odds.sessions {
        assert_eq!((session.on_time, session.nine_in_ten), (Percent::HUNDRED, Minutes(0)));
    }
    assert_eq!(odds.broken, []);
    assert_eq!(odds.buffer, None);
}

#[test]
fn swings_of_double_length_make_sessions_late() {
    let mut course = demo();
    let plan = planned(&course, None);
    for step in course.lessons.iter_mut().flat_map(|l| &mut l.steps) {
        if let benchroll::course::Lasts::Takes { takes, .. } = &mut step.lasts {
            takes.value.usual = takes.value.usual.times(2);
            takes.value.least = takes.value.usual;
            takes.value.most = takes.value.usual;
        }
    }
    let (class, portions, _) = inputs(&course, None);
    let odds = chance::odds(&course, &class, &portions, &plan, 20).unwrap();
    assert!(odds.sessions.iter().any(|s| s.nine_in_ten.get() > 30), "{:?}", odds.sessions);
    assert!(!odds.broken.is_empty());
}

#[test]
fn a_chain_of_reasons_leads_back_to_the_clock() {
    let course = demo();
    let (class, portions, _) = inputs(&course, None);
    let plan = planned(&course, None);
    let chain = why::chain(&course, &class, &portions, &plan, "walnut-crown.turn-out@load-1");
    assert_eq!(chain.first().map(|h| h.task.as_str()), Some("walnut-crown.turn-out@load-1"));
    assert!(chain.len() > 2, "{chain:?}");
    for pair in chain.windows(2) {
        assert_eq!(pair[0].by.as_deref(), Some(pair[1].task.as_str()));
        let at = |id: &str| plan.task(id).map(|t| t.start.clone());
        if let (Some(later), Some(earlier)) = (at(&pair[0].task), at(&pair[1].task)) {
            assert!(earlier <= later);
        }
    }
    assert_eq!(chain.last().unwrap().by, None);
    assert!(why::chain(&course, &class, &portions, &plan, "no-such.task@class").is_empty());
}

#[test]
fn twenty_minutes_late_at_twenty_past_two() {
    let course = demo();
    let (class, portions, _) = inputs(&course, None);
    let plan = planned(&course, None);
    let time: jiff::ZonedDateTime = "2027-03-06T14:20[Europe/Dublin]".parse().unwrap();
    // The demo class drinks tea at twenty past two: what is late is the first mix after it.
    let running = plan
        .tasks
        .iter()
        .filter(|t| t.id.contains(".mix@") && t.start >= time)
        .min_by_key(|t| (t.start.timestamp(), t.id.clone()))
        .unwrap();
    let late = vec![(running.id.clone(), Minutes(20))];
    let now = Now {
        time: time.clone(),
        done: Vec::new(),
        undone: Vec::new(),
        late,
        without: Vec::new(),
        absent: Vec::new(),
    };
    let after = catch_up(&course, &class, &portions, &plan, &now, effort()).unwrap();
    // What is over stays where it was; nothing is put into the past.
    for was in plan.tasks.iter().filter(|t| t.end <= time) {
        let now = after.plan.task(&was.id).unwrap();
        assert_eq!((&was.start, &was.end), (&now.start, &now.end), "{}", was.id);
    }
    for change in &after.changes {
        let (was, now) = (change.was.as_ref().unwrap(), change.now.as_ref().unwrap());
        assert!(was.start < time || now.start >= time, "{change:?}");
    }
    assert!(after.changes.iter().any(|c| c.id == running.id));
    // Only the slip itself may break a rule: a mix that took longer than usual.
    for broken in &after.broken {
        assert_eq!(broken.rule, "takes", "{broken:?}");
    }
}

#[test]
fn an_oven_that_fails_is_not_used_again() {
    let course = demo();
    let (class, portions, _) = inputs(&course, None);
    let plan = planned(&course, None);
    let time: jiff::ZonedDateTime = "2027-03-07T09:45[Europe/Dublin]".parse().unwrap();
    let without = vec!["oven-2".to_owned()];
    let now = Now {
        time: time.clone(),
        done: Vec::new(),
        undone: Vec::new(),
        late: Vec::new(),
        without,
        absent: Vec::new(),
    };
    let after = catch_up(&course, &class, &portions, &plan, &now, effort()).unwrap();
    for task in after.plan.tasks.iter().filter(|t| t.start >= time) {
        assert!(task.uses.iter().all(|u| u.resource != "oven-2"), "{}", task.id);
    }
    assert_eq!(after.broken, []);
}

/// Each answer of the run sheet is a plan of its own: the checker refuses nothing in it but that the late step ran long.
#[test]
fn the_likeliest_slips_have_answers_that_hold() {
    let course = demo();
    let (class, portions, _) = inputs(&course, None);
    let plan = planned(&course, None);
    let odds = chance::odds(&course, &class, &portions, &plan, 100).unwrap();
    let slips = late::slips(&course, &class, &portions, &plan, &odds);
    for session in &plan.sessions {
        let here =
            |id: &String| plan.task(id).is_some_and(|t| session.start <= t.start && t.end <= session.finish);
        let of = slips.iter().filter(|slip| slip.tasks.iter().all(here)).count();
        assert!((1..=3).contains(&of), "{of} in {}", session.id);
    }
    for slip in &slips {
        assert_eq!(slip.answer.broken, [], "{:?}", slip.tasks);
        for id in &slip.tasks {
            let (was, now) = (plan.task(id).unwrap(), slip.answer.plan.task(id).unwrap());
            assert_eq!(was.start, now.start);
            assert_eq!(now.end.duration_since(&was.end).as_mins(), slip.by.get());
        }
    }
    assert_eq!(slips, late::slips(&course, &class, &portions, &plan, &odds));
}

/// By how many minutes what is not late itself begins earlier than printed, all together.
fn earlier(after: &CaughtUp, late: &str) -> i64 {
    let by =
        |c: &Changed| Some(c.now.as_ref()?.start.duration_until(&c.was.as_ref()?.start).as_mins().max(0));
    after.changes.iter().filter(|c| c.id != late).filter_map(by).sum()
}

/// Where the rest is planned again on the day, the least is moved, this way or that. On paper nothing begins earlier than printed for it: only
/// where the class would run over without.
#[test]
fn on_paper_nothing_begins_earlier_that_need_not() {
    const LATE: &str = "four-braid.show@class";
    let course = demo();
    let (class, portions, _) = inputs(&course, None);
    let plan = planned(&course, None);
    let now = Now {
        time: plan.task(LATE).unwrap().end.clone(),
        done: Vec::new(),
        undone: Vec::new(),
        late: vec![(LATE.to_owned(), Minutes(15))],
        without: Vec::new(),
        absent: Vec::new(),
    };
    let on_the_day = catch_up(&course, &class, &portions, &plan, &now, effort()).unwrap();
    assert!(on_the_day.plan.fits && earlier(&on_the_day, LATE) > 0, "else this shows nothing");
    let paper = catch_up_on_paper(&course, &class, &portions, &plan, &now, effort(), |_| true).unwrap();
    assert!(paper.plan.fits);
    assert_eq!((earlier(&paper, LATE), &paper.broken), (0, &Vec::new()));
    // With less time at the end it runs over no longer than the day's own answer.
    for less in [10, 20, 25] {
        let mut short = course.clone();
        let end = &mut short.sessions[1].to.value;
        *end = end.saturating_sub(SignedDuration::from_mins(less));
        let day = catch_up(&short, &class, &portions, &plan, &now, effort()).unwrap();
        let paper = catch_up_on_paper(&short, &class, &portions, &plan, &now, effort(), |_| true).unwrap();
        assert_eq!(paper.plan.overrun, day.plan.overrun, "{less} min less");
    }
}

#[test]
fn the_longest_wait_is_the_longest() {
    let plan = planned(&demo(), None);
    let wait = longest_wait(&plan).unwrap();
    let session = plan.sessions.iter().find(|s| s.id == wait.session).unwrap();
    let idle = |station: StationNo, from: &ZonedDateTime, minutes: i64| {
        let to = from.saturating_add(SignedDuration::from_mins(minutes));
        to <= session.finish
            && !plan.tasks.iter().any(|t| t.stations.contains(&station) && t.start < to && t.end > *from)
    };
    for station in &wait.stations {
        assert!(idle(*station, &wait.from, wait.long.get()));
        assert!(!idle(*station, &wait.from, wait.long.get() + 1));
    }
    // From no moment of any session a station has nothing to do for longer.
    for session in &plan.sessions {
        let minutes = session.start.duration_until(&session.finish).as_mins();
        for from in 0..minutes - wait.long.get() {
            let from = session.start.saturating_add(SignedDuration::from_mins(from));
            let to = from.saturating_add(SignedDuration::from_mins(wait.long.get() + 1));
            let busy = |no: &u32| {
                plan.tasks
                    .iter()
                    .any(|t| t.stations.contains(&StationNo(*no)) && t.start < to && t.end > from)
            };
            assert!((1..=6).all(|no| busy(&no)), "{from}");
        }
    }
}

/// The tub with the dough that the teacher shows is not free before it was shown.
#[test]
fn a_demonstration_keeps_its_tub_until_it_is_shown() {
    let lesson = "course/lessons/soft-loaf.toml";
    let show = "  { id = \"show\", per = \"class\", demo = true, hands = \"teacher\", takes = \"10 min\", stages = [\"rise\"] },\n";
    let tub = "\n[[tubs]]\nid = \"tub\"\ncount = 6\nholds = \"3 kg\"\noutside = \"26 x 18 x 12 cm\"\n";
    let sealed = Sealed::small()
        .edit(lesson, "stands = \"50 to 80 min\"", "stands = \"50 to 80 min\", uses = [\"tub until shape\"]")
        .edit(lesson, "  { id = \"shape\"", &format!("{show}  {{ id = \"shape\", after = [\"show\"]"))
        .edit(lesson, "up to 2 stations", "1 station");
    // A bowl takes one loaf's dough, so what is shown is mixed by itself.
    let limit = "limit = { rich = \"1.2 kg\", enriched = \"1.5 kg\" }";
    let sealed =
        sealed.edit("course/kitchen.toml", limit, "limit = { rich = \"1 kg\", enriched = \"1 kg\" }");
    let kitchen = sealed.read("course/kitchen.toml") + tub;
    let files = folder::load(&sealed.file("course/kitchen.toml", kitchen).path("course")).unwrap();
    let read = read_course(&files);
    let plan = planned(&read.course.unwrap_or_else(|| panic!("{:?}", read.findings)), None);
    let shown = plan.tasks.iter().find(|t| t.step.as_str() == "show").unwrap();
    let of_stage = |t: &&PlannedTask| t.members.iter().all(|(whom, _)| matches!(whom, Whom::Stage { .. }));
    let stage = plan.tasks.iter().filter(of_stage).find(|t| t.step.as_str() == "rise").unwrap();
    let tub = stage.uses.iter().find(|u| u.resource == "tub").unwrap();
    assert_eq!(tub.until, shown.end);
}
