//! What stands where on the racks of a load: from the top one down, filled from the left, and what someone avoids never above
//! what is kept free of it.

use super::super::plan::allergen_order::Contents;
use super::super::work::{Class, Load, Whom};
use super::{Spot, on_what, spots, trays_for};
use crate::course::{Course, StationNo};
use std::collections::BTreeSet;

/// How what must be kept from drips is kept from them.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Apart {
    /// Stations whose pieces are on the top rack, with nothing above them.
    pub top: Vec<StationNo>,
    /// Stations whose pieces stand beside each other on every rack: only a station's own are above its own.
    pub beside: Vec<StationNo>,
    /// Stations that neither way can be kept for: other pieces are above theirs.
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
    /// The spots of one rack; all are alike.
    pub spots: Vec<Spot>,
    /// From the top one down, by spot.
    pub racks: Vec<Vec<Option<Thing>>>,
    /// What is kept from drips.
    pub apart: Apart,
}

/// The racks of a load in the first of its ovens. `None`: a size is not known, or nothing fits.
#[must_use]
pub fn racked(course: &Course, class: &Class, load: &Load) -> Option<Racked> {
    let lesson = course.lesson(&load.lesson)?;
    let unit = on_what(course, course.formula(&lesson.formula.value)?)?;
    let (oven, _) = load.fits.first()?;
    let oven = course.kitchen.ovens.iter().find(|o| o.id.value == *oven)?;
    let spots = spots(oven.rack.value, unit.size, unit.between);
    if spots.is_empty() {
        return None;
    }
    let top = Contents::of(course, class).on_top(load);
    let things: Vec<u32> = load.members.iter().map(|(_, pieces)| trays_for(&unit, *pieces)).collect();
    let kept: Vec<Option<StationNo>> = load
        .members
        .iter()
        .map(|(whom, _)| match whom {
            Whom::Station(no) if top.contains(no) => Some(*no),
            _ => None,
        })
        .collect();
    let (racks, apart) = arranged(&things, &kept, spots.len(), oven.racks.value as usize);
    Some(Racked { spots, racks, apart })
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
