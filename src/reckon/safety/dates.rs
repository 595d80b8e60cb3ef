//! Date marking of what is made ahead: made on, and the last day on which it may be used.

use super::judge::Verdict;
use super::rule_sets::{Keeps, RuleSet};
use super::rules::row;
use super::trace::between;
use crate::course::{Chain, Course, LessonId, PartId, Where};
use crate::reckon::plan::timetable::Plan;
use crate::units::Minutes;
use jiff::civil::Date;

/// Food in the cold for longer than this is marked (row `us-date-mark`).
pub const MARKED_AFTER: Minutes = Minutes::hours(24);
/// A guide's days for what is cooked, chilled and kept (row `uk-cool-use`).
pub const UK_GUIDE_DAYS: u32 = 4;

/// The date mark of one part.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct DateMark {
    /// The lesson.
    pub lesson: LessonId,
    /// The part.
    pub part: PartId,
    /// The day of its making: day 1.
    pub made: Date,
    /// The last day on which the plan uses it.
    pub used: Date,
    /// The last day that the rule set allows; `None`: it does not say.
    pub last: Option<Date>,
    /// It is in the cold for longer than a day.
    pub needs_mark: bool,
    /// The verdict.
    pub verdict: Verdict,
    /// The row; empty where there is none.
    pub row: &'static str,
}

impl DateMark {
    /// Why it has this verdict, in a few words.
    #[must_use]
    pub fn because(&self) -> &'static str {
        match (self.verdict, self.row.is_empty()) {
            (_, true) => "the rule set does not say how long what was made ahead keeps: local codes decide",
            (Verdict::Ok, _) => "used by the last day of the rule, that of the making counted as the first",
            (Verdict::Over, _) => "used after the last day of the rule",
            (Verdict::Warn, _) => "used after the last day of a guide, which warns and does not decide",
            (Verdict::Unknown, _) => {
                "within the days of a guide, which does not decide: nobody can say that it is within the rule"
            }
        }
    }
}

/// The last day, that of the making counted as day 1.
#[must_use]
pub fn last_day(made: Date, days: u32) -> Option<Date> {
    made.checked_add(jiff::Span::new().try_days(i64::from(days.saturating_sub(1))).ok()?).ok()
}

/// The mark of something made on one day and used on another.
#[must_use]
pub fn judge_dates(set: &RuleSet, made: Date, used: Date) -> (Option<Date>, Verdict, &'static str) {
    let keeps = match (set.id, set.keeps) {
        ("uk-england-2013", None) => Some(Keeps { days: UK_GUIDE_DAYS, row: "uk-cool-use" }),
        (_, keeps) => keeps,
    };
    let Some(keeps) = keeps else { return (None, Verdict::Unknown, "") };
    let last = last_day(made, keeps.days);
    let late = last.is_some_and(|last| used > last);
    // A guide and a figure that was not seen in print warn.
    let decides = row(keeps.row).is_some_and(|r| r.decides()) && keeps.row != "uk-cool-use";
    let verdict = match (late, decides) {
        (true, true) => Verdict::Over,
        (true, false) => Verdict::Warn,
        (false, true) => Verdict::Ok,
        (false, false) => Verdict::Unknown,
    };
    (last, verdict, keeps.row)
}

/// The marks of everything cooked that waits in the cold.
#[must_use]
pub fn date_marks(course: &Course, plan: &Plan, set: &RuleSet) -> Vec<DateMark> {
    let mut found: Vec<DateMark> = Vec::new();
    for lesson in &course.lessons {
        for step in lesson.steps.iter().filter(|s| matches!(s.place.value, Where::Cold)) {
            for chain in &step.on {
                let Chain::Part(part) = &chain.value else { continue };
                let cooked = lesson.steps.iter().any(|s| {
                    s.core.is_some()
                        && s.place.value != Where::Oven
                        && s.on.iter().any(|c| c.value == chain.value)
                });
                if !cooked {
                    continue;
                }
                let of = |t: &&crate::reckon::plan::timetable::PlannedTask| {
                    t.lesson.as_ref() == Some(&lesson.id.value) && t.step == step.id.value && !t.cold_wait
                };
                let stays: Vec<_> = plan.tasks.iter().filter(of).collect();
                let (Some(first), Some(last)) =
                    (stays.iter().map(|t| &t.start).min(), stays.iter().map(|t| &t.end).max())
                else {
                    continue;
                };
                let (made, used) = (first.date(), last.date());
                let (limit, verdict, row) = judge_dates(set, made, used);
                found.push(DateMark {
                    lesson: lesson.id.value.clone(),
                    part: part.clone(),
                    made,
                    used,
                    last: limit,
                    needs_mark: between(first, last) > MARKED_AFTER,
                    verdict,
                    row,
                });
            }
        }
    }
    found
}
