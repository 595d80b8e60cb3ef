//! Ranges, sizes and shapes as the small grammar of the files writes them.

use crate::units::{Celsius, Centimetres, Grams, Millilitres, Minutes, Percent};

/// How long work needs: `"9 to 17 min, usually 12"`. The plan reckons with the usual; chance draws between the others.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Takes {
    /// Shortest.
    pub least: Minutes,
    /// Usual.
    pub usual: Minutes,
    /// Longest.
    pub most: Minutes,
}

impl Takes {
    /// The longest time of so many pieces, where each one after the first takes `each` more.
    #[must_use]
    pub fn longest(self, each: Option<Takes>, pieces: u32) -> Minutes {
        let more = i64::from(pieces.saturating_sub(1));
        self.most + each.map_or(Minutes::ZERO, |each| each.most.times(more))
    }
}

/// How long something may stand: `"45 to 70 min"`, `"at least 70 min"`. The plan chooses inside it.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Stands {
    /// At least.
    pub least: Minutes,
    /// At most; `None` is unlimited.
    pub most: Option<Minutes>,
}

/// The bare wait between two steps: `"8 to 20 min"`, `"up to 15 min"`.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Carry {
    /// No sooner.
    pub least: Minutes,
    /// No later; `None` is unlimited.
    pub most: Option<Minutes>,
}

/// A range of temperatures; an open side is not limited.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct TemperatureRange {
    /// At least.
    pub least: Option<Celsius>,
    /// At most.
    pub most: Option<Celsius>,
}

/// A flat size: `"28 x 38 cm"`.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Area {
    /// The first figure.
    pub width: Centimetres,
    /// The second figure.
    pub depth: Centimetres,
}

/// A size in space: `"23 x 21 x 7 cm"`.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Box3 {
    /// The first figure.
    pub width: Centimetres,
    /// The second figure.
    pub depth: Centimetres,
    /// The third figure.
    pub height: Centimetres,
}

/// The inside of a tin: `"20 cm round, 6 cm deep"`, `"24 x 10 cm, 8 cm deep"`, `"24 cm ring, 8 cm hole, 7 cm deep"`.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Inside {
    /// A cylinder.
    Round {
        /// Across.
        across: Centimetres,
        /// Depth.
        deep: Centimetres,
    },
    /// A box.
    Square {
        /// Length.
        length: Centimetres,
        /// Width.
        width: Centimetres,
        /// Depth.
        deep: Centimetres,
    },
    /// A ring.
    Ring {
        /// Across.
        across: Centimetres,
        /// Across the hole.
        hole: Centimetres,
        /// Depth.
        deep: Centimetres,
    },
}

/// An amount of an ingredient as bought or stocked.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Amount {
    /// By weight.
    Mass(Grams),
    /// By volume; needs the ingredient's density.
    Volume(Millilitres),
    /// By the piece; needs the ingredient's `each`.
    Pieces(u32),
}

/// A share that is either of the basis or in grams.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Share {
    /// Per cent of the basis.
    Percent(Percent),
    /// For a part used as an ingredient: the per cent of the flour that it carries (`{ flour = "8 %" }`).
    Flour(Percent),
    /// Grams for each piece (basis `piece`).
    Grams(Grams),
}
