//! What is in each mixer and oven at once: the batches and the loads of a class.

use super::super::mixers::{bowls, class_of};
use super::super::recipes::Recipes;
use super::super::work::{Batch, Choice, Vessel, Whom};
use super::apart::kept_apart;
use super::{MixerLoad, OvenLoad};
use crate::course::Course;
use crate::units::Grams;

pub(super) fn mixer_loads(course: &Course, choice: &Choice, planned: bool) -> Vec<MixerLoad> {
    let (recipes, _) = Recipes::of(course);
    let of = |batch: &Batch| {
        let mixers = match &batch.vessel {
            Vessel::Mixers(kinds) => kinds.clone(),
            Vessel::ByHand => Vec::new(),
            Vessel::Other => return None,
        };
        Some(MixerLoad {
            mixers,
            lesson: batch.lesson.clone(),
            part: batch.part.clone(),
            batch: batch.no,
            grams: batch.grams,
            most: most_carried(course, &recipes, choice, batch),
            stations: batch
                .members
                .iter()
                .filter_map(|(w, _)| match w {
                    Whom::Station(no) => Some(*no),
                    _ => None,
                })
                .collect(),
            why: batch.why.clone(),
        })
    };
    let mut loads: Vec<MixerLoad> = choice.batches.values().flatten().filter_map(of).collect();
    for load in loads.iter_mut().filter(|l| l.mixers.is_empty()) {
        if let Some(apart) = kept_apart(course, &recipes, choice, load, planned) {
            load.why = format!("{}; {apart}", load.why);
        }
    }
    loads
}

/// The least that one of a batch's mixers carries of its dough; as for the split, of the richest way in which the part is made.
fn most_carried(course: &Course, recipes: &Recipes, choice: &Choice, batch: &Batch) -> Option<Grams> {
    let Vessel::Mixers(kinds) = &batch.vessel else { return None };
    let lesson = course.lesson(&batch.lesson)?;
    let all = choice.batches.get(&(batch.lesson.clone(), batch.part.clone()))?;
    let class =
        all.iter().map(|b| class_of(course, recipes, lesson, &batch.part, b.variant.as_ref())).max()?;
    let bowls = bowls(course, class, &mut Vec::new());
    bowls.iter().filter(|b| kinds.contains(&b.mixer.id.value)).map(|b| b.most).min()
}

pub(super) fn oven_loads(choice: &Choice) -> Vec<OvenLoad> {
    choice
        .loads
        .values()
        .flatten()
        .map(|load| OvenLoad {
            ovens: load.fits.iter().map(|(id, _)| id.clone()).collect(),
            lesson: load.lesson.clone(),
            step: load.step.clone(),
            load: load.no,
            pieces: load.members.iter().map(|(_, n)| n).sum(),
            racks: load.fits.first().map_or(0, |(_, racks)| *racks),
            heat: load.heat(),
            why: load.why().to_owned(),
        })
        .collect()
}
