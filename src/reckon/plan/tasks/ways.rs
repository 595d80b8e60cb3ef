//! The ways a job can be done: how long, when, by whom, in which bowl or oven.

use super::super::grid::usual;
use super::super::jobs::{Doer, Group, Job, What};
use super::super::problem::{Choice, Link, Reason, TaskId, Way};
use super::Builder;
use crate::course::{Ahead, Lasts, SessionId, Stands, Step, When, Where};
use crate::reckon::work::Vessel;
use crate::units::Minutes;

/// What it means to do a job this way.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug, Default)]
pub struct JobWay {
    /// Staff do it before the session.
    pub ahead: bool,
    /// In this kind of mixer, by its place in the kitchen.
    pub mixer: Option<usize>,
    /// In this oven: the kind's place in the kitchen, and which of that kind, from 0.
    pub oven: Option<(usize, u32)>,
    /// In this attended span, by its place; only where it matters.
    pub span: Option<usize>,
    /// By way of the cold.
    pub cold: bool,
}

/// How long, in slots.
#[derive(Clone, Copy)]
struct Length {
    least: i32,
    most: i32,
    cold: bool,
}

impl Builder<'_> {
    /// One task for each job, with its ways; and the links between ways.
    pub(super) fn add_ways(&mut self) {
        for number in self.numbers() {
            let job = self.job(number);
            let mut meanings = Vec::new();
            let mut ways = Vec::new();
            let sorts: &[bool] = match (job.ahead, self.ask.everything_ahead) {
                (Ahead::Always, _) => &[true],
                (Ahead::IfNeeded, _) => &[false, true],
                (Ahead::Never, _) => &[false],
            };
            for length in self.lengths(number) {
                for ahead in sorts {
                    for base in self.equipment_ways(number) {
                        let meaning = JobWay { ahead: *ahead, cold: length.cold, ..base };
                        if self.dead.contains(&(number, meaning)) {
                            continue;
                        }
                        let (windows, reason) = self.windows(number, &meaning, length.least);
                        let way = Way::ranged(&name_of(&meaning), length.least, length.most);
                        ways.push(way.within(&windows, reason));
                        meanings.push(meaning);
                    }
                }
            }
            self.problem.task(&job.id, ways);
            self.ways.push(meanings);
        }
        self.zero = self.problem.task("start", vec![Way::fixed("", 0).within(&[(0, 0)], Reason::Always)]);
        self.ways.push(Vec::new());
        for number in self.numbers() {
            self.link_cold(number);
            self.link_ahead(number);
        }
    }

    fn lengths(&self, number: usize) -> Vec<Length> {
        let job = self.job(number);
        let grid = &self.calendar.grid;
        let fixed = |time: Minutes| {
            let slots = grid.up(time);
            vec![Length { least: slots, most: slots, cold: false }]
        };
        if let Some((own, _)) = self.jobs.own_of(job) {
            return fixed(own.takes.value.usual);
        }
        let Some((_, step)) = self.jobs.step_of(job) else { return fixed(Minutes::ZERO) };
        let range = |stands: Stands, cold: bool| Length {
            least: grid.up(stands.least),
            most: stands.most.map_or(self.calendar.horizon, |most| grid.down(most)),
            cold,
        };
        if let What::ColdBefore(..) = job.what {
            let straight = Length { least: 0, most: 0, cold: false };
            let wait = step.wait_cold.as_ref().map(|w| range(w.stands.value, true));
            let wait = wait.map(|w| Length { least: w.least.max(1), ..w });
            return [Some(straight), wait].into_iter().flatten().collect();
        }
        match &step.lasts {
            Lasts::Takes { takes, each } => {
                let by_hand = self.jobs.vessel_of(job) == Some(&Vessel::ByHand);
                let slow = step.by_hand.as_ref().filter(|_| by_hand).map(|t| t.value);
                fixed(usual(slow.unwrap_or(takes.value), each.as_ref().map(|e| e.value), job.pieces()))
            }
            Lasts::Stands(stands) => {
                let mut straight = range(stands.value, false);
                if self.jobs.takers(number).next().is_none() {
                    straight.most = straight.least;
                }
                let cold = step.wait_cold.as_ref().filter(|_| self.cold_before(number).is_some());
                let cold = cold.map(|w| range(w.then.value, true));
                [Some(straight), cold].into_iter().flatten().collect()
            }
        }
    }

    /// The wait in the cold that comes before a job, if there can be one.
    fn cold_before(&self, number: usize) -> Option<usize> {
        let mut before = self.job(number).before.iter().copied();
        before.find(|b| matches!(self.job(*b).what, What::ColdBefore(..)))
    }

    /// The bowls or ovens that a job may go into; one way without either for everything else.
    fn equipment_ways(&self, number: usize) -> Vec<JobWay> {
        let job = self.job(number);
        let plain = vec![JobWay::default()];
        match self.place(job) {
            Some(Where::Mixer) if self.bowl_run(number).first() == Some(&number) => {
                let ways: Vec<JobWay> = self
                    .mixer_kinds(job)
                    .into_iter()
                    .map(|m| JobWay { mixer: Some(m), ..JobWay::default() })
                    .collect();
                if ways.is_empty() { plain } else { ways }
            }
            Some(Where::Oven) => {
                let ways = self.oven_ways(number);
                if ways.is_empty() { plain } else { ways }
            }
            _ => plain,
        }
    }

    /// Kinds of mixer that take what a job mixes, by their places in the kitchen; none for what is mixed by hand.
    pub(super) fn mixer_kinds(&self, job: &Job) -> Vec<usize> {
        let kitchen = &self.jobs.course.kitchen;
        match self.jobs.vessel_of(job) {
            Some(Vessel::Mixers(kinds)) => {
                let place =
                    |id: &crate::course::EquipId| kitchen.mixers.iter().position(|m| m.id.value == *id);
                kinds.iter().filter_map(place).collect()
            }
            Some(Vessel::ByHand | Vessel::Other) | None => Vec::new(),
        }
    }

    /// The jobs that one batch spends in its bowl, in order: the bowl is busy from the first to the last.
    pub(super) fn bowl_run(&self, number: usize) -> Vec<usize> {
        let job = self.job(number);
        if !matches!(job.group, Group::Batch(_)) {
            return vec![number];
        }
        let same = |other: &Job| {
            other.group == job.group
                && other.step().map(|s| s.0) == job.step().map(|s| s.0)
                && self.place(other) == Some(Where::Mixer)
                && std::ptr::eq(
                    self.jobs.batch_of(other).map_or(std::ptr::null(), std::ptr::from_ref),
                    self.jobs.batch_of(job).map_or(std::ptr::null(), std::ptr::from_ref),
                )
        };
        self.numbers().filter(|n| same(self.job(*n))).collect()
    }

    fn session_window(&self, id: &SessionId) -> Vec<(i32, i32)> {
        let sessions = &self.jobs.course.sessions;
        let place = sessions.iter().position(|s| s.id.value == *id);
        place.and_then(|p| self.calendar.sessions.get(p)).copied().into_iter().collect()
    }

    /// When a job may be done in this way, and why then.
    fn windows(&mut self, number: usize, way: &JobWay, least: i32) -> (Vec<(i32, i32)>, Reason) {
        let job = self.job(number);
        if let What::Own(own, session) = job.what {
            return (self.own_window(own, session, least), Reason::Always);
        }
        let Some((_, step)) = self.jobs.step_of(job) else { return (Vec::new(), Reason::Always) };
        if self.jobs.is_too_large(job) {
            // No window at all would be any time.
            return (vec![(0, 0)], Reason::Always);
        }
        let wished = step.session.as_ref().map(|s| self.session_window(&s.value));
        let students = matches!(job.doer, Doer::Students | Doer::OneStudent | Doer::Demo(_));
        if way.ahead {
            // Made ahead for a session that is written, it is made before that one.
            let before = wished.and_then(|w| w.first().map(|session| session.0));
            let quiet =
                self.calendar.quiet.iter().map(|(from, to)| (*from, before.map_or(*to, |b| b.min(*to))));
            let mut quiet: Vec<(i32, i32)> = quiet.filter(|(from, to)| from < to).collect();
            if quiet.is_empty() {
                // No window at all would be any time.
                quiet.push((0, 0));
            }
            let quiet = self.while_there(Some(Doer::Staff).filter(|_| job.doer != Doer::Nobody), quiet);
            return (quiet, self.reason("the staff's hours outside the sessions"));
        }
        if students {
            let windows = wished.unwrap_or_else(|| self.calendar.sessions.clone());
            let windows = self.while_there(job.doer.of_staff(), windows);
            return (windows, self.reason("students work in the sessions only"));
        }
        let staff = matches!(job.doer, Doer::Teacher | Doer::Helper | Doer::Staff);
        let place = self.place(job).unwrap_or(Where::Bench);
        if staff || heats(place) || way.oven.is_some() {
            let windows = wished.unwrap_or_else(|| self.calendar.attended.clone());
            let mut windows = self.while_there(job.doer.of_staff(), windows);
            if way.oven.is_some() {
                windows = self.after_preheat(number, way, &windows);
            }
            return (windows, self.reason("the staff's hours"));
        }
        let rests_anywhere = matches!(place, Where::Cold | Where::Freezer | Where::Rack);
        if rests_anywhere || matches!(job.what, What::ColdBefore(..)) || least > self.calendar.longest_span()
        {
            return (Vec::new(), Reason::Always);
        }
        (self.calendar.attended.clone(), self.reason("the staff's hours"))
    }

    fn own_window(&self, own: usize, session: usize, least: i32) -> Vec<(i32, i32)> {
        let Some((from, to)) = self.calendar.sessions.get(session).copied() else { return Vec::new() };
        let when = self.jobs.course.own_steps.get(own).map(|o| o.when.value.clone());
        let grid = &self.calendar.grid;
        match when {
            Some(When::Between(early, late)) => {
                vec![(from + grid.up(early), to.min(from + grid.down(late) + least))]
            }
            _ => vec![(from, to)],
        }
    }

    /// The straight way and the way by the cold are chosen for the wait and for the step together.
    fn link_cold(&mut self, number: usize) {
        let Some(wait) = self.cold_before(number) else { return };
        for (one, other) in [(number, wait), (wait, number)] {
            for (way, meaning) in self.ways[one].clone().iter().enumerate() {
                let same = self.ways[other].iter().position(|w| w.cold == meaning.cold);
                let all = vec![Choice { task: TaskId(one), way }];
                let Some(then) = same.map(|way| Choice { task: TaskId(other), way }) else { continue };
                self.problem.links.push(Link::Implies { all, then, reason: Reason::Always });
            }
        }
    }

    /// What is made ahead is made from what was made ahead.
    fn link_ahead(&mut self, number: usize) {
        if !self.ways[number].iter().any(|w| w.ahead) {
            return;
        }
        let mut earlier: Vec<usize> = Vec::new();
        let mut open = self.job(number).before.clone();
        while let Some(next) = open.pop() {
            if self.ways[next].len() > 1 && self.ways[next].iter().any(|w| w.ahead) {
                earlier.push(next);
            } else {
                open.extend(self.job(next).before.iter().copied());
            }
        }
        earlier.sort_unstable();
        earlier.dedup();
        for before in earlier {
            for (way, _) in self.ways[number].clone().iter().enumerate().filter(|(_, w)| w.ahead) {
                for (other, _) in self.ways[before].clone().iter().enumerate().filter(|(_, w)| !w.ahead) {
                    let all = vec![
                        Choice { task: TaskId(number), way },
                        Choice { task: TaskId(before), way: other },
                    ];
                    self.problem.links.push(Link::Forbids { all, reason: Reason::Always });
                }
            }
        }
    }
}

/// Whether a place needs power and so someone in the building.
pub(super) fn heats(place: Where) -> bool {
    matches!(place, Where::Oven | Where::Hob | Where::Mixer | Where::Warm)
}

fn name_of(way: &JobWay) -> String {
    let mut words = Vec::new();
    if way.ahead {
        words.push("made ahead".to_owned());
    }
    if let Some(kind) = way.mixer {
        words.push(format!("mixer kind {kind}"));
    }
    if let Some((kind, unit)) = way.oven {
        words.push(format!("oven kind {kind} number {unit}"));
    }
    if way.cold {
        words.push("from the cold".to_owned());
    }
    words.join(", ")
}

/// The hands that a step's ends take, in slots at each end.
pub(super) fn end_slots(step: &Step, grid: &super::super::grid::Grid) -> Option<(crate::course::Hands, i32)> {
    step.ends.as_ref().map(|ends| (ends.hands.value, grid.up(ends.takes.value)))
}
