//! The equipment for programs.

use super::{InGrams, moment};
use crate::reckon::places::{Places, Share};
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
    /// Shelves, sinks and burners at their fullest moment; empty without a plan.
    pub places: Vec<PlaceView>,
    /// What goes into the cold warm, by the clock; empty without a plan.
    pub spreads: Vec<SpreadView>,
}

/// One cupboard, the sinks or the burners.
#[derive(Serialize, Debug)]
pub struct PlaceView {
    /// The kitchen's id; `sink`, `burner`.
    pub place: String,
    /// Shelves there, or sinks, or burners.
    pub there: u32,
    /// How many of them are taken at the fullest moment, parts of a shelf included.
    pub taken: f64,
    /// That moment; `None`: nothing of the plan stands there.
    pub fullest: Option<String>,
    /// What stands there then.
    pub things: Vec<ThingsView>,
}

/// Things of one kind on shelves.
#[derive(Serialize, Debug)]
pub struct ThingsView {
    /// The kitchen's id of what it is in; `None`: bare pieces.
    pub item: Option<String>,
    /// How many.
    pub count: u32,
}

/// Something that goes into the cold warm.
#[derive(Serialize, Debug)]
pub struct SpreadView {
    /// The task.
    pub task: String,
    /// The cold place.
    pub place: String,
    /// When it goes in.
    pub at: String,
    /// How much; `None` for pieces.
    pub grams: Option<InGrams>,
    /// Tubs, trays or tins.
    pub things: u32,
    /// Shelves that they take in one layer.
    pub shelves_flat: f64,
    /// Shelves that nothing else takes while it cools.
    pub shelves_free: f64,
    /// It can lie flat until it is cold.
    pub fits: bool,
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
    pub fn of(equipment: &Equipment, places: &Places) -> Self {
        // To a thousandth of a shelf.
        let shelves = |share: Share| (share.0 as f64 * 1000.0 / Share::ONE as f64).round() / 1000.0;
        EquipView {
            places: places
                .uses
                .iter()
                .map(|p| PlaceView {
                    place: p.place.to_string(),
                    there: p.there,
                    taken: shelves(p.taken),
                    fullest: p.fullest.as_ref().map(moment),
                    things: p
                        .things
                        .iter()
                        .map(|(item, count)| ThingsView {
                            item: item.as_ref().map(ToString::to_string),
                            count: *count,
                        })
                        .collect(),
                })
                .collect(),
            spreads: places
                .spreads
                .iter()
                .map(|s| SpreadView {
                    task: s.task.clone(),
                    place: s.place.to_string(),
                    at: moment(&s.at),
                    grams: s.grams.map(InGrams),
                    things: s.things,
                    shelves_flat: shelves(s.flat),
                    shelves_free: shelves(s.free),
                    fits: s.fits(),
                })
                .collect(),
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
