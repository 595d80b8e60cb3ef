//! What comes after what, and how long may lie between.

use super::super::jobs::What;
use super::super::problem::{Apart, Choice, Lag, Point, Reason, TaskId};
use super::Builder;
use crate::course::{Chain, Step};

/// How long a job may wait for another, in slots.
#[derive(Clone, Copy)]
struct Wait {
    least: i32,
    most: Option<i32>,
}

impl Builder<'_> {
    /// Chains, joins, `after`, carries, and the end of it all.
    pub(super) fn add_order(&mut self) {
        for number in self.numbers() {
            for before in self.job(number).before.clone() {
                if self.jobs.stands(self.job(before)) {
                    self.take_up(before, number);
                } else {
                    self.follow(before, number);
                }
            }
            for after in self.job(number).after.clone() {
                self.problem.after(Point::end(TaskId(after)), Point::start(TaskId(number)), 0);
            }
            let last =
                matches!(self.job(number).what, What::Step(..)) && self.jobs.takers(number).next().is_none();
            if let (true, Some(gone)) = (last, self.gone.last().copied()) {
                self.problem.after(Point::end(TaskId(number)), Point::start(gone), 0);
                if self.jobs.goes_home_cold(self.job(number)) {
                    self.take_home(number);
                }
            }
        }
    }

    /// What is to be kept cold and is baked goes home at the end of the session that it is ready in: the last work on it does not
    /// lie between the students' leaving and their next session, since it would stand out of the cold until then.
    fn take_home(&mut self, number: usize) {
        let reason = self.reason("what is to be kept cold goes home from the session in which it is baked");
        let zero = Point::start(self.zero);
        let sessions = self.calendar.sessions.clone();
        for (session, gone) in self.gone.clone().into_iter().enumerate() {
            let next = sessions.iter().map(|s| s.0).filter(|from| *from > sessions[session].0).min();
            let Some(next) = next else { continue };
            self.problem.aparts.push(Apart {
                a: Self::whole(number),
                b: (Point::start(gone), zero.later(next)),
                gap_ab: Some(0),
                gap_ba: Some(0),
                only_if: Vec::new(),
                reason,
            });
        }
    }

    /// The wait that a job's step allows since the step before it, if it says so.
    fn carry(&self, number: usize) -> Option<Wait> {
        let job = self.job(number);
        let (_, step) = self.jobs.step_of(job)?;
        let after_cold = matches!(job.what, What::Step(..))
            && job.before.iter().any(|b| matches!(self.job(*b).what, What::ColdBefore(..)));
        if step.demo || after_cold {
            return None;
        }
        let carry = step.carry.as_ref()?.value;
        let grid = &self.calendar.grid;
        Some(Wait { least: grid.up(carry.least), most: carry.most.map(|m| grid.down(m)) })
    }

    /// Why a carry holds, in the teacher's words.
    fn carry_reason(&mut self, before: usize, number: usize) -> Reason {
        let Some((lesson, step)) = self.jobs.step_of(self.job(number)) else { return Reason::Always };
        let Some(most) = step.carry.as_ref().and_then(|c| c.value.most) else { return Reason::Always };
        let former =
            self.jobs.step_of(self.job(before)).map_or("the step before it", |(_, s)| s.id.value.as_str());
        let text = format!("{}.{} comes at most {most} after {former}", lesson.id.value, step.id.value);
        self.reason(&text)
    }

    fn lag(&mut self, from: Point, to: Point, wait: Wait, only_if: Vec<Choice>, reason: Reason) {
        if reason == Reason::Always || wait.most.is_none() {
            self.problem.lags.push(Lag { from, to, least: wait.least, most: wait.most, only_if, reason });
            return;
        }
        // The shortest wait holds in any case; the longest is what a conflict may name.
        let always = Lag { from, to, least: wait.least, most: None, only_if, reason: Reason::Always };
        self.problem.lags.push(always.clone());
        self.problem.lags.push(Lag { most: wait.most, reason, ..always });
    }

    /// A job takes up what stands.
    fn take_up(&mut self, stand: usize, number: usize) {
        let (from, to) = (TaskId(stand), TaskId(number));
        let carry = self.carry(number);
        let reason = self.carry_reason(stand, number);
        let wait = carry.unwrap_or(Wait { least: 0, most: Some(0) });
        if self.jobs.takers(stand).count() == 1 {
            let reason = if carry.is_some() { reason } else { Reason::Always };
            self.lag(Point::end(from), Point::start(to), wait, Vec::new(), reason);
            return;
        }
        // Each taker has its own time of standing; the place is held until the last has taken up.
        let ways = self.problem.tasks[stand].ways.clone();
        for (way, length) in ways.iter().enumerate() {
            let only_if = if ways.len() > 1 { vec![Choice { task: from, way }] } else { Vec::new() };
            let own = Wait {
                least: length.least + wait.least,
                most: wait.most.map(|most| length.most.saturating_add(most)),
            };
            self.lag(Point::start(from), Point::start(to), own, only_if, Reason::Always);
        }
        if let Some(most) = wait.most {
            self.problem.after(Point::start(to), Point::end(from), -most);
        }
    }

    /// A job follows work.
    fn follow(&mut self, work: usize, number: usize) {
        let (from, to) = (Point::end(TaskId(work)), Point::start(TaskId(number)));
        if let Some(wait) = self.carry(number) {
            let reason = self.carry_reason(work, number);
            self.lag(from, to, wait, Vec::new(), reason);
            return;
        }
        let job = self.job(number);
        let stands = self.jobs.stands(job);
        let demo = self.jobs.step_of(job).is_some_and(|(_, step)| step.demo);
        let most = if stands && job.before.len() == 1 {
            Some(0)
        } else if demo || self.is_kept(work) {
            None
        } else {
            Some(self.calendar.longest_span())
        };
        self.lag(from, to, Wait { least: 0, most }, Vec::new(), Reason::Always);
    }

    /// Whether what a job leaves keeps until it is used.
    fn is_kept(&self, number: usize) -> bool {
        let Some((lesson, step)) = self.jobs.step_of(self.job(number)) else { return false };
        let Some(formula) = self.jobs.course.formula(&lesson.formula.value) else { return false };
        let kept = |step: &Step| {
            step.on.iter().all(|chain| match &chain.value {
                Chain::Part(part) => formula.part(part).is_some_and(|p| p.keep.is_some()),
                Chain::Piece => false,
            })
        };
        kept(step)
    }
}
