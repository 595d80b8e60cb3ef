//! From a movement's measures to what goes on paper.

use super::bands::{Band, coil, knot, spiral};
use super::braid::Lattice;
use super::figure::{Figure, Mm, Point, Said, Scale};
use super::layout::{ball_diameter, roll_diameter, tray_positions};
use super::{Braid, Drawing, Fold, TinShape, Washed, folds};
use crate::units::{Centimetres, Grams};

/// The usual width of a drawing, in millimetres.
const WIDE: f64 = 60.0;
/// The usual height of a drawing, in millimetres.
const HIGH: f64 = 46.0;
/// Room on each side for measures, in millimetres.
const MARGIN: f64 = 8.0;

fn room(width: f64, height: f64) -> (Mm, Mm) {
    (Mm(width), Mm(height))
}

/// A sheet of dough seen from above, with room for its measures at two sides.
fn sheet(name: &'static str, width: Centimetres, length: Centimetres) -> (Figure, Scale) {
    let (w, h) = room(WIDE - 2.0 * MARGIN, HIGH - MARGIN);
    let scale = Scale::fitting(&[(width, w), (length, h)]);
    let figure = Figure::new(name, WIDE, HIGH)
        .scaled(scale)
        .length("width", scale.draw(width))
        .length("length", scale.draw(length))
        .say("width", Said::Length(width))
        .say("length", Said::Length(length));
    (figure, scale)
}

/// A roll of dough lying across, seen from above.
fn roll(name: &'static str, length: Centimetres, diameter: Centimetres, high: f64) -> (Figure, Scale) {
    let scale = Scale::fitting(&[(length, Mm(WIDE - 6.0)), (diameter, Mm(13.0))]);
    let figure = Figure::new(name, WIDE, high)
        .scaled(scale)
        .length("length", scale.draw(length))
        .length("diameter", scale.draw(diameter))
        .say("length", Said::Length(length));
    (figure, scale)
}

fn tin(name: &'static str, shape: TinShape, fill: Centimetres) -> (Figure, Scale) {
    let scale = Scale::fitting(&[(shape.width(), Mm(WIDE - 26.0)), (shape.depth(), Mm(20.0))]);
    let high = scale.draw(shape.depth().at_least(fill)).0 + 21.0;
    let figure = Figure::new(name, WIDE, high)
        .scaled(scale)
        .length("width", scale.draw(shape.width()))
        .length("depth", scale.draw(shape.depth()))
        .say("width", Said::Length(shape.width()))
        .say("depth", Said::Length(shape.depth()))
        .count("round", u64::from(matches!(shape, TinShape::Round { .. })));
    (figure, scale)
}

fn fold(
    name: &'static str,
    (width, length): (Centimetres, Centimetres),
    (before, this): (&[Fold], Fold),
    butter: bool,
) -> Figure {
    // The sheet lies across the page: its folded side is the long one.
    let scale = Scale::fitting(&[(length, Mm(WIDE - 12.0)), (width, Mm(20.0))]);
    let mut folds = before.to_vec();
    folds.push(this);
    let (was, is) = (folds::layers(before), folds::layers(&folds));
    Figure::new(name, WIDE, HIGH)
        .scaled(scale)
        .length("width", scale.draw(width))
        .length("length", scale.draw(length))
        .say("width", Said::Length(width))
        .say("length", Said::Length(length))
        .count("layers", this.times())
        // Dough on dough grows together again: folds before this one leave no layers.
        .count("butter-before", if butter { was.butter } else { 0 })
        .count("butter", if butter { is.butter } else { 0 })
        .count("all", if butter { is.total() } else { this.times() })
}

fn braid(name: &'static str, braid: &Braid, rounds: u32, moves: bool) -> Figure {
    let strands = braid.strands();
    let (pitch, tail, top) = (if strands <= 4 { 7.0 } else { 6.0 }, 6.0, 12.0);
    // A character of a move's text is about 1.4 mm wide.
    let longest = braid.moves(rounds).iter().map(|m| m.to_string().len()).max().unwrap_or(0);
    let text = if moves { 1.4 * longest as f64 + 2.0 } else { 0.0 };
    let across = pitch * (strands - 1) as f64;
    let left = text + pitch * 0.5 + 0.5;
    let place = Lattice { left, top, pitch, row: pitch * 1.2, tail, width: pitch };
    let rows = braid.rows(rounds, &place);
    let bottom = rows[rows.len() - 1] + tail + pitch / 2.0;
    let numbers = (0..strands).map(|i| Point::at(left + pitch * i as f64, top - tail - 2.2 - pitch * 0.5));
    let mut figure = Figure::new(name, left + across + pitch * 0.5 + 0.5, bottom + 1.0)
        .length("pitch", Mm(pitch))
        .count("strands", strands as u64)
        .count("rounds", u64::from(rounds))
        .places("numbers", numbers.collect());
    figure.bands = braid.bands(rounds, &place);
    if moves {
        let beside = rows.windows(2).map(|w| Point::at(0.0, (w[0] + w[1]) / 2.0));
        figure.moves = braid.moves(rounds).into_iter().cloned().zip(beside).collect();
    }
    figure
}

/// Moves every point of a band.
fn shifted(mut band: Band, x: f64, y: f64) -> Band {
    let shift = |p: &mut Point| *p = Point::at(p.x.0 + x, p.y.0 + y);
    shift(&mut band.start);
    band.curves.iter_mut().flatten().for_each(shift);
    band
}

/// A braid that lies across, as it lies on a tray: rounds until it is longer than wide, turned by a quarter, and drawn so large that
/// a brush has room above it.
fn lying(sequence: &Braid) -> Vec<Band> {
    let (left, bottom, wide, high) = (4.0, 28.0, 38.0, 15.0);
    let (mut rounds, mut upright) = (1, braid("", sequence, 1, false));
    while upright.height.0 < 2.4 * upright.width.0 && rounds < 8 {
        rounds += 1;
        upright = braid("", sequence, rounds, false);
    }
    let points = |b: &Band| -> Vec<Point> {
        std::iter::once(b.start).chain(b.curves.iter().flatten().copied()).collect()
    };
    let reach = |of: fn(&Point) -> f64, best: fn(f64, f64) -> f64, sign: f64| {
        let ends =
            upright.bands.iter().flat_map(|b| points(b).into_iter().map(move |p| (p, b.width.0 / 2.0)));
        ends.map(|(p, half)| of(&p) + sign * half).reduce(best).unwrap_or(0.0)
    };
    let (x0, x1) = (reach(|p| p.x.0, f64::min, -1.0), reach(|p| p.x.0, f64::max, 1.0));
    let (y0, y1) = (reach(|p| p.y.0, f64::min, -1.0), reach(|p| p.y.0, f64::max, 1.0));
    let k = (wide / (y1 - y0).max(1.0)).min(high / (x1 - x0).max(1.0));
    let start = left + (wide - k * (y1 - y0)) / 2.0;
    // A turn, no mirror: what was over stays over, and left stays left of the baker who stands at its foot.
    let turn = |p: &mut Point| *p = Point::at(start + k * (p.y.0 - y0), bottom - k * (p.x.0 - x0));
    let mut bands = upright.bands.clone();
    for band in &mut bands {
        turn(&mut band.start);
        band.curves.iter_mut().flatten().for_each(turn);
        band.width = Mm(band.width.0 * k);
    }
    bands
}

/// A length that is computed, not chosen, is printed to half a centimetre.
fn about(length: Centimetres) -> Centimetres {
    length.to_nearest(Centimetres::from_thousandths(500))
}

fn share_of(total: Grams, pieces: u32) -> Grams {
    total.ratio(1, i64::from(pieces.max(1)))
}

impl Drawing {
    /// What goes on paper.
    pub fn figure(&self) -> Figure {
        let name = self.name();
        let plain = |high: f64| Figure::new(name, WIDE, high);
        match self {
            Drawing::Weigh { amount } => {
                // The heap grows with the cube root of the mass: 1 kg fills the drawn bowl's width.
                let heap = (amount.to_f64().max(1.0) / 1000.0).cbrt().clamp(0.15, 1.0);
                plain(40.0).length("heap", Mm(25.0 * heap)).say("amount", Said::Mass(*amount))
            }
            Drawing::AddButter { total, pieces, by_hand } => {
                let each = share_of(*total, *pieces);
                let whole = each.to_nearest(Grams::whole(1));
                // A cube of butter at 0.91 g/cm3 (published for butter at room temperature); drawn 1 : 7, as the bowl is.
                let edge = (each.to_f64().max(0.0) / 0.91).cbrt() * 10.0 / 7.0;
                plain(42.0)
                    .length("cube", Mm(edge.clamp(1.2, 6.0)))
                    .count("pieces", *pieces)
                    .count("by-hand", u64::from(*by_hand))
                    // What doesn't come out even is about so much.
                    .count("even", u64::from(whole.times(i64::from(*pieces)) == *total))
                    .say("total", Said::Mass(*total))
                    .say("each", Said::Mass(whole))
            }
            Drawing::Windowpane { across } => {
                let scale = Scale::fitting(&[(*across, Mm(32.0))]);
                plain(36.0)
                    .scaled(scale)
                    .length("across", scale.draw(*across))
                    .say("across", Said::Length(*across))
            }
            Drawing::RiseLevel { tub_width, tub_height, start, to } => {
                let scale = Scale::fitting(&[(*tub_width, Mm(19.0)), (*tub_height, Mm(26.0))]);
                let end = Centimetres::from_f64(start.to_f64() * to.to_f64() / 100.0);
                plain(scale.draw(tub_height.at_least(end)).0 + 16.0)
                    .scaled(scale)
                    .length("width", scale.draw(*tub_width))
                    .length("height", scale.draw(*tub_height))
                    .length("start", scale.draw(*start))
                    .length("end", scale.draw(end))
                    .count("overflows", u64::from(end > *tub_height))
                    .say("start", Said::Length(*start))
                    .say("end", Said::Length(about(end)))
                    .say("to", Said::Share(*to))
            }
            Drawing::Divide { pieces, each } => {
                plain(34.0).count("pieces", *pieces).say("each", Said::Mass(*each))
            }
            Drawing::Round { piece } => {
                let diameter = ball_diameter(*piece);
                let scale = Scale::fitting(&[(diameter, Mm(17.5))]);
                plain(36.0)
                    .scaled(scale)
                    .length("diameter", scale.draw(diameter))
                    .say("diameter", Said::Length(about(diameter)))
                    .say("piece", Said::Mass(*piece))
            }
            Drawing::Rest { time, pieces } => plain(29.0)
                .count("pieces", *pieces)
                .count("minutes", u64::try_from(time.get()).unwrap_or(0))
                .say("time", Said::Time(*time)),
            Drawing::RollOut { width, length } => {
                let (figure, scale) = sheet(name, *width, *length);
                // A straight pin with a barrel of 40 x 5 cm, so that the eye has something of known size.
                figure
                    .length("barrel", scale.draw(Centimetres::whole(40)))
                    .length("pin", scale.draw(Centimetres::whole(5)))
            }
            Drawing::Spread { width, length, bare } => {
                let (figure, scale) = sheet(name, *width, *length);
                let figure = figure.length("bare", scale.draw(*bare));
                // No bare edge is written: none is measured.
                if *bare > Centimetres::ZERO { figure.say("bare", Said::Length(*bare)) } else { figure }
            }
            Drawing::RollUp { width, length, thickness } => {
                let diameter = roll_diameter(*length, *thickness);
                let scale = Scale::fitting(&[
                    (*width, Mm(30.0)),
                    (Centimetres::from_f64(length.to_f64() * 0.35 + diameter.to_f64()), Mm(34.0)),
                ]);
                let outer = Scale::fitting(&[(diameter, Mm(15.0))]);
                let radius = Mm(outer.draw(diameter).0 / 2.0);
                let flat = Centimetres::from_f64(length.to_f64() * 0.35);
                let high = (scale.draw(flat).0 + scale.draw(diameter).0 + 9.0).max(36.0);
                let mut figure = plain(high)
                    .scaled(scale)
                    .length("width", scale.draw(*width))
                    .length("diameter", scale.draw(diameter))
                    // A third is still flat.
                    .length("flat", scale.draw(flat))
                    .length("radius", radius)
                    .say("width", Said::Length(*width))
                    .say("diameter", Said::Length(about(diameter)));
                figure.bands = vec![spiral(*length, *thickness, radius)];
                figure
            }
            Drawing::Slice { length, diameter, slices } => {
                let (figure, scale) = roll(name, *length, *diameter, 40.0);
                let n = (*slices).max(1);
                let each = length.ratio(1, i64::from(n));
                let cuts = (1..n).map(|i| Point { x: scale.draw(each.times(i64::from(i))), y: Mm(0.0) });
                let mut figure = figure
                    .places("cuts", cuts.collect())
                    .count("slices", n)
                    .length("each", scale.draw(each))
                    .say("each", Said::Length(each.to_nearest(Centimetres::from_thousandths(100))))
                    .say("diameter", Said::Length(*diameter));
                // The layers of the roll's end; how many depends on a sheet this movement does not know: three turns.
                let pitch = Centimetres::from_f64(diameter.to_f64() / 6.0);
                let around = Centimetres::from_f64(
                    diameter.to_f64() * diameter.to_f64() * 0.785 / pitch.to_f64().max(0.001),
                );
                figure.bands = vec![spiral(around, pitch, Mm(scale.draw(*diameter).0 / 2.0))];
                figure
            }
            Drawing::FillPinch { disc, filling } => {
                let scale = Scale::fitting(&[(*disc, Mm(24.0))]);
                // The filling as a ball of the same density as dough.
                plain(35.0)
                    .scaled(scale)
                    .length("disc", scale.draw(*disc))
                    .length(
                        "filling",
                        Mm(scale.draw(ball_diameter(*filling)).0.min(scale.draw(*disc).0 * 0.8)),
                    )
                    .say("disc", Said::Length(*disc))
                    .say("filling", Said::Mass(*filling))
            }
            Drawing::Pipe { bead, length, beads, onto } => {
                let n = i64::from((*beads).max(1));
                let bun = onto.unwrap_or(Centimetres::ZERO);
                let scale = Scale::fitting(&[
                    (length.at_least(*bead), Mm(32.0)),
                    (bead.ratio(3 * n, 2), Mm(18.0)),
                    (bun, Mm(22.0)),
                ]);
                let figure = match onto {
                    Some(bun) => plain(HIGH).length("onto", scale.draw(*bun)).say("onto", Said::Length(*bun)),
                    None => plain(HIGH),
                };
                figure
                    .scaled(scale)
                    .length("bead", scale.draw(*bead))
                    .length("length", scale.draw(*length))
                    .count("beads", *beads)
                    .say("bead", Said::Length(*bead))
                    .say("length", Said::Length(*length))
            }
            Drawing::CutLengthwise { length, diameter, joined } => {
                let (figure, scale) = roll(name, *length, *diameter, 48.0);
                figure.length("joined", scale.draw(*joined)).say("joined", Said::Length(*joined))
            }
            Drawing::Twist { length, crossings } => {
                let twist = Braid::read(2, "", "1 over 2");
                let figure = twist.map_or_else(|_| plain(HIGH), |b| braid(name, &b, *crossings, false));
                // Room for the length below.
                // And for the movement.
                let figure = Figure { height: Mm(figure.height.0 + 8.0), ..figure };
                figure.count("crossings", *crossings).say("length", Said::Length(*length))
            }
            Drawing::Braid { braid: sequence, rounds, strand } => {
                let figure = braid(name, sequence, *rounds, true);
                match strand {
                    Some(length) => {
                        let height = Mm(figure.height.0 + 4.0);
                        Figure { height, ..figure }.say("strand", Said::Length(*length))
                    }
                    None => figure,
                }
            }
            Drawing::Coil { length, thickness } => {
                let across =
                    Centimetres::from_f64(roll_diameter(*length, *thickness).to_f64() + thickness.to_f64());
                let scale = Scale::fitting(&[(across, Mm(32.0))]);
                let width = scale.draw(*thickness);
                let mut figure = plain(42.0)
                    .scaled(scale)
                    .say("length", Said::Length(*length))
                    .say("thickness", Said::Length(*thickness))
                    .length("width", width);
                figure.bands = vec![shifted(coil(*length, *thickness, width), WIDE / 2.0, 21.0)];
                figure
            }
            Drawing::Knot { length, thickness } => {
                // The trefoil drawn here is 7.6 of its radius long; its ends take the rest.
                let radius = Centimetres::from_f64(length.to_f64() / 8.4);
                let scale = Scale::fitting(&[(radius.times(2), Mm(30.0))]);
                let (true_to_scale, most) = (scale.draw(*thickness).0, scale.draw(radius).0 * 0.42);
                let width = Mm(true_to_scale.min(most));
                // A strand that had to be drawn thinner is not to scale: no scale is said of it.
                let figure = if true_to_scale <= most { plain(49.0).scaled(scale) } else { plain(49.0) };
                let mut figure = figure
                    .say("length", Said::Length(*length))
                    .say("thickness", Said::Length(*thickness))
                    .length("width", width);
                figure.bands = knot(scale.draw(radius), width)
                    .into_iter()
                    .map(|b| shifted(b, WIDE / 2.0, 19.0))
                    .collect();
                figure
            }
            Drawing::LetterFold { width, length, before, butter } => {
                fold(name, (*width, *length), (before, Fold::Letter), *butter)
            }
            Drawing::BookFold { width, length, before, butter } => {
                fold(name, (*width, *length), (before, Fold::Book), *butter)
            }
            Drawing::PlaceInTin { tin: shape, fill, pieces } => {
                let (figure, scale) = tin(name, *shape, *fill);
                figure
                    .length("fill", scale.draw(*fill))
                    .count("pieces", *pieces)
                    .count("overflows", u64::from(*fill > shape.depth()))
                    .say("fill", Said::Length(*fill))
            }
            Drawing::OnTray { width, depth, buns, bun } => {
                let tray = tray_positions(*width, *depth, *buns, *bun);
                let scale =
                    Scale::fitting(&[(*width, Mm(WIDE - 2.0 * MARGIN)), (*depth, Mm(HIGH - 2.0 * MARGIN))]);
                let centres =
                    tray.centres.iter().map(|(x, y)| Point { x: scale.draw(*x), y: scale.draw(*y) });
                plain(HIGH)
                    .scaled(scale)
                    .length("width", scale.draw(*width))
                    .length("depth", scale.draw(*depth))
                    .length("bun", scale.draw(*bun))
                    .length("gap", scale.draw(tray.gap))
                    .count("buns", *buns)
                    .count("fits", u64::from(tray.gap >= Centimetres::ZERO))
                    .places("buns", centres.collect())
                    .say("width", Said::Length(*width))
                    .say("depth", Said::Length(*depth))
                    .say("bun", Said::Length(*bun))
                    .say("gap", Said::Length(about(tray.gap.at_least(Centimetres::ZERO))))
            }
            Drawing::EggWash { coats, wash, on } => {
                let figure = plain(36.0).count("coats", *coats).say("wash", Said::Mass(*wash));
                match on {
                    Washed::Loaf => figure,
                    Washed::Bun => figure.count("bun", 1_u32),
                    Washed::FilledBun => figure.count("bun", 1_u32).count("well", 1_u32),
                    Washed::Wreath => figure.count("wreath", 1_u32),
                    Washed::Braid { braid: sequence } => {
                        let mut figure = figure.count("strands", sequence.strands() as u64);
                        figure.bands = lying(sequence);
                        figure
                    }
                    Washed::InTin { tin, pieces } => {
                        let scale = Scale::fitting(&[(tin.width(), Mm(36.0)), (tin.depth(), Mm(13.0))]);
                        figure
                            .scaled(scale)
                            .length("width", scale.draw(tin.width()))
                            .length("depth", scale.draw(tin.depth()))
                            .count("in-tin", *pieces)
                    }
                }
            }
            Drawing::Score { length, cuts, depth } => {
                let scale = Scale::fitting(&[(*length, Mm(46.0))]);
                plain(38.0)
                    .scaled(scale)
                    .length("length", scale.draw(*length))
                    .length("depth", scale.draw(*depth))
                    .count("cuts", *cuts)
                    .say("length", Said::Length(*length))
                    .say("depth", Said::Length(*depth))
            }
            Drawing::TurnOut { tin: shape, wait: (wait, most) } => {
                let scale = Scale::fitting(&[(shape.width(), Mm(34.0)), (shape.depth(), Mm(13.0))]);
                let figure = plain(44.0)
                    .scaled(scale)
                    .length("width", scale.draw(shape.width()))
                    .length("depth", scale.draw(shape.depth()))
                    .count("round", u64::from(matches!(shape, TinShape::Round { .. })))
                    .count("minutes", u64::try_from(wait.get()).unwrap_or(0))
                    .say("wait", Said::Time(*wait));
                match most.filter(|most| most > wait) {
                    Some(most) => figure.say("wait-most", Said::Time(most)),
                    None => figure,
                }
            }
            Drawing::Probe { height, length, least, most } => {
                let scale = Scale::fitting(&[(*length, Mm(36.0)), (*height, Mm(19.0))]);
                plain(40.0)
                    .scaled(scale)
                    .length("height", scale.draw(*height))
                    .length("length", scale.draw(*length))
                    // The tip is in the centre: half way down.
                    .length("tip", scale.draw(height.ratio(1, 2)))
                    .say("least", Said::Temperature(*least))
                    .say("most", Said::Temperature(*most))
            }
            Drawing::Syrup { length, syrup } => {
                let scale = Scale::fitting(&[(*length, Mm(40.0))]);
                plain(40.0)
                    .scaled(scale)
                    .length("length", scale.draw(*length))
                    .say("syrup", Said::Mass(*syrup))
            }
        }
    }
}
