//! The files for programs and spreadsheets that stand beside the printed documents.

use super::files::OutputFile;
use super::json::equip::EquipView;
use super::json::order::OrderView;
use super::json::plan::PlanView;
use super::json::scale::ScaleView;
use super::{order_tables, weigh_tables};
use crate::pipeline::Reckoned;
use serde::Serialize;

/// Every data file of a class, none of which holds a name.
#[must_use]
pub fn data_files(reckoned: &Reckoned) -> Vec<OutputFile> {
    let (course, order) = (&reckoned.course, &reckoned.order);
    vec![
        file("data/equip.json", json(&EquipView::of(&reckoned.equipment))),
        file("data/order.csv", order_tables::for_spreadsheet(course, order).to_csv()),
        file("data/order.json", json(&OrderView::of(course, order))),
        file("data/plan.json", json(&PlanView::of(&reckoned.planned, None))),
        file("data/scale.json", json(&ScaleView::of(&reckoned.weighed))),
        file("data/weigh-out.csv", weigh_tables::for_spreadsheet(course, &reckoned.weighed).to_csv()),
    ]
}

fn file(path: &str, text: String) -> OutputFile {
    OutputFile { path: path.to_owned(), bytes: text.into_bytes(), private: false }
}

fn json(view: &impl Serialize) -> String {
    // Views hold strings, numbers and lists: there is nothing in them that cannot be written.
    serde_json::to_string_pretty(view).unwrap_or_default() + "\n"
}
