//! What is kept clean otherwise than printed, in the words of the printed sheets.

use super::{hanging, steps_in_words};
use crate::course::{Course, StationNo};
use crate::output::text::Screen;
use crate::reckon::list_words::{named, uncovered};
use crate::reckon::plan::catch_up::{CaughtUp, KeptClean};
use crate::reckon::washed::WashedUp;
use std::collections::BTreeMap;

/// What no printed sheet says of washing and of the racks; empty where nothing of that is otherwise.
#[must_use]
pub fn kept_clean(
    course: &Course,
    words: &BTreeMap<String, String>,
    (after, kept): (&CaughtUp, &[KeptClean]),
    screen: Screen,
) -> String {
    if kept.is_empty() {
        return String::new();
    }
    let mut lines = vec!["Kept clean otherwise than on the printed sheets:".to_owned()];
    // Tasks of which the same is said, together.
    let mut said: Vec<(String, Vec<String>)> = Vec::new();
    for one in kept {
        let text = sentences(course, words, one);
        match said.iter_mut().find(|(known, _)| *known == text) {
            Some((_, tasks)) => tasks.push(one.task.clone()),
            None => said.push((text, vec![one.task.clone()])),
        }
    }
    lines.extend(said.iter().map(|(text, tasks)| format!("  {}: {text}", steps_in_words(after, tasks))));
    hanging(&lines, screen)
}

fn sentences(course: &Course, words: &BTreeMap<String, String>, one: &KeptClean) -> String {
    let say = |key: &str| words.get(key).map_or(key, String::as_str).to_owned();
    let mut all: Vec<String> = one.washed.iter().map(|washed| say(key_of(*washed))).collect();
    if !one.of.is_empty() {
        let list = &course.settings.allergen_list.value;
        let of = uncovered(one.of.iter().map(|allergen| named(list, allergen)).collect());
        all.push(format!("{} {}.", say("step.kept-clean"), of.join(", ")));
    }
    for (key, stations) in one.apart.told() {
        let stations: Vec<String> = stations.iter().map(StationNo::to_string).collect();
        all.push(format!("{} {}.", say(&format!("oven.{key}")), stations.join(", ")));
    }
    all.join(" ")
}

/// The catalogue's key for what a sheet says of it.
fn key_of(washed: WashedUp) -> &'static str {
    match washed {
        WashedUp::Trays => "step.wash-up-laid",
        WashedUp::Oven => "step.wash-up-oven",
        WashedUp::Mixer => "step.wash-up-mixer",
        WashedUp::Pan => "step.wash-up-before",
        WashedUp::Beside => "step.wash-up-beside",
        WashedUp::Pot => "step.wash-up-pot",
        WashedUp::HandToHand => "step.wash-up-tool",
    }
}
