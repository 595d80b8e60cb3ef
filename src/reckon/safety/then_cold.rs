//! What is ready and needs the cold: the step after which it goes there, for every sheet that tells of it and for the reckoning.

use super::trace::steps_of;
use crate::course::{Chain, Formula, Lesson, Pantry, Part, PartId, Step, StepId, Where};
use crate::reckon::labels::{cold_unsaid, needs_the_cold, parts_within};
use crate::reckon::part_fates::Fates;

/// What goes into the cold when it is ready.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Ready {
    /// It was baked, or fried, with what needs the cold: as soon as it has cooled.
    Cooled,
    /// What needs the cold came into it after that: at once.
    Filled,
}

/// The step after which a piece goes into the cold.
#[derive(Clone, Copy, Debug)]
pub struct IntoCold<'a> {
    /// The step.
    pub step: &'a Step,
    /// What of it is ready then.
    pub ready: Ready,
    /// Nobody has written whether it must: its label says to keep it so, and so do the sheets.
    pub to_be_safe: bool,
}

impl IntoCold<'_> {
    /// The key of the catalogue's `[danger]` that says so.
    #[must_use]
    pub const fn caution(&self) -> &'static str {
        match (self.ready, self.to_be_safe) {
            (Ready::Cooled, false) => "cool-then-cold",
            (Ready::Filled, false) => "filled-then-cold",
            (Ready::Cooled, true) => "cool-then-cold-safe",
            (Ready::Filled, true) => "filled-then-cold-safe",
        }
    }
}

/// When a piece goes into the cold: it holds what needs it, or something cooked of which nobody has written whether it does. `None`:
/// neither, or no step names it, or it stands there already.
#[must_use]
pub fn into_cold<'a>(lesson: &'a Lesson, formula: &Formula, pantry: &Pantry) -> Option<IntoCold<'a>> {
    if needs_the_cold(formula) {
        return ready_step(lesson, formula).map(|(step, ready)| IntoCold { step, ready, to_be_safe: false });
    }
    let unsaid = cold_unsaid(formula, &Fates::of(lesson, formula), pantry);
    let last = last_with(lesson, formula, unsaid.into_iter());
    last.map(|(step, ready)| IntoCold { step, ready, to_be_safe: true })
}

/// The last step of a piece that holds something of which the teacher says that it needs the cold. `None`: nothing in it does, no
/// step names it, or it stands in the cold there already.
#[must_use]
pub fn ready_step<'a>(lesson: &'a Lesson, formula: &Formula) -> Option<(&'a Step, Ready)> {
    last_with(lesson, formula, needing(formula))
}

/// The last step of a piece that holds one of these parts, unless it stands in the cold there.
fn last_with<'a, 'f>(
    lesson: &'a Lesson,
    formula: &Formula,
    parts: impl Iterator<Item = &'f Part>,
) -> Option<(&'a Step, Ready)> {
    let place = |step: &Step| lesson.steps.iter().position(|s| s.id.value == step.id.value);
    let ends = parts.filter_map(|part| {
        let steps = steps_of(lesson, formula, &part.id.value);
        let last = *steps.last()?;
        let ready = if is_heated(lesson, formula, &steps) { Ready::Cooled } else { Ready::Filled };
        Some((last, ready))
    });
    // Of several the last; what is filled into a baked piece decides over what was baked in it.
    let (last, ready) = ends.max_by_key(|(step, ready)| (place(step), *ready == Ready::Filled))?;
    (!matches!(last.place.value, Where::Cold | Where::Freezer)).then_some((last, ready))
}

/// Whether what comes out of the oven holds a part that needs the cold. One that is filled in after it needs it only then.
#[must_use]
pub fn baked_with(lesson: &Lesson, formula: &Formula) -> bool {
    needing(formula).any(|part| bakes(&steps_of(lesson, formula, &part.id.value)))
}

/// The same of a part of which nobody has written whether it needs the cold, where none is written to.
#[must_use]
pub fn baked_with_unsaid(lesson: &Lesson, formula: &Formula, pantry: &Pantry) -> bool {
    let unsaid = cold_unsaid(formula, &Fates::of(lesson, formula), pantry);
    !needs_the_cold(formula) && unsaid.iter().any(|p| bakes(&steps_of(lesson, formula, &p.id.value)))
}

/// Parts of a piece that come to it after its last bake, or where no oven sees it after its frying: that takes nothing from them.
#[must_use]
pub fn joined_after_the_bake(lesson: &Lesson, formula: &Formula, part: &PartId) -> bool {
    let steps = steps_of(lesson, formula, part);
    let is_made = is_baked(lesson, formula) || fry(lesson, formula).is_some();
    is_made && !steps.is_empty() && !is_heated(lesson, formula, &steps)
}

/// Parts of a piece that are not in it yet at the end of a step: what takes them up comes later. One that no step names is taken to be
/// in it.
#[must_use]
pub fn not_in_yet(lesson: &Lesson, formula: &Formula, up_to: &StepId) -> Vec<PartId> {
    if lesson.step(up_to).is_none() {
        return Vec::new();
    }
    let own = formula.piece.amounts.iter().map(|(part, _)| &part.value);
    let is_later = |part: &&PartId| {
        let steps = steps_of(lesson, formula, part);
        !steps.is_empty() && !steps.iter().any(|s| s.id.value == *up_to)
    };
    own.filter(is_later).cloned().collect()
}

/// Whether the piece is told to go into the cold at the end of this step, on the sheets of those who do it.
#[must_use]
pub fn is_told(lesson: &Lesson, formula: &Formula, step: &StepId) -> bool {
    ready_step(lesson, formula).is_some_and(|(last, _)| last.id.value == *step)
}

fn needing(formula: &Formula) -> impl Iterator<Item = &Part> {
    parts_within(formula).into_iter().filter(|p| p.needs_cold.as_ref().is_some_and(|n| n.value))
}

/// The step that fries a piece, where no oven sees it: the last on the fire with the piece, or with what it is shaped from.
fn fry<'a>(lesson: &'a Lesson, formula: &Formula) -> Option<&'a Step> {
    let no_oven = !is_baked(lesson, formula);
    let mut fires = lesson.steps.iter().filter(|s| no_oven && !s.demo && s.place.value == Where::Hob);
    fires.rfind(|s| is_of_the_whole(s, formula))
}

/// Whether the oven sees the piece. That nuts are roasted for it does not bake it.
fn is_baked(lesson: &Lesson, formula: &Formula) -> bool {
    let of_it = |s: &Step| s.on.is_empty() || is_of_the_whole(s, formula);
    lesson.steps.iter().any(|s| s.place.value == Where::Oven && of_it(s))
}

/// Whether a step has the piece in hand, or what it is shaped from.
fn is_of_the_whole(step: &Step, formula: &Formula) -> bool {
    let shaped = formula.piece.amounts.first().map(|(part, _)| Chain::Part(part.value.clone()));
    step.on.iter().any(|c| c.value == Chain::Piece || Some(&c.value) == shaped.as_ref())
}

/// Whether what goes through these steps is in the piece when that is baked or fried.
fn is_heated(lesson: &Lesson, formula: &Formula, steps: &[&Step]) -> bool {
    let fry = fry(lesson, formula);
    bakes(steps) || fry.is_some_and(|fry| steps.iter().any(|s| s.id.value == fry.id.value))
}

fn bakes(steps: &[&Step]) -> bool {
    steps.iter().any(|s| s.place.value == Where::Oven)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::course::{Course, Per};
    use crate::reckon::sample::{at, course, step};

    fn with(extra: Vec<Step>, cold: &str) -> (Course, Formula) {
        let mut c = course();
        let lesson = c.lessons.iter_mut().find(|l| l.id.value.as_str() == "crown").unwrap();
        lesson
            .steps
            .retain(|s| !s.on.iter().any(|o| o.value == crate::course::Chain::Part("filling".into())));
        lesson.steps.extend(extra);
        let id = lesson.formula.value.clone();
        let formula = c.formulas.iter_mut().find(|f| f.id.value == id).unwrap();
        for part in &mut formula.parts {
            part.needs_cold = (part.id.value.as_str() == cold).then(|| at(true));
        }
        let formula = formula.clone();
        (c, formula)
    }

    fn crown(c: &Course) -> &Lesson {
        c.lessons.iter().find(|l| l.id.value.as_str() == "crown").unwrap()
    }

    #[test]
    fn what_is_filled_after_the_bake_goes_into_the_cold_when_it_is_filled() {
        let bake = || step("late-bake", &["piece"], Per::Station, Where::Oven);
        let fill = || step("pipe", &["piece", "filling"], Per::Station, Where::Bench);
        let (c, formula) = with(vec![bake(), fill()], "filling");
        let (last, ready) = ready_step(crown(&c), &formula).unwrap();
        assert_eq!((last.id.value.as_str(), ready), ("pipe", Ready::Filled));
        assert!(!baked_with(crown(&c), &formula));
        assert!(joined_after_the_bake(crown(&c), &formula, &"filling".into()));
        assert!(!joined_after_the_bake(crown(&c), &formula, &"dough".into()));
        // Where a step takes it into the cold, nothing more need be said.
        let keep = step("keep", &["piece"], Per::Station, Where::Cold);
        let (c, formula) = with(vec![bake(), fill(), keep], "filling");
        assert_eq!(ready_step(crown(&c), &formula).map(|(s, _)| s.id.value.to_string()), None);
        // Nothing that needs the cold, nothing to say.
        let (c, formula) = with(vec![bake(), fill()], "none");
        assert!(ready_step(crown(&c), &formula).is_none());
    }

    #[test]
    fn what_is_baked_in_goes_there_when_it_has_cooled() {
        let join = step("late-fill", &["dough", "filling"], Per::Station, Where::Bench);
        let bake = step("late-bake", &["piece"], Per::Station, Where::Oven);
        let cool = step("late-cool", &["piece"], Per::Station, Where::Rack);
        let (c, formula) = with(vec![join, bake, cool], "filling");
        let (last, ready) = ready_step(crown(&c), &formula).unwrap();
        assert_eq!((last.id.value.as_str(), ready), ("late-cool", Ready::Cooled));
        assert!(baked_with(crown(&c), &formula));
        assert!(!joined_after_the_bake(crown(&c), &formula, &"filling".into()));
    }

    #[test]
    fn what_is_fried_is_cooled_first_and_takes_nothing_from_what_comes_after() {
        let fry = || step("fry", &["piece"], Per::Station, Where::Hob);
        let of = |extra: Vec<Step>| {
            let (c, formula) = with(extra, "filling");
            let mut lesson = crown(&c).clone();
            lesson.steps.retain(|s| s.place.value != Where::Oven);
            let (last, ready) = ready_step(&lesson, &formula).unwrap();
            let after = |part: &str| joined_after_the_bake(&lesson, &formula, &part.into());
            (last.id.value.to_string(), ready, after("filling"), after("dough"))
        };
        let join = |id: &str| step(id, &["piece", "filling"], Per::Station, Where::Bench);
        assert_eq!(of(vec![join("fill-raw"), fry()]), ("fry".to_owned(), Ready::Cooled, false, false));
        assert_eq!(of(vec![fry(), join("pipe")]), ("pipe".to_owned(), Ready::Filled, true, false));
        // Cooked alone, it is not fried with the piece.
        let cook = step("boil", &["filling"], Per::Class, Where::Hob);
        assert_eq!(of(vec![cook, fry(), join("pipe")]), ("pipe".to_owned(), Ready::Filled, true, false));
    }

    /// A cooked filling of which nobody has written whether it needs the cold goes there to be safe; one that does not need it stays out.
    #[test]
    fn what_nobody_has_written_of_goes_into_the_cold_to_be_safe() {
        let cook = step("boil", &["filling"], Per::Class, Where::Hob);
        let join = step("late-fill", &["dough", "filling"], Per::Station, Where::Bench);
        let bake = step("late-bake", &["piece"], Per::Station, Where::Oven);
        let cool = step("late-cool", &["piece"], Per::Station, Where::Rack);
        let (c, formula) = with(vec![cook, join, bake, cool], "none");
        let into = |needs: Option<bool>| {
            let mut formula = formula.clone();
            for part in formula.parts.iter_mut().filter(|p| p.id.value.as_str() == "filling") {
                part.needs_cold = needs.map(at);
            }
            let unsaid = baked_with_unsaid(crown(&c), &formula, &c.pantry);
            let into = into_cold(crown(&c), &formula, &c.pantry);
            (into.map(|i| (i.step.id.value.to_string(), i.caution())), unsaid)
        };
        let cooled = |key| Some(("late-cool".to_owned(), key));
        assert_eq!(into(None), (cooled("cool-then-cold-safe"), true));
        assert_eq!(into(Some(true)), (cooled("cool-then-cold"), false));
        assert_eq!(into(Some(false)), (None, false));
    }

    /// The crown's wash comes on after its proof, and its filling before it lies in its tin. What is cooked for later is not in it yet.
    #[test]
    fn what_comes_to_a_piece_later_is_not_in_it_yet() {
        let c = course();
        let mut lesson = crown(&c).clone();
        let formula = c.formula(&lesson.formula.value).unwrap();
        let to_come = |lesson: &Lesson, up_to: &str| -> Vec<String> {
            not_in_yet(lesson, formula, &up_to.into()).iter().map(ToString::to_string).collect()
        };
        assert_eq!(to_come(&lesson, "pan"), ["wash"]);
        assert_eq!(to_come(&lesson, "roll"), ["filling", "wash"]);
        assert!(to_come(&lesson, "brush").is_empty() && to_come(&lesson, "no-such-step").is_empty());
        lesson.steps.insert(0, step("beat", &["wash"], Per::Class, Where::Bench));
        assert_eq!(to_come(&lesson, "pan"), ["wash"]);
    }
}
