//! How a cooked part is cooled, from the plan: how long it stands on the counter, and when each mark of the clocks is due.

use super::judge::{Cooled, Judged, judge_cooling};
use super::rule_sets::{Clock, Cooling as Clocks, RuleSet};
use super::trace::{Stay, until_taken_up};
use crate::course::{Course, LessonId, PartId, StepId, VariantId, Where};
use crate::reckon::plan::jobs::Group;
use crate::reckon::plan::timetable::{Plan, PlannedTask};
use crate::reckon::recipes::Recipes;
use crate::reckon::scale::variant_of;
use crate::reckon::work::Class;
use crate::units::Minutes;
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
    /// When it is off the fire.
    pub cooked: ZonedDateTime,
    /// From then until it is in the cold; `None`: it never goes there before it is used.
    pub on_the_counter: Option<Minutes>,
    /// From the fire until it is used.
    pub until_used: Minutes,
    /// The marks, and when each is due.
    pub marks: Vec<(Clock, ZonedDateTime)>,
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
        if step.core.is_none() || step.place.value == Where::Oven || task.cold_wait {
            continue;
        }
        for chain in &step.on {
            let crate::course::Chain::Part(part) = &chain.value else { continue };
            let Some((whom, _)) = task.members.first() else { continue };
            let Some(recipe) = recipes.get(&lesson.formula.value, variant_of(class, lesson, whom)) else {
                continue;
            };
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
                cooked: task.end.clone(),
                on_the_counter: counter,
                until_used: used,
                marks: marks(set, task, used),
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

/// From the end of a step: the minutes until the cold, if it goes there, and until it is worked on again.
fn after(stays: &[Stay], step: &StepId) -> (Option<Minutes>, Minutes) {
    let after = stays.iter().skip_while(|s| s.step != *step).skip(1);
    let (mut counter, mut spent) = (None, Minutes::ZERO);
    for stay in after {
        if matches!(stay.place, Where::Cold | Where::Freezer) && counter.is_none() {
            counter = Some(spent);
        }
        if stay.worked_on || stay.place == Where::Oven {
            break;
        }
        spent = spent + stay.minutes();
    }
    (counter, spent)
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
