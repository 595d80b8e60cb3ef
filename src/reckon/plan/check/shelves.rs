//! Shelf room: in the cold, in the warm, in the freezer, on cooling racks.

use super::super::timetable::PlannedTask;
use super::held::{Sort, filled, in_common, on_trays};
use super::things::Spans;
use super::{Checker, time};
use crate::course::{Area, Box3, Chain, EquipId, Inside, Lesson, Piece, Shelves, Step, Tub, Where};
use crate::reckon::work::Whom;
use std::collections::BTreeMap;

/// Things of one sort that a task puts on shelves.
struct Standing {
    outside: Box3,
    /// Another may stand on it.
    stacks: bool,
    count: u32,
    /// Of whose they are, where several tasks take from the same: the task that filled them, and by which step.
    shared: Option<(usize, usize)>,
}

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
            if self.at(task) == Some(place) && !one && !self.standing(task).is_empty() {
                self.no("shelf", &[task], "does not say in which cupboard it stands".into());
            }
        }
    }

    /// Tins and trays on the shelves of one cupboard: each takes its share of a shelf, in millionths.
    fn shelves(&mut self, place: Where, shelves: &Shelves, several: bool) {
        const WHOLE: i64 = 1_000_000;
        let mut spans: Spans = Vec::new();
        let mut shared: BTreeMap<(usize, usize), Spans> = BTreeMap::new();
        for (number, task) in self.plan.tasks.iter().enumerate() {
            let here = task.uses.iter().any(|u| u.resource == shelves.id.value.as_str());
            if self.at(task) != Some(place) || several && !here {
                continue;
            }
            let (from, to) = time(task);
            for thing in self.standing(task) {
                let fits = on_a_shelf(shelves, thing.outside, thing.stacks);
                if fits == 0 {
                    self.no("shelf", &[task], format!("does not fit on a shelf of {}", shelves.id.value));
                    continue;
                }
                let span = (from, to, i64::from(thing.count) * WHOLE / fits, number);
                match thing.shared {
                    // Several take from the same tubs: these stand there once.
                    Some(tubs) => shared.entry(tubs).or_default().push(span),
                    None => spans.push(span),
                }
            }
        }
        for mut stays in shared.into_values() {
            stays.sort_unstable();
            let mut joined: Spans = Vec::new();
            for stay in stays {
                match joined.last_mut() {
                    Some(last) if stay.0 <= last.1 => last.1 = last.1.max(stay.1),
                    _ => joined.push(stay),
                }
            }
            spans.extend(joined);
        }
        let there = i64::from(shelves.count.value * shelves.shelves.value) * WHOLE;
        self.report("shelf", shelves.id.value.as_str(), &spans, there);
    }

    /// What a task puts on shelves: the tins, trays or tubs that its members' dough is in, or what it is without any.
    fn standing(&self, task: &PlannedTask) -> Vec<Standing> {
        let Some((lesson, step)) = self.step(task) else { return Vec::new() };
        let written = self.written(lesson);
        let container = written.place(&step.id.value).and_then(|n| self.container(lesson, n, task.cold_wait));
        let Some((filled_in, used)) = container else { return self.bare(task) };
        let mut found = Vec::new();
        let filled = self.plan.tasks.iter().enumerate().filter(|(_, other)| {
            other.lesson == task.lesson && !other.cold_wait && other.step == lesson.steps[filled_in].id.value
        });
        for (number, other) in filled {
            let common = in_common(task, other);
            let Some(taken) = self.taken_by(other, used).filter(|_| common > 0) else { continue };
            let pieces: u32 = other.members.iter().map(|(_, n)| n).sum();
            // Of what is written by number, their share.
            let share = (taken.count * common).div_ceil(pieces.max(1));
            let by_number = used.count.is_some();
            if let Some((outside, stacks)) = self.outside(taken.what) {
                let (count, shared) = match taken.sort {
                    Sort::Tub => (taken.count, Some((number, filled_in))),
                    Sort::Tray if !by_number => (self.trays(lesson, taken.what, common), None),
                    _ => (share, None),
                };
                found.push(Standing { outside, stacks, count, shared });
            }
        }
        if found.is_empty() { self.bare(task) } else { found }
    }

    fn trays(&self, lesson: &Lesson, what: &EquipId, pieces: u32) -> u32 {
        let tray = self.course.kitchen.trays.iter().find(|tray| tray.id.value == *what);
        let formula = self.course.formula(&lesson.formula.value);
        tray.zip(formula).map_or(pieces, |(tray, formula)| on_trays(formula, tray, pieces))
    }

    /// How large a container is on the outside, and whether another may stand on it.
    fn outside(&self, what: &EquipId) -> Option<(Box3, bool)> {
        let kitchen = &self.course.kitchen;
        let tin = kitchen.tins.iter().find(|t| t.id.value == *what).map(|t| (t.outside.value, false));
        let tray = || kitchen.trays.iter().find(|t| t.id.value == *what).map(|t| (flat(t.size.value), false));
        let tub = || kitchen.tubs.iter().find(|t| t.id.value == *what).map(|t| (t.outside.value, true));
        tin.or_else(tray).or_else(tub)
    }

    /// What stands there in nothing that was named: the piece itself, or tubs for so much of a part.
    fn bare(&self, task: &PlannedTask) -> Vec<Standing> {
        let Some((lesson, step)) = self.step(task) else { return Vec::new() };
        let Some(formula) = self.course.formula(&lesson.formula.value) else { return Vec::new() };
        if step.on.iter().any(|c| c.value == Chain::Piece) {
            let count = task.members.iter().map(|(_, n)| n).sum();
            let area = self.footprint(&formula.piece);
            let one = |area| Standing { outside: flat(area), stacks: false, count, shared: None };
            return area.map(one).into_iter().collect();
        }
        let milligrams = self.in_tubs(task, (lesson, step));
        let tubs = &self.course.kitchen.tubs;
        let large_enough = tubs.iter().filter(|t| t.holds.value.mg() >= milligrams);
        let tub = large_enough
            .min_by_key(|t| t.holds.value)
            .or_else(|| tubs.iter().max_by_key(|t| t.holds.value))
            .filter(|t| milligrams > 0 && t.holds.value.mg() > 0);
        let one = |tub: &Tub| Standing {
            outside: tub.outside.value,
            stacks: true,
            count: filled(milligrams, tub.holds.value.mg()),
            shared: None,
        };
        tub.map(one).into_iter().collect()
    }

    /// What is weighed for a task's members of the parts that it works on, in milligrams.
    pub(super) fn weighed(&self, lesson: &Lesson, step: &Step, task: &PlannedTask) -> i64 {
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

/// How many of a thing stand on one shelf: rows of them, all turned the same way, and as many layers as there is height for.
fn on_a_shelf(shelves: &Shelves, thing: Box3, stacks: bool) -> i64 {
    let shelf = (shelves.shelf.value.width.thousandths(), shelves.shelf.value.depth.thousandths());
    let (width, depth) = (thing.width.thousandths(), thing.depth.thousandths());
    let (clear, height) = (shelves.clear.value.thousandths(), thing.height.thousandths());
    if width < 1 || depth < 1 || height > clear {
        return 0;
    }
    let rows = |across: i64, deep: i64| (shelf.0 / across) * (shelf.1 / deep);
    // What is as flat as a tray, or of unknown height, stands one deep.
    let layers = if stacks && height > 0 { clear / height } else { 1 };
    rows(width, depth).max(rows(depth, width)) * layers
}

fn flat(area: Area) -> Box3 {
    Box3 { width: area.width, depth: area.depth, height: crate::units::Centimetres::ZERO }
}
