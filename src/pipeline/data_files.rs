//! The files for programs and spreadsheets that stand beside the printed documents, and the e-mail texts.

use super::board::board;
use super::{Reckoned, mails};
use crate::finding::Sources;
use crate::output::calendar::calendar;
use crate::output::files::OutputFile;
use crate::output::json::equip::EquipView;
use crate::output::json::order::OrderView;
use crate::output::json::plan::PlanView;
use crate::output::json::scale::ScaleView;
use crate::output::json::to_text;
use crate::output::order_workbook::order_workbook;
use crate::output::{order_tables, weigh_tables};
use crate::read::FileTree;

/// Everything that stands beside the printed documents: the data files, the texts to suppliers and the board.
///
/// # Errors
/// Why one of them cannot be made, as a sentence. What is wrong with the board's template is among the findings already.
pub fn beside(reckoned: &Reckoned, files: &FileTree) -> Result<Vec<OutputFile>, String> {
    let mut all = data_files(reckoned, files)?;
    all.extend(board(reckoned, files).and_then(Result::ok));
    Ok(all)
}

/// Every data file of a class and the texts to its suppliers, none of which holds a student's name.
///
/// # Errors
/// Why one of them cannot be made, as a sentence.
fn data_files(reckoned: &Reckoned, files: &FileTree) -> Result<Vec<OutputFile>, String> {
    let course = &reckoned.course;
    let mut plan = PlanView::of(&reckoned.planned, None);
    plan.with_odds(reckoned.odds().as_ref());
    let mut all = vec![
        file("data/equip.json", to_text(&EquipView::of(&reckoned.equipment, &reckoned.places))),
        file("data/plan.json", to_text(&plan)),
        file("data/scale.json", to_text(&ScaleView::of(&reckoned.weighed, &reckoned.mixes()))),
        file("data/weigh-out.csv", weigh_tables::for_spreadsheet(course, &reckoned.weighed).to_csv()),
    ];
    all.extend(reckoned.planned.plan.as_ref().map(|plan| file("data/plan.ics", calendar(course, plan))));
    all.extend(order_files(reckoned, files)?);
    all.sort_by(|a, b| a.path.cmp(&b.path));
    Ok(all)
}

/// The order as workbook, CSV and JSON, and a letter to each supplier.
///
/// # Errors
/// Why one of them cannot be made, as a sentence.
pub fn order_files(reckoned: &Reckoned, files: &FileTree) -> Result<Vec<OutputFile>, String> {
    let (course, order) = (&reckoned.course, &reckoned.order);
    let workbook = order_workbook(course, order, &reckoned.weighed, &reckoned.costs)?;
    let mut all = vec![
        file("data/order.csv", order_tables::for_spreadsheet(course, order).to_csv()),
        file("data/order.json", to_text(&OrderView::of(course, order, &reckoned.costs))),
        OutputFile { path: "data/order.xlsx".to_owned(), bytes: workbook, private: false },
    ];
    let mails = mails::mails(reckoned, files, &mut Sources::default()).map_err(|finding| finding.message)?;
    all.extend(mails.into_iter().map(|m| file(&format!("order-{}.txt", m.supplier), m.text)));
    Ok(all)
}

fn file(path: &str, text: String) -> OutputFile {
    OutputFile { path: path.to_owned(), bytes: text.into_bytes(), private: false }
}
