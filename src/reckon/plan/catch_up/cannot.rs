//! What cannot be done any more with what is left: baking without an oven, and all that comes after it.

use super::super::containers::how_many;
use super::super::grid::Calendar;
use super::super::jobs::{Group, Job, Jobs, Picked, What};
use super::super::replay::is_left_out;
use super::super::tasks::{self, Ask};
use super::super::timetable::{Plan, PlannedTask};
use super::Again;
use super::keep;
use super::past::{Past, Standing};
use super::undone::{has_nothing_left, is_of_a_former_day};
use crate::course::{Chain, Course, EquipId, Lasts, LessonId, Step, StepId, Where};
use crate::reckon::ovens::parted as parted_load;
use crate::reckon::work::{Load, Vessel};
use crate::units::{Grams, Minutes};
use jiff::{SignedDuration, ZonedDateTime};
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
    /// What an earlier plan had left out, and what nothing brings back.
    pub given_up: Vec<String>,
    /// What was not done, with what would have begun on it, and cannot be made up for.
    pub undone: Vec<String>,
    /// What was made and lies open, as what would have taken it up is among those that were not done.
    pub lies: Vec<String>,
    /// What it would have cost to make up for all that was not done; `None`: all of it was, or no plan was found that does.
    pub costs: Option<Costs>,
}

/// What a plan costs others that makes up for what was not done.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Costs {
    /// By how much more sessions would run over.
    pub over: Minutes,
    /// Food would be out of its limits.
    pub food: bool,
    /// Something else would wait or stand longer than written.
    pub others: bool,
}

impl LeftOut {
    /// All of them.
    #[must_use]
    pub fn all(&self) -> BTreeSet<String> {
        let gone = self.cannot.iter().chain(&self.after).chain(&self.given_up).chain(&self.undone);
        gone.cloned().collect()
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
        let follows = has_nothing_left(jobs, number, &gone);
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

/// What the plan has left out and is not tried again `now`: its session is over, and its dough has stood as long as it may. Where nothing is
/// tried `again`, all that it has left out; and where only what is untouched, what lies open too. `printed` has what was not done, too. What would go on from it falls away too, as far as that is yet to come.
pub(super) fn given_up(
    course: &Course,
    (plan, printed): (&Plan, &Plan),
    jobs: &Jobs<'_>,
    now: &ZonedDateTime,
    again: Again,
) -> Vec<String> {
    let mut gone = vec![false; jobs.jobs.len()];
    for (number, job) in jobs.jobs.iter().enumerate() {
        if matches!(job.what, What::ColdBefore(..)) {
            // A wait in the cold is where what it waits for comes from.
            gone[number] = job.before.iter().any(|b| gone[*b]);
        } else if is_left_out(plan, job) {
            let dough = |from: &usize| match jobs.jobs[*from].what {
                What::ColdBefore(..) if plan.task(&jobs.jobs[*from].id).is_none() => {
                    jobs.jobs[*from].before.clone()
                }
                _ => vec![*from],
            };
            let dough: Vec<usize> = job.before.iter().flat_map(dough).collect();
            gone[number] = again == Again::Nothing
                || (again == Again::Untouched && dough.iter().any(|from| is_open(plan, jobs, *from, now)))
                || is_of_a_former_day(course, jobs, job, plan, now)
                || dough.iter().any(|from| gone[*from] || is_spoilt(plan, jobs, &jobs.jobs[*from], now));
        } else if plan.task(&job.id).is_some_and(|task| task.start >= *now) {
            gone[number] = has_nothing_left(jobs, number, &gone);
        }
    }
    // Nobody makes what only that takes up which was not done, and is not to be.
    for (number, job) in jobs.jobs.iter().enumerate().rev() {
        let to_come = plan.task(&job.id).is_some_and(|task| task.start >= *now);
        let in_vain = |taker: usize| gone[taker] && printed.task(&jobs.jobs[taker].id).is_some();
        let mut takers = jobs.takers(number).peekable();
        gone[number] |= to_come && takers.peek().is_some() && takers.all(in_vain);
    }
    let known = |job: &Job| !matches!(job.what, What::ColdBefore(..)) || plan.task(&job.id).is_some();
    let own = jobs.jobs.iter().zip(gone).filter(|(job, gone)| *gone && known(job));
    own.map(|(job, _)| job.id.clone()).collect()
}

/// Whether what a job has made lies open: it is no rest or rise, and it has begun.
fn is_open(plan: &Plan, jobs: &Jobs<'_>, number: usize, now: &ZonedDateTime) -> bool {
    let job = &jobs.jobs[number];
    !jobs.stands(job) && plan.task(&job.id).is_some_and(|task| task.start < *now)
}

/// What was made for what is not done, and lies open.
pub(super) fn lies_open(plan: &Plan, jobs: &Jobs<'_>, now: &ZonedDateTime, undone: &[String]) -> Vec<String> {
    let falls_away = |taker: usize| undone.contains(&jobs.jobs[taker].id);
    let lies = |number: &usize| {
        let mut takers = jobs.takers(*number).peekable();
        is_open(plan, jobs, *number, now) && takers.peek().is_some() && takers.all(falls_away)
    };
    (0..jobs.jobs.len()).filter(lies).map(|number| jobs.jobs[number].id.clone()).collect()
}

/// Whether what a job has made is not there any more as dough: a session ended since, and it may not stand so long.
fn is_spoilt(plan: &Plan, jobs: &Jobs<'_>, job: &Job, now: &ZonedDateTime) -> bool {
    let Some(task) = plan.task(&job.id) else { return false };
    // A session without its baking is finished early, and its students may be there until its written end.
    let mut ends = plan.sessions.iter().map(|s| (&s.finish).max(&s.end));
    let session_over = ends.any(|end| task.end <= *end && end <= now);
    let step = jobs.step_of(job).map(|(_, step)| step);
    let straight = step.and_then(|s| match &s.lasts {
        Lasts::Stands(stands) if !task.cold_wait => Some(stands.value),
        _ => None,
    });
    let cold = step.and_then(|s| s.wait_cold.as_ref());
    let cold = cold.map(|w| if task.cold_wait { w.stands.value } else { w.then.value });
    let still_stands = straight.into_iter().chain(cold).any(|stands| {
        stands
            .most
            .is_none_or(|most| *now <= task.start.saturating_add(SignedDuration::from_mins(most.get())))
    });
    session_over && !still_stands
}

/// The batches for which no mixer is left are kneaded by hand, where every step at the mixer says how long that takes; with the tasks, and
/// how much there is to knead. For any other nobody has said that hands can do it.
pub(super) fn by_hand(
    fewer: &Course,
    jobs: &Jobs<'_>,
    past: &Past,
    picked: &Picked,
) -> (Picked, Vec<(String, Grams)>) {
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
        let written = jobs.step_of(job).is_some_and(|(lesson, _)| {
            let mixed = |s: &&Step| {
                s.place.value == Where::Mixer
                    && s.on.iter().any(|c| c.value == Chain::Part(batch.part.clone()))
            };
            lesson.steps.iter().filter(mixed).all(|s| s.by_hand.is_some())
        });
        if kinds.iter().any(left) || !written {
            continue;
        }
        let split = picked.splits.get_mut(&(batch.lesson.clone(), batch.part.clone()));
        let own = split.and_then(|s| s.batches.iter_mut().find(|b| b.no == batch.no));
        if let Some(own) = own {
            own.vessel = Vessel::ByHand;
            tasks.push((job.id.clone(), batch.grams));
        }
    }
    (picked, tasks)
}

/// A load that none of the ovens that are left takes at once, and is baked in several.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Parted {
    /// The bake's lesson and step.
    pub bake: (LessonId, StepId),
    /// The numbers of what it is baked in: its own, and new ones.
    pub loads: Vec<u32>,
}

impl Parted {
    /// Ids of the tasks in which a plan bakes it.
    #[must_use]
    pub fn tasks(&self, plan: &Plan) -> Vec<String> {
        let (lesson, step) = &self.bake;
        let of = |no: &u32| {
            let baked = |t: &&PlannedTask| {
                t.lesson.as_ref() == Some(lesson) && t.step == *step && t.group == Group::Load(*no)
            };
            plan.tasks.iter().find(baked).map(|t| t.id.clone())
        };
        self.loads.iter().filter_map(of).collect()
    }
}

/// Of a step that no printed plan has, what it may be a part of, and what to do: a load that was parted when the day was planned again has
/// numbers after the last printed one, and a call that is made without that day's board goes by the printed plan. `None`: any other name.
pub(super) fn of_a_part(plan: &Plan, id: &str) -> Option<(String, String)> {
    let (step, group) = id.split_once('@')?;
    let number: u32 = group.strip_prefix("load-")?.parse().ok()?;
    let printed = plan.tasks.iter().filter_map(|task| match (&task.group, task.id.split_once('@')) {
        (Group::Load(no), Some((own, _))) if own == step => Some((*no, task.id.as_str())),
        _ => None,
    });
    let mut printed: Vec<(u32, &str)> = printed.collect();
    printed.sort_unstable();
    let (last, _) = printed.last().filter(|(last, _)| *last < number)?;
    let message = format!(
        "no step of the printed plan is called `{id}`: its last load is load-{last}, and parts of a load that `catch-up` has parted are not in it"
    );
    let all: Vec<&str> = printed.iter().map(|(_, id)| *id).collect();
    let way_out = format!(
        "leave it out, and name the load that it is a part of once all its parts are over: `{}`; or have that `catch-up` write a board with --board, save on it how things stand, and give that with --state",
        all.join("`, `")
    );
    Some((message, way_out))
}

/// The loads that have not begun and that no oven that is left takes at once, cut into smaller ones that they do take.
pub(super) fn smaller_loads(
    course: &Course,
    jobs: &Jobs<'_>,
    past: &Past,
    picked: &Picked,
    without: &[String],
) -> (Picked, Vec<Parted>) {
    let (left, mut picked, mut parted) = (ovens_left(course, without), picked.clone(), Vec::new());
    let there = |id: &EquipId| {
        let oven = left.kitchen.ovens.iter().find(|o| o.id.value == *id);
        oven.is_some_and(|o| how_many(o.count.value, o.loan.as_ref()) > 0)
    };
    for (number, job) in jobs.jobs.iter().enumerate() {
        let open = past.standing[number] == Standing::Open;
        let at_oven = jobs.step_of(job).filter(|(_, s)| open && s.place.value == Where::Oven);
        let (Some((lesson, step)), Group::Load(no)) = (at_oven, &job.group) else { continue };
        let bake = (lesson.id.value.clone(), step.id.value.clone());
        let Some(loads) = picked.bakes.get_mut(&bake).map(|b| &mut b.loads) else { continue };
        let Some(at) = loads.iter().position(|l| l.no == *no) else { continue };
        if loads[at].fits.iter().any(|(oven, _)| there(oven)) {
            continue;
        }
        let Some(smaller) = parted_load(&left, lesson, step, &loads[at].members) else { continue };
        let first_free = loads.iter().map(|l| l.no).max().unwrap_or(0) + 1;
        let numbers: Vec<u32> = std::iter::once(*no).chain(first_free..).take(smaller.len()).collect();
        // Where it was printed it still was: that oven stays known, and is forbidden to what has not begun.
        let was = loads[at].clone();
        let numbered = smaller.into_iter().zip(&numbers).map(|(load, no)| Load {
            no: *no,
            fits: load.fits.into_iter().chain(was.fits.clone()).collect(),
            dials: load.dials.into_iter().chain(was.dials.clone()).collect(),
            ..load
        });
        let numbered: Vec<Load> = numbered.collect();
        loads.splice(at..=at, numbered);
        loads.sort_by_key(|l| l.no);
        // One that another oven takes whole only moves there.
        if numbers.len() > 1 {
            parted.push(Parted { bake, loads: numbers });
        }
    }
    (picked, parted)
}

/// The course with one of each kind of oven fewer of those that have failed.
fn ovens_left(course: &Course, without: &[String]) -> Course {
    let mut left = course.clone();
    for (kind, _) in keep::ovens(course, without) {
        let Some(oven) = left.kitchen.ovens.get_mut(kind) else { continue };
        keep::one_fewer(&mut oven.count.value, oven.loan.as_mut());
    }
    left
}
