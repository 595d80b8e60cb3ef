//! The demo class, read, reckoned and planned once; its pages are made from the real numbers.

use benchroll::course::Course;
use benchroll::pipeline::{Asked, Reckoned, Unwatched, reckon};
use benchroll::read::folder;
use benchroll::typeset::views::desk::Desk;
use benchroll::typeset::views::home_recipe::HomeRecipe;
use benchroll::typeset::views::joining_note::JoiningNote;
use benchroll::typeset::views::order_sheet::OrderSheet;
use benchroll::typeset::views::oven_and_cold::OvenAndCold;
use benchroll::typeset::views::prep_sheet::PrepSheet;
use benchroll::typeset::views::pull_list::PullList;
use benchroll::typeset::views::room_card::RoomCard;
use benchroll::typeset::views::run_sheet::RunSheet;
use benchroll::typeset::views::sign_in::Roll;
use benchroll::typeset::views::slips::Slips;
use benchroll::typeset::views::station_sheet;
use benchroll::typeset::views::weigh_out::WeighOut as WeighOutSheet;
use serde_json::{Value, json};
use std::sync::OnceLock;

fn reckoned() -> &'static Reckoned {
    static DEMO: OnceLock<Reckoned> = OnceLock::new();
    DEMO.get_or_init(|| {
        let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("course");
        let outcome = reckon(&folder::load(&root).unwrap(), Asked::default(), &Unwatched);
        outcome.reckoned.expect("the demo course is sound")
    })
}

pub fn course() -> &'static Course {
    &reckoned().course
}

pub fn desk() -> Desk<'static> {
    let r = reckoned();
    Desk::new(&r.course, &r.class, r.planned.plan.as_ref().expect("and has a plan"), &r.weighed)
}

/// Every document of the demo class by its name.
pub fn all() -> Vec<(String, Value)> {
    let desk = desk();
    let mut docs = Vec::new();
    for (no, session, sheet) in station_sheet::all(&desk) {
        docs.push((format!("demo-station-{no}-{session}"), json!(sheet)));
    }
    for session in &course().sessions {
        docs.push((format!("demo-run-{}", session.id.value), json!(RunSheet::of(&desk, session))));
    }
    for session in &course().sessions {
        docs.push((format!("demo-oven-{}", session.id.value), json!(OvenAndCold::of(&desk, session))));
    }
    for (day, sheet) in PrepSheet::all(&desk) {
        docs.push((format!("demo-prep-{day}"), json!(sheet)));
    }
    for lesson in &course().lessons {
        let formula = course().formula(&lesson.formula.value).unwrap();
        let sheet = HomeRecipe::of(&desk, formula, Some(lesson), None).unwrap();
        docs.push((format!("demo-home-{}", lesson.id.value), json!(sheet)));
    }
    docs.push(("demo-weigh-out".to_owned(), json!(WeighOutSheet::of(&desk))));
    docs.push(("demo-slips".to_owned(), json!(Slips::of(&desk))));
    for (n, sheet) in OrderSheet::all(&desk, &reckoned().order).into_iter().enumerate() {
        docs.push((format!("demo-order-{}", n + 1), json!(sheet)));
    }
    docs.push(("demo-pull-list".to_owned(), json!(PullList::of(&desk, &reckoned().equipment))));
    docs.push(("demo-roll".to_owned(), json!(Roll::of(&desk))));
    docs.push(("demo-joining".to_owned(), json!(JoiningNote::of(&desk, None))));
    docs.push(("demo-room".to_owned(), json!(RoomCard::of(&desk))));
    docs
}
