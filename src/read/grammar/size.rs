//! Sizes: `28 x 38 cm`, `23 x 21 x 7 cm`, `20 cm round, 6 cm deep`.

use super::quantity::centimetres_of;
use super::{FromText, Slip, Word, Words};
use crate::course::{Area, Box3, Inside};
use crate::units::Centimetres;
use rust_decimal::Decimal;

/// Ten kilometres: longer than any kitchen.
const MOST: i64 = 1_000_000;

fn length(words: &Words, number: Decimal, unit: &str) -> Result<Centimetres, Slip> {
    let per = centimetres_of(unit).ok_or_else(|| words.wrong_unit(unit))?;
    let cm =
        number.checked_mul(per).filter(|d| *d <= Decimal::from(MOST)).ok_or_else(|| words.too_large())?;
    match Centimetres::from_decimal(cm) {
        Some(c) if c > Centimetres::ZERO => Ok(c),
        _ => Err(Slip::new(
            "nought-size",
            format!("\"{}\" has a side of no length", words.text()),
            "measure it and write every side",
        )),
    }
}

/// `n` lengths with `x` between them; the unit may stand once, at the end.
fn sides(words: &mut Words, n: usize) -> Result<Vec<Centimetres>, Slip> {
    let mut written: Vec<(Decimal, Option<String>)> = Vec::new();
    loop {
        let number = words.number_from_nought()?;
        let unit = if words.unit_follows() { Some(words.unit()?) } else { None };
        written.push((number, unit));
        if !(words.eat_sign('x') || words.eat("x") || words.eat("by")) {
            break;
        }
    }
    if written.len() != n {
        return Err(words.unreadable());
    }
    let Some((_, Some(last))) = written.last().cloned() else { return Err(words.no_unit()) };
    written.iter().map(|(number, unit)| length(words, *number, unit.as_deref().unwrap_or(&last))).collect()
}

fn one(words: &mut Words) -> Result<Centimetres, Slip> {
    let number = words.number_from_nought()?;
    let unit = words.unit()?;
    length(words, number, &unit)
}

impl FromText for Area {
    const WHAT: &'static str = "a flat size";
    const LIKE: &'static str = "`28 x 38 cm`";
    fn from_words(words: &mut Words) -> Result<Self, Slip> {
        match sides(words, 2)?[..] {
            [width, depth] => Ok(Area { width, depth }),
            _ => Err(words.unreadable()),
        }
    }
    fn stand_in() -> Self {
        Area { width: Centimetres::whole(1), depth: Centimetres::whole(1) }
    }
}

impl FromText for Box3 {
    const WHAT: &'static str = "an outside size";
    const LIKE: &'static str = "`23 x 21 x 7 cm`";
    fn from_words(words: &mut Words) -> Result<Self, Slip> {
        match sides(words, 3)?[..] {
            [width, depth, height] => Ok(Box3 { width, depth, height }),
            _ => Err(words.unreadable()),
        }
    }
    fn stand_in() -> Self {
        Box3 { width: Centimetres::whole(1), depth: Centimetres::whole(1), height: Centimetres::whole(1) }
    }
}

impl FromText for Inside {
    const WHAT: &'static str = "the inside of a tin";
    const LIKE: &'static str =
        "`20 cm round, 6 cm deep`, `24 x 10 cm, 8 cm deep` or `24 cm ring, 8 cm hole, 7 cm deep`";
    fn from_words(words: &mut Words) -> Result<Self, Slip> {
        let mut ahead = words.clone();
        let box_like = ahead.number_from_nought().is_ok()
            && (matches!(ahead.peek(), Some(Word::Sign('x')))
                || (ahead.unit_follows() && ahead.unit().is_ok() && ahead.eat_sign('x')));
        if box_like {
            let flat = Area::from_words(words)?;
            let deep = depth(words)?;
            return Ok(Inside::Square { length: flat.width, width: flat.depth, deep });
        }
        let across = one(words)?;
        if words.eat("round") {
            return Ok(Inside::Round { across, deep: depth(words)? });
        }
        if words.eat("square") {
            return Ok(Inside::Square { length: across, width: across, deep: depth(words)? });
        }
        if words.eat("ring") && words.eat_sign(',') {
            let hole = one(words)?;
            if !words.eat("hole") {
                return Err(words.unreadable());
            }
            if hole >= across {
                return Err(Slip::new(
                    "nought-size",
                    format!("\"{}\": the hole is as wide as the ring", words.text()),
                    "measure the ring and its hole from rim to rim",
                ));
            }
            return Ok(Inside::Ring { across, hole, deep: depth(words)? });
        }
        Err(words.unreadable())
    }
    fn stand_in() -> Self {
        Inside::Round { across: Centimetres::whole(1), deep: Centimetres::whole(1) }
    }
}

fn depth(words: &mut Words) -> Result<Centimetres, Slip> {
    if !words.eat_sign(',') {
        return Err(words.unreadable());
    }
    let deep = one(words)?;
    if words.eat("deep") { Ok(deep) } else { Err(words.unreadable()) }
}

#[cfg(test)]
mod tests {
    use super::super::read;
    use super::*;

    const fn cm(n: i64) -> Centimetres {
        Centimetres::whole(n)
    }

    #[test]
    fn flat_sizes_and_boxes() {
        assert_eq!(read::<Area>("28 x 38 cm"), Ok(Area { width: cm(28), depth: cm(38) }));
        assert_eq!(read::<Area>("11x15 in").map(|a| a.width), Ok(Centimetres::from_thousandths(27_940)));
        assert_eq!(read::<Area>("70 × 37 mm").map(|a| a.width), Ok(cm(7)));
        assert_eq!(read::<Box3>("23 x 21 x 7 cm"), Ok(Box3 { width: cm(23), depth: cm(21), height: cm(7) }));
        assert_eq!(read::<Area>("28 x 38").expect_err("refused").code, "number-without-unit");
        assert_eq!(read::<Area>("28 cm").expect_err("refused").code, "unreadable");
        assert_eq!(read::<Area>("0 x 38 cm").expect_err("refused").code, "nought-size");
    }

    #[test]
    fn tins() {
        assert_eq!(
            read::<Inside>("20 cm round, 6 cm deep"),
            Ok(Inside::Round { across: cm(20), deep: cm(6) })
        );
        assert_eq!(
            read::<Inside>("24 x 10 cm, 8 cm deep"),
            Ok(Inside::Square { length: cm(24), width: cm(10), deep: cm(8) })
        );
        assert_eq!(
            read::<Inside>("24 cm ring, 8 cm hole, 7 cm deep"),
            Ok(Inside::Ring { across: cm(24), hole: cm(8), deep: cm(7) })
        );
        assert_eq!(
            read::<Inside>("20 cm square, 5 cm deep"),
            Ok(Inside::Square { length: cm(20), width: cm(20), deep: cm(5) })
        );
        assert!(read::<Inside>("20 cm round").is_err());
        assert!(read::<Inside>("8 cm ring, 24 cm hole, 7 cm deep").is_err());
    }
}
