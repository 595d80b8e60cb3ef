use super::super::bands::SEAM;
use super::*;

fn sequence(moves: &[(usize, usize)]) -> String {
    moves.iter().map(|(a, b)| format!("{a} over {b}")).collect::<Vec<_>>().join(", ")
}

fn braid(strands: usize, once: &[(usize, usize)], repeat: &[(usize, usize)]) -> Braid {
    Braid::read(strands, &sequence(once), &sequence(repeat)).unwrap()
}

/// After how many rounds of the repeat the strands stand again as they stood before the first.
fn cycles(b: &Braid) -> u32 {
    let start = b.orders(0).pop().unwrap();
    (1..100).find(|n| b.orders(*n).pop().unwrap() == start).unwrap()
}

#[test]
fn three_strands() {
    // braid-3: community education page, step-by-step three-strand challah; The Cheese Board collective baking book.
    let b = braid(3, &[], &[(1, 2), (3, 2)]);
    assert_eq!(cycles(&b), 3);
}

#[test]
fn four_strands() {
    // braid-4 and ex-braid-4-moves: culinary student's class notes on 4- and 5-strand braids.
    let b = Braid::read(4, "", "4 over 2, 1 over 3, 2 over 3").unwrap();
    assert_eq!(b.orders(1).pop().unwrap(), [4, 1, 2, 3]);
    assert_eq!(b.orders(2).pop().unwrap(), [3, 4, 1, 2]);
    assert_eq!(cycles(&b), 4);
}

#[test]
fn five_strands() {
    // braid-5: bread blog, Challah - 5 strand braid, 26 January 2009; culinary student's class notes.
    let b = braid(5, &[], &[(1, 3), (2, 3), (5, 2)]);
    assert_eq!(b.orders(1).pop().unwrap(), [2, 5, 1, 3, 4]);
    assert_eq!(cycles(&b), 5);
}

#[test]
fn six_strands() {
    // braid-6 and ex-braid-6-moves: egg-bread mix maker's 6-strand braiding instructions (two arms, four legs).
    let b = braid(6, &[(6, 1)], &[(2, 6), (1, 3), (5, 1), (6, 4)]);
    assert_eq!(b.orders(0).pop().unwrap(), [6, 1, 2, 3, 4, 5]);
    assert_eq!(b.orders(1).pop().unwrap(), [5, 2, 3, 1, 6, 4]);
    // The row's pattern_after_one names the strands anew after the opening move: 6 is 1, 1 is 2 and so on.
    let named_anew: Vec<usize> = b.orders(1).pop().unwrap().iter().map(|s| s % 6 + 1).collect();
    assert_eq!(named_anew, [6, 3, 4, 2, 1, 5]);
    assert_eq!(cycles(&b), 3);
}

#[test]
fn who_lies_over_whom() {
    let b = Braid::read(4, "", "4 over 2, 1 over 3").unwrap();
    let seen: Vec<(usize, usize)> = b.crossings(1).iter().map(|c| (c.over, c.under)).collect();
    // Strand 4 passes over 3, then over 2; then strand 1 passes over 4 and over 2.
    assert_eq!(seen, [(4, 3), (4, 2), (1, 4), (1, 2)]);
}

#[test]
fn a_weave_goes_over_and_under() {
    // braid-6-alt: over two, under one, over two, always from the same side (community recipe page and a second blog).
    let b = Braid::read(6, "", "6 over 4 under 3 over 1").unwrap();
    let seen: Vec<(usize, usize)> = b.crossings(1).iter().map(|c| (c.over, c.under)).collect();
    assert_eq!(seen, [(6, 5), (6, 4), (3, 6), (6, 2), (6, 1)]);
    assert_eq!(b.orders(1).pop().unwrap(), [6, 1, 2, 3, 4, 5]);
}

const PLACE: Lattice = Lattice { left: 0.0, top: 10.0, pitch: 6.0, row: 8.0, tail: 4.0, width: 6.0 };

/// Where a band starts and ends, from the left.
fn ends(band: &Band) -> (f64, f64) {
    (band.start.x.0, band.curves[band.curves.len() - 1][2].x.0)
}

#[test]
fn the_painted_bands_cross_as_the_sequence_says() {
    for (strands, text) in [
        (3, "1 over 2, 3 over 2"),
        (4, "4 over 2, 1 over 3, 2 over 3"),
        (5, "1 over 3, 2 over 3, 5 over 2"),
        (6, "6 over 4 under 3 over 1, 1 under 3 over 6"),
    ] {
        let b = Braid::read(strands, "", text).unwrap();
        let bands = b.bands(2, &PLACE);
        let inner = &bands[strands..bands.len() - strands];
        // Found again from the ink alone: two bands of one row whose order at the top and bottom differs cross,
        // and the later painted lies over.
        let mut drawn: Vec<(usize, usize, usize)> = Vec::new();
        for (row, chunk) in inner.chunks(strands).enumerate() {
            for (i, below) in chunk.iter().enumerate() {
                for above in &chunk[i + 1..] {
                    let (top, bottom) = (ends(below).0 - ends(above).0, ends(below).1 - ends(above).1);
                    if top * bottom < 0.0 {
                        drawn.push((row, above.strand, below.strand));
                    }
                }
            }
        }
        let mut said: Vec<(usize, usize, usize)> =
            b.crossings(2).iter().map(|c| (c.row, c.over, c.under)).collect();
        drawn.sort_unstable();
        said.sort_unstable();
        assert_eq!(drawn, said, "{text}");
    }
}

#[test]
fn a_strand_is_one_line_from_top_to_bottom() {
    let b = Braid::read(5, "", "1 over 3, 2 over 3, 5 over 2").unwrap();
    let bands = b.bands(3, &PLACE);
    for strand in 1..=5 {
        let pieces: Vec<&Band> = bands.iter().filter(|p| p.strand == strand).collect();
        assert_eq!(pieces.len(), 3 * 3 + 2);
        assert!(pieces[0].begins && pieces[pieces.len() - 1].ends);
        for pair in pieces.windows(2) {
            let end = pair[0].curves[pair[0].curves.len() - 1][2];
            assert!((end.x.0 - pair[1].start.x.0).abs() < 1e-6);
            assert!(end.y.0 - pair[1].start.y.0 < SEAM + 1e-6 && end.y.0 >= pair[1].start.y.0 - 1e-6);
        }
    }
}

#[test]
fn what_is_wrong_is_named() {
    let read = |n, text| Braid::read(n, "", text).unwrap_err();
    assert_eq!(read(4, ""), BraidError::Empty);
    assert_eq!(read(1, "1 over 1"), BraidError::Strands(1));
    assert_eq!(read(4, "4 over 5"), BraidError::Position("4 over 5".to_owned(), 5));
    assert_eq!(read(4, "4 past 2"), BraidError::Unreadable("4 past 2".to_owned()));
    assert_eq!(read(4, "4"), BraidError::Unreadable("4".to_owned()));
    assert_eq!(read(4, "2 over 2"), BraidError::Direction("2 over 2".to_owned()));
    assert_eq!(read(4, "2 over 4 under 3"), BraidError::Direction("2 over 4 under 3".to_owned()));
}
