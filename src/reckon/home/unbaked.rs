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
    let before = later.into_iter().take_while(|s| s.heat.is_none());
    let out = before.filter(|s| !matches!(s.place, Where::Cold | Where::Freezer));
    out.fold(Minutes::ZERO, |sum, s| sum + s.most.map_or(s.each(), |most| most.max(s.each())))
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
