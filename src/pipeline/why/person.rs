//! `--why helper-1`, `--why teacher`, `--why station-3`: what somebody does, and when. Staff can be asked about by their names too.

use super::ChainOf;
use crate::course::StationNo;
use crate::finding::Place;
use crate::pipeline::Reckoned;
use crate::reckon::plan::timetable::PlannedTask;
use jiff::ZonedDateTime;

/// Who can be asked about, as the plan prints them.
pub fn things(reckoned: &Reckoned) -> Vec<String> {
    let staff = staff(reckoned).into_iter().map(|person| person.id);
    staff.chain(reckoned.class.stations.iter().map(|s| format!("station-{}", s.no))).collect()
}

/// One of the staff.
struct Person {
    id: String,
    name: Option<String>,
    place: Option<Place>,
}

fn staff(reckoned: &Reckoned) -> Vec<Person> {
    let settings = &reckoned.course.settings;
    let teacher = Person {
        id: "teacher".to_owned(),
        name: Some(settings.teacher.value.clone()),
        place: settings.teacher.place,
    };
    let helpers = settings.helpers.iter().enumerate().map(|(n, helper)| Person {
        id: format!("helper-{}", n + 1),
        name: Some(helper.value.clone()),
        place: helper.place,
    });
    std::iter::once(teacher).chain(helpers).collect()
}

impl ChainOf<'_> {
    /// What the plan has somebody do, by the clock.
    pub fn person(&mut self, thing: &str) {
        let reckoned = self.reckoned;
        let Some(plan) = &reckoned.planned.plan else { return };
        let named = |person: &Person| person.id == thing || person.name.as_deref() == Some(thing);
        if let Some(person) = staff(reckoned).into_iter().find(named) {
            let tasks: Vec<&PlannedTask> = plan.tasks.iter().filter(|t| t.by.contains(&person.id)).collect();
            let who = match &person.name {
                Some(name) => format!("{} ({name})", person.id),
                None => person.id.clone(),
            };
            self.done_by(&who, person.place, &tasks);
        }
        let number = thing.strip_prefix("station-").and_then(|n| n.parse().ok()).map(StationNo);
        if let Some(no) = number.filter(|no| reckoned.class.stations.iter().any(|s| s.no == *no)) {
            let tasks: Vec<&PlannedTask> = plan.tasks.iter().filter(|t| t.stations.contains(&no)).collect();
            self.done_by(thing, None, &tasks);
        }
    }

    fn done_by(&mut self, who: &str, place: Option<Place>, tasks: &[&PlannedTask]) {
        let words = match tasks.len() {
            0 => format!("{who}: the plan has nothing to do there"),
            1 => format!("{who}: one task of the plan"),
            n => format!("{who}: {n} tasks of the plan"),
        };
        self.say(0, words, place);
        for task in tasks {
            let clock = |at: &ZonedDateTime| at.strftime("%a %H:%M").to_string();
            let watched = if task.demo { ", shown" } else { "" };
            let text = format!("{} to {} {}{watched}", clock(&task.start), clock(&task.end), task.id);
            self.say(1, text, None);
        }
        if !tasks.is_empty() {
            self.say(0, "What holds one of these where it is: ask --why for its id".to_owned(), None);
        }
    }
}
