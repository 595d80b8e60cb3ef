//! What stands on top in the cold and the warm, as it is kept clean of what its people avoid.

use super::desk::Desk;
use crate::course::{AllergenId, LessonId};
use crate::reckon::allergens::{Verdict, of_part, of_piece};
use crate::reckon::work::{Batch, Station, Whom};

/// The stations for whom something is kept clean and stands on top: of their pieces those whose people avoid what theirs do not hold for
/// certain. A vessel is shared, and has one place whoever takes from it: it stands on top where it is free of what one of all its people
/// avoids. Several that hold what another is free of stand there side by side.
pub(super) fn guarded(
    desk: &Desk,
    lesson: Option<&LessonId>,
    batch: Option<&Batch>,
    whom: &[&Whom],
) -> Vec<String> {
    let Some(lesson) = lesson.and_then(|l| desk.course.lesson(l)) else { return Vec::new() };
    let pantry = &desk.course.pantry;
    let recipe = |station: &Station| {
        desk.recipes.get(&lesson.formula.value, desk.variant_of(station.no, &lesson.id.value))
    };
    let is_among = |station: &Station, whom: &[&Whom]| whom.contains(&&Whom::Station(station.no));
    if let Some(batch) = batch {
        let all: Vec<&Whom> = batch.members.iter().map(|(w, _)| w).collect();
        let mut theirs = desk.class.stations.iter().filter(|s| is_among(s, &all));
        let kept_clean = |station: &Station| {
            let held = recipe(station).map(|r| of_part(&r.formula, pantry, &batch.part));
            station.avoids.iter().any(|a| {
                let verdict = held.as_ref().map(|h| h.verdict(a).0);
                matches!(verdict, Some(Verdict::NoneListed | Verdict::SharedKitchen))
            })
        };
        if !theirs.any(kept_clean) {
            return Vec::new();
        }
    }
    let free = |station: &&Station| {
        let held = recipe(station).map(|r| of_piece(&r.formula, pantry));
        let avoids = |a: &AllergenId| held.as_ref().is_none_or(|h| h.verdict(a).0 != Verdict::Contains);
        batch.is_some() || station.avoids.iter().any(avoids)
    };
    let stations = desk.class.stations.iter().filter(|s| is_among(s, whom));
    stations.filter(free).map(|s| s.no.to_string()).collect()
}
