//! Who is severely allergic, and works in a kitchen that holds it: a variant takes it out of their pieces, and not out of the room.

use super::machine_order::held as task_holds;
use super::people::{PersonVerdict, contents, people};
use super::plan::allergen_order::Contents;
use super::plan::jobs::Group;
use super::plan::timetable::{Plan, PlannedTask};
use super::recipes::Recipes;
use super::scale::variant_of;
use super::work::{Class, Whom};
use crate::course::{AllergenId, Course, LessonId, Severity, StationNo};
use crate::finding::Finding;
use crate::reckon::allergens::{Verdict, of_piece};
use std::collections::BTreeSet;

/// One finding for each person who avoids something severely that others make in the same kitchen: what, where, and what is shared.
/// By station, never by name. Until they were told it warns; then it notes the day.
#[must_use]
pub fn severe_in_the_kitchen(
    course: &Course,
    class: &Class,
    recipes: &Recipes,
    plan: Option<&Plan>,
) -> Vec<Finding> {
    let all = people(course, class, recipes);
    let is_it =
        |v: &&PersonVerdict| v.avoids.severity == Severity::Severe && v.verdict == Verdict::SharedKitchen;
    let mut rows: Vec<usize> = Vec::new();
    for verdict in all.iter().filter(is_it) {
        if !rows.contains(&verdict.row) {
            rows.push(verdict.row);
        }
    }
    let of_row = |row: usize| {
        let own: Vec<&PersonVerdict> = all.iter().filter(is_it).filter(|v| v.row == row).collect();
        let first = own.first()?;
        let mut what: Vec<&AllergenId> = Vec::new();
        for avoided in own.iter().map(|v| &v.avoids.what.value) {
            if !what.contains(&avoided) {
                what.push(avoided);
            }
        }
        let named = what.iter().map(|w| w.as_str()).collect::<Vec<_>>().join(", ");
        let held = held(course, class, recipes, &what);
        let shared = plan.map_or_else(
            || "what is shared is not known without a plan".to_owned(),
            |plan| shared(course, class, recipes, plan, first.station, &what),
        );
        let message = format!(
            "someone at station {} avoids {named} severely, and the kitchen holds it: {held}; {shared}",
            first.station
        );
        let place = first.avoids.what.place;
        let told = course.roll.get(row).and_then(|p| p.told.as_ref());
        Some(match told {
            Some(day) => Finding::note("severe-in-the-kitchen", place, format!("{message}; they were told on {}", day.value)),
            None => Finding::warning("severe-in-the-kitchen", place, message).way_out(
                "a variant keeps it out of their pieces, not out of the room: tell them before they pay, let them decide with their doctor, and write the day as `told` into the roll; or a formula without it for everyone",
            ),
        })
    };
    rows.into_iter().filter_map(of_row).collect()
}

/// Which lessons bring it, and at which stations.
fn held(course: &Course, class: &Class, recipes: &Recipes, what: &[&AllergenId]) -> String {
    let made = contents(course, class, recipes);
    let held = made.iter().filter_map(|made| {
        let worst = what.iter().map(|w| made.held.verdict(w).0).max()?;
        if worst <= Verdict::SharedKitchen {
            return None;
        }
        let at: Vec<String> = made.stations.iter().map(ToString::to_string).collect();
        let at = match at.as_slice() {
            [] => "shown by the teacher".to_owned(),
            [one] => format!("station {one}"),
            several => format!("stations {}", several.join(", ")),
        };
        let variant = made.variant.as_ref().map_or_else(String::new, |v| format!(" as `{v}`"));
        Some(format!("`{}`{variant} {} it ({at})", made.lesson, said(worst)))
    });
    held.collect::<Vec<_>>().join(", ")
}

const fn said(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Contains => "contains",
        Verdict::MayContain => "may contain",
        _ => "is not known not to contain",
    }
}

/// The machines that a station's pieces share with what holds it, and the loads in which both are.
fn shared(
    course: &Course,
    class: &Class,
    recipes: &Recipes,
    plan: &Plan,
    station: StationNo,
    what: &[&AllergenId],
) -> String {
    let own = Whom::Station(station);
    let holds = |lesson: &LessonId, whom: &Whom| {
        let lesson = course.lesson(lesson);
        let recipe = lesson.and_then(|l| recipes.get(&l.formula.value, variant_of(class, l, whom)));
        recipe.is_none_or(|r| {
            let held = of_piece(&r.formula, &course.pantry);
            what.iter().any(|w| held.verdict(w).0 > Verdict::SharedKitchen)
        })
    };
    let is_own = |t: &PlannedTask| t.members.iter().any(|(w, _)| *w == own);
    let others = |t: &PlannedTask| {
        t.lesson.as_ref().is_some_and(|l| t.members.iter().any(|(w, _)| *w != own && holds(l, w)))
    };
    // What a machine takes up is the batch or load itself: a dough without nuts leaves none in the mixer, whatever is filled into it later.
    let in_it = Contents::of(course, class);
    let is_held = |t: &PlannedTask| match task_holds(course, plan, &in_it, t) {
        Some(carried) => what.iter().any(|w| carried.may_hold(w)),
        None => others(t),
    };
    let machines = |is: &dyn Fn(&PlannedTask) -> bool| -> BTreeSet<&str> {
        let tasks = plan.tasks.iter().filter(|t| !t.demo && is(t));
        let kitchen = &course.kitchen;
        let kinds: Vec<&str> = kitchen
            .mixers
            .iter()
            .map(|m| m.id.value.as_str())
            .chain(kitchen.ovens.iter().map(|o| o.id.value.as_str()))
            .collect();
        let is_machine = |name: &&str| kinds.iter().any(|kind| is_one(kind, name));
        tasks.flat_map(|t| t.uses.iter().map(|u| u.resource.as_str())).filter(is_machine).collect()
    };
    let (ours, theirs) = (machines(&is_own), machines(&is_held));
    let on = |machine: &str, is: &dyn Fn(&PlannedTask) -> bool| -> Vec<&PlannedTask> {
        let used = |t: &&PlannedTask| !t.demo && is(t) && t.uses.iter().any(|u| u.resource == machine);
        plan.tasks.iter().filter(used).collect()
    };
    // The same oven may be shared both ways: at one time with one load, and after another.
    let named = |is: &dyn Fn(&PlannedTask, &PlannedTask) -> bool| -> Vec<String> {
        let pairs = |machine: &&&str| {
            let theirs = on(machine, &is_held);
            on(machine, &is_own).iter().any(|mine| theirs.iter().any(|t| t.id != mine.id && is(mine, t)))
        };
        ours.intersection(&theirs).filter(pairs).map(|m| format!("`{m}`")).collect()
    };
    let meet = |mine: &PlannedTask, other: &PlannedTask| other.start < mine.end && mine.start < other.end;
    let (together_in, both) = (named(&meet), named(&|mine, other| !meet(mine, other)));
    let is_load = |t: &PlannedTask| matches!(t.group, Group::Load(_));
    let together = plan.tasks.iter().filter(|t| !t.demo && is_load(t) && is_own(t) && others(t));
    let mut steps: Vec<String> =
        together.filter_map(|t| Some(format!("`{}.{}`", t.lesson.as_ref()?, t.step))).collect();
    steps.sort();
    steps.dedup();
    let mut said = Vec::new();
    if !together_in.is_empty() {
        said.push(format!("at the same time in one: {}", together_in.join(", ")));
    }
    if !both.is_empty() {
        said.push(format!("shared one after the other: {}", both.join(", ")));
    }
    if !steps.is_empty() {
        said.push(format!("in one load with pieces that hold it: {}", steps.join(", ")));
    }
    said.push("shared by all: room, sink, cold places and cloths".to_owned());
    said.join("; ")
}

/// `oven-2` is one of the kind `oven`.
fn is_one(kind: &str, name: &str) -> bool {
    name.strip_prefix(kind).and_then(|n| n.strip_prefix('-')).is_some_and(|n| n.parse::<u32>().is_ok())
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::course::Avoidance;
    use crate::finding::Level;
    use crate::reckon::class::seat;
    use crate::reckon::sample;

    fn found(severity: Severity, told: Option<&str>) -> Vec<Finding> {
        let mut course = sample::course();
        course.roll[11] = sample::avoiding("Person 12", "hazelnut", Avoidance::Allergy);
        course.roll[11].avoids[0].severity = severity;
        course.roll[11].told = told.map(|day| sample::at(day.parse().unwrap()));
        let (class, _) = seat(&course, None);
        severe_in_the_kitchen(&course, &class, &Recipes::of(&course).0, None)
    }

    #[test]
    fn a_variant_does_not_silence_a_severe_allergy() {
        let found = found(Severity::Severe, None);
        assert_eq!(found.len(), 1, "{found:#?}");
        assert_eq!((found[0].code.0, found[0].level), ("severe-in-the-kitchen", Level::Warning));
        assert!(found[0].message.contains("avoids hazelnut severely"), "{}", found[0].message);
        assert!(found[0].message.contains("`crown` contains it (stations "), "{}", found[0].message);
        assert!(!found[0].message.contains("Person 12"));
        assert!(found[0].way_out.as_ref().unwrap().contains("tell them before they pay"));
    }

    #[test]
    fn who_was_told_leaves_a_note_with_the_day_and_a_mild_one_none() {
        let told = found(Severity::Severe, Some("2027-02-01"));
        assert_eq!(told[0].level, Level::Note);
        assert!(told[0].message.contains("told on 2027-02-01"), "{}", told[0].message);
        assert!(found(Severity::Mild, None).is_empty());
    }
}
