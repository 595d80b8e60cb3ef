//! The gallery: every drawing with three sets of measures, for one who redraws them and for the tests.

use super::drawing::{Units, drawing};
use crate::reckon::drawings::{Braid, BraidError, Drawing, Fold, TinShape, Washed};
use crate::typeset::{DocumentSpec, Kind, PageLook};
use crate::units::{Celsius, Centimetres, Grams, Minutes, Percent};
use rust_decimal::Decimal;
use serde_json::{Value, json};
use std::collections::BTreeMap;

fn cm(tenths: i64) -> Centimetres {
    Centimetres::from_thousandths(tenths * 100)
}

fn g(whole: i64) -> Grams {
    Grams::whole(whole)
}

fn loaf(length: i64, depth: i64) -> TinShape {
    TinShape::Loaf { length: cm(length), depth: cm(depth) }
}

fn round(diameter: i64, depth: i64) -> TinShape {
    TinShape::Round { diameter: cm(diameter), depth: cm(depth) }
}

/// Every drawing with three sets of measures, in the order of [`Drawing::NAMES`]; braids of three, four, five and six strands.
///
/// # Errors
/// Never, as long as the sequences below are sequences.
pub fn samples() -> Result<Vec<[Drawing; 3]>, BraidError> {
    use Drawing::{
        AddButter, BookFold, Coil, CutLengthwise, Divide, EggWash, FillPinch, Knot, LetterFold, OnTray, Pipe,
        PlaceInTin, Probe, Rest, RiseLevel, RollOut, RollUp, Round, Score, Slice, Spread, Syrup, TurnOut,
        Twist, Weigh, Windowpane,
    };
    let to = |n: i64| Percent::new(Decimal::from(n));
    let braid = |strands, once, repeat, rounds, strand| {
        Braid::read(strands, once, repeat).map(|braid| Drawing::Braid {
            braid,
            rounds,
            strand: Some(cm(strand)),
        })
    };
    Ok(vec![
        [g(40), g(480), g(1250)].map(|amount| Weigh { amount }),
        [(60, 4), (180, 6), (420, 12)].map(|(total, pieces)| AddButter {
            total: g(total),
            pieces,
            by_hand: false,
        }),
        [60, 80, 100].map(|across| Windowpane { across: cm(across) }),
        [(160, 200, 60, 180), (240, 200, 80, 200), (200, 300, 120, 150)].map(|(w, h, s, p)| RiseLevel {
            tub_width: cm(w),
            tub_height: cm(h),
            start: cm(s),
            to: to(p),
        }),
        [(4, 240), (8, 60), (12, 45)].map(|(pieces, each)| Divide { pieces, each: g(each) }),
        [45, 90, 480].map(|piece| Round { piece: g(piece) }),
        [(10, 3), (20, 6), (90, 1)].map(|(time, pieces)| Rest { time: Minutes(time), pieces }),
        [(280, 380), (400, 260), (240, 480)].map(|(w, l)| RollOut { width: cm(w), length: cm(l) }),
        [(280, 380, 20), (400, 260, 15), (240, 480, 30)].map(|(w, l, b)| Spread {
            width: cm(w),
            length: cm(l),
            bare: cm(b),
        }),
        [(280, 380, 8), (400, 260, 10), (240, 480, 6)].map(|(w, l, t)| RollUp {
            width: cm(w),
            length: cm(l),
            thickness: cm(t),
        }),
        [(280, 60, 8), (400, 55, 12), (240, 62, 6)].map(|(l, d, slices)| Slice {
            length: cm(l),
            diameter: cm(d),
            slices,
        }),
        [(80, 20), (100, 35), (120, 60)].map(|(d, f)| FillPinch { disc: cm(d), filling: g(f) }),
        [(15, 100, 3, None), (12, 140, 4, None), (35, 35, 1, Some(cm(80)))].map(|(b, l, beads, onto)| Pipe {
            bead: cm(b),
            length: cm(l),
            beads,
            onto,
        }),
        [(280, 60, 0), (400, 55, 20), (240, 70, 30)].map(|(l, d, j)| CutLengthwise {
            length: cm(l),
            diameter: cm(d),
            joined: cm(j),
        }),
        [(280, 3), (400, 5), (320, 7)].map(|(l, crossings)| Twist { length: cm(l), crossings }),
        // Row braid-3: community education page, step-by-step three-strand challah.
        // Row braid-4: culinary student's class notes on 4- and 5-strand braids.
        // Row braid-6: egg-bread mix maker's 6-strand braiding instructions.
        [
            braid(3, "", "1 over 2, 3 over 2", 3, 400)?,
            braid(4, "", "4 over 2, 1 over 3, 2 over 3", 2, 380)?,
            braid(6, "6 over 1", "2 over 6, 1 over 3, 5 over 1, 6 over 4", 2, 300)?,
        ],
        // Row braid-5: bread blog, Challah - 5 strand braid, 26 January 2009. Row braid-6-alt: over two, under one, over two.
        [
            braid(5, "", "1 over 3, 2 over 3, 5 over 2", 3, 360)?,
            braid(6, "", "6 over 4 under 3 over 1", 6, 340)?,
            braid(2, "", "1 over 2", 5, 300)?,
        ],
        [(400, 25), (300, 20), (550, 30)].map(|(l, t)| Coil { length: cm(l), thickness: cm(t) }),
        [(220, 20), (280, 30), (260, 15)].map(|(l, t)| Knot { length: cm(l), thickness: cm(t) }),
        [vec![], vec![Fold::Letter], vec![Fold::Book, Fold::Letter]].map(|before| LetterFold {
            width: cm(200),
            length: cm(450),
            before,
            butter: true,
        }),
        [vec![], vec![Fold::Letter], vec![Fold::Letter, Fold::Letter]].map(|before| BookFold {
            width: cm(220),
            length: cm(480),
            before,
            butter: true,
        }),
        [(loaf(250, 75), 45, 2), (round(200, 60), 30, 1), (loaf(200, 100), 40, 4)]
            .map(|(tin, fill, pieces)| PlaceInTin { tin, fill: cm(fill), pieces }),
        [(600, 400, 12, 70), (450, 300, 6, 80), (400, 300, 7, 60)].map(|(w, d, buns, bun)| OnTray {
            width: cm(w),
            depth: cm(d),
            buns,
            bun: cm(bun),
        }),
        [
            (1, 8, Washed::FilledBun),
            (2, 12, Washed::Braid { braid: Braid::read(4, "", "4 over 2, 1 over 3, 2 over 3")? }),
            (3, 15, Washed::InTin { tin: round(200, 60), pieces: 4 }),
        ]
        .map(|(coats, wash, on)| EggWash { coats, wash: g(wash), on }),
        [(200, 3, 5), (280, 5, 8), (300, 1, 10)].map(|(l, cuts, d)| Score {
            length: cm(l),
            cuts,
            depth: cm(d),
        }),
        [(loaf(250, 75), 10, None), (round(200, 60), 15, Some(20)), (loaf(200, 100), 5, None)]
            .map(|(tin, wait, most)| TurnOut { tin, wait: (Minutes(wait), most.map(Minutes)) }),
        [(90, 240, 90, 94), (60, 200, 88, 92), (120, 180, 92, 96)].map(|(h, l, least, most)| Probe {
            height: cm(h),
            length: cm(l),
            least: Celsius::whole(least),
            most: Celsius::whole(most),
        }),
        [(240, 60), (200, 40), (300, 90)].map(|(l, s)| Syrup { length: cm(l), syrup: g(s) }),
    ])
}

/// The gallery as a document, in this look.
///
/// # Errors
/// As [`samples`].
pub fn document(look: &PageLook, units: Units) -> Result<DocumentSpec, BraidError> {
    Ok(DocumentSpec {
        template: Kind::Gallery.word().to_owned(),
        title: "Gallery".to_owned(),
        look: look.clone(),
        data: gallery(units)?,
        photographs: BTreeMap::new(),
        ident: "gallery".to_owned(),
        fold: 0,
    })
}

/// The gallery's data.
///
/// # Errors
/// As [`samples`].
pub fn gallery(units: Units) -> Result<Value, BraidError> {
    let rows: Vec<Vec<Value>> =
        samples()?.iter().map(|row| row.iter().map(|d| drawing(d, units)).collect()).collect();
    Ok(json!({ "rows": rows }))
}
