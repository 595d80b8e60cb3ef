//! What stands on top in the cold and the warm, as it is kept clean of what its people avoid.

use super::desk::Desk;
use crate::course::{AllergenId, LessonId};
use crate::reckon::allergens::{Verdict, of_part, of_piece};
use crate::reckon::list_words::{named, uncovered};
use crate::reckon::work::{Batch, Station, Whom};
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};

/// What is kept clean of something.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct KeptClean {
    /// Of what, in the words of the allergen list.
    pub of: Vec<String>,
    /// The stations whose pieces it is; none: a vessel, whoever takes from it.
    pub stations: Vec<String>,
    /// It stands on top; else something is in it that is kept out of what does.
    pub on_top: bool,
}

/// What is kept clean, and whether it stands on top: of pieces those whose people avoid what theirs do not hold for certain. A vessel is shared, and
/// has one place whoever takes from it: it stands on top where it is free of what one of all its people avoids, unless it would soil
/// another that is kept clean and brings nothing to it. Several of which each holds what another is free of stand there side by side.
pub(super) fn kept_clean(
    desk: &Desk,
    lesson: Option<&LessonId>,
    batch: Option<&Batch>,
    whom: &[&Whom],
) -> Vec<KeptClean> {
    let words = |of: &BTreeSet<AllergenId>| -> Vec<String> {
        uncovered(of.iter().map(|a| named(&desk.course.settings.allergen_list.value, a)).collect())
    };
    if let Some(batch) = batch {
        let Some(own) = Vessel::of(desk, batch).filter(|v| !v.kept.is_empty()) else { return Vec::new() };
        let mut all = desk.plan.choice.batches.values().flatten().filter_map(|other| Vessel::of(desk, other));
        let on_top = !all.any(|other| other.goes_above(&own));
        return vec![KeptClean { of: words(&own.kept), stations: Vec::new(), on_top }];
    }
    let Some(lesson) = lesson.and_then(|l| desk.course.lesson(l)) else { return Vec::new() };
    let mut groups: BTreeMap<BTreeSet<AllergenId>, Vec<String>> = BTreeMap::new();
    for station in desk.class.stations.iter().filter(|s| whom.contains(&&Whom::Station(s.no))) {
        let recipe = desk.recipes.get(&lesson.formula.value, desk.variant_of(station.no, &lesson.id.value));
        let held = recipe.map(|r| of_piece(&r.formula, &desk.course.pantry));
        let free = |a: &&AllergenId| held.as_ref().is_none_or(|h| h.verdict(a).0 != Verdict::Contains);
        let of: BTreeSet<AllergenId> = station.avoids.iter().filter(free).cloned().collect();
        if !of.is_empty() {
            groups.entry(of).or_default().push(station.no.to_string());
        }
    }
    groups.into_iter().map(|(of, stations)| KeptClean { of: words(&of), stations, on_top: true }).collect()
}

/// What is in a vessel of what anybody in the class avoids.
struct Vessel {
    /// What its own people avoid and is not in it.
    kept: BTreeSet<AllergenId>,
    /// What may be in it.
    holds: BTreeSet<AllergenId>,
}

impl Vessel {
    fn of(desk: &Desk, batch: &Batch) -> Option<Vessel> {
        let lesson = desk.course.lesson(&batch.lesson)?;
        let recipe = desk.recipes.get(&lesson.formula.value, batch.variant.as_ref());
        let held = recipe.map(|r| of_part(&r.formula, &desk.course.pantry, &batch.part));
        let absent = |a: &AllergenId| {
            let verdict = held.as_ref().map(|h| h.verdict(a).0);
            matches!(verdict, Some(Verdict::NoneListed | Verdict::SharedKitchen))
        };
        let is_theirs = |s: &&Station| batch.members.iter().any(|(w, _)| *w == Whom::Station(s.no));
        let theirs = desk.class.stations.iter().filter(is_theirs).flat_map(|s| &s.avoids);
        let anybodys = desk.class.stations.iter().flat_map(|s| &s.avoids);
        Some(Vessel {
            kept: theirs.filter(|a| absent(a)).cloned().collect(),
            holds: anybodys.filter(|a| !absent(a)).cloned().collect(),
        })
    }

    /// Whether this one must not be soiled by the other, which has nothing to fear of it.
    fn goes_above(&self, other: &Vessel) -> bool {
        !other.holds.is_disjoint(&self.kept) && self.holds.is_disjoint(&other.kept)
    }
}
