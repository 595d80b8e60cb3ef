//! Which step of a lesson follows which: the order of lines, chain by chain.
//!
//! A step follows the line above it on the same chain; a step that names several chains joins them,
//! and from there on any of their names, and `piece`, means the joined chain. A demo is on no chain.

use crate::course::{Ahead, Chain, Lesson, Step, StepId};
use std::collections::BTreeSet;

/// The steps that a lesson's steps follow, by their places in the lesson.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Order {
    /// For each step: the steps that it takes its dough, filling or pieces from.
    pub before: Vec<Vec<usize>>,
    /// For each step: the steps that it names with `after`.
    pub after: Vec<Vec<usize>>,
}

/// A chain as far as the lesson has come: its names, and the step that was last on it.
struct Strand {
    names: Vec<Chain>,
    last: Option<usize>,
}

impl Order {
    /// Reads the order off a lesson.
    #[must_use]
    pub fn of(lesson: &Lesson) -> Order {
        let mut strands: Vec<Strand> = Vec::new();
        let mut main: Option<usize> = None;
        let mut before = Vec::new();
        for (place, step) in lesson.steps.iter().enumerate() {
            let mut named: BTreeSet<usize> = BTreeSet::new();
            for chain in &step.on {
                named.insert(strand_of(&mut strands, &chain.value, main));
            }
            let mut from: Vec<usize> = named.iter().filter_map(|s| strands[*s].last).collect();
            from.sort_unstable();
            from.dedup();
            before.push(from);
            let Some(first) = named.first().copied() else { continue };
            for other in named.iter().skip(1).copied().collect::<Vec<_>>() {
                let names = std::mem::take(&mut strands[other].names);
                strands[first].names.extend(names);
            }
            strands[first].last = Some(place);
            main = Some(first);
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

/// The strand with this name. `piece` is the strand of the line above when no strand has that name yet.
fn strand_of(strands: &mut Vec<Strand>, chain: &Chain, main: Option<usize>) -> usize {
    if let Some(known) = strands.iter().position(|s| s.names.contains(chain)) {
        return known;
    }
    match (chain, main) {
        (Chain::Piece, Some(main)) => {
            strands[main].names.push(Chain::Piece);
            main
        }
        _ => {
            strands.push(Strand { names: vec![chain.clone()], last: None });
            strands.len() - 1
        }
    }
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
