//! The teacher's time-blocked plan: lanes to scale, then the same by the clock.

use super::baked_cold::told_cold;
use super::common::{About, Block, Day, Fact, ForWhom, Sitting, WashUp};
use super::desk::{Desk, minute_of, place_key};
use super::oven_and_cold::{OvenSetting, oven_settings};
use super::prep_sheet::is_prep;
use super::run_cold::{Carried, carried, kept_until_home};
use super::run_late::{Late, answer, chance};
use super::run_outs::{OnRack, Out, on_racks, outs};
use super::run_staff::{OwnHours, gaps, own_hours};
use super::run_stretch::{quarter_before, stretch};
use crate::course::{Hands, Session, Where};
use crate::reckon::plan::jobs::Group;
use crate::reckon::plan::timetable::PlannedTask;
use crate::reckon::work::Whom;
use jiff::civil::Date;
use serde::Serialize;
use std::collections::BTreeMap;

/// What `templates/run-sheet.typ` receives: one sitting, or one day of staff work.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct RunSheet {
    /// `run-sheet`.
    pub kind: &'static str,
    /// The course.
    pub about: About,
    /// The sitting; `None` on a day on which only staff work.
    pub sitting: Option<Sitting>,
    /// The day.
    pub day: Day,
    /// The span that is drawn, minutes after midnight.
    pub from: i64,
    /// Its end.
    pub to: i64,
    /// When the plan says that the sitting ends.
    pub finish: Option<i64>,
    /// The chance, in whole per cent, that it ends in time.
    pub chance: Option<u32>,
    /// The lanes, in order: people, stations, mixers, ovens, places.
    pub lanes: Vec<Lane>,
    /// Staff work earlier on that day, which is on a sheet of its own.
    pub before: bool,
    /// The same by the clock.
    pub list: Vec<Entry>,
    /// When to turn an oven on, to another temperature or off; it stands in the list by its time.
    pub settings: Vec<OvenSetting>,
    /// When a load comes out; it stands in the list by its time.
    pub outs: Vec<Out>,
    /// What is carried into the cold when the students are gone.
    pub carried: Vec<Carried>,
    /// Breaks of the staff, and when they come and go, where that is written of them alone; each stands in the list by its time.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub own_hours: Vec<OwnHours>,
}

/// One lane.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Lane {
    /// Its group: `people`, `stations`, `mixers`, `ovens`, `places`; a key of the catalogue's `[lane]`.
    pub group: String,
    /// What is printed at its head: a name, a number.
    pub name: String,
    /// A key of the catalogue's `[where]` that is printed instead of a name; empty for none.
    pub at: String,
    /// What fills it. Blocks that overlap (a fridge) are drawn under one another.
    pub blocks: Vec<Block>,
    /// A station that the kitchen does not have.
    pub missing: bool,
}

/// One line of the list.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Entry {
    /// The number of the step: the same for all who do it, and in the lanes where its name has no room.
    pub number: Option<u32>,
    /// Start, minutes after midnight.
    pub from: i64,
    /// End.
    pub to: i64,
    /// The lesson; empty for the class's own.
    pub lesson: String,
    /// What is done.
    pub name: String,
    /// `demo`, `students`, `staff`, `pause`, `nobody`.
    pub tone: String,
    /// Who of the staff, by name.
    pub who: Vec<String>,
    /// Whose dough it is, or who works.
    pub for_whom: Option<ForWhom>,
    /// One student of each station suffices.
    pub one_student: bool,
    /// The kind of place, as in a step.
    pub at: String,
    /// It is mixed by hand: too little for a hook.
    pub by_hand: bool,
    /// It goes on by itself, and begins when no student is in the room: staff bring it there.
    pub by_staff: bool,
    /// Which ones, by name.
    pub places: Vec<String>,
    /// Figures: the oven's temperature, the core.
    pub facts: Vec<Fact>,
    /// What is ready after it goes into the cold: `cool-then-cold`, `filled-then-cold`, with `-safe` where
    /// nobody has written whether it must; keys of the catalogue's `[danger]`; else empty.
    pub then_cold: String,
    /// The oven load.
    pub load: Option<u32>,
    /// Whose pieces go where on its racks, as they are kept clean of the others.
    pub racks: Vec<OnRack>,
    /// What is washed before it.
    pub wash_up: Option<WashUp>,
    /// What to say.
    pub tell: String,
    /// The teacher's eye is wanted at the bench.
    pub eye: bool,
    /// What to do when this is late.
    pub late: Vec<Late>,
}

impl RunSheet {
    /// An empty sheet of this kind.
    pub fn new() -> RunSheet {
        RunSheet { kind: "run-sheet", ..RunSheet::default() }
    }
}

impl RunSheet {
    /// The run sheet of a sitting.
    pub fn of(desk: &Desk, session: &Session) -> RunSheet {
        let day = session.from.value.date();
        let sitting = desk.sitting(session);
        let planned = desk.plan.sessions.iter().find(|p| p.id == session.id.value);
        let finish = planned.map(|p| minute_of(&p.finish, day));
        let end = finish.unwrap_or(sitting.to).max(sitting.to);
        let (from, to) = stretch(desk, day, sitting.from, end);
        let here = |t: &&PlannedTask| (from..to).contains(&minute_of(&t.start, day));
        let work: Vec<&PlannedTask> = desk.plan.tasks.iter().filter(here).collect();
        let settings = oven_settings(desk, &work, day);
        // An oven is on before its first load goes in.
        let from = settings.iter().map(|s| s.at).min().map_or(from, |at| quarter_before(at).min(from));
        let numbers = numbers(desk, day, from, to);
        let drawn = Drawn { desk, session, day, from, to, numbers, settings: &settings };
        RunSheet {
            about: desk.about_day(day),
            day: day.into(),
            from,
            to,
            finish,
            chance: chance(desk, session),
            lanes: drawn.lanes(),
            before: desk
                .plan
                .tasks
                .iter()
                .any(|t| is_prep(desk, t) && t.start.date() == day && minute_of(&t.start, day) < from),
            list: drawn.list(),
            outs: outs(desk, session),
            carried: carried(desk, session, day, end),
            own_hours: own_hours(desk, day, (from, to)),
            sitting: Some(sitting),
            settings,
            ..RunSheet::new()
        }
    }
}

/// A stretch of one day.
struct Drawn<'d> {
    desk: &'d Desk<'d>,
    session: &'d Session,
    day: Date,
    from: i64,
    to: i64,
    /// By lesson and name.
    numbers: Numbers,
    settings: &'d [OvenSetting],
}

/// The steps of a stretch, numbered.
pub(super) type Numbers = BTreeMap<(String, String), u32>;

/// What is done in a stretch of a day, numbered by the clock: a step has one number, whoever does it and however often.
pub(super) fn numbers(desk: &Desk, day: Date, from: i64, to: i64) -> Numbers {
    let starts = |t: &PlannedTask| minute_of(&t.start, day);
    let mut tasks: Vec<&PlannedTask> =
        desk.plan.tasks.iter().filter(|t| (from..to).contains(&starts(t))).collect();
    tasks.sort_by_key(|t| starts(t));
    let mut numbers = Numbers::new();
    for task in tasks {
        let next = u32::try_from(numbers.len() + 1).unwrap_or(u32::MAX);
        numbers.entry(step_key(desk, task)).or_insert(next);
    }
    numbers
}

/// What a step is known by on a run sheet: its lesson's name and its own.
pub(super) fn step_key(desk: &Desk, task: &PlannedTask) -> (String, String) {
    let lesson = task.lesson.as_ref().map_or_else(String::new, |l| desk.lesson_name(l));
    (lesson, desk.task_name(task))
}

impl Drawn<'_> {
    fn number(&self, task: &PlannedTask) -> Option<u32> {
        self.numbers.get(&step_key(self.desk, task)).copied()
    }
    fn span(&self, task: &PlannedTask) -> (i64, i64) {
        (minute_of(&task.start, self.day), minute_of(&task.end, self.day))
    }
    fn tasks(&self) -> impl Iterator<Item = &PlannedTask> {
        self.desk.plan.tasks.iter().filter(|t| {
            let (from, to) = self.span(t);
            from < self.to && to > self.from
        })
    }
    fn label(&self, task: &PlannedTask) -> String {
        self.desk.task_name(task)
    }
    fn is_pause(&self, task: &PlannedTask) -> bool {
        self.desk.own_step(task).is_some_and(|o| o.pause)
    }

    fn lanes(&self) -> Vec<Lane> {
        let mut lanes = self.people();
        lanes.extend(self.stations());
        lanes.extend(self.machines());
        lanes.extend(self.places());
        lanes
    }

    fn people(&self) -> Vec<Lane> {
        let helpers = (1..=self.desk.course.settings.helpers.len()).map(|n| format!("helper-{n}"));
        std::iter::once("teacher".to_owned())
            .chain(helpers)
            .map(|who| {
                let mut blocks: Vec<Block> = Vec::new();
                for task in self.tasks() {
                    for block in self.work_of(task, &who) {
                        // An eye on several stations at once is one look round.
                        let near = |b: &&mut Block| {
                            b.tone == "watch"
                                && block.tone == "watch"
                                && b.label == block.label
                                && block.from <= b.to
                        };
                        match blocks.iter_mut().find(near) {
                            Some(there) => there.to = there.to.max(block.to),
                            None => blocks.push(block),
                        }
                    }
                }
                blocks.extend(gaps(self.desk, &who, self.day, (self.from, self.to)));
                Lane {
                    group: "people".to_owned(),
                    name: self.desk.staff_name(&who),
                    blocks,
                    ..Lane::default()
                }
            })
            .collect()
    }

    /// What one of the staff does of a task: all of it, or one of its ends; or an eye on it.
    fn work_of(&self, task: &PlannedTask, who: &str) -> Vec<Block> {
        let (from, to) = self.span(task);
        let block = |from, to, tone: &str| Block {
            from,
            to,
            label: self.label(task),
            number: self.number(task),
            tone: tone.to_owned(),
            ..Block::default()
        };
        let ends = self.desk.step(task).and_then(|s| s.ends.as_ref()).map(|e| e.takes.value.get());
        match (ends, task.by.as_slice()) {
            (Some(long), by) if task.hands == Hands::Nobody => {
                let mut found = Vec::new();
                if by.first().is_some_and(|b| b == who) {
                    found.push(block(from, from + long, "hands"));
                }
                if by.last().is_some_and(|b| b == who) {
                    found.push(block(to - long, to, "hands"));
                }
                found
            }
            (_, by) if by.iter().any(|b| b == who) => vec![block(from, to, "hands")],
            _ if who == "teacher" && self.desk.step(task).is_some_and(|s| s.eye) && !task.made_ahead => {
                vec![block(from, to, "watch")]
            }
            _ => Vec::new(),
        }
    }

    fn stations(&self) -> Vec<Lane> {
        let mut lanes = Vec::new();
        for station in &self.desk.class.stations {
            let mut blocks: Vec<Block> = Vec::new();
            for task in self.tasks() {
                let pause = self.is_pause(task);
                if !pause && !task.stations.contains(&station.no) {
                    continue;
                }
                let (from, to) = self.span(task);
                let tone = if pause {
                    "pause"
                } else if task.demo {
                    "watch"
                } else {
                    "hands"
                };
                blocks.push(Block {
                    from,
                    to,
                    label: self.label(task),
                    number: self.number(task),
                    tone: tone.to_owned(),
                    ..Block::default()
                });
            }
            lanes.push(Lane {
                group: "stations".to_owned(),
                name: station.no.to_string(),
                at: String::new(),
                blocks,
                missing: self.desk.is_missing(station.no),
            });
        }
        lanes
    }

    fn machines(&self) -> Vec<Lane> {
        let kitchen = &self.desk.course.kitchen;
        let mixers = kitchen.mixers.iter().map(|m| ("mixers", &m.id.value, m.count.value));
        let ovens = kitchen.ovens.iter().map(|o| ("ovens", &o.id.value, o.count.value));
        let mut lanes = Vec::new();
        for (group, id, count) in mixers.chain(ovens) {
            for n in 1..=count {
                let resource = format!("{id}-{n}");
                let mut blocks = Vec::new();
                for task in self.tasks().filter(|t| t.uses.iter().any(|u| u.resource == resource)) {
                    let (from, to) = self.span(task);
                    let tone = if group == "ovens" { "oven" } else { "hands" };
                    let lesson = task.lesson.as_ref().map_or_else(String::new, |l| self.desk.lesson_name(l));
                    let whom = self.desk.for_whom(task.members.iter().map(|(w, _)| w));
                    blocks.push(Block {
                        from,
                        to,
                        label: lesson,
                        number: self.number(task),
                        for_whom: Some(whom),
                        tone: tone.to_owned(),
                        ..Block::default()
                    });
                }
                // A machine that is not used in this stretch needs no lane.
                if !blocks.is_empty() {
                    let name =
                        self.desk.machine_of(&resource).map_or_else(|| resource.clone(), |(_, name)| name);
                    let own = self.settings.iter().filter(|s| group == "ovens" && s.oven == name);
                    blocks.extend(own.filter_map(OvenSetting::heats));
                    lanes.push(Lane { group: group.to_owned(), name, blocks, ..Lane::default() });
                }
            }
        }
        lanes
    }

    /// What stands in one kind of place: a lesson's step once, from the first that comes to the last that goes.
    fn places(&self) -> Vec<Lane> {
        let mut lanes = Vec::new();
        for place in [Where::Hob, Where::Warm, Where::Room, Where::Cold, Where::Freezer, Where::Rack] {
            let mut standing: BTreeMap<(String, String), Vec<(i64, i64)>> = BTreeMap::new();
            for task in self.tasks().filter(|t| self.desk.place(t) == place && t.lesson.is_some()) {
                standing.entry(step_key(self.desk, task)).or_default().push(self.span(task));
            }
            let mut blocks: Vec<Block> = Vec::new();
            for (key, mut spans) in standing {
                spans.sort_unstable();
                let tone = if place == Where::Hob { "hands" } else { "waits" };
                let label = format!("{}, {}", key.0, self.desk.mid_sentence(&key.1));
                let number = self.numbers.get(&key).copied();
                let mut open: Option<(i64, i64)> = None;
                for (from, to) in spans {
                    match &mut open {
                        Some((_, end)) if from <= *end => *end = (*end).max(to),
                        _ => {
                            blocks.extend(open.map(|(a, b)| standing_block((a, b), &label, number, tone)));
                            open = Some((from, to));
                        }
                    }
                }
                blocks.extend(open.map(|(a, b)| standing_block((a, b), &label, number, tone)));
            }
            if place == Where::Cold {
                blocks.extend(kept_until_home(self.desk, self.session, self.day, (self.from, self.to)));
            }
            if !blocks.is_empty() {
                blocks.sort_by(|a, b| (a.from, a.to, &a.label).cmp(&(b.from, b.to, &b.label)));
                let at = place_key(place).to_owned();
                lanes.push(Lane { group: "places".to_owned(), at, blocks, ..Lane::default() });
            }
        }
        lanes
    }

    /// By the clock: what is done alike at the same time stands once.
    fn list(&self) -> Vec<Entry> {
        let mut list: Vec<(Entry, Vec<Whom>)> = Vec::new();
        for task in self.tasks().filter(|t| self.span(t).0 >= self.from) {
            let entry = self.entry(task);
            let members = task.members.iter().map(|(w, _)| w.clone());
            match list.iter_mut().find(|(other, _)| same_work(other, &entry)) {
                Some((there, whom)) => {
                    whom.extend(members);
                    there
                        .who
                        .extend(entry.who.into_iter().filter(|n| !there.who.contains(n)).collect::<Vec<_>>());
                    there.places.extend(
                        entry.places.into_iter().filter(|n| !there.places.contains(n)).collect::<Vec<_>>(),
                    );
                }
                None => list.push((entry, members.collect())),
            }
        }
        list.into_iter()
            .map(|(entry, whom)| {
                let for_whom = (!whom.is_empty()).then(|| self.desk.for_whom(&whom));
                Entry { for_whom, ..entry }
            })
            .collect()
    }

    fn entry(&self, task: &PlannedTask) -> Entry {
        let desk = self.desk;
        let (from, to) = self.span(task);
        let step = desk.step(task);
        let own = desk.own_step(task);
        let tone = match task.hands {
            _ if task.demo => "demo",
            _ if self.is_pause(task) => "pause",
            Hands::Students => "students",
            Hands::Nobody if task.by.is_empty() => "nobody",
            _ => "staff",
        };
        let told = step.and_then(|s| s.tell.as_ref()).or(own.and_then(|o| o.say.as_ref()));
        let mut who: Vec<String> = Vec::new();
        for by in &task.by {
            let name = desk.staff_name(by);
            if !who.contains(&name) {
                who.push(name);
            }
        }
        let by_hand = desk.is_mixed_by_hand(task);
        Entry {
            number: self.number(task),
            from,
            to,
            lesson: task.lesson.as_ref().map_or_else(String::new, |l| desk.lesson_name(l)),
            name: self.label(task),
            tone: tone.to_owned(),
            who,
            for_whom: None,
            // Where one sits alone, nobody else's hands are free.
            one_student: task.one_student
                && task.stations.iter().any(|no| desk.station(*no).is_some_and(|s| s.students() > 1)),
            at: if by_hand { "" } else { place_key(desk.place(task)) }.to_owned(),
            by_hand,
            by_staff: tone == "nobody" && !desk.students_are_there(&task.start),
            places: desk.machine(task).map(|(_, name)| name).into_iter().collect(),
            facts: if task.cold_wait { Vec::new() } else { desk.facts(task) },
            then_cold: told_cold(desk, task).unwrap_or_default().to_owned(),
            load: match &task.group {
                Group::Load(no) => Some(*no),
                _ => None,
            },
            racks: on_racks(desk, task),
            wash_up: desk.wash_up(task),
            tell: told.map_or_else(String::new, |t| t.value.clone()),
            eye: task.wants_eye(step),
            late: desk
                .outlook
                .iter()
                .flat_map(|o| &o.late)
                .filter_map(|slip| answer(desk, self.day, &self.numbers, task, slip))
                .collect(),
        }
    }
}

fn standing_block((from, to): (i64, i64), label: &str, number: Option<u32>, tone: &str) -> Block {
    Block { from, to, label: label.to_owned(), number, tone: tone.to_owned(), ..Block::default() }
}

fn same_work(one: &Entry, other: &Entry) -> bool {
    (one.from, one.to, &one.lesson, &one.name, &one.tone)
        == (other.from, other.to, &other.lesson, &other.name, &other.tone)
        && (one.load, one.by_hand, &one.wash_up) == (other.load, other.by_hand, &other.wash_up)
}
