//! The weigh-out for programs.

use super::InGrams;
use super::dough::MixView;
use crate::reckon::dough_temperature::batches::MixedBatch;
use crate::reckon::weigh::{Group, List, WeighOut, Who};
use crate::reckon::work::Whom;
use serde::Serialize;

/// What `scale` answers.
#[derive(Serialize, Debug)]
pub struct ScaleView {
    /// How many come.
    pub headcount: u32,
    /// Stations in order.
    pub stations: Vec<GroupView>,
    /// The teacher's stages.
    pub demo: Vec<GroupView>,
    /// The spare pieces.
    pub spare: Vec<GroupView>,
    /// What is weighed once for several.
    pub shared: Vec<GroupView>,
    /// By ingredient: stations + demo + spare + shared, to the milligram.
    pub totals: Vec<TotalView>,
    /// The dough temperature of each mix: what to do for it.
    pub mixes: Vec<MixView>,
}

/// What one group weighs and fetches.
#[derive(Serialize, Debug, Default)]
pub struct GroupView {
    /// The station's number.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub station: Option<u32>,
    /// How many students it has.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub students: Option<u32>,
    /// The lesson, of all but a station.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lesson: Option<String>,
    /// The demo that a stage serves.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub demo: Option<String>,
    /// The step up to which a stage is brought.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub up_to: Option<String>,
    /// For whom something shared is: `station-3`, `spare`, `stage-show-chill`.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub members: Vec<String>,
    /// The lists.
    pub portions: Vec<PortionView>,
}

/// One list.
#[derive(Serialize, Debug)]
pub struct PortionView {
    /// The lesson.
    pub lesson: String,
    /// Its formula.
    pub formula: String,
    /// The variant, as far as it concerns the part.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub variant: Option<String>,
    /// The part.
    pub part: String,
    /// The batch it is made in or fetched from.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub batch: Option<u32>,
    /// `station`, `batch` or `staff`; `station-or-staff` where no plan says which.
    pub weighed_by: &'static str,
    /// What is weighed; empty for a part that is fetched.
    pub ingredients: Vec<ItemView>,
    /// Parts made elsewhere that go in.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub fetches: Vec<FetchView>,
    /// Everything on the list together; for a fetched part its weight.
    pub total_grams: InGrams,
    /// How much more is made than is needed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub surplus_grams: Option<InGrams>,
}

/// One ingredient.
#[derive(Serialize, Debug)]
pub struct ItemView {
    /// Its id.
    pub item: String,
    /// What the scale shows.
    pub grams: InGrams,
}

/// A part made elsewhere.
#[derive(Serialize, Debug)]
pub struct FetchView {
    /// The part.
    pub part: String,
    /// Its batch.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub batch: Option<u32>,
    /// How heavy.
    pub grams: InGrams,
}

/// What the class takes of one ingredient.
#[derive(Serialize, Debug)]
pub struct TotalView {
    /// Its id.
    pub item: String,
    /// All lists together.
    pub grams: InGrams,
    /// Whole ones, where it is counted by the piece.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub whole: Option<u32>,
    /// Whole ones with so many more as the pantry allows for breakage.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub whole_with_breakage: Option<u32>,
}

impl ScaleView {
    /// A view of a weigh-out and of the mixes that it is for.
    #[must_use]
    pub fn of(out: &WeighOut, mixes: &[MixedBatch]) -> Self {
        let all = |groups: &[Group]| groups.iter().map(GroupView::of).collect();
        ScaleView {
            headcount: out.headcount,
            stations: all(&out.stations),
            demo: all(&out.demo),
            spare: all(&out.spare),
            shared: all(&out.shared),
            totals: out
                .totals
                .iter()
                .map(|t| TotalView {
                    item: t.item.to_string(),
                    grams: InGrams(t.grams),
                    whole: t.whole,
                    whole_with_breakage: t.with_breakage,
                })
                .collect(),
            mixes: mixes.iter().map(MixView::of).collect(),
        }
    }
}

impl GroupView {
    fn of(group: &Group) -> Self {
        let portions = group.lists.iter().map(PortionView::of).collect();
        let view = GroupView { portions, ..GroupView::default() };
        match &group.who {
            Who::Station(no, students) => {
                GroupView { station: Some(no.0), students: Some(*students), ..view }
            }
            Who::Stage { lesson, demo, up_to } => GroupView {
                lesson: Some(lesson.to_string()),
                demo: Some(demo.to_string()),
                up_to: Some(up_to.to_string()),
                ..view
            },
            Who::Spare(lesson) => GroupView { lesson: Some(lesson.to_string()), ..view },
            Who::Shared { lesson, members, .. } => GroupView {
                lesson: Some(lesson.to_string()),
                members: members.iter().map(whom).collect(),
                ..view
            },
        }
    }
}

impl PortionView {
    fn of(list: &List) -> Self {
        PortionView {
            lesson: list.lesson.to_string(),
            formula: list.formula.to_string(),
            variant: list.variant.as_ref().map(ToString::to_string),
            part: list.part.to_string(),
            batch: list.batch,
            weighed_by: list.weighed_by.word(),
            ingredients: list
                .ingredients
                .iter()
                .map(|w| ItemView { item: w.item.to_string(), grams: InGrams(w.grams) })
                .collect(),
            fetches: list
                .fetches
                .iter()
                .map(|f| FetchView { part: f.part.to_string(), batch: f.batch, grams: InGrams(f.grams) })
                .collect(),
            total_grams: InGrams(list.total),
            surplus_grams: (list.surplus.mg() > 0).then_some(InGrams(list.surplus)),
        }
    }
}

/// The word for whom something is made, as in task ids.
#[must_use]
pub fn whom(whom: &Whom) -> String {
    match whom {
        Whom::Station(no) => format!("station-{no}"),
        Whom::Stage { demo, up_to } => format!("stage-{demo}-{up_to}"),
        Whom::Spare => "spare".to_owned(),
    }
}
