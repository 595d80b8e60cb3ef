//! How hot a part with raw egg must get, by the rule set; where to probe; and what holds egg that is never cooked.

use super::control::{holds_raw_egg, is_dough};
use super::judge::Verdict;
use super::rule_sets::RuleSet;
use super::trace::steps_of;
use crate::course::{Chain, Course, Formula, Lesson, LessonId, Part, PartId, Step, StepId, Where};
use crate::finding::Place;
use crate::units::Celsius;

/// Temperature and the seconds it must be held, for pooled or batched egg (row `us-egg-batch`, FDA Food Code 2022,
/// 3-401.11(A)(2)).
pub const EGG_BATCH: [(Celsius, u32); 4] =
    [(Celsius::whole(63), 180), (Celsius::whole(66), 60), (Celsius::whole(68), 17), (Celsius::whole(70), 0)];
/// Egg dishes of a household, at the centre (row `us-egg-dish-consumer`).
pub const EGG_DISH: Celsius = Celsius::whole(71);

/// How long a core temperature must be held; `None`: it is below the table.
#[must_use]
pub fn hold(core: Celsius) -> Option<u32> {
    EGG_BATCH.iter().rev().find(|(at, _)| core >= *at).map(|(_, seconds)| *seconds)
}

/// The least that egg must reach by a rule set: that of a household for one, else where the table begins.
#[must_use]
pub fn floor(set: Option<&RuleSet>) -> Celsius {
    if set.is_some_and(|s| s.id == "us-consumer") { EGG_DISH } else { EGG_BATCH[0].0 }
}

/// From how hot at its centre a part is cooked: where the rule set holds food hot, and never below what raw egg in it must reach.
#[must_use]
pub fn cooked_from(set: Option<&RuleSet>, raw_egg: bool) -> Celsius {
    match set.and_then(|s| s.hot_min) {
        Some(hot) if raw_egg => hot.max(floor(set)),
        Some(hot) => hot,
        None => floor(set),
    }
}

/// A part with raw egg, and what makes it safe to eat.
#[derive(Clone, PartialEq, Debug)]
pub struct EggHeat {
    /// The lesson.
    pub lesson: LessonId,
    /// The part.
    pub part: PartId,
    /// Where it is written.
    pub place: Option<Place>,
    /// What the lesson asks for at its centre: the least, or a most that is too little; `None`: nothing, or it is never heated.
    pub core: Option<Celsius>,
    /// The step at which that is read.
    pub step: Option<StepId>,
    /// It is cooked or baked.
    pub heated: bool,
    /// The seconds for which that temperature must be held.
    pub hold: Option<u32>,
    /// The verdict.
    pub verdict: Verdict,
    /// The row.
    pub row: &'static str,
}

/// Every part with raw egg of every lesson.
#[must_use]
pub fn egg_heats(course: &Course, set: Option<&RuleSet>) -> Vec<EggHeat> {
    let mut found = Vec::new();
    for lesson in &course.lessons {
        let Some(formula) = course.formula(&lesson.formula.value) else { continue };
        for part in &formula.parts {
            if holds_raw_egg(formula, part, &course.pantry) && in_piece(formula, part) {
                let dough = is_dough(formula, part, &course.pantry);
                found.push(heat_of(lesson, formula, part, dough, set));
            }
        }
    }
    found
}

fn in_piece(formula: &Formula, part: &Part) -> bool {
    formula.piece.amounts.iter().any(|(p, _)| p.value == part.id.value)
}

fn heat_of(lesson: &Lesson, formula: &Formula, part: &Part, dough: bool, set: Option<&RuleSet>) -> EggHeat {
    let cooks = |s: &&Step| on(s, &part.id.value) && s.core.is_some() && s.place.value == Where::Hob;
    // What goes on after the bake is not baked (row `bake-wash`): the bake must be made from it.
    let mut heats: Vec<&Step> = lesson.steps.iter().filter(cooks).collect();
    heats.extend(bakes_of(lesson, formula, part));
    let core = |s: &Step| s.core.as_ref().map(|c| c.value);
    let asked = |of: &dyn Fn(&Step) -> Option<Celsius>| {
        heats.iter().filter_map(|s| of(s).map(|at| (at, *s))).max_by_key(|(at, _)| *at)
    };
    let least = asked(&|s| core(s)?.least);
    // Where only a most is asked for, no more than that is reached, and it may be less.
    let most = asked(&|s| core(s).filter(|c| c.least.is_none())?.most);
    let enough = |(at, _): &(Celsius, &Step)| *at >= floor(set);
    let hottest = match (least, most) {
        (Some(least), _) if enough(&least) => Some(least),
        (_, Some(most)) if enough(&most) => None,
        (least, most) => least.into_iter().chain(most).max_by_key(|(at, _)| *at),
    };
    let core = hottest.map(|(at, _)| at);
    let (verdict, row) = judge_core(set, !heats.is_empty(), core, dough);
    EggHeat {
        lesson: lesson.id.value.clone(),
        part: part.id.value.clone(),
        place: part.id.place,
        core,
        step: hottest.map(|(_, s)| s.id.value.clone()),
        heated: !heats.is_empty(),
        hold: core.and_then(hold).filter(|s| *s > 0),
        verdict,
        row,
    }
}

/// The bakes that a part goes through.
fn bakes_of<'a>(lesson: &'a Lesson, formula: &Formula, part: &Part) -> Vec<&'a Step> {
    let baked = |s: &&Step| s.place.value == Where::Oven;
    if lesson.steps.iter().any(|s| on(s, &part.id.value)) {
        return steps_of(lesson, formula, &part.id.value).into_iter().filter(baked).collect();
    }
    // Of a part that no step names nobody knows whether it is baked; a lesson that names none works on the whole piece.
    let unnamed_all = !lesson.steps.iter().flat_map(|s| &s.on).any(|c| matches!(c.value, Chain::Part(_)));
    lesson.steps.iter().filter(|_| unnamed_all).filter(baked).collect()
}

fn on(step: &Step, part: &PartId) -> bool {
    step.on.iter().any(|c| matches!(&c.value, Chain::Part(p) if p == part))
}

/// What a rule set says of a core temperature. Outside the United States the table is borrowed, and only warns.
#[must_use]
pub fn judge_core(
    set: Option<&RuleSet>,
    heated: bool,
    core: Option<Celsius>,
    dough: bool,
) -> (Verdict, &'static str) {
    let household = set.is_some_and(|s| s.id == "us-consumer");
    let own_table = household || set.is_some_and(|s| s.id == "us-foodcode-2022");
    let row = if household { "us-egg-dish-consumer" } else { "us-egg-batch" };
    if !heated {
        return (Verdict::Warn, "us-egg-pasteurized");
    }
    let Some(core) = core else {
        // Bread that is baked through is far above the limit; its core is a matter of quality.
        return (if dough { Verdict::Ok } else { Verdict::Unknown }, row);
    };
    let verdict = match (core < floor(set), own_table) {
        (true, true) => Verdict::Over,
        (true, false) => Verdict::Warn,
        (false, _) => Verdict::Ok,
    };
    (verdict, row)
}
