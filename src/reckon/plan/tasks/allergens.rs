//! What is free of an avoided thing goes into the same mixer or oven, or into a pan on the hob, before what holds it.
//!
//! That holds for all that goes there: of the class, of a station, a batch, a load. Mixers of a kind are counted together, so a free one may
//! start no later than one of the kind that holds the thing, or after it and a wash-up: that is right whichever of them it is. Pots, tools,
//! tins, trays and tubs that go from hand to hand are counted too, and who begins while another still has one takes another one; who comes
//! after leaves the time to wash.

use super::super::allergen_order::{Carried, Contents, WASH_UP, staffs_place};
use super::super::containers::Counted;
use super::super::jobs::{Doer, What};
use super::super::problem::{Apart, Choice, Point, Side, TaskId};
use super::{Builder, JobWay, Taken};
use crate::course::Where;
use std::collections::{BTreeMap, BTreeSet};

/// What a conflict calls all of it.
const KEPT_CLEAN: &str = "what is free of an avoided allergen goes first, or after a wash-up";

impl Builder<'_> {
    /// Orders all that goes through one mixer or oven, or is made with one set of pans, spoons and bench, whoever it is for.
    pub(super) fn add_allergens(&mut self) {
        let contents = Contents::of(self.jobs.course, self.jobs.class);
        let there = |is: &dyn Fn(&JobWay) -> bool| -> Vec<(usize, Carried)> {
            let all = self.numbers().filter(|number| self.ways[*number].iter().any(is));
            all.filter_map(|number| Some((number, self.carried(number, &contents)?))).collect()
        };
        let (mixed, baked) = (there(&|w| w.mixer.is_some()), there(&|w| w.oven.is_some()));
        let kitchen = &self.jobs.course.kitchen;
        for (free, held) in pairs(&mixed) {
            for (kind, mixer) in kitchen.mixers.iter().enumerate() {
                let wash = self.calendar.grid.up(mixer.between.value.max(WASH_UP));
                let when = self.both_when(free, held, |w| w.mixer == Some(kind));
                self.keep_clean(free, held, wash, Side::Start, when);
            }
        }
        for (free, held) in pairs(&baked) {
            for (kind, oven) in kitchen.ovens.iter().enumerate() {
                for unit in 0..super::super::containers::how_many(oven.count.value, oven.loan.as_ref()) {
                    let when = self.both_when(free, held, |w| w.oven == Some((kind, unit)));
                    self.keep_clean(free, held, 0, Side::Start, when);
                }
            }
        }
        for place in [Where::Hob, Where::Bench] {
            let wash = self.calendar.grid.up(WASH_UP);
            for (free, held) in pairs(&self.made_by_staff(place, &contents)) {
                // Several are at work there at once: what holds it begins when the free one is done.
                let when = |number| self.when(number, |way| self.shares(number, way) == Some(place));
                let (one, other) = (when(free), when(held));
                let both = one.iter().flat_map(|a| other.iter().map(|b| [a.as_slice(), b].concat()));
                self.keep_clean(free, held, wash, Side::End, both.collect());
            }
        }
        self.keep_turns_clean(&contents);
    }

    /// What goes from hand to hand, as there are fewer than are taken: pots, tools, tins, trays, tubs. Which one is whose nobody writes, so
    /// that any that was used before may be the one.
    fn keep_turns_clean(&mut self, contents: &Contents<'_>) {
        let mut by_kind: BTreeMap<Counted, Vec<Taken<'_>>> = BTreeMap::new();
        for taken in std::mem::take(&mut self.turns) {
            by_kind.entry(taken.what.clone()).or_default().push(taken);
        }
        let reason = self.reason(KEPT_CLEAN);
        for (what, uses) in by_kind {
            let (there, between) = what.stock(&self.jobs.course.kitchen);
            // What is cooled, washed and greased for as long before it serves again is clean whoever takes it.
            if between >= WASH_UP || uses.iter().map(|one| one.count).sum::<u32>() <= there {
                continue;
            }
            let wash = self.calendar.grid.up(WASH_UP);
            let held: Vec<Carried> = uses.iter().map(|one| self.in_use(one, contents)).collect();
            let mut known: BTreeSet<(usize, Point)> = BTreeSet::new();
            for (free, without) in uses.iter().zip(&held) {
                for (soiled, with) in uses.iter().zip(&held) {
                    if free.number == soiled.number || with.soils(without).is_empty() {
                        continue;
                    }
                    // The shares of one job in two loads are free at two moments, and taken at one.
                    if !known.insert((free.number, soiled.until)) {
                        continue;
                    }
                    let start = Point::start(TaskId(free.number));
                    self.problem.aparts.push(Apart {
                        a: (start, start.later(1)),
                        b: (soiled.until, soiled.until),
                        gap_ab: Some(0),
                        gap_ba: Some(wash),
                        only_if: Vec::new(),
                        reason,
                    });
                }
            }
        }
    }

    /// What a job has in a thing that goes from hand to hand.
    fn in_use(&self, taken: &Taken<'_>, contents: &Contents<'_>) -> Carried {
        let job = self.job(taken.number);
        let used = self.jobs.step_of(job);
        used.map_or_else(Carried::default, |(lesson, step)| {
            contents.of_use(lesson, step, taken.freed_by, &job.members)
        })
    }

    /// What a job carries, be it the class's, a station's, a batch, a load, a stage or the spare: all that it works on, and in a bowl all
    /// that comes into it until it is empty. `None` for what has no food in hand: a demonstration, a wait, the class's own steps.
    fn carried(&self, number: usize, contents: &Contents<'_>) -> Option<Carried> {
        let works_on = |number: usize| {
            let job = self.job(number);
            let (lesson, step) = self.jobs.step_of(job)?;
            if step.demo || matches!(job.what, What::ColdBefore(..)) {
                return None;
            }
            match self.jobs.load_of(job) {
                Some(load) => Some(contents.of_load(load)),
                None => Some(contents.of_work(lesson, step, &job.members)),
            }
        };
        match self.place(self.job(number)) {
            Some(Where::Mixer) => self.bowl_run(number).into_iter().filter_map(works_on).reduce(Carried::and),
            _ => works_on(number),
        }
    }

    /// The place whose pans, spoons and bench a job shares with others when it is done in this way.
    fn shares(&self, number: usize, way: &JobWay) -> Option<Where> {
        let job = self.job(number);
        let (_, step) = self.jobs.step_of(job)?;
        if job.doer.is_demo() || job.doer == Doer::Nobody || matches!(job.what, What::ColdBefore(..)) {
            return None;
        }
        staffs_place(&job.group, step, way.ahead || job.doer.of_staff().is_some())
    }

    /// What is made there with what others are made with too.
    fn made_by_staff(&self, place: Where, contents: &Contents<'_>) -> Vec<(usize, Carried)> {
        let there =
            |number: &usize| self.ways[*number].iter().any(|way| self.shares(*number, way) == Some(place));
        self.numbers()
            .filter(there)
            .filter_map(|number| Some((number, self.carried(number, contents)?)))
            .collect()
    }

    /// `held` comes no earlier than `free` starts, or is over, as `until` says; or `free` comes so many slots after its end: under any of
    /// these choices.
    fn keep_clean(&mut self, free: usize, held: usize, wash: i32, until: Side, when: Vec<Vec<Choice>>) {
        let last = self.bowl_run(held).last().copied().unwrap_or(held);
        let reason = self.reason(KEPT_CLEAN);
        for only_if in when {
            let start = Point::start(TaskId(free));
            let until = if until == Side::End { Point::end(TaskId(free)) } else { start };
            let b = (Point::start(TaskId(held)), Point::end(TaskId(last)));
            let (gap_ab, gap_ba) = (Some(0), Some(wash));
            self.problem.aparts.push(Apart { a: (start, until), b, gap_ab, gap_ba, only_if, reason });
        }
    }
}

/// Pairs in which the first is to be kept from something that the second holds.
fn pairs(all: &[(usize, Carried)]) -> Vec<(usize, usize)> {
    let mut found = Vec::new();
    for (free, without) in all {
        for (held, with) in all {
            if free != held && !with.soils(without).is_empty() {
                found.push((*free, *held));
            }
        }
    }
    found
}
