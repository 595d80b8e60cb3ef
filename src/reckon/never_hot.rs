//! An oven so slow that it is never hot while somebody is there: nearly always a rate with a slip in it.

use crate::course::{Course, EquipId};
use crate::finding::Finding;
use crate::reckon::plan::grid::Calendar;
use crate::reckon::plan::tasks::change_over;
use crate::reckon::work::Options;
use crate::units::{Celsius, Minutes};
use std::collections::BTreeMap;

/// The ovens in which a bake can't be, of the bakes for which there is no other.
#[must_use]
pub fn never_hot(course: &Course, options: &Options) -> Vec<Finding> {
    let Some(calendar) = Calendar::of(course) else { return Vec::new() };
    let longest = calendar.grid.minutes(calendar.longest_span());
    let kitchen = &course.kitchen;
    let needs = |id: &EquipId, heat: Celsius| -> Option<Minutes> {
        let oven = kitchen.ovens.iter().find(|oven| oven.id.value == *id)?;
        Some(change_over(oven, kitchen.room.value, heat))
    };
    let mut hottest: BTreeMap<&EquipId, (Minutes, Celsius, String)> = BTreeMap::new();
    for ((lesson, step), bakes) in &options.bakes {
        let loads = || bakes.iter().flat_map(|bake| &bake.loads);
        let hot = |(id, heat): (&EquipId, Celsius)| needs(id, heat).is_some_and(|needs| needs <= longest);
        let ovens = || loads().flat_map(|load| load.fits.iter().map(|(id, _)| (id, load.heat_in(id))));
        if ovens().any(hot) {
            continue;
        }
        for (id, heat) in ovens() {
            let Some(needs) = needs(id, heat) else { continue };
            if hottest.get(id).is_none_or(|(known, ..)| *known < needs) {
                hottest.insert(id, (needs, heat, format!("{lesson}.{step}")));
            }
        }
    }
    let told = kitchen.ovens.iter().filter_map(|oven| {
        let id = &oven.id.value;
        let (needs, heat, step) = hottest.get(id)?;
        let message = format!(
            "`{id}` needs {needs} from the room's {} C to {} C for `{step}`, at {} C a minute, and somebody is in the kitchen for \
             {longest} at a stretch and no longer",
            kitchen.room.value.to_decimal().normalize(),
            heat.to_decimal().normalize(),
            oven.heats.value.to_decimal().normalize()
        );
        let finding = Finding::error("never-hot", oven.heats.place.or(oven.id.place), message);
        Some(finding.way_out("look at the figure, or have another oven for this bake"))
    });
    told.collect()
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::reckon::sample::course;
    use crate::reckon::{class, options, scale};
    use crate::units::Kelvins;

    #[test]
    fn an_oven_that_is_hot_in_time_is_none_of_these() {
        let mut course = course();
        let found = |course: &Course| {
            let (class, _) = class::seat(course, None);
            let (options, _) = options::options(course, &class, &scale::portions(course, &class));
            never_hot(course, &options)
        };
        assert_eq!(found(&course), []);
        for oven in &mut course.kitchen.ovens {
            oven.heats.value = Kelvins::ZERO;
        }
        assert_eq!(found(&course), []);
    }
}
