//! Many moments of two classes' days, each with something that goes otherwise than planned: every one has a plan that goes on from there.

use crate::support::Sealed;
use benchroll::course::{BakeAtHome, Course, Hands, Lasts, StationNo, StepId};
use benchroll::finding::Located;
use benchroll::output::catch_up as text;
use benchroll::output::text::Screen;
use benchroll::read::{folder, read_course};
use benchroll::reckon::plan::catch_up::{Absent, CaughtUp, LeftOut, Loosened, Now, catch_up};
use benchroll::reckon::plan::check::check_without;
use benchroll::reckon::plan::choose::{Effort, plan};
use benchroll::reckon::plan::timetable::{Plan, PlannedTask};
use benchroll::reckon::work::{Class, Portion, Vessel};
use benchroll::reckon::{class, options, scale};
use benchroll::units::{Grams, Minutes};
use jiff::{SignedDuration, ZonedDateTime};
use serde_json::{Value, json};
use std::collections::BTreeSet;
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
        let lesson = "class/lessons/cinnamon-loaf.toml";
        let sealed =
            weekend().edit(lesson, "8 to 20 h", "8 to 19 h").edit(lesson, "60 to 90 min", "60 to 65 min");
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

/// A folder with a weekend class as `begin` starts it.
fn weekend() -> Sealed {
    let sealed = Sealed::new();
    let line =
        ["begin", "class", "--kind", "weekend", "--date", "2027-03-06", "--place", "uk", "--people", "6"];
    let begun = sealed.run(&line);
    assert_eq!(begun.exit, Some(0), "{begun}");
    sealed
}

/// What is told, on one line.
fn verdict(day: &Day, now: &Now, after: &CaughtUp) -> String {
    flat(&text::verdict(&day.course, now, (after, &[]), Screen::default()))
}

fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Nothing but the time is known of the day.
pub fn at(time: &ZonedDateTime) -> Now {
    Now {
        time: time.clone(),
        done: Vec::new(),
        undone: Vec::new(),
        late: Vec::new(),
        without: Vec::new(),
        absent: Vec::new(),
    }
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

/// The first pan of custard is late, so the second, which is free of egg, comes after a wash-up as long as before.
#[test]
fn what_waits_for_hands_that_are_late_has_not_begun() {
    let day = Day::new();
    let cook = |id: &str| day.plan.tasks.iter().find(|t| t.id == format!("custard-buns.cook@{id}")).unwrap();
    let (first, second) = (cook("class"), cook("class-egg-free"));
    assert!(first.end < second.start, "the pan without egg comes after a wash-up");
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

/// Two stations are empty in the midst of their work, and the teacher is alone: what is left of the one waits for the other, and that is said.
#[test]
fn what_nobody_is_free_for_lies_until_somebody_is() {
    let day = Day::tight();
    let roll = |plan: &Plan, no: u32| plan.task(&format!("cinnamon-loaf.roll@station-{no}")).unwrap().clone();
    let time = roll(&day.plan, 1).start.saturating_add(SignedDuration::from_mins(5));
    let absent = [1, 1, 2, 2].map(|no| Absent::Student(StationNo(no))).to_vec();
    let now = Now { absent, ..at(&time) };
    let after = day.told(&now);
    assert!(after.broken.iter().all(|b| !["hands", "takes"].contains(&b.rule)), "{:?}", after.broken);
    let mut both = [1, 2].map(|no| roll(&after.plan, no));
    both.sort_by_key(|task| task.end.timestamp());
    let since = both.each_ref().map(|task| task.taken_over.clone().unwrap());
    assert_eq!(since[0], time);
    assert!(since[1] >= both[0].end, "{both:?}");
    assert!(both.iter().all(|task| task.by == ["teacher"] && task.hands == Hands::Staff), "{both:?}");
    // Nothing of it is left undone: five minutes each.
    let left = [0, 1].map(|n| since[n].duration_until(&both[n].end).as_mins());
    assert_eq!(left, [5, 5]);
    let told = verdict(&day, &now, &after);
    assert!(told.contains("was in hand there and lies until"), "{told}");
}

/// Two loads are to come out together, and only the teacher is left: one of them stays in longer, and that is said.
#[test]
fn a_load_waits_for_the_only_hands_that_are_left() {
    let mut day = Day::new();
    // No load may stay in longer than is planned.
    for step in
        day.course.lessons.iter_mut().flat_map(|l| &mut l.steps).filter(|s| s.id.value.as_str() == "bake")
    {
        if let Lasts::Takes { takes, .. } = &mut step.lasts {
            takes.value.most = takes.value.usual;
        }
    }
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
    let long = |plan: &Plan, id: &str| {
        let task = plan.task(id).unwrap();
        task.start.duration_until(&task.end).as_mins()
    };
    let more =
        [&a.id, &b.id].map(|id| long(&after.plan, id) - long(&day.plan, id)).into_iter().max().unwrap();
    assert!(more > 0 && more <= 10, "{more}");
    let told = verdict(&day, &now, &after);
    let strong =
        format!("stays in the oven {} longer than written: take it out if anybody can", Minutes(more));
    assert!(told.contains(&strong), "{told}");
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
        // It goes on from there again: without the oven as before, and with it everything is back.
        let later = time.saturating_add(SignedDuration::from_mins(20));
        let again = |now: &Now| {
            let again = catch_up(&day.course, &day.class, &day.portions, &after.plan, now, Effort::quick());
            let again = again.unwrap_or_else(|| panic!("no plan goes on from there: {now:?}"));
            assert!(again.broken.iter().all(|b| b.rule != "complete"), "{:?}: {now:?}", again.broken);
            again
        };
        let out = again(&Now { without: vec!["oven-1".to_owned()], ..at(&later) });
        assert_eq!(out.left_out.all(), gone, "{later}");
        let mended = again(&at(&later));
        let back: BTreeSet<String> = mended.back.iter().cloned().collect();
        let given_up: BTreeSet<String> = mended.left_out.given_up.iter().cloned().collect();
        assert_eq!(&back | &given_up, gone, "{later}");
        if later < day.plan.sessions[1].end {
            assert!(given_up.is_empty(), "{later}: {given_up:?}");
        }
        for task in mended.plan.tasks.iter().filter(|t| back.contains(&t.id)) {
            assert!(task.start >= later, "{} lies in the past: {later}", task.id);
        }
    }
}

/// A dough that was left out is not brought back when it stands no more.
#[test]
fn what_has_gone_home_is_not_planned_again() {
    let day = Day::tight();
    let bake = day.plan.tasks.iter().find(|t| t.id.contains(".bake@")).unwrap();
    let without = vec!["oven-1".to_owned()];
    let after = day.told(&Now { without, ..at(&bake.start) });
    let later = at(&day.plan.sessions[1].end.saturating_add(SignedDuration::from_mins(30)));
    let again =
        catch_up(&day.course, &day.class, &day.portions, &after.plan, &later, Effort::quick()).unwrap();
    assert_eq!(again.left_out.given_up.iter().cloned().collect::<BTreeSet<_>>(), after.left_out.all());
    assert!(again.back.is_empty() && again.broken.iter().all(|b| b.rule != "complete"), "{:?}", again.broken);
    let told = verdict(&day, &later, &again);
    assert!(told.contains("Left out before, and not planned again: cinnamon-loaf.bake"), "{told}");
    assert!(!told.contains("It still fits."), "{told}");
}

/// The command line, twice: the second time with the oven, and without it still.
#[test]
fn what_was_left_out_is_told_again_and_comes_back() {
    let sealed = weekend();
    let start = first_bake(&sealed);
    let state = |without: &[&str], before: Value| {
        json!({
            "format": "benchroll-state",
            "version": 1,
            "now": start,
            "before": before,
            "without": without,
        })
    };
    let before = json!([state(&["oven-1"], json!([]))]);
    let sealed = sealed
        .file("out.json", state(&["oven-1"], before.clone()).to_string())
        .file("mended.json", state(&[], before).to_string());
    let out = sealed.run(&["catch-up", "class", "--state", "out.json"]);
    let told = flat(&out.stdout);
    assert_eq!(out.exit, Some(1), "{out}");
    assert!(told.contains("Without oven-1 nothing is left to bake this in: cinnamon-loaf.bake"), "{out}");
    assert!(told.contains("ask the teacher whether cinnamon-loaf may leave unbaked"), "{out}");
    for wrong in ["Station(", "pieces go through", "It still fits."] {
        assert!(!told.contains(wrong), "{out}");
    }
    let mended = sealed.run(&["catch-up", "class", "--state", "mended.json"]);
    let told = flat(&mended.stdout);
    assert!(told.contains("Left out before, and planned again: cinnamon-loaf.bake"), "{mended}");
    assert!(!told.contains("nothing is left to bake") && !told.contains("not planned again"), "{mended}");
    assert!(mended.exit == Some(0) && told.contains("It still fits."), "{mended}");
}

/// When the first load goes in by the course's own plan.
fn first_bake(sealed: &Sealed) -> String {
    let plan = sealed.run(&["plan", "class", "--format", "json"]).json();
    let bake =
        plan["tasks"].as_array().unwrap().iter().find(|t| t["id"].as_str().unwrap().contains(".bake@"));
    bake.unwrap()["start"].as_str().unwrap().to_owned()
}

/// Only what is left out is missing without a word; everything else that is missing is named, and in words.
#[test]
fn what_is_missing_and_not_left_out_is_said() {
    let day = Day::tight();
    let is = |id: &str, step: &str| id.contains(&format!(".{step}@"));
    let baking = |t: &&PlannedTask| is(&t.id, "bake");
    let left_out: BTreeSet<String> = day.plan.tasks.iter().filter(baking).map(|t| t.id.clone()).collect();
    let mut less = day.plan.clone();
    less.tasks.retain(|t| !is(&t.id, "bake") && !is(&t.id, "roll"));
    let broken = check_without(&day.course, &day.class, &day.portions, &less, &left_out);
    let missing: Vec<&str> =
        broken.iter().filter(|b| b.rule == "complete").map(|b| b.message.as_str()).collect();
    assert!(missing.contains(&"0 of 2 pieces go through cinnamon-loaf.roll for station 1"), "{missing:?}");
    assert!(missing.iter().all(|m| m.contains(".roll")), "{missing:?}");
}

/// What a lesson says of an oven at home decides, and of it only so many pieces as are not past the step that it names.
#[test]
fn only_what_may_go_home_unbaked_is_said_to() {
    let mut day = Day::tight();
    let bake = day.plan.tasks.iter().find(|t| t.id.contains(".bake@")).unwrap();
    let proof = day.plan.tasks.iter().find(|t| t.id.contains(".proof@")).unwrap();
    let (baking, filled) = (bake.start.clone(), proof.start.saturating_sub(SignedDuration::from_mins(5)));
    let told = |day: &Day, time: &ZonedDateTime| {
        let now = Now { without: vec!["oven-1".to_owned()], ..at(time) };
        let after = day.told(&now);
        (verdict(day, &now, &after), now, after)
    };
    let ask = "ask the teacher whether cinnamon-loaf may leave unbaked";
    let (said, now, mut after) = told(&day, &filled);
    assert!(said.contains(ask) && !said.contains("can go home"), "{said}");
    // That everything else can be done is said where it can be.
    (after.plan.fits, after.broken) = (true, Vec::new());
    assert!(verdict(&day, &now, &after).contains("Everything else can still be done"));
    after.plan.fits = false;
    assert!(!verdict(&day, &now, &after).contains("can still be done"));
    let lesson = &mut day.course.lessons[0];
    lesson.bake_at_home = Some(BakeAtHome {
        up_to: Located::assumed(StepId::from("fill".to_owned())),
        keeps: Located::assumed(Minutes(18 * 60)),
        say: None,
    });
    let (said, ..) = told(&day, &filled);
    assert!(said.contains("6 pieces of cinnamon-loaf can go home unbaked after `fill`"), "{said}");
    assert!(said.contains("within 18 h"), "{said}");
    let (said, ..) = told(&day, &baking);
    assert!(said.contains(ask) && !said.contains("can go home"), "{said}");
    // Raw egg, or what is to be kept cold, is asked about whatever the lesson says.
    day.course.formulas[0].parts[0].holds_raw_egg = Some(Located::assumed(true));
    let (said, ..) = told(&day, &filled);
    assert!(
        said.contains("There is raw egg in cinnamon-loaf: ask") && !said.contains("can go home"),
        "{said}"
    );
}

#[test]
fn without_a_mixer_the_dough_is_kneaded_by_hand() {
    let mut day = Day::tight();
    let count = day.course.kitchen.mixers[0].count.value;
    let without: Vec<String> =
        (1..=count).map(|n| format!("{}-{n}", day.course.kitchen.mixers[0].id.value)).collect();
    let first = day.plan.tasks.iter().find(|t| t.id.contains(".mix@")).unwrap();
    let time = first.start.saturating_sub(SignedDuration::from_mins(5));
    let now = Now { without, ..at(&time) };
    let after = day.told(&now);
    let grams: Grams = after.by_hand.iter().map(|(_, grams)| *grams).sum();
    let batches: Grams = after
        .plan
        .choice
        .batches
        .values()
        .flatten()
        .filter(|b| b.vessel == Vessel::ByHand)
        .map(|b| b.grams)
        .sum();
    assert!(grams > Grams::ZERO && grams == batches, "{grams:?} {batches:?}");
    let one = after.by_hand[0].1.to_nearest(Grams::whole(1)).to_decimal().normalize();
    let told = verdict(&day, &now, &after);
    assert!(told.contains("they are kneaded by hand: cinnamon-loaf.mix (station"), "{told}");
    assert!(told.contains(&format!("): {one} g")), "{told}");
    let mixes: Vec<&PlannedTask> = after.plan.tasks.iter().filter(|t| t.id.contains(".mix@")).collect();
    assert_eq!(after.by_hand.len(), mixes.len());
    for mix in mixes {
        // 26 minutes, on a grid of five.
        assert_eq!(mix.start.duration_until(&mix.end).as_mins(), 30, "{}", mix.id);
        assert!(mix.uses.iter().all(|u| !u.resource.starts_with("mixer")), "{:?}", mix.uses);
    }
    // Where nobody has written that hands can do it, it is not done.
    for step in day.course.lessons.iter_mut().flat_map(|l| &mut l.steps) {
        step.by_hand = None;
    }
    let after = day.told(&now);
    assert!(after.by_hand.is_empty(), "{:?}", after.by_hand);
    assert!(after.left_out.cannot.iter().all(|id| id.contains(".mix@")), "{:?}", after.left_out);
    assert!(!after.left_out.cannot.is_empty());
}
