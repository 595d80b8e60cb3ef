//! Sizes of dough from its mass, and places on a tray.

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

    proptest! {
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
