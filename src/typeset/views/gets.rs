//! What a step brings to each piece beside its dough: butter to brush, a wash, a filling, on the station's sheet and at home.

use super::common::Gets;
use super::desk::Desk;
use crate::course::{Chain, Formula, PartId, Step};
use crate::reckon::drawn;
use crate::reckon::formula::piece_needs;
use crate::reckon::recipes::Recipe;
use crate::units::Grams;
use serde_json::Value;

impl Desk<'_> {
    /// What a step brings to each of so many pieces: the parts that it names beside the first one of the piece, unless the teacher's
    /// words, as they wrote them, or a drawing say how much. A pot of oil is none: of a part that is made at its least, whatever the
    /// pieces take of it, nobody measures a piece's share.
    pub(super) fn gets(
        &self,
        recipe: &Recipe,
        step: &Step,
        pieces: u32,
        say: &str,
        drawings: &[Value],
    ) -> Vec<Gets> {
        let formula = &recipe.formula;
        if step.on.len() <= 1 {
            return Vec::new();
        }
        // Butter is folded into the dough of all of them, a filling put into each: the step's words say which, so both are told.
        let count = formula.piece.count.value.max(1);
        let named = |part: &PartId| step.on.iter().any(|c| c.value == Chain::Part(part.clone()));
        let is_drawn = |name: &str| drawings.iter().any(|d| d["name"] == name);
        let brushed = |name: &str| {
            drawn::brushed(self.course, recipe, step, name)
                .filter(|_| is_drawn(name))
                .map(|part| part.to_string())
        };
        let told = |nth: usize, part: &str| {
            say.contains(&format!("{{{part}}}"))
                || nth == 1 && is_drawn("fill-pinch")
                || brushed("egg-wash").as_deref() == Some(part)
                || brushed("syrup").as_deref() == Some(part)
        };
        let needs = piece_needs(formula, 1).into_iter().enumerate().skip(1);
        needs
            .filter(|(nth, (part, grams))| {
                named(part)
                    && *grams > Grams::ZERO
                    && !told(*nth, part.as_str())
                    && !is_made_at_its_least(formula, part, grams.times(i64::from(pieces)))
            })
            .map(|(_, (part, grams))| Gets {
                part: self.part_name(&formula.id.value, &part),
                amount: self.mass_of(None, grams),
                each: (count > 1).then(|| self.mass_of(None, grams.ratio(1, i64::from(count)))),
                count,
            })
            .collect()
    }
}

/// Whether more of a part must be made than all pieces take.
fn is_made_at_its_least(formula: &Formula, part: &PartId, taken: Grams) -> bool {
    let least = formula.part(part).and_then(|p| p.least.as_ref());
    least.is_some_and(|least| taken < least.value)
}
