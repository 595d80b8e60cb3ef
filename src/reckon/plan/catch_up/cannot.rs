//! What cannot be done any more with what is left: baking without an oven, and all that comes after it.

use super::super::containers::how_many;
use super::super::grid::Calendar;
use super::super::jobs::{Doer, Jobs, Picked};
use super::super::tasks::{self, Ask};
use super::keep;
use super::past::{Past, Standing};
use crate::course::{Course, EquipId, Where};
use crate::reckon::work::Vessel;
use std::collections::BTreeSet;

/// What is left out of a plan, since what it needs is not there any more.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct LeftOut {
    /// The tasks that cannot be done.
    pub cannot: Vec<String>,
    /// Those that would have gone on from them.
    pub after: Vec<String>,
    /// Of those that cannot be done, what had begun on what has failed.
    pub begun: Vec<String>,
    /// Some of what cannot be done is baking.
    pub baking: bool,
}

impl LeftOut {
    /// All of them.
    #[must_use]
    pub fn all(&self) -> BTreeSet<String> {
        self.cannot.iter().chain(&self.after).cloned().collect()
    }
}

/// What can be done in no way, and what takes up what it leaves; `jobs` are those of the kitchen that is left.
pub(super) fn left_out(
    course: &Course,
    jobs: &Jobs<'_>,
    past: &Past,
    ask: Ask,
    without: &[String],
) -> Option<LeftOut> {
    let model = tasks::model(jobs, &Calendar::of(jobs.course)?, ask);
    let problem = &model.problem;
    let failed: Vec<(usize, u32)> = keep::ovens(course, without).collect();
    let mut gone = vec![false; jobs.jobs.len()];
    let mut left_out = LeftOut::default();
    // A job follows what it takes its dough from, in this list too.
    for (number, job) in jobs.jobs.iter().enumerate() {
        if past.standing[number] != Standing::Open {
            continue;
        }
        let possible = |(way, meaning): (usize, &tasks::JobWay)| {
            let mut own = problem.holds.iter().filter(|h| h.from.task.0 == number);
            let more_than_there_is = own.any(|h| {
                let always = h.only_if.iter().all(|c| c.task.0 == number && c.way == way);
                always && h.amount > problem.resources[h.resource.0].capacity
            });
            !meaning.oven.is_some_and(|oven| failed.contains(&oven)) && !more_than_there_is
        };
        let cannot = !model.ways[number].iter().enumerate().any(possible);
        // A demonstration is held without its stage, too.
        let follows = job.doer != Doer::Demo && job.before.iter().any(|b| gone[*b]);
        gone[number] = cannot || follows;
        if cannot {
            left_out.cannot.push(job.id.clone());
            left_out.begun.extend(past.again.contains(&number).then(|| job.id.clone()));
            left_out.baking |= jobs.step_of(job).is_some_and(|(_, s)| s.place.value == Where::Oven);
        } else if follows {
            left_out.after.push(job.id.clone());
        }
    }
    Some(left_out)
}

/// The batches for which no mixer is left are kneaded by hand; with the tasks.
pub(super) fn by_hand(
    fewer: &Course,
    jobs: &Jobs<'_>,
    past: &Past,
    picked: &Picked,
) -> (Picked, Vec<String>) {
    let left = |id: &EquipId| {
        let mixer = fewer.kitchen.mixers.iter().find(|m| m.id.value == *id);
        mixer.is_some_and(|m| how_many(m.count.value, m.loan.as_ref()) > 0)
    };
    let (mut picked, mut tasks) = (picked.clone(), Vec::new());
    for (number, job) in jobs.jobs.iter().enumerate() {
        let at_mixer = jobs.step_of(job).is_some_and(|(_, s)| s.place.value == Where::Mixer);
        let Some(batch) = jobs.batch_of(job).filter(|_| at_mixer && past.standing[number] == Standing::Open)
        else {
            continue;
        };
        let Vessel::Mixers(kinds) = &batch.vessel else { continue };
        if kinds.iter().any(left) {
            continue;
        }
        let split = picked.splits.get_mut(&(batch.lesson.clone(), batch.part.clone()));
        let own = split.and_then(|s| s.batches.iter_mut().find(|b| b.no == batch.no));
        if let Some(own) = own {
            own.vessel = Vessel::ByHand;
            tasks.push(job.id.clone());
        }
    }
    (picked, tasks)
}
