//! Why two batches are made by hand that a hook would catch as one.

use super::MixerLoad;
use crate::course::{Course, Lesson, StepId, Where};
use crate::reckon::mixers::{bowls, class_of, shown, steps_before};
use crate::reckon::recipes::Recipes;
use crate::reckon::work::{Batch, Choice, Vessel, Whom};
use std::collections::BTreeSet;

/// Said of what is mixed by hand though with another batch made by hand it would be enough for a hook. As one they come first when
/// dough is split, so that they are two is no matter of the bowls: a demonstration waits for its own before the class mixes, or
/// else the plan found the day better so. `None` where there is nothing of the kind to say.
pub(super) fn kept_apart(
    course: &Course,
    recipes: &Recipes,
    choice: &Choice,
    load: &MixerLoad,
    planned: bool,
) -> Option<String> {
    let lesson = course.lesson(&load.lesson)?;
    let all = choice.batches.get(&(load.lesson.clone(), load.part.clone()))?;
    let own = all.iter().find(|b| b.no == load.batch)?;
    let class = class_of(course, recipes, lesson, &load.part, own.variant.as_ref());
    let bowls = bowls(course, class, &mut Vec::new());
    let most = most_that_share(lesson);
    let others = all.iter().filter(|b| {
        b.no != own.no
            && b.vessel == Vessel::ByHand
            && b.variant == own.variant
            && stations(b) + stations(own) <= most
    });
    let (other, grams, bowl) = others.into_iter().find_map(|other| {
        let grams = own.grams + other.grams;
        let bowl = bowls.iter().find(|b| b.least <= grams && grams <= b.most)?;
        Some((other, grams, bowl))
    })?;
    let why = if [own, other].into_iter().any(|b| is_shown_first(lesson, b)) {
        "the demonstration needs its own before the class mixes"
    } else if planned {
        "of the plans that were tried, one with each at its own time gives the better day"
    } else {
        return None;
    };
    let name = bowl.mixer.name.as_ref().map_or_else(|| bowl.mixer.id.to_string(), |n| n.to_string());
    Some(format!(
        "with batch {} it would be {}, which the hook of {name} catches, but {why}",
        other.no,
        shown(grams)
    ))
}

fn stations(batch: &Batch) -> usize {
    batch.members.iter().filter(|(whom, _)| matches!(whom, Whom::Station(_))).count()
}

/// How many stations may share a bowl.
fn most_that_share(lesson: &Lesson) -> usize {
    let mixing = lesson.steps.iter().filter(|s| s.place.value == Where::Mixer);
    mixing.filter_map(|s| s.share.as_ref()).map(|s| s.value as usize).min().unwrap_or(usize::MAX)
}

/// Whether a batch is for a demonstration that mixing comes after.
fn is_shown_first(lesson: &Lesson, batch: &Batch) -> bool {
    let mixing = lesson.steps.iter().filter(|s| s.place.value == Where::Mixer);
    let before: BTreeSet<StepId> = mixing.flat_map(|step| steps_before(lesson, step)).collect();
    batch.members.iter().any(|(whom, _)| matches!(whom, Whom::Stage { demo, .. } if before.contains(demo)))
}
