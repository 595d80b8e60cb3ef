//! The home recipe: one home batch in grams and measures that agree, and its own clock. Not the class's batch divided.
//!
//! What is otherwise at home: one cook, one small bowl, one rack, an oven without a fan, no warm cupboard, the home fridge.
//!
//! | in the class | at home | rests on |
//! | --- | --- | --- |
//! | a mix at its usual time | between its shortest and its usual time: little dough develops sooner | `mix-small-faster` (W. Gisslen, Professional Baking, 7th ed., p. 121), which gives no figure |
//! | an oven with a fan | the formula's own temperature; with a fan so much less | [`FAN_LESS`](super::ovens::FAN_LESS) |
//! | a proof in the warm | longer at room temperature, as an estimate | `y-17f` in [`super::yeast`] |
//! | tins for all | as many at once as stand on one rack of a home oven, the others wait in the cold | [`HOME_RACK`] |
//! | a bowl for the batch | so many bowls of dough | [`HOME_BOWL`] |
//! | a part made when hands are free | one that is kept cold no longer before its use than [`WAITS_AT_MOST`] | nobody writes at home where it waits |
//! | steps where the plan puts them | as soon as one cook can, and so late that nothing stands or waits beyond its longest | the lesson's `stands` and `carry` |
mod clock;
pub mod unbaked;

use super::dough_class::{Classified, classify};
use super::eggs::{EggNeed, EggPlan, one_egg, plan_eggs};
use super::formula::{PartAmounts, Proportions, piece_needs, with_variant};
use super::measures::{ByPacket, ByVolume, ByWeightOnly, by_packet, home_measure};
use super::rounding::{ScaleSteps, bent_by};
use super::work::Class;
use super::yeast::YeastKind;
use super::{composition, formula};
use crate::course::{
    Area, Basis, Course, DoughClass, Formula, FormulaId, Ingredient, Item, ItemKind, Lesson, LessonId, Part,
    PartId, StepId, Takes, VariantId, Where,
};
use crate::units::{Celsius, Centimetres, Grams, Minutes, Percent};
use clock::Clock;
use rust_decimal::Decimal;
use std::collections::BTreeSet;

/// What a home mixer of about 5 litres kneads: 2.17 kg of stiff yeast dough (row `mix-home-5l`, a maker's manual). Enriched and
/// rich dough take less: 1.5 and 1 kg, from memory of such manuals (`mix-home-limits`), so they only note.
pub const HOME_BOWL: [(DoughClass, Grams); 3] = [
    (DoughClass::Lean, Grams::from_mg(2_170_000)),
    (DoughClass::Enriched, Grams::from_mg(1_500_000)),
    (DoughClass::Rich, Grams::from_mg(1_000_000)),
];

/// The rack of a usual home oven: 45 x 36 cm, what goes into a niche of 60 cm. Our own assumption, printed beside the bake that rests on
/// it; it agrees with the planning figure of one or two tins at once (row `oven-capacity`, common practice). One rack is used: two
/// brown unevenly.
pub const HOME_RACK: Area = Area { width: Centimetres::whole(45), depth: Centimetres::whole(36) };

/// Longer than this a part that is kept cold, or that holds raw egg, does not wait at home for what takes it: it is made later. Our own
/// choice, far below what any rule allows out of the cold.
pub const WAITS_AT_MOST: Minutes = Minutes(60);

/// One line of the home recipe.
#[derive(Clone, PartialEq, Debug)]
pub struct HomeLine {
    /// What.
    pub what: Ingredient,
    /// As the formula says.
    pub exact: Grams,
    /// As a scale shows it.
    pub grams: Grams,
    /// In cups and spoons, with the error against `grams`; or why not. A part's line has none.
    pub volume: Option<Result<ByVolume, ByWeightOnly>>,
    /// In sticks or packets, where the pantry states them and that is within 10 %.
    pub packets: Option<ByPacket>,
    /// In whole eggs (or other things counted by the piece), where that is within 10 %: how many, and the error.
    pub pieces: Option<(i64, Percent)>,
}

/// One part of the home batch.
#[derive(Clone, PartialEq, Debug)]
pub struct HomePart {
    /// Which.
    pub part: PartId,
    /// Its lines in file order.
    pub lines: Vec<HomeLine>,
    /// The lines' grams together.
    pub weighed: Grams,
    /// What comes out of it.
    pub used: Grams,
    /// The least that the class's kitchen makes of it, where the home batch is less: at home the smallest pan will do.
    pub below_least: Option<Grams>,
}

/// One step at home, on the home recipe's own clock.
#[derive(Clone, PartialEq, Debug)]
pub struct HomeStep {
    /// The lesson's step.
    pub step: StepId,
    /// Where the class does it.
    pub place: Where,
    /// Starts so long after the first.
    pub from: Minutes,
    /// Ends, if it takes or stands as planned.
    pub to: Minutes,
    /// May stand until then at the latest, from its own start; `None` for work, or without limit.
    pub most: Option<Minutes>,
    /// It happens by itself.
    pub waits: bool,
    /// How long by hand, where the step says so.
    pub by_hand: Option<Takes>,
    /// Oven without a fan, and with one.
    pub heat: Option<(Celsius, Celsius)>,
    /// How often it is done one after the other, for want of room in the oven or a larger bowl. What waits for a second bake is kept cold.
    pub rounds: u32,
    /// Pieces that stand on [`HOME_RACK`] at once, where several are baked; `None`: nothing of several is baked, or the room is unknown.
    pub at_once: Option<u32>,
    /// The time is an estimate, reckoned for the home's temperature.
    pub estimate: bool,
    /// One cook cannot keep to what the lesson says: it stands longer by this clock, or what it takes up has waited longer.
    pub beyond: Option<Beyond>,
}

/// What is too long by the home recipe's clock.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Beyond {
    /// How long it stands, or what it takes up has waited.
    pub waits: Minutes,
    /// The longest by the lesson; [`WAITS_AT_MOST`] where `keep_cold`.
    pub most: Minutes,
    /// It stands too long itself; else what it takes up has waited too long for it.
    pub stood: bool,
    /// The lesson sets no limit: what it takes up is kept cold, and waits in the fridge for so long.
    pub keep_cold: bool,
}

impl HomeStep {
    /// How long one round of it takes.
    #[must_use]
    pub fn each(&self) -> Minutes {
        Minutes((self.to - self.from).get() / i64::from(self.rounds.max(1)))
    }

    /// Where it stands at home, if that is not the room: `cold`, `freezer`, `warm`. What is reckoned for a home's room stands there.
    #[must_use]
    pub fn stands_in(&self) -> Option<&'static str> {
        match self.place {
            Where::Cold => Some("cold"),
            Where::Freezer => Some("freezer"),
            Where::Warm if !self.estimate => Some("warm"),
            _ => None,
        }
    }
}

/// One home batch.
#[derive(Clone, PartialEq, Debug)]
pub struct HomeBatch {
    /// The formula with the variant's lines in place.
    pub formula: Formula,
    /// The variant.
    pub variant: Option<VariantId>,
    /// The lesson that times it.
    pub lesson: Option<LessonId>,
    /// How many pieces.
    pub pieces: u32,
    /// The parts, each after those that go into it.
    pub parts: Vec<HomePart>,
    /// Eggs to crack for all parts, and what is left; `None`: no egg in it, or an egg's weight is unknown.
    pub eggs: Option<EggPlan>,
    /// All its yeast of one kind; `None`: there is none, or of several kinds.
    pub yeast: Option<(YeastKind, Grams)>,
    /// The main dough's class; `None` where there is no dough.
    pub class: Option<Classified>,
    /// Into how many bowls a home mixer's dough is divided.
    pub bowls: u32,
    /// Less than a home mixer's hook catches: under 0.3 of what it can knead (row `mix-min`, common practice): by hand.
    pub too_little_for_the_hook: bool,
    /// The steps of the lesson with a home's times; empty without a lesson.
    pub steps: Vec<HomeStep>,
    /// Work of one's hands.
    pub hands_on: Minutes,
    /// From the first step to the end of the last.
    pub in_all: Minutes,
}

impl HomeBatch {
    /// The home batch of a formula, timed by the lesson that teaches it. `None`: no such variant, the formula's percentages do
    /// not resolve, or amounts too large to reckon with; each has its own finding elsewhere.
    pub fn of(
        course: &Course,
        formula: &Formula,
        lesson: Option<&Lesson>,
        variant: Option<&VariantId>,
    ) -> Option<HomeBatch> {
        let formula = match variant {
            Some(v) => with_variant(formula, v)?,
            None => formula.clone(),
        };
        let shares = Proportions::of(&formula, &course.pantry).ok()?;
        let pieces = formula.piece.home.value.max(1);
        let mut amounts: Vec<PartAmounts> = Vec::new();
        for (part, used) in piece_needs(&formula, pieces) {
            gather(shares.for_used(&part, used)?, &mut amounts);
        }
        let parts: Vec<HomePart> = amounts
            .iter()
            .map(|a| home_part(course, a, shares.part(&a.part).and_then(|p| p.least)))
            .collect();
        let main = main_dough(&formula);
        let class = main
            .and_then(|p| shares.overall(&p.id.value))
            .map(|all| classify(&composition::figures(&all, &course.pantry)));
        let dough = main
            .and_then(|p| amounts.iter().find(|a| a.part == p.id.value))
            .map_or(Grams::ZERO, |a| a.weighed);
        let limit =
            class.as_ref().and_then(|c| HOME_BOWL.iter().find(|(of, _)| *of == c.class)).map(|(_, g)| *g);
        let bowls = limit.map_or(1, |l| rounds_of(dough.mg(), l.mg()));
        let too_little = limit.is_some_and(|l| dough > Grams::ZERO && dough < l.ratio(3, 10));
        let clock = lesson.map(|l| Clock::of(course, &formula, l, pieces, bowls)).unwrap_or_default();
        Some(HomeBatch {
            eggs: eggs(course, &amounts),
            yeast: yeast(course, &amounts),
            lesson: lesson.map(|l| l.id.value.clone()),
            variant: variant.cloned(),
            pieces,
            parts,
            class,
            bowls,
            too_little_for_the_hook: too_little,
            hands_on: clock.steps.iter().filter(|s| !s.waits).map(|s| s.to - s.from).sum(),
            in_all: clock.in_all(),
            steps: clock.steps,
            formula,
        })
    }
}

/// The part that hydration, class and mixing are about: the first by flour that a piece takes directly.
pub fn main_dough(formula: &Formula) -> Option<&Part> {
    formula
        .piece
        .amounts
        .iter()
        .filter_map(|(id, _)| formula.part(&id.value))
        .find(|p| p.basis.value == Basis::Flour)
}

/// Puts a part and those inside it into the list, the inner ones first; one that is there already is added to.
fn gather(amounts: PartAmounts, all: &mut Vec<PartAmounts>) {
    let PartAmounts { inner, .. } = &amounts;
    for part in inner {
        gather(part.clone(), all);
    }
    match all.iter_mut().find(|a| a.part == amounts.part) {
        Some(there) => {
            for ((_, sum), (_, more)) in there.lines.iter_mut().zip(&amounts.lines) {
                *sum += *more;
            }
            there.weighed += amounts.weighed;
            there.used += amounts.used;
            there.needed += amounts.needed;
        }
        None => all.push(PartAmounts { inner: Vec::new(), ..amounts }),
    }
}

fn home_part(course: &Course, amounts: &PartAmounts, least: Option<Grams>) -> HomePart {
    let steps = ScaleSteps::of(&course.settings);
    let lines: Vec<HomeLine> = amounts
        .lines
        .iter()
        .map(|(what, exact)| {
            let item = match what {
                Ingredient::Item(id) => course.pantry.item(id),
                Ingredient::Part(_) => None,
            };
            // Nothing that is needed is rounded away.
            let step = steps.step(item, *exact);
            let near = exact.to_nearest(step);
            let grams = if near == Grams::ZERO && *exact > Grams::ZERO { step } else { near };
            HomeLine {
                what: what.clone(),
                exact: *exact,
                grams,
                volume: item.map(|i| home_measure(i, grams, course.settings.measures.value)),
                packets: item
                    .and_then(|i| by_packet(i, grams))
                    .filter(|p| p.error.number().abs() <= Decimal::TEN),
                pieces: item.and_then(|i| in_pieces(i, grams)),
            }
        })
        .collect();
    HomePart {
        part: amounts.part.clone(),
        weighed: lines.iter().map(|l| l.grams).sum(),
        lines,
        used: amounts.used,
        below_least: least.filter(|l| amounts.used < *l),
    }
}

/// A weight in whole pieces, where that is within 10 %.
fn in_pieces(item: &Item, grams: Grams) -> Option<(i64, Percent)> {
    let one = match item.kind.value {
        ItemKind::Egg => one_egg(item)?,
        _ => item.each.as_ref().map(|e| e.value).filter(|e| *e > Grams::ZERO)?,
    };
    let count = grams.to_nearest(one).mg() / one.mg();
    let error = bent_by(grams, one.times(count));
    (count > 0 && error.number().abs() <= Decimal::TEN).then_some((count, error))
}

/// Eggs for the whole batch. Whole egg, yolk and white of a pantry share the egg that the pantry describes.
fn eggs(course: &Course, amounts: &[PartAmounts]) -> Option<EggPlan> {
    let mut need = EggNeed::default();
    for (what, grams) in amounts.iter().flat_map(|a| &a.lines) {
        let Ingredient::Item(id) = what else { continue };
        match course.pantry.item(id).map(|i| i.kind.value) {
            Some(ItemKind::Egg) => need.whole += *grams,
            Some(ItemKind::Yolk) => need.yolk += *grams,
            Some(ItemKind::White) => need.white += *grams,
            _ => {}
        }
    }
    if need == EggNeed::default() {
        return None;
    }
    let one = course.pantry.items.iter().find(|i| i.kind.value == ItemKind::Egg).and_then(one_egg)?;
    plan_eggs(need, one)
}

/// The yeast of the whole batch.
fn yeast(course: &Course, amounts: &[PartAmounts]) -> Option<(YeastKind, Grams)> {
    let mut found: Option<(YeastKind, Grams)> = None;
    for (what, grams) in amounts.iter().flat_map(|a| &a.lines) {
        let Ingredient::Item(id) = what else { continue };
        let kind = match course.pantry.item(id).map(|i| i.kind.value) {
            Some(ItemKind::FreshYeast) => YeastKind::Fresh,
            Some(ItemKind::DryYeast) => YeastKind::ActiveDry,
            Some(ItemKind::InstantYeast) => YeastKind::Instant,
            _ => continue,
        };
        match &mut found {
            Some((one, _)) if *one != kind => return None,
            Some((_, sum)) => *sum += *grams,
            None => found = Some((kind, *grams)),
        }
    }
    found
}

/// The home batches of a class: each lesson's formula plain and with each variant that a station follows, then the formulas
/// that are wanted at home though no lesson makes them.
pub fn home_batches(course: &Course, class: &Class) -> Vec<HomeBatch> {
    let mut all = Vec::new();
    for lesson in &course.lessons {
        let Some(formula) = course.formula(&lesson.formula.value) else { continue };
        let followed = class.stations.iter().filter_map(|s| s.variants.get(&lesson.id.value));
        let variants: BTreeSet<Option<&VariantId>> = followed.map(Some).chain([None]).collect();
        all.extend(variants.into_iter().filter_map(|v| HomeBatch::of(course, formula, Some(lesson), v)));
    }
    all.extend(also_at_home(course).filter_map(|formula| HomeBatch::of(course, formula, None, None)));
    all
}

/// The formulas that are wanted at home though no lesson makes them. One that a lesson makes has its recipe from there, with its steps,
/// and needs no second one.
pub fn also_at_home(course: &Course) -> impl Iterator<Item = &Formula> {
    let is_taught = |id: &FormulaId| course.lessons.iter().any(|l| l.formula.value == *id);
    let also = course.settings.also_home.iter().map(|id| &id.value);
    also.filter(move |id| !is_taught(id)).filter_map(|id| course.formula(id))
}

/// How often something is done when only `at_once` go at one time; at least once.
fn rounds_of(all: i64, at_once: i64) -> u32 {
    if at_once <= 0 { 1 } else { u32::try_from((all + at_once - 1) / at_once).unwrap_or(1).max(1) }
}

/// The main dough's overall formula and figures, as a home recipe prints them.
pub fn figures_of(course: &Course, formula: &Formula) -> Option<(formula::Overall, composition::Figures)> {
    let shares = Proportions::of(formula, &course.pantry).ok()?;
    let all = shares.overall(&main_dough(formula)?.id.value)?;
    let figures = composition::figures(&all, &course.pantry);
    Some((all, figures))
}
