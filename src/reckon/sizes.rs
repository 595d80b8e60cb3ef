//! Measures that a piece cannot have: a sheet far thinner or thicker than dough is rolled, more pieces than a tray takes.

use super::recipes::Recipes;
use super::yields;
use crate::course::{Area, Course, Formula};
use crate::finding::Finding;
use crate::units::Centimetres;
use rust_decimal::Decimal;

/// The thinnest and the thickest that a sheet of yeast dough is rolled: common practice is 3 to 10 mm for rolls, wreaths and twists,
/// and with as much again on either side. No figure of this was found in print, so it warns and decides nothing.
const SHEET: (Centimetres, Centimetres) =
    (Centimetres::from_thousandths(150), Centimetres::from_thousandths(2_000));

/// What is told of the measures of the pieces, formula by formula.
#[must_use]
pub fn sizes(course: &Course) -> Vec<Finding> {
    let (recipes, _) = Recipes::of(course);
    let mut found = Vec::new();
    for formula in &course.formulas {
        found.extend(sheet(course, &recipes, formula));
        found.extend(tray(course, formula));
    }
    found
}

/// A sheet that comes out too thin or too thick by the dough that one piece takes.
fn sheet(course: &Course, recipes: &Recipes, formula: &Formula) -> Option<Finding> {
    let written = formula.piece.sheet.as_ref()?;
    let thick = yields::of(course, recipes.get(&formula.id.value, None)?).sheet?.dough;
    let (thinnest, thickest) = SHEET;
    if (thinnest..=thickest).contains(&thick) {
        return None;
    }
    let mm = |c: Centimetres| (c.to_decimal() * Decimal::TEN).round_dp(1).normalize();
    let message = format!(
        "the dough of one piece of `{}` lies {} mm thick on a sheet of {}; common practice is 3 to 10 mm",
        formula.id,
        mm(thick),
        sides(written.value)
    );
    let finding = Finding::warning("sheet-thickness", written.place, message);
    Some(finding.way_out("look for a slip: is the sheet that of one piece, and in this unit?"))
}

/// Both sides, as they are written in a file.
fn sides(area: Area) -> String {
    let cm = |side: Centimetres| side.to_decimal().normalize();
    format!("{} x {} cm", cm(area.width), cm(area.depth))
}

/// More pieces to a tray than lie on it side by side as they are shaped, before they have grown.
fn tray(course: &Course, formula: &Formula) -> Option<Finding> {
    let piece = &formula.piece;
    let (id, count, size) = (piece.tray.as_ref()?, piece.per_tray.as_ref()?, piece.size.as_ref()?);
    let tray = course.kitchen.trays.iter().find(|tray| tray.id.value == id.value)?;
    let turned = |area: Area| (area.width.min(area.depth), area.width.max(area.depth));
    let (one, all) = (turned(size.value), turned(tray.size.value));
    let area = |(width, depth): (Centimetres, Centimetres)| width.to_decimal() * depth.to_decimal();
    let fits = one.0 <= all.0 && one.1 <= all.1;
    if fits && area(one) * Decimal::from(count.value) <= area(all) {
        return None;
    }
    let message = if fits {
        format!(
            "{} pieces of {} of `{}` cover more than a `{}` of {}",
            count.value,
            sides(size.value),
            formula.id,
            tray.id,
            sides(tray.size.value)
        )
    } else {
        format!(
            "a piece of `{}` is {}, and lies over the edge of a `{}` of {}",
            formula.id,
            sides(size.value),
            tray.id,
            sides(tray.size.value)
        )
    };
    let finding = Finding::warning("more-than-a-tray-takes", size.place, message);
    Some(
        finding
            .also(count.place, "so many are said to lie on one")
            .also(tray.size.place, "the tray")
            .way_out("write `size` as the shaped piece lies on its tray, and in `per-tray` how many do"),
    )
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::reckon::sample::{area, at, cm, course};

    #[test]
    fn a_sheet_too_thin_for_its_dough_is_told_and_a_usual_one_is_not() {
        let mut c = course();
        assert_eq!(sizes(&c), []);
        let codes = |c: &Course| sizes(c).iter().map(|f| f.code.0).collect::<Vec<_>>();
        for (width, depth, told) in [(30, 40, false), (90, 120, true), (8, 10, true)] {
            c.formulas[0].piece.sheet = Some(at(area(width, depth)));
            assert_eq!(codes(&c).contains(&"sheet-thickness"), told, "{width} x {depth}");
        }
    }

    #[test]
    fn what_does_not_lie_on_its_tray_is_told() {
        let mut c = course();
        let tray = c.kitchen.trays[0].clone();
        let (width, depth) = (tray.size.value.width, tray.size.value.depth);
        let told = |c: &Course| sizes(c).into_iter().map(|f| (f.code.0, f.message)).collect::<Vec<_>>();
        let piece = &mut c.formulas[1].piece;
        piece.tray = Some(tray.id.clone());
        // As large as the tray, lying either way: one, and no more.
        piece.size = Some(at(Area { width: depth, depth: width }));
        piece.per_tray = Some(at(1));
        assert_eq!(told(&c), []);
        c.formulas[1].piece.per_tray = Some(at(2));
        let found = told(&c);
        assert!(found.len() == 1 && found[0].1.contains("2 pieces of"), "{found:?}");
        let longer = width.max(depth) + cm(1);
        c.formulas[1].piece.size = Some(at(Area { width: longer, depth: cm(1) }));
        c.formulas[1].piece.per_tray = Some(at(1));
        let found = told(&c);
        assert!(found.len() == 1 && found[0].1.contains("over the edge"), "{found:?}");
    }
}
