//! The pieces of one load in their places: who avoids something severely has a rack without it where there is one, above; and what someone
//! avoids is never above what is kept free of it, where there is a way.

use super::{Apart, Thing};
use crate::course::StationNo;
use std::collections::BTreeSet;

/// From the top rack down, by spot.
type Racks = Vec<Vec<Option<Thing>>>;

/// The members of a load, and who is to be kept from whom.
pub(super) struct Kept<'k> {
    /// How many things each has.
    pub(super) things: &'k [u32],
    /// The members that nothing of another may drip on.
    pub(super) kept: &'k [Option<StationNo>],
    /// Whether the first one's pieces hold what the second's people avoid.
    pub(super) drips: &'k dyn Fn(usize, usize) -> bool,
    /// Whether they avoid it severely.
    pub(super) severely: &'k dyn Fn(usize, usize) -> bool,
}

/// `things` of each member onto at most so many racks with so many spots each.
pub(super) fn arranged(of: &Kept<'_>, spots: usize, most: usize) -> (Racks, Apart) {
    let spots = spots.max(1);
    if let Some(racks) = on_own_racks(of, spots, most) {
        let apart = told(of, &racks);
        return (racks, apart);
    }
    let things = of.things;
    let first = (0..things.len()).filter(|m| of.kept[*m].is_some());
    let order: Vec<usize> = first.chain((0..things.len()).filter(|m| of.kept[*m].is_none())).collect();
    let all: Vec<Thing> =
        order.iter().flat_map(|m| (0..things[*m]).map(move |n| Thing { member: *m, n })).collect();
    let in_rows =
        || -> Racks { all.chunks(spots).map(|rack| rack.iter().copied().map(Some).collect()).collect() };
    let on_top: u32 = (0..things.len()).filter(|m| of.kept[*m].is_some()).map(|m| things[m]).sum();
    if on_top as usize <= spots {
        let racks = in_rows();
        let apart = told(of, &racks);
        return (racks, apart);
    }
    // On no more racks than are needed, or on more where only those keep them apart.
    let least = all.len().div_ceil(spots);
    let stations: BTreeSet<StationNo> = of.kept.iter().flatten().copied().collect();
    let stations: Vec<StationNo> = stations.into_iter().collect();
    let (racks, apart) = match (least..=most.max(least)).find_map(|deep| in_columns(&order, of, spots, deep))
    {
        Some(racks) => (racks, Apart { beside: stations, ..Apart::default() }),
        None => (in_rows(), Apart { not: stations, ..Apart::default() }),
    };
    let shares = sharing(of, &racks);
    (racks, Apart { shares, ..apart })
}

/// Each kept member in spots of its own, one above the other; the others after them. `None`: there are too few spots.
fn in_columns(order: &[usize], of: &Kept<'_>, spots: usize, deep: usize) -> Option<Racks> {
    let mut racks = vec![vec![None; spots]; deep];
    let mut at = 0;
    for member in order {
        if of.kept[*member].is_some() {
            at = usize::div_ceil(at, deep) * deep;
        }
        for n in 0..of.things[*member] {
            let (spot, rack) = (at / deep, at % deep);
            *racks.get_mut(rack)?.get_mut(spot)? = Some(Thing { member: *member, n });
            at += 1;
        }
        if of.kept[*member].is_some() {
            at = usize::div_ceil(at, deep) * deep;
        }
    }
    Some(racks)
}

/// Those first who avoid something severely, on racks where nothing of it is, then those who are kept from drips, each in the first place
/// that does. `None`: nobody is severe, or there are too few racks for it.
fn on_own_racks(of: &Kept<'_>, spots: usize, most: usize) -> Option<Racks> {
    let members = 0..of.things.len();
    let severe = |m: &usize| members.clone().any(|other| (of.severely)(other, *m));
    if !members.clone().any(|m| severe(&m)) {
        return None;
    }
    let mut order: Vec<usize> = members.clone().collect();
    order.sort_by_key(|m| (!severe(m), of.kept[*m].is_none()));
    let mut racks: Racks = vec![vec![None; spots]; most];
    for member in order {
        for n in 0..of.things[member] {
            let (rack, spot) = (0..most)
                .flat_map(|rack| (0..spots).map(move |spot| (rack, spot)))
                .find(|(rack, spot)| may_stand(of, &racks, member, (*rack, *spot)))?;
            racks[rack][spot] = Some(Thing { member, n });
        }
    }
    while racks.last().is_some_and(|rack| rack.iter().all(Option::is_none)) {
        racks.pop();
    }
    Some(racks)
}

/// Whether a member's thing may stand in a place that is free.
fn may_stand(of: &Kept<'_>, racks: &Racks, member: usize, (rack, spot): (usize, usize)) -> bool {
    let others = |things: &mut dyn Iterator<Item = Option<Thing>>, bad: &dyn Fn(usize) -> bool| {
        things.flatten().any(|thing| thing.member != member && bad(thing.member))
    };
    let severe = |other: usize| (of.severely)(other, member) || (of.severely)(member, other);
    let column =
        |racks: &[Vec<Option<Thing>>]| -> Vec<Option<Thing>> { racks.iter().map(|r| r[spot]).collect() };
    racks[rack][spot].is_none()
        && !others(&mut racks[rack].iter().copied(), &severe)
        && !others(&mut column(&racks[..rack]).into_iter(), &|above| (of.drips)(above, member))
        && !others(&mut column(&racks[rack + 1..]).into_iter(), &|below| (of.drips)(member, below))
}

/// Where on the racks the kept ones are, as they stand there.
fn told(of: &Kept<'_>, racks: &Racks) -> Apart {
    let mut apart = Apart { shares: sharing(of, racks), ..Apart::default() };
    for (member, station) in of.kept.iter().enumerate() {
        let Some(station) = *station else { continue };
        let is_own = |thing: &Thing| thing.member == member;
        let lowest = racks.iter().rposition(|rack| rack.iter().flatten().any(is_own));
        let Some(lowest) = lowest else { continue };
        let above = || racks[..lowest].iter().flatten().flatten().filter(|t| !is_own(t));
        let under = |(rack, spot): (usize, usize)| {
            let column = racks[..rack].iter().filter_map(move |r| r[spot]);
            column.filter(|t| !is_own(t)).any(|t| (of.drips)(t.member, member))
        };
        let places = racks.iter().enumerate().flat_map(|(r, rack)| (0..rack.len()).map(move |s| (r, s)));
        let own = places.filter(|(r, s)| racks[*r][*s].as_ref().is_some_and(is_own)).collect::<Vec<_>>();
        // Beside it: on any rack on which it is.
        let beside = own.iter().flat_map(|(r, _)| racks[*r].iter().flatten().filter(|t| !is_own(t)));
        let with_others = beside.into_iter().any(|t| of.kept[t.member].is_none() || racks.len() == 1);
        let list = if own.iter().any(|place| under(*place)) {
            &mut apart.not
        } else if above().next().is_none() && with_others {
            &mut apart.level
        } else if above().next().is_none() {
            &mut apart.top
        } else if above().any(|t| (of.drips)(t.member, member)) {
            &mut apart.column
        } else {
            &mut apart.clear
        };
        list.push(station);
    }
    for list in [&mut apart.not, &mut apart.level, &mut apart.top, &mut apart.column, &mut apart.clear] {
        list.sort_unstable();
        list.dedup();
    }
    apart
}

/// The stations that have on one of their racks what they avoid severely.
fn sharing(of: &Kept<'_>, racks: &Racks) -> Vec<StationNo> {
    let shares = |member: usize| {
        racks.iter().any(|rack| {
            let on_it = || rack.iter().flatten();
            on_it().any(|t| t.member == member) && on_it().any(|t| (of.severely)(t.member, member))
        })
    };
    let stations: BTreeSet<StationNo> =
        (0..of.kept.len()).filter(|m| shares(*m)).filter_map(|m| of.kept[m]).collect();
    stations.into_iter().collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn members(racks: &[Vec<Option<Thing>>]) -> Vec<Vec<Option<usize>>> {
        racks.iter().map(|r| r.iter().map(|t| t.map(|t| t.member)).collect()).collect()
    }

    /// All others hold what the kept ones avoid, and nobody is severe.
    fn mild(things: &[u32], kept: &[Option<StationNo>], spots: usize, most: usize) -> (Racks, Apart) {
        let drips = |one: usize, on: usize| one != on && kept[on].is_some();
        let severely = |_: usize, _: usize| false;
        arranged(&Kept { things, kept, drips: &drips, severely: &severely }, spots, most)
    }

    /// The first one is severe; it and the second avoid what the others hold, and each what the other holds.
    fn severe(things: &[u32], kept: &[Option<StationNo>], spots: usize, most: usize) -> (Racks, Apart) {
        let drips = |one: usize, on: usize| one != on && kept[on].is_some();
        let severely = |one: usize, on: usize| one != on && on == 0;
        arranged(&Kept { things, kept, drips: &drips, severely: &severely }, spots, most)
    }

    #[test]
    fn what_is_kept_free_stands_on_the_top_rack() {
        let (five, none) = (Some(StationNo(5)), None);
        let (racks, apart) = mild(&[2, 2], &[none, five], 2, 2);
        assert_eq!(members(&racks), [[Some(1), Some(1)], [Some(0), Some(0)]]);
        assert_eq!(apart, Apart { top: vec![StationNo(5)], ..Apart::default() });
        // Beside it there is room for one more, and it is not said to be above that.
        let (racks, apart) = mild(&[3, 1], &[none, five], 2, 2);
        assert_eq!(members(&racks), [[Some(1), Some(0)], [Some(0), Some(0)]]);
        assert_eq!(apart, Apart { level: vec![StationNo(5)], ..Apart::default() });
        // On one rack nothing is above anything.
        assert_eq!(mild(&[1, 1], &[none, five], 2, 2).1.level, [StationNo(5)]);
    }

    /// Two who avoid what the other's pieces hold: neither goes above the other.
    #[test]
    fn two_that_cross_stand_side_by_side() {
        let kept = [Some(StationNo(5)), Some(StationNo(6))];
        let (racks, apart) = mild(&[2, 2], &kept, 2, 2);
        assert_eq!(members(&racks), [[Some(0), Some(1)], [Some(0), Some(1)]]);
        assert_eq!(apart.beside, [StationNo(5), StationNo(6)]);
        // One tin does not fill its column, and nothing of another's goes into it.
        let (racks, apart) = mild(&[1, 3], &kept, 3, 2);
        assert_eq!(members(&racks), [[Some(0), Some(1), Some(1)], [None, Some(1), None]]);
        assert_eq!(apart.beside.len(), 2);
    }

    #[test]
    fn where_neither_way_is_open_it_is_said() {
        let kept = [Some(StationNo(5)), Some(StationNo(6))];
        let (racks, apart) = mild(&[1, 1], &kept, 1, 2);
        assert_eq!(members(&racks), [[Some(0)], [Some(1)]]);
        assert_eq!(apart.not, [StationNo(5), StationNo(6)]);
        // Nobody avoids anything: filled from the left.
        assert_eq!(mild(&[1, 1, 1], &[None; 3], 2, 2).1, Apart::default());
    }

    /// Six rings, two on a rack: the severe one is alone on the top one where there are four racks, and who crosses with it is on the next,
    /// not below it.
    #[test]
    fn who_is_severe_has_a_rack_of_their_own() {
        let kept = [Some(StationNo(1)), Some(StationNo(2)), None, None, None, None];
        let (racks, apart) = severe(&[1; 6], &kept, 2, 4);
        assert_eq!(members(&racks)[..2], [[Some(0), None], [Some(2), Some(1)]]);
        assert_eq!(racks.len(), 4);
        let (top, column) = (vec![StationNo(1)], vec![StationNo(2)]);
        assert_eq!(apart, Apart { top, column, ..Apart::default() });
        // With three racks there is none to spare, and that is said.
        let (racks, apart) = severe(&[1; 6], &kept, 2, 3);
        assert_eq!(members(&racks)[0], [Some(0), Some(1)]);
        assert_eq!(apart.shares, [StationNo(1)]);
        // Whose pieces hold nothing of it may share the rack.
        let kept = [Some(StationNo(1)), None, None];
        let drips = |one: usize, on: usize| one == 2 && on == 0;
        let (racks, apart) =
            arranged(&Kept { things: &[1; 3], kept: &kept, drips: &drips, severely: &drips }, 2, 2);
        assert_eq!(members(&racks), [[Some(0), Some(1)], [Some(2), None]]);
        assert!(apart.shares.is_empty());
    }
}
