//! What a lesson says, read line by line as a teacher reads it: which step takes up what which one leaves, and what may be made ahead.
//!
//! The rule of the course folder is taken by its words: a step follows the last line above it that had the same dough in hand. Two names
//! are one dough when a line above names both; from then on it is the piece as well, unless one of the two is only an ingredient of the
//! other. The first line on the piece takes up every dough that is there.

use crate::course::{Ahead, Chain, Formula, Ingredient, Lesson, PartId, Step, StepId};
use std::collections::BTreeSet;

/// One lesson's lines.
pub(super) struct Written<'a> {
    lesson: &'a Lesson,
    /// For each step the places of those from which it takes its dough.
    follows: Vec<Vec<usize>>,
}

/// Names that mean one dough.
type Dough<'a> = BTreeSet<&'a Chain>;

impl<'a> Written<'a> {
    pub(super) fn of(lesson: &'a Lesson, formula: Option<&Formula>) -> Written<'a> {
        let steps = &lesson.steps;
        // What is one dough above each line, and what each line takes in hand.
        let above: Vec<Vec<Dough<'a>>> = (0..steps.len()).map(|n| doughs(&steps[..n], formula)).collect();
        let in_hand: Vec<Dough<'a>> = (0..steps.len()).map(|n| named(&steps[n], &above[n])).collect();
        let takes_up = |later: usize, earlier: usize| {
            let left = &in_hand[earlier];
            let same = |dough: &&Dough<'a>| !dough.is_disjoint(left);
            above[later].iter().filter(same).any(|dough| !dough.is_disjoint(&in_hand[later]))
        };
        let follows = (0..steps.len())
            .map(|later| {
                let last = |earlier: &usize| {
                    takes_up(later, *earlier)
                        && !(earlier + 1..later).any(|between| takes_up(between, *earlier))
                };
                (0..later).filter(last).collect()
            })
            .collect();
        Written { lesson, follows }
    }

    /// The steps from which a step takes its dough, filling or pieces.
    pub(super) fn before(&self, step: usize) -> &[usize] {
        self.follows.get(step).map_or(&[], Vec::as_slice)
    }

    /// The step, and all that what it works on went through.
    pub(super) fn made_from(&self, step: usize) -> BTreeSet<usize> {
        let mut all = BTreeSet::from([step]);
        for earlier in (0..step).rev() {
            if all.iter().any(|later| self.before(*later).contains(&earlier)) {
                all.insert(earlier);
            }
        }
        all
    }

    pub(super) fn place(&self, id: &StepId) -> Option<usize> {
        self.lesson.steps.iter().position(|step| step.id.value == *id)
    }

    /// Whether a step lies between two others, these included, on the way of one dough.
    pub(super) fn lies_between(&self, step: usize, (from, to): (usize, usize)) -> bool {
        self.made_from(step).contains(&from) && self.made_from(to).contains(&step)
    }

    /// What is written of a step's being made ahead: of each of its doughs, and the strongest word of them.
    pub(super) fn ahead(&self, step: usize) -> Ahead {
        let on = self.lesson.steps.get(step).map_or(&[] as &[_], |s| s.on.as_slice());
        let words = self.lesson.made_ahead.iter().filter_map(|(chain, made)| {
            let named = on.iter().any(|own| own.value == chain.value);
            let up_to = self.place(&made.up_to.as_ref()?.value)?;
            (named && self.made_from(up_to).contains(&step)).then_some(made.policy.value)
        });
        let words: Vec<Ahead> = words.collect();
        let said = |word: Ahead| words.contains(&word).then_some(word);
        said(Ahead::Always).or(said(Ahead::IfNeeded)).unwrap_or(Ahead::Never)
    }
}

/// What some lines make one dough of what they name.
fn doughs<'a>(lines: &'a [Step], formula: Option<&Formula>) -> Vec<Dough<'a>> {
    let mut all: Vec<Dough<'a>> = Vec::new();
    for line in lines {
        let mut one = named(line, &all);
        if one.is_empty() {
            continue;
        }
        if joins(line, formula) {
            one.insert(&Chain::Piece);
        }
        let (same, others): (Vec<Dough<'a>>, Vec<Dough<'a>>) =
            all.into_iter().partition(|dough| !dough.is_disjoint(&one));
        one.extend(same.into_iter().flatten());
        all = others;
        all.push(one);
    }
    all
}

/// What a line names; on a piece that nobody has had in hand yet, everything that is there.
fn named<'a>(line: &'a Step, above: &[Dough<'a>]) -> Dough<'a> {
    let mut names: Dough<'a> = line.on.iter().map(|chain| &chain.value).collect();
    let first = names.contains(&Chain::Piece) && !above.iter().any(|dough| dough.contains(&Chain::Piece));
    if first {
        names.extend(above.iter().flatten());
    }
    names
}

/// Whether a line brings together what stays two things in the piece: more than a part and what is in it.
fn joins(line: &Step, formula: Option<&Formula>) -> bool {
    let parts = || line.on.iter().map(|chain| &chain.value);
    let is_in_another = |one: &Chain| match one {
        Chain::Part(inner) => parts().any(|other| match (other, formula) {
            (Chain::Part(outer), Some(formula)) => outer != inner && is_in(formula, inner, outer),
            _ => false,
        }),
        Chain::Piece => false,
    };
    parts().filter(|one| !is_in_another(one)).count() > 1
}

/// Whether a part is written among the ingredients of another, or of one of these.
fn is_in(formula: &Formula, inner: &PartId, outer: &PartId) -> bool {
    let mut inside: BTreeSet<&PartId> = BTreeSet::from([outer]);
    // Each round goes one part further in.
    for _ in 0..formula.parts.len() {
        let opened: Vec<&PartId> = formula
            .parts
            .iter()
            .filter(|part| inside.contains(&part.id.value))
            .flat_map(|part| &part.of)
            .filter_map(|line| match &line.what.value {
                Ingredient::Part(part) => Some(part),
                Ingredient::Item(_) => None,
            })
            .collect();
        inside.extend(opened);
    }
    inner != outer && inside.contains(inner)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::course::{Per, Where};
    use crate::reckon::plan::chains::{Order, policy};
    use crate::reckon::sample::{crown, crown_lesson, step};
    use proptest::prelude::*;

    fn both(lesson: &Lesson) -> (Vec<Vec<usize>>, Vec<Vec<usize>>) {
        let written = Written::of(lesson, Some(&crown()));
        (written.follows, Order::of(lesson, Some(&crown())).before)
    }

    #[test]
    fn the_crown_is_read_as_it_is_told() {
        let lesson = crown_lesson();
        let written = Written::of(&lesson, Some(&crown()));
        let before = |id: &str| -> Vec<&str> {
            let at = written.place(&StepId::new(id)).unwrap();
            written.before(at).iter().map(|n| lesson.steps[*n].id.value.as_str()).collect()
        };
        assert_eq!(before("mix"), ["scald"]);
        assert_eq!(before("cook"), Vec::<&str>::new());
        assert_eq!(before("fill"), ["cook", "roll"]);
        assert_eq!(before("pan"), ["fill"]);
        assert_eq!(before("brush"), ["proof"]);
    }

    proptest! {
        /// The program's own account of a lesson's order, and the words taken one by one, say the same of any lines whatever.
        #[test]
        fn the_model_reads_the_same(lines in proptest::collection::vec(proptest::collection::vec(0usize..6, 0..4), 1..9)) {
            let names = ["dough", "scald", "filling", "wash", "sugar-top", "piece"];
            let mut lesson = crown_lesson();
            lesson.steps = lines.iter().enumerate().map(|(n, line)| {
                let on: Vec<&str> = line.iter().map(|name| names[*name]).collect();
                step(&format!("step-{n}"), &on, Per::Class, Where::Bench)
            }).collect();
            let (written, model) = both(&lesson);
            prop_assert_eq!(written, model);
            let own = Written::of(&lesson, Some(&crown()));
            for n in 0..lesson.steps.len() {
                prop_assert_eq!(own.made_from(n), Order::of(&lesson, Some(&crown())).made_from(n));
            }
            for (chain, up_to) in [("dough", 3), ("piece", 5)] {
                let Some(step) = lesson.steps.get(up_to) else { continue };
                let (id, on_it) = (step.id.clone(), step.on.iter().any(|c| c.value == of(chain)));
                let made = crate::course::MadeAhead {
                    policy: crate::finding::Located::assumed(Ahead::IfNeeded),
                    up_to: Some(id),
                };
                if on_it {
                    lesson.made_ahead.push((crate::finding::Located::assumed(of(chain)), made));
                }
            }
            let own = Written::of(&lesson, Some(&crown()));
            for (n, step) in lesson.steps.iter().enumerate() {
                prop_assert_eq!(own.ahead(n), policy(&lesson, step), "{}", n);
            }
        }
    }

    fn of(name: &str) -> Chain {
        if name == "piece" { Chain::Piece } else { Chain::Part(PartId::new(name)) }
    }
}
