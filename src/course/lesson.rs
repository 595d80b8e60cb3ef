//! A lesson: one thing that is taught, and the steps that make it.

use super::{
    At, Carry, EquipId, FormulaId, LessonId, PartId, SessionId, Stands, StepId, Takes, TemperatureRange,
};
use crate::units::{Celsius, Minutes, Percent};

/// The drawings of hand movements, by the names that a lesson gives them.
pub const DRAWINGS: [&str; 27] = [
    "weigh",
    "add-butter",
    "windowpane",
    "rise-level",
    "divide",
    "round",
    "rest",
    "roll-out",
    "spread",
    "roll-up",
    "slice",
    "fill-pinch",
    "pipe",
    "cut-lengthwise",
    "twist",
    "braid",
    "coil",
    "knot",
    "letter-fold",
    "book-fold",
    "place-in-tin",
    "on-tray",
    "egg-wash",
    "score",
    "turn-out",
    "probe",
    "syrup",
];

/// One thing that is taught.
#[derive(Clone, PartialEq, Debug)]
pub struct Lesson {
    /// Its id: the file name.
    pub id: At<LessonId>,
    /// The name that is printed; the formula's if not written.
    pub name: Option<At<String>>,
    /// The formula it makes.
    pub formula: At<FormulaId>,
    /// What is made.
    pub makes: Makes,
    /// What staff may make before the session, per chain, in file order.
    pub made_ahead: Vec<(At<Chain>, MadeAhead)>,
    /// Oven temperatures are for an oven with a fan; for one without if not written.
    pub heats_for_fan: bool,
    /// How a student takes an unbaked piece home, if that is allowed.
    pub bake_at_home: Option<BakeAtHome>,
    /// The steps in file order.
    pub steps: Vec<Step>,
}

/// An unbaked piece that goes home with a student.
#[derive(Clone, PartialEq, Debug)]
pub struct BakeAtHome {
    /// Up to and with which step it is made in class.
    pub up_to: At<StepId>,
    /// How long it keeps in a home fridge before it is baked.
    pub keeps: At<Minutes>,
    /// What to do at home, in words.
    pub say: Option<At<String>>,
}

impl Lesson {
    /// The step with this id.
    pub fn step(&self, id: &StepId) -> Option<&Step> {
        self.steps.iter().find(|s| s.id.value == *id)
    }
}

/// What is made, for whom.
#[derive(Clone, PartialEq, Debug)]
pub struct Makes {
    /// How many pieces.
    pub pieces: At<u32>,
    /// For each of whom.
    pub for_each: At<ForEach>,
    /// Pieces more, made for no one: nought if not written.
    pub spare: At<u32>,
}

/// Whom the pieces are counted by.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum ForEach {
    /// Each student.
    Student,
    /// Each station.
    Station,
    /// The class.
    Class,
}

/// What a step works on. After the parts are joined the chain is `piece`.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Chain {
    /// A part of the formula.
    Part(PartId),
    /// The shaped piece.
    Piece,
}

/// Whether staff make it before the session.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Ahead {
    /// Never.
    Never,
    /// The plan decides.
    IfNeeded,
    /// The teacher decided.
    Always,
}

/// What staff may make before the session.
#[derive(Clone, PartialEq, Debug)]
pub struct MadeAhead {
    /// Whether.
    pub policy: At<Ahead>,
    /// Up to and with which step; `None` only with `never`.
    pub up_to: Option<At<StepId>>,
}

/// What the plan multiplies a step by.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Per {
    /// Once.
    Class,
    /// Each station.
    Station,
    /// Each mix in one bowl.
    Batch,
    /// Each oven load.
    Load,
}

/// Who does a step.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Hands {
    /// The station's students.
    Students,
    /// The teacher.
    Teacher,
    /// The helper.
    Helper,
    /// Teacher or helper.
    Staff,
    /// It rises, chills, bakes, cools by itself.
    Nobody,
}

/// A place with a size and a temperature.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Where {
    /// The station's bench.
    Bench,
    /// In a mixer.
    Mixer,
    /// On a burner.
    Hob,
    /// In an oven.
    Oven,
    /// In a fridge.
    Cold,
    /// In a freezer.
    Freezer,
    /// At room temperature.
    Room,
    /// In a warm place.
    Warm,
    /// On a cooling rack.
    Rack,
    /// At a sink.
    Sink,
}

/// How long a step lasts: one of two sorts of time.
#[derive(Clone, PartialEq, Debug)]
pub enum Lasts {
    /// Work: varies by itself. `each` is added for each piece beyond the first.
    Takes {
        /// For the first piece (or for all, if `each` is nought).
        takes: At<Takes>,
        /// For each piece more; nought if not written.
        each: Option<At<Takes>>,
    },
    /// Rest, rise, chill: the plan chooses.
    Stands(At<Stands>),
}

/// Equipment kept busy by a step.
#[derive(Clone, PartialEq, Debug)]
pub struct Use {
    /// What: an id of the kitchen, or `tin`, `tray`, `tub` for the piece's own.
    pub what: At<EquipId>,
    /// How many for each group that the step works for; `None`: one for each piece (tins), tray of pieces, or tub of dough.
    pub count: Option<u32>,
    /// Until the end of which step; `None`: of this one.
    pub until: Option<At<StepId>>,
}

/// Another way through a step: the piece waits in the cold before it, and then stands longer.
#[derive(Clone, PartialEq, Debug)]
pub struct WaitCold {
    /// How long it may wait.
    pub stands: At<Stands>,
    /// How long this step lasts then (a proof from cold is longer).
    pub then: At<Stands>,
}

/// Hands needed to put in and to take out, not between.
#[derive(Clone, PartialEq, Debug)]
pub struct Ends {
    /// Whose.
    pub hands: At<Hands>,
    /// How long at each end.
    pub takes: At<Minutes>,
}

/// One thing done in a lesson.
#[derive(Clone, PartialEq, Debug)]
pub struct Step {
    /// Its id within the lesson.
    pub id: At<StepId>,
    /// The name that is printed; made from the id if not written.
    pub name: Option<At<String>>,
    /// The chains that it works on; none for a demo.
    pub on: Vec<At<Chain>>,
    /// What it is multiplied by.
    pub per: At<Per>,
    /// Where.
    pub place: At<Where>,
    /// Who.
    pub hands: At<Hands>,
    /// One student of each station suffices (`hands = "one student"`): the other one's hands stay free.
    pub one_student: bool,
    /// How long.
    pub lasts: Lasts,
    /// The bare wait since the step before on its chain.
    pub carry: Option<At<Carry>>,
    /// Other steps of this lesson that come first.
    pub after: Vec<At<StepId>>,
    /// Equipment.
    pub uses: Vec<Use>,
    /// The teacher shows, everyone watches.
    pub demo: bool,
    /// The stages for a demo: steps up to which one more piece each is brought beforehand.
    pub stages: Vec<At<StepId>>,
    /// The teacher must be free to look while students work.
    pub eye: bool,
    /// Hands at the ends.
    pub ends: Option<Ends>,
    /// Another way through, in the cold.
    pub wait_cold: Option<WaitCold>,
    /// The most stations that share a batch.
    pub share: Option<At<u32>>,
    /// How long the same takes by hand where no bowl fits.
    pub by_hand: Option<At<Takes>>,
    /// The oven's temperature.
    pub heat: Option<At<Celsius>>,
    /// The wanted temperature of the dough after mixing.
    pub aim: Option<At<Celsius>>,
    /// The temperature inside that says done, or cooked.
    pub core: Option<At<TemperatureRange>>,
    /// How high the dough stands after it, as a share of its height before: 180 % is four fifths more.
    pub rises_to: Option<At<Percent>>,
    /// Drawings.
    pub draw: Vec<At<String>>,
    /// The teacher's photograph, a path within the course folder.
    pub photo: Option<At<String>>,
    /// What must stay in sight when the photograph is cropped: per cent across from the left, per cent down from the top.
    pub photo_focus: Option<At<(Percent, Percent)>>,
    /// The photograph stands in place of the drawing, not beside it.
    pub photo_alone: bool,
    /// What the photograph shows, for those who cannot see it.
    pub photo_shows: Option<At<String>>,
    /// What shares a load goes in and comes out together; so if not written.
    pub together: bool,
    /// Cautions by their words: `hot-tin`, `hot-sugar`, `mixer`, `knife`, `raw-egg`, ...
    pub caution: Vec<At<String>>,
    /// What to say and do, in words, with `{measure}` marks.
    pub say: Option<At<String>>,
    /// What the teacher says at a demo.
    pub tell: Option<At<String>>,
    /// The session that it must lie in, when the teacher says so.
    pub session: Option<At<SessionId>>,
}

impl Step {
    /// A step with what every step has, and nothing beside.
    #[must_use]
    pub fn plain(
        id: At<StepId>,
        on: Vec<At<Chain>>,
        per: At<Per>,
        place: At<Where>,
        hands: At<Hands>,
        lasts: Lasts,
    ) -> Step {
        Step {
            id,
            name: None,
            on,
            per,
            place,
            hands,
            one_student: false,
            lasts,
            carry: None,
            after: Vec::new(),
            uses: Vec::new(),
            demo: false,
            stages: Vec::new(),
            eye: false,
            ends: None,
            wait_cold: None,
            share: None,
            by_hand: None,
            heat: None,
            aim: None,
            core: None,
            draw: Vec::new(),
            photo: None,
            photo_focus: None,
            photo_alone: false,
            photo_shows: None,
            rises_to: None,
            together: true,
            caution: Vec::new(),
            say: None,
            tell: None,
            session: None,
        }
    }
}

/// Where one of the class's own steps lies in its session.
#[derive(Clone, PartialEq, Debug)]
pub enum When {
    /// At the start, in file order.
    First,
    /// At the end, in file order.
    Last,
    /// Starts within this span of the session, counted in minutes from its start.
    Between(Minutes, Minutes),
    /// Anywhere.
    Any,
}

/// The class's own: welcome, hand washing and safety talk, breaks, tasting, clean-down.
#[derive(Clone, PartialEq, Debug)]
pub struct OwnStep {
    /// Its id.
    pub id: At<StepId>,
    /// The name that is printed.
    pub name: At<String>,
    /// In which sessions; empty means each.
    pub sessions: Vec<At<SessionId>>,
    /// Where in the session.
    pub when: At<When>,
    /// How long.
    pub takes: At<Takes>,
    /// Who is busy: `students` takes every student and leaves staff free; `teacher` with everyone watching is a demo.
    pub hands: At<Hands>,
    /// Everyone attends.
    pub demo: bool,
    /// A break: free of students' steps.
    pub pause: bool,
    /// Steps of lessons that come first, as `lesson.step`.
    pub after: Vec<At<(LessonId, StepId)>>,
    /// Cautions by their words.
    pub caution: Vec<At<String>>,
    /// What to say and do.
    pub say: Option<At<String>>,
}
