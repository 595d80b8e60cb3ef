//! What a task takes in hand of the things that are counted, and until when: read off the lesson's `uses`, of whatever the plan says.
//!
//! A tin, a tray, a tub or a tool is busy from the start of the step that names it to the end of the step that it is written to be freed
//! by, for each member's own pieces.

use super::super::jobs::Group;
use super::super::timetable::PlannedTask;
use super::{Checker, minute};
use crate::course::{EquipId, Formula, Lesson, Step, Tray, Use};
use crate::reckon::ovens::pieces_on;
use crate::reckon::work::Whom;

/// What sort of thing it is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Sort {
    Tin,
    Tray,
    Tub,
    Tool,
}

/// Something that a task takes.
#[derive(Clone, Copy, Debug)]
pub(super) struct Taken<'a> {
    /// Its kind, by the kitchen's id.
    pub what: &'a EquipId,
    pub sort: Sort,
    pub count: u32,
    /// The step that frees it, by its place; `None`: the task's own.
    pub until: Option<usize>,
}

impl<'a> Checker<'a> {
    /// Everything that a task takes.
    pub(super) fn takes(&self, task: &PlannedTask) -> Vec<Taken<'a>> {
        if task.cold_wait {
            return Vec::new();
        }
        let Some((lesson, step)) = self.step(task) else { return Vec::new() };
        let pieces: u32 = task.members.iter().map(|(_, n)| n).sum();
        step.uses.iter().filter_map(|used| self.taken(task, (lesson, step), used, pieces)).collect()
    }

    fn taken(
        &self,
        task: &PlannedTask,
        (lesson, step): (&'a Lesson, &'a Step),
        used: &'a Use,
        pieces: u32,
    ) -> Option<Taken<'a>> {
        let formula = self.course.formula(&lesson.formula.value)?;
        let (what, sort) = self.named(formula, used, self.in_tubs(task, (lesson, step)))?;
        let kitchen = &self.course.kitchen;
        let by_itself = match sort {
            Sort::Tin => pieces,
            Sort::Tray => {
                let tray = kitchen.trays.iter().find(|tray| tray.id.value == *what);
                tray.map_or(pieces, |tray| on_trays(formula, tray, pieces))
            }
            Sort::Tub => {
                let holds = kitchen.tubs.iter().find(|tub| tub.id.value == *what).map(|t| t.holds.value.mg());
                filled(self.in_tubs(task, (lesson, step)), holds.unwrap_or(0)).max(1)
            }
            Sort::Tool => 1,
        };
        Some(Taken {
            what,
            sort,
            count: used.count.unwrap_or(by_itself),
            until: used.until.as_ref().and_then(|id| self.written(lesson).place(&id.value)),
        })
    }

    /// Which thing of the kitchen a lesson names: `tin`, `tray` and `tub` are the piece's own. `None`: every station has one, or it is used up.
    fn named(&self, formula: &'a Formula, used: &'a Use, milligrams: i64) -> Option<(&'a EquipId, Sort)> {
        let kitchen = &self.course.kitchen;
        let word = &used.what.value;
        match word.as_str() {
            "tin" => return formula.piece.tin.as_ref().map(|tin| (&tin.value, Sort::Tin)),
            "tray" => return formula.piece.tray.as_ref().map(|tray| (&tray.value, Sort::Tray)),
            "tub" => {
                let by_size = || kitchen.tubs.iter().map(|tub| (tub.holds.value.mg(), &tub.id.value));
                let smallest =
                    by_size().filter(|(holds, _)| *holds >= milligrams).min_by_key(|(holds, _)| *holds);
                let tub = smallest.or_else(|| by_size().max_by_key(|(holds, _)| *holds));
                return tub.map(|(_, id)| (id, Sort::Tub));
            }
            _ => {}
        }
        if kitchen.stations.each_has.iter().any(|own| own.value == *word) {
            return None;
        }
        let tins = kitchen.tins.iter().map(|t| (&t.id.value, Sort::Tin));
        let trays = kitchen.trays.iter().map(|t| (&t.id.value, Sort::Tray));
        let tubs = kitchen.tubs.iter().map(|t| (&t.id.value, Sort::Tub));
        let tools = kitchen.tools.iter().filter(|t| !t.consumable).map(|t| (&t.id.value, Sort::Tool));
        tins.chain(trays).chain(tubs).chain(tools).find(|(id, _)| *id == word)
    }

    /// How much goes into tubs of what a task works on, in milligrams: its batch, or what is weighed for its members.
    pub(super) fn in_tubs(&self, task: &PlannedTask, (lesson, step): (&Lesson, &Step)) -> i64 {
        self.batch(task).map_or_else(|| self.weighed(lesson, step, task), |batch| batch.grams.mg())
    }

    /// When what a task took is free again, by count: the pieces of one station may leave in several loads.
    pub(super) fn frees(&self, task: &PlannedTask, taken: &Taken<'_>) -> Vec<(i64, i64)> {
        let count = i64::from(taken.count);
        let own = minute(&task.end);
        let Some((lesson, _)) = self.step(task) else { return vec![(count, own)] };
        let Some(until) = taken.until.and_then(|place| lesson.steps.get(place)) else {
            return vec![(count, own)];
        };
        let mut shares: Vec<(i64, i64)> = Vec::new();
        for last in self.tasks_of(lesson, until) {
            let common = in_common(task, last);
            if common > 0 {
                shares.push((i64::from(common), minute(&last.end)));
            }
        }
        let Some(last) = shares.iter().map(|share| share.1).max() else {
            // What is shown before it comes so far is free when it was shown.
            return vec![(count, self.shown(lesson, task).unwrap_or(own))];
        };
        let pieces: i64 = task.members.iter().map(|(_, n)| i64::from(*n)).sum();
        if taken.count_is(pieces) && shares.iter().map(|share| share.0).sum::<i64>() == pieces {
            return shares;
        }
        vec![(count, last)]
    }

    /// When the demonstration that takes up a task's stage is over.
    fn shown(&self, lesson: &Lesson, task: &PlannedTask) -> Option<i64> {
        let demos = task.members.iter().filter_map(|(whom, _)| match whom {
            Whom::Stage { demo, .. } => lesson.step(demo),
            Whom::Station(_) | Whom::Spare => None,
        });
        demos.flat_map(|demo| self.tasks_of(lesson, demo)).map(|shown| minute(&shown.end)).max()
    }

    /// A plan says of each task what it takes, no more and no less, and until when.
    pub(super) fn says_what_it_takes(&mut self) {
        for task in &self.plan.tasks {
            let takes = self.takes(task);
            let written =
                |id: &str| takes.iter().filter(|t| t.what.as_str() == id).map(|t| t.count).sum::<u32>();
            let said =
                |id: &str| task.uses.iter().filter(|u| u.resource == id).map(|u| u.amount).sum::<u32>();
            for taken in &takes {
                let id = taken.what.as_str();
                if said(id) != written(id) {
                    let text = format!("takes {} of {id}, and the plan says {}", written(id), said(id));
                    self.no("counted", &[task], text);
                }
                let free = self.frees(task, taken).iter().map(|(_, until)| *until).max();
                let later = free
                    .filter(|free| task.uses.iter().any(|u| u.resource == id && minute(&u.until) < *free));
                if later.is_some() && takes.iter().filter(|t| t.what == taken.what).count() == 1 {
                    self.no("counted", &[task], format!("{id} is busy for longer than the plan says"));
                }
            }
        }
    }

    /// The container that the dough of a step is in: the last that it was put into, by this step or by one that it comes from, and that is
    /// busy until this step or a later one. In the cold before a step it is not yet in what that step takes.
    pub(super) fn container(
        &self,
        lesson: &'a Lesson,
        place: usize,
        cold_wait: bool,
    ) -> Option<(usize, &'a Use)> {
        let written = self.written(lesson);
        let formula = self.course.formula(&lesson.formula.value)?;
        let since = written.made_from(place);
        let mut steps: Vec<usize> = since.into_iter().filter(|step| *step != place || !cold_wait).collect();
        steps.reverse();
        for step in steps {
            let holds = |used: &&Use| {
                let until = used.until.as_ref().and_then(|id| written.place(&id.value)).unwrap_or(step);
                let sized = self.named(formula, used, 0).is_some_and(|(_, sort)| sort != Sort::Tool);
                sized && written.lies_between(place, (step, until))
            };
            if let Some(used) = lesson.steps[step].uses.iter().rev().find(holds) {
                return Some((step, used));
            }
        }
        None
    }

    /// What one task took by one of its step's uses.
    pub(super) fn taken_by(&self, task: &PlannedTask, used: &'a Use) -> Option<Taken<'a>> {
        let (lesson, step) = self.step(task)?;
        self.taken(task, (lesson, step), used, task.members.iter().map(|(_, n)| n).sum())
    }
}

impl Taken<'_> {
    fn count_is(&self, pieces: i64) -> bool {
        i64::from(self.count) == pieces
    }
}

/// How many pieces two tasks are both on.
pub(super) fn in_common(one: &PlannedTask, other: &PlannedTask) -> u32 {
    let of = |task: &PlannedTask, whom: &Whom| -> u32 {
        task.members.iter().filter(|(own, _)| own == whom).map(|(_, n)| n).sum()
    };
    one.members.iter().map(|(whom, n)| of(other, whom).min(*n)).sum()
}

/// Trays for so many pieces of one group; one for each where nobody knows how many lie on one.
pub(super) fn on_trays(formula: &Formula, tray: &Tray, pieces: u32) -> u32 {
    let on_one = pieces_on(&formula.piece, tray).filter(|n| *n > 0).unwrap_or(1);
    pieces.div_ceil(on_one)
}

/// So many containers for so much.
pub(super) fn filled(milligrams: i64, holds: i64) -> u32 {
    if holds < 1 || milligrams < 1 {
        return 0;
    }
    u32::try_from(milligrams / holds + i64::from(milligrams % holds > 0)).unwrap_or(u32::MAX)
}

/// Whether two tasks are the steps of one batch, made of the same dough and numbered alike.
pub(super) fn same_group(one: &PlannedTask, other: &PlannedTask) -> bool {
    one.lesson == other.lesson && one.group == other.group && matches!(one.group, Group::Batch(_))
}
