//! After the class, as tables: the shelf, what goes back, and by when data are forgotten.

use super::equip_tables::name_of as thing;
use super::table::{Cell, Column, Table};
use super::weigh_tables::name_of;
use crate::course::Course;
use crate::reckon::after::{OnShelf, Shelf, returns as all_returns, rows_with_health_data};
use crate::reckon::order::words_of;

/// What goes back to whom and when.
#[must_use]
pub fn returns(course: &Course) -> Table {
    let columns =
        vec![Column::text("goes back"), Column::count("how many"), Column::text("to"), Column::text("by")];
    let mut table = Table::new("Borrowed or hired", columns);
    for one in all_returns(course) {
        let by = one.loan.back_by.as_ref();
        table.row(vec![
            thing(course, &one.item.value).into(),
            one.loan.count.value.into(),
            one.loan.from.value.clone().into(),
            by.map_or(Cell::Unknown, |d| d.value.strftime("%a %-d %b %Y").to_string().into()),
        ]);
    }
    if table.body.is_empty() {
        table.row(vec!["nothing".into(), Cell::Blank, Cell::Blank, Cell::Blank]);
    }
    table
}

/// The shelf before and after.
#[must_use]
pub fn shelves(course: &Course, shelves: &[Shelf]) -> Table {
    let columns = ["ingredient", "on the shelf before", "after the class"].map(Column::text);
    let mut table = Table::new("The shelf", columns.to_vec());
    for shelf in shelves {
        table.row(vec![
            name_of(course, &shelf.item).into(),
            words(&shelf.was).into(),
            words(&shelf.then).into(),
        ]);
    }
    table
}

fn words(shelf: &[OnShelf]) -> String {
    let one = |(of, best): &OnShelf| match best {
        Some(best) => format!("{} (best before {best})", words_of(*of)),
        None => words_of(*of),
    };
    shelf.iter().map(one).collect::<Vec<_>>().join(", ")
}

/// By when health data go, and how many rows hold any.
#[must_use]
pub fn forget(course: &Course) -> String {
    let rows = rows_with_health_data(course);
    let rows = super::text::counted(rows, "row of the roll holds", "rows of the roll hold");
    match &course.settings.forget_by {
        Some(day) => {
            let day = day.value.strftime("%A %-d %B %Y");
            format!(
                "\n{rows} what somebody avoids or needs; it goes by {day}: `benchroll after COURSE --forget`."
            )
        }
        None => format!(
            "\n{rows} what somebody avoids or needs; course.toml does not say by when it goes (`forget-by`)."
        ),
    }
}
