//! Puts every part of a problem into the solver.

use std::collections::BTreeMap;

use pumpkin_core::predicates::Predicate;
use pumpkin_core::variables::Literal;

use super::energy::EnergyOf;
use super::loose::Things;
use super::model::{Model, Reasons, When};
use super::moment::Moment;
use super::time_table::{Stay, TimeTableOf};
use crate::reckon::plan::problem::{
    Apart, Hold, Link, Numbering, Point, Problem, Reason, Resource, ResourceId, Symmetry, TaskId, Way,
};

/// Which orders of interchangeable stations are looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Orders {
    /// The one step that the problem names.
    OneStep,
    /// Any.
    Any,
}

/// The whole problem but its objective; it may turn out to have no solution.
pub(super) fn model_of(problem: &Problem, reasons: Reasons, orders: Orders, things: Things) -> Model {
    let mut model = Model::new(problem, reasons);
    if !model.possible() || !well_formed(problem) {
        model.give_up();
        return model;
    }
    for task in 0..problem.tasks.len() {
        post_task(&mut model, problem, TaskId(task));
    }
    for lag in &problem.lags {
        let when = model.when(&lag.only_if, lag.reason);
        let (from, to) = (model.at(lag.from), model.at(lag.to));
        model.apart(from, to, lag.least, when);
        if let Some(most) = lag.most {
            model.apart(to, from, -most, when);
        }
    }
    for link in &problem.links {
        post_link(&mut model, link);
    }
    if orders == Orders::OneStep {
        problem.symmetries.iter().for_each(|symmetry| post_order(&mut model, symmetry));
        problem.numberings.iter().for_each(|numbering| post_numbers(&mut model, numbering));
    }
    let in_force: Vec<InForce> = problem.holds.iter().map(|it| in_force(&mut model, it)).collect();
    if !model.settle() {
        return model;
    }
    model.paths.refresh();
    let counted = things.only_counted(problem);
    let mut pairs = Pairs::new();
    for (place, resource) in problem.resources.iter().enumerate() {
        if counted.contains(&ResourceId(place)) {
            continue;
        }
        post_resource(&mut model, resource, ResourceId(place), problem, &in_force, &mut pairs);
    }
    for alike in &problem.alike {
        post_alike(&mut model, alike, problem, &in_force);
    }
    post_aparts(&mut model, &problem.aparts, &mut pairs);
    for (one, other, whens) in pairs.into_values() {
        post_either(&mut model, (one.from, one.to), (other.from, other.to), (Some(0), Some(0)), &whens);
    }
    model.settle();
    model
}

/// Every id points at something.
fn well_formed(problem: &Problem) -> bool {
    let tasks = problem.tasks.len();
    let known = |point: &Point| point.task.0 < tasks;
    let lags = problem.lags.iter().all(|lag| known(&lag.from) && known(&lag.to));
    let holds = problem
        .holds
        .iter()
        .all(|hold| known(&hold.from) && known(&hold.to) && hold.resource.0 < problem.resources.len());
    let aparts = problem
        .aparts
        .iter()
        .all(|apart| [&apart.a.0, &apart.a.1, &apart.b.0, &apart.b.1].iter().all(|point| known(point)));
    let symmetries = problem
        .symmetries
        .iter()
        .all(|symmetry| symmetry.members.iter().flatten().all(|task| task.0 < tasks));
    let alike = problem.alike.iter().flatten().all(|id| id.0 < problem.resources.len());
    lags && holds && aparts && symmetries && alike
}

fn post_task(model: &mut Model, problem: &Problem, task: TaskId) {
    let known = &problem.tasks[task.0];
    let (start, end) = (model.start[task.0], model.end[task.0]);
    let least = known.ways.iter().map(|way| way.least).min().unwrap_or(0);
    let most = known.ways.iter().map(|way| way.most).max().unwrap_or(0);
    model.apart(start, end, least, When::Always);
    model.apart(end, start, -most, When::Always);
    for (place, way) in known.ways.iter().enumerate() {
        let Some(chosen) = model.ways[task.0].get(place).copied() else { continue };
        let when = model.all_of(&[chosen]);
        if way.least > least {
            model.apart(start, end, way.least, when);
        }
        if way.most < most {
            model.apart(end, start, -way.most, when);
        }
        post_windows(model, way, chosen, start, end);
    }
}

/// The windows of a way, as "over by the end of this one, or not before the start of the next".
fn post_windows(model: &mut Model, way: &Way, chosen: Literal, start: Moment, end: Moment) {
    if way.windows.is_empty() {
        return;
    }
    let mut all = vec![chosen];
    if let Reason::Named(reason) = way.reason {
        all.extend(model.assumed.get(reason.0));
    }
    let when = model.all_of(&all);
    let windows = distinct_windows(way);
    let (Some(first), Some(last)) = (windows.first(), windows.last()) else {
        model.clause_when(when, Vec::new());
        return;
    };
    model.clause_when(when, vec![start.at_least(first.0)]);
    model.clause_when(when, vec![end.at_most(last.1)]);
    for pair in windows.windows(2) {
        model.clause_when(when, vec![end.at_most(pair[0].1), start.at_least(pair[1].0)]);
    }
}

/// The windows that are long enough, none inside another, in order: both ends then increase.
fn distinct_windows(way: &Way) -> Vec<(i32, i32)> {
    let mut windows: Vec<(i32, i32)> = way
        .windows
        .iter()
        .copied()
        .filter(|(from, to)| i64::from(*to) - i64::from(*from) >= i64::from(way.least))
        .collect();
    windows.sort_unstable_by_key(|(from, to)| (*from, -to));
    let mut distinct: Vec<(i32, i32)> = Vec::new();
    for window in windows {
        if distinct.last().is_none_or(|last| window.1 > last.1) {
            distinct.push(window);
        }
    }
    distinct
}

fn post_link(model: &mut Model, link: &Link) {
    match link {
        Link::Implies { all, then, reason } => {
            let when = model.when(all, *reason);
            let then = model.chosen(*then).map(|literal| literal.get_true_predicate());
            model.clause_when(when, then.into_iter().collect());
        }
        Link::Forbids { all, reason } => {
            let when = model.when(all, *reason);
            model.clause_when(when, Vec::new());
        }
    }
}

fn post_order(model: &mut Model, symmetry: &Symmetry) {
    for pair in symmetry.members.windows(2) {
        if let (Some(before), Some(after)) = (pair[0].get(symmetry.step), pair[1].get(symmetry.step)) {
            let (before, after) = (model.start[before.0], model.start[after.0]);
            model.apart(before, after, 0, When::Always);
        }
    }
}

/// A task uses the first, or one that comes just after one that some task before it uses.
fn post_numbers(model: &mut Model, numbering: &Numbering) {
    for (place, uses) in numbering.uses.iter().enumerate() {
        for (number, choice) in uses.iter().filter(|(number, _)| *number > 0) {
            let before = numbering.uses[..place].iter().flatten().filter(|(other, _)| other + 1 == *number);
            let before = before.filter_map(|(_, choice)| model.chosen(*choice));
            let any = before.map(|literal| literal.get_true_predicate()).collect();
            if let Some(chosen) = model.chosen(*choice) {
                model.clause_when(When::If(chosen), any);
            }
        }
    }
}

/// A hold in the solver's terms.
#[derive(Clone, Copy)]
struct InForce {
    from: Moment,
    to: Moment,
    amount: i32,
    when: When,
}

fn in_force(model: &mut Model, hold: &Hold) -> InForce {
    let when = model.when(&hold.only_if, hold.reason);
    let (from, to) = (model.at(hold.from), model.at(hold.to));
    model.apart(from, to, 0, when);
    InForce { from, to, amount: hold.amount, when }
}

impl InForce {
    /// The least that it lasts when it is in force.
    fn least_length(&self, model: &mut Model) -> i32 {
        let least = model.paths.least(self.from.node, self.to.node);
        least.map_or(0, |least| (least + self.to.plus - self.from.plus).max(0))
    }

    /// Whether it certainly has a length when it is in force.
    fn has_length(&self, model: &mut Model) -> bool {
        self.least_length(model) > 0
    }

    fn span(&self) -> Span {
        span((self.from, self.to))
    }

    fn stay(&self) -> Stay {
        let when = self.when.predicates();
        Stay { from: self.from, to: self.to, amount: self.amount, when }
    }
}

fn post_resource(
    model: &mut Model,
    resource: &Resource,
    id: ResourceId,
    problem: &Problem,
    in_force: &[InForce],
    pairs: &mut Pairs,
) {
    let limited = model.when(&[], resource.reason);
    let mut holds: Vec<InForce> = Vec::new();
    for (hold, known) in in_force.iter().zip(&problem.holds) {
        if known.resource != id || hold.amount <= 0 || hold.when == When::Never {
            continue;
        }
        // Those that always go together are one.
        let same =
            |other: &&mut InForce| (other.from, other.to, other.when) == (hold.from, hold.to, hold.when);
        match holds.iter_mut().find(same) {
            Some(other) => other.amount = other.amount.saturating_add(hold.amount),
            None => holds.push(*hold),
        }
    }
    for hold in holds.iter().filter(|hold| hold.amount > resource.capacity) {
        // There is never so much of it: the hold can only be empty.
        let when = model.both(hold.when, limited);
        model.apart(hold.to, hold.from, 0, when);
    }
    holds.retain(|hold| hold.amount <= resource.capacity);
    if holds.is_empty() || !model.possible() {
        return;
    }
    let missing = missing(resource);
    post_energy(model, &holds, resource.capacity, &missing, limited);
    let all_pairs = note_pairs(model, &holds, resource.capacity, limited, pairs);
    let total: i64 = holds.iter().map(|hold| i64::from(hold.amount)).sum();
    let enough = missing.is_empty() && total <= i64::from(resource.capacity);
    if (all_pairs && missing.is_empty()) || enough || !model.possible() {
        return;
    }
    let table = TimeTableOf {
        stays: holds.iter().map(InForce::stay).collect(),
        capacity: resource.capacity,
        missing,
        when: limited.predicates(),
        tag: model.tag(),
    };
    let _ = model.solver.add_propagator(table);
}

/// What is held in one of some resources alike, whichever way is chosen, is to be held by all of them together.
///
/// It follows from the limit of each alone, so that no plan is shut out: which one it is in, and what may follow what there, is still
/// decided for each. A task with a way that uses none of them isn't counted, of several amounts the least is.
fn post_alike(model: &mut Model, alike: &[ResourceId], problem: &Problem, in_force: &[InForce]) {
    let limits: Vec<When> = alike.iter().map(|id| model.when(&[], problem.resources[id.0].reason)).collect();
    let Some(limited) = limits.first().copied().filter(|first| limits.iter().all(|limit| limit == first))
    else {
        return;
    };
    // By span, in which ways of its task it is held, and the least amount.
    let mut spans: BTreeMap<(Point, Point), (InForce, Vec<usize>, i32)> = BTreeMap::new();
    for (hold, known) in problem.holds.iter().zip(in_force) {
        if !alike.contains(&hold.resource) || hold.reason != Reason::Always {
            continue;
        }
        let ways = match hold.only_if.as_slice() {
            [] => 0..problem.tasks[hold.from.task.0].ways.len(),
            [only] if only.task == hold.from.task => only.way..only.way + 1,
            _ => continue,
        };
        let entry = spans.entry((hold.from, hold.to)).or_insert((*known, Vec::new(), hold.amount));
        entry.1.extend(ways);
        entry.2 = entry.2.min(hold.amount);
    }
    let mut stays = Vec::new();
    for ((from, _), (known, ways, amount)) in spans {
        let always = (0..problem.tasks[from.task.0].ways.len()).all(|way| ways.contains(&way));
        let all = InForce { amount, when: When::Always, ..known };
        let least = all.least_length(model);
        if always && least > 0 && amount > 0 {
            stays.push((all.stay(), least));
        }
    }
    let units: Vec<i32> = alike.iter().map(|id| problem.resources[id.0].capacity).collect();
    // More than can be counted is no limit.
    let Some(capacity) = units.iter().try_fold(0_i32, |sum, unit| sum.checked_add(*unit)) else { return };
    let total: i64 = stays.iter().map(|(stay, _)| i64::from(stay.amount)).sum();
    if total <= i64::from(capacity) || !model.possible() {
        return;
    }
    let (missing, when, tag) = (Vec::new(), limited.predicates(), model.tag());
    let table = TimeTableOf {
        stays: stays.iter().map(|(stay, _)| stay.clone()).collect(),
        capacity,
        missing: missing.clone(),
        when: when.clone(),
        tag,
    };
    let _ = model.solver.add_propagator(table);
    let _ = model.solver.add_propagator(EnergyOf { stays, capacity, units, missing, when, tag });
}

fn post_energy(
    model: &mut Model,
    holds: &[InForce],
    capacity: i32,
    missing: &[(i32, i32, i32)],
    limited: When,
) {
    let mut stays = Vec::new();
    for hold in holds {
        let least = hold.least_length(model);
        if least > 0 {
            stays.push((hold.stay(), least));
        }
    }
    let total: i64 = stays.iter().map(|(stay, _)| i64::from(stay.amount)).sum();
    if !stays.is_empty() && (total > i64::from(capacity) || !missing.is_empty()) {
        let _ = model.solver.add_propagator(EnergyOf {
            stays,
            capacity,
            units: Vec::new(),
            missing: missing.to_vec(),
            when: limited.predicates(),
            tag: model.tag(),
        });
    }
}

/// The calendar as spans in which some is missing, and how much; they don't overlap.
fn missing(resource: &Resource) -> Vec<(i32, i32, i32)> {
    let mut cuts: Vec<i32> = resource.calendar.iter().flat_map(|(from, to, _)| [*from, *to]).collect();
    cuts.sort_unstable();
    cuts.dedup();
    let mut missing = Vec::new();
    for pair in cuts.windows(2) {
        let covering = resource.calendar.iter().filter(|it| it.0 <= pair[0] && pair[1] <= it.1);
        let there = covering.map(|it| it.2.max(0)).fold(resource.capacity, i32::min);
        if there < resource.capacity {
            missing.push((pair[0], pair[1], resource.capacity - there));
        }
    }
    missing
}

/// Holds that can't be there together, and under which conditions: two lessons' demonstrations need the hands of every station, two loads
/// can meet in any oven, and one choice of which is first settles it for all.
type Pairs = BTreeMap<(Span, Span), (InForce, InForce, Vec<Vec<Predicate>>)>;

/// Two moments, each by its number and the slots after it.
type Span = ((usize, i32), (usize, i32));

/// Notes each two holds that can't be there together. True when there is no other pair: then the
/// time table has nothing to add.
fn note_pairs(model: &mut Model, holds: &[InForce], capacity: i32, limited: When, pairs: &mut Pairs) -> bool {
    let mut all_pairs = true;
    for (place, one) in holds.iter().enumerate() {
        for other in &holds[place + 1..] {
            if one.amount + other.amount <= capacity || !one.has_length(model) || !other.has_length(model) {
                all_pairs = false;
                continue;
            }
            let key = (other.span(), one.span());
            let key = if pairs.contains_key(&key) { key } else { (one.span(), other.span()) };
            let whens = &mut pairs.entry(key).or_insert((*one, *other, Vec::new())).2;
            let when = [one.when, other.when, limited].into_iter().flat_map(When::predicates).collect();
            if !whens.contains(&when) {
                whens.push(when);
            }
        }
    }
    all_pairs
}

/// One span before the other or the other before the one, with gaps, where all of one of `whens` holds; an order without a gap
/// is not allowed.
fn post_either(
    model: &mut Model,
    a: (Moment, Moment),
    b: (Moment, Moment),
    gaps: (Option<i32>, Option<i32>),
    whens: &[Vec<Predicate>],
) {
    if whens.is_empty() || !model.possible() {
        return;
    }
    let a_first = gaps.0.map(|gap| (a.1, b.0, gap));
    let b_first = gaps.1.map(|gap| (b.1, a.0, gap));
    let settled = [a_first, b_first].iter().flatten().any(|order| holds_anyway(model, *order));
    if settled {
        return;
    }
    let always = whens.iter().any(Vec::is_empty);
    let a_first = a_first.filter(|order| can_be(model, *order));
    let b_first = b_first.filter(|order| can_be(model, *order));
    let mut either: Vec<Predicate> = Vec::new();
    match (a_first, b_first) {
        (None, None) => {}
        (Some((from, to, gap)), None) | (None, Some((from, to, gap))) => {
            if always {
                model.apart(from, to, gap, When::Always);
                return;
            }
            let first = model.literal();
            model.apart(from, to, gap, When::If(first));
            either.push(first.get_true_predicate());
        }
        (Some(a_first), Some(b_first)) => {
            let first = model.literal();
            let second = if always { !first } else { model.literal() };
            model.apart(a_first.0, a_first.1, a_first.2, When::If(first));
            model.apart(b_first.0, b_first.1, b_first.2, When::If(second));
            if always {
                return;
            }
            either.extend([first.get_true_predicate(), second.get_true_predicate()]);
            model.clause(vec![first.get_false_predicate(), second.get_false_predicate()]);
        }
    }
    for when in whens {
        model.clause(when.iter().map(|predicate| !*predicate).chain(either.iter().copied()).collect());
    }
}

fn holds_anyway(model: &mut Model, (from, to, gap): (Moment, Moment, i32)) -> bool {
    let need = gap + from.plus - to.plus;
    let bounds = model.solver.lower_bound(&to.variable) - model.solver.upper_bound(&from.variable);
    bounds >= need || model.paths.least(from.node, to.node).is_some_and(|least| least >= need)
}

fn can_be(model: &mut Model, (from, to, gap): (Moment, Moment, i32)) -> bool {
    let need = gap + from.plus - to.plus;
    let room = model.solver.upper_bound(&to.variable) - model.solver.lower_bound(&from.variable);
    // The least that `from` comes after `to` is how far short of `to` it always stays.
    let short = model.paths.least(to.node, from.node);
    room >= need && short.is_none_or(|short| -short >= need)
}

/// What must hold for the same two spans and gaps is put together: two loads are apart in whichever oven both are. Then they need not be
/// kept from meeting there once more.
fn post_aparts(model: &mut Model, aparts: &[Apart], pairs: &mut Pairs) {
    type Spans = ((Point, Point), (Point, Point), Option<i32>, Option<i32>);
    let mut whens: BTreeMap<Spans, Vec<Vec<Predicate>>> = BTreeMap::new();
    for apart in aparts {
        let known = whens.entry((apart.a, apart.b, apart.gap_ab, apart.gap_ba)).or_default();
        known.extend(model.conditions(&apart.only_if, apart.reason));
    }
    for ((a, b, gap_ab, gap_ba), whens) in whens {
        let a = (model.at(a.0), model.at(a.1));
        let b = (model.at(b.0), model.at(b.1));
        if gap_ab.is_none_or(|gap| gap >= 0) && gap_ba.is_none_or(|gap| gap >= 0) {
            for key in [(span(a), span(b)), (span(b), span(a))] {
                if let Some((_, _, again)) = pairs.get_mut(&key) {
                    again.retain(|when| !whens.iter().any(|all| all.iter().all(|it| when.contains(it))));
                }
            }
        }
        post_either(model, a, b, (gap_ab, gap_ba), &whens);
    }
}

fn span((from, to): (Moment, Moment)) -> Span {
    ((from.node, from.plus), (to.node, to.plus))
}
