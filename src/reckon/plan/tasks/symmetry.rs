//! Stations that can change places without anyone noticing.
//!
//! Two stations are interchangeable when they have as many students and the same jobs, and share every batch and
//! every load with the same others: then their own jobs can be swapped in any plan. So can ovens of a kind. And whose each task is, so
//! that the solver can look at stations that share a load apart from the others.

use super::super::jobs::{Group, Job};
use super::super::problem::{COUNTED_FROM, Choice, LARGE, Numbering, Symmetry, TaskId, Use, Whose};
use super::Builder;
use crate::course::StationNo;
use crate::reckon::work::Whom;
use std::collections::BTreeMap;

/// A kind of oven, by its place in the kitchen, and the attended span in which it is used, where ways say that.
type KindAndDay = (usize, Option<usize>);

impl Builder<'_> {
    /// Names the interchangeable stations and ovens.
    pub(super) fn add_symmetry(&mut self) {
        let mut classes: BTreeMap<Vec<String>, Vec<Vec<TaskId>>> = BTreeMap::new();
        for station in &self.jobs.class.stations {
            let own: Vec<usize> =
                self.numbers().filter(|n| self.job(*n).group == Group::Station(station.no)).collect();
            if own.is_empty() {
                continue;
            }
            let mut key = vec![format!("{} students, {:?}", station.students(), station.avoids)];
            key.extend(own.iter().map(|n| self.likeness(self.job(*n), station.no)));
            key.extend(self.shared(station.no));
            let beside = self.beside.iter().filter(|(job, _)| own.contains(job)).map(|(_, task)| *task);
            let beside: Vec<TaskId> = beside.collect();
            key.push(format!("{} tasks beside", beside.len()));
            classes.entry(key).or_default().push(own.into_iter().map(TaskId).chain(beside).collect());
        }
        for members in classes.into_values().filter(|m| m.len() > 1) {
            let step = members[0].len() / 2;
            self.problem.symmetries.push(Symmetry { members, step });
        }
        if !self.ask.ovens_differ {
            self.number_ovens();
        }
        self.say_whose();
    }

    /// Stations that share a load belong together; those that share a batch only could each have one of their own.
    fn say_whose(&mut self) {
        let mut whose = vec![Whose::All; self.problem.tasks.len()];
        let of_job = |number: usize| match &self.job(number).group {
            Group::Station(no) => Whose::Group(no.0 as usize),
            Group::Load(_) => Whose::Joining,
            Group::Batch(_) => Whose::Shared,
            _ => Whose::All,
        };
        let jobs = self.numbers().map(|number| (number, TaskId(number)));
        for (number, task) in jobs.chain(self.beside.iter().copied()) {
            whose[task.0] = of_job(number);
        }
        self.problem.whose = whose;
    }

    /// Names the interchangeable ovens. On which day a job is baked is known by its way only where circuits matter; there the ovens of each
    /// day are numbered anew, since no two jobs of different days meet in one.
    fn number_ovens(&mut self) {
        let mut uses: BTreeMap<KindAndDay, Vec<Vec<Use>>> = BTreeMap::new();
        for (number, ways) in self.ways.iter().enumerate() {
            let mut own: BTreeMap<KindAndDay, Vec<Use>> = BTreeMap::new();
            for (way, meaning) in ways.iter().enumerate() {
                if let Some((kind, unit)) = meaning.oven {
                    let choice = Choice { task: TaskId(number), way };
                    own.entry((kind, meaning.span)).or_default().push((unit as usize, choice));
                }
            }
            for (key, own) in own {
                uses.entry(key).or_default().push(own);
            }
        }
        let several = |uses: &Vec<Vec<Use>>| uses.iter().flatten().any(|(unit, _)| unit + 1 >= COUNTED_FROM);
        let numberings = uses.into_values().filter(several).map(|uses| Numbering { uses });
        self.problem.numberings.extend(numberings);
    }

    /// Two ovens of a kind are worth counting together only in a large class.
    pub(super) fn count_alike(&mut self) {
        let from = if self.problem.tasks.len() > LARGE { 2 } else { COUNTED_FROM };
        self.problem.alike.retain(|alike| alike.len() >= from);
    }

    /// What must be the same about two stations' jobs.
    fn likeness(&self, job: &Job, no: StationNo) -> String {
        format!("{:?} {} {:?}", job.what, job.pieces_of(&Whom::Station(no)), job.doer)
    }

    /// The batches, loads and class jobs that a station shares, with its part in each.
    fn shared(&self, no: StationNo) -> Vec<String> {
        let whom = Whom::Station(no);
        let shared = self.jobs.jobs.iter().filter(|j| !matches!(j.group, Group::Station(_)));
        shared
            .filter(|j| j.members.iter().any(|(w, _)| *w == whom))
            .map(|j| format!("{} {}", j.id, j.pieces_of(&whom)))
            .collect()
    }
}
