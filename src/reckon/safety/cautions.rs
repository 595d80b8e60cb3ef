//! The cautions of a step: those that the teacher wrote, then those that follow from what is done there.
//!
//! Short and per step; their words are the catalogue's `[danger]`. They rest on trade practice and on rows `mixer-nz`,
//! `knife`, `burn-oven`, `dust-control`, `us-raw-flour`, `us-egg-pasteurized`; for bread that cools, `cool-slice`.

use super::control::{holds_raw_egg, is_dough, is_of_flour, may_hold_raw_egg};
use super::egg_heat::EGG_BATCH;
use super::then_cold::into_cold;
use crate::course::{Chain, Course, Formula, Hands, Lasts, Lesson, Pantry, Part, Step, Where};
use crate::course::{Ingredient, ItemKind, Share};
use rust_decimal::Decimal;

/// Of a cooked part so much is sugar, in hundredths, from where it is handled as hot sugar: it sticks and burns.
const SUGARY: i64 = 50;

/// The caution that hangs on egg alone.
const RAW_EGG: &str = "raw-egg";

/// The keys of a step's cautions where it makes this formula: a variant's own, so that who works without egg is not told of raw
/// egg. `None` where the formula does not resolve: then what was written stands, as it was written.
#[must_use]
pub fn cautions(course: &Course, lesson: &Lesson, formula: Option<&Formula>, step: &Step) -> Vec<String> {
    let any_raw_egg = |f: &Formula| parts_of(f, step).any(|p| holds_raw_egg(f, p, &course.pantry));
    let may_hold_it = |f: &Formula| parts_of(f, step).any(|p| may_hold_raw_egg(f, p, &course.pantry));
    // What the teacher wrote of raw egg was written of the plain formula. Only a variant that takes the egg out takes it back, and
    // none of which that is not known.
    let plain = course.formula(&lesson.formula.value);
    let egg_went = plain.is_some_and(any_raw_egg) && formula.is_some_and(|f| !may_hold_it(f));
    let written = step.caution.iter().map(|c| c.value.clone());
    let mut all: Vec<String> = written.filter(|c| !(egg_went && c == RAW_EGG)).collect();
    let hot = all.iter().any(|c| c.starts_with("hot-"));
    let mut add = |key: &str| {
        if !all.iter().any(|c| c == key) {
            all.push(key.to_owned());
        }
    };
    let parts: Vec<&Part> = formula.into_iter().flat_map(|f| parts_of(f, step)).collect();
    let draws = |movement: &str| step.draw.iter().any(|d| d.value == movement);
    let hands = step.hands.value != Hands::Nobody;
    match step.place.value {
        Where::Mixer => {
            add("mixer");
            if parts.iter().any(|p| is_of_flour(p)) {
                add("raw-dough");
            }
        }
        Where::Oven => add("oven"),
        Where::Hob => {
            if parts.iter().any(|p| is_sugary(p, &course.pantry)) {
                add("hot-sugar");
            } else if !hot {
                add("hot-pan");
            }
        }
        _ => {}
    }
    if draws("turn-out") {
        add("hot-tin");
    }
    if draws("syrup") {
        add("hot-sugar");
    }
    if ["slice", "score", "cut-lengthwise"].iter().any(|m| draws(m)) {
        add("knife");
    }
    if draws("roll-out") {
        add("flour-dust");
    }
    let raw_egg = |p: &&Part| {
        formula.is_some_and(|f| !is_dough(f, p, &course.pantry) && holds_raw_egg(f, p, &course.pantry))
    };
    if hands
        && !(step.place.value == Where::Hob && step.core.is_some())
        && parts.iter().any(raw_egg)
        && !after_cooking(lesson, step)
    {
        add(RAW_EGG);
    }
    if cools_what_is_baked(lesson, step) {
        add("bag-cool");
    }
    if let Some(into) = formula.and_then(|f| into_cold(lesson, f, &course.pantry))
        && into.step.id.value == step.id.value
    {
        add(into.caution());
    }
    all
}

/// The parts of a formula that a step works on.
fn parts_of<'a>(formula: &'a Formula, step: &'a Step) -> impl Iterator<Item = &'a Part> {
    step.on.iter().filter_map(|c| part_of(formula, &c.value))
}

fn part_of<'a>(formula: &'a Formula, chain: &Chain) -> Option<&'a Part> {
    match chain {
        Chain::Part(id) => formula.part(id),
        Chain::Piece => None,
    }
}

/// Whether half of a part or more is sugar, by its own lines.
fn is_sugary(part: &Part, pantry: &Pantry) -> bool {
    let (mut sugar, mut whole) = (Decimal::ZERO, Decimal::ZERO);
    for line in &part.of {
        let amount = match line.share.value {
            Share::Percent(p) | Share::Flour(p) => p.number(),
            Share::Grams(g) => g.to_decimal(),
        };
        whole += amount;
        if let Ingredient::Item(id) = &line.what.value
            && pantry.item(id).is_some_and(|i| i.kind.value == ItemKind::Sugar)
        {
            sugar += amount;
        }
    }
    whole > Decimal::ZERO && sugar * Decimal::ONE_HUNDRED >= whole * Decimal::from(SUGARY)
}

/// Whether a part that the step works on was cooked by a step above it.
fn after_cooking(lesson: &Lesson, step: &Step) -> bool {
    let at = lesson.steps.iter().position(|s| s.id.value == step.id.value).unwrap_or(0);
    let hot = |s: &Step| s.core.as_ref().and_then(|c| c.value.least).is_some_and(|c| c >= EGG_BATCH[0].0);
    let cooks = |s: &Step| s.place.value == Where::Hob && hot(s);
    let raw_chain =
        |c: &Chain| !lesson.steps[..at].iter().any(|s| cooks(s) && s.on.iter().any(|o| o.value == *c));
    !step.on.iter().any(|c| matches!(c.value, Chain::Part(_)) && raw_chain(&c.value))
}

/// The step in which what was baked stands and cools: the first of that sort after the last bake.
#[must_use]
pub fn cooling_step(lesson: &Lesson) -> Option<&Step> {
    let baked = lesson.steps.iter().rposition(|s| s.place.value == Where::Oven)?;
    lesson.steps[baked + 1..].iter().find(|s| {
        matches!(s.lasts, Lasts::Stands(_))
            && matches!(s.place.value, Where::Rack | Where::Room | Where::Bench)
    })
}

fn cools_what_is_baked(lesson: &Lesson, step: &Step) -> bool {
    cooling_step(lesson).is_some_and(|s| s.id.value == step.id.value)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::course::{AllergenId, Allergens, Stands};
    use crate::reckon::sample::{at, course};
    use crate::units::Minutes;

    fn of(course: &Course, id: &str) -> Vec<String> {
        let lesson = &course.lessons[0];
        let step = lesson.steps.iter().find(|s| s.id.value.as_str() == id).unwrap();
        cautions(course, lesson, course.formula(&lesson.formula.value), step)
    }

    #[test]
    fn what_is_done_at_a_step_brings_its_caution() {
        let mut c = course();
        assert_eq!(of(&c, "mix"), ["mixer", "raw-dough"]);
        assert!(of(&c, "bake").contains(&"oven".to_owned()));
        let mut cool = c.lessons[0].steps[0].clone();
        cool.id = at("cool".into());
        cool.place = at(Where::Rack);
        cool.lasts = Lasts::Stands(at(Stands { least: Minutes(60), most: None }));
        c.lessons[0].steps.push(cool);
        // Its filling is cooked, and nobody has written whether it needs the cold.
        assert!(of(&c, "cool").ends_with(&["bag-cool".to_owned(), "cool-then-cold-safe".to_owned()]));
        let roll = c.lessons[0].steps.iter_mut().find(|s| s.id.value.as_str() == "roll").unwrap();
        roll.draw = vec![at("roll-out".to_owned()), at("slice".to_owned())];
        roll.caution = vec![at("knife".to_owned())];
        // What was written stands first, and nothing stands twice.
        assert_eq!(of(&c, "roll"), ["knife", "flour-dust"]);
    }

    /// A wash of egg, and the variant that washes with milk.
    #[test]
    fn a_variant_without_egg_is_not_told_of_raw_egg() {
        let c = course();
        let lesson = &c.lessons[0];
        let mut plain = c.formula(&lesson.formula.value).unwrap().clone();
        let wash = plain
            .parts
            .iter()
            .position(|p| !is_dough(&plain, p, &c.pantry) && !holds_raw_egg(&plain, p, &c.pantry));
        let wash = wash.unwrap();
        let mut step = lesson.steps.iter().find(|s| s.id.value.as_str() == "roll").unwrap().clone();
        step.on = vec![at(Chain::Part(plain.parts[wash].id.value.clone()))];
        let eggless = plain.clone();
        plain.parts[wash].holds_raw_egg = Some(at(true));
        let mut with_egg = c.clone();
        with_egg.formulas = vec![plain.clone()];
        let told = |f: Option<&Formula>, step: &Step| cautions(&with_egg, lesson, f, step);
        let egg = |all: Vec<String>| all.iter().filter(|c| *c == RAW_EGG).count();
        assert_eq!(egg(told(Some(&plain), &step)), 1);
        assert_eq!(egg(told(Some(&eggless), &step)), 0);
        // Written by hand it stands once, and goes with the egg; of a formula that does not resolve nothing is known.
        step.caution = vec![at(RAW_EGG.to_owned())];
        assert_eq!(egg(told(Some(&plain), &step)), 1);
        assert_eq!(egg(told(Some(&eggless), &step)), 0);
        assert_eq!(egg(told(None, &step)), 1);
        // A pack that may hold egg does not let it go.
        let mut may_hold = with_egg.clone();
        for item in &mut may_hold.pantry.items {
            let may_contain = vec![at(AllergenId::from("egg"))];
            item.allergens = Allergens::Stated { contains: Vec::new(), may_contain, checked: None };
        }
        assert_eq!(egg(cautions(&may_hold, lesson, Some(&eggless), &step)), 1);
        // Where the plain formula has no egg either, what the teacher wrote rests on something that we don't see.
        assert_eq!(egg(cautions(&c, lesson, Some(&eggless), &step)), 1);
    }
}
