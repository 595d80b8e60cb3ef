//! The same class in a larger kitchen.

use benchroll::course::Course;

/// The same class in a kitchen so many times as large, with as many more hands: the teacher and helpers together are so many times as many.
#[allow(dead_code)]
pub fn with_helpers(course: Course, times: u32) -> Course {
    let mut course = grown(course, times);
    let people = (1 + course.settings.helpers.len()) * times as usize;
    if let Some(one) = course.settings.helpers.first().cloned() {
        course.settings.helpers.resize(people - 1, one);
    }
    course
}

/// The same class in a kitchen so many times as large.
pub fn grown(mut course: Course, times: u32) -> Course {
    let kitchen = &mut course.kitchen;
    kitchen.stations.count.value *= times;
    kitchen.mixers.iter_mut().for_each(|m| m.count.value *= times);
    kitchen.ovens.iter_mut().for_each(|o| o.count.value *= times);
    kitchen.hobs.iter_mut().for_each(|h| h.burners.value *= times);
    kitchen.tins.iter_mut().for_each(|t| t.count.value *= times);
    kitchen.trays.iter_mut().for_each(|t| t.count.value *= times);
    kitchen.tubs.iter_mut().for_each(|t| t.count.value *= times);
    for place in kitchen.cold.iter_mut().chain(&mut kitchen.warm).chain(&mut kitchen.racks) {
        place.shelves.value *= times;
    }
    for circuit in &mut kitchen.circuits {
        circuit.carries.value = circuit.carries.value.times(i64::from(times));
    }
    course
}
