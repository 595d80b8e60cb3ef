//! Shelf room: in the cold, in the warm, in the freezer, on cooling racks.

use super::super::containers::{Standing, per_shelf};
use super::super::timetable::PlannedTask;
use super::things::Spans;
use super::{Checker, minute, time};
use crate::course::{Area, Box3, Chain, Inside, Lesson, Piece, Shelves, Step, Where};
use crate::reckon::work::Whom;

impl Checker<'_> {
    pub(super) fn on_shelves(&mut self) {
        let kitchen = &self.course.kitchen;
        let kinds: [(Where, &Vec<Shelves>); 4] = [
            (Where::Cold, &kitchen.cold),
            (Where::Warm, &kitchen.warm),
            (Where::Freezer, &kitchen.freezers),
            (Where::Rack, &kitchen.racks),
        ];
        for (place, cupboards) in kinds {
            let several = cupboards.len() > 1;
            for shelves in cupboards {
                self.shelves(place, shelves, several);
            }
            if several {
                self.in_a_cupboard(place, cupboards);
            }
        }
    }

    /// Where there are several cupboards, what stands there says in which.
    fn in_a_cupboard(&mut self, place: Where, cupboards: &[Shelves]) {
        for task in &self.plan.tasks {
            let one = task.uses.iter().any(|u| cupboards.iter().any(|c| c.id.value.as_str() == u.resource));
            if self.at(task) == Some(place) && !one && !self.in_containers(task).is_empty() {
                self.no("shelf", &[task], "does not say in which cupboard it stands".into());
            }
        }
    }

    /// Tins and trays on the shelves of one cupboard: each takes its share of a shelf, in millionths.
    fn shelves(&mut self, place: Where, shelves: &Shelves, several: bool) {
        const WHOLE: i64 = 1_000_000;
        let mut spans: Spans = Vec::new();
        for (number, task) in self.plan.tasks.iter().enumerate() {
            let here = task.uses.iter().any(|u| u.resource == shelves.id.value.as_str());
            if self.at(task) != Some(place) || several && !here {
                continue;
            }
            for (outside, count, stacks) in self.in_containers(task) {
                let thing = Standing { outside, stacks, count: 1 };
                let fits = i64::from(per_shelf(shelves, &thing));
                if fits == 0 {
                    self.no("shelf", &[task], format!("does not fit on a shelf of {}", shelves.id.value));
                    continue;
                }
                let (from, to) = time(task);
                spans.push((from, to, i64::from(count) * WHOLE / fits, number));
            }
        }
        let there = i64::from(shelves.count.value * shelves.shelves.value) * WHOLE;
        self.report("shelf", shelves.id.value.as_str(), &spans, there);
    }

    /// The tins, trays or tubs that a member's dough is in during a task: taken by an earlier task and not yet free.
    fn in_containers(&self, task: &PlannedTask) -> Vec<(Box3, u32, bool)> {
        let kitchen = &self.course.kitchen;
        let (from, to) = time(task);
        // The container that it was put into last: a tub that other stations still take from is not this dough's any more.
        let mut found: Vec<(i64, Box3, u32, bool)> = Vec::new();
        for other in self.plan.tasks.iter().filter(|o| o.lesson == task.lesson && !o.cold_wait) {
            let shared: u32 = other
                .members
                .iter()
                .map(|(w, _)| task.members.iter().filter(|(t, _)| t == w).map(|(_, n)| n).sum::<u32>())
                .sum();
            let same_chain = self.step(task).zip(self.step(other)).is_some_and(|((_, a), (_, b))| {
                b.on.len() > 1 || a.on.iter().any(|c| b.on.iter().any(|d| c.value == d.value))
            });
            if shared == 0 || !same_chain || minute(&other.start) > from {
                continue;
            }
            for used in other.uses.iter().filter(|u| minute(&u.until) >= to) {
                let id = &used.resource;
                let since = minute(&other.start);
                if let Some(tin) = kitchen.tins.iter().find(|t| t.id.value.as_str() == id) {
                    found.push((since, tin.outside.value, used.amount, false));
                } else if let Some(tray) = kitchen.trays.iter().find(|t| t.id.value.as_str() == id) {
                    found.push((since, flat(tray.size.value), used.amount, false));
                } else if let Some(tub) = kitchen.tubs.iter().find(|t| t.id.value.as_str() == id) {
                    found.push((since, tub.outside.value, used.amount, true));
                }
            }
        }
        if found.is_empty() {
            return self.bare(task);
        }
        let last = found.iter().map(|f| f.0).max();
        found
            .into_iter()
            .filter(|f| Some(f.0) == last)
            .map(|(_, size, count, stacks)| (size, count, stacks))
            .collect()
    }

    /// What stands there in nothing that was named: the piece itself, or tubs for so much of a part.
    fn bare(&self, task: &PlannedTask) -> Vec<(Box3, u32, bool)> {
        let Some((lesson, step)) = self.step(task) else { return Vec::new() };
        let Some(formula) = self.course.formula(&lesson.formula.value) else { return Vec::new() };
        if step.on.iter().any(|c| c.value == Chain::Piece) {
            let pieces = task.members.iter().map(|(_, n)| n).sum();
            let area = self.footprint(&formula.piece);
            return area.map(|area| (flat(area), pieces, false)).into_iter().collect();
        }
        let milligrams = self.batch(task).map_or_else(|| self.weighed(lesson, step, task), |b| b.grams.mg());
        let tubs = &self.course.kitchen.tubs;
        let large_enough = tubs.iter().filter(|t| t.holds.value.mg() >= milligrams);
        let tub = large_enough
            .min_by_key(|t| t.holds.value)
            .or_else(|| tubs.iter().max_by_key(|t| t.holds.value))
            .filter(|t| milligrams > 0 && t.holds.value.mg() > 0);
        let count = |holds: i64| u32::try_from((milligrams + holds - 1) / holds).unwrap_or(u32::MAX);
        tub.map(|t| (t.outside.value, count(t.holds.value.mg()), true)).into_iter().collect()
    }

    /// What is weighed for a task's members of the parts that it works on, in milligrams.
    fn weighed(&self, lesson: &Lesson, step: &Step, task: &PlannedTask) -> i64 {
        let mine = |whom: &Whom| task.members.iter().any(|(w, _)| w == whom);
        let mut sum = 0;
        for portion in self.portions.iter().filter(|p| p.lesson == lesson.id.value && mine(&p.whom)) {
            if step.on.iter().any(|c| matches!(&c.value, Chain::Part(part) if *part == portion.part)) {
                sum += portion.weighed.mg();
            }
        }
        sum
    }

    /// The ground that a piece out of its tin takes, or one that never had any.
    fn footprint(&self, piece: &Piece) -> Option<Area> {
        let tins = &self.course.kitchen.tins;
        let tin = piece.tin.as_ref().and_then(|id| tins.iter().find(|t| t.id.value == id.value));
        if let Some(tin) = tin {
            return Some(match tin.inside.value {
                Inside::Round { across, .. } | Inside::Ring { across, .. } => {
                    Area { width: across, depth: across }
                }
                Inside::Square { length, width, .. } => Area { width: length, depth: width },
            });
        }
        let size = piece.size.as_ref()?.value;
        let thousandths = 1000 + piece.grows.as_ref().map_or(0, |g| (g.value.to_f64() * 10.0).round() as i64);
        let grown = |side: crate::units::Centimetres| side.ratio(thousandths, 1000);
        Some(Area { width: grown(size.width), depth: grown(size.depth) })
    }
}

fn flat(area: Area) -> Box3 {
    Box3 { width: area.width, depth: area.depth, height: crate::units::Centimetres::ZERO }
}
