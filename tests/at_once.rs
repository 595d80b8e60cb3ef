//! What `live` shows at once after a save: the amounts as they are now, the times of the former plan; and only where that holds.

use benchroll::pipeline::at_once::at_once;
use benchroll::pipeline::memo::Memo;
use benchroll::pipeline::printing::Lent;
use benchroll::pipeline::{Asked, Unwatched, reckon};
use benchroll::read::{FileTree, folder};
use benchroll::reckon::plan::former::still_holds;
use benchroll::reckon::plan::timetable::Plan;
use benchroll::typeset::{Kind, MemoryShelf, Printed};
use std::path::Path;

fn demo() -> FileTree {
    folder::load(&Path::new(env!("CARGO_MANIFEST_DIR")).join("course")).unwrap()
}

/// The demo with another text in a file.
fn changed(file: &str, was: &str, now: &str) -> FileTree {
    let mut files = demo();
    let text = String::from_utf8(files.bytes(file).unwrap().to_vec()).unwrap();
    assert!(text.contains(was), "{file} has no {was}");
    files.add(file, text.replacen(was, now, 1));
    files
}

fn sheet_of(files: &FileTree, kind: Kind, path: &str) -> Option<Printed> {
    let former = &crate::documents::demo::reckoned().planned.plan;
    let fetch = |_: &str| Err("there is none".to_owned());
    let lent = Lent { fetch: &fetch, shelf: &MemoryShelf::default(), anonymous: false };
    let press = Memo::default().press(&files.overrides());
    at_once(files, lent, former.as_ref().unwrap(), &press, (kind, path), &Unwatched)
}

#[test]
fn another_amount_is_printed_with_the_times_of_the_former_plan() {
    let more_milk = changed("formulas/four-braid.toml", "milk = \"47 %\"", "milk = \"48 %\"");
    let was = sheet_of(&demo(), Kind::StationSheet, "station-1-sat.pdf").unwrap();
    let now = sheet_of(&more_milk, Kind::StationSheet, "station-1-sat.pdf").unwrap();
    assert!(was.pdf != now.pdf && was.pages == now.pages);
}

/// A heavier piece: the times stay, and what goes into the bowls is what the course says now.
#[test]
fn a_former_plan_takes_the_amounts_of_now() {
    let heavier = changed("formulas/four-braid.toml", "dough = \"460 g\"", "dough = \"462 g\"");
    let anew = reckon(&heavier, Asked::default(), &Unwatched).reckoned.unwrap();
    let former = crate::documents::demo::reckoned().planned.plan.as_ref().unwrap();
    let held = still_holds(former, &anew.course, &anew.class, &anew.portions, &anew.options).unwrap();
    assert_eq!(held.tasks, former.tasks);
    let grams = |plan: &Plan| plan.choice.batches.values().flatten().map(|b| b.grams.mg()).sum::<i64>();
    assert!(grams(&held) > grams(former));
    assert_eq!(grams(&held), grams(anew.planned.plan.as_ref().unwrap()));
}

#[test]
fn other_steps_are_planned_first() {
    let lesson = "lessons/four-braid.toml";
    let slower = changed(
        lesson,
        "takes = \"10 to 20 min, usually 15\", draw = \"divide\"",
        "takes = \"20 to 40 min, usually 30\", draw = \"divide\"",
    );
    assert!(sheet_of(&slower, Kind::StationSheet, "station-1-sat.pdf").is_none());
    let half_typed = changed(lesson, "steps = [", "steps = [ {");
    assert!(sheet_of(&half_typed, Kind::StationSheet, "station-1-sat.pdf").is_none());
    // How sure the times are is found anew with the plan.
    assert!(sheet_of(&demo(), Kind::RunSheet, "run-sheet-sat.pdf").is_none());
}
