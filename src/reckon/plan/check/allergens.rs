//! In each single mixer and oven, and where pans, spoons and bench are shared, what is free of an avoided thing was not preceded by what
//! holds it, but for a wash-up.
//!
//! What a task holds is read here from its members alone: of each the formula in its own variant, and the packs of what is in it. Nothing of
//! batches, loads or the model's own account of them is asked.

use super::super::allergen_order::WASH_UP;
use super::super::jobs::Group;
use super::super::timetable::PlannedTask;
use super::{Checker, there, time};
use crate::course::{AllergenId, Chain, EquipId, Hands, Lesson, VariantId, Where};
use crate::reckon::allergens::{Verdict, of_part, of_piece};
use crate::reckon::recipes::Recipes;
use crate::reckon::work::Whom;
use std::collections::{BTreeMap, BTreeSet};

/// A use of something that food of several touches.
struct Stay<'a> {
    /// `small-mixer-1`, `oven-2`, or words for a place.
    at: String,
    from: i64,
    to: i64,
    /// Minutes after it until what is free may come there.
    wash: i64,
    /// There may be several there at once: they are apart, too.
    several: bool,
    task: &'a PlannedTask,
    food: Food<'a>,
}

/// What somebody's dough, filling or pieces hold of what anyone avoids.
pub(super) struct Food<'a> {
    /// The worst that is known of each avoided thing.
    holds: BTreeMap<&'a AllergenId, Verdict>,
    /// What those whose it is avoid.
    theirs: BTreeSet<&'a AllergenId>,
}

impl<'a> Food<'a> {
    /// What this one would bring into another one.
    pub(super) fn brings(&self, into: &Food<'_>) -> Option<&'a AllergenId> {
        let is_free = |verdict: Verdict| matches!(verdict, Verdict::NoneListed | Verdict::SharedKitchen);
        self.holds.iter().find_map(|(what, mine)| {
            let other = into.holds.get(what).copied().unwrap_or(Verdict::Unknown);
            let free = is_free(other) && !is_free(*mine);
            let protected =
                into.theirs.contains(what) && *mine == Verdict::Contains && other != Verdict::Contains;
            (free || protected).then_some(*what)
        })
    }

    /// What else comes to it.
    fn with(&mut self, other: &Food<'_>) {
        for (what, worst) in &mut self.holds {
            *worst = other.holds.get(*what).map_or(*worst, |more| *more.max(worst));
        }
    }
}

impl Stay<'_> {
    /// What else is in it before it is empty.
    fn goes_on(&mut self, with: Stay<'_>) {
        self.from = self.from.min(with.from);
        self.to = self.to.max(with.to);
        self.food.with(&with.food);
    }
}

impl<'a> Checker<'a> {
    /// What anyone in the class avoids.
    pub(super) fn avoided(&self) -> BTreeSet<&'a AllergenId> {
        self.class.stations.iter().flat_map(|s| &s.avoids).collect()
    }

    pub(super) fn allergens(&mut self) {
        let avoided = self.avoided();
        if avoided.is_empty() {
            return;
        }
        let (recipes, _) = Recipes::of(self.course);
        let mut stays: Vec<Stay<'a>> = Vec::new();
        let mut by_start: Vec<&'a PlannedTask> = self.plan.tasks.iter().collect();
        by_start.sort_by_key(|task| time(task).0);
        for task in by_start {
            let Some(stay) = self.stay(task, &recipes, &avoided) else { continue };
            // The steps of one batch in one bowl are one stay.
            let one_bowl = |other: &&mut Stay<'a>| {
                let batch = matches!(task.group, Group::Batch(_)) && self.at(task) == Some(Where::Mixer);
                batch && other.at == stay.at && self.one_batch(other.task, task)
            };
            match stays.iter_mut().find(one_bowl) {
                Some(known) => known.goes_on(stay),
                None => stays.push(stay),
            }
        }
        let mut found = Vec::new();
        for free in &stays {
            for soiled in stays.iter().filter(|other| other.at == free.at && other.task.id != free.task.id) {
                let beside = free.several && soiled.from < free.to && free.from < soiled.to;
                let before = soiled.from < free.from && free.from < soiled.to + soiled.wash;
                if let Some(what) = soiled.food.brings(&free.food).filter(|_| beside || before) {
                    let text = format!("{what} comes first into {}, without a wash-up", free.at);
                    found.push(([soiled.task, free.task], text));
                }
            }
        }
        for (tasks, text) in found {
            self.no("allergen", &tasks, text);
        }
    }

    /// What a task uses that others use too, and what it has there.
    fn stay(
        &self,
        task: &'a PlannedTask,
        recipes: &Recipes,
        avoided: &BTreeSet<&'a AllergenId>,
    ) -> Option<Stay<'a>> {
        let (lesson, step) = self.step(task).filter(|(_, step)| !step.demo && !task.cold_wait)?;
        let kitchen = &self.course.kitchen;
        let (at, wash, several) = match step.place.value {
            Where::Mixer => {
                let kinds =
                    || kitchen.mixers.iter().map(|m| (&m.id.value, there(m.count.value, m.loan.as_ref())));
                let (at, kind) = self.machine(task, kinds)?;
                let between = kitchen.mixers.iter().find(|m| m.id.value == kind).map(|m| m.between.value);
                (at, between.map_or(WASH_UP, |between| between.max(WASH_UP)).get(), false)
            }
            Where::Oven => {
                let kinds =
                    || kitchen.ovens.iter().map(|o| (&o.id.value, there(o.count.value, o.loan.as_ref())));
                (self.machine(task, kinds)?.0, 0, false)
            }
            place @ (Where::Hob | Where::Bench) => {
                // A piece to which nothing comes is only handled at the bench.
                let made = place == Where::Hob || step.on.iter().any(|on| on.value != Chain::Piece);
                let by_staff = made && matches!(task.hands, Hands::Staff | Hands::Teacher | Hands::Helper);
                let for_all = matches!(task.group, Group::Class(_)) && task.hands != Hands::Nobody;
                let there = if place == Where::Hob { "a pan on the hob" } else { "the bench" };
                (by_staff || for_all).then(|| (there.to_owned(), WASH_UP.get(), true))?
            }
            _ => return None,
        };
        let mut chains: BTreeSet<&Chain> = step.on.iter().map(|chain| &chain.value).collect();
        if matches!(task.group, Group::Load(_)) {
            chains.insert(&Chain::Piece);
        }
        let (from, to) = time(task);
        let food = self.food(task, lesson, &chains, recipes, avoided);
        Some(Stay { at, from, to, wash, several, task, food })
    }

    /// The one machine that a task is in, and its kind.
    fn machine<'k, K: Iterator<Item = (&'k EquipId, i64)>>(
        &self,
        task: &PlannedTask,
        kinds: impl Fn() -> K,
    ) -> Option<(String, EquipId)> {
        task.uses.iter().find_map(|u| Some((u.resource.clone(), self.unit(&u.resource, kinds())?)))
    }

    /// What these doughs of a task's members hold, each in its own variant.
    pub(super) fn food(
        &self,
        task: &PlannedTask,
        lesson: &Lesson,
        chains: &BTreeSet<&Chain>,
        recipes: &Recipes,
        avoided: &BTreeSet<&'a AllergenId>,
    ) -> Food<'a> {
        let mut variants: BTreeSet<Option<&VariantId>> =
            task.members.iter().map(|(whom, _)| self.variant(lesson, whom)).collect();
        if variants.is_empty() {
            variants.insert(self.class.everyone.get(&lesson.id.value));
        }
        let in_one = |variant: Option<&VariantId>, what: &AllergenId| {
            let Some(recipe) = recipes.get(&lesson.formula.value, variant) else { return Verdict::Unknown };
            let of = |chain: &&Chain| match chain {
                Chain::Part(part) => of_part(&recipe.formula, &self.course.pantry, part),
                Chain::Piece => of_piece(&recipe.formula, &self.course.pantry),
            };
            chains.iter().map(|chain| of(chain).verdict(what).0).max().unwrap_or(Verdict::NoneListed)
        };
        let worst = |what: &AllergenId| variants.iter().map(|variant| in_one(*variant, what)).max();
        let stations = task.members.iter().filter_map(|(whom, _)| match whom {
            Whom::Station(no) => self.class.stations.iter().find(|s| s.no == *no),
            Whom::Stage { .. } | Whom::Spare => None,
        });
        Food {
            holds: avoided.iter().map(|what| (*what, worst(what).unwrap_or(Verdict::Unknown))).collect(),
            theirs: stations.flat_map(|s| &s.avoids).collect(),
        }
    }
}
