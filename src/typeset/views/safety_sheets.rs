//! Fills the allergen sheet from what was reckoned.

use super::allergen_sheet::{
    AllergenSheet, Avoided, Avoider, Before, Contents, CrossContact, Needs, OnRacks, Verdict,
};
use super::common::{About, ForWhom, Phrase};
use super::desk::runs;
use super::wording::spoken;
use crate::course::allergen_lists::list;
use crate::course::{
    AllergenId, Avoidance, Course, ItemId, LessonId, PartId, Severity, StationNo, VariantId, Where,
};
use crate::reckon::allergens::Verdict as Held;
use crate::reckon::list_words::{covers, named, uncovered};
use crate::reckon::machine_order::{is_oven, turns};
use crate::reckon::ovens::racked;
use crate::reckon::people::{LessonContents, PersonVerdict, contents, people};
use crate::reckon::plan::jobs::Group;
use crate::reckon::plan::timetable::{Plan, PlannedTask};
use crate::reckon::recipes::Recipes;
use crate::reckon::work::{Class, Whom};
use std::cmp::Reverse;
use std::collections::BTreeSet;

/// Text for people about one course: names for ids.
pub struct Names<'a> {
    /// The course.
    pub course: &'a Course,
}

impl Names<'_> {
    pub(super) fn lesson(&self, id: &LessonId) -> String {
        let lesson = self.course.lesson(id);
        let own = lesson.and_then(|l| l.name.as_ref()).map(|n| n.value.clone());
        let formula =
            || lesson.and_then(|l| self.course.formula(&l.formula.value)).map(|f| f.name.value.clone());
        own.or_else(formula).unwrap_or_else(|| id.as_str().to_owned())
    }
    pub(super) fn part(&self, lesson: &LessonId, part: &PartId, variant: Option<&VariantId>) -> String {
        let formula = self.course.lesson(lesson).and_then(|l| self.course.formula(&l.formula.value));
        let named = formula.and_then(|f| f.part(part)).and_then(|p| p.name.as_ref()).map(|n| n.value.clone());
        let part = named.unwrap_or_else(|| part.as_str().replace('-', " "));
        let lesson = self.lesson(lesson);
        match variant {
            Some(variant) => format!("{lesson}: {part}, {variant}"),
            None => format!("{lesson}: {part}"),
        }
    }
    pub(super) fn item(&self, id: &ItemId) -> String {
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
    /// What a task makes: `Walnut crown, mix` for its id; and for whom.
    fn task(&self, plan: &Plan, id: &str) -> (String, ForWhom) {
        let Some(task) = plan.task(id) else { return (id.to_owned(), ForWhom::default()) };
        let Some(lesson) = &task.lesson else { return (id.to_owned(), ForWhom::default()) };
        let step = self.course.lesson(lesson).and_then(|l| l.step(&task.step));
        let named = step.and_then(|s| s.name.as_ref()).map(|n| n.value.clone());
        let name = named.unwrap_or_else(|| spoken(task.step.as_str()));
        (format!("{}, {name}", self.lesson(lesson)), for_whom(&task.members))
    }
    /// The name of a mixer or an oven behind `oven-2`, with its number.
    fn machine(&self, resource: &str) -> String {
        let k = &self.course.kitchen;
        let mixers = k.mixers.iter().map(|m| (&m.id.value, m.count.value, &m.name));
        let ovens = k.ovens.iter().map(|o| (&o.id.value, o.count.value, &o.name));
        if let Some(tool) = k.tools.iter().find(|t| t.id.value.as_str() == resource) {
            return tool.name.as_ref().map_or_else(|| spoken(resource), |n| n.value.clone());
        }
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

fn for_whom(members: &[(Whom, u32)]) -> ForWhom {
    let mut stations: Vec<u32> = members
        .iter()
        .filter_map(|(whom, _)| match whom {
            Whom::Station(no) => Some(no.0),
            Whom::Stage { .. } | Whom::Spare => None,
        })
        .collect();
    stations.sort_unstable();
    stations.dedup();
    ForWhom {
        stations: runs(&stations),
        all: false,
        count: stations.len(),
        stage: members.iter().any(|(w, _)| matches!(w, Whom::Stage { .. })),
        spare: members.iter().any(|(w, _)| *w == Whom::Spare),
    }
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
            people: avoiders(&names, &all, &made, anonymous),
            needs: needs(&names, class, anonymous),
            lessons: made.iter().map(|m| contents_of(&names, m)).collect(),
            order: turns(course, class, plan)
                .iter()
                .map(|turn| (turn, names.task(plan, &turn.first), names.task(plan, &turn.then)))
                .map(|(turn, (first, first_for), (then, then_for))| Before {
                    at: turn.at.datetime().into(),
                    on: match turn.machine.as_str() {
                        // Keys of the catalogue's `[where]`.
                        place @ ("hob" | "bench") => place.to_owned(),
                        machine => names.machine(machine),
                    },
                    first,
                    first_for,
                    then,
                    then_for,
                    free_from: uncovered(turn.free_from.iter().map(|a| names.list_word(a)).collect()),
                    brings: uncovered(turn.brought.iter().map(|a| names.list_word(a)).collect()),
                    wash_up: turn.wash_up,
                    baked: is_oven(course, &turn.machine),
                    beside: turn.beside,
                    both_ways: turn.both_ways,
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
        found.extend(racked.apart.told().map(|(how, stations)| {
            let how = match how {
                "top-rack" => "top",
                "not-apart" => "not",
                how => how,
            };
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

fn avoiders(
    names: &Names<'_>,
    all: &[PersonVerdict],
    made: &[LessonContents],
    anonymous: bool,
) -> Vec<Avoider> {
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
            // A kind says nothing more where all of its category is avoided as gravely.
            let all = avoids.clone();
            let alike = |a: &Avoided, b: &Avoided| (&a.why, &a.severity) == (&b.why, &b.severity);
            avoids.retain(|a| !all.iter().any(|b| alike(a, b) && covers(&b.what, &a.what)));
            Avoider {
                name: names.person(row, anonymous),
                station: station.to_string(),
                avoids,
                harmed: own.iter().any(|v| harms(v)),
                told: names.course.roll.get(row).and_then(|p| p.told.as_ref()).map(|d| d.value.into()),
                verdicts: verdicts(names, &own, made),
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
fn verdicts(names: &Names<'_>, own: &[&PersonVerdict], made: &[LessonContents]) -> Vec<Verdict> {
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
            let line = line(names, verdict, made);
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
    for one in &mut all {
        one.what = uncovered(std::mem::take(&mut one.what));
        let told = one.know.clone();
        one.know.retain(|know| !told.iter().any(|other| says_more(other, know)));
    }
    all
}

/// Whether one sentence says of a whole category what the other says of a kind of it.
fn says_more(whole: &Phrase, kind: &Phrase) -> bool {
    let what = |p: &Phrase| p.values.get("what").cloned().unwrap_or_default();
    let rest = |p: &Phrase| {
        p.values.iter().filter(|(k, _)| *k != "what").map(|(_, v)| v.clone()).collect::<Vec<_>>()
    };
    whole.word == kind.word && rest(whole) == rest(kind) && covers(&what(whole), &what(kind))
}

/// What is to be said of one avoided thing in one lesson.
fn line(names: &Names<'_>, verdict: &PersonVerdict, made: &[LessonContents]) -> Verdict {
    let mut know = Vec::new();
    if verdict.verdict == Held::SharedKitchen {
        know.extend(in_the_room(names, made, &verdict.avoids.what.value));
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

/// In which products others have what is avoided in the room, by how sure that is: the pack is what one keeps one's hands off.
fn in_the_room(names: &Names<'_>, made: &[LessonContents], avoided: &AllergenId) -> Vec<Phrase> {
    let what = names.list_word(avoided);
    let words = [
        (Held::Contains, "allergen.room-contains"),
        (Held::MayContain, "allergen.room-may-contain"),
        (Held::Unknown, "allergen.room-unknown"),
    ];
    let said = words.into_iter().filter_map(|(held, word)| {
        let verdicts = made.iter().map(|m| m.held.verdict(avoided)).filter(|(verdict, _)| *verdict == held);
        let items: BTreeSet<String> = verdicts.flat_map(|(_, by)| by).map(|i| names.item(&i)).collect();
        let by = items.into_iter().collect::<Vec<_>>().join(", ");
        // Eggs hold egg: that is not said of them.
        let word = if held == Held::Contains && by.to_lowercase() == what.to_lowercase() {
            "allergen.room-is"
        } else {
            word
        };
        (!by.is_empty()).then(|| Phrase::new(word, [("what", what.clone()), ("by", by)]))
    });
    said.collect()
}

fn contents_of(names: &Names<'_>, made: &LessonContents) -> Contents {
    Contents {
        lesson: names.lesson(&made.lesson),
        variant: made.variant.as_ref().map_or_else(String::new, |v| v.as_str().to_owned()),
        stations: numbered(made.stations.iter().copied()),
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
    let mut notes: Vec<(String, String, Vec<StationNo>)> = Vec::new();
    for what in avoided {
        for lesson in made.iter().filter(|m| m.held.verdict(what).0 > Held::SharedKitchen) {
            if lesson.stations.is_empty() {
                continue;
            }
            let (what, name) = (names.list_word(what), names.lesson(&lesson.lesson));
            // Those that make it another way stand in the same line.
            match notes.iter_mut().find(|(w, l, _)| *w == what && *l == name) {
                Some((_, _, at)) => at.extend(&lesson.stations),
                None => notes.push((what, name, lesson.stations.clone())),
            }
        }
    }
    // Of a kind that is handled where all of its category is, nothing more is to be said.
    let all = notes.clone();
    let same = |a: &[StationNo], b: &[StationNo]| a.iter().all(|no| b.contains(no));
    notes.retain(|(what, lesson, at)| {
        !all.iter().any(|(w, l, by)| l == lesson && covers(w, what) && same(at, by))
    });
    let note =
        |(what, lesson, at): (_, _, Vec<StationNo>)| CrossContact { what, lesson, stations: numbered(at) };
    notes.into_iter().map(note).collect()
}

/// Stations in ascending order, runs drawn together.
fn numbered(stations: impl IntoIterator<Item = StationNo>) -> Vec<String> {
    let numbers: BTreeSet<u32> = stations.into_iter().map(|no| no.0).collect();
    runs(&numbers.into_iter().collect::<Vec<_>>())
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
