//! The dough temperature of every mix of a class, in the mixer that the plan chose and after the batch that left its bowl.

use super::{BatchTemperature, Mix, for_batch, fridge_of};
use crate::course::{
    Chain, Course, DoughClass, EquipId, Ingredient, ItemId, ItemKind, Lesson, PartId, Step, Where,
};
use crate::reckon::composition::figures;
use crate::reckon::dough_class::classify;
use crate::reckon::formula::PartAmounts;
use crate::reckon::plan::jobs::Group;
use crate::reckon::plan::timetable::{Plan, PlannedTask};
use crate::reckon::recipes::Recipes;
use crate::reckon::work::{Batch, Choice, Vessel};
use crate::units::Celsius;

/// A bowl counts as warm from the dough before when that left it less than an hour ago. Our own estimate; a bowl that was washed
/// in cold water is cold at once.
const STILL_WARM_MINUTES: i64 = 60;

/// One mix with its temperatures.
#[derive(Clone, PartialEq, Debug)]
pub struct MixedBatch {
    /// The batch.
    pub batch: Batch,
    /// The mixer; `None`: by hand.
    pub mixer: Option<EquipId>,
    /// The task that mixes it, where there is a plan.
    pub task: Option<String>,
    /// The liquids whose temperature can be chosen, in the order of the formula.
    pub chosen: Vec<ItemId>,
    /// The liquids that stay as the fridge or the shelf keeps them: egg.
    pub as_kept: Vec<ItemId>,
    /// What the sum says.
    pub temperature: BatchTemperature,
    /// By how many per cent it rises longer, being colder than wanted; `None`: it is not, or that is unknown.
    pub rises_longer: Option<i64>,
}

/// Every batch that a step with an `aim` mixes: lessons in order, batches by number. Without a plan each is the first in its bowl.
pub fn batch_temperatures(
    course: &Course,
    recipes: &Recipes,
    choice: &Choice,
    plan: Option<&Plan>,
) -> Vec<MixedBatch> {
    let mut all = Vec::new();
    for lesson in &course.lessons {
        for step in lesson.steps.iter().filter(|s| s.aim.is_some()) {
            for batch in choice.batches_of(&lesson.id.value, step) {
                let task = plan.and_then(|p| mixing(p, lesson, step, batch));
                all.extend(mixed(course, recipes, lesson, step, batch, plan.zip(task)));
            }
        }
    }
    all
}

fn mixing<'p>(plan: &'p Plan, lesson: &Lesson, step: &Step, batch: &Batch) -> Option<&'p PlannedTask> {
    plan.tasks.iter().find(|t| {
        t.lesson.as_ref() == Some(&lesson.id.value)
            && t.step == step.id.value
            && !t.cold_wait
            && match &t.group {
                Group::Batch(no) => *no == batch.no,
                Group::Class(variant) => *variant == batch.variant,
                _ => false,
            }
    })
}

fn mixed(
    course: &Course,
    recipes: &Recipes,
    lesson: &Lesson,
    step: &Step,
    batch: &Batch,
    planned: Option<(&Plan, &PlannedTask)>,
) -> Option<MixedBatch> {
    let recipe = recipes.get(&lesson.formula.value, batch.variant.as_ref())?;
    let dough = recipe.shares.for_weighed(&batch.part, batch.grams)?;
    let overall = recipe.shares.overall(&batch.part);
    let class = overall.map_or(DoughClass::Rich, |o| classify(&figures(&o, &course.pantry)).class);
    let mixer_id = match &batch.vessel {
        Vessel::Mixers(kinds) => kinds.first(),
        Vessel::ByHand | Vessel::Other => None,
    };
    let mixer = mixer_id.and_then(|id| course.kitchen.mixers.iter().find(|m| m.id.value == *id));
    let before = planned.and_then(|(plan, task)| before(course, plan, task));
    let kept = |fixed: bool| {
        let items = dough.lines.iter().filter_map(|(what, _)| match what {
            Ingredient::Item(id) => course.pantry.item(id).map(|i| (id, i.kind.value)),
            Ingredient::Part(_) => None,
        });
        items
            .filter(|(_, kind)| match kind {
                ItemKind::Water | ItemKind::Milk | ItemKind::Drink => !fixed,
                ItemKind::Egg | ItemKind::Yolk | ItemKind::White => fixed,
                _ => false,
            })
            .map(|(id, _)| id.clone())
            .collect()
    };
    let mix = Mix {
        wanted: step.aim.as_ref()?.value,
        dough: &dough,
        class,
        mixer,
        before,
        part: part_temperature(course, lesson, step, &dough),
    };
    let temperature = for_batch(mix, &course.pantry, &course.kitchen);
    Some(MixedBatch {
        chosen: kept(false),
        as_kept: kept(true),
        rises_longer: temperature.rises_longer(course.settings.conventions.rise.value),
        temperature,
        mixer: mixer_id.cloned(),
        task: planned.map(|(_, t)| t.id.clone()),
        batch: batch.clone(),
    })
}

/// How warm the parts are that go into a dough, by their weights: what stood in the cold until the mix comes cold, all else at the room's
/// temperature.
fn part_temperature(course: &Course, lesson: &Lesson, mix: &Step, dough: &PartAmounts) -> Celsius {
    let room = course.kitchen.room.value;
    let stood_in = |part: &PartId| {
        let own = Chain::Part(part.clone());
        let earlier = lesson.steps.iter().take_while(|s| s.id.value != mix.id.value);
        match earlier.filter(|s| s.on.iter().any(|c| c.value == own)).last().map(|s| s.place.value) {
            // Out of the freezer it thaws in the fridge.
            Some(Where::Cold | Where::Freezer) => fridge_of(&course.kitchen),
            Some(Where::Warm) => {
                course.kitchen.warm.iter().find_map(|w| w.temperature.as_ref()).map_or(room, |t| t.value)
            }
            _ => room,
        }
    };
    let parts = dough.lines.iter().filter_map(|(what, grams)| match what {
        Ingredient::Part(part) => Some((stood_in(part), grams.mg())),
        Ingredient::Item(_) => None,
    });
    let (heat, mass) = parts.fold((0_i128, 0_i64), |(heat, mass), (at, mg)| {
        (heat + i128::from(at.thousandths()) * i128::from(mg), mass + mg)
    });
    if mass > 0 { Celsius::from_thousandths((heat / i128::from(mass)) as i64) } else { room }
}

/// The temperature of the dough that left the same bowl shortly before.
fn before(course: &Course, plan: &Plan, task: &PlannedTask) -> Option<Celsius> {
    let is_mixer = |resource: &str| {
        course.kitchen.mixers.iter().any(|m| {
            resource.strip_prefix(m.id.value.as_str()).is_some_and(|n| n.is_empty() || n.starts_with('-'))
        })
    };
    let bowl = task.uses.iter().map(|u| &u.resource).find(|r| is_mixer(r))?;
    let earlier = plan
        .tasks
        .iter()
        .filter(|t| t.id != task.id && t.end <= task.start && t.uses.iter().any(|u| u.resource == *bowl));
    let last = earlier.max_by(|a, b| a.end.cmp(&b.end))?;
    let minutes = (task.start.timestamp().as_second() - last.end.timestamp().as_second()) / 60;
    if minutes >= STILL_WARM_MINUTES {
        return None;
    }
    course.lesson(last.lesson.as_ref()?)?.step(&last.step)?.aim.as_ref().map(|a| a.value)
}
