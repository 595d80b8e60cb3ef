//! `--why oven-1`: what goes through one mixer or oven, and when. `--why oven`: the same for each of its kind. `--why fridge`: what stands
//! there.

use super::ChainOf;
use crate::course::{Course, Where};
use crate::finding::Place;
use crate::pipeline::Reckoned;
use crate::reckon::heating::turned;
use crate::reckon::places::{PlaceUse, Share};
use crate::reckon::plan::timetable::PlannedTask;
use jiff::{SignedDuration, ZonedDateTime};

/// The mixers and ovens that can be asked about: each kind, and each one of it.
pub fn things(reckoned: &Reckoned) -> Vec<String> {
    let mut things = Vec::new();
    for kind in kinds(&reckoned.course) {
        things.extend(kind.units());
        things.push(kind.id);
    }
    things.extend(standing(&reckoned.course).into_iter().map(|one| one.id));
    things
}

/// Mixers or ovens that are alike.
struct Kind {
    id: String,
    count: u32,
    place: Option<Place>,
}

impl Kind {
    fn units(&self) -> impl Iterator<Item = String> + '_ {
        (1..=self.count).map(|n| format!("{}-{n}", self.id))
    }
}

fn kinds(course: &Course) -> Vec<Kind> {
    let kitchen = &course.kitchen;
    let mixers = kitchen.mixers.iter().map(|m| (&m.id, &m.count, &m.loan));
    let all = mixers.chain(kitchen.ovens.iter().map(|o| (&o.id, &o.count, &o.loan)));
    all.map(|(id, count, loan)| Kind {
        id: id.value.to_string(),
        count: count.value.saturating_add(loan.as_ref().map_or(0, |l| l.count.value)),
        place: id.place,
    })
    .collect()
}

impl ChainOf<'_> {
    /// What the plan does in a mixer or oven, by the clock.
    pub fn machine(&mut self, thing: &str) {
        let Some(plan) = &self.reckoned.planned.plan else { return };
        for kind in kinds(&self.reckoned.course) {
            for unit in kind.units().filter(|unit| kind.id == thing || unit == thing) {
                let mut uses: Vec<(&PlannedTask, &ZonedDateTime)> = Vec::new();
                for task in &plan.tasks {
                    let used = task.uses.iter().filter(|u| u.resource == unit).map(|u| &u.until);
                    uses.extend(used.max().map(|until| (task, until)));
                }
                uses.sort_by_key(|(task, until)| {
                    (task.start.timestamp(), until.timestamp(), task.id.clone())
                });
                let words = match uses.len() {
                    0 => format!("{unit}: the plan does not use it"),
                    1 => format!("{unit}: the plan uses it once"),
                    n => format!("{unit}: the plan uses it {n} times"),
                };
                self.say(0, words, kind.place);
                let clock = |at: &ZonedDateTime| at.strftime("%a %H:%M").to_string();
                let mut lines: Vec<(jiff::Timestamp, String)> = Vec::new();
                for heats in turned(&self.reckoned.course, plan).into_iter().filter(|t| t.oven == unit) {
                    let verb = heats.verb();
                    let Some((heat, there)) = heats.to else { continue };
                    let (from, to, heat) = (clock(&heats.at), clock(&there), heat.to_decimal().normalize());
                    let text = format!("{from} to {to} it {verb} to {heat} °C for {}", heats.task);
                    lines.push((heats.at.timestamp(), text));
                }
                for (task, until) in uses {
                    let later = until.duration_since(&task.end) > SignedDuration::ZERO;
                    let later = if later { format!(", taken until {}", clock(until)) } else { String::new() };
                    let text = format!("{} to {} {}{later}", clock(&task.start), clock(&task.end), task.id);
                    lines.push((task.start.timestamp(), text));
                }
                lines.sort_by_key(|(at, _)| *at);
                lines.into_iter().for_each(|(_, text)| self.say(1, text, None));
            }
        }
        self.place(thing);
        if !self.reasons.is_empty() {
            let text = "What holds one of these where it is: ask --why for its id".to_owned();
            self.say(0, text, None);
        }
    }
    /// What stands in a fridge or proofer, on a rack, or over a hob, by the clock; and how full it is at most.
    fn place(&mut self, thing: &str) {
        let reckoned = self.reckoned;
        let Some(plan) = &reckoned.planned.plan else { return };
        for Standing { id, place, sort, alone } in standing(&reckoned.course) {
            if id != thing {
                continue;
            }
            let here = |task: &&PlannedTask| {
                sort_of(&reckoned.course, task) == Some(sort)
                    // Of several hobs nothing says over which: it is said of all of them.
                    && (alone || sort == Where::Hob || task.uses.iter().any(|u| u.resource == id))
            };
            let mut tasks: Vec<&PlannedTask> = plan.tasks.iter().filter(here).collect();
            tasks.sort_by_key(|t| (t.start.timestamp(), t.end.timestamp(), t.id.clone()));
            let words = match tasks.len() {
                0 => format!("{id}: the plan does not use it"),
                1 => format!("{id}: one task of the plan is there"),
                n => format!("{id}: {n} tasks of the plan are there"),
            };
            self.say(0, words, place);
            let clock = |at: &ZonedDateTime| at.strftime("%a %H:%M").to_string();
            let own =
                |used: &&PlaceUse| used.sort == sort && (sort == Where::Hob || used.place.as_str() == id);
            if let Some(used) = reckoned.places.uses.iter().find(own) {
                let taken =
                    rust_decimal::Decimal::from(used.taken.0) / rust_decimal::Decimal::from(Share::ONE);
                let of = match (sort, alone) {
                    (Where::Hob, true) => "burners",
                    (Where::Hob, false) => "burners of all hobs",
                    _ => "shelves",
                };
                let when = used.fullest.as_ref().map_or(String::new(), |at| format!(", at {}", clock(at)));
                let taken = taken.round_dp(2).normalize();
                self.say(1, format!("at most {taken} of {} {of} are taken{when}", used.there), None);
            }
            for task in tasks {
                self.say(1, format!("{} to {} {}", clock(&task.start), clock(&task.end), task.id), None);
            }
        }
    }
}

/// Something in which, on which or over which things stand.
struct Standing {
    id: String,
    place: Option<Place>,
    sort: Where,
    /// The only one of its sort: what is there is in it.
    alone: bool,
}

fn standing(course: &Course) -> Vec<Standing> {
    let kitchen = &course.kitchen;
    let shelves = [
        (Where::Cold, &kitchen.cold),
        (Where::Freezer, &kitchen.freezers),
        (Where::Warm, &kitchen.warm),
        (Where::Rack, &kitchen.racks),
    ];
    let hobs = kitchen.hobs.iter().map(|h| (Where::Hob, &h.id, kitchen.hobs.len()));
    let all = shelves.into_iter().flat_map(|(sort, all)| all.iter().map(move |s| (sort, &s.id, all.len())));
    all.chain(hobs)
        .map(|(sort, id, count)| Standing {
            id: id.value.to_string(),
            place: id.place,
            sort,
            alone: count == 1,
        })
        .collect()
}

/// Where a task is.
fn sort_of(course: &Course, task: &PlannedTask) -> Option<Where> {
    let step = task.lesson.as_ref().and_then(|l| course.lesson(l)?.step(&task.step));
    if task.cold_wait { Some(Where::Cold) } else { step.map(|s| s.place.value) }
}
