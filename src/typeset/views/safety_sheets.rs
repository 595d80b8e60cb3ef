//! Fills the allergen sheet and the temperature log from what was reckoned.

use super::allergen_sheet::{AllergenSheet, Avoided, Avoider, Before, Contents, Verdict};
use super::common::{About, Measure};
use super::drawing::{Units, said};
use super::temperature_log::{Reading, TemperatureLog};
use crate::course::allergen_lists::list;
use crate::course::{
    AllergenId, Avoidance, Course, ItemId, LessonId, PartId, Severity, StationNo, UnitSystem, VariantId,
};
use crate::reckon::allergens::Verdict as Held;
use crate::reckon::drawings::Said;
use crate::reckon::list_words::named;
use crate::reckon::machine_order::turns;
use crate::reckon::people::{LessonContents, PersonVerdict, contents, people};
use crate::reckon::plan::timetable::Plan;
use crate::reckon::recipes::Recipes;
use crate::reckon::safety::Safety;
use crate::reckon::safety::log::{IfOut, Limit, LogRow, What};
use crate::reckon::safety::rules::row;
use crate::reckon::work::{Class, Whom};
use crate::units::Celsius;
use std::collections::BTreeSet;

/// Blank lines at the end of a log.
const BLANKS: u32 = 6;

/// Text for people about one course: names for ids.
pub struct Names<'a> {
    /// The course.
    pub course: &'a Course,
}

impl Names<'_> {
    fn lesson(&self, id: &LessonId) -> String {
        let lesson = self.course.lesson(id);
        let own = lesson.and_then(|l| l.name.as_ref()).map(|n| n.value.clone());
        let formula =
            || lesson.and_then(|l| self.course.formula(&l.formula.value)).map(|f| f.name.value.clone());
        own.or_else(formula).unwrap_or_else(|| id.as_str().to_owned())
    }
    fn part(&self, lesson: &LessonId, part: &PartId, variant: Option<&VariantId>) -> String {
        let formula = self.course.lesson(lesson).and_then(|l| self.course.formula(&l.formula.value));
        let named = formula.and_then(|f| f.part(part)).and_then(|p| p.name.as_ref()).map(|n| n.value.clone());
        let part = named.unwrap_or_else(|| part.as_str().replace('-', " "));
        let lesson = self.lesson(lesson);
        match variant {
            Some(variant) => format!("{lesson}: {part}, {variant}"),
            None => format!("{lesson}: {part}"),
        }
    }
    fn item(&self, id: &ItemId) -> String {
        self.course.pantry.item(id).map_or_else(|| id.as_str().to_owned(), |i| i.name.value.clone())
    }
    /// A person's name, or the number on the roll.
    pub fn person(&self, row: usize, anonymous: bool) -> String {
        let name = self.course.roll.get(row).map(|p| p.name.value.trim());
        match name.filter(|n| !n.is_empty() && !anonymous) {
            Some(name) => name.to_owned(),
            None => (row + 1).to_string(),
        }
    }
    /// What a task makes: `Walnut crown: dough` for its id.
    fn task(&self, plan: &Plan, id: &str) -> String {
        let Some(task) = plan.task(id) else { return id.to_owned() };
        let Some(lesson) = &task.lesson else { return id.to_owned() };
        format!(
            "{}, {} {}",
            self.lesson(lesson),
            task.step.as_str().replace('-', " "),
            stations(&task.members)
        )
    }
    fn list_word(&self, allergen: &AllergenId) -> String {
        named(&self.course.settings.allergen_list.value, allergen)
    }
}

fn stations(members: &[(Whom, u32)]) -> String {
    let of = members.iter().filter_map(|(whom, _)| match whom {
        Whom::Station(no) => Some(no.to_string()),
        Whom::Stage { .. } | Whom::Spare => None,
    });
    format!("({})", of.collect::<Vec<_>>().join(", "))
}

impl AllergenSheet {
    /// The sheet of a class. It names people: for the teacher alone.
    #[must_use]
    pub fn of(about: About, course: &Course, class: &Class, plan: &Plan, anonymous: bool) -> AllergenSheet {
        let names = Names { course };
        let (recipes, _) = Recipes::of(course);
        let (made, all) = (contents(course, class, &recipes), people(course, class, &recipes));
        let settings = &course.settings;
        let text =
            |t: &Option<crate::course::At<String>>| t.as_ref().map_or_else(String::new, |t| t.value.clone());
        AllergenSheet {
            about,
            list: list(&settings.allergen_list.value).map_or_else(String::new, |l| l.title.to_owned()),
            people: avoiders(&names, &all, anonymous),
            lessons: made.iter().map(|m| contents_of(&names, m)).collect(),
            order: turns(course, class, plan)
                .iter()
                .map(|turn| Before {
                    at: turn.at.datetime().into(),
                    on: turn.machine.clone(),
                    first: names.task(plan, &turn.first),
                    then: names.task(plan, &turn.then),
                    free_from: turn.free_from.iter().map(|a| names.list_word(a)).collect(),
                    wash_up: turn.wash_up,
                })
                .collect(),
            cross_contact: cross_contact(&names, class, &made),
            unread: unread(&names, &made),
            first_aid: text(&settings.first_aid),
            emergency: text(&settings.emergency),
            forget_by: settings.forget_by.as_ref().map(|d| d.value.into()),
            ..AllergenSheet::new()
        }
    }
}

fn avoiders(names: &Names<'_>, all: &[PersonVerdict], anonymous: bool) -> Vec<Avoider> {
    let mut rows: Vec<(usize, StationNo)> = Vec::new();
    for verdict in all {
        if !rows.iter().any(|(row, _)| *row == verdict.row) {
            rows.push((verdict.row, verdict.station));
        }
    }
    rows.into_iter()
        .map(|(row, station)| {
            let own: Vec<&PersonVerdict> = all.iter().filter(|v| v.row == row).collect();
            let mut avoids: Vec<Avoided> = Vec::new();
            for verdict in &own {
                let avoided = Avoided {
                    what: names.list_word(&verdict.avoids.what.value),
                    why: why(verdict.avoids.why).to_owned(),
                    severity: severity(verdict.avoids.severity).to_owned(),
                };
                if !avoids.contains(&avoided) {
                    avoids.push(avoided);
                }
            }
            Avoider {
                name: names.person(row, anonymous),
                station: station.to_string(),
                avoids,
                verdicts: verdicts(names, &own),
            }
        })
        .collect()
}

/// One line for each lesson: the worst of what is avoided, and by what.
fn verdicts(names: &Names<'_>, own: &[&PersonVerdict]) -> Vec<Verdict> {
    let mut lessons: Vec<&LessonId> = Vec::new();
    for verdict in own {
        if !lessons.contains(&&verdict.lesson) {
            lessons.push(&verdict.lesson);
        }
    }
    let worst = |lesson: &LessonId| own.iter().filter(|v| v.lesson == *lesson).max_by_key(|v| v.verdict);
    lessons
        .into_iter()
        .filter_map(|lesson| worst(lesson).map(|v| (lesson, v)))
        .map(|(lesson, verdict)| {
            let mut because: Vec<String> = verdict.by.iter().map(|i| names.item(i)).collect();
            if verdict.verdict == Held::SharedKitchen {
                because.push(format!("{} is in the room", names.list_word(&verdict.avoids.what.value)));
            }
            because.extend(verdict.helps.iter().map(|v| format!("helped by {v}")));
            if verdict.cannot_be_made_suitable {
                because.push("flour is in the air: this class cannot be made suitable".to_owned());
            }
            Verdict {
                lesson: names.lesson(lesson),
                verdict: verdict.verdict.word().to_owned(),
                variant: verdict.variant.as_ref().map_or_else(String::new, |v| v.as_str().to_owned()),
                because: because.join("; "),
            }
        })
        .collect()
}

fn contents_of(names: &Names<'_>, made: &LessonContents) -> Contents {
    Contents {
        lesson: names.lesson(&made.lesson),
        variant: made.variant.as_ref().map_or_else(String::new, |v| v.as_str().to_owned()),
        stations: made.stations.iter().map(ToString::to_string).collect(),
        contains: made.held.contains.keys().map(|a| names.list_word(a)).collect(),
        may_contain: made.held.may_contain.keys().map(|a| names.list_word(a)).collect(),
        unknown: made.held.unknown.iter().map(|i| names.item(i)).collect(),
    }
}

fn unread(names: &Names<'_>, made: &[LessonContents]) -> Vec<String> {
    let all: BTreeSet<&ItemId> = made.iter().flat_map(|m| &m.held.unknown).collect();
    all.into_iter().map(|i| names.item(i)).collect()
}

/// What is avoided and handled in the same room, at which stations.
fn cross_contact(names: &Names<'_>, class: &Class, made: &[LessonContents]) -> Vec<String> {
    let avoided: BTreeSet<&AllergenId> = class.stations.iter().flat_map(|s| &s.avoids).collect();
    let mut notes = Vec::new();
    for what in avoided {
        for lesson in made.iter().filter(|m| m.held.verdict(what).0 > Held::SharedKitchen) {
            let at: Vec<String> = lesson.stations.iter().map(ToString::to_string).collect();
            if at.is_empty() {
                continue;
            }
            notes.push(format!(
                "{}: {} at stations {}. Tools, cloths and benches are not shared with those who avoid it; wash with detergent, then rinse.",
                names.list_word(what),
                names.lesson(&lesson.lesson),
                at.join(", ")
            ));
        }
    }
    notes
}

fn why(why: Avoidance) -> &'static str {
    match why {
        Avoidance::Choice => "choice",
        Avoidance::Intolerance => "intolerance",
        // The catalogue has one word for what must never happen.
        Avoidance::Coeliac | Avoidance::Allergy => "allergy",
    }
}

fn severity(severity: Severity) -> &'static str {
    match severity {
        Severity::Unknown => "not-stated",
        Severity::Mild => "mild",
        Severity::Severe => "severe",
        Severity::Airborne => "airborne",
    }
}

impl TemperatureLog {
    /// The log of a class.
    #[must_use]
    pub fn of(about: About, course: &Course, safety: &Safety) -> TemperatureLog {
        let names = Names { course };
        let units = match course.settings.units.value {
            UnitSystem::Metric => Units::Metric,
            UnitSystem::Us => Units::Us,
        };
        TemperatureLog {
            about,
            rules: safety.set.map_or_else(String::new, |s| s.title()),
            readings: safety.log.iter().map(|r| reading(&names, units, r)).collect(),
            blanks: BLANKS,
            ..TemperatureLog::new()
        }
    }
}

fn reading(names: &Names<'_>, units: Units, line: &LogRow) -> Reading {
    let (limit, values): (&str, Vec<Celsius>) = match line.limit {
        Limit::AtLeast(at) => ("at-least", vec![at]),
        Limit::AtMost(at) => ("at-most", vec![at]),
        Limit::Between(low, high) => ("at-least", vec![low, high]),
        Limit::Aim(at) => ("aim", vec![at]),
        Limit::Unknown => ("unknown", Vec::new()),
    };
    let (what, probe) = match &line.what {
        What::ColdPlace(id) => (id.as_str().to_owned(), "between the food, not at the door"),
        What::Trays => (
            "weighed trays: beaten egg, milk, butter".to_owned(),
            "the largest bowl; beaten egg is pooled egg: used at once, what is left is thrown away today",
        ),
        What::Part(lesson, part, variant, _) => {
            (names.part(lesson, part, variant.as_ref()), "the middle, the thickest place")
        }
        What::Mixed(lesson, part, no) => {
            (format!("{}, batch {no}", names.part(lesson, part, None)), "the middle")
        }
        What::Load(lesson, no) => {
            (format!("{}, load {no}", names.lesson(lesson)), "the middle of the largest piece, two of a load")
        }
        What::Out(lesson, part) => {
            (format!("{}: out of the cold from now", names.part(lesson, part, None)), "")
        }
    };
    let mut within = match (&line.what, line.within) {
        (What::Out(..), Some((span, passes))) => format!("used or thrown away {} {span}", passes.sign()),
        (_, Some((span, _))) => format!("within {span}"),
        (_, None) => String::new(),
    };
    if line.unattended {
        within.push_str("; nobody is in then: read before leaving, and first thing on return");
    }
    Reading {
        at: line.at.datetime().into(),
        what,
        probe: probe.to_owned(),
        limit: limit.to_owned(),
        values: values.into_iter().map(|at| measure(at, units)).collect(),
        within,
        if_out: if_out(line.if_out).to_owned(),
        source: line.row.and_then(row).map_or_else(|| "the lesson".to_owned(), |r| r.source()),
    }
}

fn measure(at: Celsius, units: Units) -> Measure {
    let shown = said(Said::Temperature(at), units);
    let text = |key: &str| shown[key].as_str().unwrap_or_default().to_owned();
    Measure::new(text("value"), text("unit"))
}

const fn if_out(what: IfOut) -> &'static str {
    match what {
        IfOut::MoveFood => "move the food, find out how long, and tell the teacher",
        IfOut::HeatOn => "heat on, and read again",
        IfOut::ReheatOnceOrThrowAway => {
            "reheat at once to 74 degC, one time, and cool again; else throw away"
        }
        IfOut::ThrowAway => "throw away",
        IfOut::BakeOn => "bake on, and read again",
        IfOut::NoteIt => "write it down: warmer rises faster, colder slower",
    }
}
