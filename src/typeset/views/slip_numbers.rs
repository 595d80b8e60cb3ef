//! The slips on what stands and waits, and their numbers: one numbering for the slips themselves, the prep sheets, the stations'
//! lists, the oven and cold sheet and the pull list.

use super::common::SlipRef;
use super::desk::{Desk, runs};
use crate::course::{EquipId, Hands, LessonId, PartId, Where};
use crate::reckon::plan::timetable::PlannedTask;
use crate::reckon::work::Batch;
use crate::units::Grams;

/// The slips of one batch that stands and waits: one for each tub or dish of it.
#[derive(Clone, PartialEq, Debug)]
pub struct Slip {
    /// What they are on, and all their numbers, as other sheets name them.
    pub slip: SlipRef,
    /// What each is on: its number and how much is in it.
    pub each: Vec<(u32, Grams)>,
    /// The kind of tub; `None`: a dish, as the lesson names nothing to stand in.
    pub tub: Option<EquipId>,
    /// The lesson.
    pub lesson: LessonId,
    /// The part.
    pub part: PartId,
    /// The batch.
    pub batch: u32,
}

/// Every tub and dish of what is made ahead, or stands in the cold, gets one, in the order of the making. A number is given once,
/// though the plan washes a tub and fills it again: what is in it is another thing then.
pub(super) fn number_slips(desk: &Desk) -> Vec<Slip> {
    let mut slips: Vec<Slip> = Vec::new();
    let (mut last_tub, mut last_dish) = (0, 0);
    for task in desk.plan.tasks.iter().filter(|t| t.hands != Hands::Nobody) {
        let Some(batch) = desk.batch(task) else { continue };
        let known =
            slips.iter().any(|s| s.lesson == batch.lesson && s.part == batch.part && s.batch == batch.no);
        if known || !stands_and_waits(desk, batch) {
            continue;
        }
        let tub = tubs(desk, batch);
        let (on, last) = if tub.is_some() { ("tub", &mut last_tub) } else { ("dish", &mut last_dish) };
        let parts = shared_out(desk.shares(batch).whole(), tub.as_ref().map_or(1, |(_, count)| *count));
        let first = *last + 1;
        let each: Vec<(u32, Grams)> = (first..).zip(parts).collect();
        let numbers: Vec<u32> = each.iter().map(|(no, _)| *no).collect();
        *last = numbers.last().copied().unwrap_or(*last);
        slips.push(Slip {
            slip: SlipRef { on: on.to_owned(), number: runs(&numbers).join(", ") },
            each,
            tub: tub.map(|(kind, _)| kind),
            lesson: batch.lesson.clone(),
            part: batch.part.clone(),
            batch: batch.no,
        });
    }
    slips
}

/// What is done with a batch.
fn tasks_of<'s>(desk: &'s Desk, batch: &'s Batch) -> impl Iterator<Item = &'s PlannedTask> {
    desk.plan.tasks.iter().filter(move |t| {
        desk.batch(t).is_some_and(|b| b.lesson == batch.lesson && b.part == batch.part && b.no == batch.no)
    })
}

fn stands_and_waits(desk: &Desk, batch: &Batch) -> bool {
    tasks_of(desk, batch).any(|t| t.made_ahead || matches!(desk.place(t), Where::Cold | Where::Freezer))
}

/// The kind of tub that a batch stands in, and how many of them.
fn tubs(desk: &Desk, batch: &Batch) -> Option<(EquipId, u32)> {
    let kind = |id: &str| desk.course.kitchen.tubs.iter().map(|t| &t.id.value).find(|t| t.as_str() == id);
    tasks_of(desk, batch)
        .flat_map(|t| &t.uses)
        .filter_map(|u| Some((kind(&u.resource)?.clone(), u.amount)))
        .max_by_key(|(_, amount)| *amount)
        .filter(|(_, amount)| *amount > 0)
}

/// A mass in so many vessels: alike to the gram, the first ones a gram more where it does not divide, and together the whole.
fn shared_out(grams: Grams, vessels: u32) -> Vec<Grams> {
    let count = i64::from(vessels.max(1));
    let (whole, rest) = (grams.mg() / 1000, grams.mg() % 1000);
    let of = |n: i64| whole / count + i64::from(n < whole % count);
    (0..count).map(|n| Grams::from_mg(of(n) * 1000 + if n == 0 { rest } else { 0 })).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_stands_in_several_tubs_is_the_whole_together() {
        let grams = |all: &[i64]| all.iter().map(|g| Grams::whole(*g)).collect::<Vec<_>>();
        assert_eq!(shared_out(Grams::whole(2499), 2), grams(&[1250, 1249]));
        assert_eq!(shared_out(Grams::whole(3000), 1), grams(&[3000]));
        for (mass, tubs) in [(2_499_500, 3), (7_000, 8), (0, 2)] {
            let parts = shared_out(Grams::from_mg(mass), tubs);
            assert_eq!(parts.len(), tubs as usize);
            assert_eq!(parts.iter().map(|g| g.mg()).sum::<i64>(), mass);
        }
    }
}
