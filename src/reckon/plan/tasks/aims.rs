//! The objective, in the order that counts.

use super::super::jobs::{Doer, What};
use super::super::problem::{Choice, Point, Quantity, TaskId, Term};
use super::{Builder, Reading};

/// The aim's name of which [`Plan::overrun`](super::super::timetable::Plan::overrun) is the value.
pub const OVERRUN: &str = "overrun-minutes";

impl Builder<'_> {
    /// Least over, least made ahead, least put off in the cold, least waiting with idle hands, sessions that end early, short days for staff.
    pub(super) fn add_aims(&mut self) {
        if self.ask.over.is_some() {
            self.aim_over();
        }
        self.aim_ahead();
        self.aim_put_off();
        self.aim_waiting();
        self.aim_finish();
        self.aim_staff();
        self.problem.hints.lesser = true;
        self.tidy_demonstrations();
    }

    /// What is shown is best shown just before it is done.
    fn tidy_demonstrations(&mut self) {
        let mut sum: Vec<(i32, Quantity)> = Vec::new();
        for number in self.numbers() {
            if !self.jobs.step_of(self.job(number)).is_some_and(|(_, step)| step.demo) {
                continue;
            }
            let followers = self.numbers().filter(|other| self.job(*other).after.contains(&number));
            let starts: Vec<Point> = followers.map(|other| Point::start(TaskId(other))).collect();
            if !starts.is_empty() {
                sum.push((1, Quantity::Earliest(starts)));
                sum.push((-1, Quantity::End(TaskId(number))));
            }
        }
        if !sum.is_empty() {
            self.problem.hints.tidy = Some(Term { name: "shown long before".to_owned(), sum });
        }
    }

    fn aim(&mut self, term: &'static str, sum: Vec<(i32, Quantity)>, plus: i64, times: i64) {
        self.problem.objective.push(Term { name: term.to_owned(), sum });
        self.readings.push(Reading { term, plus, times });
    }

    fn step(&self) -> i64 {
        self.calendar.grid.step().get()
    }

    fn aim_over(&mut self) {
        let sum = self.late.iter().map(|late| (1, Quantity::Duration(*late))).collect();
        let step = self.step();
        self.aim(OVERRUN, sum, 0, step);
    }

    fn aim_ahead(&mut self) {
        let mut sum = Vec::new();
        for number in self.numbers() {
            if self.ways[number].iter().all(|w| w.ahead) {
                continue;
            }
            for (way, _) in self.ways[number].iter().enumerate().filter(|(_, w)| w.ahead) {
                sum.push((1, Quantity::Chosen(Choice { task: TaskId(number), way })));
            }
        }
        self.aim("made-ahead-steps", sum, 0, 1);
    }

    /// Stations whose pieces wait in the cold: a way round a shortage, so never chosen for an earlier finish alone.
    fn aim_put_off(&mut self) {
        let mut sum = Vec::new();
        for number in self.numbers() {
            if !matches!(self.job(number).what, What::ColdBefore(..)) {
                continue;
            }
            for (way, _) in self.ways[number].iter().enumerate().filter(|(_, w)| w.cold) {
                sum.push((1, Quantity::Chosen(Choice { task: TaskId(number), way })));
            }
        }
        if !sum.is_empty() {
            self.aim("waits-in-the-cold", sum, 0, 1);
        }
    }

    /// Student-minutes in the sessions without work: from the start of a session to its finish, less what is done.
    fn aim_waiting(&mut self) {
        let students =
            self.jobs.class.stations.iter().map(|s| i32::try_from(s.students()).unwrap_or(i32::MAX));
        let class: i32 = students.sum();
        let mut sum: Vec<(i32, Quantity)> = Vec::new();
        let mut plus: i64 = 0;
        for (gone, session) in self.gone.iter().zip(&self.calendar.sessions) {
            sum.push((class, Quantity::Start(*gone)));
            plus -= i64::from(class) * i64::from(session.0);
        }
        for number in self.numbers() {
            let job = self.job(number);
            let hands: i32 = job
                .stations
                .iter()
                .filter_map(|no| self.jobs.class.stations.iter().find(|s| s.no == *no))
                .map(|s| match job.doer {
                    Doer::Students | Doer::Demo(_) => i32::try_from(s.students()).unwrap_or(0),
                    Doer::OneStudent => 1,
                    _ => 0,
                })
                .sum();
            let ways = self.ways[number].iter().zip(&self.problem.tasks[number].ways).enumerate();
            let busy = |long: i32| hands * long;
            let most = ways.clone().filter(|(_, (w, _))| !w.ahead).map(|(_, (_, way))| way.least).max();
            let Some(most) = most.map(busy).filter(|most| *most > 0) else { continue };
            // All that can be done in class, less what is not: so that nothing is left to sum up once the way is known.
            plus -= i64::from(most);
            for (way, (meaning, known)) in ways {
                let less = most - if meaning.ahead { 0 } else { busy(known.least) };
                if less > 0 {
                    sum.push((less, Quantity::Chosen(Choice { task: TaskId(number), way })));
                }
            }
        }
        let step = self.step();
        self.aim("idle-student-minutes", sum, plus, step);
    }

    /// How long the sessions are in all, up to their finish.
    fn aim_finish(&mut self) {
        let sum = self.gone.iter().map(|gone| (1, Quantity::Start(*gone))).collect();
        let plus = self.calendar.sessions.iter().map(|s| -i64::from(s.0)).sum();
        let step = self.step();
        self.aim("session-minutes", sum, plus, step);
    }

    /// How long staff are in the building in all, from the first to the last thing they do in each of their spans.
    fn aim_staff(&mut self) {
        // Day by day: what one day takes at least is far easier to see than what they all take.
        let day = |pair: &[TaskId]| Quantity::Span {
            from: Point::end(pair[0]),
            to: Point::start(pair[1]),
            only_if: Vec::new(),
        };
        let sum = self.off.windows(2).map(|pair| (1, day(pair))).collect();
        let step = self.step();
        self.aim("staff-minutes", sum, 0, step);
    }
}
