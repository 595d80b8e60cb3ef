//! Pots and pans that are cooked in by turns: none holds what is free of an avoided thing soon after what holds it.

use super::super::allergen_order::{Carried, Contents, WASH_UP};
use super::super::containers::how_many;
use super::super::jobs::Group;
use super::super::timetable::PlannedTask;
use super::{Checker, time};
use crate::course::{Tool, Where};

/// One use of a pot.
struct Cooking {
    from: i64,
    until: i64,
    count: i64,
    task: usize,
    held: Carried,
}

impl Checker<'_> {
    pub(super) fn pots(&mut self) {
        let contents = Contents::of(self.course, self.class);
        for tool in self.course.kitchen.tools.iter().filter(|t| !t.consumable) {
            let there = i64::from(how_many(tool.count.value, tool.loan.as_ref()));
            let cooked = self.cooked_in(tool, &contents);
            for (place, later) in cooked.iter().enumerate() {
                // As long as there are pots that nobody has cooked in, theirs is one of these.
                let used: i64 = cooked[..place].iter().map(|c| c.count).sum();
                if used + later.count <= there {
                    continue;
                }
                let soon = |c: &&Cooking| c.until <= later.from && later.from < c.until + WASH_UP.get();
                for earlier in cooked[..place].iter().filter(soon) {
                    if let Some(what) = earlier.held.soils(&later.held).first() {
                        let tasks = [&self.plan.tasks[earlier.task], &self.plan.tasks[later.task]];
                        let gap = later.from - earlier.until;
                        let text = format!(
                            "{what} was in {} {gap} min before, too soon for a wash-up",
                            tool.id.value
                        );
                        self.no("allergen", &tasks, text);
                    }
                }
            }
        }
    }

    /// All that is cooked in pots of a kind, by the clock.
    fn cooked_in(&self, tool: &Tool, contents: &Contents<'_>) -> Vec<Cooking> {
        let mut cooked = Vec::new();
        for (place, task) in self.plan.tasks.iter().enumerate() {
            let count: u32 =
                task.uses.iter().filter(|u| u.resource == tool.id.value.as_str()).map(|u| u.amount).sum();
            let Some(held) = self.in_pot(task, contents).filter(|_| count > 0) else { continue };
            let used = task.uses.iter().filter(|u| u.resource == tool.id.value.as_str());
            let free = used.flat_map(|used| self.freed(task, used)).map(|(_, end)| end).max();
            let (from, to) = time(task);
            let until = free.unwrap_or(to);
            cooked.push(Cooking { from, until, count: i64::from(count), task: place, held });
        }
        cooked.sort_by_key(|c| (c.from, c.task));
        cooked
    }

    fn in_pot(&self, task: &PlannedTask, contents: &Contents<'_>) -> Option<Carried> {
        let (lesson, step) = self.step(task).filter(|_| self.at(task) == Some(Where::Hob))?;
        match &task.group {
            Group::Batch(_) => self.batch(task).map(|batch| contents.of_batch(batch)),
            Group::Load(_) => self.load(task).map(|load| contents.of_load(load)),
            group => contents.of_pot(lesson, step, group, &task.members),
        }
    }
}
