//! In each single mixer and oven, and where pans, spoons and bench are shared, what is free of an avoided thing was not preceded by what
//! holds it, but for a wash-up.
//!
//! What a task holds is read here from its members alone: of each the formula in its own variant, and the packs of what is in it. Nothing of
//! batches, loads or the model's own account of them is asked.

use super::super::allergen_order::WASH_UP;
use super::super::containers::how_many;
use super::super::jobs::Group;
use super::super::timetable::PlannedTask;
use super::{Checker, time};
use crate::course::{AllergenId, Chain, EquipId, Hands, Lesson, Step, VariantId, Where};
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
    /// The worst that is known of each avoided thing.
    holds: BTreeMap<&'a AllergenId, Verdict>,
    /// What those whose it is avoid.
    theirs: BTreeSet<&'a AllergenId>,
}

impl Stay<'_> {
    /// What this one would bring into another one.
    fn brings(&self, into: &Stay<'_>) -> Option<&AllergenId> {
        let is_free = |verdict: Verdict| matches!(verdict, Verdict::NoneListed | Verdict::SharedKitchen);
        self.holds.iter().find_map(|(what, mine)| {
            let other = into.holds.get(what).copied().unwrap_or(Verdict::Unknown);
            let free = is_free(other) && !is_free(*mine);
            let protected =
                into.theirs.contains(what) && *mine == Verdict::Contains && other != Verdict::Contains;
            (free || protected).then_some(*what)
        })
    }

    /// What else is in it before it is empty.
    fn goes_on(&mut self, with: Stay<'_>) {
        self.from = self.from.min(with.from);
        self.to = self.to.max(with.to);
        for (what, worst) in &mut self.holds {
            *worst = with.holds.get(*what).map_or(*worst, |other| *other.max(worst));
        }
    }
}

impl<'a> Checker<'a> {
    pub(super) fn allergens(&mut self) {
        let avoided: BTreeSet<&'a AllergenId> = self.class.stations.iter().flat_map(|s| &s.avoids).collect();
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
                batch
                    && other.at == stay.at
                    && other.task.group == task.group
                    && other.task.lesson == task.lesson
                    && self.share_a_part(other.task, task)
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
                if let Some(what) = soiled.brings(free).filter(|_| beside || before) {
                    let text = format!("{what} comes first into {}, without a wash-up", free.at);
                    found.push(([soiled.task, free.task], text));
                }
            }
        }
        for (tasks, text) in found {
            self.no("allergen", &tasks, text);
        }
    }

    /// Whether two tasks work on one part: batches of several parts have the same numbers.
    fn share_a_part(&self, one: &PlannedTask, other: &PlannedTask) -> bool {
        let parts =
            |task| self.step(task).map(|(_, step)| step.on.iter().map(|on| &on.value).collect::<Vec<_>>());
        parts(one).zip(parts(other)).is_some_and(|(one, other)| one.iter().any(|part| other.contains(part)))
    }

    /// What a task uses that others use too, and what it has there.
    fn stay(
        &self,
        task: &'a PlannedTask,
        recipes: &Recipes,
        avoided: &BTreeSet<&'a AllergenId>,
    ) -> Option<Stay<'a>> {
        let (lesson, step) = self.step(task).filter(|_| !task.demo && !task.cold_wait)?;
        let kitchen = &self.course.kitchen;
        let (at, wash, several) = match step.place.value {
            Where::Mixer => {
                let kinds =
                    || kitchen.mixers.iter().map(|m| (&m.id.value, how_many(m.count.value, m.loan.as_ref())));
                let (at, kind) = self.machine(task, kinds)?;
                let between = kitchen.mixers.iter().find(|m| m.id.value == kind).map(|m| m.between.value);
                (at, between.map_or(WASH_UP, |between| between.max(WASH_UP)).get(), false)
            }
            Where::Oven => {
                let kinds =
                    || kitchen.ovens.iter().map(|o| (&o.id.value, how_many(o.count.value, o.loan.as_ref())));
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
        let holds = avoided.iter().map(|what| (*what, self.worst(task, (lesson, step), recipes, what)));
        let theirs = task.members.iter().filter_map(|(whom, _)| match whom {
            Whom::Station(no) => self.class.stations.iter().find(|s| s.no == *no),
            Whom::Stage { .. } | Whom::Spare => None,
        });
        let (from, to) = time(task);
        Some(Stay {
            at,
            from,
            to,
            wash,
            several,
            task,
            holds: holds.collect(),
            theirs: theirs.flat_map(|s| &s.avoids).collect(),
        })
    }

    /// The one machine that a task is in, and its kind.
    fn machine<'k, K: Iterator<Item = (&'k EquipId, u32)>>(
        &self,
        task: &PlannedTask,
        kinds: impl Fn() -> K,
    ) -> Option<(String, EquipId)> {
        task.uses.iter().find_map(|u| Some((u.resource.clone(), self.unit(&u.resource, kinds())?)))
    }

    /// The worst that is known of an avoided thing in what a task works on: of all its members, each in its own variant.
    fn worst(
        &self,
        task: &PlannedTask,
        (lesson, step): (&Lesson, &Step),
        recipes: &Recipes,
        what: &AllergenId,
    ) -> Verdict {
        let everyone = self.class.everyone.get(&lesson.id.value);
        let variant = |whom: &Whom| match whom {
            Whom::Station(no) => {
                let station = self.class.stations.iter().find(|s| s.no == *no);
                station.and_then(|s| s.variants.get(&lesson.id.value))
            }
            Whom::Stage { .. } | Whom::Spare => everyone,
        };
        let mut variants: BTreeSet<Option<&VariantId>> =
            task.members.iter().map(|(whom, _)| variant(whom)).collect();
        if variants.is_empty() {
            variants.insert(everyone);
        }
        let in_one = |variant: Option<&VariantId>| {
            let Some(recipe) = recipes.get(&lesson.formula.value, variant) else { return Verdict::Unknown };
            let of = |chain: &Chain| match chain {
                Chain::Part(part) => of_part(&recipe.formula, &self.course.pantry, part),
                Chain::Piece => of_piece(&recipe.formula, &self.course.pantry),
            };
            let whole = matches!(task.group, Group::Load(_)).then(|| of(&Chain::Piece));
            let all = step.on.iter().map(|chain| of(&chain.value)).chain(whole);
            all.map(|held| held.verdict(what).0).max().unwrap_or(Verdict::NoneListed)
        };
        variants.into_iter().map(in_one).max().unwrap_or(Verdict::Unknown)
    }
}
