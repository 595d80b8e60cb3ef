//! Strands on paper: bands of one width along smooth curves, and the coil, the knot and the spiral made of them.

use super::figure::{Mm, Point};
use crate::units::Centimetres;
use std::f64::consts::{PI, TAU};

/// How much earlier a piece of a strand starts than the one before it ended, in millimetres.
pub(super) const SEAM: f64 = 0.3;

/// A piece of a strand: a band of one width along a row of cubic curves.
#[derive(Clone, PartialEq, Debug)]
pub struct Band {
    /// Which strand, from 1.
    pub strand: usize,
    /// The band's width on paper.
    pub width: Mm,
    /// Where it starts.
    pub start: Point,
    /// Its curves: two control points and the end of each.
    pub curves: Vec<[Point; 3]>,
    /// The strand begins here.
    pub begins: bool,
    /// The strand ends here.
    pub ends: bool,
}

/// A straight line as a cubic.
fn straight(from: Point, to: Point) -> [Point; 3] {
    let part = |k: f64| Point::at(from.x.0 + (to.x.0 - from.x.0) * k, from.y.0 + (to.y.0 - from.y.0) * k);
    [part(1.0 / 3.0), part(2.0 / 3.0), to]
}

impl Band {
    pub(super) fn line(strand: usize, width: f64, from: Point, to: Point) -> Band {
        Band {
            strand,
            width: Mm(width),
            start: from,
            curves: vec![straight(from, to)],
            begins: false,
            ends: false,
        }
    }

    /// From one place to a lower one: straight down, a bend, a slanting straight, a bend, straight down. The bends keep the
    /// band's inner edge round and the whole band between the two heights; it starts a hair early, so that no seam shows.
    pub(super) fn sway(strand: usize, width: f64, from: Point, to: Point) -> Band {
        let end = to;
        // It arrives a hair before its end, so that what is painted next meets a straight edge.
        let to = Point::at(to.x.0, to.y.0 - 2.0 * SEAM);
        let (dx, dy) = (to.x.0 - from.x.0, to.y.0 - from.y.0);
        let early = Point::at(from.x.0, from.y.0 - SEAM);
        if dx.abs() < 1e-9 {
            return Band::line(strand, width, early, end);
        }
        // Two arcs of radius r and angle a with a straight between them: the straight's length is what is left.
        // r (1 - cos a) * 2 + s sin a = |dx| and r sin a * 2 + s cos a = dy; a is found by halving.
        let side = dx.signum();
        let r = (width * 0.62).min(dy * 0.49);
        let reach = |a: f64| {
            let s = (dy - 2.0 * r * a.sin()) / a.cos().max(1e-9);
            2.0 * r * (1.0 - a.cos()) + s.max(0.0) * a.sin()
        };
        let (mut low, mut high) = (0.0, PI / 2.0 - 1e-6);
        for _ in 0..60 {
            let middle = (low + high) / 2.0;
            if reach(middle) < dx.abs() { low = middle } else { high = middle }
        }
        let a = low;
        // A cubic's arm for an arc of angle a.
        let arm = r * 4.0 / 3.0 * (a / 4.0).tan();
        let turn = Point::at(side * r * (1.0 - a.cos()), r * a.sin());
        let along = Point::at(side * arm * a.sin(), arm * a.cos());
        let p1 = Point::at(from.x.0 + turn.x.0, from.y.0 + turn.y.0);
        let p2 = Point::at(to.x.0 - turn.x.0, to.y.0 - turn.y.0);
        let curves = vec![
            straight(early, from),
            [Point::at(from.x.0, from.y.0 + arm), Point::at(p1.x.0 - along.x.0, p1.y.0 - along.y.0), p1],
            straight(p1, p2),
            [Point::at(p2.x.0 + along.x.0, p2.y.0 + along.y.0), Point::at(to.x.0, to.y.0 - arm), to],
            straight(to, end),
        ];
        Band { curves, ..Band::line(strand, width, early, end) }
    }

    pub(super) fn rounded_start(self) -> Band {
        Band { begins: true, ..self }
    }

    pub(super) fn rounded_end(self) -> Band {
        Band { ends: true, ..self }
    }

    /// A smooth curve through `n + 1` points of `path`, whose parameter runs from `from` to `to`.
    fn along(width: f64, path: impl Fn(f64) -> (f64, f64), from: f64, to: f64, n: usize) -> Band {
        let step = (to - from) / n as f64;
        // A third of the derivative is the lever arm of a cubic through two points.
        let arm = |t: f64| {
            let (a, b) = (path(t - 1e-4), path(t + 1e-4));
            ((b.0 - a.0) / 2e-4 * step / 3.0, (b.1 - a.1) / 2e-4 * step / 3.0)
        };
        let curves = (0..n)
            .map(|i| {
                let (t0, t1) = (from + step * i as f64, from + step * (i + 1) as f64);
                let (p0, p1, a0, a1) = (path(t0), path(t1), arm(t0), arm(t1));
                [
                    Point::at(p0.0 + a0.0, p0.1 + a0.1),
                    Point::at(p1.0 - a1.0, p1.1 - a1.1),
                    Point::at(p1.0, p1.1),
                ]
            })
            .collect();
        let start = path(from);
        Band {
            strand: 1,
            width: Mm(width),
            start: Point::at(start.0, start.1),
            curves,
            begins: false,
            ends: false,
        }
    }
}

/// How often a sheet of a length and thickness goes round when it is rolled up: an Archimedean spiral whose pitch is the
/// thickness encloses `length * thickness`, so `turns = sqrt(length / (pi * thickness))`.
pub(super) fn turns(length: Centimetres, thickness: Centimetres) -> f64 {
    let t = thickness.to_f64();
    if t <= 0.0 { 0.0 } else { (length.to_f64().max(0.0) / (PI * t)).sqrt() }
}

/// The end of a rolled-up sheet: the line between its layers, from the centre outwards, ending underneath at the seam.
/// `outer` is the radius on paper.
pub fn spiral(length: Centimetres, thickness: Centimetres, outer: Mm) -> Band {
    let n = turns(length, thickness).clamp(0.75, 12.0);
    // The last point is straight below the centre (a quarter turn on, y downwards).
    let end = PI / 2.0;
    let path = move |t: f64| {
        let r = outer.0 * (t / n).max(0.0);
        let angle = end - TAU * (n - t);
        (r * angle.cos(), r * angle.sin())
    };
    Band::along(0.0, path, 0.02, n, (n * 8.0).ceil() as usize)
}

/// A strand coiled into a snail round the origin: one band whose turns touch. `width` is the strand's thickness on paper
/// and the coil's turns are those of the strand: a coil of pitch `thickness` and length `length`.
pub fn coil(length: Centimetres, thickness: Centimetres, width: Mm) -> Band {
    let n = turns(length, thickness).clamp(0.5, 8.0);
    let pitch = width.0;
    let path = move |t: f64| {
        // The inner end lies half a strand off the centre; the outer end is to the right, below.
        let r = pitch * (t + 0.5);
        let angle = 0.6 - TAU * (n - t);
        (r * angle.cos(), r * angle.sin())
    };
    Band {
        begins: true,
        ends: true,
        ..Band::along(width.0, path, 0.0, n, (n * 10.0).ceil().max(6.0) as usize)
    }
}

/// An overhand knot round the origin in painting order: the whole strand, then once more each stretch that lies on top.
///
/// It is a trefoil, `x = sin t + 2 sin 2t`, `y = cos t - 2 cos 2t`, cut open at its lowest lobe with the ends turned out. Along
/// the strand the passages alternate: under, over, under, over, under, over. `radius` is that of the knot, `width` the
/// strand's thickness, both on paper.
pub fn knot(radius: Mm, width: Mm) -> Vec<Band> {
    let r = radius.0 / 3.0;
    let (from, to) = (PI, PI + TAU);
    let path = move |t: f64| {
        let (x, y) = (t.sin() + 2.0 * (2.0 * t).sin(), t.cos() - 2.0 * (2.0 * t).cos());
        // Near the cut the ends turn outwards, away from each other.
        let (near, side) = if t < PI + TAU / 2.0 { (t - from, 1.0) } else { (to - t, -1.0) };
        let out = (1.0 - near / 0.75).max(0.0).powi(2);
        ((x + side * 1.3 * out) * r, (-y + 0.9 * out) * r)
    };
    // The curve meets itself where cos d = -1/4, d either side of the three mirror lines at 0, 120 and 240 degrees.
    let d = (-0.25f64).acos();
    let mut passages: Vec<f64> = [0.0, 1.0, 2.0]
        .into_iter()
        .flat_map(|k| [TAU / 3.0 * k - d, TAU / 3.0 * k + d])
        .map(|t| from + (t - from).rem_euclid(TAU))
        .collect();
    passages.sort_by(f64::total_cmp);
    let whole = Band { begins: true, ends: true, ..Band::along(width.0, path, from, to, 48) };
    let on_top =
        passages.iter().skip(1).step_by(2).map(|t| Band::along(width.0, path, t - 0.27, t + 0.27, 6));
    std::iter::once(whole).chain(on_top).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_spiral_holds_the_length_of_its_sheet() {
        // The arc length of an Archimedean spiral r = p t / tau over n turns is close to pi p n^2.
        let (length, thickness) = (Centimetres::whole(40), Centimetres::whole(1));
        let n = turns(length, thickness);
        assert!((PI * thickness.to_f64() * n * n - length.to_f64()).abs() < 1e-9);
    }

    #[test]
    fn a_spiral_ends_underneath() {
        let s = spiral(Centimetres::whole(40), Centimetres::whole(1), Mm(10.0));
        let end = s.curves[s.curves.len() - 1][2];
        assert!(end.x.0.abs() < 1e-6 && (end.y.0 - 10.0).abs() < 1e-6, "{end:?}");
    }
}
