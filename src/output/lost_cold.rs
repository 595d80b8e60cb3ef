//! What to do with the food when a cold place has failed, in sentences from the catalogue.

use super::equip_tables;
use super::text::clean;
use super::weigh_tables;
use crate::course::{Course, LessonId};
use crate::reckon::plan::catch_up::{Food, LostCold};
use crate::reckon::safety::rule_sets::{Passes, RuleSet, rule_set};
use std::collections::BTreeMap;

/// The catalogue's section.
const SECTION: &str = "lost-cold";

/// The sentences for one place: what stands there, where it goes, and which clock runs.
#[must_use]
pub fn sentences(course: &Course, words: &BTreeMap<String, String>, lost: &LostCold) -> Vec<String> {
    let say = |key: &str, with: &[(&str, String)]| {
        let text = words.get(&format!("{SECTION}.{key}")).map_or(key, String::as_str);
        with.iter().fold(text.to_owned(), |text, (name, value)| text.replace(&format!("{{{name}}}"), value))
    };
    let place = clean(&equip_tables::name_of(course, &lost.place));
    let mut lines = Vec::new();
    let food: Vec<String> = lost.food.iter().map(|food| words_of(course, food)).collect();
    lines.push(if food.is_empty() {
        say("nothing", &[("place", place)])
    } else {
        say("food", &[("place", place), ("food", food.join("; "))])
    });
    let stock: Vec<String> =
        lost.stock.iter().map(|item| clean(&weigh_tables::name_of(course, item))).collect();
    if !stock.is_empty() {
        lines.push(say("stock", &[("items", stock.join(", "))]));
    }
    let others: Vec<String> =
        lost.others.iter().map(|(id, _)| clean(&equip_tables::name_of(course, id))).collect();
    let frozen = if lost.frozen { "-frozen" } else { "" };
    lines.push(if others.is_empty() {
        say(&format!("boxes{frozen}"), &[])
    } else {
        say("move", &[("places", others.join(", "))])
    });
    lines.push(clock(course, &say));
    if !lost.to_come.is_empty() {
        let steps: Vec<String> =
            lost.to_come.iter().map(|(lesson, step)| format!("{lesson}.{step}")).collect();
        lines.push(say("to-come", &[("steps", steps.join(", "))]));
    }
    lines
}

/// Which clock runs from now on. Where no rule set or no figure is known, that is said: nothing is safe by default.
fn clock(course: &Course, say: &impl Fn(&str, &[(&str, String)]) -> String) -> String {
    let set: Option<&RuleSet> = course.settings.rule_set.as_ref().and_then(|id| rule_set(&id.value));
    let Some(set) = set else { return say("no-rules", &[]) };
    let title = ("set", set.title());
    // The first route is the shortest use; the others are for other ways of serving.
    let (Some(limit), Some(route)) = (set.cold_max, set.routes.first()) else {
        return say("no-figure", &[title]);
    };
    let key = if route.passes == Passes::Less { "less" } else { "up-to" };
    let (name, row) = (route.name.to_owned(), route.row.to_owned());
    let time = say(key, &[("time", route.limit.to_string()), ("route", name), ("row", row)]);
    let limit = format!("{} °C", limit.thousandths() / 1000);
    let needs =
        if set.needs.is_empty() { String::new() } else { say("needs", &[("needs", set.needs.join(", "))]) };
    say("clock", &[title, ("limit", limit), ("time", time), ("needs", needs)])
}

fn words_of(course: &Course, food: &Food) -> String {
    let parts: Vec<&str> = food.parts.iter().map(|part| part.as_str()).collect();
    let lesson = lesson_name(course, &food.lesson);
    let step = format!("{}.{}", food.lesson, food.step);
    if parts.is_empty() {
        format!("{lesson} ({step})")
    } else {
        format!("{lesson}: {} ({step})", parts.join(", "))
    }
}

fn lesson_name(course: &Course, id: &LessonId) -> String {
    let name = course.lesson(id).and_then(|lesson| lesson.name.as_ref());
    clean(name.map_or(id.as_str(), |name| name.value.as_str()))
}
