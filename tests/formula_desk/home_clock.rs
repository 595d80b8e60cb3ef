//! The home recipe's clock keeps to what the lesson says: nothing stands or waits beyond its longest, or the recipe says so.
use super::{course, with};
use benchroll::course::{Course, Lasts, Lesson, Step};
use benchroll::read::{folder, read_course};
use benchroll::reckon::home::HomeBatch;
use benchroll::reckon::plan::chains::Order;
use std::path::Path;

const BUNS: &str = "lessons/custard-buns.toml";

fn home(course: &Course, lesson: &Lesson) -> HomeBatch {
    HomeBatch::of(course, course.formula(&lesson.formula.value).unwrap(), Some(lesson), None).unwrap()
}

/// What stands or waits too long by a batch's clock, and what begins before the step that it follows is over, as the lesson has it.
fn broken(course: &Course, lesson: &Lesson, batch: &HomeBatch) -> Vec<String> {
    let order = Order::of(lesson, course.formula(&lesson.formula.value));
    let planned = |n: usize| batch.steps.iter().find(|s| s.step == lesson.steps[n].id.value);
    let mut found = Vec::new();
    for (n, step) in lesson.steps.iter().enumerate() {
        let Some(this) = planned(n) else { continue };
        let carry = step.carry.as_ref().map(|c| c.value);
        for before in order.before[n].iter().filter_map(|b| Some((&lesson.steps[*b], planned(*b)?))) {
            let (was, there) = before;
            let least = carry.map_or(0, |c| c.least.get());
            if this.from.get() < there.to.get() + least {
                found.push(format!("{} too soon", this.step));
            }
            let stood = matches!(was.lasts, Lasts::Stands(_));
            let waits = if stood { this.from - there.from } else { this.from - there.to };
            let wait = carry.map_or(Some(0), |c| c.most.map(|m| m.get()));
            let most = match (stood, there.most, wait) {
                (true, Some(most), Some(wait)) => Some(most.get() + wait),
                (false, _, wait) => wait.filter(|_| carry.is_some()),
                _ => None,
            };
            if most.is_some_and(|most| waits.get() > most) {
                found.push(format!("{}", if stood { &there.step } else { &this.step }));
            }
        }
    }
    let mut hands: Vec<_> = batch.steps.iter().filter(|s| !s.waits).map(|s| (s.from, s.to)).collect();
    hands.sort();
    found.extend(hands.windows(2).filter(|w| w[0].1 > w[1].0).map(|w| format!("two at once: {w:?}")));
    found
}

fn said(batch: &HomeBatch) -> Vec<String> {
    batch.steps.iter().filter(|s| s.beyond.is_some()).map(|s| s.step.to_string()).collect()
}

#[test]
fn no_recipe_of_the_courses_breaks_its_own_limits() {
    let all = ["course", "tests/courses/hall", "tests/courses/small", "tests/courses/turned"];
    for path in all {
        let files = folder::load(&Path::new(env!("CARGO_MANIFEST_DIR")).join(path)).unwrap();
        let course = read_course(&files).course.unwrap();
        assert!(!course.lessons.is_empty());
        for lesson in &course.lessons {
            let batch = home(&course, lesson);
            assert_eq!(broken(&course, lesson, &batch), said(&batch), "{path}: {}", lesson.id);
            assert!(batch.steps.iter().any(|s| s.from.get() == 0) && said(&batch).is_empty(), "{path}");
        }
    }
}

/// A custard that sets for six hours, and a dough that may neither rise nor proof for so long: the custard is cooked first, and the dough
/// mixed hours later.
#[test]
fn what_takes_long_is_begun_before_the_dough() {
    let course = with(BUNS, "stands = \"8 to 20 h\"", "stands = \"20 to 40 min\"");
    let lesson =
        |c: &Course| c.lessons.iter().find(|l| l.id.value.as_str() == "custard-buns").unwrap().clone();
    let mut buns = lesson(&course);
    let set = buns.steps.iter_mut().find(|s| s.id.value.as_str() == "set").unwrap();
    set.lasts = match &set.lasts {
        Lasts::Stands(stands) => {
            let mut stands = stands.clone();
            stands.value.least = benchroll::units::Minutes(360);
            Lasts::Stands(stands)
        }
        other => other.clone(),
    };
    let batch = home(&course, &buns);
    let at = |id: &str| batch.steps.iter().find(|s| s.step.as_str() == id).unwrap();
    assert_eq!(at("cook").from.get(), 0, "{:?}", batch.steps);
    assert!(at("mix").from > at("cook").to && at("well").from >= at("set").to);
    assert!(broken(&course, &buns, &batch).is_empty() && said(&batch).is_empty(), "{:?}", batch.steps);
}

/// Where one pair of hands cannot keep to it the recipe says so, with its figures, in both languages.
#[test]
fn what_cannot_be_kept_is_said() {
    // The custard only goes into the cold when the buns have proofed, and they stand while it sets.
    let mut course = course();
    let lesson = course.lessons.iter_mut().find(|l| l.id.value.as_str() == "custard-buns").unwrap();
    let proof = lesson.steps.iter_mut().find(|s| s.id.value.as_str() == "proof").unwrap();
    if let Lasts::Stands(stands) = &mut proof.lasts {
        stands.value.most = Some(stands.value.least);
    }
    let place = |steps: &[Step], id: &str| steps.iter().position(|s| s.id.value.as_str() == id).unwrap();
    let mut set = lesson.steps.remove(place(&lesson.steps, "set"));
    set.after = vec![benchroll::finding::Located::assumed("proof".into())];
    lesson.steps.insert(place(&lesson.steps, "proof") + 1, set);
    let lesson = course.lessons.iter().find(|l| l.id.value.as_str() == "custard-buns").unwrap();
    let batch = home(&course, lesson);
    assert_eq!(said(&batch), ["proof"], "{:?}", batch.steps);
    let beyond = batch.steps.iter().find_map(|s| s.beyond).unwrap();
    assert!(beyond.stood && beyond.waits > beyond.most);
    for language in ["en", "de"] {
        let path = format!("templates/words/{language}.toml");
        let words = std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(path)).unwrap();
        for word in ["stands-too-long", "waits-too-long"] {
            let line = words.lines().find(|l| l.starts_with(word)).unwrap();
            assert!(line.contains("{time}") && line.contains("{most}"), "{line}");
        }
    }
}
