//! Which step of a lesson follows which: the order of lines, chain by chain.
//!
//! A step follows the line above it on the same chain. A step that names several chains joins them, and from there on any of
//! their names, and `piece`, means the joined chain; only where one part goes into the other as an ingredient is it not the
//! piece yet. The first step on a piece that nothing has joined takes up every chain that is there. A demo is on no chain.

use crate::course::{Ahead, Chain, Formula, Lesson, Step, StepId};
use std::collections::BTreeSet;

/// The steps that a lesson's steps follow, by their places in the lesson.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Order {
    /// For each step: the steps that it takes its dough, filling or pieces from.
    pub before: Vec<Vec<usize>>,
    /// For each step: the steps that it names with `after`.
    pub after: Vec<Vec<usize>>,
}

/// A chain as far as the lesson has come: its names, and the steps that were last on it. There are several where chains became one
/// without a step on all of them.
#[derive(Default)]
struct Strand {
    names: Vec<Chain>,
    last: Vec<usize>,
}

impl Order {
    /// Reads the order off a lesson; the formula says what goes into what. Without it every join is the piece.
    #[must_use]
    pub fn of(lesson: &Lesson, formula: Option<&Formula>) -> Order {
        let mut strands: Vec<Strand> = Vec::new();
        let mut before = Vec::new();
        for (place, step) in lesson.steps.iter().enumerate() {
            if step.on.is_empty() {
                before.push(Vec::new());
                continue;
            }
            let mut one = Strand::default();
            for chain in step.on.iter().map(|c| &c.value) {
                take(&mut strands, chain, &mut one);
            }
            one.last.sort_unstable();
            one.last.dedup();
            before.push(std::mem::replace(&mut one.last, vec![place]));
            if makes_piece(step, formula) && !one.names.contains(&Chain::Piece) {
                // A piece that is there already is one with this.
                if strands.iter().any(|s| s.names.contains(&Chain::Piece)) {
                    take(&mut strands, &Chain::Piece, &mut one);
                } else {
                    one.names.push(Chain::Piece);
                }
            }
            strands.push(one);
        }
        let place_of = |id: &StepId| lesson.steps.iter().position(|s| s.id.value == *id);
        let after = lesson
            .steps
            .iter()
            .map(|s| s.after.iter().filter_map(|a| place_of(&a.value)).collect())
            .collect();
        Order { before, after }
    }

    /// The step and everything that it is made from, by place.
    #[must_use]
    pub fn made_from(&self, step: usize) -> BTreeSet<usize> {
        let mut found = BTreeSet::from([step]);
        let mut open = vec![step];
        while let Some(next) = open.pop() {
            for before in self.before.get(next).into_iter().flatten() {
                if found.insert(*before) {
                    open.push(*before);
                }
            }
        }
        found
    }
}

/// Takes the strand with this name out of the others and into one; all of them for a piece that none is yet.
fn take(strands: &mut Vec<Strand>, chain: &Chain, one: &mut Strand) {
    if one.names.contains(chain) {
        return;
    }
    let named = strands.iter().any(|s| s.names.contains(chain));
    let all = *chain == Chain::Piece && !named;
    for strand in strands.extract_if(.., |s| all || s.names.contains(chain)) {
        one.names.extend(strand.names);
        one.last.extend(strand.last);
    }
    if !named {
        one.names.push(chain.clone());
    }
}

/// Whether what leaves this step is the piece: two chains come together, and neither is an ingredient of the other.
fn makes_piece(step: &Step, formula: Option<&Formula>) -> bool {
    let inner = |chain: &Chain| {
        step.on.iter().any(|other| match (chain, &other.value, formula) {
            (Chain::Part(inner), Chain::Part(outer), Some(formula)) => {
                formula.goes_into(inner, outer) && !formula.goes_into(outer, inner)
            }
            _ => false,
        })
    };
    step.on.iter().filter(|c| !inner(&c.value)).count() > 1
}

/// Whether staff make this step ahead: the strongest policy of the chains that it is on, as far as each goes.
#[must_use]
pub fn policy(lesson: &Lesson, step: &Step) -> Ahead {
    let place = |id: &StepId| lesson.steps.iter().position(|s| s.id.value == *id);
    let Some(own) = place(&step.id.value) else { return Ahead::Never };
    let mut found = Ahead::Never;
    for chain in &step.on {
        for (_, made) in lesson.made_ahead.iter().filter(|(of, _)| of.value == chain.value) {
            let covers =
                made.up_to.as_ref().and_then(|up_to| place(&up_to.value)).is_some_and(|to| own <= to);
            found = match (covers, made.policy.value, found) {
                (true, Ahead::Always, _) | (_, _, Ahead::Always) => Ahead::Always,
                (true, Ahead::IfNeeded, _) => Ahead::IfNeeded,
                (_, _, known) => known,
            };
        }
    }
    found
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::course::{Per, Where};
    use crate::reckon::sample::{crown, crown_lesson, step};

    fn before(lesson: &Lesson, id: &str) -> Vec<String> {
        let at = lesson.steps.iter().position(|s| s.id.value.as_str() == id).unwrap();
        let order = Order::of(lesson, Some(&crown()));
        order.before[at].iter().map(|n| lesson.steps[*n].id.value.to_string()).collect()
    }

    #[test]
    fn what_is_joined_is_the_piece_whatever_stands_on_the_line_above() {
        let mut lesson = crown_lesson();
        let at = lesson.steps.iter().position(|s| s.id.value.as_str() == "pan").unwrap();
        lesson.steps.insert(at, step("stir", &["wash"], Per::Class, Where::Bench));
        assert_eq!(before(&lesson, "stir"), Vec::<String>::new());
        assert_eq!(before(&lesson, "pan"), ["fill"]);
        assert_eq!(before(&lesson, "brush"), ["stir", "proof"]);
        assert_eq!(before(&lesson, "bake"), ["brush"]);
    }

    /// A scald in its dough is dough and no piece yet: the filling that is cooked after it is still apart.
    #[test]
    fn an_ingredient_makes_no_piece() {
        let lesson = crown_lesson();
        assert_eq!(before(&lesson, "mix"), ["scald"]);
        assert_eq!(before(&lesson, "rise"), ["mix"]);
        assert_eq!(before(&lesson, "cook"), Vec::<String>::new());
        assert_eq!(before(&lesson, "fill"), ["cook", "roll"]);
    }

    #[test]
    fn the_first_step_on_a_piece_takes_up_what_is_there() {
        let mut lesson = crown_lesson();
        lesson.steps.retain(|s| s.id.value.as_str() != "fill");
        assert_eq!(before(&lesson, "pan"), ["cook", "roll"]);
    }

    /// Two joins that no step has brought together are one piece, and what comes next follows both.
    #[test]
    fn two_joins_are_one_piece() {
        let mut lesson = crown_lesson();
        let at = lesson.steps.iter().position(|s| s.id.value.as_str() == "pan").unwrap();
        lesson.steps.insert(at, step("mingle", &["wash", "sugar-top"], Per::Class, Where::Bench));
        assert_eq!(before(&lesson, "pan"), ["fill", "mingle"]);
    }
}
