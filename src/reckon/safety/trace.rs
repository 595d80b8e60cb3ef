//! Where a part is, minute by minute: one stay after the other, for whose pieces it is made.

use crate::course::{
    Chain, Course, Formula, Hands, Ingredient, Kitchen, Lasts, Lesson, PartId, Step, StepId, Where,
};
use crate::reckon::plan::chains::Order;
use crate::reckon::plan::timetable::{Plan, PlannedTask};
use crate::reckon::work::Whom;
use crate::units::{Celsius, Minutes};
use jiff::ZonedDateTime;
use std::collections::BTreeSet;

/// A stay of a food in one place.
#[derive(Clone, PartialEq, Debug)]
pub struct Stay {
    /// The step that it is there for, or that it has just left.
    pub step: StepId,
    /// From.
    pub from: ZonedDateTime,
    /// To.
    pub to: ZonedDateTime,
    /// Where.
    pub place: Where,
    /// Hands work on it.
    pub worked_on: bool,
    /// It waits on the bench between two steps.
    pub waits: bool,
    /// On the fire: the least that the lesson asks for at its centre.
    pub core: Option<Celsius>,
    /// In the cold: the most that is asked for at its centre when this stay ends, and read by the temperature log.
    pub read: Option<Celsius>,
    /// The temperature wanted after mixing.
    pub aim: Option<Celsius>,
}

impl Stay {
    /// A bare wait on the bench after a step.
    #[must_use]
    pub fn wait(step: StepId, from: ZonedDateTime, to: ZonedDateTime) -> Stay {
        let (core, read, aim) = (None, None, None);
        Stay { step, from, to, place: Where::Bench, worked_on: false, waits: true, core, read, aim }
    }
    /// How long.
    #[must_use]
    pub fn minutes(&self) -> Minutes {
        between(&self.from, &self.to)
    }
    /// In a cold place or a freezer.
    #[must_use]
    pub fn is_cold(&self) -> bool {
        matches!(self.place, Where::Cold | Where::Freezer)
    }
    /// Whether it is cooked from then on: baked, or on the fire until its centre is at least so hot. What is read elsewhere, and
    /// what is only warmed, is as raw after it as before.
    #[must_use]
    pub fn cooks(&self, from: Celsius) -> bool {
        match self.place {
            Where::Oven => true,
            Where::Hob => self.core.is_some_and(|core| core >= from),
            _ => false,
        }
    }
}

/// The minutes from one moment to another.
#[must_use]
pub fn between(from: &ZonedDateTime, to: &ZonedDateTime) -> Minutes {
    Minutes((to.timestamp().as_second() - from.timestamp().as_second()) / 60)
}

/// The steps of a lesson that a part goes through, alone or joined. One that goes into another part is followed until it is
/// in it.
pub(super) fn steps_of<'a>(lesson: &'a Lesson, formula: &Formula, part: &PartId) -> Vec<&'a Step> {
    let order = Order::of(lesson, Some(formula));
    let works_on =
        |step: &Step, part: &PartId| step.on.iter().any(|c| matches!(&c.value, Chain::Part(p) if p == part));
    let own: BTreeSet<usize> =
        (0..lesson.steps.len()).filter(|n| works_on(&lesson.steps[*n], part)).collect();
    let outer: Vec<&PartId> = formula
        .parts
        .iter()
        .filter(|p| p.of.iter().any(|l| matches!(&l.what.value, Ingredient::Part(inner) if inner == part)))
        .map(|p| &p.id.value)
        .collect();
    let in_piece = formula.piece.amounts.iter().any(|(p, _)| p.value == *part);
    (0..lesson.steps.len())
        .filter(|n| !order.made_from(*n).is_disjoint(&own) && !lesson.steps[*n].demo)
        .filter(|n| {
            in_piece
                || !order.made_from(*n).iter().any(|s| outer.iter().any(|o| works_on(&lesson.steps[*s], o)))
        })
        .map(|n| &lesson.steps[n])
        .collect()
}

/// The stays of one part of a lesson for one group's pieces, in the order of the clock. Empty when the plan has no step for it.
#[must_use]
pub fn stays(plan: &Plan, lesson: &Lesson, formula: &Formula, part: &PartId, whom: &Whom) -> Vec<Stay> {
    let steps = steps_of(lesson, formula, part);
    let mut tasks: Vec<(&PlannedTask, &Step)> = plan
        .tasks
        .iter()
        .filter(|t| t.lesson.as_ref() == Some(&lesson.id.value) && t.members.iter().any(|(w, _)| w == whom))
        .filter_map(|t| steps.iter().find(|s| s.id.value == t.step).map(|s| (t, *s)))
        .collect();
    tasks.sort_by(|a, b| (&a.0.start, &a.0.end).cmp(&(&b.0.start, &b.0.end)));
    let mut stays: Vec<Stay> = Vec::new();
    for (n, (task, step)) in tasks.iter().enumerate() {
        // What is taken up into a part of another name is that part's from then on.
        let next = tasks.get(n + 1).map(|(t, _)| &t.start);
        let stands = task.cold_wait || matches!(step.lasts, Lasts::Stands(_));
        let end = match next {
            // What stands for several goes on standing for the others; this one's part of it has left.
            Some(next) if stands || *next < task.end => task.end.clone().min(next.clone()),
            _ => task.end.clone(),
        };
        let place = if task.cold_wait { Where::Cold } else { step.place.value };
        stays.push(Stay {
            step: task.step.clone(),
            from: task.start.clone(),
            to: end.clone(),
            place,
            worked_on: !task.cold_wait && task.hands != Hands::Nobody,
            waits: false,
            core: step
                .core
                .as_ref()
                .and_then(|c| c.value.least)
                .filter(|_| !task.cold_wait && step.place.value == Where::Hob),
            // The log reads a step's first part at its end: what left before, or is another part, nobody has read.
            read: step.core.as_ref().and_then(|c| c.value.most).filter(|_| {
                let first = step.on.iter().find_map(|c| match &c.value {
                    Chain::Part(p) => Some(p),
                    Chain::Piece => None,
                });
                let is_cold = matches!(step.place.value, Where::Cold | Where::Freezer);
                is_cold && !task.cold_wait && first == Some(part) && end == task.end
            }),
            aim: step.aim.as_ref().map(|a| a.value).filter(|_| !task.cold_wait),
        });
        if let Some(next) = next.filter(|next| **next > end) {
            stays.push(Stay::wait(task.step.clone(), end, next.clone()));
        }
    }
    stays
}

/// The stays of a part; those of one that goes into another part end when that is made.
#[must_use]
pub fn until_taken_up(
    plan: &Plan,
    lesson: &Lesson,
    formula: &Formula,
    part: &PartId,
    whom: &Whom,
) -> Vec<Stay> {
    let mut stays = stays(plan, lesson, formula, part, whom);
    let Some(taken) = taken_up(plan, lesson, formula, part, whom) else { return stays };
    stays.retain(|s| s.from < taken);
    if let Some(last) = stays.last_mut() {
        if last.to > taken {
            last.to = taken;
        } else if last.to < taken {
            let wait = Stay::wait(last.step.clone(), last.to.clone(), taken);
            stays.push(wait);
        }
    }
    stays
}

/// When the part of a joined one is taken up: the start of the first step that works on the part it goes into.
fn taken_up(
    plan: &Plan,
    lesson: &Lesson,
    formula: &Formula,
    part: &PartId,
    whom: &Whom,
) -> Option<ZonedDateTime> {
    if formula.piece.amounts.iter().any(|(p, _)| p.value == *part) {
        return None;
    }
    let goes_into = |id: &PartId| {
        formula.part(id).is_some_and(|p| {
            p.of.iter().any(|l| matches!(&l.what.value, Ingredient::Part(inner) if inner == part))
        })
    };
    let joins = |step: &StepId| {
        lesson
            .step(step)
            .is_some_and(|s| s.on.iter().any(|c| matches!(&c.value, Chain::Part(p) if goes_into(p))))
    };
    plan.tasks
        .iter()
        .filter(|t| t.lesson.as_ref() == Some(&lesson.id.value) && joins(&t.step))
        .filter(|t| t.members.iter().any(|(w, _)| w == whom))
        .map(|t| t.start.clone())
        .min()
}

/// The temperature of a place; `None`: nobody wrote it down. Of several alike the least favourable: the warmest. A warm place is
/// warmer than the room, and nobody knows by how much until it is written.
#[must_use]
pub fn temperature(kitchen: &Kitchen, place: Where) -> Option<Celsius> {
    let room = kitchen.room.value;
    let warmest = |shelves: &[crate::course::Shelves]| {
        let all: Option<Vec<Celsius>> =
            shelves.iter().map(|s| s.temperature.as_ref().map(|t| t.value)).collect();
        all.and_then(|all| all.into_iter().max())
    };
    match place {
        Where::Cold => warmest(&kitchen.cold),
        Where::Freezer => warmest(&kitchen.freezers),
        Where::Warm => warmest(&kitchen.warm),
        Where::Bench | Where::Mixer | Where::Room | Where::Rack | Where::Sink => Some(room),
        Where::Hob | Where::Oven => None,
    }
}

/// When the sitting ends in which a moment lies: the pieces leave with the students. `None`: it lies in none.
#[must_use]
pub fn leaves(course: &Course, plan: &Plan, moment: &ZonedDateTime) -> Option<ZonedDateTime> {
    let planned = plan.sessions.iter().find(|s| *moment <= s.end.clone().max(s.finish.clone()))?;
    course.session(&planned.id)?;
    Some(planned.end.clone().max(planned.finish.clone()))
}
