//! The files for programs and spreadsheets that stand beside the printed documents.

use super::Reckoned;
use crate::output::calendar::calendar;
use crate::output::files::OutputFile;
use crate::output::json::equip::EquipView;
use crate::output::json::order::OrderView;
use crate::output::json::plan::PlanView;
use crate::output::json::scale::ScaleView;
use crate::output::json::to_text;
use crate::output::{order_tables, weigh_tables};

/// Every data file of a class, none of which holds a name.
#[must_use]
pub fn data_files(reckoned: &Reckoned) -> Vec<OutputFile> {
    let (course, order) = (&reckoned.course, &reckoned.order);
    let calendar = reckoned.planned.plan.as_ref().map(|plan| file("data/plan.ics", calendar(course, plan)));
    let mut files = vec![
        file("data/equip.json", to_text(&EquipView::of(&reckoned.equipment))),
        file("data/order.csv", order_tables::for_spreadsheet(course, order).to_csv()),
        file("data/order.json", to_text(&OrderView::of(course, order))),
        file("data/plan.json", to_text(&PlanView::of(&reckoned.planned, None))),
        file("data/scale.json", to_text(&ScaleView::of(&reckoned.weighed, &reckoned.mixes()))),
        file("data/weigh-out.csv", weigh_tables::for_spreadsheet(course, &reckoned.weighed).to_csv()),
    ];
    files.extend(calendar);
    files
}

fn file(path: &str, text: String) -> OutputFile {
    OutputFile { path: path.to_owned(), bytes: text.into_bytes(), private: false }
}
