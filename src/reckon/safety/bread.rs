//! What makes bread of a dough: the oven, or the fire where no oven sees it. And the step by whose end a piece is dated.

use super::control::{is_dough, is_raised};
use super::trace::steps_of;
use crate::course::{Chain, Formula, Hands, Lesson, Pantry, Part, PartId, Step, Where};
use crate::units::Celsius;

/// The step that fries a dough, or bakes it on a griddle: the last on the fire, as hot at its centre as what is cooked, of a dough that
/// no oven sees. What it makes is bread, as a bake does. A cream that is written by its flour is none: it has no yeast, and no step on
/// the fire has the piece.
#[must_use]
pub fn fried_at<'a>(
    lesson: &'a Lesson,
    formula: &Formula,
    part: &Part,
    pantry: &Pantry,
    cooked_from: Celsius,
) -> Option<&'a Step> {
    if !is_in_piece(formula, &part.id.value) || !is_dough(formula, part, pantry) {
        return None;
    }
    let steps = steps_of(lesson, formula, &part.id.value);
    if steps.iter().any(|s| s.place.value == Where::Oven) {
        return None;
    }
    let hot = |s: &Step| s.core.as_ref().and_then(|c| c.value.least).is_some_and(|core| core >= cooked_from);
    let shaped = |s: &Step| is_raised(formula, &part.id.value, pantry) || is_on_piece(s);
    steps.into_iter().rfind(|s| s.place.value == Where::Hob && hot(s) && shaped(s))
}

/// The last step that heats a piece: its bake, or where no oven sees it, its frying. That of a part alone is none. `None`: nothing
/// heats it.
#[must_use]
pub fn heated_at<'a>(lesson: &'a Lesson, formula: &Formula, pantry: &Pantry) -> Option<&'a Step> {
    let dough = |c: &Chain| match c {
        Chain::Piece => true,
        Chain::Part(id) => {
            is_in_piece(formula, id) && formula.part(id).is_some_and(|p| is_dough(formula, p, pantry))
        }
    };
    let last = |place: Where, whole: bool| {
        lesson
            .steps
            .iter()
            .rfind(|s| !s.demo && s.place.value == place && (!whole || s.on.iter().any(|c| dough(&c.value))))
    };
    last(Where::Oven, true).or_else(|| last(Where::Hob, true)).or_else(|| last(Where::Oven, false))
}

/// The step by whose end a piece is dated: the last that heats it, or else the last work on it.
#[must_use]
pub fn made_at<'a>(lesson: &'a Lesson, formula: &Formula, pantry: &Pantry) -> Option<&'a Step> {
    let work = |whole: bool| {
        lesson.steps.iter().rfind(|s| {
            let on = if whole { is_on_piece(s) } else { !s.on.is_empty() };
            !s.demo && s.hands.value != Hands::Nobody && on
        })
    };
    heated_at(lesson, formula, pantry).or_else(|| work(true)).or_else(|| work(false))
}

fn is_on_piece(step: &Step) -> bool {
    step.on.iter().any(|c| c.value == Chain::Piece)
}

fn is_in_piece(formula: &Formula, part: &PartId) -> bool {
    formula.piece.amounts.iter().any(|(id, _)| id.value == *part)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::course::{Per, TemperatureRange};
    use crate::reckon::sample::{at, course, step};

    fn hot(id: &str, on: &[&str], place: Where) -> Step {
        let mut step = step(id, on, Per::Station, place);
        step.core = Some(at(TemperatureRange { least: Some(Celsius::whole(90)), most: None }));
        step
    }

    /// The crown's lesson with its steps from the oven on taken away, and others in their place.
    fn without_an_oven(steps: Vec<Step>) -> (crate::course::Course, Lesson) {
        let course = course();
        let mut lesson = course.lessons.iter().find(|l| l.id.value.as_str() == "crown").unwrap().clone();
        let bake = lesson.steps.iter().position(|s| s.place.value == Where::Oven).unwrap();
        lesson.steps.truncate(bake);
        lesson.steps.extend(steps);
        (course, lesson)
    }

    #[test]
    fn a_dough_that_no_oven_sees_is_bread_by_the_fire() {
        let of = |steps: Vec<Step>, part: &str| {
            let (course, lesson) = without_an_oven(steps);
            let formula = course.formula(&lesson.formula.value).unwrap();
            let part = formula.part(&part.into()).unwrap();
            let found = fried_at(&lesson, formula, part, &course.pantry, Celsius::whole(63));
            found.map(|s| s.id.value.to_string())
        };
        let fry = || hot("fry", &["piece"], Where::Hob);
        assert_eq!(of(vec![fry()], "dough").as_deref(), Some("fry"));
        // With yeast in it, it need not be called the piece.
        assert_eq!(of(vec![hot("fry", &["dough", "wash"], Where::Hob)], "dough").as_deref(), Some("fry"));
        // Warmed is not fried; what is baked after it is bread by the oven; a filling and a scald are none.
        assert_eq!(of(vec![step("warm", &["piece"], Per::Station, Where::Hob)], "dough"), None);
        assert_eq!(of(vec![fry(), hot("bake", &["piece"], Where::Oven)], "dough"), None);
        assert_eq!(of(vec![fry()], "filling"), None);
        assert_eq!(of(vec![fry()], "scald"), None);
    }

    #[test]
    fn a_piece_is_dated_by_what_heats_it_and_else_by_the_last_work_on_it() {
        let of = |steps: Vec<Step>| {
            let (course, lesson) = without_an_oven(steps);
            let formula = course.formula(&lesson.formula.value).unwrap();
            made_at(&lesson, formula, &course.pantry).unwrap().id.value.to_string()
        };
        let fry = || step("fry", &["piece"], Per::Station, Where::Hob);
        let fill = || step("pipe", &["piece", "filling"], Per::Station, Where::Bench);
        assert_eq!(of(vec![fry(), fill()]), "fry");
        // A part that is cooked alone dates nothing.
        let cook = || step("reduce", &["wash"], Per::Class, Where::Hob);
        assert_eq!(of(vec![hot("bake", &["piece"], Where::Oven), cook(), fill()]), "bake");
        let mut cool = step("cool", &["piece"], Per::Station, Where::Rack);
        cool.hands = at(Hands::Nobody);
        assert_eq!(of(vec![cook(), fill(), cool]), "pipe");
    }
}
