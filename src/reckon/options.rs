//! Everything that the plan may choose among: how each part is split into batches and each bake into loads.

use super::mixers::splits;
use super::ovens::bakes;
use super::recipes::Recipes;
use super::work::{Class, Options, Portion};
use crate::course::Course;
use crate::finding::Finding;

/// The choices for a class, the preferred one first in each, and what is to be said about them.
pub fn options(course: &Course, class: &Class, portions: &[Portion]) -> (Options, Vec<Finding>) {
    let (recipes, _) = Recipes::of(course);
    let mut options = Options { splits: Default::default(), bakes: Default::default() };
    let mut findings: Vec<Finding> = Vec::new();
    let mut say = |new: Vec<Finding>| {
        for finding in new {
            // The same mixer serves many parts; what is wrong with it is said once.
            if !findings.contains(&finding) {
                findings.push(finding);
            }
        }
    };
    for lesson in &course.lessons {
        let Some(formula) = course.formula(&lesson.formula.value) else { continue };
        for part in &formula.parts {
            let (found, new) = splits(course, &recipes, portions, lesson, &part.id.value);
            say(new);
            if !found.is_empty() {
                options.splits.insert((lesson.id.value.clone(), part.id.value.clone()), found);
            }
        }
        let dough = formula.piece.amounts.first().map(|(p, _)| (lesson.id.value.clone(), p.value.clone()));
        for step in &lesson.steps {
            let followed = dough.as_ref().and_then(|d| options.splits.get(d)).and_then(|s| s.first());
            let (found, new) = bakes(course, class, lesson, step, followed);
            say(new);
            if !found.is_empty() {
                options.bakes.insert((lesson.id.value.clone(), step.id.value.clone()), found);
            }
        }
    }
    (options, findings)
}
