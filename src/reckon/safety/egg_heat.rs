//! How hot a part with raw egg must get, by the rule set; where to probe; and what holds egg that is never cooked.

use super::control::{holds_raw_egg, is_dough};
use super::judge::Verdict;
use super::rule_sets::RuleSet;
use crate::course::{Chain, Course, Formula, Lesson, LessonId, Part, PartId, Step, Where};
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

/// A part with raw egg, and what makes it safe to eat.
#[derive(Clone, PartialEq, Debug)]
pub struct EggHeat {
    /// The lesson.
    pub lesson: LessonId,
    /// The part.
    pub part: PartId,
    /// Where it is written.
    pub place: Option<Place>,
    /// What the lesson asks for at its centre; `None`: nothing, or it is never heated.
    pub core: Option<Celsius>,
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
                found.push(heat_of(lesson, part, set));
            }
        }
    }
    found
}

fn in_piece(formula: &Formula, part: &Part) -> bool {
    formula.piece.amounts.iter().any(|(p, _)| p.value == part.id.value)
}

fn heat_of(lesson: &Lesson, part: &Part, set: Option<&RuleSet>) -> EggHeat {
    let first = lesson.steps.iter().position(|s| on(s, &part.id.value));
    let own = lesson
        .steps
        .iter()
        .find(|s| on(s, &part.id.value) && s.core.is_some() && s.place.value != Where::Oven);
    // Of a part that no step names nobody knows whether it is baked; a lesson that names none works on the whole piece.
    let unnamed_all = !lesson.steps.iter().flat_map(|s| &s.on).any(|c| matches!(c.value, Chain::Part(_)));
    // What goes on after the bake is not baked.
    let bake = lesson
        .steps
        .iter()
        .enumerate()
        .find(|(n, s)| s.place.value == Where::Oven && first.map_or(unnamed_all, |first| first <= *n))
        .map(|(_, s)| s);
    let heats: Vec<&Step> = own.into_iter().chain(bake).collect();
    let core = heats.iter().filter_map(|s| s.core.as_ref().and_then(|c| c.value.least)).max();
    let heated = !heats.is_empty();
    let (verdict, row) = judge_core(set, heated, core, is_dough(part));
    EggHeat {
        lesson: lesson.id.value.clone(),
        part: part.id.value.clone(),
        place: part.id.place,
        core,
        heated,
        hold: core.and_then(hold).filter(|s| *s > 0),
        verdict,
        row,
    }
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
    let floor = if household { EGG_DISH } else { EGG_BATCH[0].0 };
    let verdict = match (core < floor, own_table) {
        (true, true) => Verdict::Over,
        (true, false) => Verdict::Warn,
        (false, _) => Verdict::Ok,
    };
    (verdict, row)
}
