//! What a drawing puts on paper: lengths, positions, bands and the measures to write beside them.

use super::{Band, Move};
use crate::units::{Celsius, Centimetres, Grams, Minutes, Percent};
use std::collections::BTreeMap;
use std::fmt;

/// A length on paper, in millimetres.
#[derive(Clone, Copy, PartialEq, PartialOrd, Default, Debug)]
pub struct Mm(pub f64);

/// A place on paper, in millimetres from the drawing's top left corner, y downwards.
#[derive(Clone, Copy, PartialEq, Default, Debug)]
pub struct Point {
    /// Rightwards.
    pub x: Mm,
    /// Downwards.
    pub y: Mm,
}

impl Point {
    /// From two numbers of millimetres.
    pub(super) fn at(x: f64, y: f64) -> Point {
        Point { x: Mm(x), y: Mm(y) }
    }
}

/// The scale of a drawing, 1 to `denominator`.
///
/// Scales come from a short series, so that a sheet that is 20 % wider is drawn 20 % wider, and two drawings of one size agree.
#[derive(Clone, Copy, PartialEq, PartialOrd, Debug)]
pub struct Scale {
    denominator: f64,
}

impl Scale {
    const SERIES: [f64; 14] = [1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0, 20.0, 30.0];

    /// The largest scale of the series at which both lengths fit their room; beyond the series, whatever fits.
    pub fn fitting(needs: &[(Centimetres, Mm)]) -> Scale {
        let needed =
            needs.iter().map(|(real, room)| real.to_f64() * 10.0 / room.0.max(1.0)).fold(1.0, f64::max);
        let denominator =
            Self::SERIES.into_iter().find(|d| *d + 1e-9 >= needed).unwrap_or_else(|| needed.ceil());
        Scale { denominator }
    }

    /// A length at this scale.
    pub fn draw(self, real: Centimetres) -> Mm {
        Mm(real.to_f64() * 10.0 / self.denominator)
    }
}

impl fmt::Display for Scale {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "1 : {}", self.denominator)
    }
}

/// A measure that is written beside a drawing; the page decides in which units.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Said {
    /// A length.
    Length(Centimetres),
    /// A mass.
    Mass(Grams),
    /// A span of time.
    Time(Minutes),
    /// A thermometer reading.
    Temperature(Celsius),
    /// A share.
    Share(Percent),
}

/// A drawing reckoned for paper.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Figure {
    /// The drawing's name.
    pub name: &'static str,
    /// Width of the whole drawing.
    pub width: Mm,
    /// Height of the whole drawing.
    pub height: Mm,
    /// The scale, where the drawing is to scale.
    pub scale: Option<Scale>,
    /// Lengths on paper by name.
    pub lengths: BTreeMap<&'static str, Mm>,
    /// Whole numbers by name.
    pub counts: BTreeMap<&'static str, u64>,
    /// Measures to write by name.
    pub says: BTreeMap<&'static str, Said>,
    /// Places by name.
    pub points: BTreeMap<&'static str, Vec<Point>>,
    /// Strands in painting order: each covers what was painted before it.
    pub bands: Vec<Band>,
    /// The moves of a braid, each with the place beside its row.
    pub moves: Vec<(Move, Point)>,
}

impl Figure {
    pub(super) fn new(name: &'static str, width: f64, height: f64) -> Figure {
        Figure { name, width: Mm(width), height: Mm(height), ..Figure::default() }
    }
    pub(super) fn scaled(mut self, scale: Scale) -> Figure {
        self.scale = Some(scale);
        self
    }
    pub(super) fn length(mut self, name: &'static str, mm: Mm) -> Figure {
        self.lengths.insert(name, mm);
        self
    }
    pub(super) fn count(mut self, name: &'static str, n: impl Into<u64>) -> Figure {
        self.counts.insert(name, n.into());
        self
    }
    pub(super) fn say(mut self, name: &'static str, said: Said) -> Figure {
        self.says.insert(name, said);
        self
    }
    pub(super) fn places(mut self, name: &'static str, points: Vec<Point>) -> Figure {
        self.points.insert(name, points);
        self
    }
}
