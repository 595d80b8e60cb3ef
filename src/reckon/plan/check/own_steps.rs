//! The class's own steps: welcome, hand washing, breaks, tasting, clean-down. Each as long as it is written, in its own session, and where
//! in it.

use super::super::jobs::Group;
use super::super::timetable::PlannedTask;
use super::{Checker, minute, time};
use crate::course::{Hands, OwnStep, Session, When};

impl<'a> Checker<'a> {
    pub(super) fn own_steps(&mut self) {
        self.sessions_as_written();
        self.lengths();
        self.own_order();
    }

    /// The plan's sessions are those of the course.
    fn sessions_as_written(&mut self) {
        let (written, planned) = (&self.course.sessions, &self.plan.sessions);
        if written.len() != planned.len() {
            self.no("session", &[], format!("{} sessions of {} are planned", planned.len(), written.len()));
        }
        for (own, planned) in written.iter().zip(planned) {
            let same = own.id.value == planned.id
                && minute(&own.from.value) == minute(&planned.start)
                && minute(&own.to.value) == minute(&planned.end);
            if !same || minute(&planned.finish) < minute(&planned.start) {
                self.no("session", &[], format!("{} is not where it is written", own.id.value));
            }
        }
    }

    /// Each is as long as it is written, lies in its own session, and everyone is there who should be.
    fn lengths(&mut self) {
        for task in self.plan.tasks.iter().filter(|task| task.lesson.is_none()) {
            let Some((own, session)) = self.own_step(task) else { continue };
            let (from, to) = time(task);
            let needed = own.takes.value.usual.get();
            if to - from < needed || to - from >= needed + self.grid() {
                self.no("takes", &[task], format!("{} min planned, {needed} min needed", to - from));
            }
            let (begin, end) = self.sessions()[session];
            if from < begin || to > end {
                self.no("session", &[task], "is not in its session".into());
            }
            let all = own.demo || own.pause || own.hands.value == Hands::Students;
            if all && self.class.stations.iter().any(|station| !task.stations.contains(&station.no)) {
                self.no("hands", &[task], "students of a station are missing".into());
            }
        }
    }

    /// Which of the class's own steps a task is, and in which session, by its place.
    pub(super) fn own_step(&self, task: &PlannedTask) -> Option<(&'a OwnStep, usize)> {
        let Group::Session(id) = &task.group else { return None };
        let session = self.course.sessions.iter().position(|session| session.id.value == *id)?;
        let own = self.course.own_steps.iter().find(|own| own.id.value == task.step)?;
        Some((own, session)).filter(|_| task.lesson.is_none())
    }

    /// The class's own steps lie where they should in their session.
    fn own_order(&mut self) {
        for session in &self.course.sessions {
            let planned = |id: &str| {
                let id = format!("class.{id}@{}", session.id.value);
                self.plan.tasks.iter().find(|t| t.id == id)
            };
            let mut found: Vec<(&PlannedTask, &OwnStep)> = Vec::new();
            for own in &self.course.own_steps {
                found.extend(planned(own.id.value.as_str()).map(|t| (t, own)));
            }
            let opening = minute(&session.from.value);
            let mut next = opening;
            let mut wrong: Vec<(&'static str, Vec<&PlannedTask>, String)> = Vec::new();
            for (task, own) in &found {
                let (from, to) = time(task);
                match own.when.value {
                    When::First => {
                        if from != next {
                            wrong.push(("own-step", vec![task], "is not at the start of its session".into()));
                        }
                        next = to;
                        wrong.extend(self.overtaken(session, task));
                    }
                    When::Between(early, late) => {
                        if from < opening + early.get() || from > opening + late.get() {
                            wrong.push((
                                "own-step",
                                vec![task],
                                format!(
                                    "{} min into the session, and not {} to {}",
                                    from - opening,
                                    early.get(),
                                    late.get()
                                ),
                            ));
                        }
                    }
                    When::Last | When::Any => {}
                }
                for after in &own.after {
                    let (lesson, step) = &after.value;
                    let of = self
                        .plan
                        .tasks
                        .iter()
                        .filter(|t| t.lesson.as_ref() == Some(lesson) && t.step == *step && !t.cold_wait);
                    for other in of.filter(|t| minute(&t.end) > from) {
                        wrong.push(("after", vec![other, task], "is not over yet".into()));
                    }
                }
            }
            let last: Vec<&PlannedTask> =
                found.iter().filter(|(_, own)| own.when.value == When::Last).map(|(t, _)| *t).collect();
            for pair in last.windows(2) {
                if minute(&pair[0].end) > minute(&pair[1].start) {
                    wrong.push(("own-step", pair.to_vec(), "are in the wrong order".into()));
                }
            }
            let finish = self.plan.sessions.iter().find(|planned| planned.id == session.id.value);
            if let Some((closing, finish)) = last.last().zip(finish.map(|planned| minute(&planned.finish)))
                && minute(&closing.end) != finish
            {
                wrong.push(("own-step", vec![closing], "is not at the end of its session".into()));
            }
            if let Some(first) = last.first() {
                let (from, to) =
                    (opening, self.sessions().iter().find(|s| s.0 == opening).map_or(0, |s| s.1));
                for task in self.plan.tasks.iter().filter(|t| t.lesson.is_some() && !t.stations.is_empty()) {
                    let (a, b) = time(task);
                    if a >= from && b <= to && b > minute(&first.start) {
                        let text = format!("ends after class.{} begins, which comes last of all", first.step);
                        wrong.push(("own-step", vec![task, first], text));
                    }
                }
            }
            for (rule, tasks, message) in wrong {
                self.no(rule, &tasks, message);
            }
        }
    }

    /// What students do in a session before what is first in it is over.
    fn overtaken(
        &self,
        session: &Session,
        first: &'a PlannedTask,
    ) -> Vec<(&'static str, Vec<&'a PlannedTask>, String)> {
        let opening = minute(&session.from.value);
        let early = |t: &&PlannedTask| {
            let (from, _) = time(t);
            t.lesson.is_some() && !t.stations.is_empty() && opening <= from && from < minute(&first.end)
        };
        let text = || format!("begins before class.{} is over, which comes first of all", first.step);
        self.plan.tasks.iter().filter(early).map(|t| ("first", vec![t, first], text())).collect()
    }
}
