//! Positions on a rack and on a tray, the height above them, and what a fan changes.

use crate::course::{Area, Oven, Piece, Tray, UnitSystem};
use crate::units::{Celsius, Centimetres, Kelvins};
use rust_decimal::Decimal;

/// Air between two tins on one rack: 2.5 cm, the lower end of row `oven-pan-gap` (common practice: 2.5 to 4 cm). The walls are
/// not counted: a rack is smaller than its oven.
pub const AIR_BETWEEN_TINS: Centimetres = Centimetres::from_thousandths(2500);

/// Height that dough wants above the rim: 4 cm, row `oven-pan-gap` (common practice). Less is noted; it decides nothing.
pub const ABOVE_A_TIN: Centimetres = Centimetres::from_thousandths(4000);

/// Between two pieces on a tray once they have grown: 1 cm, so that they do not touch (common practice; `per-tray` says it better).
const BETWEEN_PIECES: Centimetres = Centimetres::from_thousandths(1000);

/// A formula's temperature is for an oven without a fan; with one the dial shows 15 K less. A manual in print takes 25 F degrees
/// off, which are 13.9 K (row `oven-convection-manual`, a), common practice 14 to 20 K (row `oven-convection-rule`); dials go by five.
pub const FAN_LESS: Kelvins = Kelvins::from_thousandths(15_000);

/// What an oven's dial shows for a lesson's temperature, which is for an oven without a fan unless the lesson says that it is for
/// one with.
pub fn heat_in(oven: &Oven, written: Celsius, written_for_fan: bool, units: UnitSystem) -> Celsius {
    match (oven.fan, written_for_fan) {
        (true, false) => converted(written, -FAN_LESS, units),
        (false, true) => converted(written, FAN_LESS, units),
        _ => on_dial(written, units),
    }
}

/// What an oven without a fan and one with are set to, for a temperature that is written for one of them.
pub fn both_heats(written: Celsius, written_for_fan: bool, units: UnitSystem) -> (Celsius, Celsius) {
    if written_for_fan {
        (converted(written, FAN_LESS, units), on_dial(written, units))
    } else {
        (on_dial(written, units), converted(written, -FAN_LESS, units))
    }
}

/// A temperature that is written, as a dial shows it: one in whole degrees stays as it is, whichever they are; one in the other scale's
/// degrees is what this scale's dial has nearest to it.
fn on_dial(written: Celsius, units: UnitSystem) -> Celsius {
    if is_whole(written) { written } else { by_fives(written, units) }
}

/// A temperature for another oven than the one that it was written for. What is reckoned goes by five, as dials do.
fn converted(written: Celsius, by: Kelvins, units: UnitSystem) -> Celsius {
    let other = written.raised(by);
    match units {
        // Pages in Fahrenheit print the nearest figure of the dial, and this one beside it.
        UnitSystem::Us if is_whole(other) => other,
        _ => by_fives(other, units),
    }
}

/// Written in Celsius: in whole degrees or halves.
fn is_whole(at: Celsius) -> bool {
    at.thousandths() % 500 == 0
}

fn by_fives(at: Celsius, units: UnitSystem) -> Celsius {
    match units {
        UnitSystem::Metric => at.to_nearest(Celsius::whole(5)),
        UnitSystem::Us => {
            let five = Decimal::from(5);
            Celsius::from_fahrenheit((at.fahrenheit() / five).round() * five).unwrap_or(at)
        }
    }
}

/// Where one thing stands on a rack: its corner nearest to the rack's own, and its size there.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Spot {
    /// From the left.
    pub x: Centimetres,
    /// From the front.
    pub y: Centimetres,
    /// Its size as it stands.
    pub size: Area,
}

/// As many spots as fit onto a rack for things of one size, with air between them: rows of one orientation and, in what is left at
/// the side or behind, rows of the other; for few large things also four blocks that turn about a middle. That is the most
/// possible for what an oven holds (compared with brute force below), and never more than fit.
pub fn spots(rack: Area, thing: Area, between: Centimetres) -> Vec<Spot> {
    if thing.width <= Centimetres::ZERO || thing.depth <= Centimetres::ZERO {
        return Vec::new();
    }
    let turned = Area { width: thing.depth, depth: thing.width };
    let mut best: Vec<Spot> = Vec::new();
    for (first, second) in [(thing, turned), (turned, thing)] {
        let across = how_many(rack.width, first.width, between);
        let deep = how_many(rack.depth, first.depth, between);
        for columns in 0..=across {
            // A block of whole columns, and the strip beside it the other way round.
            let mut found = block(first, between, columns, deep, (Centimetres::ZERO, Centimetres::ZERO));
            let taken = if columns == 0 { Centimetres::ZERO } else { (first.width + between).times(columns) };
            let left = Area { width: rack.width - taken, depth: rack.depth };
            let (c, d) =
                (how_many(left.width, second.width, between), how_many(left.depth, second.depth, between));
            found.extend(block(second, between, c, d, (taken, Centimetres::ZERO)));
            if found.len() > best.len() {
                best = found;
            }
        }
        for rows in 0..=deep {
            let mut found = block(first, between, across, rows, (Centimetres::ZERO, Centimetres::ZERO));
            let taken = if rows == 0 { Centimetres::ZERO } else { (first.depth + between).times(rows) };
            let left = Area { width: rack.width, depth: rack.depth - taken };
            let (c, d) =
                (how_many(left.width, second.width, between), how_many(left.depth, second.depth, between));
            found.extend(block(second, between, c, d, (Centimetres::ZERO, taken)));
            if found.len() > best.len() {
                best = found;
            }
        }
    }
    if rack_share(rack, thing, between) <= FEW {
        let turning = turning_blocks(rack, thing, between);
        if turning.len() > best.len() {
            best = turning;
        }
    }
    best
}

/// Up to so many things, by area, are worth turning.
const FEW: i64 = 12;

fn rack_share(rack: Area, thing: Area, between: Centimetres) -> i64 {
    let area = |w: Centimetres, d: Centimetres| w.thousandths() * d.thousandths();
    area(rack.width + between, rack.depth + between)
        / area(thing.width + between, thing.depth + between).max(1)
}

/// Four blocks, one in each corner, those at opposite corners the same way round.
fn turning_blocks(rack: Area, thing: Area, between: Centimetres) -> Vec<Spot> {
    // With the air added to the thing and to the rack, spots may touch.
    let (w, d) = ((rack.width + between).thousandths(), (rack.depth + between).thousandths());
    let (a, b) = ((thing.width + between).thousandths(), (thing.depth + between).thousandths());
    let turned = Area { width: thing.depth, depth: thing.width };
    let mut best = (0, [(0, 0); 4]);
    for i in 0..=w / a {
        for j in 0..=d / b {
            let k = (w - i * a) / b;
            for l in 0..=d / a {
                let n = (d - l * a) / b;
                for m in 0..=w / a {
                    let (o, p) = ((w - m * a) / b, (d - j * b) / a);
                    // Opposite corners must not meet in the middle.
                    let apart = (i * a + m * a <= w || j * b + n * b <= d)
                        && (k * b + o * b <= w || l * a + p * a <= d);
                    let count = i * j + k * l + m * n + o * p;
                    if apart && count > best.0 {
                        best = (count, [(i, j), (k, l), (m, n), (o, p)]);
                    }
                }
            }
        }
    }
    let [(i, j), (k, l), (m, n), (o, p)] = best.1;
    let c = Centimetres::from_thousandths;
    let mut all = block(thing, between, i, j, (c(0), c(0)));
    all.extend(block(turned, between, k, l, (c(w - k * b), c(0))));
    all.extend(block(thing, between, m, n, (c(w - m * a), c(d - n * b))));
    all.extend(block(turned, between, o, p, (c(0), c(d - p * a))));
    all
}

fn how_many(room: Centimetres, size: Centimetres, between: Centimetres) -> i64 {
    if room < size { 0 } else { 1 + (room - size).thousandths() / (size + between).thousandths().max(1) }
}

fn block(
    thing: Area,
    between: Centimetres,
    columns: i64,
    rows: i64,
    from: (Centimetres, Centimetres),
) -> Vec<Spot> {
    (0..rows)
        .flat_map(|r| {
            (0..columns).map(move |c| Spot {
                x: from.0 + (thing.width + between).times(c),
                y: from.1 + (thing.depth + between).times(r),
                size: thing,
            })
        })
        .collect()
}

/// How many things of this size fit on one rack of an oven, and how many racks it has for them. A thing higher than the clear
/// height fits on none.
pub fn positions(oven: &Oven, thing: Area, height: Centimetres, between: Centimetres) -> (u32, u32) {
    if height > oven.clear.value {
        return (0, oven.racks.value);
    }
    (spots(oven.rack.value, thing, between).len() as u32, oven.racks.value)
}

/// How many shaped pieces lie on a tray: what the teacher wrote, else by their size once grown. `None`: neither is known.
pub fn per_tray(piece: &Piece, tray: &Tray) -> Option<u32> {
    if let Some(n) = &piece.per_tray {
        return Some(n.value);
    }
    let size = grown(piece, piece.size.as_ref()?.value);
    Some(spots(tray.size.value, size, BETWEEN_PIECES).len() as u32)
}

/// What a shaped piece of this size takes up once it is baked, by what is written of its growth; without that, the same.
pub fn grown(piece: &Piece, size: Area) -> Area {
    let side = |c: Centimetres| match &piece.grows {
        Some(g) => {
            Centimetres::from_decimal(c.to_decimal() * (rust_decimal::Decimal::ONE + g.value.factor()))
                .unwrap_or(c)
        }
        None => c,
    };
    Area { width: side(size.width), depth: side(size.depth) }
}

/// How many pieces lie on a tray. What lies there are the shaped ones, of which several may make one piece; nought where one piece
/// is more than a tray takes. `None`: neither is known.
pub fn pieces_on(piece: &Piece, tray: &Tray) -> Option<u32> {
    Some(per_tray(piece, tray)? / piece.count.value.max(1))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn area(w: i64, d: i64) -> Area {
        Area { width: Centimetres::whole(w), depth: Centimetres::whole(d) }
    }

    /// 350 °F are 176.667 °C, which no dial in Celsius shows.
    #[test]
    fn what_is_converted_is_a_figure_that_a_dial_has() {
        use UnitSystem::{Metric, Us};
        let fahrenheit = |f: i64| Celsius::from_fahrenheit(Decimal::from(f)).unwrap_or_default();
        assert_eq!(both_heats(fahrenheit(350), false, Metric), (Celsius::whole(175), Celsius::whole(160)));
        assert_eq!(both_heats(fahrenheit(350), true, Metric), (Celsius::whole(190), Celsius::whole(175)));
        assert_eq!(both_heats(fahrenheit(350), false, Us), (fahrenheit(350), fahrenheit(325)));
        // What is written stays, and what is reckoned from it goes by five.
        assert_eq!(
            both_heats(Celsius::whole(170), false, Metric),
            (Celsius::whole(170), Celsius::whole(155))
        );
        assert_eq!(
            both_heats(Celsius::whole(172), false, Metric),
            (Celsius::whole(172), Celsius::whole(155))
        );
        assert_eq!(both_heats(Celsius::whole(170), false, Us), (Celsius::whole(170), Celsius::whole(155)));
    }

    #[test]
    fn two_round_tins_stand_on_a_rack_of_60_by_40() {
        // 23 + 2.5 + 23 = 48.5 of 60; 21 + 2.5 + 21 = 44.5 is more than 40.
        assert_eq!(spots(area(60, 40), area(23, 21), AIR_BETWEEN_TINS).len(), 2);
        assert_eq!(spots(area(60, 40), area(60, 40), AIR_BETWEEN_TINS).len(), 1);
        assert_eq!(spots(area(60, 40), area(61, 40), AIR_BETWEEN_TINS).len(), 0);
        // Two lengthwise and one across behind them.
        assert_eq!(spots(area(30, 40), area(12, 24), Centimetres::ZERO).len(), 3);
        // Four that turn about the middle.
        assert_eq!(spots(area(7, 7), area(3, 4), Centimetres::ZERO).len(), 4);
    }

    /// Fewest loads depend on the most tins: whole tins placed on a grid of centimetres by looking at every way.
    fn brute(rack: (i64, i64), thing: (i64, i64), taken: &mut Vec<(i64, i64, i64, i64)>) -> usize {
        let mut best = taken.len();
        let last = taken.last().map_or((0, 0), |t| (t.0, t.1));
        for x in last.0..rack.0 {
            for y in 0..rack.1 {
                if (x, y) < last {
                    continue;
                }
                for (w, d) in [thing, (thing.1, thing.0)] {
                    let free = taken
                        .iter()
                        .all(|t| x + w <= t.0 || t.0 + t.2 <= x || y + d <= t.1 || t.1 + t.3 <= y);
                    if x + w <= rack.0 && y + d <= rack.1 && free {
                        taken.push((x, y, w, d));
                        best = best.max(brute(rack, thing, taken));
                        taken.pop();
                    }
                }
            }
        }
        best
    }

    proptest! {
        #[test]
        fn spots_lie_inside_and_apart(w in 10i64..90, d in 10i64..70, tw in 3i64..40, td in 3i64..40, air in 0i64..5) {
            let found = spots(area(w, d), area(tw, td), Centimetres::whole(air));
            let air = Centimetres::whole(air);
            for (i, a) in found.iter().enumerate() {
                prop_assert!(a.x + a.size.width <= Centimetres::whole(w) && a.y + a.size.depth <= Centimetres::whole(d));
                for b in &found[i + 1..] {
                    let apart = a.x + a.size.width + air <= b.x || b.x + b.size.width + air <= a.x
                        || a.y + a.size.depth + air <= b.y || b.y + b.size.depth + air <= a.y;
                    prop_assert!(apart);
                }
            }
        }

        /// Up to four things on a rack, which is what ovens of this size hold.
        #[test]
        fn as_many_as_brute_force_finds(w in 3i64..8, d in 3i64..8, tw in 2i64..6, td in 2i64..6) {
            prop_assume!(w * d / (tw * td) <= 4);
            let found = spots(area(w, d), area(tw, td), Centimetres::ZERO).len();
            prop_assert_eq!(found, brute((w, d), (tw, td), &mut Vec::new()));
        }
    }
}
