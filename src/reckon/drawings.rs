//! Sizes and crossings of the drawings of hand movements.
//!
//! A [`Drawing`] holds a movement's measures as the teacher knows them (a sheet of 26 x 40 cm, a four-strand
//! sequence); [`Drawing::figure`] reckons what goes on paper: lengths in millimetres at a true scale, positions, the bands
//! of a braid in painting order, and the measures to write beside it. The template only draws.

mod bands;
mod braid;
mod figure;
mod folds;
mod layout;
mod reckoned;

pub use bands::Band;
pub use braid::{Braid, BraidError, Crossing, Leg, Move};
pub use figure::{Figure, Mm, Point, Said, Scale};
pub use folds::{Fold, Layers, layers};
pub use layout::{Laid, TrayLayout, ball_diameter, laid_out, roll_diameter, tray_positions};

use crate::units::{Celsius, Centimetres, Grams, Minutes, Percent};

/// The inside of a tin.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum TinShape {
    /// A loaf tin: length and depth of its long side seen from the front, inside.
    Loaf {
        /// Inside length at the rim.
        length: Centimetres,
        /// Inside depth.
        depth: Centimetres,
    },
    /// A round tin, ring or straight-sided mould.
    Round {
        /// Inside diameter at the rim.
        diameter: Centimetres,
        /// Inside depth.
        depth: Centimetres,
    },
}

impl TinShape {
    /// Inside width seen from the front.
    pub fn width(self) -> Centimetres {
        match self {
            TinShape::Loaf { length, .. } => length,
            TinShape::Round { diameter, .. } => diameter,
        }
    }
    /// Inside depth.
    pub fn depth(self) -> Centimetres {
        match self {
            TinShape::Loaf { depth, .. } | TinShape::Round { depth, .. } => depth,
        }
    }
}

/// What a brush goes over.
#[derive(Clone, PartialEq, Debug)]
pub enum Washed {
    /// A loaf, long and smooth.
    Loaf,
    /// Buns.
    Bun,
    /// Buns with something piped into their middle: the brush goes over the rim.
    FilledBun,
    /// Strands closed to a ring, seen from above.
    Wreath,
    /// A braid, seen from above.
    Braid {
        /// Its sequence.
        braid: Braid,
    },
    /// What has risen in a tin.
    InTin {
        /// The tin.
        tin: TinShape,
        /// How many pieces side by side.
        pieces: u32,
    },
}

/// One hand movement with its measures. The variants' names in a lesson (`draw = "roll-out"`) are [`Drawing::NAMES`].
#[derive(Clone, PartialEq, Debug)]
pub enum Drawing {
    /// Weigh into a bowl on a scale.
    Weigh {
        /// What the display shows.
        amount: Grams,
    },
    /// Add butter piece by piece.
    AddButter {
        /// All of the butter.
        total: Grams,
        /// In how many pieces.
        pieces: u32,
        /// Worked in by hand: no hook is drawn.
        by_hand: bool,
    },
    /// Stretch a bit of dough until light shows through.
    Windowpane {
        /// How far it stretches without tearing.
        across: Centimetres,
    },
    /// The level in a straight-sided tub before and after a rise.
    RiseLevel {
        /// Inside width of the tub.
        tub_width: Centimetres,
        /// Inside height of the tub.
        tub_height: Centimetres,
        /// Height of the dough at the start.
        start: Centimetres,
        /// Height at the end as a share of the start: 180 % is four fifths more.
        to: Percent,
    },
    /// Divide by weight.
    Divide {
        /// How many pieces.
        pieces: u32,
        /// The mass of each.
        each: Grams,
    },
    /// Round a piece.
    Round {
        /// The mass of the piece.
        piece: Grams,
    },
    /// Let pieces rest, covered.
    Rest {
        /// How long.
        time: Minutes,
        /// How many pieces.
        pieces: u32,
    },
    /// Roll out to a measured rectangle.
    RollOut {
        /// Across, left to right.
        width: Centimetres,
        /// Away from the baker.
        length: Centimetres,
    },
    /// Spread a filling, one edge left bare.
    Spread {
        /// Across, left to right.
        width: Centimetres,
        /// Away from the baker.
        length: Centimetres,
        /// The bare strip along the far edge.
        bare: Centimetres,
    },
    /// Roll up with the seam underneath.
    RollUp {
        /// Across: the length of the roll.
        width: Centimetres,
        /// How far it is rolled up.
        length: Centimetres,
        /// Thickness of sheet and filling together.
        thickness: Centimetres,
    },
    /// Slice a roll across.
    Slice {
        /// Length of the roll.
        length: Centimetres,
        /// Its diameter.
        diameter: Centimetres,
        /// How many slices.
        slices: u32,
    },
    /// Fill a disc, gather it and pinch it shut.
    FillPinch {
        /// Diameter of the disc.
        disc: Centimetres,
        /// Mass of the filling.
        filling: Grams,
    },
    /// Pipe beads side by side.
    Pipe {
        /// Width of a bead.
        bead: Centimetres,
        /// Length of a bead.
        length: Centimetres,
        /// How many.
        beads: u32,
        /// Across the bun in whose middle it is piped, if it is.
        onto: Option<Centimetres>,
    },
    /// Cut a roll lengthwise.
    CutLengthwise {
        /// Length of the roll.
        length: Centimetres,
        /// Its diameter.
        diameter: Centimetres,
        /// Left joined at one end; nought cuts it through.
        joined: Centimetres,
    },
    /// Twist two strands.
    Twist {
        /// Length of a strand.
        length: Centimetres,
        /// How many crossings.
        crossings: u32,
    },
    /// Braid by a sequence.
    Braid {
        /// The sequence.
        braid: Braid,
        /// How many rounds of the repeat to draw.
        rounds: u32,
        /// Length of a strand, where it is known.
        strand: Option<Centimetres>,
    },
    /// Coil a strand into a snail.
    Coil {
        /// Length of the strand.
        length: Centimetres,
        /// Its thickness.
        thickness: Centimetres,
    },
    /// Tie a single knot.
    Knot {
        /// Length of the strand.
        length: Centimetres,
        /// Its thickness.
        thickness: Centimetres,
    },
    /// Fold in thirds.
    LetterFold {
        /// Across.
        width: Centimetres,
        /// The side that is folded.
        length: Centimetres,
        /// The folds made before this one.
        before: Vec<Fold>,
        /// A sheet of butter lies in the dough; else what is folded is dough alone.
        butter: bool,
    },
    /// Fold the ends to the middle and close.
    BookFold {
        /// Across.
        width: Centimetres,
        /// The side that is folded.
        length: Centimetres,
        /// The folds made before this one.
        before: Vec<Fold>,
        /// A sheet of butter lies in the dough; else what is folded is dough alone.
        butter: bool,
    },
    /// Place pieces in a tin.
    PlaceInTin {
        /// The tin.
        tin: TinShape,
        /// Height of the dough when it goes in.
        fill: Centimetres,
        /// How many pieces side by side.
        pieces: u32,
    },
    /// Place buns on a tray.
    OnTray {
        /// Tray, left to right.
        width: Centimetres,
        /// Tray, front to back.
        depth: Centimetres,
        /// How many buns.
        buns: u32,
        /// Diameter of a bun when it goes on.
        bun: Centimetres,
    },
    /// Brush with egg wash.
    EggWash {
        /// How many coats.
        coats: u32,
        /// Mass of wash per piece.
        wash: Grams,
        /// What is washed.
        on: Washed,
    },
    /// Score with a blade.
    Score {
        /// Length of the piece.
        length: Centimetres,
        /// How many cuts.
        cuts: u32,
        /// How deep.
        depth: Centimetres,
    },
    /// Turn out of the tin and cool on a rack.
    TurnOut {
        /// The tin.
        tin: TinShape,
        /// How long to wait before turning out: at least, and at most where that is written.
        wait: (Minutes, Option<Minutes>),
    },
    /// Probe the centre.
    Probe {
        /// Height of the piece.
        height: Centimetres,
        /// Length of the piece.
        length: Centimetres,
        /// At least this warm in the centre.
        least: Celsius,
        /// At most this warm.
        most: Celsius,
    },
    /// Syrup on a hot piece.
    Syrup {
        /// Length of the piece.
        length: Centimetres,
        /// Mass of syrup per piece.
        syrup: Grams,
    },
}

impl Drawing {
    /// The same where no mixer is at hand: what would show its hook shows none.
    #[must_use]
    pub fn by_hand(self) -> Drawing {
        match self {
            Drawing::AddButter { total, pieces, .. } => Drawing::AddButter { total, pieces, by_hand: true },
            other => other,
        }
    }

    /// The names as a lesson writes them, in the order of the work.
    pub const NAMES: [&'static str; 27] = crate::course::DRAWINGS;

    /// The name as a lesson writes it; also the drawing's file in `templates/drawings/`.
    pub fn name(&self) -> &'static str {
        match self {
            Drawing::Weigh { .. } => "weigh",
            Drawing::AddButter { .. } => "add-butter",
            Drawing::Windowpane { .. } => "windowpane",
            Drawing::RiseLevel { .. } => "rise-level",
            Drawing::Divide { .. } => "divide",
            Drawing::Round { .. } => "round",
            Drawing::Rest { .. } => "rest",
            Drawing::RollOut { .. } => "roll-out",
            Drawing::Spread { .. } => "spread",
            Drawing::RollUp { .. } => "roll-up",
            Drawing::Slice { .. } => "slice",
            Drawing::FillPinch { .. } => "fill-pinch",
            Drawing::Pipe { .. } => "pipe",
            Drawing::CutLengthwise { .. } => "cut-lengthwise",
            Drawing::Twist { .. } => "twist",
            Drawing::Braid { .. } => "braid",
            Drawing::Coil { .. } => "coil",
            Drawing::Knot { .. } => "knot",
            Drawing::LetterFold { .. } => "letter-fold",
            Drawing::BookFold { .. } => "book-fold",
            Drawing::PlaceInTin { .. } => "place-in-tin",
            Drawing::OnTray { .. } => "on-tray",
            Drawing::EggWash { .. } => "egg-wash",
            Drawing::Score { .. } => "score",
            Drawing::TurnOut { .. } => "turn-out",
            Drawing::Probe { .. } => "probe",
            Drawing::Syrup { .. } => "syrup",
        }
    }
}
