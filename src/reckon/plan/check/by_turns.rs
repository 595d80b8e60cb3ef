//! Pots, tools, tins, trays and tubs that go from hand to hand: none takes up what is free of an avoided thing soon after what holds it.

use super::super::allergen_order::WASH_UP;
use super::allergens::Food;
use super::{Checker, time};
use crate::course::{Chain, EquipId};
use crate::reckon::recipes::Recipes;
use std::collections::{BTreeMap, BTreeSet};

/// One task's use of things of one kind.
struct Use<'a> {
    from: i64,
    task: usize,
    food: Food<'a>,
    /// How many of them are free again when: the pieces of one station may leave in two loads, and the first that is free may be the one
    /// that the next takes.
    freed: Vec<(i64, i64)>,
}

impl Use<'_> {
    fn count(&self) -> i64 {
        self.freed.iter().map(|(count, _)| count).sum()
    }
}

impl<'a> Checker<'a> {
    pub(super) fn by_turns(&mut self) {
        if self.avoided().is_empty() {
            return;
        }
        // What is washed for as long as a wash-up takes before anybody has it again is clean, whatever was in it.
        let mut stock = self.stock();
        stock.retain(|_, (_, between)| *between < WASH_UP.get());
        for (id, uses) in self.uses_by_kind() {
            let Some((there, _)) = stock.get(id) else { continue };
            for (place, later) in uses.iter().enumerate() {
                // As long as there are some that nobody has used, theirs is one of these.
                let used: i64 = uses[..place].iter().map(Use::count).sum();
                if used + later.count() <= *there {
                    continue;
                }
                for earlier in &uses[..place] {
                    let Some(what) = earlier.food.brings(&later.food) else { continue };
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

    /// All that is in things of each kind, by the clock: what its step works on and, where a later one frees it, what that one does. A
    /// demonstration is on nobody's dough: it may show with all that is in the lesson's piece.
    fn uses_by_kind(&self) -> BTreeMap<&'a EquipId, Vec<Use<'a>>> {
        let (recipes, _) = Recipes::of(self.course);
        let avoided = self.avoided();
        let mut uses: BTreeMap<&'a EquipId, Vec<Use<'a>>> = BTreeMap::new();
        for (place, task) in self.plan.tasks.iter().enumerate() {
            let Some((lesson, step)) = self.step(task) else { continue };
            for taken in self.takes(task).iter().filter(|taken| taken.count > 0) {
                let until = taken.until.and_then(|until| lesson.steps.get(until));
                let on = std::iter::once(step).chain(until).flat_map(|step| &step.on);
                let mut chains: BTreeSet<&Chain> = on.map(|chain| &chain.value).collect();
                if chains.is_empty() {
                    chains.insert(&Chain::Piece);
                }
                let food = self.food(task, lesson, &chains, &recipes, &avoided);
                let freed = self.frees(task, taken);
                uses.entry(taken.what).or_default().push(Use {
                    from: time(task).0,
                    task: place,
                    food,
                    freed,
                });
            }
        }
        uses.values_mut().for_each(|all| all.sort_by_key(|one| (one.from, one.task)));
        uses
    }
}
