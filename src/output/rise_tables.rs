//! Yeast for another rise, as a table.

use super::table::{Cell, Column, Table};
use super::weigh_tables::name_of;
use crate::course::Course;
use crate::reckon::rise::OtherRise;
use crate::units::{Celsius, Minutes};

/// The yeast of each formula for a rise of `time` at `at`.
#[must_use]
pub fn table(course: &Course, rises: &[OtherRise], time: Minutes, at: Celsius) -> Table {
    let mut table = Table::new(
        format!(
            "Yeast for a rise of {time} at {} C: an estimate ({}), never a promise; look at the dough",
            at.to_decimal().normalize(),
            course.settings.conventions.rise.value.row()
        ),
        vec![
            Column::text("dough"),
            Column::text("yeast"),
            Column::text("as it is written"),
            Column::text("for this rise"),
        ],
    );
    for rise in rises {
        let known = rise.known;
        let (about, beyond) = match rise.about {
            Some(e) if e.within_rules => (format!("about {}", e.about), ""),
            Some(e) => (format!("about {}", e.about), "; beyond what the rule is used for: try it first"),
            None => ("unknown".to_owned(), ""),
        };
        table.row(vec![
            format!("{}, {}", rise.formula, rise.part).into(),
            name_of(course, &rise.item).into(),
            format!(
                "{}: {} {} at {} °C",
                known.yeast,
                rise.step,
                known.time,
                known.at.to_decimal().normalize()
            )
            .into(),
            Cell::from(format!("{about}{beyond}")),
        ]);
    }
    table
}
