//! Pots, tools, tins, trays and tubs that go from hand to hand: none takes up what is free of an avoided thing soon after what holds it.

use super::super::allergen_order::{Carried, Contents, WASH_UP};
use super::super::containers::how_many;
use super::super::timetable::{PlannedTask, Used};
use super::{Checker, time};
use crate::course::{Lesson, Step};

/// One task's use of things of one kind.
struct Use {
    from: i64,
    task: usize,
    held: Carried,
    /// How many of them are free again when: the pieces of one station may leave in two loads, and the first that is free may be the one
    /// that the next takes.
    freed: Vec<(i64, i64)>,
}

impl Use {
    fn count(&self) -> i64 {
        self.freed.iter().map(|(count, _)| count).sum()
    }
}

impl Checker<'_> {
    pub(super) fn by_turns(&mut self) {
        let contents = Contents::of(self.course, self.class);
        for (id, there) in self.goes_round() {
            let uses = self.uses_of(&id, &contents);
            for (place, later) in uses.iter().enumerate() {
                // As long as there are some that nobody has used, theirs is one of these.
                let used: i64 = uses[..place].iter().map(Use::count).sum();
                if used + later.count() <= there {
                    continue;
                }
                for earlier in &uses[..place] {
                    let Some(what) = earlier.held.soils(&later.held).first().cloned() else { continue };
                    let gaps = earlier.freed.iter().map(|(_, until)| later.from - until);
                    let Some(gap) = gaps.filter(|gap| (0..WASH_UP.get()).contains(gap)).min() else {
                        continue;
                    };
                    let tasks = [&self.plan.tasks[earlier.task], &self.plan.tasks[later.task]];
                    let text = format!("{what} was in {id} {gap} min before, too soon for a wash-up");
                    self.no("allergen", &tasks, text);
                }
            }
        }
    }

    /// The kitchen's things that are counted, and how many there are. Those left out are washed for as long as a wash-up takes before
    /// anybody has them again, whatever was in them.
    fn goes_round(&self) -> Vec<(String, i64)> {
        let kitchen = &self.course.kitchen;
        let soon = |between: i64| between < WASH_UP.get();
        let tins = kitchen.tins.iter().filter(|t| soon(t.between.value.get()));
        let tins = tins.map(|t| (&t.id.value, how_many(t.count.value, t.loan.as_ref())));
        let trays = kitchen.trays.iter().filter(|t| soon(t.between.value.get()));
        let trays = trays.map(|t| (&t.id.value, how_many(t.count.value, t.loan.as_ref())));
        let tubs = kitchen.tubs.iter().map(|t| (&t.id.value, t.count.value));
        let tools = kitchen.tools.iter().filter(|t| !t.consumable);
        let tools = tools.map(|t| (&t.id.value, how_many(t.count.value, t.loan.as_ref())));
        let all = tins.chain(trays).chain(tubs).chain(tools);
        all.map(|(id, there)| (id.to_string(), i64::from(there))).collect()
    }

    /// All that is in things of a kind, by the clock.
    fn uses_of(&self, id: &str, contents: &Contents<'_>) -> Vec<Use> {
        let mut uses = Vec::new();
        for (place, task) in self.plan.tasks.iter().enumerate().filter(|(_, task)| !task.cold_wait) {
            let Some((lesson, step)) = self.step(task) else { continue };
            for used in task.uses.iter().filter(|u| u.resource == id && u.amount > 0) {
                let until = self.freed_by(task, used).map(|(_, step)| step);
                let held = contents.of_use(lesson, step, until, &task.members);
                uses.push(Use { from: time(task).0, task: place, held, freed: self.freed(task, used) });
            }
        }
        uses.sort_by_key(|one| (one.from, one.task));
        uses
    }

    /// The step that frees what a task has taken, where it is not its own.
    pub(super) fn freed_by(&self, task: &PlannedTask, used: &Used) -> Option<(&Lesson, &Step)> {
        let (lesson, step) = self.step(task)?;
        let until =
            step.uses.iter().find_map(|u| u.until.as_ref().filter(|_| self.names(lesson, u, used)))?;
        Some((lesson, lesson.step(&until.value)?))
    }
}
