//! What is drawn of which measures.

use super::*;
use crate::reckon::sample::{at, course};

fn drawn(names: &[&str], change: impl Fn(&mut Course)) -> Vec<Drawing> {
    let mut course = course();
    let step = course.lessons[0].steps.iter_mut().find(|s| !s.demo).unwrap();
    step.draw = names.iter().map(|n| at((*n).to_owned())).collect();
    let id = step.id.value.clone();
    change(&mut course);
    let (recipes, _) = Recipes::of(&course);
    let lesson = &course.lessons[0];
    of_step(&course, &recipes, lesson, lesson.step(&id).unwrap(), None, 2)
}

#[test]
fn a_sheet_is_drawn_as_the_formula_measures_it() {
    let sheet = Area { width: Centimetres::whole(28), depth: Centimetres::whole(38) };
    let all = drawn(&["roll-out", "slice"], |c| {
        c.formulas[0].piece.sheet = Some(at(sheet));
        c.formulas[0].piece.slices = Some(at(8));
    });
    assert_eq!(all[0], Drawing::RollOut { width: sheet.width, length: sheet.depth });
    assert!(matches!(all[1], Drawing::Slice { length, slices: 8, .. } if length == sheet.width));
}

#[test]
fn a_blob_is_as_large_as_its_mass_and_not_as_its_bun() {
    let piped = |depth: i64| {
        let all = drawn(&["pipe"], |c| {
            let area = Area { width: Centimetres::whole(8), depth: Centimetres::whole(depth) };
            c.formulas[0].piece.size = Some(at(area));
        });
        match all.as_slice() {
            [Drawing::Pipe { bead, length, beads: 1, onto }] => (*bead, *length, *onto),
            other => panic!("{other:?}"),
        }
    };
    let (bead, length, onto) = piped(8);
    assert_eq!((bead, onto), (length, Some(Centimetres::whole(8))));
    let (thin, long, onto) = piped(20);
    assert!(thin < bead && long == Centimetres::whole(20) && onto.is_none());
}

/// What is written as `8 to 20 min` is drawn as both, and what has no most as its least alone.
#[test]
fn what_is_turned_out_waits_as_long_as_its_carry_says() {
    use crate::course::{Carry, Inside};
    use crate::units::Minutes;
    let says = |most: Option<i64>| {
        let all = drawn(&["turn-out"], |c| {
            let inside = Inside::Round { across: Centimetres::whole(20), deep: Centimetres::whole(6) };
            c.kitchen.tins[0].inside = at(inside);
            c.formulas[0].piece.tin = Some(at(c.kitchen.tins[0].id.value.clone()));
            let step = c.lessons[0].steps.iter_mut().find(|s| !s.demo).unwrap();
            step.carry = Some(at(Carry { least: Minutes(8), most: most.map(Minutes) }));
        });
        let figure = all[0].figure();
        figure.says.iter().map(|(name, said)| ((*name).to_owned(), *said)).collect::<Vec<_>>()
    };
    let wait = ("wait".to_owned(), crate::reckon::drawings::Said::Time(Minutes(8)));
    let most = ("wait-most".to_owned(), crate::reckon::drawings::Said::Time(Minutes(20)));
    let both = says(Some(20));
    assert!(both.contains(&wait) && both.contains(&most), "{both:?}");
    assert_eq!(says(None), std::slice::from_ref(&wait));
    assert_eq!(says(Some(8)), [wait]);
}

#[test]
fn butter_is_cut_so_that_it_comes_out_even_where_it_can() {
    let cut = |grams: i64| {
        let n = in_pieces(Grams::whole(grams));
        (n, Grams::whole(grams).ratio(1, i64::from(n)))
    };
    assert_eq!(cut(100), (5, Grams::whole(20)));
    assert_eq!(cut(180), (10, Grams::whole(18)));
    // 222 g: neither 11, 12 nor 13 pieces are whole grams.
    assert_eq!(cut(222).0, 12);
    assert_eq!(cut(1), (3, Grams::whole(1).ratio(1, 3)));
}

#[test]
fn what_is_washed_is_drawn() {
    let washed = |change: &dyn Fn(&mut Course)| {
        let all = drawn(&["egg-wash"], change);
        all.into_iter()
            .find_map(|d| match d {
                Drawing::EggWash { on, .. } => Some(on),
                _ => None,
            })
            .unwrap()
    };
    let wide = |w: i64, d: i64| Some(at(Area { width: Centimetres::whole(w), depth: Centimetres::whole(d) }));
    let sized = |c: &mut Course, w: i64, d: i64| {
        let piece = &mut c.formulas[0].piece;
        (piece.tin, piece.braid, piece.size) = (None, None, wide(w, d));
    };
    assert!(matches!(washed(&|_| ()), Washed::InTin { .. }));
    assert_eq!(washed(&|c| sized(c, 8, 8)), Washed::Bun);
    assert_eq!(washed(&|c| sized(c, 24, 9)), Washed::Loaf);
    // What was piped into it before is seen, and what is piped later is not.
    let piped_in = |at_step: fn(usize) -> usize| {
        washed(&|c: &mut Course| {
            sized(c, 8, 8);
            let steps = &mut c.lessons[0].steps;
            let here = steps.iter().position(|s| s.draw.iter().any(|d| d.value == "egg-wash")).unwrap();
            steps[at_step(here)].draw.push(at("pipe".to_owned()));
        })
    };
    assert_eq!(piped_in(|here| here), Washed::FilledBun);
    assert_eq!(piped_in(|here| here + 1), Washed::Bun);
    // At most twice as long as wide, as the finding about what is not drawn says.
    assert_eq!(washed(&|c| sized(c, 22, 11)), Washed::Bun);
    assert_eq!(washed(&|c| sized(c, 23, 11)), Washed::Loaf);
    // Two strands that lie as wide as long are a ring.
    let ring = |c: &mut Course| {
        sized(c, 24, 24);
        c.formulas[0].piece.strands = Some(at(2));
    };
    assert_eq!(washed(&ring), Washed::Wreath);
    let braided = |c: &mut Course| {
        sized(c, 30, 10);
        let piece = &mut c.formulas[0].piece;
        piece.strands = Some(at(4));
        piece.braid = Some(at("4 over 2, 1 over 3, 2 over 3".to_owned()));
    };
    assert!(matches!(washed(&braided), Washed::Braid { braid } if braid.strands() == 4));
}

#[test]
fn strands_of_a_cut_roll_are_as_long_as_its_sheet_is_wide() {
    let sheet = |c: &mut Course| {
        c.formulas[0].piece.sheet =
            Some(at(Area { width: Centimetres::whole(28), depth: Centimetres::whole(40) }));
        c.formulas[0].piece.strand_length = None;
    };
    let twisted = |names: &[&str]| {
        drawn(names, sheet).into_iter().find_map(|d| match d {
            Drawing::Twist { length, .. } => Some(length),
            _ => None,
        })
    };
    assert_eq!(twisted(&["cut-lengthwise", "twist"]), Some(Centimetres::whole(28)));
    assert_eq!(twisted(&["twist"]), None);
}

#[test]
fn what_is_not_written_is_not_drawn() {
    assert!(
        drawn(&["roll-out", "braid", "score", "no-such"], |c| c.formulas[0].piece.sheet = None).is_empty()
    );
}

#[test]
fn a_divided_dough_is_weighed_for_all_pieces() {
    // Two crowns of 485 g, undivided.
    let all = drawn(&["divide"], |c| c.formulas[0].piece.strands = None);
    assert_eq!(all, [Drawing::Divide { pieces: 2, each: Grams::whole(485) }]);
}

#[test]
fn a_wash_by_another_name_is_drawn_too() {
    let renamed = |c: &mut Course| {
        let formula = &mut c.formulas[0];
        formula.parts.iter_mut().find(|p| p.id.value.as_str() == "wash").unwrap().id = at("top".into());
        formula.piece.amounts.iter_mut().find(|(p, _)| p.value.as_str() == "wash").unwrap().0 =
            at("top".into());
        formula.variants.clear();
        for chain in c.lessons[0].steps.iter_mut().flat_map(|s| &mut s.on) {
            if chain.value == Chain::Part("wash".into()) {
                *chain = at(Chain::Part("top".into()));
            }
        }
    };
    let mut c = course();
    renamed(&mut c);
    let brush = c.lessons[0].steps.iter_mut().find(|s| s.id.value.as_str() == "brush").unwrap();
    brush.draw = vec![at("egg-wash".to_owned())];
    let (recipes, _) = Recipes::of(&c);
    let lesson = &c.lessons[0];
    let step = lesson.steps.iter().find(|s| s.id.value.as_str() == "brush").unwrap();
    let all = of_step(&c, &recipes, lesson, step, None, 2);
    assert!(matches!(all.as_slice(), [Drawing::EggWash { wash, .. }] if *wash == Grams::whole(8)), "{all:?}");
    // A filling that a step names is no wash, and neither is dry sugar.
    let fill = lesson.steps.iter().find(|s| s.id.value.as_str() == "fill").unwrap();
    let recipe = recipes.get(&lesson.formula.value, None).unwrap();
    assert_eq!(brushed(&c, recipe, fill, "egg-wash"), None);
}

#[test]
fn only_a_dough_with_butter_in_it_has_layers_of_butter() {
    let fold = |change: &dyn Fn(&mut Course)| {
        let sheet = Some(at(Area { width: Centimetres::whole(40), depth: Centimetres::whole(30) }));
        let all = drawn(&["letter-fold"], |c: &mut Course| {
            c.formulas[0].piece.sheet = sheet.clone();
            change(c);
        });
        all.into_iter().next().unwrap().figure()
    };
    let plain = fold(&|_| ());
    assert_eq!((plain.counts["butter"], plain.counts["all"]), (0, 3));
    let block = crate::reckon::sample::part("block", crate::course::Basis::Whole, "0", &[("butter", "100")]);
    let laminated = fold(&|c| c.formulas[0].parts.push(block.clone()));
    assert_eq!((laminated.counts["butter"], laminated.counts["all"]), (3, 7));
}

/// A baker folds the long side: 36 x 24 cm and 24 x 36 cm are one sheet, whose thirds are 12 cm, and lie as wide as it is rolled.
#[test]
fn a_sheet_is_folded_along_its_longer_side_whichever_is_written_first() {
    use crate::reckon::drawings::Said;
    let folded = |name: &str, width: i64, depth: i64| {
        let all = drawn(&[name, "roll-out"], |c| {
            let sheet = Area { width: Centimetres::whole(width), depth: Centimetres::whole(depth) };
            c.formulas[0].piece.sheet = Some(at(sheet));
        });
        let says = all[0].figure().says;
        let of = |name: &str| says.iter().find(|(n, _)| **n == name).map(|(_, said)| *said);
        (of("length"), of("width"), all[1].clone())
    };
    let cm = |n: i64| Some(Said::Length(Centimetres::whole(n)));
    for name in ["letter-fold", "book-fold"] {
        let (long, short, rolled) = folded(name, 36, 24);
        assert_eq!((long, short), (cm(36), cm(24)), "{name}");
        assert_eq!(
            rolled,
            Drawing::RollOut { width: Centimetres::whole(36), length: Centimetres::whole(24) }
        );
        let (long, short, _) = folded(name, 30, 48);
        assert_eq!((long, short), (cm(48), cm(30)), "{name}");
    }
}

/// A roll is as long as the figure that is written first, and the second is what is rolled up: 24 x 40 cm is a roll of 24 cm for its tin.
#[test]
fn a_roll_is_as_long_as_its_sheet_is_wide() {
    let rolled = |width: i64, depth: i64| {
        let all = drawn(&["roll-up"], |c| {
            let sheet = Area { width: Centimetres::whole(width), depth: Centimetres::whole(depth) };
            c.formulas[0].piece.sheet = Some(at(sheet));
        });
        match all.as_slice() {
            [Drawing::RollUp { width, length, .. }] => (*width, *length),
            other => panic!("{other:?}"),
        }
    };
    assert_eq!(rolled(24, 40), (Centimetres::whole(24), Centimetres::whole(40)));
    assert_eq!(rolled(40, 24), (Centimetres::whole(40), Centimetres::whole(24)));
}
