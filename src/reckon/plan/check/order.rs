//! Order, durations, carries and standing times, for each member's own pieces.

use super::super::timetable::PlannedTask;
use super::written::Written;
use super::{Checker, minute, time};
use crate::course::{Lasts, Lesson, Stands, Step};
use crate::reckon::work::{Vessel, Whom};
use std::collections::BTreeSet;
use std::rc::Rc;

/// What is said of a dough or a piece that is not put where it is to stand as soon as it is made.
const UNTIL_ROOM: &str = "until there is room for it";

/// What is said of what is planned to stand when it has been taken up.
const STANDS_ON: &str = "is planned to stand for longer than until it is taken up";

impl super::Broken {
    /// Whether it says no more than that something is planned to stand when it has been taken up.
    #[must_use]
    pub fn is_taken_up_before(&self) -> bool {
        self.rule == "stands" && self.message == STANDS_ON
    }

    /// Whether it says no more than that something waits for a place to stand in.
    #[must_use]
    pub fn waits_for_a_place(&self) -> bool {
        self.rule == "carry" && self.message.ends_with(UNTIL_ROOM)
    }
}

fn begins(task: &PlannedTask) -> i64 {
    minute(&task.start)
}

impl<'a> Checker<'a> {
    pub(super) fn order(&mut self) {
        let lessons = Rc::clone(&self.lessons);
        for (lesson, order) in self.course.lessons.iter().zip(lessons.iter()) {
            for (place, step) in lesson.steps.iter().enumerate() {
                for task in self.tasks_of(lesson, step) {
                    self.duration(step, task);
                    self.after(lesson, order, place, task);
                    self.before(lesson, order, place, task);
                    if step.demo {
                        self.stages(lesson, step, task);
                    }
                    if matches!(step.lasts, Lasts::Stands(_)) {
                        self.taken_up(lesson, order, place, task);
                    }
                }
            }
        }
    }

    pub(super) fn grid(&self) -> i64 {
        self.course.settings.grid.value.get().max(1)
    }

    /// Work takes its usual time, in whole steps of the grid.
    fn duration(&mut self, step: &Step, task: &PlannedTask) {
        let Lasts::Takes { takes, each } = &step.lasts else { return };
        let pieces: i64 = task.members.iter().map(|(_, n)| i64::from(*n)).sum();
        let by_hand = self.batch(task).is_some_and(|b| b.vessel == Vessel::ByHand);
        let first = match &step.by_hand {
            Some(slow) if by_hand => slow.value.usual.get(),
            _ => takes.value.usual.get(),
        };
        let needed = first + each.as_ref().map_or(0, |e| e.value.usual.get() * (pieces - 1).max(0));
        let (from, to) = time(task);
        if to - from < needed || to - from >= needed + self.grid() {
            self.no("takes", &[task], format!("{} min planned, {needed} min needed", to - from));
        }
    }

    /// Steps named with `after` are over, for everyone whom the task is for.
    fn after(&mut self, lesson: &'a Lesson, order: &Written<'_>, place: usize, task: &'a PlannedTask) {
        for named in &lesson.steps[place].after {
            let Some(other_step) = order.place(&named.value).map(|named| &lesson.steps[named]) else {
                continue;
            };
            for other in self.tasks_of(lesson, other_step) {
                let plain = |(whom, _): &&(Whom, u32)| !matches!(whom, Whom::Stage { .. });
                let concerned = task.members.iter().filter(plain);
                let together = concerned.clone().any(|(w, _)| other.members.iter().any(|(o, _)| o == w));
                if together && minute(&task.start) < minute(&other.end) {
                    self.no(
                        "after",
                        &[other, task],
                        "starts before the step that it comes after is over".into(),
                    );
                }
            }
        }
    }

    /// Each member's pieces come from the step before within the carry, and stood long enough and not too long.
    fn before(&mut self, lesson: &'a Lesson, order: &Written<'_>, place: usize, task: &'a PlannedTask) {
        let step = &lesson.steps[place];
        let waited = self.wait_before(task);
        if let (Some(wait), Some(allowed)) = (waited, &step.wait_cold) {
            let (from, to) = time(wait);
            let stands = allowed.stands.value;
            if to - from < stands.least.get() || stands.most.is_some_and(|m| to - from > m.get()) {
                self.no("stands", &[wait], format!("{} min in the cold", to - from));
            }
            if to != minute(&task.start) {
                self.no("carry", &[wait, task], "does not follow its wait in the cold at once".into());
            }
        }
        if waited.is_some() != task.from_cold || (waited.is_some() && step.wait_cold.is_none()) {
            self.no(
                "cold-wait",
                &[task],
                "waits in the cold, or not, otherwise than it goes on from there".into(),
            );
        }
        let begins = begins(waited.unwrap_or(task));
        let mut from: Vec<(&Step, &'a PlannedTask)> = Vec::new();
        for named in order.before(place) {
            let earlier_step = &lesson.steps[*named];
            for earlier in self.tasks_of(lesson, earlier_step) {
                if self.goes_on(lesson, order, (*named, earlier), task) {
                    self.meets(lesson, (earlier_step, earlier), (step, task), begins);
                    from.push((earlier_step, earlier));
                }
            }
        }
        // What is to stand stands as soon as it is made, where nothing else has to come to it and no wait is written.
        if let ([(earlier_step, earlier)], Lasts::Stands(_), None) =
            (from.as_slice(), &step.lasts, &step.carry)
        {
            let wait = begins - minute(&earlier.end);
            if wait > 0 && !matches!(earlier_step.lasts, Lasts::Stands(_)) {
                let text = format!("waits {} {UNTIL_ROOM}", crate::units::Minutes(wait));
                self.no("carry", &[waited.unwrap_or(task)], text);
            }
        }
        if matches!(step.lasts, Lasts::Stands(_)) {
            let (from, to) = time(task);
            let least = self.allowed(step, task).least.get();
            if to - from < least {
                self.no("stands", &[task], format!("{} min planned, at least {least} min needed", to - from));
            }
        }
    }

    /// Whether somebody's pieces go from one task on to another.
    fn goes_on(
        &self,
        lesson: &Lesson,
        order: &Written<'_>,
        (place, earlier): (usize, &PlannedTask),
        task: &PlannedTask,
    ) -> bool {
        let both = |whom: &Whom| task.members.iter().any(|(own, _)| own == whom);
        earlier.members.iter().any(|(whom, _)| both(whom) && !self.past_its_demo(lesson, whom, place, order))
    }

    /// What stands is planned to stand until the last has taken it up, and no longer.
    fn taken_up(&mut self, lesson: &'a Lesson, order: &Written<'_>, place: usize, task: &'a PlannedTask) {
        let own = &lesson.steps[place].id.value;
        let mut taken: Vec<i64> = Vec::new();
        for (later, step) in lesson.steps.iter().enumerate() {
            let shows = step.stages.iter().any(|stage| stage.value == *own);
            if !shows && !order.before(later).contains(&place) {
                continue;
            }
            for taker in self.tasks_of(lesson, step) {
                let shown = |whom: &Whom| matches!(whom, Whom::Stage { demo, up_to } if *demo == step.id.value && up_to == own);
                let is_shown = shows && task.members.iter().any(|(whom, _)| shown(whom));
                if is_shown || (!shows && self.goes_on(lesson, order, (place, task), taker)) {
                    taken.push(begins(self.wait_before(taker).unwrap_or(taker)));
                }
            }
        }
        if taken.iter().max().is_some_and(|last| *last < minute(&task.end)) {
            self.no("stands", &[task], STANDS_ON.to_owned());
        }
    }

    /// The wait in the cold before a task.
    fn wait_before(&self, task: &PlannedTask) -> Option<&'a PlannedTask> {
        let of = |t: &&PlannedTask| {
            t.cold_wait && t.lesson == task.lesson && t.step == task.step && t.group == task.group
        };
        self.plan.tasks.iter().find(of)
    }

    /// A stage that a demo took up goes on from the demo, not from the step that it was brought to.
    fn past_its_demo(&self, lesson: &Lesson, whom: &Whom, step: usize, order: &Written<'_>) -> bool {
        let Whom::Stage { up_to, .. } = whom else { return false };
        let last = lesson.steps.iter().position(|s| s.id.value == *up_to);
        let made_from: BTreeSet<usize> = last.map(|l| order.made_from(l)).unwrap_or_default();
        last == Some(step) || !made_from.contains(&step)
    }

    fn allowed(&self, step: &Step, task: &PlannedTask) -> Stands {
        match (&step.lasts, &step.wait_cold) {
            (_, Some(cold)) if task.from_cold => cold.then.value,
            (Lasts::Stands(stands), _) => stands.value,
            (Lasts::Takes { takes, .. }, _) => {
                Stands { least: takes.value.least, most: Some(takes.value.most) }
            }
        }
    }

    /// One member's pieces pass from one task to the next.
    fn meets(
        &mut self,
        lesson: &Lesson,
        (earlier_step, earlier): (&Step, &'a PlannedTask),
        (step, task): (&Step, &'a PlannedTask),
        begins: i64,
    ) {
        let (from, over) = time(earlier);
        let carry = step.carry.as_ref().filter(|_| !step.demo).map(|c| c.value);
        let (shortest, longest) =
            carry.map_or((0, None), |c| (c.least.get(), c.most.map(crate::units::Minutes::get)));
        if matches!(earlier_step.lasts, Lasts::Stands(_)) {
            let stands = self.allowed(earlier_step, earlier);
            let stood = begins - from;
            let most = match (stands.most, carry.map(|c| c.most)) {
                (Some(most), None) => Some(most.get()),
                (Some(most), Some(Some(wait))) => Some(most.get() + wait.get()),
                (None, _) | (_, Some(None)) => None,
            };
            if stood < stands.least.get() + shortest {
                let least = stands.least.get() + shortest;
                self.no("stands", &[earlier, task], format!("{stood} min, at least {least} min"));
            }
            if let Some(most) = most.filter(|m| stood > *m) {
                self.no("stands", &[earlier, task], format!("{stood} min, at most {most} min"));
            }
            // Until it is taken up it stands where it is.
            if begins > over + longest.unwrap_or(if carry.is_some() { i64::MAX / 4 } else { 0 }) {
                self.no("stands", &[earlier, task], "is out of its place before it is taken up".into());
            }
            return;
        }
        let wait = begins - over;
        if wait < shortest {
            self.no(
                "order",
                &[earlier, task],
                format!("{wait} min after the step before, at least {shortest} min"),
            );
        }
        if let Some(longest) = longest.filter(|l| wait > *l) {
            self.no(
                "carry",
                &[earlier, task],
                format!("{wait} min after the step before, at most {longest} min"),
            );
        }
        if carry.is_none() && !self.keeps(lesson, earlier_step) && !step.demo {
            let night = self.attended().iter().map(|(a, b)| b - a).max().unwrap_or(0);
            if wait > night {
                self.no("carry", &[earlier, task], format!("lies open for {wait} min"));
            }
        }
    }

    fn keeps(&self, lesson: &Lesson, step: &Step) -> bool {
        let Some(formula) = self.course.formula(&lesson.formula.value) else { return false };
        step.on.iter().all(|chain| match &chain.value {
            crate::course::Chain::Part(part) => formula.part(part).is_some_and(|p| p.keep.is_some()),
            crate::course::Chain::Piece => false,
        })
    }

    /// A demo takes its stages up when they have stood long enough and not too long.
    fn stages(&mut self, lesson: &'a Lesson, demo: &Step, task: &'a PlannedTask) {
        for up_to in &demo.stages {
            let Some(step) = lesson.step(&up_to.value) else { continue };
            let stage = Whom::Stage { demo: demo.id.value.clone(), up_to: up_to.value.clone() };
            for earlier in self.tasks_of(lesson, step) {
                if earlier.members.iter().any(|(w, _)| *w == stage) {
                    self.meets(lesson, (step, earlier), (demo, task), minute(&task.start));
                }
            }
        }
    }
}
