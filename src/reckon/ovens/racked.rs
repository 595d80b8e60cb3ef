//! What stands where on the racks of a load: from the top one down, filled from the left, and what someone avoids never above
//! what is kept free of it.

use super::super::plan::allergen_order::Contents;
use super::super::plan::jobs::Group;
use super::super::plan::timetable::{Plan, PlannedTask};
use super::super::work::{Class, Load, Whom};
use super::{Spot, on_what, spots, trays_for};
use crate::course::{Course, Oven, StationNo};
use std::collections::BTreeSet;

/// How what must be kept from drips is kept from them.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Apart {
    /// Stations whose pieces are on the top rack, with nothing above them.
    pub top: Vec<StationNo>,
    /// Stations of which another load in the oven holds what they avoid, or is above: what is above theirs holds nothing of it.
    pub clear: Vec<StationNo>,
    /// Stations whose pieces stand beside each other on every rack: only a station's own are above its own.
    pub beside: Vec<StationNo>,
    /// Stations that no way can be kept for: other pieces are above theirs.
    pub not: Vec<StationNo>,
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
    /// How many of the oven's racks are above them: another load's, which is in the oven at the same time.
    pub first: u32,
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
    let mut stacks: Vec<Option<Racked>> = stays
        .iter()
        .map(|stay| stay.load_on(course, oven, &contents.on_top(stay.load), most(stay)))
        .collect();
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
    let is_above = |other: &usize| meets(me, *other) && firsts[*other] < firsts[me];
    // Whom what is above drips on after all, and whom what is below would.
    let (over, under): (Vec<usize>, Vec<usize>) = (0..stays.len()).partition(is_above);
    let of = |others: Vec<usize>| -> BTreeSet<StationNo> {
        others.into_iter().flat_map(|other| reached[me][other].iter().copied()).collect()
    };
    let (dripped, spared) = (of(over), of(under));
    let apart = &mut mine.apart;
    for kept in [&mut apart.top, &mut apart.beside] {
        kept.retain(|station| !dripped.contains(station));
    }
    apart.not = sorted(apart.not.iter().copied().chain(dripped));
    let told = [&apart.top, &apart.beside, &apart.not];
    let untold = |station: &StationNo| !told.iter().any(|stations| stations.contains(station));
    let mut clear: Vec<StationNo> = spared.into_iter().filter(untold).collect();
    if mine.first > 0 {
        clear.append(&mut apart.top);
    }
    apart.clear = sorted(clear.into_iter());
    Some(mine)
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
    /// Its things on racks, those of `kept` stations where nothing of another's drips on them.
    fn load_on(&self, course: &Course, oven: &Oven, kept: &BTreeSet<StationNo>, most: u32) -> Option<Racked> {
        let lesson = course.lesson(&self.load.lesson)?;
        let unit = on_what(course, course.formula(&lesson.formula.value)?)?;
        let spots = spots(oven.rack.value, unit.size, unit.between);
        if spots.is_empty() {
            return None;
        }
        let things: Vec<u32> =
            self.load.members.iter().map(|(_, pieces)| trays_for(&unit, *pieces)).collect();
        let kept: Vec<Option<StationNo>> = self
            .load
            .members
            .iter()
            .map(|(whom, _)| match whom {
                Whom::Station(no) if kept.contains(no) => Some(*no),
                _ => None,
            })
            .collect();
        let (racks, apart) = arranged(&things, &kept, spots.len(), most as usize);
        Some(Racked { first: 0, spots, racks, apart })
    }
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

/// In how many orders so many loads are tried; more at one time in one oven are put in as they come.
const MOST_ORDERED: usize = 6;

/// How many racks are above each of the loads of one oven. `above`: the first of two must not be below the second. Loads with
/// something to be kept from drips come first where nothing else decides.
fn stacked(
    deep: &[u32],
    keeps: &[bool],
    meets: &dyn Fn(usize, usize) -> bool,
    above: &dyn Fn(usize, usize) -> bool,
    racks: u32,
) -> Vec<u32> {
    let mut usual: Vec<usize> = (0..deep.len()).collect();
    usual.sort_by_key(|n| !keeps[*n]);
    let tried = if deep.len() <= MOST_ORDERED { orders(&usual) } else { vec![usual] };
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
            let fits = (0..=racks.saturating_sub(deep[n])).find(|first| free(*first));
            outside += usize::from(fits.is_none());
            firsts[n] = Some(fits.unwrap_or_default());
        }
        let firsts: Vec<u32> = firsts.into_iter().flatten().collect();
        let pairs = (0..deep.len()).flat_map(|a| (0..deep.len()).map(move |b| (a, b)));
        let dripped =
            pairs.filter(|(a, b)| meets(*a, *b) && above(*a, *b) && firsts[*b] < firsts[*a]).count();
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

/// `things` of each member onto at most so many racks with so many spots each; `kept`: the members that nothing of another may
/// drip on.
fn arranged(
    things: &[u32],
    kept: &[Option<StationNo>],
    spots: usize,
    most: usize,
) -> (Vec<Vec<Option<Thing>>>, Apart) {
    let spots = spots.max(1);
    let stations: BTreeSet<StationNo> = kept.iter().flatten().copied().collect();
    let stations: Vec<StationNo> = stations.into_iter().collect();
    let first = (0..things.len()).filter(|m| kept[*m].is_some());
    let order: Vec<usize> = first.chain((0..things.len()).filter(|m| kept[*m].is_none())).collect();
    let all: Vec<Thing> =
        order.iter().flat_map(|m| (0..things[*m]).map(move |n| Thing { member: *m, n })).collect();
    let in_rows = || all.chunks(spots).map(|rack| rack.iter().copied().map(Some).collect()).collect();
    let on_top: u32 = (0..things.len()).filter(|m| kept[*m].is_some()).map(|m| things[m]).sum();
    if on_top as usize <= spots {
        return (in_rows(), Apart { top: stations, ..Apart::default() });
    }
    // On no more racks than are needed, or on more where only those keep them apart.
    let least = all.len().div_ceil(spots);
    match (least..=most.max(least)).find_map(|deep| in_columns(&order, things, kept, spots, deep)) {
        Some(racks) => (racks, Apart { beside: stations, ..Apart::default() }),
        None => (in_rows(), Apart { not: stations, ..Apart::default() }),
    }
}

/// Each kept member in spots of its own, one above the other; the others after them. `None`: there are too few spots.
fn in_columns(
    order: &[usize],
    things: &[u32],
    kept: &[Option<StationNo>],
    spots: usize,
    deep: usize,
) -> Option<Vec<Vec<Option<Thing>>>> {
    let mut racks = vec![vec![None; spots]; deep];
    let mut at = 0;
    for member in order {
        if kept[*member].is_some() {
            at = usize::div_ceil(at, deep) * deep;
        }
        for n in 0..things[*member] {
            let (spot, rack) = (at / deep, at % deep);
            *racks.get_mut(rack)?.get_mut(spot)? = Some(Thing { member: *member, n });
            at += 1;
        }
        if kept[*member].is_some() {
            at = usize::div_ceil(at, deep) * deep;
        }
    }
    Some(racks)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn members(racks: &[Vec<Option<Thing>>]) -> Vec<Vec<Option<usize>>> {
        racks.iter().map(|r| r.iter().map(|t| t.map(|t| t.member)).collect()).collect()
    }

    #[test]
    fn what_is_kept_free_stands_on_the_top_rack() {
        let (five, none) = (Some(StationNo(5)), None);
        let (racks, apart) = arranged(&[2, 2], &[none, five], 2, 2);
        assert_eq!(members(&racks), [[Some(1), Some(1)], [Some(0), Some(0)]]);
        assert_eq!(apart, Apart { top: vec![StationNo(5)], ..Apart::default() });
        // Beside it there is room for one more.
        assert_eq!(
            members(&arranged(&[3, 1], &[none, five], 2, 2).0),
            [[Some(1), Some(0)], [Some(0), Some(0)]]
        );
    }

    /// Two who avoid what the other's pieces hold: neither goes above the other.
    #[test]
    fn two_that_cross_stand_side_by_side() {
        let kept = [Some(StationNo(5)), Some(StationNo(6))];
        let (racks, apart) = arranged(&[2, 2], &kept, 2, 2);
        assert_eq!(members(&racks), [[Some(0), Some(1)], [Some(0), Some(1)]]);
        assert_eq!(apart.beside, [StationNo(5), StationNo(6)]);
        // One tin does not fill its column, and nothing of another's goes into it.
        let (racks, apart) = arranged(&[1, 3], &kept, 3, 2);
        assert_eq!(members(&racks), [[Some(0), Some(1), Some(1)], [None, Some(1), None]]);
        assert_eq!(apart.beside.len(), 2);
    }

    /// Two loads in one oven at one time are never on the same rack, and the one that would drip on the other is below it; one
    /// that comes when the first is out takes its rack.
    #[test]
    fn loads_of_one_oven_have_racks_of_their_own() {
        let always = |_: usize, _: usize| true;
        let none = |_: usize, _: usize| false;
        assert_eq!(stacked(&[1, 2], &[false, false], &always, &none, 3), [0, 1]);
        assert_eq!(stacked(&[1, 2], &[false, true], &always, &none, 3), [2, 0]);
        let second_on_top = |a: usize, b: usize| (a, b) == (1, 0);
        assert_eq!(stacked(&[1, 2], &[true, false], &always, &second_on_top, 3), [2, 0]);
        // The first and the third do not meet.
        let in_turn = |a: usize, b: usize| a.abs_diff(b) < 2;
        assert_eq!(stacked(&[1, 1, 1], &[false; 3], &in_turn, &none, 2), [0, 1, 0]);
    }

    #[test]
    fn where_neither_way_is_open_it_is_said() {
        let kept = [Some(StationNo(5)), Some(StationNo(6))];
        let (racks, apart) = arranged(&[1, 1], &kept, 1, 2);
        assert_eq!(members(&racks), [[Some(0)], [Some(1)]]);
        assert_eq!(apart.not, [StationNo(5), StationNo(6)]);
        // Nobody avoids anything: filled from the left.
        assert_eq!(arranged(&[1, 1, 1], &[None; 3], 2, 2).1, Apart::default());
    }
}
