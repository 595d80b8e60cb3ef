//! Ovens: racks, one temperature at a time, heating up; and the circuits that they and the mixers hang on.

use super::super::containers::how_many;
use super::super::jobs::Job;
use super::super::problem::{Apart, Choice, Lag, Link, Point, Reason, ResourceId, TaskId, Way};
use super::{Builder, JobWay, StandsIn, stocks};
use crate::course::{At, EquipId, Oven, Where};
use crate::reckon::power;
use crate::units::{Celsius, Kelvins, Minutes, Watts};
use std::collections::BTreeMap;

impl Builder<'_> {
    /// The ovens that a job may go into: which kind, which one of it; and in which attended span, where ovens share a
    /// circuit that can't carry everything.
    pub(super) fn oven_ways(&self, number: usize) -> Vec<JobWay> {
        let job = self.job(number);
        let mut ways = Vec::new();
        let spans: Vec<Option<usize>> = if self.circuits_matter() {
            (0..self.calendar.attended.len()).map(Some).collect()
        } else {
            vec![None]
        };
        for (kind, oven) in self.jobs.course.kitchen.ovens.iter().enumerate() {
            if self.racks(job, oven).is_none() {
                continue;
            }
            for unit in 0..how_many(oven.count.value, oven.loan.as_ref()) {
                for span in &spans {
                    ways.push(JobWay { oven: Some((kind, unit)), span: *span, ..JobWay::default() });
                }
            }
        }
        // Ovens of a kind are alike, so they can be numbered in the order in which the jobs first use them.
        let in_oven = |n: &usize| self.place(self.job(*n)) == Some(Where::Oven);
        let place = self.numbers().take_while(|n| *n != number).filter(in_oven).count();
        ways.retain(|w| self.ask.ovens_differ || w.oven.is_some_and(|(_, unit)| unit as usize <= place));
        ways
    }

    /// The racks that a job takes in a kind of oven; `None` when it does not fit in.
    fn racks(&self, job: &Job, oven: &Oven) -> Option<i32> {
        let fits = self.jobs.fits_of(job).iter().find(|(id, _)| *id == oven.id.value)?;
        i32::try_from(fits.1).ok()
    }

    /// What the dial of an oven shows for a job; `None`: it is not baked, or nothing says how hot.
    fn heat(&self, job: &Job, oven: &Oven) -> Option<Celsius> {
        let (_, step) = self.jobs.step_of(job)?;
        if self.place(job) != Some(Where::Oven) {
            return None;
        }
        // What is no load is not baked: it stands there warm, and a fan takes nothing off that.
        let alone = || step.heat.as_ref().map(|h| h.value);
        self.jobs.load_of(job).map(|l| l.heat_in(&oven.id.value)).or_else(alone)
    }

    /// Attended spans from when an oven can be hot, if it is switched on at once.
    pub(super) fn after_preheat(
        &self,
        number: usize,
        way: &JobWay,
        windows: &[(i32, i32)],
    ) -> Vec<(i32, i32)> {
        let kitchen = &self.jobs.course.kitchen;
        let oven = way.oven.and_then(|(kind, _)| kitchen.ovens.get(kind));
        let heat = oven.and_then(|oven| self.heat(self.job(number), oven));
        let (Some(oven), Some(heat)) = (oven, heat) else { return windows.to_vec() };
        let preheat = self.calendar.grid.up(change_over(oven, kitchen.room.value, heat));
        let spans = self.calendar.attended.iter().enumerate();
        let hot = spans.filter(|(n, _)| way.span.is_none_or(|s| s == *n)).map(|(_, s)| (s.0 + preheat, s.1));
        let mut hot: Vec<(i32, i32)> = hot
            .flat_map(|(from, to)| windows.iter().map(move |w| (w.0.max(from), w.1.min(to))))
            .filter(|(from, to)| from < to)
            .collect();
        if hot.is_empty() {
            // Never hot in time: no window at all would be any time.
            hot.push((0, 0));
        }
        hot
    }

    /// Racks and temperatures, then circuits.
    pub(super) fn add_ovens(&mut self) {
        let ovens = &self.jobs.course.kitchen.ovens;
        let loads: Vec<usize> =
            self.numbers().filter(|n| self.ways[*n].iter().any(|w| w.oven.is_some())).collect();
        for (kind, oven) in ovens.iter().enumerate() {
            let name = oven.name.as_ref().map_or_else(|| oven.id.value.to_string(), |n| n.value.clone());
            let reason = self.reason(&stocks::of_ovens(oven));
            let mut alike = Vec::new();
            for unit in 0..how_many(oven.count.value, oven.loan.as_ref()) {
                let racks = i32::try_from(oven.racks.value).unwrap_or(i32::MAX);
                let resource = self.problem.resource(&format!("{name} {}", unit + 1), racks, reason);
                for number in &loads {
                    let Some(amount) = self.racks(self.job(*number), oven) else { continue };
                    let when = self.when(*number, |w| w.oven == Some((kind, unit)));
                    self.hold(resource, amount, Self::whole(*number), &when);
                }
                self.keep_temperatures_apart(kind, unit, oven, &loads);
                alike.push(resource);
            }
            self.problem.alike.push(alike);
        }
        self.try_in_turn(&loads);
        if self.circuits_matter() {
            self.add_circuits(&loads);
        }
    }

    /// The loads of a step go into the ovens in turn, where nothing speaks against it: a load that is sent where another is has to wait.
    fn try_in_turn(&mut self, loads: &[usize]) {
        let mut turns: BTreeMap<(usize, usize), usize> = BTreeMap::new();
        for number in loads {
            let Some(step) = self.job(*number).step() else { continue };
            let mut ovens: Vec<(usize, u32)> = self.ways[*number].iter().filter_map(|w| w.oven).collect();
            ovens.sort_unstable();
            ovens.dedup();
            let turn = turns.entry(step).or_default();
            let oven = ovens.get(*turn % ovens.len().max(1)).copied();
            *turn += 1;
            let own =
                self.ways[*number].iter().enumerate().filter(|(_, w)| w.oven.is_some() && w.oven == oven);
            self.problem.hints.ways.extend(own.map(|(way, _)| Choice { task: TaskId(*number), way }));
        }
    }

    fn keep_temperatures_apart(&mut self, kind: usize, unit: u32, oven: &Oven, loads: &[usize]) {
        let reason = self.reason("an oven has one temperature at a time");
        for (place, a) in loads.iter().enumerate() {
            for b in &loads[place + 1..] {
                let heats = (self.heat(self.job(*a), oven), self.heat(self.job(*b), oven));
                let (Some(heat_a), Some(heat_b)) = heats else { continue };
                if heat_a == heat_b {
                    continue;
                }
                let grid = &self.calendar.grid;
                let gap_ab = Some(grid.up(change_over(oven, heat_a, heat_b)));
                let gap_ba = Some(grid.up(change_over(oven, heat_b, heat_a)));
                let same = |w: &JobWay| w.oven == Some((kind, unit));
                for only_if in self.both_when(*a, *b, same) {
                    let (a, b) = (Self::whole(*a), Self::whole(*b));
                    self.problem.aparts.push(Apart { a, b, gap_ab, gap_ba, only_if, reason });
                }
            }
        }
    }

    /// Whether some circuit could be asked for more than it carries.
    fn circuits_matter(&self) -> bool {
        let kitchen = &self.jobs.course.kitchen;
        kitchen.circuits.iter().any(|c| power::is_tight(kitchen, c))
    }

    fn add_circuits(&mut self, loads: &[usize]) {
        let kitchen = &self.jobs.course.kitchen;
        let mut resources: Vec<(EquipId, ResourceId)> = Vec::new();
        for circuit in &kitchen.circuits {
            let id = &circuit.id.value;
            // Nothing is left where what is never switched off takes more than all: that is an error of its own.
            let left = (power::carries(circuit) - power::always(kitchen, id)).max(0);
            let left = i32::try_from(left).unwrap_or(i32::MAX);
            let reason = self.reason(&stocks::of_circuit(kitchen, circuit));
            resources.push((id.clone(), self.problem.resource(&format!("circuit {id}"), left, reason)));
        }
        let on = |circuit: &Option<At<EquipId>>| {
            let id = circuit.as_ref()?;
            resources.iter().find(|(known, _)| *known == id.value).map(|(_, r)| *r)
        };
        for (kind, mixer) in kitchen.mixers.iter().enumerate() {
            let Some(resource) = on(&mixer.circuit) else { continue };
            for number in self.numbers() {
                if self.ways[number].iter().any(|w| w.mixer == Some(kind)) {
                    let last = self.bowl_run(number).last().copied().unwrap_or(number);
                    let span = (Point::start(TaskId(number)), Point::end(TaskId(last)));
                    let when = self.when(number, |w| w.mixer == Some(kind));
                    self.hold(resource, whole(mixer.watts.as_ref()), span, &when);
                }
            }
        }
        let hobs: Vec<Option<ResourceId>> = kitchen.hobs.iter().map(|h| on(&h.circuit)).collect();
        self.add_burners(&hobs);
        for (kind, oven) in kitchen.ovens.iter().enumerate() {
            let Some(resource) = on(&oven.circuit) else { continue };
            for unit in 0..how_many(oven.count.value, oven.loan.as_ref()) {
                for span in 0..self.calendar.attended.len() {
                    self.add_oven_on((kind, unit), span, resource, whole(oven.watts.as_ref()), loads);
                }
            }
        }
        for (_, resource) in resources {
            self.drop_if_plenty(resource);
        }
    }

    /// A burner draws on its own hob's circuit: with several hobs the plan chooses one for each job.
    fn add_burners(&mut self, circuits: &[Option<ResourceId>]) {
        let hobs = &self.jobs.course.kitchen.hobs;
        let jobs: Vec<usize> =
            self.numbers().filter(|n| self.place(self.job(*n)) == Some(Where::Hob)).collect();
        let several = hobs.len() > 1;
        let chosen: Vec<Option<TaskId>> =
            jobs.iter().map(|number| several.then(|| self.add_hob_choice(*number))).collect();
        for (kind, (hob, circuit)) in hobs.iter().zip(circuits).enumerate() {
            let on_it = |choice: &Option<TaskId>| {
                vec![choice.iter().map(|task| Choice { task: *task, way: kind }).collect::<Vec<_>>()]
            };
            if let Some(circuit) = circuit {
                for (number, choice) in jobs.iter().zip(&chosen) {
                    self.hold(*circuit, whole(hob.watts.as_ref()), Self::whole(*number), &on_it(choice));
                }
            }
            // The burners of an only hob are counted as burners.
            if several {
                let reason = self.reason(&format!("the burners of {}: {}", hob.id.value, hob.burners.value));
                let burners = i32::try_from(hob.burners.value).unwrap_or(i32::MAX);
                let resource = self.problem.resource(hob.id.value.as_str(), burners, reason);
                for (number, choice) in jobs.iter().zip(&chosen) {
                    self.hold(resource, 1, Self::whole(*number), &on_it(choice));
                }
                self.drop_if_plenty(resource);
            }
        }
    }

    /// On which hob a job is done: a task whose way says it.
    fn add_hob_choice(&mut self, number: usize) -> TaskId {
        let hobs = &self.jobs.course.kitchen.hobs;
        let ways = hobs.iter().map(|h| Way::fixed(h.id.value.as_str(), 0).within(&[(0, 0)], Reason::Always));
        let name = format!("on which hob {} is", self.job(number).id);
        let task = self.problem.task(&name, ways.collect());
        self.ways.push(Vec::new());
        self.beside.push((number, task));
        let cupboards = hobs.iter().map(|h| h.id.value.clone()).collect();
        self.stands_in.push(StandsIn { job: number, task, cupboards, things: 1 });
        task
    }

    /// An oven is on from its first heating up to its last load in an attended span.
    fn add_oven_on(
        &mut self,
        oven: (usize, u32),
        span: usize,
        circuit: ResourceId,
        watts: i32,
        loads: &[usize],
    ) {
        let kitchen = &self.jobs.course.kitchen;
        let Some(kind) = kitchen.ovens.get(oven.0) else { return };
        let window = self.calendar.attended[span];
        let here = |w: &JobWay| w.oven == Some(oven) && w.span == Some(span);
        if !loads.iter().any(|n| self.ways[*n].iter().any(here)) {
            return;
        }
        let off = Way::fixed("off", 0).within(&[window], Reason::Always);
        let on = Way::ranged("on", 1, window.1 - window.0).within(&[window], Reason::Always);
        let task = self.problem.task(&format!("{} {} is on", kind.id.value, oven.1 + 1), vec![off, on]);
        self.ways.push(Vec::new());
        let is_on = Choice { task, way: 1 };
        self.hold(circuit, watts, (Point::start(task), Point::end(task)), &[vec![is_on]]);
        for number in loads.iter().copied() {
            let heat = self.heat(self.job(number), kind).unwrap_or(kitchen.room.value);
            let preheat = self.calendar.grid.up(change_over(kind, kitchen.room.value, heat));
            for only_if in self.when(number, here) {
                let (start, end) = Self::whole(number);
                let reason = Reason::Always;
                let (from, to) = (Point::start(task), Point::end(task));
                let most = None;
                self.problem.lags.push(Lag {
                    from,
                    to: start,
                    least: preheat,
                    most,
                    only_if: only_if.clone(),
                    reason,
                });
                self.problem.lags.push(Lag {
                    from: end,
                    to,
                    least: 0,
                    most,
                    only_if: only_if.clone(),
                    reason,
                });
                self.problem.links.push(Link::Implies { all: only_if, then: is_on, reason });
            }
        }
    }
}

fn whole(watts: Option<&At<Watts>>) -> i32 {
    i32::try_from(power::drawn(watts)).unwrap_or(i32::MAX)
}

/// How long an oven needs from one temperature to another.
#[must_use]
pub fn change_over(oven: &Oven, from: Celsius, to: Celsius) -> Minutes {
    let (degrees, rate): (Kelvins, Kelvins) =
        if to >= from { (to.above(from), oven.heats.value) } else { (from.above(to), oven.cools.value) };
    match rate.thousandths() {
        rate if rate > 0 => Minutes((degrees.thousandths() + rate - 1) / rate),
        // An oven that says nothing about itself is not hot by a miracle: an hour.
        _ => Minutes(60),
    }
}
