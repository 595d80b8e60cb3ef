//! Everything that the plan may choose among: how each part is split into batches and each bake into loads.

use super::mixers::splits;
use super::ovens::bakes;
use super::plan::chains::policy;
use super::plan::containers::without_room;
use super::plan::machine_room;
use super::power;
use super::recipes::Recipes;
use super::scale::begun_by;
use super::work::{Choice, Class, Options, Portion, Whom};
use crate::course::{Ahead, Course};
use crate::finding::Finding;
use std::collections::BTreeSet;

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
    // What is made once for the class in a bowl may have been told of above.
    let known: Vec<_> = findings.iter().map(|f| (f.code, f.place)).collect();
    let told = machine_room::findings(course, class, portions, &options);
    findings.extend(told.into_iter().filter(|f| !known.contains(&(f.code, f.place))));
    findings.extend(without_room(course));
    findings.extend(power::findings(course));
    (options, findings)
}

/// The preferred way everywhere, nothing made ahead beyond what the lessons say: what is weighed and ordered before a plan is made.
/// Amounts do not depend on how the plan chooses but for what is made beyond the need. What is made ahead if needed stays open.
pub fn preferred(course: &Course, options: &Options, portions: &[Portion]) -> Choice {
    let mut choice = Choice::default();
    for (key, splits) in &options.splits {
        if let Some(first) = splits.first() {
            choice.batches.insert(key.clone(), first.batches.clone());
        }
    }
    for (key, bakes) in &options.bakes {
        if let Some(first) = bakes.first() {
            choice.loads.insert(key.clone(), first.loads.clone());
        }
    }
    let (recipes, _) = Recipes::of(course);
    for lesson in &course.lessons {
        let Some(formula) = course.formula(&lesson.formula.value) else { continue };
        let id = &lesson.id.value;
        let own: BTreeSet<&Whom> = portions.iter().filter(|p| p.lesson == *id).map(|p| &p.whom).collect();
        for part in formula.parts.iter().map(|p| &p.id.value) {
            let ahead = begun_by(&recipes, lesson, part).map_or(Ahead::Never, |step| policy(lesson, step));
            if ahead != Ahead::Never {
                let all = own.iter().map(|whom| ((id.clone(), part.clone(), (*whom).clone()), ahead));
                choice.made_ahead.extend(all);
            }
        }
    }
    choice
}
