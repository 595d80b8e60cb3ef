//! What stood in a cold place that has failed, and where it can go.
//!
//! The plan knows the food and the other cold places; where the food ends up is decided by hand, in a minute, and not by a plan.

use super::super::timetable::{Plan, PlannedTask};
use super::Now;
use super::keep::kitchen_without;
use crate::course::{Chain, Course, EquipId, ItemId, LessonId, PartId, Shelves, StepId, Where};

/// A cold place that has failed.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct LostCold {
    /// Which.
    pub place: EquipId,
    /// It keeps frozen and not only cold.
    pub frozen: bool,
    /// What of the class stands there now by the printed plan; with several alike, perhaps in another of them.
    pub food: Vec<Food>,
    /// What is kept cold in the pantry, and may stand there too.
    pub stock: Vec<ItemId>,
    /// The cold places that are left, with their shelves.
    pub others: Vec<(EquipId, u32)>,
    /// Steps that need such a place later.
    pub to_come: Vec<(LessonId, StepId)>,
}

/// Food that stands in the cold: what is in it of a lesson.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Food {
    /// The lesson.
    pub lesson: LessonId,
    /// The step in which it stands.
    pub step: StepId,
    /// The parts; none for the pieces.
    pub parts: Vec<PartId>,
}

/// The cold places among what has failed, in the order in which they were named.
#[must_use]
pub fn lost_cold(course: &Course, plan: &Plan, now: &Now) -> Vec<LostCold> {
    let kitchen = &course.kitchen;
    let left = kitchen_without(course, &now.without).kitchen;
    let mut found: Vec<LostCold> = Vec::new();
    for name in &now.without {
        let is = |shelves: &Shelves| shelves.id.value.as_str() == name;
        let (frozen, others) = match (kitchen.cold.iter().any(is), kitchen.freezers.iter().any(is)) {
            (true, _) => (false, &left.cold),
            (false, true) => (true, &left.freezers),
            _ => continue,
        };
        if found.iter().any(|lost| lost.place.as_str() == name) {
            continue;
        }
        let wanted = if frozen { Where::Freezer } else { Where::Cold };
        let there = |task: &&PlannedTask| stands(course, task, wanted);
        let mut food: Vec<Food> = plan
            .tasks
            .iter()
            .filter(there)
            .filter(|task| task.start <= now.time && now.time < task.end && !now.done.contains(&task.id))
            .filter_map(|task| food(course, task))
            .collect();
        food.sort();
        food.dedup();
        let mut to_come: Vec<(LessonId, StepId)> = Vec::new();
        for task in plan.tasks.iter().filter(there).filter(|task| task.start > now.time) {
            let step = task.lesson.clone().map(|lesson| (lesson, task.step.clone()));
            to_come.extend(step.filter(|step| !to_come.contains(step)));
        }
        let place = kitchen.cold.iter().chain(&kitchen.freezers).find(|s| is(s)).map(|s| s.id.value.clone());
        let Some(place) = place else { continue };
        let stock = course.pantry.items.iter().filter(|item| item.cold && !frozen);
        found.push(LostCold {
            place,
            frozen,
            food,
            stock: stock.map(|item| item.id.value.clone()).collect(),
            others: others
                .iter()
                .filter(|s| s.count.value > 0)
                .map(|s| (s.id.value.clone(), s.count.value.saturating_mul(s.shelves.value)))
                .collect(),
            to_come,
        });
    }
    found
}

/// Whether a task stands in a place of that sort.
fn stands(course: &Course, task: &PlannedTask, wanted: Where) -> bool {
    if task.cold_wait {
        return wanted == Where::Cold;
    }
    let step = task.lesson.as_ref().and_then(|lesson| course.lesson(lesson)?.step(&task.step));
    step.is_some_and(|step| step.place.value == wanted)
}

fn food(course: &Course, task: &PlannedTask) -> Option<Food> {
    let lesson = task.lesson.clone()?;
    let step = course.lesson(&lesson)?.step(&task.step)?;
    let part = |chain: &Chain| match chain {
        Chain::Part(part) => Some(part.clone()),
        Chain::Piece => None,
    };
    let parts = step.on.iter().filter_map(|chain| part(&chain.value)).collect();
    Some(Food { lesson, step: task.step.clone(), parts })
}
