//! The groups of a step: for whom it is done at once, and who is in each.

use super::chains::{self, Order};
use super::jobs::{Doer, Group, Job, Jobs, Picked, What};
use crate::course::{Ahead, Chain, Formula, Hands, Lesson, PartId, Per, StationNo, Step, VariantId, Where};
use crate::reckon::work::{Bake, Class, Portion, Split, Vessel, Whom};
use std::collections::{BTreeMap, BTreeSet};

/// Who has pieces in a lesson, how many, and by which variant.
pub(super) struct Members {
    pieces: Vec<(Whom, u32)>,
    variant: BTreeMap<Whom, Option<VariantId>>,
    /// Stages that are baked in the end.
    baked: BTreeSet<Whom>,
}

impl Members {
    pub(super) fn of(lesson: &Lesson, class: &Class, portions: &[Portion], picked: &Picked) -> Members {
        let mut pieces: BTreeMap<Whom, u32> = BTreeMap::new();
        let mut variant = BTreeMap::new();
        for portion in portions.iter().filter(|p| p.lesson == lesson.id.value) {
            let known = pieces.entry(portion.whom.clone()).or_default();
            *known = portion.pieces.max(*known);
            variant.insert(portion.whom.clone(), portion.variant.clone());
        }
        for station in &class.stations {
            // A step of a lesson that gives a station nothing to make still concerns it.
            variant.entry(Whom::Station(station.no)).or_insert(None);
        }
        let loads =
            picked.bakes.iter().filter(|(key, _)| key.0 == lesson.id.value).flat_map(|(_, b)| &b.loads);
        let baked = loads
            .flat_map(|load| load.members.iter().map(|(w, _)| w.clone()))
            .filter(|w| matches!(w, Whom::Stage { .. }))
            .collect();
        Members { pieces: pieces.into_iter().collect(), variant, baked }
    }

    fn count(&self, whom: &Whom) -> u32 {
        self.pieces.iter().find(|(w, _)| w == whom).map_or(0, |(_, n)| *n)
    }
}

/// Whether a member's pieces go through a step.
fn goes_through(whom: &Whom, lesson: &Lesson, number: usize, members: &Members, order: &Order) -> bool {
    let Whom::Stage { up_to, .. } = whom else { return true };
    let Some(last) = lesson.steps.iter().position(|s| s.id.value == *up_to) else { return false };
    if order.made_from(last).contains(&number) {
        return true;
    }
    let step = &lesson.steps[number];
    let later = order.made_from(number).contains(&last);
    members.baked.contains(whom)
        && later
        && (step.hands.value == Hands::Nobody || step.per.value == Per::Load)
}

/// The groups of a step, each with its members.
pub(super) fn groups(
    jobs: &Jobs<'_>,
    lesson: &Lesson,
    number: usize,
    formula: &Formula,
    members: &Members,
    order: &Order,
) -> Vec<(Group, Vec<(Whom, u32)>)> {
    let step = &lesson.steps[number];
    let through = |whom: &Whom| goes_through(whom, lesson, number, members, order);
    let counted = |whom: &Whom| (whom.clone(), members.count(whom));
    if step.demo {
        let stations = jobs.class.stations.iter().map(|s| Whom::Station(s.no));
        let stages = step
            .stages
            .iter()
            .map(|up_to| Whom::Stage { demo: step.id.value.clone(), up_to: up_to.value.clone() });
        let all = stations.chain([Whom::Spare]).chain(stages);
        return vec![(Group::Class(None), all.map(|w| counted(&w)).collect())];
    }
    let all: Vec<(Whom, u32)> = members.pieces.iter().filter(|(w, _)| through(w)).cloned().collect();
    match step.per.value {
        Per::Class => {
            let mut by_variant: BTreeMap<Option<VariantId>, Vec<(Whom, u32)>> = BTreeMap::new();
            for (whom, count) in all {
                let variant = members.variant.get(&whom).cloned().flatten();
                let variant = variant.filter(|v| changes(formula, v, step));
                by_variant.entry(variant).or_default().push((whom, count));
            }
            by_variant.into_iter().map(|(variant, list)| (Group::Class(variant), list)).collect()
        }
        Per::Station => all
            .into_iter()
            .map(|(whom, count)| {
                let group = match &whom {
                    Whom::Station(no) => Group::Station(*no),
                    Whom::Stage { demo, up_to } => Group::Stage(demo.clone(), up_to.clone()),
                    Whom::Spare => Group::Spare,
                };
                (group, vec![(whom, count)])
            })
            .collect(),
        Per::Batch => {
            let batches = split_of(lesson, step, jobs.picked).into_iter().flat_map(|s| &s.batches);
            batches
                .map(|b| {
                    let list = b.members.iter().map(|(w, _)| w).filter(|w| through(w));
                    (Group::Batch(b.no), list.map(counted).collect::<Vec<_>>())
                })
                .filter(|(_, list)| !list.is_empty())
                .collect()
        }
        Per::Load => {
            let loads = bake_of(lesson, number, jobs.picked).into_iter().flat_map(|b| &b.loads);
            loads
                .map(|l| {
                    (
                        Group::Load(l.no),
                        l.members.iter().filter(|(w, _)| through(w)).cloned().collect::<Vec<_>>(),
                    )
                })
                .filter(|(_, list)| !list.is_empty())
                .collect()
        }
    }
}

/// Whether a variant changes a part that the step works on, or one that is in it.
pub fn changes(formula: &Formula, variant: &VariantId, step: &Step) -> bool {
    let on_piece = step.on.iter().any(|c| c.value == Chain::Piece);
    let lines = formula.variant(variant).map(|v| v.lines.as_slice()).unwrap_or_default();
    let is_in = |part: &PartId, on: &Chain| match on {
        Chain::Part(on) => on == part || formula.goes_into(part, on),
        Chain::Piece => true,
    };
    lines.iter().any(|(part, _)| on_piece || step.on.iter().any(|chain| is_in(&part.value, &chain.value)))
}

/// The split of the first of the step's chains that is split into batches. At the mixer that is the first whose batches are for a
/// bowl: what is stirred in beside a dough may have batches of its own, and they are for none.
#[must_use]
pub fn split_of<'a>(lesson: &Lesson, step: &Step, picked: &'a Picked) -> Option<&'a Split> {
    let of_chain = |chain: &Chain| match chain {
        Chain::Part(part) => picked.splits.get(&(lesson.id.value.clone(), part.clone())),
        Chain::Piece => None,
    };
    let splits = || step.on.iter().filter_map(|chain| of_chain(&chain.value));
    let mixed = |split: &&Split| split.batches.iter().any(|b| b.vessel != Vessel::Other);
    let in_bowl = (step.place.value == Where::Mixer).then(|| splits().find(mixed)).flatten();
    in_bowl.or_else(|| splits().next())
}

/// The split into loads that a step works with: that of the last bake up to it, or else of the first after it.
#[must_use]
pub fn bake_of<'a>(lesson: &Lesson, number: usize, picked: &'a Picked) -> Option<&'a Bake> {
    let bake = |step: &Step| picked.bakes.get(&(lesson.id.value.clone(), step.id.value.clone()));
    let ovens = |step: &&Step| step.place.value == Where::Oven;
    let (upto, later) = lesson.steps.split_at((number + 1).min(lesson.steps.len()));
    upto.iter().rev().filter(ovens).find_map(bake).or_else(|| later.iter().filter(ovens).find_map(bake))
}

pub(super) fn job_of(
    class: &Class,
    lesson: &Lesson,
    step: &Step,
    place: (usize, usize),
    group: Group,
    members: Vec<(Whom, u32)>,
) -> Job {
    let stations: Vec<StationNo> = if step.demo {
        class.stations.iter().map(|s| s.no).collect()
    } else {
        members
            .iter()
            .filter_map(|(whom, _)| match whom {
                Whom::Station(no) => Some(*no),
                Whom::Stage { .. } | Whom::Spare => None,
            })
            .collect()
    };
    let doer = match step.hands.value {
        hands if step.demo => Doer::demo(hands),
        Hands::Students if stations.is_empty() => Doer::Staff,
        Hands::Students if step.one_student => Doer::OneStudent,
        Hands::Students => Doer::Students,
        Hands::Teacher => Doer::Teacher,
        Hands::Helper => Doer::Helper,
        Hands::Staff => Doer::Staff,
        Hands::Nobody => Doer::Nobody,
    };
    let ahead = match chains::policy(lesson, step) {
        // What nobody does is done when it is done.
        _ if doer == Doer::Nobody => Ahead::Never,
        // A stage's or a spare's own work is staff's anyway.
        Ahead::IfNeeded if !matches!(doer, Doer::Students | Doer::OneStudent) => Ahead::Never,
        policy => policy,
    };
    Job {
        id: format!("{}.{}@{group}", lesson.id.value, step.id.value),
        what: What::Step(place.0, place.1),
        group,
        members,
        stations,
        doer,
        ahead,
        before: Vec::new(),
        after: Vec::new(),
    }
}
