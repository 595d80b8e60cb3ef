//! The board: what its file holds, and that it holds together. What it does in a browser is driven by `tests/board/browser.mjs`.

use crate::support::{Sealed, repository};
use benchroll::output::board::page::Home;
use benchroll::pipeline::board::{html, view};
use benchroll::pipeline::{Asked, Outcome, Unwatched, reckon};
use benchroll::read::{FileTree, folder};
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
    let sealed = Sealed::demo();
    let page = sealed.path("board.html");
    std::fs::write(&page, board(Home::Disk)).unwrap();
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
