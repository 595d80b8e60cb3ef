//! What a formula says of the cold, where that can hardly be meant of the finished piece.

use crate::course::{Chain, Course, Formula, Lesson, Where};
use crate::finding::Finding;
use crate::reckon::home::HomeBatch;
use crate::reckon::home::unbaked::out_at_home;
use crate::reckon::labels::{needs_the_cold, parts_within};
use crate::reckon::safety::control::is_dough;

/// Words of a storage text for a place that is not cold, in the languages of the pages.
const WARM_PLACES: [&str; 10] = [
    "room temperature",
    "cupboard",
    "pantry",
    "bread bin",
    "counter",
    "raumtemperatur",
    "zimmertemperatur",
    "küchenschrank",
    "brotkasten",
    "vorratskammer",
];
/// Words of one for a place that is.
const COLD_PLACES: [&str; 5] = ["fridge", "keep cold", "chilled", "refrigerat", "kühlschrank"];

/// What a formula says of the cold that does not go together.
pub(super) fn cold(course: &Course, formula: &Formula) -> Vec<Finding> {
    let mut found = unbaked_out_long(course, formula);
    if needs_the_cold(formula) {
        found.extend(baked_into_dough(course, formula));
        found.extend(stored_warm(formula));
    }
    found
}

/// What goes home unbaked stands out of the cold there, by its own sheet, for all of the teacher's own limit: nothing is left for the way.
fn unbaked_out_long(course: &Course, formula: &Formula) -> Vec<Finding> {
    let Some(limit) = &course.settings.own_limit else { return Vec::new() };
    let lessons = course.lessons.iter().filter(|l| l.formula.value == formula.id.value);
    let long = lessons.filter_map(|lesson| {
        let up_to = &lesson.bake_at_home.as_ref()?.up_to;
        let out = out_at_home(lesson, &HomeBatch::of(course, formula, Some(lesson), None)?);
        (out >= limit.value).then(|| {
            Finding::warning(
                "unbaked-out-long",
                up_to.place,
                format!(
                    "what goes home after `{}` is out of the cold for {out} there before it is baked; with the way home that is longer than your own limit of {}",
                    up_to.value, limit.value
                ),
            )
            .also(limit.place, "the limit")
            .way_out("let them take it home after its proof, or let it proof in the cold; or tell them in `say` to bake it straight from the fridge, and write a shorter proof")
        })
    });
    long.collect()
}

/// A part that needs the cold and is nowhere but in the dough of what is baked: milk with saffron in it, a cold soaker. The whole
/// piece is then one that needs the cold, on labels and in the plan; for cubes of cheese that is right, for a milk it is not.
fn baked_into_dough(course: &Course, formula: &Formula) -> Vec<Finding> {
    let bakes = |lesson: &Lesson| {
        let piece = |step: &crate::course::Step| step.on.iter().any(|c| c.value == Chain::Piece);
        lesson.formula.value == formula.id.value
            && lesson.steps.iter().any(|s| s.place.value == Where::Oven && piece(s))
    };
    if !course.lessons.iter().any(bakes) {
        return Vec::new();
    }
    let in_piece =
        |part: &crate::course::PartId| formula.piece.amounts.iter().any(|(outer, _)| outer.value == *part);
    let mut found = Vec::new();
    for part in &formula.parts {
        let Some(stated) = part.needs_cold.as_ref().filter(|n| n.value) else { continue };
        let holders: Vec<_> = formula
            .parts
            .iter()
            .filter(|outer| formula.goes_into(&part.id.value, &outer.id.value) && in_piece(&outer.id.value))
            .collect();
        let only_in_dough = !in_piece(&part.id.value)
            && !holders.is_empty()
            && holders.iter().all(|outer| is_dough(formula, outer, &course.pantry));
        if only_in_dough {
            found.push(
                Finding::warning(
                    "cold-in-dough",
                    stated.place,
                    format!(
                        "`{}` goes into the dough and is baked with it; as it says `needs-cold = true`, the baked piece is taken to need the cold too",
                        part.id
                    ),
                )
                .way_out("if it is like milk or egg in any dough, write `keep = \"cold\"` alone: until the bake its time in the warm is counted all the same. Leave it if the baked piece must be kept cold for it, as with cheese or cream"),
            );
        }
    }
    found
}

/// The label would say both.
fn stored_warm(formula: &Formula) -> Option<Finding> {
    let store = formula.store.as_ref()?;
    let text = store.value.to_lowercase();
    let says = |words: &[&str]| words.iter().any(|w| text.contains(w));
    (says(&WARM_PLACES) && !says(&COLD_PLACES)).then(|| {
        let part = parts_within(formula).into_iter().find_map(|p| p.needs_cold.as_ref().filter(|n| n.value));
        let finding = Finding::warning(
            "stored-warm",
            store.place,
            "a part of this needs the cold when it is finished, and here it is stored in the warm: the label says both",
        );
        let finding = match part {
            Some(stated) => finding.also(stated.place, "this needs the cold"),
            None => finding,
        };
        finding.way_out("write where it is kept cold; or take `needs-cold` away, if the finished piece does not need it")
    })
}
