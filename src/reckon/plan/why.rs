//! What holds a task where it is: the chain of tasks, equipment and people before it.
//!
//! A hold is named when the task cannot begin one slot sooner because of it, all else where it is; that is tried ([`super::moved`]).

use super::jobs::Jobs;
use super::moved::{Against, Moved};
use super::presence::staff;
use super::problem::{Reason, ResourceId};
use super::replay::{Replay, picked_of};
use super::tasks::{HELPER, STAFF, TEACHER, stocks};
use super::timetable::{Plan, PlannedTask};
use crate::course::{Course, Hands};
use crate::reckon::work::{Class, Portion};
use jiff::ZonedDateTime;

/// One link of the chain: a task that could not start earlier, and why.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Held {
    /// The task.
    pub task: String,
    /// What it had to wait for: another task; `None` when it is the clock, or nothing at all.
    pub by: Option<String>,
    /// Why, in the teacher's words.
    pub because: String,
}

/// The chain that holds a task, back to the clock; empty when there is no such task or the plan is not one of this course.
#[must_use]
pub fn chain(course: &Course, class: &Class, portions: &[Portion], plan: &Plan, task: &str) -> Vec<Held> {
    let picked = picked_of(plan);
    let jobs = Jobs::of(course, class, portions, &picked);
    let over = i32::try_from(plan.overrun.get()).unwrap_or(i32::MAX / 4);
    let Some(replay) = Replay::of(&jobs, course, plan, over.max(1)) else { return Vec::new() };
    let Some(mut number) = jobs.jobs.iter().position(|j| j.id == task) else { return Vec::new() };
    let teller = Teller { jobs: &jobs, replay: &replay, plan, moved: Moved::of(&jobs, &replay, plan) };
    let mut found = Vec::new();
    let mut seen = vec![false; jobs.jobs.len()];
    while !std::mem::replace(&mut seen[number], true) {
        let (by, because) = teller.hold(number);
        let by_id = by.map(|n| jobs.jobs[n].id.clone());
        found.push(Held { task: jobs.jobs[number].id.clone(), by: by_id, because });
        match by {
            Some(next) => number = next,
            None => break,
        }
    }
    found
}

struct Teller<'a> {
    jobs: &'a Jobs<'a>,
    replay: &'a Replay,
    plan: &'a Plan,
    moved: Moved<'a>,
}

type Hold = (Option<usize>, String);

impl Teller<'_> {
    /// What the start of one job waits for. What takes no time in the plan, as a wait in the cold that there is not, is passed over.
    fn hold(&self, number: usize) -> Hold {
        let mut hold = self.hold_of(number);
        let mut passed = vec![number];
        while let Some(by) = hold.0.filter(|by| self.plan.task(&self.jobs.jobs[*by].id).is_none()) {
            if passed.contains(&by) {
                break;
            }
            passed.push(by);
            hold = self.hold_of(by);
        }
        hold
    }

    fn hold_of(&self, number: usize) -> Hold {
        let against = self.moved.against(number, -1);
        let before = |other: &usize| self.is_before(*other, number);
        let named = against.iter().filter_map(|one| match one {
            Against::Clock => Some((0, None, "the session opens with it".to_owned())),
            Against::Hours(reason) => Some((1, None, self.hours(number, *reason))),
            Against::Order(other) if before(other) => Some((2, Some(*other), self.order(*other, number))),
            Against::Stands(other) if before(other) => {
                Some((3, Some(*other), "which has stood no longer than it must".to_owned()))
            }
            Against::Apart(other, reason) if before(other) => {
                let words = self.replay.words(*reason).unwrap_or("what has to lie between them");
                Some((4, Some(*other), words.to_owned()))
            }
            Against::Away { why, to, .. } => Some((1, None, self.away(*why, "from", *to))),
            Against::Full { .. } => {
                let (by, because) = self.full(one, number)?;
                Some((5, Some(by), because))
            }
            _ => None,
        });
        match named.min_by_key(|(rank, ..)| *rank) {
            // Another oven may stand idle: what keeps it off is what holds the load.
            Some((4 | 5, by, because)) => self.circuit(number).unwrap_or((by, because)),
            Some((_, by, because)) => (by, because),
            None => (None, self.free(number)),
        }
    }

    /// The circuit that does not carry another oven of the kind as well, where that is in the way of going into that one sooner.
    fn circuit(&self, number: usize) -> Option<Hold> {
        let ways = &self.replay.model.ways[number];
        let own = ways.get(self.replay.at[number].2)?;
        let (kind, unit) = own.oven?;
        let mut found = None;
        for (way, one) in ways.iter().enumerate() {
            let another = one.oven.is_some_and(|(other, number)| other == kind && number != unit);
            if !another || one.span != own.span {
                continue;
            }
            let mut replay = self.replay.clone();
            replay.at[number].2 = way;
            let against = Moved::of(self.jobs, &replay, self.plan).against(number, -1);
            let of_circuit =
                |one: &&Against| matches!(one, Against::Full { what, .. } if self.is_circuit(*what));
            match against.iter().find(of_circuit) {
                Some(circuit) => found = found.or_else(|| self.full(circuit, number)),
                None if against.is_empty() => return None,
                None => {}
            }
        }
        found.map(|(by, because)| (Some(by), because))
    }

    fn is_circuit(&self, what: ResourceId) -> bool {
        let reason = self.replay.model.problem.resources.get(what.0).map(|it| it.reason);
        reason.and_then(|reason| self.replay.words(reason)).is_some_and(stocks::is_of_circuit)
    }

    /// Whether a job is one that another can wait for: it takes up what the first leaves, or begins after it.
    fn is_before(&self, other: usize, number: usize) -> bool {
        let job = &self.jobs.jobs[number];
        job.before.contains(&other)
            || job.after.contains(&other)
            || self.replay.at[other].0 < self.replay.at[number].0
    }

    fn order(&self, before: usize, number: usize) -> String {
        let words = match self.jobs.stands(&self.jobs.jobs[before]) {
            true => "which has stood no longer than it must",
            false if self.jobs.jobs[number].before.contains(&before) => "which comes before it",
            false => "which comes first",
        };
        words.to_owned()
    }

    fn hours(&self, number: usize, reason: Reason) -> String {
        let oven =
            self.replay.model.ways[number].get(self.replay.at[number].2).is_some_and(|w| w.oven.is_some());
        let words = self.replay.words(reason);
        if words.is_some_and(|words| words.starts_with("the staff's hours"))
            && let Some(own) = self.own_hours(number)
        {
            return own;
        }
        match words {
            Some(words) if oven => format!("{words}, and the oven is not hot sooner"),
            Some(words) => words.to_owned(),
            None => "its time in the session".to_owned(),
        }
    }

    /// Whoever does it is not there before it begins, or after it is over, by their own hours or break.
    fn own_hours(&self, number: usize) -> Option<String> {
        let planned = self.planned(number)?;
        let grid = &self.replay.model.calendar.grid;
        let (start, end, _) = self.replay.at[number];
        staff(self.jobs.course).iter().filter(|one| planned.by.contains(&one.who)).find_map(|one| {
            let hours = one.hours.iter().flatten();
            let comes = hours.clone().find(|h| grid.slot_from(&h.0) == start);
            let goes = hours.clone().find(|h| grid.slot_until(&h.1) == end);
            let pauses =
                one.breaks.iter().find(|b| grid.slot_from(&b.1) == start || grid.slot_until(&b.0) == end);
            let clock = |at: &ZonedDateTime| at.strftime("%a %H:%M").to_string();
            let name = &one.name;
            match (pauses, comes, goes) {
                (Some((from, to)), ..) => {
                    Some(format!("the break of {name} from {} to {}", clock(from), clock(to)))
                }
                (_, Some(comes), _) => Some(format!("the hours of {name}, from {}", clock(&comes.0))),
                (.., Some(goes)) => Some(format!("the hours of {name}, until {}", clock(&goes.1))),
                _ => None,
            }
        })
    }

    /// One of the staff is away until the task begins, or from its end on.
    fn away(&self, why: Reason, word: &str, slot: i32) -> String {
        match self.replay.words(why) {
            // A break says its times itself.
            Some(words) if words.starts_with("the hours of ") => {
                format!("{words}, {word} {}", self.clock(slot))
            }
            Some(words) => words.to_owned(),
            None => "nobody of the staff is there".to_owned(),
        }
    }

    /// Which of those that have what is wanted is waited for: who gives it back then, first the one whose very person it takes.
    fn full(&self, against: &Against, number: usize) -> Option<(usize, String)> {
        let Against::Full { what, slot, there } = against else { return None };
        let resource = self.replay.model.problem.resources.get(what.0)?;
        let own = self.planned(number);
        let until = slot + 1;
        let same = |other: &usize| {
            let (own, other) = (own?, self.planned(*other)?);
            let last = if other.hands == Hands::Nobody { other.by.last() } else { other.by.first() };
            last.filter(|person| own.by.first() == Some(*person))
        };
        let of_staff = [TEACHER, HELPER, STAFF].contains(&resource.name.as_str());
        let person = there.iter().filter(|_| of_staff).find_map(|other| Some((*other, same(other)?)));
        let (by, words) = match person {
            Some((other, person)) => {
                let person = if person == "teacher" { "the teacher" } else { person };
                (other, format!("which has {person} until then"))
            }
            None => {
                let words = self.replay.words(resource.reason).unwrap_or("hands or things that it needs");
                (*there.first()?, words.to_owned())
            }
        };
        // What is wanted later than at its start is said with its time.
        let start = self.replay.at[number].0;
        let at = if until == start { String::new() } else { format!(", at {}", self.clock(until)) };
        Some((by, format!("{words}{at}")))
    }

    fn planned(&self, number: usize) -> Option<&PlannedTask> {
        self.plan.task(&self.jobs.jobs[number].id)
    }

    fn clock(&self, slot: i32) -> String {
        self.replay.model.calendar.grid.at(slot).strftime("%a %H:%M").to_string()
    }

    /// Nothing before it holds it: how far it could be moved, and what comes after it.
    fn free(&self, number: usize) -> String {
        let start = self.replay.at[number].0;
        let (earlier, later) = self.moved.room(number);
        let (first, last) = (self.clock(start - earlier), self.clock(start + later));
        if earlier > 0 && later > 0 {
            let away = |by: i32| {
                self.moved.against(number, by).into_iter().find_map(|against| match against {
                    Against::Away { why, to, .. } if by < 0 => Some(self.away(why, "from", to)),
                    Against::Away { why, from, .. } => Some(self.away(why, "until", from)),
                    _ => None,
                })
            };
            let away: Vec<String> = [-earlier - 1, later + 1].into_iter().filter_map(away).collect();
            let by = if away.is_empty() { String::new() } else { format!(", by {}", away.join(" and ")) };
            return format!(
                "nothing: with all else where it is it could begin at any time from {first} to {last}{by}"
            );
        }
        let then = self.what_follows(number, later + 1);
        let then = then.map_or_else(String::new, |what| format!("; {what}"));
        if earlier > 0 {
            return format!(
                "nothing before it: with all else where it is it could begin from {first} on, and no later than it does{then}"
            );
        }
        format!("nothing before it, but what comes after it{then}")
    }

    /// What a job would run into, if it began so many slots later.
    fn what_follows(&self, number: usize, by: i32) -> Option<String> {
        let id = |other: usize| self.jobs.jobs.get(other).map(|job| job.id.clone());
        let shown = self.jobs.jobs[number].doer.is_demo();
        self.moved.against(number, by).into_iter().find_map(|against| match against {
            Against::Order(other) if shown => Some(format!("it is shown just before {}", id(other)?)),
            Against::Order(other) | Against::Stands(other) | Against::Apart(other, _) => {
                Some(format!("{} comes after it", id(other)?))
            }
            Against::Full { there, .. } => Some(format!("{} comes then", id(*there.first()?)?)),
            Against::Hours(reason) => Some(self.hours(number, reason)),
            Against::Away { why, from, .. } => Some(self.away(why, "until", from)),
            Against::Finish => Some("the session would end later".to_owned()),
            Against::Other if self.jobs.stands(&self.jobs.jobs[number]) => {
                Some("it would stand for less than it must".to_owned())
            }
            Against::Clock | Against::Other => None,
        })
    }
}
