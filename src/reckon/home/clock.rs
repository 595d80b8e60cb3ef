//! The home recipe's own clock: the steps of a lesson laid out for one cook, each as soon as hands are free, and then as late as what the
//! lesson lets stand and wait asks for.

mod limits;

use super::{HOME_RACK, HomeStep};
use crate::course::{Area, Chain, Course, Formula, Hands, Lasts, Lesson, Per, Piece, Stands, Step, Where};
use crate::reckon::ovens::{AIR_BETWEEN_TINS, both_heats, per_tray, spots};
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
        // What is shown is not done at home.
        let mut steps: Vec<&Step> = lesson.steps.iter().filter(|s| !s.demo).collect();
        let laid = |steps: &[&Step]| {
            let mut clock = Clock { for_fan: lesson.heats_for_fan, ..Clock::default() };
            for step in steps {
                clock.lay(course, formula, step, pieces, bowls);
            }
            limits::keep(&mut clock.steps, course, formula, lesson);
            clock
        };
        let mut clock = laid(&steps);
        // Where something is too long as the lesson has it, one step is done later than it stands there, as often as that helps.
        while clock.too_long() > Minutes::ZERO {
            let others =
                limits::reordered(&steps, formula, lesson).into_iter().map(|order| (laid(&order), order));
            let best = others.min_by_key(|(clock, _)| (clock.too_long(), clock.in_all()));
            let Some(better) = best.filter(|(other, _)| other.too_long() < clock.too_long()) else { break };
            (clock, steps) = better;
        }
        clock.steps.sort_by_key(|s| lesson.steps.iter().position(|of| of.id.value == s.step));
        clock
    }

    /// By how much what stands or waits is too long, all in all.
    fn too_long(&self) -> Minutes {
        self.steps.iter().filter_map(|s| s.beyond).map(|b| b.waits - b.most).sum()
    }

    /// From the first step to the end of the last.
    pub fn in_all(&self) -> Minutes {
        let end = self.steps.iter().map(|s| s.to).max().unwrap_or(Minutes::ZERO);
        end - self.steps.iter().map(|s| s.from).min().unwrap_or(Minutes::ZERO)
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
            beyond: None,
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
