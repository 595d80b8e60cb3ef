//! What stands on the shelves of fridge, freezer, warm place and cooling rack, against what they hold; sinks and burners; and
//! whether what goes warm into the cold can lie flat there until it is cold.
//!
//! Shares of a shelf add up exactly: a thing of which twelve stand on one takes a twelfth. The plan keeps to the same sums.

use super::plan::containers::{Standing, per_shelf, standing};
use super::plan::jobs::{Job, Jobs, What};
use super::plan::replay::picked_of;
use super::plan::timetable::{Plan, PlannedTask};
use super::safety::exposures::COOLING;
use super::work::{Class, Portion};
use crate::course::{Course, EquipId, Kitchen, Shelves, Where};
use crate::finding::Finding;
use crate::units::Grams;
use jiff::ZonedDateTime;
use std::collections::BTreeMap;

/// A share of shelves, in parts of which [`Share::ONE`] make a shelf.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug, Default)]
pub struct Share(pub i64);

impl Share {
    /// All numbers up to sixteen divide it: whatever so many fit of on a shelf takes a whole number of parts, and where more
    /// fit it is rounded up by less than a millionth of a shelf.
    pub const ONE: i64 = 720_720;
    /// So many whole ones.
    #[must_use]
    pub const fn whole(n: u32) -> Share {
        Share(n as i64 * Share::ONE)
    }
}

/// One cupboard, or the sinks or burners, at the moment when most of it is taken.
#[derive(Clone, PartialEq, Debug)]
pub struct PlaceUse {
    /// Its id in the kitchen; `sink`, `burner`.
    pub place: EquipId,
    /// What sort of place.
    pub sort: Where,
    /// Shelves there, or sinks, or burners.
    pub there: u32,
    /// How much of them is taken then.
    pub taken: Share,
    /// When; `None`: nothing of the plan stands there.
    pub fullest: Option<ZonedDateTime>,
    /// What stands there then: the kitchen's id of what it is in, `None` for bare pieces, and how many.
    pub things: Vec<(Option<EquipId>, u32)>,
}

/// Something that goes into the cold warm.
#[derive(Clone, PartialEq, Debug)]
pub struct Spread {
    /// The cold place.
    pub place: EquipId,
    /// The task's id.
    pub task: String,
    /// When it goes in.
    pub at: ZonedDateTime,
    /// How much of a dough or filling; `None` for pieces.
    pub grams: Option<Grams>,
    /// Tubs, trays or tins of it.
    pub things: u32,
    /// The shelves that they take in one layer.
    pub flat: Share,
    /// The shelves that nothing else takes while it cools.
    pub free: Share,
}

impl Spread {
    /// It can lie flat until it is cold.
    #[must_use]
    pub fn fits(&self) -> bool {
        self.flat <= self.free
    }
}

/// Every place of a plan.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Places {
    /// Cupboards in the order of the kitchen, then sinks and burners.
    pub uses: Vec<PlaceUse>,
    /// What goes into the cold warm, by the clock.
    pub spreads: Vec<Spread>,
}

/// Something that stands in a cupboard for a while.
struct Stands<'a> {
    job: &'a Job,
    from: &'a ZonedDateTime,
    to: &'a ZonedDateTime,
    things: Vec<Standing>,
    warm: bool,
}

impl Stands<'_> {
    fn here(&self, moment: &ZonedDateTime) -> bool {
        self.from <= moment && moment < self.to
    }
    /// It came in warm, and nobody can say yet that it is cold.
    fn cools(&self, moment: &ZonedDateTime) -> bool {
        self.warm && self.here(moment) && minutes(self.from, moment) < COOLING.0.get()
    }
    fn share(&self, shelves: &Shelves, flat: bool) -> Share {
        Share(self.things.iter().map(|t| share(shelves, t, flat)).sum())
    }
}

fn minutes(from: &ZonedDateTime, to: &ZonedDateTime) -> i64 {
    (to.timestamp().as_second() - from.timestamp().as_second()) / 60
}

/// What things of one kind take; in one layer, or stacked where they may be.
fn share(shelves: &Shelves, thing: &Standing, flat: bool) -> i64 {
    let on_one = per_shelf(shelves, &Standing { stacks: thing.stacks && !flat, ..*thing });
    match i64::from(on_one) {
        // What fits on no shelf is told where the plan is made; here it takes one each.
        0 => i64::from(thing.count) * Share::ONE,
        on_one => (i64::from(thing.count) * Share::ONE + on_one - 1) / on_one,
    }
}

/// The places of a plan.
#[must_use]
pub fn places(course: &Course, class: &Class, portions: &[Portion], plan: &Plan) -> Places {
    let picked = picked_of(plan);
    let jobs = Jobs::of(course, class, portions, &picked);
    let kitchen = &course.kitchen;
    let mut found = Places::default();
    for (sort, cupboards) in cupboards(kitchen) {
        for shelves in cupboards {
            let all = standing_in(&jobs, plan, sort, shelves, cupboards.len() > 1);
            found.uses.push(fullest(kitchen, sort, shelves, &all));
            if matches!(sort, Where::Cold | Where::Freezer) {
                found.spreads.extend(spreads(&jobs, shelves, &all));
            }
        }
    }
    let burners = kitchen.hobs.iter().map(|h| h.burners.value).sum();
    for (sort, word, there) in [(Where::Sink, "sink", kitchen.sinks.value), (Where::Hob, "burner", burners)] {
        let used = at_once(&jobs, plan, sort, word, there);
        // A kitchen without any, and nothing that wants one, is no place.
        found.uses.extend((there > 0 || used.fullest.is_some()).then_some(used));
    }
    found.spreads.sort_by(|a, b| (&a.at, &a.task).cmp(&(&b.at, &b.task)));
    found
}

/// A share of a cupboard's shelves that is taken for a while.
#[derive(Clone, PartialEq, Debug)]
pub struct ShelfSpan {
    /// The cupboard's id in the kitchen.
    pub place: EquipId,
    /// Its shelves.
    pub there: u32,
    /// How much of them.
    pub taken: Share,
    /// From.
    pub from: ZonedDateTime,
    /// Until.
    pub to: ZonedDateTime,
}

/// What stands on shelves when, by this plan: in fridges, freezers, warm places and on cooling racks.
#[must_use]
pub fn shelf_spans(course: &Course, class: &Class, portions: &[Portion], plan: &Plan) -> Vec<ShelfSpan> {
    let picked = picked_of(plan);
    let jobs = Jobs::of(course, class, portions, &picked);
    let mut spans = Vec::new();
    for (sort, cupboards) in cupboards(&course.kitchen) {
        for shelves in cupboards {
            let all = standing_in(&jobs, plan, sort, shelves, cupboards.len() > 1);
            spans.extend(all.iter().map(|s| ShelfSpan {
                place: shelves.id.value.clone(),
                there: shelves.count.value.saturating_mul(shelves.shelves.value),
                taken: s.share(shelves, false),
                from: s.from.clone(),
                to: s.to.clone(),
            }));
        }
    }
    spans
}

/// What has shelves, sort by sort.
fn cupboards(kitchen: &Kitchen) -> [(Where, &Vec<Shelves>); 4] {
    [
        (Where::Cold, &kitchen.cold),
        (Where::Freezer, &kitchen.freezers),
        (Where::Warm, &kitchen.warm),
        (Where::Rack, &kitchen.racks),
    ]
}

fn place_of(jobs: &Jobs<'_>, job: &Job) -> Option<Where> {
    match job.what {
        What::ColdBefore(..) => Some(Where::Cold),
        _ => jobs.step_of(job).map(|(_, step)| step.place.value),
    }
}

/// The planned jobs of a sort of place, by the clock.
fn at_place<'a>(jobs: &'a Jobs<'_>, plan: &'a Plan, sort: Where) -> Vec<(&'a PlannedTask, &'a Job)> {
    let by_id: BTreeMap<&str, &Job> = jobs.jobs.iter().map(|j| (j.id.as_str(), j)).collect();
    let planned = plan.tasks.iter().filter_map(|t| by_id.get(t.id.as_str()).map(|job| (t, *job)));
    let mut all: Vec<_> = planned.filter(|(_, job)| place_of(jobs, job) == Some(sort)).collect();
    all.sort_by(|a, b| (&a.0.start, &a.0.id).cmp(&(&b.0.start, &b.0.id)));
    all
}

fn standing_in<'a>(
    jobs: &'a Jobs<'_>,
    plan: &'a Plan,
    sort: Where,
    shelves: &Shelves,
    several: bool,
) -> Vec<Stands<'a>> {
    let id = shelves.id.value.as_str();
    at_place(jobs, plan, sort)
        .into_iter()
        .filter(|(task, _)| !several || task.uses.iter().any(|u| u.resource == id))
        .map(|(task, job)| Stands {
            job,
            from: &task.start,
            to: &task.end,
            things: standing(jobs, job),
            warm: job.before.is_empty()
                || job
                    .before
                    .iter()
                    .any(|n| !matches!(place_of(jobs, &jobs.jobs[*n]), Some(Where::Cold | Where::Freezer))),
        })
        .filter(|s| s.things.iter().any(|t| t.count > 0))
        .collect()
}

fn fullest(kitchen: &Kitchen, sort: Where, shelves: &Shelves, all: &[Stands<'_>]) -> PlaceUse {
    let sum = |moment: &ZonedDateTime| {
        Share(all.iter().filter(|s| s.here(moment)).map(|s| s.share(shelves, false).0).sum())
    };
    // The first of equals.
    let mut most: Option<(&ZonedDateTime, Share)> = None;
    for stands in all {
        let now = sum(stands.from);
        if most.is_none_or(|(_, known)| now > known) {
            most = Some((stands.from, now));
        }
    }
    let mut things: Vec<(Option<EquipId>, u32)> = Vec::new();
    let there = all.iter().filter(|s| most.is_some_and(|(moment, _)| s.here(moment)));
    for thing in there.flat_map(|s| &s.things) {
        let what = in_what(kitchen, thing);
        match things.iter_mut().find(|(known, _)| *known == what) {
            Some((_, count)) => *count = count.saturating_add(thing.count),
            None => things.push((what, thing.count)),
        }
    }
    things.sort();
    PlaceUse {
        place: shelves.id.value.clone(),
        sort,
        there: shelves.count.value.saturating_mul(shelves.shelves.value),
        taken: most.map_or(Share::default(), |(_, taken)| taken),
        fullest: most.map(|(moment, _)| moment.clone()),
        things,
    }
}

/// The tub, tin or tray of this size; `None`: none of them is.
fn in_what(kitchen: &Kitchen, thing: &Standing) -> Option<EquipId> {
    let tubs = kitchen.tubs.iter().map(|t| (&t.id.value, t.outside.value));
    let tins = kitchen.tins.iter().map(|t| (&t.id.value, t.outside.value));
    let own = tubs.chain(tins).find(|(_, outside)| *outside == thing.outside).map(|(id, _)| id.clone());
    let flat =
        |size: crate::course::Area| (size.width, size.depth) == (thing.outside.width, thing.outside.depth);
    own.or_else(|| kitchen.trays.iter().find(|t| flat(t.size.value)).map(|t| t.id.value.clone()))
}

fn spreads(jobs: &Jobs<'_>, shelves: &Shelves, all: &[Stands<'_>]) -> Vec<Spread> {
    let there = Share::whole(shelves.count.value.saturating_mul(shelves.shelves.value));
    let mut found = Vec::new();
    for (n, own) in all.iter().enumerate().filter(|(_, s)| s.warm) {
        // Moments at which something else comes in while this one cools.
        let others = |moment: &ZonedDateTime| -> i64 {
            let there = all.iter().enumerate().filter(|(m, s)| *m != n && s.here(moment));
            there.map(|(_, s)| s.share(shelves, s.cools(moment)).0).sum()
        };
        let moments = all.iter().map(|s| s.from).filter(|moment| own.cools(moment));
        let most = moments.map(others).max().unwrap_or(0);
        found.push(Spread {
            place: shelves.id.value.clone(),
            task: own.job.id.clone(),
            at: own.from.clone(),
            grams: Some(jobs.grams_of(own.job)).filter(|g| *g > Grams::ZERO),
            things: own.things.iter().map(|t| t.count).sum(),
            flat: own.share(shelves, true),
            free: Share((there.0 - most).max(0)),
        });
    }
    found
}

/// Sinks or burners: the most steps that are at one at a moment.
fn at_once(jobs: &Jobs<'_>, plan: &Plan, sort: Where, word: &str, there: u32) -> PlaceUse {
    let all = at_place(jobs, plan, sort);
    let now = |moment: &ZonedDateTime| {
        u32::try_from(all.iter().filter(|(t, _)| t.start <= *moment && *moment < t.end).count())
            .unwrap_or(u32::MAX)
    };
    let mut most: Option<(&ZonedDateTime, u32)> = None;
    for (task, _) in &all {
        let count = now(&task.start);
        if most.is_none_or(|(_, known)| count > known) {
            most = Some((&task.start, count));
        }
    }
    PlaceUse {
        place: EquipId::new(word),
        sort,
        there,
        taken: most.map_or(Share::default(), |(_, count)| Share::whole(count)),
        fullest: most.map(|(moment, _)| moment.clone()),
        things: Vec::new(),
    }
}

/// What cannot lie flat in the cold until it is cold: one finding for each place.
#[must_use]
pub fn findings(course: &Course, places: &Places) -> Vec<Finding> {
    let mut all = Vec::new();
    for shelves in course.kitchen.cold.iter().chain(&course.kitchen.freezers) {
        let id = &shelves.id.value;
        let short: Vec<String> = places
            .spreads
            .iter()
            .filter(|s| s.place == *id && !s.fits())
            .map(|s| {
                format!(
                    "`{}` from {} ({} shelves flat, {} free)",
                    s.task,
                    s.at.strftime("%a %H:%M"),
                    taken(s.flat),
                    free(s.free)
                )
            })
            .collect();
        if !short.is_empty() {
            all.push(
                Finding::warning(
                    "no-room-to-spread",
                    shelves.id.place,
                    format!("`{id}` has no room for it to lie flat until it is cold: {}", short.join(", ")),
                )
                .about(id.to_string())
                .way_out("spread it on trays and cool it over ice before it goes in, put it in sooner or later, or borrow a fridge; stacked tubs cool slowly (grow-dough-retard: trade practice; us-cool-method: FDA Food Code 2022, 3-501.15, from memory)"),
            );
        }
    }
    all
}

/// Shelves that are taken, to a tenth, rounded up.
#[must_use]
pub fn taken(share: Share) -> String {
    tenths((share.0 * 10 + Share::ONE - 1).div_euclid(Share::ONE))
}

/// Shelves that are free, to a tenth, rounded down.
#[must_use]
pub fn free(share: Share) -> String {
    tenths((share.0 * 10).div_euclid(Share::ONE))
}

fn tenths(n: i64) -> String {
    format!("{}.{}", n / 10, n % 10)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::course::{Area, Box3};
    use crate::reckon::sample::{area, box3, cm, shelves};

    fn standing(outside: Box3, stacks: bool, count: u32) -> Standing {
        Standing { outside, stacks, count }
    }

    /// A shelf of 65 x 53 cm, 22 cm clear. By hand: tubs of 26 x 18 cm stand 3 by 2 when turned, so six; at 10 cm high two on
    /// each other, so twelve. Five of them are 5/12 of a shelf; in one layer 5/6.
    #[test]
    fn a_shelf_is_shared_by_what_stands_on_it() {
        let fridge = shelves("fridge", 1, 5, area(65, 53), 22);
        let tubs = standing(box3(26, 18, 10), true, 5);
        assert_eq!(share(&fridge, &tubs, false), Share::ONE * 5 / 12);
        assert_eq!(share(&fridge, &tubs, true), Share::ONE * 5 / 6);
        // What may not be stacked takes the same either way.
        let tins = standing(box3(23, 21, 7), false, 4);
        assert_eq!(
            (share(&fridge, &tins, false), share(&fridge, &tins, true)),
            (Share::ONE * 4 / 6, Share::ONE * 4 / 6)
        );
        // A thing that is too high takes a shelf that it does not fit, never nothing.
        assert_eq!(share(&fridge, &standing(box3(26, 18, 30), true, 2), false), 2 * Share::ONE);
    }

    #[test]
    fn what_is_taken_is_rounded_up_and_what_is_free_down() {
        assert_eq!(
            (taken(Share(Share::ONE * 2301 / 1000)), free(Share(Share::ONE * 2399 / 1000))),
            ("2.4".into(), "2.3".into())
        );
        assert_eq!((taken(Share::whole(8)), free(Share::default())), ("8.0".into(), "0.0".into()));
    }

    #[test]
    fn the_container_is_known_by_its_size() {
        let kitchen = crate::reckon::sample::kitchen();
        let tub = &kitchen.tubs[0];
        assert_eq!(in_what(&kitchen, &standing(tub.outside.value, true, 1)), Some(tub.id.value.clone()));
        let bare = Area { width: cm(1), depth: cm(1) };
        let bare = Box3 { width: bare.width, depth: bare.depth, height: cm(0) };
        assert_eq!(in_what(&kitchen, &standing(bare, false, 1)), None);
    }
}
