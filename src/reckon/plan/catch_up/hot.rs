//! How hot the ovens are now. One that was turned on as printed is there when it was to be; any other heats up from now on, or changes over,
//! before anything that has not begun goes in.

use super::super::grid::Grid;
use super::super::jobs::{Job, Jobs};
use super::super::problem::{Choice, Link, Reason, TaskId};
use super::super::replay::Replay;
use super::super::tasks::{Model, change_over};
use super::super::timetable::Plan;
use super::past::{Past, Standing};
use crate::course::{Oven, Where};
use crate::reckon::heating::{Turned, turned};
use crate::units::Celsius;
use jiff::ZonedDateTime;

/// An oven whose dial is turned otherwise than printed.
#[derive(Clone, PartialEq, Debug)]
pub struct Heats {
    /// Which, as in the plan: `oven-2`.
    pub oven: String,
    /// When it is turned.
    pub from: ZonedDateTime,
    /// When it is there: its load goes in.
    pub there: ZonedDateTime,
    /// To what.
    pub heat: Celsius,
    /// It is hotter before, and gets there by cooling.
    pub cools: bool,
    /// The task for which it is turned.
    pub task: String,
    /// When it was to be turned for that task, and to be there, where that is printed and has not come yet: not then.
    pub printed: Option<(ZonedDateTime, ZonedDateTime)>,
}

/// What an oven is at now, or on its way to.
#[derive(Clone, Copy)]
struct Dial {
    /// What it was at before its dial was turned.
    was: Celsius,
    /// What its dial is at.
    is: Celsius,
    /// The slot in which it is there.
    there: i32,
}

/// The ovens as they are now.
pub(super) struct Ovens<'a> {
    jobs: &'a Jobs<'a>,
    replay: &'a Replay,
    past: &'a Past,
    /// What the printed plan turns, by the clock.
    printed: Vec<Turned>,
}

impl<'a> Ovens<'a> {
    pub fn of(jobs: &'a Jobs<'a>, printed: &Plan, replay: &'a Replay, past: &'a Past) -> Ovens<'a> {
        Ovens { jobs, replay, past, printed: turned(jobs.course, printed) }
    }

    fn grid(&self) -> &Grid {
        &self.replay.model.calendar.grid
    }

    /// Nothing that has not begun goes into an oven before it can be hot for it.
    pub fn wait_until_hot(&self, model: &mut Model) {
        let kitchen = &self.jobs.course.kitchen;
        let open = |n: &usize| self.past.standing[*n] == Standing::Open;
        for number in (0..self.jobs.jobs.len()).filter(open) {
            for place in 0..model.ways[number].len() {
                let Some((kind, unit)) = model.ways[number][place].oven else { continue };
                let Some(oven) = kitchen.ovens.get(kind) else { continue };
                let Some(heat) = heat(self.jobs, &self.jobs.jobs[number], oven) else { continue };
                let ready = self.ready(oven, (kind, unit), heat);
                if ready <= self.past.slot {
                    continue;
                }
                let horizon = model.problem.horizon;
                let way = &mut model.problem.tasks[number].ways[place];
                if way.windows.is_empty() {
                    way.windows = vec![(0, horizon)];
                }
                way.windows.iter_mut().for_each(|window| window.0 = window.0.max(ready));
                way.windows.retain(|(from, to)| from < to);
                if way.windows.is_empty() {
                    // No window at all would be any time.
                    let all = vec![Choice { task: TaskId(number), way: place }];
                    model.problem.links.push(Link::Forbids { all, reason: Reason::Always });
                }
            }
        }
    }

    /// The first slot in which an oven can be at this heat.
    fn ready(&self, oven: &Oven, unit: (usize, u32), heat: Celsius) -> i32 {
        let slot = self.past.slot;
        let needs = |from: Celsius| self.grid().up(change_over(oven, from, heat));
        match self.dial(oven, unit) {
            None => slot + needs(self.jobs.course.kitchen.room.value),
            Some(dial) if dial.is == heat => slot.max(dial.there),
            // How far it has come nobody knows: it may be anywhere between the two.
            Some(dial) if dial.there > slot => slot + needs(dial.was).max(needs(dial.is)),
            Some(dial) => slot + needs(dial.is),
        }
    }

    /// What an oven is at; `None`: it is off.
    fn dial(&self, oven: &Oven, unit: (usize, u32)) -> Option<Dial> {
        let slot = self.past.slot;
        let in_it = |n: &usize| {
            let way = self.replay.model.ways[*n].get(self.replay.at[*n].2);
            self.past.standing[*n] == Standing::Runs && way.is_some_and(|w| w.oven == Some(unit))
        };
        if let Some(heat) =
            (0..self.jobs.jobs.len()).find(in_it).and_then(|n| heat(self.jobs, &self.jobs.jobs[n], oven))
        {
            return Some(Dial { was: heat, is: heat, there: slot });
        }
        let name = format!("{}-{}", oven.id.value, unit.1 + 1);
        let mut dial: Option<Dial> = None;
        for one in self.printed.iter().filter(|one| one.oven == name) {
            let at = self.grid().slot_from(&one.at);
            if at > slot || !self.same_day(at, slot) {
                continue;
            }
            match &one.to {
                Some((heat, there)) => {
                    let was = dial.map_or(self.jobs.course.kitchen.room.value, |dial| dial.is);
                    dial = Some(Dial { was, is: *heat, there: self.grid().slot_from(there) });
                }
                // It is turned off as its last load comes out: while that is not out, it is on.
                None if self.is_over(&one.task) => dial = None,
                None => {}
            }
        }
        dial
    }

    /// An oven is off over night, and between two loads of a day it is not.
    fn same_day(&self, one: i32, other: i32) -> bool {
        let hours = &self.replay.model.calendar.attended;
        let in_hours = |hours: &(i32, i32)| hours.0 <= one.min(other) && one.max(other) <= hours.1;
        hours.iter().any(in_hours) || self.grid().at(one).date() == self.grid().at(other).date()
    }

    fn is_over(&self, id: &str) -> bool {
        let number = self.jobs.jobs.iter().position(|job| job.id == id);
        number.is_none_or(|number| self.past.standing[number] == Standing::Over)
    }

    /// What is turned from now on, otherwise than printed, by the clock.
    pub fn turned_in(&self, new: &Plan) -> Vec<Heats> {
        let course = self.jobs.course;
        let (grid, slot) = (self.grid(), self.past.slot);
        let mut found = Vec::new();
        for (kind, oven) in course.kitchen.ovens.iter().enumerate() {
            let of_kind = new.tasks.iter().flat_map(|t| &t.uses).filter_map(|used| {
                let number = used.resource.strip_prefix(oven.id.value.as_str())?.strip_prefix('-')?;
                number.parse::<u32>().ok()?.checked_sub(1)
            });
            let units: std::collections::BTreeSet<u32> = of_kind.collect();
            for unit in units {
                let name = format!("{}-{}", oven.id.value, unit + 1);
                let mut is_at = self.dial(oven, (kind, unit)).map(|dial| dial.is);
                let mut last = slot;
                let mut loads: Vec<(i32, Celsius, &str)> = Vec::new();
                for task in new.tasks.iter().filter(|t| t.uses.iter().any(|u| u.resource == name)) {
                    let job = self.jobs.jobs.iter().find(|job| job.id == task.id);
                    let start = grid.slot_from(&task.start);
                    if let Some(heat) =
                        job.and_then(|job| heat(self.jobs, job, oven)).filter(|_| start >= slot)
                    {
                        loads.push((start, heat, &task.id));
                    }
                }
                loads.sort_by_key(|load| load.0);
                for (start, heat, task) in loads {
                    is_at = is_at.filter(|_| self.same_day(last, start));
                    last = start;
                    if is_at == Some(heat) {
                        continue;
                    }
                    let was = is_at.unwrap_or(course.kitchen.room.value);
                    let from = (start - grid.up(change_over(oven, was, heat))).max(slot);
                    let cools = is_at.is_some_and(|was| was > heat);
                    is_at = Some(heat);
                    let (from, there, task) = (grid.at(from), grid.at(start), task.to_owned());
                    let oven = name.clone();
                    found.push(Heats { oven, from, there, heat, cools, task, printed: None });
                }
            }
        }
        let as_printed = |one: &Heats| {
            self.printed.iter().any(|was| {
                let to =
                    was.to.as_ref().is_some_and(|(heat, there)| *heat == one.heat && *there == one.there);
                to && was.oven == one.oven && was.at == one.from
            })
        };
        found.retain(|one| !as_printed(one));
        for one in &mut found {
            one.printed = self.printed.iter().find_map(|was| {
                let (heat, there) = was.to.as_ref()?;
                let same = (&was.oven, &was.task, *heat) == (&one.oven, &one.task, one.heat);
                let to_come = grid.slot_from(&was.at) >= slot && was.at.date() == one.from.date();
                (same && to_come).then(|| (was.at.clone(), there.clone()))
            });
        }
        found.sort_by(|a, b| (a.from.timestamp(), &a.oven).cmp(&(b.from.timestamp(), &b.oven)));
        found
    }
}

/// What the dial of an oven shows for a job; `None`: it is not baked, or nothing says how hot.
fn heat(jobs: &Jobs<'_>, job: &Job, oven: &Oven) -> Option<Celsius> {
    let (_, step) = jobs.step_of(job).filter(|(_, step)| step.place.value == Where::Oven)?;
    let alone = || step.heat.as_ref().map(|heat| heat.value);
    jobs.load_of(job).map(|load| load.heat_in(&oven.id.value)).or_else(alone)
}
