//! Fills the allergen sheet and the temperature log from what was reckoned.

use super::allergen_sheet::{
    AllergenSheet, Avoided, Avoider, Before, Contents, CrossContact, Needs, OnRacks, Verdict,
};
use super::common::{About, Measure, Phrase};
use super::drawing::{Units, said};
use super::temperature_log::{Reading, TemperatureLog};
use super::wording::spoken;
use crate::course::allergen_lists::list;
use crate::course::{
    AllergenId, Avoidance, Course, EquipId, ItemId, LessonId, PartId, Severity, Shelves, StationNo,
    UnitSystem, VariantId, Where,
};
use crate::reckon::allergens::Verdict as Held;
use crate::reckon::drawings::Said;
use crate::reckon::list_words::named;
use crate::reckon::machine_order::turns;
use crate::reckon::ovens::racked;
use crate::reckon::people::{LessonContents, PersonVerdict, contents, people};
use crate::reckon::plan::jobs::Group;
use crate::reckon::plan::timetable::{Plan, PlannedTask};
use crate::reckon::recipes::Recipes;
use crate::reckon::safety::Safety;
use crate::reckon::safety::log::{IfOut, Limit, LogRow, What};
use crate::reckon::safety::rule_sets::Passes;
use crate::reckon::safety::rules::row;
use crate::reckon::work::{Class, Whom};
use crate::units::Celsius;
use std::cmp::Reverse;
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
    /// A person's name, or the number on the roll, as the other sheets write it.
    pub fn person(&self, row: usize, anonymous: bool) -> String {
        let name = self.course.roll.get(row).map(|p| p.name.value.trim());
        match name.filter(|n| !n.is_empty() && !anonymous) {
            Some(name) => name.to_owned(),
            None => format!("#{}", row + 1),
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
    /// The name of a mixer or an oven behind `oven-2`, with its number.
    fn machine(&self, resource: &str) -> String {
        let k = &self.course.kitchen;
        let mixers = k.mixers.iter().map(|m| (&m.id.value, m.count.value, &m.name));
        let ovens = k.ovens.iter().map(|o| (&o.id.value, o.count.value, &o.name));
        let named = mixers.chain(ovens).find_map(|(id, count, name)| {
            let number = resource.strip_prefix(id.as_str())?;
            let name = name.as_ref().map_or_else(|| spoken(id.as_str()), |n| n.value.clone());
            let name = name.split(',').next().unwrap_or_default().trim().to_owned();
            match number.strip_prefix('-').and_then(|n| n.parse::<u32>().ok()) {
                Some(n) if count > 1 => Some(format!("{name} {n}")),
                Some(_) => Some(name),
                None => number.is_empty().then_some(name),
            }
        });
        named.unwrap_or_else(|| spoken(resource))
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
            needs: needs(&names, class, anonymous),
            lessons: made.iter().map(|m| contents_of(&names, m)).collect(),
            order: turns(course, class, plan)
                .iter()
                .map(|turn| Before {
                    at: turn.at.datetime().into(),
                    on: match turn.machine.as_str() {
                        // Keys of the catalogue's `[where]`.
                        place @ ("hob" | "bench") => place.to_owned(),
                        machine => names.machine(machine),
                    },
                    first: names.task(plan, &turn.first),
                    then: names.task(plan, &turn.then),
                    free_from: turn.free_from.iter().map(|a| names.list_word(a)).collect(),
                    wash_up: turn.wash_up,
                    beside: turn.beside,
                })
                .collect(),
            racks: on_racks(&names, class, plan),
            cold_shared: class.stations.iter().any(|s| !s.avoids.is_empty())
                && plan.tasks.iter().any(|t| in_the_cold(course, t)),
            cross_contact: cross_contact(&names, class, &made),
            unread: unread(&names, &made),
            first_aid: text(&settings.first_aid),
            emergency: text(&settings.emergency),
            forget_by: settings.forget_by.as_ref().map(|d| d.value.into()),
            ..AllergenSheet::new()
        }
    }
}

/// Every load in which something must not stand under something else, by the clock.
fn on_racks(names: &Names<'_>, class: &Class, plan: &Plan) -> Vec<OnRacks> {
    let mut found = Vec::new();
    let mut tasks: Vec<&PlannedTask> = plan.tasks.iter().collect();
    tasks.sort_by(|a, b| (&a.start, &a.id).cmp(&(&b.start, &b.id)));
    for task in tasks {
        let (Group::Load(no), Some(lesson)) = (&task.group, &task.lesson) else { continue };
        let loads = plan.choice.loads.get(&(lesson.clone(), task.step.clone()));
        let Some(load) = loads.and_then(|loads| loads.iter().find(|l| l.no == *no)) else { continue };
        let Some(racked) = racked(names.course, class, plan, task) else { continue };
        let oven = task.uses.iter().find(|u| {
            load.fits
                .iter()
                .any(|(id, _)| u.resource.strip_prefix(id.as_str()).is_some_and(|r| r.starts_with('-')))
        });
        let apart = &racked.apart;
        let kept =
            [("top", &apart.top), ("clear", &apart.clear), ("beside", &apart.beside), ("not", &apart.not)];
        found.extend(kept.into_iter().filter(|(_, stations)| !stations.is_empty()).map(|(how, stations)| {
            OnRacks {
                at: task.start.datetime().into(),
                oven: oven.map_or_else(String::new, |u| names.machine(&u.resource)),
                lesson: names.lesson(lesson),
                load: *no,
                how: how.to_owned(),
                stations: stations.iter().map(ToString::to_string).collect(),
            }
        }));
    }
    found
}

fn in_the_cold(course: &Course, task: &PlannedTask) -> bool {
    let step = task.lesson.as_ref().and_then(|l| course.lesson(l)).and_then(|l| l.step(&task.step));
    task.cold_wait || step.is_some_and(|s| matches!(s.place.value, Where::Cold | Where::Freezer))
}

/// What those who are seated need, station by station.
fn needs(names: &Names<'_>, class: &Class, anonymous: bool) -> Vec<Needs> {
    let seated = class.stations.iter().flat_map(|s| s.seats.iter().map(move |seat| (s.no, seat.person)));
    seated
        .filter_map(|(station, row)| {
            let row = row?;
            let what: Vec<String> =
                names.course.roll.get(row)?.needs.iter().map(|n| n.value.clone()).collect();
            let name = names.person(row, anonymous);
            (!what.is_empty()).then(|| Needs { name, station: station.to_string(), what })
        })
        .collect()
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
                harmed: own.iter().any(|v| harms(v)),
                told: names.course.roll.get(row).and_then(|p| p.told.as_ref()).map(|d| d.value.into()),
                verdicts: verdicts(names, &own),
            }
        })
        .collect()
}

/// Whether this person must not have it: an allergy or coeliac disease, and it is in the piece or flies in the room.
fn harms(verdict: &PersonVerdict) -> bool {
    let grave = verdict.avoids.why >= Avoidance::Coeliac || verdict.avoids.severity == Severity::Airborne;
    grave && (verdict.verdict == Held::Contains || verdict.cannot_be_made_suitable)
}

/// Lesson by lesson what is avoided, the gravest first; things of which the same is to be said share a line, and nothing stands for
/// another: an allergy's "may contain" is not covered by the "contains" of what somebody would rather not eat.
fn verdicts(names: &Names<'_>, own: &[&PersonVerdict]) -> Vec<Verdict> {
    let mut lessons: Vec<&LessonId> = Vec::new();
    for verdict in own {
        if !lessons.contains(&&verdict.lesson) {
            lessons.push(&verdict.lesson);
        }
    }
    let mut all: Vec<Verdict> = Vec::new();
    for lesson in lessons {
        let mut of_lesson: Vec<&&PersonVerdict> = own.iter().filter(|v| v.lesson == *lesson).collect();
        of_lesson.sort_by_key(|v| Reverse((v.avoids.why, v.avoids.severity, v.verdict)));
        let first = all.len();
        for verdict in of_lesson {
            let what = names.list_word(&verdict.avoids.what.value);
            let line = line(names, verdict);
            let same = |v: &&mut Verdict| {
                Verdict { what: Vec::new(), know: Vec::new(), ..(**v).clone() }
                    == Verdict { know: Vec::new(), ..line.clone() }
            };
            match all[first..].iter_mut().find(same) {
                Some(there) => {
                    there.what.push(what);
                    there.know.extend(
                        line.know.into_iter().filter(|k| !there.know.contains(k)).collect::<Vec<_>>(),
                    );
                }
                None => all.push(Verdict { what: vec![what], ..line }),
            }
        }
    }
    all
}

/// What is to be said of one avoided thing in one lesson.
fn line(names: &Names<'_>, verdict: &PersonVerdict) -> Verdict {
    let mut know = Vec::new();
    if verdict.verdict == Held::SharedKitchen {
        let what = names.list_word(&verdict.avoids.what.value);
        know.push(Phrase::new("allergen.in-the-room", [("what", what)]));
    }
    let helps = verdict.helps.iter();
    know.extend(helps.map(|v| Phrase::new("allergen.helped-by", [("variant", v.to_string())])));
    if verdict.cannot_be_made_suitable {
        know.push(Phrase::new("allergen.flour-in-the-air", []));
    }
    Verdict {
        lesson: names.lesson(&verdict.lesson),
        what: Vec::new(),
        verdict: verdict.verdict.word().to_owned(),
        variant: verdict.variant.as_ref().map_or_else(String::new, |v| v.as_str().to_owned()),
        because: verdict.by.iter().map(|i| names.item(i)).collect(),
        know,
    }
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
fn cross_contact(names: &Names<'_>, class: &Class, made: &[LessonContents]) -> Vec<CrossContact> {
    let avoided: BTreeSet<&AllergenId> = class.stations.iter().flat_map(|s| &s.avoids).collect();
    let mut notes: Vec<CrossContact> = Vec::new();
    for what in avoided {
        for lesson in made.iter().filter(|m| m.held.verdict(what).0 > Held::SharedKitchen) {
            let at: Vec<String> = lesson.stations.iter().map(ToString::to_string).collect();
            if at.is_empty() {
                continue;
            }
            let (what, lesson) = (names.list_word(what), names.lesson(&lesson.lesson));
            // Those that make it another way stand in the same line.
            match notes.iter_mut().find(|n| (&n.what, &n.lesson) == (&what, &lesson)) {
                Some(there) => there.stations.extend(at),
                None => notes.push(CrossContact { what, lesson, stations: at }),
            }
        }
    }
    notes
}

fn why(why: Avoidance) -> &'static str {
    match why {
        Avoidance::Choice => "choice",
        Avoidance::Religion => "religion",
        Avoidance::Intolerance => "intolerance",
        Avoidance::Coeliac => "coeliac",
        Avoidance::Allergy => "allergy",
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
    let (what, which, probe) = match &line.what {
        What::ColdPlace(id) => {
            let (name, word) = cold_place(names.course, id);
            (name, word.map(|w| Phrase::new(w, [])), "cold-place")
        }
        What::Trays(cold) => {
            let what = cold.iter().map(|i| names.item(i)).collect::<Vec<_>>().join(", ");
            (String::new(), Some(Phrase::new("log.trays", [("what", what)])), "trays")
        }
        What::Part(lesson, part, variant, _, group) => {
            (names.part(lesson, part, variant.as_ref()), pan(group), "thickest")
        }
        What::Mixed(lesson, part, no) => {
            let which = Phrase::new("log.batch", [("n", no.to_string())]);
            (names.part(lesson, part, None), Some(which), "middle")
        }
        What::Load(lesson, no) => {
            (names.lesson(lesson), Some(Phrase::new("oven.load", [("n", no.to_string())])), "largest")
        }
        What::Out(lesson, part) => {
            (names.part(lesson, part, None), Some(Phrase::new("log.from-now", [])), "")
        }
    };
    let within = match (&line.what, line.within) {
        (What::Out(..), Some((span, passes))) => {
            let word = match passes {
                Passes::Less => "log.used-before",
                Passes::UpTo => "log.used-within",
            };
            Some(Phrase::new(word, [("time", span.to_string())]))
        }
        (What::Out(..), None) if line.row == Some("uk-chill-handling") => {
            Some(Phrase::new("log.justify", []))
        }
        (_, Some((span, _))) => Some(Phrase::new("log.within", [("time", span.to_string())])),
        (_, None) => line.hold.map(|seconds| Phrase::new("log.hold", [("n", seconds.to_string())])),
    };
    // What has no limit cannot be out of it.
    let timeless = matches!(line.what, What::Out(..)) && line.within.is_none();
    Reading {
        at: line.at.datetime().into(),
        what,
        which,
        probe: probe.to_owned(),
        limit: limit.to_owned(),
        values: values.into_iter().map(|at| measure(at, units)).collect(),
        within,
        unattended: line.unattended,
        if_out: if timeless { String::new() } else { if_out(line.if_out).to_owned() },
        source: line.row.and_then(row).map_or_else(String::new, |r| r.source()),
    }
}

/// A cold place by its name, or by the word that all sheets have for it where there is only one of its kind.
fn cold_place(course: &Course, id: &EquipId) -> (String, Option<&'static str>) {
    let only = |all: &[Shelves]| all.len() == 1 && all[0].id.value == *id;
    if only(&course.kitchen.cold) {
        (String::new(), Some("log.cold"))
    } else if only(&course.kitchen.freezers) {
        (String::new(), Some("log.freezer"))
    } else {
        (spoken(id.as_str()), None)
    }
}

/// Whose pan it is; one of the whole class needs no word.
fn pan(group: &Group) -> Option<Phrase> {
    match group {
        Group::Station(no) => Some(Phrase::new("log.station", [("n", no.to_string())])),
        Group::Batch(no) => Some(Phrase::new("log.batch", [("n", no.to_string())])),
        Group::Stage(..) => Some(Phrase::new("log.stage", [])),
        Group::Spare => Some(Phrase::new("log.spare", [])),
        Group::Class(_) | Group::Load(_) | Group::Session(_) => None,
    }
}

fn measure(at: Celsius, units: Units) -> Measure {
    let shown = said(Said::Temperature(at), units);
    let text = |key: &str| shown[key].as_str().unwrap_or_default().to_owned();
    Measure::new(text("value"), text("unit"))
}

const fn if_out(what: IfOut) -> &'static str {
    match what {
        IfOut::MoveFood => "move-food",
        IfOut::HeatOn => "heat-on",
        IfOut::ReheatOnceOrThrowAway => "reheat-once",
        IfOut::ThrowAway => "throw-away",
        IfOut::BakeOn => "bake-on",
        IfOut::NoteIt => "note-it",
    }
}
