//! Braids from their sequence: who is where after each move, who lies over whom, and the strands' paths.
//!
//! The trade's numbering: strands are counted from the left, and numbers always mean positions *now*, never fixed
//! strands (row `braid-number`). "4 over 2" takes the strand now in the fourth place over to the second place; those it passes
//! move along by one. A move may go on: "6 over 4 under 3 over 1".

use super::bands::SEAM;
use super::{Band, Point};
use std::fmt;

/// A part of a move: to which position, over or under what it passes on the way.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Leg {
    /// Over (true) or under (false) the strands that it passes.
    pub over: bool,
    /// The position where this leg ends, from 1.
    pub to: usize,
}

/// One move: the strand now at `from` goes over or under its neighbours, leg by leg.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Move {
    /// The position that it leaves, from 1.
    pub from: usize,
    /// Where it goes.
    pub legs: Vec<Leg>,
}

impl Move {
    /// The position where it ends.
    pub fn to(&self) -> usize {
        self.legs.last().map_or(self.from, |l| l.to)
    }
}

impl fmt::Display for Move {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.from)?;
        self.legs.iter().try_for_each(|l| write!(f, " {} {}", if l.over { "over" } else { "under" }, l.to))
    }
}

/// What is wrong with a sequence.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum BraidError {
    /// Fewer than two or more than twelve strands.
    Strands(usize),
    /// No moves.
    Empty,
    /// A move that does not read "4 over 2"; its text.
    Unreadable(String),
    /// A position that the braid does not have; the move's text and the position.
    Position(String, usize),
    /// A move that goes nowhere or turns back on itself; its text.
    Direction(String),
}

impl fmt::Display for BraidError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            BraidError::Strands(n) => write!(f, "a braid has 2 to 12 strands, not {n}"),
            BraidError::Empty => write!(f, "the sequence has no moves"),
            BraidError::Unreadable(m) => write!(f, "\"{m}\" does not read like \"4 over 2\""),
            BraidError::Position(m, p) => {
                write!(f, "\"{m}\" names position {p}, which this braid does not have")
            }
            BraidError::Direction(m) => write!(f, "\"{m}\" does not go on in one direction"),
        }
    }
}

/// A crossing of two strands, each named by the position where it started, from 1.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Crossing {
    /// Which move made it, from 0.
    pub row: usize,
    /// The strand on top.
    pub over: usize,
    /// The strand beneath.
    pub under: usize,
}

/// A braid: strands, moves made once at the start, and moves that repeat.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Braid {
    strands: usize,
    once: Vec<Move>,
    repeat: Vec<Move>,
}

fn read_move(text: &str, strands: usize) -> Result<Move, BraidError> {
    let unreadable = || BraidError::Unreadable(text.to_owned());
    let mut words = text.split_whitespace();
    let position = |word: Option<&str>| -> Result<usize, BraidError> {
        let p: usize = word.and_then(|w| w.parse().ok()).ok_or_else(unreadable)?;
        if (1..=strands).contains(&p) { Ok(p) } else { Err(BraidError::Position(text.to_owned(), p)) }
    };
    let from = position(words.next())?;
    let mut legs: Vec<Leg> = Vec::new();
    while let Some(word) = words.next() {
        let over = match word {
            "over" => true,
            "under" => false,
            _ => return Err(unreadable()),
        };
        legs.push(Leg { over, to: position(words.next())? });
    }
    if legs.is_empty() {
        return Err(unreadable());
    }
    let mut here = from;
    let rightwards = legs[0].to > from;
    for leg in &legs {
        if leg.to == here || (leg.to > here) != rightwards {
            return Err(BraidError::Direction(text.to_owned()));
        }
        here = leg.to;
    }
    Ok(Move { from, legs })
}

fn read_moves(text: &str, strands: usize) -> Result<Vec<Move>, BraidError> {
    text.split(',').map(str::trim).filter(|m| !m.is_empty()).map(|m| read_move(m, strands)).collect()
}

impl Braid {
    /// Reads a sequence such as "4 over 2, 1 over 3, 2 over 3"; `once` is what is done one time before it, often nothing.
    ///
    /// # Errors
    /// The first thing wrong with it.
    pub fn read(strands: usize, once: &str, repeat: &str) -> Result<Braid, BraidError> {
        if !(2..=12).contains(&strands) {
            return Err(BraidError::Strands(strands));
        }
        let braid = Braid { strands, once: read_moves(once, strands)?, repeat: read_moves(repeat, strands)? };
        if braid.repeat.is_empty() { Err(BraidError::Empty) } else { Ok(braid) }
    }

    /// How many strands.
    pub fn strands(&self) -> usize {
        self.strands
    }

    /// All moves for so many rounds of the repeat.
    pub fn moves(&self, rounds: u32) -> Vec<&Move> {
        let again = (0..rounds).flat_map(|_| self.repeat.iter());
        self.once.iter().chain(again).collect()
    }

    /// The order of strands, from the left, before the first move and after each; a strand is named by where it started.
    pub fn orders(&self, rounds: u32) -> Vec<Vec<usize>> {
        let mut now: Vec<usize> = (1..=self.strands).collect();
        let mut all = vec![now.clone()];
        for m in self.moves(rounds) {
            let strand = now.remove(m.from - 1);
            now.insert(m.to() - 1, strand);
            all.push(now.clone());
        }
        all
    }

    /// Every crossing in the order in which it is made.
    pub fn crossings(&self, rounds: u32) -> Vec<Crossing> {
        let orders = self.orders(rounds);
        let mut all = Vec::new();
        for (row, m) in self.moves(rounds).into_iter().enumerate() {
            let before = &orders[row];
            let mover = before[m.from - 1];
            let mut here = m.from;
            for leg in &m.legs {
                let passed: Vec<usize> = if leg.to > here {
                    (here + 1..=leg.to).collect()
                } else {
                    (leg.to..here).rev().collect()
                };
                for p in passed {
                    let other = before[p - 1];
                    let (over, under) = if leg.over { (mover, other) } else { (other, mover) };
                    all.push(Crossing { row, over, under });
                }
                here = leg.to;
            }
        }
        all
    }

    /// The strands' paths as bands in painting order. Positions are `pitch` apart from `left`; the moves begin and end
    /// at the heights `rows`; `tail` of straight strand stands above the first and below the last.
    ///
    /// Within a row the strand that moves crosses all that it passes, and those do not cross each other: first come those
    /// that it goes over, then it, then those that it goes under.
    pub(super) fn bands(&self, rounds: u32, place: &Lattice) -> Vec<Band> {
        let orders = self.orders(rounds);
        let x = |position: usize| place.left + place.pitch * position as f64;
        let rows = self.rows(rounds, place);
        let mut bands = Vec::new();
        let straight = |strand: usize, position: usize, from: f64, to: f64| {
            Band::line(strand, place.width, Point::at(x(position), from), Point::at(x(position), to))
        };
        for (position, strand) in orders[0].iter().enumerate() {
            bands.push(straight(*strand, position, rows[0] - place.tail, rows[0]).rounded_start());
        }
        for (row, m) in self.moves(rounds).into_iter().enumerate() {
            let (before, after) = (&orders[row], &orders[row + 1]);
            let mover = before[m.from - 1];
            let lies_over_mover = |strand: usize| {
                self.crossings_of(row, m, before).iter().any(|c| c.under == mover && c.over == strand)
            };
            let (from, to) = (rows[row], rows[row + 1]);
            let band = |strand: usize| {
                let at = |order: &[usize]| order.iter().position(|s| *s == strand).unwrap_or(0);
                Band::sway(strand, place.width, Point::at(x(at(before)), from), Point::at(x(at(after)), to))
            };
            let others = || before.iter().copied().filter(|s| *s != mover);
            bands.extend(others().filter(|s| !lies_over_mover(*s)).map(band));
            bands.push(band(mover));
            bands.extend(others().filter(|s| lies_over_mover(*s)).map(band));
        }
        let last = orders.len() - 1;
        let bottom = rows[last];
        for (position, strand) in orders[last].iter().enumerate() {
            bands.push(straight(*strand, position, bottom - SEAM, bottom + place.tail).rounded_end());
        }
        bands
    }

    /// The heights at which moves begin and end, one more than there are moves: a move past more strands takes more room.
    pub(super) fn rows(&self, rounds: u32, place: &Lattice) -> Vec<f64> {
        let mut at = place.top;
        let steps = self.moves(rounds).into_iter().map(|m| {
            let passed = m.from.abs_diff(m.to()) as f64;
            at += place.row * (0.8 + 0.2 * passed.min(4.0));
            at
        });
        std::iter::once(place.top).chain(steps).collect()
    }

    fn crossings_of(&self, row: usize, m: &Move, before: &[usize]) -> Vec<Crossing> {
        let one = Braid { strands: self.strands, once: vec![m.clone()], repeat: Vec::new() };
        one.crossings(0)
            .into_iter()
            .map(|c| Crossing { row, over: before[c.over - 1], under: before[c.under - 1] })
            .collect()
    }
}

/// Where a braid's strands run on paper, in millimetres.
pub(super) struct Lattice {
    pub(super) left: f64,
    pub(super) top: f64,
    pub(super) pitch: f64,
    /// Height of a move past one strand.
    pub(super) row: f64,
    pub(super) tail: f64,
    pub(super) width: f64,
}

#[cfg(test)]
#[path = "braid_tests.rs"]
mod tests;
