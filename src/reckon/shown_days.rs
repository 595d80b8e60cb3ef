//! Demonstrations that are held on another day than the work that they show.

use super::plan::timetable::Plan;
use crate::course::{Course, Lesson, Step};
use crate::finding::Finding;
use jiff::civil::Date;

/// What is told of the demonstrations of a plan: the work that waits for one, and begins on a later day. It decides nothing: a
/// teacher may want it so.
#[must_use]
pub fn shown_on_other_days(course: &Course, plan: &Plan) -> Vec<Finding> {
    let mut found = Vec::new();
    for lesson in &course.lessons {
        for demo in lesson.steps.iter().filter(|step| step.demo) {
            let Some(shown) = days(plan, lesson, demo).max() else { continue };
            for step in lesson.steps.iter().filter(|step| !step.demo && waits_for(step, demo)) {
                let Some(begins) = days(plan, lesson, step).min().filter(|day| *day > shown) else {
                    continue;
                };
                let message = format!(
                    "`{}` of `{}` is shown on {shown}, and `{}`, which waits for it, is done on {begins}",
                    demo.id, lesson.id, step.id
                );
                let finding = Finding::note("shown-on-another-day", demo.id.place, message);
                found.push(
                    finding
                        .also(step.id.place, "what is shown")
                        .about(format!("{}.{}", lesson.id, demo.id))
                        .way_out(format!(
                            "set the same `session` for both in the lesson, or show it once more before `{}`",
                            step.id
                        )),
                );
            }
        }
    }
    found
}

fn waits_for(step: &Step, demo: &Step) -> bool {
    step.after.iter().any(|id| id.value == demo.id.value)
}

/// The days on which a step begins, for whomever of the class.
fn days<'a>(plan: &'a Plan, lesson: &'a Lesson, step: &'a Step) -> impl Iterator<Item = Date> + 'a {
    let own = plan.tasks.iter().filter(|task| {
        task.lesson.as_ref() == Some(&lesson.id.value)
            && task.step == step.id.value
            && !task.cold_wait
            && !task.made_ahead
    });
    own.map(|task| task.start.date())
}
