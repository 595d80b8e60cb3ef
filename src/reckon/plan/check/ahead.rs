//! What is made ahead may be, and what must be is: by staff, in their hours as written, from what was made ahead too.

use super::super::timetable::PlannedTask;
use super::held::in_common;
use super::{Checker, time};
use crate::course::{Ahead, Hands, Lesson, Step};
use std::collections::BTreeSet;
use std::rc::Rc;

impl<'a> Checker<'a> {
    pub(super) fn ahead(&mut self) {
        let lessons = Rc::clone(&self.lessons);
        for (lesson, written) in self.course.lessons.iter().zip(lessons.iter()) {
            for (place, step) in lesson.steps.iter().enumerate() {
                let word = written.ahead(place);
                for task in self.tasks_of(lesson, step) {
                    self.as_said(step, word, task);
                    if task.made_ahead {
                        self.made_from_ahead(lesson, (place, task));
                    }
                }
            }
        }
        self.in_written_hours();
        let made: BTreeSet<&str> =
            self.plan.tasks.iter().filter(|t| t.made_ahead).map(|t| t.id.as_str()).collect();
        let listed: BTreeSet<&str> = self.plan.made_ahead.iter().map(String::as_str).collect();
        if made != listed {
            self.no("made-ahead", &[], "the plan's list of what is made ahead is another one".into());
        }
    }

    fn as_said(&mut self, step: &Step, word: Ahead, task: &'a PlannedTask) {
        let works = step.hands.value != Hands::Nobody && !step.demo;
        if task.made_ahead && (word == Ahead::Never || !works) {
            self.no("made-ahead", &[task], "is made ahead, and may not be".into());
        }
        if !task.made_ahead && word == Ahead::Always && works {
            self.no("made-ahead", &[task], "is always made ahead, and is not".into());
        }
    }

    /// What staff make ahead, they make from nothing that the class could have left to them and made itself.
    fn made_from_ahead(&mut self, lesson: &'a Lesson, (place, task): (usize, &'a PlannedTask)) {
        let lessons = Rc::clone(&self.lessons);
        let number = self.course.lessons.iter().position(|own| own.id.value == lesson.id.value);
        let Some(written) = number.map(|number| &lessons[number]) else { return };
        for earlier in written.made_from(place).into_iter().filter(|step| *step != place) {
            let step = &lesson.steps[earlier];
            let could = written.ahead(earlier) == Ahead::IfNeeded && step.hands.value == Hands::Students;
            for other in self.tasks_of(lesson, step).into_iter().filter(|_| could) {
                if !other.made_ahead && !other.stations.is_empty() && in_common(task, other) > 0 {
                    self.no("made-ahead", &[other, task], "is made ahead from what the class makes".into());
                }
            }
        }
    }

    fn in_written_hours(&mut self) {
        let hours = self.written_hours();
        for task in self.plan.tasks.iter().filter(|task| task.made_ahead) {
            let (from, to) = time(task);
            if !hours.iter().any(|span| span.0 <= from && to <= span.1) {
                self.no("staff-hours", &[task], "is made ahead outside of the staff's hours".into());
            }
        }
    }
}
