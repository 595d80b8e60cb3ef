//! Where the views are filled: one course with everything that was reckoned from it, and the questions that several
//! documents ask of it. Nothing is computed here but the way from a type to its figures.

use super::accepted::AcceptedFinding;
use super::common::{
    About, Day, ForWhom, LateSitting, Making, Measure, Missing, Moment, Photograph, Sitting, SlipRef, WashUp,
};
use super::drawing::Units;
use super::slip_numbers::{Slip, number_slips};
use super::wash_ups::wash_ups;
use super::wording::{Tongue, in_one, mass_on, mid_sentence, spoken};
use crate::course::{
    Course, EquipId, FormulaId, Hands, Item, LessonId, OwnStep, PartId, Session, StationNo,
    Step as CourseStep, StepId, UnitSystem, VariantId, Where,
};
use crate::reckon::dough_temperature::batches::{MixedBatch, batch_temperatures};
use crate::reckon::plan::chance::Odds;
use crate::reckon::plan::jobs::Group;
use crate::reckon::plan::late;
use crate::reckon::plan::timetable::{Plan, PlannedTask};
use crate::reckon::recipes::Recipes;
use crate::reckon::rounding::ScaleSteps;
use crate::reckon::weigh::WeighOut;
use crate::reckon::work::{Batch, Class, Load, Station, Vessel, Whom};
use crate::typeset::album::Album;
use crate::units::Grams;
use jiff::ZonedDateTime as Zoned;
use jiff::civil::Date;
use std::collections::BTreeMap;

/// A course with its numbers.
pub struct Desk<'a> {
    /// What the teacher wrote down.
    pub course: &'a Course,
    /// Who comes, seated.
    pub class: &'a Class,
    /// The plan.
    pub plan: &'a Plan,
    /// What is weighed, by whom.
    pub weigh: &'a WeighOut,
    /// The formulas with their variants.
    pub recipes: Recipes,
    /// Numbers stand for names.
    pub anonymous: bool,
    /// What one whom nobody has named yet is called, in the pages' language; a number follows.
    pub guest: String,
    /// How the pages' language says what is put into the teacher's words.
    pub tongue: Tongue,
    /// The photographs of the steps.
    pub album: Option<&'a Album>,
    /// The dough temperature of each mix.
    pub mixes: Vec<MixedBatch>,
    /// What the teacher accepts, each as it is printed on the sheets that it concerns.
    pub accepted: Vec<(AcceptedFinding, String)>,
    /// How sure the plan is, and what to do when something is late.
    pub outlook: Option<&'a Outlook>,
    slips: Vec<Slip>,
    /// What is washed before which task.
    wash_ups: BTreeMap<String, WashUp>,
}

/// What may come otherwise than planned.
#[derive(Clone, PartialEq, Debug)]
pub struct Outlook {
    /// How sure the plan is.
    pub odds: Odds,
    /// The answers to the likeliest slips.
    pub late: Vec<late::Slip>,
}

impl<'a> Desk<'a> {
    /// Lays everything out.
    pub fn new(course: &'a Course, class: &'a Class, plan: &'a Plan, weigh: &'a WeighOut) -> Desk<'a> {
        let (recipes, _) = Recipes::of(course);
        let mixes = batch_temperatures(course, &recipes, &plan.choice, Some(plan));
        let mut desk = Desk {
            course,
            class,
            plan,
            weigh,
            recipes,
            anonymous: false,
            guest: "guest".to_owned(),
            tongue: Tongue::default(),
            album: None,
            mixes,
            accepted: Vec::new(),
            outlook: None,
            slips: Vec::new(),
            wash_ups: wash_ups(course, class, plan),
        };
        desk.slips = number_slips(&desk);
        desk
    }

    /// What every sheet says of its course. What was accepted stands only on those that it concerns: `views/accepted.rs`.
    pub fn about(&self) -> About {
        let settings = &self.course.settings;
        About {
            course: settings.name.value.clone(),
            host: settings.host.value.clone(),
            teacher: settings.teacher.value.clone(),
            late: (!self.plan.fits).then(|| self.plan.overrun.get()),
            late_sittings: self.late_sittings(),
            late_staff: if self.plan.fits { 0 } else { self.plan.staff_over().get() },
            accepted: Vec::new(),
            missing: self.missing(),
        }
    }

    /// What is washed before a task, as what held something avoided was there before it.
    pub fn wash_up(&self, task: &PlannedTask) -> Option<WashUp> {
        self.wash_ups.get(&task.id).cloned()
    }

    fn late_sittings(&self) -> Vec<LateSitting> {
        let sessions =
            self.course.sessions.iter().filter(|_| !self.plan.fits && self.course.sessions.len() > 1);
        let late = sessions.filter_map(|session| {
            let planned = self.plan.sessions.iter().find(|p| p.id == session.id.value)?;
            let minutes = planned.end.duration_until(&planned.finish).as_mins();
            (minutes > 0).then(|| LateSitting { sitting: self.sitting(session), minutes })
        });
        late.collect()
    }

    /// Whether the kitchen has no such station: its number is beyond those that are there.
    pub fn is_missing(&self, station: StationNo) -> bool {
        station.0 > self.course.kitchen.stations.count.value
    }
    fn missing(&self) -> Option<Missing> {
        let there = self.course.kitchen.stations.count.value;
        let numbers = self.class.stations.iter().map(|s| s.no).filter(|no| self.is_missing(*no));
        let mut beyond: Vec<u32> = numbers.map(|no| no.0).collect();
        beyond.sort_unstable();
        (!beyond.is_empty()).then(|| Missing { there, stations: runs(&beyond).join(", ") })
    }

    /// The units of lengths and temperatures.
    pub fn units(&self) -> Units {
        match self.course.settings.units.value {
            UnitSystem::Metric => Units::Metric,
            UnitSystem::Us => Units::Us,
        }
    }

    /// The photograph of a step.
    pub fn photograph(&self, lesson: &LessonId, step: &StepId) -> Option<Photograph> {
        self.album.and_then(|a| a.of(lesson, step)).cloned()
    }

    // Names ---------------------------------------------------------------------------------------------------------

    /// A lesson's name, or its formula's.
    pub fn lesson_name(&self, id: &LessonId) -> String {
        let lesson = self.course.lesson(id);
        let own = lesson.and_then(|l| l.name.as_ref()).map(|n| n.value.clone());
        own.or_else(|| lesson.map(|l| self.formula_name(&l.formula.value)))
            .unwrap_or_else(|| spoken(id.as_str()))
    }
    /// A formula's name.
    pub fn formula_name(&self, id: &FormulaId) -> String {
        self.course.formula(id).map_or_else(|| spoken(id.as_str()), |f| f.name.value.clone())
    }
    /// A part's name.
    pub fn part_name(&self, formula: &FormulaId, part: &PartId) -> String {
        let named = self.course.formula(formula).and_then(|f| f.part(part)).and_then(|p| p.name.as_ref());
        named.map_or_else(|| spoken(part.as_str()), |n| n.value.clone())
    }
    /// A variant's name: its id, as the teacher wrote it.
    pub fn variant_name(&self, variant: &VariantId) -> String {
        variant.as_str().to_owned()
    }
    /// The step of a task; `None` for the class's own.
    pub fn step(&self, task: &PlannedTask) -> Option<&'a CourseStep> {
        self.course.lesson(task.lesson.as_ref()?)?.step(&task.step)
    }
    /// Whether a session has begun whose last student's step is not over.
    pub fn students_are_there(&self, at: &Zoned) -> bool {
        self.plan.sessions.iter().any(|s| s.start <= *at && *at <= s.finish)
    }
    /// The class's own step of a task.
    pub fn own_step(&self, task: &PlannedTask) -> Option<&'a OwnStep> {
        if task.lesson.is_some() {
            return None;
        }
        self.course.own_steps.iter().find(|s| s.id.value == task.step)
    }
    /// What a task is called.
    pub fn task_name(&self, task: &PlannedTask) -> String {
        let step = self.step(task).and_then(|s| s.name.as_ref()).map(|n| n.value.clone());
        let own = self.own_step(task).map(|s| s.name.value.clone());
        step.or(own).unwrap_or_else(|| spoken(task.step.as_str()))
    }
    /// A name in the middle of a sentence or a list.
    pub fn mid_sentence(&self, name: &str) -> String {
        mid_sentence(name, &self.course.settings.language.value)
    }
    /// The students of a station by name, or by their number on the roll.
    pub fn people(&self, station: &Station) -> Vec<String> {
        let before = self.class.stations.iter().take_while(|s| s.no != station.no);
        let mut guests = before.flat_map(|s| &s.seats).filter(|seat| seat.person.is_none()).count();
        let mut one = |row: Option<usize>| match row {
            Some(row) => self.person(row),
            // Someone that a headcount adds: no number alone, which would be read as a station's.
            None => {
                guests += 1;
                format!("{} {guests}", self.guest)
            }
        };
        station.seats.iter().map(|seat| one(seat.person)).collect()
    }
    /// Whether someone at a station has said that they need this: `large-print`.
    pub fn anyone_needs(&self, station: StationNo, what: &str) -> bool {
        let rows = self.station(station).into_iter().flat_map(|s| &s.seats).filter_map(|seat| seat.person);
        rows.filter_map(|row| self.course.roll.get(row)).flat_map(|p| &p.needs).any(|n| n.value == what)
    }
    /// One of the roll by name, or by number.
    pub fn person(&self, row: usize) -> String {
        let name = self.course.roll.get(row).map(|p| p.name.value.trim());
        match name.filter(|name| !self.anonymous && !name.is_empty()) {
            Some(name) => name.to_owned(),
            // A bare number would be read as a station's.
            None => format!("#{}", row + 1),
        }
    }
    /// One of the staff by the plan's word for them.
    pub fn staff_name(&self, by: &str) -> String {
        let settings = &self.course.settings;
        if by == "teacher" {
            return settings.teacher.value.clone();
        }
        let helper = by.strip_prefix("helper-").and_then(|n| n.parse::<usize>().ok());
        let name = helper.and_then(|n| settings.helpers.get(n.saturating_sub(1))).map(|h| h.value.clone());
        name.unwrap_or_else(|| spoken(by))
    }

    // Things and places -----------------------------------------------------------------------------------------------

    /// A kind of equipment by its short name: what stands before a comma, or its id.
    pub fn equipment_name(&self, id: &EquipId) -> String {
        let k = &self.course.kitchen;
        let named = [
            k.mixers.iter().find(|m| m.id.value == *id).and_then(|m| m.name.as_ref()),
            k.ovens.iter().find(|o| o.id.value == *id).and_then(|o| o.name.as_ref()),
            k.tins.iter().find(|t| t.id.value == *id).and_then(|t| t.name.as_ref()),
            k.trays.iter().find(|t| t.id.value == *id).and_then(|t| t.name.as_ref()),
            k.tools.iter().find(|t| t.id.value == *id).and_then(|t| t.name.as_ref()),
        ];
        let name = named.into_iter().flatten().next();
        name.map_or_else(|| spoken(id.as_str()), |n| n.value.clone())
    }

    /// The oven or mixer that a task keeps busy: its kind and its name with its number, where there are several.
    pub fn machine(&self, task: &PlannedTask) -> Option<(EquipId, String)> {
        task.uses.iter().find_map(|used| self.machine_of(&used.resource))
    }
    /// The oven or mixer behind `oven-2`.
    pub fn machine_of(&self, resource: &str) -> Option<(EquipId, String)> {
        let k = &self.course.kitchen;
        let mixers = k.mixers.iter().map(|m| (&m.id.value, m.count.value));
        let ovens = k.ovens.iter().map(|o| (&o.id.value, o.count.value));
        mixers.chain(ovens).find_map(|(id, count)| {
            let number: u32 = resource.strip_prefix(id.as_str())?.strip_prefix('-')?.parse().ok()?;
            let name = self.equipment_name(id);
            let name = name.split(',').next().unwrap_or_default().trim().to_owned();
            Some((id.clone(), if count > 1 { format!("{name} {number}") } else { name }))
        })
    }
    /// Where a task is done.
    pub fn place(&self, task: &PlannedTask) -> Where {
        if task.cold_wait {
            return Where::Cold;
        }
        self.step(task).map_or(Where::Bench, |s| s.place.value)
    }
    /// Whether a task mixes a batch by hand that others mix in a machine.
    pub fn is_mixed_by_hand(&self, task: &PlannedTask) -> bool {
        !task.cold_wait
            && self.step(task).is_some_and(|s| s.place.value == Where::Mixer)
            && self.batch(task).is_some_and(|b| self.by_hand(b))
    }

    // For whom ------------------------------------------------------------------------------------------------------

    /// For whom, in the fewest words.
    pub fn for_whom<'w>(&self, members: impl IntoIterator<Item = &'w Whom>) -> ForWhom {
        let (mut stations, mut stage, mut spare) = (Vec::new(), false, false);
        for member in members {
            match member {
                Whom::Station(no) => stations.push(*no),
                Whom::Stage { .. } => stage = true,
                Whom::Spare => spare = true,
            }
        }
        ForWhom { stage, spare, ..self.of_stations(&stations) }
    }
    /// For these stations.
    pub fn of_stations(&self, stations: &[StationNo]) -> ForWhom {
        let mut sorted: Vec<u32> = stations.iter().map(|s| s.0).collect();
        sorted.sort_unstable();
        sorted.dedup();
        let all = sorted.len() == self.class.stations.len();
        ForWhom { stations: runs(&sorted), all, count: sorted.len(), stage: false, spare: false }
    }
    /// The station with this number.
    pub fn station(&self, no: StationNo) -> Option<&'a Station> {
        self.class.stations.iter().find(|s| s.no == no)
    }
    /// The variant that a station follows in a lesson.
    pub fn variant_of(&self, no: StationNo, lesson: &LessonId) -> Option<&'a VariantId> {
        self.station(no)?.variants.get(lesson)
    }
    /// The batch that a task mixes.
    pub fn batch(&self, task: &PlannedTask) -> Option<&'a Batch> {
        let lesson = task.lesson.as_ref()?;
        let step = self.step(task)?;
        let batches = self.plan.choice.batches_of(lesson, step);
        match &task.group {
            Group::Batch(no) => batches.iter().find(|b| b.no == *no),
            // Variants that leave this part alike share a batch under the name of one of them.
            Group::Class(variant) => batches.iter().find(|b| b.variant == *variant).or_else(|| {
                let within = |b: &&Batch| {
                    task.members.iter().all(|(whom, _)| b.members.iter().any(|(w, _)| w == whom))
                };
                batches.iter().find(within).filter(|_| !task.members.is_empty())
            }),
            _ => None,
        }
    }
    /// Who is in a batch, what it is mixed in.
    pub fn by_hand(&self, batch: &Batch) -> bool {
        batch.vessel == Vessel::ByHand
    }
    /// The task that mixes or cooks a batch first.
    pub fn mixing(&self, batch: &Batch) -> Option<&'a PlannedTask> {
        let same = |t: &&PlannedTask| {
            self.batch(t)
                .is_some_and(|b| b.lesson == batch.lesson && b.part == batch.part && b.no == batch.no)
        };
        self.plan.tasks.iter().find(|t| same(t) && t.hands != Hands::Nobody)
    }
    /// A batch by its lesson, part and number.
    pub fn batch_of(&self, lesson: &LessonId, part: &PartId, no: u32) -> Option<&'a Batch> {
        let batches = self.plan.choice.batches.get(&(lesson.clone(), part.clone()))?;
        batches.iter().find(|b| b.no == no)
    }
    /// The load that a task bakes.
    pub fn load(&self, task: &PlannedTask) -> Option<&'a Load> {
        self.plan.load_of(task)
    }
    /// What some groups make in a lesson, one entry for each variant.
    pub fn making(&self, lesson: &LessonId, members: &[(Whom, u32)]) -> Vec<Making> {
        let name = self.lesson_name(lesson);
        let formula = self.course.lesson(lesson).and_then(|l| self.course.formula(&l.formula.value));
        let in_one = formula.map_or(1, |f| in_one(&f.piece));
        let mut found: Vec<Making> = Vec::new();
        for (whom, pieces) in members {
            let variant = match whom {
                Whom::Station(no) => self.variant_of(*no, lesson),
                _ => self.class.everyone.get(lesson),
            };
            let variant = variant.map(|v| self.variant_name(v));
            match found.iter_mut().find(|m| m.variant == variant) {
                Some(there) => there.count += pieces,
                None => found.push(Making { count: *pieces, in_one, name: name.clone(), variant }),
            }
        }
        found
    }

    // Slips -----------------------------------------------------------------------------------------------------------

    /// All slips, in the order in which they are written.
    pub fn slips(&self) -> &[Slip] {
        &self.slips
    }
    /// The slip on a batch.
    pub fn slip(&self, lesson: &LessonId, part: &PartId, batch: u32) -> Option<&SlipRef> {
        let same = |s: &&Slip| s.lesson == *lesson && s.part == *part && s.batch == batch;
        self.slips.iter().find(same).map(|s| &s.slip)
    }

    // Times -----------------------------------------------------------------------------------------------------------

    /// A sitting.
    pub fn sitting(&self, session: &Session) -> Sitting {
        let day = session.from.value.date();
        Sitting {
            name: session.name.as_ref().map_or_else(String::new, |n| n.value.clone()),
            day: day.into(),
            from: minute_of(&session.from.value, day),
            to: minute_of(&session.to.value, day),
        }
    }
    /// The sitting in which a moment lies, its overrun included.
    pub fn session_at(&self, moment: &Zoned) -> Option<&'a Session> {
        let planned = |s: &&Session| {
            let finish = self.plan.sessions.iter().find(|p| p.id == s.id.value).map(|p| &p.finish);
            let end = finish.filter(|f| **f > s.to.value).unwrap_or(&s.to.value);
            s.from.value <= *moment && *moment < *end
        };
        self.course.sessions.iter().find(planned)
    }
    /// The step with this id of a lesson.
    pub fn step_named(&self, lesson: &LessonId, step: &StepId) -> Option<&'a CourseStep> {
        self.course.lesson(lesson)?.step(step)
    }
    /// A mass as the course's scales show it.
    pub fn mass(&self, grams: Grams) -> Measure {
        self.mass_of(None, grams)
    }
    /// A mass of an ingredient, with the digits of the scale that it is weighed on; none that it has is left out.
    pub fn mass_of(&self, item: Option<&Item>, grams: Grams) -> Measure {
        let steps = ScaleSteps::of(&self.course.settings);
        let step = steps.step(item, grams);
        mass_on(grams, if grams.to_nearest(step) == grams { step } else { step.min(steps.fine) })
    }
    /// Whether an amount of an ingredient goes on the fine scale: by its kind or its weight, or because the class's scale cannot show
    /// it. A column is rounded to the step of its smallest cell, so the large ones beside it may hold tenths too.
    pub fn is_fine(&self, item: Option<&Item>, grams: Grams) -> bool {
        let steps = ScaleSteps::of(&self.course.settings);
        steps.step(item, grams) < steps.class || grams.to_nearest(steps.class) != grams
    }
}

/// Minutes after the midnight of a day; beyond 1440 on the next.
pub fn minute_of(moment: &Zoned, day: Date) -> i64 {
    let days = moment.date().since(day).map_or(0, |s| i64::from(s.get_days()));
    days * 1440 + i64::from(moment.hour()) * 60 + i64::from(moment.minute())
}

/// A moment as it is printed.
pub fn moment(at: &Zoned) -> Moment {
    at.datetime().into()
}

/// The day of a moment.
pub fn day(at: &Zoned) -> Day {
    at.date().into()
}

/// `1–3`, `5`: runs of whole numbers that are sorted.
pub fn runs(sorted: &[u32]) -> Vec<String> {
    let mut runs: Vec<(u32, u32)> = Vec::new();
    for n in sorted {
        match runs.last_mut().filter(|(_, to)| *to + 1 == *n) {
            Some((_, to)) => *to = *n,
            None => runs.push((*n, *n)),
        }
    }
    let word = |(from, to): (u32, u32)| match to - from {
        0 => vec![from.to_string()],
        1 => vec![from.to_string(), to.to_string()],
        _ => vec![format!("{from}\u{2013}{to}")],
    };
    runs.into_iter().flat_map(word).collect()
}

/// The key of a place in the catalogue's `[where]`; empty for the bench.
pub fn place_key(place: Where) -> &'static str {
    match place {
        Where::Bench => "",
        Where::Mixer => "mixer",
        Where::Hob => "hob",
        Where::Oven => "oven",
        Where::Cold => "cold",
        Where::Freezer => "freezer",
        Where::Room => "room",
        Where::Warm => "warm",
        Where::Rack => "rack",
        Where::Sink => "sink",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn runs_of_three_are_drawn_together() {
        assert_eq!(runs(&[1, 2, 3, 5, 6]), ["1\u{2013}3", "5", "6"]);
        assert_eq!(runs(&[]), Vec::<String>::new());
    }
}
