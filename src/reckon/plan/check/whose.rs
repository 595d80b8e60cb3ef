//! Whose hands are on a task: those that the lesson and the course write for it.

use super::super::timetable::PlannedTask;
use super::Checker;
use crate::course::Hands;
use crate::reckon::work::Whom;

/// What is said of work that is written for a helper, and is anybody's of the staff in the plan.
const FOR_A_HELPER: &str = "is written for a helper, and staff's in the plan";

impl super::Broken {
    /// Whether it says no more than that somebody else of the staff does what is a helper's.
    #[must_use]
    pub fn wants_a_helper(&self) -> bool {
        self.rule == "hands" && self.message == FOR_A_HELPER
    }
}

impl Checker<'_> {
    pub(super) fn whose(&mut self) {
        for task in &self.plan.tasks {
            let Some(written) = self.written_hands(task) else { continue };
            // Whoever has left is told with the stations.
            let left = written == Hands::Students && task.hands == Hands::Staff && task.stations.is_empty();
            if task.hands != written && !left {
                let text = match (written, task.hands) {
                    (Hands::Helper, Hands::Staff) => FOR_A_HELPER.to_owned(),
                    _ => "is in other hands than it is written for".to_owned(),
                };
                self.no("hands", &[task], text);
            }
            let one = self.step(task).is_some_and(|(_, step)| step.one_student);
            if task.one_student && (!one || task.hands != Hands::Students) {
                self.no("hands", &[task], "one student is planned, and all are needed".into());
            }
            let shown = self.step(task).map(|(_, step)| step.demo);
            let shown = shown.or_else(|| self.own_step(task).map(|(own, _)| own.demo));
            if shown.is_some_and(|shown| shown != task.demo) {
                self.no("hands", &[task], "is shown, or not, otherwise than it is written".into());
            }
        }
    }

    /// Whose hands are written for a task; `None` where it is nothing of the course's.
    fn written_hands(&self, task: &PlannedTask) -> Option<Hands> {
        // The teacher shows where nobody of the staff is named, or where nobody helps.
        let shows = |hands: Hands| match hands {
            Hands::Staff => Hands::Staff,
            Hands::Helper if !self.course.settings.helpers.is_empty() => Hands::Helper,
            _ => Hands::Teacher,
        };
        if let Some((own, _)) = self.own_step(task) {
            return Some(match own.hands.value {
                hands if own.demo => shows(hands),
                _ if own.pause => Hands::Students,
                hands => hands,
            });
        }
        let (_, step) = self.step(task)?;
        let stations = || task.members.iter().any(|(whom, _)| matches!(whom, Whom::Station(_)));
        Some(match step.hands.value {
            _ if task.cold_wait => Hands::Nobody,
            hands if step.demo => shows(hands),
            Hands::Nobody => Hands::Nobody,
            _ if task.made_ahead => Hands::Staff,
            Hands::Students if !stations() => Hands::Staff,
            hands => hands,
        })
    }
}
