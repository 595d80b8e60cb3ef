//! What may stand out how long, and who avoids what, for programs.

use super::moment;
use super::scale::whom;
use crate::course::{AllergenId, Avoidance, Course, ItemId, Severity};
use crate::reckon::list_words::named;
use crate::reckon::people::{LessonContents, PersonVerdict, contents, people};
use crate::reckon::recipes::Recipes;
use crate::reckon::safety::Safety;
use crate::reckon::safety::cooling::Cooling;
use crate::reckon::safety::dates::DateMark;
use crate::reckon::safety::exposures::Exposure;
use crate::reckon::safety::levers::Tried;
use crate::reckon::safety::rules::row;
use crate::reckon::work::Class;
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};

/// What `safety` answers.
#[derive(Serialize, Debug)]
pub struct SafetyView {
    /// The rule set; `None`: the course names none, and verdicts are unknown.
    pub rule_set: Option<RuleSetView>,
    /// Time out of the cold.
    pub exposures: Vec<ExposureView>,
    /// Coolings.
    pub coolings: Vec<CoolingView>,
    /// Date marks.
    pub date_marks: Vec<DateMarkView>,
    /// For what is out for too long: cold rests that were tried by planning again.
    pub levers: Vec<LeverView>,
    /// The allergen list whose words stand in `named`.
    pub allergen_list: String,
    /// What is in each lesson's piece, by the variants that are made.
    pub allergens: Vec<AllergensView>,
    /// Who avoids what. For the teacher alone.
    pub people: Vec<PersonView>,
}

/// A rule set.
#[derive(Serialize, Debug)]
pub struct RuleSetView {
    /// Its id.
    pub id: &'static str,
    /// Where it holds, and what it is published in.
    pub title: String,
    /// The cold limit in degC; `None`: it has none.
    pub cold_max_c: Option<f64>,
}

/// Time out of the cold of one part.
#[derive(Serialize, Debug)]
pub struct ExposureView {
    /// The lesson.
    pub lesson: String,
    /// The part.
    pub part: String,
    /// `raw`, `cooked`, `baked`.
    pub phase: &'static str,
    /// Whose pieces have it worst.
    pub group: String,
    /// Minutes above the limit; `None`: unknown. For raw dough those above 21.1 degC.
    pub minutes: Option<i64>,
    /// Of these, minutes in the cold until it can be cold again, as nobody has read it; `None`: unknown, and for raw dough.
    pub cooling_minutes: Option<i64>,
    /// Minutes at a stretch, without the cooling after it.
    pub longest_minutes: Option<i64>,
    /// For raw dough: minutes from 10 to 21.1 degC.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cool_minutes: Option<i64>,
    /// The limit; `None`: no figure.
    pub limit_minutes: Option<i64>,
    /// The operator that passes.
    pub compare: Option<&'static str>,
    /// `ok`, `warn`, `over`, `unknown`.
    pub verdict: &'static str,
    /// The row that decides.
    pub rule: &'static str,
    /// Its rule set.
    pub rule_set: &'static str,
    /// Its publication and edition.
    pub edition: &'static str,
    /// Where in it.
    pub section: &'static str,
    /// How far it is trusted: `published`, `memory`, `common-practice`.
    pub kind: &'static str,
    /// Why.
    pub because: String,
}

/// One cooling.
#[derive(Serialize, Debug)]
pub struct CoolingView {
    /// The lesson.
    pub lesson: String,
    /// The part.
    pub part: String,
    /// The variant of this pan.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub variant: Option<String>,
    /// Whose pan it is: `station-1`, `spare`, `class`.
    pub group: String,
    /// Off the fire.
    pub cooked: String,
    /// Minutes until it is in the cold; `None`: never.
    pub counter_minutes: Option<i64>,
    /// What must be reached by when.
    pub marks: Vec<MarkView>,
    /// The verdict.
    pub verdict: &'static str,
    /// The row.
    pub rule: &'static str,
    /// Why.
    pub because: String,
}

/// A mark of a cooling.
#[derive(Serialize, Debug)]
pub struct MarkView {
    /// By when.
    pub by: String,
    /// At most, in degC.
    pub at_most_c: f64,
}

/// A date mark.
#[derive(Serialize, Debug)]
pub struct DateMarkView {
    /// The lesson.
    pub lesson: String,
    /// The part.
    pub part: String,
    /// Made on.
    pub made: String,
    /// Used on.
    pub used: String,
    /// Last day; `None`: the rule set does not say.
    pub last: Option<String>,
    /// In the cold for more than a day.
    pub needs_mark: bool,
    /// The verdict.
    pub verdict: &'static str,
    /// The row.
    pub rule: Option<&'static str>,
}

/// A cold rest that was tried.
#[derive(Serialize, Debug)]
pub struct LeverView {
    /// The lesson.
    pub lesson: String,
    /// The part.
    pub part: String,
    /// The change and what came of it, in words.
    pub text: String,
    /// The class still fits.
    pub fits: bool,
    /// Minutes out of the cold then.
    pub minutes: Option<i64>,
    /// The verdict then.
    pub verdict: &'static str,
    /// It fits, and the food is no longer beyond its limit.
    pub helps: bool,
}

/// What is in a piece.
#[derive(Serialize, Debug)]
pub struct AllergensView {
    /// The lesson.
    pub lesson: String,
    /// The variant; left out for the formula itself.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub variant: Option<String>,
    /// The stations that make it.
    pub stations: Vec<u32>,
    /// Contains, by our words.
    pub contains: Vec<String>,
    /// May contain.
    pub may_contain: Vec<String>,
    /// Ingredients of which nothing was written.
    pub unknown: Vec<String>,
    /// What it contains, in the list's words.
    pub named: Vec<String>,
}

/// What a lesson is to someone who avoids one thing.
#[derive(Serialize, Debug)]
pub struct PersonView {
    /// The station.
    pub station: u32,
    /// The name, or the number on the roll.
    pub person: String,
    /// What is avoided.
    pub avoid: String,
    /// `allergy`, `coeliac`, `intolerance`, `choice`.
    pub why: &'static str,
    /// `airborne`, `severe`, `mild`, `not-stated`.
    pub severity: &'static str,
    /// The lesson.
    pub lesson: String,
    /// The variant that the station follows.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub variant: Option<String>,
    /// `contains`, `may-contain`, `shared-kitchen`, `none-listed`, `unknown`.
    pub verdict: &'static str,
    /// The ingredients that decide it.
    pub by: Vec<String>,
    /// Variants for which the verdict is better.
    pub helps: Vec<String>,
    /// No variant and no change of plan makes this class suitable.
    pub cannot_be_made_suitable: bool,
}

impl SafetyView {
    /// A view. Anonymous: numbers for names.
    #[must_use]
    pub fn of(course: &Course, class: &Class, safety: &Safety, anonymous: bool) -> Self {
        let (recipes, _) = Recipes::of(course);
        let list = course.settings.allergen_list.value.as_str();
        SafetyView {
            rule_set: safety.set.map(|s| RuleSetView {
                id: s.id,
                title: s.title(),
                cold_max_c: s.cold_max.map(|c| c.to_f64()),
            }),
            exposures: safety.exposures.iter().map(ExposureView::of).collect(),
            coolings: safety.coolings.iter().map(CoolingView::of).collect(),
            date_marks: safety.dates.iter().map(DateMarkView::of).collect(),
            levers: safety.levers.iter().map(LeverView::of).collect(),
            allergen_list: list.to_owned(),
            allergens: contents(course, class, &recipes).iter().map(|c| AllergensView::of(c, list)).collect(),
            people: people(course, class, &recipes)
                .iter()
                .map(|p| PersonView::of(course, p, anonymous))
                .collect(),
        }
    }
}

impl LeverView {
    fn of(tried: &Tried) -> Self {
        LeverView {
            lesson: tried.lesson.to_string(),
            part: tried.part.to_string(),
            text: tried.text(),
            fits: tried.fits,
            minutes: tried.out.map(|m| m.get()),
            verdict: tried.verdict.word(),
            helps: tried.helps(),
        }
    }
}

impl ExposureView {
    fn of(exposure: &Exposure) -> Self {
        let dough = exposure.set == "dough-benchmark";
        let judged = &exposure.judged;
        let row = row(judged.row);
        ExposureView {
            lesson: exposure.lesson.to_string(),
            part: exposure.part.to_string(),
            phase: exposure.phase.word(),
            group: whom(&exposure.whom),
            minutes: exposure.out.map(|o| if dough { o.warm_band.get() } else { o.minutes.get() }),
            cooling_minutes: exposure.out.filter(|_| !dough).map(|o| o.cooling.get()),
            longest_minutes: exposure.out.map(|o| o.longest.get()),
            cool_minutes: exposure.out.filter(|_| dough).map(|o| o.cool_band.get()),
            limit_minutes: judged.limit.map(|(limit, _)| limit.get()),
            compare: judged.limit.map(|(_, passes)| passes.sign()),
            verdict: judged.verdict.word(),
            rule: judged.row,
            rule_set: exposure.set,
            edition: row.map_or("", |r| r.edition),
            section: row.map_or("", |r| r.section),
            kind: row.map_or("", |r| r.kind.word()),
            because: judged.because.clone(),
        }
    }
}

impl CoolingView {
    fn of(cooling: &Cooling) -> Self {
        CoolingView {
            lesson: cooling.lesson.to_string(),
            part: cooling.part.to_string(),
            variant: cooling.variant.as_ref().map(ToString::to_string),
            group: cooling.group.to_string(),
            cooked: moment(&cooling.cooked),
            counter_minutes: cooling.on_the_counter.map(|m| m.get()),
            marks: cooling
                .marks
                .iter()
                .map(|(clock, by)| MarkView { by: moment(by), at_most_c: clock.to.to_f64() })
                .chain(
                    cooling
                        .read
                        .iter()
                        .map(|(most, by)| MarkView { by: moment(by), at_most_c: most.to_f64() }),
                )
                .collect(),
            verdict: cooling.judged.verdict.word(),
            rule: cooling.judged.row,
            because: cooling.judged.because.clone(),
        }
    }
}

impl DateMarkView {
    fn of(mark: &DateMark) -> Self {
        DateMarkView {
            lesson: mark.lesson.to_string(),
            part: mark.part.to_string(),
            made: mark.made.to_string(),
            used: mark.used.to_string(),
            last: mark.last.map(|d| d.to_string()),
            needs_mark: mark.needs_mark,
            verdict: mark.verdict.word(),
            rule: (!mark.row.is_empty()).then_some(mark.row),
        }
    }
}

impl AllergensView {
    fn of(made: &LessonContents, list: &str) -> Self {
        let words =
            |of: &BTreeMap<AllergenId, BTreeSet<ItemId>>| of.keys().map(ToString::to_string).collect();
        AllergensView {
            lesson: made.lesson.to_string(),
            variant: made.variant.as_ref().map(ToString::to_string),
            stations: made.stations.iter().map(|s| s.0).collect(),
            contains: words(&made.held.contains),
            may_contain: words(&made.held.may_contain),
            unknown: made.held.unknown.iter().map(ToString::to_string).collect(),
            named: made.held.contains.keys().map(|a| named(list, a)).collect(),
        }
    }
}

impl PersonView {
    fn of(course: &Course, verdict: &PersonVerdict, anonymous: bool) -> Self {
        PersonView {
            station: verdict.station.0,
            person: person(course, verdict.row, anonymous),
            avoid: verdict.avoids.what.value.to_string(),
            why: why(verdict.avoids.why),
            severity: severity(verdict.avoids.severity),
            lesson: verdict.lesson.to_string(),
            variant: verdict.variant.as_ref().map(ToString::to_string),
            verdict: verdict.verdict.word(),
            by: verdict.by.iter().map(ToString::to_string).collect(),
            helps: verdict.helps.iter().map(ToString::to_string).collect(),
            cannot_be_made_suitable: verdict.cannot_be_made_suitable,
        }
    }
}

/// A person's name, or the number of the row in the roll, counted from 1.
#[must_use]
pub fn person(course: &Course, row: usize, anonymous: bool) -> String {
    let name = course.roll.get(row).map(|p| p.name.value.trim()).filter(|n| !n.is_empty() && !anonymous);
    name.map_or_else(|| (row + 1).to_string(), ToOwned::to_owned)
}

/// The word for why, as the roll has it.
#[must_use]
pub fn why(why: Avoidance) -> &'static str {
    match why {
        Avoidance::Choice => "choice",
        Avoidance::Religion => "religion",
        Avoidance::Intolerance => "intolerance",
        Avoidance::Coeliac => "coeliac",
        Avoidance::Allergy => "allergy",
    }
}

/// The word for how severe.
#[must_use]
pub fn severity(severity: Severity) -> &'static str {
    match severity {
        Severity::Unknown => "not-stated",
        Severity::Mild => "mild",
        Severity::Severe => "severe",
        Severity::Airborne => "airborne",
    }
}
