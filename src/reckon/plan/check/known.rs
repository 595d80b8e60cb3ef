//! Everything in a plan is the course's: its lessons, steps, stations, people and things. And for whom a task is done at once is as it is
//! written: by station, batch, load or once, no more stations in a batch than may share it, nothing of two variants in one dough.

use super::super::jobs::Group;
use super::super::timetable::PlannedTask;
use super::{Checker, there, time};
use crate::course::{Chain, Formula, Ingredient, Lesson, Line, PartId, Per, Shelves, Step, VariantId, Where};
use crate::reckon::work::{Batch, Whom};
use std::collections::BTreeSet;

impl<'a> Checker<'a> {
    pub(super) fn known(&mut self) {
        let mut ids: BTreeSet<&str> = BTreeSet::new();
        for task in &self.plan.tasks {
            if !ids.insert(&task.id) {
                self.no("unknown", &[task], "is planned twice".into());
            }
            let (from, to) = time(task);
            if to < from {
                self.no("takes", &[task], "is over before it begins".into());
            }
            let Some(name) = self.name(task) else {
                self.no("unknown", &[task], "is no step of this course".into());
                continue;
            };
            if name != task.id {
                self.no("unknown", &[task], format!("is called otherwise than {name}"));
            }
            let stranger = task.stations.iter().find(|no| self.class.stations.iter().all(|s| s.no != **no));
            if let Some(no) = stranger {
                self.no("unknown", &[task], format!("there is no station {no}"));
            }
            self.known_things(task);
            if let Some((lesson, step)) = self.step(task) {
                self.for_whom(task, lesson, step);
            }
        }
    }

    /// What a task of the course is called.
    fn name(&self, task: &PlannedTask) -> Option<String> {
        if let Some((own, session)) = self.own_step(task) {
            return Some(format!("class.{}@{}", own.id.value, self.course.sessions[session].id.value));
        }
        let (lesson, step) = self.step(task)?;
        let cold = if task.cold_wait { "-cold" } else { "" };
        Some(format!("{}.{}{cold}@{}", lesson.id.value, step.id.value, task.group))
    }

    /// What a task has in use is in the kitchen, and of use for its step.
    fn known_things(&mut self, task: &'a PlannedTask) {
        let kitchen = &self.course.kitchen;
        let taken = self.takes(task);
        let shelves = |all: &'a [Shelves], id: &str| all.iter().any(|s| s.id.value.as_str() == id);
        for used in &task.uses {
            let id = used.resource.as_str();
            let mixers =
                || kitchen.mixers.iter().map(|m| (&m.id.value, there(m.count.value, m.loan.as_ref())));
            let ovens = || kitchen.ovens.iter().map(|o| (&o.id.value, there(o.count.value, o.loan.as_ref())));
            let of_the_place = match self.at(task) {
                Some(Where::Mixer) => self.unit(id, mixers()).is_some() && used.amount == 1,
                Some(Where::Oven) => self.unit(id, ovens()).is_some(),
                Some(Where::Hob) => kitchen.hobs.iter().any(|hob| hob.id.value.as_str() == id),
                Some(Where::Cold) => shelves(&kitchen.cold, id),
                Some(Where::Freezer) => shelves(&kitchen.freezers, id),
                Some(Where::Warm) => shelves(&kitchen.warm, id),
                Some(Where::Rack) => shelves(&kitchen.racks, id),
                Some(Where::Bench | Where::Room | Where::Sink) | None => false,
            };
            if !of_the_place && !taken.iter().any(|taken| taken.what.as_str() == id) {
                self.no("unknown", &[task], format!("there is no {id} for it"));
            }
        }
    }

    /// For whom a task is done at once.
    fn for_whom(&mut self, task: &'a PlannedTask, lesson: &'a Lesson, step: &'a Step) {
        let theirs = |own: &Whom| task.members.iter().all(|(whom, _)| whom == own);
        let by_itself = match &task.group {
            Group::Station(no) => theirs(&Whom::Station(*no)),
            Group::Stage(demo, up_to) => theirs(&Whom::Stage { demo: demo.clone(), up_to: up_to.clone() }),
            Group::Spare => theirs(&Whom::Spare),
            Group::Class(_) | Group::Batch(_) | Group::Load(_) | Group::Session(_) => false,
        };
        let right = match step.per.value {
            _ if step.demo => task.group == Group::Class(None),
            Per::Class => matches!(task.group, Group::Class(_)),
            Per::Station => by_itself,
            Per::Batch => matches!(task.group, Group::Batch(_)),
            Per::Load => matches!(task.group, Group::Load(_)),
        };
        if !right {
            self.no("group", &[task], "is done for others at once than it is written for".into());
        }
        let known = |whom: &Whom| match whom {
            Whom::Station(no) => self.class.stations.iter().any(|s| s.no == *no),
            Whom::Stage { demo, up_to } => {
                lesson.step(demo).is_some_and(|demo| demo.stages.iter().any(|stage| stage.value == *up_to))
            }
            Whom::Spare => true,
        };
        if !task.members.iter().all(|(whom, _)| known(whom)) {
            self.no("unknown", &[task], "is for somebody who is not there".into());
        }
        let of_batch =
            |batch: &Batch| task.members.iter().all(|(whom, _)| batch.members.iter().any(|(w, _)| w == whom));
        if matches!(task.group, Group::Batch(_)) && !self.batch(task).is_some_and(of_batch) {
            self.no("unknown", &[task], "there is no such batch for those who are in it".into());
        }
        let stations = task.members.iter().filter(|(whom, _)| matches!(whom, Whom::Station(_))).count();
        let most = step.share.as_ref().map_or(usize::MAX, |most| most.value.max(1) as usize);
        if matches!(task.group, Group::Batch(_)) && stations > most {
            self.no("share", &[task], format!("{stations} stations share a batch, and at most {most} may"));
        }
        let one_dough = matches!(task.group, Group::Batch(_) | Group::Class(_)) && !step.demo;
        if let Some(formula) = self.course.formula(&lesson.formula.value).filter(|_| one_dough) {
            let made = |whom: &Whom| replaced(formula, step, self.variant(lesson, whom));
            let mut ways = task.members.iter().map(|(whom, _)| made(whom));
            let first = ways.next();
            if ways.any(|way| Some(&way) != first.as_ref()) {
                self.no("variant", &[task], "what is made in two ways is made at once".into());
            }
        }
    }

    /// By which variant of a lesson somebody's pieces are made.
    pub(super) fn variant(&self, lesson: &Lesson, whom: &Whom) -> Option<&'a VariantId> {
        match whom {
            Whom::Station(no) => {
                let station = self.class.stations.iter().find(|s| s.no == *no);
                station.and_then(|s| s.variants.get(&lesson.id.value))
            }
            Whom::Stage { .. } | Whom::Spare => self.class.everyone.get(&lesson.id.value),
        }
    }
}

/// The lines that a variant replaces in what a step works on, and in what is in it.
fn replaced<'f>(
    formula: &'f Formula,
    step: &Step,
    variant: Option<&VariantId>,
) -> Vec<(&'f PartId, &'f Line)> {
    let on_piece = step.on.iter().any(|chain| chain.value == Chain::Piece);
    let on = |part: &PartId| step.on.iter().any(|chain| chain.value == Chain::Part(part.clone()));
    let parts = formula.parts.iter().map(|part| &part.id.value);
    let mut inside: BTreeSet<&PartId> = parts.filter(|part| on_piece || on(part)).collect();
    for _ in 0..formula.parts.len() {
        let within = formula.parts.iter().filter(|part| inside.contains(&part.id.value));
        let lines = within.flat_map(|part| &part.of).filter_map(|line| match &line.what.value {
            Ingredient::Part(part) => Some(part),
            Ingredient::Item(_) => None,
        });
        let more: Vec<&PartId> = lines.collect();
        inside.extend(more);
    }
    let lines = variant.and_then(|variant| formula.variant(variant)).map(|v| v.lines.as_slice());
    let lines = lines.unwrap_or_default().iter().map(|(part, line)| (&part.value, line));
    lines.filter(|(part, _)| inside.contains(part)).collect()
}
