//! Where everybody is: what is over, what runs, and what has not begun.
//!
//! The printed plan is played up to now with what is known to be late. What had to wait for something late has not begun,
//! even where the plan has it earlier; nobody has to say so on the command line. It waits for what comes before it, and for
//! hands and things that are still taken.

use super::super::jobs::Jobs;
use super::super::problem::{Hold, Point, Side};
use super::super::replay::{Replay, is_left_out};
use super::super::timetable::Plan;
use super::Now;
use crate::course::Hands;
use std::collections::BTreeMap;

/// How far a job is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Standing {
    /// It is over.
    Over,
    /// It runs.
    Runs,
    /// It has not begun.
    Open,
}

/// Where the jobs of a plan are.
pub(super) struct Past {
    /// The slot of now.
    pub slot: i32,
    /// For each job, when it started or would start if the plan just went on.
    pub start: Vec<i32>,
    /// For each job, its end in the same sense.
    pub end: Vec<i32>,
    /// How far each is.
    pub standing: Vec<Standing>,
    /// By how many slots each is late by itself.
    pub late: Vec<i32>,
    /// Those that began, on something that has failed, and begin again.
    pub again: Vec<usize>,
    /// What stands was said to be done: it may be taken up at once.
    pub ripe: Vec<bool>,
    /// Running work whose students have left, with the slots that are left of it: staff finish it.
    pub taken: BTreeMap<usize, i32>,
}

impl Past {
    /// Plays the plan; `broken` says which jobs were at work in something that has failed.
    pub fn of(
        jobs: &Jobs<'_>,
        plan: &Plan,
        replay: &Replay,
        now: &Now,
        broken: &dyn Fn(usize) -> bool,
    ) -> Past {
        let grid = &replay.model.calendar.grid;
        let slot = grid.slot_from(&now.time);
        let late: Vec<i32> = jobs
            .jobs
            .iter()
            .map(|job| now.late.iter().find(|(id, _)| *id == job.id).map_or(0, |(_, by)| grid.up(*by)))
            .collect();
        let all = jobs.jobs.len();
        let done = done(jobs, &now.done);
        let left_out: Vec<bool> = jobs.jobs.iter().map(|job| is_left_out(plan, job)).collect();
        let crowd = Crowd::of(jobs, plan, replay, &late);
        let (start, end) = play(replay, slot, &late, (&done, &left_out), crowd);
        let mut past = Past {
            slot,
            start,
            end,
            standing: vec![Standing::Open; all],
            late,
            again: Vec::new(),
            ripe: vec![false; all],
            taken: BTreeMap::new(),
        };
        for number in 0..all {
            past.standing[number] = past.stands_at(jobs, replay, number, &done);
        }
        for number in (0..all).filter(|n| broken(*n)) {
            if past.standing[number] == Standing::Runs {
                past.standing[number] = Standing::Open;
                past.again.push(number);
            }
        }
        past.settle(replay);
        past
    }

    fn stands_at(&mut self, jobs: &Jobs<'_>, replay: &Replay, number: usize, done: &[bool]) -> Standing {
        let slot = self.slot;
        if done[number] {
            self.start[number] = self.start[number].min(slot);
            self.end[number] = self.end[number].min(slot).max(self.start[number]);
            let taken = jobs.takers(number).all(|t| done[t] || self.start[t] < slot);
            if jobs.stands(&jobs.jobs[number]) && !taken {
                self.ripe[number] = true;
                return Standing::Runs;
            }
            return Standing::Over;
        }
        if self.start[number] >= slot {
            return Standing::Open;
        }
        let stretches = replay.stretches(super::super::problem::TaskId(number));
        let taken = jobs.takers(number).all(|t| done[t] || self.start[t] < slot);
        if self.end[number] <= slot && (!stretches || taken) { Standing::Over } else { Standing::Runs }
    }

    /// Where more runs now than there is hands or things for, what began last has not begun yet.
    fn settle(&mut self, replay: &Replay) {
        for _ in 0..self.start.len() {
            let Some(number) = self.one_too_many(replay) else { return };
            self.standing[number] = Standing::Open;
        }
    }

    fn one_too_many(&self, replay: &Replay) -> Option<usize> {
        let problem = &replay.model.problem;
        for (number, resource) in problem.resources.iter().enumerate() {
            let holds = problem.holds.iter().filter(|h| h.resource.0 == number && replay.chosen(&h.only_if));
            let now: Vec<(usize, i32)> = holds
                .filter(|h| self.fixed(h.from).is_some_and(|from| from <= self.slot))
                .filter(|h| self.fixed(h.to).is_none_or(|to| to > self.slot))
                .map(|h| (h.from.task.0, h.amount))
                .collect();
            let sum: i32 = now.iter().map(|(_, amount)| amount).sum();
            if sum > resource.capacity {
                let runs = now.iter().map(|(task, _)| *task);
                let can = runs.filter(|t| self.standing[*t] == Standing::Runs && self.late[*t] == 0);
                if let Some(last) = can.max_by_key(|t| (self.start[*t], *t)) {
                    return Some(last);
                }
            }
        }
        None
    }

    /// The slot of a moment that is no longer open.
    pub fn fixed(&self, point: Point) -> Option<i32> {
        let task = point.task.0;
        let known = match (self.standing.get(task)?, point.side) {
            (Standing::Open, _) => return None,
            (_, Side::Start) => self.start[task],
            (Standing::Over, Side::End) => self.end[task],
            // What runs and is work ends when it ends; what stands is taken up when it is.
            (Standing::Runs, Side::End) => return None,
        };
        Some(known + point.plus)
    }
}

/// The jobs that are done by what was said: those named, and all that come before them.
fn done(jobs: &Jobs<'_>, named: &[String]) -> Vec<bool> {
    let mut done = vec![false; jobs.jobs.len()];
    let mut todo: Vec<usize> = (0..jobs.jobs.len()).filter(|n| named.contains(&jobs.jobs[*n].id)).collect();
    while let Some(number) = todo.pop() {
        if !std::mem::replace(&mut done[number], true) {
            todo.extend(jobs.jobs[number].before.iter().chain(&jobs.jobs[number].after));
        }
    }
    done
}

/// Starts and ends when what is late pushes what has to wait for it, and all else keeps to the clock. What is done was pushed by nothing:
/// it is over, whatever came before it. Nor was anything that has begun pushed by what the plan has left out.
fn play(
    replay: &Replay,
    slot: i32,
    late: &[i32],
    (done, left_out): (&[bool], &[bool]),
    crowd: Crowd,
) -> (Vec<i32>, Vec<i32>) {
    let jobs = replay.at.len();
    let mut at: Vec<i32> = Vec::new();
    let mut long: Vec<i32> = Vec::new();
    for (number, (start, end, way)) in replay.at.iter().enumerate() {
        let stretches = replay.stretches(super::super::problem::TaskId(number));
        let least = replay.model.problem.tasks[number].ways[*way].least;
        let (put_off, longer) = if *start < slot { (0, late[number]) } else { (late[number], 0) };
        // By how much a step that has begun is late is said of its end: what it had to wait for is in that, and does not count twice.
        let (start, end) = (start + put_off, end + put_off + longer);
        at.extend(if done[number] {
            [start.min(slot), end.min(slot).max(start.min(slot))]
        } else {
            [start, end]
        });
        long.push(if stretches { least } else { end - start - longer });
    }
    let node = |point: Point| node(jobs, point);
    let mut arrows: Vec<(usize, usize, i32)> = Vec::new();
    for lag in replay.lags() {
        let (Some(from), Some(to)) = (node(lag.from), node(lag.to)) else { continue };
        arrows.push((from, to, lag.least + lag.from.plus - lag.to.plus));
        if let Some(most) = lag.most.filter(|_| lag.from.side == Side::End && replay.stretches(lag.from.task))
        {
            arrows.push((to, from, -(most + lag.from.plus - lag.to.plus)));
        }
    }
    for arrow in replay.must_follow() {
        if let (Some(from), Some(to)) = (node(arrow.from), node(arrow.to)) {
            arrows.push((from, to, arrow.least + arrow.from.plus - arrow.to.plus));
        }
    }
    arrows.extend(long.iter().enumerate().map(|(number, long)| (2 * number, 2 * number + 1, *long)));
    arrows.retain(|(from, to, _)| {
        let began_without = left_out[from / 2] && !left_out[to / 2] && replay.at[to / 2].0 < slot;
        !done[to / 2] && !began_without
    });
    push(&mut at, &arrows);
    let mut from = 0;
    // Each push moves one start on, and there are only so many slots to move it to.
    while let Some((slot, moved)) = crowd.first_too_many(&at, from, slot, done) {
        match moved {
            Some((start, until)) => {
                at[start] += until - slot;
                push(&mut at, &arrows);
                from = slot;
            }
            None => from = slot + 1,
        }
    }
    (at.iter().step_by(2).copied().collect(), at.iter().skip(1).step_by(2).copied().collect())
}

/// The place of a moment among starts and ends in turn; `None` when it is none of a job's.
fn node(jobs: usize, point: Point) -> Option<usize> {
    (point.task.0 < jobs).then(|| 2 * point.task.0 + usize::from(point.side == Side::End))
}

/// Puts off what arrows point at until all of them are long enough.
fn push(at: &mut [i32], arrows: &[(usize, usize, i32)]) {
    // A loop of arrows could go on for ever, so rounds are counted.
    for _ in 0..200 {
        let mut changed = false;
        for (from, to, least) in arrows {
            let new = at[*from] + least;
            changed |= new > at[*to];
            at[*to] = at[*to].max(new);
        }
        if !changed {
            break;
        }
    }
}

/// What wants hands and things, by resource, where something late could take them from others. Three together may be too many where no two
/// are, so no arrow from one to the other says it.
struct Crowd {
    /// How much there is, and who wants how much of it: from and to, each as a place and the slots after it.
    resources: Vec<(i32, Vec<Stay>)>,
}

struct Stay {
    amount: i32,
    from: (usize, i32),
    to: (usize, i32),
    /// When it is printed to begin, and that it is late by itself: what begins last waits for the others.
    rank: (bool, i32, usize),
}

impl Crowd {
    fn of(jobs: &Jobs<'_>, plan: &Plan, replay: &Replay, late: &[i32]) -> Crowd {
        let mut resources = Vec::new();
        if late.iter().all(|late| *late == 0) {
            // Nothing has moved.
            return Crowd { resources };
        }
        // Whoever of the staff is printed for something does it, also where another one were free.
        let mut people: BTreeMap<&str, Vec<Stay>> = BTreeMap::new();
        for (number, job) in jobs.jobs.iter().enumerate() {
            let Some(task) = plan.task(&job.id).filter(|t| t.hands != Hands::Nobody) else { continue };
            for name in &task.by {
                let rank = (late[number] == 0, replay.at[number].0, number);
                let stay = Stay { amount: 1, from: (2 * number, 0), to: (2 * number + 1, 0), rank };
                people.entry(name).or_default().push(stay);
            }
        }
        resources.extend(people.into_values().map(|stays| (1, stays)));
        let jobs = replay.at.len();
        let problem = &replay.model.problem;
        for (number, resource) in problem.resources.iter().enumerate() {
            let of_it = problem.holds.iter().filter(|h| h.resource.0 == number && h.amount > 0);
            let stay = |h: &Hold| {
                let job = h.from.task.0;
                Some(Stay {
                    amount: h.amount,
                    from: (node(jobs, h.from)?, h.from.plus),
                    to: (node(jobs, h.to)?, h.to.plus),
                    rank: (late[job] == 0, replay.at[job].0, job),
                })
            };
            let stays: Vec<Stay> = of_it.filter(|h| replay.chosen(&h.only_if)).filter_map(stay).collect();
            if stays.iter().map(|s| i64::from(s.amount)).sum::<i64>() > i64::from(resource.capacity) {
                resources.push((resource.capacity, stays));
            }
        }
        Crowd { resources }
    }

    /// The first slot from `from` on and before `until` in which more is wanted than there is; with the start that can wait, by its place,
    /// and until when. What is to be taken out by then cannot wait, and what is done did not.
    fn first_too_many(
        &self,
        at: &[i32],
        from: i32,
        until: i32,
        done: &[bool],
    ) -> Option<(i32, Option<(usize, i32)>)> {
        let slot = |point: (usize, i32)| at[point.0] + point.1;
        let mut first: Option<(i32, Option<(usize, i32)>)> = None;
        for (capacity, stays) in &self.resources {
            let mut begins: Vec<i32> = stays.iter().map(|s| slot(s.from)).collect();
            begins.retain(|begin| (from..until).contains(begin));
            begins.sort_unstable();
            begins.dedup();
            for begin in begins {
                if first.is_some_and(|(known, _)| known <= begin) {
                    break;
                }
                let there = || stays.iter().filter(|s| slot(s.from) <= begin && begin < slot(s.to));
                if there().map(|s| s.amount).sum::<i32>() <= *capacity {
                    continue;
                }
                let can_wait =
                    there().filter(|s| slot(s.from) == begin && s.from.0 % 2 == 0 && !done[s.from.0 / 2]);
                let last = can_wait.max_by_key(|s| s.rank);
                let free = last.and_then(|last| {
                    let others = there().filter(|s| !std::ptr::eq(*s, last));
                    Some((last.from.0, others.map(|s| slot(s.to)).min()?))
                });
                first = Some((begin, free));
                break;
            }
        }
        first
    }
}
