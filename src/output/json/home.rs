//! The home batches for programs.

use super::InGrams;
use crate::course::{Course, Ingredient, Measures};
use crate::reckon::home::{HomeBatch, HomeLine, HomePart, HomeStep};
use crate::reckon::measures::{ByWeightOnly, Vessel};
use crate::reckon::yeast::{YeastKind, instead_of};
use serde::Serialize;

/// What `scale --for home` answers.
#[derive(Serialize, Debug)]
pub struct HomeView {
    /// Whose cups and spoons: `us`, `metric`, `australian`.
    pub measures: &'static str,
    /// The batches: each lesson's formula with each variant that a station follows, then formulas wanted without a lesson.
    pub batches: Vec<BatchView>,
}

/// One home batch.
#[derive(Serialize, Debug)]
pub struct BatchView {
    /// The lesson that times it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lesson: Option<String>,
    /// The formula.
    pub formula: String,
    /// The variant.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub variant: Option<String>,
    /// How many pieces.
    pub pieces: u32,
    /// Into how many bowls a home mixer's dough is divided.
    pub bowls: u32,
    /// Too little for a home mixer's hook.
    pub by_hand: bool,
    /// The parts, each after those that go into it.
    pub parts: Vec<PartView>,
    /// Eggs to crack for all of it, and what is left of them.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub eggs: Option<EggsView>,
    /// Its yeast, and what other kinds would weigh.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub yeast: Option<YeastView>,
    /// The steps by their own clock; empty without a lesson.
    pub steps: Vec<StepView>,
    /// Work of one's hands.
    pub hands_on_minutes: i64,
    /// From the first step to the end of the last.
    pub in_all_minutes: i64,
}

/// One part.
#[derive(Serialize, Debug)]
pub struct PartView {
    /// The part.
    pub part: String,
    /// What goes in.
    pub ingredients: Vec<LineView>,
    /// Its lines together.
    pub total_grams: InGrams,
    /// What comes out of it.
    pub used_grams: InGrams,
}

/// One line.
#[derive(Serialize, Debug)]
pub struct LineView {
    /// An ingredient's id, or that of a part made before.
    pub item: String,
    /// It is a part made before.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub is_part: bool,
    /// By weight.
    pub grams: InGrams,
    /// In cups and spoons.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub measure: Option<MeasureView>,
    /// Why there are none: `no-density`, `too-coarse`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub weigh_only: Option<&'static str>,
    /// In sticks or packets.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub packets: Option<CountView>,
    /// In whole ones.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub whole: Option<CountView>,
}

/// Cups and spoons.
#[derive(Serialize, Debug)]
pub struct MeasureView {
    /// How many of which; the largest first.
    pub terms: Vec<TermView>,
    /// What they hold.
    pub grams: InGrams,
    /// How far that is from the weight, in per cent of it.
    pub error_percent: f64,
}

/// One measure.
#[derive(Serialize, Debug)]
pub struct TermView {
    /// As people write it: `1 1/2`.
    pub count: String,
    /// `cup`, `tbsp`, `tsp`.
    pub of: &'static str,
}

/// Something counted.
#[derive(Serialize, Debug)]
pub struct CountView {
    /// What: a packet's name; an item's id.
    pub of: String,
    /// How many, as people write it.
    pub count: String,
    /// How far that is from the weight, in per cent of it.
    pub error_percent: f64,
}

/// Eggs.
#[derive(Serialize, Debug)]
pub struct EggsView {
    /// To crack.
    pub crack: i64,
    /// Of these, to separate.
    pub separate: i64,
    /// Beaten egg left.
    pub left_beaten_grams: InGrams,
    /// White left.
    pub left_white_grams: InGrams,
    /// Yolk left.
    pub left_yolk_grams: InGrams,
}

/// Yeast.
#[derive(Serialize, Debug)]
pub struct YeastView {
    /// `fresh`, `active-dry`, `instant`.
    pub kind: &'static str,
    /// How much.
    pub grams: InGrams,
    /// The others.
    pub instead: Vec<OtherYeast>,
    /// The row of the published ratio.
    pub by: &'static str,
}

/// Another kind of yeast.
#[derive(Serialize, Debug)]
pub struct OtherYeast {
    /// The kind.
    pub kind: &'static str,
    /// How much.
    pub grams: InGrams,
}

/// One step.
#[derive(Serialize, Debug)]
pub struct StepView {
    /// The lesson's step.
    pub step: String,
    /// Minutes after the first step's start.
    pub from_minutes: i64,
    /// Its end.
    pub to_minutes: i64,
    /// May stand so long at most; `None` for work, or without limit.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at_most_minutes: Option<i64>,
    /// Where it stands, if that is not the room: `cold`, `freezer`, `warm`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub place: Option<&'static str>,
    /// It happens by itself.
    pub waits: bool,
    /// By hand, from the shortest to the longest.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub by_hand_minutes: Option<[i64; 2]>,
    /// The oven without a fan, degC.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub oven_c: Option<f64>,
    /// The oven with one, degC.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fan_oven_c: Option<f64>,
    /// How often one after the other.
    pub rounds: u32,
    /// Pieces that stand on one rack of a home oven of 45 x 36 cm, where several are baked.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at_once: Option<u32>,
    /// The time is an estimate.
    pub estimate: bool,
}

impl HomeView {
    /// A view of home batches.
    #[must_use]
    pub fn of(course: &Course, batches: &[HomeBatch]) -> Self {
        HomeView {
            measures: match course.settings.measures.value {
                Measures::Us => "us",
                Measures::Metric => "metric",
                Measures::Australian => "australian",
            },
            batches: batches.iter().map(|b| BatchView::of(course, b)).collect(),
        }
    }
}

impl BatchView {
    fn of(course: &Course, batch: &HomeBatch) -> Self {
        let by = course.settings.conventions.yeast.value;
        BatchView {
            lesson: batch.lesson.as_ref().map(ToString::to_string),
            formula: batch.formula.id.value.to_string(),
            variant: batch.variant.as_ref().map(ToString::to_string),
            pieces: batch.pieces,
            bowls: batch.bowls,
            by_hand: batch.too_little_for_the_hook,
            parts: batch.parts.iter().map(PartView::of).collect(),
            eggs: batch.eggs.map(|e| EggsView {
                crack: e.eggs(),
                separate: e.separated,
                left_beaten_grams: InGrams(e.left_whole),
                left_white_grams: InGrams(e.left_white),
                left_yolk_grams: InGrams(e.left_yolk),
            }),
            yeast: batch.yeast.map(|(kind, grams)| YeastView {
                kind: yeast(kind),
                grams: InGrams(grams),
                instead: instead_of(grams, kind, by)
                    .into_iter()
                    .map(|(kind, grams)| OtherYeast { kind: yeast(kind), grams: InGrams(grams) })
                    .collect(),
                by: by.row(),
            }),
            steps: batch.steps.iter().map(StepView::of).collect(),
            hands_on_minutes: batch.hands_on.get(),
            in_all_minutes: batch.in_all.get(),
        }
    }
}

fn yeast(kind: YeastKind) -> &'static str {
    match kind {
        YeastKind::Fresh => "fresh",
        YeastKind::ActiveDry => "active-dry",
        YeastKind::Instant => "instant",
    }
}

impl PartView {
    fn of(part: &HomePart) -> Self {
        PartView {
            part: part.part.to_string(),
            ingredients: part.lines.iter().map(LineView::of).collect(),
            total_grams: InGrams(part.weighed),
            used_grams: InGrams(part.used),
        }
    }
}

impl LineView {
    fn of(line: &HomeLine) -> Self {
        let (item, is_part) = match &line.what {
            Ingredient::Item(id) => (id.to_string(), false),
            Ingredient::Part(id) => (id.to_string(), true),
        };
        let measure = line.volume.as_ref().and_then(|v| v.as_ref().ok()).map(|v| MeasureView {
            terms: v
                .terms
                .iter()
                .map(|(n, vessel)| TermView { count: n.to_string(), of: unit(*vessel) })
                .collect(),
            grams: InGrams(v.holds),
            error_percent: v.error.to_f64(),
        });
        let weigh_only = line.volume.as_ref().and_then(|v| v.as_ref().err()).and_then(|why| match why {
            ByWeightOnly::NoDensity => Some("no-density"),
            ByWeightOnly::TooCoarse => Some("too-coarse"),
            ByWeightOnly::Nothing => None,
        });
        LineView {
            grams: InGrams(line.grams),
            measure,
            weigh_only,
            packets: line.packets.as_ref().map(|p| CountView {
                of: p.name.clone(),
                count: p.count.to_string(),
                error_percent: p.error.to_f64(),
            }),
            whole: line.pieces.as_ref().map(|(n, error)| CountView {
                of: item.clone(),
                count: n.to_string(),
                error_percent: error.to_f64(),
            }),
            item,
            is_part,
        }
    }
}

fn unit(vessel: Vessel) -> &'static str {
    match vessel {
        Vessel::Cup => "cup",
        Vessel::Tablespoon => "tbsp",
        Vessel::Teaspoon => "tsp",
    }
}

impl StepView {
    fn of(step: &HomeStep) -> Self {
        StepView {
            step: step.step.to_string(),
            from_minutes: step.from.get(),
            to_minutes: step.to.get(),
            at_most_minutes: step.most.map(|m| m.get()),
            place: step.stands_in(),
            waits: step.waits,
            by_hand_minutes: step.by_hand.map(|t| [t.least.get(), t.most.get()]),
            oven_c: step.heat.map(|(still, _)| still.to_f64()),
            fan_oven_c: step.heat.map(|(_, fan)| fan.to_f64()),
            rounds: step.rounds,
            at_once: step.at_once,
            estimate: step.estimate,
        }
    }
}
