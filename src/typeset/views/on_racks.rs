//! The racks of a load from above: tins and trays in their places, and what lies on each tray.

use super::common::{OnTray, Rack, RackPlace};
use super::desk::Desk;
use crate::course::{Area, Formula, Inside};
use crate::reckon::drawings::laid_out;
use crate::reckon::ovens::{Spot, Thing, grown, on_what, racked};
use crate::reckon::plan::timetable::PlannedTask;
use crate::reckon::work::{Load, Whom};

/// The racks of a load with its tins or trays in their places, from the top one down, filled from the left. `label` names
/// the n-th tin or tray of a group. `None` where no size is known.
pub fn racks(
    desk: &Desk,
    task: &PlannedTask,
    load: &Load,
    label: impl Fn(&Whom, u32) -> String,
) -> Option<Vec<Rack>> {
    let lesson = desk.course.lesson(&load.lesson)?;
    let formula = desk.course.formula(&lesson.formula.value)?;
    let unit = on_what(desk.course, formula)?;
    let (oven_id, _) = load.fits.first()?;
    let oven = desk.course.kitchen.ovens.iter().find(|o| o.id.value == *oven_id)?;
    let racked = racked(desk.course, desk.class, desk.plan, task)?;
    let round = unit.what.as_ref().is_some_and(|id| {
        let inside = desk.course.kitchen.tins.iter().find(|t| t.id.value == *id).map(|t| t.inside.value);
        matches!(inside, Some(Inside::Round { .. } | Inside::Ring { .. }))
    });
    let rack = oven.rack.value;
    // What stands on a rack stands in its middle: as much air at the one side as at the other.
    let middle = |on_rack: &[Option<Thing>]| -> (f64, f64) {
        let (mut right, mut back) = (0.0_f64, 0.0_f64);
        for (spot, _) in racked.spots.iter().zip(on_rack).filter(|(_, thing)| thing.is_some()) {
            right = right.max((spot.x + spot.size.width).to_f64());
            back = back.max((spot.y + spot.size.depth).to_f64());
        }
        let beside = |whole: f64, used: f64| ((whole - used) / 2.0).max(0.0);
        (beside(rack.width.to_f64(), right), beside(rack.depth.to_f64(), back))
    };
    let place = |thing: &Thing, spot: &Spot, (x, y): (f64, f64)| {
        let (whom, pieces) = load.members.get(thing.member)?;
        let on_it = (*pieces - thing.n * unit.pieces.max(1)).min(unit.pieces.max(1));
        Some(RackPlace {
            x: spot.x.to_f64() + x,
            y: spot.y.to_f64() + y,
            width: spot.size.width.to_f64(),
            depth: spot.size.depth.to_f64(),
            round,
            pieces: on_tray(formula, spot.size, on_it),
            label: label(whom, thing.n),
            note: if unit.pieces > 1 { format!("\u{d7}\u{202F}{on_it}") } else { String::new() },
        })
    };
    // Where columns are kept, what is above must be seen to be above.
    let in_columns = !racked.apart.beside.is_empty() || !racked.apart.column.is_empty();
    let spots = racked.spots.len();
    let some = |spot: usize| racked.racks.iter().find_map(|rack| rack.get(spot).copied().flatten());
    let fullest: Vec<Option<Thing>> = (0..spots).map(some).collect();
    let racks = racked.racks.iter().enumerate().map(|(n, on_rack)| {
        let beside = middle(if in_columns { &fullest } else { on_rack });
        let things = on_rack.iter().zip(&racked.spots);
        Rack {
            // No number stands for racks that are not known.
            name: racked.first.map_or_else(|| "?".to_owned(), |first| (first as usize + n + 1).to_string()),
            width: rack.width.to_f64(),
            depth: rack.depth.to_f64(),
            places: things.filter_map(|(thing, spot)| place(thing.as_ref()?, spot, beside)).collect(),
        }
    });
    Some(racks.collect())
}

/// What lies on a tray of this size: so many pieces, spread as far apart as they can be once they have grown. Nothing where the
/// piece is in a tin, or its size is not written.
fn on_tray(formula: &Formula, tray: Area, pieces: u32) -> Vec<OnTray> {
    let piece = &formula.piece;
    let Some(size) = piece.size.as_ref().filter(|_| piece.tray.is_some()) else { return Vec::new() };
    let (shaped, baked) = (size.value, grown(piece, size.value));
    let shapes = laid_out(tray, baked, pieces.saturating_mul(piece.count.value.max(1)));
    let on_it = shapes.into_iter().map(|(x, y, turned)| {
        let as_put = |a: Area| if turned { (a.depth, a.width) } else { (a.width, a.depth) };
        let ((width, depth), (baked_width, baked_depth)) = (as_put(shaped), as_put(baked));
        OnTray {
            x: x.to_f64(),
            y: y.to_f64(),
            width: width.to_f64(),
            depth: depth.to_f64(),
            baked_width: baked_width.to_f64(),
            baked_depth: baked_depth.to_f64(),
        }
    });
    on_it.collect()
}
