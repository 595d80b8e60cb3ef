//! Date marking of what is made ahead: made on, and the last day on which it may be used.

use super::bread::fried_at;
use super::control::{holds_raw_egg, is_dough, need};
use super::egg_heat::cooked_from;
use super::exposures::makers;
use super::judge::Verdict;
use super::rule_sets::{Keeps, RuleSet};
use super::rules::row;
use super::trace::{Stay, between, until_taken_up};
use crate::course::{Course, Formula, Ingredient, Lesson, LessonId, Part, PartId, Where};
use crate::reckon::plan::timetable::Plan;
use crate::reckon::recipes::Recipes;
use crate::reckon::scale::variant_of;
use crate::reckon::work::{Class, Whom};
use crate::units::Minutes;
use jiff::civil::Date;
use std::collections::BTreeSet;

/// Food in the cold for longer than this is marked (row `us-date-mark`).
pub const MARKED_AFTER: Minutes = Minutes::hours(24);
/// That days in the freezer do not count, from memory.
const FROZEN: &str = "us-date-mark-frozen";
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
            _ if self.row == FROZEN => {
                "within the rule only where days in the freezer do not count, which was not seen in print: it warns"
            }
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

/// The marks of everything that waits in the cold or the freezer and needs it, one for each part: those of the group whose
/// pieces have it longest. Raw dough is left out: it is not ready to eat.
#[must_use]
pub fn date_marks(
    course: &Course,
    class: &Class,
    recipes: &Recipes,
    plan: &Plan,
    set: &RuleSet,
) -> Vec<DateMark> {
    let mut found = Vec::new();
    for lesson in &course.lessons {
        let Some(formula) = course.formula(&lesson.formula.value) else { continue };
        let whoms = makers(Some(plan), lesson);
        for part in &formula.parts {
            let lives = whoms.iter().filter_map(|whom| {
                let variant = variant_of(class, lesson, whom);
                let made = recipes.get(&formula.id.value, variant).map_or(formula, |r| &r.formula);
                Follow { course, plan, lesson, formula: made, set, whom }.life(&part.id.value)
            });
            // The first of equals.
            let longest = lives.reduce(|a, b| if b.days() > a.days() { b } else { a });
            let Some(life) = longest else { continue };
            let (last, verdict, row) = judge_life(set, &life);
            found.push(DateMark {
                lesson: lesson.id.value.clone(),
                part: part.id.value.clone(),
                made: life.made,
                used: life.used,
                last,
                needs_mark: life.in_the_cold > MARKED_AFTER,
                verdict,
                row,
            });
        }
    }
    found
}

/// From the making of a part to its last use.
#[derive(Clone, Copy)]
struct Life {
    made: Date,
    used: Date,
    /// From when it first goes into the cold or the freezer until it last leaves them.
    in_the_cold: Minutes,
    /// Of it, in the freezer.
    frozen: Minutes,
}

impl Life {
    /// What was made on a day and then stays here; it is used until the last of it. `None`: it never waits in the cold or the freezer.
    fn of(made: Date, stays: &[Stay]) -> Option<Life> {
        let first = stays.iter().find(|s| s.is_cold())?;
        let last = stays.iter().rfind(|s| s.is_cold())?;
        let frozen = stays.iter().filter(|s| s.place == Where::Freezer);
        Some(Life {
            made,
            used: stays.last()?.to.date(),
            in_the_cold: between(&first.from, &last.to),
            frozen: frozen.fold(Minutes::ZERO, |sum, s| sum + s.minutes()),
        })
    }
    fn frozen_days(&self) -> i64 {
        self.frozen.get() / Minutes::hours(24).get()
    }
    fn days(&self) -> i64 {
        let whole = self.made.until(self.used).map_or(0, |span| i64::from(span.get_days()));
        whole - self.frozen_days()
    }
}

/// Days in the freezer do not count (row `us-date-mark-frozen`, from memory): they can make an error a warning, and no more.
fn judge_life(set: &RuleSet, life: &Life) -> (Option<Date>, Verdict, &'static str) {
    let plain = judge_dates(set, life.made, life.used);
    let frozen = life.frozen_days();
    if plain.1 != Verdict::Over || frozen == 0 {
        return plain;
    }
    let later = jiff::Span::new().try_days(frozen).ok().and_then(|days| life.made.checked_add(days).ok());
    match later.map(|made| judge_dates(set, made, life.used)) {
        Some((last, verdict, _)) if verdict < Verdict::Over => (last, Verdict::Warn, FROZEN),
        _ => plain,
    }
}

/// One group's pieces of a lesson.
struct Follow<'a> {
    course: &'a Course,
    plan: &'a Plan,
    lesson: &'a Lesson,
    formula: &'a Formula,
    set: &'a RuleSet,
    whom: &'a Whom,
}

impl Follow<'_> {
    /// `None`: it needs no mark, or never waits in the cold or the freezer.
    fn life(&self, part: &PartId) -> Option<Life> {
        let part = self.formula.part(part)?;
        if !need(self.formula, part, &self.course.pantry).counts() {
            return None;
        }
        let stays = self.stays(&part.id.value);
        if is_dough(self.formula, part, &self.course.pantry) && self.cooked(part, &stays).is_none() {
            return None;
        }
        Life::of(self.made(part, &mut BTreeSet::new())?, &stays)
    }

    fn stays(&self, part: &PartId) -> Vec<Stay> {
        until_taken_up(self.plan, self.lesson, self.formula, part, self.whom)
    }

    /// The day on which it is cooked on the fire. A dough that is fried there is baked, and not cooked.
    fn cooked(&self, part: &Part, stays: &[Stay]) -> Option<Date> {
        let pantry = &self.course.pantry;
        let from = cooked_from(Some(self.set), holds_raw_egg(self.formula, part, pantry));
        let fried = fried_at(self.lesson, self.formula, part, pantry, from).map(|s| &s.id.value);
        let cooks = |s: &&Stay| s.place == Where::Hob && s.cooks(from) && Some(&s.step) != fried;
        stays.iter().find(cooks).map(|s| s.to.date())
    }

    /// The day of its making: that on which it is cooked, or else begun; of what is put together from parts the day of the oldest.
    fn made(&self, part: &Part, seen: &mut BTreeSet<PartId>) -> Option<Date> {
        let id = &part.id.value;
        if !seen.insert(id.clone()) {
            return None;
        }
        let stays = self.stays(id);
        if let Some(cooked) = self.cooked(part, &stays) {
            return Some(cooked);
        }
        let mut days: Vec<Date> = stays.first().map(|s| s.from.date()).into_iter().collect();
        for line in &part.of {
            if let Ingredient::Part(inner) = &line.what.value
                && let Some(inner) = self.formula.part(inner)
                && need(self.formula, inner, &self.course.pantry).counts()
            {
                days.extend(self.made(inner, seen));
            }
        }
        days.into_iter().min()
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::course::StepId;
    use crate::reckon::safety::rule_sets::rule_set;
    use jiff::civil::date;

    /// FDA Food Code 2022, 3-501.17 and 3-501.18: rows `us-date-mark` (seven days, that of the making the first) and
    /// `us-date-mark-frozen` (from memory). Made on 26 February 2027, used on 7 March: the last day is 4 March. With three days in the
    /// freezer it would be 7 March.
    #[test]
    fn days_in_the_freezer_make_an_error_a_warning_and_no_more() {
        let us = rule_set("us-foodcode-2022").unwrap();
        let judged = |frozen: i64| {
            let (made, used) = (date(2027, 2, 26), date(2027, 3, 7));
            let frozen = Minutes::hours(24 * frozen);
            judge_life(us, &Life { made, used, in_the_cold: Minutes::hours(200), frozen })
        };
        assert_eq!(judged(0), (Some(date(2027, 3, 4)), Verdict::Over, "us-date-mark"));
        assert_eq!(judged(2), (Some(date(2027, 3, 4)), Verdict::Over, "us-date-mark"));
        assert_eq!(judged(3), (Some(date(2027, 3, 7)), Verdict::Warn, "us-date-mark-frozen"));
    }

    /// Cooked on 26 February 2027 and kept in the freezer alone until it is used on 7 March, nine days in it. It has a
    /// mark as what is kept in the cold has one, an error becomes a warning (row `us-date-mark-frozen`), and the day of its use is that
    /// of its last stay.
    #[test]
    fn what_is_kept_in_the_freezer_alone_is_marked() {
        let us = rule_set("us-foodcode-2022").unwrap();
        let at = |day: Date, hour| day.at(hour, 0, 0, 0).in_tz("Europe/Dublin").unwrap();
        let stay = |place, from: (Date, i8), to: (Date, i8)| Stay {
            place,
            ..Stay::wait(StepId::new("keep"), at(from.0, from.1), at(to.0, to.1))
        };
        let (made, used) = (date(2027, 2, 26), date(2027, 3, 7));
        let cooked = stay(Where::Hob, (made, 9), (made, 10));
        let kept = |place| {
            [cooked.clone(), stay(place, (made, 10), (used, 10)), stay(Where::Bench, (used, 10), (used, 11))]
        };
        let frozen = Life::of(made, &kept(Where::Freezer)).unwrap();
        assert_eq!((frozen.used, frozen.in_the_cold), (used, Minutes::hours(9 * 24)));
        assert!(frozen.in_the_cold > MARKED_AFTER);
        assert_eq!(judge_life(us, &frozen), (Some(date(2027, 3, 13)), Verdict::Warn, "us-date-mark-frozen"));
        let cold = Life::of(made, &kept(Where::Cold)).unwrap();
        assert_eq!((cold.used, cold.in_the_cold), (frozen.used, frozen.in_the_cold));
        assert_eq!(judge_life(us, &cold), (Some(date(2027, 3, 4)), Verdict::Over, "us-date-mark"));
        // A night in the freezer, and then days on the bench: used when the last of them ends.
        let night = stay(Where::Freezer, (made, 10), (date(2027, 2, 27), 10));
        let late = [cooked.clone(), night, stay(Where::Bench, (date(2027, 2, 27), 10), (used, 11))];
        let late = Life::of(made, &late).unwrap();
        assert_eq!((late.used, late.in_the_cold), (used, Minutes::hours(24)));
        assert_eq!(judge_life(us, &late).1, Verdict::Over);
        // Never in the cold: no mark.
        assert!(Life::of(made, &[cooked]).is_none());
    }
}
