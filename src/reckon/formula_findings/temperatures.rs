//! Temperatures that can't be meant, or can't be reached where the kitchen is.
use crate::course::{At, Chain, Course, Kitchen, Lesson, Step, Where};
use crate::finding::{Finding, Place};
use crate::reckon::altitude::{RISES_FASTER_FROM, boiling_point};
use crate::reckon::dough_temperature::is_absurd;
use crate::units::{Celsius, Kelvins};

/// Everything there is to say about the temperatures of a course: the kitchen's, then lesson by lesson.
pub fn temperatures(course: &Course) -> Vec<Finding> {
    let mut found = of_kitchen(&course.kitchen);
    for lesson in &course.lessons {
        found.extend(of_lesson(lesson));
        found.extend(above_boiling(&course.kitchen, lesson));
    }
    found.extend(rises_faster(&course.kitchen));
    found
}

fn absurd(place: Option<Place>, what: &str, is: Celsius, from: i64, to: i64) -> Option<Finding> {
    (!(Celsius::whole(from)..=Celsius::whole(to)).contains(&is)).then(|| {
        Finding::error(
            "absurd-temperature",
            place,
            format!("{what} of {} C can't be meant", is.to_decimal().normalize()),
        )
        .way_out(format!("from {from} to {to} C make sense; a figure in Fahrenheit needs its F"))
    })
}

/// People work in the room, water from a tap is neither ice nor scalding, a proofer bakes nothing, and a mixer warms a dough by a few
/// degrees: 12 to 20 K in the three-term sum (rows `ddt-ff-stand`, `ddt-ff-table`), never 40.
fn of_kitchen(kitchen: &Kitchen) -> Vec<Finding> {
    let mut found = Vec::new();
    found.extend(absurd(kitchen.room.place, "a room", kitchen.room.value, 0, 45));
    found.extend(kitchen.tap_water.as_ref().and_then(|t| absurd(t.place, "tap water", t.value, 1, 45)));
    let warm = kitchen.warm.iter().filter_map(|w| w.temperature.as_ref());
    found.extend(warm.filter_map(|t| absurd(t.place, "a warm place", t.value, 10, 60)));
    let frictions = kitchen.mixers.iter().filter_map(|m| m.friction.as_ref());
    found.extend(frictions.filter(|f| !(Kelvins::ZERO..=Kelvins::whole(40)).contains(&f.value)).map(|f| {
        Finding::error(
            "absurd-temperature",
            f.place,
            format!("a friction of {} C can't be meant", f.value.to_decimal().round_dp(1).normalize()),
        )
        .way_out("from 0 to 40 C make sense; a figure in Fahrenheit needs its F, and is a difference: 22 F are 12.2 C")
    }));
    found
}

/// A lesson's own temperatures that can't be meant, wherever it is baked.
pub fn of_lesson(lesson: &Lesson) -> Vec<Finding> {
    let mut found = Vec::new();
    for step in &lesson.steps {
        if let Some(aim) = &step.aim
            && is_absurd(aim.value)
        {
            found.extend(absurd(aim.place, "a dough", aim.value, 10, 40));
        }
        if let Some(heat) = &step.heat {
            found.extend(absurd(heat.place, "an oven", heat.value, 50, 350));
            found.extend(cool_oven(step, heat));
        }
        if let Some(core) = &step.core {
            let sides = [core.value.least, core.value.most].into_iter().flatten();
            found.extend(sides.filter_map(|side| absurd(core.place, "a core temperature", side, 0, 125)));
        }
    }
    found
}

/// The coolest oven that bread is baked in, in print: 300 °F, low fan, for a large filled loaf (row `oven-times-other`). Lean and rich
/// doughs are baked at 350 to 475 °F (row `oven-temps`; W. Gisslen, Professional Cooking, Wiley 2014, ch. 31).
const COOLEST: Celsius = Celsius::from_thousandths(148_889);

/// Pieces in an oven that is far too cool for bread: most often Fahrenheit for Celsius.
fn cool_oven(step: &Step, heat: &At<Celsius>) -> Option<Finding> {
    let pieces = step.on.iter().any(|c| c.value == Chain::Piece);
    let cool = heat.value < COOLEST && heat.value >= Celsius::whole(50);
    (pieces && cool && step.place.value == Where::Oven).then(|| {
        let shown = |c: Celsius| c.to_decimal().round_dp(0).normalize();
        Finding::warning(
            "cool-oven",
            heat.place,
            format!(
                "pieces go into an oven at {} °C; in print bread is baked from {} °C on",
                shown(heat.value),
                shown(COOLEST)
            ),
        )
        .way_out("look at the unit: 200 F are 93 °C, 200 C are 392 F (rows `oven-times-other`, `oven-temps`)")
    })
}

/// What is moist inside gets no hotter than water boils: a core that is wanted above that never comes, and the bread dries out.
fn above_boiling(kitchen: &Kitchen, lesson: &Lesson) -> Vec<Finding> {
    let Some(altitude) = &kitchen.altitude else { return Vec::new() };
    let boils = boiling_point(altitude.value);
    let wanted = lesson.steps.iter().filter_map(|s| s.core.as_ref());
    wanted
        .filter_map(|core| {
            let least = core.value.least.filter(|l| *l >= boils)?;
            Some(
                Finding::warning(
                    "core-never-reached",
                    core.place,
                    format!(
                        "a core of {} C is wanted, and at {} m water boils at {} C: it never gets there",
                        least.to_decimal().normalize(),
                        altitude.value,
                        boils.to_decimal().round_dp(1).normalize()
                    ),
                )
                .also(altitude.place, "the height is written here")
                .way_out("write what it can reach; alt-boil-table (French Culinary Institute, high-altitude baking tables)"),
            )
        })
        .collect()
}

/// High up dough rises faster than a formula from the plain promises.
fn rises_faster(kitchen: &Kitchen) -> Option<Finding> {
    let altitude = kitchen.altitude.as_ref().filter(|a| a.value >= RISES_FASTER_FROM)?;
    Some(
        Finding::note(
            "rises-faster-here",
            altitude.place,
            format!(
                "at {} m dough rises a quarter to a half faster; the times of the lessons are taken as they are written",
                altitude.value
            ),
        )
        .way_out("look at a dough from half its time on, or take up to a third less yeast: alt-yeast (a magazine's test kitchen, 2008)"),
    )
}
