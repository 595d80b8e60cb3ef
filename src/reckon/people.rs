//! What each person who avoids something is told of each lesson. The best that can be said is that nothing is listed.
//!
//! Who avoids what is health data: it belongs on the teacher's own sheet, and nowhere else.

use super::allergens::{Held, Verdict, of_piece};
use super::recipes::Recipes;
use super::scale::variant_of;
use super::variants::{flour_flies, until_told};
use super::work::{Class, Whom};
use crate::course::{
    AllergenId, Avoids, Course, FormulaId, ItemId, LessonId, Severity, StationNo, VariantId,
};
use crate::finding::Finding;
use std::collections::BTreeSet;

/// What a lesson is to someone who avoids one thing.
#[derive(Clone, PartialEq, Debug)]
pub struct PersonVerdict {
    /// The row of the roll.
    pub row: usize,
    /// The station.
    pub station: StationNo,
    /// What is avoided, why, how severely.
    pub avoids: Avoids,
    /// The lesson.
    pub lesson: LessonId,
    /// The variant that the station follows; `None`: the formula itself.
    pub variant: Option<VariantId>,
    /// The verdict, the room taken into account.
    pub verdict: Verdict,
    /// The ingredients that decide it.
    pub by: Vec<ItemId>,
    /// Variants of the formula for which the verdict is better, in file order.
    pub helps: Vec<VariantId>,
    /// Flour that they avoid is in the air of this class: it cannot be made suitable here, whatever the variant.
    pub cannot_be_made_suitable: bool,
}

/// What is in the piece of a lesson, as one variant makes it.
#[derive(Clone, PartialEq, Debug)]
pub struct LessonContents {
    /// The lesson.
    pub lesson: LessonId,
    /// The variant.
    pub variant: Option<VariantId>,
    /// The stations that make it.
    pub stations: Vec<StationNo>,
    /// What is known of its allergens.
    pub held: Held,
}

/// The pieces that the class makes: each lesson with each variant that somebody follows, the formula itself first.
#[must_use]
pub fn contents(course: &Course, class: &Class, recipes: &Recipes) -> Vec<LessonContents> {
    let mut all = Vec::new();
    for lesson in &course.lessons {
        let followed = |whom: &Whom| variant_of(class, lesson, whom).cloned();
        let mut variants: Vec<Option<VariantId>> =
            class.stations.iter().map(|s| followed(&Whom::Station(s.no))).collect();
        // The teacher's stage and the spare are made in the same room.
        let shown = lesson.steps.iter().any(|s| !s.stages.is_empty()) || lesson.makes.spare.value > 0;
        if shown {
            variants.push(followed(&Whom::Spare));
        }
        variants.sort();
        variants.dedup();
        for variant in variants {
            let Some(recipe) = recipes.get(&lesson.formula.value, variant.as_ref()) else { continue };
            let stations = class.stations.iter().map(|s| s.no);
            all.push(LessonContents {
                lesson: lesson.id.value.clone(),
                stations: stations.filter(|no| followed(&Whom::Station(*no)) == variant).collect(),
                held: of_piece(&recipe.formula, &course.pantry),
                variant,
            });
        }
    }
    all
}

/// The verdict for everyone who avoids something, in the order of stations, seats and lessons.
#[must_use]
pub fn people(course: &Course, class: &Class, recipes: &Recipes) -> Vec<PersonVerdict> {
    let room = contents(course, class, recipes);
    let mut all = Vec::new();
    for station in &class.stations {
        for row in station.seats.iter().filter_map(|s| s.person) {
            let Some(person) = course.roll.get(row) else { continue };
            for avoids in &person.avoids {
                for lesson in &course.lessons {
                    let variant = variant_of(class, lesson, &Whom::Station(station.no)).cloned();
                    let formula = &lesson.formula.value;
                    let of =
                        |v: Option<&VariantId>| of_variant(course, recipes, formula, v, &avoids.what.value);
                    let (own, by) = of(variant.as_ref());
                    let verdict = in_the_room(own, &avoids.what.value, &room);
                    let variants = course.formula(formula).map_or(&[][..], |f| f.variants.as_slice());
                    all.push(PersonVerdict {
                        row,
                        station: station.no,
                        avoids: avoids.clone(),
                        lesson: lesson.id.value.clone(),
                        verdict,
                        by,
                        helps: variants
                            .iter()
                            .map(|v| &v.id.value)
                            .filter(|v| Some(*v) != variant.as_ref() && of(Some(v)).0 < own)
                            .cloned()
                            .collect(),
                        cannot_be_made_suitable: flour_flies(course, &avoids.what.value),
                        variant,
                    });
                }
            }
        }
    }
    all
}

fn of_variant(
    course: &Course,
    recipes: &Recipes,
    formula: &FormulaId,
    variant: Option<&VariantId>,
    avoided: &AllergenId,
) -> (Verdict, Vec<ItemId>) {
    match recipes.get(formula, variant) {
        Some(recipe) => of_piece(&recipe.formula, &course.pantry).verdict(avoided),
        None => (Verdict::Unknown, Vec::new()),
    }
}

/// What is not in the piece may still be in the room, or may be in it for all that is known.
fn in_the_room(own: Verdict, avoided: &AllergenId, room: &[LessonContents]) -> Verdict {
    if own > Verdict::NoneListed {
        return own;
    }
    let anywhere = room.iter().any(|made| made.held.verdict(avoided).0 > Verdict::NoneListed);
    if anywhere { Verdict::SharedKitchen } else { Verdict::NoneListed }
}

/// What the whole class must know because someone reacts to what is in the air. By what is avoided, never by name.
#[must_use]
pub fn whole_class(course: &Course, class: &Class, recipes: &Recipes) -> Vec<Finding> {
    let seated: Vec<usize> =
        class.stations.iter().flat_map(|s| s.seats.iter().filter_map(|s| s.person)).collect();
    let airborne: Vec<&Avoids> = seated
        .iter()
        .filter_map(|row| course.roll.get(*row))
        .flat_map(|p| &p.avoids)
        .filter(|a| a.severity == Severity::Airborne)
        .collect();
    let room = contents(course, class, recipes);
    let mut told: BTreeSet<AllergenId> = BTreeSet::new();
    let mut all = Vec::new();
    for avoids in airborne {
        let what = &avoids.what.value;
        if !told.insert(what.clone()) {
            continue;
        }
        let held: Vec<String> = room
            .iter()
            .filter(|made| made.held.verdict(what).0 > Verdict::NoneListed)
            .map(|made| match &made.variant {
                Some(variant) => {
                    format!("`{}` as `{variant}` ({})", made.lesson, made.held.verdict(what).0.word())
                }
                None => format!("`{}` ({})", made.lesson, made.held.verdict(what).0.word()),
            })
            .collect();
        all.push(if held.is_empty() {
            Finding::warning(
                "whole-class-rule",
                avoids.what.place,
                format!("someone reacts to {what} in the air: the whole class leaves it out, and nobody brings any"),
            )
            .way_out("say it in the joining note and at the door; keep packs that hold it out of the room")
        } else {
            let finding = Finding::error(
                "airborne-in-the-room",
                avoids.what.place,
                format!("someone reacts to {what} in the air, and the class makes {}", held.join(", ")),
            )
            .way_out("a variant without it for everyone, or tell the person before they come and write the day as `told` into the roll");
            until_told(finding, told_of_air(course, &seated, what))
        });
    }
    all
}

/// The last day on which those who react to it in the air were told; `None` while one of them was not.
fn told_of_air(course: &Course, seated: &[usize], what: &AllergenId) -> Option<jiff::civil::Date> {
    let reacts = |a: &Avoids| a.what.value == *what && a.severity == Severity::Airborne;
    let people = seated.iter().filter_map(|row| course.roll.get(*row));
    let days: Option<Vec<_>> = people
        .filter(|p| p.avoids.iter().any(reacts))
        .map(|p| p.told.as_ref().map(|day| day.value))
        .collect();
    days?.into_iter().max()
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::course::Avoidance;
    use crate::reckon::class::seat;
    use crate::reckon::sample;

    fn told(course: &Course) -> Vec<PersonVerdict> {
        let (class, _) = seat(course, None);
        people(course, &class, &Recipes::of(course).0)
    }

    fn course_with(what: &str, why: Avoidance) -> Course {
        let mut course = sample::course();
        course.roll[11] = sample::avoiding("Person 12", what, why);
        course
    }

    fn of<'a>(all: &'a [PersonVerdict], lesson: &str) -> &'a PersonVerdict {
        all.iter().find(|v| v.lesson.as_str() == lesson).unwrap()
    }

    #[test]
    fn a_variant_takes_it_out_of_the_piece_and_not_out_of_the_room() {
        let all = told(&course_with("hazelnut", Avoidance::Allergy));
        let crown = of(&all, "crown");
        assert_eq!(crown.variant.as_ref().map(VariantId::as_str), Some("nut-free"));
        assert_eq!(crown.verdict, Verdict::SharedKitchen);
        // Buns have no nuts, and are made in the same room.
        assert_eq!(of(&all, "buns").verdict, Verdict::SharedKitchen);
        // Sesame is in nothing that anyone makes.
        assert_eq!(
            of(&told(&course_with("sesame", Avoidance::Allergy)), "crown").verdict,
            Verdict::NoneListed
        );
    }

    #[test]
    fn a_variant_that_would_help_is_named() {
        let mut course = course_with("hazelnut", Avoidance::Allergy);
        // Two that cross: no variant leaves both out, so the one that is followed still holds one of them.
        let egg = sample::avoiding("Person 12", "egg", Avoidance::Allergy).avoids[0].clone();
        course.roll[11].avoids.push(egg);
        let all = told(&course);
        let crown: Vec<&PersonVerdict> = all.iter().filter(|v| v.lesson.as_str() == "crown").collect();
        let held = crown.iter().find(|v| v.verdict == Verdict::Contains).unwrap();
        assert_eq!(held.helps.len(), 1, "{held:?}");
    }

    #[test]
    fn missing_knowledge_is_unknown_here_and_in_the_room() {
        let mut course = course_with("sesame", Avoidance::Allergy);
        let seeds = |c: &mut Course, id: &str| {
            c.pantry.items.iter_mut().find(|i| i.id.value.as_str() == id).unwrap().allergens =
                crate::course::Allergens::Unknown;
        };
        // Hazelnuts go into the crowns alone: unknown there, and the buns are made beside them.
        seeds(&mut course, "hazelnuts");
        let all = told(&course);
        assert!(of(&all, "crown").verdict >= Verdict::SharedKitchen);
        assert_eq!(of(&all, "buns").verdict, Verdict::SharedKitchen);
        seeds(&mut course, "sugar");
        assert_eq!(of(&told(&course), "buns").verdict, Verdict::Unknown);
    }

    #[test]
    fn wheat_in_the_air_cannot_be_made_suitable() {
        for what in ["wheat", "gluten"] {
            let all = told(&course_with(what, Avoidance::Coeliac));
            assert!(
                all.iter().all(|v| v.cannot_be_made_suitable && v.verdict == Verdict::Contains),
                "{what}"
            );
        }
        assert!(!of(&told(&course_with("egg", Avoidance::Allergy)), "crown").cannot_be_made_suitable);
    }

    #[test]
    fn who_was_told_of_the_air_leaves_a_warning_with_the_day() {
        let mut course = course_with("milk", Avoidance::Allergy);
        course.roll[11].avoids[0].severity = Severity::Airborne;
        course.roll[11].told = Some(sample::at("2027-02-01".parse().unwrap()));
        let (class, _) = seat(&course, None);
        let found = whole_class(&course, &class, &Recipes::of(&course).0);
        assert_eq!(found[0].code.0, "airborne-in-the-room");
        assert_eq!(found[0].level, crate::finding::Level::Warning);
        assert!(found[0].message.contains("told on 2027-02-01"), "{}", found[0].message);
    }

    #[test]
    fn what_is_in_the_air_is_a_rule_for_the_whole_class() {
        let codes = |what: &str| -> Vec<&'static str> {
            let mut course = course_with(what, Avoidance::Allergy);
            course.roll[11].avoids[0].severity = Severity::Airborne;
            let (class, _) = seat(&course, None);
            whole_class(&course, &class, &Recipes::of(&course).0).iter().map(|f| f.code.0).collect()
        };
        // Everyone follows the variant without nuts; milk is in everything.
        assert_eq!(codes("hazelnut"), ["whole-class-rule"]);
        assert_eq!(codes("milk"), ["airborne-in-the-room"]);
    }
}
