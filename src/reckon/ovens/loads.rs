//! From pieces to loads.

use super::room::{ABOVE_A_TIN, AIR_BETWEEN_TINS, heat_in, pieces_on, positions};
use crate::course::{
    Area, Course, EquipId, Formula, Lesson, Loan, Oven, Per, Piece, Step, Tray, UnitSystem, Where,
};
use crate::finding::Finding;
use crate::reckon::scale::{pieces_of, stage_reaches};
use crate::reckon::split::{Cost, cuts};
use crate::reckon::work::{Bake, Class, Dial, Load, Split, Whom};
use crate::units::{Celsius, Centimetres};

/// The most ways to split a bake that are handed on.
const MOST_BAKES: usize = 6;

/// What takes a position in the oven.
#[derive(Clone, PartialEq, Debug)]
pub struct Unit {
    /// The tin or tray; `None`: the piece lies on the rack itself.
    pub what: Option<EquipId>,
    /// Its outside.
    pub size: Area,
    /// Its height.
    pub height: Centimetres,
    /// Air wanted between two of them.
    pub between: Centimetres,
    /// Pieces in or on one of them.
    pub pieces: u32,
}

/// What a formula's pieces are baked in or on. `None`: its size is not known.
pub fn on_what(course: &Course, formula: &Formula) -> Option<Unit> {
    let piece = &formula.piece;
    if let Some(id) = &piece.tin {
        let tin = course.kitchen.tins.iter().find(|t| t.id.value == id.value)?;
        let outside = tin.outside.value;
        return Some(Unit {
            what: Some(id.value.clone()),
            size: Area { width: outside.width, depth: outside.depth },
            height: outside.height,
            between: AIR_BETWEEN_TINS,
            pieces: 1,
        });
    }
    if let Some(id) = &piece.tray {
        let tray = course.kitchen.trays.iter().find(|t| t.id.value == id.value)?;
        return Some(Unit {
            what: Some(id.value.clone()),
            size: tray.size.value,
            height: Centimetres::ZERO,
            between: Centimetres::ZERO,
            pieces: pieces_on(piece, tray)?,
        });
    }
    let size = piece.size.as_ref()?.value;
    Some(Unit { what: None, size, height: Centimetres::ZERO, between: AIR_BETWEEN_TINS, pieces: 1 })
}

/// How many tins or trays so many pieces of one group take. A piece larger than a tray takes one each.
pub fn trays_for(unit: &Unit, pieces: u32) -> u32 {
    share_out(pieces, unit.pieces)
}

/// How many trays of a kind so many pieces of one group take; one each where it is not known how many lie on one.
pub fn trays_of(piece: &Piece, tray: &Tray, pieces: u32) -> u32 {
    share_out(pieces, pieces_on(piece, tray).unwrap_or(1))
}

fn share_out(pieces: u32, on_one: u32) -> u32 {
    pieces.div_ceil(on_one.max(1))
}

/// The feasible splits of one bake into loads, the preferred one first, and what is to be said. `batches` are the preferred splits of
/// the lesson's parts: loads that follow them are one of the ways. Empty only when nothing is baked in this step.
pub fn bakes(
    course: &Course,
    class: &Class,
    lesson: &Lesson,
    step: &Step,
    batches: Option<&Split>,
) -> (Vec<Bake>, Vec<Finding>) {
    let mut findings = Vec::new();
    if step.per.value != Per::Load || step.place.value != Where::Oven {
        return (Vec::new(), findings);
    }
    let Some(formula) = course.formula(&lesson.formula.value) else { return (Vec::new(), findings) };
    let unit = on_what(course, formula).unwrap_or_else(|| {
        findings.push(
            Finding::warning(
                "size-unknown",
                formula.piece.tray.as_ref().and_then(|t| t.place).or(formula.id.place),
                format!("how many of `{}` go into an oven is not known: neither a tin, nor `per-tray`, nor its `size` is written", formula.id),
            )
            .way_out("write `tin`, or `tray` with `per-tray`, or the `size` of the shaped piece; until then one takes a whole rack"),
        );
        let rack = course.kitchen.ovens.iter().map(|o| o.rack.value).next();
        let nothing = Area { width: Centimetres::ZERO, depth: Centimetres::ZERO };
        Unit { what: None, size: rack.unwrap_or(nothing), height: Centimetres::ZERO, between: Centimetres::ZERO, pieces: 1 }
    });
    let ovens = Ovens::of(course, step, &unit, &mut findings);

    let mut rows = Vec::new();
    let mut before = Vec::new();
    for (whom, pieces) in pieces_of(lesson, class) {
        match &whom {
            // A stage that is brought past the bake is baked before the class; one that stops before it is not baked.
            Whom::Stage { up_to, .. } if stage_reaches(lesson, up_to, &step.id.value) => {
                before.push((whom, pieces))
            }
            Whom::Stage { .. } => {}
            _ => rows.push((whom, pieces)),
        }
    }
    let mut ways: Vec<Vec<Vec<(Whom, u32)>>> = Vec::new();
    let mut add = |way: Vec<Vec<(Whom, u32)>>| {
        if !way.is_empty() && !ways.contains(&way) && ways.len() < MOST_BAKES {
            ways.push(way);
        }
    };
    if step.together {
        let whole = ovens.cut(&rows, &unit, false);
        let torn = ovens.cut(&rows, &unit, true);
        // A station's pieces part only where that saves a load.
        if torn.first().map(Vec::len) < whole.first().map(Vec::len) || whole.is_empty() {
            torn.into_iter().take(1).for_each(&mut add);
        }
        whole.first().cloned().into_iter().for_each(&mut add);
        // Full loads first: a small one at the end may go in where an even one has to wait.
        add(ovens.follow(&rows, &unit, &by_wave(&rows, &unit, ovens.most())));
        if let Some(split) = batches {
            add(ovens.follow(&rows, &unit, &by_batch(split, &rows)));
        }
        if let Some(tins) = tins_at_hand(course, &unit) {
            add(ovens.follow(&rows, &unit, &by_wave(&rows, &unit, tins)));
        }
        whole.into_iter().skip(1).for_each(&mut add);
    } else {
        // Each station's pieces go in and come out by themselves, on racks of their own.
        let apart: Vec<Vec<usize>> = (0..rows.len()).map(|row| vec![row]).collect();
        add(ovens.follow(&rows, &unit, &apart));
    }

    let first = ovens.cut(&before, &unit, true).into_iter().next().unwrap_or_default();
    if ways.is_empty() && !first.is_empty() {
        ways.push(Vec::new());
    }
    let bakes = ways
        .into_iter()
        .map(|way| ovens.bake(lesson, step, &unit, way.into_iter().chain(first.clone()).collect()))
        .collect();
    (bakes, findings)
}

/// The members of one load as loads that the ovens of a kitchen take, numbered from 1: a station's pieces part only where they must.
/// `None`: what they are baked in fits into none of the ovens, or its size is not known.
pub fn parted(course: &Course, lesson: &Lesson, step: &Step, members: &[(Whom, u32)]) -> Option<Vec<Load>> {
    let unit = on_what(course, course.formula(&lesson.formula.value)?)?;
    let mut findings = Vec::new();
    let ovens = Ovens::of(course, step, &unit, &mut findings);
    if findings.iter().any(|f| f.code.0 == "fits-no-oven") {
        return None;
    }
    let way = ovens.cut(members, &unit, false).into_iter().next()?;
    Some(ovens.bake(lesson, step, &unit, way).loads)
}

/// The ovens that a bake fits into.
struct Ovens<'a> {
    /// Oven, positions on one rack, racks.
    fits: Vec<(&'a Oven, u32, u32)>,
    step: &'a Step,
    scale: UnitSystem,
}

impl<'a> Ovens<'a> {
    fn of(course: &'a Course, step: &'a Step, unit: &Unit, findings: &mut Vec<Finding>) -> Self {
        let mut fits = Vec::new();
        let what = unit.what.as_ref().map_or_else(|| "the piece".to_owned(), |w| format!("`{w}`"));
        for oven in course.kitchen.ovens.iter().filter(|o| o.count.value + borrowed(&o.loan) > 0) {
            let (on_rack, racks) = positions(oven, unit.size, unit.height, unit.between);
            if on_rack * racks > 0 {
                fits.push((oven, on_rack, racks));
                if unit.height > Centimetres::ZERO && unit.height + ABOVE_A_TIN > oven.clear.value {
                    findings.push(Finding::note(
                        "little-room-above",
                        oven.clear.place,
                        format!(
                            "`{}` has {} cm clear above a rack and {what} is {} cm high: less than the {} cm that dough usually wants above the rim",
                            oven.id,
                            cm(oven.clear.value),
                            cm(unit.height),
                            cm(ABOVE_A_TIN)
                        ),
                    ));
                }
            }
        }
        if fits.is_empty() {
            let sizes = course
                .kitchen
                .ovens
                .iter()
                .map(|o| {
                    format!(
                        "`{}` has racks of {} x {} cm, {} cm clear",
                        o.id,
                        cm(o.rack.value.width),
                        cm(o.rack.value.depth),
                        cm(o.clear.value)
                    )
                })
                .collect::<Vec<_>>()
                .join("; ");
            findings.push(
                Finding::error(
                    "fits-no-oven",
                    step.place.place,
                    format!(
                        "{what} of {} x {} cm, {} cm high, fits into no oven{}{sizes}",
                        cm(unit.size.width),
                        cm(unit.size.depth),
                        cm(unit.height),
                        if sizes.is_empty() { ": the kitchen has none" } else { ": " }
                    ),
                )
                .way_out("look at the sizes in kitchen.toml, or bake in something smaller"),
            );
            // The least bad, so that a plan can still be drawn up and marked: one at a time.
            fits.extend(course.kitchen.ovens.iter().take(1).map(|o| (o, 1, 1)));
        }
        Ovens { fits, step, scale: course.settings.units.value }
    }

    /// Positions of the roomiest one.
    fn most(&self) -> u32 {
        self.fits.iter().map(|(_, on_rack, racks)| on_rack * racks).max().unwrap_or(1).max(1)
    }

    /// Even loads of consecutive groups, the fewest first; `torn`: a group's pieces may part.
    fn cut(&self, rows: &[(Whom, u32)], unit: &Unit, torn: bool) -> Vec<Vec<Vec<(Whom, u32)>>> {
        let mut items: Vec<(Whom, u32, u32)> = Vec::new();
        for (whom, pieces) in rows {
            let units = trays_for(unit, *pieces);
            if !torn && units <= self.most() {
                items.push((whom.clone(), *pieces, units));
                continue;
            }
            let mut left = *pieces;
            while left > 0 {
                let most =
                    if torn { unit.pieces.max(1) } else { self.most().saturating_mul(unit.pieces.max(1)) };
                let here = left.min(most);
                items.push((whom.clone(), here, trays_for(unit, here)));
                left -= here;
            }
        }
        let sums: Vec<u32> = items.iter().fold(vec![0], |mut s, (_, _, units)| {
            s.push(s[s.len() - 1] + units);
            s
        });
        let most = self.most();
        let mut found = cuts(items.len(), &|r| {
            let units = sums[r.end] - sums[r.start];
            (units <= most || r.len() == 1).then_some(Cost {
                over: 0,
                under: 0,
                uneven: i128::from(units) * i128::from(units),
            })
        });
        found.sort_by_key(|(c, groups)| {
            (
                groups.len(),
                c.uneven,
                groups.iter().map(|g| std::cmp::Reverse(sums[g.end] - sums[g.start])).collect::<Vec<_>>(),
            )
        });
        found.dedup_by_key(|(_, groups)| groups.len());
        found
            .into_iter()
            .map(|(_, groups)| {
                groups
                    .into_iter()
                    .map(|r| {
                        let mut load: Vec<(Whom, u32)> = Vec::new();
                        for (whom, pieces, _) in &items[r] {
                            match load.last_mut() {
                                Some((last, n)) if last == whom => *n += pieces,
                                _ => load.push((whom.clone(), *pieces)),
                            }
                        }
                        load
                    })
                    .collect()
            })
            .collect()
    }

    /// Loads that stay inside the given groups of rows, in their order.
    fn follow(&self, rows: &[(Whom, u32)], unit: &Unit, groups: &[Vec<usize>]) -> Vec<Vec<(Whom, u32)>> {
        groups
            .iter()
            .flat_map(|group| {
                let own: Vec<(Whom, u32)> = group.iter().map(|i| rows[*i].clone()).collect();
                self.cut(&own, unit, false).into_iter().next().unwrap_or_default()
            })
            .collect()
    }

    fn bake(&self, lesson: &Lesson, step: &Step, unit: &Unit, loads: Vec<Vec<(Whom, u32)>>) -> Bake {
        let heat = self.step.heat.as_ref().map(|h| h.value);
        let loads = loads
            .into_iter()
            .enumerate()
            .map(|(at, members)| {
                let units: u32 = members.iter().map(|(_, pieces)| trays_for(unit, *pieces)).sum();
                let roomy: Vec<&(&Oven, u32, u32)> =
                    self.fits.iter().filter(|(_, on_rack, racks)| units <= on_rack * racks).collect();
                // Nothing it fits into was said already: the least bad is the first oven.
                let crammed = roomy.is_empty();
                let into: Vec<&(&Oven, u32, u32)> =
                    if crammed { self.fits.iter().take(1).collect() } else { roomy };
                let racks_in =
                    |on_rack: u32, racks: u32| if crammed { racks } else { units.div_ceil(on_rack.max(1)) };
                Load {
                    no: at as u32 + 1,
                    lesson: lesson.id.value.clone(),
                    step: step.id.value.clone(),
                    members,
                    written: heat.unwrap_or_default(),
                    fits: into
                        .iter()
                        .map(|(oven, on_rack, racks)| (oven.id.value.clone(), racks_in(*on_rack, *racks)))
                        .collect(),
                    dials: into
                        .iter()
                        .map(|fit| dial(fit, heat, (lesson.heats_for_fan, self.scale), unit, units))
                        .collect(),
                }
            })
            .collect();
        Bake { loads }
    }
}

/// What an oven's dial shows for a load of so many tins or trays, and why no more go in.
fn dial(
    (oven, on_rack, racks): &(&Oven, u32, u32),
    heat: Option<Celsius>,
    (for_fan, scale): (bool, UnitSystem),
    unit: &Unit,
    units: u32,
) -> Dial {
    let shown = heat.map(|heat| heat_in(oven, heat, for_fan, scale));
    let fan = match (heat, shown) {
        (Some(heat), Some(dial)) if dial < heat => {
            format!("; {} with its fan for {} without", degrees(dial), degrees(heat))
        }
        (Some(heat), Some(dial)) if dial > heat => {
            format!("; {} without a fan for {} with", degrees(dial), degrees(heat))
        }
        _ => String::new(),
    };
    let what = unit.what.as_ref().map_or_else(|| "pieces".to_owned(), |w| format!("of `{w}`"));
    Dial {
        oven: oven.id.value.clone(),
        heat: shown.unwrap_or_default(),
        why: format!(
            "{units} {what} of the {} that `{}` holds, {on_rack} on each of {racks} racks{fan}",
            on_rack * racks,
            oven.id
        ),
    }
}

/// Rows grouped as their batches are.
fn by_batch(split: &Split, rows: &[(Whom, u32)]) -> Vec<Vec<usize>> {
    let mut groups: Vec<Vec<usize>> = split
        .batches
        .iter()
        .map(|b| (0..rows.len()).filter(|i| b.members.iter().any(|(w, _)| *w == rows[*i].0)).collect())
        .collect();
    groups.push((0..rows.len()).filter(|i| !groups.iter().any(|g| g.contains(i))).collect());
    groups.retain(|g| !g.is_empty());
    groups
}

fn borrowed(loan: &Option<Loan>) -> u32 {
    loan.as_ref().map_or(0, |l| l.count.value)
}

/// Tins or trays at hand, loans counted, of this unit's kind.
fn tins_at_hand(course: &Course, unit: &Unit) -> Option<u32> {
    let id = unit.what.as_ref()?;
    let kitchen = &course.kitchen;
    let tin = kitchen.tins.iter().find(|t| t.id.value == *id).map(|t| (t.count.value, &t.loan));
    let tray = kitchen.trays.iter().find(|t| t.id.value == *id).map(|t| (t.count.value, &t.loan));
    let (own, loan) = tin.or(tray)?;
    Some(own + borrowed(loan))
}

/// Rows grouped by the waves in which the tins at hand serve them.
fn by_wave(rows: &[(Whom, u32)], unit: &Unit, tins: u32) -> Vec<Vec<usize>> {
    let mut waves: Vec<Vec<usize>> = vec![Vec::new()];
    let mut used = 0;
    for (i, (_, pieces)) in rows.iter().enumerate() {
        let here = trays_for(unit, *pieces);
        if used + here > tins && used > 0 {
            waves.push(Vec::new());
            used = 0;
        }
        used += here;
        if let Some(wave) = waves.last_mut() {
            wave.push(i);
        }
    }
    waves.retain(|w| !w.is_empty());
    waves
}

fn cm(c: Centimetres) -> String {
    c.to_decimal().normalize().to_string()
}

fn degrees(c: Celsius) -> String {
    format!("{} °C", c.to_decimal().normalize())
}

#[cfg(test)]
mod tests;
