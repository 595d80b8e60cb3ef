//! Whether the sheet of labels that a course describes lies on its paper.

use crate::course::{Course, Paper};
use crate::finding::{Finding, Place};
use crate::units::Centimetres;

/// A sheet of labels is cut to its paper, and what is written of it is rounded: half a millimetre is none.
const NONE: Centimetres = Centimetres::from_thousandths(50);

/// One way across the paper: what is written of it.
struct Side {
    /// How many labels.
    count: u32,
    /// Each of them.
    each: Centimetres,
    /// Between two.
    gap: Centimetres,
    /// Before the first; nothing where they are set in the middle.
    edge: Centimetres,
    /// The paper.
    room: Centimetres,
}

impl Side {
    /// How far the labels reach.
    fn reach(&self) -> Centimetres {
        let n = i64::from(self.count);
        self.edge + self.each.times(n) + self.gap.times(n - 1)
    }

    /// How many of them the paper holds.
    fn held(&self) -> u32 {
        (1..=self.count).rev().find(|n| Side { count: *n, ..*self }.reach() <= self.room + NONE).unwrap_or(0)
    }
}

/// A size of paper: its name, its width and height.
fn paper(of: Paper) -> (&'static str, Centimetres, Centimetres) {
    match of {
        Paper::A4 => ("A4", Centimetres::whole(21), Centimetres::from_thousandths(29_700)),
        Paper::Letter => {
            ("Letter", Centimetres::from_thousandths(21_590), Centimetres::from_thousandths(27_940))
        }
    }
}

/// What is told of labels that the paper does not hold: they are not printed where there is none.
#[must_use]
pub fn findings(course: &Course) -> Vec<Finding> {
    let Some(sheet) = &course.settings.labels else { return Vec::new() };
    let (name, wide, high) = paper(course.settings.paper.value);
    let none = Centimetres::ZERO;
    let (margin, gap) = (sheet.margin, sheet.gap);
    let across = Side {
        count: sheet.columns,
        each: sheet.size.width,
        gap: gap.map_or(none, |g| g.width),
        edge: margin.map_or(none, |m| m.width),
        room: wide,
    };
    let down = Side {
        count: sheet.rows,
        each: sheet.size.depth,
        gap: gap.map_or(none, |g| g.depth),
        edge: margin.map_or(none, |m| m.depth),
        room: high,
    };
    let told = |side: &Side, (key, things, at): (&str, &str, Option<Place>)| {
        let held = side.held();
        if held == side.count {
            return None;
        }
        let message = format!(
            "{} {things} of labels reach {} cm, and {name} paper is {} cm: {}",
            side.count,
            side.reach().to_decimal().normalize(),
            side.room.to_decimal().normalize(),
            match held {
                0 => "it holds none whole".to_owned(),
                1 => "it holds 1, and no more is printed".to_owned(),
                n => format!("it holds {n}, and no more are printed"),
            }
        );
        let way_out = match held {
            0 => "write a smaller `size`, or the `margin` of the sheet as it is".to_owned(),
            n => format!(
                "write `{key} = {n}`, a smaller `size` or `margin`, or the `paper` that the labels are on"
            ),
        };
        Some(Finding::warning("labels-off-the-paper", at, message).about(key.to_owned()).way_out(way_out))
    };
    let both = [
        told(&across, ("across", "columns", sheet.written.0)),
        told(&down, ("down", "rows", sheet.written.1)),
    ];
    both.into_iter().flatten().collect()
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::course::{Area, LabelSheet};
    use crate::reckon::sample;

    /// `(across, down)` of 9.9 x 5.7 cm on a paper: what is told.
    fn told((columns, rows): (u32, u32), paper: Paper, margin: Option<i64>) -> Vec<String> {
        let mut course = sample::course();
        course.settings.paper.value = paper;
        let area =
            |w, d| Area { width: Centimetres::from_thousandths(w), depth: Centimetres::from_thousandths(d) };
        course.settings.labels = Some(LabelSheet {
            columns,
            rows,
            written: (None, None),
            size: area(9_900, 5_700),
            margin: margin.map(|m| area(m, m)),
            gap: None,
        });
        findings(&course)
            .into_iter()
            .map(|f| format!("{} | {}", f.message, f.way_out.unwrap_or_default()))
            .collect()
    }

    #[test]
    fn rows_and_columns_that_the_paper_does_not_hold_are_told() {
        assert_eq!(told((2, 5), Paper::A4, None), Vec::<String>::new());
        let letter = told((2, 5), Paper::Letter, None);
        assert_eq!(letter.len(), 1);
        assert!(
            letter[0]
                .starts_with("5 rows of labels reach 28.5 cm, and Letter paper is 27.94 cm: it holds 4,"),
            "{letter:?}"
        );
        assert!(letter[0].contains("`down = 4`"), "{letter:?}");
        let six = told((2, 6), Paper::A4, None);
        assert!(
            six[0].contains("6 rows of labels reach 34.2 cm") && six[0].contains("`down = 5`"),
            "{six:?}"
        );
        let three = told((3, 5), Paper::A4, None);
        assert!(three[0].contains("3 columns") && three[0].contains("`across = 2`"), "{three:?}");
        // The sheet's own bare edge counts.
        let edge = told((2, 5), Paper::A4, Some(1_300));
        assert!(
            edge.len() == 2 && edge[0].contains("reach 21.1 cm") && edge[1].contains("reach 29.8 cm"),
            "{edge:?}"
        );
        assert!(told((1, 1), Paper::A4, Some(15_000))[0].contains("holds none whole"));
    }
}
