//! From dough to pieces and back: losses, sheet, roll, strands.
use crate::course::Area;
use crate::units::{Centimetres, Grams, GramsPerMl, Percent};
use rust_decimal::Decimal;
use std::f64::consts::PI;

/// Density of a dough as mixed and of one degassed for rolling: 173.5 g in 145 cm³ (row `dens-mixed`, food-science encyclopedia
/// chapter on bakery leavening; `dens-table` prints 1.18).
pub const DOUGH_DENSITY: GramsPerMl = GramsPerMl::from_thousandths(1_197);

/// What must go in so that `out` comes out after a loss. `None` for a loss of everything.
pub fn before_loss(out: Grams, loss: Percent) -> Option<Grams> {
    let left = Decimal::ONE - loss.factor();
    if left <= Decimal::ZERO {
        return None;
    }
    Grams::from_decimal(out.to_decimal().checked_div(left)?)
}

/// What comes out after a loss.
pub fn after_loss(into: Grams, loss: Percent) -> Grams {
    into - loss.of(into)
}

/// Several losses one after the other, as one: they are multiplied, as they happen (a source that adds 2 and 11 to 13 % means
/// 12.78 %; row `loss-process`).
pub fn combined_loss(losses: &[Percent]) -> Percent {
    let left: Decimal = losses.iter().map(|l| Decimal::ONE - l.factor()).product();
    Percent::from_factor(Decimal::ONE - left)
}

/// What a loaf weighs three hours after the oven, by the straight line through measured ones: `dough = 45.654 g + 1.0624 x bread`
/// (row `loss-bake-regression`, Bocevska, Dimeski and Aldabas, Kemija u industriji: wheat bread, 650 to 1000 g of dough). `None`
/// for a dough outside what was measured. An estimate, where nobody weighed the bread.
pub fn baked_by_line(dough: Grams) -> Option<Grams> {
    (Grams::whole(650)..=Grams::whole(1000))
        .contains(&dough)
        .then(|| (dough - Grams::from_mg(45_654)).ratio(10_000, 10_624))
}

/// Whole pieces from a dough, and what is left.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct PieceCount {
    /// Whole pieces.
    pub pieces: i64,
    /// What is too little for one more.
    pub left: Grams,
}

/// How many whole pieces of `one` a dough gives. `None` for a piece of no weight.
pub fn pieces_from(dough: Grams, one: Grams) -> Option<PieceCount> {
    if one <= Grams::ZERO || dough < Grams::ZERO {
        return None;
    }
    let pieces = dough.mg() / one.mg();
    Some(PieceCount { pieces, left: dough - one.times(pieces) })
}

/// How thick a mass of dough lies on a sheet: mass by density and area (row `sheet-formula`). `None` for a sheet without area.
pub fn thickness(mass: Grams, sheet: Area, density: GramsPerMl) -> Option<Centimetres> {
    let area = sheet.width.to_f64() * sheet.depth.to_f64();
    let volume = mass.volume(density)?;
    (area > 0.0).then(|| Centimetres::from_f64(volume.to_f64() / area))
}

/// The side of a sheet, when the mass, the other side and the thickness are given. `None` for nought.
pub fn sheet_side(
    mass: Grams,
    other: Centimetres,
    thickness: Centimetres,
    density: GramsPerMl,
) -> Option<Centimetres> {
    let across = other.to_f64() * thickness.to_f64();
    let volume = mass.volume(density)?;
    (across > 0.0).then(|| Centimetres::from_f64(volume.to_f64() / across))
}

/// A sheet rolled up.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Roll {
    /// Full turns of the spiral.
    pub turns: f64,
    /// Across the finished roll.
    pub diameter: Centimetres,
}

/// How often a sheet of this length goes round when it is rolled up, by the arc length of an Archimedean spiral (row
/// `spiral-exact`); `thickness` with the filling on it. `None` for nought.
pub fn roll_up(length: Centimetres, thickness: Centimetres) -> Option<Roll> {
    let (length, thickness) = (length.to_f64(), thickness.to_f64());
    if length <= 0.0 || thickness <= 0.0 {
        return None;
    }
    let arc = |turns: f64| {
        let t = 2.0 * PI * turns;
        thickness / (4.0 * PI) * (t * t.hypot(1.0) + t.asinh())
    };
    // The arc length grows with the turns, so halving finds them; the approximation bounds them from above.
    let (mut low, mut high) = (0.0, (length / (PI * thickness)).sqrt() + 1.0);
    for _ in 0..60 {
        let middle = (low + high) / 2.0;
        if arc(middle) < length { low = middle } else { high = middle }
    }
    let turns = (low + high) / 2.0;
    Some(Roll { turns, diameter: Centimetres::from_f64(2.0 * turns * thickness) })
}

/// How wide each slice of a roll is.
pub fn slice_width(roll: Centimetres, slices: u32) -> Option<Centimetres> {
    (slices > 0).then(|| roll.ratio(1, i64::from(slices)))
}

/// How long a round strand of this mass is when it is so thick. `None` for no thickness.
pub fn strand_length(mass: Grams, across: Centimetres, density: GramsPerMl) -> Option<Centimetres> {
    let volume = mass.volume(density)?;
    (across > Centimetres::ZERO)
        .then(|| Centimetres::from_f64(volume.to_f64() / (PI / 4.0 * across.to_f64().powi(2))))
}

/// How thick a strand is when this mass is rolled out to this length. `None` for no length.
pub fn strand_thickness(mass: Grams, length: Centimetres, density: GramsPerMl) -> Option<Centimetres> {
    let volume = mass.volume(density)?;
    (length > Centimetres::ZERO)
        .then(|| Centimetres::from_f64((4.0 * volume.to_f64() / (PI * length.to_f64())).sqrt()))
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::reckon::formula::build::{g, pc};
    use proptest::prelude::*;

    #[test]
    fn losses_are_multiplied() {
        assert_eq!(combined_loss(&[pc("2"), pc("11")]), pc("12.78"));
        assert_eq!(before_loss(g("98"), pc("2")), Some(g("100")));
        assert_eq!(after_loss(g("100"), pc("2")), g("98"));
        assert_eq!(before_loss(g("98"), pc("100")), None);
    }

    #[test]
    fn a_strand_rolled_to_a_length_and_measured_is_as_long_again() {
        let thick = strand_thickness(g("115"), Centimetres::whole(42), DOUGH_DENSITY).unwrap();
        let back = strand_length(g("115"), thick, DOUGH_DENSITY).unwrap();
        assert!((back - Centimetres::whole(42)).thousandths().abs() < 100, "{back:?}");
        assert_eq!(strand_length(g("115"), Centimetres::ZERO, DOUGH_DENSITY), None);
    }

    #[test]
    fn the_line_says_nothing_of_what_was_not_measured() {
        assert_eq!(baked_by_line(g("649")), None);
        assert_eq!(baked_by_line(g("1001")), None);
        assert!(baked_by_line(g("800")).is_some_and(|b| b > g("709") && b < g("711")));
    }

    proptest! {
        #[test]
        fn the_spiral_lies_close_to_the_bakers_rule(length in 10.0f64..80.0, thickness in 0.3f64..1.5) {
            let roll = roll_up(Centimetres::from_f64(length), Centimetres::from_f64(thickness)).unwrap();
            // Row spiral-archimedes: N = sqrt(length / (pi x thickness)).
            prop_assert!((roll.turns - (length / (PI * thickness)).sqrt()).abs() < 0.05);
        }

        #[test]
        fn pieces_and_rest_make_the_dough(dough in 0i64..90_000_000, one in 1i64..2_000_000) {
            let (dough, one) = (Grams::from_mg(dough), Grams::from_mg(one));
            let c = pieces_from(dough, one).unwrap();
            prop_assert_eq!(one.times(c.pieces) + c.left, dough);
            prop_assert!(c.left < one);
        }
    }
}
