//! What the kitchen has too little of in every plan: counted of what has to be there at once, or within some hours.
//!
//! Each lesson is looked at alone, as orders, lengths and windows leave its steps room, in each of its splits into batches and loads.
//! What a lesson needs in a span of time is the least of its splits; what all lessons need there together is more than there is. No
//! search is made, so what is said here is shown, and what is not said may be true all the same.

use super::choose::combinations;
use super::containers::how_many;
use super::grid::Calendar;
use super::jobs::Jobs;
use super::problem::{Point, Problem, Reason, TaskId};
use super::tasks::{self, Ask, Bounds, stocks};
use crate::course::{Course, LessonId, Loan};
use crate::finding::{Finding, Place};
use crate::reckon::work::{Class, Options, Portion};
use crate::units::Minutes;
use std::collections::{BTreeMap, BTreeSet};

/// So many splits of a lesson are looked through; of one with more nothing is counted.
const SPLITS: usize = 64;

/// A thing, a shelf, a pair of hands in parts: shelves are shared.
const WHOLE: i64 = 1_000_000;

/// Something is held for a while: from between two moments to between two others.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
struct Span {
    amount: i64,
    from: (i32, i32),
    to: (i32, i32),
    /// How long at least.
    long: i32,
}

impl Span {
    /// For how many slots from `a` to `b` it is held at least, wherever it lies.
    fn inside(&self, a: i32, b: i32) -> i64 {
        let sure = b.min(self.to.0) - a.max(self.from.1);
        let at = |start: i32| b.min(start + self.long) - a.max(start);
        let last = self.from.1.min(self.to.1 - self.long);
        i64::from(sure.max(at(self.from.0).min(at(last))).max(0))
    }
}

/// What the splits of one lesson hold of one thing, without those that hold the same.
type OfLesson = BTreeSet<Vec<Span>>;

/// Something that there is only so much of.
struct Thing {
    /// What a conflict calls it.
    reason: String,
    /// What people call it.
    name: String,
    count: u32,
    place: Option<Place>,
}

/// More of a thing is needed than is there.
struct Short<'a> {
    thing: &'a Thing,
    from: i32,
    to: i32,
    /// How many at least, there and then.
    needed: i64,
    /// All at one moment; or only in all that time.
    at_once: bool,
    lessons: Vec<(LessonId, i64)>,
}

/// What is short in every plan; `longer`: even with each session and the staff's hours after it so much longer.
#[must_use]
pub fn crowded(
    course: &Course,
    class: &Class,
    portions: &[Portion],
    options: &Options,
    longer: Option<Minutes>,
) -> Vec<Finding> {
    let Some(calendar) = Calendar::of(course) else { return Vec::new() };
    let ask = Ask { over: longer.map(|by| calendar.grid.up(by)), every_hold: true, ..Ask::default() };
    let things = things(course);
    let held: Vec<(LessonId, BTreeMap<String, OfLesson>)> = course
        .lessons
        .iter()
        .map(|lesson| {
            let id = lesson.id.value.clone();
            let held = held(course, &id, class, portions, options, &calendar, ask);
            (id, held)
        })
        .collect();
    let short = things.iter().filter_map(|thing| short(thing, &held));
    short.map(|short| told(&short, &calendar, longer)).collect()
}

/// What is counted, as conflicts call it.
fn things(course: &Course) -> Vec<Thing> {
    let kitchen = &course.kitchen;
    let mut all = Vec::new();
    let named = |id: &str, name: Option<&str>| name.unwrap_or(id).to_owned();
    let mut counted = |id: &str, name: Option<&str>, own: (u32, Option<Place>), loan: Option<&Loan>| {
        let (count, name) = (how_many(own.0, loan), named(id, name));
        let reason = stocks::of_things(count, &name);
        all.push(Thing { reason, name: format!("of `{id}`"), count, place: own.1 });
    };
    for tin in &kitchen.tins {
        let name = tin.name.as_ref().map(|n| n.value.as_str());
        counted(tin.id.value.as_str(), name, (tin.count.value, tin.count.place), tin.loan.as_ref());
    }
    for tray in &kitchen.trays {
        let name = tray.name.as_ref().map(|n| n.value.as_str());
        counted(tray.id.value.as_str(), name, (tray.count.value, tray.count.place), tray.loan.as_ref());
    }
    for tub in &kitchen.tubs {
        counted(tub.id.value.as_str(), None, (tub.count.value, tub.count.place), None);
    }
    let kinds = [&kitchen.cold, &kitchen.freezers, &kitchen.warm, &kitchen.racks];
    for shelves in kinds.into_iter().flatten() {
        let count = shelves.count.value.saturating_mul(shelves.shelves.value);
        let id = &shelves.id.value;
        all.push(Thing {
            reason: stocks::of_shelves(count, id),
            name: format!("shelves of `{id}`"),
            count,
            place: shelves.shelves.place.or(shelves.id.place),
        });
    }
    for mixer in &kitchen.mixers {
        let count = how_many(mixer.count.value, mixer.loan.as_ref());
        let place = mixer.count.place.or(mixer.id.place);
        let reason = stocks::of_mixers(mixer);
        all.push(Thing { reason, name: format!("of `{}`", mixer.id.value), count, place });
    }
    for oven in &kitchen.ovens {
        let ovens = how_many(oven.count.value, oven.loan.as_ref());
        all.push(Thing {
            reason: stocks::of_ovens(oven),
            name: format!("racks of `{}`", oven.id.value),
            count: ovens.saturating_mul(oven.racks.value),
            place: oven.count.place.or(oven.racks.place),
        });
    }
    all
}

/// What one lesson holds, by what a conflict calls it; nothing where it has more splits than are looked through.
fn held(
    course: &Course,
    lesson: &LessonId,
    class: &Class,
    portions: &[Portion],
    options: &Options,
    calendar: &Calendar,
    ask: Ask,
) -> BTreeMap<String, OfLesson> {
    let mut alone = course.clone();
    alone.lessons.retain(|l| l.id.value == *lesson);
    alone.own_steps.clear();
    let mut own = options.clone();
    own.splits.retain(|(of, _), _| of == lesson);
    own.bakes.retain(|(of, _), _| of == lesson);
    let (splits, all) = combinations(&own, SPLITS);
    if splits.len() != all {
        return BTreeMap::new();
    }
    let each: Vec<BTreeMap<String, Vec<Span>>> = splits
        .iter()
        .map(|picked| {
            let jobs = Jobs::of(&alone, class, portions, picked);
            spans(&tasks::model(&jobs, calendar, ask).problem)
        })
        .collect();
    let names: BTreeSet<&String> = each.iter().flat_map(BTreeMap::keys).collect();
    // A split that holds none of a thing is one of those that the least is taken of.
    let of = |name: &String| each.iter().map(|held| held.get(name).cloned().unwrap_or_default()).collect();
    names.into_iter().map(|name| (name.clone(), of(name))).collect()
}

/// What a problem holds of each thing, whichever ways are chosen, in parts of a whole one.
fn spans(problem: &Problem) -> BTreeMap<String, Vec<Span>> {
    let bounds = Bounds::of(problem);
    let mut found: BTreeMap<String, Vec<Span>> = BTreeMap::new();
    let mut by_reason: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for (place, resource) in problem.resources.iter().enumerate() {
        if let Reason::Named(reason) = resource.reason
            && let Some(text) = problem.reasons.get(reason.0)
        {
            by_reason.entry(text).or_default().push(place);
        }
    }
    for (reason, resources) in by_reason {
        let mut of = held_for_certain(problem, &resources);
        of.retain(|_, amount| *amount > 0);
        let mut spans: Vec<Span> = Vec::new();
        for ((from, to), amount) in of {
            let span = Span {
                amount: i64::from(amount),
                from: bounds.get(from.into()),
                to: bounds.get(to.into()),
                long: at_least(problem, from.into(), to.into()),
            };
            // Of what can't be at all others tell.
            if span.from.0 <= span.from.1 && span.to.0 <= span.to.1 {
                spans.push(span);
            }
        }
        spans.sort_unstable();
        let parts = parts(problem, reason, &resources);
        for span in &mut spans {
            span.amount = span.amount * WHOLE / parts.max(1);
        }
        found.insert(reason.to_owned(), spans);
    }
    found
}

/// A moment that can be a key.
type Moment = (TaskId, super::problem::Side, i32);

impl From<Moment> for Point {
    fn from((task, side, plus): Moment) -> Point {
        Point { task, side, plus }
    }
}

/// How much of these resources together is held from one moment to another whichever ways are chosen.
fn held_for_certain(problem: &Problem, resources: &[usize]) -> BTreeMap<(Moment, Moment), i32> {
    let key = |point: Point| (point.task, point.side, point.plus);
    let mut always: BTreeMap<(Moment, Moment), i32> = BTreeMap::new();
    let mut by_way: BTreeMap<(Moment, Moment), BTreeMap<(TaskId, usize), i32>> = BTreeMap::new();
    for hold in problem.holds.iter().filter(|hold| resources.contains(&hold.resource.0)) {
        let span = (key(hold.from), key(hold.to));
        match hold.only_if.as_slice() {
            [] => *always.entry(span).or_default() += hold.amount,
            [one] => *by_way.entry(span).or_default().entry((one.task, one.way)).or_default() += hold.amount,
            // What hangs on several choices is not certain.
            _ => {}
        }
    }
    for (span, ways) in by_way {
        let Some(((task, _), _)) = ways.first_key_value() else { continue };
        let all = 0..problem.tasks[task.0].ways.len();
        // In whichever way the task is done, at least the least of them is held.
        let least = all.map(|way| ways.get(&(*task, way)).copied().unwrap_or(0)).min();
        *always.entry(span).or_default() += least.unwrap_or(0);
    }
    always
}

/// How many parts a whole one is counted in.
fn parts(problem: &Problem, reason: &str, resources: &[usize]) -> i64 {
    let of_shelves = reason.strip_prefix("the ").and_then(|rest| rest.split_once(" shel"));
    let Some(count) = of_shelves.and_then(|(count, _)| count.parse::<i64>().ok()) else { return 1 };
    let all: i64 = resources.iter().map(|place| i64::from(problem.resources[*place].capacity)).sum();
    if count > 0 { all / count } else { 1 }
}

/// The least distance from one moment to another by lengths and waits that always hold.
fn at_least(problem: &Problem, from: Point, to: Point) -> i32 {
    use super::problem::Side;
    let place = |point: Point| point.task.0 * 2 + usize::from(point.side == Side::End);
    let mut far: Vec<Option<i32>> = vec![None; problem.tasks.len() * 2];
    far[place(from)] = Some(-from.plus);
    // What goes round and round is no plan; so many rounds are enough for any lesson.
    for _ in 0..64 {
        let mut changed = false;
        let mut later = |far: &mut Vec<Option<i32>>, a: usize, b: usize, by: i32| {
            if let Some(known) = far[a]
                && far[b].is_none_or(|old| old < known + by)
            {
                far[b] = Some(known + by);
                changed = true;
            }
        };
        for (number, task) in problem.tasks.iter().enumerate() {
            let shortest = task.ways.iter().map(|way| way.least).min().unwrap_or(0);
            later(&mut far, number * 2, number * 2 + 1, shortest);
        }
        for lag in problem.lags.iter().filter(|lag| lag.only_if.is_empty()) {
            later(&mut far, place(lag.from), place(lag.to), lag.from.plus + lag.least - lag.to.plus);
        }
        if !changed {
            break;
        }
    }
    far[place(to)].map_or(0, |long| long + to.plus).max(0)
}

/// Where a thing is shortest: at one moment, or else in some span of time.
fn short<'a>(thing: &'a Thing, held: &[(LessonId, BTreeMap<String, OfLesson>)]) -> Option<Short<'a>> {
    let of: Vec<(&LessonId, &OfLesson)> =
        held.iter().filter_map(|(id, all)| Some((id, all.get(&thing.reason)?))).collect();
    let spans = || of.iter().flat_map(|(_, splits)| splits.iter().flatten());
    let starts: BTreeSet<i32> = spans().flat_map(|s| [s.from.0, s.from.1]).collect();
    let ends: BTreeSet<i32> = spans().flat_map(|s| [s.to.0, s.to.1]).collect();
    let needs = |a: i32, b: i32| -> Vec<(LessonId, i64)> {
        let least = |splits: &OfLesson| {
            let of = |spans: &Vec<Span>| spans.iter().map(|s| s.amount * s.inside(a, b)).sum();
            splits.iter().map(of).min().unwrap_or(0)
        };
        of.iter().map(|(id, splits)| ((*id).clone(), least(splits))).collect()
    };
    let there = i64::from(thing.count) * WHOLE;
    let whole = |parts: i64| (parts + WHOLE - 1) / WHOLE;
    let mut worst: Option<Short<'a>> = None;
    for a in &starts {
        // At one moment first, which is plainer to read.
        for b in std::iter::once(a + 1).chain(ends.iter().copied().filter(|b| *b > a + 1)) {
            let at_once = b == a + 1;
            if !at_once && worst.as_ref().is_some_and(|short| short.at_once) {
                break;
            }
            let needs = needs(*a, b);
            let long = i64::from(b - a);
            let all: i64 = needs.iter().map(|(_, parts)| parts).sum();
            let needed = whole((all + long - 1) / long);
            let more = |short: &Short<'_>| at_once && !short.at_once || needed > short.needed;
            if all > there * long && worst.as_ref().is_none_or(more) {
                let lessons = needs.into_iter().filter(|(_, parts)| *parts > 0);
                let lessons = lessons.map(|(id, parts)| (id, whole(parts / long))).collect();
                worst = Some(Short { thing, from: *a, to: b, needed, at_once, lessons });
            }
        }
    }
    worst
}

fn told(short: &Short<'_>, calendar: &Calendar, longer: Option<Minutes>) -> Finding {
    let Short { thing, needed, .. } = short;
    let name = &thing.name;
    let have = if thing.count == 1 { "is 1".to_owned() } else { format!("are {}", thing.count) };
    let at = |slot: i32| calendar.grid.at(slot).strftime("%A %H:%M").to_string();
    let lessons: Vec<String> = short.lessons.iter().map(|(id, n)| format!("{n} for `{id}`")).collect();
    let hours = longer.map_or_else(
        || "in the hours as written".to_owned(),
        |by| format!("even with each session and the staff's hours after it {by} longer"),
    );
    let message = if short.at_once {
        format!(
            "at least {needed} {name} are held at once at {} in every plan, {hours} ({}), and there {have}",
            at(short.from),
            lessons.join(", ")
        )
    } else {
        let lessons: Vec<String> = short.lessons.iter().map(|(id, _)| format!("`{id}`")).collect();
        format!(
            "from {} to {} every plan needs as much time as {needed} {name} have, {hours} (for {}), and there {have}",
            at(short.from),
            at(short.to),
            lessons.join(", ")
        )
    };
    let more = needed - i64::from(thing.count);
    Finding::error("short-in-every-plan", thing.place, message).way_out(format!(
        "borrow, hire or buy {more} more, come with fewer people, or let the lesson hold them for less long"
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every place that a span can have, one after another.
    #[test]
    fn what_is_held_inside_is_the_least_of_all_places() {
        for (first, late, long, free) in
            [(0, 6, 4, 3), (2, 2, 5, 0), (3, 9, 1, 2), (0, 12, 0, 4), (1, 5, 8, 1)]
        {
            let to = (first + long, late + long + free);
            let span = Span { amount: 1, from: (first, late), to, long };
            for a in 0..20 {
                for b in a + 1..22 {
                    let places = (first..=late).flat_map(|start| {
                        (start + long..=to.1).map(move |end| (b.min(end) - a.max(start)).max(0))
                    });
                    let least = places.min().unwrap_or(0);
                    assert_eq!(span.inside(a, b), i64::from(least), "{span:?} {a} {b}");
                }
            }
        }
    }
}
