//! How sure a plan is: durations drawn many times between shortest and longest, replayed in the plan's own order.
//!
//! Nothing starts before its printed time, since people work by the clock on the sheet; what is late pushes what waits for
//! it, on its chain and on every resource. What stands goes on standing while it waits; when that is longer than the dough
//! allows, or a carry is overstayed, it counts as broken.

use super::jobs::Jobs;
use super::problem::{Point, Side};
use super::replay::{Replay, picked_of};
use super::timetable::Plan;
use crate::course::{Course, Lasts, SessionId, Takes, When};
use crate::reckon::work::{Class, Portion};
use crate::units::{Minutes, Percent};
use rust_decimal::Decimal;
use std::collections::{BTreeMap, BTreeSet};

/// What the draws say about one session.
#[derive(Clone, PartialEq, Debug)]
pub struct SessionOdds {
    /// The session.
    pub id: SessionId,
    /// In how many of the draws it ends by its written end.
    pub on_time: Percent,
    /// By how much nine draws in ten end at the latest after the planned finish.
    pub nine_in_ten: Minutes,
}

/// How sure a plan is.
#[derive(Clone, PartialEq, Debug)]
pub struct Odds {
    /// How many draws.
    pub draws: u32,
    /// For each session.
    pub sessions: Vec<SessionOdds>,
    /// Tasks before which a carry or a standing time was broken in some draws, the worst first, with the share of draws.
    pub broken: Vec<(String, Percent)>,
    /// Tasks that cannot be a minute late without a session finishing later.
    pub no_slack: Vec<String>,
    /// Where a buffer helps most: after this step, and how many minutes of lateness at the sessions' finishes come from it.
    /// `None` when no step alone brings a minute.
    pub buffer: Option<(String, Minutes)>,
}

/// A fixed sequence of numbers (SplitMix64; Steele, Lea and Flood 2014), so that the same plan has the same odds everywhere.
struct Dice(u64);

impl Dice {
    /// From 0 up to 1.
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }
    /// A length between shortest and longest, most likely the usual: the triangular distribution.
    fn length(&mut self, takes: Takes) -> f64 {
        let (a, c, b) = (takes.least.get() as f64, takes.usual.get() as f64, takes.most.get() as f64);
        let u = self.next();
        if b <= a {
            return c;
        }
        let turn = (c - a) / (b - a);
        if u < turn { a + (u * (b - a) * (c - a)).sqrt() } else { b - ((1.0 - u) * (b - a) * (b - c)).sqrt() }
    }
}

/// A plan as arrows between moments, in minutes.
pub(super) struct Network {
    /// `(from, to, minutes)`, moments numbered.
    pub(super) arrows: Vec<(usize, usize, f64)>,
    /// The planned minute of each moment; it is never earlier.
    pub(super) planned: Vec<f64>,
    /// For each job: its two moments, and its length: drawn, or at least so long.
    pub(super) jobs: Vec<(usize, usize, Length)>,
    /// Longest waits: `(from, to, minutes, job)`.
    pub(super) limits: Vec<(usize, usize, f64, usize)>,
    /// For each session, the moment when students are gone.
    pub(super) gone: Vec<usize>,
}

/// How long a job is.
#[derive(Clone, Copy)]
pub(super) enum Length {
    /// Work: drawn between shortest and longest.
    Drawn(Takes),
    /// What stands, or has no length of its own: at least so many minutes.
    AtLeast(f64),
}

/// Draws a plan so many times; `None` when it is not a plan of this course and class.
#[must_use]
pub fn odds(course: &Course, class: &Class, portions: &[Portion], plan: &Plan, draws: u32) -> Option<Odds> {
    let picked = picked_of(plan);
    let jobs = Jobs::of(course, class, portions, &picked);
    let replay = Replay::of(&jobs, course, plan, over(plan))?;
    let network = Network::of(&jobs, &replay);
    let ends: Vec<f64> = course
        .sessions
        .iter()
        .map(|s| f64::from(replay.model.calendar.grid.slot_until(&s.to.value)) * step(&replay))
        .collect();
    let all = network.draw(draws, None);
    let sessions = (0..ends.len())
        .map(|n| {
            let mut finishes: Vec<f64> = all.finishes.iter().map(|f| f[n]).collect();
            finishes.sort_by(f64::total_cmp);
            let on_time = finishes.iter().filter(|f| **f <= ends[n] + 0.5).count();
            let nine = finishes.get(finishes.len() * 9 / 10).copied().unwrap_or(0.0);
            SessionOdds {
                id: course.sessions[n].id.value.clone(),
                on_time: share(on_time, draws),
                nine_in_ten: Minutes((nine - network.planned[network.gone[n]]).round() as i64),
            }
        })
        .collect();
    let mut broken: Vec<(String, Percent)> =
        all.broken.iter().map(|(job, n)| (jobs.jobs[*job].id.clone(), share(*n, draws))).collect();
    broken.sort_by(|a, b| (std::cmp::Reverse(a.1), &a.0).cmp(&(std::cmp::Reverse(b.1), &b.0)));
    let slack = network.slack();
    // A wait that this plan does without is a job, and none of its tasks.
    let tight = jobs.jobs.iter().zip(slack).filter(|(j, s)| *s < 1.0 && plan.task(&j.id).is_some());
    let no_slack = tight.map(|(j, _)| j.id.clone()).collect();
    let buffer = network.best_buffer(&jobs, draws.min(300));
    Some(Odds { draws, sessions, broken, no_slack, buffer })
}

/// Slots by which sessions of a plan run over, so that its problem has room for them.
pub(super) fn over(plan: &Plan) -> i32 {
    i32::try_from(plan.overrun.get()).unwrap_or(i32::MAX / 4).max(60)
}

fn step(replay: &Replay) -> f64 {
    replay.model.calendar.grid.step().get() as f64
}

fn share(of: usize, draws: u32) -> Percent {
    let part = Decimal::from(of as u64) / Decimal::from(draws.max(1));
    Percent::from_factor(part.round_dp(3))
}

/// What came of many draws.
struct Drawn {
    finishes: Vec<Vec<f64>>,
    broken: BTreeMap<usize, usize>,
    late: f64,
}

impl Network {
    /// The moments of a plan that was put back into its problem, and what keeps them apart.
    pub(super) fn of(jobs: &Jobs<'_>, replay: &Replay) -> Network {
        let minutes = step(replay);
        let mut planned = Vec::new();
        let mut lengths = Vec::new();
        for (number, job) in jobs.jobs.iter().enumerate() {
            let (start, end, way) = replay.at[number];
            planned.extend([f64::from(start) * minutes, f64::from(end) * minutes]);
            let least = f64::from(replay.model.problem.tasks[number].ways[way].least) * minutes;
            let length = takes_of(jobs, number).filter(|_| !jobs.stands(job)).map(Length::Drawn);
            lengths.push((2 * number, 2 * number + 1, length.unwrap_or(Length::AtLeast(least))));
        }
        let mut gone = Vec::new();
        for slot in &replay.gone {
            gone.push(planned.len());
            planned.push(f64::from(*slot) * minutes);
        }
        let node = |point: Point| match replay.model.gone.iter().position(|g| *g == point.task) {
            Some(session) => gone[session],
            None => 2 * point.task.0 + usize::from(point.side == Side::End),
        };
        let mut arrows = Vec::new();
        let mut limits = Vec::new();
        for lag in replay.lags() {
            let (from, to) = (node(lag.from), node(lag.to));
            let plus = f64::from(lag.from.plus - lag.to.plus) * minutes;
            arrows.push((from, to, f64::from(lag.least) * minutes + plus));
            let Some(most) = lag.most else { continue };
            let most = f64::from(most) * minutes + plus;
            if lag.from.side == Side::End && replay.stretches(lag.from.task) {
                // What stands goes on standing: its end follows its taker.
                arrows.push((to, from, -most));
            } else if lag.to.task.0 < jobs.jobs.len() {
                limits.push((from, to, most, lag.to.task.0));
            }
        }
        for (number, (start, end, length)) in lengths.iter().enumerate() {
            if let Length::AtLeast(_) = length {
                let way = &replay.model.problem.tasks[number].ways[replay.at[number].2];
                limits.push((*start, *end, f64::from(way.most) * minutes, number));
            }
        }
        for arrow in replay.handed_on() {
            let plus = f64::from(arrow.from.plus - arrow.to.plus + arrow.least) * minutes;
            arrows.push((node(arrow.from), node(arrow.to), plus));
        }
        arrows.sort_by(|a, b| planned[a.0].total_cmp(&planned[b.0]).then(a.1.cmp(&b.1)));
        Network { arrows, planned, jobs: lengths, limits, gone }
    }

    /// The minute of each moment with these lengths.
    fn play(&self, lengths: &[f64]) -> Vec<f64> {
        let mut at = self.planned.clone();
        for (start, end, _) in &self.jobs {
            // An end is where its length puts it, not where the plan had it.
            at[*end] = at[*start];
        }
        // Arrows are in planned order, so few rounds do; a loop in them could go on for ever, so rounds are counted.
        for _ in 0..50 {
            let mut changed = false;
            for ((start, end, _), length) in self.jobs.iter().zip(lengths) {
                changed |= raise(&mut at, *start, *end, *length);
            }
            for (from, to, least) in &self.arrows {
                changed |= raise(&mut at, *from, *to, *least);
            }
            if !changed {
                break;
            }
        }
        at
    }

    /// Draws all lengths so many times; those of `steady` are always the usual.
    fn draw(&self, draws: u32, steady: Option<&BTreeSet<usize>>) -> Drawn {
        let mut dice = Dice(20_270_306);
        let mut drawn = Drawn { finishes: Vec::new(), broken: BTreeMap::new(), late: 0.0 };
        for _ in 0..draws {
            let lengths: Vec<f64> = self
                .jobs
                .iter()
                .enumerate()
                .map(|(n, (_, _, length))| match length {
                    Length::AtLeast(least) => *least,
                    Length::Drawn(takes) => {
                        let long = dice.length(*takes);
                        let usual = takes.usual.get() as f64;
                        if steady.is_some_and(|s| s.contains(&n)) { usual } else { long }
                    }
                })
                .collect();
            let at = self.play(&lengths);
            let mut seen = BTreeSet::new();
            for (from, to, most, job) in &self.limits {
                // Whoever is early waits for the printed time, which is no fault; half a minute is seen by no one.
                if at[*to] - at[*from].max(self.planned[*from]) > most + 0.5 && seen.insert(*job) {
                    *drawn.broken.entry(*job).or_default() += 1;
                }
            }
            drawn.late += self.gone.iter().map(|g| at[*g] - self.planned[*g]).sum::<f64>();
            drawn.finishes.push(self.gone.iter().map(|g| at[*g]).collect());
        }
        drawn
    }

    /// For each job, by how many minutes it may be late without a session finishing later.
    fn slack(&self) -> Vec<f64> {
        let mut latest = vec![f64::INFINITY; self.planned.len()];
        for gone in &self.gone {
            latest[*gone] = self.planned[*gone];
        }
        let lengths = self.jobs.iter().map(|(start, end, length)| {
            let least = match length {
                Length::AtLeast(least) => *least,
                Length::Drawn(_) => self.planned[*end] - self.planned[*start],
            };
            (*start, *end, least)
        });
        let arrows: Vec<(usize, usize, f64)> = self.arrows.iter().copied().chain(lengths).collect();
        for _ in 0..50 {
            let mut changed = false;
            for (from, to, least) in arrows.iter().rev() {
                let new = latest[*to] - least;
                if new < latest[*from] - 1e-9 {
                    latest[*from] = new;
                    changed = true;
                }
            }
            if !changed {
                break;
            }
        }
        self.jobs.iter().map(|(start, _, _)| latest[*start] - self.planned[*start]).collect()
    }

    /// The step whose swings cost most at the finishes: if it always took its usual time, so much would be gained.
    fn best_buffer(&self, jobs: &Jobs<'_>, draws: u32) -> Option<(String, Minutes)> {
        let mut steps: BTreeMap<String, BTreeSet<usize>> = BTreeMap::new();
        for (number, job) in jobs.jobs.iter().enumerate() {
            // After what comes last in a session nothing waits for a buffer.
            let is_last = jobs.own_of(job).is_some_and(|(own, _)| own.when.value == When::Last);
            if matches!(self.jobs[number].2, Length::Drawn(_)) && !is_last {
                let name = job.id.split('@').next().unwrap_or(&job.id).to_owned();
                steps.entry(name).or_default().insert(number);
            }
        }
        let base = self.draw(draws, None).late;
        let saved = |of: &BTreeSet<usize>| (base - self.draw(draws, Some(of)).late) / f64::from(draws.max(1));
        let best = steps.iter().map(|(name, of)| (saved(of), name)).max_by(|a, b| a.0.total_cmp(&b.0))?;
        let minutes = best.0.round() as i64;
        (minutes > 0).then(|| (best.1.clone(), Minutes(minutes)))
    }
}

/// How long a job's work may take: for all its pieces, by hand where it is made by hand.
fn takes_of(jobs: &Jobs<'_>, number: usize) -> Option<Takes> {
    let job = &jobs.jobs[number];
    if let Some((own, _)) = jobs.own_of(job) {
        return Some(own.takes.value);
    }
    let (_, step) = jobs.step_of(job)?;
    let Lasts::Takes { takes, each } = &step.lasts else { return None };
    let by_hand = jobs.vessel_of(job) == Some(&crate::reckon::work::Vessel::ByHand);
    let first = step.by_hand.as_ref().filter(|_| by_hand).map_or(takes.value, |t| t.value);
    let more = i64::from(job.pieces().saturating_sub(1));
    Some(match each {
        None => first,
        Some(each) => Takes {
            least: first.least + each.value.least.times(more),
            usual: first.usual + each.value.usual.times(more),
            most: first.most + each.value.most.times(more),
        },
    })
}

fn raise(at: &mut [f64], from: usize, to: usize, least: f64) -> bool {
    let new = at[from] + least;
    let higher = new > at[to] + 1e-9;
    if higher {
        at[to] = new;
    }
    higher
}
