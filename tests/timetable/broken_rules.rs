//! Each rule of the checker, broken by itself in a plan that holds: the checker names that rule, and says what is wrong.

use super::broken_things::things;
use super::{demo, inputs, planned, small};
use benchroll::course::{Ahead, Course, Hands, Presence, StepId};
use benchroll::finding::Located;
use benchroll::reckon::plan::check::{RULES, check};
use benchroll::reckon::plan::jobs::Group;
use benchroll::reckon::plan::timetable::{Plan, PlannedTask};
use benchroll::reckon::work::Whom;
use benchroll::units::{Grams, Minutes};
use jiff::{SignedDuration, ZonedDateTime};
use std::collections::BTreeSet;

/// Changes a course or a plan so that a rule is broken.
pub type Spoil = dyn Fn(&mut Course, &mut Plan);

/// One way to break one rule.
pub struct Case {
    /// The rule that is to be named.
    pub rule: &'static str,
    /// What is said of it, in part.
    pub says: &'static str,
    /// In the small course, not in the demo class.
    pub small: bool,
    /// How.
    pub spoil: Box<Spoil>,
}

/// A case in the demo class.
pub fn case(
    rule: &'static str,
    says: &'static str,
    spoil: impl Fn(&mut Course, &mut Plan) + 'static,
) -> Case {
    Case { rule, says, small: false, spoil: Box::new(spoil) }
}

/// The same in the small course.
pub fn small_case(
    rule: &'static str,
    says: &'static str,
    spoil: impl Fn(&mut Course, &mut Plan) + 'static,
) -> Case {
    Case { rule, says, small: true, spoil: Box::new(spoil) }
}

pub fn task<'p>(plan: &'p mut Plan, id: &str) -> &'p mut PlannedTask {
    plan.tasks.iter_mut().find(|t| t.id == id).unwrap_or_else(|| panic!("no {id}"))
}

/// The first task of a step.
pub fn of_step<'p>(plan: &'p mut Plan, step: &str) -> &'p mut PlannedTask {
    let of = |t: &&mut PlannedTask| !t.cold_wait && t.id.starts_with(&format!("{step}@"));
    plan.tasks.iter_mut().find(of).unwrap_or_else(|| panic!("no {step}"))
}

pub fn later(at: &ZonedDateTime, minutes: i64) -> ZonedDateTime {
    at.saturating_add(SignedDuration::from_mins(minutes))
}

pub fn shift(task: &mut PlannedTask, minutes: i64) {
    task.start = later(&task.start, minutes);
    task.end = later(&task.end, minutes);
    for used in &mut task.uses {
        used.until = later(&used.until, minutes);
    }
}

/// A task begins then, and lasts as long as before.
pub fn put_at(task: &mut PlannedTask, start: &ZonedDateTime) {
    let minutes = task.start.duration_until(start).as_mins();
    shift(task, minutes);
}

pub fn step<'c>(course: &'c mut Course, lesson: &str, step: &str) -> &'c mut benchroll::course::Step {
    let lesson = course.lessons.iter_mut().find(|l| l.id.value.as_str() == lesson).unwrap();
    lesson.steps.iter_mut().find(|s| s.id.value.as_str() == step).unwrap()
}

fn pause(course: &mut Course, who: String, task: &PlannedTask) {
    let breaks = vec![Located::assumed((task.start.clone(), task.end.clone()))];
    course.presence.push(Presence { who: Located::assumed(who), there: Vec::new(), breaks });
}

/// Order, carries, standing and working times.
fn of_time() -> Vec<Case> {
    vec![
        case("complete", "is shown 0 times", |_, p| p.tasks.retain(|t| t.id != "four-braid.show@class")),
        case("complete", "pieces go through", |_, p| {
            p.tasks.retain(|t| t.id != "walnut-crown.fill@station-2")
        }),
        case("complete", "for the stage of", |_, p| {
            for task in p.tasks.iter_mut().filter(|t| t.id.starts_with("walnut-crown.rise@")) {
                task.members.retain(|(whom, _)| !matches!(whom, Whom::Stage { .. }));
            }
        }),
        case("complete", "is planned 0 times", |_, p| p.tasks.retain(|t| t.id != "class.break@sat")),
        case("complete", "are made", |_, p| {
            for batch in p.choice.batches.values_mut().flatten() {
                batch.grams = Grams::whole(1);
            }
        }),
        case("order", "after the step before", |_, p| shift(task(p, "walnut-crown.fill@station-2"), -10)),
        case("carry", "after the step before, at most", |_, p| {
            for step in ["fill", "cut"] {
                shift(task(p, &format!("walnut-crown.{step}@station-2")), 25);
            }
        }),
        case("carry", "does not follow its wait in the cold", |_, p| {
            p.tasks.iter_mut().filter(|t| t.from_cold && !t.cold_wait).for_each(|t| shift(t, 5));
        }),
        case("carry", "lies open", |_, p| shift(of_step(p, "four-braid.rise"), 24 * 60)),
        case("stands", "at least", |_, p| {
            let proof = of_step(p, "custard-buns.proof");
            proof.start = later(&proof.start, 40);
        }),
        case("stands", "at most", |_, p| {
            let proof = task(p, "walnut-crown.proof@station-1");
            proof.start = later(&proof.start, -60);
        }),
        case("stands", "min planned, at least", |_, p| {
            let cool = of_step(p, "walnut-crown.cool");
            cool.end = later(&cool.start, 30);
        }),
        case("stands", "out of its place", |_, p| {
            let chill = of_step(p, "walnut-crown.chill");
            chill.end = later(&chill.end, -60);
        }),
        case("stands", "longer than until it is taken up", |_, p| {
            let chill = of_step(p, "walnut-crown.chill");
            chill.end = later(&chill.end, 60);
        }),
        case("carry", "until there is room for it", |_, p| {
            let set = of_step(p, "walnut-crown.set");
            set.start = later(&set.start, 5);
        }),
        small_case("carry", "until there is room for it", |_, p| shift(of_step(p, "soft-loaf.cool"), 5)),
        case("stands", "min in the cold", |_, p| {
            let wait = p.tasks.iter_mut().find(|t| t.cold_wait).unwrap();
            wait.start = later(&wait.end, -30);
        }),
        case("cold-wait", "waits in the cold, or not", |_, p| {
            p.tasks.iter_mut().filter(|t| !t.cold_wait).for_each(|t| t.from_cold = false);
        }),
        case("cold-wait", "waits in the cold, or not", |_, p| {
            p.tasks.iter_mut().filter(|t| t.step.as_str() == "proof").for_each(|t| t.from_cold = true);
        }),
        case("cold-wait", "waits in the cold, or not", |c, _| {
            step(c, "walnut-crown", "proof").wait_cold = None
        }),
        case("takes", "min needed", |_, p| {
            let mix = of_step(p, "four-braid.mix");
            mix.end = later(&mix.start, 5);
        }),
        case("takes", "min needed", |_, p| {
            let mix = of_step(p, "four-braid.mix");
            mix.end = later(&mix.end, 5);
        }),
        case("takes", "over before it begins", |_, p| {
            let cool = of_step(p, "walnut-crown.cool");
            cool.end = later(&cool.start, -5);
        }),
        case("after", "before the step that it comes after", |_, p| {
            let start = of_step(p, "walnut-crown.show").start.clone();
            put_at(task(p, "walnut-crown.roll@station-1"), &start);
        }),
        case("after", "is not over yet", |_, p| {
            let start = of_step(p, "custard-buns.cool").start.clone();
            put_at(task(p, "class.tasting@sun"), &start);
        }),
    ]
}

/// The class's own steps, and the sessions.
fn of_the_day() -> Vec<Case> {
    vec![
        // Each of them is as long as it is written, and no longer.
        case("takes", "20 min needed", |_, p| {
            let talk = task(p, "class.talk@sat");
            talk.end = later(&talk.end, 5);
        }),
        case("takes", "15 min needed", |_, p| {
            let tea = task(p, "class.break@sat");
            tea.end = later(&tea.end, -5);
        }),
        case("takes", "20 min needed", |_, p| {
            let tasting = task(p, "class.tasting@sun");
            tasting.start = later(&tasting.start, 10);
        }),
        case("first", "begins before class.", |_, p| {
            let start = task(p, "class.hands@sat").start.clone();
            put_at(task(p, "walnut-crown.roll@station-1"), &start);
        }),
        case("own-step", "is not at the start", |_, p| shift(task(p, "class.hands@sun"), 5)),
        case("own-step", "min into the session, and not", |c, p| {
            put_at(task(p, "class.break@sat"), &later(&c.sessions[0].from.value, 70));
        }),
        case("own-step", "are in the wrong order", |_, p| shift(task(p, "class.tasting@sun"), 5)),
        case("own-step", "is not at the end", |_, p| shift(task(p, "class.clean-down@sun"), 5)),
        case("own-step", "which comes last of all", |_, p| {
            let start = task(p, "class.clean-down@sat").start.clone();
            put_at(task(p, "walnut-crown.brush@station-1"), &start);
        }),
        case("session", "is not in its session", |_, p| shift(task(p, "class.clean-down@sun"), 6 * 60)),
        // On Sunday there is a session, too, but not its own.
        case("session", "is not in its session", |_, p| {
            let sunday = task(p, "class.home-talk@sun").start.clone();
            put_at(task(p, "class.talk@sat"), &sunday);
        }),
        case("session", "outside the sessions", |_, p| shift(task(p, "walnut-crown.cut@station-1"), 5 * 60)),
        case("session", "is not in the session", |c, _| {
            let sunday = c.sessions[1].id.value.clone();
            step(c, "walnut-crown", "roll").session = Some(Located::assumed(sunday));
        }),
        case("session", "runs over in a plan that fits", |c, p| {
            p.sessions[0].finish = later(&c.sessions[0].to.value, 5);
        }),
        case("session", "goes on after sat is finished", |_, p| {
            p.sessions[0].finish = later(&p.sessions[0].finish, -5);
        }),
        case("session", "is not over when the class is", |_, p| {
            let last = p.sessions[1].finish.clone();
            let cool = of_step(p, "four-braid.cool");
            cool.end = later(&last, 5);
        }),
        case("session", "is not where it is written", |_, p| {
            p.sessions[0].start = later(&p.sessions[0].start, -30);
        }),
        case("session", "is not where it is written", |_, p| p.sessions.swap(0, 1)),
        case("session", "sessions of 2 are planned", |_, p| p.sessions.truncate(1)),
        case("overrun", "min too long", |c, p| {
            p.fits = false;
            p.sessions[0].finish = later(&c.sessions[0].to.value, 15);
        }),
        case("goes-home", "when its students have left", |c, p| {
            let crown = c.formulas.iter_mut().find(|f| f.id.value.as_str() == "walnut-crown").unwrap();
            crown.parts.iter_mut().for_each(|part| part.needs_cold = Some(Located::assumed(true)));
            p.sessions[0].finish = task(p, "class.clean-down@sat").end.clone();
        }),
    ]
}

/// Students, teacher, helpers.
fn of_people() -> Vec<Case> {
    vec![
        case("hands", "are needed", |_, p| {
            let start = task(p, "walnut-crown.roll@station-1").start.clone();
            put_at(task(p, "walnut-crown.fill@station-1"), &start);
        }),
        // A student's step in a break.
        case("hands", "are needed", |_, p| {
            let start = task(p, "class.break@sat").start.clone();
            put_at(task(p, "walnut-crown.brush@station-2"), &start);
        }),
        // A break that is none for one of the stations.
        case("hands", "students of a station are missing", |_, p| {
            task(p, "class.break@sat").stations.retain(|no| no.0 != 4);
        }),
        case("hands", "students of a station are missing", |_, p| {
            task(p, "class.welcome@sat").stations.clear();
        }),
        case("hands", "students of a station are missing", |_, p| {
            task(p, "walnut-crown.roll@station-1").stations.clear();
        }),
        case("hands", "students of a station are missing", |_, p| {
            task(p, "four-braid.show@class").stations.truncate(3);
        }),
        case("hands", "of staff for 1 pieces of work", |_, p| of_step(p, "walnut-crown.cook").by.clear()),
        case("hands", "of staff for 2 pieces of work", |_, p| of_step(p, "walnut-crown.bake").by.truncate(1)),
        case("hands", "nobody of the staff is free", |_, p| {
            of_step(p, "walnut-crown.cook").by = vec!["nobody".to_owned()];
        }),
        // Somebody who does not exist.
        case("hands", "is done by helper-2", |_, p| {
            of_step(p, "walnut-crown.cook").by = vec!["helper-2".to_owned()];
        }),
        case("hands", "is done by helper-1", |_, p| {
            task(p, "class.talk@sat").by = vec!["helper-1".to_owned()];
        }),
        case("hands", "things at once", |_, p| {
            p.tasks.iter_mut().flat_map(|t| &mut t.by).for_each(|who| "teacher".clone_into(who));
        }),
        case("hands", "in other hands", |_, p| {
            let cook = of_step(p, "custard-buns.cook");
            cook.hands = Hands::Nobody;
            cook.by.clear();
        }),
        case("hands", "in other hands", |c, _| step(c, "custard-buns", "cook").hands.value = Hands::Teacher),
        case("hands", "is written for a helper", |c, _| {
            step(c, "custard-buns", "cook").hands.value = Hands::Helper;
        }),
        case("hands", "one student is planned", |_, p| {
            task(p, "walnut-crown.roll@station-1").one_student = true;
        }),
        case("hands", "is shown, or not", |_, p| task(p, "walnut-crown.roll@station-1").demo = true),
        case("eye", "works while an eye is needed", |_, p| {
            let start = task(p, "walnut-crown.fill@station-1").start.clone();
            put_at(task(p, "four-braid.show-mix@class"), &start);
        }),
        case("eye", "a break while an eye is needed", |c, p| {
            let fill = task(p, "walnut-crown.fill@station-1").clone();
            pause(c, c.settings.teacher.value.clone(), &fill);
        }),
        case("staff-hours", "has a break then", |c, p| {
            let cook = of_step(p, "custard-buns.cook").clone();
            assert_eq!(cook.by, ["helper-1"]);
            pause(c, c.settings.helpers[0].value.clone(), &cook);
        }),
        case("staff-hours", "outside the staff's hours", |_, p| {
            shift(of_step(p, "custard-buns.cook"), -6 * 60)
        }),
        case("staff-hours", "starts when nobody is there", |_, p| {
            let chill = of_step(p, "custard-buns.chill");
            chill.start = later(&chill.start, 6 * 60);
        }),
        case("unattended", "when nobody is there", |_, p| shift(of_step(p, "custard-buns.bake"), 8 * 60)),
        case("made-ahead", "is made ahead, and may not be", |c, _| {
            c.lessons[0].made_ahead.iter_mut().for_each(|(_, made)| made.policy.value = Ahead::Never);
        }),
        // Past the step up to which it may be.
        case("made-ahead", "is made ahead, and may not be", |_, p| {
            task(p, "walnut-crown.roll@station-1").made_ahead = true;
        }),
        case("made-ahead", "is always made ahead, and is not", |_, p| {
            of_step(p, "walnut-crown.mix").made_ahead = false;
        }),
        case("made-ahead", "in the middle of a session", |_, p| {
            shift(of_step(p, "walnut-crown.mix"), 22 * 60)
        }),
        case("made-ahead", "after the session that it is for begins", |c, p| {
            let saturday = c.sessions[0].id.value.clone();
            step(c, "walnut-crown", "mix").session = Some(Located::assumed(saturday));
            shift(of_step(p, "walnut-crown.mix"), 26 * 60);
        }),
        case("staff-hours", "outside of the staff's hours", |_, p| {
            shift(of_step(p, "walnut-crown.mix"), -120)
        }),
        case("made-ahead", "list of what is made ahead", |_, p| p.made_ahead.truncate(1)),
        case("made-ahead", "from what the class makes", |c, p| {
            let dough =
                &mut c.lessons.iter_mut().find(|l| l.id.value.as_str() == "custard-buns").unwrap().made_ahead;
            dough[0].1.up_to = Some(Located::assumed(StepId::new("round")));
            of_step(p, "custard-buns.round").made_ahead = true;
        }),
        case("group", "is done for others at once", |_, p| {
            task(p, "walnut-crown.roll@station-1").group = Group::Class(None);
        }),
        case("group", "is done for others at once", |_, p| {
            let other = task(p, "walnut-crown.roll@station-2").members.clone();
            task(p, "walnut-crown.roll@station-1").members.extend(other);
        }),
        case("share", "share a batch, and at most 1 may", |c, _| {
            step(c, "four-braid", "mix").share = Some(Located::assumed(1));
        }),
        // The egg-free dough goes to somebody with eggs in theirs.
        case("variant", "what is made in two ways", |_, p| {
            let free = p.tasks.iter().find(|t| t.id.starts_with("four-braid.mix@") && t.members.len() == 1);
            let (free, members) = free.map(|t| (t.id.clone(), t.members.clone())).unwrap();
            let other = p.tasks.iter_mut().find(|t| t.id.starts_with("four-braid.mix@") && t.id != free);
            other.unwrap().members.extend(members);
        }),
        small_case("takes", "min needed", |c, _| {
            step(c, "soft-loaf", "shape").one_student = true;
            if let benchroll::course::Lasts::Takes { takes, .. } = &mut step(c, "soft-loaf", "shape").lasts {
                takes.value.usual = Minutes(30);
            }
        }),
        small_case("order", "after the step before", |_, p| shift(of_step(p, "soft-loaf.turn-out"), -10)),
        small_case("carry", "at most 15 min", |_, p| shift(of_step(p, "soft-loaf.turn-out"), 15)),
        small_case("stands", "at least", |_, p| {
            let proof = of_step(p, "soft-loaf.proof");
            proof.start = later(&proof.start, 15);
        }),
    ]
}

#[test]
fn each_rule_that_is_broken_by_itself_is_named() {
    let sound = |course: Course| {
        let plan = planned(&course, None);
        (course, plan)
    };
    let (class, loaf) = (sound(demo()), sound(small()));
    let mut named: BTreeSet<&'static str> = BTreeSet::new();
    let mut silent = Vec::new();
    for case in of_time().into_iter().chain(of_the_day()).chain(of_people()).chain(things()) {
        let (mut course, mut plan) = if case.small { loaf.clone() } else { class.clone() };
        let (class, portions, _) = inputs(&course, None);
        (case.spoil)(&mut course, &mut plan);
        let broken = check(&course, &class, &portions, &plan);
        if broken.iter().any(|b| b.rule == case.rule && b.message.contains(case.says)) {
            named.insert(case.rule);
        } else {
            silent.push((case.rule, case.says, broken));
        }
    }
    assert!(silent.is_empty(), "{silent:#?}");
    assert_eq!(named, RULES.into_iter().collect(), "every rule is broken here once");
}
