//! All of it in order, once: every command asks here, so that no two of them can disagree.
//!
//! ```text
//! files -> reading -> formulas -> class -> portions -> options -> plan -> weigh-out, order, costs, equipment
//! ```
//! Pure: the same files and the same question give the same answer. A course with an error is looked through as far as that makes
//! sense, so that all its mistakes are told at once, but it is not planned, unless all its errors are about what a person avoids.

pub mod accepting;
pub mod at_once;
pub mod board;
pub mod codes;
pub mod data_files;
pub mod mails;
pub mod memo;
mod planning;
pub mod printing;
pub mod why;

use crate::course::limits::PIECES;
use crate::course::{At, Course, ItemId, Lesson, LessonId, PartId};
use crate::finding::{Finding, Level, Sources};
use crate::output::order_mail;
use crate::read::{FileTree, read_course};
use crate::reckon::busy::busy;
use crate::reckon::class::seat;
use crate::reckon::cost::{Costs, costs};
use crate::reckon::dough_temperature::batches::{MixedBatch, batch_temperatures};
use crate::reckon::drawn::left_out;
use crate::reckon::formula_findings::{findings_while_errors, formula_findings};
use crate::reckon::longer_than_class::longer_than_class;
use crate::reckon::loose_parts::loose_parts;
use crate::reckon::never_hot::never_hot;
use crate::reckon::options::{options, preferred};
use crate::reckon::order::{Order, days, order};
use crate::reckon::people::whole_class;
use crate::reckon::places::{Places, places};
use crate::reckon::plan::chance::{self, Odds};
use crate::reckon::plan::choose::{Effort, Planned};
use crate::reckon::plan::conflict::Conflict;
use crate::reckon::plan::former::still_holds;
use crate::reckon::plan::timetable::Plan;
use crate::reckon::pull_list::{Equipment, Need, Sort, equipment};
use crate::reckon::recipes::Recipes;
use crate::reckon::rounding_findings::rounding_findings;
use crate::reckon::safety::findings::way_out_after_trying;
use crate::reckon::safety::judge::{Phase, Verdict};
use crate::reckon::safety::{NEVER_ACCEPTED, STOPS, Safety, levers, safety};
use crate::reckon::scale::{pieces_of, portions};
use crate::reckon::severe::severe_in_the_kitchen;
use crate::reckon::shown_days::shown_long_before;
use crate::reckon::sizes::sizes;
use crate::reckon::stand_in::replace;
use crate::reckon::weigh::{WeighOut, weigh};
use crate::reckon::work::{Choice, Class, Options, Portion};
use crate::typeset::views::accepted::AcceptedFinding;
use crate::typeset::{Kind, Overseer, Printed};
use jiff::civil::DateTime;
use memo::Memo;
pub use planning::seldom_on_time;
use printing::{Lent, documents, documents_again};

/// What is asked beside the folder.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Asked {
    /// What if so many came; `None`: those on the roll.
    pub headcount: Option<u32>,
    /// The local moment at which is asked, where it matters what is too late to order or to cancel; `None`: nothing is.
    pub now: Option<DateTime>,
    /// What if this ingredient were replaced by that stand-in?
    pub instead: Option<(ItemId, ItemId)>,
    /// It is about the people alone: nothing is planned, and what hangs on the plan is as it would be preferred.
    pub unplanned: bool,
}

/// Somebody who watches long work, and oversees the templates.
pub trait Watch: Overseer {
    /// A stage of the work begins: its words, and how many pieces it has; 0: nobody knows.
    fn stage(&self, words: &str, pieces: usize);
    /// One piece is done.
    fn one(&self);
}

/// Nobody watches.
pub struct Unwatched;

impl Overseer for Unwatched {
    fn begins(&self, _: &str) {}
    fn ends(&self, _: &str) {}
}

impl Watch for Unwatched {
    fn stage(&self, _: &str, _: usize) {}
    fn one(&self) {}
}

/// A course with everything that was reckoned from it.
#[derive(Debug)]
pub struct Reckoned {
    /// What the teacher wrote down.
    pub course: Course,
    /// Who comes, seated.
    pub class: Class,
    /// How much of each part is made, for whom.
    pub portions: Vec<Portion>,
    /// What the plan chose among.
    pub options: Options,
    /// The plan.
    pub planned: Planned,
    /// Why nothing fits, where that was looked for and found.
    pub conflict: Option<Conflict>,
    /// The batches, loads and bowls: the plan's, or without one the preferred ones.
    pub choice: Choice,
    /// What everybody weighs.
    pub weighed: WeighOut,
    /// What is bought.
    pub order: Order,
    /// What it costs.
    pub costs: Costs,
    /// What is got out, and what is short.
    pub equipment: Equipment,
    /// What stands where at the fullest moment.
    pub places: Places,
    /// Time and temperature.
    pub safety: Safety,
    /// What the teacher accepts, for the sheets that it concerns.
    pub accepted: Vec<AcceptedFinding>,
}

/// So often are the durations drawn for the chance that a session ends on time: on the sheets, on the screen and in the files.
pub const DRAWS: u32 = 1000;

impl Reckoned {
    /// How sure the plan is; `None` without one.
    #[must_use]
    pub fn odds(&self) -> Option<Odds> {
        let plan = self.planned.plan.as_ref()?;
        chance::odds(&self.course, &self.class, &self.portions, plan, DRAWS)
    }

    /// The dough temperature of each mix.
    #[must_use]
    pub fn mixes(&self) -> Vec<MixedBatch> {
        let (recipes, _) = Recipes::of(&self.course);
        batch_temperatures(&self.course, &recipes, &self.choice, self.planned.plan.as_ref())
    }
}

/// Errors with which everything can be reckoned and nothing is printed.
const NOT_PRINTED: &[&str] = &["places-short"];

/// What came of a folder.
#[derive(Debug)]
pub struct Outcome {
    /// The files that were read, so that places can be shown.
    pub sources: Sources,
    /// Everything there is to tell.
    pub findings: Vec<Finding>,
    /// The numbers; `None` when the course has errors.
    pub reckoned: Option<Reckoned>,
}

impl Outcome {
    /// Whether anything told is an error.
    #[must_use]
    pub fn has_errors(&self) -> bool {
        self.findings.iter().any(|f| f.level == Level::Error)
    }

    /// Whether an error leaves nothing to reckon with. What concerns a person leaves everything: the teacher needs the numbers
    /// and the sheets of a class in which somebody must be told something. So do places that are short: those who are seated
    /// are reckoned with, so that everything else is told at once.
    fn makes_numbers_meaningless(&self) -> bool {
        let leaves_them = |code: &str| NEVER_ACCEPTED.contains(&code) || NOT_PRINTED.contains(&code);
        self.findings.iter().any(|f| f.level == Level::Error && !leaves_them(f.code.0))
    }

    /// Whether food would be out of its limits, which stops the printing unless the course accepts it with a reason, or the
    /// class is larger than its room, or there is no plan, not even a late one, so that no sheet has a time.
    #[must_use]
    pub fn stops_printing(&self) -> bool {
        if self.reckoned.as_ref().is_some_and(|r| r.planned.plan.is_none()) {
            return true;
        }
        let stops = |code: &str| STOPS.contains(&code) || NOT_PRINTED.contains(&code);
        self.findings.iter().any(|f| f.level == Level::Error && stops(f.code.0))
    }
}

/// Reads and reckons a course and typesets its documents, of these kinds or without any all usual ones: `prepare` but for the
/// writing. Nothing is typeset that must not be printed.
#[must_use]
pub fn produce(
    files: &FileTree,
    asked: Asked,
    lent: Lent<'_>,
    only: &[Kind],
    watch: &dyn Watch,
) -> (Outcome, Vec<Printed>) {
    produced(files, asked, lent, None, (only, only.is_empty()), watch)
}

/// All that there is to tell of a course, of its pages too: what `check` does. A pack repeats sheets that are looked at one by
/// one, so none is made; unless the course brings a pack's template.
#[must_use]
pub fn look_over(files: &FileTree, asked: Asked, lent: Lent<'_>, watch: &dyn Watch) -> Outcome {
    let own_pack = files.overrides().contains_key(&format!("templates/{}.typ", Kind::Pack));
    let looked = |kind: &Kind| kind.is_usual() && (own_pack || *kind != Kind::Pack);
    let kinds: Vec<Kind> = Kind::ALL.iter().copied().filter(looked).collect();
    produced(files, asked, lent, None, (&kinds, true), watch).0
}

/// The same, all usual documents, again and again: those are typeset of which something has changed since the last time.
#[must_use]
pub fn produce_again(
    files: &FileTree,
    lent: Lent<'_>,
    memo: &Memo,
    watch: &dyn Watch,
) -> (Outcome, Vec<Printed>) {
    produced(files, Asked::default(), lent, Some(memo), (&[], true), watch)
}

fn produced(
    files: &FileTree,
    asked: Asked,
    lent: Lent<'_>,
    memo: Option<&Memo>,
    (only, with_board): (&[Kind], bool),
    watch: &dyn Watch,
) -> (Outcome, Vec<Printed>) {
    let mut outcome = reckon(files, asked, watch);
    if outcome.stops_printing() {
        return (outcome, Vec::new());
    }
    let Some(reckoned) = &outcome.reckoned else { return (outcome, Vec::new()) };
    let (printed, found) = match memo {
        Some(memo) => documents_again(reckoned, files, lent, memo, &mut outcome.sources, watch),
        None => documents(reckoned, files, lent, only, &mut outcome.sources, watch),
    };
    watch.begins(order_mail::TEMPLATE);
    outcome.findings.extend(mails::mails(reckoned, files, &mut outcome.sources).err().map(|f| *f));
    watch.ends(order_mail::TEMPLATE);
    outcome.findings.extend(found);
    outcome.findings.extend(reckoned.odds().map_or_else(Vec::new, |odds| seldom_on_time(reckoned, &odds)));
    if with_board {
        watch.begins(board::TEMPLATE);
        outcome.findings.extend(board::board(reckoned, files).and_then(Result::err).map(|f| *f));
        watch.ends(board::TEMPLATE);
    }
    accepting::accept(&reckoned.course, &mut outcome.findings, &outcome.sources);
    let unused = accepting::unused(&reckoned.course, &outcome.findings, &outcome.sources);
    outcome.findings.extend(unused);
    (outcome, printed)
}

/// Reads and reckons a course.
#[must_use]
pub fn reckon(files: &FileTree, asked: Asked, watch: &dyn Watch) -> Outcome {
    reckon_as(files, &|_| asked.clone(), watch)
}

/// The same with a question that depends on the course: a moment in its time zone.
#[must_use]
pub fn reckon_as(files: &FileTree, asked: &dyn Fn(&Course) -> Asked, watch: &dyn Watch) -> Outcome {
    reckon_with(files, asked, None, watch)
}

/// The same; where a former plan is given it is taken and none is looked for, and where it does not hold any more nothing is reckoned.
fn reckon_with(
    files: &FileTree,
    asked: &dyn Fn(&Course) -> Asked,
    former: Option<&Plan>,
    watch: &dyn Watch,
) -> Outcome {
    watch.stage("reading", 0);
    let reading = read_course(files);
    let mut outcome = Outcome { sources: reading.sources, findings: reading.findings, reckoned: None };
    let Some(mut course) = reading.course else {
        let beside = reading.draft.map(|draft| findings_while_errors(&draft, &outcome.findings));
        outcome.findings.extend(beside.unwrap_or_default());
        return outcome;
    };
    let asked = asked(&course);
    let taken = course.settings.instead.clone();
    let asked_for =
        asked.instead.iter().map(|(item, other)| (At::assumed(item.clone()), At::assumed(other.clone())));
    for (item, other) in taken.into_iter().chain(asked_for) {
        outcome.findings.extend(replace(&mut course, &item, &other).err().map(|f| *f));
    }
    watch.stage("scaling", 0);
    outcome.findings.extend(Recipes::of(&course).1);
    outcome.findings.extend(formula_findings(&course));
    outcome.findings.extend(loose_parts(&course));
    outcome.findings.extend(left_out(&course));
    outcome.findings.extend(sizes(&course));
    outcome.findings.extend(longer_than_class(&course));
    let (class, found) = seat(&course, asked.headcount);
    outcome.findings.extend(found);
    outcome.findings.extend(whole_class(&course, &class, &Recipes::of(&course).0));
    let over: Vec<Finding> = course.lessons.iter().filter_map(|lesson| too_many(lesson, &class)).collect();
    if !over.is_empty() {
        outcome.findings.extend(over);
        return outcome;
    }
    let portions = portions(&course, &class);
    let (options, found) = options(&course, &class, &portions);
    outcome.findings.extend(found);
    outcome.findings.extend(never_hot(&course, &options));
    outcome.findings.extend(accepting::unknown(&course));
    if outcome.makes_numbers_meaningless() {
        accepting::accept(&course, &mut outcome.findings, &outcome.sources);
        return outcome;
    }
    let (planned, conflict) = if asked.unplanned {
        (Planned::given(None), None)
    } else if let Some(former) = former {
        let Some(plan) = still_holds(former, &course, &class, &portions, &options) else { return outcome };
        (Planned::given(Some(plan)), None)
    } else {
        let (planned, conflict, found) = planning::planned(&course, (&class, &portions, &options), watch);
        outcome.findings.extend(found);
        (planned, conflict)
    };
    let plan = planned.plan.as_ref();
    let choice = plan.map_or_else(|| preferred(&course, &options, &portions), |plan| plan.choice.clone());
    watch.stage("weighing out and ordering", 0);
    let weighed = weigh(&course, &class, &portions, &choice);
    outcome.findings.extend(rounding_findings(&course, &weighed));
    let Some(days) = days(&course) else { return outcome };
    let (order, found) = order(&course, &weighed.totals, class.headcount, &days, asked.now);
    outcome.findings.extend(found);
    let pieces = |lesson: &Lesson| pieces_of(lesson, &class).iter().map(|(_, pieces)| pieces).sum();
    let pieces = course.lessons.iter().map(|l| (l.id.value.clone(), pieces(l))).collect();
    let costs = costs(&course, &weighed, &order, &pieces);
    let (equipment, found) = equipment(&course, &class, &choice, plan.map(|p| busy(&course, p)).as_ref());
    outcome.findings.extend(found.into_iter().map(|f| surely_short(f, &equipment, &asked, plan.is_some())));
    let places = plan.map_or_else(Places::default, |plan| places(&course, &class, &portions, plan));
    outcome.findings.extend(crate::reckon::places::findings(&course, &places));
    outcome.findings.extend(plan.map_or_else(Vec::new, |plan| shown_long_before(&course, plan)));
    outcome.findings.extend(severe_in_the_kitchen(&course, &class, &Recipes::of(&course).0, plan));
    let (mut safety, found) = safety(&course, &class, plan);
    outcome.findings.extend(found);
    if safety.exposures.iter().any(|e| e.judged.verdict == Verdict::Over) && plan.is_some_and(|p| p.fits) {
        watch.stage("trying ways to keep it cold", 0);
        safety.levers = levers::tried(&course, &class, asked.headcount, &safety, Effort::default());
        say_levers(&course, &safety, &mut outcome.findings);
    }
    accepting::accept(&course, &mut outcome.findings, &outcome.sources);
    let accepted = accepting::printed(&course, &outcome.findings);
    outcome.reckoned = Some(Reckoned {
        course,
        class,
        portions,
        options,
        planned,
        conflict,
        choice,
        weighed,
        order,
        costs,
        equipment,
        places,
        safety,
        accepted,
    });
    outcome
}

/// What was tried for a food that is out for too long stands in its way out.
fn say_levers(course: &Course, safety: &Safety, findings: &mut [Finding]) {
    let name =
        |(lesson, part, phase): (&LessonId, &PartId, Phase)| format!("{lesson}.{part}.{}", phase.word());
    for finding in findings.iter_mut().filter(|f| f.code.0 == "out-of-cold-too-long") {
        let is_it = |of: String| finding.about.as_deref() == Some(of.as_str());
        let of = safety.levers.iter().filter(|t| is_it(name((&t.lesson, &t.part, t.phase))));
        let helps: Vec<String> = of.filter(|t| t.helps()).map(levers::Tried::text).collect();
        let over = safety.exposures.iter().find(|e| is_it(name((&e.lesson, &e.part, e.phase))));
        if let Some(over) = over {
            finding.way_out = Some(way_out_after_trying(course, over, &helps));
        }
    }
}

/// More pieces of a lesson than are shared out in a reasonable time.
fn too_many(lesson: &Lesson, class: &Class) -> Option<Finding> {
    let pieces = pieces_of(lesson, class).iter().fold(0_u32, |all, (_, pieces)| all.saturating_add(*pieces));
    (pieces > PIECES).then(|| {
        let message = format!(
            "`{}` makes {pieces} pieces in this class; {PIECES} is the most that is believed",
            lesson.id.value
        );
        Finding::error("more-than-believed", lesson.makes.pieces.place, message)
            .way_out("write fewer pieces for each, or make several courses of it")
    })
}

/// Stations are wanted all at once in every plan: where there is none, too few of them are no less certain for that.
fn surely_short(finding: Finding, equipment: &Equipment, asked: &Asked, planned: bool) -> Finding {
    let station = |need: &&Need| need.sort == Sort::Station && need.short > 0;
    let short = equipment.needs.iter().find(station);
    let is_it = short.is_some_and(|need| need.place.is_some() && need.place == finding.place);
    if finding.code.0 == "short-of" && is_it && !planned && !asked.unplanned {
        return Finding { level: Level::Error, ..finding };
    }
    finding
}
