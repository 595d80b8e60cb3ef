//! The temperature log: what to measure, when, the limit, and what to do when it is out.

use super::Safety;
use super::cooling::Cooling;
use super::egg_heat::EggHeat;
use super::exposures::Exposure;
use super::judge::Phase;
use super::rule_sets::{Passes, RuleSet, dough_benchmark};
use super::rules::row;
use crate::course::{Course, LessonId, PartId, StepId, TemperatureRange, VariantId, Where};
use crate::reckon::plan::jobs::Group;
use crate::reckon::plan::timetable::{Plan, PlannedTask};
use crate::units::{Celsius, Minutes};
use jiff::ZonedDateTime;

/// What is read, or watched.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum What {
    /// A cold place, before work begins.
    ColdPlace(crate::course::EquipId),
    /// What was weighed onto trays and must stay cold: beaten egg, milk, butter. Read when the first of it is taken up.
    Trays,
    /// The centre of a part at the end of a step, pan by pan.
    Part(LessonId, PartId, Option<VariantId>, StepId, Group),
    /// The dough after the mixer.
    Mixed(LessonId, PartId, u32),
    /// The centre of a load's pieces.
    Load(LessonId, u32),
    /// The clock of a part that is out of the cold.
    Out(LessonId, PartId),
}

/// What a reading is held against.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Limit {
    /// At least.
    AtLeast(Celsius),
    /// At most.
    AtMost(Celsius),
    /// Between.
    Between(Celsius, Celsius),
    /// What is aimed at.
    Aim(Celsius),
    /// No figure.
    Unknown,
}

/// What to do when a reading is out.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum IfOut {
    /// Move the food to another cold place, find out how long, call whoever mends it.
    MoveFood,
    /// Go on heating until it is reached.
    HeatOn,
    /// Reheat at once, once, and cool again; else throw away (row `us-cool-missed`).
    ReheatOnceOrThrowAway,
    /// Throw away.
    ThrowAway,
    /// Back into the oven, read again.
    BakeOn,
    /// Note it: a warmer dough rises faster, a colder one slower.
    NoteIt,
}

/// One line of the log.
#[derive(Clone, PartialEq, Debug)]
pub struct LogRow {
    /// When, or by when.
    pub at: ZonedDateTime,
    /// What.
    pub what: What,
    /// Held against.
    pub limit: Limit,
    /// The span that the limit is to be reached in, or that a clock runs; with the operator that passes.
    pub within: Option<(Minutes, Passes)>,
    /// The seconds for which the limit is held: egg below 70 degC.
    pub hold: Option<u32>,
    /// What to do when it is out.
    pub if_out: IfOut,
    /// The row it rests on; `None`: the lesson.
    pub row: Option<&'static str>,
    /// Nobody is in the kitchen then: read before leaving and first thing on return.
    pub unattended: bool,
}

/// The log of a plan, by the clock.
#[must_use]
pub fn log(course: &Course, plan: &Plan, set: Option<&'static RuleSet>, safety: &Safety) -> Vec<LogRow> {
    let mut rows = cold_places(course, plan, set);
    rows.extend(trays(course, plan, set));
    for task in plan.tasks.iter().filter(|t| !t.cold_wait) {
        rows.extend(of_task(course, task, &safety.eggs));
    }
    for cooling in &safety.coolings {
        rows.extend(of_cooling(course, cooling));
    }
    for exposure in &safety.exposures {
        rows.extend(of_exposure(exposure));
    }
    rows.sort_by(|a, b| (&a.at, &a.what).cmp(&(&b.at, &b.what)));
    rows.dedup();
    rows
}

/// Each cold place and each freezer, on each day that something is done.
fn cold_places(course: &Course, plan: &Plan, set: Option<&'static RuleSet>) -> Vec<LogRow> {
    let mut days: Vec<&ZonedDateTime> = Vec::new();
    for task in plan.tasks.iter().filter(|t| t.hands != crate::course::Hands::Nobody) {
        if days.last().is_none_or(|d| d.date() != task.start.date()) {
            days.push(&task.start);
        }
    }
    let limit = set.and_then(|s| s.cold_max).map_or(Limit::Unknown, Limit::AtMost);
    let row = set.map(|s| s.rows[0]);
    let cold = course.kitchen.cold.iter().map(|c| (&c.id.value, limit, row));
    // For a freezer no rule set has a figure: it is held against what the kitchen says of it.
    let freezers = course.kitchen.freezers.iter().map(|f| {
        let own = f.temperature.as_ref().map_or(Limit::Unknown, |at| Limit::AtMost(at.value));
        (&f.id.value, own, None)
    });
    let places: Vec<_> = cold.chain(freezers).collect();
    days.iter()
        .flat_map(|at| {
            places.iter().map(|(id, limit, row)| LogRow {
                at: (*at).clone(),
                what: What::ColdPlace((*id).clone()),
                limit: *limit,
                within: None,
                hold: None,
                if_out: IfOut::MoveFood,
                row: *row,
                unattended: false,
            })
        })
        .collect()
}

/// On each day the first mixing: what was weighed for it was cold until then, and what is left of beaten egg is thrown away.
fn trays(course: &Course, plan: &Plan, set: Option<&'static RuleSet>) -> Vec<LogRow> {
    let mixes = |t: &&PlannedTask| {
        let step = t.lesson.as_ref().and_then(|l| course.lesson(l)).and_then(|l| l.step(&t.step));
        step.is_some_and(|s| s.place.value == Where::Mixer)
    };
    let mut first: Vec<&ZonedDateTime> = Vec::new();
    for task in plan.tasks.iter().filter(mixes) {
        match first.iter_mut().find(|d| d.date() == task.start.date()) {
            Some(known) => *known = (*known).min(&task.start),
            None => first.push(&task.start),
        }
    }
    let limit = set.and_then(|s| s.cold_max).map_or(Limit::Unknown, Limit::AtMost);
    let row = |at: &ZonedDateTime| LogRow {
        at: at.clone(),
        what: What::Trays,
        limit,
        within: None,
        hold: None,
        if_out: IfOut::ThrowAway,
        row: set.map(|s| s.rows[0]),
        unattended: false,
    };
    first.into_iter().map(row).collect()
}

fn of_task(course: &Course, task: &PlannedTask, eggs: &[EggHeat]) -> Vec<LogRow> {
    let Some(lesson) = task.lesson.as_ref().and_then(|l| course.lesson(l)) else { return Vec::new() };
    let Some(step) = lesson.step(&task.step) else { return Vec::new() };
    let part = step.on.iter().find_map(|c| match &c.value {
        crate::course::Chain::Part(p) => Some(p.clone()),
        crate::course::Chain::Piece => None,
    });
    let id = lesson.id.value.clone();
    // What holds egg is hot for so long too, and the table says so; else the lesson alone does.
    let hold = eggs
        .iter()
        .filter(|e| e.lesson == lesson.id.value && e.step.as_ref() == Some(&task.step))
        .filter_map(|e| e.hold.map(|seconds| (seconds, e.row)))
        .max();
    let line = |what, limit, if_out| LogRow {
        at: task.end.clone(),
        what,
        limit,
        within: None,
        hold: hold.map(|(seconds, _)| seconds),
        if_out,
        row: hold.map(|(_, row)| row),
        unattended: false,
    };
    match (&step.core, &step.aim, step.place.value) {
        (Some(core), _, Where::Oven) => {
            let Group::Load(no) = task.group else { return Vec::new() };
            vec![line(What::Load(id, no), range(core.value), IfOut::BakeOn)]
        }
        (Some(core), _, _) => {
            let Some(part) = part else { return Vec::new() };
            let variant = match &task.group {
                Group::Class(variant) => variant.clone(),
                _ => None,
            };
            let what = What::Part(id, part, variant, step.id.value.clone(), task.group.clone());
            // What must only be cold enough is not heated on.
            let chills = core.value.least.is_none() && step.place.value != Where::Hob;
            let if_out = if chills { IfOut::MoveFood } else { IfOut::HeatOn };
            vec![line(what, range(core.value), if_out)]
        }
        (None, Some(aim), Where::Mixer) => {
            let (Some(part), Group::Batch(no)) = (part, &task.group) else { return Vec::new() };
            vec![line(What::Mixed(id, part, *no), Limit::Aim(aim.value), IfOut::NoteIt)]
        }
        _ => Vec::new(),
    }
}

fn range(core: TemperatureRange) -> Limit {
    match (core.least, core.most) {
        (Some(least), Some(most)) => Limit::Between(least, most),
        (Some(least), None) => Limit::AtLeast(least),
        (None, Some(most)) => Limit::AtMost(most),
        (None, None) => Limit::Unknown,
    }
}

fn of_cooling(course: &Course, cooling: &Cooling) -> Vec<LogRow> {
    let part = || {
        What::Part(
            cooling.lesson.clone(),
            cooling.part.clone(),
            cooling.variant.clone(),
            cooling.step.clone(),
            cooling.group.clone(),
        )
    };
    let last = cooling.marks.len();
    cooling
        .marks
        .iter()
        .enumerate()
        .map(|(n, (clock, at))| LogRow {
            at: at.clone(),
            what: part(),
            limit: Limit::AtMost(clock.to),
            within: Some((clock.within, Passes::UpTo)),
            hold: None,
            if_out: if n + 1 < last { IfOut::ReheatOnceOrThrowAway } else { IfOut::ThrowAway },
            row: row(clock.row).map(|r| r.id),
            unattended: !staff_are_in(course, at),
        })
        .collect()
}

fn staff_are_in(course: &Course, at: &ZonedDateTime) -> bool {
    course.sessions.iter().any(|s| {
        (s.from.value <= *at && *at <= s.to.value)
            || s.staff.iter().any(|span| span.value.0 <= *at && *at <= span.value.1)
    })
}

/// The clock of what is out of the cold and is eaten without being cooked or baked after it; raw dough has none. Where the rule set
/// has no figure for it there is a line without one: how long it was must be justified, or asked.
fn of_exposure(exposure: &Exposure) -> Option<LogRow> {
    let raw = exposure.phase == Phase::Raw && exposure.heated;
    if exposure.set == dough_benchmark().id || raw {
        return None;
    }
    Some(LogRow {
        at: exposure.first_out.clone()?,
        what: What::Out(exposure.lesson.clone(), exposure.part.clone()),
        limit: Limit::Unknown,
        within: exposure.judged.limit,
        hold: None,
        if_out: IfOut::ThrowAway,
        row: row(exposure.judged.row).map(|r| r.id),
        unattended: false,
    })
}

#[cfg(test)]
mod tests;
