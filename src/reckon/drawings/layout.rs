//! Sizes of dough from its mass, and places on a tray.

use crate::course::Area;
use crate::units::{Centimetres, Grams};
use std::f64::consts::PI;

/// Density of knocked-back dough in g/cm3, the middle of 1.05 to 1.15: row `dens-sheet` (derived from pup-loaf figures plus trade
/// handling). It only sizes drawings.
const DOUGH_DENSITY: f64 = 1.1;

/// The diameter of a ball of dough of this mass.
pub fn ball_diameter(mass: Grams) -> Centimetres {
    let volume = mass.to_f64().max(0.0) / DOUGH_DENSITY;
    Centimetres::from_f64((6.0 * volume / PI).cbrt())
}

/// The diameter of a sheet rolled up: its cross-section keeps its area.
pub fn roll_diameter(length: Centimetres, thickness: Centimetres) -> Centimetres {
    Centimetres::from_f64((4.0 * length.to_f64().max(0.0) * thickness.to_f64().max(0.0) / PI).sqrt())
}

/// Where buns lie on a tray.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct TrayLayout {
    /// Centres from the tray's left front corner.
    pub centres: Vec<(Centimetres, Centimetres)>,
    /// The smallest gap between two buns or between a bun and the edge; below nought, they do not fit.
    pub gap: Centimetres,
    /// Rows, front to back.
    pub rows: u32,
    /// Buns in a full row.
    pub columns: u32,
}

/// Spreads buns over a tray in even rows, as far apart as rows allow; a last row that is not full is spread evenly too.
pub fn tray_positions(width: Centimetres, depth: Centimetres, buns: u32, bun: Centimetres) -> TrayLayout {
    let (w, h, d) = (width.to_f64(), depth.to_f64(), bun.to_f64());
    let gap_of = |n: u32, room: f64| (room - f64::from(n) * d) / f64::from(n + 1);
    let buns = buns.max(1);
    let (rows, columns, gap) = (1..=buns)
        .map(|rows| {
            let columns = buns.div_ceil(rows);
            let rows = buns.div_ceil(columns);
            (rows, columns, gap_of(columns, w).min(gap_of(rows, h)))
        })
        // The first of equals: fewer rows.
        .fold((1, buns, f64::MIN), |best, now| if now.2 > best.2 + 1e-9 { now } else { best });
    let centres = (0..buns)
        .map(|i| {
            let row = i / columns;
            let in_row = columns.min(buns - row * columns);
            let place = |k: u32, n: u32, room: f64| {
                let gap = gap_of(n, room);
                Centimetres::from_f64(gap + d / 2.0 + f64::from(k) * (gap + d))
            };
            (place(i % columns, in_row, w), place(row, rows, h))
        })
        .collect();
    TrayLayout { centres, gap: Centimetres::from_f64(gap), rows, columns }
}

/// A piece on a tray: its middle from the tray's left front corner, and whether it lies turned by a quarter.
pub type Laid = (Centimetres, Centimetres, bool);

/// Spreads pieces of any proportion over a tray in even rows, all turned the same way: the one that leaves the most room between
/// them.
pub fn laid_out(tray: Area, piece: Area, pieces: u32) -> Vec<Laid> {
    let gap_of = |n: u32, room: Centimetres, one: Centimetres| {
        (room.to_f64() - f64::from(n) * one.to_f64()) / f64::from(n + 1)
    };
    let mut best: Option<(f64, u32, u32, bool)> = None;
    for turned in [false, true] {
        let (w, d) = if turned { (piece.depth, piece.width) } else { (piece.width, piece.depth) };
        for rows in 1..=pieces {
            let columns = pieces.div_ceil(rows);
            let rows = pieces.div_ceil(columns);
            let gap = gap_of(columns, tray.width, w).min(gap_of(rows, tray.depth, d));
            if best.is_none_or(|(most, ..)| gap > most + 1e-9) {
                best = Some((gap, rows, columns, turned));
            }
        }
    }
    let Some((_, rows, columns, turned)) = best else { return Vec::new() };
    let (w, d) = if turned { (piece.depth, piece.width) } else { (piece.width, piece.depth) };
    let place = |k: u32, n: u32, room: Centimetres, one: Centimetres| {
        let gap = gap_of(n, room, one);
        Centimetres::from_f64(gap + one.to_f64() / 2.0 + f64::from(k) * (gap + one.to_f64()))
    };
    (0..pieces)
        .map(|i| {
            let row = i / columns;
            let in_row = columns.min(pieces - row * columns);
            (place(i % columns, in_row, tray.width, w), place(row, rows, tray.depth, d), turned)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_strand_weighs_what_its_size_says() {
        // ex-strand-mass and braid-strand: 16 in x 1 in at 1.15 g/cm3 is 236.8 g; a ball of that mass at our density
        // has the volume 236.8 / 1.1.
        let ball = ball_diameter(Grams::from_mg(236_800)).to_f64();
        assert!((PI / 6.0 * ball.powi(3) * DOUGH_DENSITY - 236.8).abs() < 0.5);
    }

    fn area(w: i64, d: i64) -> Area {
        Area { width: Centimetres::whole(w), depth: Centimetres::whole(d) }
    }

    /// Three of 35 x 12 on a tray of 60 x 40: across it (40 - 36) / 4 = 1 cm is between them, turned (40 - 35) / 2 = 2.5 cm.
    #[test]
    fn long_pieces_lie_as_they_have_most_room() {
        let three = laid_out(area(60, 40), area(35, 12), 3);
        assert!(three.iter().all(|(.., turned)| *turned), "{three:?}");
        let two = laid_out(area(60, 40), area(50, 14), 2);
        assert!(two.iter().all(|(.., turned)| !turned), "{two:?}");
        // 40 less two of 14 leaves 12 for three gaps: the middles are at 4 + 7 and 4 + 14 + 4 + 7.
        assert_eq!(two.iter().map(|(_, y, _)| y.thousandths()).collect::<Vec<_>>(), [11_000, 29_000]);
        assert_eq!(laid_out(area(60, 40), area(8, 8), 0), []);
    }

    proptest! {
        /// Round pieces lie as the drawing of a tray has them.
        #[test]
        fn even_sides_lie_as_buns_do(w in 20i64..70, h in 20i64..70, n in 1u32..40, d in 3i64..9) {
            let laid = laid_out(area(w, h), area(d, d), n);
            let buns = tray_positions(Centimetres::whole(w), Centimetres::whole(h), n, Centimetres::whole(d));
            let middles: Vec<_> = laid.iter().map(|(x, y, _)| (*x, *y)).collect();
            prop_assert_eq!(middles, buns.centres);
        }

        #[test]
        fn buns_keep_their_gap(w in 20i64..70, h in 20i64..70, n in 1u32..40, d in 3i64..9) {
            let (w, h, d) = (Centimetres::whole(w), Centimetres::whole(h), Centimetres::whole(d));
            let tray = tray_positions(w, h, n, d);
            prop_assert_eq!(tray.centres.len(), n as usize);
            let gap = tray.gap.to_f64();
            for (i, a) in tray.centres.iter().enumerate() {
                for b in &tray.centres[..i] {
                    let apart = (a.0 - b.0).to_f64().hypot((a.1 - b.1).to_f64());
                    prop_assert!(apart + 0.02 >= gap + d.to_f64() || gap < 0.0);
                }
            }
        }
    }
}
