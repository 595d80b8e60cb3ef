//! The home recipe's own clock: the steps of a lesson laid out for one cook.

use super::{HOME_RACK, HomeStep, WAITS_AT_MOST, main_dough};
use crate::course::{
    Area, Chain, Course, Formula, Hands, Keep, Lasts, Lesson, Part, Per, Piece, Stands, Step, Where,
};
use crate::reckon::ovens::{AIR_BETWEEN_TINS, both_heats, per_tray, spots};
use crate::reckon::safety::control::holds_raw_egg;
use crate::reckon::yeast::time_at;
use crate::units::{Centimetres, Minutes};

/// The steps laid out for one cook.
#[derive(Default)]
pub struct Clock {
    /// The steps, as the lesson orders them.
    pub steps: Vec<HomeStep>,
    /// When each chain is free for its next step.
    chains: Vec<(Chain, Minutes)>,
    /// When the cook's hands are free.
    cook: Minutes,
    /// The lesson's oven temperatures are for an oven with a fan.
    for_fan: bool,
}

impl Clock {
    /// A lesson at home, for so many pieces and bowls of dough.
    pub fn of(course: &Course, formula: &Formula, lesson: &Lesson, pieces: u32, bowls: u32) -> Clock {
        let mut clock = Clock { for_fan: lesson.heats_for_fan, ..Clock::default() };
        // What is shown is not done at home.
        for step in lesson.steps.iter().filter(|s| !s.demo) {
            clock.lay(course, formula, step, pieces, bowls);
        }
        clock.make_late(course, formula, lesson);
        clock
    }

    /// From the first step to the end of the last.
    pub fn in_all(&self) -> Minutes {
        let end = self.steps.iter().map(|s| s.to).max().unwrap_or(Minutes::ZERO);
        end - self.steps.iter().map(|s| s.from).min().unwrap_or(Minutes::ZERO)
    }

    /// Puts the making of a part that must not wait long to the last moment at which the cook has hands for it, the last steps first.
    fn make_late(&mut self, course: &Course, formula: &Formula, lesson: &Lesson) {
        for at in (0..self.steps.len()).rev() {
            let Some(step) = lesson.step(&self.steps[at].step) else { continue };
            let [only] = step.on.as_slice() else { continue };
            let Chain::Part(part) = &only.value else { continue };
            let needs_cold = formula.part(part).is_some_and(|p| is_perishable(course, formula, p));
            let is_dough = main_dough(formula).is_some_and(|p| p.id.value == *part);
            // What is to be done next to it, or after it by its words.
            let waits_for = |s: &HomeStep| {
                lesson.step(&s.step).is_some_and(|other| {
                    other.on.iter().any(|c| c.value == only.value)
                        || other.after.iter().any(|a| a.value == step.id.value)
                })
            };
            let taken = self.steps[at + 1..].iter().filter(|s| waits_for(s)).map(|s| s.from).min();
            let (from, to) = (self.steps[at].from, self.steps[at].to);
            let is_cold = matches!(step.place.value, Where::Cold | Where::Freezer);
            let late = needs_cold && !is_dough && !is_cold;
            let Some(taken) = taken.filter(|t| late && *t - to > WAITS_AT_MOST) else { continue };
            let long = to - from;
            let busy: Vec<(Minutes, Minutes)> = match self.steps[at].waits {
                true => Vec::new(),
                false => {
                    let others = self.steps.iter().enumerate().filter(|(n, s)| *n != at && !s.waits);
                    others.map(|(_, s)| (s.from, s.to)).collect()
                }
            };
            // Just before it is taken, or else just before something that the hands do.
            let ends = busy.iter().map(|b| b.0).chain([taken]).filter(|end| *end <= taken && *end >= to);
            let is_free = |end: &Minutes| busy.iter().all(|b| *end <= b.0 || *end - long >= b.1);
            if let Some(end) = ends.filter(is_free).max() {
                (self.steps[at].from, self.steps[at].to) = (end - long, end);
            }
        }
    }

    fn lay(&mut self, course: &Course, formula: &Formula, step: &Step, pieces: u32, bowls: u32) {
        let baked = step.place.value == Where::Oven;
        let mixed = step.place.value == Where::Mixer;
        let at_once = if baked { on_rack(course, formula) } else { None };
        let rounds = if baked {
            at_once.map_or(1, |n| pieces.div_ceil(n.max(1)).max(1))
        } else if mixed {
            bowls
        } else {
            1
        };
        let waits = step.hands.value == Hands::Nobody;
        let (lasts, most, estimate) = lasting(course, step, pieces, mixed);
        let lasts = lasts.times(i64::from(rounds));
        let carry = step.carry.as_ref().map_or(Minutes::ZERO, |c| c.least);
        let before = step.on.iter().map(|c| self.chain(&c.value)).max().unwrap_or(Minutes::ZERO);
        let after = step
            .after
            .iter()
            .filter_map(|a| self.steps.iter().find(|s| s.step == a.value))
            .map(|s| s.to)
            .max()
            .unwrap_or(Minutes::ZERO);
        let ready = if before > Minutes::ZERO { before + carry } else { before };
        let from = ready.max(after).max(if waits { Minutes::ZERO } else { self.cook });
        let to = from + lasts;
        if !waits {
            self.cook = to;
        }
        for chain in &step.on {
            match self.chains.iter_mut().find(|(c, _)| *c == chain.value) {
                Some((_, end)) => *end = to,
                None => self.chains.push((chain.value.clone(), to)),
            }
        }
        self.steps.push(HomeStep {
            step: step.id.value.clone(),
            place: step.place.value,
            from,
            to,
            most,
            waits,
            by_hand: step.by_hand.as_ref().map(|t| t.value),
            heat: step.heat.as_ref().map(|h| both_heats(h.value, self.for_fan, course.settings.units.value)),
            rounds,
            at_once: at_once.filter(|_| pieces > 1),
            estimate,
        });
    }

    /// When a chain is free. The piece is ready when every part that was worked on before is.
    fn chain(&self, chain: &Chain) -> Minutes {
        match (self.chains.iter().find(|(c, _)| c == chain), chain) {
            (Some((_, end)), _) => *end,
            (None, Chain::Part(_)) => Minutes::ZERO,
            (None, Chain::Piece) => self.chains.iter().map(|(_, end)| *end).max().unwrap_or(Minutes::ZERO),
        }
    }
}

/// Whether a part is kept in the cold until it is used, or holds raw egg.
fn is_perishable(course: &Course, formula: &Formula, part: &Part) -> bool {
    part.keep.as_ref().is_some_and(|k| k.value == Keep::Cold)
        || part.needs_cold.as_ref().is_some_and(|n| n.value)
        || holds_raw_egg(formula, part, &course.pantry)
}

/// Pieces that stand on a home oven's rack: in their tins with air between them, or on the oven's own tray. `None`: a size is unknown.
fn on_rack(course: &Course, formula: &Formula) -> Option<u32> {
    let piece = &formula.piece;
    if let Some(id) = &piece.tin {
        let tin = course.kitchen.tins.iter().find(|t| t.id.value == id.value)?;
        let outside = Area { width: tin.outside.value.width, depth: tin.outside.value.depth };
        // A tin larger than the rack is the class's; at home it is one after the other in what fits.
        return u32::try_from(spots(HOME_RACK, outside, AIR_BETWEEN_TINS).len()).ok().map(|n| n.max(1));
    }
    let tray =
        piece.tray.as_ref().and_then(|id| course.kitchen.trays.iter().find(|t| t.id.value == id.value));
    // What lies there are the shaped ones, of which several may make one piece.
    let in_pieces = |shaped: u32| (shaped / piece.count.value.max(1)).max(1);
    let usual = tray.and_then(|t| per_tray(piece, t)).or(piece.per_tray.as_ref().map(|n| n.value))?;
    let Some(tray) = tray.filter(|t| spots(HOME_RACK, t.size.value, Centimetres::ZERO).is_empty()) else {
        return Some(in_pieces(usual));
    };
    // The class's tray does not go in: the home's own, as large as its rack, holds as many as there is room for; where the pieces have no
    // size, as many as its share of the class's tray.
    let mut own = tray.clone();
    own.size.value = HOME_RACK;
    let unwritten = Piece { per_tray: None, ..piece.clone() };
    let share = || {
        let of = |a: Area| a.width.to_f64() * a.depth.to_f64();
        (f64::from(usual) * of(HOME_RACK) / of(tray.size.value).max(1.0)).floor() as u32
    };
    Some(in_pieces(per_tray(&unwritten, &own).unwrap_or_else(share).min(usual)))
}

/// How long a step lasts at home, the most it may, and whether that is an estimate.
fn lasting(course: &Course, step: &Step, pieces: u32, mixed: bool) -> (Minutes, Option<Minutes>, bool) {
    match &step.lasts {
        Lasts::Takes { takes, each } => {
            let more =
                each.as_ref().map_or(Minutes::ZERO, |e| e.usual.times(i64::from(pieces.saturating_sub(1))));
            // Little dough in a small bowl develops sooner: halfway from the shortest to the usual time.
            let one = if mixed && step.per.value == Per::Batch {
                Minutes((takes.least.get() + takes.usual.get() + 1) / 2)
            } else {
                takes.usual
            };
            (one + more, None, false)
        }
        Lasts::Stands(stands) => {
            let (stands, estimate) = at_home(course, step, stands.value);
            (stands.least, stands.most, estimate)
        }
    }
}

/// What stands in the warm stands longer in a home's room; both are taken as the kitchen states them.
fn at_home(course: &Course, step: &Step, stands: Stands) -> (Stands, bool) {
    let warm = course.kitchen.warm.iter().find_map(|w| w.temperature.as_ref()).map(|t| t.value);
    let room = course.kitchen.room.value;
    match warm {
        Some(warm) if step.place.value == Where::Warm && warm > room => {
            let longer = |m: Minutes| {
                let about = time_at(m, warm, room, course.settings.conventions.rise.value).about;
                // An estimate is said in steps of five minutes.
                Minutes((about.get() + 2) / 5 * 5)
            };
            (Stands { least: longer(stands.least), most: stands.most.map(longer) }, true)
        }
        _ => (stands, false),
    }
}
