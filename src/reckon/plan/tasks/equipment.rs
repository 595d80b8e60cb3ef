//! Mixers, burners, sinks, tins, trays, tubs, tools and shelves.

use super::super::containers::{self, Counted, Standing, how_many};
use super::super::jobs::{Job, What};
use super::super::problem::{Choice, Point, Reason, ResourceId, TaskId, Way};
use super::{Builder, StandsIn, Taken, stocks};
use crate::course::{Shelves, StepId, Where};

impl Builder<'_> {
    /// Everything that is counted but ovens.
    pub(super) fn add_equipment(&mut self) {
        self.add_mixers();
        self.add_places(Where::Hob, "burner");
        self.add_places(Where::Sink, "sink");
        self.add_counted();
        let kitchen = &self.jobs.course.kitchen;
        self.add_shelves(&kitchen.cold, Where::Cold);
        self.add_shelves(&kitchen.freezers, Where::Freezer);
        self.add_shelves(&kitchen.warm, Where::Warm);
        self.add_shelves(&kitchen.racks, Where::Rack);
    }

    fn add_mixers(&mut self) {
        let mixers = &self.jobs.course.kitchen.mixers;
        for (kind, mixer) in mixers.iter().enumerate() {
            let count = how_many(mixer.count.value, mixer.loan.as_ref());
            let name = mixer.name.as_ref().map_or_else(|| mixer.id.value.to_string(), |n| n.value.clone());
            let reason = self.reason(&stocks::of_mixers(mixer));
            let resource = self.problem.resource(&name, i32::try_from(count).unwrap_or(i32::MAX), reason);
            let between = self.calendar.grid.up(mixer.between.value);
            for number in self.numbers() {
                if !self.ways[number].iter().any(|w| w.mixer == Some(kind)) {
                    continue;
                }
                let run = self.bowl_run(number);
                let last = run.last().copied().unwrap_or(number);
                let span = (Point::start(TaskId(number)), Point::end(TaskId(last)).later(between));
                let when = self.when(number, |w| w.mixer == Some(kind));
                self.hold(resource, 1, span, &when);
            }
        }
    }

    /// Burners or sinks: one for each job there.
    fn add_places(&mut self, place: Where, word: &str) {
        let kitchen = &self.jobs.course.kitchen;
        let count = match place {
            Where::Hob => kitchen.hobs.iter().map(|h| h.burners.value).sum(),
            _ => kitchen.sinks.value,
        };
        let text =
            if count == 1 { format!("there is one {word}") } else { format!("there are {count} {word}s") };
        let reason = self.reason(&text);
        let resource = self.problem.resource(word, i32::try_from(count).unwrap_or(i32::MAX), reason);
        for number in self.numbers() {
            if self.place(self.job(number)) == Some(place) {
                self.hold(resource, 1, Self::whole(number), &[Vec::new()]);
            }
        }
        self.drop_if_plenty(resource);
    }

    fn add_counted(&mut self) {
        for number in self.numbers() {
            let job = self.job(number);
            if !matches!(job.what, What::Step(..)) {
                continue;
            }
            for need in containers::needs(self.jobs, job) {
                let resource = self.counted_resource(&need.what);
                let (_, between) = need.what.stock(&self.jobs.course.kitchen);
                let between = self.calendar.grid.up(between);
                let freed_by =
                    need.until.as_ref().zip(self.jobs.step_of(job)).and_then(|(id, (l, _))| l.step(id));
                for (count, until) in self.ends_of(number, need.until.as_ref(), need.count) {
                    let span = (Point::start(TaskId(number)), until.later(between));
                    self.hold(resource, i32::try_from(count).unwrap_or(i32::MAX), span, &[Vec::new()]);
                    self.turns.push(Taken { what: need.what.clone(), number, freed_by, count, until });
                }
            }
        }
        for resource in self.counted.values().copied().collect::<Vec<_>>() {
            self.drop_if_plenty(resource);
        }
    }

    fn counted_resource(&mut self, what: &Counted) -> ResourceId {
        if let Some(known) = self.counted.get(what) {
            return *known;
        }
        let kitchen = &self.jobs.course.kitchen;
        let (count, _) = what.stock(kitchen);
        let name = what.name(kitchen);
        let reason = self.reason(&stocks::of_things(count, &name));
        let resource = self.problem.resource(&name, i32::try_from(count).unwrap_or(i32::MAX), reason);
        self.counted.insert(what.clone(), resource);
        resource
    }

    /// Until when a job's things are busy: how many of them until which moment.
    ///
    /// Where the last step is done for other groups (a station's tins go through two loads), each takes its share.
    fn ends_of(&mut self, number: usize, until: Option<&StepId>, count: u32) -> Vec<(u32, Point)> {
        let own = Point::end(TaskId(number));
        let job = self.job(number);
        let Some((until, (lesson, _))) = until.zip(job.step()) else { return vec![(count, own)] };
        let is_last = |other: &Job| {
            matches!(other.what, What::Step(l, _) if l == lesson)
                && self.jobs.step_of(other).is_some_and(|(_, s)| s.id.value == *until)
                && other.shares_with(job)
        };
        let last: Vec<usize> = self.numbers().filter(|n| is_last(self.job(*n))).collect();
        let pieces = job.pieces();
        match last.as_slice() {
            [] => vec![(count, self.stage_end(number).unwrap_or(own))],
            [one] => vec![(count, Point::end(TaskId(*one)))],
            several => {
                let shares: Vec<u32> = several.iter().map(|l| shared_pieces(job, self.job(*l))).collect();
                if count == pieces && shares.iter().sum::<u32>() == pieces {
                    let ends = several.iter().map(|l| Point::end(TaskId(*l)));
                    return shares.into_iter().zip(ends).collect();
                }
                // Not one for each piece: all of them are busy until the last is done.
                vec![(count, self.latest_end(number, several))]
            }
        }
    }

    /// A stage that is not baked keeps its tin or tray until its demo is over.
    fn stage_end(&self, number: usize) -> Option<Point> {
        self.jobs.shown_by(number).map(|demo| Point::end(TaskId(demo)))
    }

    /// A moment that is not before the end of any of these: the end of a task made for it.
    fn latest_end(&mut self, number: usize, of: &[usize]) -> Point {
        let horizon = self.calendar.horizon;
        let name = format!("{} in its container", self.job(number).id);
        let task = self.problem.task(&name, vec![Way::ranged("", 0, horizon)]);
        self.ways.push(Vec::new());
        self.beside.push((number, task));
        self.problem.lag(Point::start(TaskId(number)), Point::start(task), 0, Some(0), Reason::Always);
        for last in of {
            self.problem.after(Point::end(TaskId(*last)), Point::end(task), 0);
        }
        Point::end(task)
    }

    /// Shelf room in places of one sort. A shelf is shared out in parts, so that things of several sizes can stand
    /// on one; with several cupboards of different sizes the plan chooses one for each job.
    fn add_shelves(&mut self, kinds: &[Shelves], place: Where) {
        let mut standing: Vec<(usize, Vec<Standing>)> = Vec::new();
        for number in self.numbers() {
            if self.place(self.job(number)) == Some(place) {
                let things = containers::standing(self.jobs, self.job(number));
                if !things.is_empty() {
                    standing.push((number, things));
                }
            }
        }
        let mut choices: Vec<Option<TaskId>> = vec![None; standing.len()];
        if kinds.len() > 1 {
            for (choice, (number, things)) in choices.iter_mut().zip(&standing) {
                let ways = kinds
                    .iter()
                    .map(|k| Way::fixed(k.id.value.as_str(), 0).within(&[(0, 0)], Reason::Always));
                let name = format!("where {} stands", self.job(*number).id);
                let task = self.problem.task(&name, ways.collect());
                self.ways.push(Vec::new());
                self.beside.push((*number, task));
                self.stands_in.push(StandsIn {
                    job: *number,
                    task,
                    cupboards: kinds.iter().map(|k| k.id.value.clone()).collect(),
                    things: things.iter().map(|t| t.count).sum(),
                });
                *choice = Some(task);
            }
        }
        for (kind, shelves) in kinds.iter().enumerate() {
            let fits: Vec<u32> = standing
                .iter()
                .flat_map(|(_, t)| t.iter().map(|t| containers::per_shelf(shelves, t)))
                .collect();
            let parts = parts_of_a_shelf(&fits);
            let count = shelves.count.value.saturating_mul(shelves.shelves.value);
            let reason = self.reason(&stocks::of_shelves(count, &shelves.id.value));
            let capacity = i32::try_from(count).unwrap_or(i32::MAX).saturating_mul(parts);
            let resource = self.problem.resource(shelves.id.value.as_str(), capacity, reason);
            for (choice, (number, things)) in choices.iter().zip(&standing) {
                let amount: i32 = things.iter().map(|t| share(shelves, t, parts, capacity)).sum();
                let cold_only =
                    self.when(*number, |w| !matches!(self.job(*number).what, What::ColdBefore(..)) || w.cold);
                let when: Vec<Vec<Choice>> = match choice {
                    None => cold_only,
                    Some(task) => cold_only
                        .into_iter()
                        .map(|mut all| {
                            all.push(Choice { task: *task, way: kind });
                            all
                        })
                        .collect(),
                };
                self.hold(resource, amount, Self::whole(*number), &when);
            }
            self.drop_if_plenty(resource);
        }
    }
}

/// How many pieces two jobs have in common.
fn shared_pieces(one: &Job, other: &Job) -> u32 {
    one.members.iter().map(|(whom, n)| other.pieces_of(whom).min(*n)).sum()
}

/// Into how many parts a shelf is shared, so that each thing takes a whole number of them.
fn parts_of_a_shelf(fits: &[u32]) -> i32 {
    const MOST: u64 = 5040;
    let mut parts: u64 = 1;
    for n in fits.iter().copied().filter(|n| *n > 0).map(u64::from) {
        let shared = (1..=n).rev().find(|d| parts.is_multiple_of(*d) && n.is_multiple_of(*d)).unwrap_or(1);
        let next = parts / shared * n;
        if next <= MOST {
            parts = next;
        }
    }
    i32::try_from(parts).unwrap_or(1)
}

/// The parts that things of one kind take; more than there is when they fit on no shelf.
fn share(shelves: &Shelves, thing: &Standing, parts: i32, capacity: i32) -> i32 {
    let count = i32::try_from(thing.count).unwrap_or(i32::MAX);
    match i32::try_from(containers::per_shelf(shelves, thing)) {
        Ok(fits) if fits > 0 => {
            let all = i64::from(count) * i64::from(parts);
            i32::try_from((all + i64::from(fits) - 1) / i64::from(fits)).unwrap_or(i32::MAX)
        }
        _ => capacity.saturating_add(1),
    }
}
