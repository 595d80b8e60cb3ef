//! The board: what its file holds, and that it holds together. What it does in a browser is driven by `tests/board/browser.mjs`.

use crate::support::{Sealed, repository};
use benchroll::output::board::page::Home;
use benchroll::output::board::view::BoardView;
use benchroll::pipeline::board::{html, view, with_plan};
use benchroll::pipeline::{Asked, Outcome, Reckoned, Unwatched, reckon};
use benchroll::read::{FileTree, folder};
use benchroll::reckon::plan::catch_up::{CaughtUp, Now, catch_up};
use benchroll::reckon::plan::choose::Effort;
use std::collections::{BTreeMap, BTreeSet};
use std::process::Command;
use std::sync::LazyLock;

/// The demo class, reckoned once.
static DEMO: LazyLock<(FileTree, Outcome)> = LazyLock::new(|| {
    let files = folder::load(&repository().join("course")).unwrap();
    let outcome = reckon(&files, Asked::default(), &Unwatched);
    (files, outcome)
});

fn board(home: Home) -> String {
    let (files, outcome) = &*DEMO;
    html(outcome.reckoned.as_ref().unwrap(), files, home).unwrap().unwrap()
}

/// The text between two marks.
fn between<'t>(text: &'t str, from: &str, to: &str) -> &'t str {
    let rest = &text[text.find(from).unwrap() + from.len()..];
    &rest[..rest.find(to).unwrap()]
}

#[test]
fn the_same_course_gives_the_same_bytes_in_one_file_that_reaches_nothing() {
    let page = board(Home::Disk);
    assert_eq!(page, board(Home::Disk));
    let markup = page.replace(between(&page, "id=\"data\">", "</script>"), "");
    // The only address in it is the namespace of drawings.
    let addresses: Vec<&str> =
        markup.match_indices("://").filter_map(|(at, _)| markup[..at + 20].split('"').next_back()).collect();
    assert_eq!(addresses, ["http://www.w3.org/2000/s"], "{addresses:?}");
    assert!(!markup.contains(" src=") && !markup.contains("@import") && !markup.contains("url("), "{markup}");
    let policy = between(&page, "Content-Security-Policy\" content=\"", "\">");
    assert!(
        policy.starts_with("default-src &#x27;none&#x27;;") && !policy.contains("connect-src"),
        "{policy}"
    );
    assert!(board(Home::Program).contains("connect-src"));
}

#[test]
fn nobody_of_the_roll_is_named_on_it() {
    let page = board(Home::Disk);
    let roll = std::fs::read_to_string(repository().join("course/roll.csv")).unwrap();
    for name in roll.lines().skip(1).filter_map(|line| line.split(',').next()) {
        for part in name.split(' ') {
            assert!(!page.contains(part), "{part} of {name} stands on the board");
        }
    }
    for word in ["severe", "allergy", "intolerance", "coeliac", "by choice"] {
        assert!(!page.contains(word), "the board says `{word}`");
    }
    // What a station avoids, as on its sheet.
    assert!(page.contains("\"avoid\":[\"tree nuts\",\"walnut\"]"));
}

#[test]
fn what_is_in_a_stations_own_pieces_is_not_said_to_be_kept_away() {
    let mut files = folder::load(&repository().join("course")).unwrap();
    let roll = std::fs::read_to_string(repository().join("course/roll.csv")).unwrap();
    // Milk is in all three, whatever a variant leaves out.
    let roll =
        roll.replace("walnut (allergy, severe); tree-nuts (allergy, severe)", "milk (choice); fish (choice)");
    files.add("roll.csv", roll.into_bytes());
    let outcome = reckon(&files, Asked::default(), &Unwatched);
    let page = html(outcome.reckoned.as_ref().unwrap(), &files, Home::Disk).unwrap().unwrap();
    let data: serde_json::Value = serde_json::from_str(between(&page, "id=\"data\">", "</script>")).unwrap();
    let rows = data["rows"].as_array().unwrap();
    let telling: Vec<_> =
        rows.iter().filter(|r| r.get("holds").is_some_and(|h| h != &serde_json::json!([]))).collect();
    let own: Vec<_> = telling.iter().filter(|r| r["holds"] == serde_json::json!(["milk"])).collect();
    assert_eq!(own.len(), 1, "{telling:#?}");
    assert_eq!(own[0]["avoid"], serde_json::json!(["fish"]), "{own:#?}");
}

/// The demo class on its Saturday at 14:20, planned again without some things.
fn planned_again_without(things: &[&str]) -> (Reckoned, CaughtUp) {
    let mut reckoned = reckon(&DEMO.0, Asked::default(), &Unwatched).reckoned.unwrap();
    let now = Now {
        time: "2027-03-06T14:20[Europe/Dublin]".parse().unwrap(),
        done: Vec::new(),
        undone: Vec::new(),
        late: Vec::new(),
        without: things.iter().map(|t| (*t).to_owned()).collect(),
        absent: Vec::new(),
    };
    let printed = reckoned.planned.plan.clone().unwrap();
    let Reckoned { course, class, portions, .. } = &reckoned;
    let found = catch_up(course, class, portions, &printed, &now, Effort::quick()).unwrap();
    with_plan(&mut reckoned, found.plan.clone());
    (reckoned, found)
}

/// What each reading is of, by its id.
fn readings_of(view: &BoardView) -> BTreeMap<String, String> {
    let which = |which: &Option<_>| serde_json::to_string(which).unwrap();
    let all: BTreeMap<String, String> = view
        .readings
        .iter()
        .map(|r| (r.id.clone(), format!("{} {} {}", r.printed.what, which(&r.printed.which), r.action)))
        .collect();
    assert_eq!(all.len(), view.readings.len(), "no two have one id");
    all
}

/// What was written down of load 1 stands for load 1 on the next board, too, wherever it comes in that one's list.
#[test]
fn a_reading_has_the_same_id_in_another_plan_of_the_day() {
    let (files, outcome) = &*DEMO;
    let printed = view(outcome.reckoned.as_ref().unwrap(), files).unwrap();
    let again = view(&planned_again_without(&["oven-2"]).0, files).unwrap();
    let (was, is) = (readings_of(&printed), readings_of(&again));
    let order = |view: &BoardView| view.readings.iter().map(|r| r.id.clone()).collect::<Vec<_>>();
    assert_ne!(order(&printed), order(&again), "the other plan reads in another order");
    for (id, what) in &was {
        assert!(is.get(id).is_none_or(|now| now == what), "{id} was {what}, and is {}", is[id]);
    }
    let loads = |all: &BTreeMap<String, String>| {
        all.keys().filter(|id| id.starts_with("load-")).cloned().collect::<BTreeSet<_>>()
    };
    assert_eq!(loads(&was).len(), 9);
    assert_eq!(loads(&was), loads(&is));
}

/// The tasks that the clocks of a part hang on, by the view's own numbers.
fn clocks_of(view: &BoardView, what: &str) -> Vec<Vec<String>> {
    let clocks = view.readings.iter().filter(|r| r.id.starts_with("out-") && r.printed.what == what);
    let task = |moment: &usize| {
        format!("{}{}", view.slips.tasks[moment / 2].0, if moment % 2 == 1 { " ends" } else { "" })
    };
    clocks.map(|r| r.after.iter().map(|(moment, _)| task(moment)).collect()).collect()
}

/// Each station takes its share out of the cold at its own time, and the clock of it runs from there: not from the end of the stand,
/// which is when the last one takes it.
#[test]
fn a_clock_hangs_on_what_takes_its_food_out() {
    let (files, outcome) = &*DEMO;
    let printed = view(outcome.reckoned.as_ref().unwrap(), files).unwrap();
    let takers = |what: &str, step: &str| -> BTreeSet<String> {
        let all = clocks_of(&printed, what).concat();
        all.iter()
            .filter_map(|t| t.strip_prefix(&format!("{step}@station-")))
            .map(ToOwned::to_owned)
            .collect()
    };
    let stations = |all: &str| all.split(' ').map(ToOwned::to_owned).collect::<BTreeSet<_>>();
    assert_eq!(takers("Custard buns: custard", "custard-buns.well"), stations("1 2 3 4 5 6"));
    // Of the filling one station's share waits on the bench: it is out when the stand ends. One has a filling of its own.
    assert_eq!(takers("Walnut crown: filling", "walnut-crown.fill"), stations("1 2 3 6"));
    assert!(!clocks_of(&printed, "Custard buns: custard").concat().iter().any(|t| t.contains(".set@")));
}

/// A dough that leaves the cold in the same minute is another food.
#[test]
fn a_clock_hangs_on_nothing_of_another_part() {
    let mut reckoned = reckon(&DEMO.0, Asked::default(), &Unwatched).reckoned.unwrap();
    let mut plan = reckoned.planned.plan.clone().unwrap();
    let outs: Vec<_> = plan
        .tasks
        .iter()
        .filter(|t| t.id.starts_with("custard-buns.well@"))
        .map(|t| t.start.clone())
        .collect();
    let chills = plan.tasks.iter_mut().filter(|t| t.id.starts_with("custard-buns.chill@"));
    let mut moved = 0;
    for (chill, out) in chills.zip(&outs) {
        chill.end = out.clone();
        moved += 1;
    }
    assert!(moved > 0);
    with_plan(&mut reckoned, plan);
    let view = view(&reckoned, &DEMO.0).unwrap();
    let on: Vec<String> = clocks_of(&view, "Custard buns: custard").concat();
    assert!(on.iter().any(|t| t.contains(".well@")), "{on:?}");
    assert!(!on.iter().any(|t| t.contains(".chill@")), "{on:?}");
}

/// Without any oven the day has a board all the same, and it says what is not done.
#[test]
fn what_cannot_be_done_any_more_stands_on_the_board() {
    let (reckoned, found) = planned_again_without(&["oven-1", "oven-2"]);
    let gone = found.left_out.all();
    assert!(gone.iter().any(|id| id.contains(".bake@")), "{gone:?}");
    let view = view(&reckoned, &DEMO.0).expect("there is a board");
    let said: BTreeSet<String> = view.left_out.iter().map(|left| left.id.clone()).collect();
    assert_eq!(said, gone);
    let load = view.left_out.iter().find(|left| left.id == "walnut-crown.bake@load-1").unwrap();
    assert_eq!((load.of.as_str(), load.load), ("Walnut crown", Some(1)));
    let (files, outcome) = &*DEMO;
    assert!(
        benchroll::pipeline::board::view(outcome.reckoned.as_ref().unwrap(), files)
            .unwrap()
            .left_out
            .is_empty()
    );
}

#[test]
fn what_a_station_avoids_is_said_in_the_courses_language() {
    let mut files = folder::load(&repository().join("course")).unwrap();
    let course = std::fs::read_to_string(repository().join("course/course.toml")).unwrap();
    assert!(course.contains("language = \"en\""), "{course}");
    files.add("course.toml", course.replace("language = \"en\"", "language = \"de\"").into_bytes());
    let outcome = reckon(&files, Asked::default(), &Unwatched);
    let page = html(outcome.reckoned.as_ref().unwrap(), &files, Home::Disk).unwrap().unwrap();
    assert!(page.contains("\"avoid\":[\"Schalenfrüchte\",\"Walnuss\"]"));
    assert!(!page.contains("\"tree nuts\""));
}

#[test]
fn what_people_typed_cannot_end_the_data() {
    let nasty = "</script><img src=x onerror=alert(1)>\u{2028}{{ 7 * 7 }}<!--";
    let course = std::fs::read_to_string(repository().join("course/course.toml")).unwrap();
    let course =
        course.replace("Soft doughs: a weekend at the bench", nasty).replace("Names, the plan", nasty);
    let mut files = folder::load(&repository().join("course")).unwrap();
    files.add("course.toml", course.into_bytes());
    let outcome = reckon(&files, Asked::default(), &Unwatched);
    let page = html(outcome.reckoned.as_ref().unwrap(), &files, Home::Disk).unwrap().unwrap();
    assert!(!page.contains("<img") && !page.contains("<!--"));
    assert!(!between(&page, "id=\"data\">", "</script>").contains(['<', '>', '&', '\u{2028}']));
    assert_eq!(page.matches("<script").count(), 2);
    assert_eq!(page.matches("</script>").count(), 2);
    let data: serde_json::Value = serde_json::from_str(between(&page, "id=\"data\">", "</script>")).unwrap();
    assert_eq!(data["course"], nasty);
    assert!(between(&page, "<title>", "</title>").contains("&lt;&#x2f;script&gt;"), "{page}");
}

/// A plan without a slip breaks nothing: each limit holds, and each arrow.
#[test]
fn the_moments_are_the_plans() {
    let (files, outcome) = &*DEMO;
    let reckoned = outcome.reckoned.as_ref().unwrap();
    let view = view(reckoned, files).unwrap();
    let planned = &view.slips.planned;
    for (from, to, least) in &view.slips.arrows {
        assert!(planned[*to] - planned[*from] >= *least, "{from} to {to}");
    }
    for (from, to, most, task) in &view.slips.limits {
        assert!(planned[*to] - planned[*from] <= *most, "{:?}", view.slips.tasks[*task]);
    }
    // Every task of the plan is on the board, at its own minute, in the rows of those who do it.
    let plan = reckoned.planned.plan.as_ref().unwrap();
    assert_eq!(view.tasks.len(), plan.tasks.len());
    for (task, shown) in plan.tasks.iter().zip(&view.tasks) {
        assert_eq!(view.slips.zero + planned[2 * shown.n], shown.from, "{}", task.id);
        assert_eq!(shown.from, task.start.timestamp().as_second() / 60, "{}", task.id);
        for station in &task.stations {
            assert!(shown.rows.contains(&format!("station-{station}")), "{}", task.id);
        }
        for who in &task.by {
            let at_ends = shown.ends.as_ref().is_some_and(|(a, b, _)| a == who || b == who);
            assert!(at_ends || shown.rows.contains(who), "{}: {who}", task.id);
        }
    }
    for row in ["teacher", "helper-1", "station-6", "small-mixer-4", "large-mixer-1", "oven-2"] {
        assert!(view.rows.iter().any(|r| r.key == row), "{row}");
    }
}

#[test]
fn a_board_template_of_the_courses_own_is_used_and_its_mistake_told() {
    let sealed = Sealed::demo().file("course/templates/board.html", "<p>{{ course }}</p>\n");
    let files = folder::load(&sealed.path("course")).unwrap();
    let reckoned = DEMO.1.reckoned.as_ref().unwrap();
    assert_eq!(
        html(reckoned, &files, Home::Disk).unwrap().unwrap(),
        "<p>Soft doughs: a weekend at the bench</p>"
    );
    let sealed = sealed.file("course/templates/board.html", "<p>\n{{ course\n</p>\n");
    let files = folder::load(&sealed.path("course")).unwrap();
    let finding = html(reckoned, &files, Home::Disk).unwrap().unwrap_err();
    assert_eq!(finding.code.0, "template-error");
    assert_eq!(finding.file.as_deref(), Some("templates/board.html"));
    assert!(finding.message.contains("line "), "{}", finding.message);
}

/// The class in a real browser. `.ci/run` installs what it needs and sets the variable; without it this says that it was left
/// out.
#[test]
fn a_class_is_run_through_in_a_browser() {
    let Some(modules) = std::env::var_os("BENCHROLL_BROWSER") else {
        println!("left out: BENCHROLL_BROWSER does not name the folder of node modules for the browser");
        return;
    };
    // The hands on the board know the minutes of one plan: that of a tasting which waits for nothing but its place at the end.
    let sealed = Sealed::demo().edit("course/course.toml", "after = [\"custard-buns.cool\"]\n", "");
    let files = folder::load(&sealed.path("course")).unwrap();
    let reckoned = reckon(&files, Asked::default(), &Unwatched).reckoned.unwrap();
    let page = sealed.path("board.html");
    std::fs::write(&page, html(&reckoned, &files, Home::Disk).unwrap().unwrap()).unwrap();
    let run = Command::new("node")
        .arg(repository().join("tests/board/browser.mjs"))
        .arg(&page)
        .arg(env!("CARGO_BIN_EXE_benchroll"))
        .arg(sealed.path(""))
        .args(std::env::var_os("BENCHROLL_PICTURES"))
        .env("BENCHROLL_BROWSER", &modules)
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&run.stdout);
    println!("{said}{}", String::from_utf8_lossy(&run.stderr));
    assert!(run.status.success());
}
