//! What a job keeps busy, in whole things: tins, trays, tubs, tools; and how much of a shelf it takes.

use super::jobs::{Job, Jobs, What};
use crate::course::{
    Area, Box3, Chain, Course, EquipId, Formula, Inside, Kitchen, Lesson, Piece, Shelves, Step, StepId, Tub,
    Use, Where,
};
use crate::finding::Finding;
use crate::reckon::ovens::trays_of;
use crate::units::{Centimetres, Grams};

/// Something that is counted.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Counted {
    /// A kind of tin.
    Tin(EquipId),
    /// A kind of tray.
    Tray(EquipId),
    /// A kind of tub.
    Tub(EquipId),
    /// A tool that is not at each station.
    Tool(EquipId),
}

impl Counted {
    /// The kitchen's id.
    #[must_use]
    pub fn id(&self) -> &EquipId {
        match self {
            Counted::Tin(id) | Counted::Tray(id) | Counted::Tub(id) | Counted::Tool(id) => id,
        }
    }
    /// How many there are, borrowed ones included, and the minutes before one serves again.
    #[must_use]
    pub fn stock(&self, kitchen: &Kitchen) -> (u32, crate::units::Minutes) {
        let none = crate::units::Minutes::ZERO;
        let found = match self {
            Counted::Tin(id) => kitchen
                .tins
                .iter()
                .find(|t| t.id.value == *id)
                .map(|t| (how_many(t.count.value, t.loan.as_ref()), t.between.value)),
            Counted::Tray(id) => kitchen
                .trays
                .iter()
                .find(|t| t.id.value == *id)
                .map(|t| (how_many(t.count.value, t.loan.as_ref()), t.between.value)),
            Counted::Tub(id) => {
                kitchen.tubs.iter().find(|t| t.id.value == *id).map(|t| (t.count.value, none))
            }
            Counted::Tool(id) => kitchen
                .tools
                .iter()
                .find(|t| t.id.value == *id)
                .map(|t| (how_many(t.count.value, t.loan.as_ref()), none)),
        };
        found.unwrap_or((0, none))
    }
    /// What people call it: its printed name, or its id.
    #[must_use]
    pub fn name(&self, kitchen: &Kitchen) -> String {
        let id = self.id();
        let tin = kitchen.tins.iter().find(|t| t.id.value == *id).and_then(|t| t.name.as_ref());
        let tray = kitchen.trays.iter().find(|t| t.id.value == *id).and_then(|t| t.name.as_ref());
        let tool = kitchen.tools.iter().find(|t| t.id.value == *id).and_then(|t| t.name.as_ref());
        tin.or(tray).or(tool).map_or_else(|| id.to_string(), |n| n.value.clone())
    }
}

/// The kitchen's own and the borrowed ones.
#[must_use]
pub fn how_many(own: u32, loan: Option<&crate::course::Loan>) -> u32 {
    own.saturating_add(loan.map_or(0, |l| l.count.value))
}

/// One thing that a job keeps busy: what, how many for each of its members' shares, until which step.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Need {
    /// What.
    pub what: Counted,
    /// How many for the whole job.
    pub count: u32,
    /// The last step that needs it; `None`: the job's own.
    pub until: Option<StepId>,
}

/// How much goes into tubs of what a job works on; `None`: nothing of it is weighed.
fn in_tubs(jobs: &Jobs<'_>, job: &Job) -> Option<Grams> {
    Some(jobs.grams_of(job)).filter(|grams| *grams > Grams::ZERO)
}

/// What a job's step starts to keep busy. Things that stand at each station, and things that are used up, are left
/// out: there is one for everyone, or the order sees to it.
#[must_use]
pub fn needs(jobs: &Jobs<'_>, job: &Job) -> Vec<Need> {
    let Some((lesson, step)) = jobs.step_of(job) else { return Vec::new() };
    let Some(formula) = jobs.course.formula(&lesson.formula.value) else { return Vec::new() };
    let grams = in_tubs(jobs, job);
    step.uses
        .iter()
        .filter_map(|one| {
            let what = counted(jobs.course, formula, one, grams)?;
            let count = one.count.unwrap_or_else(|| match &what {
                Counted::Tin(_) => job.pieces(),
                Counted::Tray(id) => trays(jobs.course, &formula.piece, id, job.pieces()),
                Counted::Tub(id) => tubs(jobs.course, id, grams),
                Counted::Tool(_) => 1,
            });
            Some(Need { what, count, until: one.until.as_ref().map(|u| u.value.clone()) })
        })
        .collect()
}

/// Which counted thing a use names; `None` for what each station has and for what is used up.
fn counted(course: &Course, formula: &Formula, one: &Use, grams: Option<Grams>) -> Option<Counted> {
    let kitchen = &course.kitchen;
    let id = &one.what.value;
    match id.as_str() {
        "tin" => return formula.piece.tin.as_ref().map(|t| Counted::Tin(t.value.clone())),
        "tray" => return formula.piece.tray.as_ref().map(|t| Counted::Tray(t.value.clone())),
        "tub" => return tub_for(kitchen, grams).map(|t| Counted::Tub(t.id.value.clone())),
        _ => {}
    }
    if kitchen.stations.each_has.iter().any(|t| t.value == *id) {
        return None;
    }
    if kitchen.tins.iter().any(|t| t.id.value == *id) {
        return Some(Counted::Tin(id.clone()));
    }
    if kitchen.trays.iter().any(|t| t.id.value == *id) {
        return Some(Counted::Tray(id.clone()));
    }
    if kitchen.tubs.iter().any(|t| t.id.value == *id) {
        return Some(Counted::Tub(id.clone()));
    }
    let tool = kitchen.tools.iter().find(|t| t.id.value == *id)?;
    (!tool.consumable).then(|| Counted::Tool(id.clone()))
}

/// The smallest tub that holds so much dough, or else the largest there is.
fn tub_for(kitchen: &Kitchen, grams: Option<Grams>) -> Option<&Tub> {
    let grams = grams.unwrap_or(Grams::ZERO);
    let holds = |t: &&Tub| t.holds.value >= grams;
    let fits = kitchen.tubs.iter().filter(holds).min_by_key(|t| t.holds.value);
    fits.or_else(|| kitchen.tubs.iter().max_by_key(|t| t.holds.value))
}

fn tubs(course: &Course, id: &EquipId, grams: Option<Grams>) -> u32 {
    let holds = course.kitchen.tubs.iter().find(|t| t.id.value == *id).map_or(0, |t| t.holds.value.mg());
    match grams {
        Some(grams) if holds > 0 => {
            u32::try_from((grams.mg() + holds - 1) / holds).unwrap_or(u32::MAX).max(1)
        }
        _ => 1,
    }
}

/// Trays for so many pieces of one group, counted as for the oven.
fn trays(course: &Course, piece: &Piece, id: &EquipId, pieces: u32) -> u32 {
    let tray = course.kitchen.trays.iter().find(|t| t.id.value == *id);
    tray.map_or(pieces, |tray| trays_of(piece, tray, pieces))
}

/// The footprint of a piece when it is baked.
fn grown(piece: &Piece) -> Option<Area> {
    let size = piece.size.as_ref()?.value;
    let more = piece.grows.as_ref().map_or(0, |g| (g.value.to_f64() * 10.0).round() as i64);
    let larger = |side: Centimetres| side.ratio(1000 + more, 1000);
    Some(Area { width: larger(size.width), depth: larger(size.depth) })
}

/// How many footprints lie side by side on an area, all turned the same way.
fn on_area(area: Area, one: Area) -> u32 {
    let side = |long: Centimetres, short: Centimetres| match short.thousandths() {
        n if n > 0 => long.thousandths() / n,
        _ => 0,
    };
    let straight = side(area.width, one.width) * side(area.depth, one.depth);
    let turned = side(area.width, one.depth) * side(area.depth, one.width);
    u32::try_from(straight.max(turned)).unwrap_or(0)
}

/// What stands on a shelf: its outside, and whether another may stand on it.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Standing {
    /// Its outside; a height of nought is not known and counts as fitting.
    pub outside: Box3,
    /// Tubs with lids may be stacked.
    pub stacks: bool,
    /// How many.
    pub count: u32,
}

/// What a job that stands in a place puts on its shelves; empty when nothing says how large it is.
#[must_use]
pub fn standing(jobs: &Jobs<'_>, job: &Job) -> Vec<Standing> {
    let Some((lesson, step)) = jobs.step_of(job) else { return Vec::new() };
    let Some(formula) = jobs.course.formula(&lesson.formula.value) else { return Vec::new() };
    let kitchen = &jobs.course.kitchen;
    let grams = in_tubs(jobs, job);
    // What waits in the cold before a step is not yet in what that step takes.
    let waits = matches!(job.what, What::ColdBefore(..));
    for one in carried(lesson, step, waits) {
        let Some(what) = counted(jobs.course, formula, one, grams) else { continue };
        let pieces = job.pieces();
        match &what {
            Counted::Tin(id) => {
                if let Some(tin) = kitchen.tins.iter().find(|t| t.id.value == *id) {
                    let count = one.count.unwrap_or(pieces);
                    return vec![Standing { outside: tin.outside.value, stacks: false, count }];
                }
            }
            Counted::Tray(id) => {
                if let Some(tray) = kitchen.trays.iter().find(|t| t.id.value == *id) {
                    let by_size = || trays(jobs.course, &formula.piece, id, pieces);
                    let count = one.count.unwrap_or_else(by_size);
                    return vec![Standing { outside: flat(tray.size.value), stacks: false, count }];
                }
            }
            Counted::Tub(id) => {
                if let Some(tub) = kitchen.tubs.iter().find(|t| t.id.value == *id) {
                    let count = one.count.unwrap_or_else(|| tubs(jobs.course, id, grams));
                    return vec![Standing { outside: tub.outside.value, stacks: true, count }];
                }
            }
            Counted::Tool(_) => {}
        }
    }
    let on_piece = step.on.iter().any(|c| c.value == Chain::Piece);
    if on_piece {
        let bare = tin_size(kitchen, &formula.piece).or_else(|| grown(&formula.piece));
        let one = |area| Standing { outside: flat(area), stacks: false, count: job.pieces() };
        return bare.map(one).into_iter().collect();
    }
    // A part whose container nobody names: room as for the tubs that would hold it, though any bowl may do.
    let grams = jobs.grams_of(job);
    let tub = tub_for(kitchen, Some(grams)).filter(|_| grams > Grams::ZERO);
    let room = tub.map(|tub| Standing {
        outside: tub.outside.value,
        stacks: true,
        count: tubs(jobs.course, &tub.id.value, Some(grams)),
    });
    room.into_iter().collect()
}

/// Steps that stand on a shelf in nothing whose size is known: they get no room there, and that is said.
#[must_use]
pub fn without_room(course: &Course) -> Vec<Finding> {
    let kitchen = &course.kitchen;
    let mut findings = Vec::new();
    for lesson in &course.lessons {
        let Some(formula) = course.formula(&lesson.formula.value) else { continue };
        for step in &lesson.steps {
            let shelves = match step.place.value {
                Where::Cold => &kitchen.cold,
                Where::Freezer => &kitchen.freezers,
                Where::Warm => &kitchen.warm,
                Where::Rack => &kitchen.racks,
                _ => continue,
            };
            let on_piece = step.on.iter().any(|c| c.value == Chain::Piece);
            let sized = |what: Counted| !matches!(what, Counted::Tool(_));
            let named = carried(lesson, step, false)
                .into_iter()
                .filter_map(|u| counted(course, formula, u, None))
                .any(sized);
            let bare = match on_piece {
                true => tin_size(kitchen, &formula.piece).or_else(|| grown(&formula.piece)).is_some(),
                false => !kitchen.tubs.is_empty(),
            };
            if !shelves.is_empty() && !step.demo && !named && !bare {
                let text = format!(
                    "`{}.{}` stands on a shelf and nothing says in what: the plan keeps no room for it",
                    lesson.id.value, step.id.value
                );
                let finding = Finding::warning("no-room-kept", step.place.place, text);
                findings.push(finding.way_out(
                    "write `uses` with a tin, tray or tub at the step, the `size` of the piece, or tubs in kitchen.toml",
                ));
            }
        }
    }
    findings
}

fn flat(area: Area) -> Box3 {
    Box3 { width: area.width, depth: area.depth, height: Centimetres::ZERO }
}

/// The footprint of a turned-out piece: the inside of its tin.
fn tin_size(kitchen: &Kitchen, piece: &Piece) -> Option<Area> {
    let id = &piece.tin.as_ref()?.value;
    let tin = kitchen.tins.iter().find(|t| t.id.value == *id)?;
    Some(match tin.inside.value {
        Inside::Round { across, .. } | Inside::Ring { across, .. } => Area { width: across, depth: across },
        Inside::Square { length, width, .. } => Area { width: length, depth: width },
    })
}

/// The containers that a step's dough is in: kept busy by this step or by one before it until this one or later. While it waits before the
/// step, not by this one.
fn carried<'a>(lesson: &'a Lesson, step: &Step, waits: bool) -> Vec<&'a Use> {
    let place = |id: &StepId| lesson.steps.iter().position(|s| s.id.value == *id);
    let Some(here) = place(&step.id.value) else { return Vec::new() };
    let shares = |other: &Step| other.on.iter().any(|c| step.on.iter().any(|d| c.value == d.value));
    let earlier = lesson
        .steps
        .iter()
        .enumerate()
        .take(here + usize::from(!waits))
        .filter(|(n, s)| *n == here || shares(s) || s.on.len() > 1);
    let mut found: Vec<&Use> = earlier
        .flat_map(|(n, s)| s.uses.iter().map(move |u| (n, u)))
        .filter(|(n, u)| {
            let until = u.until.as_ref().and_then(|id| place(&id.value)).unwrap_or(*n);
            (*n..=until).contains(&here)
        })
        .map(|(_, u)| u)
        .collect();
    found.reverse();
    found
}

/// How many of a thing one shelf takes; stacked where it may be.
#[must_use]
pub fn per_shelf(shelves: &Shelves, thing: &Standing) -> u32 {
    let area = shelves.shelf.value;
    let foot = Area { width: thing.outside.width, depth: thing.outside.depth };
    let (clear, height) = (shelves.clear.value.thousandths(), thing.outside.height.thousandths());
    let layers = match (height, thing.stacks) {
        (h, _) if h > clear => 0,
        (h, true) if h > 0 => clear / h,
        _ => 1,
    };
    on_area(area, foot).saturating_mul(u32::try_from(layers).unwrap_or(0))
}
