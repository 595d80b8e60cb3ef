//! Mixers, ovens, burners, tins, shelves and circuits, minute by minute.

use super::super::jobs::Group;
use super::super::timetable::PlannedTask;
use super::heating::{dial, minutes_to};
use super::held::same_group;
use super::{Checker, minute, there, time, too_much};
use crate::course::{At, EquipId, Hob, Where};
use crate::units::{Celsius, Percent, Watts};
use rust_decimal::prelude::ToPrimitive;
use std::collections::BTreeMap;

pub(super) type Spans = Vec<(i64, i64, i64, usize)>;

impl<'a> Checker<'a> {
    pub(super) fn things(&mut self) {
        self.sizes();
        self.mixers();
        self.counted();
        self.places();
        self.on_shelves();
        self.ovens();
        self.circuits();
        self.allergens();
        self.by_turns();
    }

    pub(super) fn report(&mut self, rule: &'static str, what: &str, spans: &Spans, there: i64) {
        if let Some((_, sum, tasks)) = too_much(spans, there) {
            let tasks: Vec<&PlannedTask> = tasks.into_iter().map(|n| &self.plan.tasks[n]).collect();
            self.no(rule, &tasks, format!("{sum} of {what} are taken, {there} are there"));
        }
    }

    pub(super) fn at(&self, task: &PlannedTask) -> Option<Where> {
        if task.cold_wait { Some(Where::Cold) } else { self.step(task).map(|(_, s)| s.place.value) }
    }

    /// `oven-2` is the second of the kind `oven`.
    pub(super) fn unit<'k>(
        &self,
        resource: &str,
        kinds: impl Iterator<Item = (&'k EquipId, i64)>,
    ) -> Option<EquipId> {
        let (id, text) = resource.rsplit_once('-')?;
        // Of each there is one name: `oven-02` would be a second one.
        let number: i64 = text.parse().ok().filter(|number: &i64| number.to_string() == text)?;
        let mut kinds = kinds;
        kinds
            .find(|(kind, count)| kind.as_str() == id && (1..=*count).contains(&number))
            .map(|(kind, _)| kind.clone())
    }

    /// A bowl holds one batch at a time, and is scraped between two.
    fn mixers(&mut self) {
        let mixers = &self.course.kitchen.mixers;
        let mut by_unit: BTreeMap<String, Spans> = BTreeMap::new();
        for (place, task) in self.plan.tasks.iter().enumerate() {
            if self.at(task) != Some(Where::Mixer) {
                continue;
            }
            let kinds = || mixers.iter().map(|m| (&m.id.value, there(m.count.value, m.loan.as_ref())));
            let bowl = task.uses.iter().find_map(|u| Some((u, self.unit(&u.resource, kinds())?)));
            // Only what is written down as mixed by hand needs no bowl: a batch of anything else is none for a mixer.
            let batch = matches!(task.group, Group::Batch(_));
            let by_hand = if batch {
                self.batch(task).is_some_and(|b| b.vessel == crate::reckon::work::Vessel::ByHand)
            } else {
                task.by_hand
            };
            match bowl {
                None if by_hand => {}
                None => self.no("mixer", &[task], "has no mixer".into()),
                Some((used, kind)) => {
                    let between =
                        mixers.iter().find(|m| m.id.value == kind).map_or(0, |m| m.between.value.get());
                    let fits = self.batch(task).is_none_or(|b| match &b.vessel {
                        crate::reckon::work::Vessel::Mixers(kinds) => kinds.contains(&kind),
                        _ => false,
                    });
                    if !fits {
                        self.no("mixer", &[task], format!("does not fit into {kind}"));
                    }
                    let until = minute(&used.until).max(minute(&task.end));
                    by_unit.entry(used.resource.clone()).or_default().push((
                        time(task).0,
                        until + between,
                        1,
                        place,
                    ));
                }
            }
        }
        for (unit, mut spans) in by_unit {
            // Several steps of one batch in one bowl are one stay.
            spans.sort_unstable();
            let mut stays: Spans = Vec::new();
            for span in spans {
                let tasks = &self.plan.tasks;
                let same = |other: &(i64, i64, i64, usize)| self.one_batch(&tasks[other.3], &tasks[span.3]);
                if let Some(stay) = stays.iter_mut().find(|s| same(s)) {
                    stay.1 = stay.1.max(span.1);
                } else {
                    stays.push(span);
                }
            }
            self.report("mixer", &unit, &stays, 1);
        }
    }

    /// Whether two tasks are steps of one batch: batches of several parts have the same numbers.
    pub(super) fn one_batch(&self, one: &PlannedTask, other: &PlannedTask) -> bool {
        let part = |task: &PlannedTask| self.batch(task).map(|batch| &batch.part);
        same_group(one, other) && part(one).is_some() && part(one) == part(other)
    }

    /// The kitchen's counted things: how many there are, and the minutes before one serves again.
    pub(super) fn stock(&self) -> BTreeMap<&'a EquipId, (i64, i64)> {
        let kitchen = &self.course.kitchen;
        let mut stock = BTreeMap::new();
        for t in &kitchen.tins {
            stock.insert(&t.id.value, (there(t.count.value, t.loan.as_ref()), t.between.value.get()));
        }
        for t in &kitchen.trays {
            stock.insert(&t.id.value, (there(t.count.value, t.loan.as_ref()), t.between.value.get()));
        }
        for t in &kitchen.tubs {
            stock.insert(&t.id.value, (there(t.count.value, None), 0));
        }
        for t in kitchen.tools.iter().filter(|t| !t.consumable) {
            stock.insert(&t.id.value, (there(t.count.value, t.loan.as_ref()), 0));
        }
        stock
    }

    /// Tins, trays, tubs and tools: each from the step that takes it to the step that frees it, and its wash.
    fn counted(&mut self) {
        let stock = self.stock();
        let mut busy: BTreeMap<&EquipId, Spans> = BTreeMap::new();
        for (place, task) in self.plan.tasks.iter().enumerate() {
            for taken in self.takes(task) {
                let between = stock.get(taken.what).map_or(0, |known| known.1);
                for (count, end) in self.frees(task, &taken) {
                    let span = (minute(&task.start), end + between, count, place);
                    busy.entry(taken.what).or_default().push(span);
                }
            }
        }
        for (id, spans) in busy {
            self.report("counted", id.as_str(), &spans, stock.get(id).map_or(0, |known| known.0));
        }
        self.says_what_it_takes();
    }

    /// Burners and sinks.
    fn places(&mut self) {
        let kitchen = &self.course.kitchen;
        for (place, what, there) in [
            (Where::Hob, "burners", kitchen.hobs.iter().map(|h| i64::from(h.burners.value)).sum::<i64>()),
            (Where::Sink, "sinks", i64::from(kitchen.sinks.value)),
        ] {
            let tasks = self.plan.tasks.iter().enumerate().filter(|(_, t)| self.at(t) == Some(place));
            let spans: Spans = tasks.map(|(n, t)| (time(t).0, time(t).1, 1, n)).collect();
            self.report("place", what, &spans, there);
        }
    }

    /// Racks, one temperature at a time, and hot when the load goes in.
    fn ovens(&mut self) {
        let ovens = &self.course.kitchen.ovens;
        let mut by_unit: BTreeMap<String, Vec<(usize, Option<Celsius>, u32)>> = BTreeMap::new();
        for (place, task) in self.plan.tasks.iter().enumerate() {
            if self.at(task) != Some(Where::Oven) {
                continue;
            }
            let kinds = || ovens.iter().map(|o| (&o.id.value, there(o.count.value, o.loan.as_ref())));
            let used = task.uses.iter().find_map(|u| Some((u, self.unit(&u.resource, kinds())?)));
            match used.map(|(used, kind)| (used, self.heat(task, &kind))) {
                Some((used, heat)) => {
                    by_unit.entry(used.resource.clone()).or_default().push((place, heat, used.amount));
                }
                None => self.no("oven", &[task], "has no oven".into()),
            }
        }
        self.together();
        for (unit, loads) in by_unit {
            let kind = unit.rsplit_once('-').map_or("", |(id, _)| id);
            let Some(oven) = ovens.iter().find(|o| o.id.value.as_str() == kind) else { continue };
            let racks: Spans = loads
                .iter()
                .map(|(n, _, racks)| {
                    (time(&self.plan.tasks[*n]).0, time(&self.plan.tasks[*n]).1, i64::from(*racks), *n)
                })
                .collect();
            self.report("oven", &unit, &racks, i64::from(oven.racks.value));
            // How hot it is to be for what nobody wrote that of, nobody can say.
            let known: Vec<(usize, Celsius)> =
                loads.iter().filter_map(|(place, heat, _)| Some((*place, (*heat)?))).collect();
            for (a, heat_a) in &known {
                for (b, heat_b) in &known {
                    let (one, other) = (&self.plan.tasks[*a], &self.plan.tasks[*b]);
                    if a == b || heat_a == heat_b || time(one).0 > time(other).0 {
                        continue;
                    }
                    let gap = time(other).0 - time(one).1;
                    if gap < minutes_to(oven, *heat_a, *heat_b) {
                        self.no(
                            "oven",
                            &[one, other],
                            format!("{gap} min to change the temperature of {unit}"),
                        );
                    }
                }
                let task = &self.plan.tasks[*a];
                let opening = self.attended().iter().map(|s| s.0).filter(|s| *s <= time(task).0).max();
                let hot = minutes_to(oven, self.course.kitchen.room.value, *heat_a);
                if opening.is_none_or(|from| time(task).0 - from < hot) {
                    self.no("oven", &[task], format!("{unit} cannot be hot yet"));
                }
            }
        }
    }

    /// Where what shares a load need not go in together, each load is one station's.
    fn together(&mut self) {
        for task in &self.plan.tasks {
            let apart = self.step(task).is_some_and(|(_, step)| !step.together);
            if apart && matches!(task.group, Group::Load(_)) && task.members.len() > 1 {
                self.no("load", &[task], "goes in and comes out together, and need not".into());
            }
        }
    }

    /// What the dial of an oven shows for what is baked in it; what is no load stands there as warm as it is written.
    fn heat(&self, task: &PlannedTask, oven: &EquipId) -> Option<Celsius> {
        let (lesson, step) = self.step(task)?;
        let oven = self.course.kitchen.ovens.iter().find(|o| o.id.value == *oven)?;
        let written = step.heat.as_ref()?.value;
        let units = self.course.settings.units.value;
        Some(match task.group {
            Group::Load(_) => dial(oven, written, lesson.heats_for_fan, units),
            _ => written,
        })
    }

    /// The sum of what runs on a circuit: an oven from its first heating up to its last load in a span of hours.
    fn circuits(&mut self) {
        let kitchen = &self.course.kitchen;
        let watts = |w: &Option<At<Watts>>| w.as_ref().map_or(0, |w| (w.value.thousandths() + 999) / 1000);
        self.burners();
        for circuit in &kitchen.circuits {
            let on = |c: &Option<At<EquipId>>| c.as_ref().is_some_and(|c| c.value == circuit.id.value);
            let mut spans: Spans = Vec::new();
            let mut all_at_once = 0;
            for mixer in kitchen.mixers.iter().filter(|m| on(&m.circuit)) {
                let count = there(mixer.count.value, mixer.loan.as_ref());
                all_at_once += watts(&mixer.watts) * count;
                for (n, task) in self.plan.tasks.iter().enumerate() {
                    let mine = task.uses.iter().any(|u| {
                        u.resource.rsplit_once('-').is_some_and(|(id, _)| id == mixer.id.value.as_str())
                    });
                    if mine && self.at(task) == Some(Where::Mixer) {
                        spans.push((time(task).0, time(task).1, watts(&mixer.watts), n));
                    }
                }
            }
            let hobs: Vec<&Hob> = kitchen.hobs.iter().filter(|h| on(&h.circuit)).collect();
            all_at_once += hobs.iter().map(|h| watts(&h.watts) * i64::from(h.burners.value)).sum::<i64>();
            for (n, task) in self.plan.tasks.iter().enumerate() {
                // Where the plan does not say which burner, it may be the one that draws most here.
                let draws = match self.hob(task) {
                    Some(hob) => hobs.iter().find(|h| h.id == hob.id).map(|h| watts(&h.watts)),
                    None => hobs.iter().map(|h| watts(&h.watts)).max(),
                };
                let draws = draws.filter(|_| self.at(task) == Some(Where::Hob));
                spans.extend(draws.map(|w| (time(task).0, time(task).1, w, n)));
            }
            for oven in kitchen.ovens.iter().filter(|o| on(&o.circuit)) {
                let count = there(oven.count.value, oven.loan.as_ref());
                all_at_once += watts(&oven.watts) * count;
                for unit in 1..=count {
                    let name = format!("{}-{unit}", oven.id.value);
                    for day in self.attended() {
                        let mut block: Option<(i64, i64, usize)> = None;
                        for (n, task) in self.plan.tasks.iter().enumerate() {
                            let (from, to) = time(task);
                            let here =
                                task.uses.iter().any(|u| u.resource == name) && day.0 <= from && to <= day.1;
                            let heat = self.heat(task, &oven.id.value).filter(|_| here);
                            let Some(heat) = heat else { continue };
                            let hot = from - minutes_to(oven, kitchen.room.value, heat);
                            block = Some(block.map_or((hot, to, n), |b| (b.0.min(hot), b.1.max(to), b.2)));
                        }
                        spans.extend(block.map(|(from, to, n)| (from, to, watts(&oven.watts), n)));
                    }
                }
            }
            let shelves = kitchen.warm.iter().chain(&kitchen.cold).chain(&kitchen.freezers);
            let shelves = shelves.chain(&kitchen.racks).filter(|s| on(&s.circuit));
            let always: i64 = shelves.map(|s| watts(&s.watts) * i64::from(s.count.value)).sum();
            let share = circuit.continuous.as_ref().map_or(Percent::HUNDRED, |share| share.value);
            let carries =
                (circuit.carries.value.to_decimal() * share.number() / Percent::HUNDRED.number()).floor();
            let carries = carries.to_i64().unwrap_or(0);
            // What carries everything at once carries whatever the burners are.
            if all_at_once + always > carries {
                self.report("circuit", circuit.id.value.as_str(), &spans, carries - always);
            }
        }
    }

    /// The hob that the plan names for a task; the only one where there is one.
    fn hob(&self, task: &PlannedTask) -> Option<&Hob> {
        let hobs = &self.course.kitchen.hobs;
        let named = hobs.iter().find(|h| task.uses.iter().any(|u| u.resource == h.id.value.as_str()));
        named.or_else(|| hobs.first().filter(|_| hobs.len() == 1))
    }

    /// No more on one hob than it has burners, where the plan names hobs.
    fn burners(&mut self) {
        for hob in &self.course.kitchen.hobs {
            let tasks = self.plan.tasks.iter().enumerate().filter(|(_, t)| {
                self.at(t) == Some(Where::Hob) && self.hob(t).is_some_and(|h| h.id == hob.id)
            });
            let spans: Spans = tasks.map(|(n, t)| (time(t).0, time(t).1, 1, n)).collect();
            self.report("place", hob.id.value.as_str(), &spans, i64::from(hob.burners.value));
        }
    }
}
