//! Several classes as tables: when they are, what clashes, what a month holds.

use super::table::{Cell, Column, Table};
use crate::reckon::season::{Clash, Month, SeasonClass, first_day};

/// The classes in the order of their first day.
#[must_use]
pub fn classes(classes: &[SeasonClass<'_>]) -> Table {
    let columns = vec![
        Column::text("folder"),
        Column::text("class"),
        Column::text("from"),
        Column::count("students"),
        Column::text("fits"),
    ];
    let mut table = Table::new("Classes", columns);
    for class in classes {
        let from = first_day(class.course)
            .map_or(Cell::Unknown, |d| Cell::text(d.strftime("%a %-d %b %Y").to_string()));
        let fits = match class.plan {
            Some(plan) if plan.fits => "yes".to_owned(),
            Some(plan) => plan.too_long(),
            None => "no plan".to_owned(),
        };
        table.row(vec![
            class.name.into(),
            class.course.settings.name.value.as_str().into(),
            from,
            class.headcount.into(),
            fits.into(),
        ]);
    }
    table
}

/// How many there are; where the kitchen files differ, each class's own number in the order of the classes.
fn there_are(clash: &Clash) -> Cell {
    if clash.differs.is_empty() {
        return clash.on_hand.into();
    }
    clash.differs.iter().map(|(_, n)| n.to_string()).collect::<Vec<_>>().join(" or ").into()
}

/// What clashes.
#[must_use]
pub fn clashes(clashes: &[Clash]) -> Table {
    let columns = vec![
        Column::text("what"),
        Column::text("from"),
        Column::text("to"),
        Column::count("needed"),
        Column::count("there are"),
        Column::text("classes"),
    ];
    let mut table = Table::new("Needed by several classes at the same time", columns);
    for clash in clashes {
        let days = clash.from.date() != clash.to.date();
        let to = if days { "%a %-d %b %H:%M" } else { "%H:%M" };
        table.row(vec![
            clash.resource.as_str().into(),
            clash.from.strftime("%a %-d %b %H:%M").to_string().into(),
            clash.to.strftime(to).to_string().into(),
            clash.needed.into(),
            there_are(clash),
            clash.courses.join(", ").into(),
        ]);
    }
    table
}

/// The months.
#[must_use]
pub fn months(months: &[Month], currency: &str) -> Table {
    let columns = vec![
        Column::text("month"),
        Column::count("classes"),
        Column::count("students"),
        Column::span("helpers"),
        Column::money("ingredients", currency),
        Column::money("fees", currency),
    ];
    let mut table = Table::new("By month", columns);
    for month in months {
        table.row(vec![
            month.first.strftime("%B %Y").to_string().into(),
            month.classes.into(),
            month.students.into(),
            month.helpers.into(),
            month.ingredients.into(),
            month.fees.map_or(Cell::Unknown, Cell::Money),
        ]);
    }
    table
}
