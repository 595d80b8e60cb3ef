//! Which variant of a formula a station follows, and what it still holds of what its people avoid.

use super::allergens::{Held, Verdict, of_piece};
use super::recipes::Recipes;
use super::work::Station;
use crate::course::{
    AllergenId, Allergens, Avoidance, Avoids, Course, ItemId, ItemKind, Lesson, Person, Severity, Variant,
    VariantId, allergen_words,
};
use crate::finding::{Finding, Level};
use std::collections::BTreeMap;

/// The variant that was chosen, and what is still to be said about it.
#[derive(Clone, PartialEq, Debug)]
pub struct Picked {
    /// The variant; `None` is the formula itself.
    pub variant: Option<VariantId>,
    /// Everything avoided that the chosen one does not leave out for certain: what, how, by which ingredients.
    pub left: Vec<(AllergenId, Verdict, Vec<ItemId>)>,
}

/// How much hangs on it that somebody does not get what they avoid. The gravest comes last.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Gravity {
    /// A choice or a belief, or a reason that nobody at this station wrote.
    Choice,
    /// An intolerance.
    Intolerance,
    /// An allergy or coeliac disease.
    Medical,
    /// An allergy that what is in the air is enough for.
    Airborne,
}

/// The gravest reason for which someone at a station avoids this.
pub fn gravity(course: &Course, station: &Station, what: &AllergenId) -> Gravity {
    who_avoid(course, station, what)
        .map(|a| match (a.severity, a.why) {
            (Severity::Airborne, _) => Gravity::Airborne,
            (_, Avoidance::Allergy | Avoidance::Coeliac) => Gravity::Medical,
            (_, Avoidance::Intolerance) => Gravity::Intolerance,
            (_, Avoidance::Choice | Avoidance::Religion) => Gravity::Choice,
        })
        .max()
        .unwrap_or(Gravity::Choice)
}

/// Chooses for people who avoid `avoids`: the formula itself if nothing avoided is listed in it; else the first variant in file
/// order of which that is true; else the one that holds least of it, what is gravest first: no number of choices outvotes an
/// allergy. A claim (`free-from`) is never believed.
pub fn choose(
    course: &Course,
    recipes: &Recipes,
    lesson: &Lesson,
    avoids: &BTreeMap<AllergenId, Gravity>,
) -> Picked {
    let formula = &lesson.formula.value;
    let variants = course.formula(formula).map(|f| f.variants.as_slice()).unwrap_or_default();
    let candidates = std::iter::once(None).chain(variants.iter().map(|v| Some(v.id.value.clone())));
    let mut best: Option<(Vec<usize>, Picked)> = None;
    for variant in candidates {
        let Some(recipe) = recipes.get(formula, variant.as_ref()) else { continue };
        let held = of_piece(&recipe.formula, &course.pantry);
        let left = left_of(&held, avoids.keys());
        // Counted from the gravest reason and the worst verdict down; the earlier variant wins a tie.
        let badness: Vec<usize> =
            [Gravity::Airborne, Gravity::Medical, Gravity::Intolerance, Gravity::Choice]
                .iter()
                .flat_map(|g| [Verdict::Contains, Verdict::MayContain, Verdict::Unknown].map(|v| (g, v)))
                .map(|(g, v)| {
                    left.iter().filter(|(what, is, _)| *is == v && avoids.get(what) == Some(g)).count()
                })
                .collect();
        if best.as_ref().is_none_or(|(b, _)| badness < *b) {
            best = Some((badness, Picked { variant, left }));
        }
    }
    best.map_or(Picked { variant: None, left: Vec::new() }, |(_, picked)| picked)
}

fn left_of<'a>(
    held: &Held,
    avoids: impl Iterator<Item = &'a AllergenId>,
) -> Vec<(AllergenId, Verdict, Vec<ItemId>)> {
    avoids
        .map(|a| {
            let (verdict, by) = held.verdict(a);
            (a.clone(), verdict, by)
        })
        .filter(|(_, verdict, _)| *verdict > Verdict::SharedKitchen)
        .collect()
}

/// The people at a station who avoid this, with what they wrote.
fn who_avoid<'a>(
    course: &'a Course,
    station: &'a Station,
    what: &'a AllergenId,
) -> impl Iterator<Item = &'a Avoids> {
    station
        .seats
        .iter()
        .filter_map(|s| s.person.and_then(|p| course.roll.get(p)))
        .flat_map(|p| &p.avoids)
        .filter(move |a| a.what.value == *what)
}

/// The last day on which the people at a station whom it harms were told; `None` while one of them was not.
fn all_told(course: &Course, station: &Station, what: &AllergenId) -> Option<jiff::civil::Date> {
    let harmed = |p: &&Person| p.avoids.iter().any(|a| a.what.value == *what && a.why >= Avoidance::Coeliac);
    let people = station.seats.iter().filter_map(|s| s.person.and_then(|p| course.roll.get(p)));
    let days: Option<Vec<_>> = people.filter(harmed).map(|p| p.told.as_ref().map(|day| day.value)).collect();
    days?.into_iter().max()
}

/// What stops a person from taking part: an error until they were told, then a warning with the day. It is never silent.
pub fn until_told(finding: Finding, told: Option<jiff::civil::Date>) -> Finding {
    match told {
        Some(day) if finding.level == Level::Error => Finding {
            level: Level::Warning,
            message: format!("{}; they were told on {day}", finding.message),
            ..finding
        },
        _ => finding,
    }
}

/// What to say where the station's variant still holds, or may hold, what its people avoid. By station, not by name.
pub fn findings(course: &Course, lesson: &Lesson, station: &Station, picked: &Picked) -> Vec<Finding> {
    let mut all = Vec::new();
    for (what, verdict, by) in &picked.left {
        // What someone at another station avoids is told there.
        let Some(worst) =
            who_avoid(course, station, what).max_by_key(|a| (a.why, a.severity != Severity::Mild))
        else {
            continue;
        };
        let made = match &picked.variant {
            Some(v) => format!("`{}` as `{v}`", lesson.formula.value),
            None => format!("`{}`", lesson.formula.value),
        };
        let from = by.iter().map(|i| format!("`{i}`")).collect::<Vec<_>>().join(", ");
        let message = match verdict {
            Verdict::Contains => {
                format!("someone at station {} avoids {what}, and {made} contains it: {from}", station.no)
            }
            Verdict::MayContain => {
                format!("someone at station {} avoids {what}, and {made} may contain it: {from}", station.no)
            }
            _ => format!(
                "someone at station {} avoids {what}, and for {made} it is not known: nothing is written of it for {from}",
                station.no
            ),
        };
        let way_out = match verdict {
            // A variant would be of no use: `flour-in-the-room` says why.
            Verdict::Contains if flour_flies(course, what) => {
                "tell the person before they come and write the day as `told` into the roll: with flour in the air no variant helps them"
            }
            Verdict::Contains => {
                "write a variant of the formula that leaves it out, or tell the person before they come and write the day as `told` into the roll"
            }
            Verdict::MayContain => "find a pack without that statement, or ask the person before they come",
            _ => {
                "read the pack and write its allergens into pantry.toml; what is not on the course's list, write as `label`: what it is made of"
            }
        };
        let place = worst.what.place;
        let finding = match (verdict, level(worst, *verdict)) {
            (Verdict::Contains, Level::Error) => Finding::error("avoided-is-in-it", place, message),
            (Verdict::Contains, _) => Finding::warning("avoided-is-in-it", place, message),
            (Verdict::MayContain, Level::Note) => Finding::note("avoided-may-be-in-it", place, message),
            (Verdict::MayContain, _) => Finding::warning("avoided-may-be-in-it", place, message),
            (_, Level::Note) => Finding::note("avoided-is-unknown", place, message),
            _ => Finding::warning("avoided-is-unknown", place, message),
        };
        all.push(until_told(finding.way_out(way_out), all_told(course, station, what)));
    }
    all
}

/// An allergy whose allergen is in the piece is an error; the less is known, and the freer the choice, the milder.
fn level(avoids: &Avoids, verdict: Verdict) -> Level {
    match (avoids.why, verdict) {
        (Avoidance::Allergy | Avoidance::Coeliac, Verdict::Contains) => Level::Error,
        (Avoidance::Allergy | Avoidance::Coeliac, _) | (_, Verdict::Contains) => Level::Warning,
        _ => Level::Note,
    }
}

/// What a variant is printed as free of, by `free-from` or by a name like `milk-free`, and is not by its ingredients: a pack may
/// hold it, or nobody has read one.
pub fn doubted_claims(variant: &Variant, held: &Held) -> Vec<AllergenId> {
    let by_name: Vec<AllergenId> = match variant.id.value.as_str().strip_suffix("-free") {
        // Who reads "nut-free" on a label thinks of peanuts too.
        Some("nut" | "nuts") => vec![AllergenId::new("tree-nuts"), AllergenId::new("peanut")],
        Some(what) => vec![
            allergen_words::word(what)
                .map_or_else(|| AllergenId::new(what), |known| AllergenId::from(known.word)),
        ],
        None => Vec::new(),
    };
    let mut claims: Vec<AllergenId> =
        variant.free_from.iter().map(|claim| claim.value.clone()).chain(by_name).collect();
    claims.sort();
    claims.dedup();
    claims.retain(|claim| held.verdict(claim).0 > Verdict::SharedKitchen);
    claims
}

/// Whether a flour in the pantry holds what is avoided, as gluten or as itself, or may hold it for all that is known.
pub fn flour_flies(course: &Course, avoided: &AllergenId) -> bool {
    if !allergen_words::touches(&AllergenId::new("gluten"), avoided) {
        return false;
    }
    course.pantry.items.iter().filter(|i| i.kind.value == ItemKind::Flour).any(|i| match &i.allergens {
        Allergens::Unknown => true,
        Allergens::Stated { contains, may_contain, .. } => {
            contains.iter().chain(may_contain).any(|a| allergen_words::touches(avoided, &a.value))
        }
    })
}

/// Someone who avoids wheat or gluten in a room where wheat flour flies: no variant helps, and it is said so.
pub fn flour_room(course: &Course, stations: &[Station]) -> Vec<Finding> {
    let mut all = Vec::new();
    for station in stations {
        for what in station.avoids.iter().filter(|a| flour_flies(course, a)) {
            let Some(worst) = who_avoid(course, station, what).max_by_key(|a| a.why) else { continue };
            let message = format!(
                "someone at station {} avoids {what}: flour is in the air of this class, and no variant makes it suitable for them",
                station.no
            );
            let finding = if worst.why >= Avoidance::Coeliac {
                Finding::error("flour-in-the-room", worst.what.place, message)
            } else {
                Finding::warning("flour-in-the-room", worst.what.place, message)
            };
            let finding = finding.way_out(
                "tell the person before they come, and write the day as `told` into the roll; nothing in this course can change it",
            );
            all.push(until_told(finding, all_told(course, station, what)));
        }
    }
    all
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::reckon::sample;

    #[test]
    fn a_name_that_the_packs_do_not_bear_out_is_doubted() {
        let variant =
            |id: &str| Variant { id: sample::at(id.into()), free_from: Vec::new(), lines: Vec::new() };
        let mut held = Held::default();
        assert!(doubted_claims(&variant("milk-free"), &held).is_empty());
        held.may_contain.insert(AllergenId::new("milk"), [ItemId::new("margarine")].into());
        assert_eq!(doubted_claims(&variant("milk-free"), &held), [AllergenId::new("milk")]);
        assert!(doubted_claims(&variant("egg-free"), &held).is_empty());
        // Of a pack that nobody has read nothing may be claimed.
        held.unknown.insert(ItemId::new("drops"));
        assert_eq!(doubted_claims(&variant("egg-free"), &held).len(), 1);
        assert!(doubted_claims(&variant("autumn"), &held).is_empty());
    }

    #[test]
    fn telling_somebody_turns_the_error_into_a_warning_with_the_day() {
        let error = || Finding::error("avoided-is-in-it", None, "it holds milk");
        assert_eq!(until_told(error(), None).level, Level::Error);
        let told = until_told(error(), Some("2027-02-01".parse().unwrap()));
        assert_eq!(told.level, Level::Warning);
        assert!(told.message.ends_with("they were told on 2027-02-01"));
    }
}
