//! How much yeast for a rise of another length, at another temperature: an estimate from what each lesson says is known to work.
use super::home::main_dough;
use super::recipes::Recipes;
use super::yeast::{Estimate, Known, yeast_for};
use crate::course::{
    Chain, Course, Formula, FormulaId, Hands, Ingredient, ItemId, ItemKind, Lasts, Lesson, PartId, Share,
    Step, StepId, Where,
};
use crate::units::{Celsius, Minutes, Percent};

/// The yeast of one formula for another rise.
#[derive(Clone, PartialEq, Debug)]
pub struct OtherRise {
    /// The formula.
    pub formula: FormulaId,
    /// Its main dough.
    pub part: PartId,
    /// The step that is its rise.
    pub step: StepId,
    /// The yeast.
    pub item: ItemId,
    /// What the lesson says: so much yeast, so long, so warm.
    pub known: Known,
    /// So much for the other rise; `None` where that can't be reckoned.
    pub about: Option<Estimate<Percent>>,
}

/// For each lesson whose dough has one kind of yeast of its own and a rise by itself: the yeast for a rise of `time` at `at`.
pub fn for_rise(course: &Course, recipes: &Recipes, time: Minutes, at: Celsius) -> Vec<OtherRise> {
    let one = |lesson: &Lesson| {
        let formula = course.formula(&lesson.formula.value)?;
        recipes.get(&formula.id.value, None)?;
        let (part, item, yeast) = own_yeast(course, formula)?;
        let (step, lasts) = rise(lesson, &part)?;
        let known = Known { yeast, time: lasts, at: warmth(course, lesson, &part, step) };
        Some(OtherRise {
            formula: formula.id.value.clone(),
            about: yeast_for(known, time, at, course.settings.conventions.rise.value),
            step: step.id.value.clone(),
            part,
            item,
            known,
        })
    };
    course.lessons.iter().filter_map(one).collect()
}

/// The one yeast that the main dough takes directly; that of a preferment has done its work before.
fn own_yeast(course: &Course, formula: &Formula) -> Option<(PartId, ItemId, Percent)> {
    let part = main_dough(formula)?;
    let mut yeasts = part.of.iter().filter_map(|line| {
        let Ingredient::Item(id) = &line.what.value else { return None };
        let kind = course.pantry.item(id)?.kind.value;
        let yeast = matches!(kind, ItemKind::FreshYeast | ItemKind::DryYeast | ItemKind::InstantYeast);
        let Share::Percent(share) = line.share.value else { return None };
        yeast.then(|| (part.id.value.clone(), id.clone(), share))
    });
    let first = yeasts.next()?;
    yeasts.next().is_none().then_some(first)
}

/// The first step in which the dough stands by itself where it is not cold, and the middle of its time.
fn rise<'l>(lesson: &'l Lesson, part: &PartId) -> Option<(&'l Step, Minutes)> {
    lesson.steps.iter().find_map(|step| {
        let Lasts::Stands(stands) = &step.lasts else { return None };
        let own = on(step, part) && step.hands.value == Hands::Nobody;
        let warm = matches!(step.place.value, Where::Room | Where::Warm);
        let stands = stands.value;
        let middle = stands.most.map_or(stands.least, |m| Minutes((stands.least.get() + m.get()) / 2));
        (own && warm).then_some((step, middle))
    })
}

fn on(step: &Step, part: &PartId) -> bool {
    step.on.iter().any(|c| matches!(&c.value, Chain::Part(p) if p == part))
}

/// The dough's own temperature from the mix, or else that of the place where it rises.
fn warmth(course: &Course, lesson: &Lesson, part: &PartId, rise: &Step) -> Celsius {
    let aim = lesson.steps.iter().filter(|s| on(s, part)).find_map(|s| s.aim.as_ref()).map(|a| a.value);
    let proofer = course.kitchen.warm.iter().find_map(|w| w.temperature.as_ref()).map(|t| t.value);
    aim.unwrap_or(match (rise.place.value, proofer) {
        (Where::Warm, Some(warm)) => warm,
        _ => course.kitchen.room.value,
    })
}
