//! A plan in which one job begins a little earlier or later, all else where it is: what stands against it.
//!
//! What holds a task is not guessed from what happens to end when it starts: the task is moved by one slot, and what the moved plan breaks is
//! what holds it. What stands beside it stands longer or shorter, as far as it may, and an oven is on as long as its loads need it.

use super::jobs::Jobs;
use super::problem::{Choice, Hold, Lag, Link, Point, Reason, ResourceId, Side, TaskId};
use super::replay::Replay;
use super::tasks::away_name;
use super::timetable::Plan;
use std::collections::{BTreeMap, BTreeSet};

/// What a moved plan breaks.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) enum Against {
    /// The session opens with it, or it has another time of its own by the clock.
    Clock,
    /// It may be done within certain hours only.
    Hours(Reason),
    /// It comes after or before another job.
    Order(usize),
    /// Another job stands as short, or as long, as it may.
    Stands(usize),
    /// Something has to lie between it and another job.
    Apart(usize, Reason),
    /// There is not enough of something in this slot, in which these jobs have it too.
    Full { what: ResourceId, slot: i32, there: Vec<usize> },
    /// One of the staff is not there, or has a break, from one slot to another, and nobody else is free.
    Away { why: Reason, from: i32, to: i32 },
    /// The session's end as it is planned: it would go on longer.
    Finish,
    /// Something that is no job.
    Other,
}

/// A plan of which one job can be moved.
pub(super) struct Moved<'a> {
    jobs: &'a Jobs<'a>,
    replay: &'a Replay,
    /// Which cupboard is used: beyond the jobs, the ways that the plan tells.
    chosen: BTreeMap<TaskId, usize>,
    /// The loads for which an oven is on that hangs on a tight circuit.
    on_for: BTreeMap<TaskId, Vec<usize>>,
    /// Slots by which the staff's hours run over beyond the sessions.
    over: i32,
}

/// Where everything is after a move.
struct Places {
    at: Vec<(i32, i32)>,
    touched: BTreeSet<usize>,
}

impl<'a> Moved<'a> {
    pub(super) fn of(jobs: &'a Jobs<'a>, replay: &'a Replay, plan: &Plan) -> Moved<'a> {
        let mut chosen = BTreeMap::new();
        for stands in &replay.model.stands_in {
            let task = jobs.jobs.get(stands.job).and_then(|job| plan.task(&job.id));
            let uses = |id: &str| task.is_some_and(|t| t.uses.iter().any(|u| u.resource == id));
            if let Some(way) = stands.cupboards.iter().position(|c| uses(c.as_str())) {
                chosen.insert(stands.task, way);
            }
        }
        let mut on_for: BTreeMap<TaskId, Vec<usize>> = BTreeMap::new();
        for link in &replay.model.problem.links {
            let Link::Implies { all, then, .. } = link else { continue };
            let own = |choice: &Choice| replay.at.get(choice.task.0).is_some_and(|it| it.2 == choice.way);
            if then.task.0 >= jobs.jobs.len() && !all.is_empty() && all.iter().all(own) {
                chosen.entry(then.task).or_insert(then.way);
                on_for.entry(then.task).or_default().extend(all.iter().map(|choice| choice.task.0));
            }
        }
        let over = replay.model.calendar.grid.up(plan.staff_over());
        Moved { jobs, replay, chosen, on_for, over }
    }

    /// By how many slots it can begin earlier, and later, with nothing broken on the way.
    pub(super) fn room(&self, number: usize) -> (i32, i32) {
        let most = self.replay.model.problem.horizon;
        let free = |sign: i32| (1..=most).take_while(|by| self.against(number, sign * by).is_empty()).count();
        let slots = |free: usize| i32::try_from(free).unwrap_or(i32::MAX);
        (slots(free(-1)), slots(free(1)))
    }

    /// What stands against moving a job by so many slots, orders before things; empty where it can be moved.
    pub(super) fn against(&self, number: usize, by: i32) -> Vec<Against> {
        let places = self.places(number, by);
        let mut found = self.against_hours(number, &places);
        found.extend(self.against_order(number, &places));
        found.extend(self.against_apart(number, &places));
        found.extend(self.against_things(&places));
        found
    }

    fn jobs_count(&self) -> usize {
        self.jobs.jobs.len()
    }

    fn in_force(&self, only_if: &[Choice]) -> bool {
        let way = |task: TaskId| match self.replay.at.get(task.0) {
            Some((_, _, way)) => Some(*way),
            None => self.chosen.get(&task).copied(),
        };
        only_if.iter().all(|c| way(c.task) == Some(c.way))
    }

    /// Everything as planned but this job, and what has to go along with it.
    fn places(&self, number: usize, by: i32) -> Places {
        let mut at: Vec<(i32, i32)> = self.replay.at.iter().map(|(from, to, _)| (*from, *to)).collect();
        let mut touched = BTreeSet::from([number]);
        at[number].0 += by;
        if !self.replay.stretches(TaskId(number)) {
            at[number].1 += by;
        }
        for lag in &self.replay.model.problem.lags {
            let (from, to) = (lag.from.task.0, lag.to.task.0);
            let both = from < self.jobs_count() && to < self.jobs_count() && from != to;
            if !both || (from != number && to != number) || !self.in_force(&lag.only_if) {
                continue;
            }
            let places = Places { at: at.clone(), touched: BTreeSet::new() };
            let Some(off) = self.off(lag, &places).filter(|off| *off != 0) else { continue };
            // What stands before or after it can be made to stand longer or shorter.
            if from == number && lag.to.side == Side::Start && self.replay.stretches(lag.to.task) {
                at[to].0 += off;
                touched.insert(to);
            } else if to == number && lag.from.side == Side::End && self.replay.stretches(lag.from.task) {
                at[from].1 -= off;
                touched.insert(from);
            }
        }
        Places { at, touched }
    }

    /// By how much the later moment of a lag would have to be later (or earlier); `None` where one of its moments is not known.
    fn off(&self, lag: &Lag, places: &Places) -> Option<i32> {
        let apart = self.slot(lag.to, places)? - self.slot(lag.from, places)?;
        Some(match lag.most {
            _ if apart < lag.least => lag.least - apart,
            Some(most) if apart > most => most - apart,
            _ => 0,
        })
    }

    fn slot(&self, point: Point, places: &Places) -> Option<i32> {
        if let Some((from, to)) = places.at.get(point.task.0) {
            return Some(point.plus + if point.side == Side::Start { *from } else { *to });
        }
        if point.task.0 == self.jobs_count() {
            return Some(point.plus);
        }
        if let Some(session) = self.replay.model.gone.iter().position(|gone| *gone == point.task)
            && point.side == Side::End
        {
            return Some(self.replay.model.calendar.sessions.get(session)?.1 + point.plus);
        }
        let known = self.replay.slot(point).or_else(|| self.slot_of_away(point));
        known.or_else(|| self.slot_of_oven(point, places))
    }

    /// When one of the staff is away. Who is there at the end of a session stays for as long as it runs over in the plan.
    fn slot_of_away(&self, point: Point) -> Option<i32> {
        let problem = &self.replay.model.problem;
        let task = problem.tasks.get(point.task.0).filter(|task| task.name.ends_with(&away_name("")))?;
        let (from, to) = *task.ways.first()?.windows.first()?;
        if point.side == Side::End {
            return Some(to + point.plus);
        }
        let late = problem
            .lags
            .iter()
            .find(|lag| lag.from == Point::start(point.task) && lag.to.side == Side::End)
            .map(|lag| lag.to.task)
            .filter(|late| *late != point.task);
        let stays = late.map_or(0, |late| self.over + self.runs_over(late));
        Some((from + stays).min(to) + point.plus)
    }

    /// By how much the session runs over whose lateness this task is.
    fn runs_over(&self, late: TaskId) -> i32 {
        let lags = &self.replay.model.problem.lags;
        let gone = lags.iter().find_map(|lag| {
            let place = self.replay.model.gone.iter().position(|gone| *gone == lag.from.task)?;
            (lag.to == Point::end(late)).then(|| self.replay.gone.get(place).copied())?
        });
        let end = lags.iter().find(|lag| lag.to == Point::start(late) && lag.most == Some(lag.least));
        gone.zip(end).map_or(0, |(gone, end)| (gone - end.least).max(0))
    }

    /// When an oven is on: from the first heating up for a load of the plan to the last load.
    fn slot_of_oven(&self, point: Point, places: &Places) -> Option<i32> {
        let job = |task: TaskId| places.at.get(task.0);
        let lags = self.replay.model.problem.lags.iter().filter(|l| !l.only_if.is_empty());
        let own = lags.filter(|l| self.in_force(&l.only_if));
        let slot = match point.side {
            Side::Start => own
                .filter(|l| l.from == Point::start(point.task))
                .filter_map(|l| Some(job(l.to.task)?.0 - l.least))
                .min(),
            Side::End => own
                .filter(|l| l.to == Point::end(point.task))
                .filter_map(|l| Some(job(l.from.task)?.1 + l.least))
                .max(),
        };
        Some(slot? + point.plus)
    }

    fn against_hours(&self, number: usize, places: &Places) -> Vec<Against> {
        let mut found = Vec::new();
        for task in &places.touched {
            let way = &self.replay.model.problem.tasks[*task].ways[self.replay.at[*task].2];
            let (from, to) = places.at[*task];
            let inside = |w: &(i32, i32)| w.0 <= from && to <= w.1;
            let outside = !way.windows.is_empty() && !way.windows.iter().any(inside);
            let long = to - from;
            match *task == number {
                true if outside => found.push(Against::Hours(way.reason)),
                false if outside || long < way.least || long > way.most => found.push(Against::Stands(*task)),
                true if long < way.least || long > way.most => found.push(Against::Other),
                _ => {}
            }
        }
        found
    }

    fn against_order(&self, number: usize, places: &Places) -> Vec<Against> {
        let zero = self.jobs_count();
        let mut found = Vec::new();
        for lag in &self.replay.model.problem.lags {
            let (from, to) = (lag.from.task.0, lag.to.task.0);
            let touched = places.touched.contains(&from) || places.touched.contains(&to);
            if !touched || !self.in_force(&lag.only_if) || self.off(lag, places).is_none_or(|off| off == 0) {
                continue;
            }
            let other = if places.touched.contains(&from) { to } else { from };
            let other = if other == number { if from == number { to } else { from } } else { other };
            found.push(match other {
                other if other == zero => Against::Clock,
                other if other < zero => Against::Order(other),
                other if self.replay.model.gone.contains(&TaskId(other)) => Against::Finish,
                _ => Against::Other,
            });
        }
        // The clock ends every chain.
        found.sort_by_key(|against| *against != Against::Clock);
        found
    }

    fn against_apart(&self, number: usize, places: &Places) -> Vec<Against> {
        let mut found = Vec::new();
        for apart in &self.replay.model.problem.aparts {
            let tasks = [apart.a.0, apart.a.1, apart.b.0, apart.b.1].map(|p| p.task.0);
            if !tasks.iter().any(|t| places.touched.contains(t)) || !self.in_force(&apart.only_if) {
                continue;
            }
            let slots = [apart.a.0, apart.a.1, apart.b.0, apart.b.1].map(|p| self.slot(p, places));
            let [Some(a0), Some(a1), Some(b0), Some(b1)] = slots else { continue };
            let first = apart.gap_ab.is_some_and(|gap| b0 >= a1 + gap);
            let second = apart.gap_ba.is_some_and(|gap| a0 >= b1 + gap);
            if !first && !second {
                let other = tasks.into_iter().find(|t| *t != number).filter(|t| *t < self.jobs_count());
                found.push(other.map_or(Against::Other, |other| Against::Apart(other, apart.reason)));
            }
        }
        found
    }

    fn against_things(&self, places: &Places) -> Vec<Against> {
        let problem = &self.replay.model.problem;
        let loads = |h: &Hold| self.on_for.get(&h.from.task).into_iter().flatten();
        let is_touched = |h: &Hold| {
            let own = [h.from.task.0, h.to.task.0];
            own.into_iter().chain(loads(h).copied()).any(|task| places.touched.contains(&task))
        };
        let wanted: BTreeSet<ResourceId> =
            problem.holds.iter().filter(|h| h.amount > 0 && is_touched(h)).map(|h| h.resource).collect();
        let mut found = Vec::new();
        for id in wanted {
            let resource = &problem.resources[id.0];
            let holds = problem
                .holds
                .iter()
                .filter(|h| h.resource == id && h.amount > 0 && self.in_force(&h.only_if));
            let stays: Vec<(i32, i32, &Hold)> = holds
                .filter_map(|h| Some((self.slot(h.from, places)?, self.slot(h.to, places)?, h)))
                .filter(|(from, to, _)| from < to)
                .collect();
            let there = |slot: i32| stays.iter().filter(move |s| s.0 <= slot && slot < s.1);
            let capacity = |slot: i32| {
                let less = resource.calendar.iter().filter(|c| c.0 <= slot && slot < c.1).map(|c| c.2);
                less.fold(resource.capacity, i32::min)
            };
            // What is taken grows only where something begins, and what is there shrinks only where the calendar says so.
            let own = stays.iter().filter(|s| is_touched(s.2));
            let (from, to) = own.fold((i32::MAX, i32::MIN), |all, s| (all.0.min(s.0), all.1.max(s.1)));
            let begins = stays.iter().map(|s| s.0).chain(resource.calendar.iter().map(|c| c.0));
            let looked: BTreeSet<i32> = begins.filter(|slot| (from..to).contains(slot)).collect();
            let too_full = |slot: &i32| {
                there(*slot).any(|s| is_touched(s.2))
                    && there(*slot).map(|s| s.2.amount).sum::<i32>() > capacity(*slot)
            };
            if let Some(slot) = looked.into_iter().find(too_full) {
                let others = self.others(&stays, slot, places);
                let away = there(slot).find(|s| s.2.reason != Reason::Always);
                found.push(match away.filter(|_| others.is_empty()) {
                    Some((from, to, hold)) => Against::Away { why: hold.reason, from: *from, to: *to },
                    None => Against::Full { what: id, slot, there: others },
                });
            }
        }
        found
    }

    /// The jobs beside the moved ones that have something in a slot; those first that give it back at its end.
    fn others(&self, stays: &[(i32, i32, &Hold)], slot: i32, places: &Places) -> Vec<usize> {
        let here = stays.iter().filter(|s| s.0 <= slot && slot < s.1);
        let of_oven = |task: TaskId| self.on_for.get(&task).cloned().unwrap_or_else(|| vec![task.0]);
        let mut others: Vec<(bool, usize)> = here
            .flat_map(|s| of_oven(s.2.to.task).into_iter().map(|task| (s.1 != slot + 1, task)))
            .filter(|(_, task)| *task < self.jobs_count() && !places.touched.contains(task))
            .collect();
        others.sort_unstable();
        others.dedup();
        others.into_iter().map(|(_, task)| task).collect()
    }
}
