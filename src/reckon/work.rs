//! What must be made, for whom, in which bowls and loads: the words that scaling, kitchen and plan share.
//!
//! ```text
//! class.rs    the roll (or --headcount) -> Class: stations, their seats, variant and avoided things
//! scale.rs    Class x lessons           -> Vec<Portion>: how much of each part whose pieces take
//! mixers.rs   portions                  -> for each part, the feasible splits into batches, best first
//! ovens.rs    portions                  -> for each bake, the feasible splits into loads, best first
//! plan/       splits                    -> the Choice: one split each, and a time for everything
//! weigh.rs    Choice                    -> what each station, batch, staff weighs, in grams a scale can show
//! ```

use crate::course::{
    Ahead, AllergenId, Chain, EquipId, FormulaId, LessonId, PartId, StationNo, Step, StepId, VariantId, Where,
};
use crate::units::{Celsius, Grams};
use std::collections::BTreeMap;

/// For whom something is made.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Whom {
    /// The students of a station.
    Station(StationNo),
    /// The teacher's stage: the demo step it serves, and the step up to which it is brought.
    Stage {
        /// The demo.
        demo: StepId,
        /// Brought up to and with this step.
        up_to: StepId,
    },
    /// A spare piece, for no one.
    Spare,
}

/// A seat at a station.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Seat {
    /// The person by position in the roll; `None` for an unnamed one of `--headcount`.
    pub person: Option<usize>,
}

/// A station as it is filled for this class.
#[derive(Clone, PartialEq, Debug)]
pub struct Station {
    /// Its number.
    pub no: StationNo,
    /// Who sits there.
    pub seats: Vec<Seat>,
    /// The variant that it follows in each lesson; a lesson that is missing follows the formula itself.
    pub variants: BTreeMap<LessonId, VariantId>,
    /// What its people avoid.
    pub avoids: Vec<AllergenId>,
}

impl Station {
    /// How many students.
    pub fn students(&self) -> u32 {
        self.seats.len() as u32
    }
}

/// Who comes, seated.
#[derive(Clone, PartialEq, Debug)]
pub struct Class {
    /// How many students are coming.
    pub headcount: u32,
    /// The stations in use, in order of their numbers.
    pub stations: Vec<Station>,
    /// Students for whom the kitchen has no seat: they are seated at stations beyond the kitchen's count, and it is said.
    pub places_short: u32,
    /// The variant that everyone follows, the teacher's stages and the spare included: only for a lesson where someone
    /// reacts to what is in the air.
    pub everyone: BTreeMap<LessonId, VariantId>,
}

/// How much of one part the pieces of one group take, before any batch is chosen.
#[derive(Clone, PartialEq, Debug)]
pub struct Portion {
    /// The lesson.
    pub lesson: LessonId,
    /// Its formula.
    pub formula: FormulaId,
    /// The variant it follows.
    pub variant: Option<VariantId>,
    /// The part: one that a piece takes directly (an inner part such as a scald is made with the part that uses it).
    pub part: PartId,
    /// For whom.
    pub whom: Whom,
    /// How many pieces.
    pub pieces: u32,
    /// The mass as it goes into the pieces.
    pub used: Grams,
    /// The mass to weigh for it: the used mass and what is lost on hook, bowl and bench.
    pub weighed: Grams,
}

/// In what a batch is made.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Vessel {
    /// In one of these kinds of mixer; the plan chooses among them.
    Mixers(Vec<EquipId>),
    /// No bowl's hook catches so little, or the station has no mixer: by hand, with its own time.
    ByHand,
    /// No mixer is asked for: a pan, a bowl, the bench.
    Other,
}

/// One mix of one part.
#[derive(Clone, PartialEq, Debug)]
pub struct Batch {
    /// Number within its lesson and part, from 1, by the clock once a plan is found: the `batch-2` of a task id.
    pub no: u32,
    /// The lesson.
    pub lesson: LessonId,
    /// The part.
    pub part: PartId,
    /// The variant as far as it concerns this part: a batch holds one only. `None` where a station's variant leaves the part
    /// as it is (a nut-free filling does not change the dough), so that it shares with the others.
    pub variant: Option<VariantId>,
    /// For whom, and how much to weigh for each.
    pub members: Vec<(Whom, Grams)>,
    /// What goes into the bowl: the members' masses (and a surplus where the part has a least amount).
    pub grams: Grams,
    /// In what.
    pub vessel: Vessel,
    /// Why it is so: the limit or the least amount that decided, in the teacher's words.
    pub why: String,
}

/// One feasible way to split a part of a lesson into batches.
#[derive(Clone, PartialEq, Debug)]
pub struct Split {
    /// The batches, numbered from 1.
    pub batches: Vec<Batch>,
}

/// One thing that goes into one oven at one time.
#[derive(Clone, PartialEq, Debug)]
pub struct Load {
    /// Number within its lesson, from 1, by the clock once a plan is found: the `load-1` of a task id.
    pub no: u32,
    /// The lesson.
    pub lesson: LessonId,
    /// The baking step.
    pub step: StepId,
    /// Whose pieces, and how many.
    pub members: Vec<(Whom, u32)>,
    /// The temperature as the lesson writes it.
    pub written: Celsius,
    /// Kinds of oven that it fits into, and the racks it takes in each.
    pub fits: Vec<(EquipId, u32)>,
    /// For each of these ovens what its dial shows, and why the load is as it is there.
    pub dials: Vec<Dial>,
}

/// A load in one kind of oven.
#[derive(Clone, PartialEq, Debug)]
pub struct Dial {
    /// The kind of oven.
    pub oven: EquipId,
    /// What its dial shows: corrected for its fan.
    pub heat: Celsius,
    /// Why so much goes in at once.
    pub why: String,
}

impl Load {
    fn dial(&self, oven: &EquipId) -> Option<&Dial> {
        self.dials.iter().find(|d| d.oven == *oven)
    }
    /// What the dial of a kind of oven shows.
    #[must_use]
    pub fn heat_in(&self, oven: &EquipId) -> Celsius {
        self.dial(oven).map_or(self.written, |d| d.heat)
    }
    /// What the dial shows: of the oven that the plan chose, of the first that it fits into before there is a plan.
    #[must_use]
    pub fn heat(&self) -> Celsius {
        self.fits.first().map_or(self.written, |(oven, _)| self.heat_in(oven))
    }
    /// Why it is as it is, in that oven.
    #[must_use]
    pub fn why(&self) -> &str {
        self.fits.first().and_then(|(oven, _)| self.dial(oven)).map_or("", |d| &d.why)
    }
}

/// One feasible way to split a bake into loads.
#[derive(Clone, PartialEq, Debug)]
pub struct Bake {
    /// The loads, numbered from 1.
    pub loads: Vec<Load>,
}

/// Everything that the plan may choose among, and what it chose from it.
#[derive(Clone, PartialEq, Debug)]
pub struct Options {
    /// By lesson and part, for each part that has steps of its own `per = "batch"` or `per = "class"`: the feasible splits,
    /// the preferred one first. Never empty. A part made once for the class has one split; it holds one batch for each
    /// way in which the stations' variants make the part (a nut-free filling is cooked beside the other).
    pub splits: BTreeMap<(LessonId, PartId), Vec<Split>>,
    /// By lesson and baking step: the feasible splits into loads, the preferred one first. Never empty.
    pub bakes: BTreeMap<(LessonId, StepId), Vec<Bake>>,
}

/// What the plan chose.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Choice {
    /// The batches by lesson and part; the mixer chosen is the only one left in `Vessel::Mixers`.
    pub batches: BTreeMap<(LessonId, PartId), Vec<Batch>>,
    /// The loads by lesson and step; the oven chosen is the only one left in `fits`.
    pub loads: BTreeMap<(LessonId, StepId), Vec<Load>>,
    /// Whose dough, filling or wash is begun ahead by staff. What is not in it is begun in the class, by those that the step
    /// names; `IfNeeded` stands for what no plan has decided yet.
    pub made_ahead: BTreeMap<(LessonId, PartId, Whom), Ahead>,
}

impl Choice {
    /// The batches that a step of a lesson works on: those of the first of its parts that has any. At the mixer that is the first
    /// whose batches are for a bowl: what is stirred in beside a dough may have batches of its own, and they are for none.
    #[must_use]
    pub fn batches_of(&self, lesson: &LessonId, step: &Step) -> &[Batch] {
        let all = || {
            step.on.iter().filter_map(|chain| match &chain.value {
                Chain::Part(part) => self.batches.get(&(lesson.clone(), part.clone())),
                Chain::Piece => None,
            })
        };
        let for_a_bowl = |batches: &&Vec<Batch>| batches.iter().any(|b| b.vessel != Vessel::Other);
        let mixed = (step.place.value == Where::Mixer).then(|| all().find(for_a_bowl)).flatten();
        mixed.or_else(|| all().next()).map_or(&[], Vec::as_slice)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::course::Per;
    use crate::reckon::sample::step;

    #[test]
    fn a_mixer_mixes_the_batch_that_is_for_a_bowl() {
        let lesson = LessonId::new("buns");
        let batch = |part: &str, vessel| Batch {
            no: 1,
            lesson: lesson.clone(),
            part: PartId::new(part),
            variant: None,
            members: Vec::new(),
            grams: Grams::whole(500),
            vessel,
            why: String::new(),
        };
        let batches = [("syrup", Vessel::Other), ("dough", Vessel::ByHand)]
            .map(|(part, vessel)| ((lesson.clone(), PartId::new(part)), vec![batch(part, vessel)]));
        let choice = Choice { batches: batches.into(), loads: BTreeMap::new(), made_ahead: BTreeMap::new() };
        let part = |place, on: &[&str]| {
            let of_step = step("mix", on, Per::Batch, place);
            choice.batches_of(&lesson, &of_step).first().map(|b| b.part.to_string())
        };
        assert_eq!(part(Where::Mixer, &["syrup", "dough"]).as_deref(), Some("dough"));
        assert_eq!(part(Where::Mixer, &["dough", "syrup"]).as_deref(), Some("dough"));
        assert_eq!(part(Where::Bench, &["syrup", "dough"]).as_deref(), Some("syrup"));
        assert_eq!(part(Where::Mixer, &["filling"]), None);
    }
}
