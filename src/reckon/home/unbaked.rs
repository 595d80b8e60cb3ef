//! What goes home unbaked: how long it is out of the cold there before its oven, and what that leaves of a limit for the way.

use super::{HomeBatch, HomeStep};
use crate::course::{Lesson, StepId, Where};
use crate::units::Minutes;

/// The longest that a piece stands out of the cold at home before it is baked, by the times that its sheet prints: a proof to its
/// latest. Nothing where the lesson sends none home unbaked.
#[must_use]
pub fn out_at_home(lesson: &Lesson, batch: &HomeBatch) -> Minutes {
    let place = |id: &StepId| lesson.steps.iter().position(|s| s.id.value == *id);
    let Some(up_to) = lesson.bake_at_home.as_ref().and_then(|home| place(&home.up_to.value)) else {
        return Minutes::ZERO;
    };
    let mut later: Vec<&HomeStep> =
        batch.steps.iter().filter(|s| place(&s.step).is_some_and(|n| n > up_to)).collect();
    later.sort_by_key(|s| (s.from, s.to));
    // By the clock up to the oven: what waits between two steps is out too. A stand may take its longest, and a wait its own.
    let Some(baked) = later.iter().find(|s| s.heat.is_some()) else { return Minutes::ZERO };
    let before: Vec<&HomeStep> = later.iter().copied().take_while(|s| s.heat.is_none()).collect();
    let Some(first) = before.first() else { return Minutes::ZERO };
    let in_the_cold = |s: &&&HomeStep| matches!(s.place, Where::Cold | Where::Freezer);
    let cold = before.iter().filter(in_the_cold).fold(Minutes::ZERO, |sum, s| sum + (s.to - s.from));
    let longer = |s: &&HomeStep| s.most.map_or(Minutes::ZERO, |most| (most - s.each()).max(Minutes::ZERO));
    let stands = before.iter().filter(|s| !in_the_cold(s)).map(longer);
    let waits = before.iter().chain([baked]).skip(1).filter_map(|s| {
        let carry = lesson.step(&s.step)?.carry.as_ref()?.value;
        Some((carry.most? - carry.least).max(Minutes::ZERO))
    });
    let more = stands.chain(waits).fold(Minutes::ZERO, |sum, more| sum + more);
    (baked.from - first.from - cold).max(Minutes::ZERO) + more
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::course::BakeAtHome;
    use crate::reckon::sample::{at, course};

    /// The crown goes home in its tin: it proofs there, in a home's room, and is brushed. What is done before counts for nothing.
    #[test]
    fn the_proof_at_home_counts_to_its_latest() {
        let c = course();
        let mut lesson = c.lessons.iter().find(|l| l.id.value.as_str() == "crown").unwrap().clone();
        let formula = c.formula(&lesson.formula.value).unwrap();
        let batch = HomeBatch::of(&c, formula, Some(&lesson), None).unwrap();
        assert_eq!(out_at_home(&lesson, &batch), Minutes::ZERO);
        let mut out = |up_to: &str| {
            let keeps = at(Minutes(600));
            lesson.bake_at_home = Some(BakeAtHome { up_to: at(up_to.into()), keeps, say: None });
            out_at_home(&lesson, &batch)
        };
        let own = |id: &str| {
            let step = batch.steps.iter().find(|s| s.step.as_str() == id).unwrap();
            step.most.map_or(step.each(), |most| most.max(step.each()))
        };
        let (panned, proofed) = (out("pan"), out("proof"));
        assert_eq!(panned, proofed + own("proof"));
        assert!(own("proof") > Minutes::ZERO && out("brush") < proofed);
    }
}
