//! How food is handled beside the clocks: bread that is boxed before it is cool, and what must not wait on a tray.

use super::cautions::cooling_step;
use super::trace::{between, leaves};
use crate::course::{Course, ItemKind, Lasts, LessonId, Where};
use crate::finding::Finding;
use crate::reckon::plan::timetable::Plan;
use crate::reckon::work::Whom;
use crate::units::Minutes;

/// How long the pieces of a lesson cool before the students leave with them, for those who have the least time.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct GoesHome {
    /// The lesson.
    pub lesson: LessonId,
    /// Whose.
    pub whom: Whom,
    /// From the oven until the sitting ends.
    pub cools: Minutes,
    /// The least that the lesson asks for on the rack, after the bake; `None`: it does not say.
    pub wanted: Option<Minutes>,
}

/// Every lesson whose pieces are baked in a sitting.
#[must_use]
pub fn goes_home(course: &Course, plan: &Plan) -> Vec<GoesHome> {
    let mut all = Vec::new();
    for lesson in &course.lessons {
        let wanted = cooling_step(lesson).and_then(|s| match &s.lasts {
            Lasts::Stands(stands) => Some(stands.value.least),
            Lasts::Takes { .. } => None,
        });
        let baked = plan.tasks.iter().filter(|t| {
            t.lesson.as_ref() == Some(&lesson.id.value)
                && lesson.step(&t.step).is_some_and(|s| s.place.value == Where::Oven)
        });
        let each = baked.flat_map(|t| t.members.iter().map(move |(whom, _)| (t, whom)));
        let least = each
            .filter(|(_, whom)| matches!(whom, Whom::Station(_)))
            .filter_map(|(t, whom)| Some((between(&t.end, &leaves(course, plan, &t.end)?), whom)))
            .min();
        if let Some((cools, whom)) = least {
            all.push(GoesHome { lesson: lesson.id.value.clone(), whom: whom.clone(), cools, wanted });
        }
    }
    all
}

/// What is told of it: figures that were published for wrapping (row `cool-slice`) against the lesson's own.
#[must_use]
pub fn findings(course: &Course, home: &[GoesHome]) -> Vec<Finding> {
    let mut all = Vec::new();
    for one in home {
        let Some(lesson) = course.lesson(&one.lesson) else { continue };
        let oven = lesson.steps.iter().rfind(|s| s.place.value == Where::Oven);
        let source = "cool-slice: BAKERpedia, Bread cooling: 35 to 40 °C before slicing or wrapping";
        match (one.wanted, cooling_step(lesson)) {
            (Some(wanted), Some(step)) if one.cools < wanted => all.push(
                Finding::warning(
                    "boxed-warm",
                    step.id.place,
                    format!(
                        "the pieces of `{}` are out of the oven {} before the students leave, and cool for at least {wanted}: they would be boxed warm",
                        one.lesson, one.cools
                    ),
                )
                .about(one.lesson.to_string())
                .way_out(format!(
                    "bake sooner or stay longer; or send them home in an open box or a cloth, never in a closed bag ({source})"
                )),
            ),
            (None, _) => all.push(
                Finding::note(
                    "cooling-unknown",
                    oven.and_then(|s| s.id.place),
                    format!("no step says how long the pieces of `{}` cool before they are boxed", one.lesson),
                )
                .about(one.lesson.to_string())
                .way_out(format!("a last step `at = \"rack\"`, `stands = \"at least 60 min\"` ({source})")),
            ),
            _ => {}
        }
    }
    all
}

/// What is weighed out of its shell or carton and must not stand on a tray, and is not marked to be kept cold: the weigh-out would
/// not say that it goes back into the cold.
#[must_use]
pub fn left_on_trays(course: &Course) -> Vec<Finding> {
    let spoils = |kind: ItemKind| {
        matches!(
            kind,
            ItemKind::Egg | ItemKind::Yolk | ItemKind::White | ItemKind::Milk | ItemKind::FreshYeast
        )
    };
    course
        .pantry
        .items
        .iter()
        .filter(|i| !i.cold && spoils(i.kind.value))
        .map(|i| {
            Finding::warning(
                "tray-not-cold",
                i.id.place,
                format!(
                    "`{}` is not marked to be kept cold: the weigh-out has it on the tray with the rest until it is used",
                    i.id
                ),
            )
            .about(i.id.to_string())
            .way_out("write `cold = true` at it: eggs out of the shell, milk and butter are weighed last and stay cold until their step")
        })
        .collect()
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::course::Stands;
    use crate::reckon::sample::{at, course};

    fn home(cools: i64, wanted: Option<i64>) -> Vec<Finding> {
        let mut course = course();
        let mut cool = course.lessons[0].steps[0].clone();
        cool.id = at("cool".into());
        cool.place = at(Where::Rack);
        cool.lasts = Lasts::Stands(at(Stands { least: Minutes(60), most: None }));
        course.lessons[0].steps.push(cool);
        let one = GoesHome {
            lesson: course.lessons[0].id.value.clone(),
            whom: Whom::Spare,
            cools: Minutes(cools),
            wanted: wanted.map(Minutes),
        };
        findings(&course, &[one])
    }

    #[test]
    fn bread_that_leaves_before_it_is_cool_is_told() {
        assert_eq!(home(59, Some(60))[0].code.0, "boxed-warm");
        assert!(home(60, Some(60)).is_empty());
        assert_eq!(home(600, None)[0].code.0, "cooling-unknown");
    }

    #[test]
    fn egg_that_would_stand_on_a_tray_overnight_is_told() {
        let mut course = course();
        let egg = course.pantry.items.iter_mut().find(|i| i.kind.value == ItemKind::Egg).unwrap();
        egg.cold = false;
        let id = egg.id.value.to_string();
        assert!(left_on_trays(&course).iter().any(|f| f.about.as_deref() == Some(&id)));
        course.pantry.items.iter_mut().for_each(|i| i.cold = true);
        assert!(left_on_trays(&course).is_empty());
    }
}
