//! Mixers, ovens, burners, tins, shelves and circuits, minute by minute.

use super::super::containers::how_many;
use super::super::timetable::PlannedTask;
use super::{Checker, minute, time, too_much};
use crate::course::{At, EquipId, Hob, Where};
use crate::reckon::ovens::heat_in;
use crate::units::{Celsius, Watts};
use std::collections::BTreeMap;

pub(super) type Spans = Vec<(i64, i64, i64, usize)>;

impl Checker<'_> {
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
        kinds: impl Iterator<Item = (&'k EquipId, u32)>,
    ) -> Option<EquipId> {
        let (id, number) = resource.rsplit_once('-')?;
        let number: u32 = number.parse().ok()?;
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
            let kinds = || mixers.iter().map(|m| (&m.id.value, how_many(m.count.value, m.loan.as_ref())));
            let bowl = task.uses.iter().find_map(|u| Some((u, self.unit(&u.resource, kinds())?)));
            // Only what is written down as mixed by hand needs no bowl: a batch of anything else is none for a mixer.
            let batch = matches!(task.group, super::super::jobs::Group::Batch(_));
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
                let same = |other: &(i64, i64, i64, usize)| {
                    self.plan.tasks[other.3].group == self.plan.tasks[span.3].group
                        && self.plan.tasks[other.3].lesson == self.plan.tasks[span.3].lesson
                };
                if let Some(stay) = stays.iter_mut().find(|s| same(s)) {
                    stay.1 = stay.1.max(span.1);
                } else {
                    stays.push(span);
                }
            }
            self.report("mixer", &unit, &stays, 1);
        }
    }

    /// Tins, trays, tubs and tools: each from the step that takes it to the step that frees it, and its wash.
    fn counted(&mut self) {
        let kitchen = &self.course.kitchen;
        let mut stock: BTreeMap<&str, (i64, i64)> = BTreeMap::new();
        for t in &kitchen.tins {
            let count = i64::from(how_many(t.count.value, t.loan.as_ref()));
            stock.insert(t.id.value.as_str(), (count, t.between.value.get()));
        }
        for t in &kitchen.trays {
            let count = i64::from(how_many(t.count.value, t.loan.as_ref()));
            stock.insert(t.id.value.as_str(), (count, t.between.value.get()));
        }
        for t in &kitchen.tubs {
            stock.insert(t.id.value.as_str(), (i64::from(t.count.value), 0));
        }
        for t in kitchen.tools.iter().filter(|t| !t.consumable) {
            stock.insert(t.id.value.as_str(), (i64::from(how_many(t.count.value, t.loan.as_ref())), 0));
        }
        let mut taken: BTreeMap<&str, Spans> = BTreeMap::new();
        for (place, task) in self.plan.tasks.iter().enumerate() {
            self.has_its_tins(task);
            for used in &task.uses {
                if let Some((id, (_, between))) = stock.get_key_value(used.resource.as_str()) {
                    let until = self.freed(task, used);
                    for (count, end) in until {
                        taken.entry(id).or_default().push((minute(&task.start), end + between, count, place));
                    }
                }
            }
        }
        for (id, spans) in taken {
            let there = stock.get(id).map_or(0, |s| s.0);
            self.report("counted", id, &spans, there);
        }
    }

    /// A step that takes a tin for each piece takes as many as there are pieces.
    fn has_its_tins(&mut self, task: &PlannedTask) {
        let Some((lesson, step)) = self.step(task).filter(|_| !task.cold_wait) else { return };
        let Some(formula) = self.course.formula(&lesson.formula.value) else { return };
        let Some(tin) = &formula.piece.tin else { return };
        if step.uses.iter().any(|u| u.what.value.as_str() == "tin" && u.count.is_none()) {
            let pieces: u32 = task.members.iter().map(|(_, n)| n).sum();
            let taken: u32 =
                task.uses.iter().filter(|u| u.resource == tin.value.as_str()).map(|u| u.amount).sum();
            if taken != pieces {
                self.no("counted", &[task], format!("{pieces} pieces in {taken} tins"));
            }
        }
    }

    /// When what a task took is free again, by count: pieces of one station may leave in several loads.
    pub(super) fn freed(&self, task: &PlannedTask, used: &super::super::timetable::Used) -> Vec<(i64, i64)> {
        let all = vec![(i64::from(used.amount), minute(&used.until))];
        let Some((lesson, until_step)) = self.freed_by(task, used) else { return all };
        let mut shares = Vec::new();
        for last in self.tasks_of(lesson, until_step) {
            let pieces: u32 = task
                .members
                .iter()
                .map(|(w, _)| last.members.iter().filter(|(l, _)| l == w).map(|(_, n)| n).sum::<u32>())
                .sum();
            if pieces > 0 {
                shares.push((i64::from(pieces), minute(&last.end)));
            }
        }
        let pieces: u32 = task.members.iter().map(|(_, n)| n).sum();
        if shares.is_empty() {
            return all;
        }
        if used.amount == pieces && shares.iter().map(|s| s.0).sum::<i64>() == i64::from(pieces) {
            return shares;
        }
        vec![(i64::from(used.amount), shares.iter().map(|s| s.1).max().unwrap_or(0))]
    }

    pub(super) fn names(
        &self,
        lesson: &crate::course::Lesson,
        one: &crate::course::Use,
        used: &super::super::timetable::Used,
    ) -> bool {
        let piece = self.course.formula(&lesson.formula.value).map(|f| &f.piece);
        match one.what.value.as_str() {
            "tin" => piece.and_then(|p| p.tin.as_ref()).is_some_and(|t| t.value.as_str() == used.resource),
            "tray" => piece.and_then(|p| p.tray.as_ref()).is_some_and(|t| t.value.as_str() == used.resource),
            "tub" => self.course.kitchen.tubs.iter().any(|t| t.id.value.as_str() == used.resource),
            word => word == used.resource,
        }
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
        let mut by_unit: BTreeMap<String, Vec<(usize, Celsius, u32)>> = BTreeMap::new();
        for (place, task) in self.plan.tasks.iter().enumerate() {
            if self.at(task) != Some(Where::Oven) {
                continue;
            }
            let kinds = || ovens.iter().map(|o| (&o.id.value, how_many(o.count.value, o.loan.as_ref())));
            let used = task.uses.iter().find_map(|u| Some((u, self.unit(&u.resource, kinds())?)));
            match used.map(|(used, kind)| (used, self.heat(task, &kind))) {
                Some((used, Some(heat))) => {
                    by_unit.entry(used.resource.clone()).or_default().push((place, heat, used.amount));
                }
                _ => self.no("oven", &[task], "has no oven, or no temperature".into()),
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
            let needs = |from: Celsius, to: Celsius| {
                let rate = if to >= from { oven.heats.value } else { oven.cools.value }.to_f64();
                let degrees = (to.to_f64() - from.to_f64()).abs();
                if rate > 0.0 { (degrees / rate * 1000.0).floor() / 1000.0 } else { 60.0 }
            };
            for (a, heat_a, _) in &loads {
                for (b, heat_b, _) in &loads {
                    let (one, other) = (&self.plan.tasks[*a], &self.plan.tasks[*b]);
                    if a == b || heat_a == heat_b || time(one).0 > time(other).0 {
                        continue;
                    }
                    let gap = (time(other).0 - time(one).1) as f64;
                    if gap < needs(*heat_a, *heat_b) {
                        self.no(
                            "oven",
                            &[one, other],
                            format!("{gap} min to change the temperature of {unit}"),
                        );
                    }
                }
                let task = &self.plan.tasks[*a];
                let opening = self.attended().iter().map(|s| s.0).filter(|s| *s <= time(task).0).max();
                let hot = needs(self.course.kitchen.room.value, *heat_a);
                if opening.is_none_or(|from| ((time(task).0 - from) as f64) < hot) {
                    self.no("oven", &[task], format!("{unit} cannot be hot yet"));
                }
            }
        }
    }

    /// Where what shares a load need not go in together, each load is one station's.
    fn together(&mut self) {
        for task in &self.plan.tasks {
            let apart = self.step(task).is_some_and(|(_, step)| !step.together);
            if apart && self.load(task).is_some_and(|load| load.members.len() > 1) {
                self.no("load", &[task], "goes in and comes out together, and need not".into());
            }
        }
    }

    pub(super) fn load(&self, task: &PlannedTask) -> Option<&crate::reckon::work::Load> {
        let (lesson, step) = self.step(task)?;
        let super::super::jobs::Group::Load(no) = task.group else { return None };
        let loads = self.plan.choice.loads.get(&(lesson.id.value.clone(), step.id.value.clone()))?;
        loads.iter().find(|l| l.no == no)
    }

    /// What the dial of an oven shows for what is baked in it; what is no load stands there as warm as it is written.
    fn heat(&self, task: &PlannedTask, oven: &EquipId) -> Option<Celsius> {
        let (lesson, step) = self.step(task)?;
        let oven = self.course.kitchen.ovens.iter().find(|o| o.id.value == *oven)?;
        let written = step.heat.as_ref().map(|h| h.value);
        let units = self.course.settings.units.value;
        match self.load(task) {
            Some(load) => {
                Some(written.map_or(load.written, |heat| heat_in(oven, heat, lesson.heats_for_fan, units)))
            }
            None => written,
        }
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
                let count = how_many(mixer.count.value, mixer.loan.as_ref());
                all_at_once += watts(&mixer.watts) * i64::from(count);
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
                let count = how_many(oven.count.value, oven.loan.as_ref());
                all_at_once += watts(&oven.watts) * i64::from(count);
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
                            let rise = (heat.to_f64() - kitchen.room.value.to_f64())
                                / oven.heats.value.to_f64().max(0.01);
                            let hot = from - rise.max(0.0).floor() as i64;
                            block = Some(block.map_or((hot, to, n), |b| (b.0.min(hot), b.1.max(to), b.2)));
                        }
                        spans.extend(block.map(|(from, to, n)| (from, to, watts(&oven.watts), n)));
                    }
                }
            }
            let shelves = kitchen.warm.iter().chain(&kitchen.cold).chain(&kitchen.freezers);
            let shelves = shelves.chain(&kitchen.racks).filter(|s| on(&s.circuit));
            let always: i64 = shelves.map(|s| watts(&s.watts) * i64::from(s.count.value)).sum();
            let share = circuit.continuous.as_ref().map_or(100.0, |c| c.value.to_f64());
            let carries = (circuit.carries.value.to_f64() * share / 100.0).floor() as i64;
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
