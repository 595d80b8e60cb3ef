//! `--why oven-1`: what goes through one mixer or oven, and when. `--why oven`: the same for each of its kind.

use super::ChainOf;
use crate::course::Course;
use crate::finding::Place;
use crate::pipeline::Reckoned;
use crate::reckon::plan::timetable::PlannedTask;
use jiff::{SignedDuration, ZonedDateTime};

/// The mixers and ovens that can be asked about: each kind, and each one of it.
pub fn things(reckoned: &Reckoned) -> Vec<String> {
    let mut things = Vec::new();
    for kind in kinds(&reckoned.course) {
        things.extend(kind.units());
        things.push(kind.id);
    }
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
                for (task, until) in uses {
                    let clock = |at: &ZonedDateTime| at.strftime("%a %H:%M").to_string();
                    let later = until.duration_since(&task.end) > SignedDuration::ZERO;
                    let later = if later { format!(", taken until {}", clock(until)) } else { String::new() };
                    let text = format!("{} to {} {}{later}", clock(&task.start), clock(&task.end), task.id);
                    self.say(1, text, None);
                }
            }
        }
        if !self.reasons.is_empty() {
            let text = "What holds one of these where it is: ask --why for its id".to_owned();
            self.say(0, text, None);
        }
    }
}
