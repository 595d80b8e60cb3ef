//! What goes on each tray: what each station weighs itself, what is weighed once for several, what the teacher's stages take.
//!
//! A part that is mixed for several stations, made once for the class, or made ahead stands once, under `shared`; a station's
//! own list then says which batch it fetches and how heavy. Every amount is one that a scale can show, and stations +
//! demonstration + spare + shared are the totals, to the milligram.

mod lists;
mod rounds;
mod shares;

pub use shares::{Shares, shares};

use super::eggs::{eggs_with_breakage, one_egg};
use super::recipes::Recipes;
use super::work::{Choice, Class, Portion, Whom};
use crate::course::{Course, FormulaId, ItemId, ItemKind, LessonId, PartId, StationNo, StepId, VariantId};
use crate::units::Grams;
use std::collections::BTreeMap;

/// Who puts it on the scale.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum WeighedBy {
    /// The station, for itself.
    Station,
    /// Once, for the batch.
    Batch,
    /// Staff: made ahead, or for the teacher.
    Staff,
    /// Staff, if it has to be made ahead, or else those whom the step names: there is no plan that says which.
    Open,
}

impl WeighedBy {
    /// The word for it, the same on the terminal and in JSON.
    pub const fn word(self) -> &'static str {
        match self {
            WeighedBy::Station => "station",
            WeighedBy::Batch => "batch",
            WeighedBy::Staff => "staff",
            WeighedBy::Open => "station-or-staff",
        }
    }
}

/// One ingredient of a list.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Weight {
    /// The ingredient.
    pub item: ItemId,
    /// What the scale shows.
    pub grams: Grams,
    /// What the formula says.
    pub exact: Grams,
}

/// Something ready that is fetched: a part that was made elsewhere.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Fetch {
    /// The part.
    pub part: PartId,
    /// Its batch, where one is known.
    pub batch: Option<u32>,
    /// How heavy, as a scale can show it.
    pub grams: Grams,
}

/// What one group weighs, or fetches, of one part.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct List {
    /// The lesson.
    pub lesson: LessonId,
    /// Its formula.
    pub formula: FormulaId,
    /// The variant as far as it concerns the part.
    pub variant: Option<VariantId>,
    /// The part.
    pub part: PartId,
    /// The batch it is made in or fetched from.
    pub batch: Option<u32>,
    /// Who weighs it.
    pub weighed_by: WeighedBy,
    /// What is weighed, in the order of the formula; empty for a part that is fetched.
    pub ingredients: Vec<Weight>,
    /// Parts made elsewhere that go in: a scald, a preferment.
    pub fetches: Vec<Fetch>,
    /// Everything on the list together; for a fetched part its weight.
    pub total: Grams,
    /// What comes out of it, as a scale shows it: less than its total by what stays on hook, pan and bowl. Of what is fetched, its weight.
    pub used: Grams,
    /// How much more is made than is needed, because less cannot be made.
    pub surplus: Grams,
}

/// For whom a group of lists is.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Who {
    /// A station and how many students it has.
    Station(StationNo, u32),
    /// A stage of a demonstration.
    Stage {
        /// The lesson.
        lesson: LessonId,
        /// The demo that it serves.
        demo: StepId,
        /// Brought up to and with this step.
        up_to: StepId,
    },
    /// The spare pieces of a lesson.
    Spare(LessonId),
    /// Weighed once for these.
    Shared {
        /// The lesson.
        lesson: LessonId,
        /// The part.
        part: PartId,
        /// The batch.
        batch: u32,
        /// For whom.
        members: Vec<Whom>,
    },
}

/// The lists of one group.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Group {
    /// For whom.
    pub who: Who,
    /// Lessons in order, parts in the order of the piece.
    pub lists: Vec<List>,
}

/// How much of an ingredient the whole class takes.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Total {
    /// The ingredient.
    pub item: ItemId,
    /// All lists together.
    pub grams: Grams,
    /// The formulas' own sum, before any rounding.
    pub exact: Grams,
    /// Whole ones, where it is counted by the piece: eggs.
    pub whole: Option<u32>,
    /// Whole ones with so many more as the pantry allows for breakage; `None`: it allows for none, or is not counted.
    pub with_breakage: Option<u32>,
}

/// The whole weigh-out.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct WeighOut {
    /// How many come.
    pub headcount: u32,
    /// Stations in order.
    pub stations: Vec<Group>,
    /// The teacher's stages, each with its own amounts.
    pub demo: Vec<Group>,
    /// The spare pieces.
    pub spare: Vec<Group>,
    /// What is weighed once for several.
    pub shared: Vec<Group>,
    /// By ingredient, in the order of the pantry.
    pub totals: Vec<Total>,
}

impl WeighOut {
    /// Every group: stations, demonstration, spare, shared.
    pub fn groups(&self) -> impl Iterator<Item = &Group> {
        self.stations.iter().chain(&self.demo).chain(&self.spare).chain(&self.shared)
    }
}

/// The weigh-out of a class as the plan chose its batches. A part for which the choice names no batches is weighed by each group
/// for itself.
pub fn weigh(course: &Course, class: &Class, portions: &[Portion], choice: &Choice) -> WeighOut {
    let (recipes, _) = Recipes::of(course);
    let mut groups = lists::groups(course, &recipes, class, portions, choice);
    rounds::round(course, &mut groups);
    let mut sums: BTreeMap<&ItemId, (Grams, Grams)> = BTreeMap::new();
    for weight in groups.iter().flat_map(|g| &g.lists).flat_map(|l| &l.ingredients) {
        let sum = sums.entry(&weight.item).or_default();
        sum.0 += weight.grams;
        sum.1 += weight.exact;
    }
    let totals = course
        .pantry
        .items
        .iter()
        .filter_map(|item| sums.get(&item.id.value).map(|sum| (item, *sum)))
        .map(|(item, (grams, exact))| {
            let one = match item.kind.value {
                ItemKind::Egg => one_egg(item),
                _ => item.each.as_ref().map(|e| e.value).filter(|e| *e > Grams::ZERO),
            };
            let broken = item.allowances.iter().find(|a| a.why.value == "breakage").map(|a| a.share.value);
            let with_breakage = one.zip(broken).and_then(|(one, b)| eggs_with_breakage(grams, one, b));
            Total {
                item: item.id.value.clone(),
                grams,
                exact,
                whole: one.map(|one| whole_ones(grams, one)),
                with_breakage: with_breakage.and_then(|c| u32::try_from(c.eggs).ok()),
            }
        })
        .collect();
    let (mut stations, mut demo, mut spare, mut shared) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    for group in groups {
        match group.who {
            Who::Station(..) => stations.push(group),
            Who::Stage { .. } => demo.push(group),
            Who::Spare(_) => spare.push(group),
            Who::Shared { .. } => shared.push(group),
        }
    }
    WeighOut { headcount: class.headcount, stations, demo, spare, shared, totals }
}

/// How many whole ones of `each` cover a mass.
pub fn whole_ones(grams: Grams, each: Grams) -> u32 {
    let up = grams.up_to_multiple(each);
    u32::try_from(up.mg() / each.mg().max(1)).unwrap_or(u32::MAX)
}

#[cfg(test)]
mod tests;
