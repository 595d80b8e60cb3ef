//! The teacher is not there: who takes the class, or what is to be ended.

use super::super::super::timetable::PlannedTask;
use super::super::Absent;
use super::Names;
use crate::course::Where;
use crate::finding::Finding;

impl Names<'_> {
    /// The first helper takes the class, and is no helper any more; where there is none, what runs is to be ended.
    pub(super) fn teacher_gone(&mut self, name: &str) -> Option<Absent> {
        if let Some(helper) = self.course.settings.helpers.first() {
            let helper = &helper.value;
            let message = format!(
                "{name} teaches: {helper} is taken to teach from now on. What the plan gives to the teacher is {helper}'s, and helper-1 is not there any more"
            );
            let way_out = format!(
                "breaks and hours are still {name}'s: look whether {helper} can be there then; where somebody else takes the class, give them this plan"
            );
            self.found.push(Finding::note("taken-as", None, message).way_out(way_out));
            return Some(Absent::Helper(1));
        }
        let runs = |t: &&PlannedTask| t.start <= *self.time && *self.time < t.end && !t.cold_wait;
        let hot = |t: &&PlannedTask| {
            let step = t.lesson.as_ref().and_then(|l| self.course.lesson(l)?.step(&t.step));
            step.is_some_and(|s| matches!(s.place.value, Where::Oven | Where::Hob | Where::Mixer))
        };
        let running = self.plan.tasks.iter().filter(runs).filter(hot);
        let ends: Vec<String> =
            running.map(|t| format!("{} until {}", t.id, t.end.strftime("%H:%M"))).collect();
        let first = if ends.is_empty() {
            "nothing runs in an oven, on a hob or in a mixer now".to_owned()
        } else {
            format!("somebody who may ends what runs and turns it off: {}", ends.join(", "))
        };
        let message = format!("{name} teaches, and there is no helper who could take the class");
        let way_out = format!(
            "{first}; then doughs go into the cold, covered, and students go home. Where somebody comes who can teach, leave --absent out: the plan's teacher is they"
        );
        self.found.push(Finding::error("unknown-person", None, message).way_out(way_out));
        None
    }
}
