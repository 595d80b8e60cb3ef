//! How many tins, trays and tubs a class needs when everything stands at once, and how many when the plan uses them in turn.

use super::ovens::{on_what, trays_for};
use super::scale::{pieces_of, stage_reaches};
use super::work::{Choice, Class, Whom};
use crate::course::{Course, EquipId, Lesson, LessonId, StepId, Tub};
use crate::units::Grams;

/// What one lesson needs of one kind of tin, tray or tub.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct TinNeed {
    /// The lesson.
    pub lesson: LessonId,
    /// The kind.
    pub what: EquipId,
    /// Students' pieces (for tubs: batches).
    pub students: u32,
    /// Stages of a demonstration that come as far as the tin.
    pub demonstration: u32,
    /// Spare pieces.
    pub spare: u32,
    /// Pieces in or on one of them.
    pub per_tin: u32,
    /// How many stand at once: each group has its own.
    pub needed: u32,
}

/// The tins and trays of a lesson. A stage counts where it is brought as far as the step that takes the tin. `None`: pieces lie in and
/// on nothing that is counted.
pub fn tins(course: &Course, class: &Class, lesson: &Lesson) -> Option<TinNeed> {
    let formula = course.formula(&lesson.formula.value)?;
    let unit = on_what(course, formula)?;
    let what = unit.what.clone()?;
    let taken = taken_at(lesson, &what);
    let mut need = TinNeed {
        lesson: lesson.id.value.clone(),
        what,
        students: 0,
        demonstration: 0,
        spare: 0,
        per_tin: unit.pieces,
        needed: 0,
    };
    for (whom, pieces) in pieces_of(lesson, class) {
        match &whom {
            Whom::Station(_) => need.students += pieces,
            Whom::Spare => need.spare += pieces,
            Whom::Stage { up_to, .. } => {
                if !taken.is_some_and(|step| stage_reaches(lesson, up_to, step)) {
                    continue;
                }
                need.demonstration += pieces;
            }
        }
        need.needed += trays_for(&unit, pieces);
    }
    Some(need)
}

/// The first step that takes the tin or tray; else the last one of all, the piece being baked in it in any case.
fn taken_at<'a>(lesson: &'a Lesson, what: &EquipId) -> Option<&'a StepId> {
    let names = |id: &EquipId| id == what || matches!(id.as_str(), "tin" | "tray");
    lesson
        .steps
        .iter()
        .find(|s| s.uses.iter().any(|u| names(&u.what.value)))
        .or_else(|| lesson.steps.iter().find(|s| s.heat.is_some()))
        .map(|s| &s.id.value)
}

/// The tubs of a lesson's batches: for each batch the smallest kind that holds it, or as many of the largest as it takes.
pub fn tubs(course: &Course, lesson: &Lesson, choice: &Choice) -> Vec<TinNeed> {
    let wanted = lesson.steps.iter().any(|s| s.uses.iter().any(|u| u.what.value.as_str() == "tub"));
    let mut all: Vec<TinNeed> = Vec::new();
    if !wanted {
        return all;
    }
    for ((of, part), batches) in &choice.batches {
        let stands = lesson.steps.iter().any(|s| {
            s.uses.iter().any(|u| u.what.value.as_str() == "tub")
                && s.on.iter().any(|c| c.value == crate::course::Chain::Part(part.clone()))
        });
        if *of != lesson.id.value || !stands {
            continue;
        }
        for batch in batches {
            let Some((tub, count)) = tub_for(&course.kitchen.tubs, batch.grams) else { continue };
            let at = all.iter().position(|n| n.what == tub.id.value).unwrap_or_else(|| {
                all.push(TinNeed {
                    lesson: lesson.id.value.clone(),
                    what: tub.id.value.clone(),
                    students: 0,
                    demonstration: 0,
                    spare: 0,
                    per_tin: 1,
                    needed: 0,
                });
                all.len() - 1
            });
            all[at].students += 1;
            all[at].needed += count;
        }
    }
    all
}

fn tub_for(tubs: &[Tub], grams: Grams) -> Option<(&Tub, u32)> {
    let holds = |t: &&Tub| t.holds.value;
    if let Some(tub) = tubs.iter().filter(|t| holds(t) >= grams).min_by_key(holds) {
        return Some((tub, 1));
    }
    let tub = tubs.iter().filter(|t| holds(t) > Grams::ZERO).max_by_key(holds)?;
    let count = (grams.mg() + tub.holds.value.mg() - 1) / tub.holds.value.mg();
    Some((tub, u32::try_from(count).unwrap_or(u32::MAX)))
}

/// Something kept busy from one moment to another, in minutes of any one clock; the end is free again.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Busy {
    /// From.
    pub from: i64,
    /// Until, the cooling, washing and greasing before it serves again included.
    pub to: i64,
    /// How many.
    pub count: u32,
}

/// The most that are busy at one moment.
pub fn peak(busy: &[Busy]) -> u32 {
    busy.iter()
        .map(|at| {
            busy.iter()
                .filter(|b| b.from <= at.from && at.from < b.to)
                .map(|b| b.count)
                .fold(0, u32::saturating_add)
        })
        .max()
        .unwrap_or(0)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::course::ForEach;
    use crate::reckon::class::seat;
    use crate::reckon::options::{options, preferred};
    use crate::reckon::sample::{at, course, roll};
    use crate::reckon::scale::portions;
    use proptest::prelude::*;

    #[test]
    fn a_stage_takes_a_tin_only_where_it_comes_so_far() {
        let mut c = course();
        let class = seat(&c, None).0;
        let need = tins(&c, &class, &c.lessons[0]).unwrap();
        assert_eq!((need.students, need.demonstration, need.needed), (12, 0, 12));
        c.lessons[0].steps.iter_mut().find(|s| s.demo).unwrap().stages.push(at("proof".into()));
        assert_eq!(tins(&c, &class, &c.lessons[0]).unwrap().needed, 13);
    }

    #[test]
    fn trays_are_not_shared_between_stations() {
        let c = course();
        let need = tins(&c, &seat(&c, None).0, &c.lessons[1]).unwrap();
        // 36 buns would lie on three trays of twelve; six stations have six.
        assert_eq!((need.students, need.per_tin, need.needed), (36, 12, 6));
    }

    #[test]
    fn large_batches_stand_in_several_tubs() {
        let c = course();
        let class = seat(&c, None).0;
        let portions = portions(&c, &class);
        let (options, _) = options(&c, &class, &portions);
        let choice = preferred(&c, &options, &portions);
        // Batches of 3000, 1000 and 2500 g in tubs of 1600 g: two, one, two.
        let need = tubs(&c, &c.lessons[0], &choice);
        assert_eq!((need[0].students, need[0].needed), (3, 5));
        assert!(tubs(&c, &c.lessons[1], &choice).is_empty());
    }

    #[test]
    fn a_thing_that_is_free_again_serves_again() {
        let busy = |from, to, count| Busy { from, to, count };
        assert_eq!(peak(&[]), 0);
        assert_eq!(peak(&[busy(0, 100, 8), busy(100, 200, 4), busy(50, 120, 2)]), 10);
    }

    proptest! {
        /// Pieces = students + demonstration + spare, in tins as in pieces.
        #[test]
        fn tins_agree_with_pieces(n in 1usize..20, each in 1u32..4, spare in 0u32..3) {
            let mut c = course();
            c.roll = roll(n);
            c.lessons[0].makes.pieces = at(each);
            c.lessons[0].makes.for_each = at(ForEach::Student);
            c.lessons[0].makes.spare = at(spare);
            c.lessons[0].steps.iter_mut().find(|s| s.demo).unwrap().stages = vec![at("proof".into())];
            let class = seat(&c, None).0;
            let need = tins(&c, &class, &c.lessons[0]).unwrap();
            let pieces: u32 = pieces_of(&c.lessons[0], &class).iter().map(|p| p.1).sum();
            prop_assert_eq!(need.needed, pieces);
            prop_assert_eq!(need.students + need.demonstration + need.spare, pieces);
        }

        #[test]
        fn peak_agrees_with_looking_at_every_minute(spans in proptest::collection::vec((0i64..40, 1i64..20, 1u32..5), 0..12)) {
            let busy: Vec<Busy> = spans.iter().map(|(f, l, c)| Busy { from: *f, to: f + l, count: *c }).collect();
            let most = (0..60).map(|t| busy.iter().filter(|b| b.from <= t && t < b.to).map(|b| b.count).sum::<u32>()).max().unwrap();
            prop_assert_eq!(peak(&busy), most);
        }
    }
}
