//! Into which bowls and ovens that goes which is neither a batch nor a load: a step at a machine that is done once for the class, or by each
//! station. It has the limits that a batch and a load have.

use super::jobs::{Group, Job, Jobs, Picked, What};
use crate::course::{Area, Chain, Course, DoughClass, EquipId, Lesson, Oven, PartId, Step, Where};
use crate::finding::{Finding, Level};
use crate::reckon::mixers::{self, Bowl, Fit, Limit, bowls, class_of};
use crate::reckon::ovens::{AIR_BETWEEN_TINS, on_what, positions, trays_for};
use crate::reckon::recipes::Recipes;
use crate::reckon::scale::main_parts;
use crate::reckon::work::{Class, Options, Portion, Vessel};
use crate::units::{Centimetres, Grams};
use std::collections::{BTreeMap, BTreeSet};

use super::containers::{how_many, standing};

/// The bowl or the racks of each such job, by its id.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct MachineRoom {
    /// In what it is mixed; in none of no mixers where no bowl carries it.
    pub vessels: BTreeMap<String, Vessel>,
    /// The kinds of oven that it fits into, and the racks it takes in each; none where it fits into none.
    pub racks: BTreeMap<String, Vec<(EquipId, u32)>>,
}

/// What is too large for any machine, with its figures.
struct TooLarge {
    /// How much it is, to find the worst of a step.
    much: i64,
    finding: Finding,
}

/// A step, by the places of its lesson and itself, and what is told of it.
type Told = (Option<(usize, usize)>, &'static str);

impl MachineRoom {
    pub(super) fn of(jobs: &Jobs<'_>) -> MachineRoom {
        let mut room = MachineRoom::default();
        let mut recipes = None;
        for (job, lesson, step) in at_machines(jobs) {
            if step.place.value == Where::Mixer {
                let recipes = recipes.get_or_insert_with(|| Recipes::of(jobs.course).0);
                let bowl = InBowl::of(jobs, recipes, job, (lesson, step));
                room.vessels.insert(job.id.clone(), bowl.vessel());
            } else {
                let things = Things::of(jobs, job, (lesson, step));
                let ovens = jobs.course.kitchen.ovens.iter().filter(|oven| is_there(oven));
                let fits = ovens.filter_map(|oven| Some((oven.id.value.clone(), things.racks_in(oven)?)));
                room.racks.insert(job.id.clone(), fits.collect());
            }
        }
        room
    }
}

/// What is to be told of steps at machines that are done for the class or by each station: of those that no machine takes an error, and the
/// class has no plan then.
#[must_use]
pub fn findings(course: &Course, class: &Class, portions: &[Portion], options: &Options) -> Vec<Finding> {
    let mut picked = Picked::default();
    let first =
        options.splits.iter().filter_map(|(key, splits)| Some((key.clone(), splits.first()?.clone())));
    picked.splits.extend(first);
    let first = options.bakes.iter().filter_map(|(key, bakes)| Some((key.clone(), bakes.first()?.clone())));
    picked.bakes.extend(first);
    let jobs = Jobs::of(course, class, portions, &picked);
    let (recipes, _) = Recipes::of(course);
    // Of the stations of a step the one with most is told.
    let mut worst: BTreeMap<Told, (TooLarge, usize)> = BTreeMap::new();
    for (job, lesson, step) in at_machines(&jobs) {
        let told = if step.place.value == Where::Mixer {
            InBowl::of(&jobs, &recipes, job, (lesson, step)).told(job, (lesson, step))
        } else {
            Things::of(&jobs, job, (lesson, step)).told(course, job, (lesson, step))
        };
        let Some(told) = told else { continue };
        let known = worst.entry((job.step(), told.finding.code.0));
        known
            .and_modify(|(known, more)| {
                *more += 1;
                if told.much > known.much {
                    known.much = told.much;
                    known.finding = told.finding.clone();
                }
            })
            .or_insert((told, 0));
    }
    worst.into_values().map(|(told, more)| and_more(told.finding, more)).collect()
}

/// Whether some step is too large for every machine: of such a class there is no plan.
#[must_use]
pub fn too_large(course: &Course, class: &Class, portions: &[Portion], options: &Options) -> bool {
    findings(course, class, portions, options).iter().any(|finding| finding.level == Level::Error)
}

fn and_more(mut finding: Finding, more: usize) -> Finding {
    match more {
        0 => {}
        1 => finding.message.push_str("; and so it is of one more"),
        more => finding.message.push_str(&format!("; and so it is of {more} more")),
    }
    finding
}

/// The jobs at a mixer or in an oven that are neither of a batch nor of a load.
fn at_machines<'j, 'a>(
    jobs: &'j Jobs<'a>,
) -> impl Iterator<Item = (&'j Job, &'a Lesson, &'a Step)> + use<'j, 'a> {
    jobs.jobs.iter().filter_map(|job| {
        let (lesson, step) = jobs.step_of(job).filter(|(_, step)| !step.demo)?;
        let alone =
            matches!(job.what, What::Step(..)) && !matches!(job.group, Group::Batch(_) | Group::Load(_));
        (alone && matches!(step.place.value, Where::Mixer | Where::Oven)).then_some((job, lesson, step))
    })
}

/// What a job has in a bowl.
struct InBowl<'a> {
    grams: Grams,
    class: DoughClass,
    bowls: Vec<Bowl<'a>>,
    fit: Fit,
}

impl<'a> InBowl<'a> {
    fn of(jobs: &Jobs<'a>, recipes: &Recipes, job: &Job, (lesson, step): (&Lesson, &Step)) -> InBowl<'a> {
        let whole: Vec<&PartId> = jobs
            .course
            .formula(&lesson.formula.value)
            .map(|f| f.piece.amounts.iter().map(|(part, _)| &part.value).collect())
            .unwrap_or_default();
        let on_piece = step.on.iter().any(|chain| chain.value == Chain::Piece);
        let parts = if on_piece { whole } else { main_parts(recipes, lesson, step) };
        let (mut grams, mut classes) = (Grams::ZERO, BTreeSet::new());
        for part in parts {
            for group in mixers::members(recipes, lesson, jobs.portions, part) {
                let is_here = |n: &usize| job.members.iter().any(|(whom, _)| *whom == group.members[*n].whom);
                let here: Vec<usize> = (0..group.members.len()).filter(is_here).collect();
                if here.is_empty() {
                    continue;
                }
                grams += group.to_make(recipes, &lesson.formula.value, part, &here).0;
                classes.insert(class_of(jobs.course, recipes, lesson, part, group.variant.as_ref()));
            }
        }
        let class = classes.into_iter().max().unwrap_or(DoughClass::Rich);
        let bowls = bowls(jobs.course, class, &mut Vec::new());
        let fit = mixers::fit(&bowls, grams);
        InBowl { grams, class, bowls, fit }
    }

    /// What is taken for a mixer of which nobody wrote what it carries is no limit: it may carry more.
    fn perhaps(&self) -> Option<&Bowl<'a>> {
        let unwritten = self.bowls.iter().filter(|bowl| bowl.limit == Limit::Taken);
        unwritten.max_by_key(|bowl| bowl.most)
    }

    fn vessel(&self) -> Vessel {
        let id = |bowl: &Bowl<'_>| bowl.mixer.id.value.clone();
        match &self.fit {
            Fit::Bowls(kinds) => Vessel::Mixers(kinds.iter().map(|kind| id(&self.bowls[*kind])).collect()),
            Fit::Over => Vessel::Mixers(self.perhaps().map(id).into_iter().collect()),
            Fit::Under | Fit::Anything => Vessel::ByHand,
        }
    }

    fn told(&self, job: &Job, (lesson, step): (&Lesson, &Step)) -> Option<TooLarge> {
        let why = mixers::why(&self.bowls, self.class, self.grams, &self.fit);
        let what = format!("`{}.{}` for {}", lesson.id.value, step.id.value, whose(job));
        let finding = match (&self.fit, self.perhaps()) {
            (Fit::Over, Some(_)) => {
                let text = format!("{what}: {why}, and may be too much for it");
                let told = Finding::warning("no-bowl-carries-it", step.place.place, text);
                told.way_out(format!("write the mixer's `limit` from its manual; or {PER_BATCH}"))
            }
            (Fit::Over, None) => {
                let told = Finding::error("no-bowl-carries-it", step.place.place, format!("{what}: {why}"));
                told.way_out(format!("{PER_BATCH}; or bring a larger mixer"))
            }
            (Fit::Under, _) if step.by_hand.is_none() && !self.bowls.is_empty() => {
                let text = format!("{what}: {why}, and the step does not say how long that takes");
                let told = Finding::warning("no-time-by-hand", step.id.place, text);
                told.way_out("write it: `by-hand = \"20 to 30 min, usually 25\"`")
            }
            (Fit::Under, _) if !self.bowls.is_empty() => {
                let place = step.by_hand.as_ref().and_then(|by_hand| by_hand.place);
                Finding::note("made-by-hand", place, format!("{what}: {why}"))
            }
            _ => return None,
        };
        Some(TooLarge { much: self.grams.mg(), finding })
    }
}

const PER_BATCH: &str = "write `per = \"batch\"`, and it is split into what the mixers carry; or make less, or seat fewer at a station";

/// What a job has in an oven: how many of which size.
struct Things {
    what: String,
    count: u32,
    size: Area,
    height: Centimetres,
    between: Centimetres,
    /// Nothing says how large it is: each takes a rack.
    unknown: bool,
}

impl Things {
    fn of(jobs: &Jobs<'_>, job: &Job, (lesson, step): (&Lesson, &Step)) -> Things {
        let nothing = Area { width: Centimetres::ZERO, depth: Centimetres::ZERO };
        let on_piece = step.on.iter().any(|chain| chain.value == Chain::Piece);
        let formula = jobs.course.formula(&lesson.formula.value);
        if let Some(unit) = formula.filter(|_| on_piece).and_then(|f| on_what(jobs.course, f)) {
            let what = unit.what.as_ref().map_or_else(|| "pieces".to_owned(), |id| format!("of `{id}`"));
            let count = job.members.iter().map(|(_, pieces)| trays_for(&unit, *pieces)).sum();
            let (size, height, between) = (unit.size, unit.height, unit.between);
            return Things { what, count, size, height, between, unknown: false };
        }
        if let Some(one) = standing(jobs, job).first().filter(|_| !on_piece) {
            let size = Area { width: one.outside.width, depth: one.outside.depth };
            // What is as flat as a tray lies beside the next one.
            let flat = one.outside.height == Centimetres::ZERO;
            let between = if flat { Centimetres::ZERO } else { AIR_BETWEEN_TINS };
            let what = "things that it stands in".to_owned();
            return Things {
                what,
                count: one.count,
                size,
                height: one.outside.height,
                between,
                unknown: false,
            };
        }
        let count = if on_piece { job.pieces() } else { 1 };
        let (height, between) = (Centimetres::ZERO, Centimetres::ZERO);
        Things { what: "pieces".to_owned(), count, size: nothing, height, between, unknown: true }
    }

    /// How many go on one rack.
    fn on_rack(&self, oven: &Oven) -> u32 {
        if self.unknown { 1 } else { positions(oven, self.size, self.height, self.between).0 }
    }

    /// The racks that it takes; `None`: it does not fit in.
    fn racks_in(&self, oven: &Oven) -> Option<u32> {
        let on_rack = self.on_rack(oven);
        let racks = if on_rack == 0 { return None } else { self.count.div_ceil(on_rack) };
        (racks <= oven.racks.value).then_some(racks.max(1))
    }

    fn told(&self, course: &Course, job: &Job, (lesson, step): (&Lesson, &Step)) -> Option<TooLarge> {
        let ovens = || course.kitchen.ovens.iter().filter(|oven| is_there(oven));
        let most = ovens().max_by_key(|oven| self.on_rack(oven).saturating_mul(oven.racks.value))?;
        if ovens().any(|oven| self.racks_in(oven).is_some()) {
            return None;
        }
        let on_rack = self.on_rack(most);
        let text = format!(
            "`{}.{}` for {}: {} {} are more than the {} that `{}` takes at once, {on_rack} on each of {} racks",
            lesson.id.value,
            step.id.value,
            whose(job),
            self.count,
            self.what,
            on_rack.saturating_mul(most.racks.value),
            most.id.value,
            most.racks.value
        );
        let told = Finding::error("more-than-an-oven-takes", step.place.place, text);
        let finding = told.way_out(
            "write `per = \"load\"`, and it is split into what the ovens take; or look at the sizes in kitchen.toml",
        );
        Some(TooLarge { much: i64::from(self.count), finding })
    }
}

fn is_there(oven: &Oven) -> bool {
    how_many(oven.count.value, oven.loan.as_ref()) > 0
}

/// Whose it is, as a teacher says it.
fn whose(job: &Job) -> String {
    match &job.group {
        Group::Class(None) => "the class".to_owned(),
        Group::Class(Some(variant)) => format!("the class, `{variant}`"),
        Group::Station(no) => format!("station {no}"),
        Group::Stage(..) => "the demonstration".to_owned(),
        Group::Spare => "the spare".to_owned(),
        other => other.to_string(),
    }
}
