//! What `plan --levers` advises, written into the course's files by hand, does what it promises.

use crate::support::Sealed;
use benchroll::reckon::plan::levers::{Change, changes};
use benchroll::units::Minutes;

/// The demo class, both sessions an hour shorter.
fn short() -> Sealed {
    Sealed::demo().edit("course/course.toml", "to = \"17:00\"", "to = \"16:00\"").edit(
        "course/course.toml",
        "to = \"13:30\"",
        "to = \"12:30\"",
    )
}

/// The count in the block of the thing with this name, so many more.
fn more(sealed: Sealed, name: &str, by: u32) -> Sealed {
    let text = sealed.read("course/kitchen.toml");
    let key = |key: &str| text.find(&format!("{key} = \"{name}\"\n"));
    let at = key("name").or_else(|| key("id")).unwrap_or_else(|| panic!("{name}"));
    let (before, block) = text.split_at(at);
    let (line, after) = block.split_once("count = ").unwrap();
    let (count, rest) = after.split_once('\n').unwrap();
    let count: u32 = count.parse().unwrap();
    let new = format!("{before}{line}count = {}\n{rest}", count + by);
    sealed.file("course/kitchen.toml", new)
}

/// The course with what a lever's text says.
fn written(sealed: Sealed, lever: &str) -> Sealed {
    if lever == "have one helper more" {
        let (old, new) = ("helpers = [\"Tomas Birch\"]", "helpers = [\"Tomas Birch\", \"Somebody\"]");
        return sealed.edit("course/course.toml", old, new);
    }
    if let Some((what, name)) = lever.split_once(" of ")
        && let Some(by) =
            what.strip_prefix("borrow ").or_else(|| what.strip_prefix("have ")?.strip_suffix(" more"))
    {
        let by = if by == "one" { 1 } else { by.parse().unwrap_or_else(|_| panic!("{lever}")) };
        return more(sealed, name.trim_end_matches(", or use paper cases"), by);
    }
    for (name, hour, minute) in [("Saturday", 16, 0), ("Sunday", 12, 30)] {
        for by in (5..=240).step_by(5) {
            if lever == format!("let {name} go on {} longer", Minutes(by)) {
                let end = hour * 60 + minute + by;
                let old = format!("to = \"{hour}:{minute}\"");
                let new = format!("to = \"{}:{:02}\"", end / 60, end % 60);
                return sealed.edit("course/course.toml", &old, &new);
            }
        }
    }
    if let Some(ends) = lever.strip_prefix("let ") {
        let ends = ends.strip_suffix(", as in the least-late plan").unwrap_or_else(|| panic!("{lever}"));
        let mut sealed = sealed;
        for one in ends.split(" and ") {
            let (name, end) = one.split_once(" end at ").unwrap();
            let old = if name == "Saturday" { "to = \"16:00\"" } else { "to = \"12:30\"" };
            sealed = sealed.edit("course/course.toml", old, &format!("to = \"{end}\""));
        }
        return sealed;
    }
    panic!("nobody has said yet how {lever:?} is written into the files")
}

#[test]
fn each_lever_works_when_it_is_written_into_the_files() {
    let said = short().run(&["plan", "course", "--levers", "--format", "json"]);
    assert_eq!(said.exit, Some(1), "{said}");
    let plan = said.json();
    assert_eq!(plan["fits"], false);
    assert!(plan["overrun_minutes"].as_i64().unwrap() > 0);
    let levers: Vec<&str> = plan["levers"].as_array().unwrap().iter().map(|l| l.as_str().unwrap()).collect();
    assert!(!levers.is_empty());
    // Longer sessions are one way; fewer people, or more of several things, are others.
    assert!(levers.iter().any(|lever| lever.starts_with("come with ")), "{levers:?}");
    for lever in levers {
        let mut line = vec!["plan", "course", "--format", "json"];
        let people = lever.strip_prefix("come with ").and_then(|rest| rest.strip_suffix(" people"));
        let sealed = match (people, lever.strip_prefix("all of this together: ")) {
            (Some(people), _) => {
                line.extend(["--headcount", people]);
                short()
            }
            (None, Some(all)) => all.split("; ").fold(short(), written),
            (None, None) => written(short(), lever),
        };
        assert_eq!(sealed.run(&line).json()["fits"], true, "{lever}");
    }
}

/// Two batches want a tub each; with one tub the second waits until the first dough is shaped.
#[test]
fn one_tub_more_is_tried() {
    let with = |tubs: u32| {
        let lesson = "course/lessons/soft-loaf.toml";
        let was = "hands = \"nobody\", stands = \"50 to 80 min\"";
        let sealed = Sealed::small().edit(lesson, was, &format!("{was}, uses = [\"tub until shape\"]"));
        let sealed = sealed.edit(lesson, "up to 2 stations", "1 station");
        let kitchen = sealed.read("course/kitchen.toml");
        let tub = format!(
            "\n[[tubs]]\nid = \"tub\"\ncount = {tubs}\nholds = \"3 kg\"\noutside = \"26 x 18 x 12 cm\"\n"
        );
        let sealed = sealed.file("course/kitchen.toml", kitchen + &tub);
        sealed.edit("course/course.toml", "to = \"17:00\"", "to = \"15:45\"")
    };
    let said = with(1).run(&["plan", "course", "--levers", "--format", "json"]);
    let levers = said.json()["levers"].clone();
    let levers: Vec<&str> =
        levers.as_array().unwrap_or_else(|| panic!("{said}")).iter().filter_map(|l| l.as_str()).collect();
    assert!(levers.contains(&"have one more of tub"), "{levers:?}");
    assert!(!levers.contains(&"have 3 more of tub"), "{levers:?}");
    assert_eq!(with(2).run(&["plan", "course", "--format", "json"]).json()["fits"], true);
    let checked = with(1).run(&["check", "course"]).to_string();
    assert!(
        checked.split_whitespace().collect::<Vec<_>>().join(" ").contains("what holds it: only 1 of tub"),
        "{checked}"
    );
}

/// The course's staff are there until 18:30: what goes on beyond that needs them for as long.
#[test]
fn a_longer_session_names_the_staffs_hours_that_go_with_it() {
    let course = super::demo();
    let longer = |by| Change::Longer(course.sessions[0].id.value.clone(), Minutes(by)).text(&course);
    assert_eq!(longer(60), "let Saturday go on 1 h longer");
    assert_eq!(
        longer(200),
        "let Saturday go on 3 h 20 min longer, and the staff's hours of Saturday to 20:20"
    );
}

/// With a single tin two more are far from enough; what is wanted at once is tried, and so is another cupboard.
#[test]
fn what_is_short_at_once_is_tried() {
    let mut course = super::demo();
    course.kitchen.tins[0].count.value = 1;
    let all = changes(&course, None, None);
    let tins = course.kitchen.tins[0].id.value.clone();
    assert!(all.iter().any(|c| matches!(c, Change::Tins(id, n) if *id == tins && *n > 2)), "{all:?}");
    assert!(all.iter().any(|c| matches!(c, Change::Cupboard(..))), "{all:?}");
}
