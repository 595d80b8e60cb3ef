//! From a plan in which things alike are counted to one that says which of them each load is in.

use std::collections::BTreeMap;

use super::loose::{Loose, Merged};
use crate::reckon::plan::problem::{Apart, Choice, Hold, Link, Point, Problem, ResourceId, Side, TaskId};
use crate::reckon::plan::schedule::Schedule;

impl Loose {
    /// Says of a plan that counts things alike which of them each task is to be in, as far as they can be told out without moving it: one
    /// task after another, each where it breaks least, and there where something else was over last.
    pub(super) fn told_out(&self, whole: &Problem, counted: &Schedule) -> Schedule {
        let mut out = TellingOut::of(whole, counted);
        let mut tasks: Vec<usize> = (0..whole.tasks.len()).collect();
        tasks.sort_by_key(|task| (counted.start[*task], *task));
        for task in tasks {
            let ways = &self.merged.ways[task][counted.way[task]];
            out.place(task, ways);
        }
        out.number_anew();
        out.fit_others(&self.merged);
        out.schedule
    }
}

/// A plan on its way from things counted to things told out.
struct TellingOut<'a> {
    problem: &'a Problem,
    schedule: Schedule,
    placed: Vec<bool>,
    holds: BTreeMap<Choice, Vec<&'a Hold>>,
    aparts: BTreeMap<Choice, Vec<&'a Apart>>,
    /// What was held of each resource, from when to when and how much.
    held: BTreeMap<ResourceId, Vec<(i32, i32, i32)>>,
}

impl<'a> TellingOut<'a> {
    fn of(problem: &'a Problem, counted: &Schedule) -> TellingOut<'a> {
        let mut holds: BTreeMap<Choice, Vec<&Hold>> = BTreeMap::new();
        for hold in &problem.holds {
            if let [only] = hold.only_if.as_slice() {
                holds.entry(*only).or_default().push(hold);
            }
        }
        let mut aparts: BTreeMap<Choice, Vec<&Apart>> = BTreeMap::new();
        for apart in &problem.aparts {
            for choice in &apart.only_if {
                aparts.entry(*choice).or_default().push(apart);
            }
        }
        let placed = vec![false; problem.tasks.len()];
        TellingOut { problem, schedule: counted.clone(), placed, holds, aparts, held: BTreeMap::new() }
    }

    fn place(&mut self, task: usize, ways: &[usize]) {
        let broken = |way: &usize| self.broken(Choice { task: TaskId(task), way: *way });
        let way = if ways.len() > 1 { ways.iter().min_by_key(|way| broken(way)) } else { ways.first() };
        let way = way.copied().unwrap_or(0);
        self.schedule.way[task] = way;
        self.placed[task] = true;
        for hold in self.holds.get(&Choice { task: TaskId(task), way }).into_iter().flatten() {
            let span = (self.schedule.at(hold.from), self.schedule.at(hold.to), hold.amount);
            self.held.entry(hold.resource).or_default().push(span);
        }
    }

    /// How much is broken where a task is done in a way, by what is placed already; and how long before it what it holds was in use.
    fn broken(&self, choice: Choice) -> (i32, i32) {
        let at = |point: Point| self.schedule.at(point);
        let mut broken = 0;
        let mut since = i32::MAX;
        for hold in self.holds.get(&choice).into_iter().flatten() {
            let (from, to) = (at(hold.from), at(hold.to));
            let capacity = self.problem.resources[hold.resource.0].capacity;
            let mut beside = 0;
            for (other_from, other_to, amount) in self.held.get(&hold.resource).into_iter().flatten() {
                if *other_from < to && from < *other_to {
                    beside += amount;
                }
                since = since.min((from - other_to).max(0));
            }
            broken += (beside + hold.amount - capacity).max(0);
        }
        for apart in self.aparts.get(&choice).into_iter().flatten() {
            let others = apart.only_if.iter().filter(|other| **other != choice);
            let mut holds = others.map(|other| self.placed[other.task.0] && self.schedule.chose(*other));
            let apart_by = |from: i32, to: i32, gap: Option<i32>| gap.is_some_and(|gap| to - from >= gap);
            let fine = apart_by(at(apart.a.1), at(apart.b.0), apart.gap_ab)
                || apart_by(at(apart.b.1), at(apart.a.0), apart.gap_ba);
            if !fine && holds.all(|it| it) {
                broken += 1;
            }
        }
        (broken, since)
    }

    /// What only follows from where things are, such as how long an oven is on, was not looked at in the plan: it is as short as can be.
    fn fit_others(&mut self, merged: &Merged) {
        let told_out = |choice: &Choice| merged.several(*choice);
        let (mut from, mut until) = (BTreeMap::new(), BTreeMap::new());
        for lag in self.problem.lags.iter().filter(|lag| lag.only_if.iter().any(told_out)) {
            let own = |point: &Point| lag.only_if.iter().any(|choice| choice.task == point.task);
            if !self.schedule.chose_all(&lag.only_if) {
                continue;
            }
            if !own(&lag.from) && lag.from.side == Side::Start {
                let slot = self.schedule.at(lag.to) - lag.least - lag.from.plus;
                let known = from.entry(lag.from.task).or_insert(slot);
                *known = slot.min(*known);
            }
            if !own(&lag.to) && lag.to.side == Side::End {
                let slot = self.schedule.at(lag.from) + lag.least - lag.to.plus;
                let known = until.entry(lag.to.task).or_insert(slot);
                *known = slot.max(*known);
            }
        }
        for (task, slot) in from {
            self.schedule.start[task.0] = slot;
        }
        for (task, slot) in until {
            self.schedule.end[task.0] = slot;
        }
        for link in &self.problem.links {
            if let Link::Implies { all, then, .. } = link
                && all.iter().any(told_out)
                && self.schedule.chose_all(all)
            {
                self.schedule.way[then.task.0] = then.way;
            }
        }
    }

    /// Gives things that stand for each other the numbers that the solver looks at: by the order in which their uses are named, from the
    /// first. Times stay as they are; so does what chose none of these things, or has no way with its new number. What only follows from
    /// which thing it is ([`Self::fit_others`]) is put right after it, and whether the whole holds is asked by whoever takes it.
    fn number_anew(&mut self) {
        for numbering in &self.problem.numberings {
            let mut numbers: BTreeMap<usize, usize> = BTreeMap::new();
            for uses in &numbering.uses {
                let Some((old, _)) = uses.iter().find(|(_, choice)| self.schedule.chose(*choice)) else {
                    continue;
                };
                let next = numbers.len();
                let number = *numbers.entry(*old).or_insert(next);
                if let Some((_, choice)) = uses.iter().find(|(other, _)| *other == number) {
                    self.schedule.way[choice.task.0] = choice.way;
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reckon::plan::problem::{Lag, Reason, Way};
    use crate::reckon::plan::solver::loose::loose;
    use crate::reckon::plan::solver::loose::tests::loads;
    use crate::reckon::plan::verify::verify;

    /// A plan that counts, of loads that start at these slots.
    fn counted(problem: &Problem, starts: &[i32]) -> Schedule {
        let end = starts.iter().map(|slot| slot + 2).collect();
        Schedule { start: starts.to_vec(), end, way: vec![0; problem.tasks.len()] }
    }

    #[test]
    fn loads_go_where_the_heat_is() {
        // Two ovens stay hot and one is mild, though the mild ones are named last.
        let problem = loads(4, 2);
        let loose = loose(&problem).expect("there are three ovens");
        let told_out = loose.told_out(&problem, &counted(&problem, &[0, 0, 2, 2, 0, 2]));
        assert!(verify(&problem, &told_out).is_empty());
        let way = told_out.way;
        assert_ne!(way[0], way[1]);
        assert_eq!(way[4], way[5]);
    }

    #[test]
    fn what_cannot_be_told_out_keeps_its_times() {
        // A hot oven is mild a slot later.
        let problem = loads(3, 3);
        let loose = loose(&problem).expect("there are three ovens");
        let counted = counted(&problem, &[0, 0, 0, 2, 2, 2]);
        let told_out = loose.told_out(&problem, &counted);
        assert_eq!((&told_out.start, &told_out.end), (&counted.start, &counted.end));
        assert!(!verify(&problem, &told_out).is_empty());
    }

    #[test]
    fn what_only_follows_is_as_short_as_can_be() {
        let mut problem = loads(2, 0);
        let on = problem.task("an oven is on", vec![Way::fixed("off", 0), Way::ranged("on", 1, 40)]);
        for number in 0..2 {
            let task = TaskId(number);
            for way in 0..3 {
                let only_if = vec![Choice { task, way }];
                let lag = |from, to, least| Lag {
                    from,
                    to,
                    least,
                    most: None,
                    only_if: only_if.clone(),
                    reason: Reason::Always,
                };
                // It is about the first of them only.
                if way == 0 {
                    problem.lags.push(lag(Point::start(on), Point::start(task), 3));
                    problem.lags.push(lag(Point::end(task), Point::end(on), 0));
                    let then = Choice { task: on, way: 1 };
                    problem.links.push(Link::Implies { all: only_if.clone(), then, reason: Reason::Always });
                }
            }
        }
        let loose = loose(&problem).expect("there are three ovens");
        let counted = Schedule { start: vec![4, 6, 0], end: vec![6, 8, 0], way: vec![0, 0, 0] };
        let told_out = loose.told_out(&problem, &counted);
        assert!(verify(&problem, &told_out).is_empty());
        // The second load goes in where the first was, as that is where something was over last.
        assert_eq!((told_out.start[2], told_out.end[2], told_out.way[2]), (1, 8, 1));
    }
}
