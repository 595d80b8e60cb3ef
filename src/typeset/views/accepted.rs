//! What the teacher accepted, on the sheets that it concerns and on no other: not on what goes to suppliers and guests.

use super::common::About;
use super::desk::Desk;
use super::wording::{item_name, spoken};
use crate::course::{Course, ItemId, LessonId, PartId, StepId};
use crate::finding::Finding;
use crate::reckon::safety::OF_TIME_AND_TEMPERATURE;
use jiff::civil::Date;
use std::collections::BTreeSet;

/// A finding that was accepted: what it is about by the names of the course, and the reason.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct AcceptedFinding {
    /// Its code.
    pub code: &'static str,
    /// The lesson that it is about; `None`: it is about the class or its kitchen.
    pub lesson: Option<LessonId>,
    /// What it is about, by names.
    pub what: String,
    /// Whether that is `raw`, `cooked` or `baked`: a key of the catalogue's `[accepted]`.
    pub phase: Option<&'static str>,
    /// Why, as the teacher wrote it.
    pub reason: String,
}

impl AcceptedFinding {
    /// Of a finding and the reason for which it is accepted. A finding says what it is about in ids, one after the other: a lesson,
    /// one of its parts or steps, and something of that.
    #[must_use]
    pub fn of(course: &Course, finding: &Finding, reason: String) -> AcceptedFinding {
        let about = finding.about.as_deref().unwrap_or_default();
        let mut ids = about.split('.').filter(|id| !id.is_empty());
        let first = ids.next().unwrap_or_default();
        let lesson = course.lesson(&LessonId::from(first));
        let formula = lesson.and_then(|l| course.formula(&l.formula.value));
        let mut phase = None;
        let mut rest = Vec::new();
        for id in ids {
            if let Some(known) = ["raw", "cooked", "baked"].into_iter().find(|p| *p == id) {
                phase = Some(known);
                continue;
            }
            let part = formula.and_then(|f| f.part(&PartId::from(id)));
            let step = lesson.and_then(|l| l.step(&StepId::from(id)));
            let named = part.and_then(|p| p.name.as_ref()).or(step.and_then(|s| s.name.as_ref()));
            let item = course.pantry.item(&ItemId::from(id)).filter(|_| part.is_none() && step.is_none());
            rest.push(match (named, item) {
                (Some(name), _) => name.value.clone(),
                (None, Some(item)) => item_name(course, &item.id.value),
                (None, None) => spoken(id),
            });
        }
        let named = lesson.and_then(|l| l.name.as_ref()).or(formula.map(|f| &f.name));
        let first = named.map_or_else(|| spoken(first), |n| n.value.clone());
        let what = if rest.is_empty() { first } else { format!("{first}: {}", rest.join(", ")) };
        AcceptedFinding {
            code: finding.code.0,
            lesson: lesson.map(|l| l.id.value.clone()),
            what,
            phase,
            reason,
        }
    }

    /// As it is printed; `word` gives the catalogue's words of `[accepted]`.
    pub fn text(&self, word: impl Fn(&str) -> Option<String>) -> String {
        let phase = self.phase.map(|p| word(p).unwrap_or_else(|| p.to_owned()));
        let phase = phase.map_or_else(String::new, |p| format!(" ({p})"));
        let code = word(self.code).unwrap_or_else(|| self.code.replace('-', " "));
        let what = if self.what.is_empty() { String::new() } else { format!("{}{phase}: ", self.what) };
        format!("{what}{code}: {}", self.reason)
    }

    fn is_of_food(&self) -> bool {
        OF_TIME_AND_TEMPERATURE.contains(&self.code)
    }
}

impl Desk<'_> {
    /// What a sheet of a day says of its course, with what was accepted of the lessons that it is about.
    pub(super) fn about_lessons(&self, lessons: &BTreeSet<LessonId>) -> About {
        self.about_with(|a| a.lesson.as_ref().is_some_and(|l| lessons.contains(l)))
    }

    /// The same for staff's own sheet of a day: what is about no lesson stands there too.
    pub(super) fn about_day(&self, day: Date) -> About {
        let lessons = self.lessons_on(day);
        self.about_with(|a| a.lesson.as_ref().is_none_or(|l| lessons.contains(l)))
    }

    /// The same for the temperature log: all that is about time and temperature.
    pub fn about_food(&self) -> About {
        self.about_with(AcceptedFinding::is_of_food)
    }

    /// The same for what is made of one lesson at home.
    pub(super) fn about_food_of(&self, lesson: Option<&LessonId>) -> About {
        self.about_with(|a| a.is_of_food() && a.lesson.is_some() && a.lesson.as_ref() == lesson)
    }

    /// The lessons of which something is done on a day.
    pub(super) fn lessons_on(&self, day: Date) -> BTreeSet<LessonId> {
        let tasks = self.plan.tasks.iter().filter(|t| t.start.date() == day || t.end.date() == day);
        tasks.filter_map(|t| t.lesson.clone()).collect()
    }

    fn about_with(&self, concerns: impl Fn(&AcceptedFinding) -> bool) -> About {
        let told = self.accepted.iter().filter(|(finding, _)| concerns(finding));
        About { accepted: told.map(|(_, text)| text.clone()).collect(), ..self.about() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reckon::sample;

    fn accepted(code: &'static str, about: &str) -> AcceptedFinding {
        let finding = Finding::warning(code, None, String::new()).about(about.to_owned());
        AcceptedFinding::of(&sample::course(), &finding, "Read at noon.".to_owned())
    }

    #[test]
    fn what_was_accepted_is_named_in_words() {
        let one = accepted("out-of-cold-too-long", "crown.filling.cooked");
        assert_eq!(one.lesson, Some("crown".into()));
        assert!(!one.what.contains('.') && !one.what.contains("crown.filling"), "{}", one.what);
        let german = |key: &str| (key == "cooked").then(|| "gekocht".to_owned());
        let text = one.text(german);
        assert!(text.contains("(gekocht): out of cold too long: Read at noon."), "{text}");
        // What is about no lesson is about the kitchen.
        assert_eq!(accepted("tray-not-cold", "half-tray").lesson, None);
    }
}
