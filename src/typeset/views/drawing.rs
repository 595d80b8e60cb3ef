//! What a template receives for a drawing: the keys that `templates/drawings/` read.
//!
//! - `name`, `width`, `height` (mm), `scale` ("1 : 8" or null);
//! - `mm`: lengths on paper by name; `n`: whole numbers by name; `at`: places by name, `[x, y]` each;
//! - `says`: measures to print by name, each `{ value, unit }` in the units of the page;
//! - `bands`: `{ strand, width, start, curves, begins, ends }` in painting order, a curve being `[x1, y1, x2, y2, x, y]`;
//! - `moves`: `{ from, legs, at }`, a leg being `{ over, to }`.

use crate::reckon::drawings::{Band, Drawing, Move, Point, Said};
use crate::units::Centimetres;
use rust_decimal::{Decimal, RoundingStrategy};
use serde_json::{Map, Value, json};

/// The units that a page shows lengths and temperatures in; masses are always grams.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Units {
    /// Centimetres and degrees Celsius.
    #[default]
    Metric,
    /// Inches and degrees Fahrenheit.
    Us,
}

fn number(value: Decimal) -> String {
    value.normalize().to_string()
}

/// To a tenth: a ruler shows millimetres, a fine scale tenths of a gram.
fn tenth(value: Decimal) -> String {
    number(value.round_dp_with_strategy(1, RoundingStrategy::MidpointAwayFromZero))
}

/// Inches to the nearest quarter, as a baker's ruler shows them: `10 1/4`.
fn inches(length: Centimetres) -> String {
    let quarters = (length.to_f64() / 2.54 * 4.0).round() as i64;
    let (whole, rest) = (quarters / 4, quarters % 4);
    let part = ["", "1/4", "1/2", "3/4"][rest.unsigned_abs() as usize];
    match (whole, rest) {
        (whole, 0) => whole.to_string(),
        (0, _) => part.to_owned(),
        (whole, _) => format!("{whole} {part}"),
    }
}

/// A measure as the page prints it: the figures and, apart, the unit.
pub fn said(said: Said, units: Units) -> Value {
    let (value, unit) = match (said, units) {
        (Said::Length(x), Units::Metric) => (tenth(x.to_decimal()), "cm"),
        (Said::Length(x), Units::Us) => (inches(x), "in"),
        (Said::Mass(x), _) => (tenth(x.to_decimal()), "g"),
        (Said::Time(x), _) => (x.get().to_string(), "min"),
        (Said::Temperature(x), Units::Metric) => (number(x.to_decimal()), "°C"),
        (Said::Temperature(x), Units::Us) => (number(x.fahrenheit().round()), "°F"),
        (Said::Share(x), _) => (number(x.number()), "%"),
    };
    json!({ "value": value, "unit": unit })
}

/// Paper is not finer than a thousandth of a millimetre.
fn mm(x: f64) -> Value {
    json!((x * 1000.0).round() / 1000.0)
}

fn at(p: Point) -> Value {
    json!([mm(p.x.0), mm(p.y.0)])
}

fn band(b: &Band) -> Value {
    let curves: Vec<Value> = b
        .curves
        .iter()
        .map(|c| Value::Array(c.iter().flat_map(|p| [mm(p.x.0), mm(p.y.0)]).collect()))
        .collect();
    json!({
        "strand": b.strand, "width": mm(b.width.0), "start": at(b.start), "curves": curves,
        "begins": b.begins, "ends": b.ends,
    })
}

fn move_data(m: &Move, place: Point) -> Value {
    let legs: Vec<Value> = m.legs.iter().map(|l| json!({ "over": l.over, "to": l.to })).collect();
    json!({ "from": m.from, "legs": legs, "at": at(place) })
}

/// The data of one drawing.
pub fn drawing(drawing: &Drawing, units: Units) -> Value {
    let f = drawing.figure();
    let object = |items: Vec<(&str, Value)>| -> Map<String, Value> {
        items.into_iter().map(|(k, v)| (k.to_owned(), v)).collect()
    };
    json!({
        "name": f.name,
        "width": mm(f.width.0),
        "height": mm(f.height.0),
        "scale": f.scale.map(|s| s.to_string()),
        "mm": object(f.lengths.iter().map(|(k, v)| (*k, mm(v.0))).collect()),
        "n": object(f.counts.iter().map(|(k, v)| (*k, json!(v))).collect()),
        "says": object(f.says.iter().map(|(k, v)| (*k, said(*v, units))).collect()),
        "at": object(f.points.iter().map(|(k, v)| (*k, json!(v.iter().map(|p| at(*p)).collect::<Vec<_>>()))).collect()),
        "bands": f.bands.iter().map(band).collect::<Vec<_>>(),
        "moves": f.moves.iter().map(|(m, p)| move_data(m, *p)).collect::<Vec<_>>(),
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::units::Celsius;

    #[test]
    fn measures_follow_the_page() {
        let sheet = Said::Length(Centimetres::whole(26));
        assert_eq!(said(sheet, Units::Metric), json!({ "value": "26", "unit": "cm" }));
        // 26 / 2.54 = 10.236 in.
        assert_eq!(said(sheet, Units::Us), json!({ "value": "10 1/4", "unit": "in" }));
        assert_eq!(said(Said::Length(Centimetres::whole(1)), Units::Us)["value"], "1/2");
        assert_eq!(said(Said::Length(Centimetres::from_thousandths(3_735)), Units::Metric)["value"], "3.7");
        let boiling = Said::Temperature(Celsius::whole(100));
        assert_eq!(said(boiling, Units::Us), json!({ "value": "212", "unit": "°F" }));
    }
}
