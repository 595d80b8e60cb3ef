//! Hours and breaks of single people of the staff, as people see them: on paper, in the terminal, in the calendar, on the board.

use crate::support::{Sealed, repository};
use crate::take_home::{named, reckoned, sheets_of};
use benchroll::pipeline::board::view;
use benchroll::pipeline::{Asked, Unwatched, reckon};
use benchroll::read::folder;
use benchroll::typeset::views::desk::Desk;
use benchroll::typeset::views::prep_sheet::PrepSheet;
use serde_json::{Value, json};

type Change = (&'static str, &'static str, &'static str);

const HELPER: Change =
    ("course.toml", "teacher = \"Mara Holt\"", "teacher = \"Mara Holt\"\nhelpers = [\"Ada Finch\"]");
/// The helper comes at one, has a break, and goes at four; the teacher has a break.
const WITH: [Change; 2] = [
    HELPER,
    (
        "course.toml",
        "[[steps]]\nid = \"welcome\"",
        "[[presence]]\nwho = \"Ada Finch\"\ndate = 2027-03-06\nthere = \"13:00 to 16:00\"\nbreaks = \"14:30 to 14:40\"\n\n\
         [[presence]]\nwho = \"Mara Holt\"\ndate = 2027-03-06\nbreaks = \"13:05 to 13:20\"\n\n[[steps]]\nid = \"welcome\"",
    ),
];

fn sealed() -> Sealed {
    Sealed::small().edit("course/course.toml", HELPER.1, HELPER.2).edit(
        "course/course.toml",
        WITH[1].1,
        WITH[1].2,
    )
}

/// The blocks of somebody's lane by tone.
fn lane(sheet: &Value, who: &str, tone: &str) -> Vec<(i64, i64)> {
    let lanes = sheet["lanes"].as_array().unwrap();
    let lane = lanes.iter().find(|l| l["group"] == "people" && l["name"] == who).unwrap();
    let blocks = lane["blocks"].as_array().unwrap().iter().filter(|b| b["tone"] == tone);
    blocks.map(|b| (b["from"].as_i64().unwrap(), b["to"].as_i64().unwrap())).collect()
}

#[test]
fn the_run_sheet_has_them_in_the_lanes_and_by_the_clock() {
    let all = sheets_of(&WITH);
    let sheet = named(&all, "run-sheet");
    let (from, to) = (sheet["from"].as_i64().unwrap(), sheet["to"].as_i64().unwrap());
    assert_eq!(lane(sheet, "Ada Finch", "off"), [(870, 880)]);
    assert_eq!(lane(sheet, "Ada Finch", "away"), [(from, 780), (960, to)]);
    assert_eq!(lane(sheet, "Mara Holt", "off"), [(785, 800)]);
    assert_eq!(lane(sheet, "Mara Holt", "away"), []);
    let line = |at: i64, who: &str, what: &str, to: Option<i64>| json!({ "at": at, "to": to, "who": who, "what": what });
    assert_eq!(
        sheet["own_hours"],
        json!([
            line(780, "Ada Finch", "comes", None),
            line(785, "Mara Holt", "break", Some(800)),
            line(870, "Ada Finch", "break", Some(880)),
            line(960, "Ada Finch", "goes", None),
        ])
    );
    // Nothing of it where nothing is written, and nothing where it says no more than the hours of all.
    let none = sheets_of(&[HELPER]);
    let same = "[[presence]]\nwho = \"Ada Finch\"\ndate = 2027-03-06\nthere = \"11:00 to 18:00\"\n\n[[steps]]\nid = \"welcome\"";
    let same = sheets_of(&[HELPER, ("course.toml", "[[steps]]\nid = \"welcome\"", same)]);
    assert!(named(&none, "run-sheet").get("own_hours").is_none());
    assert_eq!(named(&none, "run-sheet"), named(&same, "run-sheet"));
}

#[test]
fn the_terminal_draws_them_and_lists_them() {
    let said = sealed().run(&["plan", "course"]);
    assert_eq!(said.exit, Some(0), "{said}");
    insta::assert_snapshot!("terminal", said.stdout);
    assert!(said.stdout.lines().all(|line| line.chars().count() <= 80), "{said}");
}

#[test]
fn each_break_is_in_the_calendar_under_a_name_that_stays() {
    let events = |sealed: &Sealed| -> Vec<(String, String, String, String)> {
        let said = sealed.run(&["plan", "course", "--calendar"]);
        let text = said.stdout.replace("\r\n ", "");
        let of = |event: &str, key: &str| {
            let line = event.lines().find_map(|l| l.strip_prefix(&format!("{key}:")));
            line.unwrap_or_else(|| panic!("no {key} in {event}")).to_owned()
        };
        let all = text.split("BEGIN:VEVENT").skip(1);
        let breaks = all.filter(|event| event.contains("SUMMARY:Break"));
        breaks.map(|e| (of(e, "UID"), of(e, "SUMMARY"), of(e, "DTSTART"), of(e, "DTEND"))).collect()
    };
    let found = events(&sealed());
    let times: Vec<_> =
        found.iter().map(|(_, name, from, to)| (name.as_str(), from.as_str(), to.as_str())).collect();
    assert_eq!(
        times,
        [
            ("Break: Mara Holt", "20270306T130500Z", "20270306T132000Z"),
            ("Break: Ada Finch", "20270306T143000Z", "20270306T144000Z"),
        ]
    );
    assert!(found[1].0.starts_with("break-1.helper-1.2027-03-06-"), "{found:?}");
    // At another time it is the same entry of the phone's.
    let later = sealed().edit("course/course.toml", "14:30 to 14:40", "14:50 to 15:05");
    let later = events(&later);
    assert_eq!((&later[1].0, later[1].2.as_str()), (&found[1].0, "20270306T145000Z"));
    assert!(events(&Sealed::small()).is_empty());
}

#[test]
fn the_board_knows_when_somebody_has_no_work() {
    let outcome = reckoned(&WITH);
    let files = folder::load(&repository().join("tests/courses/small")).unwrap();
    let board = view(outcome.reckoned.as_ref().unwrap(), &files).unwrap();
    let noon =
        "2027-03-06T12:00[Europe/Dublin]".parse::<jiff::ZonedDateTime>().unwrap().timestamp().as_second()
            / 60;
    let away = |key: &str| -> Vec<(i64, i64, bool)> {
        let row = board.rows.iter().find(|r| r.key == key).unwrap();
        row.away.iter().map(|a| (a.from - noon, a.to - noon, a.pause)).collect()
    };
    let day = &board.days[0];
    assert_eq!(
        away("helper-1"),
        [(day.from - noon, 60, false), (150, 160, true), (240, day.to - noon, false)]
    );
    assert_eq!(away("teacher"), [(65, 80, true)]);
    assert_eq!(away("station-1"), []);
    // It is in the page's data, and only there where somebody has any.
    let data = serde_json::to_value(&board).unwrap();
    let rows = data["rows"].as_array().unwrap();
    assert_eq!(rows.iter().filter(|r| r.get("away").is_some()).count(), 2);
}

/// Friday evening of the demo class in the empty kitchen: the helper comes later, has a break and goes before the last.
#[test]
fn the_prep_sheet_says_who_comes_and_goes_while_no_class_is_there() {
    let mut files = folder::load(&repository().join("course")).unwrap();
    let lines = |rows: &str, files: &mut benchroll::read::FileTree| {
        crate::support::put_in(files, "course.toml", &[("[[steps]]", format!("{rows}[[steps]]"))]);
        let outcome = reckon(files, Asked::default(), &Unwatched);
        let r = outcome.reckoned.unwrap_or_else(|| panic!("{:#?}", outcome.findings));
        let plan = r.planned.plan.as_ref().unwrap();
        let desk = Desk::new(&r.course, &r.class, plan, &r.weighed);
        let (_, sheet) = PrepSheet::all(&desk).into_iter().next().unwrap();
        let told = sheet.own_hours.iter().map(|l| (l.at, l.to, l.who.clone(), l.what)).collect::<Vec<_>>();
        (sheet.day.day, sheet.begins, sheet.ends, told)
    };
    let (day, begins, ends, none) = lines("", &mut files.clone());
    assert_eq!((day, none), (5, Vec::new()));
    let clock = |minute: i64| format!("{:02}:{:02}", minute / 60, minute % 60);
    // The teacher has a break of five minutes within it; the helper is not there at all.
    let rows = format!(
        "[[presence]]\nwho = \"Ines Calder\"\ndate = 2027-03-05\nbreaks = \"{} to {}\"\n\n\
         [[presence]]\nwho = \"Tomas Birch\"\ndate = 2027-03-06\nthere = \"10:00 to 18:30\"\n\n\
         [[presence]]\nwho = \"Tomas Birch\"\ndate = 2027-03-07\nthere = \"08:00 to 15:30\"\n\n",
        clock(begins + 5),
        clock(begins + 10)
    );
    let (_, begins, _, told) = lines(&rows, &mut files);
    assert!(ends > begins);
    let away = (begins, None, "Tomas Birch".to_owned(), "away");
    assert!(told.contains(&away), "{told:?}");
    assert!(told.iter().all(|(at, ..)| *at >= begins), "{told:?}");
}

/// Somebody's own hours hold what only they do: `--why` names them, and says of no time beyond them that it could be then.
#[test]
fn what_somebodys_hours_hold_is_told_with_them() {
    let step = "{ id = \"look\", on = \"piece\", per = \"class\", hands = \"helper\", takes = \"10 min\" },\n  { id = \"proof\"";
    let there = |hours: &str, own: &str| {
        let rows = format!(
            "[[presence]]\nwho = \"Ada Finch\"\ndate = 2027-03-06\n{hours}\n\n{own}[[steps]]\nid = \"welcome\""
        );
        Sealed::small().edit("course/course.toml", HELPER.1, HELPER.2).edit(
            "course/course.toml",
            WITH[1].1,
            &rows,
        )
    };
    let why = |sealed: &Sealed, task: &str| {
        let said = sealed.run(&["plan", "course", "--why", task]);
        assert_eq!(said.exit, Some(0), "{said}");
        said.stdout.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let looks =
        |hours: &str| there(hours, "").edit("course/lessons/soft-loaf.toml", "{ id = \"proof\"", step);
    // The pieces are shaped at 13:25; she comes later, or has a break until later.
    let comes = why(&looks("there = \"14:00 to 18:00\""), "soft-loaf.look@class");
    assert!(comes.contains("the hours of Ada Finch, from Sat 14:00"), "{comes}");
    let pause = why(&looks("breaks = \"13:20 to 14:10\""), "soft-loaf.look@class");
    assert!(pause.contains("the break of Ada Finch from Sat 13:20 to Sat 14:10"), "{pause}");
    // And what may be done at any time, but for her.
    let own = "[[steps]]\nid = \"wipe\"\nname = \"Wipe\"\nwhen = \"between 0 and 290 min\"\nhands = \"helper\"\ntakes = \"10 min\"\n\n";
    let wipes = why(&there("there = \"13:00 to 14:30\"", own), "class.wipe@sat");
    assert!(wipes.ends_with("Sat 13:00 class.wipe@sat: the hours of Ada Finch, from Sat 13:00"), "{wipes}");
}
