//! A part of the piece that no step of its lesson takes up: it is weighed and bought, and nobody is told when it goes on.

use super::recipes::Recipes;
use super::scale::works_on;
use crate::course::Course;
use crate::finding::Finding;

/// The parts that are in a piece and in no step, lesson by lesson.
#[must_use]
pub fn loose_parts(course: &Course) -> Vec<Finding> {
    let (recipes, _) = Recipes::of(course);
    let mut found = Vec::new();
    for lesson in course.lessons.iter().filter(|l| !l.steps.is_empty()) {
        let Some(formula) = course.formula(&lesson.formula.value) else { continue };
        for (part, _) in &formula.piece.amounts {
            let mut steps = lesson.steps.iter().filter(|s| !s.demo);
            if steps.any(|s| works_on(&recipes, lesson, s, &part.value)) {
                continue;
            }
            let place = formula.part(&part.value).and_then(|p| p.id.place).or(part.place);
            let message = format!("`{part}` is made, but no step of `{}` uses it", lesson.id);
            found.push(
                Finding::warning("part-without-a-step", place, message)
                    .about(format!("{}.{part}", lesson.id))
                    .way_out(format!(
                        "name it in the step that uses it, such as `on = [\"piece\", \"{part}\"]`"
                    )),
            );
        }
    }
    found
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::course::Chain;
    use crate::reckon::sample::course;

    #[test]
    fn a_part_that_no_step_names_is_told() {
        let mut c = course();
        assert!(loose_parts(&c).is_empty());
        let wash = |chain: &crate::course::At<Chain>| chain.value == Chain::Part("wash".into());
        for step in &mut c.lessons[0].steps {
            step.on.retain(|chain| !wash(chain));
        }
        let found = loose_parts(&c);
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].message, "`wash` is made, but no step of `crown` uses it");
    }

    #[test]
    fn a_part_inside_another_needs_no_step_of_its_own() {
        let mut c = course();
        for step in &mut c.lessons[0].steps {
            step.on.retain(|chain| chain.value != Chain::Part("scald".into()));
        }
        assert!(loose_parts(&c).is_empty());
    }
}
