//! From a moment of the day on, is no more taken than is left of what has failed?

use super::super::timetable::{Plan, PlannedTask};
use super::{Broken, Checker, minute, time};
use crate::course::Course;
use crate::reckon::work::{Class, Portion};
use jiff::ZonedDateTime;
use std::collections::{BTreeMap, BTreeSet};

/// What begins from `now` on and takes more than is left in the kitchen of `left`, or is on something of `failed` itself.
#[must_use]
pub fn more_than_left(
    left: &Course,
    (class, portions): (&Class, &[Portion]),
    new: &Plan,
    now: &ZonedDateTime,
    failed: &[String],
) -> Vec<Broken> {
    let checker = Checker::of(left, (class, portions), new, BTreeSet::new());
    let mut there: BTreeMap<&str, (i64, i64)> =
        checker.stock().into_iter().map(|(id, known)| (id.as_str(), known)).collect();
    for mixer in &left.kitchen.mixers {
        there.insert(mixer.id.value.as_str(), (super::there(mixer.count.value, mixer.loan.as_ref()), 0));
    }
    let kind = |name: &str| -> Option<&str> {
        let numbered = |id: &&&str| {
            name.strip_prefix(**id).is_some_and(|rest| {
                rest.is_empty() || rest.strip_prefix('-').is_some_and(|n| n.parse::<u32>().is_ok())
            })
        };
        there.keys().find(numbered).copied()
    };
    let gone: BTreeSet<&str> = failed.iter().filter_map(|name| kind(name)).collect();
    let mut taken: BTreeMap<&str, Vec<(i64, i64, i64, &PlannedTask)>> = BTreeMap::new();
    let mut found = Vec::new();
    let at = minute(now);
    for task in &new.tasks {
        for used in &task.uses {
            if time(task).0 >= at
                && failed.contains(&used.resource)
                && kind(&used.resource) != Some(&used.resource)
            {
                let message = format!("is on {}, which has failed", used.resource);
                found.push(Broken { rule: "failed", tasks: vec![task.id.clone()], message });
            }
            let machine = kind(&used.resource).filter(|id| gone.contains(id) && *id != used.resource);
            if let Some(id) = machine {
                let span = (time(task).0, minute(&used.until), i64::from(used.amount), task);
                taken.entry(id).or_default().push(span);
            }
        }
        for thing in checker.takes(task) {
            let Some(id) = kind(thing.what.as_str()).filter(|id| gone.contains(id)) else { continue };
            let between = there.get(id).map_or(0, |(_, between)| *between);
            for (count, end) in checker.frees(task, &thing) {
                taken.entry(id).or_default().push((time(task).0, end + between, count, task));
            }
        }
    }
    for (id, spans) in &taken {
        let stock = there.get(id).map_or(0, |(count, _)| *count);
        for (from, _, _, task) in spans.iter().filter(|span| span.0 >= at) {
            let sum: i64 = spans.iter().filter(|s| s.0 <= *from && from < &s.1).map(|s| s.2).sum();
            if sum > stock {
                let message = format!("{sum} of {id} are taken, {stock} are left");
                found.push(Broken { rule: "failed", tasks: vec![task.id.clone()], message });
            }
        }
    }
    found
}
