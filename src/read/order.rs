//! The order of a lesson's steps: chains, what comes after what, and loops.

use super::resolve::{Unknown, unknown};
use super::table::Log;
use crate::course::{At, Chain, Formula, Lesson, Step, StepId};
use crate::finding::Finding;
use std::collections::BTreeMap;

/// A circle of things that each need the next, from `start` back to `start`; `None` if there is none.
pub fn circle<T: Ord + Clone>(start: &T, next: impl Fn(&T) -> Vec<T>) -> Option<Vec<T>> {
    // Breadth first, so that the shortest circle is told; each thing is looked at once.
    let mut came_from: BTreeMap<T, T> = BTreeMap::new();
    let mut waiting = std::collections::VecDeque::from([start.clone()]);
    while let Some(here) = waiting.pop_front() {
        for there in next(&here) {
            if there == *start {
                let mut circle = vec![here.clone()];
                let mut back = here;
                while back != *start {
                    back = came_from.get(&back)?.clone();
                    circle.push(back.clone());
                }
                circle.reverse();
                return Some(circle);
            }
            if !came_from.contains_key(&there) {
                came_from.insert(there.clone(), here.clone());
                waiting.push_back(there);
            }
        }
    }
    None
}

/// Checks everything that a lesson's steps say of each other and of the formula's parts.
pub fn lesson(log: &Log, lesson: &Lesson, formula: Option<&Formula>) {
    for step in &lesson.steps {
        for id in step.after.iter().chain(&step.stages) {
            known(log, lesson, id);
        }
        for id in step.uses.iter().filter_map(|u| u.until.as_ref()) {
            if known(log, lesson, id) && place_of(lesson, id) < place_of(lesson, &step.id) {
                log.note(
                    Finding::error(
                        "until-before",
                        id.place,
                        format!("step `{}` keeps something until `{id}`, which comes before it", step.id),
                    )
                    .way_out("name a later step"),
                );
            }
        }
        if step.demo && !step.on.is_empty() {
            log.note(
                Finding::error(
                    "demo-on-chain",
                    step.on.first().and_then(|c| c.place),
                    format!(
                        "step `{}` is a demo, which works on nobody's dough, and stands on a chain",
                        step.id
                    ),
                )
                .way_out("take `on` out; the steps that need the demo name it: `after = [\"show\"]`"),
            );
        }
        if !step.demo && !step.stages.is_empty() {
            log.note(
                Finding::error(
                    "demo-on-chain",
                    step.stages.first().and_then(|s| s.place),
                    format!("step `{}` has stages and is no demo", step.id),
                )
                .way_out("add `demo = true`, or take `stages` out"),
            );
        }
    }
    let before = match formula {
        Some(formula) if !super::resolve::is_circular(formula) => chains(log, lesson, formula),
        _ => BTreeMap::new(),
    };
    made_ahead(log, lesson, formula);
    if let Some(home) = &lesson.bake_at_home {
        known(log, lesson, &home.up_to);
    }
    let mut ids: Vec<&StepId> = lesson.steps.iter().map(|s| &s.id.value).collect();
    ids.sort();
    // Two steps of one name are noted already, and what waits for which of them is anyone's guess.
    if ids.windows(2).all(|two| two[0] != two[1]) {
        loops(log, lesson, &before);
    }
}

fn known(log: &Log, lesson: &Lesson, id: &At<StepId>) -> bool {
    let found = lesson.step(&id.value).is_some();
    if !found {
        unknown(
            log,
            Unknown::Step,
            id.place,
            format!("lesson `{}` has no step `{id}`", lesson.id),
            id.value.as_str(),
            lesson.steps.iter().map(|s| s.id.value.as_str()),
        );
    }
    found
}

fn place_of(lesson: &Lesson, id: &At<StepId>) -> Option<usize> {
    lesson.steps.iter().position(|s| s.id.value == id.value)
}

/// Puts the parts that a step works on in the order in which its work is meant, whichever stands first in the file: a part before
/// those that go into it. A step on sponge and dough mixes dough.
pub fn outermost_first(lesson: &mut Lesson, formula: &Formula) {
    for step in &mut lesson.steps {
        let mut ordered: Vec<At<Chain>> = Vec::new();
        for chain in step.on.drain(..) {
            let takes_up = |there: &At<Chain>| match (&there.value, &chain.value) {
                // Parts that are made of each other are told elsewhere.
                (Chain::Part(inner), Chain::Part(outer)) => {
                    formula.goes_into(inner, outer) && !formula.goes_into(outer, inner)
                }
                _ => false,
            };
            let at = ordered.iter().position(takes_up).unwrap_or(ordered.len());
            ordered.insert(at, chain);
        }
        step.on = ordered;
    }
}

/// Walks the steps chain by chain: for each step, those that come right before it. A step that names an inner part
/// with its outer one (a scald with its dough) goes on as the outer one; one that names several others joins them,
/// and the chain is then `piece`.
fn chains(log: &Log, lesson: &Lesson, formula: &Formula) -> BTreeMap<StepId, Vec<StepId>> {
    let mut last: BTreeMap<Chain, StepId> = BTreeMap::new();
    let mut ended: BTreeMap<Chain, StepId> = BTreeMap::new();
    let mut before: BTreeMap<StepId, Vec<StepId>> = BTreeMap::new();
    for step in &lesson.steps {
        let mut follows = Vec::new();
        for chain in &step.on {
            match &chain.value {
                Chain::Part(part) if formula.part(part).is_none() => unknown(
                    log,
                    Unknown::Part,
                    chain.place,
                    format!("formula `{}` has no part `{part}`", formula.id),
                    part.as_str(),
                    formula.parts.iter().map(|p| p.id.value.as_str()).chain(["piece"]),
                ),
                Chain::Part(part) => {
                    if let Some(join) = ended.get(&chain.value) {
                        let mut finding = Finding::error(
                            "chain-joined",
                            chain.place,
                            format!("step `{}` works on `{part}`, which step `{join}` has joined", step.id),
                        )
                        .way_out("after the parts are joined, write `on = \"piece\"`");
                        let joined = lesson.step(join).and_then(|s| s.id.place);
                        finding = finding.also(joined, "joined here");
                        log.note(finding);
                    }
                }
                Chain::Piece if last.is_empty() => log.note(
                    Finding::error(
                        "chain-joined",
                        chain.place,
                        format!("step `{}` works on the piece, and no part was worked on before it", step.id),
                    )
                    .way_out("begin with the steps of a part: `on = \"dough\"`"),
                ),
                Chain::Piece => {}
            }
            follows.extend(last.get(&chain.value).cloned());
        }
        if step.on.iter().any(|c| c.value == Chain::Piece) && !last.contains_key(&Chain::Piece) {
            // The first step on the piece takes up every part that was worked on and not joined yet.
            follows.extend(last.values().cloned());
            let open: Vec<Chain> = last.keys().cloned().collect();
            ended.extend(open.into_iter().map(|c| (c, step.id.value.clone())));
        }
        follows.sort();
        follows.dedup();
        before.insert(step.id.value.clone(), follows);
        advance(step, formula, &mut last, &mut ended);
    }
    before
}

fn advance(
    step: &Step,
    formula: &Formula,
    last: &mut BTreeMap<Chain, StepId>,
    ended: &mut BTreeMap<Chain, StepId>,
) {
    let here = || step.id.value.clone();
    let is_inner = |chain: &Chain| {
        step.on.iter().any(|other| match (chain, &other.value) {
            (Chain::Part(inner), Chain::Part(outer)) => {
                formula.goes_into(inner, outer) && !formula.goes_into(outer, inner)
            }
            _ => false,
        })
    };
    let (inner, outer): (Vec<&Chain>, Vec<&Chain>) =
        step.on.iter().map(|c| &c.value).partition(|c| is_inner(c));
    for chain in inner {
        last.remove(chain);
        ended.insert(chain.clone(), here());
    }
    match outer[..] {
        [] => {}
        [one] => {
            last.insert(one.clone(), here());
        }
        _ => {
            for chain in outer.into_iter().filter(|c| **c != Chain::Piece) {
                last.remove(chain);
                ended.insert(chain.clone(), here());
            }
            last.insert(Chain::Piece, here());
        }
    }
}

/// What may be made ahead names a chain of the lesson and a step on it.
fn made_ahead(log: &Log, lesson: &Lesson, formula: Option<&Formula>) {
    for (chain, ahead) in &lesson.made_ahead {
        if let (Chain::Part(part), Some(formula)) = (&chain.value, formula)
            && formula.part(part).is_none()
        {
            unknown(
                log,
                Unknown::Part,
                chain.place,
                format!("formula `{}` has no part `{part}`", formula.id),
                part.as_str(),
                formula.parts.iter().map(|p| p.id.value.as_str()).chain(["piece"]),
            );
            continue;
        }
        let Some(up_to) = &ahead.up_to else { continue };
        if !known(log, lesson, up_to) {
            continue;
        }
        let on_it = lesson.step(&up_to.value).is_some_and(|s| s.on.iter().any(|c| c.value == chain.value));
        if !on_it {
            let steps: Vec<&str> = lesson
                .steps
                .iter()
                .filter(|s| s.on.iter().any(|c| c.value == chain.value))
                .map(|s| s.id.value.as_str())
                .collect();
            let word = match &chain.value {
                Chain::Part(part) => part.as_str(),
                Chain::Piece => "piece",
            };
            let mut finding = Finding::error(
                "ahead-off-chain",
                up_to.place,
                format!("`{word}` is made ahead up to `{up_to}`, a step that does not work on it"),
            );
            if !steps.is_empty() {
                finding = finding.way_out(format!("its steps are `{}`", steps.join("`, `")));
            }
            log.note(finding);
        }
    }
}

/// Steps that wait for each other.
fn loops(log: &Log, lesson: &Lesson, before: &BTreeMap<StepId, Vec<StepId>>) {
    let next = |id: &StepId| -> Vec<StepId> {
        let mut ids = before.get(id).cloned().unwrap_or_default();
        if let Some(step) = lesson.step(id) {
            ids.extend(step.after.iter().map(|s| s.value.clone()));
        }
        ids
    };
    for step in &lesson.steps {
        let Some(circle) = circle(&step.id.value, next) else { continue };
        let first = lesson.steps.iter().find(|s| circle.contains(&s.id.value));
        if first.is_some_and(|f| f.id.value == step.id.value) {
            let names: Vec<&str> = circle.iter().map(StepId::as_str).collect();
            log.note(
                Finding::error(
                    "loop-of-steps",
                    step.after.first().and_then(|a| a.place).or(step.id.place),
                    format!("these steps wait for each other: `{}`", names.join("`, `")),
                )
                .way_out("take one `after` out, or change the order of the lines"),
            );
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn circles_are_found_and_ends_are_not() {
        let next = |n: &u32| match n {
            1 => vec![2],
            2 => vec![3, 4],
            3 => vec![1],
            _ => vec![],
        };
        assert_eq!(circle(&1, next), Some(vec![1, 2, 3]));
        assert_eq!(circle(&4, next), None);
        assert_eq!(circle(&7, |n: &u32| vec![*n]), Some(vec![7]));
    }
}
