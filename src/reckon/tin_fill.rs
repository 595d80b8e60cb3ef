//! Whether a piece fits its tin: the tin's volume against the mass in it, by kind of bread.
use crate::course::{BreadKind, DoughClass, Inside, Tin};
use crate::finding::Level;
use crate::units::{Grams, Millilitres, MlPerGram};
use std::f64::consts::PI;

/// The volume of a tin's inside with straight walls (row `pan-geometry`).
pub fn volume(inside: Inside) -> Millilitres {
    let cm3 = match inside {
        Inside::Round { across, deep } => PI / 4.0 * across.to_f64().powi(2) * deep.to_f64(),
        Inside::Square { length, width, deep } => length.to_f64() * width.to_f64() * deep.to_f64(),
        Inside::Ring { across, hole, deep } => {
            PI / 4.0 * (across.to_f64().powi(2) - hole.to_f64().powi(2)) * deep.to_f64()
        }
    };
    Millilitres::from_f64(cm3.max(0.0))
}

/// How much less a tin with sloping walls holds than its upper edge promises: measured 0.856 to 0.906 of the box (row
/// `pan-taper`).
const TAPER: (i64, i64) = (856, 1000);

/// Room in the tin for each gram in it, from the fullest to the emptiest in print or in use.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Filling {
    /// Fullest: below it the piece climbs out.
    pub least: MlPerGram,
    /// Emptiest: above it the piece does not fill the tin.
    pub most: MlPerGram,
    /// Warning for published points, note for trade ratios.
    pub level: Level,
    /// Rows and sources.
    pub source: &'static str,
}

/// The published points for a kind of bread, and the trade's narrower ratios.
pub fn fillings(kind: BreadKind, class: DoughClass) -> [Filling; 2] {
    let of = |least, most, level, source| {
        let each = MlPerGram::from_thousandths;
        Filling { least: each(least), most: each(most), level, source }
    };
    let warning = |least, most, source| of(least, most, Level::Warning, source);
    let note = |least, most, source| of(least, most, Level::Note, source);
    match (kind, class) {
        (BreadKind::Plain, DoughClass::Lean) => [
            warning(
                3_100,
                4_390,
                "pan-mil-a (US TM 10-412, D-010: 3.1) to pan-ratio-open-wholesale (bread-production text: 4.39)",
            ),
            note(3_300, 4_400, "pan-ratios (trade)"),
        ],
        (BreadKind::Plain, DoughClass::Enriched) => [
            warning(
                2_100,
                4_120,
                "pan-brioche-8x4 (N. Malgieri 2017: 946 ml to 450 g) to pan-mil-a (US TM 10-412, D-010: 4.12)",
            ),
            note(2_500, 3_900, "pan-ratios (trade)"),
        ],
        (BreadKind::Plain, DoughClass::Rich) => [
            warning(
                2_100,
                4_120,
                "pan-brioche-8x4 (N. Malgieri 2017: 946 ml to 450 g) to pan-mil-a (US TM 10-412, D-010: 4.12)",
            ),
            note(2_200, 2_900, "pan-ratios (trade)"),
        ],
        // The filling does not rise, and slices stand with gaps: the mass is that of dough and filling together.
        (BreadKind::Filled, _) => [
            warning(
                1_270,
                4_120,
                "pan-babka-paper (pastry educator's card: 859 cm3 to 675 g) to pan-mil-a (US TM 10-412, D-010: 4.12)",
            ),
            note(1_270, 3_200, "pan-ratios (trade)"),
        ],
        (BreadKind::Lidded, DoughClass::Lean) => [
            warning(2_730, 3_280, "pan-pullman-rule (5 to 6 g to the cubic inch)"),
            note(2_900, 3_300, "pan-ratios (trade)"),
        ],
        (BreadKind::Lidded, _) => [
            warning(2_600, 3_280, "pan-pullman-rule (5 to 6 g to the cubic inch); pan-ratios"),
            note(2_600, 3_000, "pan-ratios (trade)"),
        ],
    }
}

/// How a piece lies in its tin.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Fit {
    /// Within all ratios.
    Good,
    /// Too much in it.
    TooSmall,
    /// Too little in it.
    TooLarge,
}

/// A piece in its tin, with what was compared.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct TinFill {
    /// All that goes in.
    pub mass: Grams,
    /// The tin's volume: by water, or reckoned with straight walls.
    pub volume: Millilitres,
    /// `true`: the volume was measured with water.
    pub measured: bool,
    /// The room that each gram has.
    pub ratio: MlPerGram,
    /// The verdict.
    pub fit: Fit,
    /// The filling that it misses; the published one where all are met.
    pub against: Filling,
    /// The mass that would fill this tin well: at the middle of the trade's ratios.
    pub suits: Grams,
}

/// Compares a piece with its tin. `mass` is everything that goes in. `None` for a mass or volume of nought.
///
/// A tin whose volume is only reckoned may have sloping walls and hold up to a seventh less: it counts as too small only when
/// even straight walls would be, and as too large only when even sloping ones would be.
pub fn fill(tin: &Tin, mass: Grams, kind: BreadKind, class: DoughClass) -> Option<TinFill> {
    let measured = tin.holds.is_some();
    let volume = tin.holds.as_ref().map_or_else(|| volume(tin.inside.value), |h| h.value);
    if volume <= Millilitres::ZERO {
        return None;
    }
    let ratio = volume.for_each(mass)?;
    let least_ratio = if measured { ratio } else { ratio.ratio(TAPER.0, TAPER.1) };
    let [published, trade] = fillings(kind, class);
    let judge = |f: &Filling| match () {
        () if ratio < f.least => Fit::TooSmall,
        () if least_ratio > f.most => Fit::TooLarge,
        () => Fit::Good,
    };
    let (against, fit) = [published, trade]
        .into_iter()
        .map(|f| (f, judge(&f)))
        .find(|(_, fit)| *fit != Fit::Good)
        .unwrap_or((published, Fit::Good));
    let suits = volume.holds_at((trade.least + trade.most).ratio(1, 2))?.to_nearest(Grams::whole(5));
    Some(TinFill { mass, volume, measured, ratio, fit, against, suits })
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::course::Box3;
    use crate::finding::Located;
    use crate::reckon::formula::build::g;
    use crate::units::{Centimetres, Minutes};

    fn tin(inside: Inside, holds: Option<i64>) -> Tin {
        let cm = Centimetres::whole(30);
        Tin {
            id: Located::assumed("tin".into()),
            name: None,
            count: Located::assumed(1),
            inside: Located::assumed(inside),
            holds: holds.map(|h| Located::assumed(Millilitres::whole(h))),
            outside: Located::assumed(Box3 { width: cm, depth: cm, height: cm }),
            between: Located::assumed(Minutes::ZERO),
            loan: None,
        }
    }

    fn round(across: i64, deep: i64) -> Inside {
        Inside::Round { across: Centimetres::whole(across), deep: Centimetres::whole(deep) }
    }

    #[test]
    fn filled_breads_fill_less_than_plain_ones() {
        // 1885 cm³: 1.71 to the gram.
        let t = tin(round(20, 6), None);
        let filled = fill(&t, g("1100"), BreadKind::Filled, DoughClass::Rich).unwrap();
        assert_eq!(filled.fit, Fit::Good);
        let plain = fill(&t, g("1100"), BreadKind::Plain, DoughClass::Rich).unwrap();
        assert_eq!((plain.fit, plain.against.level), (Fit::TooSmall, Level::Warning));
        assert_eq!(plain.suits, g("740"));
    }

    #[test]
    fn far_too_little_is_too_large_a_tin_and_a_little_off_is_only_a_note() {
        let t = tin(round(20, 6), Some(1885));
        let f = fill(&t, g("400"), BreadKind::Filled, DoughClass::Enriched).unwrap();
        assert_eq!((f.fit, f.against.level), (Fit::TooLarge, Level::Warning));
        let f = fill(&t, g("560"), BreadKind::Filled, DoughClass::Enriched).unwrap();
        assert_eq!((f.fit, f.against.level), (Fit::TooLarge, Level::Note));
        // The same tin by its measures alone might hold less than it seems.
        let t = tin(round(20, 6), None);
        assert_eq!(fill(&t, g("560"), BreadKind::Filled, DoughClass::Enriched).unwrap().fit, Fit::Good);
        assert_eq!(fill(&t, g("0"), BreadKind::Filled, DoughClass::Enriched), None);
    }

    #[test]
    fn a_rings_hole_holds_nothing() {
        let ring = Inside::Ring {
            across: Centimetres::whole(25),
            hole: Centimetres::whole(8),
            deep: Centimetres::whole(10),
        };
        assert!((volume(ring).to_f64() - 4406.1).abs() < 0.1);
    }
}
