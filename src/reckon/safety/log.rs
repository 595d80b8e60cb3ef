//! The temperature log: what to measure, when, the limit, and what to do when it is out.

mod clocks;
mod cold_core;

use self::clocks::{first_out_by, from_the_fire, outs};
use super::Safety;
use super::cooling::Cooling;
use super::exposures::Exposure;
use super::judge::Phase;
use super::rule_sets::{Passes, RuleSet, dough_benchmark};
use super::rules::row;
use crate::course::{
    Chain, Course, Ingredient, ItemId, Lasts, Lesson, LessonId, PartId, Step, StepId, TemperatureRange,
    VariantId, Where,
};
use crate::reckon::dough_temperature::Advice;
use crate::reckon::dough_temperature::batches::batch_temperatures;
use crate::reckon::home::main_dough;
use crate::reckon::plan::jobs::Group;
use crate::reckon::plan::timetable::{Plan, PlannedTask};
use crate::reckon::recipes::Recipes;
use crate::reckon::work::Batch;
use crate::units::{Celsius, Minutes};
use jiff::ZonedDateTime;

/// What is read, or watched.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum What {
    /// A cold place, before work begins.
    ColdPlace(crate::course::EquipId),
    /// What was weighed onto trays and must stay cold until it is taken up; what is warmed for its dough is not among it. Read when
    /// the first of it is taken up.
    Trays(Vec<ItemId>),
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

/// A moment of the plan that a reading hangs on: a task begins, or ends.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Edge {
    /// The task.
    pub task: String,
    /// It ends; else it begins.
    pub ends: bool,
    /// When, by the plan.
    pub at: ZonedDateTime,
}

/// What food comes from as its clock begins.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Since {
    /// A cold place.
    Cold,
    /// The fire: it was cooked, and has not been in the cold yet.
    Fire,
    /// The oven: it was baked in.
    Oven,
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
    /// For a clock: by the plan it was in the cold before, and not for so long that it is known to be cold: its time is as long as the
    /// limit says only where somebody has read that it is. For a part that had to be cold hours before: nobody has read when it was.
    pub unread: bool,
    /// For a clock: what the food comes from.
    pub since: Since,
    /// For a clock: what brings the food out, group by group. It runs from the first of them.
    pub hangs_on: Vec<Edge>,
}

/// The log of a plan, by the clock.
#[must_use]
pub fn log(
    course: &Course,
    recipes: &Recipes,
    plan: &Plan,
    set: Option<&'static RuleSet>,
    safety: &Safety,
) -> Vec<LogRow> {
    let mut rows = cold_places(course, plan, set);
    rows.extend(trays(course, recipes, plan, set));
    for task in plan.tasks.iter().filter(|t| !t.cold_wait) {
        rows.extend(of_task(course, plan, task, safety));
    }
    for cooling in &safety.coolings {
        rows.extend(of_cooling(course, cooling));
        rows.extend(set.map_or_else(Vec::new, |set| cold_core::readings(course, plan, set, cooling)));
    }
    for exposure in &safety.exposures {
        let Some(row) = of_exposure(exposure) else { continue };
        let left = outs(course, plan, exposure);
        rows.extend(left.into_iter().map(|(at, hangs_on)| LogRow { at, hangs_on, ..row.clone() }));
        let hangs_on = first_out_by(course, plan, exposure);
        let since =
            if hangs_on.iter().any(|e| from_the_fire(course, plan, e)) { Since::Fire } else { row.since };
        rows.push(LogRow { hangs_on, since, ..row });
    }
    rows.sort_by(|a, b| (&a.at, &a.what).cmp(&(&b.at, &b.what)));
    // Of two lines that are alike one stands, and hangs on what both hang on.
    rows.dedup_by(|later, kept| {
        let alike = LogRow { hangs_on: kept.hangs_on.clone(), ..later.clone() } == *kept;
        if alike {
            kept.hangs_on.append(&mut later.hangs_on);
        }
        alike
    });
    for row in &mut rows {
        row.hangs_on.sort();
        row.hangs_on.dedup();
    }
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
                unread: false,
                since: Since::Cold,
                hangs_on: Vec::new(),
            })
        })
        .collect()
}

/// On each day the first mixing: what was weighed for it was cold until then, and what is left of beaten egg is thrown away.
fn trays(course: &Course, recipes: &Recipes, plan: &Plan, set: Option<&'static RuleSet>) -> Vec<LogRow> {
    let cold_max = set.and_then(|s| s.cold_max);
    let mixes = batch_temperatures(course, recipes, &plan.choice, Some(plan));
    // The first mix of a day, and what is cold on that day's trays until it goes in. What one dough wants warm another may want cold.
    let mut days: Vec<(&ZonedDateTime, Vec<ItemId>)> = Vec::new();
    for task in &plan.tasks {
        let Some(lesson) = task.lesson.as_ref().and_then(|l| course.lesson(l)) else { continue };
        let Some(step) = lesson.step(&task.step).filter(|s| s.place.value == Where::Mixer) else { continue };
        let mut cold = cold_in(course, recipes, plan, lesson, step, task);
        let of_task = mixes.iter().filter(|m| m.task.as_ref() == Some(&task.id));
        let warmed: Vec<ItemId> = of_task
            .filter(|m| is_warmed(&m.temperature.advice, cold_max))
            .flat_map(|m| m.chosen.clone())
            .collect();
        cold.retain(|item| !warmed.contains(item));
        match days.iter_mut().find(|(at, _)| at.date() == task.start.date()) {
            Some((at, items)) => {
                *at = (*at).min(&task.start);
                items.extend(cold);
            }
            None => days.push((&task.start, cold)),
        }
    }
    let limit = cold_max.map_or(Limit::Unknown, Limit::AtMost);
    let row = |(at, items): (&ZonedDateTime, Vec<ItemId>)| {
        // In the order of the pantry, each once.
        let kept = course.pantry.items.iter().map(|i| &i.id.value).filter(|i| items.contains(i));
        let kept: Vec<ItemId> = kept.cloned().collect();
        (!kept.is_empty()).then(|| tray_row(at, kept, limit, set))
    };
    days.into_iter().filter_map(row).collect()
}

fn tray_row(at: &ZonedDateTime, cold: Vec<ItemId>, limit: Limit, set: Option<&'static RuleSet>) -> LogRow {
    LogRow {
        at: at.clone(),
        what: What::Trays(cold),
        limit,
        within: None,
        hold: None,
        if_out: IfOut::ThrowAway,
        row: set.map(|s| s.rows[0]),
        unattended: false,
        unread: false,
        since: Since::Cold,
        hangs_on: Vec::new(),
    }
}

/// What of a mix is weighed cold: its own ingredients; what is made before it has a line of its own.
fn cold_in(
    course: &Course,
    recipes: &Recipes,
    plan: &Plan,
    lesson: &Lesson,
    step: &Step,
    task: &PlannedTask,
) -> Vec<ItemId> {
    let is_of = |b: &&Batch| match &task.group {
        Group::Batch(no) => b.no == *no,
        Group::Class(variant) => b.variant == *variant,
        _ => false,
    };
    let Some(batch) = plan.choice.batches_of(&lesson.id.value, step).iter().find(is_of) else {
        return Vec::new();
    };
    let made = recipes.get(&lesson.formula.value, batch.variant.as_ref());
    let lines = made.and_then(|r| r.formula.part(&batch.part)).map_or(&[][..], |p| &p.of);
    let cold = |item: &ItemId| course.pantry.item(item).is_some_and(|i| i.cold);
    let items = lines.iter().filter_map(|line| match &line.what.value {
        Ingredient::Item(item) => Some(item.clone()),
        Ingredient::Part(_) => None,
    });
    items.filter(cold).collect()
}

/// Whether a dough wants its liquid warmer than what is cold may be.
fn is_warmed(advice: &Advice, cold_max: Option<Celsius>) -> bool {
    match advice {
        Advice::LiquidAt(at) | Advice::TooCold { liquid: at, .. } => cold_max.is_none_or(|most| *at > most),
        _ => false,
    }
}

fn of_task(course: &Course, plan: &Plan, task: &PlannedTask, safety: &Safety) -> Vec<LogRow> {
    let Some(lesson) = task.lesson.as_ref().and_then(|l| course.lesson(l)) else { return Vec::new() };
    let Some(step) = lesson.step(&task.step) else { return Vec::new() };
    let part = read_at(course, lesson, step);
    let id = lesson.id.value.clone();
    let cooked =
        safety.coolings.iter().any(|c| c.lesson == lesson.id.value && Some(&c.part) == part.as_ref());
    // What holds egg is hot for so long too, and the table says so; else the lesson alone does.
    let hold = safety
        .eggs
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
        unread: false,
        since: Since::Cold,
        hangs_on: Vec::new(),
    };
    match (&step.core, &step.aim, step.place.value) {
        (Some(core), _, Where::Oven) => {
            let Group::Load(no) = task.group else { return Vec::new() };
            let read = line(What::Load(id, no), range(core.value), IfOut::BakeOn);
            vec![LogRow { at: comes_out(course, step, task), ..read }]
        }
        (Some(core), _, _) => {
            let Some(part) = part else { return Vec::new() };
            let variant = match &task.group {
                Group::Class(variant) => variant.clone(),
                _ => None,
            };
            // What must only be cold enough is not heated on.
            let chills = core.value.least.is_none() && step.place.value != Where::Hob;
            let (if_out, unread) = match (chills, cooked) {
                (false, _) => (IfOut::HeatOn, false),
                // That it is cold in time is counted on: what is not has cooled too slowly.
                (true, true) => cold_core::if_too_warm(course, plan, safety, (&id, &part), task),
                (true, false) => (IfOut::MoveFood, false),
            };
            let what = What::Part(id, part, variant, step.id.value.clone(), task.group.clone());
            vec![LogRow { unread, ..line(what, range(core.value), if_out) }]
        }
        (None, Some(aim), Where::Mixer) => {
            let (Some(part), Group::Batch(no)) = (part, &task.group) else { return Vec::new() };
            vec![line(What::Mixed(id, part, *no), Limit::Aim(aim.value), IfOut::NoteIt)]
        }
        _ => Vec::new(),
    }
}

/// The part that a step's core is read in: the first that it names; where it heats the piece, or names nothing else, the piece's dough.
fn read_at(course: &Course, lesson: &Lesson, step: &Step) -> Option<PartId> {
    let named = step.on.iter().find_map(|c| match &c.value {
        Chain::Part(p) => Some(p.clone()),
        Chain::Piece => None,
    });
    if !is_of_piece(step) {
        return named;
    }
    let formula = course.formula(&lesson.formula.value)?;
    let dough = main_dough(formula).map(|p| p.id.value.clone());
    dough.or_else(|| formula.piece.amounts.first().map(|(id, _)| id.value.clone())).or(named)
}

/// Whether a core is that of the piece, whatever goes onto it: what fries or steams works on the piece and has no oven's load to read.
#[must_use]
pub fn is_of_piece(step: &Step) -> bool {
    let has = |piece: bool| step.on.iter().any(|c| (c.value == Chain::Piece) == piece);
    has(true) && (step.place.value == Where::Hob || !has(false))
}

/// When a load comes out, by the bake's usual time on the plan's grid: the next load and the next step are set by it. The plan's own end
/// may be later still, and what is in the oven does not wait for that.
#[must_use]
pub fn comes_out(course: &Course, step: &Step, task: &PlannedTask) -> ZonedDateTime {
    let grid = course.settings.grid.value.get().max(1);
    let on_grid = |minutes: i64| (minutes + grid - 1).div_euclid(grid) * grid;
    let usual = match &step.lasts {
        Lasts::Takes { takes, .. } => Some(takes.value.usual.min(takes.value.most)),
        Lasts::Stands(_) => None,
    };
    let out =
        usual.and_then(|m| task.start.checked_add(jiff::SignedDuration::from_mins(on_grid(m.get()))).ok());
    out.map_or_else(|| task.end.clone(), |at| at.min(task.end.clone()))
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
            unread: false,
            since: Since::Cold,
            hangs_on: Vec::new(),
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
        since: if exposure.phase == Phase::Baked { Since::Oven } else { Since::Cold },
        unread: exposure.out.is_some_and(|o| o.cooling > Minutes::ZERO),
        hangs_on: Vec::new(),
    })
}

#[cfg(test)]
mod tests;
