//! Which groups of a parted problem are alike, so that they can change places in any plan.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

use super::parted::{Cells, OrderBy};
use super::renamed::{Renamed, named_in_apart, named_in_hold, named_in_lag, named_in_link};
use crate::reckon::plan::problem::{Hold, Point, Problem, Quantity, ResourceId, Symmetry, TaskId};

impl Cells<'_> {
    /// Cells that are alike, in the order in which one of their tasks in the things alike starts: of those the one that can start as late as
    /// before a slot.
    pub(super) fn symmetries(&self, out: &Problem, by: &OrderBy) -> Vec<Symmetry> {
        let mut alike: BTreeMap<Vec<String>, Vec<usize>> = BTreeMap::new();
        for (cell, facts) in self.facts(out).into_iter().enumerate() {
            alike.entry(facts).or_default().push(cell);
        }
        let counted: BTreeSet<ResourceId> = out.alike.iter().flatten().copied().collect();
        let in_things: BTreeSet<TaskId> = out
            .holds
            .iter()
            .filter(|hold| counted.contains(&hold.resource))
            .map(|hold| hold.from.task)
            .collect();
        let order = |cells: Vec<usize>| {
            let first = &self.members[cells[0]];
            let slot = |place: &usize| by.slots.get(first[*place].0).map_or(0, |slots| slots.start.0);
            let step = (0..first.len())
                .filter(|place| in_things.contains(&self.task(first[*place])))
                .filter(|place| slot(place) < by.until)
                .max_by_key(|place| (slot(place), Reverse(*place)))?;
            let member = |cell: &usize| self.members[*cell].iter().map(|task| self.task(*task)).collect();
            Some(Symmetry { members: cells.iter().map(member).collect(), step })
        };
        alike.into_values().filter(|cells| cells.len() > 1).filter_map(order).collect()
    }

    /// All that is said of each cell, the same for cells alike: tasks by their place in the cell, and things that are a cell's own by their
    /// place among these.
    fn facts(&self, out: &Problem) -> Vec<Vec<String>> {
        let mut place: BTreeMap<TaskId, (usize, usize)> = BTreeMap::new();
        for (cell, tasks) in self.members.iter().enumerate() {
            let own = tasks.iter().map(|task| self.task(*task)).enumerate();
            place.extend(own.map(|(at, task)| (task, (cell, at))));
        }
        let mut facts: Vec<Vec<String>> = vec![Vec::new(); self.members.len()];
        for (task, (cell, at)) in &place {
            let ways: Vec<_> =
                out.tasks[task.0].ways.iter().map(|it| (it.least, it.most, &it.windows)).collect();
            facts[*cell].push(format!("{at} {ways:?}"));
        }
        let cell_of =
            |named: Vec<TaskId>| named.iter().find_map(|task| place.get(task)).map(|(cell, _)| *cell);
        // What is of all keeps its number, beyond those of a cell.
        let beyond = self.members.iter().map(Vec::len).max().unwrap_or(0);
        let called = |task: TaskId| place.get(&task).map_or(TaskId(beyond + task.0), |(_, at)| TaskId(*at));
        for lag in &out.lags {
            let known = lag.renamed(&called);
            cell_of(named_in_lag(lag)).into_iter().for_each(|cell| facts[cell].push(format!("{known:?}")));
        }
        for apart in &out.aparts {
            let known = apart.renamed(&called);
            cell_of(named_in_apart(apart))
                .into_iter()
                .for_each(|cell| facts[cell].push(format!("{known:?}")));
        }
        for link in &out.links {
            let known = link.renamed(&called);
            cell_of(named_in_link(link)).into_iter().for_each(|cell| facts[cell].push(format!("{known:?}")));
        }
        let mut own: BTreeMap<ResourceId, usize> = BTreeMap::new();
        let mut so_many = vec![0; self.members.len()];
        for hold in &out.holds {
            let known = hold.renamed(&called);
            let Some(cell) = self.own.get(&hold.resource).copied() else {
                cell_of(named_in_hold(hold))
                    .into_iter()
                    .for_each(|cell| facts[cell].push(format!("{known:?}")));
                continue;
            };
            let number = *own.entry(hold.resource).or_insert_with(|| {
                let thing = &out.resources[hold.resource.0];
                let said = format!("thing {} {} {:?}", so_many[cell], thing.capacity, thing.calendar);
                facts[cell].push(said);
                so_many[cell] += 1;
                so_many[cell] - 1
            });
            let known = Hold { resource: ResourceId(out.resources.len() + number), ..known };
            facts[cell].push(format!("{known:?}"));
        }
        for (number, term) in out.objective.iter().enumerate() {
            for (at, (factor, quantity)) in term.sum.iter().enumerate() {
                // Two sets of moments are not alike because they are as many.
                let set = matches!(quantity, Quantity::Latest(_) | Quantity::Earliest(_)).then_some(at);
                for (cell, facts) in facts.iter_mut().enumerate() {
                    if let Some(said) =
                        about(quantity, |task| place.get(&task).is_some_and(|it| it.0 == cell), &called)
                    {
                        facts.push(format!("{number} {set:?} {factor} {said}"));
                    }
                }
            }
        }
        facts.iter_mut().for_each(|facts| facts.sort_unstable());
        facts
    }
}

/// What a number says of a cell; `None`: nothing. A set of moments may be of several cells, and each says what is of it.
fn about(
    quantity: &Quantity,
    own: impl Fn(TaskId) -> bool,
    called: &impl Fn(TaskId) -> TaskId,
) -> Option<String> {
    let named = |points: &[Point]| {
        let own: Vec<Point> = points.iter().filter(|it| own(it.task)).map(|it| it.renamed(called)).collect();
        (!own.is_empty()).then_some(own)
    };
    match quantity {
        Quantity::Start(task) | Quantity::End(task) | Quantity::Duration(task) if !own(*task) => None,
        Quantity::Chosen(choice) if !own(choice.task) => None,
        Quantity::Excess { point, .. } | Quantity::Moved { point, .. } if !own(point.task) => None,
        Quantity::Start(task) => Some(format!("start {:?}", called(*task))),
        Quantity::End(task) => Some(format!("end {:?}", called(*task))),
        Quantity::Duration(task) => Some(format!("duration {:?}", called(*task))),
        Quantity::Chosen(choice) => Some(format!("chosen {:?}", choice.renamed(called))),
        Quantity::Latest(all) => named(all).map(|own| format!("latest of {} {own:?}", all.len())),
        Quantity::Earliest(all) => named(all).map(|own| format!("earliest of {} {own:?}", all.len())),
        Quantity::Excess { point, above } => Some(format!("excess {:?} {above}", point.renamed(called))),
        Quantity::Moved { point, from } => Some(format!("moved {:?} {from}", point.renamed(called))),
        // It may lie between two cells: then neither is like another one.
        Quantity::Span { from, to, only_if } => {
            let named = [from.task, to.task].into_iter().chain(only_if.iter().map(|it| it.task));
            named.into_iter().any(&own).then(|| format!("{from:?} {to:?} {only_if:?}"))
        }
    }
}
