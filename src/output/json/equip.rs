//! The equipment for programs.

use super::InGrams;
use crate::reckon::pull_list::Equipment;
use serde::Serialize;

/// What `equip` answers.
#[derive(Serialize, Debug)]
pub struct EquipView {
    /// Everything that is counted.
    pub needs: Vec<NeedView>,
    /// What goes into which bowl.
    pub mixer_loads: Vec<MixerLoadView>,
    /// What goes into which oven.
    pub oven_loads: Vec<OvenLoadView>,
}

/// How many of one thing.
#[derive(Serialize, Debug)]
pub struct NeedView {
    /// The kitchen's id.
    pub item: String,
    /// When everything stands at once.
    pub needed: u32,
    /// What the plan needs, using things in turn; `None` when there is no plan.
    pub needed_with_plan: Option<u32>,
    /// The kitchen's own and borrowed ones.
    pub on_hand: u32,
    /// `needed` beyond `on_hand`.
    pub short: u32,
    /// Of those on hand, borrowed or hired ones.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub borrowed: Option<u32>,
    /// Where it is kept.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub kept: Option<String>,
}

/// One mix.
#[derive(Serialize, Debug)]
pub struct MixerLoadView {
    /// The kind of mixer; `None`: by hand.
    pub mixer: Option<String>,
    /// The lesson.
    pub lesson: String,
    /// The part.
    pub part: String,
    /// Number of the batch.
    pub batch: u32,
    /// What goes into the bowl.
    pub grams: InGrams,
    /// Whose it is.
    pub stations: Vec<u32>,
    /// Why it is so.
    pub why: String,
}

/// One load.
#[derive(Serialize, Debug)]
pub struct OvenLoadView {
    /// The kind of oven.
    pub oven: Option<String>,
    /// The lesson.
    pub lesson: String,
    /// The step.
    pub step: String,
    /// Number of the load.
    pub load: u32,
    /// How many pieces.
    pub pieces: u32,
    /// Why it is so.
    pub why: String,
}

impl EquipView {
    /// A view of the equipment.
    #[must_use]
    pub fn of(equipment: &Equipment) -> Self {
        EquipView {
            needs: equipment
                .needs
                .iter()
                .map(|n| NeedView {
                    item: n.item.to_string(),
                    needed: n.needed,
                    needed_with_plan: n.needed_with_plan,
                    on_hand: n.on_hand,
                    short: n.short,
                    borrowed: n.borrowed.as_ref().map(|(count, _)| *count),
                    kept: n.kept.clone(),
                })
                .collect(),
            mixer_loads: equipment
                .mixer_loads
                .iter()
                .map(|l| MixerLoadView {
                    mixer: l.mixers.first().map(ToString::to_string),
                    lesson: l.lesson.to_string(),
                    part: l.part.to_string(),
                    batch: l.batch,
                    grams: InGrams(l.grams),
                    stations: l.stations.iter().map(|s| s.0).collect(),
                    why: l.why.clone(),
                })
                .collect(),
            oven_loads: equipment
                .oven_loads
                .iter()
                .map(|l| OvenLoadView {
                    oven: l.ovens.first().map(ToString::to_string),
                    lesson: l.lesson.to_string(),
                    step: l.step.to_string(),
                    load: l.load,
                    pieces: l.pieces,
                    why: l.why.clone(),
                })
                .collect(),
        }
    }
}
