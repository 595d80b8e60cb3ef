//! Oven loads by the clock, and what is in the cold until when.

use super::baked_cold::{stored_baked, stored_unbaked, then_cold, then_cold_unsaid};
use super::common::{About, Block, ForWhom, Making, Measure, Moment, Rack, Sitting, SlipRef, WashUp};
use super::desk::{Desk, minute_of, moment, place_key};
use super::kept_clean::{KeptClean, kept_clean};
use super::on_racks::racks;
use super::wording::{exact, oven_dial, spoken, temperature};
use crate::course::{
    Chain, Hands, Lasts, Lesson, LessonId, PartId, Session, Shelves, StationNo, Step, StepId, Where,
};
use crate::reckon::heating::turned;
use crate::reckon::ovens::racked;
use crate::reckon::plan::chains::Order;
use crate::reckon::plan::timetable::PlannedTask;
use crate::reckon::safety::log::comes_out;
use crate::reckon::work::{Batch, Whom};
use crate::units::Grams;
use jiff::ZonedDateTime;
use jiff::civil::Date;
use serde::Serialize;
use std::collections::BTreeMap;

/// What `templates/oven-and-cold.typ` receives.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct OvenAndCold {
    /// `oven-and-cold`.
    pub kind: &'static str,
    /// The course.
    pub about: About,
    /// The sitting.
    pub sitting: Sitting,
    /// The loads by the clock.
    pub loads: Vec<OvenLoad>,
    /// When to turn an oven on, or to another temperature.
    pub settings: Vec<OvenSetting>,
    /// What stands in the cold and the warm.
    pub places: Vec<Stored>,
}

/// One load.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct OvenLoad {
    /// In, minutes after midnight.
    pub from: i64,
    /// Out, by the usual time on the plan's grid.
    pub to: i64,
    /// Look in from this minute.
    pub earliest: i64,
    /// Out by this minute.
    pub latest: i64,
    /// Which oven.
    pub oven: String,
    /// Number within its lesson.
    pub load: u32,
    /// What.
    pub makes: Vec<Making>,
    /// What its dial is set to.
    pub heat: Measure,
    /// The temperature itself, where the dial only comes near it: in Celsius on a page in Fahrenheit.
    pub exact: Option<Measure>,
    /// Core temperature; two make a range, none is not known.
    pub core: Vec<Measure>,
    /// The racks, the lowest last.
    pub racks: Vec<Rack>,
    /// No free racks were found for it beside the other loads in the oven: nobody knows what is above it.
    pub racks_unknown: bool,
    /// Stations whose pieces go on the top rack: what their people avoid is in the others.
    pub on_top: Vec<String>,
    /// Stations that have nothing above them, and pieces of others beside them on their rack.
    pub level: Vec<String>,
    /// Stations right above whose places nothing stands that holds what they avoid; beside that, on the racks above, something may.
    pub column: Vec<String>,
    /// Stations of which another load in the oven holds what they avoid, or is above: what is above theirs holds nothing of it.
    pub clear: Vec<String>,
    /// Stations whose pieces stand beside each other on every rack, none above another's: each holds what another avoids.
    pub beside: Vec<String>,
    /// Stations whose pieces neither way keeps from what is above them, or whose racks are not known.
    pub not_apart: Vec<String>,
    /// Stations that avoid severely what lies on their rack beside them: no rack of their own was free.
    pub shares: Vec<String>,
    /// The step after it, and how long it may wait before: `Turn out`, 5, 20.
    pub then: Option<Then>,
    /// It holds something that needs the cold: what cooled and is not eaten goes there.
    pub cold: bool,
    /// It holds something cooked of which nobody has written whether it needs the cold: it goes there to be safe.
    pub cold_unsaid: bool,
    /// What its trays or tins are washed of before.
    pub wash_up: Option<WashUp>,
}

/// What follows a bake.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Then {
    /// The step's name.
    pub name: String,
    /// No sooner than so many minutes after.
    pub least: i64,
    /// No later.
    pub most: Option<i64>,
}

/// An oven's temperature is set.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct OvenSetting {
    /// When, minutes after midnight.
    pub at: i64,
    /// Which oven.
    pub oven: String,
    /// To what; `None` is off.
    pub heat: Option<Measure>,
    /// The temperature itself, as with a load.
    pub exact: Option<Measure>,
    /// It is there at this minute.
    pub reached: Option<i64>,
}

/// What stands in a fridge, a freezer, a proofer.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Stored {
    /// The kind of place: a key of the catalogue's `[where]`.
    pub at: String,
    /// Which cupboard, where the kitchen has several of this kind and the plan chose one.
    pub cupboard: Option<String>,
    /// Its temperature; `None` where it is not known.
    pub temperature: Option<Measure>,
    /// The lesson's name.
    pub lesson: String,
    /// What it does there: the step's name.
    pub name: String,
    /// The parts, or none for shaped pieces.
    pub parts: Vec<String>,
    /// How much is taken out, where it is weighed.
    pub amount: Option<Measure>,
    /// Of so much, where others take theirs at another time.
    pub whole: Option<Measure>,
    /// So much is left over, as less cannot be made.
    pub over: Option<Measure>,
    /// Others take theirs later: it stays where it is.
    pub rest: bool,
    /// The slips on it.
    pub slips: Vec<SlipRef>,
    /// For whom.
    pub for_whom: Option<ForWhom>,
    /// In.
    pub from: Moment,
    /// Out, by the plan.
    pub to: Moment,
    /// Not later than this, by the lesson's range; `None`: no limit is written.
    pub latest: Option<Moment>,
    /// Colder or warmer than the room: `cold` or `warm`.
    pub tone: String,
    /// It is cooked or baked: it stands above what is raw.
    pub ready: bool,
    /// What of it is kept clean of something, and stands on top.
    pub kept_clean: Vec<KeptClean>,
    /// It was baked and has cooled, and holds something that needs the cold: it stands there until it is eaten or goes home. `name` is
    /// empty, and `to` the end of the sitting in which it is eaten or goes home.
    pub baked: bool,
    /// The same, and what needs the cold came into it after the bake: it goes there as soon as it is filled.
    pub filled: bool,
    /// One of the two, and nobody has written whether it must: to be safe.
    pub to_be_safe: bool,
    /// It goes home unbaked, with those who take it so: it stands there until then. `name` is empty, and `to` the end of the sitting.
    pub unbaked: bool,
}

impl OvenAndCold {
    /// An empty sheet of this kind.
    pub fn new() -> OvenAndCold {
        OvenAndCold { kind: "oven-and-cold", ..OvenAndCold::default() }
    }
}

impl OvenAndCold {
    /// The sheet of a sitting.
    pub fn of(desk: &Desk, session: &Session) -> OvenAndCold {
        let day = session.from.value.date();
        let here = |t: &&PlannedTask| t.start.date() <= day && t.end.date() >= day;
        let tasks: Vec<&PlannedTask> = desk.plan.tasks.iter().filter(here).collect();
        let baking = tasks.iter().filter(|t| desk.place(t) == Where::Oven && t.start.date() == day);
        let places = [(Where::Cold, "cold"), (Where::Freezer, "cold"), (Where::Warm, "warm")];
        let mut waves: Vec<Wave> = Vec::new();
        for (place, tone) in places {
            let standing = tasks.iter().filter(|t| desk.place(t) == place && t.hands == Hands::Nobody);
            for task in standing {
                for wave in waves_of(desk, task, place, tone) {
                    match waves.iter_mut().find(|w| w.stands_with(desk, &wave)) {
                        Some(there) => there.whom.extend(wave.whom),
                        None => waves.push(wave),
                    }
                }
            }
        }
        let mut given = Given::new();
        let mut stored: Vec<Stored> = waves.iter().map(|w| stored_of(desk, w, &mut given)).collect();
        stored.extend(desk.plan.tasks.iter().flat_map(|t| stored_baked(desk, t, session)));
        stored.extend(stored_unbaked(desk, session));
        OvenAndCold {
            about: desk.about_lessons(&desk.lessons_on(day)),
            sitting: desk.sitting(session),
            loads: baking.filter_map(|t| oven_load(desk, t, day)).collect(),
            settings: oven_settings(desk, &tasks, day),
            places: stored,
            ..OvenAndCold::new()
        }
    }
}

/// When each oven is turned on or to another temperature, so that it is there when its load goes in, and when it is off.
pub(super) fn oven_settings(desk: &Desk, tasks: &[&PlannedTask], day: Date) -> Vec<OvenSetting> {
    let units = desk.units();
    let today = tasks.iter().filter(|t| t.start.date() == day);
    let today: Vec<&str> = today.map(|t| t.id.as_str()).collect();
    let own = turned(desk.course, desk.plan).into_iter().filter(|t| today.contains(&t.task.as_str()));
    let mut settings: Vec<OvenSetting> = own
        .map(|turned| OvenSetting {
            at: minute_of(&turned.at, day),
            oven: desk.machine_of(&turned.oven).map_or(turned.oven, |(_, name)| name),
            heat: turned.to.as_ref().map(|(heat, _)| oven_dial(*heat, units)),
            exact: turned.to.as_ref().and_then(|(heat, _)| exact(*heat, units)),
            reached: turned.to.as_ref().map(|(_, there)| minute_of(there, day)),
        })
        .collect();
    settings.sort_by(|a, b| (a.at, &a.oven).cmp(&(b.at, &b.oven)));
    settings
}

/// The cupboards of a kind of place.
fn cupboards<'d>(desk: &'d Desk, place: Where) -> &'d [Shelves] {
    match place {
        Where::Warm => &desk.course.kitchen.warm,
        Where::Freezer => &desk.course.kitchen.freezers,
        _ => &desk.course.kitchen.cold,
    }
}

/// The cupboard in which something stands: the only one, or the one that the plan chose; `None` is not known.
fn cupboard<'d>(desk: &'d Desk, task: &PlannedTask, place: Where) -> Option<&'d Shelves> {
    match cupboards(desk, place) {
        [only] => Some(only),
        several => several.iter().find(|c| task.uses.iter().any(|u| u.resource == c.id.value.as_str())),
    }
}

/// What is taken out of where it stands at one moment: a dish that several stations use is opened for each of them at its own time,
/// and the others' share stays where it is.
struct Wave<'d> {
    task: &'d PlannedTask,
    place: Where,
    tone: &'d str,
    out: &'d ZonedDateTime,
    whom: Vec<&'d Whom>,
}

/// How much of each batch, where it stands in one of its steps, was written down for those who came before.
type Given<'d> = BTreeMap<(&'d LessonId, &'d PartId, u32, &'d StepId), Grams>;

impl Wave<'_> {
    /// Whether they stand there as one: in the same place, from and until the same moment, of the same batch where it has one.
    fn stands_with(&self, desk: &Desk, other: &Wave) -> bool {
        let key = |w: &Wave| {
            let of = |b: &Batch| (b.part.clone(), b.no);
            (desk.batch(w.task).map(of), cupboard(desk, w.task, w.place).map(|c| c.id.value.clone()))
        };
        (self.place, &self.task.lesson, &self.task.step, self.task.cold_wait, &self.task.start, self.out)
            == (
                other.place,
                &other.task.lesson,
                &other.task.step,
                other.task.cold_wait,
                &other.task.start,
                other.out,
            )
            && key(self) == key(other)
    }
}

/// When what stands is taken out, and for whom: each by the first of them that begins with it, in the order of the clock.
fn waves_of<'d>(desk: &'d Desk, task: &'d PlannedTask, place: Where, tone: &'d str) -> Vec<Wave<'d>> {
    let mut waves: Vec<Wave<'d>> = Vec::new();
    let wave = |out, whom| Wave { task, place, tone, out, whom };
    for (whom, _) in &task.members {
        let out = out_for(desk, task, whom);
        match waves.iter_mut().find(|w| w.out == out) {
            Some(there) => there.whom.push(whom),
            None => waves.push(wave(out, vec![whom])),
        }
    }
    if waves.is_empty() {
        waves.push(wave(&task.end, Vec::new()));
    }
    waves.sort_by_key(|w| w.out);
    waves
}

/// When one of those for whom something stands takes it up.
pub(super) fn out_for<'d>(desk: &'d Desk, task: &'d PlannedTask, whom: &Whom) -> &'d ZonedDateTime {
    let Some(lesson) = task.lesson.as_ref().and_then(|l| desk.course.lesson(l)) else { return &task.end };
    let order = Order::of(lesson, desk.course.formula(&lesson.formula.value));
    let place = |step: &StepId| lesson.steps.iter().position(|s| s.id.value == *step);
    let Some(own) = place(&task.step).filter(|_| !task.cold_wait) else { return &task.end };
    let takes = |t: &PlannedTask| {
        let shows =
            lesson.step(&t.step).is_some_and(|s| s.stages.iter().any(|up_to| up_to.value == task.step));
        let follows = place(&t.step).and_then(|n| order.before.get(n)).is_some_and(|b| b.contains(&own));
        match whom {
            Whom::Stage { demo, .. } if shows => *demo == t.step,
            whom => follows && t.members.iter().any(|(w, _)| w == whom),
        }
    };
    let takers = desk.plan.tasks.iter().filter(|t| t.lesson == task.lesson && !t.cold_wait && takes(t));
    takers.map(|t| &t.start).filter(|at| **at >= task.start).min().map_or(&task.end, |at| at.min(&task.end))
}

fn stored_of<'d>(desk: &'d Desk, wave: &Wave<'d>, given: &mut Given<'d>) -> Stored {
    let (task, place) = (wave.task, wave.place);
    let batch = desk.batch(task);
    let step = desk.step(task);
    let formula = task.lesson.as_ref().and_then(|l| desk.course.lesson(l)).map(|l| &l.formula.value);
    let parts = step.zip(formula).map_or_else(Vec::new, |(step, formula)| {
        let part = |c: &Chain| match c {
            Chain::Part(part) => Some(desk.part_name(formula, part)),
            Chain::Piece => None,
        };
        step.on.iter().filter_map(|c| part(&c.value)).collect()
    });
    let stands_in = cupboard(desk, task, place);
    let several = cupboards(desk, place).len() > 1;
    let most = step.and_then(|s| match (&s.lasts, &s.wait_cold, task.cold_wait) {
        (_, Some(wait), true) => wait.stands.value.most,
        (_, Some(wait), false) if task.from_cold => wait.then.value.most,
        (Lasts::Stands(stands), _, false) => stands.value.most,
        _ => None,
    });
    let latest = most.and_then(|m| task.start.checked_add(jiff::SignedDuration::from_mins(m.get())).ok());
    let part = batch.map(|b| part_of(desk, b, wave, given));
    Stored {
        at: place_key(place).to_owned(),
        cupboard: stands_in.filter(|_| several).map(|c| spoken(c.id.value.as_str())),
        temperature: stands_in
            .and_then(|s| s.temperature.as_ref())
            .map(|t| temperature(t.value, desk.units())),
        lesson: task.lesson.as_ref().map_or_else(String::new, |l| desk.lesson_name(l)),
        name: desk.task_name(task),
        parts: if batch.is_some() { parts } else { Vec::new() },
        amount: part.as_ref().map(|p| desk.mass(p.amount)),
        whole: part.as_ref().filter(|p| p.amount != p.whole).map(|p| desk.mass(p.whole)),
        over: part.as_ref().filter(|p| p.over > Grams::ZERO).map(|p| desk.mass(p.over)),
        rest: part.is_some_and(|p| p.rest),
        slips: batch.and_then(|b| desk.slip(&b.lesson, &b.part, b.no)).cloned().into_iter().collect(),
        for_whom: Some(desk.for_whom(wave.whom.iter().copied())),
        from: moment(&task.start),
        to: moment(wave.out),
        latest: latest.as_ref().map(moment),
        tone: wave.tone.to_owned(),
        ready: step.is_some_and(|step| {
            let lesson = task.lesson.as_ref().and_then(|l| desk.course.lesson(l));
            lesson.is_some_and(|lesson| ready_at(lesson, step))
        }),
        kept_clean: kept_clean(desk, task.lesson.as_ref(), batch, &wave.whom),
        ..Stored::default()
    }
}

/// How much of a batch is taken out at once.
struct PartOf {
    amount: Grams,
    whole: Grams,
    /// Left over when the last of them have theirs.
    over: Grams,
    /// Somebody's share is still to come.
    rest: bool,
}

/// The share of a wave, and with the last one what is left over: all waves of a batch and that are the whole.
fn part_of<'d>(desk: &'d Desk, batch: &'d Batch, wave: &Wave<'d>, given: &mut Given<'d>) -> PartOf {
    let shares = desk.shares(batch);
    let whole = shares.whole();
    let own = shares.of(&wave.whom);
    if own == Grams::ZERO {
        return PartOf { amount: whole, whole, over: Grams::ZERO, rest: false };
    }
    let before = given.entry((&batch.lesson, &batch.part, batch.no, &wave.task.step)).or_default();
    *before += own;
    let rest = *before + shares.over < whole;
    PartOf { amount: own, whole, over: if rest { Grams::ZERO } else { shares.over }, rest }
}

/// Whether everything that a step works on was cooked or baked before it.
fn ready_at(lesson: &Lesson, step: &Step) -> bool {
    let before = || lesson.steps.iter().take_while(|s| s.id.value != step.id.value);
    let cooked = |chain: &Chain| {
        before().any(|s| {
            (s.core.is_some() || s.place.value == Where::Oven) && s.on.iter().any(|c| c.value == *chain)
        })
    };
    !step.on.is_empty() && step.on.iter().all(|c| cooked(&c.value))
}

pub(super) fn oven_load(desk: &Desk, task: &PlannedTask, day: Date) -> Option<OvenLoad> {
    let load = desk.load(task)?;
    let step = desk.step(task)?;
    let (from, to) = (minute_of(&task.start, day), minute_of(&task.end, day));
    let (earliest, latest) = match &step.lasts {
        Lasts::Takes { takes, .. } => (from + takes.value.least.get(), from + takes.value.most.get()),
        Lasts::Stands(_) => (to, to),
    };
    let steps = &desk.course.lesson(&load.lesson)?.steps;
    let next = steps.iter().skip_while(|s| s.id.value != step.id.value).nth(1);
    let then = next.and_then(|n| {
        let carry = n.carry.as_ref()?.value;
        let name = n.name.as_ref().map_or_else(|| spoken(n.id.value.as_str()), |n| n.value.clone());
        Some(Then { name, least: carry.least.get(), most: carry.most.map(|m| m.get()) })
    });
    let units = desk.units();
    let core = step.core.as_ref().map_or_else(Vec::new, |c| {
        [c.value.least, c.value.most].into_iter().flatten().map(|t| temperature(t, units)).collect()
    });
    let racked = racked(desk.course, desk.class, desk.plan, task);
    let racks_unknown = racked.as_ref().is_some_and(|r| r.first.is_none());
    let apart = racked.map(|r| r.apart).unwrap_or_default();
    let numbers = |stations: &[StationNo]| stations.iter().map(ToString::to_string).collect();
    Some(OvenLoad {
        from,
        to: minute_of(&comes_out(desk.course, step, task), day),
        earliest: earliest.min(to),
        latest,
        oven: desk.machine(task).map_or_else(String::new, |(_, name)| name),
        load: load.no,
        makes: desk.making(&load.lesson, &load.members),
        heat: oven_dial(load.heat(), units),
        exact: exact(load.heat(), units),
        core,
        racks_unknown,
        on_top: numbers(&apart.top),
        level: numbers(&apart.level),
        column: numbers(&apart.column),
        clear: numbers(&apart.clear),
        beside: numbers(&apart.beside),
        not_apart: numbers(&apart.not),
        shares: numbers(&apart.shares),
        racks: racks(desk, task, load, |whom, _| whom_label(whom)).unwrap_or_default(),
        cold: then_cold(desk, load),
        cold_unsaid: then_cold_unsaid(desk, load),
        wash_up: desk.wash_up(task),
        then,
    })
}

impl OvenSetting {
    /// The oven on its way to this temperature, as it stands in its lane.
    pub(super) fn heats(&self) -> Option<Block> {
        let heat = self.heat.as_ref()?;
        Some(Block {
            from: self.at,
            to: self.reached?,
            label: format!("{}\u{202f}{}", heat.value, heat.unit),
            tone: "heats".to_owned(),
            ..Block::default()
        })
    }
}

fn whom_label(whom: &Whom) -> String {
    match whom {
        Whom::Station(no) => no.to_string(),
        // The teacher's and the spare: no number stands for them.
        Whom::Stage { .. } | Whom::Spare => "*".to_owned(),
    }
}
