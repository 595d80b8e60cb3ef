//! How a cooked part is cooled, from the plan: how long it stands on the counter, and when each mark of the clocks is due.

use super::bread::fried_at;
use super::control::{holds_raw_egg, is_dough, need};
use super::egg_heat::cooked_from;
use super::judge::{Cooled, Judged, judge_cooling};
use super::rule_sets::{Clock, Cooling as Clocks, RuleSet};
use super::trace::{Stay, until_taken_up};
use crate::course::{Course, LessonId, Part, PartId, StepId, VariantId, Where};
use crate::reckon::plan::jobs::Group;
use crate::reckon::plan::timetable::{Plan, PlannedTask};
use crate::reckon::recipes::Recipes;
use crate::reckon::scale::variant_of;
use crate::reckon::work::Class;
use crate::units::{Celsius, Minutes};
use jiff::ZonedDateTime;

/// One cooked part that is cooled, one pan at a time.
#[derive(Clone, PartialEq, Debug)]
pub struct Cooling {
    /// The lesson.
    pub lesson: LessonId,
    /// The part.
    pub part: PartId,
    /// The variant that this pan is of.
    pub variant: Option<VariantId>,
    /// The step that cooks it.
    pub step: StepId,
    /// Whose pan it is.
    pub group: Group,
    /// When it is off the fire.
    pub cooked: ZonedDateTime,
    /// From then until it is in the cold; `None`: it never goes there before it is used.
    pub on_the_counter: Option<Minutes>,
    /// From the fire until it is used.
    pub until_used: Minutes,
    /// The marks, and when each is due.
    pub marks: Vec<(Clock, ZonedDateTime)>,
    /// What the lesson asks for where it cools, and when it is read; `None`: nothing.
    pub read: Option<(Celsius, ZonedDateTime)>,
    /// The verdict, without a reading.
    pub judged: Judged,
}

/// The coolings of a plan, by the clock.
#[must_use]
pub fn coolings(
    course: &Course,
    class: &Class,
    recipes: &Recipes,
    plan: &Plan,
    set: &'static RuleSet,
) -> Vec<Cooling> {
    let mut found: Vec<Cooling> = Vec::new();
    for task in &plan.tasks {
        let Some(lesson) = task.lesson.as_ref().and_then(|l| course.lesson(l)) else { continue };
        let Some(step) = lesson.step(&task.step) else { continue };
        let core = step.core.as_ref().and_then(|c| c.value.least);
        let Some(core) = core.filter(|_| step.place.value == Where::Hob && !task.cold_wait) else { continue };
        for chain in &step.on {
            let crate::course::Chain::Part(part) = &chain.value else { continue };
            let Some((whom, _)) = task.members.first() else { continue };
            let Some(recipe) = recipes.get(&lesson.formula.value, variant_of(class, lesson, whom)) else {
                continue;
            };
            let (formula, pantry) = (&recipe.formula, &course.pantry);
            let from = |p: &Part| cooked_from(Some(set), holds_raw_egg(formula, p, pantry));
            let made = formula.part(part);
            if core < made.map_or_else(|| cooked_from(Some(set), false), from) {
                continue;
            }
            // Bread is cooled as bread is, whether the oven or the fire made it; and the oil that it is fried in is no food of its own.
            // What else is fried with it and needs the cold is cooled as before.
            let fries = |p: &Part| {
                fried_at(lesson, formula, p, pantry, from(p)).is_some_and(|s| s.id.value == step.id.value)
            };
            let own =
                made.is_some_and(|p| need(formula, p, pantry).counts() && !is_dough(formula, p, pantry));
            if !own && formula.parts.iter().any(fries) {
                continue;
            }
            // The counter counts for the members that wait longest.
            let all = task.members.iter().map(|(whom, _)| {
                let stays = until_taken_up(plan, lesson, &recipe.formula, part, whom);
                after(&stays, &task.step)
            });
            let Some((counter, used)) = all.max_by_key(|(counter, used)| (counter.unwrap_or(*used), *used))
            else {
                continue;
            };
            let on = counter.unwrap_or(used);
            let cooled = Cooled { first: None, in_all: None, on_the_counter: on };
            found.push(Cooling {
                lesson: lesson.id.value.clone(),
                part: part.clone(),
                variant: variant_in(&task.group),
                step: task.step.clone(),
                group: task.group.clone(),
                cooked: task.end.clone(),
                on_the_counter: counter,
                until_used: used,
                marks: marks(set, task, used),
                read: {
                    let stays = until_taken_up(plan, lesson, &recipe.formula, part, whom);
                    stays.into_iter().filter(|s| s.from >= task.end).find_map(|s| Some((s.read?, s.to)))
                },
                judged: judge_cooling(set, &cooled),
            });
        }
    }
    found
}

fn variant_in(group: &Group) -> Option<VariantId> {
    match group {
        Group::Class(variant) => variant.clone(),
        _ => None,
    }
}

/// From the end of a step: the minutes until the cold, whether hands work on it or not, if it goes there before an oven; and until it
/// is worked on, after the cold where there is one.
fn after(stays: &[Stay], step: &StepId) -> (Option<Minutes>, Minutes) {
    let after: Vec<&Stay> =
        stays.iter().skip_while(|s| s.step != *step).skip(1).take_while(|s| s.place != Where::Oven).collect();
    let until = |end: usize| after[..end].iter().fold(Minutes::ZERO, |sum, s| sum + s.minutes());
    let cold = after.iter().position(|s| s.is_cold());
    let begin = cold.unwrap_or(0);
    let used = after[begin..].iter().position(|s| s.worked_on).map_or(after.len(), |n| begin + n);
    (cold.map(until), until(used))
}

/// The marks that fall before the food is used, each with the moment by which it must be reached.
fn marks(set: &RuleSet, task: &PlannedTask, used: Minutes) -> Vec<(Clock, ZonedDateTime)> {
    let due = |clock: Clock, after: Minutes| {
        let span = jiff::Span::new().try_minutes(after.get()).ok()?;
        (after <= used).then_some(())?;
        task.end.checked_add(span).ok().map(|at| (clock, at))
    };
    match set.cooling {
        Clocks::Total(first, all) => {
            [due(first, first.within), due(all, all.within)].into_iter().flatten().collect()
        }
        Clocks::Two(first, then) => {
            [due(first, first.within), due(then, first.within + then.within)].into_iter().flatten().collect()
        }
        Clocks::One(only) => due(only, only.within).into_iter().collect(),
        Clocks::None | Clocks::Guide(..) => Vec::new(),
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::reckon::safety::judge::Verdict;
    use crate::reckon::safety::rule_sets::rule_set;

    /// Cooked, then so many minutes in each place; hands work on it on the bench.
    fn after_the_fire(places: &[(Where, i64)]) -> (Option<Minutes>, Minutes) {
        let mut at: ZonedDateTime = "2027-03-06T10:00[Europe/Dublin]".parse().unwrap();
        let mut stays = Vec::new();
        for (n, (place, minutes)) in std::iter::once(&(Where::Hob, 15)).chain(places).enumerate() {
            let from = at.clone();
            at = at.checked_add(jiff::Span::new().minutes(*minutes)).unwrap();
            let step = StepId::new(format!("step-{n}"));
            let worked_on = *place == Where::Bench;
            stays.push(Stay { place: *place, worked_on, ..Stay::wait(step, from, at.clone()) });
        }
        after(&stays, &StepId::new("step-0"))
    }

    /// Three hours of work at the bench before the cold are three hours on the counter: beyond the 120 min of row `us-cool-stage1`
    /// (FDA Food Code 2022, 3-501.14(A)(1)) and of `au-cool` (Standard 3.2.2, clause 7(3)).
    #[test]
    fn work_before_the_cold_is_time_on_the_counter() {
        let (counter, used) = after_the_fire(&[(Where::Bench, 180), (Where::Cold, 300), (Where::Bench, 10)]);
        assert_eq!((counter, used), (Some(Minutes(180)), Minutes(480)));
        for (id, row) in [("us-foodcode-2022", "us-cool-stage1"), ("au-322", "au-cool")] {
            let cooled = Cooled { first: None, in_all: None, on_the_counter: counter.unwrap() };
            let judged = judge_cooling(rule_set(id).unwrap(), &cooled);
            assert_eq!((judged.verdict, judged.row), (Verdict::Over, row));
        }
    }

    /// What never goes into the cold is used when hands take it up; what is baked is not cooled any more.
    #[test]
    fn without_the_cold_it_is_used_when_it_is_taken_up() {
        assert_eq!(after_the_fire(&[(Where::Room, 60), (Where::Bench, 20)]), (None, Minutes(60)));
        assert_eq!(
            after_the_fire(&[(Where::Bench, 20), (Where::Oven, 15), (Where::Cold, 90)]),
            (None, Minutes::ZERO)
        );
    }
}
