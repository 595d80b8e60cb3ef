#![allow(clippy::unwrap_used)]
use super::super::per_tray;
use super::*;
use crate::course::{ForEach, StationNo, UnitSystem};
use crate::reckon::class::seat;
use crate::reckon::sample::{at, box3, cm, course, oven, pc, roll};
use crate::units::Celsius;
use proptest::prelude::*;

fn found(c: &Course, lesson: usize) -> (Vec<Bake>, Vec<Finding>) {
    let step = c.lessons[lesson].steps.iter().find(|s| s.id.value.as_str() == "bake").unwrap();
    bakes(c, &seat(c, None).0, &c.lessons[lesson], step, None)
}

fn who(bake: &Bake) -> Vec<Vec<(u32, u32)>> {
    let no = |w: &Whom| match w {
        Whom::Station(StationNo(n)) => *n,
        _ => 0,
    };
    bake.loads.iter().map(|l| l.members.iter().map(|(w, n)| (no(w), *n)).collect()).collect()
}

#[test]
fn few_even_loads_come_first() {
    // Two tins on each of two racks: four in a load, two stations. The stage is not baked.
    let (all, findings) = found(&course(), 0);
    assert_eq!(findings, []);
    assert_eq!(who(&all[0]), [[(1, 2), (2, 2)], [(3, 2), (4, 2)], [(5, 2), (6, 2)]]);
    let load = &all[0].loads[0];
    assert_eq!(load.fits, [("oven".into(), 2)]);
    assert_eq!(load.heat(), Celsius::whole(155));
    assert_eq!(
        load.why(),
        "4 of `round-20` of the 4 that `oven` holds, 2 on each of 2 racks; 155 °C with its fan for 170 °C without"
    );
    // Ten tins are one wave of five stations: its loads and then the last station's.
    assert!(all.iter().any(|b| who(b).last() == Some(&vec![(6, 2)])));
    assert!(all.len() <= MOST_BAKES);
}

#[test]
fn trays_take_whole_stations() {
    // Six buns of a station lie on a tray of their own; one tray on each rack.
    let (all, _) = found(&course(), 1);
    assert_eq!(who(&all[0]), [[(1, 6), (2, 6)], [(3, 6), (4, 6)], [(5, 6), (6, 6)]]);
    assert_eq!(all[0].loads[0].fits, [("oven".into(), 2)]);
}

#[test]
fn a_station_parts_its_pieces_only_where_that_saves_a_load() {
    let mut c = course();
    // Three positions: whole stations of two would take six loads, parted ones four.
    c.kitchen.ovens[0].racks = at(3);
    c.kitchen.ovens[0].rack = at(crate::course::Area { width: cm(30), depth: cm(40) });
    let (all, _) = found(&c, 0);
    assert_eq!(
        who(&all[0]),
        [vec![(1, 2), (2, 1)], vec![(2, 1), (3, 2)], vec![(4, 2), (5, 1)], vec![(5, 1), (6, 2)]]
    );
    assert_eq!(all[1].loads.len(), 6);
}

#[test]
fn a_stage_past_the_bake_is_baked_before_the_class() {
    let mut c = course();
    c.lessons[0].steps.iter_mut().find(|s| s.demo).unwrap().stages.push(at("turn-out".into()));
    let (all, _) = found(&c, 0);
    for bake in &all {
        assert_eq!(who(bake).last().unwrap(), &[(0, 1)]);
        assert_eq!(
            bake.loads.iter().flat_map(|l| &l.members).filter(|m| matches!(m.0, Whom::Stage { .. })).count(),
            1
        );
    }
}

#[test]
fn what_fits_no_oven_is_said_with_both_sizes() {
    let mut c = course();
    c.kitchen.tins[0].outside = at(box3(23, 21, 15));
    let (all, findings) = found(&c, 0);
    assert_eq!(findings[0].code.0, "fits-no-oven");
    assert!(findings[0].message.contains("15 cm high") && findings[0].message.contains("14 cm clear"));
    assert!(!all.is_empty());
    // 12 of 14 cm: it fits, with less above than dough usually wants.
    c.kitchen.tins[0].outside = at(box3(23, 21, 12));
    assert_eq!(found(&c, 0).1[0].code.0, "little-room-above");
    c.kitchen.ovens.clear();
    assert_eq!(found(&c, 0).1[0].code.0, "fits-no-oven");
}

#[test]
fn an_unknown_size_is_said_and_takes_a_whole_rack() {
    let mut c = course();
    c.formulas[1].piece.per_tray = None;
    let (all, findings) = found(&c, 1);
    assert_eq!(findings[0].code.0, "size-unknown");
    assert!(all[0].loads.iter().all(|l| l.members.iter().map(|m| m.1).sum::<u32>() <= 2));
    // 8 x 8 cm growing by a quarter are 10 x 10: on 60 x 40 with 1 cm between, 5 by 3 lie.
    c.formulas[1].piece.size = Some(at(crate::course::Area { width: cm(8), depth: cm(8) }));
    c.formulas[1].piece.grows = Some(at(pc("25")));
    assert_eq!(per_tray(&c.formulas[1].piece, &c.kitchen.trays[0]), Some(15));
}

/// A fan oven and one without: each has its own dial, and once the plan has chosen, that one's is told.
#[test]
fn each_sort_of_oven_has_its_own_dial() {
    let mut c = course();
    let mut still = oven("still", 1);
    still.fan = false;
    c.kitchen.ovens.push(still);
    let (all, _) = found(&c, 0);
    let mut load = all[0].loads[0].clone();
    assert_eq!(load.fits, [("oven".into(), 2), ("still".into(), 2)]);
    assert_eq!(load.heat(), Celsius::whole(155));
    assert_eq!(load.heat_in(&"still".into()), Celsius::whole(170));
    load.fits.retain(|(id, _)| id.as_str() == "still");
    assert_eq!(load.heat(), Celsius::whole(170));
    assert_eq!(load.why(), "4 of `round-20` of the 4 that `still` holds, 2 on each of 2 racks");
}

/// Pieces of four buns on trays of twelve buns, three pieces on each; and by their size with the air between them that an
/// oven's trays are counted with: 5 by 3 of 10 x 10 cm on 60 x 40, not 6 by 4. One count for oven, pull list and shelves.
#[test]
fn trays_are_counted_in_one_way() {
    let mut c = course();
    c.formulas[1].piece.count = at(4);
    let counts = |c: &Course, pieces: u32| {
        let (formula, tray) = (&c.formulas[1], &c.kitchen.trays[0]);
        (trays_for(&on_what(c, formula).unwrap(), pieces), trays_of(&formula.piece, tray, pieces))
    };
    assert_eq!(counts(&c, 6), (2, 2));
    c.formulas[1].piece.count = at(1);
    c.formulas[1].piece.per_tray = None;
    c.formulas[1].piece.size = Some(at(crate::course::Area { width: cm(10), depth: cm(10) }));
    c.formulas[1].piece.grows = Some(at(pc("0")));
    assert_eq!(counts(&c, 15), (1, 1));
    assert_eq!(counts(&c, 20), (2, 2));
}

/// Rows `oven-convection-manual` (a: 25 F degrees less) and `oven-convection-rule` (14 to 20 K less).
#[test]
fn a_fan_takes_off_what_is_in_print() {
    let fan = oven("o", 1);
    let less = Celsius::whole(190).above(heat_in(&fan, Celsius::whole(190), false, UnitSystem::Metric));
    let printed = 25.0 * 5.0 / 9.0;
    assert!(less.to_f64() >= printed && less.to_f64() <= 20.0);
    let mut still = oven("o", 1);
    still.fan = false;
    assert_eq!(heat_in(&still, Celsius::whole(190), false, UnitSystem::Metric), Celsius::whole(190));
    assert_eq!(heat_in(&still, Celsius::whole(175), true, UnitSystem::Metric), Celsius::whole(190));
}

/// The fewest consecutive loads of whole stations, by trying every cut.
fn brute(units: &[u32], most: u32) -> usize {
    (0u32..1 << (units.len() - 1))
        .filter(|bits| {
            let mut sum = 0;
            units.iter().enumerate().all(|(i, u)| {
                sum += u;
                let fits = sum <= most;
                if bits & (1 << i) != 0 {
                    sum = 0;
                }
                fits
            })
        })
        .map(|bits| bits.count_ones() as usize + 1)
        .min()
        .unwrap_or(usize::MAX)
}

proptest! {
    #[test]
    fn loads_hold_every_piece_and_are_the_fewest(n in 1usize..13, racks in 1u32..4, each in 1u32..3, spare in 0u32..3) {
        let mut c = course();
        c.roll = roll(n);
        c.kitchen.ovens[0].racks = at(racks);
        c.lessons[0].makes.pieces = at(each);
        c.lessons[0].makes.spare = at(spare);
        c.lessons[0].makes.for_each = at(ForEach::Student);
        let (all, _) = found(&c, 0);
        for bake in &all {
            let pieces: u32 = bake.loads.iter().flat_map(|l| &l.members).map(|m| m.1).sum();
            prop_assert_eq!(pieces, n as u32 * each + spare);
            for load in &bake.loads {
                prop_assert!(load.members.iter().map(|m| m.1).sum::<u32>() <= racks * 2);
            }
        }
        let groups = pieces_of(&c.lessons[0], &seat(&c, None).0);
        let units: Vec<u32> = groups.iter().filter(|(w, _)| !matches!(w, Whom::Stage { .. })).map(|g| g.1).collect();
        let whole = if units.iter().all(|u| *u <= racks * 2) { brute(&units, racks * 2) } else { usize::MAX };
        let parted = ((n as u32 * each + spare) as usize).div_ceil((racks * 2) as usize);
        prop_assert_eq!(all[0].loads.len(), whole.min(parted));
    }
}
