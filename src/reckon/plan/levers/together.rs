//! Several changes at once, where no single one is enough: a class that is far too big for its kitchen is short of more than one thing.

use super::circuits::each_elsewhere;
use super::{Change, assumed_ends, short_at_once, works};
use crate::course::{Course, EquipId};
use crate::reckon::class;
use crate::reckon::options;
use crate::reckon::plan::choose::{Effort, plan};
use crate::reckon::scale;
use crate::units::Minutes;

/// So many of each machine and cupboard are tried at most, for each that is there.
const MORE_OF_EACH: u32 = 3;

/// How many people fewer are tried, one after another.
const FEWER: u32 = 24;

/// What makes the class fit where no single change does: things alone, in the hours as written; and, where there is no plan at all (`none`),
/// as few things as there is any plan with, with sessions that end as late as that plan asks for.
pub fn together(course: &Course, headcount: Option<u32>, none: bool, effort: Effort) -> Vec<Change> {
    let mut found = Vec::new();
    let things = least_things(course, headcount, effort, None);
    let late = none.then(|| least_things(course, headcount, effort, Some(effort.over))).flatten();
    if let Some(late) = late.filter(|late| things.as_ref() != Some(late))
        && let Some(with) = Change::Together(late.clone()).apply(course)
    {
        found.extend(ends(&with, headcount).map(|ends| [late, vec![ends]].concat()));
    }
    found.extend(things);
    found.into_iter().filter(|all| all.len() > 1).map(Change::Together).collect()
}

/// The most people that come fewer and fit.
pub fn fewer(course: &Course, headcount: Option<u32>, effort: Effort) -> Option<Change> {
    let (class, _) = class::seat(course, headcount);
    let numbers = (1..class.headcount).rev().take(usize::try_from(FEWER).unwrap_or(usize::MAX));
    numbers.map(Change::Fewer).find(|change| works(change, course, headcount, None, effort))
}

/// The sessions that end later in the least-late plan of a course, where the course with those ends is planned so.
fn ends(course: &Course, headcount: Option<u32>) -> Option<Change> {
    let (class, _) = class::seat(course, headcount);
    let portions = scale::portions(course, &class);
    let (options, _) = options::options(course, &class, &portions);
    // As the class itself is planned.
    let planned = |course: &Course| plan(course, &class, &portions, &options, Effort::default()).plan;
    let late = planned(course).filter(|late| !late.fits)?;
    let ends = assumed_ends(&late);
    let fits = planned(&ends.apply(course)?).is_some_and(|plan| plan.fits);
    fits.then_some(ends)
}

/// As few things more as the class fits with, in the hours as written, or in such that go on so much longer; `None`: not even with plenty.
fn least_things(
    course: &Course,
    headcount: Option<u32>,
    effort: Effort,
    longer: Option<Minutes>,
) -> Option<Vec<Change>> {
    let mut all = plenty(course, headcount);
    let fits = |all: &[Change]| works(&Change::Together(all.to_vec()), course, headcount, longer, effort);
    if !fits(&all) {
        return None;
    }
    // What is hardest to get is done without first.
    for place in (0..all.len()).rev() {
        let mut fewer = all.clone();
        fewer.remove(place);
        if fits(&fewer) {
            all = fewer;
        }
    }
    for place in 0..all.len() {
        let Some(mut enough) = all[place].counted().map(|(_, n)| n) else { continue };
        let mut few = 0;
        while enough - few > 1 {
            let middle = few.midpoint(enough);
            let mut fewer = all.clone();
            fewer[place] = all[place].with_count(middle);
            if fits(&fewer) {
                (enough, all) = (middle, fewer);
            } else {
                few = middle;
            }
        }
    }
    Some(all)
}

/// Plenty of everything that can be got, the easiest first.
fn plenty(course: &Course, headcount: Option<u32>) -> Vec<Change> {
    let kitchen = &course.kitchen;
    let short = short_at_once(course, headcount);
    let mut all = Vec::new();
    let mut of = |id: &EquipId, change: fn(EquipId, u32) -> Change| {
        all.extend(short.get(id).map(|n| change(id.clone(), *n)));
    };
    kitchen.tins.iter().for_each(|t| of(&t.id.value, Change::Tins));
    kitchen.trays.iter().for_each(|t| of(&t.id.value, Change::Trays));
    kitchen.tubs.iter().for_each(|t| of(&t.id.value, Change::Tubs));
    let more = |count: u32| count.max(1).saturating_mul(MORE_OF_EACH);
    let cupboards = [&kitchen.cold, &kitchen.freezers, &kitchen.warm, &kitchen.racks];
    let cupboards = cupboards.into_iter().flatten();
    all.extend(cupboards.map(|c| Change::Cupboard(c.id.value.clone(), more(c.count.value))));
    all.push(Change::Helper);
    all.extend(each_elsewhere(kitchen));
    all.extend(kitchen.mixers.iter().map(|m| Change::Mixer(m.id.value.clone(), more(m.count.value))));
    all.extend(kitchen.ovens.iter().map(|o| Change::Oven(o.id.value.clone(), more(o.count.value))));
    all
}
