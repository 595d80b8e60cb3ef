//! What stands where on the racks of a load: from the top one down, filled from the left, and what someone avoids never above
//! what is kept free of it.

use super::super::plan::allergen_order::Contents;
use super::super::plan::jobs::Group;
use super::super::plan::timetable::{Plan, PlannedTask};
use super::super::work::{Class, Load, Whom};
use super::arranged::{Kept, arranged};
use super::{Spot, on_what, spots, trays_for};
use crate::course::{AllergenId, Course, Oven, Severity, StationNo};
use std::collections::BTreeSet;

/// How what must be kept from drips is kept from them.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Apart {
    /// Stations whose pieces are on the top rack, with nothing above them, and no other's pieces beside them.
    pub top: Vec<StationNo>,
    /// Stations that have nothing above them, and pieces of others beside them on their rack.
    pub level: Vec<StationNo>,
    /// Stations above whose places, one above the other, nothing stands that holds what they avoid; on other places of the racks above
    /// something may.
    pub column: Vec<StationNo>,
    /// Stations of which another load in the oven holds what they avoid, or is above: what is above theirs holds nothing of it.
    pub clear: Vec<StationNo>,
    /// Stations whose pieces stand beside each other on every rack: only a station's own are above its own.
    pub beside: Vec<StationNo>,
    /// Stations that no way can be kept for: other pieces are above theirs, or nobody knows what is.
    pub not: Vec<StationNo>,
    /// Stations that avoid severely what lies on their rack beside them: no rack of their own was free.
    pub shares: Vec<StationNo>,
}

impl Apart {
    /// All of it that somebody must be told, each under its key of the catalogue's `[oven]`: wherever it is told, all of it is.
    pub fn told(&self) -> impl Iterator<Item = (&'static str, &[StationNo])> {
        let all = [
            ("top-rack", &self.top),
            ("level", &self.level),
            ("column", &self.column),
            ("clear", &self.clear),
            ("beside", &self.beside),
            ("not-apart", &self.not),
            ("shares", &self.shares),
        ];
        all.into_iter().filter(|(_, stations)| !stations.is_empty()).map(|(key, all)| (key, all.as_slice()))
    }
}

/// A thing on a rack: of which of the load's members, and the how-many-eth of theirs.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Thing {
    /// Index into the load's members.
    pub member: usize,
    /// Counted from nought.
    pub n: u32,
}

/// The racks of a load that are used.
#[derive(Clone, PartialEq, Debug)]
pub struct Racked {
    /// How many of the oven's racks are above them: another load's, which is in the oven at the same time. `None`: no free racks were
    /// found beside the others, and nobody knows what is above them.
    pub first: Option<u32>,
    /// The spots of one rack; all are alike.
    pub spots: Vec<Spot>,
    /// From the top one down, by spot.
    pub racks: Vec<Vec<Option<Thing>>>,
    /// What is kept from drips.
    pub apart: Apart,
}

/// The racks that a task's load has in the oven that the plan chose, beside every other load that is in there at the same time.
/// `None`: it is no load, a size is not known, or nothing fits.
#[must_use]
pub fn racked(course: &Course, class: &Class, plan: &Plan, task: &PlannedTask) -> Option<Racked> {
    let stays = in_one_oven(plan, task);
    let me = stays.iter().position(|s| s.task.id == task.id)?;
    let oven = oven_of(course, stays[me].load)?;
    let contents = Contents::of(course, class);
    let reached: Vec<Vec<BTreeSet<StationNo>>> = stays
        .iter()
        .map(|mine| stays.iter().map(|other| mine.reached_by(other, &contents, class)).collect())
        .collect();
    // Alone in the oven a load may take more racks than it fills, where only those keep pieces apart.
    let most = |stay: &Stay<'_>| if stays.len() == 1 { oven.racks.value } else { stay.deep() };
    let mut stacks: Vec<Option<Racked>> =
        stays.iter().map(|stay| stay.load_on((course, class), oven, &contents, most(stay))).collect();
    let deep: Vec<u32> = stays
        .iter()
        .zip(&stacks)
        .map(|(stay, stack)| stack.as_ref().map_or(stay.deep(), |s| s.racks.len() as u32))
        .collect();
    let keeps: Vec<bool> = stacks
        .iter()
        .zip(&reached)
        .map(|(stack, by_others)| {
            stack.as_ref().is_some_and(|s| s.apart != Apart::default())
                || by_others.iter().any(|stations| !stations.is_empty())
        })
        .collect();
    let meets = |a: usize, b: usize| stays[a].meets(&stays[b]);
    let above = |a: usize, b: usize| !reached[a][b].is_empty();
    let firsts = stacked(&deep, &keeps, &meets, &above, oven.racks.value);
    let mut mine = stacks.swap_remove(me)?;
    mine.first = firsts[me];
    let meeting = |other: &usize| *other != me && meets(me, *other);
    // Whom what is above drips on after all, and whom what is below would.
    let (over, under): (Vec<usize>, Vec<usize>) =
        (0..stays.len()).filter(meeting).partition(|other| may_be_above(firsts[*other], firsts[me]));
    let of = |others: &[usize]| -> BTreeSet<StationNo> {
        others.iter().flat_map(|other| reached[me][*other].iter().copied()).collect()
    };
    mine.apart = match mine.first {
        None => mine.apart.nowhere(&of(&over)),
        Some(_) => mine.apart.beside_others(&of(&over), &of(&under), over.is_empty()),
    };
    Some(mine)
}

/// Whether what is on one load's racks is above another's; of racks that are not known it may be.
fn may_be_above(one: Option<u32>, other: Option<u32>) -> bool {
    match (one, other) {
        (Some(one), Some(other)) => one < other,
        _ => true,
    }
}

impl Apart {
    /// Among the other loads of the oven: `dripped`, whom those above drip on; `spared`, whom those below would. `top`: none is above.
    fn beside_others(self, dripped: &BTreeSet<StationNo>, spared: &BTreeSet<StationNo>, top: bool) -> Apart {
        let kept = |stations: Vec<StationNo>| -> Vec<StationNo> {
            stations.into_iter().filter(|station| !dripped.contains(station)).collect()
        };
        let (on_top, level) = (kept(self.top), kept(self.level));
        let (beside, column) = (kept(self.beside), kept(self.column));
        let mut clear = kept(self.clear);
        let not = sorted(self.not.into_iter().chain(dripped.iter().copied()));
        let told = [&on_top, &level, &column, &beside, &not, &clear];
        let untold = |station: &StationNo| !told.iter().any(|told| told.contains(station));
        let under: Vec<StationNo> = spared.iter().copied().filter(untold).collect();
        clear.extend(under);
        let (on_top, level) = if top {
            (on_top, level)
        } else {
            clear.extend(on_top.into_iter().chain(level));
            (Vec::new(), Vec::new())
        };
        let clear = sorted(clear.into_iter());
        Apart { top: on_top, level, column, clear, beside, not, shares: self.shares }
    }

    /// On racks that nobody knows: nobody is kept from what the other loads hold.
    fn nowhere(self, dripped: &BTreeSet<StationNo>) -> Apart {
        let all =
            [self.top, self.level, self.column, self.clear, self.beside, self.not].into_iter().flatten();
        let not = sorted(all.chain(dripped.iter().copied()));
        Apart { not, shares: self.shares, ..Apart::default() }
    }
}

fn sorted(stations: impl Iterator<Item = StationNo>) -> Vec<StationNo> {
    stations.collect::<BTreeSet<_>>().into_iter().collect()
}

fn oven_of<'a>(course: &'a Course, load: &Load) -> Option<&'a Oven> {
    let (id, _) = load.fits.first()?;
    course.kitchen.ovens.iter().find(|o| o.id.value == *id)
}

/// A load in its oven.
struct Stay<'a> {
    task: &'a PlannedTask,
    load: &'a Load,
}

impl<'a> Stay<'a> {
    fn of(plan: &'a Plan, task: &'a PlannedTask) -> Option<Stay<'a>> {
        let (Group::Load(no), Some(lesson)) = (&task.group, &task.lesson) else { return None };
        let loads = plan.choice.loads.get(&(lesson.clone(), task.step.clone()))?;
        Some(Stay { task, load: loads.iter().find(|l| l.no == *no)? })
    }
    /// The oven by its number: `oven-2`.
    fn unit(&self) -> Option<&'a str> {
        let (id, _) = self.load.fits.first()?;
        let numbered = |resource: &str| {
            let number = resource.strip_prefix(id.as_str()).and_then(|rest| rest.strip_prefix('-'));
            number.is_some_and(|n| n.parse::<u32>().is_ok())
        };
        self.task.uses.iter().map(|u| u.resource.as_str()).find(|resource| numbered(resource))
    }
    /// Both are in the oven at some moment.
    fn meets(&self, other: &Stay<'_>) -> bool {
        self.task.start < other.task.end && other.task.start < self.task.end
    }
    /// The racks that the plan counts for it.
    fn deep(&self) -> u32 {
        self.load.fits.first().map_or(1, |(_, racks)| *racks)
    }
    /// The stations of this load that avoid something of which the other would drip on theirs.
    fn reached_by(&self, other: &Stay<'_>, contents: &Contents<'_>, class: &Class) -> BTreeSet<StationNo> {
        if self.task.id == other.task.id || !self.meets(other) {
            return BTreeSet::new();
        }
        let brings = contents.of_load(other.load);
        let members = self.load.members.iter().filter_map(|member| match &member.0 {
            Whom::Station(no) => Some((no, member)),
            _ => None,
        });
        members
            .filter(|(no, member)| {
                let theirs = Load { members: vec![(*member).clone()], ..self.load.clone() };
                let avoids = class.stations.iter().find(|s| s.no == **no).map(|s| &s.avoids);
                let drips = brings.soils(&contents.of_load(&theirs));
                avoids.is_some_and(|avoids| avoids.iter().any(|what| drips.contains(what)))
            })
            .map(|(no, _)| *no)
            .collect()
    }
    /// Its things on racks, where nothing that somebody avoids drips on theirs, and beside nothing that they avoid severely.
    fn load_on(
        &self,
        (course, class): (&Course, &Class),
        oven: &Oven,
        contents: &Contents<'_>,
        most: u32,
    ) -> Option<Racked> {
        let lesson = course.lesson(&self.load.lesson)?;
        let unit = on_what(course, course.formula(&lesson.formula.value)?)?;
        let spots = spots(oven.rack.value, unit.size, unit.between);
        if spots.is_empty() {
            return None;
        }
        let members = &self.load.members;
        let things: Vec<u32> = members.iter().map(|(_, pieces)| trays_for(&unit, *pieces)).collect();
        let alone = |member: &(Whom, u32)| {
            contents.of_load(&Load { members: vec![member.clone()], ..self.load.clone() })
        };
        let each: Vec<_> = members.iter().map(alone).collect();
        let severe: Vec<BTreeSet<&AllergenId>> =
            members.iter().map(|(whom, _)| avoided_severely(course, class, whom)).collect();
        let on_top = contents.on_top(self.load);
        let kept: Vec<Option<StationNo>> = members
            .iter()
            .map(|(whom, _)| match whom {
                Whom::Station(no) if on_top.contains(no) => Some(*no),
                _ => None,
            })
            .collect();
        let drips = |one: usize, on: usize| one != on && !each[one].harms(&each[on]).is_empty();
        let severely = |one: usize, on: usize| {
            one != on && each[one].harms(&each[on]).iter().any(|what| severe[on].contains(what))
        };
        let who = Kept { things: &things, kept: &kept, drips: &drips, severely: &severely };
        let (racks, apart) = arranged(&who, spots.len(), most as usize);
        Some(Racked { first: Some(0), spots, racks, apart })
    }
}

/// What someone at a station avoids severely.
fn avoided_severely<'c>(course: &'c Course, class: &Class, whom: &Whom) -> BTreeSet<&'c AllergenId> {
    let seats = class.stations.iter().filter(|s| *whom == Whom::Station(s.no)).flat_map(|s| &s.seats);
    let people = seats.filter_map(|seat| course.roll.get(seat.person?));
    let avoids = people.flat_map(|person| &person.avoids);
    avoids.filter(|a| a.severity == Severity::Severe).map(|a| &a.what.value).collect()
}

/// A task's load and all others of its oven that meet it, and those that meet these, by start.
fn in_one_oven<'a>(plan: &'a Plan, task: &'a PlannedTask) -> Vec<Stay<'a>> {
    let Some(own) = Stay::of(plan, task) else { return Vec::new() };
    let unit = own.unit();
    let others = plan.tasks.iter().filter(|t| t.id != task.id).filter_map(|t| Stay::of(plan, t));
    let mut rest: Vec<Stay<'a>> = others.filter(|s| unit.is_some() && s.unit() == unit).collect();
    let mut found = vec![own];
    while let Some(next) = rest.iter().position(|s| found.iter().any(|f| f.meets(s))) {
        found.push(rest.swap_remove(next));
    }
    found.sort_by(|a, b| (&a.task.start, &a.task.id).cmp(&(&b.task.start, &b.task.id)));
    found
}

/// So many loads of one oven are tried in every order; of more only a few orders are.
const MOST_ORDERED: usize = 6;

/// How many racks are above each of the loads of one oven, which come by start; `None`: no order that was tried has free racks for
/// it. `above`: the first of two must not be below the second. Loads with something to be kept from drips come first where nothing
/// else decides.
fn stacked(
    deep: &[u32],
    keeps: &[bool],
    meets: &dyn Fn(usize, usize) -> bool,
    above: &dyn Fn(usize, usize) -> bool,
    racks: u32,
) -> Vec<Option<u32>> {
    // Put in as they come, loads of one depth never need more racks than the fullest moment; of several depths the deep ones find
    // room best while it is empty.
    let by_start: Vec<usize> = (0..deep.len()).collect();
    let (mut usual, mut deepest) = (by_start.clone(), by_start.clone());
    usual.sort_by_key(|n| !keeps[*n]);
    deepest.sort_by_key(|n| std::cmp::Reverse(deep[*n]));
    let tried = if deep.len() <= MOST_ORDERED { orders(&usual) } else { vec![usual, by_start, deepest] };
    let placed = |order: &Vec<usize>| {
        let mut firsts: Vec<Option<u32>> = vec![None; deep.len()];
        let mut outside = 0;
        for n in order.iter().copied() {
            let free = |first: u32| {
                let taken = |other: usize| {
                    firsts[other]
                        .filter(|_| meets(n, other))
                        .is_some_and(|f| first < f + deep[other] && f < first + deep[n])
                };
                !(0..deep.len()).any(taken)
            };
            firsts[n] = racks.checked_sub(deep[n]).and_then(|last| (0..=last).find(|first| free(*first)));
            outside += usize::from(firsts[n].is_none());
        }
        let pairs = (0..deep.len()).flat_map(|a| (0..deep.len()).map(move |b| (a, b)));
        let dripped = pairs
            .filter(|(a, b)| meets(*a, *b) && above(*a, *b) && may_be_above(firsts[*b], firsts[*a]))
            .count();
        ((outside, dripped), firsts)
    };
    tried.iter().map(placed).min_by_key(|(cost, _)| *cost).map(|(_, firsts)| firsts).unwrap_or_default()
}

/// Every order of these, beginning with the one given.
fn orders(of: &[usize]) -> Vec<Vec<usize>> {
    if of.is_empty() {
        return vec![Vec::new()];
    }
    let mut all = Vec::new();
    for (at, first) in of.iter().enumerate() {
        let rest: Vec<usize> = of.iter().enumerate().filter(|(n, _)| *n != at).map(|(_, o)| *o).collect();
        all.extend(orders(&rest).into_iter().map(|tail| [vec![*first], tail].concat()));
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two loads in one oven at one time are never on the same rack, and the one that would drip on the other is below it; one
    /// that comes when the first is out takes its rack.
    #[test]
    fn loads_of_one_oven_have_racks_of_their_own() {
        let always = |_: usize, _: usize| true;
        let none = |_: usize, _: usize| false;
        assert_eq!(stacked(&[1, 2], &[false, false], &always, &none, 3), [Some(0), Some(1)]);
        assert_eq!(stacked(&[1, 2], &[false, true], &always, &none, 3), [Some(2), Some(0)]);
        let second_on_top = |a: usize, b: usize| (a, b) == (1, 0);
        assert_eq!(stacked(&[1, 2], &[true, false], &always, &second_on_top, 3), [Some(2), Some(0)]);
        // The first and the third do not meet.
        let in_turn = |a: usize, b: usize| a.abs_diff(b) < 2;
        assert_eq!(stacked(&[1, 1, 1], &[false; 3], &in_turn, &none, 2), [Some(0), Some(1), Some(0)]);
    }

    /// Seven loads that follow one another by two racks: with those first that are kept from drips the third finds none free, and as they
    /// come each does.
    #[test]
    fn many_loads_are_put_in_as_they_come() {
        let times = [(2, 5), (4, 8), (6, 10), (9, 12), (11, 14), (14, 16), (17, 20)];
        let meets = |a: usize, b: usize| times[a].0 < times[b].1 && times[b].0 < times[a].1;
        let keeps = [true, false, false, true, false, true, false];
        let firsts = stacked(&[1; 7], &keeps, &meets, &|_, _| false, 2);
        assert_eq!(firsts, [0, 1, 0, 1, 0, 0, 0].map(Some));
    }

    /// Three at one time on two racks: the racks of one are not known, and it hides none of the others'.
    #[test]
    fn what_finds_no_racks_has_none() {
        let firsts = stacked(&[1; 3], &[false; 3], &|_, _| true, &|_, _| false, 2);
        assert_eq!(firsts, [Some(0), Some(1), None]);
        // Deeper than the oven.
        assert_eq!(stacked(&[3], &[false], &|_, _| true, &|_, _| false, 2), [None]);
        // What must not be below that one may be.
        assert!(
            may_be_above(None, Some(0)) && may_be_above(Some(0), None) && !may_be_above(Some(1), Some(0))
        );
    }

    /// Loads that are in the oven at one time never share a rack, however many they are and however deep; those of one depth all have
    /// racks where the fullest moment has them.
    #[test]
    fn no_two_loads_share_a_rack() {
        let mut seed: u64 = 7;
        let mut drawn = |below: u64| {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (seed >> 33) % below
        };
        let (mut many, mut unknown) = (0, 0);
        for round in 0..400 {
            let racks = 1 + drawn(4) as u32;
            let loads = if round % 8 == 0 { 5 } else { 7 + drawn(4) };
            let alike = round % 2 == 0;
            let one = 1 + drawn(u64::from(racks)) as u32;
            let mut from = 0;
            let times: Vec<(u64, u64)> = (0..loads)
                .map(|_| {
                    from += drawn(4);
                    (from, from + 2 + drawn(5))
                })
                .collect();
            let deep: Vec<u32> =
                times.iter().map(|_| if alike { one } else { 1 + drawn(u64::from(racks)) as u32 }).collect();
            let keeps: Vec<bool> = times.iter().map(|_| drawn(3) == 0).collect();
            let drips: Vec<bool> = times.iter().map(|_| drawn(3) == 0).collect();
            let meets = |a: usize, b: usize| times[a].0 < times[b].1 && times[b].0 < times[a].1;
            let above = |a: usize, b: usize| keeps[a] && drips[b];
            let firsts = stacked(&deep, &keeps, &meets, &above, racks);
            assert_eq!(firsts.len(), deep.len());
            let placed: Vec<(usize, u32)> =
                firsts.iter().enumerate().filter_map(|(n, first)| Some((n, (*first)?))).collect();
            for (a, first) in &placed {
                assert!(first + deep[*a] <= racks, "{times:?} {deep:?} {firsts:?}");
                for (b, other) in placed.iter().filter(|(b, _)| b > a && meets(*a, *b)) {
                    let apart = first + deep[*a] <= *other || other + deep[*b] <= *first;
                    assert!(apart, "{times:?} {deep:?} {firsts:?}");
                }
            }
            let fullest = (0..=from).map(|at| {
                times.iter().zip(&deep).filter(|((s, e), _)| *s <= at && at < *e).map(|(_, d)| d).sum::<u32>()
            });
            if alike && fullest.max() <= Some(racks) {
                assert_eq!(placed.len(), deep.len(), "{times:?} {deep:?} {firsts:?}");
                many += usize::from(deep.len() > MOST_ORDERED);
            }
            unknown += deep.len() - placed.len();
        }
        // Both were met.
        assert!(many > 0 && unknown > 0);
    }

    /// Whose racks are not known is cleared by nobody, and what stands below it is not on top.
    #[test]
    fn nobody_is_clear_where_the_racks_are_not_known() {
        let set = |of: &[u32]| -> BTreeSet<StationNo> { of.iter().copied().map(StationNo).collect() };
        let own = || Apart { top: vec![StationNo(5)], beside: vec![StationNo(6)], ..Apart::default() };
        let not = vec![StationNo(5), StationNo(6), StationNo(7)];
        assert_eq!(own().nowhere(&set(&[7])), Apart { not, ..Apart::default() });
        let (none, seven) = (set(&[]), set(&[7]));
        let clear = vec![StationNo(7)];
        assert_eq!(own().beside_others(&none, &seven, true), Apart { clear, ..own() });
        // Another is above it, and holds nothing that the fifth avoids.
        let clear = vec![StationNo(5), StationNo(7)];
        let beside = vec![StationNo(6)];
        assert_eq!(own().beside_others(&none, &seven, false), Apart { clear, beside, ..Apart::default() });
        // It drips on the fifth and the seventh.
        let (beside, not) = (vec![StationNo(6)], vec![StationNo(5), StationNo(7)]);
        let told = own().beside_others(&set(&[5, 7]), &seven, false);
        assert_eq!(told, Apart { beside, not, ..Apart::default() });
    }

    #[test]
    fn whatever_is_kept_apart_is_told() {
        let one = |no| vec![StationNo(no)];
        let (top, level, column, clear) = (one(1), one(2), one(3), one(4));
        let apart = Apart { top, level, column, clear, beside: one(5), not: one(6), shares: one(7) };
        let told: Vec<u32> = apart.told().flat_map(|(_, stations)| stations.iter().map(|no| no.0)).collect();
        assert_eq!(told, [1, 2, 3, 4, 5, 6, 7]);
        assert_eq!(Apart { shares: one(2), ..Apart::default() }.told().next(), Some(("shares", &one(2)[..])));
    }
}
