//! A single step that is longer than the whole class: nearly always hours where minutes were meant.

use crate::course::{At, Course, Lasts};
use crate::finding::{Finding, Place};
use crate::units::Minutes;
use jiff::ZonedDateTime;

/// The steps that last longer than from the first hour in which somebody is in the kitchen to the last.
#[must_use]
pub fn longer_than_class(course: &Course) -> Vec<Finding> {
    let Some(whole) = whole(course) else { return Vec::new() };
    let mut found = Vec::new();
    for lesson in &course.lessons {
        for step in &lesson.steps {
            let (least, place, verb) = match &step.lasts {
                Lasts::Takes { takes, .. } => (takes.value.usual, takes.place, "takes"),
                Lasts::Stands(stands) => (stands.value.least, stands.place, "stands at least"),
            };
            let name = format!("step `{}` of `{}`", step.id, lesson.id);
            found.extend(longer(&name, verb, (least, place), whole));
        }
    }
    for own in &course.own_steps {
        let takes: &At<_> = &own.takes;
        found.extend(longer(&format!("step `{}`", own.id), "takes", (takes.value.usual, takes.place), whole));
    }
    found
}

fn longer(
    name: &str,
    verb: &str,
    (least, place): (Minutes, Option<Place>),
    whole: Minutes,
) -> Option<Finding> {
    (least > whole).then(|| {
        let message = format!("{name} {verb} {least}, and from the first hour of the class to its last are {whole}");
        Finding::error("longer-than-class", place, message)
            .way_out("look at the unit: 45 h or 45 min? What really takes longer is made before and brought along, or needs another day")
    })
}

/// From the first hour in which somebody is in the kitchen to the last; `None` without a session.
fn whole(course: &Course) -> Option<Minutes> {
    let sessions = course.sessions.iter().map(|s| (&s.from.value, &s.to.value));
    let staff =
        course.sessions.iter().flat_map(|s| s.staff.iter().map(|span| (&span.value.0, &span.value.1)));
    let seconds = |moment: &ZonedDateTime| moment.timestamp().as_second();
    let hours: Vec<(i64, i64)> =
        sessions.chain(staff).map(|(from, to)| (seconds(from), seconds(to))).collect();
    let first = hours.iter().map(|(from, _)| *from).min()?;
    let last = hours.iter().map(|(_, to)| *to).max()?;
    Some(Minutes((last - first) / 60))
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::course::Stands;
    use crate::finding::Located;
    use crate::reckon::sample::course;

    #[test]
    fn a_rise_of_hours_for_minutes_is_told_at_its_own_line_and_a_long_chill_is_not() {
        let mut course = course();
        assert_eq!(longer_than_class(&course), []);
        let whole = whole(&course).unwrap();
        let stand = |least| Lasts::Stands(Located::assumed(Stands { least, most: None }));
        course.lessons[0].steps[2].lasts = stand(whole);
        assert_eq!(longer_than_class(&course), []);
        course.lessons[0].steps[2].lasts = stand(whole + Minutes(1));
        let found = longer_than_class(&course);
        assert_eq!(found.len(), 1);
        assert!(found[0].message.contains("`rise` of `crown` stands at least"), "{}", found[0].message);
    }
}
