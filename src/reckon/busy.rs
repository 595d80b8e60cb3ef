//! What a plan keeps busy, and until when: what tins, trays, tubs and tools are counted by when they are used in turn.

use super::plan::timetable::Plan;
use super::tins::Busy;
use crate::course::{Course, EquipId};
use crate::units::Minutes;
use std::collections::BTreeMap;

/// For each thing of the kitchen the spans in which the plan needs it, with the cooling, washing and greasing before it serves
/// again. In minutes of one clock, so that a night when clocks change counts as long as it is.
pub fn busy(course: &Course, plan: &Plan) -> BTreeMap<EquipId, Vec<Busy>> {
    let mut all: BTreeMap<EquipId, Vec<Busy>> = BTreeMap::new();
    let minutes = |at: &jiff::ZonedDateTime| at.timestamp().as_second().div_euclid(60);
    for task in &plan.tasks {
        for used in &task.uses {
            let item = EquipId::new(used.resource.clone());
            let to = minutes(&used.until) + between(course, &item).get();
            let span = Busy { from: minutes(&task.start), to, count: used.amount };
            all.entry(item).or_default().push(span);
        }
    }
    all
}

fn between(course: &Course, item: &EquipId) -> Minutes {
    let kitchen = &course.kitchen;
    let tins = kitchen.tins.iter().map(|t| (&t.id.value, t.between.value));
    let trays = kitchen.trays.iter().map(|t| (&t.id.value, t.between.value));
    tins.chain(trays).find(|(id, _)| *id == item).map_or(Minutes::ZERO, |(_, between)| between)
}
