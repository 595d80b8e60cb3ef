//! What goes into a bowl or an oven is no more than it takes: weighed and counted here from the members of each task, whatever the plan says
//! of batches and loads. (What a dough's class is and how things lie on a rack are facts of the trade, and asked of the same place as the
//! kitchen's splits are.)

use super::super::jobs::Group;
use super::super::timetable::PlannedTask;
use super::{Checker, there};
use crate::course::{Chain, DoughClass, Lesson, Mixer, PartId, Step, Where};
use crate::reckon::mixers::{class_of, shown};
use crate::reckon::ovens::{on_what, positions, trays_for};
use crate::reckon::recipes::Recipes;
use crate::reckon::scale::variant_of;
use crate::units::Grams;
use std::collections::BTreeSet;

/// Dough as mixed weighs no more for each litre (row `dens-mixed`).
const GRAMS_A_LITRE: i64 = 1197;

impl<'a> Checker<'a> {
    pub(super) fn sizes(&mut self) {
        let mut recipes = None;
        for task in &self.plan.tasks {
            self.weighed_for_all(task);
        }
        for task in &self.plan.tasks {
            match self.at(task) {
                Some(Where::Mixer) => {
                    self.in_bowl(task, recipes.get_or_insert_with(|| Recipes::of(self.course).0));
                }
                Some(Where::Oven) => self.on_racks(task),
                _ => {}
            }
        }
    }

    /// The parts of a piece that a task works on, and what is weighed of them for its members; `None` where none of them is weighed by itself,
    /// as it lies inside another.
    fn mixed(
        &self,
        task: &PlannedTask,
        (lesson, step): (&Lesson, &Step),
    ) -> Option<(Grams, BTreeSet<PartId>)> {
        let on = |part: &PartId| {
            step.on.iter().any(|chain| match &chain.value {
                Chain::Part(own) => own == part,
                Chain::Piece => true,
            })
        };
        let own: Vec<_> = self
            .portions
            .iter()
            .filter(|p| p.lesson == lesson.id.value && on(&p.part))
            .filter(|p| task.members.iter().any(|(whom, _)| *whom == p.whom))
            .collect();
        let parts = own.iter().map(|p| p.part.clone()).collect();
        (!own.is_empty()).then(|| (own.iter().map(|p| p.weighed).sum(), parts))
    }

    /// A batch is no less than what is weighed for those whose it is.
    fn weighed_for_all(&mut self, task: &'a PlannedTask) {
        let Some(batch) = self.batch(task) else { return };
        let theirs = self.portions.iter().filter(|p| p.lesson == batch.lesson && p.part == batch.part);
        let theirs = theirs.filter(|p| task.members.iter().any(|(whom, _)| *whom == p.whom));
        let weighed: Grams = theirs.map(|p| p.weighed).sum();
        // Each of them is rounded by itself.
        let rounding = Grams::from_mg(i64::try_from(task.members.len()).unwrap_or(i64::MAX));
        if weighed > batch.grams + rounding {
            let text =
                format!("{} for those who have it, and {} are made", shown(weighed), shown(batch.grams));
            self.no("complete", &[task], text);
        }
    }

    fn in_bowl(&mut self, task: &'a PlannedTask, recipes: &Recipes) {
        let Some((lesson, step)) = self.step(task) else { return };
        let Some((grams, parts)) = self.mixed(task, (lesson, step)) else { return };
        // One station's dough is not split: that it is too much is told of the course.
        let batch = matches!(task.group, Group::Batch(_));
        if batch && task.members.len() < 2 {
            return;
        }
        let (course, class) = (self.course, self.class);
        let variants = || task.members.iter().map(|(whom, _)| variant_of(class, lesson, whom));
        let of_part = |part: &PartId| variants().map(|v| class_of(course, recipes, lesson, part, v)).max();
        let classes = parts.iter().filter_map(of_part);
        let class = classes.max().unwrap_or(DoughClass::Rich);
        let mixers = &self.course.kitchen.mixers;
        let kinds = || mixers.iter().map(|m| (&m.id.value, there(m.count.value, m.loan.as_ref())));
        let kind = task.uses.iter().find_map(|used| self.unit(&used.resource, kinds()));
        if let Some(mixer) = mixers.iter().find(|mixer| Some(&mixer.id.value) == kind.as_ref()) {
            let most = carries(mixer, class);
            if grams > most {
                let text = format!("{} in {}, which carries {}", shown(grams), mixer.id.value, shown(most));
                self.no("mixer", &[task], text);
            }
        } else if !batch {
            // By hand is what no hook catches, and not what is too much for all.
            let here = || mixers.iter().filter(|m| there(m.count.value, m.loan.as_ref()) > 0);
            let caught = |mixer: &Mixer| mixer.least.as_ref().is_none_or(|least| least.value <= grams);
            let takes = here().any(|mixer| grams <= carries(mixer, class) && caught(mixer));
            let too_much = here().next().is_some() && here().all(|mixer| grams > carries(mixer, class));
            if takes || too_much {
                self.no("mixer", &[task], format!("{} is mixed by hand", shown(grams)));
            }
        }
    }

    fn on_racks(&mut self, task: &'a PlannedTask) {
        let Some((lesson, step)) = self.step(task) else { return };
        let unit = self.course.formula(&lesson.formula.value).and_then(|f| on_what(self.course, f));
        let on_piece = step.on.iter().any(|chain| chain.value == Chain::Piece);
        let Some(unit) = unit.filter(|_| on_piece) else { return };
        let ovens = &self.course.kitchen.ovens;
        let kinds = || ovens.iter().map(|o| (&o.id.value, there(o.count.value, o.loan.as_ref())));
        let used = task.uses.iter().find_map(|u| Some((u.amount, self.unit(&u.resource, kinds())?)));
        let Some((racks, kind)) = used else { return };
        let Some(oven) = ovens.iter().find(|oven| oven.id.value == kind) else { return };
        let things: u32 = task.members.iter().map(|(_, pieces)| trays_for(&unit, *pieces)).sum();
        let (on_rack, there) = positions(oven, unit.size, unit.height, unit.between);
        let load = matches!(task.group, Group::Load(_));
        // Of a load that fits into no oven the course is told.
        if load && things > on_rack.saturating_mul(there) {
            return;
        }
        if things > on_rack.saturating_mul(racks) {
            let text = format!("{things} on {racks} racks of {kind}, of which each takes {on_rack}");
            self.no("oven", &[task], text);
        }
    }
}

/// What a mixer carries of a class of dough: as it is written for this class or a richer one, and never more than its bowl holds. Where
/// nothing is written, nothing but the bowl is a limit.
fn carries(mixer: &Mixer, class: DoughClass) -> Grams {
    let holds = Grams::from_thousandths(mixer.bowl.value.thousandths()).ratio(GRAMS_A_LITRE, 1000);
    let written = mixer.limit.iter().filter(|(of, _)| *of >= class).min_by_key(|(of, _)| *of);
    written.map_or(holds, |(_, most)| most.value.min(holds))
}
